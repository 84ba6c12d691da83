package measure

import (
	"fmt"
	"math"

	"github.com/shopspring/decimal"

	"auditgen/internal/audit"
	"auditgen/internal/diag"
	"auditgen/internal/economics"
	"auditgen/internal/money"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/site"
	"auditgen/internal/source"
	"auditgen/internal/working"
)

// Worth is what a saving is worth over the years that it counts. A figure that
// does not exist has no step.
type Worth struct {
	Payback    audit.Interval // years, simple
	Discounted audit.Interval // years
	NPV        audit.Interval
	Ratio      audit.Value // savings to investment
	Return     audit.Value // internal rate, where there is one
	Adjusted   audit.Value // adjusted internal rate
	Conserved  audit.Value // cost of a saved kWh
}

// Standards of the terms, where measures.yaml states none.
const (
	standardRate  = 0.05
	standardStudy = 15
)

func termsOf(e site.Economics) economics.Terms {
	t := economics.Terms{Rate: standardRate, Study: standardStudy, Current: e.Money.Value == "current", Inflation: e.Inflation.Value.Value, Escalation: e.Escalation.Value.Value}
	if e.Rate.IsSet() {
		t.Rate = e.Rate.Value.Value
	}
	if e.Study.IsSet() {
		t.Study = int(e.Study.Value)
	}
	return t
}

const economicsPrefix = "economics."

// termSteps records the terms.
func (e *evaluation) termSteps() {
	lang := e.result.Record.Words
	x, t, s := e.file.Economics, e.plan.Terms, e.result.Sheet
	reason := lang.S("the program's standard")
	if x.Because.IsSet() {
		reason = x.Because.Value
	}
	put := func(key, label, unit, typed string, at site.Economics, v float64) {
		s.Put(working.Step{ID: economicsPrefix + key, Label: label, Kind: working.Assumed, Unit: unit, Typed: typed, Pos: at.Pos, Value: v, Reason: reason})
	}
	rate := lang.S("discount rate, real, in constant money")
	if t.Current {
		rate = lang.S("discount rate, nominal, in current money")
	}
	put("rate", rate, "", x.Rate.Text, x, float64(t.Rate))
	put("escalation", lang.S("rise of electricity prices beyond inflation"), "", x.Escalation.Text, x, float64(t.Escalation))
	energy, upkeep := t.Growth()
	if !t.Current {
		put("growth", lang.S("yearly growth of electricity prices in the money used"), "", x.Escalation.Text, x, float64(energy))
		put("upkeep-growth", lang.S("yearly growth of upkeep in the money used"), "", "", x, float64(upkeep))
		return
	}
	put("inflation", lang.S("inflation"), "", x.Inflation.Text, x, float64(t.Inflation))
	economics.NominalF.Apply(s, economicsPrefix+"growth", lang.S("yearly growth of electricity prices in the money used"), "", e.num("economics.escalation"), e.num("economics.inflation"))
	put("upkeep-growth", lang.S("yearly growth of upkeep in the money used"), "", x.Inflation.Text, x, float64(upkeep))
}

func (e *evaluation) num(id string) working.Num[quantity.Ratio] {
	st, _ := e.result.Sheet.Get(id)
	return working.Num[quantity.Ratio]{V: quantity.Ratio(st.Value), Step: id}
}

// value records savings and their worth, of each measure and of all together.
func (e *evaluation) value() {
	lang := e.result.Record.Words
	e.termSteps()
	e.today()
	for i := range e.plan.Measures {
		m := &e.plan.Measures[i]
		id := "measures." + m.ID.Value + "."
		e.result.Sheet.Own(id, m.Name.Value)
		worked := lang.S("the year worked out and priced again with it")
		if len(m.After) > 0 {
			worked = lang.S("the year worked out and priced again with it, on top of what it must follow")
		}
		e.savingSteps(&m.Alone, id, lang.F("with %s", m.Name.Value), worked)
		e.savingSteps(&m.Step, id+"in-order.", lang.F("added by %s in the client's order", m.Name.Value), lang.S("the year priced again with all measures up to it, less the same without it"))
		e.worth(m, id)
	}
	e.savingSteps(&e.plan.Together, "measures.together.", lang.S("with all measures"), lang.S("the year worked out and priced again with all measures"))
	e.plan.Order = order(e.plan.Measures)
	e.wholePlan()
}

