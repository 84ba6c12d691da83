package tariff

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/source"
)

// PeriodRules says when a time period is: hours of days, in one or several
// rules, or "otherwise" for all hours that no other period of its set takes.
type PeriodRules struct {
	Otherwise bool
	Rules     []PeriodRule
	Pos       diag.Pos
}

// PeriodRule is one rule of a period. Hours are those of the site's local
// clock, on the days named. Absent parts do not restrict.
type PeriodRule struct {
	source.Where
	Season   source.OneOrMany[string]         `key:"season" doc:"only these seasons" default:"all year" example:"winter"`
	Days     source.OneOrMany[civil.Weekdays] `key:"days" doc:"days of the week" default:"every day" example:"Mon-Fri"`
	Hours    source.OneOrMany[civil.Span]     `key:"hours" doc:"spans of the local clock" default:"00:00-24:00" example:"[08:00-12:00, 17:00-20:00]"`
	Holidays source.At[holidayRule]           `key:"holidays" doc:"no: not on holidays; only: on holidays alone; yes: a holiday counts as its day of the week" default:"yes" example:"no"`
}

type holidayRule int

const (
	holidaysLikeOthers holidayRule = iota
	holidaysNot
	holidaysOnly
)

// UnmarshalText reads yes, no or only.
func (h *holidayRule) UnmarshalText(text []byte) error {
	switch string(text) {
	case "yes":
		*h = holidaysLikeOthers
	case "no":
		*h = holidaysNot
	case "only":
		*h = holidaysOnly
	default:
		return diag.OneOf("rule for holidays", string(text), []string{"yes", "no", "only"})
	}
	return nil
}

// ReadSource reads otherwise, one rule, or a list of rules.
func (p *PeriodRules) ReadSource(v *source.Value, faults *diag.List) {
	p.Pos = v.Pos
	switch v.Form {
	case source.Scalar:
		if v.Text != "otherwise" {
			faults.At(v.Pos, fmt.Sprintf("%q is not a time period", v.Text), "days and hours, such as {days: Mon-Fri, hours: 07:00-22:00}, or otherwise")
			return
		}
		p.Otherwise = true
	case source.Mapping:
		p.Rules = make([]PeriodRule, 1)
		source.Decode(v, &p.Rules[0], faults)
	case source.Sequence:
		source.Decode(v, &p.Rules, faults)
	}
}

// calendarSet is one set of periods, each minute in one of them.
type calendarSet struct {
	name    string // "" for the main set
	pos     diag.Pos
	periods source.Map[PeriodRules]
}

// dayClass is a class of days that a tariff's calendar treats alike.
type dayClass struct {
	mask    int // index of the seasons that hold
	weekday time.Weekday
	holiday bool
}

// calendar finds the slot of a minute.
type calendar struct {
	sets     []calendarSet
	seasons  source.Map[source.OneOrMany[civil.Season]]
	holidays source.OneOrMany[civil.Holiday]
	as       [7]source.OneOrMany[civil.Holiday] // holidays that count as a day of the week
	masks    []string                           // distinct sets of seasons, each as a string of 0 and 1
	minutes  map[dayClass][]uint8               // slot of each minute of the day
	kinds    map[dayClass]SlotSet               // slots that a day has
	keys     []slotKey                          // by slot
	names    []string                           // by slot
	yearDay  [13 * 32]int                       // index of masks, by month x 32 + day
	years    sync.Map                           // classes of the days of a year, by year
	edges    []int                              // minutes at which a period may begin or end, 0 and 1440 among them
}

// slotKey is what makes minutes alike: the seasons and the period of each set.
type slotKey struct {
	mask    int
	periods string // one byte for each set: index of the period
}

