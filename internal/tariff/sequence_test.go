package tariff_test

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
	"auditgen/internal/quantity"
	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

// priceMonths prices the months of 2031 with an energy and a demand for each.
func priceMonths(t *testing.T, charges string, o tariff.Options, kwh, kw []float64) []tariff.Bill {
	t.Helper()
	tar := readTariff(t, "tariff: T\ncurrency: EUR\nfrom: 2031-01-01\n"+charges)
	us := make([]tariff.Use, len(kw))
	for i := range us {
		u := newSlotUse(1)
		u.set(0, [5]float64{kwh[i], 0, kw[i], kw[i], 0})
		us[i] = u
	}
	bills, err := tar.PriceYear(tariff.Months(2031)[:len(kw)], us, o)
	if err != nil {
		t.Fatal(err)
	}
	for i := range bills {
		if err := bills[i].Check(); err != nil {
			t.Error(err)
		}
	}
	return bills
}

func quantities(bills []tariff.Bill, key string) []string {
	all := make([]string, len(bills))
	for i := range bills {
		if l, ok := bills[i].Line(key); ok {
			all[i] = l.Quantity.String()
		}
	}
	return all
}

// TestEventsInARow numbers the events of a year: the number grows, has an end,
// and begins again after three months without.
func TestEventsInARow(t *testing.T) {
	kw := []float64{110, 110, 90, 110, 110, 90, 90, 90, 110, 110, 90, 110}
	kwh := make([]float64, 12)
	for _, c := range []struct {
		repeat string
		o      tariff.Options
		want   []string
	}{
		{"{most: 3, reset-after: 3}", tariff.Options{}, []string{"10", "20", "0", "30", "30", "0", "0", "0", "10", "20", "0", "30"}},
		{"{most: 3, reset-after: 3}", tariff.Options{Events: map[string]int{"x": 2}}, []string{"30", "30", "0", "30", "30", "0", "0", "0", "10", "20", "0", "30"}},
		{"{within: 4}", tariff.Options{EventMonths: map[string][]civil.Date{"x": {date(t, "2030-12-01"), date(t, "2030-09-01")}}}, []string{"20", "30", "0", "30", "30", "0", "0", "0", "10", "20", "0", "30"}},
	} {
		bills := priceMonths(t, "charges:\n  - {id: x, repeat: "+c.repeat+", demand: {price: 1 /kW, window: 15 min, above: 100 kW}}\n", c.o, kwh, kw)
		if got := quantities(bills, "x"); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.repeat, got, c.want)
		}
	}
}

// TestCarriedOn carries what the rounding of a total leaves from bill to bill:
// no money is lost.
func TestCarriedOn(t *testing.T) {
	kwh := []float64{101, 102, 103, 104}
	bills := priceMonths(t, "rounding: {total: 10 cut, carry: yes}\ncharges:\n  - {id: a, energy: 0.27 /kWh}\n", tariff.Options{}, kwh, make([]float64, 4))
	totals, carried := []string{}, []string{}
	for i := range bills {
		totals = append(totals, bills[i].Total.String())
		l, _ := bills[i].Line("carried")
		carried = append(carried, l.Amount.String())
	}
	// 27.27 | 27.54 + 7.27 = 34.81 | 27.81 + 4.81 = 32.62 | 28.08 + 2.62 = 30.70
	if !slices.Equal(totals, []string{"20", "30", "30", "30"}) || !slices.Equal(carried, []string{"0", "7.27", "4.81", "2.62"}) {
		t.Errorf("totals %v, carried %v", totals, carried)
	}
}

// TestBlocksOfTheYear counts blocks over the months.
func TestBlocksOfTheYear(t *testing.T) {
	kwh := []float64{600, 600, 600}
	bills := priceMonths(t, "charges:\n  - {id: a, energy: {per: year, blocks: [{up-to: 1000 kWh, price: 0.20 /kWh}, {price: 0.10 /kWh}]}}\n", tariff.Options{}, kwh, make([]float64, 3))
	if a, b := quantities(bills, "a.1"), quantities(bills, "a.2"); !slices.Equal(a, []string{"600", "400", ""}) || !slices.Equal(b, []string{"", "200", "600"}) {
		t.Errorf("first blocks %v, second blocks %v", a, b)
	}
}

// TestFloorOfWhatWasPaid looks back at the demand charge of past bills, before
// the floor raised it; in a steady year also at the months after.
func TestFloorOfWhatWasPaid(t *testing.T) {
	kw := []float64{50, 100, 60, 60, 40, 40, 40, 40, 40, 40, 40, 40}
	const charges = "charges:\n  - {id: d, demand: {price: 2 /kW, window: 15 min}}\n  - {id: least, minimum: {paid: 80 % of highest of 3 months, of: d}}\n"
	for steady, want := range map[bool][]string{
		false: {"", "0", "40", "40", "80", "16", "16", "0", "0", "0", "0", "0"},
		true:  {"0", "0", "40", "40", "80", "16", "16", "0", "0", "0", "0", "0"},
	} {
		bills := priceMonths(t, charges, tariff.Options{Steady: steady}, make([]float64, 12), kw)
		if got := quantities(bills, "least"); !slices.Equal(got, want) {
			t.Errorf("steady %v: %v, want %v", steady, got, want)
		}
		if !steady && !strings.Contains(strings.Join(bills[0].Notes, "; "), "no earlier month is known") {
			t.Errorf("January's notes are %q", bills[0].Notes)
		}
	}
}

