package tariff

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
)

// factorQuestion asks for a power factor of a billing period.
type factorQuestion struct {
	id       string
	sel      SlotSet
	rule     FactorRule
	window   int // minutes, for Peak
	leading  LeadingRule
	round    Step
	fallback decimal.Decimal // rounding when none is typed
}

// factor gives a period's power factor, rounded as the tariff says: the one that
// the meter states, else the one that the tariff's rule makes of energies or
// demands.
func (p *pricer) factor(i int, q factorQuestion) (val, string) {
	pf, words := p.rawFactor(i, q)
	step := q.round
	if !step.IsSet() {
		step = Step{Size: q.fallback}
	}
	pf = p.trail.apply(billedF[step.Way], q.id+".power-factor", "power factor", "1", pf, p.constant("one", "one", "1", one, Step{}), p.stepOf(step, "power-factor"))
	return pf, fmt.Sprintf("%s %s", words, pf)
}

func (p *pricer) rawFactor(i int, q factorQuestion) (val, string) {
	if use, ok := p.uses[i].(FactorUse); ok {
		if _, stated := use.PowerFactor(q.sel); stated {
			return p.meter(i, Metered{What: "power factor", Slots: q.sel}), "stated power factor:"
		}
	}
	if q.rule == Peak {
		kw := p.meter(i, Metered{What: "demand", Slots: q.sel, Unit: KW, Window: q.window})
		kva := p.meter(i, Metered{What: "demand", Slots: q.sel, Unit: KVA, Window: q.window})
		return p.trail.apply(peakF, q.id+".power-factor.exact", "power factor of the highest demands", "1", kw, kva),
			fmt.Sprintf("power factor of %s kW over %s kVA:", kilo(kw), kilo(kva))
	}
	e := p.meter(i, Metered{What: "energy", Slots: q.sel})
	r := p.meter(i, Metered{What: "reactive energy", Slots: q.sel})
	if r.IsNegative() && q.leading == LeadingIgnored {
		r = p.trail.apply(aboveF, q.id+".lagging", "lagging reactive energy", "varh", r, p.constant("none", "nothing", "1", decimal.Zero, Step{}))
	}
	return p.trail.apply(averageF, q.id+".power-factor.exact", "average power factor", "1", e, r),
		fmt.Sprintf("average power factor of %s kWh and %s kvarh:", kilo(e), kilo(r))
}

// kilo prints a number of base units in thousands.
func kilo(v val) string { return v.Shift(-3).Round(3).String() }

func (b *pricing) powerFactor(c *charge) []Line {
	f := c.PowerFactor
	id := b.key + "." + c.ID.Value
	window := f.Window.Value.Minutes
	if window == 0 {
		window = 30
	}
	pf, words := b.factor(b.i, factorQuestion{id: id, sel: c.sel, rule: f.Rule, window: window, leading: f.Leading.Value, round: f.Round, fallback: decimal.New(1, -2)})
	rate, rule, ok := b.factorRate(c, pf, id)
	if !ok {
		return nil
	}
	code := b.t.Currency.Value.Code
	lines, names := b.baseLines(c)
	if c.unit == "kWh" {
		q := b.sumQuantities(lines, id+".quantity", c.label(), c.unit)
		l := b.newLine(c, 0, c.label(), q, c.unit, rate, "/"+c.unit)
		l.How = []string{words, rule, fmt.Sprintf("%s /kWh on the energy of %s", rate, strings.Join(names, " + "))}
		return []Line{l}
	}
	q := b.sum(lines, id+".base", "base of "+c.label())
	l := b.newLine(c, 0, c.label(), q, code, rate, shareOf+code)
	l.How = []string{words, rule, fmt.Sprintf("%s of %s (%s)", percent(rate.Decimal), b.amount(q.Decimal), strings.Join(names, " + "))}
	return []Line{l}
}

