package audit

import (
	"auditgen/internal/limits"
	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

// Motor is a load's motor, judged by its plate.
type Motor struct {
	Load, Name string
	Reading    string // of its highest power; "" where none can be used
	By         string // BySlip or ByCurrent, where Loading was found so; "" where it is by power
	Class      string // IE1 to IE4; "" below all of them, or where it is not known
	Known      bool   // whether the class is known
	Better     string // the class that Saving is reckoned with
	Efficiency Value  // 1, at full load
	Loading    Value  // 1, power taken over rated input, or the share of the rating by slip or current
	Saving     Interval
	Hours      float64 // h a year, of running
	Drive      bool
	Cite       limits.Citation // of the class's efficiency
}

// betterClass is the class that a replacement is reckoned with.
const betterClass = "IE3"

// Motors judges every load that has a motor's plate, in the order of the visit;
// one whose speed or current was read is a motor, whether or not its class is known.
func (r *Result) Motors() []Motor {
	var ms []Motor
	for i, raw := range r.Record.Loads {
		l := r.Loads[i]
		if raw.Motor != nil {
			ms = append(ms, r.motor(*raw.Motor, l))
		} else if v, by := r.loadedBy(l.ID); v.Known() {
			ms = append(ms, Motor{Load: l.ID, Name: l.Name, By: by, Loading: v, Hours: l.Hours.V * l.Duty.V, Better: betterClass})
		}
	}
	return ms
}

func (r *Result) motor(plate site.MotorPlate, l Load) Motor {
	lang := r.Record.Words
	m := Motor{Load: l.ID, Name: l.Name, Drive: plate.Drive.Value, Hours: l.Hours.V * l.Duty.V, Better: betterClass}
	f := r.Record.Site.Supply.Frequency.Value.Value
	rated, poles := plate.Rated.Value.Value, plate.PolesOrDefault()
	id := "loads." + l.ID + ".motor."
	switch {
	case plate.Efficiency.IsSet():
		m.Efficiency = statedRatio(r, id+"efficiency", lang.F("full-load efficiency of the motor of %s", inSentence(l.Name)), plate.Efficiency.Text, plate.Efficiency.Value.Value)
		m.Class, m.Known = limits.MotorClassOf(plate.Efficiency.Value.Value, f, poles, rated)
		if plate.Class.IsSet() {
			m.Class, m.Known = string(plate.Class.Value), true
		}
	case plate.Class.IsSet():
		m.Class, m.Known = string(plate.Class.Value), true
		if n, ok := limits.MotorEfficiency(m.Class, f, poles, rated); ok {
			m.Efficiency, m.Cite = r.nominalEfficiency(id+"efficiency", limits.MotorName(lang, m.Class, poles), n), n.Cite
		}
	}
	r.motorLoading(&m, id, plate, l)
	r.motorSaving(&m, id, l, f, poles, rated)
	return m
}

// statedRatio records a share that someone typed.
func statedRatio(r *Result, id, label, text string, v quantity.Ratio) Value {
	n := once(r.Sheet, working.Step{ID: id, Label: label, Kind: working.Stated, Typed: text}, v)
	return Value{V: float64(n.V), Step: n.Step, Kind: working.Stated}
}

// nominalEfficiency records an efficiency of a published table.
func (r *Result) nominalEfficiency(id, label string, l limits.Limit[quantity.Ratio]) Value {
	n := once(r.Sheet, working.Step{ID: id, Label: label, Kind: working.Assumed, Reason: l.Cite.In(r.Record.Words)}, l.Value)
	return Value{V: float64(n.V), Step: n.Step, Kind: working.Assumed}
}

// motorLoading takes the highest power that was read of the load, those in doubt
// left out; without a power what its slip or current says.
func (r *Result) motorLoading(m *Motor, id string, plate site.MotorPlate, l Load) {
	lang := r.Record.Words
	if m.Loading, m.By = r.loadedBy(l.ID); m.Loading.Known() {
		return
	}
	if !m.Efficiency.Known() {
		return
	}
	var taken Value
	for _, name := range l.Readings {
		if rd := r.reading(name); rd.Trusted() && rd.Total.Power.Known() && (!taken.Known() || rd.Total.Power.V > taken.V) {
			taken, m.Reading = rd.Total.Power, name
		}
	}
	if !taken.Known() {
		return
	}
	of := inSentence(l.Name)
	rated := once(r.Sheet, working.Step{ID: id + "rated", Label: lang.F("rated output of the motor of %s", of), Kind: working.Stated, Unit: "W", Typed: plate.Rated.Text, Pos: plate.Rated.Pos}, quantity.Watts(plate.Rated.Value.Value))
	if v, ok := r.kept(id+"loading", ""); ok {
		m.Loading = v
		return
	}
	input := power.RatedInputF.Apply(r.Sheet, id+"rated-input", lang.F("rated input of the motor of %s", of), "W", rated, num[quantity.Ratio](m.Efficiency))
	m.Loading = ratioOf(power.MotorLoadF.Apply(r.Sheet, id+"loading", lang.F("loading of the motor of %s", of), "", num[quantity.Watts](taken), input))
}

// motorSaving is the load's energy that the better class would save at equal
// output, both efficiencies taken at full load.
func (r *Result) motorSaving(m *Motor, id string, l Load, f quantity.Hertz, poles int, rated quantity.RatedWatts) {
	lang := r.Record.Words
	better, ok := limits.MotorEfficiency(betterClass, f, poles, rated)
	if !ok || !m.Efficiency.Known() || l.Energy.Value <= 0 || float64(better.Value) <= m.Efficiency.V {
		return
	}
	if m.Cite.CitedAs == "" {
		m.Cite = better.Cite
	}
	v, ok := r.kept(id+"saving", "Wh")
	if !ok {
		eta := r.nominalEfficiency(id+"better", limits.MotorName(lang, betterClass, poles), better)
		v = derived(power.EfficiencySavingF.Apply(r.Sheet, id+"saving", lang.F("what a motor of class %s would save at %s", betterClass, inSentence(l.Name)), "Wh",
			fromStep[quantity.WattHours](r, l.Energy.Step), num[quantity.Ratio](m.Efficiency), num[quantity.Ratio](eta)))
	}
	m.Saving = inProportion(v.V/1e3, l.Energy, "kWh", v.Step)
}
