package tariff

import (
	"github.com/shopspring/decimal"

	"auditgen/internal/say"
	"auditgen/internal/source"
)

// Reactive is a charge on reactive energy, all of it or beyond an allowance.
// Energy and reactive energy are netted over the bill unless netted says
// otherwise.
type Reactive struct {
	source.Where
	Price  Price                    `key:"price" need:"yes" doc:"price; per kWh or MWh with target" unit:"/kvarh, /kWh or /MWh" example:"0.0097 /kvarh"`
	Flow   source.At[ReactiveFlow]  `key:"flow" doc:"lagging: less what is leading; leading: less what is lagging; lagging register or leading register: that register alone" default:"lagging" example:"leading"`
	Netted source.At[Netting]       `key:"netted" doc:"what is held against the active energy: the bill, each hour, or each interval of so many minutes" default:"bill" example:"hour"`
	Above  Limit                    `key:"above" doc:"what is free: a share of the active energy, or an amount" default:"nothing" example:"50 % of kWh"`
	UpTo   Limit                    `key:"up-to" doc:"where the charge ends" default:"no end" example:"75 % of kWh"`
	Target source.At[Ratio]         `key:"target" doc:"counts kWh x (target / power factor - 1) where the power factor is below it, instead of kvarh" unit:"0 to 1" example:"0.92"`
	Period source.OneOrMany[string] `key:"period" doc:"only these time periods" default:"all hours" example:"day"`
	Season source.OneOrMany[string] `key:"season" doc:"only these seasons" default:"all year" example:"winter"`
	Round  Step                     `key:"round" doc:"rounding of the billed reactive energy" unit:"kvarh" default:"that of rounding: reactive" example:"1 kvarh"`
}

// ReactiveFlow tells which reactive energy a charge counts.
type ReactiveFlow int

// The flows.
const (
	Lagging         ReactiveFlow = iota // lagging less leading, not below zero
	Leading                             // leading less lagging, not below zero
	LaggingRegister                     // lagging alone
	LeadingRegister                     // leading alone
)

// UnmarshalText reads one of the words.
func (f *ReactiveFlow) UnmarshalText(text []byte) error {
	return oneOfWords((*int)(f), "flow", string(text), "lagging", "leading", "lagging register", "leading register")
}

// leads and lags tell a flow of one direction alone.
func (f ReactiveFlow) leads() bool { return f == Leading || f == LeadingRegister }
func (f ReactiveFlow) lags() bool  { return f == LaggingRegister }

// words names the energy of a flow.
func (f ReactiveFlow) words(lang *say.Language) string {
	switch {
	case f.leads():
		return lang.S("leading reactive energy")
	case f.lags():
		return lang.S("lagging reactive energy")
	}
	return lang.S("reactive energy")
}

// byMinutes names what is billed of each interval.
func (r *Reactive) byMinutes(lang *say.Language) string {
	minutes := int(r.Netted.Value)
	what := lang.F("%s by %d min", r.Flow.Value.words(lang), minutes)
	if r.Above.IsSet() {
		what = lang.F("%s, above %s", what, r.Above.Text)
	}
	if r.UpTo.IsSet() {
		what = lang.F("%s, up to %s", what, r.UpTo.Text)
	}
	return what
}

// equivalentBy names the active energy that is billed for each interval.
func (r *Reactive) equivalentBy(lang *say.Language) string {
	target, minutes := r.Target.Text, int(r.Netted.Value)
	switch {
	case r.Flow.Value.leads():
		return lang.F("leading kWh x (%s / power factor - 1) by %d min", target, minutes)
	case r.Flow.Value.lags():
		return lang.F("lagging kWh x (%s / power factor - 1) by %d min", target, minutes)
	}
	return lang.F("kWh x (%s / power factor - 1) by %d min", target, minutes)
}

// of is what an interval has of a flow, not below zero.
func (f ReactiveFlow) of(i interval) decimal.Decimal {
	switch f {
	case LaggingRegister:
		return i.lag
	case LeadingRegister:
		return i.lead
	case Leading:
		return decimal.Max(decimal.Zero, i.lead.Sub(i.lag))
	}
	return decimal.Max(decimal.Zero, i.lag.Sub(i.lead))
}

