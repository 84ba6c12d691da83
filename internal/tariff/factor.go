package tariff

import (
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/say"
)

// factorQuestion asks for a power factor, or a tangent, of a billing period.
type factorQuestion struct {
	c        *charge
	sel      SlotSet
	rule     FactorRule
	window   int // minutes, for Peak and AtPeak
	leading  LeadingRule
	round    Step
	fallback decimal.Decimal // rounding when none is typed
}

func (q factorQuestion) id(i int, word string) ident {
	return ident{period: i, charge: q.c.index, word: word}
}

// factor gives a period's power factor, rounded as the tariff says: the one that
// the meter states, else the one that the tariff's rule makes of energies or
// demands.
func (b *pricing) factor(i int, q factorQuestion) (val, string) {
	lang := b.o.Words
	pf, words := b.rawFactor(i, q)
	step := q.round
	if !step.IsSet() {
		step = Step{Size: q.fallback}
	}
	pf = b.trail.apply(billedF[step.Way], q.id(i, "power-factor"), lang.S("power factor"), "1", pf, b.one(), b.stepOf(q.c, step, "power-factor-rounding"))
	return pf, b.F("%s %s", words, pf)
}

func (b *pricing) rawFactor(i int, q factorQuestion) (val, string) {
	lang := b.o.Words
	if use, ok := b.uses[i].(FactorUse); ok && q.rule != Tangent {
		if _, stated := use.PowerFactor(q.sel); stated {
			return b.meter(i, Metered{What: say.Key("power factor"), Slots: q.sel}), lang.S("stated power factor:")
		}
	}
	switch q.rule {
	case Peak:
		kw := b.meter(i, Metered{What: "demand", Slots: q.sel, Unit: KW, Window: q.window})
		kva := b.meter(i, Metered{What: "demand", Slots: q.sel, Unit: KVA, Window: q.window})
		return b.trail.apply(peakF, q.id(i, "power-factor.exact"), lang.S("power factor of the highest demands"), "1", kw, kva),
			b.F("power factor of %s kW over %s kVA:", kiloOf(kw), kiloOf(kva))
	case AtPeak:
		m := Metered{What: atPeakWords(nil, q.window), said: atPeakWords(lang, q.window), Slots: q.sel, Window: q.window, base: ratio}
		if v, ok := b.fromCourse(i, m, q.window, factorAtPeak); ok {
			return v, lang.S("power factor when the kW are highest:")
		}
		b.note(lang.S("the power factor when the kW are highest is not known: that of the bill's energies is taken"))
	}
	e := b.meter(i, Metered{What: "energy", Slots: q.sel})
	r := b.meter(i, Metered{What: "reactive energy", Slots: q.sel})
	if (r.IsNegative() || b.tracing) && q.leading == LeadingIgnored {
		r = b.trail.apply(aboveF, q.id(i, "lagging"), lang.S("lagging reactive energy"), "varh", r, b.none())
	}
	if q.rule == Tangent {
		return b.trail.apply(tangentF, q.id(i, "tangent.exact"), lang.S("tangent of a bill"), "1", e, r),
			b.F("%s kvarh over %s kWh:", kiloOf(r), kiloOf(e))
	}
	return b.trail.apply(averageF, q.id(i, "power-factor.exact"), lang.S("average power factor"), "1", e, r),
		b.F("average power factor of %s kWh and %s kvarh:", kiloOf(e), kiloOf(r))
}

// factorAtPeak is the power factor of the interval with the most energy.
func factorAtPeak(all []interval) decimal.Decimal {
	top := one
	most := decimal.Zero
	for _, i := range all {
		if i.energy.GreaterThan(most) {
			most = i.energy
			top = averageFactor([]decimal.Decimal{i.energy, decimal.Max(decimal.Zero, i.lag.Sub(i.lead))})
		}
	}
	return top
}

// tangentF is reactive over active energy.
var tangentF = define("tangent of a bill", "t = R / E", []string{"E", "R"}, func(x []decimal.Decimal) decimal.Decimal {
	if !x[0].IsPositive() {
		return decimal.Zero
	}
	return x[1].DivRound(x[0], factorPlaces)
})

// kiloOf prints a number of base units in thousands when it is printed.
func kiloOf(v val) shown { return shown{v.Shift(-3)} }

