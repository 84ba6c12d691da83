package export

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"auditgen/internal/assess"
	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/site"
)

// sites are the folder that holds provider.toml, and the site within it.
var sites = map[string]string{"sites/example": "../..", "minimal": "../../testdata/sites", "split-phase": "../../testdata/sites"}

// once holds the sites as they are typed, worked out once.
var once = map[string]*assess.Assessment{}

func kept(t *testing.T, root, dir string) *assess.Assessment {
	t.Helper()
	if once[dir] == nil {
		once[dir] = assessed(t, root, dir, func(_, text string) string { return text })
	}
	return once[dir]
}

// assessed works a site out; change may alter a file's text on the way.
func assessed(t *testing.T, root, dir string, change func(name, text string) string) *assess.Assessment {
	t.Helper()
	files := fstest.MapFS{}
	for _, part := range []string{"provider.toml", "tariffs", dir} {
		err := filepath.WalkDir(filepath.Join(root, part), func(path string, d os.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			data, err := os.ReadFile(path)
			name, _ := filepath.Rel(root, path)
			name = filepath.ToSlash(name)
			files[name] = &fstest.MapFile{Data: []byte(change(name, string(data)))}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	var faults diag.List
	rec := site.Read(site.Folder{FS: files, Dir: dir}, civil.Date{}, &faults)
	if rec == nil {
		t.Fatal(faults.Err())
	}
	a, err := assess.Assess(rec)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func exported(t *testing.T, a *assess.Assessment) map[string][]byte {
	t.Helper()
	files, err := Files(a)
	if err != nil {
		t.Fatal(err)
	}
	named := map[string][]byte{}
	for _, f := range files {
		named[f.Name] = f.Data
	}
	return named
}

// TestSchema holds each site's JSON against the published schema (JSON Schema,
// draft 2020-12), and finds that the schema can say no.
func TestSchema(t *testing.T) {
	schema, err := jsonschema.NewCompiler().Compile("../../docs/schema/assessment.json")
	if err != nil {
		t.Fatal(err)
	}
	for dir, root := range sites {
		data := exported(t, kept(t, root, dir))["assessment.json"]
		if err := valid(schema, data); err != nil {
			t.Errorf("%s: %v", dir, err)
		}
		for _, spoilt := range [][2]string{{`"energy_kwh"`, `"energy_wh"`}, {`"version":1`, `"version":2`}, {`"visit":"`, `"visit":"on `}} {
			if valid(schema, bytes.Replace(data, []byte(spoilt[0]), []byte(spoilt[1]), 1)) == nil {
				t.Errorf("%s: the schema takes %s", dir, spoilt[1])
			}
		}
	}
}

func valid(schema *jsonschema.Schema, data []byte) error {
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		return err
	}
	return schema.Validate(v)
}

// TestTables counts the rows of the tables, and finds a reading and the bills'
// exact sum in them.
func TestTables(t *testing.T) {
	a := kept(t, "../..", "sites/example")
	files := exported(t, a)
	read := func(name string) [][]string {
		rows, err := csv.NewReader(bytes.NewReader(files[name])).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		return rows
	}
	// The first phase of the first reading, as typed in the example's visit.
	want := "R1 incomer  2031-05-14 10:35 3P4W A 233.9 0 168.2 34.69 17.78 39.36 0.88  "
	if got := strings.Join(read("readings.csv")[1], " "); got != want {
		t.Errorf("the first reading is %q, not %q", got, want)
	}
	if got := len(read("loads.csv")); got != len(a.Loads)+1 {
		t.Errorf("%d rows of loads", got)
	}
	sum, lines := decimal.Zero, 0
	bills := read("bill.csv")
	amount := slices.Index(bills[0], "amount_eur")
	for _, row := range bills[1:] {
		sum, lines = sum.Add(decimal.RequireFromString(row[amount])), lines+1
	}
	total := decimal.Zero
	for _, b := range a.Bills {
		total, lines = total.Add(b.Total), lines-len(b.Lines)
	}
	if !sum.Equal(total) || lines != 0 {
		t.Errorf("the table sums to %s, the bills to %s; %d lines too many", sum, total, lines)
	}
}

// TestMeasures finds in the table what the plan came to: cost, replacements, bills
// and upkeep less what is left are the life-cycle cost, and that without a measure
// less that with it is its net present value.
func TestMeasures(t *testing.T) {
	a := kept(t, "../..", "sites/example")
	rows, err := csv.NewReader(bytes.NewReader(exported(t, a)["measures.csv"])).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != len(a.Plan.Measures)+2 {
		t.Fatalf("%d rows for %d measures and their sum", len(rows), len(a.Plan.Measures))
	}
	for _, row := range rows[1:] {
		at := func(head string) float64 {
			v, err := strconv.ParseFloat(row[slices.Index(rows[0], head+"_eur")], 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		sum := at("cost") + at("replacements_present_value") - at("residual_present_value") + at("bills_present_value") + at("upkeep_present_value")
		if math.Abs(sum-at("life_cycle_cost")) > 0.001 {
			t.Errorf("%s: parts sum to %v, not %v", row[0], sum, at("life_cycle_cost"))
		}
		if d := at("life_cycle_cost_without") - at("life_cycle_cost"); math.Abs(d-at("net_present_value")) > 0.001 {
			t.Errorf("%s: net savings %v, net present value %v", row[0], d, at("net_present_value"))
		}
	}
	if rows[8][0] != "solar" || rows[8][slices.Index(rows[0], "replacements_present_value_eur")] == "0" {
		t.Errorf("the inverter is not in %q", rows[8])
	}
}

// TestGuarded keeps a text from being taken for a formula (a cell that begins
// with =, +, -, @, tab or a line's end), and numbers as they are.
func TestGuarded(t *testing.T) {
	bad := func(name, text string) string {
		if strings.Contains(name, "visits/") {
			return strings.Replace(text, "    name: Cream separator", `    name: '=HYPERLINK("http://x.example","pay here")'`, 1)
		}
		return strings.Replace(text, "    label: Standing charge", "    label: '@standing'", 1)
	}
	files := exported(t, assessed(t, "../..", "sites/example", bad))
	if got := string(files["loads.csv"]); !strings.Contains(got, `"'=HYPERLINK(`) || strings.Contains(got, `,"=`) {
		t.Error("the name of a load can be taken for a formula")
	}
	if got := string(files["bill.csv"]); !strings.Contains(got, ",'@standing,") {
		t.Error("the label of a charge can be taken for a formula")
	}
	if !strings.Contains(string(files["readings.csv"]), ",-120.3,") {
		t.Error("a negative number was taken for a formula")
	}
	book := open(t, files["bill.xlsx"])
	_, priceSheet, _ := sheetNames(nil)
	for _, cell := range []string{"A2", "B2"} {
		if f, err := book.GetCellFormula(priceSheet, cell); err != nil || f != "" {
			t.Errorf("%s holds the formula %q (%v)", cell, f, err)
		}
	}
	for text, want := range map[string]string{"": "", "a=b": "a=b", "=1": "'=1", "+1": "'+1", "-1": "'-1", "@a": "'@a", "\ta": "'\ta", "Ökonom": "Ökonom"} {
		if got := guarded(text); got != want {
			t.Errorf("%q is written as %q", text, got)
		}
	}
}

func open(t *testing.T, data []byte) *excelize.File {
	t.Helper()
	book, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { book.Close() })
	return book
}

// monthTotals works the workbook's formulas out and gives the total of each month.
func monthTotals(t *testing.T, book *excelize.File, a *assess.Assessment) []string {
	t.Helper()
	yearSheet, _, _ := sheetNames(a.Record.Words)
	rows, err := book.GetRows(yearSheet)
	if err != nil {
		t.Fatal(err)
	}
	var totals []string
	for i, row := range rows {
		if len(row) == 0 || !strings.HasPrefix(row[0], "20") {
			continue
		}
		cell, _ := excelize.CoordinatesToCellName(2, i+1)
		got, err := book.CalcCellValue(yearSheet, cell, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		totals = append(totals, decimal.RequireFromString(got).Round(6).String())
	}
	if len(totals) != len(a.Bills) {
		t.Fatalf("%d months in the workbook, not %d", len(totals), len(a.Bills))
	}
	return totals
}

func exactTotals(a *assess.Assessment) []string {
	var totals []string
	for _, b := range a.Bills {
		totals = append(totals, b.Total.Round(6).String())
	}
	return totals
}

// TestWorkbook works the formulas out and compares with the exact bills.
func TestWorkbook(t *testing.T) {
	for dir, root := range sites {
		a := kept(t, root, dir)
		data := exported(t, a)["bill.xlsx"]
		if got, want := monthTotals(t, open(t, data), a), exactTotals(a); !slices.Equal(got, want) {
			t.Errorf("%s: the workbook comes to\n%v, the bills to\n%v", dir, got, want)
		}
		again, err := Workbook(a)
		if err != nil || !bytes.Equal(data, again) {
			t.Errorf("%s: the workbook differs from run to run (%v)", dir, err)
		}
	}
}

// TestWorkbookSpeaks holds the workbook of a site in Spanish to its language, and
// its formulas to sheets of other names.
func TestWorkbookSpeaks(t *testing.T) {
	a := assessed(t, "../../testdata/sites", "minimal", func(name, text string) string {
		if name == "minimal/site.yaml" {
			return "language: es\n" + text
		}
		return text
	})
	book := open(t, exported(t, a)["bill.xlsx"])
	if got, want := book.GetSheetList(), []string{"Año", "Precios", "Factura"}; !slices.Equal(got, want) {
		t.Errorf("the sheets are %q, not %q", got, want)
	}
	if got, want := monthTotals(t, book, a), exactTotals(a); !slices.Equal(got, want) {
		t.Errorf("the workbook comes to\n%v, the bills to\n%v", got, want)
	}
	for sheet, cells := range map[string]map[string]string{"Factura": {"A1": "Mes", "C1": "Cantidad"}, "Precios": {"A1": "Cargo", "D1": "Escrito en"}, "Año": {"A5": "Mes"}} {
		for cell, want := range cells {
			if got, err := book.GetCellValue(sheet, cell); err != nil || got != want {
				t.Errorf("%s!%s is %q, not %q (%v)", sheet, cell, got, want, err)
			}
		}
	}
}

// TestWorkbookFollowsAPrice changes prices in the workbook, and in the tariff's
// file: both come to the same bills, shares of other lines and taxes included.
func TestWorkbookFollowsAPrice(t *testing.T) {
	a := kept(t, "../..", "sites/example")
	prices := map[string][2]string{ // by charge: as typed, changed
		"Units, day":      {"0.1712 /kWh", "0.1899 /kWh"},
		"Highest demand":  {"8.45 /kW/month", "9.10 /kW/month"},
		"Value added tax": {"rate: 13.5 %", "rate: 20 %"},
	}
	repriced := assessed(t, "../..", "sites/example", func(name, text string) string {
		for _, p := range prices {
			if strings.HasPrefix(name, "tariffs/medium") {
				text = strings.Replace(text, p[0], p[1], 1)
			}
		}
		return text
	})
	if slices.Equal(exactTotals(a), exactTotals(repriced)) {
		t.Fatal("the changed prices did not reach the bills")
	}
	book := open(t, exported(t, a)["bill.xlsx"])
	_, priceSheet, _ := sheetNames(a.Record.Words)
	rows, err := book.GetRows(priceSheet)
	if err != nil {
		t.Fatal(err)
	}
	changed := 0
	for i, row := range rows {
		value, ok := map[string]float64{"Units, day": 0.1899, "Highest demand": 9.10, "Value added tax": 0.20}[row[0]]
		if !ok {
			continue
		}
		cell, _ := excelize.CoordinatesToCellName(2, i+1)
		if err := book.SetCellFloat(priceSheet, cell, value, -1, 64); err != nil {
			t.Fatal(err)
		}
		changed++
	}
	if changed != len(prices) {
		t.Fatalf("%d prices found in the workbook", changed)
	}
	if got, want := monthTotals(t, book, a), exactTotals(repriced); !slices.Equal(got, want) {
		t.Errorf("the workbook comes to\n%v, the bills to\n%v", got, want)
	}
}
