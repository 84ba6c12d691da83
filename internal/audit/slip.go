package audit

import (
	"auditgen/internal/diag"
	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

// The ways other than power in which a motor's loading was found.
const (
	BySlip    = "slip"
	ByCurrent = "current"
)

// holdsF takes what a rough method finds together with how far it holds.
var holdsF = working.Def2("loading, as far as its method holds", "L = x * k", "what the method finds times the share of it that is taken to hold", "x", "k",
	func(x, k quantity.Ratio) quantity.Ratio { return x * k })

// halfLoad is the loading down to which a current tells it (US DOE, Determining
// Electric Motor Load and Efficiency, from memory).
const halfLoad = 0.5

// How far the methods hold. The range of the slip is the tolerance that NEMA MG 1
// gives a plate's slip, from memory; those of the current are judgements of this
// program, without a source: the magnetising current flows at any load, so that
// the current is rather more than the load, and below half load mostly that.
var (
	slipHolds    = quantity.Estimate[quantity.Ratio]{Low: 0.80, Likely: 1, High: 1.20, Shape: quantity.Rectangular, Text: "80..120 %"}
	currentHolds = quantity.Estimate[quantity.Ratio]{Low: 0.80, Likely: 0.95, High: 1.05, Shape: quantity.Triangular, Text: "80..95..105 %"}
	currentFails = quantity.Estimate[quantity.Ratio]{Low: 0, Likely: 0.50, High: 1, Shape: quantity.Triangular, Text: "0..50..100 %"}
)

// nominalHolds is how near to the nominal frequency a supply is taken to be where
// none was read, as a share: a large grid is as near for most of the time
// (practice, no source). It tells on a slip, which is a small difference.
const nominalHolds = 0.001

// slipStep is the step of what a load's motor is loaded to by a method, before it
// is asked how far that holds.
func slipStep(load, by string) string { return "loads." + load + ".loading-by-" + by }

// method is what a rough method found: the loading, 1 being the rating, and the
// doubts about it.
type method struct {
	loading working.Num[quantity.Ratio]
	doubts  factor
}

// bySlip gives a motor's loading from its speed.
func (p *loadPass) bySlip(l site.Load, id string) method {
	lang, name, s := p.rec.Words, inSentence(l.Name.Value), l.Nameplate.Speed
	read := working.Record(p.sheet, working.Step{ID: id + "speed", Label: lang.F("speed of %s", name), Kind: working.Measured, Unit: "rpm", Typed: s.Read.Text, Pos: s.Read.Pos}, s.Read.Value.Value)
	rated := working.Record(p.sheet, working.Step{ID: id + "full-load-speed", Label: lang.F("full-load speed of %s, on its plate", name), Kind: working.Stated, Unit: "rpm", Typed: s.Plate.Text, Pos: s.Plate.Pos}, s.Plate.Value.Value)
	poles := working.Record(p.sheet, working.Step{ID: id + "poles", Label: lang.F("poles of the motor of %s", name), Kind: working.Stated, Typed: s.Poles.Text, Pos: s.Poles.Pos}, quantity.Ratio(s.Poles.Value))
	f, off := p.frequencyOf(l, id)
	if s.Frequency.IsSet() {
		n := p.rec.Site.Supply.Frequency
		nominal := working.Record(p.sheet, working.Step{ID: id + "nominal-frequency", Label: lang.S("nominal frequency"), Kind: working.Stated, Unit: "Hz", Typed: n.Text, Pos: n.Pos}, n.Value.Value)
		rated = power.FullLoadSpeedAtF.Apply(p.sheet, id+"full-load-speed-then", lang.F("full-load speed of %s at the frequency read", name), "rpm", rated, f, nominal)
	}
	field := power.SynchronousSpeedF.Apply(p.sheet, id+"synchronous-speed", lang.F("synchronous speed of %s", name), "rpm", f, poles)
	x := p.slipLoad(l, id, field, read, rated)
	m := p.holding(l, id, x, slipHolds, lang.S("a full-load speed on a plate is rounded and may be off by 20 % of the slip (tolerance of NEMA MG 1, from memory)"), s.Pos)
	slip := float64(field.V - read.V)
	m.within(p, float64(s.Read.Value.Step)/slip, param{id: read.Step, label: lang.F("last digit of the speed of %s", name), mend: lang.S("a tachometer with a finer display")})
	m.within(p, off*float64(field.V)/slip, param{id: f.Step, label: lang.F("frequency while the speed of %s was read", name), assumed: !s.Frequency.IsSet(), mend: lang.S("read the frequency together with the speed")})
	return m
}

// frequencyOf gives the frequency of the supply while a speed was read, in Hz, and
// the share by which it may be off.
func (p *loadPass) frequencyOf(l site.Load, id string) (working.Num[quantity.Hertz], float64) {
	lang, read, nominal := p.rec.Words, l.Nameplate.Speed.Frequency, p.rec.Site.Supply.Frequency
	step := working.Step{ID: id + "frequency", Label: lang.F("frequency while the speed of %s was read", inSentence(l.Name.Value)), Unit: "Hz"}
	if read.IsSet() {
		step.Kind, step.Typed, step.Pos = working.Measured, read.Text, read.Pos
		return working.Record(p.sheet, step, read.Value.Value), float64(read.Value.Step / read.Value.Value)
	}
	step.Kind, step.Typed, step.Pos = working.Assumed, nominal.Text+" ± 0.1 % of value", nominal.Pos
	step.Reason = lang.S("none was read; a large grid is as near to the nominal one for most of the time (common practice, no source)")
	f := working.Record(p.sheet, step, nominal.Value.Value)
	p.register.shared("frequency", lang.S("Frequency while speeds of motors were read"), step.Typed, step.Reason, step.Pos, f.Step, true)
	return f, nominalHolds
}

// slipLoad is what the slip says, corrected for the voltage where one was read.
func (p *loadPass) slipLoad(l site.Load, id string, field, read, rated working.Num[power.PerMin]) working.Num[quantity.Ratio] {
	label, step := p.rec.Words.F("loading of %s, by slip", inSentence(l.Name.Value)), slipStep(l.ID.Value, BySlip)
	if l.Nameplate.Voltage == nil {
		return power.MotorLoadFromSlipF.Apply(p.sheet, step, label, "", field, read, rated)
	}
	plain := power.MotorLoadFromSlipF.Apply(p.sheet, id+"loading-by-slip-alone", p.rec.Words.F("loading of %s, by slip, at the voltage of its plate", inSentence(l.Name.Value)), "", field, read, rated)
	u, uRated := p.voltages(l, id)
	return power.MotorLoadFromSlipAtVoltageF.Apply(p.sheet, step, label, "", plain, u, uRated)
}

// byCurrent gives a motor's loading from its current.
func (p *loadPass) byCurrent(l site.Load, id string) method {
	lang, name, c := p.rec.Words, inSentence(l.Name.Value), l.Nameplate.Current
	read := working.Record(p.sheet, working.Step{ID: id + "current", Label: lang.F("current of the motor of %s", name), Kind: working.Measured, Unit: "A", Typed: c.Read.Text, Pos: c.Read.Pos}, c.Read.Value.Value)
	rated := working.Record(p.sheet, working.Step{ID: id + "full-load-current", Label: lang.F("full-load current of %s, on its plate", name), Kind: working.Stated, Unit: "A", Typed: c.Plate.Text, Pos: c.Plate.Pos}, c.Plate.Value.Value)
	label, step := lang.F("loading of %s, by current", name), slipStep(l.ID.Value, ByCurrent)
	var x working.Num[quantity.Ratio]
	if l.Nameplate.Voltage == nil {
		x = power.MotorLoadFromCurrentAloneF.Apply(p.sheet, step, label, "", read, rated)
	} else {
		u, uRated := p.voltages(l, id)
		x = power.MotorLoadFromCurrentF.Apply(p.sheet, step, label, "", read, rated, u, uRated)
	}
	holds, reason := currentHolds, lang.S("a part of the current only magnetises the motor, so that the current shows rather more than the load; the method holds above about half load (range: judgement of this program, no source)")
	if x.V < halfLoad {
		holds, reason = currentFails, lang.S("below half load the current is mostly what magnetises the motor, and tells little of its load: anything from none to what it shows is taken (judgement of this program, no source)")
	}
	m := p.holding(l, id, x, holds, reason, c.Pos)
	m.within(p, float64(c.Read.Value.Step/c.Read.Value.Value), param{id: read.Step, label: lang.F("last digit of the current of %s", name), mend: lang.S("a finer range of the meter")})
	return m
}

// voltages are those of a motor, as read and on its plate: V.
func (p *loadPass) voltages(l site.Load, id string) (read, rated working.Num[quantity.VoltsLL]) {
	lang, name, v := p.rec.Words, inSentence(l.Name.Value), l.Nameplate.Voltage
	read = working.Record(p.sheet, working.Step{ID: id + "voltage", Label: lang.F("voltage at the motor of %s", name), Kind: working.Measured, Unit: "V", Typed: v.Read.Text, Pos: v.Read.Pos}, v.Read.Value.Value)
	rated = working.Record(p.sheet, working.Step{ID: id + "plate-voltage", Label: lang.F("voltage on the plate of %s", name), Kind: working.Stated, Unit: "V", Typed: v.Plate.Text, Pos: v.Plate.Pos}, v.Plate.Value.Value)
	return read, rated
}

// holding takes a loading that a method found as far as the method holds, which is
// an assumption.
func (p *loadPass) holding(l site.Load, id string, x working.Num[quantity.Ratio], holds quantity.Estimate[quantity.Ratio], reason string, pos diag.Pos) method {
	lang, name := p.rec.Words, inSentence(l.Name.Value)
	what, doubt := lang.F("loading of %s, as a share of what its slip says", name), lang.F("full-load slip on the plate of %s", name)
	if l.Nameplate.Current != nil {
		what, doubt = lang.F("loading of %s, as a share of what its current says", name), lang.F("loading of %s by its current", name)
	}
	k := working.Record(p.sheet, working.Step{ID: id + "loading-holds", Label: what, Kind: working.Assumed, Typed: holds.Text, Pos: pos, Reason: reason}, holds.Mean())
	p.register.add(capital(what), holds.Text, reason, pos, k.Step, true)
	loading := holdsF.Apply(p.sheet, id+"loading", lang.F("loading of %s", name), "", x, k)
	return method{loading, p.params.relative(holds, param{id: k.Step, label: doubt, assumed: true, mend: lang.S("measure its power")})}
}

// within adds a doubt of a share of the loading to either side, none likelier than
// another.
func (m *method) within(p *loadPass, share float64, x param) {
	share = min(share, 1)
	f := p.params.relative(quantity.Estimate[quantity.Ratio]{Low: quantity.Ratio(1 - share), Likely: 1, High: quantity.Ratio(1 + share), Shape: quantity.Rectangular}, x)
	m.doubts = m.doubts.times(f)
}

// loadedBy gives what a motor is loaded to by slip or by current, before it is
// asked how far that holds, and by which of them; 1 is the rating. It is not
// known of one whose plate tells its loading in another way.
func (r *Result) loadedBy(load string) (Value, string) {
	for _, by := range []string{BySlip, ByCurrent} {
		if v, ok := r.kept(slipStep(load, by), ""); ok {
			return v, by
		}
	}
	return Value{}, ""
}
