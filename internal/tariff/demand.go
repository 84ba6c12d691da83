package tariff

import (
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"auditgen/internal/source"
)

// ownDemand is a period's own demand: the highest mean, raised for power factor
// and by demands in other units or periods. Later months that look back look
// at it.
type ownDemand struct {
	v   val
	how []string
}

// ownDemandOf works the own demand of a period out once.
func (p *pricer) ownDemandOf(i int, c *charge) ownDemand {
	if o, ok := p.own[ownKey{i, c.index}]; ok {
		return o
	}
	d := c.Demand
	id := p.periods[i].key() + "." + c.ID.Value
	m := p.meter(i, Metered{What: "demand", Slots: c.sel, Unit: DemandUnit(c.unit), Window: d.Window.Value.Minutes})
	o := ownDemand{v: p.toBilled(m, c.unit, Step{Size: meteredStep}, id+".metered", "highest mean")}
	o.how = append(o.how, fmt.Sprintf("highest %d min mean%s: %s %s", d.Window.Value.Minutes, in(c.where), o.v.Round(3), c.unit))
	if d.Adjust != nil {
		p.adjust(i, c, &o, id)
	}
	for _, l := range d.AtLeast.where(Limit.isOwn) {
		other, words := p.limitOther(i, c, l, c.unit)
		o.v = p.trail.apply(highF, id+".own", "own demand", c.unit, o.v, other)
		o.how = append(o.how, "at least "+words)
	}
	p.own[ownKey{i, c.index}] = o
	return o
}

// adjust raises a demand by target over actual power factor.
func (p *pricer) adjust(i int, c *charge, o *ownDemand, id string) {
	a := c.Demand.Adjust
	if a.From.IsSet() && o.v.LessThan(a.From.Value.Value) {
		o.how = append(o.how, fmt.Sprintf("below %s: not raised for power factor", a.From.Text))
		return
	}
	pf, words := p.factor(i, factorQuestion{id: id, sel: c.sel, rule: a.Rule, window: c.Demand.Window.Value.Minutes, round: a.Round, fallback: decimal.New(1, -4)})
	mark := a.Target.Value.Decimal
	if a.Below.IsSet() {
		mark = a.Below.Value.Decimal
	}
	if !pf.LessThan(mark) {
		o.how = append(o.how, fmt.Sprintf("%s, not below %s", words, mark))
		return
	}
	if pf.IsZero() {
		p.fail("%s, %s: a power factor of 0 cannot be brought to %s", p.periods[i], c.ID.Value, a.Target.Text)
		return
	}
	target := p.constant(c.ID.Value+".target", "target power factor", "1", a.Target.Value.Decimal, Step{Pos: a.Target.Pos, Text: a.Target.Text})
	was := o.v
	o.v = p.trail.apply(adjustF, id+".adjusted", "demand adjusted for power factor", c.unit, o.v, target, pf)
	o.how = append(o.how, fmt.Sprintf("%s; %s x %s / %s = %s %s", words, was.Round(3), target, pf, o.v.Round(3), c.unit))
	if a.Cap.IsSet() {
		most := p.constant(c.ID.Value+".cap", "most that power factor adds", "1", a.Cap.Value.Fraction, Step{Pos: a.Cap.Pos, Text: a.Cap.Text})
		free := o.v
		o.v = p.trail.apply(cappedF, id+".capped", "demand adjusted, capped", c.unit, o.v, was, most)
		if o.v.LessThan(free.Decimal) {
			o.how = append(o.how, fmt.Sprintf("raised by no more than %s: %s %s", a.Cap.Text, o.v.Round(3), c.unit))
		}
	}
}

