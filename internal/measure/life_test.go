package measure

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/audit"
	"auditgen/internal/economics"
	"auditgen/internal/quantity"
)

// The choice between two air-conditioning systems of NIST Handbook 135, 1995,
// chapter 5 (inputs from memory), through the whole program: a site of 150,000 kWh
// at 0.20 a kWh, of which one leaves 100,000 and the other 65,000. The handbook
// prints 516,233 and 432,443 by factors rounded to three and four digits; with
// factors in full they are what stands here (arithmetic), and as far from the
// printed ones as the rounding of the factors allows.
func TestHandbook135ThroughTheProgram(t *testing.T) {
	const rate, growth, years = 0.03, 0.0017637, 20 // so that UPV* is 15.13
	p, r := hall{
		loads: fmt.Sprintf("  - {id: air, name: Air conditioning, at: DB1-1, use: air, power: %.9f kW, runs: {calendar: always}}", 150000/8760.0),
		measures: fmt.Sprintf(`economics: {rate: 3 %%, escalation: %.5f %%, study: 20 years}
measures:
  - id: conventional
    name: Conventional
    changes: [{replace: {load: air, power: %.9f kW}}]
    cost: 103000 EUR
    basis: the handbook
    replacements: [{part: fan, after: 12 years, cost: 12000 EUR}]
    residual: 3500 EUR
    upkeep: 7000 EUR
    life: 20 years
  - id: saving
    name: Energy-saving
    changes: [{replace: {load: air, power: %.9f kW}}]
    cost: 110000 EUR
    basis: the handbook
    replacements: [{part: fan, after: 12 years, cost: 12500 EUR}]
    residual: 3700 EUR
    upkeep: 8000 EUR
    life: 20 years
`, growth*100, 100000/8760.0, 65000/8760.0)}.plan(t)
	near(t, "UPV*", float64(economics.UPVEscalating(rate, growth, years)), 15.13, 0.00005)
	near(t, "the year's bill", r.Cost.Value, 30000, 0.06)
	for i, c := range []struct{ first, fan, left, energy, upkeep, printed float64 }{
		{103000, 12000, 3500, 20000, 7000, 516233}, {110000, 12500, 3700, 13000, 8000, 432443},
	} {
		spv := func(n float64) float64 { return math.Pow(1.03, -n) }
		upv := (1 - spv(20)) / 0.03
		want := c.first + c.fan*spv(12) - c.left*spv(20) + c.energy*15.13 + c.upkeep*upv
		got := p.Measures[i].LifeCycle
		near(t, p.Measures[i].ID.Value, got.Total.V, want, 3)
		near(t, p.Measures[i].ID.Value+", as printed", got.Total.V, c.printed, 3+c.fan*0.0005+c.left*0.0005+c.energy*0.005+c.upkeep*0.005)
		near(t, "replacements", got.Replacements.V, c.fan*spv(12), 1e-6)
		near(t, "residual value", got.Residual.V, c.left*spv(20), 1e-6)
		near(t, "upkeep", got.Upkeep.V, c.upkeep*upv, 1e-6)
	}
	near(t, "net savings of the one over the other, as printed", p.Measures[0].LifeCycle.Total.V-p.Measures[1].LifeCycle.Total.V, 83790, 3+7000*0.005+1000*0.005+500*0.0005+200*0.0005)
}

// renewed is a measure with what is given beside its cost of 900 EUR.
func renewed(life, more string, study int) string {
	return fmt.Sprintf("economics: {rate: 5 %%, study: %d years}\nmeasures:\n  - {id: m1, name: Measure, cost: 900 EUR, basis: made for a test, life: %s, changes: [{duty: {load: pump, to: 30 %%}}]%s}\n", study, life, more)
}

func one(t *testing.T, measures string) (*Plan, *audit.Result) {
	t.Helper()
	return hall{loads: twoLoads, measures: measures}.plan(t)
}

