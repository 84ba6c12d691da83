package tariff

import (
	"slices"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/say"
)

// ChangeRule tells how the quantities of a bill are parted where a price
// changes within it.
type ChangeRule int

// The rules.
const (
	ChangeByDays ChangeRule = iota // in proportion of the days
	ChangeByDate                   // what was used on either side, from interval data or a reading on the day
)

// UnmarshalText reads by days or by date.
func (r *ChangeRule) UnmarshalText(text []byte) error {
	return oneOfWords((*int)(r), "rule for a change of price", string(text), "by days", "by date")
}

// SeasonRule tells how a bill that lies in two seasons is priced.
type SeasonRule int

// The rules.
const (
	SeasonByDate    SeasonRule = iota // what was used in each season
	SeasonByDays                      // in proportion of the days
	SeasonByReading                   // the whole bill in the season of its last day
)

// UnmarshalText reads by date, by days or by reading.
func (r *SeasonRule) UnmarshalText(text []byte) error {
	return oneOfWords((*int)(r), "rule for a change of season", string(text), "by date", "by days", "by reading")
}

func oneOfWords(into *int, what, text string, words ...string) error {
	i := slices.Index(words, text)
	if i < 0 {
		return diag.OneOf(what, text, words)
	}
	*into = i
	return nil
}

// span is the part of a bill in which a charge holds.
type span struct {
	Period
	in    int  // days of it in the charge's seasons, where those are counted by days
	whole bool // all the days of the bill
}

// empty reports whether a charge does not hold in the bill at all.
func (s *span) empty() bool { return s.in == 0 }

// shared counts the days that lie in both spans; not above zero for none.
func (s *span) shared(o *span) int {
	from, to := s.From, s.To
	if o.From.Compare(from) > 0 {
		from = o.From
	}
	if o.To.Compare(to) < 0 {
		to = o.To
	}
	return from.DaysUntil(to)
}

// spanOf finds the part of a bill in which a charge holds.
func (t *Tariff) spanOf(c *charge, bill Period) span {
	p := bill
	if c.from != (civil.Date{}) && c.from.Compare(p.From) > 0 {
		p.From = c.from
	}
	if c.to != (civil.Date{}) && c.to.Compare(p.To) < 0 {
		p.To = c.to
	}
	if p.Days() <= 0 {
		return span{}
	}
	s := span{Period: p, in: p.Days(), whole: p == bill}
	if len(c.seasons) == 0 || c.kind != KindFixed && t.SeasonChange.Value == SeasonByDate {
		return s
	}
	if t.SeasonChange.Value == SeasonByReading {
		if !t.inSeasons(c, bill.To.AddDays(-1)) {
			s.in = 0
		}
		return s
	}
	s.in = 0
	for d := p.From; d.Compare(p.To) < 0; d = d.AddDays(1) {
		if t.inSeasons(c, d) {
			s.in++
		}
	}
	return s
}

func (t *Tariff) inSeasons(c *charge, d civil.Date) bool {
	mask := t.cal.class(d).mask
	return slices.ContainsFunc(c.seasons, func(name string) bool { return t.cal.inSeason(mask, name) })
}

type partKey struct {
	period int
	part   Period
}

// byDate reports whether the use can tell what was used in a part of the bill,
// where the tariff asks for it.
func (b *pricing) byDate(part Period) bool {
	lang := b.o.Words
	if b.t.Change.Value != ChangeByDate {
		return false
	}
	k := partKey{b.i, part}
	if _, ok := b.parts[k]; ok {
		return true
	}
	if use, ok := b.uses[b.i].(PartUse); ok {
		if of, ok := use.Part(part); ok {
			b.parts[k] = of
			return true
		}
	}
	b.note(lang.S("a price changes within the bill, and what was used on either side is not known: it is parted by days"))
	return false
}

// partF takes the share of a quantity that falls on some of the days.
var partF = define("part by days", "q = m * d / D", []string{"m", "d", "D"}, func(x []decimal.Decimal) decimal.Decimal {
	return x[0].Mul(x[1]).DivRound(x[2], factorPlaces)
})

// sharedF takes the share of a billed quantity, to six decimals.
var sharedF = define("billed part by days", "q = round(m * d / D; 0.000001)", []string{"m", "d", "D"}, func(x []decimal.Decimal) decimal.Decimal {
	return x[0].Mul(x[1]).DivRound(x[2], timePlaces)
})

