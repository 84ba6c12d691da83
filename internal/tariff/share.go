package tariff

import (
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/money"
	"auditgen/internal/source"
)

// Share is a percentage of named lines: a rider, a discount or a tax.
type Share struct {
	source.Where
	Rate     source.At[money.Percent]             `key:"rate" doc:"the percentage; negative takes off" unit:"%" example:"21 %"`
	Rates    source.Map[source.At[money.Percent]] `key:"rates" doc:"percentages by month or run of months, without gaps" unit:"%" example:"{2031-01: 25 %, 2031-02 to 2031-05: 27 %}"`
	Classes  []ShareClass                         `key:"classes" doc:"percentages by the energy of the bill, in rising order: the class that is reached holds" example:"[{up-to: 90 kWh, rate: 25 %}, {rate: 35 %}]"`
	Of       source.OneOrMany[string]             `key:"of" need:"yes" doc:"the lines it falls on: all, or their ids, or such as units.2 for one block; all means every line of a kind that comes before: charges, power factor, percentages, minimum, taxes" example:"all"`
	Except   source.OneOrMany[string]             `key:"except" doc:"lines that all does not mean" example:"[lighting-fee]"`
	Beyond   source.At[Amount]                    `key:"beyond" doc:"only the part of the lines that falls on the energy beyond so much a month" unit:"kWh" default:"all" example:"600 kWh"`
	Inside   source.OneOrMany[string]             `key:"inside" doc:"yes: the tax is part of its own base, which is the lines divided by (1 - rate); or the ids of the taxes that are in the same base" default:"no" example:"[pis-cofins]"`
	By       source.At[ShareBy]                   `key:"by" doc:"sum: one line on the sum; line: a line for each line that it falls on, each rounded" default:"sum" example:"line"`
	Included bool                                 `key:"included" doc:"yes: prices include the tax; the bill says how much it is and charges nothing" default:"no" example:"yes"`
}

// ShareClass is a percentage for bills up to an energy.
type ShareClass struct {
	source.Where
	UpTo source.At[Amount]        `key:"up-to" doc:"upper edge for a month; absent in the last class" unit:"kWh" example:"90 kWh"`
	Rate source.At[money.Percent] `key:"rate" need:"yes" doc:"the percentage" unit:"%" example:"25 %"`
}

// ShareBy tells whether a share is taken of the sum of its lines or of each.
type ShareBy int

// UnmarshalText reads sum or line.
func (s *ShareBy) UnmarshalText(text []byte) error {
	return oneOfWords((*int)(s), "way to take a share", string(text), "sum", "line")
}

// insideWords is what inside says when it names no other tax.
var insideWords = []string{"yes", "no"}

// inside reports whether a tax is part of its own base.
func (s *Share) inside() bool {
	return len(s.Inside) > 0 && !slices.ContainsFunc(s.Inside, func(a source.At[string]) bool { return a.Value == "no" })
}

var (
	// insideF is the rate on the net lines of a tax inside its own base.
	insideF = define("rate of a tax inside its own base", "s = a / (1 - a - b)", []string{"a", "b"}, func(x []decimal.Decimal) decimal.Decimal {
		return x[0].DivRound(one.Sub(x[0]).Sub(x[1]), 2*factorPlaces)
	})
	// beyondF is the part of an amount that falls on energy beyond a mark.
	beyondF = define("part on energy beyond a mark", "b = B * max(0; E - a) / E", []string{"B", "E", "a"}, func(x []decimal.Decimal) decimal.Decimal {
		if !x[1].IsPositive() || x[1].LessThanOrEqual(x[2]) {
			return decimal.Zero
		}
		return x[0].Mul(x[1].Sub(x[2])).DivRound(x[1], factorPlaces)
	})
	// withinPriceF is the tax that a price with tax holds.
	withinPriceF = define("tax within a price", "t = B * a / (1 + a)", []string{"B", "a"}, func(x []decimal.Decimal) decimal.Decimal {
		return x[0].Mul(x[1]).DivRound(one.Add(x[1]), factorPlaces)
	})
)

// share prices a percentage or a tax on the sum of named lines.
func (b *pricing) share(c *charge) []Line {
	lang := b.o.Words
	s := c.shareForm()
	h := b.words()
	lines, names := b.baseLines(c)
	rate := b.shareRate(c, h)
	if s.Included {
		base := b.sum(lines, b.id(c, "base"), lang.F("base of %s", c.label()))
		t := b.trail.apply(withinPriceF, b.id(c, "included"), c.label(), b.t.Currency.Value.Code, base, rate)
		step := b.t.lineRounding(c)
		b.note(lang.F("%s: the amounts include %s, %s of what is before it", c.label(), b.amount(roundTo(step.Way, t.Decimal, step.Size)), percent(rate.Decimal)))
		return nil
	}
	if s.By.Value == 0 {
		return []Line{b.shareOfSum(c, 0, c.label(), lines, names, rate, h)}
	}
	out := make([]Line, len(lines))
	for i, l := range lines {
		own := b.words()
		own.lines = slices.Clone(h.lines)
		out[i] = b.shareOfSum(c, i+1, c.label()+", "+l.Label, []Line{l}, []string{l.Label}, rate, own)
		if !own.off {
			out[i].How = append(out[i].How, lang.F("%s with it: %s", l.Label, b.amount(l.Amount.Add(out[i].Amount))))
		}
	}
	return out
}