var (
	minusF = define("other sign", "q = -m", []string{"m"}, func(x []decimal.Decimal) decimal.Decimal { return x[0].Neg() })
	// equivalentF is active energy billed in the place of reactive energy.
	equivalentF = define("energy for low power factor", "q = max(0; E * (t / PF - 1))", []string{"E", "t", "PF"}, equivalent)
)

func equivalent(x []decimal.Decimal) decimal.Decimal {
	if !x[2].IsPositive() || x[2].GreaterThanOrEqual(x[1]) {
		return decimal.Zero
	}
	return x[0].Mul(x[1]).DivRound(x[2], factorPlaces).Sub(x[0])
}

// reactiveIn asks for a reactive energy of the bill by its flow, in varh.
func (b *pricing) reactiveIn(flow ReactiveFlow, m Metered) val {
	lang := b.o.Words
	use := b.uses[b.i]
	if m.Part != (Period{}) {
		use = b.parts[partKey{b.i, m.Part}]
	}
	if _, ok := use.(RegisterUse); ok && (flow == LaggingRegister || flow == LeadingRegister) {
		m.What, m.base = [...]string{LaggingRegister: say.Key("lagging reactive energy"), LeadingRegister: say.Key("leading reactive energy")}[flow], "varh"
		return b.meter(b.i, m)
	}
	if flow == LaggingRegister || flow == LeadingRegister {
		b.note(lang.S("lagging and leading reactive energy have no registers of their own here: their difference is taken"))
	}
	m.What = say.Key("reactive energy")
	v := b.meter(b.i, m)
	if flow == Leading || flow == LeadingRegister {
		v = b.trail.apply(minusF, ident{period: b.i, charge: -1, word: "leading"}, lang.S("leading reactive energy"), "varh", v)
	}
	return v
}

// reactive prices reactive energy beyond what is free.
func (b *pricing) reactive(c *charge) []Line {
	lang := b.o.Words
	r := c.Reactive
	unit := c.unit
	h := b.words()
	step := quantityStep(r.Round, b.t.Rounding.Reactive, unit)
	var q val
	switch {
	case r.Target.IsSet():
		q = b.reactiveEquivalent(c, h)
	case r.Netted.Value > 0:
		var ok bool
		if q, ok = b.reactiveNetted(c, h); !ok {
			b.note(lang.F("%s is netted interval by interval; the intervals are not known, and it is netted over the bill, which is not more", c.label()))
			q = b.reactiveBeyond(c, h)
		}
	default:
		q = b.reactiveBeyond(c, h)
	}
	q = b.trail.apply(billedF[step.Way], b.id(c, "quantity"), c.label(), unit, q, b.one(), b.stepNode(step, unit))
	h.F("billed: %s %s", q, unit)
	q = b.multiplied(c, q, unit, h)
	l := b.newLine(c, 0, c.label(), q, unit, b.priceOf(c, 0, r.Price), r.Price.Per.String())
	l.How = h.lines
	return []Line{l}
}

// reactiveBeyond is the reactive energy of the bill beyond what is free.
func (b *pricing) reactiveBeyond(c *charge, h *sentences) val {
	lang := b.o.Words
	r, unit := c.Reactive, c.unit
	m := b.taken(c, Metered{Slots: c.sel}, func(m Metered) val { return b.reactiveIn(r.Flow.Value, m) })
	q := b.toBilled(m, unit, Step{Size: meteredStep}, b.id(c, "metered"), lang.S("reactive energy"))
	switch where := inWords(lang, c.whereIn(lang)); {
	case r.Flow.Value.leads():
		h.F("%s %s leading %s%s", show(q), unit, b.word(), where)
	case r.Flow.Value.lags():
		h.F("%s %s lagging %s%s", show(q), unit, b.word(), where)
	default:
		h.F("%s %s %s%s", show(q), unit, b.word(), where)
	}
	b.partWords(c, h)
	free := b.none()
	if r.Above.IsSet() {
		var words string
		free, words = b.limit(c, r.Above, unit, b.i)
		h.F("free: %s", words)
	}
	if r.UpTo.IsSet() {
		end, words := b.limit(c, r.UpTo, unit, b.i)
		h.F("up to: %s", words)
		return b.trail.apply(withinF, b.id(c, "beyond"), lang.S("reactive energy in the range"), unit, q, free, end)
	}
	return b.trail.apply(aboveF, b.id(c, "beyond"), lang.S("reactive energy beyond the allowance"), unit, q, free)
}

