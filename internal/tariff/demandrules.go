package tariff

import (
	"fmt"
	"math/big"
	"regexp"
	"strconv"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/say"
)

// DemandRule tells what is taken of the demands of a bill.
type DemandRule int

// The rules.
const (
	Highest       DemandRule = iota
	SumOfDays                // each day's highest, added
	RootOfSquares            // sqrt of the sum of squares of what each window exceeds the limit
	AtKWPeak                 // kvar in the window with the highest kW
)

var demandRules = []string{"highest", "sum of days", "root of squares", "at kW peak"}

// UnmarshalText reads one of the words.
func (r *DemandRule) UnmarshalText(text []byte) error {
	return oneOfWords((*int)(r), "rule for demands", string(text), demandRules...)
}

func (r DemandRule) words(lang *say.Language) string {
	switch r {
	case SumOfDays:
		return lang.S("each day's highest mean, added")
	case RootOfSquares:
		return lang.S("root of the sum of squares of what each window exceeds the limit")
	case AtKWPeak:
		return lang.S("reactive demand when the kW are highest")
	}
	return lang.S("highest mean")
}

// Netting is how reactive energy is set against active energy: over the bill
// (0), or over intervals of so many minutes.
type Netting int

var nettingForm = regexp.MustCompile(`^(\d{1,2}) min$`)

// UnmarshalText reads bill, hour or minutes that divide the hour.
func (n *Netting) UnmarshalText(text []byte) error {
	switch s := string(text); s {
	case "bill":
		*n = 0
		return nil
	case "hour":
		*n = 60
		return nil
	default:
		if m := nettingForm.FindStringSubmatch(s); m != nil {
			if k, _ := strconv.Atoi(m[1]); k > 0 && 60%k == 0 {
				*n = Netting(k)
				return nil
			}
		}
		p := diag.OneOf("netting", s, []string{"bill", "hour"})
		p.Expected = "bill, hour, or minutes that divide the hour, such as 30 min"
		return p
	}
}

// MeanOf is the mean of the highest demands of so many months.
type MeanOf struct{ Highest, Months int }

var meanOfForm = regexp.MustCompile(`^(\d{1,2}) highest of (\d{1,2}) months$`)

// UnmarshalText reads such as 2 highest of 6 months.
func (m *MeanOf) UnmarshalText(text []byte) error {
	f := meanOfForm.FindStringSubmatch(string(text))
	if f != nil {
		m.Highest, _ = strconv.Atoi(f[1])
		m.Months, _ = strconv.Atoi(f[2])
	}
	if f == nil || m.Highest < 1 || m.Months < m.Highest || m.Months < 2 || m.Months > 60 {
		return &diag.Problem{What: fmt.Sprintf("%q is not a mean of months", text), Expected: "such as 2 highest of 6 months"}
	}
	return nil
}

// demandOver asks for a highest mean. A sliding mean of a use that knows block
// means alone is taken as the highest block mean.
func (p *pricer) demandOver(i int, sel SlotSet, unit DemandUnit, w Window) val {
	lang := p.o.Words
	m := Metered{What: "demand", Slots: sel, Unit: unit, Window: w.Minutes}
	if w.Every > 0 {
		if _, ok := p.uses[i].(SlidingUse); ok {
			m.Every = w.Every
		} else {
			p.notesOf[i] = append(p.notesOf[i], lang.S("the demand window slides; the highest block mean is taken, and the sliding one is not lower"))
		}
	}
	return p.meter(i, m)
}

// demandMetered is what is taken of the demands of a bill, in base units.
func (b *pricing) demandMetered(i int, c *charge, h *sentences) val {
	lang := b.o.Words
	d := c.Demand
	w := d.Window.Value
	unit := DemandUnit(c.unit)
	if d.Takes.Value == Highest {
		return b.demandOver(i, c.sel, unit, w)
	}
	m := Metered{What: d.Takes.Value.words(nil) + " (" + c.ID.Value + ")", said: d.Takes.Value.words(lang) + " (" + c.ID.Value + ")", Slots: c.sel, Unit: unit, Window: w.Minutes, base: map[DemandUnit]string{KW: "W", KVA: "VA", Kvar: "var"}[unit]}
	limit := decimal.Zero
	if d.Takes.Value == RootOfSquares {
		v, words := b.limit(c, d.Above, c.unit, i)
		if b.tracing && d.Above.Kind != LimitAmount && d.Above.Kind != LimitAgreed {
			b.fail(c.Pos, "", "%s counts windows beyond a limit that moves", c.label())
		}
		limit = v.Shift(3)
		h.F("limit: %s", words)
	}
	v, ok := b.fromCourse(i, m, w.Minutes, func(all []interval) decimal.Decimal { return takeDemand(d.Takes.Value, all, unit, w.Minutes, limit) })
	if ok {
		return v
	}
	high := b.demandOver(i, c.sel, unit, w)
	switch d.Takes.Value {
	case SumOfDays:
		b.note(lang.F("%s adds each day's highest demand; the days are not known, and the month's highest is taken for each", c.label()))
		return b.trail.apply(timesF, b.id(c, "every-day"), lang.S("highest demand on each day"), m.base, high, b.count("bill-days", nil, b.periods[i].Days()))
	case RootOfSquares:
		b.note(lang.F("%s counts every window beyond the limit; the windows are not known, and the highest alone is taken", c.label()))
		at := b.constantRaw("limit."+c.ID.Value, lang.S("limit"), m.base, limit, Step{Pos: d.Above.Pos, Text: d.Above.Text})
		return b.trail.apply(aboveF, b.id(c, "highest-excess"), lang.S("highest excess"), m.base, high, at)
	}
	b.note(lang.F("%s takes the kvar when the kW are highest; the course is not known, and the highest kvar are taken", c.label()))
	return high
}

