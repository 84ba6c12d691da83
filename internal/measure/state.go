// Package measure works out what a change is worth: the record is altered, the
// same passes run again, and the bill priced again is held against the bill as it
// is. No saving is an energy times a mean price.
package measure

import (
	"fmt"
	"math"
	"slices"

	"auditgen/internal/audit"
	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/source"
	"auditgen/internal/working"
)

// Note is something that working a change out has shown: what is built, what must
// be minded.
type Note struct {
	Text    string
	Step    string
	Warning bool
}

type share = quantity.Estimate[quantity.Ratio]

// state is a record on its way to being altered.
type state struct {
	result *audit.Result
	rec    *site.Record
	added  []audit.Added
	left   float64 // share of the loads' reactive power that is left

	sheet  *working.Sheet // takes the steps; one of its own where they are not wanted
	faults *diag.List
	notes  []Note
	moved  map[string]float64 // doubts of the changes, in standard deviations from their means
	doubts []string           // those met

	quiet   bool          // what is told and not priced need not be worked out
	measure *site.Measure // being applied
	prefix  string        // of step ids
	pos     diag.Pos      // of the change being applied
}

// newState begins with the record as it is.
func newState(r *audit.Result, f *site.MeasuresFile, sheet *working.Sheet, faults *diag.List) *state {
	rec := *r.Record
	rec.Loads = slices.Clone(r.Record.Loads)
	rec.Site.Calendars = append(slices.Clone(r.Record.Site.Calendars), f.Calendars...)
	return &state{result: r, rec: &rec, left: 1, sheet: sheet, faults: faults, moved: map[string]float64{}}
}

// alteration is what the state comes to. A state that alters nothing is none.
func (s *state) alteration() audit.Alteration {
	a := audit.Alteration{Record: s.rec, Added: s.added}
	if s.left != 1 {
		a.Reactive = quantity.Ratio(max(s.left, 1e-9))
	}
	return a
}

// year works the state out; exact leaves the intervals away.
func (s *state) year(exact bool) (*audit.Variant, error) {
	a := s.alteration()
	a.Exact = exact
	return s.result.Alter(a)
}

// apply makes the changes of a measure, in their order.
func (s *state) apply(m *site.Measure) error {
	s.measure = m
	for i := range m.Changes {
		s.prefix = "measures." + m.ID.Value + "."
		if len(m.Changes) > 1 {
			s.prefix += fmt.Sprintf("%d.", i+1)
		}
		s.pos = m.Changes[i].Pos
		if err := s.change(&m.Changes[i]); err != nil {
			return err
		}
	}
	if s.faults.Len() == 0 {
		s.rec.CheckBonds(s.faults)
	}
	return nil
}

func (s *state) change(c *site.Change) error {
	switch {
	case c.Replace != nil:
		s.replace(c.Replace)
	case c.Add != nil:
		s.rec.Loads = append(s.rec.Loads, *c.Add)
	case c.Remove.IsSet():
		s.rec.Loads = slices.DeleteFunc(s.rec.Loads, func(l site.Load) bool { return l.ID.Value == c.Remove.Value })
	case c.Efficiency != nil:
		s.efficiency(c.Efficiency)
	case c.Speed != nil:
		s.speed(c.Speed)
	case c.SetPoint != nil:
		s.setPoint(c.SetPoint)
	case c.Leaks != nil:
		s.leaks(c.Leaks)
	case c.Lighting != nil:
		return s.lighting(c.Lighting)
	case c.Standby != nil:
		s.with(c.Standby.Load, func(l *site.Load) { l.Standby = c.Standby.To })
	case c.Duty != nil:
		s.duty(c.Duty)
	case c.Hours != nil:
		s.with(c.Hours.Load, func(l *site.Load) { l.Runs.Calendar = c.Hours.Calendar })
	case c.Shift != nil:
		return s.shift(c.Shift)
	case c.Stagger != nil:
		return s.stagger(c.Stagger)
	case c.Capacitors != nil:
		return s.capacitors(c.Capacitors)
	case c.Harmonics != nil:
		s.harmonics(c.Harmonics)
	case c.Phases.IsSet():
		s.phases(c.Phases.Value)
	case c.Transformer != nil:
		s.transformer(c.Transformer)
	case c.Agreed.IsSet():
		return s.agreed(c)
	case c.Tariff.IsSet():
		s.rec.Tariff = c.Other
	case c.Photovoltaic != nil:
		return s.photovoltaics(c.Photovoltaic)
	}
	return nil
}

