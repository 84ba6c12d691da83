package economics

import (
	"math"

	"github.com/shopspring/decimal"

	"auditgen/internal/money"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/working"
)

// ratioPlaces is to how many decimals a quotient of amounts is worked out.
const ratioPlaces = 12

func exact(name, text, source string, symbols []string, fn func(x []decimal.Decimal) decimal.Decimal) *working.Formula {
	return working.DefExact(name, text, source, symbols, fn)
}

func over(a, b decimal.Decimal) decimal.Decimal {
	if b.IsZero() {
		return decimal.Zero
	}
	return a.DivRound(b, ratioPlaces)
}

// Formulas of amounts. A divisor of nothing gives nothing: ask before.
var (
	PresentValueF = exact("present value", "PV = A * k", handbook, []string{"A", "k"},
		func(x []decimal.Decimal) decimal.Decimal { return x[0].Mul(x[1]) })
	InvestmentF = exact("investment over the years", "I = C + PV_R - PV_F", say.Key("NIST Handbook 135, 1995, investment-related costs (pages from memory)"), []string{"C", "PV_R", "PV_F"},
		func(x []decimal.Decimal) decimal.Decimal { return x[0].Add(x[1]).Sub(x[2]) })
	NetPresentValueF = exact("net present value", "NPV = PV_S - PV_M - I", say.Key("NIST Handbook 135, 1995, net savings (pages from memory)"), []string{"PV_S", "PV_M", "I"},
		func(x []decimal.Decimal) decimal.Decimal { return x[0].Sub(x[1]).Sub(x[2]) })
	SavingsRatioF = exact("savings-to-investment ratio", "SIR = (PV_S - PV_M) / I", say.Key("NIST Handbook 135, 1995; 10 CFR 436.21 (from memory)"), []string{"PV_S", "PV_M", "I"},
		func(x []decimal.Decimal) decimal.Decimal { return over(x[0].Sub(x[1]), x[2]) })
	SimplePaybackF = exact("simple payback", "t = C / (S - M)", say.Key("NIST Handbook 135, 1995; ASTM E1121 (from memory)"), []string{"C", "S", "M"},
		func(x []decimal.Decimal) decimal.Decimal { return over(x[0], x[1].Sub(x[2])) })
	LifeCycleCostF = exact("life-cycle cost", "LCC = C + PV_R - PV_F + PV_E + PV_M", say.Key("NIST Handbook 135, 1995; 10 CFR 436.19 (from memory)"), []string{"C", "PV_R", "PV_F", "PV_E", "PV_M"},
		func(x []decimal.Decimal) decimal.Decimal { return x[0].Add(x[1]).Sub(x[2]).Add(x[3]).Add(x[4]) })
	RemainingF = exact("bills that remain", "PV_E = PV_B - PV_S", say.Key("arithmetic of present values"), []string{"PV_B", "PV_S"},
		func(x []decimal.Decimal) decimal.Decimal { return x[0].Sub(x[1]) })
	NetSavingsF = exact("net savings", "NS = LCC_0 - LCC_1", say.Key("NIST Handbook 135, 1995; 10 CFR 436.20 (from memory)"), []string{"LCC_0", "LCC_1"},
		func(x []decimal.Decimal) decimal.Decimal { return x[0].Sub(x[1]) })
	StayingF = exact("cost of what is not replaced", "A = C - R", say.Key("a part that was replaced is counted by its last replacement, and no second time within the first cost"), []string{"C", "R"},
		func(x []decimal.Decimal) decimal.Decimal { return decimal.Max(x[0].Sub(x[1]), decimal.Zero) })
	StraightLineF = exact("residual value by the straight line", "F = A * (L - n) / L", say.Key("NIST Handbook 135, 1995, residual values prorated over the life (from memory)"), []string{"A", "L", "n"},
		func(x []decimal.Decimal) decimal.Decimal { return StraightLine(x[0], x[1], x[2]) })
	ConservedF = exact("cost of conserved energy", "c = I * UCR / E", say.Key("cost by the capital recovery factor, common practice"), []string{"I", "UCR", "E"},
		func(x []decimal.Decimal) decimal.Decimal { return over(x[0].Mul(x[1]), x[2]) })
	YearlyCostF = exact("yearly cost with its capital", "A = B + C * (USF + d)", say.Key("total cost method with sinking-fund depreciation, textbook"), []string{"B", "C", "USF", "d"},
		func(x []decimal.Decimal) decimal.Decimal { return x[0].Add(x[1].Mul(x[2].Add(x[3]))) })
)

// SumF adds the parts of a cost.
var SumF = func() *working.Formula {
	f := exact("sum of costs", "C = sum(A)", say.Key("arithmetic of an offer"), []string{"A"}, func(x []decimal.Decimal) decimal.Decimal { return money.Sum(x...) })
	f.Series = true
	return f
}()