// TestBriefIsTheSame prices every tariff with sentences and without.
func TestBriefIsTheSame(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	all := anyTariffs(t)
	for _, name := range slices.Sorted(maps.Keys(all)) {
		tar := readValue(t, name, all[name])
		year := uses(randomYear(tar, r))
		o := optionsFor(tar)
		long, err := tar.PriceYear(tariff.Months(2031), year, o)
		if err != nil {
			t.Fatal(err)
		}
		o.Brief = true
		short, err := tar.PriceYear(tariff.Months(2031), year, o)
		if err != nil {
			t.Fatal(err)
		}
		var sheet working.Sheet
		tariff.Record(&sheet, "bill", short, nil)
		if err := sheet.Replay(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		for m := range long {
			for i, l := range long[m].Lines {
				s := short[m].Lines[i]
				if s.Key() != l.Key() || !s.Amount.Equal(l.Amount) || !s.Quantity.Equal(l.Quantity) || s.How != nil {
					t.Errorf("%s, %s: %s is %s, in brief %s; %q", name, long[m].Period, l.Key(), l.Amount, s.Amount, s.How)
				}
			}
		}
	}
}

// TestDescribeAll words every charge of every tariff.
func TestDescribeAll(t *testing.T) {
	all := anyTariffs(t)
	for _, name := range slices.Sorted(maps.Keys(all)) {
		for _, d := range readValue(t, name, all[name]).Describe(nil) {
			if len(d.Text) == 0 || d.Label == "" || strings.Contains(strings.Join(d.Text, " "), "%!") {
				t.Errorf("%s: %s is described as %q", name, d.ID, d.Text)
			}
		}
	}
}

// TestPartNotKnown parts by days where the use cannot tell what was used on
// either side of a change, and says so.
func TestPartNotKnown(t *testing.T) {
	bills := priceMonths(t, "price-change: by date\nversions: [{from: 2031-01-17, prices: {a: 0.30 /kWh}}]\ncharges:\n  - {id: a, energy: 0.20 /kWh}\n", tariff.Options{}, []float64{310}, []float64{1})
	if got := append(quantities(bills, "a.1"), quantities(bills, "a.2")...); !slices.Equal(got, []string{"160", "150"}) || len(bills[0].Notes) != 1 {
		t.Errorf("%v, notes %q", got, bills[0].Notes)
	}
}

type badCourse struct{ *slotUse }

func (badCourse) Course(tariff.SlotSet, int) ([]tariff.Interval, bool) {
	return []tariff.Interval{{Day: civil.Date{Year: 2031, Month: 1, Day: 2}, Minute: 615, Energy: quantity.WattHours(math.Inf(1))}}, true
}

func TestCourseThatCannotBeBilled(t *testing.T) {
	tar := readTariff(t, "tariff: T\ncurrency: EUR\nfrom: 2031-01-01\ncharges:\n  - {id: r, reactive: {price: 1 /kvarh, netted: hour}}\n")
	_, err := tar.PriceYear(tariff.Months(2031)[:1], []tariff.Use{badCourse{newSlotUse(1)}}, tariff.Options{})
	if err == nil || !strings.Contains(err.Error(), "the interval of 2031-01-02 10:15 is not a quantity that can be billed") {
		t.Errorf("got %v", err)
	}
}

// TestNettingIsNotLess holds the sum over hours to be at least what the whole
// bill gives, for any mix of hours: allowances of one hour do not help another.
func TestNettingIsNotLess(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	for range 50 {
		var rows []tariff.Interval
		u := newSlotUse(1)
		for h := range 24 {
			e, q := 100*r.Float64(), 100*r.Float64()
			rows = append(rows, tariff.Interval{Day: civil.Date{Year: 2031, Month: 1, Day: 2}, Minute: 60 * h, Energy: quantity.WattHours(1000 * e), Lagging: quantity.VarHours(1000 * q)})
			u.kwh[0], u.kvarh[0] = u.kwh[0]+e, u.kvarh[0]+q
		}
		for _, rule := range []string{"price: 1 /kvarh, above: 33 % of kWh", "price: 1 /kWh, target: 0.92"} {
			var total [2]decimal.Decimal
			for i, netted := range []string{"bill", "hour"} {
				tar := readTariff(t, "tariff: T\ncurrency: EUR\nfrom: 2031-01-01\ncharges:\n  - {id: r, reactive: {"+rule+", netted: "+netted+"}}\n")
				bills, err := tar.PriceYear(tariff.Months(2031)[:1], []tariff.Use{withRows{u, rows}}, tariff.Options{})
				if err != nil {
					t.Fatal(err)
				}
				total[i] = bills[0].Total
			}
			if total[1].LessThan(total[0].Sub(decimal.New(1, -2))) {
				t.Errorf("%s: by hour %s, by bill %s", rule, total[1], total[0])
			}
		}
	}
}

type withRows struct {
	*slotUse
	rows []tariff.Interval
}

func (w withRows) Course(tariff.SlotSet, int) ([]tariff.Interval, bool) { return w.rows, true }
