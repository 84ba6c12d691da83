package tariff

import (
	"fmt"

	"github.com/shopspring/decimal"
)

// unitScale is how many of the unit one base unit makes.
func unitScale(unit string) decimal.Decimal {
	switch unit {
	case "MWh":
		return decimal.New(1, -6)
	}
	return decimal.New(1, -3)
}

// defaultStep is how finely quantities are billed when the tariff does not say.
var defaultStep = decimal.New(1, -3)

// meteredStep takes the dust off a metered number before a tariff's rules see
// it; the rounding of the billed quantity comes after them.
var meteredStep = decimal.New(1, -6)

// quantityStep chooses the rounding of a billed quantity: the charge's own, else
// the tariff's for its kind, else 0.001 of the unit.
func quantityStep(own, common Step, unit string) Step {
	s := common
	if own.IsSet() {
		s = own
	}
	if !s.IsSet() {
		return Step{Size: defaultStep}
	}
	if s.Unit != "" && s.Unit != unit {
		switch unit {
		case "MWh":
			s.Size = s.Size.Shift(-3)
		case "kWh", "kvarh":
			s.Size = s.Size.Shift(3)
		}
	}
	return s
}

// toBilled takes a metered quantity in base units to a billed one.
func (p *pricer) toBilled(m val, unit string, step Step, id, label string) val {
	scale := p.constant("unit."+unit, "base units in one "+unit, unit, unitScale(unit), Step{})
	return p.trail.apply(billedF[step.Way], id, label, unit, m, scale, p.stepOf(step, unit))
}

func (p *pricer) stepOf(step Step, unit string) val {
	return p.constant("step."+step.Size.String()+"-"+unit, "rounding of a quantity", unit, step.Size, step)
}

func (b *pricing) energy(c *charge) []Line {
	e := c.Energy
	unit := c.unit
	id := b.key + "." + c.ID.Value
	m := b.meter(b.i, Metered{What: "energy", Slots: c.sel})
	if e.Losses.IsSet() {
		s := b.constant(c.ID.Value+".losses", "losses", "1", e.Losses.Value.Fraction, Step{Pos: e.Losses.Pos, Text: e.Losses.Text})
		m = b.trail.apply(addedF, id+".with-losses", "energy with losses", "Wh", m, s)
	}
	q := b.toBilled(m, unit, quantityStep(e.Round, b.t.Rounding.Energy, unit), id+".quantity", c.label())
	how := fmt.Sprintf("%s %s %s%s", q, unit, b.o.word(), in(c.where))
	if e.Losses.IsSet() {
		how = fmt.Sprintf("%s %s%s, with %s added for losses", q, unit, in(c.where), e.Losses.Text)
	}
	if len(e.Blocks) == 0 {
		l := b.newLine(c, 0, c.label(), q, unit, b.priceOf(c, 0, e.Price), e.Price.Per.String())
		l.How = []string{how}
		return []Line{l}
	}
	scale, words := b.blockScale(c)
	edges := make([]val, len(e.Blocks)-1)
	step := Step{Size: defaultStep}
	for i := range edges {
		edge := b.constant(fmt.Sprintf("%s.edge.%d", c.ID.Value, i+1), "edge of block", unit, e.Blocks[i].UpTo.Value.Value, Step{Pos: e.Blocks[i].UpTo.Pos, Text: e.Blocks[i].UpTo.Text})
		edges[i] = b.trail.apply(billedF[step.Way], fmt.Sprintf("%s.edge.%d", id, i+1), "edge of block in this bill", unit, edge, scale, b.stepOf(step, unit))
	}
	if words != "" {
		how += "; " + words
	}
	return b.blocks(c, q, unit, e.Blocks, edges, e.Whole, how, func(part val) val { return part })
}

