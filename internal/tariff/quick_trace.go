package tariff

import (
	"slices"

	"github.com/shopspring/decimal"

	"auditgen/internal/source"
	"auditgen/internal/working"
)

// A quick bill is made by pricing a year once in a way in which no number
// decides which lines there are or which rule is reached: blocks beyond the
// quantity, rows that are not reached and charges whose condition does not hold
// are worked out all the same, and a formula of those below chooses. What the
// trail then holds is one course of arithmetic for all uses.

// choice is a formula of quick bills alone: it never stands behind an amount
// that is printed.
func choice(name string, fn func([]decimal.Decimal) decimal.Decimal) exactly {
	return exactly{&working.Formula{Name: name}, fn}
}

var (
	// wholeBlockF: q, edges below and above, number of the block from 0.
	wholeBlockF = choice("quantity of the block that is reached", func(x []decimal.Decimal) decimal.Decimal {
		if x[0].LessThanOrEqual(x[2]) && (x[3].IsZero() || x[0].GreaterThan(x[1])) {
			return x[0]
		}
		return decimal.Zero
	})
	// raisedF: demand, demand raised, power factor, mark, least demand.
	raisedF = choice("demand, raised where its power factor asks for it", func(x []decimal.Decimal) decimal.Decimal {
		if x[0].LessThan(x[4]) || !x[2].LessThan(x[3]) {
			return x[0]
		}
		return x[1]
	})
	// reachedF: power factor, ends of a range, what counts when it lies there.
	reachedF = choice("end that counts", func(x []decimal.Decimal) decimal.Decimal {
		if x[0].LessThan(x[1]) && x[0].GreaterThanOrEqual(x[2]) {
			return x[3]
		}
		return decimal.Zero
	})
	// eitherF: a, mark, below it, from it on.
	eitherF = choice("below a mark or from it on", func(x []decimal.Decimal) decimal.Decimal {
		if x[0].LessThan(x[1]) {
			return x[2]
		}
		return x[3]
	})
	// rowF: a, then marks in rising order with what holds from each on.
	rowF = choice("row that is reached", func(x []decimal.Decimal) decimal.Decimal {
		v := decimal.Zero
		for i := 1; i < len(x) && x[0].GreaterThanOrEqual(x[i]); i += 2 {
			v = x[i+1]
		}
		return v
	})
	// classF: a, then upper edges with what holds up to each; the last alone.
	classF = choice("class that is reached", func(x []decimal.Decimal) decimal.Decimal {
		i := 1
		for i+1 < len(x) && x[0].GreaterThan(x[i]) {
			i += 2
		}
		return x[min(i+1, len(x)-1)]
	})
	// meanOfHighestF: how many, then demands.
	meanOfHighestF = choice("mean of the highest", func(x []decimal.Decimal) decimal.Decimal {
		d := slices.Clone(x[1:])
		slices.SortFunc(d, func(a, b decimal.Decimal) int { return b.Cmp(a) })
		return averageOfF.fn(d[:min(int(x[0].IntPart()), len(d))])
	})
	hoursOfUseF = choice("hours of use", func(x []decimal.Decimal) decimal.Decimal {
		if !x[1].IsPositive() {
			return decimal.Zero
		}
		return x[0].DivRound(x[1], 6)
	})
	// holdsF is 1 where a comparison holds, else 0.
	holdsF = map[string]exactly{
		"up to": comparison("up to", func(n int) bool { return n <= 0 }),
		"above": comparison("above", func(n int) bool { return n > 0 }),
		"below": comparison("below", func(n int) bool { return n < 0 }),
		"from":  comparison("from", func(n int) bool { return n >= 0 }),
	}
)

func comparison(word string, holds func(int) bool) exactly {
	return choice(word, func(x []decimal.Decimal) decimal.Decimal {
		if holds(x[0].Cmp(x[1])) {
			return one
		}
		return decimal.Zero
	})
}

// exact puts a number that does not change into the trail.
func (p *pricer) exact(v decimal.Decimal) val { return p.trail.put(node{v: v}) }

func (p *pricer) number(n int64) val { return p.exact(decimal.New(n, 0)) }

// edgeOr is the upper edge of a block; the last has one that nothing reaches.
func (p *pricer) edgeOr(edges []val, i int) val {
	if i < len(edges) {
		return edges[i]
	}
	return p.exact(decimal.New(1, 24))
}

func (b *pricing) choose(f exactly, args ...val) val {
	return b.trail.apply(f, ident{}, "", "", args...)
}

// gate multiplies what a charge with conditions makes by 1 where they hold, by
// 0 where they do not.
func (b *pricing) gate(c *charge, lines []Line) {
	gate := b.one()
	for i := range c.If {
		f := &c.If[i].Value
		left, right := b.sidesTraced(c, f, &c.If[i])
		gate = b.choose(timesF, gate, b.choose(holdsF[f.Op], left, right))
	}
	for i := range lines {
		l := &lines[i]
		l.amountAt = b.choose(timesF, gate, val{l.Amount, l.amountAt}).at
		l.quantityAt = b.choose(timesF, gate, val{l.Quantity, l.quantityAt}).at
	}
	if q, ok := b.billed[c.index]; ok {
		b.billed[c.index] = b.choose(timesF, gate, q)
	}
}

