package audit

import (
	"fmt"
	"math"

	"auditgen/internal/diag"
	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/site"
	"auditgen/internal/source"
	"auditgen/internal/uncertainty"
	"auditgen/internal/working"
)

// Formulas from a reading or plate to a load's running power.
var (
	typicalF = working.Def2("running power from a reading", "P = P_r * k_t", "reading times typical share; the reading is taken while running, so no loading is applied", "P_r", "k_t",
		func(p quantity.Watts, k quantity.Ratio) quantity.Watts { return p * quantity.Watts(k) })
	plateF = working.Def3("running power from a plate", "P = P_n * L / eta", "definition of efficiency: input is output over efficiency", "P_n", "L", "eta",
		func(p quantity.Watts, l, eta quantity.Ratio) quantity.Watts { return p * quantity.Watts(l/eta) })
	plateOnDayF = working.Def4("running power from a plate and a day's loading", "P = P_n * L / eta * k_t", "definition of efficiency, times typical share", "P_n", "L", "eta", "k_t",
		func(p quantity.Watts, l, eta, k quantity.Ratio) quantity.Watts { return p * quantity.Watts(l/eta*k) })
	hoursF = working.Def2("hours of a calendar", "h = h_c * k_h", "hours that the calendar is on in the year, with the doubt stated for them", "h_c", "k_h",
		func(h quantity.Hours, k quantity.Ratio) quantity.Hours { return h * quantity.Hours(k) })
	standbyF = working.Def3("standby energy", "E = n * P_s * h_off", "power while the calendar is off, by the hours it is off", "n", "P_s", "h_off",
		func(n quantity.Ratio, p quantity.Watts, h quantity.Hours) quantity.WattHours {
			return quantity.WattHours(float64(n) * float64(p) * float64(h))
		})
	offF = working.Def2("hours off", "h_off = h_y - h_c", "hours of the year less those the calendar is on", "h_y", "h_c",
		func(y, c quantity.Hours) quantity.Hours { return y - c })
)

// modelMode is one running state in the year's model.
type modelMode struct {
	power    factor
	reactive float64 // var for each W
	duty     factor
}

// modelLoad is a load in the year's model.
type modelLoad struct {
	id       string
	calendar int
	when     when
	modes    []modelMode
	standby  factor
	count    factor
	hours    factor // relative, of the calendar's hours
	cycle    quantity.Hours
	off      *working.Num[quantity.Watts] // power while the calendar is off, where a log shows it
	weather  *weather                     // nil for a duty that is the same in all months
	apart    string                       // name of the set of which no two run together
	inOrder  string                       // name of the set that starts in order

	own   *profile.Machine // one that was given as it is, instead of modes, standby and count
	scale factor           // of the powers of own
}

// loadPass turns the loads of the record into results and into the model.
type loadPass struct {
	rec       *site.Record
	sheet     *working.Sheet
	readings  []Reading
	params    *params
	register  *register
	faults    *diag.List
	model     []modelLoad
	hoursOn   func(calendar int) quantity.Hours
	yearHours working.Num[quantity.Hours]
	calendars map[when]int
	hours     map[when]calendarHours
	year      int
	month     func(i int, m modelLoad) working.Num[quantity.Hours] // a load's hours on in a month
}

func (p *loadPass) run() []Load {
	loads := make([]Load, 0, len(p.rec.Loads))
	for _, l := range p.rec.Loads {
		loads = append(loads, p.load(l))
	}
	p.bonds()
	return loads
}

func (p *loadPass) load(l site.Load) Load {
	lang := p.rec.Words
	id := "loads." + l.ID.Value + "."
	point, _ := p.rec.Site.PointOf(l.At.Value)
	out := Load{ID: l.ID.Value, Name: l.Name.Value, Use: l.Use.Value, At: l.At.Value, Point: point, Pos: l.Pos, Because: l.Because.Value}
	w := whenOf(l.Runs)
	h := p.calendar(w)
	out.Calendar = h.key
	m := modelLoad{id: out.ID, calendar: p.calendars[w], when: w, hours: h.factor, cycle: l.Runs.Cycle.Value.Value, count: factor{mean: 1}}
	out.CalendarName = h.name
	out.Hours = Value{V: float64(h.num.V), Unit: "h", Step: h.num.Step, Kind: working.Derived}
	count := p.countOf(l, id, &m)
	out.Count = Value{V: float64(count.V), Step: count.Step, Kind: working.Stated}

	var mean working.Num[quantity.Watts]
	switch {
	case l.Intervals != nil:
		mean = p.fromLog(l, id, &out, &m)
	case len(l.States) > 0:
		mean = p.states(l, id, &out, &m)
	default:
		mean = p.oneState(l, id, &out, &m)
	}
	mean = p.grow(l, id, &m, mean)
	hours := p.followed(l, id, &m, mean, h)
	energy := profile.EnergyF.Apply(p.sheet, id+"running-energy", lang.F("energy of %s while its calendar is on", inSentence(out.Name)), "Wh", count, mean, hours)
	energy = p.standby(l, id, &m, count, h, energy)
	out.Energy = Interval{Value: float64(energy.V) / 1e3, Unit: "kWh", Step: energy.Step}
	p.model = append(p.model, m)
	return out
}

