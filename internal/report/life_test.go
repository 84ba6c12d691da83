package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/PuerkitoBio/goquery"

	"auditgen/internal/assess"
	"auditgen/internal/civil"
	"auditgen/internal/diag"
	record "auditgen/internal/site"
)

// airConditioning is the choice between two systems of NIST Handbook 135, 1995,
// chapter 5 (inputs from memory), at a site that now uses 150,000 kWh at 0.20: at
// this rise of prices UPV* over 20 years at 3 % is 15.13, as in the handbook.
var airConditioning = map[string]string{
	"tariffs/flat.yaml": "tariff: Flat\ncurrency: EUR\nfrom: 2031-01-01\ntax-note: none\ncharges:\n  - {id: units, label: Units, energy: 0.20 /kWh}\n",
	"sites/small/visits/2031-02-03.yaml": fmt.Sprintf(`visit: 2031-02-03
by: O. Only
with: m
readings:
  - {id: R1, at: incomer, wiring: 1P2W, phases: {A: {voltage: 229 V, current: 75 A, power: 17.1 kW}}}
loads:
  - {id: air, name: Air, at: incomer, use: air, power: %.9f kW, runs: {calendar: always}}
`, 150000/8760.0),
	"sites/small/measures.yaml": fmt.Sprintf(`economics: {rate: 3 %%, escalation: 0.17637 %%, study: 20 years}
measures:
  - id: conventional
    name: Conventional
    changes: [{replace: {load: air, power: %.9f kW}}]
    cost: 103000 EUR
    basis: the handbook
    replacements: [{part: fan, after: 12 years, cost: 12000 EUR}]
    residual: 3500 EUR
    upkeep: 7000 EUR
    life: 20 years
  - id: saving
    name: Energy-saving
    changes: [{replace: {load: air, power: %.9f kW}}]
    cost: 110000 EUR
    basis: the handbook
    replacements: [{part: fan, after: 12 years, cost: 12500 EUR}]
    residual: 3700 EUR
    upkeep: 8000 EUR
    life: 20 years
`, 100000/8760.0, 65000/8760.0),
}

// The handbook's two life-cycle costs, from typed files to the page. It prints
// 516,233 and 432,443, by factors of three and four digits; 15.13 a rounded factor,
// 20,000 times 0.005 lie open.
func TestLifeCycleCostsOnThePage(t *testing.T) {
	files := fstest.MapFS{}
	for _, set := range []map[string]string{smallest, airConditioning} {
		for name, text := range set {
			files[name] = &fstest.MapFile{Data: []byte(text)}
		}
	}
	var faults diag.List
	rec := record.Read(record.Folder{FS: files, Dir: "sites/small"}, civil.Date{}, &faults)
	if rec == nil || faults.Err() != nil {
		t.Fatal(faults.Sorted())
	}
	a, err := assess.Assess(rec)
	if err != nil {
		t.Fatal(err)
	}
	pages := map[string]*goquery.Document{}
	for _, f := range onlyPages(build(t, a)) {
		pages[f.Name] = parse(t, f)
	}
	check, index := pages["2031-02-03/check.html"], pages["2031-02-03/index.html"]
	table := check.Find("#life-cycle").Next()
	number := func(cell string) float64 {
		cell = strings.Map(func(r rune) rune {
			if r == '−' {
				return '-'
			}
			if strings.ContainsRune("0123456789", r) {
				return r
			}
			return -1
		}, cell)
		v, err := strconv.ParseFloat(cell, 64)
		if err != nil {
			t.Errorf("no number in %q", cell)
		}
		return v
	}
	rows := map[string][]float64{}
	table.Find("tbody tr, tfoot tr").Each(func(_ int, tr *goquery.Selection) {
		var cells []float64
		tr.Find("td").Each(func(_ int, td *goquery.Selection) {
			td.Find("small").Remove()
			if text := strings.TrimSpace(td.Text()); text != "" {
				cells = append(cells, number(text))
			}
		})
		rows[strings.TrimSpace(tr.Find("th").Text())] = cells
	})
	today := rows["Going on as today"]
	if len(today) != 2 || math.Abs(today[1]-30000*15.13) > 3 {
		t.Fatalf("going on as today: %v, want %v", rows, 30000*15.13)
	}
	for name, c := range map[string]struct{ cost, fan, left, energy, upkeep, printed float64 }{
		"Conventional": {103000, 12000, 3500, 20000, 7000, 516233}, "Energy-saving": {110000, 12500, 3700, 13000, 8000, 432443},
	} {
		row := rows[name]
		if len(row) != 7 {
			t.Fatalf("%s: %v", name, row)
		}
		spv := func(n float64) float64 { return math.Pow(1.03, -n) }
		upkeep := c.upkeep * (1 - spv(20)) / 0.03
		want := []float64{c.cost, c.fan * spv(12), -c.left * spv(20), c.energy * 15.13, upkeep, c.cost + c.fan*spv(12) - c.left*spv(20) + c.energy*15.13 + upkeep}
		for i, w := range want {
			if math.Abs(row[i]-w) > 3 { // the bill is rounded to the cent by month, and the table to whole units
				t.Errorf("%s: cell %d is %v, want %v", name, i, row[i], w)
			}
		}
		if math.Abs(row[5]-c.printed) > 3+c.energy*0.005+c.upkeep*0.005+c.fan*0.0005 {
			t.Errorf("%s: %v, printed is %v", name, row[5], c.printed)
		}
		if math.Abs(today[1]-row[5]-row[6]) > 1.5 {
			t.Errorf("%s: net savings %v of %v", name, row[6], today[1]-row[5])
		}
	}
	if over := rows["All together"]; len(over) != 7 || math.Abs(today[1]-over[5]-over[6]) > 1.5 {
		t.Errorf("all together: %v", over)
	}
	text := strings.Join(strings.Fields(index.Text()), " ")
	for _, want := range []string{"Over 20 years, going on as today costs", "Life-cycle cost over 20 years:", "Fan replaced after twelve years, for €12,000", "€3,500 are left of it after 20 years.", "what is left of them counted", "replaced: fan"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if n := index.Find(`a[href="check.html#life-cycle"]`).Length(); n != 1 {
		t.Errorf("%d links to the table", n)
	}
}
