package tariff_test

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
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

var docBillForm = regexp.MustCompile(`(?m)^# bill from (\S+) to (\S+)$`)

// docBill prices an example for January, or for the days that its first line
// names, with what the text says of the months before.
func docBill(t *testing.T, file string) string {
	tar := readTariff(t, file)
	period := tariff.Months(2031)[0]
	if m := docBillForm.FindStringSubmatch(file); m != nil {
		period = tariff.Period{From: date(t, m[1]), To: date(t, m[2]).AddDays(1)}
	}
	bills, err := tar.PriceYear([]tariff.Period{period}, []tariff.Use{newDocMeter(tar)}, docOptions(t, tar))
	if err != nil {
		t.Fatalf("%s\n%v", file, err)
	}
	return printBill(&bills[0])
}

func docOptions(t *testing.T, tar *tariff.Tariff) tariff.Options {
	o := tariff.Options{Used: map[string]tariff.Amount{}, EventMonths: map[string][]civil.Date{}}
	amount := func(s string) (a tariff.Amount) {
		if err := a.UnmarshalText([]byte(s)); err != nil {
			t.Fatal(err)
		}
		return a
	}
	o.Agreed = amount("120 kVA")
	november := tariff.Months(2030)[10]
	for _, c := range tar.Charges {
		id := c.ID.Value
		switch {
		case c.Demand != nil && c.Demand.Price.Per.Of == "kW":
			o.Earlier = append(o.Earlier, tariff.Past{Period: november, Charge: id, Demand: amount("115 kW")})
		case c.Demand != nil && c.Demand.Price.Per.Of != "kvar":
			o.Earlier = append(o.Earlier, tariff.Past{Period: november, Charge: id, Demand: amount("140 kVA")})
		case c.Minimum != nil && c.Minimum.Paid.IsSet():
			o.Paid = append(o.Paid, tariff.Paid{Period: november, Charge: id, Amount: decimal.New(1100, 0)})
		case c.Energy != nil && c.Energy.Per.Value == "year":
			o.Used[id] = amount("80000 kWh")
		}
		if c.Repeat != nil {
			o.EventMonths[id] = []civil.Date{november.From}
		}
	}
	if tar.Rounding.Carry {
		o.Carried = decimal.New(420, -2)
	}
	return o
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
	for _, n := range b.Notes {
		s.WriteString("Note: " + n + "\n")
	}
	return s.String()
}

func pad(s string, n int) string { return s + strings.Repeat(" ", max(0, n-utf8.RuneCountInString(s))) }