func newCalendar(f *File) *calendar {
	c := &calendar{seasons: f.Seasons, holidays: f.Holidays, minutes: map[dayClass][]uint8{}, kinds: map[dayClass]SlotSet{}}
	if len(f.Periods) > 0 {
		c.sets = append(c.sets, calendarSet{pos: f.Periods[0].Pos, periods: f.Periods})
	}
	for _, set := range f.PeriodSets {
		c.sets = append(c.sets, calendarSet{name: set.Key, pos: set.Pos, periods: set.Value})
	}
	for _, h := range f.HolidaysAs {
		var days civil.Weekdays
		if days.UnmarshalText([]byte(h.Key)) != nil {
			continue // has a fault of its own
		}
		for day := range c.as {
			if days.Has(time.Weekday(day)) {
				c.as[day] = append(c.as[day], h.Value...)
			}
		}
	}
	c.edges = c.findEdges()
	for d := (civil.Date{Year: 2000, Month: 1, Day: 1}); d.Year == 2000; d = d.AddDays(1) {
		mask := c.maskOf(d)
		i := slices.Index(c.masks, mask)
		if i < 0 {
			i = len(c.masks)
			c.masks = append(c.masks, mask)
		}
		c.yearDay[int(d.Month)*32+d.Day] = i
	}
	return c
}

func (c *calendar) findEdges() []int {
	edges := []int{0, 1440}
	for _, set := range c.sets {
		for _, p := range set.periods {
			for _, r := range p.Value.Rules {
				for _, h := range r.Hours {
					edges = append(edges, int(h.Value.From), int(h.Value.To))
				}
			}
		}
	}
	slices.Sort(edges)
	return slices.Compact(edges)
}

func (c *calendar) maskOf(d civil.Date) string {
	var b strings.Builder
	for _, s := range c.seasons {
		in := slices.ContainsFunc(s.Value, func(part source.At[civil.Season]) bool { return part.Value.Contains(d) })
		fmt.Fprintf(&b, "%d", map[bool]int{true: 1}[in])
	}
	return b.String()
}

func (c *calendar) inSeason(mask int, name string) bool {
	i := slices.Index(c.seasons.Keys(), name)
	return i >= 0 && c.masks[mask][i] == '1'
}

// seasonWords names the seasons of a mask: "winter", "" when there are none.
func (c *calendar) seasonWords(mask int) string {
	var names []string
	for i, s := range c.seasons {
		if c.masks[mask][i] == '1' {
			names = append(names, s.Key)
		}
	}
	if len(names) == 0 && len(c.seasons) > 0 {
		return "no season"
	}
	return list(names)
}

// mask is the index of the seasons that hold on a day.
func (c *calendar) mask(d civil.Date) int { return c.yearDay[int(d.Month)*32+d.Day] }

// class finds the class of a day.
func (c *calendar) class(d civil.Date) dayClass {
	is := func(days source.OneOrMany[civil.Holiday]) bool {
		return slices.ContainsFunc(days, func(f source.At[civil.Holiday]) bool { return f.Value.Is(d) })
	}
	class := dayClass{mask: c.mask(d), weekday: d.Weekday(), holiday: is(c.holidays)}
	for day := range c.as {
		if is(c.as[day]) {
			class.weekday = time.Weekday(day)
		}
	}
	return class
}

// yearClasses gives the class of each day of a year, from 1 January, worked out
// once.
func (c *calendar) yearClasses(year int) []dayClass {
	if known, ok := c.years.Load(year); ok {
		return known.([]dayClass)
	}
	all := make([]dayClass, 0, 366)
	for d := (civil.Date{Year: year, Month: 1, Day: 1}); d.Year == year; d = d.AddDays(1) {
		all = append(all, c.class(d))
	}
	c.years.Store(year, all)
	return all
}

// classes lists every class of days there may be, in a fixed order.
func (c *calendar) classes() []dayClass {
	var all []dayClass
	for mask := range c.masks {
		for wd := range 7 {
			all = append(all, dayClass{mask, time.Weekday(wd), false})
			if len(c.holidays) > 0 {
				all = append(all, dayClass{mask, time.Weekday(wd), true})
			}
		}
	}
	return all
}

