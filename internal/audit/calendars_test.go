package audit

import (
	"fmt"
	"math"
	"testing"
)

// TestEnergyOfCalendars: a load of 1 kW on calendars whose hours anyone can
// count with a calendar of the year on the wall. 2031 has 52 of each day of the
// week and one more Wednesday, its first and last day: 261 days from Monday to
// Friday. 2032 is a leap year with 53 Thursdays and Fridays.
func TestEnergyOfCalendars(t *testing.T) {
	const twoHolidays = "[1 Jan, 25 Dec]" // a Wednesday and a Thursday
	for _, c := range []struct {
		name, calendar, holidays string
		runs, zone, more         string
		hours                    float64 // by hand
	}{
		{name: "always", hours: 365 * 24, runs: "calendar: always"},
		{name: "always in a leap year", hours: 366 * 24, runs: "calendar: always", more: "year: 2032"},
		{name: "working days", calendar: "hours: {Mon-Fri: 06:00-18:00}", hours: 261 * 12},
		{name: "and Saturday mornings", calendar: "hours: {Mon-Fri: 06:00-18:00, Sat: 08:00-12:00}", hours: 261*12 + 52*4},
		{name: "three days a week", calendar: `hours: {"Mon, Wed, Fri": 09:00-13:00}`, hours: (52 + 53 + 52) * 4},
		{name: "with a break", calendar: "hours: {Mon-Fri: [08:00-12:00, 13:00-17:00]}", hours: 261 * 8},
		{name: "spans that overlap count once", calendar: "hours: {Mon-Fri: [08:00-12:00, 10:00-14:00]}", hours: 261 * 6},
		{name: "leap year", calendar: "hours: {Mon-Fri: 08:00-16:00}", more: "year: 2032", hours: (52*3 + 53*2) * 8},
		// The night of Tuesday 31 December 2030 gives its 6 h, that of Wednesday
		// 31 December 2031 loses as many to 2032.
		{name: "over midnight", calendar: "hours: {Mon-Fri: 22:00-06:00}", hours: 261 * 8},
		{name: "Saturday nights", calendar: "hours: {Sat: 20:00-04:00}", hours: 52 * 8},
		{name: "holidays", calendar: "hours: {Mon-Fri: 08:00-16:00}", holidays: twoHolidays, hours: (261 - 2) * 8},
		{name: "open on holidays", calendar: "hours: {Mon-Fri: 08:00-16:00}, holidays: open", holidays: twoHolidays, hours: 261 * 8},
		{name: "a holiday on a Saturday", calendar: "hours: {Mon-Fri: 08:00-16:00}", holidays: "[2031-07-05]", hours: 261 * 8},
		{name: "Easter Monday", calendar: "hours: {Mon-Fri: 08:00-16:00}", holidays: "[Easter + 1]", hours: 260 * 8},
		{name: "a counted Monday", calendar: "hours: {Mon-Fri: 08:00-16:00}", holidays: "[first Mon of May, last Mon of May]", hours: 259 * 8},
		{name: "hours of holidays", calendar: "hours: {Mon-Fri: 08:00-16:00}, holiday-hours: 10:00-14:00", holidays: twoHolidays, hours: 259*8 + 2*4},
		{name: "hours of holidays, one on a Sunday", calendar: "hours: {Mon-Fri: 08:00-16:00}, holiday-hours: [09:00-11:00, 15:00-16:00]", holidays: "[2031-06-01, 25 Dec]", hours: 260*8 + 2*3},
		// March to October: 31+30+31+30+31+31+30+31 = 245 days.
		{name: "season", calendar: "hours: {Mon-Sun: 08:00-16:00}, season: 1 Mar to 31 Oct", hours: 245 * 8},
		{name: "season over the new year", calendar: "hours: {Mon-Sun: 08:00-16:00}, season: 1 Nov to 28 Feb", hours: (365 - 245) * 8},
		// Monday 4 to Friday 15 August are ten working days.
		{name: "shutdown", calendar: "hours: {Mon-Fri: 08:00-16:00}, shutdowns: 2031-08-04 to 2031-08-15", hours: 251 * 8},
		{name: "nights that begin before a shutdown are worked", calendar: "hours: {Mon-Fri: 22:00-06:00}, shutdowns: 2031-08-05 to 2031-08-05", hours: 260 * 8},
		{name: "three shifts", calendar: "hours: {Mon-Fri: 3 shifts of 8 h from 06:00}", hours: 261 * 24},
		{name: "two shifts past midnight", calendar: "hours: {Mon-Thu: 2 shifts of 7.5 h from 14:00}", hours: (52 + 52 + 53 + 52) * 15},
		{name: "shifts and hours", calendar: "hours: {Mon-Fri: 2 shifts of 8 h from 06:00, Sat: 06:00-14:00}", holidays: twoHolidays, hours: 259*16 + 52*8},
		{name: "days of a month", calendar: `production: "26 days a month, 8 h a day"`, hours: 12 * 26 * 8},
		{name: "every day of a month", calendar: `production: "31 days a month, 10 h a day from 06:00"`, hours: 365 * 10},
		{name: "days of a week", calendar: `production: "6 days a week, 12 h a day"`, holidays: twoHolidays, hours: (365 - 52 - 2) * 12},
		{name: "days of a month, one shut down", calendar: `production: "20 days a month, 8 h a day", shutdowns: 2031-08-01 to 2031-08-31`, hours: 11 * 20 * 8},
		{name: "days of a month and holiday hours", calendar: `production: "20 days a month, 8 h a day from 08:00", holiday-hours: 18:00-20:00`, holidays: twoHolidays, hours: 12*20*8 + 2*2},
		{name: "started late", calendar: "hours: {Mon-Fri: 06:00-18:00}", runs: "calendar: it, delay: 45 min", hours: 261 * 11.25},
		{name: "warming up", calendar: "hours: {Mon-Fri: 06:00-18:00}", runs: "calendar: it, lasts: 30 min", hours: 261 * 0.5},
		{name: "warming up, started late", calendar: "hours: {Mon-Fri: 06:00-18:00}", runs: "calendar: it, delay: 1 h, lasts: 30 min", hours: 261 * 0.5},
		{name: "started too late to run", calendar: "hours: {Mon-Fri: 06:00-06:30}", runs: "calendar: it, delay: 45 min", hours: 0},
		// One of 31 mornings in March has no 01:00 to 02:00, one in October has it twice.
		{name: "clocks put forward", calendar: "hours: {Mon-Sun: 00:00-06:00}, season: 1 Mar to 31 Mar", zone: "Europe/Dublin", hours: 31*6 - 1},
		{name: "clocks put back", calendar: "hours: {Mon-Sun: 00:00-06:00}, season: 1 Oct to 31 Oct", zone: "Europe/Dublin", hours: 31*6 + 1},
		// The sun of 80° north does not set in June and does not rise in December.
		{name: "midnight sun", calendar: "hours: {Mon-Sun: sunset to sunrise}, season: 1 Jun to 30 Jun", more: "position: 80 ° N 0 ° E", hours: 0},
		{name: "polar night", calendar: "hours: {Mon-Sun: sunrise to sunset}, season: 1 Dec to 31 Dec", more: "position: 80 ° N 0 ° E", hours: 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			runs := c.runs
			if runs == "" {
				runs = "calendar: it"
			}
			s := small{zone: c.zone, holidays: c.holidays, more: c.more + "\n",
				loads: "  - {id: load, name: Load, at: DB1-1, use: work, power: 1 kW, runs: {" + runs + "}}"}
			if c.calendar != "" {
				s.calendars = "{it: {" + c.calendar + ", doubt: 100 % ± 0 %}}"
			}
			r := s.run(t)
			nearly(t, "energy", r.Energy.Value, c.hours, 1e-9)
			nearly(t, "hours", r.Loads[0].Hours.V, c.hours, 1e-9)
			sum := 0.0
			for _, m := range r.Months {
				sum += m.Energy.Value
			}
			nearly(t, "months", sum, c.hours, 1e-9)
			if err := r.Sheet.Replay(); err != nil {
				t.Error(err)
			}
		})
	}
}

