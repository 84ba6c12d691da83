package economics

import (
	"math"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/quantity"
)

func d(f float64) decimal.Decimal { return decimal.NewFromFloat(f) }

func uniform(cost, saving float64, years int) Flow {
	return Terms{Study: years}.Flow(Measure{Cost: d(cost), Saving: d(saving), Life: years})
}

// Worked out beforehand from the stated formulas: M-4.1, 4.2, 4.6, 4.7 and 4.10
// of the collected examples, the first two after NIST Handbook 135.
func TestReturnsAndPaybacks(t *testing.T) {
	for _, c := range []struct {
		name         string
		flow         Flow
		rate         quantity.Ratio
		npv          float64
		irr          float64 // %
		dpb          float64
		decimals     int // of the payback
		simple       float64
		simpleDigits int
	}{
		{"10,000 for 2,500 over 6 years at 8 %", uniform(10000, 2500, 6), 0.08, 1557.20, 12.978, 5.0116, 4, 4.0, 1},
		{"10,000 for 2,500 over 6 years at 3 %", uniform(10000, 2500, 6), 0.03, 3542.98, 12.978, 4.3280, 4, 4.0, 1},
		{"10,000 for 2,000 over 10 years at 3 %", uniform(10000, 2000, 10), 0.03, 7060.41, 15.098, 5.5019, 4, 5.0, 1},
		{"5,000 for 1,200 over 8 years", uniform(5000, 1200, 8), 0, 4600, 17.307, 4.17, 2, 4.17, 2},
		{"1,000 for 300 over 5 years", uniform(1000, 300, 5), 0, 500, 15.238, 3.33, 2, 3.33, 2},
		{"100 for 110 a year on", Flow{d(-100), d(110)}, 0.10, 0, 10, 1, 0, 0.91, 2},
	} {
		near(t, c.name+": net present value", c.flow.NPV(c.rate).InexactFloat64(), c.npv, 0.005)
		r, ok := c.flow.Return()
		if !ok {
			t.Errorf("%s: no return", c.name)
		}
		near(t, c.name+": return", float64(r)*100, c.irr, 0.0005)
		near(t, c.name+": present value at the return", c.flow.NPV(r).InexactFloat64(), 0, 1e-6*c.flow[0].Abs().InexactFloat64())
		if p, ok := c.flow.Discount(c.rate).Payback(); !ok {
			t.Errorf("%s: never paid back", c.name)
		} else {
			near(t, c.name+": discounted payback", float64(p), c.dpb, 0.5*math.Pow10(-c.decimals))
		}
		if p, ok := c.flow.Payback(); !ok {
			t.Errorf("%s: never paid back", c.name)
		} else {
			near(t, c.name+": simple payback", float64(p), c.simple, 0.5*math.Pow10(-c.simpleDigits))
		}
	}
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within+1e-12*math.Abs(want)) {
		t.Errorf("%s is %.9g, want %.9g ± %.2g", what, got, want, within)
	}
}

// The closed form of the discounted payback: M-4.1.
func TestDiscountedPaybackInClosedForm(t *testing.T) {
	p, ok := DiscountedPaybackUniform(d(10000), d(2500), 0.08, 0)
	if !ok {
		t.Fatal("never")
	}
	near(t, "closed form", float64(p), 5.0111, 0.00005)
	if p, ok := DiscountedPaybackUniform(d(10000), d(2500), 0.05, 0.05); !ok || p != 4 {
		t.Errorf("growth at the discount rate: %v %v, want 4 years", p, ok)
	}
	if _, ok := DiscountedPaybackUniform(d(10), d(0), 0.05, 0); ok {
		t.Error("no saving pays back")
	}
}

// M-4.8: a saving below the interest on the cost never pays back; nothing comes
// out as no number.
func TestWhatNeverPaysBack(t *testing.T) {
	f := uniform(10000, 250, 20)
	if _, ok := DiscountedPaybackUniform(d(10000), d(250), 0.03, 0); ok {
		t.Error("closed form pays back")
	}
	if _, ok := f.Discount(0.03).Payback(); ok {
		t.Error("pays back")
	}
	r, ok := f.Return()
	if !ok || !(r < 0) {
		t.Errorf("return %v %v, want one below nothing", r, ok)
	}
	for _, f := range []Flow{nil, {d(-10)}, {d(-10), d(0)}, {d(0), d(0)}, {d(5), d(5)}} {
		if r, ok := f.Return(); ok {
			t.Errorf("%v has the return %v", f, r)
		}
	}
	if _, ok := (Flow{d(-1), d(2), d(-3)}).Payback(); ok {
		t.Error("what ends below nothing is paid back")
	}
	if p, ok := (Flow{d(0), d(5)}).Payback(); !ok || p != 0 {
		t.Errorf("what costs nothing is paid back after %v, %v", p, ok)
	}
}

// Cash that changes its sign more than once: -100, +230, -132 is nothing at
// 10 % and at 20 % (1.1 and 1.2 are the roots of 100x² - 230x + 132), and
// -100, +200, -101 at no rate (arithmetic).
func TestSeveralReturnsOrNone(t *testing.T) {
	f := Flow{d(-100), d(230), d(-132)}
	got := f.Returns()
	if len(got) != 2 {
		t.Fatalf("returns %v, want two", got)
	}
	near(t, "lower", float64(got[0]), 0.10, 1e-9)
	near(t, "higher", float64(got[1]), 0.20, 1e-9)
	if _, ok := f.Return(); ok {
		t.Error("one of two is given as the return")
	}
	if got := (Flow{d(-100), d(200), d(-101)}).Returns(); len(got) != 0 {
		t.Errorf("returns %v, want none", got)
	}
	if got := (Flow{d(-100), d(220), d(-121)}).Returns(); len(got) != 1 {
		t.Errorf("returns %v, want the double one at 10 %%", got)
	} else {
		near(t, "double", float64(got[0]), 0.10, 1e-6)
	}
	three := Flow{d(-1000), d(3600), d(-4310), d(1716)} // 10, 20 and 30 %
	if got := three.Returns(); len(got) != 3 {
		t.Errorf("returns %v, want three", got)
	}
}

