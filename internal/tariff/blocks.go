package tariff

import (
	"github.com/shopspring/decimal"

	"auditgen/internal/source"
)

// Block is one block of a charge.
type Block struct {
	source.Where
	UpTo  source.At[Amount] `key:"up-to" doc:"upper edge, counted from zero; absent in the last block" unit:"that of the price" example:"5000 kWh"`
	Price Price             `key:"price" need:"yes" doc:"price within the block" example:"0.20 /kWh"`
}

// wholeHoursF takes an energy to whole hours of use of a demand.
var wholeHoursF = define("energy of whole hours of use", "q = cut(E / D) * D", []string{"E", "D"}, func(x []decimal.Decimal) decimal.Decimal {
	if !x[1].IsPositive() {
		return x[0]
	}
	hours, _ := x[0].QuoRem(x[1], 0)
	return hours.Mul(x[1])
})

// leftF is what earlier bills of the year have left of a block.
var leftF = define("what is left of a block of the year", "a = max(0; A - u)", []string{"A", "u"}, func(x []decimal.Decimal) decimal.Decimal {
	return decimal.Max(decimal.Zero, x[0].Sub(x[1]))
})

func (b *pricing) energyBlocks(c *charge, q val, h *sentences) []Line {
	lang := b.o.Words
	e, unit := c.Energy, c.unit
	scale, words := b.blockScale(c)
	edges := make([]val, len(e.Blocks)-1)
	step := quantityStep(Step{}, b.t.Rounding.Edges, unit)
	for i := range edges {
		edge := b.constantN(c, "edge", i+1, lang.S("edge of block"), unit, e.Blocks[i].UpTo.Value.Value, Step{Pos: e.Blocks[i].UpTo.Pos, Text: e.Blocks[i].UpTo.Text})
		id := b.id(c, "edge")
		id.n = i + 1
		edges[i] = b.trail.apply(billedF[step.Way], id, lang.S("edge of block in this bill"), unit, edge, scale, b.stepNode(step, unit))
	}
	if e.Per.Value == "year" {
		words = b.leftOfYear(c, edges, scale, unit)
	}
	if e.Hours {
		was := q
		q = b.trail.apply(wholeHoursF, b.id(c, "whole-hours"), lang.S("energy of whole hours of use"), unit, q, scale)
		if !q.Equal(was.Decimal) {
			h.F("%s %s in whole hours of use", show(q), unit)
		}
	}
	if words != "" && !h.off && len(h.lines) > 0 {
		h.lines[len(h.lines)-1] += "; " + words
	}
	finish := func(part val, n int) val {
		return b.multipliedPart(c, part, unit, n, nil)
	}
	lines := b.blocks(c, q, unit, e.Blocks, edges, e.Whole, finish)
	b.multipliedWords(c, h)
	for i := range lines {
		lines[i].How = h.lines
	}
	return lines
}

// leftOfYear takes off the blocks what earlier bills of the calendar year used.
func (b *pricing) leftOfYear(c *charge, edges []val, scale val, unit string) string {
	lang := b.o.Words
	used := b.usedInYear(c, unit)
	if used.IsZero() && !b.tracing {
		return ""
	}
	if !scale.Equal(one) {
		used = b.trail.apply(timesF, b.id(c, "used-part"), lang.S("used before, for the part of the bill"), unit, used, scale)
	}
	for i := range edges {
		id := b.id(c, "left")
		id.n = i + 1
		edges[i] = b.trail.apply(leftF, id, lang.S("left of the block"), unit, edges[i], used)
	}
	return lang.F("%s %s of the year's blocks were used before", show(used), unit)
}