// takeDemand applies a rule to the windows of a course, in base units.
func takeDemand(rule DemandRule, all []interval, unit DemandUnit, minutes int, limit decimal.Decimal) decimal.Decimal {
	hours := decimal.New(60, 0)
	mean := func(i interval) decimal.Decimal {
		return i.of(unit).Mul(hours).DivRound(decimal.New(int64(minutes), 0), 6)
	}
	sum, day, top := decimal.Zero, decimal.Zero, decimal.Zero
	var kvar decimal.Decimal
	for k, i := range all {
		switch p := mean(i); rule {
		case SumOfDays:
			if k > 0 && all[k-1].part != i.part {
				sum, day = sum.Add(day), decimal.Zero
			}
			day = decimal.Max(day, p)
		case RootOfSquares:
			if over := p.Sub(limit); over.IsPositive() {
				sum = sum.Add(over.Mul(over))
			}
		case AtKWPeak:
			if w := i.energy; w.GreaterThan(top) {
				top, kvar = w, p
			}
		}
	}
	switch rule {
	case SumOfDays:
		return sum.Add(day)
	case RootOfSquares:
		return squareRoot(sum)
	}
	return kvar
}

// of is the energy, reactive or apparent energy of an interval.
func (i interval) of(unit DemandUnit) decimal.Decimal {
	switch unit {
	case KW:
		return i.energy
	case Kvar:
		return decimal.Max(decimal.Zero, i.lag.Sub(i.lead))
	}
	return hypot(i.energy, i.lag.Sub(i.lead))
}

// squareRoot is the root of a number that is not negative, to six decimals.
func squareRoot(d decimal.Decimal) decimal.Decimal {
	const places = 7
	return decimal.NewFromBigInt(new(big.Int).Sqrt(d.Shift(2*places).BigInt()), -places).Round(places - 1)
}

func hypot(a, b decimal.Decimal) decimal.Decimal { return squareRoot(a.Mul(a).Add(b.Mul(b))) }

func hourlyWords(lang *say.Language, target string, minutes int) string {
	return lang.F("highest of demand x %s / power factor, by %d min", target, minutes)
}

// adjustHourly is the highest of demand x target / actual of any interval.
func (b *pricing) adjustHourly(i int, c *charge, h *sentences) (val, bool) {
	lang := b.o.Words
	a := c.Demand.Adjust
	minutes := int(a.Netted.Value)
	target := a.Target.Value.Decimal
	m := Metered{What: hourlyWords(nil, a.Target.Text, minutes), said: hourlyWords(lang, a.Target.Text, minutes), Slots: c.sel, Unit: KW, Window: minutes, base: "W"}
	v, ok := b.fromCourse(i, m, minutes, func(all []interval) decimal.Decimal {
		top := decimal.Zero
		for _, s := range all {
			if s.energy.IsPositive() {
				pf := averageFactor([]decimal.Decimal{s.energy, s.lag})
				mean := s.energy.Mul(decimal.New(60, 0)).DivRound(decimal.New(int64(minutes), 0), 6)
				top = decimal.Max(top, mean.Mul(target).DivRound(pf, factorPlaces))
			}
		}
		return top
	})
	if !ok {
		b.note(lang.F("%s looks at the power factor hour by hour; the hours are not known, and the bill's is taken", c.label()))
		return v, false
	}
	v = b.toBilled(v, c.unit, Step{Size: meteredStep}, ident{period: i, charge: c.index, word: "hourly"}, lang.S("highest adjusted demand"))
	h.F("%s: %s %s", m.What, show(v), c.unit)
	return v, true
}