func (p *loadPass) countOf(l site.Load, id string, m *modelLoad) working.Num[quantity.Ratio] {
	lang := p.rec.Words
	e := quantity.Certain(quantity.Ratio(1))
	step := working.Step{ID: id + "count", Label: lang.F("number of %s", inSentence(l.Name.Value)), Kind: working.Stated, Typed: "1", Pos: l.Pos}
	if c := l.Runs.Count; c.IsSet() {
		e = c.Value.Estimate()
		step.Typed, step.Pos = c.Text, c.Pos
		if e.Shape != quantity.Exact {
			step.Kind, step.Reason = working.Assumed, because(lang, l.Because)
			m.count = p.params.counted(e, param{id: step.ID, label: lang.F("number of %s", inSentence(l.Name.Value)), assumed: true, mend: lang.S("count them")})
		}
	}
	m.count.mean = float64(e.Mean())
	return working.Record(p.sheet, step, e.Mean())
}

func because(lang *say.Language, a source.At[string]) string {
	if a.IsSet() {
		return a.Value
	}
	return lang.S("no reason was given")
}

// oneState is a load with one running power and a duty.
func (p *loadPass) oneState(l site.Load, id string, out *Load, m *modelLoad) working.Num[quantity.Watts] {
	lang := p.rec.Words
	mode, running := p.running(l, id, out, l.Reading, l.Power)
	duty := p.duty(l, id, l.Runs.Duty, inSentence(l.Name.Value), &mode)
	m.modes = []modelMode{mode}
	out.Running = Value{V: float64(running.V), Unit: "W", Step: running.Step, Kind: working.Derived}
	out.Duty = Value{V: float64(duty.V), Step: duty.Step, Kind: working.Assumed}
	return profile.ModePowerF.Apply(p.sheet, p.meanStep(l), lang.F("mean power of %s while its calendar is on", inSentence(l.Name.Value)), "W", duty, running)
}

// states is a load with several running powers, each with its own duty.
func (p *loadPass) states(l site.Load, id string, out *Load, m *modelLoad) working.Num[quantity.Watts] {
	lang := p.rec.Words
	var parts []working.Num[quantity.Watts]
	var shares []working.Num[quantity.Ratio]
	for _, s := range l.States {
		sid := id + s.Key + "."
		mode, running := p.running(l, sid, out, s.Value.Reading, s.Value.Power)
		duty := p.duty(l, sid, s.Value.Duty, inSentence(l.Name.Value)+", "+s.Key, &mode)
		parts = append(parts, profile.ModePowerF.Apply(p.sheet, sid+"mean", lang.F("mean power of %s due to being %s", inSentence(l.Name.Value), s.Key), "W", duty, running))
		shares = append(shares, duty)
		m.modes = append(m.modes, mode)
	}
	mean := profile.SumPowerF.Apply(p.sheet, p.meanStep(l), lang.F("mean power of %s while its calendar is on", inSentence(l.Name.Value)), "W", parts)
	total := sumRatioF.Apply(p.sheet, id+"duty", lang.F("duty of %s, all states", inSentence(l.Name.Value)), "", shares)
	running := meanWhileOnF.Apply(p.sheet, id+"running", lang.F("mean power of %s while running", inSentence(l.Name.Value)), "W", mean, total)
	out.Running = Value{V: float64(running.V), Unit: "W", Step: running.Step, Kind: working.Derived}
	out.Duty = Value{V: float64(total.V), Step: total.Step, Kind: working.Derived}
	return mean
}

var (
	sumRatioF = working.DefN("sum of shares", "d = sum(d_k)", "shares of one time add", "d_k", func(xs []quantity.Ratio) quantity.Ratio {
		var s quantity.Ratio
		for _, x := range xs {
			s += x
		}
		return s
	})
	meanWhileOnF = working.Def2("mean power while running", "P = P_m / d", "mean over the time that it runs", "P_m", "d", func(p quantity.Watts, d quantity.Ratio) quantity.Watts {
		if d == 0 {
			return 0
		}
		return p / quantity.Watts(d)
	})
)

