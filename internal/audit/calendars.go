package audit

import (
	"fmt"
	"math"
	"strings"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

// when names a calendar as a load uses it: whole, or from some minutes after
// the beginning of its hours, for some minutes.
type when struct {
	calendar     string
	delay, lasts int // min; a lasts of 0 is to the end of the hours
}

func whenOf(r site.Runs) when {
	minutes := func(h quantity.Hours) int { return int(math.Round(float64(h) * 60)) }
	return when{r.Calendar.Value, minutes(r.Delay.Value.Value), minutes(r.Lasts.Value.Value)}
}

// key is the calendar's name in step ids.
func (w when) key() string {
	key := w.calendar
	if w.delay > 0 {
		key += fmt.Sprintf(".after-%d-min", w.delay)
	}
	if w.lasts > 0 {
		key += fmt.Sprintf(".for-%d-min", w.lasts)
	}
	return key
}

// words names it within a sentence.
func (w when) words(lang *say.Language, calendar string) string {
	switch {
	case w.lasts > 0 && w.delay > 0:
		return lang.F("%s, %d min from %d min after their start", calendar, w.lasts, w.delay)
	case w.lasts > 0:
		return lang.F("%s, the first %d min", calendar, w.lasts)
	case w.delay > 0:
		return lang.F("%s, from %d min after their start", calendar, w.delay)
	}
	return calendar
}

// calendarsOf turns the calendars that the site has, and those that its loads
// make of them, into the profile's; the first is "always".
func calendarsOf(rec *site.Record) ([]profile.Calendar, map[when]int) {
	list := []profile.Calendar{profile.Always()}
	index := map[when]int{{calendar: site.Always}: 0}
	for _, e := range rec.Site.Calendars {
		index[when{calendar: e.Key}] = len(list)
		list = append(list, calendarOf(rec.Site, e.Key, e.Value))
	}
	for _, l := range rec.Loads {
		w := whenOf(l.Runs)
		if _, ok := index[w]; ok {
			continue
		}
		base, known := index[when{calendar: w.calendar}]
		if !known {
			continue
		}
		c := list[base]
		c.Delay, c.Lasting = w.delay, w.lasts
		index[w] = len(list)
		list = append(list, c)
	}
	return list, index
}

func calendarOf(s site.Site, name string, f site.CalendarFile) profile.Calendar {
	c := profile.Calendar{Name: name, Place: s.Position.Value, Zone: s.TimeZone.Value.Location}
	for _, h := range f.Hours {
		var days civil.Weekdays
		_ = days.UnmarshalText([]byte(h.Key)) // refused when the file was read
		for d := range 7 {
			if !days.Has(time.Weekday(d)) {
				continue
			}
			for _, part := range h.Value {
				switch v := part.Value; {
				case v.Sun != nil:
					c.Sun[d] = append(c.Sun[d], *v.Sun)
				case v.Shifts != nil:
					c.Shifts[d] = append(c.Shifts[d], *v.Shifts)
				default:
					c.Hours[d] = append(c.Hours[d], v.Span)
				}
			}
		}
	}
	if f.Production.IsSet() {
		c.Production = &f.Production.Value
	}
	if f.Season.IsSet() {
		c.Season = &f.Season.Value
	}
	if f.Holidays.Value != "open" {
		for _, h := range s.Holidays {
			c.Holidays = append(c.Holidays, h.Value)
		}
	}
	for _, h := range f.HolidayHours {
		c.HolidayHours = append(c.HolidayHours, h.Value)
	}
	for _, d := range f.Shutdowns {
		c.Shutdowns = append(c.Shutdowns, d.Value)
	}
	return c
}

// dayKinds sorts days into ordinary working days and rest days: weekends,
// the site's holidays, and shutdowns.
func dayKinds(s site.Site) profile.DayKinds {
	return profile.DayKinds{Names: []string{"working days", "rest days"}, Of: func(day civil.Date) int {
		if w := day.Weekday(); w == time.Saturday || w == time.Sunday {
			return 1
		}
		for _, h := range s.Holidays {
			if h.Value.Is(day) {
				return 1
			}
		}
		for _, c := range s.Calendars {
			for _, d := range c.Value.Shutdowns {
				if d.Value.Contains(day) {
					return 1
				}
			}
		}
		return 0
	}}
}

// calendarHours is what a calendar's hours of the year are, once recorded.
type calendarHours struct {
	key    string
	num    working.Num[quantity.Hours] // as taken
	on     working.Num[quantity.Hours] // as the calendar has them
	factor factor
	name   string
}

// calendar records a calendar's hours of the year, once.
func (p *loadPass) calendar(w when) calendarHours {
	if h, ok := p.hours[w]; ok {
		return h
	}
	h := p.newCalendar(w)
	p.hours[w] = h
	return h
}

func (p *loadPass) newCalendar(w when) calendarHours {
	lang := p.rec.Words
	on := p.hoursOn(p.calendars[w])
	id := "calendars." + w.key() + "."
	c, ok := p.rec.Site.Calendars.Get(w.calendar)
	if !ok {
		h := calendarHours{key: w.key(), name: lang.S("always on"), factor: factor{mean: 1}}
		h.on = working.Record(p.sheet, working.Step{ID: id + "on", Label: lang.S("hours of the year, always on"), Kind: working.Stated, Unit: "h", Typed: "always"}, on)
		h.num = h.on
		return h
	}
	h := calendarHours{key: w.key(), name: w.calendar}
	if c.Name.IsSet() {
		h.name = c.Name.Value
	}
	whole := h.name
	h.name = w.words(lang, whole)
	h.on = working.Record(p.sheet, working.Step{ID: id + "on", Label: lang.F("%s of the year", h.name), Kind: working.Assumed, Unit: "h", Typed: lang.F("calendar %s", w.calendar), Pos: c.Pos, Reason: because(lang, c.Because)}, on)
	e, pos := p.rec.Site.Doubt.HoursOrDefault(), p.rec.Site.Doubt.Hours.Pos
	if c.Doubt.IsSet() {
		e, pos = c.Doubt.Value, c.Doubt.Pos
	}
	k := once(p.sheet, working.Step{ID: "calendars." + w.calendar + ".doubt", Label: lang.F("share of those hours: %s", whole), Kind: working.Assumed, Typed: e.Text, Pos: pos, Reason: because(lang, c.Because)}, e.Mean())
	h.num = hoursF.Apply(p.sheet, id+"hours", lang.F("%s of the year, as taken", h.name), "h", h.on, k)
	h.factor = p.params.relative(e, param{id: "calendars." + w.calendar + ".hours", label: lang.F("%s over the year", whole), assumed: true, mend: lang.S("compare with time sheets or an hour counter")})
	p.register.add(lang.F("%s, in the year", capital(h.name)), hoursText(float64(on), e.Text), because(lang, c.Because), c.Pos, h.num.Step, false)
	return h
}

// hoursText writes hours with the doubt stated for them: "3282 h ± 6 %" where it
// lies evenly around them.
func hoursText(hours float64, doubt string) string {
	if even, ok := strings.CutPrefix(doubt, "100 % ±"); ok {
		return fmt.Sprintf("%.0f h ±%s", hours, even)
	}
	return fmt.Sprintf("%.0f h, %s", hours, doubt)
}
