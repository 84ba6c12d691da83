package intake

import (
	"fmt"
	"strconv"
	"time"

	"auditgen/internal/diag"
)

// LocalTime is what an ESPI file says of its clock (LocalTimeParameters).
type LocalTime struct {
	Offset     int64 // seconds that standard time is ahead of UTC
	Ahead      int64 // seconds that the clock is put forward
	Start, End ClockChange
}

// ClockChange is a day and hour of each year, as ESPI packs it into 32 bits: bits
// 0-11 seconds, 12-16 hour, 17-19 day of the week (Monday 1 to Sunday 7), 20-24
// day of the month, 25-27 operator, 28-31 month (NAESB ESPI schema,
// DstRuleType). All bits set mean that there is no change.
type ClockChange struct {
	None     bool
	Month    time.Month
	Operator int // 0 the day of the month; 1 the first such weekday from it on; 2-6 the first to fifth of the month; 7 the last
	Day      int
	Weekday  int // Monday 1 to Sunday 7
	Hour     int
	Seconds  int
}

// ParseClockChange reads the hexadecimal form.
func ParseClockChange(text string) (ClockChange, error) {
	n, err := strconv.ParseUint(text, 16, 32)
	if err != nil {
		return ClockChange{}, fmt.Errorf("%q is not a rule of a clock change: eight hexadecimal digits", text)
	}
	if n == 0xFFFFFFFF {
		return ClockChange{None: true}, nil
	}
	c := ClockChange{Month: time.Month(n >> 28), Operator: int(n >> 25 & 7), Day: int(n >> 20 & 31), Weekday: int(n >> 17 & 7), Hour: int(n >> 12 & 31), Seconds: int(n & 0xFFF)}
	if c.Month < 1 || c.Month > 12 || c.Hour > 24 || c.Operator > 0 && c.Weekday == 0 || c.Operator < 2 && c.Day == 0 {
		return c, fmt.Errorf("%q is not a rule of a clock change", text)
	}
	return c, nil
}

// At gives the second, of the clock that runs up to the change, in a year.
func (c ClockChange) At(year int) int64 {
	day := c.Day
	first := time.Date(year, c.Month, 1, 0, 0, 0, 0, time.UTC)
	from := func(day int) int { // the first such weekday from a day on
		wd := int(first.AddDate(0, 0, day-1).Weekday())
		return day + (c.Weekday%7-wd+7)%7
	}
	switch {
	case c.Operator == 1:
		day = from(c.Day)
	case c.Operator >= 2 && c.Operator <= 6:
		day = from(1) + 7*(c.Operator-2)
	case c.Operator == 7:
		last := first.AddDate(0, 1, -1).Day()
		day = from(last - 6)
	}
	return time.Date(year, c.Month, day, c.Hour, 0, c.Seconds, 0, time.UTC).Unix()
}

// OffsetAt gives the seconds that local time is ahead of UTC at an instant.
func (l *LocalTime) OffsetAt(instant int64) int64 {
	if l.Start.None || l.End.None || l.Ahead == 0 {
		return l.Offset
	}
	year := utc(instant + l.Offset).Year()
	on := l.Start.At(year) - l.Offset
	off := l.End.At(year) - l.Offset - l.Ahead
	summer := instant >= on && instant < off
	if off < on { // south of the equator
		summer = instant >= on || instant < off
	}
	if summer {
		return l.Offset + l.Ahead
	}
	return l.Offset
}

func (r *espiReader) localTime(e *entry) {
	l := &LocalTime{}
	good := true
	rule := func(name string, into *ClockChange) {
		at := r.pos()
		c, err := ParseClockChange(r.text())
		if err != nil {
			r.notes = append(r.notes, Note{Clock, at, name + ": " + err.Error() + "; what the file says of its clock is left aside"})
			good = false
		}
		*into = c
	}
	r.inside(func(name string) bool {
		switch name {
		case "dstStartRule":
			rule(name, &l.Start)
		case "dstEndRule":
			rule(name, &l.End)
		case "tzOffset":
			l.Offset = r.number(name)
		case "dstOffset":
			l.Ahead = r.number(name)
		default:
			return false
		}
		return true
	})
	if good && l.Offset >= -14*3600 && l.Offset <= 14*3600 {
		r.locals[e.self] = l
	}
}

// localOf finds the clock of a usage point.
func (r *espiReader) localOf(p *usagePoint) *LocalTime {
	for _, link := range p.related {
		if l := r.locals[link]; l != nil {
			return l
		}
	}
	if len(r.locals) == 1 {
		for _, l := range r.locals {
			return l
		}
	}
	return nil
}

// tellZone notes what the file says of its clock.
func (r *espiReader) tellZone(l *Log, p *usagePoint) {
	local := r.localOf(p)
	if local == nil {
		l.Account.note(Clock, diag.Pos{File: r.file, Line: p.line}, "it says nothing of its local time; times are in UTC")
		return
	}
	l.Local = local
	text := fmt.Sprintf("standard time is UTC%s", offsetText(local.Offset))
	if !local.Start.None && !local.End.None && local.Ahead != 0 {
		text += fmt.Sprintf(", the clock is put forward by %s from %s to %s", span(local.Ahead), local.Start, local.End)
	}
	l.Account.note(Clock, diag.Pos{File: r.file, Line: p.line}, "%s", text)
}

var (
	weekdays = [8]string{"", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"}
	ordinals = [8]string{2: "first", 3: "second", 4: "third", 5: "fourth", 6: "fifth", 7: "last"}
)

// String gives the change in words: the second Sunday of March, 02:00.
func (c ClockChange) String() string {
	switch {
	case c.None:
		return "never"
	case c.Operator == 0:
		return fmt.Sprintf("%d %s, %02d:%02d", c.Day, c.Month, c.Hour, c.Seconds/60)
	case c.Operator == 1:
		return fmt.Sprintf("the first %s from %d %s, %02d:%02d", weekdays[c.Weekday], c.Day, c.Month, c.Hour, c.Seconds/60)
	}
	return fmt.Sprintf("the %s %s of %s, %02d:%02d", ordinals[c.Operator], weekdays[c.Weekday], c.Month, c.Hour, c.Seconds/60)
}

func offsetText(seconds int64) string {
	sign := "+"
	if seconds < 0 {
		sign, seconds = "−", -seconds
	}
	return fmt.Sprintf("%s%02d:%02d", sign, seconds/3600, seconds/60%60)
}

// CheckZone notes where a zone disagrees with what the file says of its clock:
// at the first, or at the changes within the log.
func (l *Log) CheckZone(zone *time.Location) {
	if l.Local == nil {
		return
	}
	c := &zoneClock{loc: zone}
	for i := range l.Rows {
		start := l.Rows[i].Start
		if theirs, ours := l.Local.OffsetAt(start), c.at(start); theirs != ours {
			l.Account.note(Clock, l.pos(&l.Rows[i]), "at %s the file's local time is UTC%s, that of %s UTC%s; the zone's is used", stamp(start), offsetText(theirs), zone, offsetText(ours))
			return
		}
	}
}
