package measure

import (
	"fmt"
	"strings"

	"auditgen/internal/site"
	"auditgen/internal/source"
)

// Words says what a change does, in one sentence without its full stop.
func Words(rec *site.Record, c site.Change) string {
	load := func(id source.At[string]) string { return nameOf(rec, id.Value) }
	switch {
	case c.Replace != nil:
		return load(c.Replace.Load) + ": " + strings.Join(replaced(rec, c.Replace), ", ")
	case c.Add != nil:
		return "New: " + c.Add.Name.Value + ", at " + c.Add.At.Value
	case c.Remove.IsSet():
		return load(c.Remove) + " goes"
	case c.Efficiency != nil:
		return fmt.Sprintf("%s: efficiency from %s to %s at the same output", load(c.Efficiency.Load), c.Efficiency.From.Text, c.Efficiency.To.Text)
	case c.Speed != nil:
		return fmt.Sprintf("%s: speed or flow down to %s of the present one", load(c.Speed.Load), c.Speed.Speed.Text)
	case c.SetPoint != nil:
		return fmt.Sprintf("%s: set-point moved by %s, %s saved by each kelvin", load(c.SetPoint.Load), c.SetPoint.By.Text, c.SetPoint.Each.Text)
	case c.Leaks != nil:
		return fmt.Sprintf("%s: leaks down from %s to %s of its output", load(c.Leaks.Load), c.Leaks.From.Text, c.Leaks.To.Text)
	case c.Lighting != nil:
		return fmt.Sprintf("%s: fittings of %s in place of %s, on the same hours", load(c.Lighting.Load), c.Lighting.To.Text, c.Lighting.From.Text)
	case c.Standby != nil:
		return fmt.Sprintf("%s: %s instead while its hours are off", load(c.Standby.Load), c.Standby.To.Text)
	case c.Duty != nil:
		return fmt.Sprintf("%s: runs %s of its hours", load(c.Duty.Load)+stateWords(c.Duty.State), c.Duty.To.Text)
	case c.Hours != nil:
		return fmt.Sprintf("%s: runs in %s", load(c.Hours.Load), calendarName(rec, c.Hours.Calendar.Value))
	case c.Shift != nil:
		return fmt.Sprintf("%s: the same energy in %s", load(c.Shift.Load), calendarName(rec, c.Shift.Calendar.Value))
	}
	return supplyWords(rec, c)
}

func supplyWords(rec *site.Record, c site.Change) string {
	switch {
	case c.Capacitors != nil && c.Capacitors.Target.IsSet():
		return "An automatic capacitor bank holds a power factor of " + c.Capacitors.Target.Text
	case c.Capacitors != nil:
		return "Capacitors of " + c.Capacitors.Size.Text
	case c.Harmonics != nil:
		return fmt.Sprintf("%s: distortion of its current down to %s of the fundamental", nameOf(rec, c.Harmonics.Load.Value), c.Harmonics.To.Text)
	case c.Phases.IsSet():
		point, _ := rec.Site.Points.Get(c.Phases.Value)
		return "One-phase circuits of " + point.Name.Value + " spread over the phases"
	case c.Transformer != nil:
		return fmt.Sprintf("A transformer of %s with losses of %s and %s", c.Transformer.Rating.Text, c.Transformer.NoLoad.Text, c.Transformer.LoadLoss.Text)
	case c.Agreed.IsSet():
		return "Agreed demand of " + c.Agreed.Text
	case c.Tariff.IsSet():
		return "Tariff: " + c.Other.File.Name.Value
	case c.Photovoltaic != nil:
		return "Solar modules, their yield by month as typed"
	}
	return ""
}

func replaced(rec *site.Record, r *site.Replace) []string {
	var parts []string
	if r.Power.IsSet() {
		parts = append(parts, r.Power.Text+" each while running")
	}
	if r.Duty.IsSet() {
		parts = append(parts, "a duty of "+r.Duty.Text)
	}
	if r.Standby.IsSet() {
		parts = append(parts, r.Standby.Text+" on standby")
	}
	if r.Count.IsSet() {
		parts = append(parts, "number "+r.Count.Text)
	}
	if r.Calendar.IsSet() {
		parts = append(parts, calendarName(rec, r.Calendar.Value))
	}
	return parts
}

func stateWords(state source.At[string]) string {
	if state.IsSet() {
		return ", " + state.Value
	}
	return ""
}

func nameOf(rec *site.Record, id string) string {
	for _, l := range rec.Loads {
		if l.ID.Value == id {
			return l.Name.Value
		}
	}
	for _, m := range rec.Measures.Measures {
		for _, c := range m.Changes {
			if c.Add != nil && c.Add.ID.Value == id {
				return c.Add.Name.Value
			}
		}
	}
	return id
}

// calendarName is a calendar's words, or its key.
func calendarName(rec *site.Record, key string) string {
	for _, list := range []source.Map[site.CalendarFile]{rec.Site.Calendars, rec.Measures.Calendars} {
		if c, ok := list.Get(key); ok && c.Name.IsSet() {
			return c.Name.Value
		}
	}
	if key == site.Always {
		return "all hours of the year"
	}
	return "the hours of " + key
}