// Constant money at a real rate and current money at the nominal one give the
// same present value: NIST Handbook 135.
func TestBothMoneysGiveOnePresentValue(t *testing.T) {
	for _, m := range []Measure{
		{Cost: d(8000), Saving: d(1300), Upkeep: d(90), Life: 15},
		{Cost: d(12000), Saving: d(900), Decline: 0.005, Life: 25},
	} {
		constant := Terms{Rate: 0.045, Escalation: 0.012, Inflation: 0.021, Study: 20}
		current := constant
		current.Current, current.Rate = true, Nominal(0.045, 0.021)
		a, b := constant.Flow(m).NPV(constant.Rate), current.Flow(m).NPV(current.Rate)
		near(t, "present value", b.InexactFloat64(), a.InexactFloat64(), 1e-4)
		if len(constant.Flow(m)) != min(m.Life, 20)+1 {
			t.Errorf("%d years counted", len(constant.Flow(m))-1)
		}
	}
}

// The year-by-year sum is what the factors say, and SIR > 1, NPV > 0 and
// AIRR > d go together: M-4.10.
func TestFactorsAgreeWithYears(t *testing.T) {
	for life := 1; life <= 25; life += 3 {
		for _, rate := range []quantity.Ratio{0, 0.03, 0.08} {
			for _, e := range []quantity.Ratio{-0.01, 0, 0.03} {
				for _, g := range []quantity.Ratio{0, 0.006} {
					terms := Terms{Rate: rate, Escalation: e, Study: 40}
					m := Measure{Cost: d(700), Saving: d(100), Decline: g, Life: life}
					f := terms.Flow(m)
					pv := f.NPV(rate).Add(m.Cost)
					near(t, "present value of savings", pv.InexactFloat64(), 100*float64(UPVDeclining(rate, e, g, Years(life))), 1e-6)
					sir := quantity.Ratio(pv.InexactFloat64() / 700)
					airr := AdjustedReturn(rate, sir, Years(life))
					if npv := f.NPV(rate).InexactFloat64(); (npv > 1e-9) != (sir > 1+1e-12) || (npv > 1e-9) != (airr > rate+1e-12) {
						t.Errorf("life %d, rate %v: present value %v, ratio %v, adjusted return %v", life, rate, npv, sir, airr)
					}
				}
			}
		}
	}
}

// The adjusted return by its definition: the savings' value at the end of the
// life, reinvested at the rate, over the present value of the cost (10 CFR
// 436.22), for M-4.2.
func TestAdjustedReturnByTerminalValue(t *testing.T) {
	end := 0.0
	for y := 1; y <= 10; y++ {
		end += 2000 * math.Pow(1.03, float64(10-y))
	}
	near(t, "adjusted return", float64(AdjustedReturn(0.03, UPV(0.03, 10)*2000/10000, 10)), math.Pow(end/10000, 0.1)-1, 1e-12)
	if !math.IsNaN(float64(AdjustedReturn(0.03, -1, 10))) {
		t.Error("a loss has an adjusted return")
	}
}

// A replacement in year k lowers the net present value by its present value
// and nothing else, a residual value raises it by its own; at the end of the
// savings or after it no replacement counts.
func TestReplacementsAndResidualByTheirPresentValue(t *testing.T) {
	for _, current := range []bool{false, true} {
		terms := Terms{Rate: 0.05, Escalation: 0.01, Study: 15}
		if current {
			terms = Terms{Rate: Nominal(0.05, 0.02), Escalation: 0.01, Inflation: 0.02, Current: true, Study: 15}
		}
		_, general := terms.Growth()
		plain := Measure{Cost: d(9000), Saving: d(1100), Upkeep: d(40), Life: 12}
		before := terms.Flow(plain).NPV(terms.Rate)
		for k := 1; k <= 14; k++ {
			with := plain
			with.Replacements = []Payment{{k, d(700)}}
			want := 700 * float64(SPVEscalating(terms.Rate, general, Years(k)))
			if k >= 12 {
				want = 0
			}
			near(t, "a replacement lowers it by", before.Sub(terms.Flow(with).NPV(terms.Rate)).InexactFloat64(), want, 1e-6)
		}
		with := plain
		with.Residual = d(500)
		near(t, "a residual value raises it by", terms.Flow(with).NPV(terms.Rate).Sub(before).InexactFloat64(), 500*float64(SPVEscalating(terms.Rate, general, 12)), 1e-6)
		with.Residual = decimal.Zero
		with.Replacements = nil
		if !terms.Flow(with).NPV(terms.Rate).Equal(before) {
			t.Error("without either it is another")
		}
	}
}

// The ends of the straight line, by arithmetic: all of it when new, a third after
// two thirds of its life, nothing at its end and after.
func TestStraightLine(t *testing.T) {
	for _, c := range []struct{ n, want float64 }{{0, 900}, {10, 600}, {20, 300}, {30, 0}, {31, 0}} {
		near(t, "what is left", StraightLine(d(900), d(30), d(c.n)).InexactFloat64(), c.want, 1e-9)
	}
}
