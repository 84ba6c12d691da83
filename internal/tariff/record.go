package tariff

import (
	"auditgen/internal/working"
)

// Record leaves the working of bills that were priced together on a sheet, so
// that each amount replays from its quantity and price, and each quantity from
// what was metered. Ids begin with the prefix and a point.
//
// stepOf names the step, in base units (Wh, varh, W, VA, var), that holds the
// answer to a question of pricing; "" when there is none, and the answer is
// then recorded as stated. It is asked about energy, reactive energy, block
// demand and power factor of a whole bill alone.
func Record(s *working.Sheet, prefix string, bills []Bill, stepOf func(Period, Metered) string) {
	for i := range bills {
		b := &bills[i]
		r := recorder{s, prefix, b.trail, b.trail.ids(), stepOf}
		s.Own(prefix+"."+b.Period.key()+".", b.Period.In(b.trail.lang))
		from := make([]string, len(b.Lines))
		for j, l := range b.Lines {
			from[j] = r.node(l.amountAt)
		}
		if len(from) > 0 {
			s.PutExact(working.Step{ID: b.TotalStep(prefix), Label: b.trail.lang.F("bill of %s", b.Period.In(b.trail.lang)), Kind: working.Derived,
				Unit: b.Currency.Code, Formula: totalF.Formula, From: from}, b.Total)
		}
	}
}

// TotalStep is the id of the step that Record gives the bill's total.
func (b *Bill) TotalStep(prefix string) string { return prefix + "." + b.Period.key() + ".total" }

// Steps are the ids of the steps that Record gives a line's numbers.
func (b *Bill) Steps(prefix string, l Line) (quantity, price, amount string) {
	ids := b.trail.ids()
	return prefix + "." + ids[l.quantityAt], prefix + "." + ids[l.priceAt], prefix + "." + ids[l.amountAt]
}

type recorder struct {
	sheet  *working.Sheet
	prefix string
	trail  *trail
	ids    []string
	stepOf func(Period, Metered) string
}

// node records a number of the trail, after those that it rests on, and gives
// its id.
func (r recorder) node(i int) string {
	n := &r.trail.nodes[i]
	if n.asked && n.metered.plain() && r.stepOf != nil {
		if id := r.stepOf(r.trail.periods[n.id.period], n.metered); id != "" {
			return id
		}
	}
	id := r.prefix + "." + r.ids[i]
	if _, done := r.sheet.Get(id); done {
		return id
	}
	step := working.Step{ID: id, Label: n.labelOf(r.trail.lang, r.trail.t), Kind: working.Stated, Unit: n.unit, Typed: n.typed, Pos: n.pos}
	if n.f != nil {
		step.Kind, step.Formula, step.From = working.Derived, n.f, make([]string, len(n.from))
		for j, k := range n.from {
			step.From[j] = r.node(k)
		}
	}
	r.sheet.PutExact(step, n.v)
	return id
}