// savingSteps records what a change saves.
func (e *evaluation) savingSteps(s *Saving, id, with, reason string) {
	lang := e.result.Record.Words
	sheet, r := e.result.Sheet, e.result
	s.Cost.Step = sheet.PutExact(working.Step{ID: id + "saving", Label: lang.F("saving a year %s", with), Kind: working.Modelled, Unit: r.Currency, From: []string{r.Cost.Step}, Reason: reason}, s.Exact)
	s.Energy.Step = sheet.Put(working.Step{ID: id + "energy-saved", Label: lang.F("energy saved a year %s", with), Kind: working.Modelled, Unit: "Wh", Value: s.Energy.Value * 1e3, From: []string{r.Energy.Step}, Reason: reason})
	s.Peak.Step = sheet.Put(working.Step{ID: id + "demand-saved", Label: lang.F("highest demand saved %s", with), Kind: working.Modelled, Unit: "W", Value: s.Peak.Value * 1e3, From: []string{r.Peak.Step}, Reason: reason})
	e.emission(s, id)
}

// put records an exact amount that is assumed.
func (e *evaluation) put(id, label, typed, reason string, pos diag.Pos, d decimal.Decimal) string {
	return e.result.Sheet.PutExact(working.Step{ID: id, Label: label, Kind: working.Assumed, Unit: e.result.Currency, Typed: typed, Pos: pos, Reason: reason}, d)
}

// costSteps records what something costs: as typed, or line by line of the price
// list.
func (e *evaluation) costSteps(id, label, basis string, typed source.At[money.Range], items []site.Item, lines []site.CostLine) string {
	lang := e.result.Record.Words
	if len(lines) == 0 {
		return e.put(id, label, typed.Text, basis, typed.Pos, typed.Value.Likely)
	}
	var from []string
	for i, l := range lines {
		text := lang.F("%s %s at %s", l.Quantity, l.Price.Unit.Value, l.Price.Each.Text)
		if l.Price.Fixed.IsSet() {
			text = lang.F("%s %s at %s and %s", l.Quantity, l.Price.Unit.Value, l.Price.Each.Text, l.Price.Fixed.Text)
		}
		from = append(from, e.put(fmt.Sprintf("%s.%d", id, i+1), l.Price.Name.Value, text, l.Price.Source.Value, items[i].Pos, l.Amount.Likely))
	}
	e.result.Sheet.ApplyExact(economics.SumF, id, label, e.result.Currency, from...)
	return id
}

// basis words what a cost rests on.
func (m *Measure) basis(lang *say.Language) string {
	switch {
	case m.Basis.IsSet():
		return m.Basis.Value
	case len(m.CostLines) > 0:
		return lang.S("the provider's price list")
	}
	return lang.S("it costs nothing")
}

