package tariff

import (
	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/source"
)

// Minimum brings the named lines up to a least amount.
type Minimum struct {
	source.Where
	Price    Price                    `key:"price" doc:"the least amount" unit:"/day, /month, /year or /bill, or such as /kVA/month" example:"600 /month"`
	Per      Limit                    `key:"per" doc:"the capacity, when the price is per kW, kVA or A: an amount, agreed, or the id of a demand charge" example:"300 kVA"`
	PerRound Step                     `key:"round-per" doc:"rounding of the capacity" unit:"that of the price" default:"not rounded" example:"1 kW up"`
	Paid     Limit                    `key:"paid" doc:"the least amount as a share of the highest that the named lines came to in past months" example:"70 % of highest of 12 months"`
	Of       source.OneOrMany[string] `key:"of" doc:"the lines that are brought up to it" default:"all charges, power factor and percentage lines" example:"all"`
	Except   source.OneOrMany[string] `key:"except" doc:"lines that all does not mean" example:"[standing]"`
}

// Maximum brings the named lines down to a ceiling.
type Maximum struct {
	source.Where
	Price  Price                    `key:"price" need:"yes" doc:"the ceiling" unit:"/kWh, /day, /month, /year or /bill" example:"0.30 /kWh"`
	Period source.OneOrMany[string] `key:"period" doc:"with a price per kWh: only the energy of these time periods" default:"all hours" example:"peak"`
	Of     source.OneOrMany[string] `key:"of" need:"yes" doc:"the lines that are brought down to it" example:"[power, peak-units]"`
	Except source.OneOrMany[string] `key:"except" doc:"lines that all does not mean" example:"[standing]"`
}

// Subtotal brings the sum of named lines to a step by a line of its own.
type Subtotal struct {
	source.Where
	Of     source.OneOrMany[string] `key:"of" need:"yes" doc:"the lines: all, or their ids" example:"all"`
	Except source.OneOrMany[string] `key:"except" doc:"lines that all does not mean" example:"[subsidy]"`
	To     Step                     `key:"to" need:"yes" doc:"what their sum is brought to" unit:"currency" example:"1 cut"`
}

// ReadSource reads the short form, a price, or the group.
func (m *Minimum) ReadSource(v *source.Value, faults *diag.List) {
	type group Minimum
	shortOr(v, &m.Where, &m.Price, (*group)(m), faults)
}

// Short names the key that a single value stands for.
func (Minimum) Short() string { return "price" }

// minimum brings lines up to a least amount.
func (b *pricing) minimum(c *charge) []Line {
	lang := b.o.Words
	m := c.Minimum
	code := b.t.Currency.Value.Code
	lines, names := b.baseLines(c)
	base := b.sum(lines, b.id(c, "base"), lang.F("base of %s", c.label()))
	var least val
	var words string
	if m.Paid.IsSet() {
		var known bool
		if least, words, known = b.leastPaid(c); !known {
			return nil
		}
	} else {
		least, words = b.leastAmount(c)
	}
	short := b.trail.apply(aboveF, b.id(c, "quantity"), c.label(), code, least, base)
	l := b.newLine(c, 0, c.label(), short, code, b.one(), "")
	l.At = m.Price.Pos
	if m.Paid.IsSet() {
		l.At = m.Paid.Pos
	}
	how := b.words()
	if short.IsZero() {
		how.F("%s = %s %s; the charges of %s reach it (%s)", words, b.amount(least.Decimal), code, b.amount(base.Decimal), plus(names))
	} else {
		how.F("%s = %s %s; the charges of %s fall short by %s (%s)", words, b.amount(least.Decimal), code, b.amount(base.Decimal), b.amount(short.Decimal), plus(names))
	}
	l.How = how.lines
	return []Line{l}
}