// usedInYear adds the energy of the earlier bills of the calendar year to what
// was used before the first of them.
func (b *pricing) usedInYear(c *charge, unit string) val {
	lang := b.o.Words
	parts := []val{b.none()}
	year := b.period.From.Year
	if u, ok := b.o.Used[c.ID.Value]; ok && b.periods[0].From.Year == year {
		if u.Unit != unit {
			b.fail(c.ID.Pos, "an amount in "+unit, "charge %q counts in %s; what was used before is given in %s", c.ID.Value, unit, u.Unit)
		}
		parts = append(parts, b.trail.stated(node{id: ident{period: bare, charge: -1, word: "used." + c.ID.Value}, label: lang.S("used before the first bill"), unit: unit, v: u.Value, typed: u.String()}))
	}
	for j := range b.i {
		if b.periods[j].From.Year == year {
			id := ident{period: j, charge: c.index, word: "used-in-year"}
			parts = append(parts, b.toBilled(b.meter(j, Metered{What: "energy", Slots: c.sel}), unit, Step{Size: meteredStep}, id, c.label()))
		}
	}
	return b.trail.apply(totalF, b.id(c, "used"), lang.S("used earlier in the year"), unit, parts...)
}

// blockScale is what the edges of energy blocks are multiplied by.
func (b *pricing) blockScale(c *charge) (val, string) {
	lang := b.o.Words
	switch per := c.Energy.Per.Value; per {
	case "bill", "year":
		return b.partOfBill(c, b.one(), "1"), ""
	case "", "month", "day":
		if per == "" {
			per = "month"
		}
		n, unit := b.monthScale(c, per)
		if n.Equal(one) {
			return n, ""
		}
		return n, lang.F("blocks for %s", pluralIn(lang, n.Decimal, unit))
	case "agreed":
		v := b.agreed(c, b.o.Agreed.Unit, c.Energy.Per.Pos)
		return b.partOfBill(c, v, b.o.Agreed.Unit), lang.F("blocks for the agreed %s", b.o.Agreed)
	}
	line, d := b.billedOf(c.perLines)
	return b.partOfBill(c, d, line.unit), b.F("blocks for %s %s of %s", d, line.unit, line.label())
}

// partOfBill takes what edges are for to the part of the bill in which a charge
// holds, as its energy is.
func (b *pricing) partOfBill(c *charge, v val, unit string) val {
	lang := b.o.Words
	s := &b.spans[c.index]
	if s.in == b.period.Days() {
		return v
	}
	return b.trail.apply(partF, b.id(c, "edges-part"), lang.S("part by days"), unit, v, b.count("part-days", c, s.in), b.count("bill-days", nil, b.period.Days()))
}

// monthScale is how many months or days a charge's part of the bill has.
func (b *pricing) monthScale(c *charge, per string) (val, string) {
	return b.time(c, per, &sentences{off: true})
}

// blocks parts a quantity by block edges into lines. Blocks beyond the quantity
// make no line, save the first.
func (b *pricing) blocks(c *charge, q val, unit string, blocks []Block, edges []val, whole bool, finish func(val, int) val) []Line {
	lang := b.o.Words
	low := b.none()
	var lines []Line
	for i, block := range blocks {
		last := i == len(blocks)-1
		part, words := q, ""
		id := b.id(c, "block")
		id.n = i + 1
		switch {
		case whole && b.tracing:
			part = b.trail.apply(wholeBlockF, id, "", unit, q, low, b.edgeOr(edges, i), b.number(int64(i)))
		case whole:
			if !last && q.GreaterThan(edges[i].Decimal) {
				low = edges[i]
				continue
			}
			words = "all"
		case last:
			words = lang.F("above %s %s", low, unit)
			part = b.trail.apply(aboveF, id, c.label(), unit, q, low)
		default:
			part = b.trail.apply(withinF, id, c.label(), unit, q, low, edges[i])
			words = lang.F("next %s %s", edges[i].Sub(low.Decimal), unit)
			if i == 0 {
				words = lang.F("first %s %s", edges[i], unit)
			}
		}
		if !last && !whole && !b.tracing && edges[i].IsZero() { // used up earlier in the year
			low = edges[i]
			continue
		}
		if len(lines) > 0 && part.IsZero() && !whole && !b.tracing {
			break
		}
		part = finish(part, i+1)
		l := b.newLine(c, i+1, c.label()+", "+words, part, unitOver(unit, block.Price.Per.Over), b.priceOf(c, i+1, block.Price), block.Price.Per.String())
		lines = append(lines, l)
		if whole && !b.tracing {
			break
		}
		if !last {
			low = edges[i]
		}
	}
	return lines
}
