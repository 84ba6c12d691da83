package tariff_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/quantity"
	"auditgen/internal/tariff"
)

const plainHead = "tariff: T\ncurrency: EUR\nfrom: 2031-01-01\nto: 2031-12-31\nseasons: {winter: 1 Nov to 31 Mar}\ncharges:\n"

func priceOne(t *testing.T, charges string, p tariff.Period, u tariff.Use) tariff.Bill {
	t.Helper()
	bills, err := readTariff(t, plainHead+charges).PriceYear([]tariff.Period{p}, []tariff.Use{u}, tariff.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return bills[0]
}

// statedFactor is a meter that states its power factor.
type statedFactor struct {
	*slotUse
	factor quantity.Ratio
}

func (s statedFactor) PowerFactor(tariff.SlotSet) (quantity.Ratio, bool) { return s.factor, true }

// TestRatioRule holds the surcharge 3/5 x (90/FP - 1), cap 120 %, and the bonus
// 1/4 x (1 - 90/FP), cap 2.5 %, to a published table: blog.sunwise.io (formula),
// rbjlabs.com/electricidad/tarifa-gdmth (caps); 97.83 from an uploaded bill.
func TestRatioRule(t *testing.T) {
	const charges = `  - id: base
    fixed: 100000 /month
  - id: pf
    power-factor:
      of: base
      round: 0.0001
      ratio: {target: 0.90, add: 60 %, add-cap: 120 %, less: 25 %, less-cap: 2.5 %, round-percent: 0.001}
`
	for factor, want := range map[quantity.Ratio]string{
		0.20: "120", 0.30: "120", 0.50: "48", 0.60: "30", 0.70: "17.1", 0.75: "12", 0.80: "7.5", 0.85: "3.5", 0.8575: "3",
		0.8916: "0.6", 0.8999: "0", 0.90: "0", 0.92: "-0.5", 0.95: "-1.3", 0.9783: "-2", 1: "-2.5",
	} {
		b := priceOne(t, charges, tariff.Months(2031)[0], statedFactor{newSlotUse(2), factor})
		l, _ := b.Line("pf")
		if got := l.Price.Shift(2).String(); got != want {
			t.Errorf("power factor %v brings %s %%, want %s %%", factor, got, want)
		}
	}
}

// TestLeading prices a leading month: ignored it counts as 1, charged like a
// lagging one of the same size (0.8 for 3 kvarh to 4 kWh).
func TestLeading(t *testing.T) {
	u := newSlotUse(2)
	for s := range 2 {
		u.set(tariff.Slot(s), [5]float64{4000, -3000, 10, 12, 7})
	}
	for rule, want := range map[string]string{"ignored": "0", "charged": "0.1"} {
		b := priceOne(t, "  - id: units\n    energy: 0.1 /kWh\n  - id: pf\n    power-factor: {of: units, leading: "+rule+", slopes: [{below: 0.9, add: 1 % per 0.01}]}\n", tariff.Months(2031)[0], u)
		if l, _ := b.Line("pf"); l.Price.String() != want {
			t.Errorf("leading %s: rate %s, want %s; %v", rule, l.Price, want, l.How)
		}
	}
	b := priceOne(t, "  - id: r\n    reactive: {price: 0.01 /kvarh}\n", tariff.Months(2031)[0], u)
	if l, _ := b.Line("r"); !l.Quantity.IsZero() {
		t.Errorf("leading reactive energy is billed: %s", l.Quantity)
	}
}

// TestSeasonWithinABill counts a fixed charge by the days in season: of 20 March
// to 18 April, 30 days, 12 are in winter.
func TestSeasonWithinABill(t *testing.T) {
	p := tariff.Period{From: date(t, "2031-03-20"), To: date(t, "2031-04-19")}
	b := priceOne(t, "  - id: a\n    fixed: {price: 1 /day, season: winter}\n  - id: b\n    fixed: {price: 12 /year, season: winter}\n", p, newSlotUse(2))
	l, _ := b.Line("a")
	if !l.Quantity.Equal(decimal.New(12, 0)) || !slices.Contains(l.How, "12 of the 30 days of 2031-03-20 to 2031-04-18 are in winter: 12 days") {
		t.Errorf("days in season are %s: %v", l.Quantity, l.How)
	}
	if l, _ = b.Line("b"); l.Quantity.String() != "0.032877" { // 12/365
		t.Errorf("years in season are %s", l.Quantity)
	}
}

func TestOutsideOfForce(t *testing.T) {
	for _, c := range []struct {
		year int
		note bool
	}{{2030, true}, {2031, false}, {2032, true}} {
		b := priceOne(t, "  - id: a\n    fixed: 1 /day\n", tariff.Months(c.year)[0], newSlotUse(2))
		if got := len(b.Notes) == 1 && strings.Contains(b.Notes[0], "in force from 2031-01-01 to 2031-12-31"); got != c.note {
			t.Errorf("%d: notes %q", c.year, b.Notes)
		}
	}
}

// TestCheckFindsErrors alters bills and expects their own check to see it.
func TestCheckFindsErrors(t *testing.T) {
	u := newSlotUse(2)
	u.set(0, [5]float64{1000, 0, 10, 10, 0})
	bill := func() tariff.Bill {
		return priceOne(t, "  - id: a\n    energy: 0.15 /kWh\n  - id: b\n    tax: {rate: 21 %, of: all}\n", tariff.Months(2031)[0], u)
	}
	whole := bill()
	if err := whole.Check(); err != nil {
		t.Error(err)
	}
	for want, alter := range map[string]func(*tariff.Bill){
		"the lines sum to 181.5, the total is 181.51": func(b *tariff.Bill) { b.Total = b.Total.Add(decimal.New(1, -2)) },
		"line a: 1000 x 0.15 is 150, not 150.01":      func(b *tariff.Bill) { b.Lines[0].Amount = decimal.New(15001, -2) },
	} {
		b := bill()
		alter(&b)
		if err := b.Check(); err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}

func TestDescribeSeasonsAndSets(t *testing.T) {
	tar := readTariff(t, `tariff: T
currency: EUR
from: 2031-01-01
seasons: {winter: [1 Jan to 31 Mar, 1 Dec to 31 Dec], summer: 1 Apr to 30 Nov}
holidays: 25 Dec
period-sets:
  supply: {day: {hours: 07:00-22:00}, night: otherwise}
  network: {feast: {holidays: only}, rest: otherwise}
charges:
  - id: a
    energy: {period: feast, price: 0.15 /kWh}
  - id: pf
    power-factor: {of: a, measured: peak, slopes: [{below: 0.9, add: 1 % per 0.01}]}
`)
	if s := tar.DescribeSeasons(); len(s) != 2 || strings.Join(s[0].Text, "; ") != "1 Jan to 31 Mar; 1 Dec to 31 Dec" {
		t.Errorf("seasons are %v", s)
	}
	if got := tar.Slots()[tar.SlotAt(date(t, "2031-12-25"), 600)]; got != "winter, day, feast" {
		t.Errorf("Christmas morning is %q", got)
	}
	if got := tar.Windows(); !slices.Equal(got, []int{30}) {
		t.Errorf("windows are %v", got)
	}
	if p := tariff.Months(2031)[1]; !p.Contains(date(t, "2031-02-28")) || p.Contains(date(t, "2031-03-01")) {
		t.Error("a period runs up to, but without, its end")
	}
}

// TestImpossibleUse prices the textbook year of 25,000,000 kWh at 1,600 kW, a
// load factor of 1.78 (M. L. Anand, Electrical Power I, ex. 11.5).
func TestImpossibleUse(t *testing.T) {
	for kwh, want := range map[float64]bool{25e6: true, 14e6: false} {
		u := newSlotUse(2)
		u.set(0, [5]float64{kwh, 0, 1600, 1600, 0})
		b := priceOne(t, "  - id: d\n    demand: {price: 70 /kW, window: 30 min}\n  - id: e\n    energy: 0.02 /kWh\n", tariff.Period{From: date(t, "2031-01-01"), To: date(t, "2032-01-01")}, u)
		const note = "25000000 kWh cannot be drawn at 1600 kW: 8760 h make 14016000 at most"
		if slices.Contains(b.Notes, note) != want {
			t.Errorf("%g kWh: notes %q", kwh, b.Notes)
		}
	}
}

func TestQuantityText(t *testing.T) {
	for _, c := range []struct{ quantity, step, want string }{
		{"3723.840000000000", "0.01", "3723.84 EUR"},
		{"100", "0.01", "100.00 EUR"},
		{"100", "1", "100 EUR"},
		{"383.216667", "0.01", "383.216667 EUR"},
		{"0.50", "1", "0.5 EUR"},
		{"1200.0", "10", "1200 EUR"},
	} {
		l := tariff.Line{Quantity: decimal.RequireFromString(c.quantity), Unit: "EUR", Rounding: tariff.Step{Size: decimal.RequireFromString(c.step)}}
		if got := l.QuantityText(); got != c.want {
			t.Errorf("%s to %s: %s, want %s", c.quantity, c.step, got, c.want)
		}
	}
}
