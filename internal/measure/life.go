package measure

import (
	"fmt"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"auditgen/internal/audit"
	"auditgen/internal/economics"
	"auditgen/internal/money"
	"auditgen/internal/working"
)

// LifeCycle is what the years looked at cost with a measure, in present value,
// after NIST Handbook 135: what is paid for it, less what is left of it, the bills
// that remain and its upkeep. Bills count over all the years, those after the
// measure's life as without it.
type LifeCycle struct {
	Replacements, Residual, Bills, Upkeep audit.Value
	Total                                 audit.Value
	Before                                audit.Value    // the same years without it, what it must follow being done
	Saved                                 audit.Interval // Before less Total, with the doubt of the net present value, which it is
}

// Replaced is a part that is replaced while its measure's saving counts.
type Replaced struct {
	Part  string
	Years []int
	Cost  money.Range // each time, at prices of the base date
	Step  string      // of Cost
}

// Left is what is left of a measure when its saving ends, at prices of the base
// date. It has no step where nothing was typed.
type Left struct {
	Amount   decimal.Decimal
	Straight bool
	Step     string
}

const (
	todayPrefix = "measures.today."
	noParts     = "measures.no-replacements"
	noResidual  = "measures.no-residual"
)

// today records what going on as today costs: all bills of the years looked at.
func (e *evaluation) today() {
	lang := e.result.Record.Words
	s, t := e.result.Sheet, e.plan.Terms
	study := working.Record(s, working.Step{ID: economicsPrefix + "study", Label: lang.S("years looked at"), Kind: working.Assumed, Unit: "years", Typed: e.file.Economics.Study.Text, Pos: e.file.Economics.Pos, Reason: lang.S("the years over which measures are compared")}, economics.Years(t.Study))
	factor := economics.UPVEscalatingF.Apply(s, todayPrefix+"factor", lang.S("present value of the yearly bill, by the bill"), "", e.num("economics.rate"), e.num("economics.growth"), study)
	lcc := s.ApplyExact(economics.PresentValueF, todayPrefix+"lcc", lang.S("life-cycle cost of going on as today: all bills of the years looked at"), e.result.Currency, e.result.Cost.Step, factor.Step)
	e.plan.Today = e.amount(lcc, todayPrefix+"lcc")
	e.put(noParts, lang.S("replacements, where none are stated"), "", lang.S("none are stated"), e.file.Pos, decimal.Zero)
	e.put(noResidual, lang.S("residual value, where none is stated"), "", lang.S("none is stated"), e.file.Pos, decimal.Zero)
}

func (e *evaluation) amount(d decimal.Decimal, step string) audit.Value {
	return audit.Value{V: d.InexactFloat64(), Unit: e.result.Currency, Step: step, Kind: working.Derived}
}

// before gives the step of the life-cycle cost of going on without a measure: as
// today, or with those done that it must follow.
func (e *evaluation) before(m *Measure, id string) string {
	if len(m.After) == 0 {
		return e.plan.Today.Step
	}
	lang := e.result.Record.Words
	s := e.result.Sheet
	bill := s.PutExact(working.Step{ID: id + "before", Label: lang.F("year’s bill with all that %s must follow", m.Name.Value), Kind: working.Modelled, Unit: e.result.Currency, From: []string{e.result.Cost.Step},
		Reason: lang.S("the year priced again with those measures done")}, e.exactOf(e.result.Cost.Step).Sub(m.ahead))
	s.ApplyExact(economics.PresentValueF, id+"before-lcc", lang.F("life-cycle cost without %s, what it must follow being done", m.Name.Value), e.result.Currency, bill, todayPrefix+"factor")
	return id + "before-lcc"
}

// lifeCycle records the life-cycle cost with a measure, or with all, from the steps
// under its prefix: cost and present values of saving and upkeep, of replacements
// and residual value where it has any. The name says of what.
func (e *evaluation) lifeCycle(id, name, before string, npv audit.Interval) LifeCycle {
	lang := e.result.Record.Words
	s, money := e.result.Sheet, e.result.Currency
	replaced, left := e.either(id+"pv-replacements", noParts), e.either(id+"pv-residual", noResidual)
	bills := s.ApplyExact(economics.RemainingF, id+"pv-bills", lang.F("present value of the bills that remain with %s", name), money, before, id+"pv-saving")
	total := s.ApplyExact(economics.LifeCycleCostF, id+"lcc", lang.F("life-cycle cost with %s", name), money, id+"cost", replaced, left, id+"pv-bills", id+"pv-upkeep")
	s.ApplyExact(economics.NetSavingsF, id+"lcc-saved", lang.F("life-cycle cost saved by %s", name), money, before, id+"lcc")
	saved := npv
	saved.Step = id + "lcc-saved"
	return LifeCycle{
		Replacements: e.amount(e.exactOf(replaced), replaced), Residual: e.amount(e.exactOf(left), left), Bills: e.amount(bills, id+"pv-bills"), Upkeep: e.amount(e.exactOf(id+"pv-upkeep"), id+"pv-upkeep"),
		Total: e.amount(total, id+"lcc"), Before: e.amount(e.exactOf(before), before), Saved: saved,
	}
}