// Each line is worth what the factors say (arithmetic): a replacement lowers the
// net present value by its present value, what is left raises it by its own, and
// both leave the saving as it is.
func TestReplacementsAndResidualByHand(t *testing.T) {
	plain, _ := one(t, renewed("15 years", "", 15))
	spv := func(n float64) float64 { return math.Pow(1.05, -n) }
	for _, c := range []struct {
		name, life, more      string
		study                 int
		replacement, residual float64 // present values
	}{
		{"none within the years", "30 years", ", replacements: [{part: fan, after: 16 years, cost: 100 EUR}]", 15, 0, 0},
		{"once", "15 years", ", replacements: [{part: fan, after: 8 years, cost: 100 EUR}]", 15, 100 * spv(8), 0},
		{"again and again, the last not at the end", "15 years", ", replacements: [{part: fan, every: 5 years, cost: 100 EUR}]", 15, 100 * (spv(5) + spv(10)), 0},
		{"first later", "15 years", ", replacements: [{part: fan, after: 2 years, every: 6 years, cost: 100 EUR}]", 15, 100 * (spv(2) + spv(8) + spv(14)), 0},
		{"two parts", "15 years", ", replacements: [{part: fan, after: 8 years, cost: 100 EUR}, {part: belt, every: 7 years, cost: 5..10..15 EUR}]", 15, 100*spv(8) + 10*(spv(7)+spv(14)), 0},
		{"of the price list", "15 years", ", replacements: [{part: lamp, after: 8 years, items: [{price: lamp, quantity: 3 pieces}]}]", 15, 136 * spv(8), 0},
		{"an amount left", "15 years", ", residual: 200 EUR", 15, 0, 200 * spv(15)},
		{"a cost of taking it away", "15 years", ", residual: -200 EUR", 15, 0, -200 * spv(15)},
		{"the straight line at the end of its life", "15 years", ", residual: straight line", 15, 0, 0},
		{"the straight line half way", "30 years", ", residual: straight line", 15, 0, 450 * spv(15)},
		// The part has served 7 of 8 years; without it 800 of the first cost stand, half worn.
		{"both", "30 years", ", replacements: [{part: fan, every: 8 years, cost: 100 EUR}], residual: straight line", 15, 100 * spv(8), (400 + 100.0/8) * spv(15)},
		// The last part, of year 12, dies with its measure in year 18: 3 of 6 years are left.
		{"a part dies with its measure", "18 years", ", replacements: [{part: fan, every: 12 years, cost: 100 EUR}], residual: straight line", 15, 100 * spv(12), (800*3.0/18 + 50) * spv(15)},
	} {
		p, _ := one(t, renewed(c.life, c.more, c.study))
		m := p.Measures[0]
		near(t, c.name+": replacements", m.LifeCycle.Replacements.V, c.replacement, 1e-6)
		near(t, c.name+": residual value", m.LifeCycle.Residual.V, c.residual, 1e-6)
		near(t, c.name+": net present value", m.Worth.NPV.Value, plain.Measures[0].Worth.NPV.Value-c.replacement+c.residual, 1e-6)
		near(t, c.name+": of the whole plan", p.Worth.NPV.Value, m.Worth.NPV.Value, 1e-6)
		near(t, c.name+": by the years' cash", p.Cash[len(p.Cash)-1].Discounted.InexactFloat64(), p.Worth.NPV.Value, 1e-4)
		// The ratio is of what is saved to all that is paid, less what is left.
		pv := m.LifeCycle.Before.V - m.LifeCycle.Bills.V
		near(t, c.name+": savings-to-investment ratio", m.Worth.Ratio.V, pv/(900+c.replacement-c.residual), 1e-9)
		near(t, c.name+": and of the plan", p.Worth.Ratio.V, m.Worth.Ratio.V, 1e-9)
		if (m.Worth.NPV.Value > 0) != (m.Worth.Ratio.V > 1) || (m.Worth.NPV.Value > 0) != (m.Worth.Adjusted.V > 0.05) {
			t.Errorf("%s: net present value %v, ratio %v, adjusted return %v disagree", c.name, m.Worth.NPV.Value, m.Worth.Ratio.V, m.Worth.Adjusted.V)
		}
		if m.Alone.Exact.Cmp(plain.Measures[0].Alone.Exact) != 0 {
			t.Errorf("%s: the saving is %s", c.name, m.Alone.Exact)
		}
	}
}