// worth works a measure's indicators out, each from steps.
func (e *evaluation) worth(m *Measure, id string) {
	lang := e.result.Record.Words
	s, t := e.result.Sheet, e.plan.Terms
	m.CostStep = e.costSteps(id+"cost", lang.F("cost of %s", m.Name.Value), m.basis(lang), m.Measure.Cost, m.Items, m.CostLines)
	pos := m.Measure.Pos
	if m.Upkeep.IsSet() {
		pos = m.Upkeep.Pos
	}
	upkeep := e.put(id+"upkeep", lang.F("upkeep a year of %s", m.Name.Value), m.Upkeep.Text, m.basis(lang), pos, m.Upkeep.Value.Likely)
	counted := working.Record(s, working.Step{ID: id + "years", Label: lang.S("years that the saving counts"), Kind: working.Assumed, Unit: "years", Typed: m.Life.Text, Pos: m.Life.Pos, Reason: lang.F("its life, at the most the %d years looked at", t.Study)}, economics.Years(m.Counted))
	decline := working.Record(s, working.Step{ID: id + "decline", Label: lang.S("yearly decline of the saving"), Kind: working.Assumed, Typed: m.Decline.Text, Pos: m.Decline.Pos, Reason: lang.S("stated for this measure, else none")}, m.Decline.Value.Value)
	rate := e.num("economics.rate")
	var factor working.Num[quantity.Ratio]
	if decline.V > 0 {
		factor = economics.UPVDecliningF.Apply(s, id+"factor", lang.S("uniform present value factor of the saving"), "", rate, e.num("economics.growth"), decline, counted)
	} else {
		factor = economics.UPVEscalatingF.Apply(s, id+"factor", lang.S("uniform present value factor of the saving"), "", rate, e.num("economics.growth"), counted)
	}
	kept := economics.UPVEscalatingF.Apply(s, id+"upkeep-factor", lang.S("uniform present value factor of the upkeep"), "", rate, e.num("economics.upkeep-growth"), counted)
	money := e.result.Currency
	s.ApplyExact(economics.PresentValueF, id+"pv-saving", lang.S("present value of the savings"), money, m.Alone.Cost.Step, factor.Step)
	s.ApplyExact(economics.PresentValueF, id+"in-order.pv-saving", lang.F("present value of what %s adds in the client's order", m.Name.Value), money, m.Step.Cost.Step, factor.Step)
	s.ApplyExact(economics.PresentValueF, id+"pv-upkeep", lang.S("present value of the upkeep"), money, upkeep, kept.Step)
	invested := e.invested(m, id, counted)
	npv := s.ApplyExact(economics.NetPresentValueF, id+"npv", lang.S("net present value"), money, id+"pv-saving", id+"pv-upkeep", invested)
	m.Worth = e.indicators(m, id, upkeep, invested, t.Flow(m.flow(m.Alone.Exact)), counted)
	m.Worth.NPV = m.interval(npv, float64(factor.V), id+"npv", money)
	m.Worth.Discounted = m.payback(m.Worth.Discounted, m.Cost.Likely, costDeviation(m.Cost))
	m.LifeCycle = e.lifeCycle(id, m.Name.Value, e.before(m, id), m.Worth.NPV)
	if kwh := m.Alone.Energy.Value; kwh > 0 && e.exactOf(invested).IsPositive() {
		ucr := economics.UCRF.Apply(s, id+"recovery", lang.S("capital recovery factor of the investment"), "", rate, counted)
		energy := s.Put(working.Step{ID: id + "kwh-saved", Label: lang.S("energy saved a year"), Kind: working.Modelled, Unit: "kWh", Value: kwh, From: []string{m.Alone.Energy.Step}, Reason: lang.S("the same in the unit that is bought")})
		c := s.ApplyExact(economics.ConservedF, id+"conserved", lang.S("cost of a saved kilowatt-hour over its life"), money+"/kWh", invested, ucr.Step, energy)
		m.Worth.Conserved = audit.Value{V: c.InexactFloat64(), Unit: money + "/kWh", Step: id + "conserved", Kind: working.Derived}
	}
}

// flow is what a measure costs and saves over its years, at a saving a year.
func (m *Measure) flow(saving decimal.Decimal) economics.Measure {
	f := economics.Measure{Cost: m.Cost.Likely, Saving: saving, Upkeep: m.Upkeep.Value.Likely, Decline: m.Decline.Value.Value, Life: m.Counted, Residual: m.Left.Amount}
	for _, r := range m.Replaced {
		for _, y := range r.Years {
			f.Replacements = append(f.Replacements, economics.Payment{Year: y, Amount: r.Cost.Likely})
		}
	}
	return f
}

// exactOf is the exact amount of a step.
func (e *evaluation) exactOf(id string) decimal.Decimal {
	st, _ := e.result.Sheet.Get(id)
	return *st.Exact
}

