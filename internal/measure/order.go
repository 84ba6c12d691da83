package measure

import (
	"fmt"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"auditgen/internal/audit"
	"auditgen/internal/economics"
	"auditgen/internal/working"
)

// Cash is a year of the plan.
type Cash struct {
	Year       int
	Spent      decimal.Decimal // costs, and replacements in their years
	Saved      decimal.Decimal // less upkeep
	Left       decimal.Decimal // residual values of measures whose saving ends
	Cumulative decimal.Decimal
	Discounted decimal.Decimal // cumulative, discounted
	Step       string          // of the cumulative cash
}

// riskWeight is by what a payback counts longer for a measure that may disappoint.
var riskWeight = map[string]float64{"low": 1, "medium": 1.25, "high": 1.6}

// urgency is a measure's place in the order of doing before dependencies: its
// payback, longer by its risk; what costs nothing comes first, what never pays
// back last.
func (m *Measure) urgency() float64 {
	w, ok := riskWeight[m.Risk.Value]
	if !ok {
		w = riskWeight["medium"]
	}
	switch {
	case m.Worth.Payback.Step == "":
		return math.Inf(1)
	case m.Worth.Payback.Value == 0:
		return w / 1000
	}
	return m.Worth.Payback.Value * w
}

// order is the order of doing: of the measures whose forerunners are done the most
// urgent is next; those alike keep the client's order.
func order(ms []Measure) []int {
	done := map[string]bool{}
	var out []int
	for len(out) < len(ms) {
		next := -1
		for i := range ms {
			if slices.Contains(out, i) || !ready(&ms[i], done) {
				continue
			}
			if next < 0 || ms[i].urgency() < ms[next].urgency() {
				next = i
			}
		}
		if next < 0 {
			return out // dependencies only point upwards, so this does not happen
		}
		done[ms[next].ID.Value] = true
		out = append(out, next)
	}
	return out
}

func ready(m *Measure, done map[string]bool) bool {
	for _, a := range m.After {
		if !done[a.Value] {
			return false
		}
	}
	return true
}

// wholePlan adds the cash of all measures up, each with what it adds in the
// client's order and from its own year on.
func (e *evaluation) wholePlan() {
	lang := e.result.Record.Words
	p, t := e.plan, e.plan.Terms
	spent, saved, left := make(economics.Flow, t.Study+1), make(economics.Flow, t.Study+1), make(economics.Flow, t.Study+1)
	for i := range p.Measures {
		m := p.Measures[i].flow(p.Measures[i].Step.Exact)
		add(spent, t.Outlays(m))
		add(saved, t.Yields(m))
		add(left, t.Left(m))
	}
	flow := make(economics.Flow, t.Study+1)
	for y := range flow {
		flow[y] = saved[y].Sub(spent[y]).Add(left[y])
	}
	sums, discounted := flow.Cumulative(), flow.Discount(t.Rate).Cumulative()
	var from []string
	for i := range p.Measures {
		m := &p.Measures[i]
		from = append(from, m.CostStep, m.Step.Cost.Step)
		for _, r := range m.Replaced {
			from = append(from, r.Step)
		}
		if m.Left.Step != "" {
			from = append(from, m.Left.Step)
		}
	}
	for y := range flow {
		step := e.result.Sheet.PutExact(working.Step{ID: fmt.Sprintf("measures.together.cash.%02d", y), Label: lang.F("cash of all measures to the end of year %d", y), Kind: working.Modelled, Unit: e.result.Currency, From: from,
			Reason: lang.S("costs in year 0, replacements in their years; each year what each measure adds in the client's order, as long as it lives, less its upkeep; in its last year what is left of it")}, sums[y].Round(2))
		p.Cash = append(p.Cash, Cash{Year: y, Spent: spent[y], Saved: saved[y], Left: left[y], Cumulative: sums[y], Discounted: discounted[y], Step: step})
	}
	e.whole(flow)
}

func add(sum, part economics.Flow) {
	for y, a := range part {
		sum[y] = sum[y].Add(a)
	}
}