// TestLightsByTheSun: day and night together are the year; and the lights of a
// December night in London burn by the almanac's times (from memory, as in
// civil): sunset at 15:53, held to two minutes a day.
func TestLightsByTheSun(t *testing.T) {
	run := func(hours, season string) float64 {
		return small{zone: "Europe/London", more: "position: 51.51 ° N 0.13 ° W\n",
			calendars: fmt.Sprintf("{dark: {hours: {Mon-Sun: %s}%s, doubt: 100 %% ± 0 %%}}", hours, season),
			loads:     "  - {id: lights, name: Lights, at: DB1-1, use: light, power: 1 kW, runs: {calendar: dark}}"}.run(t).Energy.Value
	}
	nearly(t, "day and night", run("sunset to sunrise", "")+run("sunrise to sunset", ""), 8760, 1e-9)
	evening := run("sunset to 23:00", ", season: 21 Dec to 21 Dec")
	if byHand := 23 - (15 + 53.0/60); math.Abs(evening-byHand) > 2.0/60 {
		t.Errorf("%.3f h, by the almanac %.3f h", evening, byHand)
	}
	nearly(t, "from a quarter of an hour after sunset", run("sunset + 15 min to 23:00", ", season: 21 Dec to 21 Dec"), evening-0.25, 1e-9)
}

// TestOneDoubtForOneCalendar: loads that use parts of a calendar share the doubt
// about its hours, so that it does not average away.
func TestOneDoubtForOneCalendar(t *testing.T) {
	const load = "  - {id: %s, name: %s, at: DB1-1, use: work, power: 1 kW, runs: {calendar: it%s}}\n"
	r := small{calendars: "{it: {hours: {Mon-Fri: 06:00-18:00}, doubt: 90..100..110 %}}",
		loads: fmt.Sprintf(load, "a", "A", "") + fmt.Sprintf(load, "b", "B", ", delay: 1 h") + fmt.Sprintf(load, "c", "C", ", lasts: 2 h")}.run(t)
	sum := 0.0
	for _, l := range r.Loads {
		sum += l.Energy.Half()
	}
	nearly(t, "half of the interval", r.Energy.Half(), sum, 1e-3)
	if len(r.Contributions) == 0 || r.Contributions[0].ID != "calendars.it.hours" || r.Contributions[0].Share < 1-1e-9 {
		t.Errorf("doubts %+v", r.Contributions)
	}
}
