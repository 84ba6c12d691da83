package tariff

import (
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/source"
)

// Demand is a charge on the highest mean power of the bill.
type Demand struct {
	source.Where
	Price   Price                    `key:"price" doc:"price; /kVA is once a bill, /kVA/day and /kVA/month count the time" unit:"/kW, /kVA or /kvar, alone or with /day, /month, /year" example:"7.80 /kVA"`
	Blocks  []Block                  `key:"blocks" doc:"blocks in rising order; the last has no upper edge" example:"[{up-to: 500 kVA, price: 150 /kVA}, {price: 260 /kVA}]"`
	Window  source.At[Window]        `key:"window" need:"yes" doc:"time over which the meter averages: windows follow one another from midnight, or slide" unit:"min" example:"15 min"`
	Period  source.OneOrMany[string] `key:"period" doc:"only these time periods" default:"all hours" example:"peak"`
	Season  source.OneOrMany[string] `key:"season" doc:"only these seasons" default:"all year" example:"winter"`
	Takes   source.At[DemandRule]    `key:"takes" doc:"what is taken of the demands: highest; sum of days: each day's highest, added; root of squares: of what each window exceeds the limit named by above; at kW peak: kvar in the window with the highest kW" default:"highest" example:"sum of days"`
	MeanOf  source.At[MeanOf]        `key:"mean-of" doc:"the mean of the highest of past months, this one included" example:"2 highest of 6 months"`
	Meter   Step                     `key:"round-metered" doc:"rounding of the metered demand, before every rule" unit:"that of the price" default:"not rounded" example:"1 kW"`
	Adjust  *Adjust                  `key:"power-factor" doc:"demand is raised for low power factor: demand x target / actual"`
	AtLeast Limits                   `key:"at-least" doc:"the billed demand is at least each of these: amounts, shares of the agreed demand, of another unit or period, of the highest of past months" example:"[50 kVA, 70 % of highest of 11 months]"`
	AtMost  Limits                   `key:"at-most" doc:"the billed demand is at most each of these: as at-least, or load factor 0.55: what the bill's energy makes at that load factor" example:"load factor 0.55"`
	Above   Limit                    `key:"above" doc:"only what exceeds this is charged" default:"nothing is free" example:"50 kW"`
	UpTo    Limit                    `key:"up-to" doc:"where the charge ends" default:"no end" example:"110 % of agreed"`
	Round   Step                     `key:"round" doc:"rounding of the billed demand" unit:"that of the price" default:"that of rounding: demand" example:"0.1 kVA"`
}

// Adjust raises a demand for low power factor: demand x target / actual.
type Adjust struct {
	source.Where
	Target source.At[Ratio]         `key:"target" need:"yes" doc:"power factor that demand is brought to" unit:"0 to 1" example:"0.95"`
	Below  source.At[Ratio]         `key:"below" doc:"power factor under which the rule applies" unit:"0 to 1" default:"the target" example:"0.93"`
	From   source.At[Amount]        `key:"from" doc:"demand from which the rule applies" unit:"that of the price" default:"any" example:"15 kW"`
	Cap    source.At[money.Percent] `key:"cap" doc:"the most by which the demand is raised" unit:"%" default:"no cap" example:"10 %"`
	Netted source.At[Netting]       `key:"netted" doc:"bill: one power factor for the bill; hour: the highest of demand x target / actual of any hour" default:"bill" example:"hour"`
	Rule   FactorRule               `key:"measured" doc:"which power factor: average, from the bill's kWh and kvarh; peak, highest kW over highest kVA; at peak, when the kW are highest" default:"average" example:"peak"`
	Round  Step                     `key:"round" doc:"rounding of the power factor" default:"0.0001" example:"0.001"`
}

// ReadSource reads the group. A price alone does not say how the meter averages.
func (d *Demand) ReadSource(v *source.Value, faults *diag.List) {
	type group Demand
	if v.Form == source.Scalar {
		d.Pos = v.Pos
		faults.At(v.Pos, "a demand charge needs the time over which the meter averages", fmt.Sprintf("{price: %s, window: 15 min}", v.Text))
		return
	}
	source.Decode(v, (*group)(d), faults)
}

// ownDemand is a period's own demand: the highest mean, raised for power factor
// and by demands in other units or periods. Later months that look back look
// at it.
type ownDemand struct {
	v   val
	how []string
}