// whole records the worth of all measures together.
func (e *evaluation) whole(flow economics.Flow) {
	lang := e.result.Record.Words
	p, s, money := e.plan, e.result.Sheet, e.result.Currency
	const id = "measures.together."
	var costs, savings, upkeeps, replaced, left []string
	cost, invested := 0.0, 0.0
	for i := range p.Measures {
		m := &p.Measures[i]
		alone := "measures." + m.ID.Value + "."
		costs, savings, upkeeps = append(costs, m.CostStep), append(savings, alone+"in-order.pv-saving"), append(upkeeps, alone+"pv-upkeep")
		if one := e.either(alone+"pv-replacements", ""); one != "" {
			replaced = append(replaced, one)
		}
		if one := e.either(alone+"pv-residual", ""); one != "" {
			left = append(left, one)
		}
		cost, invested = math.Hypot(cost, ninety*costDeviation(m.Cost)), math.Hypot(invested, m.investedHalf)
	}
	sum := s.ApplyExact(economics.SumF, id+"cost", lang.S("cost of all measures"), money, costs...)
	s.ApplyExact(economics.TotalF, id+"pv-saving", lang.S("present value of the savings of all measures"), money, savings...)
	s.ApplyExact(economics.TotalF, id+"pv-upkeep", lang.S("present value of the upkeep of all measures"), money, upkeeps...)
	if len(replaced) > 0 {
		s.ApplyExact(economics.TotalF, id+"pv-replacements", lang.S("present value of the replacements of all measures"), money, replaced...)
	}
	if len(left) > 0 {
		s.ApplyExact(economics.TotalF, id+"pv-residual", lang.S("present value of what is left of all measures"), money, left...)
	}
	paid := id + "cost"
	if len(replaced)+len(left) > 0 {
		paid = id + "investment"
		s.ApplyExact(economics.InvestmentF, paid, lang.S("paid for all measures over the years, less what is left of them"), money, id+"cost", e.either(id+"pv-replacements", noParts), e.either(id+"pv-residual", noResidual))
	}
	npv := s.ApplyExact(economics.NetPresentValueF, id+"npv", lang.S("net present value of all measures"), money, id+"pv-saving", id+"pv-upkeep", paid)
	value := npv.InexactFloat64()
	factor := float64(economics.UPV(p.Terms.Rate, economics.Years(p.Terms.Study)))
	half := math.Hypot(invested, factor*p.Together.Cost.Half())
	p.Worth.NPV = audit.Interval{Value: value, Low: value - half, High: value + half, Unit: money, Step: id + "npv"}
	if e.exactOf(paid).IsPositive() {
		p.Worth.Ratio = e.amount(s.ApplyExact(economics.SavingsRatioF, id+"sir", lang.S("savings-to-investment ratio of all measures"), "", id+"pv-saving", id+"pv-upkeep", paid), id+"sir")
		p.Worth.Ratio.Unit = ""
	}
	p.LifeCycle = e.lifeCycle(id, lang.S("all measures"), p.Today.Step, p.Worth.NPV)
	c := sum.InexactFloat64()
	p.Cost = audit.Interval{Value: c, Low: c - cost, High: c + cost, Unit: money, Step: id + "cost"}
	if y, ok := flow.Payback(); ok {
		p.Worth.Payback = years(s, id+"payback", lang.S("payback of all measures"), float64(y), costs, lang.S("when the cash of all measures ceases to be negative"))
	}
	if y, ok := flow.Discount(p.Terms.Rate).Payback(); ok {
		p.Worth.Discounted = years(s, id+"discounted-payback", lang.S("discounted payback of all measures"), float64(y), costs, lang.S("when their discounted cash ceases to be negative"))
	}
	if r, ok := flow.Return(); ok {
		p.Worth.Return = audit.Value{V: float64(r), Kind: working.Modelled, Step: s.Put(working.Step{ID: id + "irr", Label: lang.S("internal rate of return of all measures"), Kind: working.Modelled, Value: float64(r), From: costs, Reason: lang.S("the rate at which their net present value is nothing")})}
	}
}

func years(s *working.Sheet, id, label string, v float64, from []string, reason string) audit.Interval {
	return audit.Interval{Value: v, Low: v, High: v, Unit: "years", Step: s.Put(working.Step{ID: id, Label: label, Kind: working.Modelled, Unit: "years", Value: v, From: from, Reason: reason})}
}
