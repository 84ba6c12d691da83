package audit

import (
	"math"

	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/site"
	"auditgen/internal/source"
	"auditgen/internal/working"
)

// typed records what a meter showed; an absent value stays absent.
func typed[Q quantity.Quantity](s *working.Sheet, id, label string, a source.At[quantity.Displayed[Q]]) Value {
	if !a.IsSet() {
		return Value{}
	}
	return measured(s, id, label, float64(a.Value.Value), quantity.KindOf[Q]().Base(), a.Text, a.Pos)
}

func num[Q ~float64](v Value) working.Num[Q] { return working.Num[Q]{V: Q(v.V), Step: v.Step} }

// derived makes a value of a formula's result. A formula that its arguments
// cannot satisfy gives no number; the value then stays absent.
func derived[Q quantity.Quantity](n working.Num[Q]) Value {
	return Value{V: float64(n.V), Unit: quantity.KindOf[Q]().Base(), Step: n.Step, Kind: working.Derived}
}

// ratioOf is derived for a plain ratio, which has no unit of its own.
func ratioOf(n working.Num[quantity.Ratio]) Value {
	return Value{V: float64(n.V), Step: n.Step, Kind: working.Derived}
}

// readings runs the passes over single readings.
func readings(rec *site.Record, s *working.Sheet) []Reading {
	rs := make([]Reading, len(rec.Readings))
	for i, r := range rec.Readings {
		rs[i] = readReading(rec, s, r)
	}
	return rs
}

func readReading(rec *site.Record, s *working.Sheet, r site.Reading) Reading {
	lang := rec.Words
	point, _ := rec.Site.PointOf(r.At.Value)
	place, _ := rec.Site.Points.Get(point)
	out := Reading{
		ID: r.ID.Value, At: r.At.Value, Point: point, PointName: place.Name.Value, Of: r.Of.Value,
		Wiring: r.Wiring.Value, Balanced: r.Balanced.Value, Instrument: rec.InstrumentOf(r),
		Pos: r.Pos, Sequence: r.Sequence.Value, Date: rec.Visit.Date.Value,
	}
	if r.Time.IsSet() {
		out.Time = r.Time.Value.String()
	}
	if r.Wave != nil {
		out.Notes = r.Wave.Notes
	}
	p := phasePass{lang: rec.Words, sheet: s, reading: &out, prefix: "readings." + r.ID.Value + "."}
	p.transformers(r.Ratios)
	p.lines(r)
	p.phases(r)
	p.total(r)
	out.Frequency = typed(s, p.prefix+"frequency", lang.S("frequency"), r.Frequency)
	p.unbalance()
	p.sequences()
	p.waves(r)
	out.PowerError = powerError(out, r)
	return out
}

// powerError is the limit of error of a reading's total power in W: the share
// of reading and digits of the total or of each power shown, and the effect of
// the clamp's angle error, which grows as tan φ. Power that was not shown but
// worked out from volts and amperes has the errors of both.
func powerError(r Reading, raw site.Reading) float64 {
	a := r.Instrument.Limits()
	worked := float64(a.Voltage.OfReading + a.Current.OfReading + 0.01)
	rows := rowsOf(raw, a)
	if t := rows[len(rows)-1].power; t.ok {
		return t.err + angleError(r)
	}
	shown, derived := 0.0, 0.0
	for _, row := range rows[:len(rows)-1] {
		switch {
		case row.power.ok:
			shown += row.power.err
		case !row.line || r.Wiring != site.ThreePhaseThreeWire:
			derived += worked * math.Abs(r.phase(row.name).Power.V)
		}
	}
	if raw.Balanced.Value {
		shown, derived = 3*shown, 3*derived
	}
	if shown == 0 && derived == 0 {
		return worked * math.Abs(r.Total.Power.V)
	}
	if shown == 0 {
		return derived
	}
	return shown + derived + angleError(r)
}

// angleError is what the clamp's angle error makes of the power, in W.
func angleError(r Reading) float64 {
	return float64(r.Instrument.Limits().PhaseAngle) * math.Pi / 180 * math.Abs(r.Total.Reactive.V)
}

// phase gives a phase by its name; one that is not there has no values.
func (r Reading) phase(name string) Phase {
	for _, p := range r.Phases {
		if p.Name == name {
			return p
		}
	}
	return Phase{}
}