// running gives the power of one running state from reading, plate or judgement.
func (p *loadPass) running(l site.Load, id string, out *Load, reading source.At[string], judged source.At[quantity.Estimate[quantity.Watts]]) (modelMode, working.Num[quantity.Watts]) {
	switch {
	case reading.IsSet():
		return p.fromReading(l, id, out, reading)
	case l.Nameplate != nil:
		return p.fromPlate(l, id, out)
	case l.Lamps != nil:
		return p.fromLamps(l, id, out)
	case l.PerArea != nil:
		return p.fromArea(l, id, out)
	default:
		return p.fromJudgement(l, id, out, judged)
	}
}

func (p *loadPass) fromReading(l site.Load, id string, out *Load, reading source.At[string]) (modelMode, working.Num[quantity.Watts]) {
	lang := p.rec.Words
	var r Reading
	for _, x := range p.readings {
		if x.ID == reading.Value {
			r = x
		}
	}
	if !r.Total.Power.Known() || r.Total.Power.V <= 0 {
		p.faults.At(reading.Pos, fmt.Sprintf("the reading %s gives no power for %s", reading.Value, out.ID)+r.causeOfDoubt(), "a reading that shows power, or enough to work it out")
		return modelMode{}, working.Num[quantity.Watts]{}
	}
	out.Basis, out.BasisText = working.Measured, lang.F("reading %s", r.ID)
	out.Readings = append(out.Readings, r.ID)
	if len(out.Readings) > 1 {
		out.BasisText = lang.F("readings %s and %s", out.Readings[0], r.ID)
	}
	out.PF = r.Total.PF
	typical := p.typical(l, id)
	f := p.dayToYear(typical, out)
	running := typicalF.Apply(p.sheet, id+"running", lang.F("running power of %s", inSentence(l.Name.Value)+stateOf(id, l)), "W", num[quantity.Watts](r.Total.Power), typical.num)
	mode := modelMode{power: p.params.instrument(lang, r).times(f)}
	if r.Total.Reactive.Known() {
		mode.reactive = r.Total.Reactive.V / r.Total.Power.V
	}
	return mode, running
}

// stateOf names the state that a step id belongs to, for labels.
func stateOf(id string, l site.Load) string {
	for _, s := range l.States {
		if id == "loads."+l.ID.Value+"."+s.Key+"." {
			return ", " + s.Key
		}
	}
	return ""
}

type typicalShare struct {
	num      working.Num[quantity.Ratio]
	estimate quantity.Estimate[quantity.Ratio]
}

// typical is how the day's power stands to the year's; one per load, whatever
// the number of its states.
func (p *loadPass) typical(l site.Load, id string) typicalShare {
	lang := p.rec.Words
	e, pos, isDefault := l.Typical.Value, l.Typical.Pos, false
	reason := because(lang, l.Because)
	if !l.Typical.IsSet() {
		e, pos = p.rec.Site.Doubt.TypicalOrDefault(), p.rec.Site.Doubt.Typical.Pos
		isDefault = !pos.IsSet()
		reason = lang.S("one spot reading stands for the year; the range is the site's or the program's default")
	}
	step := "loads." + l.ID.Value + ".typical"
	if _, ok := p.sheet.Get(step); !ok {
		working.Record(p.sheet, working.Step{ID: step, Label: lang.F("power of %s over the year as a share of the reading", inSentence(l.Name.Value)), Kind: working.Assumed, Typed: e.Text, Pos: pos, Reason: reason}, e.Mean())
		if isDefault || !l.Typical.IsSet() {
			p.register.shared("typical", lang.S("Power on the day against the year's mean, where a load states none"), e.Text, reason, pos, step, isDefault)
		} else {
			p.register.add(lang.F("Power of %s over the year as a share of the reading", inSentence(l.Name.Value)), e.Text, reason, pos, step, false)
		}
	}
	return typicalShare{working.Num[quantity.Ratio]{V: e.Mean(), Step: step}, e}
}

// dayToYear is the doubt of what a day showed of a load against its year.
func (p *loadPass) dayToYear(typical typicalShare, out *Load) factor {
	lang := p.rec.Words
	return p.params.relative(typical.estimate, param{id: "loads." + out.ID + ".typical", label: lang.F("power of %s on other days", inSentence(out.Name)), assumed: true, mend: lang.S("read it again on other days, or log it for a week")})
}

// commonLoading is what a plate without a loading is taken at.
var commonLoading = quantity.Estimate[quantity.Ratio]{Low: 0.60, Likely: 0.75, High: 0.90, Shape: quantity.Triangular, Text: "60..75..90 %"}