// The difference of life-cycle costs is the net present value, to far below a cent:
// alone, on top of what a measure must follow, and for all together; in both
// moneys, with lives below and above the years looked at.
func TestNetSavingsAreTheNetPresentValue(t *testing.T) {
	const measures = `economics: {rate: %s, study: 12 years, escalation: 1 %%%s}
measures:
  - {id: a, name: A, cost: 800..900..1200 EUR, basis: b, life: 5 years, changes: [{duty: {load: pump, to: 30 %%}}], residual: 20..30..60 EUR, replacements: [{part: belt, every: 2 years, cost: 20..30..35 EUR}]}
  - {id: b, name: B, cost: 400 EUR, basis: b, life: 20 years, decline: 2 %%, upkeep: 15 EUR, changes: [{lighting: {load: lamp, from: 80 W, to: 20 W}}], residual: straight line, replacements: [{part: driver, after: 7 years, cost: 60 EUR}]}
  - {id: c, name: C, cost: 0 EUR, life: 12 years, after: [a], changes: [{duty: {load: pump, to: 25 %%}}]}
`
	for _, terms := range [][2]string{{"5 %", ""}, {"7.1 %", ", money: current, inflation: 2 %"}} {
		p, r := one(t, fmt.Sprintf(measures, terms[0], terms[1]))
		exact := func(id string) decimal.Decimal {
			s, ok := r.Sheet.Get(id)
			if !ok || s.Exact == nil {
				t.Fatalf("no step %s", id)
			}
			return *s.Exact
		}
		tiny := decimal.New(1, -9)
		same := func(what, a, b string) {
			if d := exact(a).Sub(exact(b)); d.Abs().GreaterThan(tiny) {
				t.Errorf("%s: %s and %s differ by %s", what, a, b, d)
			}
		}
		for _, m := range p.Measures {
			id := "measures." + m.ID.Value + "."
			same(m.ID.Value, id+"lcc-saved", id+"npv")
			near(t, m.ID.Value+": shown", m.LifeCycle.Before.V-m.LifeCycle.Total.V, m.Worth.NPV.Value, 1e-6)
			if m.LifeCycle.Saved.Low != m.Worth.NPV.Low || m.LifeCycle.Saved.High != m.Worth.NPV.High {
				t.Errorf("%s: %+v, but %+v", m.ID.Value, m.LifeCycle.Saved, m.Worth.NPV)
			}
		}
		same("all together", "measures.together.lcc-saved", "measures.together.npv")
		near(t, "all together, shown", p.Today.V-p.LifeCycle.Total.V, p.Worth.NPV.Value, 1e-6)
		near(t, "all together, by the years' cash", p.Cash[12].Discounted.InexactFloat64(), p.Worth.NPV.Value, 1e-3)
		growth := 0.01
		if p.Terms.Current {
			growth = 1.01*1.02 - 1
		}
		near(t, "going on as today", p.Today.V, r.Cost.Value*float64(economics.UPVEscalating(p.Terms.Rate, quantity.Ratio(growth), 12)), 1e-6)
		near(t, "without C", p.Measures[2].LifeCycle.Before.V, p.Today.V-p.Measures[0].Alone.Exact.InexactFloat64()*p.Today.V/r.Cost.Value, 1e-6)
		if p.Cash[2].Spent.IsZero() || p.Cash[7].Spent.IsZero() || !p.Cash[3].Spent.IsZero() || p.Cash[5].Left.IsZero() || p.Cash[12].Left.IsZero() || !p.Cash[4].Left.IsZero() {
			t.Errorf("cash %+v", p.Cash)
		}
	}
}

// What is to be paid back takes in a replacement that falls before it is, and none
// that falls after (arithmetic).
func TestPaybackWithReplacements(t *testing.T) {
	saving := 0.2 * 10 * hours * 0.20 // a year
	for _, c := range []struct {
		name, more string
		paid       float64
	}{
		{"after it", ", replacements: [{part: fan, after: 8 years, cost: 100 EUR}]", 5000},
		{"before it", ", replacements: [{part: fan, every: 3 years, cost: 100 EUR}]", 5100},
		{"so dear that it is not paid back any more", ", replacements: [{part: fan, after: 8 years, cost: 9000 EUR}]", 14000},
	} {
		p, _ := one(t, strings.Replace(renewed("15 years", c.more, 15), "cost: 900 EUR", "cost: 5000 EUR", 1))
		near(t, c.name, p.Measures[0].Worth.Payback.Value, c.paid/saving, 1e-3)
	}
	// 5,000 paid back in 3.4 years counts the fan of year 3.
	near(t, "saving a year", saving, 1460, 1e-9)
}

// The doubt of a replacement and of what is left widens the interval as the root of
// the sum of squares (JCGM 100:2008, 5.1.2); by the straight line a dearer measure
// is also worth more at the end.
func TestDoubtOfReplacementAndResidual(t *testing.T) {
	half := func(more string) float64 {
		p, _ := one(t, renewed("30 years", more, 15))
		near(t, "of the plan and of the measure", p.Worth.NPV.Value, p.Measures[0].Worth.NPV.Value, 1e-6)
		return p.Measures[0].Worth.NPV.Half()
	}
	spv := func(n float64) float64 { return math.Pow(1.05, -n) }
	none := half("")
	deviation := 60 / math.Sqrt(6) / 2 // of a symmetrical triangle 60 wide, a/√6 with a = 30
	near(t, "replacement", half(", replacements: [{part: fan, every: 6 years, cost: 70..100..130 EUR}]"), math.Hypot(none, ninety*deviation*(spv(6)+spv(12))), 1e-6)
	near(t, "residual value", half(", residual: 70..100..130 EUR"), math.Hypot(none, ninety*deviation*spv(15)), 1e-6)
	near(t, "both by the straight line", half(", residual: straight line, replacements: [{part: fan, every: 6 years, cost: 70..100..130 EUR}]"),
		math.Hypot(none, ninety*deviation*(spv(6)+spv(12)+spv(15)*(0.5-0.5))), 1e-6)
}
