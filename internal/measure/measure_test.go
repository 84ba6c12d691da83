package measure

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/shopspring/decimal"

	"auditgen/internal/audit"
	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/site"
)

// hall is a small site for measures: a flat tariff, so that hand-worked figures
// hold, unless another is given.
type hall struct {
	tariff, loads, readings, supply, measures string
}

const hallSite = `
client: Test hall
year: 2031
time-zone: UTC
supply: {system: 3P4W, voltage: 400 V, frequency: 50 Hz, limits: europe%s}
points:
  incomer: {name: Incomer}
  DB1: {name: Board 1, from: incomer}
calendars:
  day: {hours: {Mon-Sun: 08:00-18:00}, holidays: open, doubt: 100 %% ± 0 %%}
  dusk: {hours: {Mon-Sun: 18:00-22:00}, holidays: open, doubt: 100 %% ± 0 %%}
  night: {hours: {Mon-Sun: 22:00-06:00}, holidays: open, doubt: 100 %% ± 0 %%}
emission-factor: {factor: 0.25 kg/kWh, source: made for a test}
tariff: flat
doubt: {typical: 100 %% ± 0 %%, duty: 100 %% ± 0 %%, hours: 100 %% ± 0 %%}
`

const hallProvider = `
name = "Test"
[[instrument]]
id = "m"
name = "meter"
power-accuracy = "0 % + 0 digits"
phase-error = "0 °"
[[price]]
id = "lamp"
name = "lamp"
each = "10..12..15 EUR"
unit = "pieces"
fixed = "100 EUR"
source = "made for a test"
`

func (h hall) record(t testing.TB) (*site.Record, error) {
	t.Helper()
	tariff := h.tariff
	if tariff == "" {
		tariff = "charges: [{id: units, energy: 0.20 /kWh}]"
	}
	readings := h.readings
	if readings == "" {
		readings = "  - {id: R1, at: incomer, wiring: 3P4W, total: {power: 1 kW}}"
	}
	files := fstest.MapFS{
		"provider.toml":                     {Data: []byte(hallProvider)},
		"tariffs/flat.yaml":                 {Data: []byte("tariff: Flat\nsupplier: Test\ncurrency: EUR\nsource: made for a test\nfrom: 2031-01-01\n" + tariff + "\n")},
		"tariffs/dear.yaml":                 {Data: []byte("tariff: Dear\nsupplier: Test\ncurrency: EUR\nsource: made for a test\nfrom: 2031-01-01\ncharges: [{id: units, energy: 0.40 /kWh}]\n")},
		"tariffs/later.yaml":                {Data: []byte("tariff: Later\nsupplier: Test\ncurrency: EUR\nsource: made for a test\nfrom: 2031-01-01\ncharges: [{id: units, energy: 0.23 /kWh}]\n")},
		"tariffs/hourly.yaml":               {Data: []byte("tariff: Hourly\nsupplier: Test\ncurrency: EUR\nsource: made for a test\nfrom: 2031-01-01\n" + strings.ReplaceAll(demandTariff, "15 min", "60 min") + "\n")},
		"sites/hall/site.yaml":              {Data: fmt.Appendf(nil, hallSite, h.supply)},
		"sites/hall/visits/2031-03-03.yaml": {Data: []byte("visit: 2031-03-03\nby: T\nwith: m\nreadings:\n" + readings + "\nloads:\n" + h.loads + "\n")},
		"sites/hall/measures.yaml":          {Data: []byte(h.measures)},
	}
	var faults diag.List
	rec := site.Read(site.Folder{FS: files, Dir: "sites/hall"}, civil.Date{}, &faults)
	return rec, faults.Err()
}