// blockScale is what the edges of energy blocks are multiplied by.
func (b *pricing) blockScale(c *charge) (val, string) {
	switch per := c.Energy.Per.Value; per {
	case "bill":
		return b.constant("one", "one", "1", one, Step{}), ""
	case "", "month", "day":
		if per == "" {
			per = "month"
		}
		n, unit, _ := b.time(c, per)
		if n.Equal(one) {
			return n, ""
		}
		return n, "blocks for " + plural(n.Decimal, unit)
	}
	d := b.billedOf(c.perLine)
	line := &b.t.charges[c.perLine]
	return d, fmt.Sprintf("blocks for %s %s of %s", d, line.unit, line.label())
}

// blocks parts a quantity by block edges into lines. Blocks beyond the quantity
// make no line, save the first.
func (b *pricing) blocks(c *charge, q val, unit string, blocks []Block, edges []val, whole bool, how string, finish func(val) val) []Line {
	id := b.key + "." + c.ID.Value
	low := b.constant("none", "nothing", "1", decimal.Zero, Step{})
	var lines []Line
	for i, block := range blocks {
		last := i == len(blocks)-1
		part, words := q, fmt.Sprintf("above %s %s", low, unit)
		switch {
		case whole:
			if !last && q.GreaterThan(edges[i].Decimal) {
				low = edges[i]
				continue
			}
			words = "all"
		case last:
			part = b.trail.apply(aboveF, fmt.Sprintf("%s.block.%d", id, i+1), c.label(), unit, q, low)
		default:
			part = b.trail.apply(withinF, fmt.Sprintf("%s.block.%d", id, i+1), c.label(), unit, q, low, edges[i])
			words = fmt.Sprintf("next %s %s", edges[i].Sub(low.Decimal), unit)
			if i == 0 {
				words = fmt.Sprintf("first %s %s", edges[i], unit)
			}
		}
		if i > 0 && part.IsZero() && !whole {
			break
		}
		part = finish(part)
		l := b.newLine(c, i+1, c.label()+", "+words, part, unitOver(unit, block.Price.Per.Over), b.priceOf(c, i+1, block.Price), block.Price.Per.String())
		l.How = []string{how}
		lines = append(lines, l)
		if whole {
			break
		}
		if !last {
			low = edges[i]
		}
	}
	return lines
}

func unitOver(unit, over string) string {
	if over == "" {
		return unit
	}
	return unit + "·" + over
}

func in(where string) string {
	if where == "" {
		return ""
	}
	return " in " + where
}

// reactive prices reactive energy beyond what is free. A leading balance is
// nothing.
func (b *pricing) reactive(c *charge) []Line {
	r := c.Reactive
	unit := c.unit
	id := b.key + "." + c.ID.Value
	step := quantityStep(r.Round, b.t.Rounding.Reactive, unit)
	q := b.toBilled(b.meter(b.i, Metered{What: "reactive energy", Slots: c.sel}), unit, Step{Size: meteredStep}, id+".metered", "reactive energy")
	how := []string{fmt.Sprintf("%s %s %s%s", q.Round(3), unit, b.o.word(), in(c.where))}
	free := b.constant("none", "nothing", "1", decimal.Zero, Step{})
	if r.Above.IsSet() {
		var words string
		free, words = b.limit(c, r.Above, unit, b.i)
		how = append(how, "free: "+words)
	}
	if r.UpTo.IsSet() {
		end, words := b.limit(c, r.UpTo, unit, b.i)
		q = b.trail.apply(withinF, id+".beyond", "reactive energy in the range", unit, q, free, end)
		how = append(how, "up to: "+words)
	} else {
		q = b.trail.apply(aboveF, id+".beyond", "reactive energy beyond the allowance", unit, q, free)
	}
	q = b.trail.apply(billedF[step.Way], id+".quantity", c.label(), unit, q, b.constant("one", "one", "1", one, Step{}), b.stepOf(step, unit))
	l := b.newLine(c, 0, c.label(), q, unit, b.priceOf(c, 0, r.Price), r.Price.Per.String())
	l.How = append(how, fmt.Sprintf("billed: %s %s", q, unit))
	return []Line{l}
}