// phasePass reads and completes the phases of one reading.
type phasePass struct {
	lang    *say.Language
	sheet   *working.Sheet
	reading *Reading
	prefix  string
	behind  *transformers // to be applied here; nil when there are none, or when the meter did it
}

func (p *phasePass) label(what, phase string) string {
	lang := p.lang
	if phase == "total" {
		return lang.F("%s of %s", what, p.reading.ID)
	}
	return lang.F("%s of %s, phase %s", what, p.reading.ID, phase)
}

func (p *phasePass) lines(r site.Reading) {
	lang := p.lang
	for _, l := range r.Lines {
		i := site.LineIndex(l.Key)
		id := p.prefix + l.Key + "."
		p.reading.Lines[i] = p.voltsLL(id+"voltage", lang.F("voltage %s of %s", l.Key, p.reading.ID), l.Value.Voltage)
		if r.Wiring.Value == site.ThreePhaseThreeWire {
			p.reading.Wattmeters[i] = p.watts(id+"power", lang.F("wattmeter %s of %s", l.Key, p.reading.ID), l.Value.Power)
			continue
		}
		if ph := p.pair(l, id); ph.Current.Known() || ph.Power.Known() {
			p.reading.Phases = append(p.reading.Phases, p.complete(ph, id, p.lead(l.Value.PF)))
		}
	}
}

// pair reads a load that stands between two lines.
func (p *phasePass) pair(l source.Entry[site.LineSet], id string) Phase {
	lang := p.lang
	return Phase{
		Name:     l.Key,
		Voltage:  p.reading.Lines[site.LineIndex(l.Key)],
		Current:  p.amperes(id+"current", p.label(lang.S("current"), l.Key), l.Value.Current),
		Power:    p.watts(id+"power", p.label(lang.S("active power"), l.Key), l.Value.Power),
		Reactive: p.vars(id+"reactive", p.label(lang.S("reactive power"), l.Key), l.Value.Reactive),
		Apparent: p.voltAmperes(id+"apparent", p.label(lang.S("apparent power"), l.Key), l.Value.Apparent),
		PF:       p.powerFactor(id+"pf", p.label(lang.S("power factor"), l.Key), l.Value.PF, l.Value.Power.IsSet()),
	}
}

func (p *phasePass) phases(r site.Reading) {
	lang := p.lang
	for _, e := range r.Phases {
		if site.PhaseIndex(e.Key) == site.Neutral {
			p.reading.Neutral = p.amperes(p.prefix+"N.current", lang.F("neutral current of %s", p.reading.ID), e.Value.Current)
			continue
		}
		id := p.prefix + e.Key + "."
		p.reading.Phases = append(p.reading.Phases, p.complete(p.shown(e.Key, id, e.Value), id, p.lead(e.Value.PF)))
	}
}

func (p *phasePass) shown(name, id string, x site.Phase) Phase {
	lang := p.lang
	return Phase{
		Name:     name,
		Voltage:  p.volts(id+"voltage", p.label(lang.S("voltage"), name), x.Voltage),
		Current:  p.amperes(id+"current", p.label(lang.S("current"), name), x.Current),
		Power:    p.watts(id+"power", p.label(lang.S("active power"), name), x.Power),
		Reactive: p.vars(id+"reactive", p.label(lang.S("reactive power"), name), x.Reactive),
		Apparent: p.voltAmperes(id+"apparent", p.label(lang.S("apparent power"), name), x.Apparent),
		PF:       p.powerFactor(id+"pf", p.label(lang.S("power factor"), name), x.PF, x.Power.IsSet()),
		Angle:    typed(p.sheet, id+"angle", p.label(lang.S("angle"), name), x.Angle),

		VoltageAngle: typed(p.sheet, id+"voltage-angle", p.label(lang.S("angle of the voltage"), name), x.VoltageAngle),
	}
}