func (h hall) result(t testing.TB) *audit.Result {
	t.Helper()
	rec, err := h.record(t)
	if err != nil {
		t.Fatal(err)
	}
	r, err := audit.Run(rec)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func (h hall) plan(t testing.TB) (*Plan, *audit.Result) {
	t.Helper()
	r := h.result(t)
	p, err := Of(r)
	if err != nil {
		t.Fatal(err)
	}
	if err := r.Sheet.Replay(); err != nil {
		t.Fatal(err)
	}
	return p, r
}

// of makes a file of measures of changes, each costing 100 EUR and living ten years.
func of(changes ...string) string {
	var b strings.Builder
	b.WriteString("economics: {rate: 5 %, study: 20 years}\nmeasures:\n")
	for i, c := range changes {
		fmt.Fprintf(&b, "  - {id: m%d, name: Measure %d, cost: 100 EUR, basis: made for a test, life: 10 years, changes: [%s]}\n", i+1, i+1, c)
	}
	return b.String()
}

const twoLoads = `  - {id: pump, name: Pump, at: DB1-1, use: water, power: 10 kW, runs: {calendar: day, duty: 50 %}}
  - {id: lamp, name: Lamp, at: DB1-2, use: light, power: 2 kW, standby: 100 W, runs: {calendar: day}}`

const hours = 3650.0 // of "day"

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.9g, want %.9g", what, got, want)
	}
}

// What a change of each kind saves, by hand: kWh a year. At 0.20 a kWh it saves a
// fifth of that, to the rounding of twelve bills.
func TestEachKindByHand(t *testing.T) {
	var changes []string
	var want []float64
	for _, c := range []struct {
		change string
		kwh    float64
	}{
		{"{replace: {load: pump, power: 6 kW}}", 4 * 0.5 * hours},
		{"{replace: {load: lamp, count: 2}}", -(2*hours + 0.1*(8760-hours))},
		{"{replace: {load: lamp, calendar: dusk}}", 2*(hours-1460) - 0.1*(hours-1460)},
		{"{add: {id: new, name: New, at: DB1-3, use: heat, power: 1 kW, runs: {calendar: dusk}}}", -1460},
		{"{efficiency: {load: pump, from: 80 %, to: 90 %}}", 5 * hours * (1 - 80.0/90)},
		{"{speed: {load: pump, speed: 80 %, exponent: \"3\", drive: 100 %}}", 5 * hours * (1 - 0.512)},
		{"{speed: {load: pump, speed: 80 %, static-head: 50 %, drive: 96 %}}", 5 * hours * (1 - 0.8*(0.5+0.5*0.64)/0.96)},
		{"{set-point: {load: pump, by: 2 K, each: 3 %}}", 5 * hours * 0.0591},
		{"{leaks: {load: pump, from: 30 %, to: 10 %}}", 5 * hours * 0.2},
		{"{lighting: {load: lamp, from: 80 W, to: 20 W}}", 2 * hours * 0.75},
		{"{standby: {load: lamp, to: 40 W}}", 0.06 * (8760 - hours)},
		{"{duty: {load: pump, to: 30 %}}", 10 * hours * 0.2},
		{"{hours: {load: lamp, calendar: dusk}}", (2 - 0.1) * (hours - 1460)},
		{"{agreed-demand: 90 kVA}", 0},
		{"{remove: lamp}", 2*hours + 0.1*(8760-hours)},
	} {
		changes = append(changes, c.change)
		want = append(want, c.kwh)
	}
	p, _ := hall{loads: twoLoads, measures: of(changes...)}.plan(t)
	for i, m := range p.Measures {
		kwh := want[i]
		near(t, changes[i]+": energy", m.Alone.Energy.Value, kwh, 1e-6*math.Abs(kwh)+1e-9)
		near(t, changes[i]+": money", m.Alone.Exact.InexactFloat64(), 0.20*kwh, 0.06)
		near(t, changes[i]+": emission", m.Alone.Emission.Value, 0.25*kwh, 1e-6*math.Abs(kwh)+1e-9)
	}
}

// A measure that changes nothing saves exactly nothing, whatever its kind.
func TestNoChangeSavesNothing(t *testing.T) {
	changes := []string{
		"{replace: {load: pump, power: 10 kW, pf: 0.95 lag}}", "{efficiency: {load: pump, from: 88 %, to: 88 %}}",
		"{speed: {load: pump, speed: 100 %, drive: 100 %}}", "{set-point: {load: pump, by: 2 K, each: 0 %}}",
		"{leaks: {load: pump, from: 20 %, to: 20 %}}", "{lighting: {load: lamp, from: 50 W, to: 50 W}}",
		"{standby: {load: lamp, to: 100 W}}", "{duty: {load: pump, to: 50 %}}", "{hours: {load: pump, calendar: day}}",
		"{shift: {load: pump, calendar: day}}", "{agreed-demand: 100 kVA}", "{phases: DB1}", "{harmonics: {load: pump, to: 10 %}}",
	}
	p, _ := hall{loads: twoLoads, supply: ", agreed-demand: 100 kVA", tariff: demandTariff, measures: of(changes...)}.plan(t)
	for i, m := range p.Measures {
		if !m.Alone.Exact.IsZero() || m.Alone.Energy.Value != 0 || !m.Step.Exact.IsZero() {
			t.Errorf("%s saves %s and %v kWh", changes[i], m.Alone.Exact, m.Alone.Energy.Value)
		}
	}
	if !p.Together.Exact.IsZero() {
		t.Errorf("together they save %s", p.Together.Exact)
	}
}

