package tariff_test

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

const mediumPath = "../../testdata/tariffs/medium-supply.yaml"

func medium(t testing.TB) *tariff.Tariff {
	t.Helper()
	data, err := os.ReadFile(mediumPath)
	if err != nil {
		t.Fatal(err)
	}
	return readTariff(t, string(data))
}

func date(t testing.TB, s string) civil.Date {
	t.Helper()
	d, err := civil.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestSlotAt(t *testing.T) {
	tar := medium(t)
	if got := tar.Slots(); !slices.Equal(got, []string{"winter, night", "winter, day", "winter, peak", "summer, night", "summer, day"}) {
		t.Errorf("slots are %q", got)
	}
	for _, c := range []struct{ day, clock, want string }{
		{"2031-01-02", "06:59", "winter, night"}, // Thursday
		{"2031-01-02", "07:00", "winter, day"},
		{"2031-01-02", "08:00", "winter, peak"},
		{"2031-01-02", "11:59", "winter, peak"},
		{"2031-01-02", "12:00", "winter, day"},
		{"2031-01-02", "21:59", "winter, day"},
		{"2031-01-02", "22:00", "winter, night"},
		{"2031-01-01", "09:00", "winter, night"}, // New Year
		{"2031-01-04", "09:00", "winter, night"}, // Saturday
		{"2031-03-31", "09:00", "winter, peak"},  // last day of winter, Monday
		{"2031-04-01", "09:00", "summer, day"},
		{"2031-04-14", "09:00", "summer, night"}, // Easter Monday
		{"2031-08-25", "09:00", "summer, night"}, // last Monday of August
		{"2031-10-31", "09:00", "summer, day"},
		{"2031-11-03", "09:00", "winter, peak"},
		{"2032-02-29", "09:00", "winter, night"}, // Sunday
	} {
		var clock civil.Clock
		if err := clock.UnmarshalText([]byte(c.clock)); err != nil {
			t.Fatal(err)
		}
		if got := tar.Slots()[tar.SlotAt(date(t, c.day), int(clock))]; got != c.want {
			t.Errorf("%s %s is %q, want %q", c.day, c.clock, got, c.want)
		}
	}
}

// TestSlotsCoverTheYear adds the minutes of every slot of a year and compares
// with a plain count of hours by hand-written rules.
func TestSlotsCoverTheYear(t *testing.T) {
	tar := medium(t)
	count := make([]int, len(tar.Slots()))
	for d := date(t, "2031-01-01"); d.Year == 2031; d = d.AddDays(1) {
		for _, s := range tar.DaySlots(d) {
			count[s]++
		}
	}
	total := 0
	for _, n := range count {
		total += n
	}
	if total != 365*1440 {
		t.Errorf("%d minutes in slots, want %d", total, 365*1440)
	}
	weekdays := 0
	for d := date(t, "2031-01-01"); d.Year == 2031; d = d.AddDays(1) {
		winter := d.Month <= 3 || d.Month >= 11
		feast := d.String() == "2031-01-01" || d.String() == "2031-12-25" || d.String() == "2031-12-26"
		if wd := d.Weekday(); winter && !feast && wd != 0 && wd != 6 {
			weekdays++
		}
	}
	if got := count[slices.Index(tar.Slots(), "winter, peak")]; got != weekdays*7*60 {
		t.Errorf("peak has %d minutes, want %d days of 7 h", got, weekdays)
	}
}

func TestWindows(t *testing.T) {
	if got := medium(t).Windows(); !slices.Equal(got, []int{15}) {
		t.Errorf("windows are %v", got)
	}
}

// yearUse gives each month of a year the same energies and its own demand.
func yearUse(tar *tariff.Tariff, kva [12]float64) []tariff.Use {
	uses := make([]tariff.Use, 12)
	for m := range uses {
		u := newSlotUse(len(tar.Slots()))
		occurs := tar.Occurring(tariff.Months(2031)[m])
		for s := range tar.Slots() {
			if occurs.Has(tariff.Slot(s)) {
				u.set(tariff.Slot(s), [5]float64{9000.4, 5200, kva[m] * 0.85, kva[m], kva[m] * 0.52})
			}
		}
		uses[m] = u
	}
	return uses
}

var (
	yearPeaks = [12]float64{60, 58, 55, 50, 45, 40, 88, 71, 55, 52, 57, 30}
	agreed    = tariff.Amount{Value: decimal.New(80, 0), Unit: "kVA"}
)

func TestRatchetOfASteadyYear(t *testing.T) {
	tar := medium(t)
	months := tariff.Months(2031)
	bills, err := tar.PriceYear(months, yearUse(tar, yearPeaks), tariff.Options{Agreed: agreed, Steady: true})
	if err != nil {
		t.Fatal(err)
	}
	for m := range bills {
		want := math.Max(50, yearPeaks[m])
		for other, peak := range yearPeaks {
			if other != m {
				want = math.Max(want, math.Round(peak*7)/10)
			}
		}
		l, ok := bills[m].Line("demand")
		if got := l.Quantity.InexactFloat64(); !ok || got != want {
			t.Errorf("%s: billed %v kVA, want %v; %v", months[m], got, want, l.How)
		}
	}
	l, _ := bills[0].Line("demand")
	if want := "at least 70 % of 88 kVA in 2031-07, taken for the year before, highest of 11 months = 61.6 kVA"; !slices.Contains(l.How, want) {
		t.Errorf("January says %q, not %q", l.How, want)
	}
	if len(bills[0].Notes) != 1 || !strings.Contains(bills[0].Notes[0], "like the same months of this year") {
		t.Errorf("January's notes are %q", bills[0].Notes)
	}
	l, _ = bills[8].Line("demand")
	if want := "at least 70 % of 88 kVA in 2031-07, highest of 11 months = 61.6 kVA"; !slices.Contains(l.How, want) {
		t.Errorf("September says %q, not %q", l.How, want)
	}
}

func TestRatchetWithoutThePast(t *testing.T) {
	tar := medium(t)
	bills, err := tar.PriceYear(tariff.Months(2031), yearUse(tar, yearPeaks), tariff.Options{Agreed: agreed})
	if err != nil {
		t.Fatal(err)
	}
	l, _ := bills[0].Line("demand")
	if !l.Quantity.Equal(decimal.New(60, 0)) || len(bills[0].Notes) != 1 || !strings.Contains(bills[0].Notes[0], "no earlier month is known") {
		t.Errorf("January bills %s with notes %q", l.Quantity, bills[0].Notes)
	}
	if l, _ = bills[11].Line("demand"); !l.Quantity.Equal(decimal.RequireFromString("61.6")) {
		t.Errorf("December bills %s, want 61.6", l.Quantity)
	}
}

// TestMonths counts months by hand: whole ones, and the share of each calendar
// month's days.
func TestMonths(t *testing.T) {
	for _, c := range []struct{ month, from, to, want string }{
		{"calendar", "2031-01-01", "2031-02-01", "1"},
		{"calendar", "2031-01-16", "2031-03-16", "2"},
		{"calendar", "2031-01-31", "2031-02-28", "1"},
		{"calendar", "2031-01-10", "2031-02-20", "1.388249"}, // 22/31 + 19/28
		{"30 days", "2031-01-01", "2031-02-01", "1.033333"},
		{"365/12 days", "2031-01-01", "2031-02-01", "1.019178"},
	} {
		tar := readTariff(t, "tariff: T\ncurrency: EUR\nfrom: 2030-01-01\nbilling-month: "+c.month+"\ncharges:\n  - id: a\n    fixed: 1 /month\n")
		p := tariff.Period{From: date(t, c.from), To: date(t, c.to)}
		bills, err := tar.PriceYear([]tariff.Period{p}, []tariff.Use{newSlotUse(1)}, tariff.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := bills[0].Lines[0].Quantity.String(); got != c.want {
			t.Errorf("%s to %s, %s: %s months, want %s", c.from, c.to, c.month, got, c.want)
		}
	}
}

type badUse struct{ tariff.Use }

func (badUse) Energy(tariff.SlotSet) quantity.WattHours { return quantity.WattHours(math.NaN()) }

func TestPriceYearRefuses(t *testing.T) {
	tar := medium(t)
	months := tariff.Months(2031)
	one := func(u tariff.Use) []tariff.Use { return []tariff.Use{u} }
	use := yearUse(tar, yearPeaks)
	for _, c := range []struct {
		name    string
		periods []tariff.Period
		uses    []tariff.Use
		o       tariff.Options
		want    string
	}{
		{"nothing", nil, nil, tariff.Options{}, "no billing period to price"},
		{"too few uses", months, use[:3], tariff.Options{}, "12 billing periods with 3 records of use"},
		{"empty period", []tariff.Period{{From: months[0].From, To: months[0].From}}, one(use[0]), tariff.Options{}, "billing period 2031-01-01 to 2031-01-01 has no day"},
		{"overlap", []tariff.Period{months[0], months[0]}, use[:2], tariff.Options{}, "billing period 2031-01 overlaps the one before"},
		{"steady and long", []tariff.Period{months[0], tariff.Months(2032)[1]}, use[:2], tariff.Options{Steady: true}, "a steady year cannot hold 2031-01-01 to 2032-03-01"},
		{"no agreed demand", months[:1], use[:1], tariff.Options{}, `tariff.yaml:21:41: charge "capacity" counts the agreed demand, and the site states none; expected agreed-demand under supply: of site.yaml, in kVA`},
		{"agreed in kW", months[:1], use[:1], tariff.Options{Agreed: tariff.Amount{Value: decimal.New(80, 0), Unit: "kW"}}, `counts the agreed demand in kVA, and the site states it in kW`},
		{"not a number", months[:1], one(badUse{use[0]}), tariff.Options{Agreed: agreed}, "2031-01, energy, peak: NaN is not a quantity that can be billed"},
	} {
		bills, err := tar.PriceYear(c.periods, c.uses, c.o)
		if err == nil || bills != nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", c.name, err, c.want)
		}
	}
}

// TestRecord replays a year's bills from a sheet that holds what was metered.
func TestRecord(t *testing.T) {
	tar := medium(t)
	use := yearUse(tar, yearPeaks)
	bills, err := tar.PriceYear(tariff.Months(2031), use, tariff.Options{Agreed: agreed, Steady: true})
	if err != nil {
		t.Fatal(err)
	}
	var sheet working.Sheet
	asked := map[string]bool{}
	tariff.Record(&sheet, "bill", bills, func(p tariff.Period, m tariff.Metered) string {
		if m.What != "demand" {
			return ""
		}
		i := int(p.From.Month) - 1
		id := "year." + p.String() + "." + m.Base() + strings.Repeat("x", int(m.Slots[0]))
		if !asked[id] {
			asked[id] = true
			sheet.Put(working.Step{ID: id, Label: "demand", Kind: working.Assumed, Value: use[i].Demand(m.Slots, m.Unit, m.Window), Unit: m.Base(), Reason: "test"})
		}
		return id
	})
	if err := sheet.Replay(); err != nil {
		t.Fatal(err)
	}
	for i := range bills {
		total, ok := sheet.Get(bills[i].TotalStep("bill"))
		if !ok || !total.Exact.Equal(bills[i].Total) {
			t.Errorf("total of %s is not on the sheet", bills[i].Period)
		}
		for _, l := range bills[i].Lines {
			q, p, a := bills[i].Steps("bill", l)
			for id, want := range map[string]decimal.Decimal{q: l.Quantity, p: l.Price, a: l.Amount} {
				if st, ok := sheet.Get(id); !ok || !st.Exact.Equal(want) {
					t.Errorf("%s: step %s is not %s", l.Key(), id, want)
				}
			}
			if l.Typed != "" && !l.At.IsSet() {
				t.Errorf("%s has a typed price and no place", l.Key())
			}
		}
	}
	if len(asked) == 0 {
		t.Error("no demand was asked for")
	}
}

func TestWarnings(t *testing.T) {
	const head = "tariff: T\ncurrency: EUR\nsource: sheet\ntax-note: none\nfrom: 2031-01-01\nperiods: {day: {hours: 07:00-22:00}, night: otherwise}\ncharges:\n"
	for _, c := range []struct{ name, file, want string }{
		{"nothing", head + "  - id: a\n    energy: 0.15 /kWh\n", ""},
		{"no tax, no source", "tariff: T\ncurrency: EUR\nfrom: 2031-01-01\ncharges:\n  - id: a\n    energy: 0.15 /kWh\n",
			"tariff.yaml:1:9: the tariff does not say where its prices stand; expected source: document, edition and page\n" +
				"tariff.yaml:1:9: no charge is a tax; expected a charge with tax:, or tax-note: why there is none\n"},
		{"cents", head + "  - id: a\n    energy: 15.23 /kWh\n",
			"tariff.yaml:9:13: 15.23 EUR a kWh is far above what energy costs; expected a price in whole currency, not in its hundredths\n"},
		{"slipped point", strings.Replace(head, "EUR", "KES", 1) + "  - id: a\n    energy: {period: day, price: 20.18 /kWh}\n  - id: b\n    energy: {period: night, price: 0.124 /kWh}\n",
			"tariff.yaml:9:34: price \"20.18 /kWh\" is 163 times that on line 11; expected prices of the same order; a decimal point may have slipped\n"},
		{"slipped point in a version", strings.Replace(head, "EUR\n", "KES\nversions: [{from: 2031-07-01, prices: {a: 0.2118 /kWh}}]\n", 1) + "  - id: a\n    energy: 20.18 /kWh\n",
			"tariff.yaml:10:13: price \"20.18 /kWh\" is 95 times that on line 3; expected prices of the same order; a decimal point may have slipped\n"},
		{"slipped point in a month", strings.Replace(head, "EUR", "KES", 1) + "  - id: a\n    energy: {prices: {2031-01: 8.30 /kWh, 2031-02: 0.085 /kWh}}\n",
			"tariff.yaml:9:32: price \"8.30 /kWh\" is 98 times that on line 9; expected prices of the same order; a decimal point may have slipped\n"},
		{"rider beside a price", strings.Replace(head, "EUR", "KES", 1) + "  - id: a\n    energy: 20.18 /kWh\n  - id: b\n    energy: 0.03 /kWh\n", ""},
		{"free night", head + "  - id: a\n    energy: {period: day, price: 0.15 /kWh}\n",
			"tariff.yaml:1:9: no charge counts the energy of \"night\"; expected an energy charge for it, with a price of 0 if it is free\n"},
	} {
		var got strings.Builder
		for _, w := range readTariff(t, c.file).Warnings() {
			got.WriteString(w.String() + "\n")
		}
		if got.String() != c.want {
			t.Errorf("%s: got\n%swant\n%s", c.name, got.String(), c.want)
		}
	}
	if w := medium(t).Warnings(); len(w) > 0 {
		t.Errorf("the medium supply has warnings: %v", w)
	}
}

func TestDescribe(t *testing.T) {
	tar := medium(t)
	var got strings.Builder
	for _, p := range tar.DescribePeriods(nil) {
		got.WriteString(p.Name + ": " + strings.Join(p.Text, "; ") + "\n")
	}
	for _, d := range tar.Describe(nil) {
		got.WriteString(d.Label + " (" + string(d.Kind) + "): " + strings.Join(d.Text, "; "))
		for _, p := range d.Prices {
			got.WriteString(" [" + p.Text + " " + p.At.String() + "]")
		}
		got.WriteString("\n")
	}
	const want = `peak: winter, Mon-Fri, 08:00-12:00 and 17:00-20:00, not on holidays
day: winter, Mon-Fri, 07:00-08:00 and 12:00-17:00 and 20:00-22:00, not on holidays; summer, Mon-Fri, 07:00-22:00, not on holidays
night: all other hours
Standing charge (fixed): fixed [1.92 /day tariff.yaml:18:12]
Agreed capacity (fixed): fixed on the agreed demand [1.45 /kVA/month tariff.yaml:21:20]
Energy, winter peak (energy): active energy in peak [0.2314 /kWh tariff.yaml:24:35]
Energy, day (energy): active energy in day [0.1523 /kWh tariff.yaml:27:34]
Energy, night (energy): active energy in night [0.0987 /kWh tariff.yaml:30:36]
Demand (demand): highest 15 min mean in kVA in peak and day; at least 50 kVA; at least 70 % of highest of 11 months [7.80 /kVA tariff.yaml:34:14]
Demand beyond the agreed (demand): highest 15 min mean in kVA; only what exceeds the agreed demand [7.80 /kVA tariff.yaml:40:21]
Reactive energy (reactive): reactive energy in peak and day above 50 % of kWh [0.0097 /kvarh tariff.yaml:43:23]
Power factor (power-factor): average power factor, on Energy, winter peak + Energy, day + Demand; below 0.90 down to 0.80: 0.5 % per 0.01 added; below 0.80: 1 % per 0.01 added; above 0.95 up to 0.98: 0.25 % per 0.01 taken off [0.5 % per 0.01 tariff.yaml:49:45] [1 % per 0.01 tariff.yaml:50:30] [0.25 % per 0.01 tariff.yaml:51:44]
Energy levy (percent): 4.5 % of Energy, winter peak + Energy, day + Energy, night [4.5 % tariff.yaml:54:21]
Minimum bill (minimum): all lines are at least 400 /month [400 /month tariff.yaml:57:14]
Value added tax (tax): 21 % of all lines [21 % tariff.yaml:60:17]
`
	if got.String() != want {
		t.Errorf("got:\n%s", got.String())
	}
}

// TestPositions gives a line that cites a price the place of that price.
func TestPositions(t *testing.T) {
	tar := medium(t)
	bills, err := tar.PriceYear(tariff.Months(2031)[:1], yearUse(tar, yearPeaks)[:1], tariff.Options{Agreed: agreed})
	if err != nil {
		t.Fatal(err)
	}
	for key, line := range map[string]int{"standing": 18, "capacity": 21, "day-units": 27, "demand": 34, "vat": 60, "least": 57} {
		if l, ok := bills[0].Line(key); !ok || l.At.Line != line {
			t.Errorf("%s stands on line %d, want %d", key, l.At.Line, line)
		}
	}
}

func TestReadOfNothing(t *testing.T) {
	var faults diag.List
	if tariff.Read(nil, &faults) != nil || faults.Len() != 0 {
		t.Error("a file that could not be read is no fault of the tariff")
	}
	if tariff.Read(source.YAML("t.yaml", []byte("- a\n"), &faults), &faults) != nil || faults.Len() == 0 {
		t.Error("a list is not a tariff")
	}
}