// sidesTraced are the two numbers of a condition, as sides gives them.
func (b *pricing) sidesTraced(c *charge, f *Condition, at *source.At[Condition]) (left, right val) {
	energyOf := func(j int, sel SlotSet) val {
		return b.toBilled(b.meter(j, Metered{What: "energy", Slots: sel}), "kWh", Step{Size: meteredStep}, ident{}, "")
	}
	energy := func(sel SlotSet) val { return energyOf(b.i, sel) }
	sel := b.t.All()
	if f.Period != "" {
		sel = b.t.Within(f.Period)
	}
	switch f.What {
	case "amount":
		var lines []Line
		for _, i := range c.amounts {
			lines = append(lines, b.lines[i]...)
		}
		return b.sum(lines, ident{}, ""), b.exact(f.Number)
	case "hours of use":
		if f.Months > 0 {
			d := &b.t.charges[b.t.withID(f.Of)[0]]
			var energies, demands []val
			for _, j := range b.monthsBack(d, f.Months) {
				energies, demands = append(energies, energyOf(j, sel)), append(demands, b.ownDemandOf(j, d).v)
			}
			return b.choose(hoursOfUseF, b.choose(totalF, energies...), b.choose(totalF, demands...)), b.exact(f.Number)
		}
		_, d := b.billedOf(b.t.withID(f.Of))
		return b.choose(hoursOfUseF, energy(sel), d), b.exact(f.Number)
	case "power factor":
		if f.Period == "" && !c.sel.Empty() {
			sel = c.sel
		}
		pf, _ := b.factor(b.i, factorQuestion{c: c, sel: sel, fallback: decimal.New(1, -4)})
		return pf, b.exact(f.Number)
	case "demand", "highest":
		d := c
		if f.Of != "" {
			d = &b.t.charges[b.t.withID(f.Of)[0]]
		}
		all := []val{b.ownDemandOf(b.i, d).v}
		if f.What == "highest" {
			for _, p := range b.pastDemands(d, f.Months-1, "", b.i) {
				all = append(all, p.v)
			}
		}
		right, _ = b.limit(c, f.Limit, d.unit, b.i)
		return b.choose(highF, all...), right
	}
	l, r, _ := b.sides(c, f, at.Pos)
	if f.What == "energy" {
		return energy(sel), b.exact(r)
	}
	return b.exact(l), b.exact(r) // agreed
}

// meanTraced is the mean of the highest of demands.
func (b *pricing) meanTraced(c *charge, found []past) val {
	args := []val{b.number(int64(c.Demand.MeanOf.Value.Highest))}
	for _, f := range found {
		args = append(args, f.v)
	}
	return b.choose(meanOfHighestF, args...)
}

// rowTraced looks a power factor up in the table.
func (b *pricing) rowTraced(c *charge, pf val) val {
	rows := slices.Clone(c.PowerFactor.Steps)
	slices.SortStableFunc(rows, func(x, y FactorStep) int { return x.From.Value.Cmp(y.From.Value.Decimal) })
	args := []val{pf}
	for _, s := range rows {
		args = append(args, b.exact(s.From.Value.Decimal), b.exact(s.Percent.Value.Fraction))
	}
	return b.choose(rowF, args...)
}

// ratioTraced is the rate on target over actual, on either side of the target.
func (b *pricing) ratioTraced(c *charge, pf val) val {
	target := b.exact(c.PowerFactor.Ratio.Target.Value.Decimal)
	return b.choose(eitherF, pf, target, b.ratioOf(c, pf, false), b.ratioOf(c, pf, true))
}

// classPriceTraced is the price of the class that the energy reaches.
func (b *pricing) classPriceTraced(c *charge, classes []Block) val {
	var edges []decimal.Decimal
	var prices []val
	for i, k := range classes {
		if k.Price.Per != classes[0].Price.Per {
			b.fail(c.Pos, "", "%s has classes with prices of different kinds", c.label())
		}
		edges, prices = append(edges, k.UpTo.Value.Value), append(prices, b.priceOf(c, i+1, k.Price))
	}
	return b.classTraced(edges, prices)
}

// classRateTraced is the percentage of the class that the energy reaches.
func (b *pricing) classRateTraced(c *charge, classes []ShareClass) val {
	var edges []decimal.Decimal
	var rates []val
	for _, k := range classes {
		edges, rates = append(edges, k.UpTo.Value.Value), append(rates, b.exact(k.Rate.Value.Fraction))
	}
	return b.classTraced(edges, rates)
}

func (b *pricing) classTraced(edges []decimal.Decimal, values []val) val {
	e := b.toBilled(b.meter(b.i, Metered{What: "energy", Slots: b.t.All()}), "kWh", Step{Size: meteredStep}, ident{}, "")
	args := []val{e}
	for i, v := range values {
		if i < len(values)-1 {
			args = append(args, b.exact(edges[i].Mul(b.billMonths().Decimal)))
		}
		args = append(args, v)
	}
	return b.choose(classF, args...)
}
