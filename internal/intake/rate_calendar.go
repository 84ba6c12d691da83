package intake

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"auditgen/internal/civil"
)

// rateCalendar turns tables of months by hours into seasons and periods.
type rateCalendar struct {
	seasons []season
}

// season is a set of months with its name; all months have none.
type season struct {
	months [12]bool
	name   string
}

var monthNames = [12]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

// season gives the name of a set of months, "" for the whole year.
func (c *rateCalendar) season(months [12]bool) string {
	if !slices.Contains(months[:], false) {
		return ""
	}
	for _, s := range c.seasons {
		if s.months == months {
			return s.name
		}
	}
	var parts []string
	for _, r := range runs(months) {
		name := strings.ToLower(monthNames[r[0]])
		if r[0] != r[1] {
			name += "-" + strings.ToLower(monthNames[r[1]])
		}
		parts = append(parts, name)
	}
	s := season{months, strings.Join(parts, "-and-")}
	c.seasons = append(c.seasons, s)
	return s.name
}

// runs lists first and last month of each run of months; a run may cross the new
// year.
func runs(months [12]bool) [][2]int {
	var out [][2]int
	for m := range 12 {
		if months[m] && !months[(m+11)%12] {
			end := m
			for months[(end+1)%12] {
				end = (end + 1) % 12
			}
			out = append(out, [2]int{m, end})
		}
	}
	return out
}

// text gives a season as it is typed: 1 Jun to 30 Sep, or a list.
func (s season) text() string {
	var parts []string
	for _, r := range runs(s.months) {
		last := civil.DaysIn(2000, time.Month(r[1]+1)) // 29 February where it is the end
		parts = append(parts, fmt.Sprintf("1 %s to %d %s", monthNames[r[0]], last, monthNames[r[1]]))
	}
	if len(parts) == 1 {
		return parts[0]
	}
	return "[" + strings.Join(parts, ", ") + "]"
}

// hourTable is a schedule: for each month, the period of each hour on weekdays
// and on weekends.
type hourTable struct {
	name             string // energy or demand
	weekday, weekend [][]int
}

// used lists the periods that occur, and how many hours of a week each has over
// the months.
func (t *hourTable) used() (periods []int, most int) {
	hours := map[int]int{}
	for m := range t.weekday {
		for h := range 24 {
			hours[t.weekday[m][h]] += 5
			hours[t.weekend[m][h]] += 2
		}
	}
	for p := range hours {
		periods = append(periods, p)
	}
	slices.Sort(periods)
	for _, p := range periods {
		if hours[p] > hours[most] {
			most = p
		}
	}
	return periods, most
}

// has reports whether a period occurs; without a schedule the first holds all
// hours.
func (t *hourTable) has(p int) bool {
	if t == nil {
		return p == 0
	}
	used, _ := t.used()
	return slices.Contains(used, p)
}

// several reports whether more than one period occurs.
func (t *hourTable) several() bool {
	if t == nil {
		return false
	}
	used, _ := t.used()
	return len(used) > 1
}

// period names a period of the set.
func (t *hourTable) period(p int) string { return fmt.Sprintf("%s-%d", t.name, p) }

// rules writes the periods of the set, indented. The one with the most hours
// takes what the others leave.
func (t *hourTable) rules(c *rateCalendar, indent string) string {
	periods, most := t.used()
	var b strings.Builder
	for _, p := range periods {
		if p == most {
			continue
		}
		rules := t.rulesOf(c, p)
		if len(rules) == 1 {
			fmt.Fprintf(&b, "%s%s: %s\n", indent, t.period(p), rules[0])
			continue
		}
		fmt.Fprintf(&b, "%s%s:\n", indent, t.period(p))
		for _, r := range rules {
			fmt.Fprintf(&b, "%s  - %s\n", indent, r)
		}
	}
	fmt.Fprintf(&b, "%s%s: otherwise\n", indent, t.period(most))
	return b.String()
}

// rulesOf gives the rules of one period: for months that are alike, the hours on
// weekdays and on weekends.
func (t *hourTable) rulesOf(c *rateCalendar, p int) []string {
	type hours struct{ weekday, weekend string }
	var kinds []hours
	var months [][12]bool
	for m := range 12 {
		h := hours{spans(t.weekday[m], p), spans(t.weekend[m], p)}
		i := slices.Index(kinds, h)
		if i < 0 {
			i = len(kinds)
			kinds, months = append(kinds, h), append(months, [12]bool{})
		}
		months[i][m] = true
	}
	var rules []string
	for i, k := range kinds {
		add := func(days, hours string) {
			var parts []string
			if s := c.season(months[i]); s != "" {
				parts = append(parts, "season: "+s)
			}
			if days != "" {
				parts = append(parts, "days: "+days)
			}
			rules = append(rules, "{"+strings.Join(append(parts, "hours: "+hours), ", ")+"}")
		}
		switch {
		case k.weekday == k.weekend && k.weekday != "":
			add("", k.weekday)
			continue
		case k.weekday != "":
			add("Mon-Fri", k.weekday)
		}
		if k.weekend != "" {
			add("Sat-Sun", k.weekend)
		}
	}
	return rules
}

// spans writes the hours of a period on a day: [08:00-12:00, 17:00-20:00]; ""
// when there are none.
func spans(day []int, p int) string {
	var all []string
	for h := 0; h < 24; {
		end := h
		for end < 24 && day[end] == p {
			end++
		}
		if end > h {
			all = append(all, fmt.Sprintf("%02d:00-%02d:00", h, end))
		}
		h = max(end, h+1)
	}
	switch len(all) {
	case 0:
		return ""
	case 1:
		return all[0]
	}
	return "[" + strings.Join(all, ", ") + "]"
}
