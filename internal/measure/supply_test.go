package measure

import (
	"math"
	"strings"
	"testing"
)

// noted gives the notes of a plan's first measure, joined.
func noted(p *Plan) string {
	var parts []string
	for _, n := range p.Measures[0].Notes {
		if n.Warning {
			parts = append(parts, "MIND "+n.Text)
			continue
		}
		parts = append(parts, n.Text)
	}
	return strings.Join(parts, "\n")
}

func says(t *testing.T, p *Plan, words ...string) {
	t.Helper()
	for _, w := range words {
		if !strings.Contains(noted(p), w) {
			t.Errorf("the notes do not say %q:\n%s", w, noted(p))
		}
	}
}

const kvaTariff = "charges: [{id: units, energy: 0.20 /kWh}, {id: demand, demand: {price: 5.00 /kVA/month, window: 15 min}}]"

// A load of 100 kW at 0.75 is brought to 0.95: M-6.14 asks for 55.323 kvar, which
// the usual steps reach with 60; the apparent demand falls from 133.333 to
// 105.263 kVA, and the energy does not, but for the bank's own loss.
func TestBankHoldsItsTarget(t *testing.T) {
	h := hall{loads: "  - {id: works, name: Works, at: DB1-1, use: work, power: 100 kW, pf: 0.75 lag, runs: {calendar: always}}", tariff: kvaTariff,
		supply: ", transformer: {rating: 250 kVA, impedance: 4 %}", measures: of("{capacitors: {target: \"0.95\", loss: 0 %}}")}
	p, r := h.plan(t)
	need, _ := r.Sheet.Get("measures.m1.need")
	near(t, "need", need.Value, 55323, 0.5)
	m := p.Measures[0]
	near(t, "saving", m.Alone.Cost.Value, 12*5*(100/0.75-100/0.95), 0.07)
	near(t, "energy", m.Alone.Energy.Value, 0, 1e-6)
	says(t, p, "A bank of 60 kvar", "voltage rises by 1.0 %", "MIND No harmonic orders were read")
	h.measures = of("{capacitors: {target: \"0.95\", size: 20 kvar}}")
	p, _ = h.plan(t)
	says(t, p, "MIND The bank is smaller than the 55 kvar")
	q := 100*math.Tan(math.Acos(0.75)) - 20
	// Its loss of 10 W is paid for, and asked for at the peak.
	near(t, "saving of a small bank", p.Measures[0].Alone.Cost.Value, 12*5*(100/0.75-math.Hypot(100.01, q))-0.01*8760*0.20, 0.1)
}

const fifth = `  - {id: R1, at: incomer, wiring: 3P4W, total: {power: 1 kW}, phases: {A: {voltage: 230 V, current: 10 A, power: 2 kW}}, harmonics: {current: {phase: A, thd: 20 % of fundamental, orders: {5: 18 %, 7: 8 %}}}}`

// Resonance next to an order that is read: 6.25 MVA over 250 kvar is order 5.0.
func TestResonanceIsWarnedOf(t *testing.T) {
	h := hall{loads: "  - {id: works, name: Works, at: DB1-1, use: work, power: 100 kW, pf: 0.75 lag, runs: {calendar: always}}", readings: fifth,
		supply: ", transformer: {rating: 250 kVA, impedance: 4 %}", measures: of("{capacitors: {size: 250 kvar}}")}
	p, _ := h.plan(t)
	says(t, p, "MIND With 250 kvar on, the bank resonates with the network at order 5.0, next to the 5", "reactors of 7 %", "MIND Fixed capacitors of this size leave the site leading for about 8760 hours")
	h.measures = of("{capacitors: {size: 50 kvar, reactor: 7 %}}")
	p, _ = h.plan(t)
	says(t, p, "tune it to 189 Hz", "stand 430 V", "At no hour of a mean day")
	h.measures = of("{capacitors: {size: 50 kvar, reactor: 2 %}}")
	p, _ = h.plan(t)
	says(t, p, "MIND Reactors of 2 % tune the bank to 354 Hz, above the order 5")
	h.measures = of("{capacitors: {size: 30 kvar}}")
	p, _ = h.plan(t)
	says(t, p, "No combination of steps resonates within half an order of 5, 7; all together do at 14.4")
}

// Three circuits on one phase of a board become one on each.
func TestCircuitsAreSpread(t *testing.T) {
	read := func(id, at, phase string) string {
		return "  - {id: " + id + ", at: " + at + ", wiring: 1P2W, phases: {" + phase + ": {voltage: 230 V, current: 10 A, power: 2 kW, pf: 0.9 lag}}}\n"
	}
	load := func(id, at, reading string) string {
		return "  - {id: " + id + ", name: " + strings.ToUpper(id) + ", at: " + at + ", use: work, reading: " + reading + ", runs: {calendar: day}}\n"
	}
	h := hall{readings: read("R1", "DB1-1", "A") + read("R2", "DB1-2", "A") + read("R3", "DB1-3", "A"), loads: load("a", "DB1-1", "R1") + load("b", "DB1-2", "R2") + load("c", "DB1-3", "R3"), measures: of("{phases: DB1}")}
	p, r := h.plan(t)
	says(t, p, "from A to", "differ from their mean by 0 % at the most, instead of 200 %")
	if now, _ := r.Sheet.Get("measures.m1.now.A"); math.Abs(now.Value-6000) > 1e-6 {
		t.Errorf("phase A carries %v W now", now.Value)
	}
	h.readings, h.loads = read("R1", "DB1-1", "A"), load("a", "DB1-1", "R1")
	p, _ = h.plan(t)
	says(t, p, "MIND Fewer than two")
}

