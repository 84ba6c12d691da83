package audit

import (
	"auditgen/internal/diag"
	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

func measured(s *working.Sheet, id, label string, v float64, unit, text string, pos diag.Pos) Value {
	s.Put(working.Step{ID: id, Label: label, Kind: working.Measured, Value: v, Unit: unit, Typed: text, Pos: pos})
	return Value{V: v, Unit: unit, Step: id, Kind: working.Measured}
}

// total reads the meter's total and completes it from the phases. Where the
// meter showed a total, that stands; the check against the phases is a doubt's.
func (p *phasePass) total(r site.Reading) {
	id := p.prefix + "total."
	t := p.shown("total", id, r.Total)
	switch {
	case r.Balanced.Value && len(p.reading.Phases) > 0:
		p.three(&t, id)
	case r.Wiring.Value == site.ThreePhaseThreeWire:
		p.twoWattmeters(&t, id, r)
	default:
		p.sums(&t, id)
	}
	p.reading.Total = p.completeTotal(t, id, p.lead(r.Total.PF))
}

// completeTotal completes a total. Where several conductors carry current, the
// product of one voltage and one current is not the power of all, whatever mean
// or sum the meter shows there.
func (p *phasePass) completeTotal(t Phase, id string, lead quantity.Lead) Phase {
	if p.reading.Wiring == site.OnePhaseTwoWire {
		return p.complete(t, id, lead)
	}
	u, i := t.Voltage, t.Current
	t.Voltage, t.Current = Value{}, Value{}
	t = p.complete(t, id, lead)
	t.Voltage, t.Current = u, i
	return t
}

// three takes one phase for all three.
func (p *phasePass) three(t *Phase, id string) {
	lang := p.lang
	ph := p.reading.Phases[0]
	note := lang.S("one phase was measured and stands for all three")
	if !t.Power.Known() && ph.Power.Known() {
		t.Power = derived(power.ActiveOfThreeF.Apply(p.sheet, id+"power", p.label(lang.S("active power"), "total"), "W", num[quantity.Watts](ph.Power)))
		p.sheet.Note(t.Power.Step, note)
	}
	if !t.Reactive.Known() && ph.Reactive.Known() {
		t.Reactive = derived(power.ReactiveOfThreeF.Apply(p.sheet, id+"reactive", p.label(lang.S("reactive power"), "total"), "var", num[quantity.Vars](ph.Reactive)))
		p.sheet.Note(t.Reactive.Step, note)
	}
	if !t.Apparent.Known() && ph.Apparent.Known() {
		t.Apparent = derived(power.ApparentOfThreeF.Apply(p.sheet, id+"apparent", p.label(lang.S("apparent power"), "total"), "VA", num[quantity.VoltAmperes](ph.Apparent)))
		p.sheet.Note(t.Apparent.Step, note)
	}
}

// twoWattmeters adds the two wattmeters. Apparent power follows from the mean
// voltage and current, which is exact only for a balanced load.
func (p *phasePass) twoWattmeters(t *Phase, id string, r site.Reading) {
	lang := p.lang
	var w []working.Num[quantity.Watts]
	for _, l := range r.Lines {
		if v := p.reading.Wattmeters[site.LineIndex(l.Key)]; v.Known() {
			w = append(w, num[quantity.Watts](v))
		}
	}
	if !t.Power.Known() && len(w) == 2 {
		t.Power = derived(power.TwoWattmetersF.Apply(p.sheet, id+"power", p.label(lang.S("active power"), "total"), "W", w[0], w[1]))
	}
	u, i := p.mean(knownOf(p.reading.Lines[:]), "voltage", lang.F("mean of the line voltages of %s", p.reading.ID)), p.meanCurrent()
	if !t.Apparent.Known() && u.Known() && i.Known() {
		t.Apparent = derived(power.BalancedApparentF.Apply(p.sheet, id+"apparent", p.label(lang.S("apparent power"), "total"), "VA", num[quantity.VoltsLL](u), num[quantity.Amperes](i)))
		p.sheet.Note(t.Apparent.Step, lang.S("from mean voltage and mean current: exact for a balanced load"))
	}
}

func knownOf(vs []Value) []Value {
	var known []Value
	for _, v := range vs {
		if v.Known() {
			known = append(known, v)
		}
	}
	return known
}

// Plain means of like readings.
var (
	meanVoltsF   = working.DefN("mean voltage", "U = mean(U_k)", "arithmetic mean", "U_k", mean[quantity.VoltsLL])
	meanAmperesF = working.DefN("mean current", "I = mean(I_k)", "arithmetic mean", "I_k", mean[quantity.Amperes])
)

func mean[Q ~float64](xs []Q) Q {
	var sum Q
	for _, x := range xs {
		sum += x
	}
	return sum / Q(len(xs))
}

func (p *phasePass) mean(vs []Value, id, label string) Value {
	if len(vs) == 0 {
		return Value{}
	}
	return derived(meanVoltsF.Apply(p.sheet, p.prefix+"mean."+id, label, "V", nums[quantity.VoltsLL](vs)))
}

func (p *phasePass) meanCurrent() Value {
	lang := p.lang
	var vs []Value
	for _, ph := range p.reading.Phases {
		if ph.Current.Known() {
			vs = append(vs, ph.Current)
		}
	}
	if len(vs) == 0 {
		return Value{}
	}
	return derived(meanAmperesF.Apply(p.sheet, p.prefix+"mean.current", lang.F("mean current of %s", p.reading.ID), "A", nums[quantity.Amperes](vs)))
}

func nums[Q ~float64](vs []Value) []working.Num[Q] {
	ns := make([]working.Num[Q], len(vs))
	for i, v := range vs {
		ns[i] = num[Q](v)
	}
	return ns
}

// sums adds the phases, where every phase that the wiring has is known.
func (p *phasePass) sums(t *Phase, id string) {
	lang := p.lang
	if len(p.reading.Phases) == 0 || len(p.reading.Phases) < p.legs() {
		return
	}
	if vs, all := p.each(func(ph Phase) Value { return ph.Power }); all && !t.Power.Known() {
		t.Power = derived(power.ActiveTotalF.Apply(p.sheet, id+"power", p.label(lang.S("active power"), "total"), "W", nums[quantity.Watts](vs)))
	}
	if vs, all := p.each(func(ph Phase) Value { return ph.Reactive }); all && !t.Reactive.Known() {
		t.Reactive = derived(power.ReactiveTotalF.Apply(p.sheet, id+"reactive", p.label(lang.S("reactive power"), "total"), "var", nums[quantity.Vars](vs)))
	}
	if vs, all := p.each(func(ph Phase) Value { return ph.Apparent }); all && !t.Apparent.Known() {
		t.Apparent = derived(power.ArithmeticApparentF.Apply(p.sheet, id+"apparent", p.label(lang.S("apparent power"), "total"), "VA", nums[quantity.VoltAmperes](vs)))
	}
}

// legs is the number of live conductors that a total needs.
func (p *phasePass) legs() int {
	switch p.reading.Wiring {
	case site.ThreePhaseFourWire:
		return 3
	case site.OnePhaseThreeWire:
		return 2
	}
	return 1
}

func (p *phasePass) each(of func(Phase) Value) (vs []Value, all bool) {
	for _, ph := range p.reading.Phases {
		v := of(ph)
		if !v.Known() {
			return nil, false
		}
		vs = append(vs, v)
	}
	return vs, true
}

// unbalance needs all three of a kind; line voltages go before phase voltages,
// since those hold the zero sequence too.
func (p *phasePass) unbalance() {
	lang := p.lang
	r := p.reading
	if lines := knownOf(r.Lines[:]); len(lines) == 3 {
		r.VoltageUnbalance = ratioOf(power.NEMAUnbalanceF.Apply(p.sheet, p.prefix+"unbalance.voltage", lang.F("voltage unbalance of %s", r.ID), "", nums[quantity.VoltsLL](lines)))
		beta := power.BetaF.Apply(p.sheet, p.prefix+"unbalance.beta", lang.F("beta of %s", r.ID), "", nums[quantity.VoltsLL](lines))
		r.NegativeSequence = ratioOf(power.NegativeSequenceFromBetaF.Apply(p.sheet, p.prefix+"unbalance.negative", lang.F("negative-sequence unbalance of %s", r.ID), "", beta))
	}
	if r.Balanced || len(r.Phases) != 3 {
		return
	}
	if vs, all := p.each(func(ph Phase) Value { return ph.Current }); all {
		r.CurrentUnbalance = ratioOf(power.CurrentUnbalanceF.Apply(p.sheet, p.prefix+"unbalance.current", lang.F("current unbalance of %s", r.ID), "", nums[quantity.Amperes](vs)))
	}
}
