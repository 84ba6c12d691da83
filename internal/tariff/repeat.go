package tariff

import (
	"github.com/shopspring/decimal"

	"auditgen/internal/source"
)

// Repeat multiplies a charge by the number of the event: 1 the first time that
// it is made, 2 the second.
type Repeat struct {
	source.Where
	Most   source.At[int] `key:"most" doc:"the highest number" default:"no end" example:"12"`
	Within source.At[int] `key:"within" doc:"only events in so many months, this one included, are counted" default:"all that are known" example:"12"`
	Reset  source.At[int] `key:"reset-after" doc:"the number begins again at 1 after so many months without the event" default:"never" example:"3"`
}

// multiplied takes a quantity by the charge's own multipliers and says so.
func (b *pricing) multiplied(c *charge, q val, unit string, h *sentences) val {
	q = b.multipliedPart(c, q, unit, 0, h)
	b.multipliedWords(c, h)
	return q
}

// multipliedPart takes the quantity of one block by the charge's multipliers.
func (b *pricing) multipliedPart(c *charge, q val, unit string, part int, _ *sentences) val {
	lang := b.o.Words
	at := func(word string) ident { return ident{period: b.i, charge: c.index, part: part, word: word} }
	if c.Times.IsSet() {
		n := b.constant(c, "times", lang.S("multiplied by"), "1", c.Times.Value.Decimal, Step{Pos: c.Times.Pos, Text: c.Times.Text})
		q = b.trail.apply(timesF, at("times"), c.label(), unit, n, q)
	}
	if c.Repeat != nil && b.tracing {
		b.fail(c.Pos, "", "%s is multiplied by the number of its event", c.label())
	}
	if c.Repeat != nil {
		n := b.eventNumber(c, q.IsPositive())
		q = b.trail.apply(timesF, at("event"), c.label(), unit, n, q)
	}
	if c.Unused.IsSet() && b.unused() {
		s := b.constant(c, "unused", lang.S("share without use"), "1", c.Unused.Value.Fraction, Step{Pos: c.Unused.Pos, Text: c.Unused.Text})
		q = b.trail.apply(timesF, at("unused"), c.label(), unit, s, q)
	}
	return q
}

func (b *pricing) unused() bool {
	return b.meter(b.i, Metered{What: "energy", Slots: b.t.All()}).IsZero()
}

func (b *pricing) multipliedWords(c *charge, h *sentences) {
	if c.Times.IsSet() {
		h.F("times %s", c.Times.Text)
	}
	if n, ok := b.events[ownKey{b.i, c.index}]; ok && c.Repeat != nil && n.happened {
		h.F("event %d", n.number)
	}
	if c.Unused.IsSet() && b.unused() {
		h.F("no energy in the bill: %s", c.Unused.Text)
	}
}

// event is what became of a repeated charge in a bill.
type event struct {
	happened bool
	number   int
}

// eventNumber is the number of this bill's event. Bills are priced in their
// order, so earlier ones are known; what came before the first is an option.
func (b *pricing) eventNumber(c *charge, happened bool) val {
	lang := b.o.Words
	k := ownKey{b.i, c.index}
	r := c.Repeat
	number, clean := b.o.Events[c.ID.Value], 0
	if r.Within.IsSet() {
		number = 0
		for _, m := range b.o.EventMonths[c.ID.Value] {
			if m.Compare(b.period.From) < 0 && m.Compare(addMonths(b.period.From, 1-r.Within.Value)) >= 0 {
				number++
			}
		}
	}
	for j := range b.i {
		e := b.events[ownKey{j, c.index}]
		switch {
		case e.happened && r.Within.IsSet() && b.periods[j].From.Compare(addMonths(b.period.From, 1-r.Within.Value)) < 0:
		case e.happened:
			number, clean = number+1, 0
		default:
			if clean++; r.Reset.IsSet() && clean >= r.Reset.Value {
				number = 0
			}
		}
	}
	number++
	if r.Most.IsSet() {
		number = min(number, r.Most.Value)
	}
	b.events[k] = event{happened || b.events[k].happened, number}
	return b.trail.stated(node{id: ident{period: b.i, charge: c.index, word: "event-number"}, label: lang.S("number of the event"), unit: "1", v: decimal.New(int64(number), 0), pos: r.Pos})
}