// either is a step where it was recorded, else another.
func (e *evaluation) either(id, other string) string {
	if _, ok := e.result.Sheet.Get(id); ok {
		return id
	}
	return other
}

// invested records what is paid for a measure over its years less what is left of
// it, and gives the step of the sum: that of its cost where nothing else is stated.
func (e *evaluation) invested(m *Measure, id string, counted working.Num[economics.Years]) string {
	s, lang := e.result.Sheet, e.result.Record.Words
	// What a unit of each range adds to the present value, for its doubt.
	weights := make([]float64, len(m.Replacements))
	e.replacements(m, id, weights)
	whole := 1 - e.residual(m, id, counted, weights)
	m.investedHalf = math.Hypot(m.investedHalf, ninety*whole*costDeviation(m.Cost))
	for i, r := range m.Replaced {
		m.investedHalf = math.Hypot(m.investedHalf, ninety*weights[i]*costDeviation(r.Cost))
	}
	if len(m.Replaced) == 0 && m.Left.Step == "" {
		return m.CostStep
	}
	s.ApplyExact(economics.InvestmentF, id+"investment", lang.F("paid for %s over the years, less what is left of it", m.Name.Value), e.result.Currency, m.CostStep, e.either(id+"pv-replacements", noParts), e.either(id+"pv-residual", noResidual))
	return id + "investment"
}

// replacements records the parts that are replaced, each time with its present
// value, and adds what a unit of each part's cost is worth to the weights.
func (e *evaluation) replacements(m *Measure, id string, weights []float64) {
	s, lang := e.result.Sheet, e.result.Record.Words
	var values []string
	for i, r := range m.Replacements {
		part := fmt.Sprintf("%sreplacement.%d", id, i+1)
		cost, lines, _ := e.result.Record.Provider.CostOfPart(r)
		out := Replaced{Part: r.Part.Value, Years: r.Years(m.Counted), Cost: cost}
		basis := r.Basis.Value
		if basis == "" {
			basis = m.basis(lang)
		}
		out.Step = e.costSteps(part, lang.F("replacement of the part %s", r.Part.Value), basis, r.Cost, r.Items, lines)
		typed := r.Every.Text
		if r.After.IsSet() {
			typed = r.After.Text
		}
		for _, y := range out.Years {
			at := fmt.Sprintf("%s.year-%02d", part, y)
			year := working.Record(s, working.Step{ID: at, Label: lang.F("year in which the part %s is replaced", r.Part.Value), Kind: working.Assumed, Unit: "years", Typed: typed, Pos: r.Pos, Reason: lang.S("stated for this measure")}, economics.Years(y))
			factor := economics.SPVEscalatingF.Apply(s, at+".factor", lang.F("present value of an amount in year %d, by the amount", y), "", e.num("economics.rate"), e.num("economics.upkeep-growth"), year)
			s.ApplyExact(economics.PresentValueF, at+".pv", lang.F("present value of the part %s replaced in year %d", r.Part.Value, y), e.result.Currency, out.Step, factor.Step)
			values = append(values, at+".pv")
			weights[i] += float64(factor.V)
		}
		m.Replaced = append(m.Replaced, out)
	}
	if len(values) > 0 {
		s.ApplyExact(economics.TotalF, id+"pv-replacements", lang.S("present value of the replacements"), e.result.Currency, values...)
	}
}

// residual records what is left of a measure when its saving ends, and gives the
// present value of that by a unit of its first cost; it takes what is left by a
// unit of each part's cost off the weights, and puts the doubt of a typed amount
// into the measure's half-width.
func (e *evaluation) residual(m *Measure, id string, counted working.Num[economics.Years], weights []float64) float64 {
	if !m.Residual.IsSet() {
		return 0
	}
	s, lang := e.result.Sheet, e.result.Record.Words
	r := m.Residual.Value
	label := lang.F("what is left of %s when its saving ends", m.Name.Value)
	m.Left = Left{Amount: r.Amount.Likely, Straight: r.Straight, Step: id + "residual"}
	factor := economics.SPVEscalatingF.Apply(s, id+"residual-factor", lang.F("present value of an amount in year %d, by the amount", m.Counted), "", e.num("economics.rate"), e.num("economics.upkeep-growth"), counted)
	k := float64(factor.V)
	share := 0.0
	if r.Straight {
		share = e.straight(m, id, label, counted.Step, k, weights)
	} else {
		e.put(id+"residual", label, m.Residual.Text, m.basis(lang), m.Residual.Pos, r.Amount.Likely)
		m.investedHalf = ninety * k * costDeviation(r.Amount)
	}
	s.ApplyExact(economics.PresentValueF, id+"pv-residual", lang.S("present value of what is left"), e.result.Currency, id+"residual", factor.Step)
	return k * share
}