// indicators are those that need no doubt of saving. What does not exist, such as a
// payback of nothing saved, is left out.
func (e *evaluation) indicators(m *Measure, id, upkeep, invested string, flow economics.Flow, counted working.Num[economics.Years]) Worth {
	lang := e.result.Record.Words
	s := e.result.Sheet
	saving := m.Alone.Cost.Step
	var w Worth
	if net := e.exactOf(saving).Sub(e.exactOf(upkeep)); net.IsPositive() {
		cost, deviation := e.paidBefore(m, id, net)
		p := s.ApplyExact(economics.SimplePaybackF, id+"payback", lang.S("simple payback"), "years", cost, saving, upkeep).InexactFloat64()
		w.Payback = m.payback(audit.Interval{Value: p, Low: p, High: p, Unit: "years", Step: id + "payback"}, e.exactOf(cost), deviation)
	}
	if p, ok := flow.Discount(e.plan.Terms.Rate).Payback(); ok && w.Payback.Step != "" {
		step := s.Put(working.Step{ID: id + "discounted-payback", Label: lang.S("discounted payback"), Kind: working.Modelled, Unit: "years", Value: float64(p), From: []string{invested, saving, upkeep, "economics.rate"},
			Reason: lang.S("year by year, each year's cash discounted; within a year by straight line")})
		w.Discounted = audit.Interval{Value: float64(p), Low: float64(p), High: float64(p), Unit: "years", Step: step}
	}
	if !e.exactOf(invested).IsPositive() {
		return w
	}
	ratio := s.ApplyExact(economics.SavingsRatioF, id+"sir", lang.S("savings-to-investment ratio"), "", id+"pv-saving", id+"pv-upkeep", invested)
	w.Ratio = audit.Value{V: ratio.InexactFloat64(), Step: id + "sir", Kind: working.Derived}
	if ratio.IsPositive() {
		a := economics.AdjustedReturnF.Apply(s, id+"airr", lang.S("adjusted internal rate of return"), "", e.num("economics.rate"), e.num(id+"sir"), counted)
		w.Adjusted = audit.Value{V: float64(a.V), Step: a.Step, Kind: working.Derived}
	}
	if r, ok := flow.Return(); ok {
		w.Return = audit.Value{V: float64(r), Step: s.Put(working.Step{ID: id + "irr", Label: lang.S("internal rate of return"), Kind: working.Modelled, Value: float64(r), From: []string{invested, saving, upkeep},
			Reason: lang.S("the rate at which the net present value is nothing, found between the turns of the polynomial")}), Kind: working.Modelled}
	}
	return w
}

// costDeviation is the standard uncertainty of a cost, read as a triangle.
func costDeviation(r money.Range) float64 {
	e := quantity.Estimate[quantity.Ratio]{Low: quantity.Ratio(r.Low.InexactFloat64()), Likely: quantity.Ratio(r.Likely.InexactFloat64()), High: quantity.Ratio(r.High.InexactFloat64()), Shape: quantity.Triangular}
	return float64(e.Deviation())
}

// interval is a net present value with the doubts of saving and cost.
func (m *Measure) interval(npv decimal.Decimal, factor float64, step, unit string) audit.Interval {
	v := npv.InexactFloat64()
	half := math.Hypot(factor*m.Alone.Cost.Half(), m.investedHalf)
	return audit.Interval{Value: v, Low: v - half, High: v + half, Unit: unit, Step: step}
}

// payback widens a payback by the doubts of the saving and of what is paid back,
// whose standard uncertainty is given, in proportion.
func (m *Measure) payback(p audit.Interval, paid decimal.Decimal, deviation float64) audit.Interval {
	net := m.Alone.Cost.Value - m.Upkeep.Value.Likely.InexactFloat64()
	cost := paid.InexactFloat64()
	if p.Step == "" || net <= 0 || cost <= 0 {
		return p
	}
	half := p.Value * math.Hypot(m.Alone.Cost.Half()/net, ninety*deviation/cost)
	p.Low, p.High = max(p.Value-half, 0), p.Value+half
	return p
}