const demandTariff = "charges: [{id: units, energy: 0.20 /kWh}, {id: demand, demand: {price: 5.00 /kW/month, window: 15 min}}, {id: capacity, fixed: {price: 1.00 /kVA/month, of: agreed}}]"

// The whole is the sum of the steps, to the cent, and what is left is the bill;
// two measures of one load are not counted twice: 20 % then 15 % of 50,000 kWh
// leave 34,000 (M-6.29 of the collected examples).
func TestTheWholeIsTheSumOfTheSteps(t *testing.T) {
	h := hall{loads: "  - {id: fan, name: Fan, at: DB1-1, use: air, power: 5.70776256 kW, runs: {calendar: always}}",
		measures: of("{leaks: {load: fan, from: 20 %, to: 0 %}}", "{leaks: {load: fan, from: 15 %, to: 0 %}}")}
	p, _ := h.plan(t)
	near(t, "20 %", p.Measures[0].Alone.Energy.Value, 10000, 0.01)
	near(t, "15 % alone", p.Measures[1].Alone.Energy.Value, 7500, 0.01)
	near(t, "15 % of what is left", p.Measures[1].Step.Energy.Value, 6000, 0.01)
	near(t, "together", p.Together.Energy.Value, 16000, 0.01)

	all := []string{"{shift: {load: pump, calendar: always}}", "{standby: {load: lamp, to: 10 W}}", "{lighting: {load: lamp, from: 80 W, to: 30 W}}",
		"{agreed-demand: 60 kVA}", "{speed: {load: pump, speed: 80 %}}", "{capacitors: {size: 2 kvar}}"}
	p, r := hall{loads: twoLoads, supply: ", agreed-demand: 100 kVA", tariff: demandTariff, measures: of(all...)}.plan(t)
	sum := decimal.Zero
	for _, m := range p.Measures {
		sum = sum.Add(m.Step.Exact)
	}
	if !sum.Equal(p.Together.Exact) || !p.Before.Sub(p.Together.Exact).Equal(p.After) {
		t.Errorf("steps %s, together %s, before %s, after %s", sum, p.Together.Exact, p.Before, p.After)
	}
	bills := decimal.Zero
	for _, b := range r.Bills {
		bills = bills.Add(b.Total)
	}
	if !bills.Equal(p.Before) {
		t.Errorf("bills %s, before %s", bills, p.Before)
	}
}

// Doubling a price doubles what saving energy saves.
func TestDoubledPriceDoublesTheSaving(t *testing.T) {
	at := func(price string) float64 {
		p, _ := hall{loads: twoLoads, tariff: "charges: [{id: units, energy: " + price + " /kWh}]", measures: of("{duty: {load: pump, to: 30 %}}")}.plan(t)
		return p.Together.Cost.Value
	}
	near(t, "at twice the price", at("0.40"), 2*at("0.20"), 0.13)
	p, _ := hall{loads: twoLoads, measures: of("{tariff: dear}")}.plan(t)
	if !p.Before.Mul(decimal.NewFromInt(2)).Sub(p.After).Abs().LessThan(decimal.New(7, -2)) {
		t.Errorf("at twice the price the bill is %s, before %s", p.After, p.Before)
	}
}

