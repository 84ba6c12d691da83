package profile

import (
	"fmt"
	"slices"
	"time"
	_ "time/tzdata" // zones must not depend on the machine

	"auditgen/internal/civil"
)

// Steps lists the demand windows, in minutes, that a grid may have.
var Steps = []int{5, 10, 15, 20, 30, 60}

// Grid is the year that is folded: its days, the zone whose clock the site
// lives by, and the demand window.
type Grid struct {
	Year int
	Zone *time.Location
	Step int // demand window in minutes
	// Kinds sorts the days for profiles; the zero value stands for
	// WeekdayWeekend.
	Kinds DayKinds
}

// NewGrid gives the grid of a year in a zone named as IANA names it, such as
// Europe/Dublin. The error says which of the arguments cannot be used.
func NewGrid(year int, zone string, step int) (Grid, error) {
	loc, err := time.LoadLocation(zone)
	if err != nil || zone == "" || zone == "Local" {
		return Grid{}, fmt.Errorf("unknown time zone %q", zone)
	}
	g := Grid{Year: year, Zone: loc, Step: step, Kinds: WeekdayWeekend()}
	return g, g.check()
}

func (g Grid) check() error {
	switch {
	case g.Year < 1 || g.Year > 9999:
		return fmt.Errorf("year %d is outside 1 to 9999", g.Year)
	case g.Zone == nil:
		return fmt.Errorf("the year %d has no time zone", g.Year)
	case !slices.Contains(Steps, g.Step):
		return fmt.Errorf("a demand window of %d minutes is none of %v", g.Step, Steps)
	}
	return nil
}

func (g Grid) first() civil.Date { return civil.Date{Year: g.Year, Month: time.January, Day: 1} }

// stretch is a part of the year through which the local clock runs without a
// change: local minutes from midnight of 1 January, the end not included.
type stretch struct{ from, to int }

// stretches lists the parts of the year between changes of the clock. Where
// the clock is put forward the local minutes have a gap, where it is put back
// they repeat, so the sum of the lengths is the real length of the year.
func (g Grid) stretches() []stretch {
	const minute = 60
	begin := func(year int) time.Time { return time.Date(year, time.January, 1, 0, 0, 0, 0, g.Zone) }
	zero := time.Date(g.Year, time.January, 1, 0, 0, 0, 0, time.UTC).Unix() / minute
	var out []stretch
	for t, end := begin(g.Year), begin(g.Year+1); t.Before(end); {
		_, next := t.ZoneBounds()
		if next.IsZero() || next.After(end) {
			next = end
		}
		_, offset := t.Zone()
		local := func(u time.Time) int { return int((u.Unix()+int64(offset))/minute - zero) }
		out = append(out, stretch{local(t), local(next)})
		t = next
	}
	return out
}
