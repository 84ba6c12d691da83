package tariff_test

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"auditgen/internal/diag"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
)

var docExample = regexp.MustCompile("(?s)```yaml\n(.*?)```\n```text\n(.*?)```")

// TestDocs reads and prices every example of docs/tariffs.md and holds the bill
// printed under it.
func TestDocs(t *testing.T) {
	const path = "../../docs/tariffs.md"
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	examples := docExample.FindAllStringSubmatch(text, -1)
	if len(examples) < 20 || len(examples) != strings.Count(text, "```yaml") {
		t.Fatalf("%d of %d examples have a bill", len(examples), strings.Count(text, "```yaml"))
	}
	head, _, _ := strings.Cut(examples[0][1], "charges:")
	for _, e := range examples {
		file := e[1]
		if !strings.HasPrefix(file, "tariff:") {
			file = head + file
		}
		got := docBill(t, file)
		if *update {
			text = strings.Replace(text, e[0], "```yaml\n"+e[1]+"```\n```text\n"+got+"```", 1)
		} else if got != e[2] {
			t.Errorf("%s\ngot:\n%s\nwant:\n%s", e[1], got, e[2])
		}
	}
	if *update {
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func readTariff(t testing.TB, text string) *tariff.Tariff {
	t.Helper()
	var faults diag.List
	tar := tariff.Read(source.YAML("tariff.yaml", []byte(text), &faults), &faults)
	if tar == nil {
		var b strings.Builder
		faults.Write(&b)
		t.Fatalf("%s\n%s", text, b.String())
	}
	return tar
}

// docUse is the January of docs/tariffs.md. Where a network has periods of its
// own, each period's use falls on the first slot that has it.
func docUse(tar *tariff.Tariff) *slotUse {
	u := newSlotUse(len(tar.Slots()))
	january := tar.Occurring(tariff.Months(2031)[0])
	for name, x := range map[string][5]float64{
		"peak": {9000, 6000, 92, 112, 62}, "day": {14000, 9000, 88, 105, 58}, "night": {7000, 3000, 41, 47, 23},
	} {
		for i := range tar.Slots() {
			if s := tariff.Slot(i); january.Has(s) && tar.Within(name).Has(s) {
				u.set(s, x)
				break
			}
		}
	}
	return u
}

func docBill(t *testing.T, file string) string {
	tar := readTariff(t, file)
	options := tariff.Options{}
	if err := options.Agreed.UnmarshalText([]byte("120 kVA")); err != nil {
		t.Fatal(err)
	}
	november := tariff.Months(2030)[10]
	for _, c := range tar.Charges {
		if c.Demand == nil {
			continue
		}
		past := tariff.Past{Period: november, Charge: c.ID.Value}
		demand := "140 kVA"
		if c.Demand.Price.Per.Of == "kW" {
			demand = "115 kW"
		}
		if err := past.Demand.UnmarshalText([]byte(demand)); err != nil {
			t.Fatal(err)
		}
		if c.Demand.Price.Per.Of != "kvar" {
			options.Earlier = append(options.Earlier, past)
		}
	}
	bills, err := tar.PriceYear(tariff.Months(2031)[:1], []tariff.Use{docUse(tar)}, options)
	if err != nil {
		t.Fatalf("%s\n%v", file, err)
	}
	return printBill(&bills[0])
}

// printBill prints a bill as docs/tariffs.md shows it.
func printBill(b *tariff.Bill) string {
	var s strings.Builder
	rows := [][3]string{}
	wide := [2]int{}
	for _, l := range b.Lines {
		sum := l.QuantityText() + " x " + l.PriceText()
		if l.PriceUnit == "" {
			sum = l.QuantityText()
		}
		rows = append(rows, [3]string{l.Label, sum, l.Amount.StringFixed(2)})
	}
	rows = append(rows, [3]string{"Total", "", b.Total.StringFixed(2) + " " + b.Currency.Code})
	for _, r := range rows {
		for i := range wide {
			wide[i] = max(wide[i], utf8.RuneCountInString(r[i]))
		}
	}
	for i, r := range rows {
		amount, code, _ := strings.Cut(r[2], " ")
		line := pad(r[0], wide[0]) + "  " + pad(r[1], wide[1]) + fmt.Sprintf("  %10s %s", amount, code)
		s.WriteString(strings.TrimRight(line, " ") + "\n")
		if i < len(b.Lines) {
			for _, how := range b.Lines[i].How {
				s.WriteString("    " + how + "\n")
			}
		}
	}
	return s.String()
}

func pad(s string, n int) string { return s + strings.Repeat(" ", max(0, n-utf8.RuneCountInString(s))) }
