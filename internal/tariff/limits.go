package tariff

import (
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/source"
)

// loadF is the demand that an energy makes at a load factor.
var loadF = define("demand from energy at a load factor", "D = E / (24 * d * f)", []string{"E", "d", "f"}, func(x []decimal.Decimal) decimal.Decimal {
	return x[0].DivRound(decimal.New(24, 0).Mul(x[1]).Mul(x[2]), factorPlaces)
})

// limit evaluates a bound in a unit and words it. A limit that looks back and
// finds no month gives a val whose place is -1.
func (b *pricing) limit(c *charge, l Limit, unit string, i int) (val, string) {
	lang := b.o.Words
	switch l.Kind {
	case LimitAmount:
		v := b.constantRaw("tariff."+c.ID.Value+".limit."+l.word, lang.S("limit"), unit, l.Amount.Value, Step{Pos: l.Pos, Text: l.Text})
		if c.kind == KindEnergy || c.kind == KindReactive {
			v = b.partOfBill(c, v, unit)
		}
		return b.shared(c, l, v, l.Amount.String(), unit)
	case LimitAgreed:
		return b.shared(c, l, b.agreed(c, unit, l.Pos), lang.F("the agreed %s", b.o.Agreed.String()), unit)
	case LimitHighest:
		return b.lookBack(c, l, i)
	case LimitLine:
		line, v := b.billedOf(b.t.withID(l.Line))
		return b.shared(c, l, v, b.F("the %s %s of %s", v, line.unit, line.label()), unit)
	case LimitLoad:
		e := b.toBilled(b.meter(i, Metered{What: "energy", Slots: b.t.All()}), "kWh", Step{Size: meteredStep}, ident{period: i, charge: c.index, word: "load-energy"}, lang.S("energy of the bill"))
		f := b.constant(c, "load-factor", lang.S("load factor"), "1", l.Factor, Step{Pos: l.Pos, Text: l.Text})
		days := b.count("bill-days", nil, b.period.Days())
		v := b.trail.apply(loadF, b.id(c, "load"), l.Text, unit, e, days, f)
		return b.shared(c, l, v, b.F("%s kWh over 24 h x %d days x %s = %s %s", e.Round(3), b.period.Days(), l.Factor, v.Round(3), unit), unit)
	}
	return b.limitOther(i, c, l, unit)
}

// agreed is the site's agreed demand in a unit.
func (b *pricing) agreed(c *charge, unit string, at diag.Pos) val {
	lang := b.o.Words
	a := b.o.Agreed
	if a.Unit == "" {
		b.fail(at, "agreed-demand under supply: of site.yaml, in "+unit, "charge %q counts the agreed demand, and the site states none", c.ID.Value)
		return b.none()
	}
	if a.Unit != unit {
		b.fail(at, "agreed-demand of site.yaml in "+unit, "charge %q counts the agreed demand in %s, and the site states it in %s", c.ID.Value, unit, a.Unit)
	}
	return b.trail.stated(node{id: ident{period: bare, charge: -1, word: "agreed"}, label: lang.S("agreed demand"), unit: a.Unit, v: a.Value, typed: a.String()})
}

// withID lists the charges that have an id, one for each edition.
func (t *Tariff) withID(id string) []int {
	var found []int
	for i := range t.charges {
		if t.charges[i].ID.Value == id {
			found = append(found, i)
		}
	}
	return found
}

// billedOf is the billed demand of a charge: of its editions the last one with
// a line in this bill; nothing when none has.
func (b *pricing) billedOf(editions []int) (*charge, val) {
	for _, i := range slices.Backward(editions) {
		if v, ok := b.billed[i]; ok {
			return &b.t.charges[i], v
		}
	}
	return &b.t.charges[editions[0]], b.none()
}

// limitOther evaluates a bound on another quantity of the same bill.
func (b *pricing) limitOther(i int, c *charge, l Limit, unit string) (val, string) {
	lang := b.o.Words
	sel, where := c.sel, c.whereIn(lang)
	switch l.Period {
	case "":
	case "all":
		sel, where = b.t.All(), lang.S("all hours")
	default:
		sel, where = b.t.cal.pick(source.OneOrMany[string]{{Value: l.Period}}, nil), l.Period
	}
	var v val
	id := ident{period: i, charge: c.index, word: "other"}
	if l.Unit == "kWh" {
		counted := "kWh"
		if unit == "MWh" {
			counted = unit
		}
		m := b.taken(c, Metered{Slots: sel}, func(m Metered) val { m.What = "energy"; return b.meter(i, m) })
		v = b.toBilled(m, counted, Step{Size: meteredStep}, id, lang.S("energy"))
		return b.shared(c, l, v, b.F("%s %s%s", v.Round(3), counted, inWords(lang, where)), unit)
	}
	window := Window{Minutes: 30}
	if c.kind == KindDemand {
		window = c.Demand.Window.Value
	}
	m := b.demandOver(i, sel, DemandUnit(l.Unit), window)
	v = b.toBilled(m, l.Unit, Step{Size: meteredStep}, id, lang.F("demand in %s", l.Unit))
	return b.shared(c, l, v, b.F("%s %s%s", v.Round(3), l.Unit, inWords(lang, where)), unit)
}