// takes reports whether a rule takes a minute of a day of the class.
func (c *calendar) takes(r PeriodRule, d dayClass, minute int) bool {
	if r.Holidays.Value == holidaysNot && d.holiday || r.Holidays.Value == holidaysOnly && !d.holiday {
		return false
	}
	if len(r.Season) > 0 && !slices.ContainsFunc(r.Season, func(s source.At[string]) bool { return c.inSeason(d.mask, s.Value) }) {
		return false
	}
	if len(r.Days) > 0 && !slices.ContainsFunc(r.Days, func(w source.At[civil.Weekdays]) bool { return w.Value.Has(d.weekday) }) {
		return false
	}
	return len(r.Hours) == 0 || slices.ContainsFunc(r.Hours, func(s source.At[civil.Span]) bool {
		return s.Value.Contains(minute) || s.Value.ContainsAfter(minute)
	})
}

// periodsAt gives the periods of a set that take a minute by their rules.
func (c *calendar) periodsAt(set calendarSet, d dayClass, minute int) []int {
	var found []int
	for i, p := range set.periods {
		if slices.ContainsFunc(p.Value.Rules, func(r PeriodRule) bool { return c.takes(r, d, minute) }) {
			found = append(found, i)
		}
	}
	return found
}

// compile numbers the slots. The periods must have been checked. It reports
// whether the slots fit a SlotSet.
func (c *calendar) compile() bool {
	index := map[slotKey]int{}
	for _, class := range c.classes() {
		day := make([]uint8, 1440)
		var kinds SlotSet
		for e := range len(c.edges) - 1 {
			key := c.keyAt(class, c.edges[e])
			i, ok := index[key]
			if !ok {
				i = len(c.keys)
				if i == maxSlots {
					return false
				}
				index[key] = i
				c.keys = append(c.keys, key)
				c.names = append(c.names, c.name(key))
			}
			kinds.Add(Slot(i))
			for minute := c.edges[e]; minute < c.edges[e+1]; minute++ {
				day[minute] = uint8(i)
			}
		}
		c.minutes[class], c.kinds[class] = day, kinds
	}
	return true
}

func (c *calendar) keyAt(class dayClass, minute int) slotKey {
	periods := make([]byte, len(c.sets))
	for s, set := range c.sets {
		if found := c.periodsAt(set, class, minute); len(found) > 0 {
			periods[s] = byte(found[0])
			continue
		}
		periods[s] = byte(slices.IndexFunc(set.periods, func(e source.Entry[PeriodRules]) bool { return e.Value.Otherwise }))
	}
	return slotKey{class.mask, string(periods)}
}

func (c *calendar) name(key slotKey) string {
	var words []string
	if s := c.seasonWords(key.mask); s != "" {
		words = append(words, s)
	}
	for s, set := range c.sets {
		words = append(words, set.periods[key.periods[s]].Key)
	}
	if len(words) == 0 {
		return "all hours"
	}
	return strings.Join(words, ", ")
}

// pick gives the slots of the named periods and seasons; no name is no limit.
func (c *calendar) pick(periods, seasons source.OneOrMany[string]) SlotSet {
	var set SlotSet
	for i, key := range c.keys {
		inSeason := len(seasons) == 0 || slices.ContainsFunc(seasons, func(s source.At[string]) bool { return c.inSeason(key.mask, s.Value) })
		inPeriod := len(periods) == 0 || slices.ContainsFunc(periods, func(p source.At[string]) bool { return c.keyIn(key, p.Value) })
		if inSeason && inPeriod {
			set.Add(Slot(i))
		}
	}
	return set
}

func (c *calendar) keyIn(key slotKey, period string) bool {
	for s, set := range c.sets {
		if set.periods[key.periods[s]].Key == period {
			return true
		}
	}
	return false
}

// periodNames lists the periods of all sets.
func (c *calendar) periodNames() []string {
	var names []string
	for _, set := range c.sets {
		names = append(names, set.periods.Keys()...)
	}
	return names
}