// No measure on a load saves more than the load takes.
func TestSavingNeverExceedsTheUse(t *testing.T) {
	changes := []string{
		"{leaks: {load: pump, from: 80 %, to: 0 %}}", "{speed: {load: pump, speed: 10 %, exponent: \"3\", drive: 100 %}}", "{duty: {load: pump, to: 0 %}}",
		"{replace: {load: pump, power: 0 W}}", "{efficiency: {load: pump, from: 5 %, to: 100 %}}", "{set-point: {load: pump, by: 30 K, each: 10 %}}",
	}
	all, _ := hall{loads: twoLoads, measures: of(changes...)}.plan(t)
	for i, m := range all.Measures {
		if kwh := m.Alone.Energy.Value; kwh > 5*hours+1e-9 || kwh <= 0 {
			t.Errorf("%s saves %v kWh of %v", changes[i], kwh, 5*hours)
		}
	}
	if all.Together.Energy.Value > 5*hours+1e-9 {
		t.Errorf("together %v kWh of %v", all.Together.Energy.Value, 5*hours)
	}
	// Cooling of 500 W cannot save the tenth of 20 kW of light.
	h := hall{loads: `  - {id: lamp, name: Lamp, at: DB1-2, use: light, power: 20 kW, runs: {calendar: day}}
  - {id: cold, name: Cooling, at: DB1-3, use: cold, power: 500 W, runs: {calendar: day}}`,
		measures: of("{lighting: {load: lamp, from: 80 W, to: 8 W, heat: {load: cold, share: 60 %, hours: 50 %, cop: \"3.0\"}}}")}
	p, _ := h.plan(t)
	near(t, "light and all of the cooling", p.Together.Energy.Value, (18+0.5)*hours, 1e-6)
	if n := p.Measures[0].Notes; len(n) != 1 || !n[0].Warning {
		t.Errorf("notes %v", n)
	}
}

// M-6.1: 120 fittings of 88 W become 36 W over 3,600 h: 22,464 kWh, and with
// cooling 23,587.2.
func TestLightingWithInteraction(t *testing.T) {
	loads := fmt.Sprintf(`  - {id: lamp, name: Lamp, at: DB1-2, use: light, power: 88 W, runs: {calendar: day, duty: %.10f %%, count: 120}}
  - {id: cold, name: Cooling, at: DB1-3, use: cold, power: 3 kW, runs: {calendar: day, duty: 40 %%}}`, 360000/hours)
	p, _ := hall{loads: loads, measures: of("{lighting: {load: lamp, from: 88 W, to: 36 W}}", "{lighting: {load: lamp, from: 88 W, to: 36 W, heat: {load: cold, share: 60 %, hours: 25 %, cop: \"3.0\"}}}")}.plan(t)
	near(t, "light alone", p.Measures[0].Alone.Energy.Value, 22464, 0.5)
	near(t, "with cooling", p.Measures[1].Alone.Energy.Value, 23587.2, 0.05)
}

// The same energy at other hours: none is saved, and what was paid at 0.20 is paid
// at 0.08 (M-6.16 of the collected examples pays 3,000 for 30,000 kWh by 0.10).
func TestShiftPricesTheHours(t *testing.T) {
	h := hall{loads: "  - {id: charger, name: Charger, at: DB1-1, use: transport, power: 40 kW, runs: {calendar: dusk, duty: 51.3698630137 %}}",
		tariff:   "periods: {dear: {days: Mon-Sun, hours: 08:00-22:00}, cheap: otherwise}\ncharges: [{id: dear, energy: {period: dear, price: 0.18 /kWh}}, {id: cheap, energy: {period: cheap, price: 0.08 /kWh}}]",
		measures: "calendars: {late: {hours: {Mon-Sun: 22:00-06:00}, holidays: open, doubt: 100 % ± 0 %}}\n" + of("{shift: {load: charger, calendar: late}}")}
	p, _ := h.plan(t)
	m := p.Measures[0]
	near(t, "energy", m.Alone.Energy.Value, 0, 1e-6)
	near(t, "money", m.Alone.Cost.Value, 3000, 1) // the year's last night ends in the next
	near(t, "demand", m.Alone.Peak.Value, 0, 1e-9)
}

// Hours too few for the work are refused with their place.
func TestShiftIntoTooFewHours(t *testing.T) {
	_, err := Of(hall{loads: twoLoads, measures: of("{shift: {load: lamp, calendar: dusk}}")}.result(t))
	if err == nil || !strings.Contains(err.Error(), "measures.yaml:3:") || !strings.Contains(err.Error(), "too few") {
		t.Errorf("error %v", err)
	}
}