// complete derives what the meter did not show from what it did, in rounds
// until nothing more follows. What was shown is never replaced.
func (p *phasePass) complete(ph Phase, id string, lead quantity.Lead) Phase {
	lang := p.lang
	for {
		before := ph
		p.completeApparent(&ph, id)
		p.completePower(&ph, id)
		p.completeReactive(&ph, id, lead)
		if !ph.Current.Known() && ph.Apparent.Known() && ph.Voltage.Known() && ph.Voltage.V > 0 {
			ph.Current = derived(power.CurrentF.Apply(p.sheet, id+"current", p.label(lang.S("current"), ph.Name), "A", num[quantity.VoltAmperes](ph.Apparent), num[quantity.VoltsLN](ph.Voltage)))
		}
		if !ph.PF.Known() && ph.Power.Known() && ph.Apparent.Known() && ph.Apparent.V > 0 {
			ph.PF = ratioOf(power.PowerFactorF.Apply(p.sheet, id+"pf", p.label(lang.S("power factor"), ph.Name), "", num[quantity.Watts](ph.Power), num[quantity.VoltAmperes](ph.Apparent)))
		}
		if ph == before {
			return ph
		}
	}
}

func (p *phasePass) completeApparent(ph *Phase, id string) {
	lang := p.lang
	if ph.Apparent.Known() {
		return
	}
	step, label := id+"apparent", p.label(lang.S("apparent power"), ph.Name)
	switch {
	case ph.Voltage.Known() && ph.Current.Known():
		ph.Apparent = derived(power.ApparentF.Apply(p.sheet, step, label, "VA", num[quantity.VoltsLN](ph.Voltage), num[quantity.Amperes](ph.Current)))
	case ph.Power.Known() && ph.PF.Known() && ph.PF.V != 0:
		ph.Apparent = derived(power.ApparentFromPowerFactorF.Apply(p.sheet, step, label, "VA", num[quantity.Watts](ph.Power), num[quantity.Ratio](ph.PF)))
	case ph.Power.Known() && ph.Reactive.Known():
		ph.Apparent = derived(power.ApparentFromPowersF.Apply(p.sheet, step, label, "VA", num[quantity.Watts](ph.Power), num[quantity.Vars](ph.Reactive)))
	}
}

func (p *phasePass) completePower(ph *Phase, id string) {
	lang := p.lang
	if ph.Power.Known() || !ph.Apparent.Known() {
		return
	}
	step, label := id+"power", p.label(lang.S("active power"), ph.Name)
	s := num[quantity.VoltAmperes](ph.Apparent)
	switch {
	case ph.PF.Known():
		ph.Power = derived(power.ActiveFromApparentF.Apply(p.sheet, step, label, "W", s, num[quantity.Ratio](ph.PF)))
	case ph.Angle.Known():
		ph.Power = derived(power.ActiveFromAngleF.Apply(p.sheet, step, label, "W", s, num[quantity.Degrees](ph.Angle)))
	case ph.Reactive.Known() && ph.Reactive.V <= ph.Apparent.V && ph.Reactive.V >= -ph.Apparent.V:
		ph.Power = derived(power.ActiveFromReactiveF.Apply(p.sheet, step, label, "W", s, num[quantity.Vars](ph.Reactive)))
	}
}

// completeReactive takes the sign from the direction shown; a load that shows
// none is taken as lagging, as nearly all are.
func (p *phasePass) completeReactive(ph *Phase, id string, lead quantity.Lead) {
	lang := p.lang
	if ph.Reactive.Known() || !ph.Power.Known() || !ph.Apparent.Known() {
		return
	}
	step, label := id+"reactive", p.label(lang.S("reactive power"), ph.Name)
	s, w := num[quantity.VoltAmperes](ph.Apparent), num[quantity.Watts](ph.Power)
	switch {
	case ph.Angle.Known():
		ph.Reactive = derived(power.ReactiveFromAngleF.Apply(p.sheet, step, label, "var", s, num[quantity.Degrees](ph.Angle)))
	case ph.Power.V > ph.Apparent.V || ph.Power.V < -ph.Apparent.V:
		// The two disagree; the doubt says so, and no reactive power follows.
	case lead == quantity.Leading:
		ph.Reactive = derived(power.ReactiveLeadingF.Apply(p.sheet, step, label, "var", s, w))
	default:
		ph.Reactive = derived(power.ReactiveF.Apply(p.sheet, step, label, "var", s, w))
		p.sheet.Note(step, lang.S("the upper bound of the reactive power when the current is distorted; taken as lagging unless the meter says leading"))
	}
}
