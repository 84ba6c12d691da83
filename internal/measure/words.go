package measure

import (
	"strings"

	"auditgen/internal/say"
	"auditgen/internal/site"
	"auditgen/internal/source"
)

// Words says what a change does, in one sentence without its full stop.
func Words(rec *site.Record, c site.Change) string {
	lang := rec.Words
	load := func(id source.At[string]) string { return nameOf(rec, id.Value) }
	switch {
	case c.Replace != nil:
		return load(c.Replace.Load) + ": " + strings.Join(replaced(rec, c.Replace), ", ")
	case c.Add != nil:
		return lang.F("New: %s, at %s", c.Add.Name.Value, c.Add.At.Value)
	case c.Remove.IsSet():
		return lang.F("%s goes", load(c.Remove))
	case c.Efficiency != nil:
		return lang.F("%s: efficiency from %s to %s at the same output", load(c.Efficiency.Load), c.Efficiency.From.Text, c.Efficiency.To.Text)
	case c.Speed != nil:
		if len(c.Speed.Speeds) > 0 {
			return lang.F("%s: speed or flow of %s", load(c.Speed.Load), speedsWords(lang, c.Speed))
		}
		return lang.F("%s: speed or flow down to %s of the present one", load(c.Speed.Load), c.Speed.Speed.Text)
	case c.SetPoint != nil:
		return lang.F("%s: set-point moved by %s, %s saved by each kelvin", load(c.SetPoint.Load), c.SetPoint.By.Text, c.SetPoint.Each.Text)
	case c.Leaks != nil:
		return lang.F("%s: leaks down from %s to %s of its output", load(c.Leaks.Load), c.Leaks.From.Text, c.Leaks.To.Text)
	case c.Lighting != nil:
		return lang.F("%s: fittings of %s in place of %s, on the same hours", load(c.Lighting.Load), c.Lighting.To.Text, c.Lighting.From.Text)
	case c.Standby != nil:
		return lang.F("%s: %s instead while its hours are off", load(c.Standby.Load), c.Standby.To.Text)
	case c.Duty != nil:
		return lang.F("%s: runs %s of its hours", load(c.Duty.Load)+stateWords(c.Duty.State), c.Duty.To.Text)
	case c.Hours != nil:
		return lang.F("%s: runs in %s", load(c.Hours.Load), calendarName(rec, c.Hours.Calendar.Value))
	case c.Shift != nil:
		return lang.F("%s: the same energy in %s", load(c.Shift.Load), calendarName(rec, c.Shift.Calendar.Value))
	case c.Stagger != nil:
		return staggered(rec, c.Stagger)
	}
	return supplyWords(rec, c)
}

// speedsWords lists speeds with their shares of the time.
func speedsWords(lang *say.Language, c *site.SpeedChange) string {
	parts := make([]string, len(c.Speeds))
	for i, e := range c.Speeds {
		parts[i] = lang.F("%s for %s of the time", e.Key, e.Value.Text)
	}
	return strings.Join(parts, ", ")
}

// staggered says how a load is kept from running with others.
func staggered(rec *site.Record, c *site.StaggerChange) string {
	load := nameOf(rec, c.Load.Value)
	others := make([]string, len(c.Never))
	for i, other := range c.Never {
		others[i] = nameOf(rec, other.Value)
	}
	switch names := strings.Join(others, ", "); {
	case len(others) == 0:
		return rec.Words.F("%s: starts %s into its hours", load, c.Delay.Text)
	case !c.Delay.IsSet():
		return rec.Words.F("%s: never runs beside %s", load, names)
	default:
		return rec.Words.F("%s: starts %s into its hours and never runs beside %s", load, c.Delay.Text, names)
	}
}

func supplyWords(rec *site.Record, c site.Change) string {
	lang := rec.Words
	switch {
	case c.Capacitors != nil && c.Capacitors.Target.IsSet():
		return lang.F("An automatic capacitor bank holds a power factor of %s", c.Capacitors.Target.Text)
	case c.Capacitors != nil:
		return lang.F("Capacitors of %s", c.Capacitors.Size.Text)
	case c.Harmonics != nil:
		return lang.F("%s: distortion of its current down to %s of the fundamental", nameOf(rec, c.Harmonics.Load.Value), c.Harmonics.To.Text)
	case c.Phases.IsSet():
		point, _ := rec.Site.Points.Get(c.Phases.Value)
		return lang.F("One-phase circuits of %s spread over the phases", point.Name.Value)
	case c.Transformer != nil:
		return lang.F("A transformer of %s with losses of %s and %s", c.Transformer.Rating.Text, c.Transformer.NoLoad.Text, c.Transformer.LoadLoss.Text)
	case c.Agreed.IsSet():
		return lang.F("Agreed demand of %s", c.Agreed.Text)
	case c.Tariff.IsSet():
		return lang.F("Tariff: %s", c.Other.File.Name.Value)
	case c.Photovoltaic != nil:
		return lang.S("Solar modules, their yield by month as typed")
	}
	return ""
}

func replaced(rec *site.Record, r *site.Replace) []string {
	lang := rec.Words
	var parts []string
	if r.Power.IsSet() {
		parts = append(parts, lang.F("%s each while running", r.Power.Text))
	}
	if r.Duty.IsSet() {
		parts = append(parts, lang.F("a duty of %s", r.Duty.Text))
	}
	if r.Standby.IsSet() {
		parts = append(parts, lang.F("%s on standby", r.Standby.Text))
	}
	if r.Count.IsSet() {
		parts = append(parts, lang.F("number %s", r.Count.Text))
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
	lang := rec.Words
	for _, list := range []source.Map[site.CalendarFile]{rec.Site.Calendars, rec.Measures.Calendars} {
		if c, ok := list.Get(key); ok && c.Name.IsSet() {
			return c.Name.Value
		}
	}
	if key == site.Always {
		return lang.S("all hours of the year")
	}
	return lang.F("the hours of %s", key)
}