// M-6.8 of the collected examples, by the affinity laws: 30 kW for 4,000 h, of
// which 1,000 at full speed, 2,000 at 80 % and 1,000 at 60 %, by a drive of 96 %:
// 50,000 kWh of 120,000 saved with the cube, 44,258.7 with an exponent of 2.5.
func TestFanByItsSpeeds(t *testing.T) {
	load := fmt.Sprintf("  - {id: fan, name: Fan, at: DB1-1, use: air, power: 30 kW, runs: {calendar: always, duty: %.10f %%}}", 400000/8760.0)
	speeds := "speeds: {100 %: 25 %, 80 %: 50 %, 60 %: 25 %}, drive: 96 %"
	p, r := hall{loads: load, measures: of("{speed: {load: fan, "+speeds+", exponent: \"3\"}}", "{speed: {load: fan, "+speeds+"}}")}.plan(t)
	near(t, "the year as it is", r.Energy.Value, 120000, 0.01)
	near(t, "with the cube", p.Measures[0].Alone.Energy.Value, 50000, 0.01)
	near(t, "with an exponent of 2.5", p.Measures[1].Alone.Energy.Value, 44258.7, 0.05)
}

// A motor whose loading was found by its speed saves like any other: a fan that
// takes 7.5 kW * 28/45 / 0.88 at full speed, by the cube at 80 %.
func TestFanWhoseSpeedWasRead(t *testing.T) {
	load := "  - {id: fan, name: Fan, at: DB1-1, use: air, nameplate: {rated: 7.5 kW, efficiency: 88 %, speed: {read: 1472 rpm, plate: 1455 rpm, poles: 4}}, runs: {calendar: always}}"
	p, r := hall{loads: load, measures: of("{speed: {load: fan, speeds: {80 %: 100 %}, drive: 100 %, exponent: \"3\"}}")}.plan(t)
	full := 7.5 * 28 / 45 / 0.88 * 8760
	near(t, "the year as it is", r.Energy.Value, full, 0.01)
	near(t, "saved", p.Measures[0].Alone.Energy.Value, full*(1-0.512), 0.01)
}

// M-6.22 and M-6.30 of the collected examples: 25 devices of 6 W used 2,500 h,
// 40 of 3 W used 3,000 h, switched off in all other hours: 939.0 and 691.2 kWh.
func TestStandbySwitchedOff(t *testing.T) {
	for _, c := range []struct{ n, watts, used, kwh float64 }{{25, 6, 2500, 939.0}, {40, 3, 3000, 691.2}} {
		// They idle in the hours of the state that rests: the rest of the year.
		load := fmt.Sprintf("  - {id: it, name: Devices, at: DB1-1, use: office, states: {used: {power: 50 W, duty: %.10f %%}, idle: {power: %.0f W, duty: %.10f %%}}, runs: {calendar: always, count: %.0f}}", c.used/87.60, c.watts, 100-c.used/87.60, c.n)
		p, _ := hall{loads: load, measures: of("{duty: {load: it, state: idle, to: 0 %}}")}.plan(t)
		near(t, "standby", p.Measures[0].Alone.Energy.Value, c.kwh, 0.01)
	}
}

// Two loads that never run together, half of the time each, take the power of one
// where both took the power of two; the energy is the same. A delay at which the
// hours are too few, and a bond that no hours can hold, are refused.
func TestStaggering(t *testing.T) {
	loads := `  - {id: oven, name: Oven, at: DB1-1, use: heat, power: 20 kW, runs: {calendar: day, duty: 50 %, cycle: 2 h}}
  - {id: kiln, name: Kiln, at: DB1-2, use: heat, power: 20 kW, runs: {calendar: day, duty: 50 %, cycle: 2 h}}`
	p, _ := hall{loads: loads, tariff: demandTariff, supply: ", agreed-demand: 100 kVA", measures: of("{stagger: {load: kiln, never-with: oven}}", "{stagger: {load: kiln, delay: 2 h}}")}.plan(t)
	apart, late := p.Measures[0].Alone, p.Measures[1].Alone
	near(t, "energy", apart.Energy.Value, 0, 1e-6)
	near(t, "demand", apart.Peak.Value, 20, 0.01)
	near(t, "money", apart.Exact.InexactFloat64(), 12*20*5.00, 0.7)
	near(t, "energy when late", late.Energy.Value, 0, 1e-6)
	for change, says := range map[string]string{
		"{stagger: {load: kiln, delay: 6 h}}":                                       "too few for the work",
		"{stagger: {load: oven, never-with: kiln}}, {duty: {load: kiln, to: 60 %}}": "add up to 110 %",
	} {
		_, err := Of(hall{loads: loads, measures: of(change)}.result(t))
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: error %v", change, err)
		}
	}
}

