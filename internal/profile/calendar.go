package profile

import (
	"slices"
	"time"

	"auditgen/internal/civil"
)

// Calendar is when machines may run: the union of Hours, Shifts, Sun and
// Production, on the days that Season, Holidays and Shutdowns leave.
//
// A span that crosses midnight belongs to the day on which it begins: a night
// shift that starts before a holiday, a shutdown or the end of the season is
// worked to its end, and one that would start on such a day is not worked.
type Calendar struct {
	Name  string
	Hours [7][]civil.Span // by time.Weekday; no span: closed that day
	// Shifts are runs of shifts, by time.Weekday of the first shift.
	Shifts [7][]civil.Shifts
	// Sun has spans that go with sunrise or sunset at Place, by time.Weekday.
	Sun   [7][]civil.SunSpan
	Place civil.Place
	// Zone is whose clock Place lives by; nil stands for the grid's zone, and
	// for universal time where there is no grid.
	Zone *time.Location
	// Production is working time counted in days; holidays are its days off.
	Production *civil.Production

	// Delay and Lasting cut each span: it begins Delay minutes late and, for a
	// Lasting above zero, ends after so many minutes at the latest. Machines
	// that are started one after another have calendars with different delays;
	// a machine's warming up has one that lasts as long as it takes.
	Delay, Lasting int

	// Season limits the calendar to a part of each year; nil means all year.
	Season *civil.Season
	// Holidays are days on which HolidayHours stand in place of Hours, Shifts
	// and Sun. Leave them out for a calendar that takes no notice of holidays.
	Holidays     []civil.Holiday
	HolidayHours []civil.Span
	// Shutdowns are days on which nothing of the calendar starts, holiday or not.
	Shutdowns []civil.Days

	worked map[civil.Date]uint32 // days of production by first of month, while folding
}

// Always gives the calendar that is on at every hour.
func Always() Calendar {
	c := Calendar{Name: "always"}
	for d := range c.Hours {
		c.Hours[d] = []civil.Span{{From: 0, To: 24 * 60}}
	}
	return c
}

// minutesOfDay is the length of a day of the clock.
const minutesOfDay = 24 * 60

// openSpan is a part of a calendar in minutes after midnight of the day to which it belongs,
// the end not included. It may begin before that day and reach into the next
// two.
type openSpan struct{ from, to int }

// On reports whether the calendar is on at a minute of a day, 0 to 1439.
func (c Calendar) On(day civil.Date, minute int) bool {
	for back := -1; back <= 2; back++ {
		for _, s := range c.spans(day.AddDays(-back)) {
			if at := minute + back*minutesOfDay; at >= s.from && at < s.to {
				return true
			}
		}
	}
	return false
}

func (c *Calendar) closed(day civil.Date) bool {
	return c.Season != nil && !c.Season.Contains(day) ||
		slices.ContainsFunc(c.Shutdowns, func(d civil.Days) bool { return d.Contains(day) })
}

func (c *Calendar) holiday(day civil.Date) bool {
	return slices.ContainsFunc(c.Holidays, func(h civil.Holiday) bool { return h.Is(day) })
}

// spans gives the spans that begin on a day.
func (c *Calendar) spans(day civil.Date) []openSpan {
	if c.closed(day) {
		return nil
	}
	var out []openSpan
	add := func(from, to int) {
		from += c.Delay
		if c.Lasting > 0 {
			to = min(to, from+c.Lasting)
		}
		if from < to {
			out = append(out, openSpan{from, to})
		}
	}
	hours, weekday := c.Hours[day.Weekday()], day.Weekday()
	holiday := c.holiday(day)
	if holiday {
		hours = c.HolidayHours
	}
	for _, s := range hours {
		if s.CrossesMidnight() {
			add(int(s.From), int(s.To)+minutesOfDay)
		} else {
			add(int(s.From), int(s.To))
		}
	}
	if p := c.Production; p != nil && c.produces(day) {
		add(int(p.From), int(p.From)+p.Minutes)
	}
	if holiday {
		return out
	}
	for _, s := range c.Shifts[weekday] {
		add(s.Run())
	}
	for _, s := range c.Sun[weekday] {
		zone := c.Zone
		if zone == nil {
			zone = time.UTC
		}
		add(s.On(day, c.Place, zone))
	}
	return out
}

// produces reports whether a day is one of those that Production counts.
func (c *Calendar) produces(day civil.Date) bool {
	first := civil.Date{Year: day.Year, Month: day.Month, Day: 1}
	worked, known := c.worked[first]
	if !known {
		worked = c.Production.Worked(day.Year, day.Month, c.holiday, c.closed)
		if c.worked != nil {
			c.worked[first] = worked
		}
	}
	return worked>>(day.Day-1)&1 == 1
}

// forFolding gives a copy that keeps what it works out month by month.
func (c Calendar) forFolding(zone *time.Location) Calendar {
	if c.Zone == nil {
		c.Zone = zone
	}
	c.worked = map[civil.Date]uint32{}
	return c
}

// dayMask holds, for each minute of a day, the set of calendars that are on.
type dayMask [minutesOfDay]Set

// add marks what the spans of a day, so many days before, cover of this one.
func (m *dayMask) add(bit Set, spans []openSpan, back int) {
	for _, s := range spans {
		from, to := s.from-back*minutesOfDay, s.to-back*minutesOfDay
		for i := max(from, 0); i < min(to, len(m)); i++ {
			m[i] |= bit
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