// ownDemandOf works the own demand of a period out once.
func (b *pricing) ownDemandOf(i int, c *charge) ownDemand {
	lang := b.o.Words
	if o, ok := b.own[ownKey{i, c.index}]; ok {
		return o
	}
	d := c.Demand
	h := b.words()
	at := func(word string) ident { return ident{period: i, charge: c.index, word: word} }
	first := Step{Size: meteredStep}
	if d.Meter.IsSet() {
		first = d.Meter
	}
	v := b.toBilled(b.demandMetered(i, c, h), c.unit, first, at("metered"), lang.S("highest mean"))
	if d.Takes.Value == Highest {
		h.F("highest %s mean%s: %s %s", d.Window.Value.words(lang), inWords(lang, c.whereIn(lang)), show(v), c.unit)
	} else {
		h.F("%s: %s %s", d.Takes.Value.words(lang), show(v), c.unit)
	}
	if d.Meter.IsSet() {
		h.F("metered demand rounded to %s", d.Meter.Text)
	}
	if d.Adjust != nil {
		v = b.adjust(i, c, v, h)
	}
	for _, l := range d.AtLeast {
		if l.isOwn() {
			other, words := b.limitOther(i, c, l, c.unit)
			v = b.trail.apply(highF, at("own"), lang.S("own demand"), c.unit, v, other)
			h.F("at least %s", words)
		}
	}
	o := ownDemand{v, h.lines}
	b.own[ownKey{i, c.index}] = o
	return o
}

// adjust raises a demand by target over actual power factor.
func (b *pricing) adjust(i int, c *charge, v val, h *sentences) val {
	lang := b.o.Words
	a := c.Demand.Adjust
	if a.From.IsSet() && v.LessThan(a.From.Value.Value) && !b.tracing {
		h.F("below %s: not raised for power factor", a.From.Text)
		return v
	}
	if a.Netted.Value > 0 {
		if high, ok := b.adjustHourly(i, c, h); ok {
			return b.trail.apply(highF, ident{period: i, charge: c.index, word: "adjusted"}, lang.S("demand adjusted for power factor"), c.unit, v, high)
		}
	}
	at := func(word string) ident { return ident{period: i, charge: c.index, word: word} }
	pf, words := b.factor(i, factorQuestion{c: c, sel: c.sel, rule: a.Rule, window: c.Demand.Window.Value.Minutes, round: a.Round, fallback: decimal.New(1, -4)})
	mark := a.Target.Value.Decimal
	if a.Below.IsSet() {
		mark = a.Below.Value.Decimal
	}
	if !pf.LessThan(mark) && !b.tracing {
		h.F("%s, not below %s", words, mark)
		return v
	}
	if pf.IsZero() {
		b.fail(a.Target.Pos, "", "%s, %s: a power factor of 0 cannot be brought to %s", b.periods[i], c.ID.Value, a.Target.Text)
		return v
	}
	target := b.constant(c, "target", lang.S("target power factor"), "1", a.Target.Value.Decimal, Step{Pos: a.Target.Pos, Text: a.Target.Text})
	was := v
	v = b.trail.apply(adjustF, at("adjusted"), lang.S("demand adjusted for power factor"), c.unit, v, target, pf)
	h.F("%s; %s x %s / %s = %s %s", words, show(was), target, pf, show(v), c.unit)
	if a.Cap.IsSet() {
		most := b.constant(c, "cap", lang.S("most that power factor adds"), "1", a.Cap.Value.Fraction, Step{Pos: a.Cap.Pos, Text: a.Cap.Text})
		free := v
		v = b.trail.apply(cappedF, at("capped"), lang.S("demand adjusted, capped"), c.unit, v, was, most)
		if v.LessThan(free.Decimal) {
			h.F("raised by no more than %s: %s %s", a.Cap.Text, show(v), c.unit)
		}
	}
	if b.tracing {
		v = b.trail.apply(raisedF, at("raised"), "", c.unit, was, v, pf, b.exact(mark), b.exact(a.From.Value.Value))
	}
	return v
}