// straight records what the straight line leaves of a measure's first cost and of
// the last of each part, and gives the share of the first cost.
func (e *evaluation) straight(m *Measure, id, label, counted string, k float64, weights []float64) float64 {
	s, lang, money := e.result.Sheet, e.result.Record.Words, e.result.Currency
	years := func(id, label, reason string, n int) string {
		return working.Record(s, working.Step{ID: id, Label: label, Kind: working.Assumed, Unit: "years", Pos: m.Residual.Pos, Reason: reason}, economics.Years(n)).Step
	}
	life := working.Record(s, working.Step{ID: id + "life", Label: lang.F("life of %s", m.Name.Value), Kind: working.Assumed, Unit: "years", Typed: m.Life.Text, Pos: m.Life.Pos, Reason: lang.S("stated for this measure")}, economics.Years(m.Life.Value))
	share := leftOver(int(m.Life.Value), m.Counted)
	var parts, gone []string
	for i, r := range m.Replaced {
		if len(r.Years) == 0 {
			continue
		}
		last := r.Years[len(r.Years)-1]
		// A part dies with its measure.
		serves, served := min(m.Replacements[i].Serves(), int(m.Life.Value)-last), m.Counted-last
		part := fmt.Sprintf("%sresidual.%d", id, i+1)
		s.ApplyExact(economics.StraightLineF, part, lang.F("what is left of the last part %s", r.Part), money, r.Step,
			years(part+".life", lang.F("years that the last part %s can serve", r.Part), lang.S("as long as the one before it, at the most to the end of the measure's life"), serves),
			years(part+".served", lang.F("years that the last part %s has served", r.Part), lang.S("from its replacement to the end of the years that count"), served))
		parts, gone = append(parts, part), append(gone, r.Step)
		weights[i] += k * (share - leftOver(serves, served))
	}
	staying := m.CostStep
	if len(gone) > 0 {
		s.ApplyExact(economics.SumF, id+"residual.replaced", lang.S("cost of the parts that were replaced"), money, gone...)
		s.ApplyExact(economics.StayingF, id+"residual.staying", lang.S("first cost without the parts that were replaced"), money, m.CostStep, id+"residual.replaced")
		staying = id + "residual.staying"
	}
	s.ApplyExact(economics.StraightLineF, id+"residual.first", lang.S("what is left of the first cost"), money, staying, life.Step, counted)
	m.Left.Amount = s.ApplyExact(economics.SumF, id+"residual", label, money, append([]string{id + "residual.first"}, parts...)...)
	return share
}

// leftOver is the share of its life that something has left.
func leftOver(life, served int) float64 { return max(0, float64(life-served)/float64(life)) }

// paidBefore gives the step of what is to be paid back of a measure, its cost and
// the replacements that fall before it is, with its standard uncertainty: net is
// what it saves a year.
func (e *evaluation) paidBefore(m *Measure, id string, net decimal.Decimal) (string, float64) {
	type fall struct{ year, part int }
	var falls []fall
	for i, r := range m.Replaced {
		for _, y := range r.Years {
			falls = append(falls, fall{y, i})
		}
	}
	slices.SortStableFunc(falls, func(a, b fall) int { return a.year - b.year })
	paid, counted := m.Cost.Likely, 0
	for i, f := range falls {
		paid = paid.Add(m.Replaced[f.part].Cost.Likely)
		if net.Mul(decimal.NewFromInt(int64(f.year))).LessThan(paid) {
			counted = i + 1
		}
	}
	if counted == 0 {
		return m.CostStep, costDeviation(m.Cost)
	}
	from, times := []string{m.CostStep}, make([]float64, len(m.Replaced))
	for _, f := range falls[:counted] {
		from = append(from, m.Replaced[f.part].Step)
		times[f.part]++
	}
	deviation := costDeviation(m.Cost)
	for i, r := range m.Replaced {
		deviation = math.Hypot(deviation, times[i]*costDeviation(r.Cost))
	}
	e.result.Sheet.ApplyExact(economics.SumF, id+"paid-back", e.result.Record.Words.S("cost and the replacements that fall before it is paid back"), e.result.Currency, from...)
	return id + "paid-back", deviation
}
