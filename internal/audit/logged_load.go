package audit

import (
	"fmt"
	"math"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/intake"
	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

// logLevels is how many levels of power a logged load is taken to run at: enough
// for what it adds to a highest demand, few enough to see.
const logLevels = 6

// loadLog is what a log shows of a load, while its calendar is on and off. Within
// the hours of its calendar its energy is spread evenly over the year.
type loadLog struct {
	on, off meanPower   // means
	levels  []meanPower // while on, by level, with the share of the time
	tangent float64     // var for each W
	hours   float64     // logged
	rows    int
}

// meanPower is a mean power, W, over some time: hours, or a share of it.
type meanPower struct{ watts, time float64 }

func (p *meanPower) add(wh, h float64) {
	if p.time += h; p.time > 0 {
		p.watts += (wh - p.watts*h) / p.time
	}
}

// readLoadLog parts a load's log by its calendar. A row counts by its middle.
func readLoadLog(l *intake.Log, zone *time.Location, on func(civil.Date, int) bool) loadLog {
	out := loadLog{rows: len(l.Rows)}
	var running []meanPower
	least, most, wh, varh := math.Inf(1), 0.0, 0.0, 0.0
	for i := range l.Rows {
		r := &l.Rows[i]
		t := time.Unix(r.Start+int64(r.Duration)/2, 0).In(zone)
		e, h := float64(r.Values[intake.Import].WattHours()), float64(r.Duration)/3600
		out.hours += h
		wh += e
		varh += float64(r.Values[intake.Lagging].VarHours() - r.Values[intake.Leading].VarHours())
		if !on(civil.Date{Year: t.Year(), Month: t.Month(), Day: t.Day()}, t.Hour()*60+t.Minute()) {
			out.off.add(e, h)
			continue
		}
		out.on.add(e, h)
		running = append(running, meanPower{e / h, h})
		least, most = math.Min(least, e/h), math.Max(most, e/h)
	}
	if wh > 0 {
		out.tangent = varh / wh
	}
	bins := make([]meanPower, logLevels)
	for _, p := range running {
		k := 0
		if most > least {
			k = min(int((p.watts-least)/(most-least)*logLevels), logLevels-1)
		}
		bins[k].add(p.watts*p.time, p.time)
	}
	for _, b := range bins {
		if b.time > 0 {
			out.levels = append(out.levels, meanPower{b.watts, b.time / out.on.time})
		}
	}
	return out
}

// fromLog gives the power of a load from its log: its mean while its calendar is
// on, at the levels that it was seen to run at.
func (p *loadPass) fromLog(l site.Load, id string, out *Load, m *modelLoad) working.Num[quantity.Watts] {
	lang := p.rec.Words
	zone := p.rec.Site.TimeZone.Value.Location
	calendars, index := calendarsOf(p.rec)
	log := readLoadLog(l.Intervals.Log, zone, calendars[index[whenOf(l.Runs)]].On)
	name := inSentence(l.Name.Value)
	if log.on.time == 0 {
		p.faults.At(l.Intervals.Pos, fmt.Sprintf("the log of %s has no reading while its calendar, %s, is on", l.ID.Value, l.Runs.Calendar.Value), "a log of some of its running time, or another calendar")
		return working.Num[quantity.Watts]{}
	}
	out.Basis, out.BasisText = working.Measured, lang.S("its log")
	logged := p.logStep(l, id+"logged", lang.F("mean power of %s while its calendar is on, logged", name), log.on.watts, log.rows)
	scale, f := p.stands(l, id, log)
	mean := typicalF.Apply(p.sheet, id+"running", lang.F("mean power of %s while its calendar is on, over the year", name), "W", logged, scale)
	reactive := log.tangent
	if l.Intervals.Log.Has.Reactive() {
		out.PF = Value{V: 1 / math.Hypot(1, reactive), Step: p.sheet.Put(working.Step{ID: id + "pf", Label: lang.F("power factor of %s, logged", name), Kind: working.Measured, Typed: lang.F("%d intervals", log.rows), Pos: l.Intervals.Pos, Value: 1 / math.Hypot(1, reactive)}), Kind: working.Measured}
	} else {
		reactive = p.tangent(l, id, out)
	}
	for _, level := range log.levels {
		m.modes = append(m.modes, modelMode{power: factor{mean: level.watts}.times(f), reactive: reactive, duty: factor{mean: level.time}})
	}
	if log.off.watts > 0 {
		off := p.logStep(l, id+"logged-off", lang.F("mean power of %s while its calendar is off, logged", name), log.off.watts, log.rows)
		standby := typicalF.Apply(p.sheet, p.seen(l, id+"standby"), lang.F("standby power of %s, over the year", name), "W", off, scale)
		m.standby = factor{mean: log.off.watts}.times(f)
		standby = p.growStandby(l, id, m, standby)
		m.off = &standby
	}
	duty := p.duty(l, id, l.Runs.Duty, name, &modelMode{})
	out.Running = Value{V: float64(mean.V), Unit: "W", Step: mean.Step, Kind: working.Derived}
	out.Duty = Value{V: 1, Step: duty.Step, Kind: working.Stated}
	return profile.ModePowerF.Apply(p.sheet, p.meanStep(l), lang.F("mean power of %s while its calendar is on", name), "W", duty, mean)
}

func (p *loadPass) logStep(l site.Load, id, label string, watts float64, rows int) working.Num[quantity.Watts] {
	lang := p.rec.Words
	pos := l.Intervals.Pos
	if files := l.Intervals.Log.Files(); len(files) > 0 {
		pos = diag.Pos{File: files[0], Line: 1, Column: 1}
	}
	return working.Record(p.sheet, working.Step{ID: id, Label: label, Kind: working.Measured, Unit: "W", Typed: lang.F("%d intervals", rows), Pos: pos}, quantity.Watts(watts))
}

// stands is how the logged time stands to the year: an assumption, unless the
// whole year was logged.
func (p *loadPass) stands(l site.Load, id string, log loadLog) (working.Num[quantity.Ratio], factor) {
	lang := p.rec.Words
	name := inSentence(l.Name.Value)
	step := working.Step{ID: id + "typical", Label: lang.F("power of %s over the year as a share of what was logged", name), Kind: working.Stated, Typed: "100 %", Pos: l.Intervals.Pos}
	if log.hours >= wholeMonth*float64(p.yearHours.V) {
		return working.Record(p.sheet, step, quantity.Ratio(1)), factor{mean: 1}
	}
	e, isDefault := p.rec.Site.Doubt.TypicalOrDefault(), true
	step.Kind, step.Reason = working.Assumed, lang.F("%.0f days of log stand for the year, by the hours of the calendar", log.hours/24)
	if l.Typical.IsSet() {
		e, step.Pos, isDefault = l.Typical.Value, l.Typical.Pos, false
		if l.Because.IsSet() {
			step.Reason += "; " + l.Because.Value
		}
	}
	step.Typed = e.Text
	p.register.add(lang.F("Power of %s over the year as a share of what was logged", name), e.Text, step.Reason, step.Pos, step.ID, isDefault)
	return working.Record(p.sheet, step, e.Mean()), p.params.relative(e, param{id: step.ID, label: lang.F("power of %s beyond the logged days", name), assumed: true, mend: lang.S("log it for longer, in another season")})
}