// M-2.8 of the collected examples (a published lecture case): 90,000 kWh a month at
// 0.10, half of it light, of which a quarter goes: 11,250 kWh and 1,125 a month,
// 13,500 a year, an eighth of the whole.
func TestLecturesLight(t *testing.T) {
	each := 45000 * 12 / 8760.0
	loads := fmt.Sprintf(`  - {id: lamp, name: Lamps, at: DB1-1, use: light, power: %.9f kW, runs: {calendar: always}}
  - {id: rest, name: The rest, at: DB1-2, use: other, power: %.9f kW, runs: {calendar: always}}`, each, each)
	p, r := hall{loads: loads, tariff: "charges: [{id: units, energy: 0.10 /kWh}]", measures: of("{lighting: {load: lamp, from: 100 W, to: 75 W}}")}.plan(t)
	saved := p.Measures[0].Alone
	near(t, "energy", saved.Energy.Value, 12*11250, 0.01)
	near(t, "money", saved.Cost.Value, 13500, 0.06)
	near(t, "share", saved.Energy.Value/r.Energy.Value, 0.125, 1e-9)
}

// A tariff that measures demand over another window saves no demand by that.
func TestAnotherWindowSavesNoDemand(t *testing.T) {
	slow := "  - {id: oven, name: Oven, at: DB1-1, use: heat, power: 20 kW, runs: {calendar: day, duty: 50 %, cycle: 20 min}}"
	p, _ := hall{loads: slow, tariff: demandTariff, supply: ", agreed-demand: 100 kVA", measures: of("{tariff: hourly}")}.plan(t)
	saved := p.Measures[0].Alone
	if saved.Peak.Value != 0 || saved.Peak.Half() != 0 || saved.Energy.Value != 0 || saved.Energy.Half() != 0 {
		t.Errorf("saved %v kW and %v kWh", saved.Peak, saved.Energy)
	}
	if saved.Exact.IsZero() {
		t.Error("the price of another window changes nothing")
	}
}

// M-3.12 of the collected examples: 5.0 kW for 3,000 h at 0.20 cost 3,000.00, later
// 4.2 kW for 3,200 h at 0.23 cost 3,091.20. Taken one after the other, the power
// takes 480.00 off, the hours put 168.00 on and the price 403.20: a machine can
// improve and its cost rise all the same. At the later hours 2,560 kWh are avoided.
func TestCostRisesThoughTheMachineImproved(t *testing.T) {
	h := hall{
		loads: fmt.Sprintf("  - {id: pump, name: Pump, at: DB1-1, use: water, power: 5 kW, runs: {calendar: always, duty: %.10f %%}}", 300000/8760.0),
		measures: of("{replace: {load: pump, power: 4.2 kW}}", fmt.Sprintf("{duty: {load: pump, to: %.10f %%}}", 320000/8760.0),
			"{tariff: later}"),
	}
	p, _ := h.plan(t)
	for i, want := range []float64{480, -168, -403.20} {
		near(t, p.Measures[i].Name.Value, p.Measures[i].Step.Exact.InexactFloat64(), want, 0.07)
	}
	near(t, "before", p.Before.InexactFloat64(), 3000, 0.07)
	near(t, "after", p.After.InexactFloat64(), 3091.20, 0.07)
	h.loads = strings.Replace(h.loads, fmt.Sprintf("%.10f", 300000/8760.0), fmt.Sprintf("%.10f", 320000/8760.0), 1)
	p, _ = h.plan(t)
	near(t, "avoided at the later hours", p.Measures[0].Alone.Energy.Value, 2560, 0.01)
}