func (b *pricing) demand(c *charge) []Line {
	d := c.Demand
	id := b.key + "." + c.ID.Value
	own := b.ownDemandOf(b.i, c)
	how := slices.Clone(own.how)
	q := own.v
	marks := []val{q}
	for _, l := range d.AtLeast.where(func(l Limit) bool { return !l.isOwn() }) {
		mark, words := b.limit(c, l, c.unit, b.i)
		if mark.at < 0 { // no earlier month is known
			how = append(how, words)
			continue
		}
		marks = append(marks, mark)
		how = append(how, "at least "+words)
	}
	if len(marks) > 1 {
		q = b.trail.apply(highF, id+".at-least", "demand after its least values", c.unit, marks...)
	}
	if d.Above.IsSet() {
		free, words := b.limit(c, d.Above, c.unit, b.i)
		q = b.trail.apply(aboveF, id+".above", "demand beyond what is free", c.unit, q, free)
		how = append(how, "only what exceeds "+words)
	}
	step := quantityStep(d.Round, b.t.Rounding.Demand, c.unit)
	q = b.trail.apply(billedF[step.Way], id+".quantity", c.label(), c.unit, q, b.constant("one", "one", "1", one, Step{}), b.stepOf(step, c.unit))
	b.billed[c.index] = q
	how = append(how, fmt.Sprintf("billed: %s %s", q, c.unit))

	over := c.over
	finish := func(part val) val {
		if over == "" {
			return part
		}
		n, _, _ := b.time(c, over)
		return b.trail.apply(timesF, id+".time", c.label(), unitOver(c.unit, over), part, n)
	}
	if over != "" {
		n, unit, _ := b.time(c, over)
		how = append(how, "for "+plural(n.Decimal, unit))
	}
	if len(d.Blocks) == 0 {
		l := b.newLine(c, 0, c.label(), finish(q), unitOver(c.unit, over), b.priceOf(c, 0, d.Price), d.Price.Per.String())
		l.How = how
		return []Line{l}
	}
	edges := make([]val, len(d.Blocks)-1)
	for i := range edges {
		at := d.Blocks[i].UpTo
		edges[i] = b.constant(fmt.Sprintf("%s.edge.%d", c.ID.Value, i+1), "edge of block", c.unit, at.Value.Value, Step{Pos: at.Pos, Text: at.Text})
	}
	lines := b.blocks(c, q, c.unit, d.Blocks, edges, false, "", finish)
	for i := range lines {
		lines[i].How = how
	}
	return lines
}

// limit evaluates a bound in a unit and words it. A limit that looks back and
// finds no month gives a val whose place is -1.
func (b *pricing) limit(c *charge, l Limit, unit string, i int) (val, string) {
	switch l.Kind {
	case LimitAmount:
		v := b.constant(c.ID.Value+".limit."+slug(l.Text), "limit", unit, l.Amount.Value, Step{Pos: l.Pos, Text: l.Text})
		return b.shared(c, l, v, l.Amount.String(), unit)
	case LimitAgreed:
		a := b.o.Agreed
		if a.Unit == "" {
			b.fail("charge %q (%s) counts the agreed demand, and the site states none", c.ID.Value, l.Pos)
			return b.constant("none", "nothing", "1", decimal.Zero, Step{}), ""
		}
		if a.Unit != unit {
			b.fail("charge %q (%s) counts the agreed demand in %s, and the site states it in %s", c.ID.Value, l.Pos, unit, a.Unit)
		}
		v := b.trail.stated(node{id: "agreed", label: "agreed demand", unit: a.Unit, v: a.Value, typed: a.String()})
		return b.shared(c, l, v, "the agreed "+a.String(), unit)
	case LimitHighest:
		return b.lookBack(c, l, i)
	case LimitLine:
		line := &b.t.charges[l.line(b.t)]
		v := b.billedOf(line.index)
		return b.shared(c, l, v, fmt.Sprintf("the %s %s of %s", v, line.unit, line.label()), unit)
	}
	return b.limitOther(i, c, l, unit)
}

// billedOf is the billed demand of a charge; nothing when it has no line in
// this bill.
func (b *pricing) billedOf(index int) val {
	if v, ok := b.billed[index]; ok {
		return v
	}
	return b.constant("none", "nothing", "1", decimal.Zero, Step{})
}