func (p *loadPass) fromPlate(l site.Load, id string, out *Load) (modelMode, working.Num[quantity.Watts]) {
	lang := p.rec.Words
	n := l.Nameplate
	out.Basis, out.BasisText = working.Assumed, lang.S("plate")
	rated := working.Record(p.sheet, working.Step{ID: id + "rated", Label: lang.F("rating of %s", inSentence(l.Name.Value)), Kind: working.Stated, Unit: "W", Typed: n.Rated.Text, Pos: n.Rated.Pos}, quantity.Watts(n.Rated.Value.Value))
	found := p.plateLoading(l, id, out)
	eta, etaPos, etaText := quantity.Ratio(1), l.Pos, "100 %"
	if n.Efficiency.IsSet() {
		eta, etaPos, etaText = n.Efficiency.Value.Value, n.Efficiency.Pos, n.Efficiency.Text
	}
	efficiency := working.Record(p.sheet, working.Step{ID: id + "efficiency", Label: lang.F("efficiency of %s", inSentence(l.Name.Value)), Kind: working.Stated, Typed: etaText, Pos: etaPos}, eta)
	label, f := lang.F("running power of %s", inSentence(l.Name.Value)), found.doubts
	var running working.Num[quantity.Watts]
	if n.Speed != nil || n.Current != nil { // what a day shows, as a reading of power is
		typical := p.typical(l, id)
		running = plateOnDayF.Apply(p.sheet, id+"running", label, "W", rated, found.loading, efficiency, typical.num)
		f = f.times(p.dayToYear(typical, out))
	} else {
		running = plateF.Apply(p.sheet, id+"running", label, "W", rated, found.loading, efficiency)
	}
	f.mean = float64(running.V)
	return modelMode{power: f, reactive: p.tangent(l, id, out)}, running
}

// plateLoading gives how hard a plate's machine works: by its speed or its current
// where one was read, else as stated, else as is common.
func (p *loadPass) plateLoading(l site.Load, id string, out *Load) method {
	lang, n := p.rec.Words, l.Nameplate
	switch {
	case n.Speed != nil:
		out.BasisText = lang.S("plate, loading by slip")
		return p.bySlip(l, id)
	case n.Current != nil:
		out.BasisText = lang.S("plate, loading by current")
		return p.byCurrent(l, id)
	}
	loading, pos, reason, isDefault := commonLoading, l.Pos, lang.S("no loading was stated; 60 to 90 % is common for motors (common practice, no source)"), true
	if n.Loading.IsSet() {
		loading, pos, reason, isDefault = n.Loading.Value, n.Loading.Pos, because(lang, l.Because), false
	}
	load := working.Record(p.sheet, working.Step{ID: id + "loading", Label: lang.F("loading of %s", inSentence(l.Name.Value)), Kind: working.Assumed, Typed: loading.Text, Pos: pos, Reason: reason}, loading.Mean())
	p.register.add(lang.F("Loading of %s", inSentence(l.Name.Value)), loading.Text, reason, pos, load.Step, isDefault)
	return method{load, p.params.relative(loading, param{id: load.Step, label: lang.F("loading of %s", inSentence(out.Name)), assumed: true, mend: lang.S("measure it")})}
}

func (p *loadPass) fromJudgement(l site.Load, id string, out *Load, judged source.At[quantity.Estimate[quantity.Watts]]) (modelMode, working.Num[quantity.Watts]) {
	lang := p.rec.Words
	if out.Basis == "" {
		out.Basis, out.BasisText = working.Assumed, lang.S("judgement")
	}
	e := judged.Value
	running := working.Record(p.sheet, working.Step{ID: id + "running", Label: lang.F("running power of %s", inSentence(l.Name.Value)+stateOf(id, l)), Kind: working.Assumed, Unit: "W", Typed: e.Text, Pos: judged.Pos, Reason: because(lang, l.Because)}, e.Mean())
	p.register.add(lang.F("Running power of %s", inSentence(l.Name.Value)+stateOf(id, l)), e.Text, because(lang, l.Because), judged.Pos, running.Step, false)
	f := p.params.scaled(uncertainty.Of(e), param{id: running.Step, label: lang.F("power of %s", inSentence(out.Name)), assumed: true, mend: lang.S("measure it")})
	return modelMode{power: f, reactive: p.tangent(l, id, out)}, running
}

