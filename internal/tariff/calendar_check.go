package tariff

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/source"
)

// check finds what is wrong with the periods: names, spans past midnight on
// some days only, overlaps, and hours in no period. The last two are looked for
// only when the file could be read whole, since a fault in an hour makes others.
func (c *calendar) check(faults *diag.List, whole bool) {
	before := faults.Len()
	first := map[string]diag.Pos{}
	for _, set := range c.sets {
		if len(set.periods) > maxPeriods {
			faults.At(set.pos, fmt.Sprintf("%d periods are more than a tariff has", len(set.periods)), fmt.Sprintf("at most %d", maxPeriods))
		}
		others := 0
		for _, p := range set.periods {
			if pos, ok := first[p.Key]; ok {
				faults.At(p.Pos, fmt.Sprintf("period %q is given twice, first on line %d", p.Key, pos.Line), "a name of its own in each set of periods")
			}
			first[p.Key] = p.Pos
			if p.Value.Otherwise {
				if others++; others > 1 {
					faults.At(p.Pos, "two periods are otherwise", "one period that takes the hours left over")
				}
			}
			for _, r := range p.Value.Rules {
				c.checkRule(r, faults)
			}
		}
	}
	if whole && faults.Len() == before {
		for _, set := range c.sets {
			c.checkCover(set, faults)
		}
	}
}

// maxPeriods keeps the index of a period within a byte.
const maxPeriods = 100

func (c *calendar) checkRule(r PeriodRule, faults *diag.List) {
	for _, s := range r.Season {
		known(faults, s, "season", c.seasons.Keys())
	}
	if r.Holidays.IsSet() && r.Holidays.Value != holidaysLikeOthers && len(c.holidays) == 0 {
		faults.At(r.Holidays.Pos, "the tariff names no holidays", "holidays: at the top of the file, such as [1 Jan, 25 Dec]")
	}
	for _, h := range r.Hours {
		if h.Value.CrossesMidnight() && h.Value.To > 0 && (len(r.Days) > 0 || r.Holidays.Value != holidaysLikeOthers) {
			faults.At(h.Pos, fmt.Sprintf("%s runs past midnight, and only some days are meant", h.Text),
				fmt.Sprintf("the hours of each day: [00:00-%s, %s-24:00]", h.Value.To, h.Value.From))
		}
	}
}

// known records a fault when a name is not one of those there are.
func known(faults *diag.List, name source.At[string], what string, names []string) bool {
	if slices.Contains(names, name.Value) {
		return true
	}
	p := diag.OneOf(what, name.Value, names)
	if len(names) == 0 {
		p.Expected = "a " + what + " that the file names; it names none"
	}
	faults.Add(p.At(name.Pos))
	return false
}

// stretch is a run of minutes of the day with one defect.
type stretch struct {
	from, to civil.Clock
	what     string // "" for a gap, else the two periods that overlap
	pos      diag.Pos
}

func (c *calendar) checkCover(set calendarSet, faults *diag.List) {
	hasRest := slices.ContainsFunc(set.periods, func(e source.Entry[PeriodRules]) bool { return e.Value.Otherwise })
	where := map[stretch][]dayClass{}
	var order []stretch
	for _, class := range c.classes() {
		for _, s := range c.defects(set, class, hasRest) {
			if where[s] == nil {
				order = append(order, s)
			}
			where[s] = append(where[s], class)
		}
	}
	const most = 4
	for i, s := range order {
		if i == most {
			faults.At(set.pos, fmt.Sprintf("and %d more stretches of the same kind", len(order)-most), "")
			return
		}
		when := fmt.Sprintf("%s %s-%s", c.dayWords(where[s]), s.from, s.to)
		if s.what == "" {
			faults.At(s.pos, "no period takes "+when, "every hour in one period; one of them may be: otherwise")
		} else {
			faults.At(s.pos, fmt.Sprintf("%s both take %s", s.what, when), "each hour in one period; a period that is otherwise takes what the others leave")
		}
	}
}

func (c *calendar) defects(set calendarSet, class dayClass, hasRest bool) []stretch {
	var found []stretch
	for e := range len(c.edges) - 1 {
		minute, end := c.edges[e], civil.Clock(c.edges[e+1])
		at := c.periodsAt(set, class, minute)
		if len(at) == 1 || len(at) == 0 && hasRest {
			continue
		}
		s := stretch{pos: set.pos}
		if len(at) > 1 {
			a, b := set.periods[at[0]], set.periods[at[1]]
			s.what, s.pos = fmt.Sprintf("%q and %q", a.Key, b.Key), b.Pos
		}
		if n := len(found); n > 0 && found[n-1].to == civil.Clock(minute) && found[n-1].what == s.what {
			found[n-1].to = end
			continue
		}
		s.from, s.to = civil.Clock(minute), end
		found = append(found, s)
	}
	return found
}

// dayWords says which days classes stand for: "Sat-Sun", "Mon-Fri in winter",
// "holidays". Days are named by weekday; holidays only where no plain day has
// the same defect.
func (c *calendar) dayWords(classes []dayClass) string {
	plain, holiday := map[int][7]bool{}, map[int][7]bool{}
	for _, cl := range classes {
		m := plain
		if cl.holiday {
			m = holiday
		}
		days := m[cl.mask]
		days[(cl.weekday+6)%7] = true
		m[cl.mask] = days
	}
	words, use := "", plain
	if len(plain) == 0 {
		words, use = "holidays on ", holiday
	}
	first := -1
	same := len(use) == len(c.masks)
	for mask := range c.masks {
		days, ok := use[mask]
		if !ok {
			continue
		}
		if first < 0 {
			first = mask
		}
		same = same && days == use[first]
	}
	words += runsOfDays(use[first])
	if !same && len(c.seasons) > 0 {
		if s := c.seasonWords(first); s == "no season" {
			words += " outside all seasons (" + c.exampleDay(first) + ")"
		} else {
			words += " in " + s
		}
	}
	return words
}

// exampleDay names a day of the year on which a mask holds.
func (c *calendar) exampleDay(mask int) string {
	for d := (civil.Date{Year: 2000, Month: 1, Day: 1}); d.Year == 2000; d = d.AddDays(1) {
		y := civil.YearDay{Month: d.Month, Day: d.Day}
		if c.mask(d) == mask {
			return "such as " + y.String()
		}
	}
	return ""
}

// runsOfDays words a set of days counted from Monday: "Mon-Fri", "Sat, Sun".
func runsOfDays(days [7]bool) string {
	var runs []string
	for i := 0; i < 7; i++ {
		if !days[i] {
			continue
		}
		j := i
		for j < 6 && days[j+1] {
			j++
		}
		name := func(k int) string { return time.Weekday((k + 1) % 7).String()[:3] }
		if j == i {
			runs = append(runs, name(i))
		} else {
			runs = append(runs, name(i)+"-"+name(j))
		}
		i = j
	}
	return strings.Join(runs, ", ")
}
