package tariff

import (
	"math"

	"github.com/shopspring/decimal"

	"auditgen/internal/say"
)

type measureKey struct {
	period int
	Metered
}

// meter asks the period's Use once for each question and leaves the answer in
// the trail, in base units. This is where binary numbers become decimal.
func (p *pricer) meter(period int, m Metered) val {
	k := measureKey{period, m}
	if v, ok := p.measured[k]; ok {
		return v
	}
	use := p.uses[period]
	if m.Part != (Period{}) {
		use = p.parts[partKey{period, m.Part}]
	}
	var x float64
	switch m.What {
	case "energy":
		x = float64(use.Energy(m.Slots))
	case "reactive energy":
		x = float64(use.Reactive(m.Slots))
	case "exported energy":
		x = float64(use.(ExportUse).Exported(m.Slots))
	case "lagging reactive energy":
		x = float64(use.(RegisterUse).Lagging(m.Slots))
	case "leading reactive energy":
		x = float64(use.(RegisterUse).Leading(m.Slots))
	case "apparent energy":
		x = use.(ApparentUse).Apparent(m.Slots)
	case "demand":
		if m.Every > 0 {
			x = use.(SlidingUse).SlidingDemand(m.Slots, m.Unit, m.Window, m.Every)
		} else {
			x = use.Demand(m.Slots, m.Unit, m.Window)
		}
	case "power factor":
		f, _ := use.(FactorUse).PowerFactor(m.Slots)
		x = float64(f)
	}
	if math.IsNaN(x) || math.IsInf(x, 0) || math.Abs(x) > 1e18 || x < 0 && m.What != "reactive energy" {
		p.fail(p.t.File.Pos, "", "%s, %s: %g is not a quantity that can be billed", p.periods[period], p.t.meterLabel(nil, m), x)
		x = 0
	}
	v := p.trail.put(node{id: ident{period: period, charge: -1}, unit: m.Base(), v: decimal.NewFromFloat(x), asked: true, metered: m})
	p.measured[k] = v
	return v
}

// meterLabel words a question: "energy, day", "highest 15 min mean in kVA".
func (t *Tariff) meterLabel(lang *say.Language, m Metered) string {
	s := m.said
	if s == "" || lang == nil {
		s = lang.S(m.What)
	}
	if m.What == "demand" {
		s = lang.F("highest %d min mean in %s", m.Window, m.Unit)
		if m.Every > 0 {
			s = lang.F("highest %d min mean every %d min in %s", m.Window, m.Every, m.Unit)
		}
	}
	if w := t.slotWords(lang, m.Slots); w != "" {
		s += ", " + w
	}
	if m.Part != (Period{}) {
		s += ", " + m.Part.In(lang)
	}
	return s
}

// interval is an Interval in exact numbers: Wh and varh.
type interval struct {
	part              Period // the day
	minute            int
	energy, lag, lead decimal.Decimal
}

type courseKey struct {
	period  int
	slots   SlotSet
	minutes int
}

// course gives the intervals of a period, exactly as the use states them.
func (p *pricer) course(period int, slots SlotSet, minutes int) ([]interval, bool) {
	k := courseKey{period, slots, minutes}
	if c, ok := p.courses[k]; ok {
		return c, c != nil
	}
	var out []interval
	if use, ok := p.uses[period].(CourseUse); ok {
		if given, ok := use.Course(slots, minutes); ok {
			out = p.exactCourse(period, given)
		}
	}
	p.courses[k] = out
	return out, out != nil
}

func (p *pricer) exactCourse(period int, given []Interval) []interval {
	out := make([]interval, 0, len(given)+1)
	for _, g := range given {
		bad := false
		exact := func(x float64) decimal.Decimal {
			if math.IsNaN(x) || math.IsInf(x, 0) || x < 0 || x > 1e18 {
				bad = true
				return decimal.Zero
			}
			return decimal.NewFromFloat(x)
		}
		i := interval{part: Period{g.Day, g.Day.AddDays(1)}, minute: g.Minute, energy: exact(float64(g.Energy)), lag: exact(float64(g.Lagging)), lead: exact(float64(g.Leading))}
		if bad {
			p.fail(p.t.File.Pos, "", "%s: the interval of %s %02d:%02d is not a quantity that can be billed", p.periods[period], g.Day, g.Minute/60, g.Minute%60)
		}
		out = append(out, i)
	}
	return out
}

// fromCourse answers a question from the intervals of a bill, once; false when
// the use holds no course so fine.
func (p *pricer) fromCourse(period int, m Metered, minutes int, answer func([]interval) decimal.Decimal) (val, bool) {
	lang := p.o.Words
	k := measureKey{period, m}
	if v, ok := p.measured[k]; ok {
		return v, true
	}
	all, ok := p.course(period, m.Slots, minutes)
	if !ok {
		return val{}, false
	}
	if m.Part != (Period{}) {
		var some []interval
		for _, i := range all {
			if m.Part.Contains(i.part.From) {
				some = append(some, i)
			}
		}
		all = some
	}
	v := p.trail.put(node{id: ident{period: period, charge: -1}, unit: m.Base(), v: answer(all), asked: true, metered: m,
		typed: lang.F("from %d intervals of %d min", len(all), minutes)})
	p.measured[k] = v
	return v, true
}