// leastAmount is a price times its time and capacity.
func (b *pricing) leastAmount(c *charge) (val, string) {
	lang := b.o.Words
	m := c.Minimum
	n, unit := b.time(c, m.Price.Per.Over, &sentences{off: true})
	words := pluralIn(lang, n.Decimal, unit)
	if m.Price.Per.Of != "" {
		capacity, what := b.limit(c, m.Per, m.Price.Per.Of, b.i)
		if s := m.PerRound; s.IsSet() {
			capacity = b.trail.apply(billedF[s.Way], b.id(c, "capacity"), lang.S("capacity, rounded"), m.Price.Per.Of, capacity, b.one(), b.stepOf(c, s, "capacity-rounding"))
			what = lang.F("%s, taken as %s %s", what, capacity, m.Price.Per.Of)
		}
		n = b.trail.apply(timesF, b.id(c, "capacity-time"), c.label(), m.Price.Per.Of+"·"+unit, capacity, n)
		words = what + ", " + words
	}
	return b.trail.apply(timesF, b.id(c, "least"), lang.S("least amount"), b.t.Currency.Value.Code, n, b.priceOf(c, 0, m.Price)), m.Price.Text + " x " + words
}

// leastPaid is a share of the highest that the named lines came to in past
// months.
func (b *pricing) leastPaid(c *charge) (val, string, bool) {
	lang := b.o.Words
	l := c.Minimum.Paid
	code := b.t.Currency.Value.Code
	type paid struct {
		v    val
		name string
	}
	first := addMonths(b.period.From, -l.Months)
	var found []paid
	in := func(p Period) bool {
		return p.To.Compare(b.period.From) <= 0 && p.From.Compare(first) >= 0 && (l.Season == "" || wholly(b.t.cal, l.Season, p))
	}
	for _, e := range b.o.Paid {
		if e.Charge == c.ID.Value && in(e.Period) {
			found = append(found, paid{b.trail.stated(node{id: ident{period: bare, charge: -1, word: "paid." + c.ID.Value + "." + e.Period.key()}, label: lang.F("charges of %s", e.Period.In(lang)), unit: code, v: e.Amount, typed: e.Amount.String()}), e.Period.String()})
		}
	}
	assumed := false
	for j, p := range b.periods {
		if j != b.i && in(p) {
			found = append(found, paid{b.paidIn(j, c), p.In(lang)})
		}
		if b.o.Steady && j >= b.i && in(p.shifted(-12)) {
			assumed = true
			found = append(found, paid{b.paidIn(j, c), lang.F("%s, taken for the year before", p.In(lang))})
		}
	}
	if assumed {
		b.note(lang.S("months before the first bill are taken to be like the same months of this year"))
	}
	if len(found) == 0 {
		b.note(lang.F("%s looks back %d months; no earlier month is known", c.label(), l.Months))
		return val{}, "", false
	}
	top := found[0]
	args := make([]val, len(found))
	for i, p := range found {
		args[i] = p.v
		if p.v.GreaterThan(top.v.Decimal) {
			top = p
		}
	}
	v := b.trail.apply(highF, b.id(c, "paid"), lang.S("highest of past months"), code, args...)
	words := lang.F("%s in %s, highest of %d months", b.amount(top.v.Decimal), top.name, l.Months)
	if !l.Share.Equal(one) {
		s := b.constant(c, "paid-share", lang.S("share"), "1", l.Share, Step{Pos: l.Pos, Text: l.Text})
		v = b.trail.apply(timesF, b.id(c, "least"), lang.S("least amount"), code, s, v)
		words = lang.F("%s of %s", percent(l.Share), words)
	}
	return v, words, true
}

// paidIn is what the lines that a minimum falls on come to in another period.
func (b *pricing) paidIn(j int, c *charge) val {
	lang := b.o.Words
	k := ownKey{j, c.index}
	if v, ok := b.paid[k]; ok {
		return v
	}
	other := b.pricer.begin(j)
	needed := make([]bool, len(b.t.charges))
	var need func(i int)
	need = func(i int) {
		if !needed[i] {
			needed[i] = true
			for _, n := range b.t.charges[i].needs {
				need(n.index)
			}
		}
	}
	for _, i := range c.base {
		need(i)
	}
	for _, i := range b.t.order {
		if needed[i] {
			other.lines[i] = other.charge(&b.t.charges[i])
		}
	}
	lines, _ := other.baseLines(c)
	v := other.sum(lines, other.id(c, "paid-base"), lang.F("charges of %s", b.periods[j].In(lang)))
	b.paid[k] = v
	return v
}