// with changes a copy of a load.
func (s *state) with(id source.At[string], change func(l *site.Load)) {
	i := slices.IndexFunc(s.rec.Loads, func(l site.Load) bool { return l.ID.Value == id.Value })
	if i < 0 {
		s.faults.At(id.Pos, fmt.Sprintf("the load %q is not there when %q begins", id.Value, s.measure.ID.Value), "a load of the visit; for one that another measure adds or removes, after: with that measure")
		return
	}
	l := s.rec.Loads[i]
	l.States = slices.Clone(l.States)
	change(&l)
	s.rec.Loads[i] = l
}

// named is a load's name as it stands within a sentence, or its id.
func (s *state) named(id string) string {
	for _, l := range s.rec.Loads {
		if l.ID.Value == id {
			return l.Name.Value
		}
	}
	return id
}

func (s *state) note(step, text string) {
	s.notes = append(s.notes, Note{Text: text, Step: step})
}

func (s *state) warn(step, text string) {
	s.notes = append(s.notes, Note{Text: text, Step: step, Warning: true})
}

// doubted is the value of an estimate of a change: its mean, moved by what is
// asked of its doubt.
func (s *state) doubted(key string, mean, deviation float64) float64 {
	name := s.prefix + key
	if deviation > 0 {
		s.doubts = append(s.doubts, name)
	}
	return mean + s.moved[name]*deviation
}

// ratio records a share that a change states, with its doubt.
func (s *state) ratio(key, label string, a source.At[share]) working.Num[quantity.Ratio] {
	v := s.doubted(key, float64(a.Value.Mean()), float64(a.Value.Deviation()))
	return working.Record(s.sheet, s.step(key, label, "", a.Text, a.Pos), quantity.Ratio(math.Min(math.Max(v, 0), 1)))
}

// plain records a share that a change states or that stands in for it.
func (s *state) plain(key, label string, a source.At[quantity.Displayed[quantity.Ratio]], standard quantity.Ratio, text string) working.Num[quantity.Ratio] {
	if a.IsSet() {
		return working.Record(s.sheet, s.step(key, label, "", a.Text, a.Pos), a.Value.Value)
	}
	return working.Record(s.sheet, s.step(key, label, "", text, s.pos), standard)
}

// step is an assumption of the measure being applied.
func (s *state) step(key, label, unit, typed string, pos diag.Pos) working.Step {
	lang := s.result.Record.Words
	reason := lang.S("stated for this measure")
	if s.measure.Because.IsSet() {
		reason = s.measure.Because.Value
	}
	return working.Step{ID: s.prefix + key, Label: label, Kind: working.Assumed, Unit: unit, Typed: typed, Pos: pos, Reason: reason}
}

// number reads a plain number that was checked when its file was read.
func number(a source.At[string], standard float64) float64 {
	if v, _, err := quantity.Number(a.Value); a.IsSet() && err == nil {
		return v
	}
	return standard
}

// fixed is an estimate without doubt that stays what it is: an exact one of a duty
// would be given the default doubt.
func fixed(v quantity.Ratio) share {
	return share{Low: v, Likely: v, High: v, Shape: quantity.Triangular, Text: fmt.Sprintf("%.4g %%", float64(v)*100)}
}

// at puts a value where a change stands.
func at[T any](v T, text string, pos diag.Pos) source.At[T] {
	return source.At[T]{Value: v, Text: text, Pos: pos}
}