// TotalF adds present values.
var TotalF = func() *working.Formula {
	f := exact("sum of present values", "PV = sum(A)", say.Key("arithmetic of present values"), []string{"A"}, func(x []decimal.Decimal) decimal.Decimal { return money.Sum(x...) })
	f.Series = true
	return f
}()

// DiscountedPaybackUniform is when the present value of savings that grow at the
// rate e meets the cost, in closed form, between the ends of years too. It is
// false when that never happens: at d above e, when the cost is above the
// present value of savings without end.
func DiscountedPaybackUniform(cost, saving decimal.Decimal, d, e quantity.Ratio) (Years, bool) {
	if !saving.IsPositive() || cost.IsNegative() {
		return 0, false
	}
	years := over(cost, saving).InexactFloat64()
	q := (1 + float64(e)) / (1 + float64(d))
	if math.Abs(q-1) < 1e-12 {
		return Years(years), true
	}
	left := 1 - years*(1-q)/q
	if left <= 0 {
		return 0, false
	}
	return Years(math.Log(left) / math.Log(q)), true
}

// Terms are the terms on which all measures of a site are valued.
type Terms struct {
	Rate       quantity.Ratio // discount rate, real in constant money, nominal in current
	Escalation quantity.Ratio // of energy prices above inflation
	Inflation  quantity.Ratio // tells in current money only
	Current    bool           // amounts in current money; else in constant money
	Study      int            // years that are looked at; a longer life counts no further
}

// Growth is by how much energy prices, and upkeep, grow each year in the money
// of the terms.
func (t Terms) Growth() (energy, upkeep quantity.Ratio) {
	if t.Current {
		return Nominal(t.Escalation, t.Inflation), t.Inflation
	}
	return t.Escalation, 0
}

// StraightLine is what is left after n years of what cost the amount a and serves
// life years, falling by the same sum each year: nothing from the end of its life
// on.
func StraightLine(a, life, n decimal.Decimal) decimal.Decimal {
	if n.GreaterThanOrEqual(life) {
		return decimal.Zero
	}
	return over(a.Mul(life.Sub(n)), life)
}

// Payment falls at the end of a year.
type Payment struct {
	Year   int
	Amount decimal.Decimal // at prices of the base date
}

// Measure is what a measure costs and saves, at prices of the base date.
type Measure struct {
	Cost         decimal.Decimal
	Saving       decimal.Decimal // a year
	Upkeep       decimal.Decimal // a year
	Decline      quantity.Ratio  // of the saving each year, from the second on
	Life         int             // years
	Replacements []Payment       // those at the end of its savings or later do not count
	Residual     decimal.Decimal // what is left of it when the savings end
}

// Counted is for how many years the savings count.
func (t Terms) Counted(life int) int { return min(life, t.Study) }

// Yields is what a measure saves less its upkeep, year by year; nothing in year 0.
func (t Terms) Yields(m Measure) Flow {
	energy, upkeep := t.Growth()
	f := Flow{decimal.Zero}
	for y := 1; y <= t.Counted(m.Life); y++ {
		grown := math.Pow(1+float64(energy), float64(y)) * math.Pow(1-float64(m.Decline), float64(y-1))
		f = append(f, times(m.Saving, grown).Sub(times(m.Upkeep, compound(upkeep, y))))
	}
	return f
}

// Outlays is what is paid for a measure, year by year: its cost in year 0, and
// its replacements, which grow as upkeep does. All are zero or more.
func (t Terms) Outlays(m Measure) Flow {
	_, general := t.Growth()
	n := t.Counted(m.Life)
	f := make(Flow, n+1)
	f[0] = m.Cost
	for _, r := range m.Replacements {
		if r.Year < n {
			f[r.Year] = f[r.Year].Add(times(r.Amount, compound(general, r.Year)))
		}
	}
	return f
}

// Left is the residual value of a measure in its last year, in the money of that
// year.
func (t Terms) Left(m Measure) Flow {
	_, general := t.Growth()
	n := t.Counted(m.Life)
	f := make(Flow, n+1)
	f[n] = times(m.Residual, compound(general, n))
	return f
}

// Flow is the cash of a measure, year by year, with its residual value in the last.
func (t Terms) Flow(m Measure) Flow {
	yields, outlays, left := t.Yields(m), t.Outlays(m), t.Left(m)
	f := make(Flow, len(yields))
	for y := range f {
		f[y] = yields[y].Sub(outlays[y]).Add(left[y])
	}
	return f
}

func compound(rate quantity.Ratio, years int) float64 {
	return math.Pow(1+float64(rate), float64(years))
}

func times(a decimal.Decimal, k float64) decimal.Decimal {
	return a.Mul(decimal.NewFromFloat(k).Round(factorPlaces))
}