func (b *pricing) powerFactor(c *charge) []Line {
	lang := b.o.Words
	f := c.PowerFactor
	window := f.Window.Value.Minutes
	if window == 0 {
		window = 30
	}
	fallback := decimal.New(1, -2)
	if f.Rule == Tangent {
		fallback = decimal.New(1, -4)
	}
	h := b.words()
	q := factorQuestion{c: c, sel: c.sel, rule: f.Rule, window: window, leading: f.Leading.Value, round: f.Round, fallback: fallback}
	var pf val
	var words string
	if f.NoUse.IsSet() && b.meter(b.i, Metered{What: "energy", Slots: b.t.All()}).IsZero() {
		pf = b.constant(c, "no-use", lang.S("power factor without use"), "1", f.NoUse.Value.Decimal, Step{Pos: f.NoUse.Pos, Text: f.NoUse.Text})
		words = b.F("no energy: power factor taken as %s", f.NoUse.Text)
	} else {
		pf, words = b.factor(b.i, q)
	}
	rate, rule, ok := b.factorRate(c, pf)
	if !ok {
		return nil
	}
	h.F("%s", words)
	h.F("%s", rule)
	code := b.t.Currency.Value.Code
	lines, names := b.baseLines(c)
	if c.unit == "kWh" {
		q := b.sumQuantities(c, lines, c.unit)
		l := b.newLine(c, 0, c.label(), q, c.unit, rate, "/"+c.unit)
		h.F("%s /kWh on the energy of %s", rate, plus(names))
		l.How = h.lines
		return []Line{l}
	}
	base := b.sum(lines, b.id(c, "base"), lang.F("base of %s", c.label()))
	l := b.newLine(c, 0, c.label(), base, code, rate, shareOf+code)
	h.F("%s of %s (%s)", fraction{rate.Decimal}, b.amount(base.Decimal), plus(names))
	l.How = h.lines
	return []Line{l}
}

// plus joins the names of lines when they are printed.
type plus []string

func (p plus) String() string { return strings.Join(p, " + ") }

// fraction prints as a percentage when it is printed.
type fraction struct{ d decimal.Decimal }

func (f fraction) String() string { return percent(f.d) }

// factorRate is the fraction, or the price per kWh, that a power factor brings,
// and the rule in words.
func (b *pricing) factorRate(c *charge, pf val) (val, string, bool) {
	lang := b.o.Words
	f := c.PowerFactor
	switch {
	case f.Ratio != nil:
		return b.ratioRate(c, pf)
	case len(f.Steps) > 0:
		rate, words := b.stepRate(c, pf)
		return rate, words, true
	}
	var rates []val
	var rules []string
	unit := "1"
	for i := range f.Slopes {
		s := &f.Slopes[i]
		reach, per, k, rule := b.slopeReach(c, s, i, pf)
		if per.Unit != "" {
			unit = b.t.Currency.Value.Code + "/" + per.Unit
		}
		point := b.constantN(c, "slope.step", i+1, lang.S("step of power factor"), "1", per.Point, Step{Pos: per.Pos, Text: per.Text})
		if !reach.IsZero() {
			rules = append(rules, rule)
		}
		form := rateF
		if f.Count.Value != InParts {
			form = countedF[f.Count.Value]
		}
		id := b.id(c, "slope")
		id.n = i + 1
		rates = append(rates, b.trail.apply(form, id, lang.S("rate for power factor"), unit, reach, point, k))
	}
	total := b.trail.apply(totalF, b.id(c, "rate"), lang.S("rate for power factor"), unit, rates...)
	b.trail.nodes[total.at].pos = f.Pos
	if len(rules) == 0 {
		rules = []string{lang.S("no rule is reached")}
	}
	return total, strings.Join(rules, "; "), true
}