// ceilingF takes an amount down to a ceiling.
var ceilingF = define("brought down to a ceiling", "d = min(0; C - B)", []string{"C", "B"}, func(x []decimal.Decimal) decimal.Decimal {
	return decimal.Min(decimal.Zero, x[0].Sub(x[1]))
})

// maximum brings lines down to a ceiling.
func (b *pricing) maximum(c *charge) []Line {
	lang := b.o.Words
	m := c.Maximum
	code := b.t.Currency.Value.Code
	lines, names := b.baseLines(c)
	base := b.sum(lines, b.id(c, "base"), lang.F("base of %s", c.label()))
	var n val
	var words string
	if over := m.Price.Per.Over; over != "" {
		var unit string
		n, unit = b.time(c, over, &sentences{off: true})
		words = pluralIn(lang, n.Decimal, unit)
	} else {
		e := b.taken(c, Metered{Slots: c.sel}, func(m Metered) val { m.What = "energy"; return b.meter(b.i, m) })
		n = b.toBilled(e, m.Price.Per.Of, Step{Size: meteredStep}, b.id(c, "energy"), lang.S("energy"))
		words = n.Round(3).String() + " " + m.Price.Per.Of + inWords(lang, c.whereIn(lang))
	}
	most := b.trail.apply(timesF, b.id(c, "most"), lang.S("ceiling"), code, n, b.priceOf(c, 0, m.Price))
	down := b.trail.apply(ceilingF, b.id(c, "quantity"), c.label(), code, most, base)
	l := b.newLine(c, 0, c.label(), down, code, b.one(), "")
	l.At = m.Price.Pos
	h := b.words()
	if down.IsZero() {
		h.F("%s x %s = %s %s; the charges of %s do not exceed it (%s)", m.Price.Text, words, b.amount(most.Decimal), code, b.amount(base.Decimal), plus(names))
	} else {
		h.F("%s x %s = %s %s; the charges of %s are brought down to it (%s)", m.Price.Text, words, b.amount(most.Decimal), code, b.amount(base.Decimal), plus(names))
	}
	l.How = h.lines
	return []Line{l}
}

// subtotal rounds the sum of lines by a line of its own; none when the sum is
// round already.
func (b *pricing) subtotal(c *charge) []Line {
	lang := b.o.Words
	s := c.Subtotal
	lines, names := b.baseLines(c)
	base := b.sum(lines, b.id(c, "base"), lang.S("sum before rounding"))
	to := b.trail.apply(roundingF[s.To.Way], b.id(c, "rounded"), lang.S("sum, rounded"), b.t.Currency.Value.Code, base, b.one(), b.stepOf(c, s.To, "subtotal-rounding"))
	odd := b.trail.apply(lessF, b.id(c, "quantity"), c.label(), b.t.Currency.Value.Code, to, base)
	if odd.IsZero() && !b.tracing {
		return nil
	}
	own := *c
	own.Charge = &Charge{ID: c.ID, Label: c.Label, Note: c.Note, Round: Step{Size: decimal.New(1, min(odd.Exponent(), 0)), Way: money.HalfUp, Pos: s.To.Pos}}
	if b.tracing {
		own.Charge.Round.Size = meteredStep
	}
	l := b.newLine(&own, 0, c.label(), odd, b.t.Currency.Value.Code, b.one(), "")
	l.At = s.To.Pos
	h := b.words()
	h.F("%s brought to %s (%s)", b.amount(base.Decimal), b.amount(to.Decimal), plus(names))
	l.How = h.lines
	return []Line{l}
}