// limitOther evaluates a bound on another quantity of the same bill.
func (p *pricer) limitOther(i int, c *charge, l Limit, unit string) (val, string) {
	sel, where := c.sel, c.where
	if l.Period != "" {
		sel, where = p.t.cal.pick(source.OneOrMany[string]{{Value: l.Period}}, nil), l.Period
	}
	m := Metered{What: "demand", Slots: sel, Unit: DemandUnit(l.Unit)}
	switch {
	case l.Unit == "kWh":
		m = Metered{What: "energy", Slots: sel}
	case c.kind == KindDemand:
		m.Window = c.Demand.Window.Value.Minutes
	}
	v := p.toBilled(p.meter(i, m), l.Unit, Step{Size: meteredStep}, p.periods[i].key()+"."+c.ID.Value+".other", p.meterLabel(m))
	return p.shared(c, l, v, fmt.Sprintf("%s %s%s", v.Round(3), l.Unit, in(where)), unit)
}

// shared takes the share of a limit and words it.
func (p *pricer) shared(c *charge, l Limit, v val, words, unit string) (val, string) {
	if l.Share.Equal(one) {
		return v, words
	}
	s := p.constant(c.ID.Value+".share."+slug(l.Text), "share", "1", l.Share, Step{Pos: l.Pos, Text: l.Text})
	q := p.trail.apply(timesF, p.trail.nodes[v.at].id+".share", l.Text, unit, s, v)
	return q, fmt.Sprintf("%s of %s = %s %s", percent(l.Share), words, q.Round(3), unit)
}

// lookBack finds the highest own demand of past months.
func (b *pricing) lookBack(c *charge, l Limit, i int) (val, string) {
	type month struct {
		v    val
		name string
	}
	first := addMonths(b.periods[i].From, -l.Months)
	var found []month
	consider := func(p Period, name string, own func() val) {
		if p.To.Compare(b.periods[i].From) <= 0 && p.From.Compare(first) >= 0 && (l.Season == "" || wholly(b.t.cal, l.Season, p)) {
			found = append(found, month{own(), name})
		}
	}
	for _, past := range b.o.Earlier {
		if past.Charge == c.ID.Value {
			if past.Demand.Unit != c.unit {
				b.fail("charge %q counts in %s; its demand of %s is given in %s", c.ID.Value, c.unit, past.Period, past.Demand.Unit)
			}
			consider(past.Period, past.Period.String(), func() val {
				return b.trail.stated(node{id: "earlier." + c.ID.Value + "." + past.Period.key(), label: "demand of " + past.Period.String(), unit: c.unit, v: past.Demand.Value, typed: past.Demand.String()})
			})
		}
	}
	assumed := false
	for j, p := range b.periods {
		if b.occurs(j, c) {
			consider(p, p.String(), func() val { return b.ownDemandOf(j, c).v })
			if b.o.Steady && j >= i {
				before := len(found)
				consider(p.shifted(-12), p.String()+", taken for the year before", func() val { return b.ownDemandOf(j, c).v })
				assumed = assumed || len(found) > before
			}
		}
	}
	if assumed {
		b.note("months before the first bill are taken to be like the same months of this year")
	}
	what := fmt.Sprintf("%s of the highest of %d months", percent(l.Share), l.Months)
	if l.Season != "" {
		what += " in " + l.Season
	}
	if len(found) == 0 {
		if l.Season == "" {
			b.note(fmt.Sprintf("%s looks back %d months; no earlier month is known", c.label(), l.Months))
		}
		return val{at: -1}, what + ": no such month is known"
	}
	top := found[0]
	args := make([]val, len(found))
	for k, m := range found {
		args[k] = m.v
		if m.v.GreaterThan(top.v.Decimal) {
			top = m
		}
	}
	high := b.trail.apply(highF, b.key+"."+c.ID.Value+".past", fmt.Sprintf("highest of %d months", l.Months), c.unit, args...)
	return b.shared(c, l, high, fmt.Sprintf("%s %s in %s, highest of %d months%s", high.Round(3), c.unit, top.name, l.Months, in(l.Season)), c.unit)
}

func (p *pricer) occurs(i int, c *charge) bool { return !c.sel.And(p.occurring[i]).Empty() }

func (b *pricing) note(s string) {
	if !slices.Contains(b.notes, s) {
		b.notes = append(b.notes, s)
	}
}
