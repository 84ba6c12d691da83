package intake

import (
	"fmt"
	"regexp"
	"strconv"
	"time"
	_ "time/tzdata" // zones must not depend on the machine

	"auditgen/internal/diag"
)

// Zone is a time zone by its IANA name, or a fixed distance from UTC: +01:00.
type Zone struct{ *time.Location }

var fixedZone = regexp.MustCompile(`^(?:UTC)?([+-])(\d{2}):(\d{2})$`)

// UnmarshalText reads a zone. The machine's own is refused.
func (z *Zone) UnmarshalText(text []byte) error {
	name := string(text)
	if m := fixedZone.FindStringSubmatch(name); m != nil {
		h, _ := strconv.Atoi(m[2])
		minutes, _ := strconv.Atoi(m[3])
		if h <= 14 && minutes < 60 {
			seconds := h*3600 + minutes*60
			if m[1] == "-" {
				seconds = -seconds
			}
			z.Location = time.FixedZone(name, seconds)
			return nil
		}
	}
	loc, err := time.LoadLocation(name)
	if err != nil || name == "Local" || name == "" {
		return &diag.Problem{What: fmt.Sprintf("unknown time zone %q", name), Expected: "an IANA name, such as Europe/Dublin, or a fixed distance from UTC, such as +01:00"}
	}
	z.Location = loc
	return nil
}

// ClockRule tells how a file of local times writes the days on which the clock
// changes.
type ClockRule int

// The rules.
const (
	Changes  ClockRule = iota // the hour left out is absent, the repeated one stands twice
	Standard                  // standard time all year
	SumUp                     // every day has all its rows: the hour left out is zero, the repeated one holds two
)

var clockWords = []string{"changes", "standard", "summed"}

// UnmarshalText reads changes, standard or summed.
func (c *ClockRule) UnmarshalText(text []byte) error {
	for i, w := range clockWords {
		if w == string(text) {
			*c = ClockRule(i)
			return nil
		}
	}
	return diag.OneOf("rule for clock changes", string(text), clockWords)
}

// zoneClock turns instants and local times into each other. It keeps the last
// stretch between two clock changes, since rows come in the order of time.
type zoneClock struct {
	loc      *time.Location
	from, to int64 // the stretch, in instants
	offset   int64 // seconds that local time is ahead of UTC in it
}

const (
	longAgo = -1 << 60
	farOff  = 1 << 60
)

// at gives the offset at an instant.
func (c *zoneClock) at(instant int64) int64 {
	if instant >= c.from && instant < c.to {
		return c.offset
	}
	t := time.Unix(instant, 0).In(c.loc)
	_, offset := t.Zone()
	start, end := t.ZoneBounds()
	c.from, c.to, c.offset = longAgo, farOff, int64(offset)
	if !start.IsZero() {
		c.from = start.Unix()
	}
	if !end.IsZero() {
		c.to = end.Unix()
	}
	return c.offset
}

const aDay = 86400

// instants gives the instants that a local time (as seconds since 1970-01-01
// 00:00 of the local clock) may mean: none in an hour that the clock leaves out,
// two in an hour that it repeats. The offset next to it is given for none.
func (c *zoneClock) instants(wall int64) (first, second int64, n int) {
	if t := wall - c.offset; t >= c.from+aDay && t < c.to-aDay {
		return t, t, 1
	}
	before, after := c.at(wall-aDay-c.offset), c.at(wall+aDay-c.offset)
	t1, t2 := wall-before, wall-after
	ok1, ok2 := c.at(t1) == before, c.at(t2) == after
	switch {
	case before == after, ok1 && !ok2:
		return t1, t1, 1
	case ok2 && !ok1:
		return t2, t2, 1
	case ok1 && ok2:
		return min(t1, t2), max(t1, t2), 2
	}
	return t1, t2, 0
}

// standard gives the zone's standard offset in the year of a local time: the
// lesser of those of January and July.
func (c *zoneClock) standard(wall int64) int64 {
	year := utc(wall).Year()
	_, jan := time.Date(year, 1, 1, 12, 0, 0, 0, c.loc).Zone()
	_, jul := time.Date(year, 7, 1, 12, 0, 0, 0, c.loc).Zone()
	return int64(min(jan, jul))
}