func (b *pricing) shareOfSum(c *charge, part int, label string, lines []Line, names []string, rate val, h *sentences) Line {
	lang := b.o.Words
	code := b.t.Currency.Value.Code
	id := b.id(c, "base")
	id.part = part
	base := b.sum(lines, id, lang.F("base of %s", c.label()))
	if beyond := c.shareForm().Beyond; beyond.IsSet() {
		base = b.beyond(c, base, h)
	}
	l := b.newLine(c, part, label, base, code, rate, shareOf+code)
	h.F("%s of %s (%s)", fraction{rate.Decimal}, b.amount(base.Decimal), plus(names))
	l.How = h.lines
	return l
}

// beyond is the part of a base that falls on the energy beyond a mark.
func (b *pricing) beyond(c *charge, base val, h *sentences) val {
	lang := b.o.Words
	at := c.shareForm().Beyond
	n := b.billMonths()
	mark := b.constant(c, "beyond", lang.S("mark of energy"), "kWh", at.Value.Value, Step{Pos: at.Pos, Text: at.Text})
	mark = b.trail.apply(timesF, b.id(c, "beyond-mark"), lang.S("mark of energy in this bill"), "kWh", mark, n)
	e := b.toBilled(b.meter(b.i, Metered{What: "energy", Slots: b.t.All()}), "kWh", Step{Size: meteredStep}, b.id(c, "energy"), lang.S("energy of the bill"))
	part := b.trail.apply(beyondF, b.id(c, "beyond"), lang.S("part beyond the mark"), b.t.Currency.Value.Code, base, e, mark)
	h.F("only the part beyond %s kWh of %s kWh: %s of %s", show(mark), show(e), part.Round(4), b.amount(base.Decimal))
	return part
}

// shareRate is the rate of a share in this bill.
func (b *pricing) shareRate(c *charge, h *sentences) val {
	lang := b.o.Words
	s := c.shareForm()
	at := s.Rate
	word := 0
	if len(s.Classes) > 0 {
		marks := make([]source.At[Amount], len(s.Classes))
		for i := range s.Classes {
			marks[i] = s.Classes[i].UpTo
		}
		word = b.class(c, marks, h)
		at = s.Classes[word-1].Rate
	}
	rate := b.constantN(c, "rate", word, c.label(), "1", at.Value.Fraction, Step{Pos: at.Pos, Text: at.Text})
	if b.tracing && len(s.Classes) > 0 {
		rate = b.classRateTraced(c, s.Classes)
	}
	if !s.inside() {
		return rate
	}
	others := b.none()
	var names []string
	for _, i := range c.together {
		o := &b.t.charges[i]
		if b.spans[c.index].shared(&b.spans[i]) <= 0 {
			continue
		}
		r := o.Tax.Rate
		v := b.constant(o, "rate", o.label(), "1", r.Value.Fraction, Step{Pos: r.Pos, Text: r.Text})
		others = b.trail.apply(totalF, b.id(c, "others"), lang.S("other taxes in the base"), "1", others, v)
		names = append(names, r.Text+" "+o.label())
	}
	in := b.trail.apply(insideF, b.id(c, "rate-inside"), c.label(), "1", rate, others)
	b.trail.nodes[in.at].pos = at.Pos
	if len(names) > 0 {
		h.F("%s of a base that holds it and %s: %s / (1 - %s - %s)", at.Text, strings.Join(names, ", "), rate, rate, others)
	} else {
		h.F("%s of a base that holds it: %s / (1 - %s)", at.Text, rate, rate)
	}
	return in
}

// baseLines gathers the lines that a charge falls on, and their charges' labels.
// A line of a part of the bill in which the charge does not hold is left out;
// one that reaches beyond that part counts by the days that it shares.
func (b *pricing) baseLines(c *charge) ([]Line, []string) {
	lang := b.o.Words
	var lines []Line
	var names []string
	own := &b.spans[c.index]
	for _, i := range c.base {
		s := &b.spans[i]
		days := own.shared(s)
		if days <= 0 {
			continue
		}
		found := false
		for _, l := range b.lines[i] {
			if blocks := c.blocks[i]; len(blocks) > 0 && !slices.Contains(blocks, l.Part) {
				continue
			}
			if days < s.Days() {
				l = b.shareOfLine(c, l, days, s.Days())
			}
			lines, found = append(lines, l), true
		}
		if found && !b.o.Brief {
			names = append(names, b.t.charges[i].label())
		}
	}
	if len(names) == 0 {
		names = []string{lang.S("no line in this bill")}
	}
	return lines, names
}

// shareOfLine is the part of a line that falls on some of its days.
func (b *pricing) shareOfLine(c *charge, l Line, days, of int) Line {
	d, n := b.count("base-days", c, days), b.count("base-of-days", c, of)
	a := b.trail.apply(partF, b.id(c, "base-part"), l.Label, b.t.Currency.Value.Code, val{l.Amount, l.amountAt}, d, n)
	q := b.trail.apply(partF, b.id(c, "quantity-part"), l.Label, l.Unit, val{l.Quantity, l.quantityAt}, d, n)
	l.Amount, l.amountAt, l.Quantity, l.quantityAt = a.Decimal, a.at, q.Decimal, q.at
	return l
}

func (b *pricing) sumQuantities(c *charge, lines []Line, unit string) val {
	args := []val{b.none()}
	for _, l := range lines {
		args = append(args, val{l.Quantity, l.quantityAt})
	}
	return b.trail.apply(totalF, b.id(c, "quantity"), c.label(), unit, args...)
}
