package audit

import (
	"fmt"

	"math"

	"auditgen/internal/diag"
	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/source"
	"auditgen/internal/working"
)

// transformers are the ratios to multiply by, once, here.
type transformers struct{ ct, vt working.Num[quantity.Ratio] }

// transformers records the instrument transformers of a reading. Where they are
// set in the meter, what it shows is the primary side already.
func (p *phasePass) transformers(r *site.Ratios) {
	if r == nil {
		return
	}
	ct := p.ratio("ct", r.CT, r.Set.Value)
	vt := p.ratio("vt", r.VT, r.Set.Value)
	if !r.Set.Value {
		p.behind = &transformers{ct, vt}
	}
}

func (p *phasePass) ratio(key string, a source.At[site.TransformerRatio], set bool) working.Num[quantity.Ratio] {
	lang := p.lang
	id := p.prefix + key
	label, primary, secondary := lang.S("ratio of the current transformer of %s"), lang.S("primary rating of the current transformer of %s"), lang.S("secondary rating of the current transformer of %s")
	if key == "vt" {
		label, primary, secondary = lang.S("ratio of the voltage transformer of %s"), lang.S("primary rating of the voltage transformer of %s"), lang.S("secondary rating of the voltage transformer of %s")
	}
	label = fmt.Sprintf(label, p.reading.ID)
	if !a.IsSet() {
		return working.Record(p.sheet, working.Step{ID: id, Label: label, Kind: working.Stated, Typed: lang.S("none")}, quantity.Ratio(1))
	}
	side := func(name, label string, v float64) working.Step {
		return working.Step{ID: id + "." + name, Label: fmt.Sprintf(label, p.reading.ID), Kind: working.Stated, Unit: map[string]string{"ct": "A", "vt": "V"}[key], Typed: a.Text, Pos: a.Pos, Value: v}
	}
	var k working.Num[quantity.Ratio]
	if key == "ct" {
		k = power.CurrentRatioF.Apply(p.sheet, id, label, "",
			working.Record(p.sheet, side("primary", primary, a.Value.Primary), quantity.Amperes(a.Value.Primary)),
			working.Record(p.sheet, side("secondary", secondary, a.Value.Secondary), quantity.Amperes(a.Value.Secondary)))
	} else {
		k = power.VoltageRatioF.Apply(p.sheet, id, label, "",
			working.Record(p.sheet, side("primary", primary, a.Value.Primary), quantity.VoltsLL(a.Value.Primary)),
			working.Record(p.sheet, side("secondary", secondary, a.Value.Secondary), quantity.VoltsLL(a.Value.Secondary)))
	}
	if set {
		p.sheet.Note(id, lang.S("set in the meter: what it showed is the primary side, and is not multiplied again"))
	} else {
		p.sheet.Note(id, lang.S("not set in the meter: what it showed is the secondary side, and is multiplied here, once"))
	}
	return k
}

// primary records what was shown on the secondary side and what follows for the
// primary.
func primary[Q quantity.Quantity](p *phasePass, id, label string, a source.At[quantity.Displayed[Q]], apply func(working.Num[Q]) working.Num[Q]) Value {
	lang := p.lang
	if !a.IsSet() {
		return Value{}
	}
	if p.behind == nil {
		return typed(p.sheet, id, label, a)
	}
	return derived(apply(num[Q](typed(p.sheet, id+".secondary", lang.F("%s, secondary side", label), a))))
}

func (p *phasePass) volts(id, label string, a source.At[quantity.Displayed[quantity.VoltsLN]]) Value {
	return primary(p, id, label, a, func(n working.Num[quantity.VoltsLN]) working.Num[quantity.VoltsLN] {
		return power.PrimaryVoltsLNF.Apply(p.sheet, id, label, "V", n, p.behind.vt)
	})
}

func (p *phasePass) voltsLL(id, label string, a source.At[quantity.Displayed[quantity.VoltsLL]]) Value {
	return primary(p, id, label, a, func(n working.Num[quantity.VoltsLL]) working.Num[quantity.VoltsLL] {
		return power.PrimaryVoltsLLF.Apply(p.sheet, id, label, "V", n, p.behind.vt)
	})
}

func (p *phasePass) amperes(id, label string, a source.At[quantity.Displayed[quantity.Amperes]]) Value {
	return primary(p, id, label, a, func(n working.Num[quantity.Amperes]) working.Num[quantity.Amperes] {
		return power.PrimaryCurrentF.Apply(p.sheet, id, label, "A", n, p.behind.ct)
	})
}

func (p *phasePass) watts(id, label string, a source.At[quantity.Displayed[quantity.Watts]]) Value {
	return primary(p, id, label, a, func(n working.Num[quantity.Watts]) working.Num[quantity.Watts] {
		return power.PrimaryActiveF.Apply(p.sheet, id, label, "W", n, p.behind.vt, p.behind.ct)
	})
}

func (p *phasePass) vars(id, label string, a source.At[quantity.Displayed[quantity.Vars]]) Value {
	return primary(p, id, label, a, func(n working.Num[quantity.Vars]) working.Num[quantity.Vars] {
		return power.PrimaryReactiveF.Apply(p.sheet, id, label, "var", n, p.behind.vt, p.behind.ct)
	})
}