// meanF takes a bill of several months to its mean month.
var meanF = define("mean month", "q = m / n", []string{"m", "n"}, func(x []decimal.Decimal) decimal.Decimal {
	return x[0].DivRound(x[1], factorPlaces)
})

// taken asks for an energy of the part of the bill in which a charge holds, in
// base units.
func (b *pricing) taken(c *charge, m Metered, ask func(Metered) val) val {
	lang := b.o.Words
	s := &b.spans[c.index]
	days, of := s.in, b.period.Days()
	switch {
	case s.whole:
		of = s.Days()
	case b.byDate(s.Period):
		m.Part, of = s.Period, s.Days()
	}
	v := ask(m)
	if days < of {
		v = b.trail.apply(partF, b.id(c, "part"), lang.S("part by days"), m.Base(), v, b.count("part-days", c, days), b.count("bill-days", nil, of))
	}
	if b.t.Month.Value.Multiplied {
		if n := b.monthsOfBill(); !n.Equal(one) {
			v = b.trail.apply(meanF, b.id(c, "mean"), lang.S("in the mean month"), m.Base(), v, n)
		}
	}
	return v
}

// count puts a number of days of a bill into the trail.
func (b *pricing) count(word string, c *charge, n int) val {
	lang := b.o.Words
	id := ident{period: b.i, charge: -1, word: word, n: n}
	if c != nil {
		id.charge = c.index
	}
	return b.trail.stated(node{id: id, label: lang.S("days"), unit: "days", v: decimal.New(int64(n), 0), typed: b.period.String()})
}

// monthsOfBill is how many mean months a bill of "one month, multiplied" has.
func (b *pricing) monthsOfBill() val {
	lang := b.o.Words
	n := calendarMonths(b.period)
	return b.trail.stated(node{id: ident{period: b.i, charge: -1, word: "months-multiplied"}, label: lang.S("months of the bill"), unit: "months", v: n, typed: b.period.String()})
}

// partWords says of which part a quantity is.
func (b *pricing) partWords(c *charge, h *sentences) {
	lang := b.o.Words
	s := &b.spans[c.index]
	if !s.whole {
		byDate := false
		if b.t.Change.Value == ChangeByDate && c.kind != KindDemand {
			_, byDate = b.parts[partKey{b.i, s.Period}]
		}
		if byDate {
			h.F("price of %s: %d of the %d days of the bill, parted by date", s.Period.In(lang), s.Days(), b.period.Days())
		} else {
			h.F("price of %s: %d of the %d days of the bill, parted by days", s.Period.In(lang), s.Days(), b.period.Days())
		}
	}
	if s.in < s.Days() && c.kind != KindFixed {
		h.F("%d of the %d days are in %s, parted by days", s.in, s.Days(), listIn(lang, c.seasons))
	}
	if b.t.Month.Value.Multiplied {
		if n := b.monthsOfBill(); !n.Equal(one) {
			h.F("mean month of %s months", n)
		}
	}
}

// sharedByDays takes a quantity that is for the whole bill, such as a demand,
// to the part in which a charge holds.
func (b *pricing) sharedByDays(c *charge, q val, unit string) val {
	lang := b.o.Words
	s := &b.spans[c.index]
	if s.in == b.period.Days() {
		return q
	}
	return b.trail.apply(sharedF, b.id(c, "by-days"), lang.S("part by days"), unit, q, b.count("part-days", c, s.in), b.count("bill-days", nil, b.period.Days()))
}

// sentences collects how a quantity was obtained, unless nobody wants to know.
type sentences struct {
	lang  *say.Language
	off   bool
	lines []string
}

// raw adds a sentence that is said already.
func (s *sentences) raw(text string) {
	if !s.off {
		s.lines = append(s.lines, text)
	}
}

// F adds a sentence with figures.
func (s *sentences) F(format string, args ...any) {
	if !s.off {
		s.lines = append(s.lines, s.lang.F(format, args...))
	}
}

// shown prints a number to three decimals when it is printed.
type shown struct{ d decimal.Decimal }

func (s shown) String() string { return s.d.Round(3).String() }

func show(v val) shown { return shown{v.Decimal} }