// shared takes the share of a limit and words it.
func (b *pricing) shared(c *charge, l Limit, v val, words, unit string) (val, string) {
	lang := b.o.Words
	if l.Share.Equal(one) {
		return v, words
	}
	s := b.constantRaw("tariff."+c.ID.Value+".share."+l.word, lang.S("share"), "1", l.Share, Step{Pos: l.Pos, Text: l.Text})
	id := b.trail.nodes[v.at].id
	id.word += ".share"
	q := b.trail.apply(timesF, id, l.Text, unit, s, v)
	return q, b.F("%s of %s = %s %s", l.shareWords(), words, q.Round(3), unit)
}

// past is a demand of a month that a charge looks back at.
type past struct {
	v    val
	name string
}

// pastDemands gathers the own demands of a charge in past months: those in a
// season where one is named. They reach back so many months, or to the first
// day of the calendar year.
func (b *pricing) pastDemands(c *charge, months int, season string, i int) []past {
	lang := b.o.Words
	first := addMonths(b.periods[i].From, -months)
	if months == 0 {
		first = civil.Date{Year: b.periods[i].From.Year, Month: time.January, Day: 1}
	}
	var found []past
	consider := func(p Period, name func() string, own func() val) bool {
		ok := p.To.Compare(b.periods[i].From) <= 0 && p.From.Compare(first) >= 0 && (season == "" || wholly(b.t.cal, season, p))
		if ok {
			found = append(found, past{own(), name()})
		}
		return ok
	}
	for _, e := range b.o.Earlier {
		if e.Charge != c.ID.Value {
			continue
		}
		if e.Demand.Unit != c.unit {
			b.fail(c.ID.Pos, "a demand in "+c.unit, "charge %q counts in %s; its demand of %s is given in %s", c.ID.Value, c.unit, e.Period, e.Demand.Unit)
		}
		consider(e.Period, func() string { return e.Period.In(lang) }, func() val {
			return b.trail.stated(node{id: ident{period: bare, charge: -1, word: "earlier." + c.ID.Value + "." + e.Period.key()}, label: lang.F("demand of %s", e.Period.In(lang)), unit: c.unit, v: e.Demand.Value, typed: e.Demand.String()})
		})
	}
	assumed := false
	for j, p := range b.periods {
		if !b.occurs(j, c) {
			continue
		}
		own := func() val { return b.ownDemandOf(j, c).v }
		consider(p, b.name(j), own)
		if b.o.Steady && j >= i {
			assumed = consider(p.shifted(-12), b.nameBefore(j), own) || assumed
		}
	}
	if assumed {
		b.note(lang.S("months before the first bill are taken to be like the same months of this year"))
	}
	return found
}

// lookBack finds the highest own demand of past months.
func (b *pricing) lookBack(c *charge, l Limit, i int) (val, string) {
	lang := b.o.Words
	what := lang.F("highest of %d months", l.Months)
	if l.Months == 0 {
		what = lang.S("highest of the year")
	}
	found := b.pastDemands(c, l.Months, l.Season, i)
	if len(found) == 0 {
		if l.Season == "" && l.Months > 0 {
			b.note(lang.F("%s looks back %d months; no earlier month is known", c.label(), l.Months))
		}
		return val{at: -1}, b.F("%s of the %s%s: no such month is known", percent(l.Share), what, inWords(lang, l.Season))
	}
	top := found[0]
	args := make([]val, len(found))
	for k, m := range found {
		args[k] = m.v
		if m.v.GreaterThan(top.v.Decimal) {
			top = m
		}
	}
	high := b.trail.apply(highF, ident{period: b.i, charge: c.index, word: "past"}, lang.S("highest of past months"), c.unit, args...)
	return b.shared(c, l, high, b.F("%s %s in %s, %s%s", high.Round(3), c.unit, top.name, what, inWords(lang, l.Season)), c.unit)
}

func (p *pricer) occurs(i int, c *charge) bool { return !c.sel.And(p.occurring[i]).Empty() }

func (b *pricing) note(s string) {
	if !slices.Contains(b.notes, s) {
		b.notes = append(b.notes, s)
	}
}