// factorRate is the fraction, or the price per kWh, that a power factor brings,
// and the rule in words.
func (b *pricing) factorRate(c *charge, pf val, id string) (val, string, bool) {
	f := c.PowerFactor
	switch {
	case f.Ratio != nil:
		return b.ratioRate(c, pf, id)
	case len(f.Steps) > 0:
		rate, words := b.stepRate(c, pf)
		return rate, words, true
	}
	var rates []val
	var rules []string
	unit := "1"
	for i, s := range f.Slopes {
		per, sid := s.Add, fmt.Sprintf("%s.slope.%d", id, i+1)
		name := fmt.Sprintf("%s.slope.%d", c.ID.Value, i+1)
		var reach, k val
		side, mark := "below", s.Below.Text
		if s.Below.IsSet() {
			high, low := b.mark(name+".below", s.Below.Value, s.Below.Pos, s.Below.Text), b.mark(name+".down-to", s.DownTo.Value, s.DownTo.Pos, s.DownTo.Text)
			reach = b.trail.apply(shortF, sid+".short", "power factor short of "+high.String(), "1", high, pf, low)
			k = b.constant(name+".rate", "rate per step", "1", per.Rate, Step{Pos: per.Pos, Text: per.Text})
		} else {
			per, side, mark = s.Less, "above", s.Above.Text
			top := s.UpTo.Value
			if !s.UpTo.IsSet() {
				top = Ratio{one}
			}
			low, high := b.mark(name+".above", s.Above.Value, s.Above.Pos, s.Above.Text), b.mark(name+".up-to", top, s.UpTo.Pos, s.UpTo.Text)
			reach = b.trail.apply(withinF, sid+".over", "power factor beyond "+low.String(), "1", pf, low, high)
			k = b.constant(name+".rate", "rate per step", "1", per.Rate.Neg(), Step{Pos: per.Pos, Text: per.Text})
		}
		if per.Unit != "" {
			unit = b.t.Currency.Value.Code + "/" + per.Unit
		}
		point := b.constant(name+".step", "step of power factor", "1", per.Point, Step{Pos: per.Pos, Text: per.Text})
		if !reach.IsZero() {
			rules = append(rules, fmt.Sprintf("%s %s %s, %s", reach, side, mark, per.Text))
		}
		rates = append(rates, b.trail.apply(rateF, sid, "rate for power factor", unit, reach, point, k))
	}
	total := b.trail.apply(totalF, id+".rate", "rate for power factor", unit, rates...)
	b.trail.nodes[total.at].pos = f.Pos
	if len(rules) == 0 {
		rules = []string{"no rule is reached"}
	}
	return total, strings.Join(rules, "; "), true
}

func (b *pricing) mark(name string, r Ratio, pos diag.Pos, text string) val {
	return b.constant(name, "mark of power factor", "1", r.Decimal, Step{Pos: pos, Text: text})
}

// stepRate looks the power factor up in the table.
func (b *pricing) stepRate(c *charge, pf val) (val, string) {
	row := -1
	for i, s := range c.PowerFactor.Steps {
		if pf.GreaterThanOrEqual(s.From.Value.Decimal) && (row < 0 || s.From.Value.GreaterThan(c.PowerFactor.Steps[row].From.Value.Decimal)) {
			row = i
		}
	}
	if row < 0 {
		return b.constant("none", "nothing", "1", decimal.Zero, Step{}), "no row is reached"
	}
	s := c.PowerFactor.Steps[row]
	return b.constant(fmt.Sprintf("%s.row.%d", c.ID.Value, row+1), "rate from power factor "+s.From.Text, "1", s.Percent.Value.Fraction, Step{Pos: s.Percent.Pos, Text: s.Percent.Text}), "row from " + s.From.Text
}

// uncapped stands for the cap of a rate that has none.
var uncapped = decimal.New(1, 6)

func (b *pricing) ratioRate(c *charge, pf val, id string) (val, string, bool) {
	r := c.PowerFactor.Ratio
	if pf.IsZero() {
		b.fail("%s, %s: a power factor of 0 has no ratio to %s", b.period, c.ID.Value, r.Target.Text)
		return val{}, "", false
	}
	f, share, most, name := addF, r.Add, r.AddCap, "add"
	words := fmt.Sprintf("%s of (%s / %s - 1)", r.Add.Text, r.Target.Text, pf)
	if pf.GreaterThanOrEqual(r.Target.Value.Decimal) {
		f, share, most, name = offF, r.Less, r.LessCap, "less"
		words = fmt.Sprintf("bonus of %s of (1 - %s / %s)", percent(r.Less.Value.Fraction), r.Target.Text, pf)
	}
	limit := b.constant("uncapped", "no cap", "1", uncapped, Step{})
	if most.IsSet() {
		limit = b.constant(c.ID.Value+"."+name+"-cap", "cap", "1", most.Value.Fraction, Step{Pos: most.Pos, Text: most.Text})
	}
	k := b.constant(c.ID.Value+"."+name, "share", "1", share.Value.Fraction, Step{Pos: share.Pos, Text: share.Text})
	target := b.constant(c.ID.Value+".target", "target power factor", "1", r.Target.Value.Decimal, Step{Pos: r.Target.Pos, Text: r.Target.Text})
	rate := b.trail.apply(f, id+".rate.exact", "rate for power factor", "1", limit, k, target, pf)
	if r.RoundRate.IsSet() {
		rate = b.trail.apply(billedF[r.RoundRate.Way], id+".rate", "rate for power factor, rounded", "1", rate, b.constant("one", "one", "1", one, Step{}), b.stepOf(r.RoundRate, "rate"))
	}
	b.trail.nodes[rate.at].pos = share.Pos
	if !share.IsSet() {
		b.trail.nodes[rate.at].pos = r.Pos
	}
	return rate, words, true
}