// reactiveNetted adds what each interval has beyond its own allowance. An
// interval without active energy has no allowance.
func (b *pricing) reactiveNetted(c *charge, h *sentences) (val, bool) {
	lang := b.o.Words
	r := c.Reactive
	minutes := int(r.Netted.Value)
	if _, ok := b.course(b.i, c.sel, minutes); !ok {
		return val{}, false
	}
	free, end := r.Above.Share, r.UpTo.Share
	if !r.Above.IsSet() {
		free = decimal.Zero
	}
	what := r.byMinutes(lang)
	m := b.taken(c, Metered{What: r.byMinutes(nil), said: what, Slots: c.sel, base: "varh"}, func(m Metered) val {
		v, _ := b.fromCourse(b.i, m, minutes, func(all []interval) decimal.Decimal {
			sum := decimal.Zero
			for _, i := range all {
				over := decimal.Max(decimal.Zero, r.Flow.Value.of(i).Sub(i.energy.Mul(free)))
				if r.UpTo.IsSet() {
					over = decimal.Min(over, i.energy.Mul(end.Sub(free)))
				}
				sum = sum.Add(over)
			}
			return sum
		})
		return v
	})
	q := b.toBilled(m, c.unit, Step{Size: meteredStep}, b.id(c, "metered"), lang.S("reactive energy"))
	h.F("%s %s: %s%s", show(q), c.unit, what, inWords(lang, c.whereIn(lang)))
	b.partWords(c, h)
	return q, true
}

// reactiveEquivalent is the active energy that is billed for a power factor
// below the target: sum of E x (target / PF - 1).
func (b *pricing) reactiveEquivalent(c *charge, h *sentences) val {
	lang := b.o.Words
	r := c.Reactive
	minutes := int(r.Netted.Value)
	target := b.constant(c, "target", lang.S("target power factor"), "1", r.Target.Value.Decimal, Step{Pos: r.Target.Pos, Text: r.Target.Text})
	if minutes > 0 {
		what := r.equivalentBy(lang)
		if _, ok := b.course(b.i, c.sel, minutes); ok {
			m := b.taken(c, Metered{What: r.equivalentBy(nil), said: what, Slots: c.sel, base: "Wh"}, func(m Metered) val {
				v, _ := b.fromCourse(b.i, m, minutes, func(all []interval) decimal.Decimal {
					sum := decimal.Zero
					for _, i := range all {
						pf := averageFactor([]decimal.Decimal{i.energy, r.Flow.Value.of(i)})
						sum = sum.Add(equivalent([]decimal.Decimal{i.energy, target.Decimal, pf}))
					}
					return sum
				})
				return v
			})
			q := b.toBilled(m, c.unit, Step{Size: meteredStep}, b.id(c, "metered"), lang.S("energy for low power factor"))
			h.F("%s %s: %s%s", show(q), c.unit, what, inWords(lang, c.whereIn(lang)))
			return q
		}
		b.note(lang.F("%s looks at the power factor interval by interval; the intervals are not known, and the bill's is taken, which is not more", c.label()))
	}
	e := b.taken(c, Metered{Slots: c.sel}, func(m Metered) val { m.What = "energy"; return b.meter(b.i, m) })
	q := b.taken(c, Metered{Slots: c.sel}, func(m Metered) val { return b.reactiveIn(r.Flow.Value, m) })
	q = b.trail.apply(aboveF, b.id(c, "reactive"), lang.S("reactive energy"), "varh", q, b.none())
	pf := b.trail.apply(averageF, b.id(c, "power-factor"), lang.S("average power factor"), "1", e, q)
	v := b.trail.apply(equivalentF, b.id(c, "equivalent"), lang.S("energy for low power factor"), "Wh", e, target, pf)
	h.F("%s kWh x (%s / %s - 1)%s", kiloOf(e), target, pf.Round(4), inWords(lang, c.whereIn(lang)))
	return b.toBilled(v, c.unit, Step{Size: meteredStep}, b.id(c, "metered"), lang.S("energy for low power factor"))
}
