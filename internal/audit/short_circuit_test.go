package audit

import "testing"

// By hand: 25 kVA at 2 % is 1.25 MVA behind 240 V on one phase: 1.25e6/240 =
// 5,208.3 A. On three phases 250 kVA at 4 % is 6.25 MVA behind 400 V:
// 6.25e6/(√3·400) = 9,021.1 A. Over 100 A the ratios are 52.083 and 90.211.
func TestShortCircuitRatioByKindOfSupply(t *testing.T) {
	for supply, want := range map[string]float64{
		"{system: 1P3W, voltage: 240 V, frequency: 60 Hz, limits: north-america, transformer: {rating: 25 kVA, impedance: 2 %}, maximum-demand-current: 100 A}": 52.0833,
		"{system: 3P4W, voltage: 400 V, frequency: 50 Hz, limits: europe, transformer: {rating: 250 kVA, impedance: 4 %}, maximum-demand-current: 100 A}":       90.2110,
	} {
		r := small{supply: supply}.run(t)
		nearly(t, supply, r.ShortCircuitRatio().V, want, 1e-5)
		r.ShortCircuitRatio() // asked twice, it stands on the sheet once
		if err := r.Sheet.Replay(); err != nil {
			t.Error(err)
		}
	}
}

// What low power factor costs has a working of its own, with its own value.
func TestCostOfLowPowerFactorHasItsOwnStep(t *testing.T) {
	r := small{
		tariff: "charges: [{id: units, energy: 0.20 /kWh}, {id: pf, power-factor: {of: units, slopes: [{below: 0.95, add: 1 % per 0.01}]}}]",
		loads:  "  - {id: base, name: Base load, at: DB1-1, use: other, power: 500 kW, pf: 0.80 lag, runs: {calendar: always}}",
	}.run(t)
	cost, err := r.LowPowerFactor(0.95)
	if err != nil {
		t.Fatal(err)
	}
	st, ok := r.Sheet.Get(cost.Step)
	if !ok || st.Value != cost.Value || cost.Step == r.Cost.Step || cost.Value <= 0 {
		t.Errorf("cost %+v, step %+v", cost, st)
	}
	// 15 points below 0.95 at 1 % each of 500 kW · 8,760 h · 0.20.
	nearly(t, "cost", cost.Value, 0.15*500*8760*0.20, 1e-9)
	if err := r.Sheet.Replay(); err != nil {
		t.Error(err)
	}
}