// tangent gives var for each W of a load that was not measured.
func (p *loadPass) tangent(l site.Load, id string, out *Load) float64 {
	lang := p.rec.Words
	pf, text, pos, isDefault := 0.95, "0.95 lag", l.Pos, true
	sign := 1.0
	if l.PF.IsSet() {
		pf, text, pos, isDefault = math.Abs(float64(l.PF.Value.Value)), l.PF.Text, l.PF.Pos, false
		if l.PF.Value.Lead == quantity.Leading {
			sign = -1
		}
	}
	step := "loads." + l.ID.Value + ".pf"
	if _, ok := p.sheet.Get(step); !ok {
		working.Record(p.sheet, working.Step{ID: step, Label: lang.F("power factor of %s", inSentence(l.Name.Value)), Kind: working.Assumed, Typed: text, Pos: pos, Reason: because(lang, l.Because)}, quantity.Ratio(pf))
		p.register.add(lang.F("Power factor of %s", inSentence(l.Name.Value)), text, because(lang, l.Because), pos, step, isDefault)
		out.PF = Value{V: pf, Step: step, Kind: working.Assumed}
	}
	if pf <= 0 {
		return 0
	}
	return sign * math.Tan(math.Acos(math.Min(pf, 1)))
}

// duty gives the share of the calendar's time that a state runs. A duty typed
// as one figure takes the default doubt, unless it is the whole time.
func (p *loadPass) duty(l site.Load, id string, d source.At[quantity.Estimate[quantity.Ratio]], name string, mode *modelMode) working.Num[quantity.Ratio] {
	lang := p.rec.Words
	step := working.Step{ID: id + "duty", Label: lang.F("duty of %s", name), Kind: working.Assumed, Typed: d.Text, Pos: d.Pos, Reason: because(lang, l.Because)}
	if !d.IsSet() {
		step.Kind, step.Typed, step.Pos, step.Reason = working.Stated, "100 %", l.Runs.Pos, ""
		mode.duty = factor{mean: 1}
		return working.Record(p.sheet, step, quantity.Ratio(1))
	}
	e := d.Value
	if e.Shape == quantity.Exact && e.Likely < 1 && e.Likely > 0 {
		k := p.rec.Site.Doubt.DutyOrDefault()
		e = k.Scale(float64(e.Likely))
		e.High = min(e.High, 1)
		step.Note = lang.F("typed as one figure; a doubt of %s of it is taken", k.Text)
	}
	p.register.add(lang.F("Duty of %s", name), d.Text, step.Reason, d.Pos, step.ID, false)
	mode.duty = p.params.relative(e, param{id: step.ID, label: lang.F("duty of %s", name), assumed: true, mend: lang.S("count or log its running hours for a week")})
	return working.Record(p.sheet, step, e.Mean())
}

func (p *loadPass) standby(l site.Load, id string, m *modelLoad, count working.Num[quantity.Ratio], h calendarHours, running working.Num[quantity.WattHours]) working.Num[quantity.WattHours] {
	lang := p.rec.Words
	if m.off != nil {
		return p.off(l, id, *m.off, count, h, running)
	}
	if !l.Standby.IsSet() {
		return running
	}
	e := l.Standby.Value
	power := working.Record(p.sheet, working.Step{ID: p.seen(l, id+"standby"), Label: lang.F("standby power of %s", inSentence(l.Name.Value)), Kind: working.Assumed, Unit: "W", Typed: e.Text, Pos: l.Standby.Pos, Reason: because(lang, l.Because)}, e.Mean())
	p.register.add(lang.F("Standby power of %s", inSentence(l.Name.Value)), e.Text, because(lang, l.Because), l.Standby.Pos, power.Step, false)
	m.standby = p.params.scaled(uncertainty.Of(e), param{id: power.Step, label: lang.F("standby of %s", inSentence(l.Name.Value)), assumed: true, mend: lang.S("measure it when the site is closed")})
	power = p.growStandby(l, id, m, power)
	return p.off(l, id, power, count, h, running)
}

// off adds the energy of the hours off the calendar.
func (p *loadPass) off(l site.Load, id string, power working.Num[quantity.Watts], count working.Num[quantity.Ratio], h calendarHours, running working.Num[quantity.WattHours]) working.Num[quantity.WattHours] {
	lang := p.rec.Words
	off := offF.Apply(p.sheet, id+"off", lang.F("hours that %s is on standby", inSentence(l.Name.Value)), "h", p.yearHours, h.on)
	standby := standbyF.Apply(p.sheet, id+"standby-energy", lang.F("standby energy of %s", inSentence(l.Name.Value)), "Wh", count, power, off)
	return profile.SumEnergyF.Apply(p.sheet, id+"energy", lang.F("energy of %s", inSentence(l.Name.Value)), "Wh", []working.Num[quantity.WattHours]{running, standby})
}
