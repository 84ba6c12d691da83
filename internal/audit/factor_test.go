package audit

import (
	"math"
	"testing"
)

// 10 kW all year at a power factor of 0.80: 87,600 kWh and 65,700 kvarh.
const tenKilowatts = "  - {id: it, name: It, at: DB1-1, use: work, power: 10 kW, pf: 0.80 lag, runs: {calendar: always}}"

// The cost of a low power factor is what the tariff itself charges for it.
func TestCostOfPowerFactor(t *testing.T) {
	const slopes = "charges: [{id: units, energy: 0.10 /kWh}, {id: factor, power-factor: {of: units, slopes: [{below: 0.95, add: 1 % per 0.01}]}}]"
	tan := func(pf float64) float64 { return math.Tan(math.Acos(pf)) }
	for _, c := range []struct {
		name, tariff string
		target, want float64
	}{
		// 15 % of 8,760.00 for 0.80 below 0.95; 5 % are left at 0.90.
		{"surcharge to its end", slopes, 0.95, 0.15 * 8760},
		{"part of the surcharge", slopes, 0.90, 0.10 * 8760},
		{"beyond the surcharge", slopes, 0.99, 0.15 * 8760},
		{"reached", slopes, 0.80, 0},
		{"target below", slopes, 0.75, 0},
		{"no charge for it", "charges: [{id: units, energy: 0.10 /kWh}]", 0.95, 0},
		{"reactive energy", "charges: [{id: units, energy: 0.10 /kWh}, {id: vars, reactive: {price: 0.01 /kvarh}}]", 0.95, 0.01 * 87600 * (0.75 - tan(0.95))},
		{"reactive energy beyond half the active", "charges: [{id: units, energy: 0.10 /kWh}, {id: vars, reactive: {price: 0.01 /kvarh, above: 50 % of kWh}}]", 0.95, 0.01 * 87600 * 0.25},
		{"demand in kVA", "charges: [{id: units, energy: 0.10 /kWh}, {id: demand, demand: {price: 10 /kVA/month, window: 15 min}}]", 0.95, 120 * (12.5 - 10/0.95)},
		{"with tax", slopes[:len(slopes)-1] + ", {id: vat, tax: {rate: 20 %, of: all}}]", 0.95, 1.2 * 0.15 * 8760},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := small{tariff: c.tariff, loads: tenKilowatts}.run(t)
			fall, err := r.LowPowerFactor(c.target)
			if err != nil {
				t.Fatal(err)
			}
			got := fall.Value
			// Twelve bills, each rounded to the cent.
			if math.Abs(got-c.want) > 12*0.01 {
				t.Errorf("%.4f a year, want %.4f", got, c.want)
			}
			if c.want == 0 && got != 0 {
				t.Errorf("%g instead of nothing", got)
			}
		})
	}
}

// Pricing at another power factor leaves the result as it was.
func TestCostOfPowerFactorLeavesNoTrace(t *testing.T) {
	r := small{loads: tenKilowatts, tariff: "charges: [{id: units, energy: 0.10 /kWh}, {id: demand, demand: {price: 10 /kVA/month, window: 15 min}}]"}.run(t)
	a, _ := r.LowPowerFactor(0.95)
	b, _ := r.LowPowerFactor(0.95)
	if a != b || a.Value <= 0 {
		t.Errorf("%v, then %v", a, b)
	}
	if r.Cost.Value != r.costWorking() {
		t.Errorf("the year's cost is %g, its working %g", r.Cost.Value, r.costWorking())
	}
}

// costWorking gives the year's cost by its working.
func (r *Result) costWorking() float64 {
	st, _ := r.Sheet.Get(r.Cost.Step)
	return st.Value
}

// What a use costs is what the bill falls by without it; with a flat price
// that is its share.
func TestCostOfUses(t *testing.T) {
	r := small{loads: "  - {id: a, name: A, at: DB1-1, use: light, power: 1 kW, runs: {calendar: always}}\n  - {id: b, name: B, at: DB1-2, use: heat, power: 3 kW, runs: {calendar: always}}"}.run(t)
	if err := r.ValueUses(); err != nil {
		t.Fatal(err)
	}
	if r.Uses[0].Name != "heat" || r.Uses[1].Name != "light" {
		t.Fatalf("uses are %s, %s", r.Uses[0].Name, r.Uses[1].Name)
	}
	nearly(t, "heat", r.Uses[0].Cost.Value, 0.2*3*8760, 1e-5)
	nearly(t, "light", r.Uses[1].Cost.Value, 0.2*8760, 1e-5)
}
