package tariff

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
)

// share prices a percentage or a tax on the sum of named lines.
func (b *pricing) share(c *charge) []Line {
	s := c.shareForm()
	code := b.t.Currency.Value.Code
	lines, names := b.baseLines(c)
	base := b.sum(lines, b.key+"."+c.ID.Value+".base", "base of "+c.label())
	rate := b.constant(c.ID.Value+".rate", c.label(), "1", s.Rate.Value.Fraction, Step{Pos: s.Rate.Pos, Text: s.Rate.Text})
	l := b.newLine(c, 0, c.label(), base, code, rate, shareOf+code)
	l.How = []string{fmt.Sprintf("%s of %s (%s)", percent(rate.Decimal), b.amount(base.Decimal), strings.Join(names, " + "))}
	return []Line{l}
}

// baseLines gathers the lines that a charge falls on, and their charges' labels.
func (b *pricing) baseLines(c *charge) ([]Line, []string) {
	var lines []Line
	var names []string
	for _, i := range c.base {
		if len(b.lines[i]) > 0 {
			lines = append(lines, b.lines[i]...)
			names = append(names, b.t.charges[i].label())
		}
	}
	if len(names) == 0 {
		names = []string{"no line in this bill"}
	}
	return lines, names
}

func (p *pricer) sumQuantities(lines []Line, id, label, unit string) val {
	args := []val{p.constant("none", "nothing", "1", decimal.Zero, Step{})}
	for _, l := range lines {
		args = append(args, val{l.Quantity, l.quantityAt})
	}
	return p.trail.apply(totalF, id, label, unit, args...)
}

// minimum brings lines up to a least amount.
func (b *pricing) minimum(c *charge) []Line {
	m := c.Minimum
	code := b.t.Currency.Value.Code
	id := b.key + "." + c.ID.Value
	n, unit, _ := b.time(c, m.Price.Per.Over)
	words := plural(n.Decimal, unit)
	if m.Price.Per.Of != "" {
		capacity, what := b.limit(c, m.Per, m.Price.Per.Of, b.i)
		n = b.trail.apply(timesF, id+".capacity-time", c.label(), m.Price.Per.Of+"·"+unit, capacity, n)
		words = what + ", " + words
	}
	least := b.trail.apply(timesF, id+".least", "least amount", code, n, b.priceOf(c, 0, m.Price))
	lines, names := b.baseLines(c)
	base := b.sum(lines, id+".base", "base of "+c.label())
	short := b.trail.apply(aboveF, id+".quantity", c.label(), code, least, base)
	price := b.constant("one", "one", "1", one, Step{})
	l := b.newLine(c, 0, c.label(), short, code, price, "")
	l.At = m.Price.Pos
	how := fmt.Sprintf("%s x %s = %s %s; ", m.Price.Text, words, b.amount(least.Decimal), code)
	if short.IsZero() {
		how += fmt.Sprintf("the charges of %s reach it (%s)", b.amount(base.Decimal), strings.Join(names, " + "))
	} else {
		how += fmt.Sprintf("the charges of %s fall short by %s (%s)", b.amount(base.Decimal), b.amount(short.Decimal), strings.Join(names, " + "))
	}
	l.How = []string{how}
	return []Line{l}
}
