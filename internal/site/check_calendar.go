package site

import (
	"fmt"
	"math"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
)

// Always is the calendar that is there without being listed.
const Always = "always"

func (c *checker) calendar(e source.Entry[CalendarFile]) {
	c.id(source.At[string]{Value: e.Key, Pos: e.Pos})
	if e.Key == Always {
		c.faults.At(e.Pos, "the calendar \"always\" is there already, with all hours of the year", "another name")
	}
	for _, h := range e.Value.Hours {
		var w civil.Weekdays
		if err := w.UnmarshalText([]byte(h.Key)); err != nil {
			c.faults.Add(problem(err).At(h.Pos))
		}
		c.sun(h.Value)
	}
	if h := e.Value.Holidays; h.Good().IsSet() && h.Value != "open" && h.Value != "closed" {
		c.faults.Add(diag.OneOf("word for holidays", h.Value, []string{"open", "closed"}).At(h.Pos))
	}
	c.workingTime(e)
	c.holidayHours(e.Value)
	c.aroundOne(e.Value.Doubt)
}

// workingTime refuses a calendar that tells its hours in no way, or in two.
func (c *checker) workingTime(e source.Entry[CalendarFile]) {
	switch hours, production := len(e.Value.Hours) > 0, e.Value.Production.IsSet(); {
	case hours && production:
		c.faults.At(e.Value.Production.Pos, fmt.Sprintf("the calendar %q tells its hours twice", e.Key), "hours or production; a calendar of its own for the other")
	case !hours && !production && !e.Value.Faulty:
		c.faults.At(e.Pos, fmt.Sprintf("the calendar %q does not tell its hours", e.Key), "hours, such as {Mon-Fri: 06:00-18:00}; or production, such as 26 days a month, 8 h a day")
	}
}

// sun refuses hours by the sun at a site that does not say where it lies.
func (c *checker) sun(hours source.OneOrMany[civil.Hours]) {
	s := &c.rec.Site
	for _, h := range hours {
		if h.Good().IsSet() && h.Value.Sun != nil && !s.Position.IsSet() && !s.Faulty {
			c.faults.At(h.Pos, fmt.Sprintf("%q depends on where the site lies", h.Text), "position: in this file, such as 53.35 ° N 6.26 ° W")
			return
		}
	}
}

// holidayHours refuses hours of holidays that never come about.
func (c *checker) holidayHours(f CalendarFile) {
	if len(f.HolidayHours) == 0 {
		return
	}
	switch s := &c.rec.Site; {
	case f.Holidays.Value == "open":
		c.faults.At(f.HolidayHours[0].Pos, "this calendar takes no notice of holidays, and has hours for them", "holidays: open or holiday-hours, not both")
	case len(s.Holidays) == 0 && !s.Faulty:
		c.faults.At(f.HolidayHours[0].Pos, "the site has no holidays", "holidays: in this file, such as [1 Jan, 25 Dec]")
	}
}

// start checks when a load is started and how long it may run.
func (c *checker) start(r Runs) {
	for _, d := range []source.At[quantity.Displayed[quantity.Hours]]{r.Delay, r.Lasts} {
		if !d.Good().IsSet() {
			continue
		}
		minutes := float64(d.Value.Value) * 60
		switch {
		case minutes < 1 || minutes > 24*60 || math.Abs(minutes-math.Round(minutes)) > 1e-6:
			c.faults.At(d.Pos, d.Text+" is no time from a start", "whole minutes, 1 min to 24 h")
		case r.Calendar.Value == Always:
			c.faults.At(d.Pos, "what is always on has no start to count from", "a calendar with hours")
		}
	}
}
