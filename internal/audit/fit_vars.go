package audit

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/source"
)

// variables lists what may be moved: duties, counts and calendars' hours that
// were assumed with a doubt.
func (f *fitter) variables(rec *site.Record) {
	lang := rec.Words
	doubt := rec.Site.Doubt
	for i := range rec.Loads {
		l := &rec.Loads[i]
		name := inSentence(l.Name.Value)
		f.duty("loads."+l.ID.Value+".duty", lang.F("duty of %s", name), &l.Runs.Duty, doubt)
		for k := range l.States {
			s := &l.States[k]
			f.duty("loads."+l.ID.Value+"."+s.Key+".duty", lang.F("duty of %s, %s", name, s.Key), &s.Value.Duty, doubt)
		}
		if c := &l.Runs.Count; c.IsSet() {
			e := c.Value.Estimate()
			f.variable("loads."+l.ID.Value+".count", FitMoved{Label: lang.F("number of %s", name), Typed: c.Text, Pos: c.Pos}, e, func(k float64, text string) {
				c.Value.Low, c.Value.Likely, c.Value.High, c.Value.Text, c.Text = c.Value.Low*k, c.Value.Likely*k, c.Value.High*k, text, text
			})
		}
	}
	for i := range rec.Site.Calendars {
		c := &rec.Site.Calendars[i]
		e, pos := doubt.HoursOrDefault(), doubt.Hours.Pos
		if c.Value.Doubt.IsSet() {
			e, pos = c.Value.Doubt.Value, c.Value.Doubt.Pos
		}
		if !pos.IsSet() {
			pos = c.Pos
		}
		f.variable("calendars."+c.Key+".hours", FitMoved{Label: lang.F("%s of the year", cmp.Or(c.Value.Name.Value, c.Key)), Typed: e.Text, Share: true, Pos: pos}, e, func(k float64, text string) {
			c.Value.Doubt = source.At[quantity.Estimate[quantity.Ratio]]{Value: e.Scale(k), Pos: pos, Text: text}
			c.Value.Doubt.Value.Text = text
		})
	}
}

// duty is a duty with its doubt; one typed as a figure alone takes the default.
func (f *fitter) duty(id, label string, d *source.At[quantity.Estimate[quantity.Ratio]], doubt site.DefaultDoubt) {
	if !d.IsSet() {
		return
	}
	e := d.Value
	if e.Shape == quantity.Exact {
		e = doubt.DutyOrDefault().Scale(float64(e.Likely))
	}
	e.High = min(e.High, 1)
	f.variable(id, FitMoved{Label: label, Typed: d.Text, Share: true, Pos: d.Pos}, e, func(k float64, text string) {
		d.Value, d.Text = upToOne(e.Scale(k)), text
		d.Value.Text = text
	})
}

// upToOne keeps a share's upper limit at the whole, and its mean.
func upToOne(e quantity.Estimate[quantity.Ratio]) quantity.Estimate[quantity.Ratio] {
	if e.High <= 1 {
		return e
	}
	mean := e.Mean()
	e.High, e.Likely = 1, min(e.Likely, 1)
	if e.Shape == quantity.Rectangular {
		e.Low = max(2*mean-1, 0)
		e.Likely = (e.Low + 1) / 2
		return e
	}
	e.Low = min(max(3*mean-1-e.Likely, 0), e.Likely)
	e.Likely = min(max(3*mean-1-e.Low, e.Low), 1)
	return e
}

// variable adds an assumption that the model has as a param.
func (f *fitter) variable(id string, m FitMoved, e quantity.Estimate[quantity.Ratio], put func(times float64, text string)) {
	at := slices.IndexFunc(f.y.model.params, func(p param) bool { return p.id == id })
	mean, deviation := float64(e.Mean()), float64(e.Deviation())
	if at < 0 || mean <= 0 || deviation <= 0 {
		return
	}
	m.From = mean
	f.vars = append(f.vars, fitVar{FitMoved: m, param: at, u: deviation / mean, low: float64(e.Low) / mean, high: float64(e.High) / mean, put: put})
}

// apply writes the fitted values into the record and tells what moved, the most
// in its own doubt first.
func (f *fitter) apply() []FitMoved {
	var out []FitMoved
	for _, v := range f.vars {
		m := v.FitMoved
		m.Doubts = f.z[v.param]
		m.Times = 1 + v.u*m.Doubts
		m.To = m.From * m.Times
		if math.Abs(m.Times-1) < 5e-4 {
			continue
		}
		text := fmt.Sprintf("%.4g", m.To)
		if m.Share {
			text = fmt.Sprintf("%.1f %%", m.To*100)
		}
		v.put(m.Times, f.y.rec.Words.F("%s, fitted to the bills (typed %s)", text, m.Typed))
		out = append(out, m)
	}
	slices.SortStableFunc(out, func(a, b FitMoved) int { return cmp.Compare(math.Abs(b.Doubts), math.Abs(a.Doubts)) })
	return out
}

// keepStates brings the duties of a load's states back to the whole of its time,
// where together they would pass it.
func (f *fitter) keepStates() {
	for _, l := range f.y.rec.Loads {
		sum := 0.0
		var own []int
		for _, s := range l.States {
			mean := float64(s.Value.Duty.Value.Mean())
			id := "loads." + l.ID.Value + "." + s.Key + ".duty"
			if j := slices.IndexFunc(f.vars, func(v fitVar) bool { return f.y.model.params[v.param].id == id }); j >= 0 {
				own = append(own, j)
				mean = f.vars[j].From * (1 + f.vars[j].u*f.z[f.vars[j].param])
			}
			sum += mean
		}
		if sum <= 1 {
			continue
		}
		for _, j := range own {
			v := &f.vars[j]
			times := (1 + v.u*f.z[v.param]) / sum
			f.z[v.param], v.Held = (times-1)/v.u, true
		}
	}
}