// slopeReach is how far a power factor reaches into the range of a slope, with
// the rate of its steps and the rule in words. Where ranges are not sliced, the
// range that is reached counts from the first slope's end, the others nothing.
func (b *pricing) slopeReach(c *charge, s *Slope, i int, pf val) (reach val, per PerPoint, k val, rule string) {
	lang := b.o.Words
	mark := func(word string, r Ratio, pos diag.Pos, text string) val {
		return b.constantN(c, "slope."+word, i+1, lang.S("mark of power factor"), "1", r.Decimal, Step{Pos: pos, Text: text})
	}
	id := b.id(c, "slope.reach")
	id.n = i + 1
	switch f := c.PowerFactor; {
	case s.Below.IsSet():
		per = s.Add
		text := s.Below.Text
		high, low := mark("below", s.Below.Value, s.Below.Pos, s.Below.Text), mark("down-to", s.DownTo.Value, s.DownTo.Pos, s.DownTo.Text)
		if f.Sliced.Value == 1 {
			first := &f.Slopes[0]
			text = first.Below.Text
			if b.tracing {
				high, low = b.trail.apply(reachedF, b.id(c, "reached"), "", "1", pf, high, low, b.exact(first.Below.Value.Decimal)), b.none()
			} else if pf.LessThan(s.Below.Value.Decimal) && pf.GreaterThanOrEqual(s.DownTo.Value.Decimal) {
				high, low = b.constantN(c, "slope.below", 1, lang.S("mark of power factor"), "1", first.Below.Value.Decimal, Step{Pos: first.Below.Pos, Text: first.Below.Text}), b.none()
			} else {
				high, low = b.none(), b.none()
			}
		}
		reach = b.trail.apply(shortF, id, lang.S("power factor short of a mark"), "1", high, pf, low)
		k = b.constantN(c, "slope.rate", i+1, lang.S("rate per step"), "1", per.Rate, Step{Pos: per.Pos, Text: per.Text})
		rule = b.F("%s below %s, %s", reach, text, per.Text)
	case s.Add.IsSet(): // a tangent above a mark
		per = s.Add
		top := s.UpTo.Value
		if !s.UpTo.IsSet() {
			top = Ratio{decimal.New(1000, 0)}
		}
		reach = b.trail.apply(withinF, id, lang.S("tangent beyond a mark"), "1", pf, mark("above", s.Above.Value, s.Above.Pos, s.Above.Text), mark("up-to", top, s.UpTo.Pos, s.UpTo.Text))
		k = b.constantN(c, "slope.rate", i+1, lang.S("rate per step"), "1", per.Rate, Step{Pos: per.Pos, Text: per.Text})
		rule = b.F("%s above %s, %s", reach, s.Above.Text, per.Text)
	default:
		per = s.Less
		top := s.UpTo.Value
		if !s.UpTo.IsSet() {
			top = Ratio{one}
		}
		reach = b.trail.apply(withinF, id, lang.S("power factor beyond a mark"), "1", pf, mark("above", s.Above.Value, s.Above.Pos, s.Above.Text), mark("up-to", top, s.UpTo.Pos, s.UpTo.Text))
		k = b.constantN(c, "slope.rate", i+1, lang.S("rate per step"), "1", per.Rate.Neg(), Step{Pos: per.Pos, Text: per.Text})
		rule = b.F("%s above %s, %s", reach, s.Above.Text, per.Text)
	}
	return reach, per, k, rule
}

// countedF are the rates of whole steps, by how they are counted.
var countedF = func() map[StepCount]exactly {
	half := decimal.New(5, -1)
	ways := map[StepCount]func(decimal.Decimal) decimal.Decimal{
		StepsUp:       func(n decimal.Decimal) decimal.Decimal { return n.Ceil() },
		StepsDown:     func(n decimal.Decimal) decimal.Decimal { return n.Floor() },
		StepsHalfUp:   func(n decimal.Decimal) decimal.Decimal { return n.Add(half).Floor() },
		StepsHalfDown: func(n decimal.Decimal) decimal.Decimal { return n.Sub(half).Ceil() },
	}
	names := map[StepCount]string{StepsUp: "up", StepsDown: "down", StepsHalfUp: "half up", StepsHalfDown: "half down"}
	bound := map[StepCount]exactly{}
	for _, way := range []StepCount{StepsUp, StepsDown, StepsHalfUp, StepsHalfDown} {
		take := ways[way]
		bound[way] = define("rate of whole steps of power factor, "+names[way], "s = whole(h / p) * k", []string{"h", "p", "k"}, func(x []decimal.Decimal) decimal.Decimal {
			return take(x[0].DivRound(x[1], factorPlaces)).Mul(x[2])
		})
	}
	return bound
}()

func atPeakWords(lang *say.Language, minutes int) string {
	return lang.F("power factor in the %d min with the highest kW", minutes)
}
