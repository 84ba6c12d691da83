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
	Spent      decimal.Decimal
	Saved      decimal.Decimal // less upkeep
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
	spent, saved := make([]decimal.Decimal, t.Study+1), make([]decimal.Decimal, t.Study+1)
	for i := range p.Measures {
		m := &p.Measures[i]
		flow := t.Flow(economics.Measure{Saving: m.Step.Exact, Upkeep: m.Upkeep.Value.Likely, Decline: m.Decline.Value.Value, Life: m.Counted})
		spent[0] = spent[0].Add(m.Cost.Likely)
		for y := 1; y < len(flow); y++ {
			saved[y] = saved[y].Add(flow[y])
		}
	}
	flow := make(economics.Flow, t.Study+1)
	for y := range flow {
		flow[y] = saved[y].Sub(spent[y])
	}
	sums, discounted := flow.Cumulative(), flow.Discount(t.Rate).Cumulative()
	var from []string
	for i := range p.Measures {
		from = append(from, p.Measures[i].CostStep, p.Measures[i].Step.Cost.Step)
	}
	for y := range flow {
		step := e.result.Sheet.PutExact(working.Step{ID: fmt.Sprintf("measures.together.cash.%02d", y), Label: lang.F("cash of all measures to the end of year %d", y), Kind: working.Modelled, Unit: e.result.Currency, From: from,
			Reason: lang.S("costs in year 0; each year what each measure adds in the client's order, as long as it lives, less its upkeep")}, sums[y].Round(2))
		p.Cash = append(p.Cash, Cash{Year: y, Spent: spent[y], Saved: saved[y], Cumulative: sums[y], Discounted: discounted[y], Step: step})
	}
	e.whole(flow)
}

// whole records the worth of all measures together.
func (e *evaluation) whole(flow economics.Flow) {
	lang := e.result.Record.Words
	p, s, money := e.plan, e.result.Sheet, e.result.Currency
	const id = "measures.together."
	var costs []string
	low, high := 0.0, 0.0
	for i := range p.Measures {
		costs = append(costs, p.Measures[i].CostStep)
		d := ninety * costDeviation(p.Measures[i].Cost)
		low, high = math.Hypot(low, d), math.Hypot(high, d)
	}
	cost := s.ApplyExact(economics.SumF, id+"cost", lang.S("cost of all measures"), money, costs...)
	npv := s.PutExact(working.Step{ID: id + "npv", Label: lang.S("net present value of all measures"), Kind: working.Modelled, Unit: money, From: append(slices.Clone(costs), "economics.rate"),
		Reason: lang.S("the cash of all measures, each year discounted, over the years looked at")}, flow.NPV(p.Terms.Rate).Round(2))
	value := flow.NPV(p.Terms.Rate).InexactFloat64()
	factor := float64(economics.UPV(p.Terms.Rate, economics.Years(p.Terms.Study)))
	half := math.Hypot(high, factor*p.Together.Cost.Half())
	p.Worth.NPV = audit.Interval{Value: value, Low: value - half, High: value + half, Unit: money, Step: npv}
	c := cost.InexactFloat64()
	p.Cost = audit.Interval{Value: c, Low: c - low, High: c + high, Unit: money, Step: id + "cost"}
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