// All of the table's yield reaches the hours, in every month and at high
// latitudes too; with a flat price all that is taken less is saved.
func TestYieldIsConserved(t *testing.T) {
	const yield = "yield: {Jan: 31 kWh, Feb: 28 kWh, Mar: 31 kWh, Apr: 30 kWh, May: 31 kWh, Jun: 30 kWh, Jul: 31 kWh, Aug: 31 kWh, Sep: 30 kWh, Oct: 31 kWh, Nov: 30 kWh, Dec: 31 kWh}"
	for _, place := range []string{"53.35 ° N 6.26 ° W", "69.65 ° N 18.96 ° E", "0.00 ° N 0.00 ° E"} {
		p, _ := hall{loads: "  - {id: base, name: Base, at: DB1-1, use: work, power: 20 kW, runs: {calendar: always}}", measures: of("{photovoltaics: {" + yield + ", position: " + place + "}}")}.plan(t)
		near(t, place, p.Together.Energy.Value, 365, 0.05)
		near(t, place+": money", p.Together.Cost.Value, 73, 0.08)
	}
}

// What the transformer's losses become: M-6.23's loading by another way, a site at
// a steady 60 kVA of 100: P0 and 0.36 of Pk.
func TestTransformerLosses(t *testing.T) {
	h := hall{loads: "  - {id: base, name: Base, at: DB1-1, use: work, power: 58 kW, pf: 1.00, runs: {calendar: always}}\n  - {id: loss, name: Losses, at: incomer, use: losses, power: 2 kW, pf: 1.00, runs: {calendar: always}}",
		measures: of("{transformer: {load: loss, rating: 100 kVA, no-load: 200 W, load-loss: 1.5 kW}}")}
	p, _ := h.plan(t)
	near(t, "energy", p.Together.Energy.Value, (2-0.2-0.36*1.5)*8760, 1)
}

// The order of doing waits for what must come before, and takes the sooner payback
// else.
func TestOrderOfDoing(t *testing.T) {
	const text = `measures:
  - {id: slow, name: Slow, cost: 9000 EUR, basis: x, life: 15 years, changes: [{efficiency: {load: pump, from: 80 %, to: 90 %}}]}
  - {id: first, name: First, cost: 5000 EUR, basis: x, life: 15 years, changes: [{duty: {load: pump, to: 45 %}}]}
  - {id: after, name: After, cost: 1 EUR, basis: x, life: 15 years, after: [first], changes: [{standby: {load: lamp, to: 50 W}}]}
  - {id: free, name: Free, cost: 0 EUR, life: 2 years, changes: [{standby: {load: lamp, to: 90 W}}]}
  - {id: worse, name: Worse, cost: 10 EUR, basis: x, life: 2 years, changes: [{duty: {load: pump, to: 60 %}}]}
`
	p, _ := hall{loads: twoLoads, measures: text}.plan(t)
	var got []string
	for _, i := range p.Order {
		got = append(got, p.Measures[i].ID.Value)
	}
	if want := "free first after slow worse"; strings.Join(got, " ") != want {
		t.Errorf("order %v, want %s", got, want)
	}
	if w := p.Measures[4].Worth; w.Payback.Step != "" || w.Return.Known() || w.Adjusted.Known() || !(w.NPV.Value < 0) {
		t.Errorf("what costs more each year has %+v", w)
	}
}

// The worth of a measure by the factors of NIST Handbook 135: M-4.2's terms, a
// saving of 2,000 kWh at 1.00. Twelve bills are rounded to the cent each: the saving
// is known to 0.06 and what follows from it in proportion.
func TestWorthByTheHandbook(t *testing.T) {
	h := hall{loads: "  - {id: base, name: Base, at: DB1-1, use: work, power: 1 kW, runs: {calendar: always}}", tariff: "charges: [{id: units, energy: 1.00 /kWh}]",
		measures: "economics: {rate: 3 %}\nmeasures:\n  - {id: a, name: A, cost: 10000 EUR, basis: x, life: 10 years, changes: [{replace: {load: base, power: 0.771689498 kW}}]}\n"}
	p, r := h.plan(t)
	m := p.Measures[0]
	near(t, "saving", m.Alone.Cost.Value, 2000, 0.06)
	near(t, "net present value", m.Worth.NPV.Value, 7060.41, 0.52)
	near(t, "ratio", m.Worth.Ratio.V, 1.70604, 6e-5)
	near(t, "adjusted return", m.Worth.Adjusted.V*100, 8.6516, 5e-4)
	near(t, "return", m.Worth.Return.V*100, 15.098, 1e-3)
	near(t, "payback", m.Worth.Payback.Value, 5.0, 2e-4)
	near(t, "discounted payback", m.Worth.Discounted.Value, 5.5019, 3e-4)
	near(t, "plan", p.Worth.NPV.Value, m.Worth.NPV.Value, 0.01)
	if _, ok := r.Sheet.Get("measures.a.npv"); !ok {
		t.Error("the net present value has no working")
	}
}