func (p *phasePass) voltAmperes(id, label string, a source.At[quantity.Displayed[quantity.VoltAmperes]]) Value {
	return primary(p, id, label, a, func(n working.Num[quantity.VoltAmperes]) working.Num[quantity.VoltAmperes] {
		return power.PrimaryApparentF.Apply(p.sheet, id, label, "VA", n, p.behind.vt, p.behind.ct)
	})
}

// powerFactor records a power factor as the instrument's convention of signs has
// it. Where that is not known and no power beside it tells, a minus is not taken
// for power that flows back: on many displays it tells the direction of the
// current.
func (p *phasePass) powerFactor(id, label string, a source.At[quantity.PowerFactor], powerShown bool) Value {
	lang := p.lang
	if !a.IsSet() {
		return Value{}
	}
	pf, note := a.Value.Value, ""
	c := power.SignConvention(p.reading.Instrument.Sign.Value)
	if pf < 0 {
		switch {
		case c == power.UnknownSign && !powerShown:
			pf, note = -pf, lang.S("the minus is not read: what it means on this instrument is not stated")
		case c == power.SignOfReactive:
			pf, note = -pf, lang.S("on this instrument a minus means a lagging current")
		case c == power.SignOfLead:
			pf, note = -pf, lang.S("on this instrument a minus means a leading current")
		}
	}
	v := measured(p.sheet, id, label, float64(pf), "", a.Text, a.Pos)
	if note != "" {
		p.sheet.Note(id, note)
	}
	return v
}

// lead is the direction of the current: as typed, or as the sign of the power
// factor tells it on this instrument.
func (p *phasePass) lead(a source.At[quantity.PowerFactor]) quantity.Lead {
	return leadOf(a, power.SignConvention(p.reading.Instrument.Sign.Value))
}

func leadOf(a source.At[quantity.PowerFactor], c power.SignConvention) quantity.Lead {
	if a.Value.Lead != quantity.Unstated || !a.IsSet() || c == power.UnknownSign || c == power.SignOfPower {
		return a.Value.Lead
	}
	_, lead, _ := power.ShownPowerFactor(a.Value.Value, c)
	return lead
}

// shown is a value as an instrument showed it, brought to the primary side, with
// its limit of error: the share of reading and the digits of its last place.
type shown struct {
	v, err float64 // base unit
	step   float64 // one digit of the last place
	text   string
	ok     bool
	pos    diag.Pos
}

func show[Q quantity.Quantity](a site.Accuracy, scale float64, x source.At[quantity.Displayed[Q]]) shown {
	if !x.IsSet() {
		return shown{}
	}
	v := float64(x.Value.Value) * scale
	step := float64(x.Value.Step) * scale
	return shown{v: v, step: step, err: float64(a.OfReading)*math.Abs(v) + a.Digits*step, text: x.Text, ok: true, pos: x.Pos}
}

// row is what was shown of a phase, of a load between two lines, or in total.
type row struct {
	name                                        string
	index                                       int  // of the phase or pair of lines; -1 for the total
	line                                        bool // between two lines
	voltage, current, power, reactive, apparent shown
	pf, angle, voltageAngle                     shown
	lead                                        quantity.Lead
	below                                       bool // the current is too small for angle and power
}

func (r row) total() bool { return r.index < 0 }

// rowsOf gives what a reading shows, the total last, without the neutral.
func rowsOf(raw site.Reading, a site.Accuracies) []row {
	ct, vt := scales(raw.Ratios)
	rows := make([]row, 0, len(raw.Phases)+len(raw.Lines)+1)
	for _, e := range raw.Phases {
		if i := site.PhaseIndex(e.Key); i != site.Neutral {
			rows = append(rows, phaseRow(e.Key, i, e.Value, a, ct, vt))
		}
	}
	for _, e := range raw.Lines {
		x := e.Value
		r := row{name: e.Key, index: site.LineIndex(e.Key), line: true,
			voltage: show(a.Voltage, vt, x.Voltage), current: show(a.Current, ct, x.Current), power: show(a.Power, ct*vt, x.Power),
			reactive: show(a.Power, ct*vt, x.Reactive), apparent: show(a.Power, ct*vt, x.Apparent)}
		r.setPF(x.PF)
		rows = append(rows, r)
	}
	return append(rows, phaseRow("total", -1, raw.Total, a, ct, vt))
}

func phaseRow(name string, index int, x site.Phase, a site.Accuracies, ct, vt float64) row {
	r := row{name: name, index: index,
		voltage: show(a.Voltage, vt, x.Voltage), current: show(a.Current, ct, x.Current), power: show(a.Power, ct*vt, x.Power),
		reactive: show(a.Power, ct*vt, x.Reactive), apparent: show(a.Power, ct*vt, x.Apparent),
		angle: show(site.Accuracy{}, 1, x.Angle), voltageAngle: show(site.Accuracy{}, 1, x.VoltageAngle)}
	r.setPF(x.PF)
	return r
}

func (r *row) setPF(x source.At[quantity.PowerFactor]) {
	if x.IsSet() {
		r.pf = shown{v: float64(x.Value.Value), step: float64(x.Value.Step), text: x.Text, ok: true, pos: x.Pos}
		r.lead = x.Value.Lead
	}
}

// scales gives what the values of a reading are multiplied by here.
func scales(r *site.Ratios) (ct, vt float64) {
	if r == nil || r.Set.Value {
		return 1, 1
	}
	return r.CT.Value.Ratio(), r.VT.Value.Ratio()
}
