package profile

import (
	"slices"
	"time"

	"auditgen/internal/civil"
)

// Calendar is when machines may run.
//
// A span that crosses midnight belongs to the day on which it begins: a night
// shift that starts before a holiday, a shutdown or the end of the season is
// worked to its end, and one that would start on such a day is not worked.
type Calendar struct {
	Name  string
	Hours [7][]civil.Span // by time.Weekday; no span: closed that day

	// Season limits the calendar to a part of each year; nil means all year.
	Season *civil.Season
	// Holidays are days on which HolidayHours stand in place of Hours. Leave
	// them out for a calendar that takes no notice of holidays.
	Holidays     []civil.Holiday
	HolidayHours []civil.Span
	// Shutdowns are days on which nothing of the calendar starts, holiday or not.
	Shutdowns []civil.Days
}

// Always gives the calendar that is on at every hour.
func Always() Calendar {
	c := Calendar{Name: "always"}
	for d := range c.Hours {
		c.Hours[d] = []civil.Span{{From: 0, To: 24 * 60}}
	}
	return c
}

// On reports whether the calendar is on at a minute of a day, 0 to 1439.
func (c Calendar) On(day civil.Date, minute int) bool {
	for _, s := range c.spans(day) {
		if s.Contains(minute) {
			return true
		}
	}
	for _, s := range c.spans(day.AddDays(-1)) {
		if s.ContainsAfter(minute) {
			return true
		}
	}
	return false
}

// spans gives the hours that begin on a day.
func (c *Calendar) spans(day civil.Date) []civil.Span {
	if c.Season != nil && !c.Season.Contains(day) {
		return nil
	}
	if slices.ContainsFunc(c.Shutdowns, func(d civil.Days) bool { return d.Contains(day) }) {
		return nil
	}
	if slices.ContainsFunc(c.Holidays, func(h civil.Holiday) bool { return h.Is(day) }) {
		return c.HolidayHours
	}
	return c.Hours[day.Weekday()]
}

// dayMask holds, for each minute of a day, the set of calendars that are on.
type dayMask [24 * 60]Set

func (m *dayMask) fill(bit Set, from, to int) {
	for i := max(from, 0); i < min(to, len(m)); i++ {
		m[i] |= bit
	}
}

// add marks what a calendar's hours that begin today, and those that began
// yesterday, cover of the day.
func (m *dayMask) add(bit Set, today, yesterday []civil.Span) {
	for _, s := range today {
		to := int(s.To)
		if s.CrossesMidnight() {
			to = len(m)
		}
		m.fill(bit, int(s.From), to)
	}
	for _, s := range yesterday {
		if s.CrossesMidnight() {
			m.fill(bit, 0, int(s.To))
		}
	}
}

// DayKinds sorts days into kinds, such as working days and rest days.
type DayKinds struct {
	Names []string
	Of    func(day civil.Date) int // an index into Names
}

// WeekdayWeekend has Monday to Friday as one kind, Saturday and Sunday as the other.
func WeekdayWeekend() DayKinds {
	return DayKinds{
		Names: []string{"weekday", "weekend"},
		Of: func(day civil.Date) int {
			if d := day.Weekday(); d == time.Saturday || d == time.Sunday {
				return 1
			}
			return 0
		},
	}
}
