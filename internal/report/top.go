package report

import (
	"auditgen/internal/audit"
	"auditgen/internal/finding"
	"auditgen/internal/quantity"
)

// Top is the first screen: the answer, what stands behind it, and four figures.
type Top struct {
	Kicker, Headline, StandFirst string
	Figures                      []KeyFigure
}

// KeyFigure is a figure with its interval drawn and in words.
type KeyFigure struct {
	Term, Big, Unit string
	Strip           *Strip
	Range, Why      string
	Link            string
}

// First is what to do first.
type First struct {
	Steps []FirstStep
	None  string
}

// FirstStep is one of them.
type FirstStep struct{ Action, Link, Who, Gain, GainNote string }

func (v *visit) top() Top {
	t := Top{
		Kicker:     v.F("Electrical energy assessment · %s", v.place()),
		Headline:   v.headline(),
		StandFirst: v.standFirst(),
		Figures:    []KeyFigure{v.costFigure(), v.energyFigure(), v.peakFigure(), v.fourthFigure()},
	}
	t.explainInterval(v.S("nine chances in ten that it lies in this range"))
	return t
}

// explainInterval says once, at the first figure that has one, what an interval
// means.
func (t *Top) explainInterval(means string) {
	for i := range t.Figures {
		if f := &t.Figures[i]; f.Strip != nil {
			f.Why = joinSentences(means, f.Why)
			return
		}
	}
}

// joinSentences puts two parts into one sentence; either may be empty.
func joinSentences(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}

func (v *visit) keyFigure(term string, w write, i audit.Interval, unit string) KeyFigure {
	if !known(i) {
		return KeyFigure{Term: term, Big: v.notKnown()}
	}
	f := KeyFigure{Term: term, Big: best(w, i), Unit: unit, Link: v.link(i.Step), Range: v.span(w, i)}
	if i.Half() > 0 {
		f.Strip = strip(i)
	}
	return f
}

func (v *visit) plain(x float64, decimals int) string { return v.number(x, decimals) }
func (v *visit) cash(x float64, decimals int) string  { return v.money(x, decimals) }

func (v *visit) costFigure() KeyFigure {
	f := v.keyFigure(v.S("Electricity cost, a year"), v.cash, v.Cost, "")
	if !known(v.Cost) {
		f.Why = v.S("it needs loads with hours, and a tariff")
		return f
	}
	f.Why = v.basisWords()
	return f
}

func (v *visit) energyFigure() KeyFigure {
	f := v.keyFigure(v.S("Energy used, a year"), v.plain, v.Energy, "kWh")
	if !known(v.Energy) {
		f.Why = v.S("it needs loads with power and hours")
		return f
	}
	f.Why = joinSentences(v.intensity(), v.basisWords())
	return f
}

// intensity relates the year's energy to what the site makes, or to its floor.
// The doubt of the ratio is that of the energy.
func (v *visit) intensity() string {
	if o := v.Record.Site.Output; o != nil {
		if n, _, err := quantity.Number(o.Amount.Value); err == nil && n > 0 {
			return v.F("%s for each %s", v.withUnit(best(v.plain, scaled(v.Energy, 1/n)), "kWh"), o.Unit.Value)
		}
	}
	if area := float64(v.Record.Site.FloorArea.Value.Value); area > 0 {
		return v.F("%s for each square metre", v.withUnit(best(v.plain, scaled(v.Energy, 1/area)), "kWh"))
	}
	return ""
}

func scaled(i audit.Interval, by float64) audit.Interval {
	i.Value, i.Low, i.High = i.Value*by, i.Low*by, i.High*by
	return i
}

func (v *visit) peakFigure() KeyFigure {
	f := v.keyFigure(v.S("Highest demand"), v.plain, v.Peak, "kW")
	if !known(v.Peak) {
		f.Why = v.S("it needs loads with power and hours")
		return f
	}
	f.Why = v.F("expected in %s", v.monthName(v.PeakMonth))
	if v.MonthsAlike() {
		f.Why = v.S("expected in every month alike")
	}
	if v.Months[v.PeakMonth].Logged() {
		f.Why = v.F("logged in %s", v.monthName(v.PeakMonth))
	}
	if known(v.PeakKVA) {
		f.Why = joinSentences(f.Why, v.F("as apparent power %s", v.withUnit(best(v.plain, v.PeakKVA), "kVA")))
	}
	return f
}

// lowPowerFactor is the rule whose cost is a key figure where it has one.
const lowPowerFactor = "low-power-factor"

func (v *visit) priced(rule string) *finding.Finding {
	for i := range v.Findings {
		if f := &v.Findings[i]; f.Rule == rule && f.Cost != nil && f.Cost.Value > 0 {
			return f
		}
	}
	return nil
}

func (v *visit) fourthFigure() KeyFigure {
	if f := v.priced(lowPowerFactor); f != nil {
		k := v.keyFigure(v.S("Cost of low power factor"), v.cash, *f.Cost, v.S("a year"))
		k.Link = "#" + findingAnchor(f.ID)
		k.Why = v.S("part of the cost, not on top of it")
		return k
	}
	k := KeyFigure{Term: v.S("Price of a kilowatt-hour, all in"), Big: v.notKnown(), Why: v.S("it needs the cost and the energy of a year")}
	if known(v.Cost) && known(v.Energy) && v.Energy.Value > 0 {
		price := v.Cost.Value / v.Energy.Value
		place := exponent(price) - 1
		k.Big, k.Unit = v.money(roundTo(price, place), max(0, -place)), v.S("per kWh")
		k.Why = v.S("cost over energy; the same doubts move both, so their ratio is known better than either")
	}
	return k
}

// mostFirst is how many steps the first screen names.
const mostFirst = 3

// first is what to do first: what needs action now, then the plan in its order,
// and where nothing is proposed the findings that ask for a step. What is only to
// be watched is no step.
func (v *visit) first() First {
	var s First
	for i := range v.Findings {
		f := &v.Findings[i]
		if f.Severity == finding.InOrder || f.Severity == finding.Watch || f.Action == "" || len(s.Steps) == mostFirst || v.Plan != nil && f.Severity != finding.ActNow {
			continue
		}
		step := FirstStep{Action: capital(v.filled(*f, v.bare(f.Action))), Link: "#" + findingAnchor(f.ID), Who: v.bare(f.Who), GainNote: v.severityWord(f.Severity)}
		if f.Cost != nil && f.Cost.Value > 0 {
			step.Gain, step.GainNote = best(v.cash, *f.Cost), v.S("a year at stake")
		}
		s.Steps = append(s.Steps, step)
	}
	s.Steps = append(s.Steps, v.planSteps(mostFirst-len(s.Steps))...)
	if len(s.Steps) == 0 {
		s.None = v.noSteps(len(v.Findings), len(v.Unassessed))
	}
	return s
}

// noSteps says why there is nothing to do first.
func (f format) noSteps(findings, unassessed int) string {
	text := f.S("Nothing in the readings asks for a step now.")
	if findings == 0 {
		text = f.S("No step follows from what was read.")
	}
	if unassessed > 0 {
		text += " " + capital(f.N(unassessed, "one matter could not be judged; part B says which reading would settle it.", "%s matters could not be judged; part B says which reading would settle each.", f.numeral(unassessed)))
	}
	return text
}