// demandBilled takes the own demand through the bounds of the charge.
func (b *pricing) demandBilled(c *charge, h *sentences) val {
	lang := b.o.Words
	d := c.Demand
	own := b.ownDemandOf(b.i, c)
	h.lines = append(h.lines, own.how...)
	q := own.v
	if d.MeanOf.IsSet() {
		q = b.meanOf(c, q, h)
	}
	marks := []val{q}
	for _, l := range d.AtLeast {
		if l.isOwn() {
			continue
		}
		mark, words := b.limit(c, l, c.unit, b.i)
		if mark.at < 0 { // no earlier month is known
			h.F("%s", words)
			continue
		}
		marks = append(marks, mark)
		h.F("at least %s", words)
	}
	if len(marks) > 1 {
		q = b.trail.apply(highF, b.id(c, "at-least"), lang.S("demand after its least values"), c.unit, marks...)
	}
	marks = []val{q}
	for _, l := range d.AtMost {
		mark, words := b.limit(c, l, c.unit, b.i)
		if mark.at >= 0 {
			marks = append(marks, mark)
			h.F("at most %s", words)
		}
	}
	if len(marks) > 1 {
		q = b.trail.apply(leastF, b.id(c, "at-most"), lang.S("demand after its greatest values"), c.unit, marks...)
	}
	free, words := b.none(), ""
	if d.Above.IsSet() {
		free, words = b.limit(c, d.Above, c.unit, b.i)
	}
	switch {
	case d.Takes.Value == RootOfSquares: // the limit is in the sum already
	case d.UpTo.IsSet():
		end, upTo := b.limit(c, d.UpTo, c.unit, b.i)
		q = b.trail.apply(withinF, b.id(c, "above"), lang.S("demand within its limits"), c.unit, q, free, end)
		if words != "" {
			h.F("only what exceeds %s", words)
		}
		h.F("up to %s", upTo)
	case d.Above.IsSet():
		q = b.trail.apply(aboveF, b.id(c, "above"), lang.S("demand beyond what is free"), c.unit, q, free)
		h.F("only what exceeds %s", words)
	}
	step := quantityStep(d.Round, b.t.Rounding.Demand, c.unit)
	return b.trail.apply(billedF[step.Way], b.id(c, "quantity"), c.label(), c.unit, q, b.one(), b.stepNode(step, c.unit))
}

func (b *pricing) demand(c *charge) []Line {
	lang := b.o.Words
	d := c.Demand
	h := b.words()
	q := b.demandBilled(c, h)
	b.billed[c.index] = q
	h.F("billed: %s %s", q, c.unit)
	over := c.over
	unit := unitOver(c.unit, over)
	if d.Takes.Value == SumOfDays {
		unit = unitOver(c.unit, "day")
	}
	finish := func(part val, n int) val {
		if over == "" || d.Takes.Value == SumOfDays {
			part = b.sharedByDays(c, part, c.unit)
		} else {
			t, _ := b.time(c, over, &sentences{off: true})
			id := b.id(c, "time")
			id.part = n
			part = b.trail.apply(timesF, id, c.label(), unit, part, t)
		}
		return b.multipliedPart(c, part, unit, n, nil)
	}
	if over != "" && d.Takes.Value != SumOfDays {
		n, unit := b.time(c, over, &sentences{off: true})
		h.F("for %s", count{n.Decimal, unit, lang})
	}
	b.partWords(c, h)
	var lines []Line
	if len(d.Blocks) == 0 {
		lines = []Line{b.newLine(c, 0, c.label(), finish(q, 0), unit, b.priceOf(c, 0, d.Price), d.Price.Per.String())}
	} else {
		edges := make([]val, len(d.Blocks)-1)
		for i := range edges {
			at := d.Blocks[i].UpTo
			edges[i] = b.constantN(c, "edge", i+1, lang.S("edge of block"), c.unit, at.Value.Value, Step{Pos: at.Pos, Text: at.Text})
		}
		lines = b.blocks(c, q, c.unit, d.Blocks, edges, false, finish)
	}
	b.multipliedWords(c, h)
	for i := range lines {
		lines[i].How = h.lines
	}
	return lines
}

// meanOf takes the mean of the highest of past months and this one.
func (b *pricing) meanOf(c *charge, q val, h *sentences) val {
	lang := b.o.Words
	m := c.Demand.MeanOf.Value
	found := append([]past{{q, b.name(b.i)()}}, b.pastDemands(c, m.Months-1, "", b.i)...)
	if b.tracing {
		return b.meanTraced(c, found)
	}
	slices.SortStableFunc(found, func(x, y past) int { return y.v.Cmp(x.v.Decimal) })
	if len(found) < m.Highest {
		b.note(lang.F("%s takes the mean of %d months; %d are known", c.label(), m.Highest, len(found)))
	}
	found = found[:min(m.Highest, len(found))]
	args, names := make([]val, len(found)), make([]string, len(found))
	for i, f := range found {
		args[i], names[i] = f.v, lang.F("%s %s in %s", show(f.v), c.unit, f.name)
	}
	v := b.trail.apply(averageOfF, b.id(c, "mean"), lang.S("mean of the highest of past months"), c.unit, args...)
	h.F("mean of %s: %s = %s %s", c.Demand.MeanOf.Text, listIn(lang, names), show(v), c.unit)
	return v
}

var (
	leastF = defineSeries("lowest of", "D = min(d)", "d", func(x []decimal.Decimal) decimal.Decimal { return decimal.Min(x[0], x[1:]...) })
	// averageOfF is the mean of demands.
	averageOfF = defineSeries("mean", "D = sum(d) / n", "d", func(x []decimal.Decimal) decimal.Decimal {
		return money.Sum(x...).DivRound(decimal.New(int64(len(x)), 0), factorPlaces)
	})
)
