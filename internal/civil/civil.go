// Package civil has dates, clock times, weekdays and seasons as people write
// them, without a time zone or a clock behind them.
package civil

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"auditgen/internal/diag"
)

// Date is a day of the Gregorian calendar.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

var dateForm = regexp.MustCompile(`^(\d{4})-(\d{2})-(\d{2})$`)

// ParseDate reads a date such as 2031-03-12 and refuses days that do not exist.
func ParseDate(text string) (Date, error) {
	m := dateForm.FindStringSubmatch(strings.TrimSpace(text))
	if m == nil {
		return Date{}, &diag.Problem{What: fmt.Sprintf("%q is not a date", text), Expected: "year-month-day, such as 2031-03-12"}
	}
	y, _ := strconv.Atoi(m[1])
	mo, _ := strconv.Atoi(m[2])
	d, _ := strconv.Atoi(m[3])
	date := Date{y, time.Month(mo), d}
	if of(date.midnight()) != date {
		p := &diag.Problem{What: fmt.Sprintf("the date %s does not exist", text), Expected: "a day of the calendar"}
		if mo >= 1 && mo <= 12 && d > 28 {
			p.Nearest = Date{y, time.Month(mo), DaysIn(y, time.Month(mo))}.String()
		}
		return Date{}, p
	}
	return date, nil
}

// UnmarshalText reads a date.
func (d *Date) UnmarshalText(text []byte) error {
	v, err := ParseDate(string(text))
	if err == nil {
		*d = v
	}
	return err
}

// String gives the date in ISO 8601 form.
func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, int(d.Month), d.Day) }

func (d Date) midnight() time.Time { return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC) }

func of(t time.Time) Date { y, m, d := t.Date(); return Date{y, m, d} }

// AddDays gives the date n days later.
func (d Date) AddDays(n int) Date { return of(d.midnight().AddDate(0, 0, n)) }

// Weekday is the day of the week.
func (d Date) Weekday() time.Weekday { return d.midnight().Weekday() }

// Compare orders dates.
func (d Date) Compare(e Date) int { return d.midnight().Compare(e.midnight()) }

// DaysUntil counts the days from d to e; negative when e is earlier.
func (d Date) DaysUntil(e Date) int { return int(e.midnight().Sub(d.midnight()).Hours() / 24) }

// DaysIn counts the days of a month.
func DaysIn(year int, month time.Month) int { return Date{year, month + 1, 0}.midnight().Day() }

// Days is a run of days, both ends included: "2031-08-04 to 2031-08-15", or one date.
type Days struct{ First, Last Date }

// UnmarshalText reads a run of days.
func (d *Days) UnmarshalText(text []byte) error {
	a, b, two := strings.Cut(string(text), " to ")
	if !two {
		b = a
	}
	if err := d.First.UnmarshalText([]byte(strings.TrimSpace(a))); err != nil {
		return err
	}
	if err := d.Last.UnmarshalText([]byte(strings.TrimSpace(b))); err != nil {
		return err
	}
	if d.Last.Compare(d.First) < 0 {
		return &diag.Problem{What: fmt.Sprintf("%q ends before it begins", text), Expected: "first day to last day"}
	}
	return nil
}

// Contains reports whether a date lies in the run.
func (d Days) Contains(e Date) bool { return e.Compare(d.First) >= 0 && e.Compare(d.Last) <= 0 }

// Clock is a time of day in minutes after midnight, 0 to 1440.
type Clock int

var clockForm = regexp.MustCompile(`^(\d{1,2}):(\d{2})$`)

// UnmarshalText reads a time such as 06:30; 24:00 is the end of the day.
func (c *Clock) UnmarshalText(text []byte) error {
	m := clockForm.FindStringSubmatch(strings.TrimSpace(string(text)))
	if m == nil {
		return &diag.Problem{What: fmt.Sprintf("%q is not a time of day", text), Expected: "hours:minutes, such as 06:30"}
	}
	h, _ := strconv.Atoi(m[1])
	min, _ := strconv.Atoi(m[2])
	if min > 59 || h*60+min > 1440 {
		return &diag.Problem{What: fmt.Sprintf("the time %s does not exist", text), Expected: "00:00 to 24:00"}
	}
	*c = Clock(h*60 + min)
	return nil
}

// String gives hours:minutes.
func (c Clock) String() string { return fmt.Sprintf("%02d:%02d", int(c)/60, int(c)%60) }

// Span is a part of the day from one time up to another: "06:00-22:00". A span
// whose end is not after its start crosses midnight into the next day;
// "00:00-24:00" is the whole day.
type Span struct{ From, To Clock }

// UnmarshalText reads a span.
func (s *Span) UnmarshalText(text []byte) error {
	a, b, ok := strings.Cut(string(text), "-")
	if !ok {
		return &diag.Problem{What: fmt.Sprintf("%q is not a span of time", text), Expected: "from-to, such as 06:00-22:00"}
	}
	if err := s.From.UnmarshalText([]byte(a)); err != nil {
		return err
	}
	if err := s.To.UnmarshalText([]byte(b)); err != nil {
		return err
	}
	if s.From == s.To {
		return &diag.Problem{What: fmt.Sprintf("%q is empty", text), Expected: "two different times; 00:00-24:00 for the whole day"}
	}
	return nil
}

// String gives from-to.
func (s Span) String() string { return s.From.String() + "-" + s.To.String() }

// CrossesMidnight reports whether the span ends on the next day.
func (s Span) CrossesMidnight() bool { return s.To < s.From }

// Contains reports whether a minute of the span's own day lies in it; for the
// part after midnight ask ContainsAfter on the next day.
func (s Span) Contains(minute int) bool {
	if s.CrossesMidnight() {
		return minute >= int(s.From)
	}
	return minute >= int(s.From) && minute < int(s.To)
}

// ContainsAfter reports whether a minute of the day after the span's own lies
// in the part that crossed midnight.
func (s Span) ContainsAfter(minute int) bool { return s.CrossesMidnight() && minute < int(s.To) }

// Weekdays is a set of days of the week.
type Weekdays [7]bool

var dayNames = []string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}

func dayIndex(name string) int {
	return slices.IndexFunc(dayNames, func(d string) bool { return strings.EqualFold(d, name) })
}

// UnmarshalText reads days such as "Sat", "Mon-Fri" or "Mon, Wed, Fri".
func (w *Weekdays) UnmarshalText(text []byte) error {
	for part := range strings.SplitSeq(string(text), ",") {
		a, b, run := strings.Cut(strings.TrimSpace(part), "-")
		if !run {
			b = a
		}
		from, to := dayIndex(strings.TrimSpace(a)), dayIndex(strings.TrimSpace(b))
		if from < 0 || to < 0 {
			bad := a
			if from >= 0 {
				bad = b
			}
			p := diag.OneOf("day", bad, dayNames)
			p.Expected = "days such as Sat, Mon-Fri or Mon, Wed, Fri"
			return p
		}
		for i := from; ; i = (i + 1) % 7 {
			w[(i+1)%7] = true
			if i == to {
				break
			}
		}
	}
	return nil
}

// Has reports whether a weekday is in the set.
func (w Weekdays) Has(d time.Weekday) bool { return w[d] }

// YearDay is a day that recurs each year: "1 Nov".
type YearDay struct {
	Month time.Month
	Day   int
}

var monthNames = []string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

// UnmarshalText reads a day and a month.
func (y *YearDay) UnmarshalText(text []byte) error {
	const expected = "day and month, such as 1 Nov"
	day, month, _ := strings.Cut(strings.TrimSpace(string(text)), " ")
	d, err := strconv.Atoi(day)
	if err != nil {
		return &diag.Problem{What: fmt.Sprintf("%q is not a day of the year", text), Expected: expected}
	}
	m := slices.IndexFunc(monthNames, func(n string) bool { return strings.EqualFold(n, strings.TrimSpace(month)) })
	if m < 0 {
		p := diag.OneOf("month", strings.TrimSpace(month), monthNames)
		p.Expected = expected
		return p
	}
	if d < 1 || d > DaysIn(2000, time.Month(m+1)) {
		return &diag.Problem{What: fmt.Sprintf("the day %q does not exist", text), Expected: expected}
	}
	*y = YearDay{time.Month(m + 1), d}
	return nil
}

// String gives day and month.
func (y YearDay) String() string { return fmt.Sprintf("%d %s", y.Day, monthNames[y.Month-1]) }

func (y YearDay) key() int { return int(y.Month)*32 + y.Day }

// Season is a part of each year, both ends included: "1 Nov to 31 Mar". It may
// cross the new year.
type Season struct{ First, Last YearDay }

// UnmarshalText reads a season.
func (s *Season) UnmarshalText(text []byte) error {
	a, b, ok := strings.Cut(string(text), " to ")
	if !ok {
		return &diag.Problem{What: fmt.Sprintf("%q is not a season", text), Expected: "first day to last day, such as 1 Nov to 31 Mar"}
	}
	if err := s.First.UnmarshalText([]byte(a)); err != nil {
		return err
	}
	return s.Last.UnmarshalText([]byte(b))
}

// String gives first to last day.
func (s Season) String() string { return s.First.String() + " to " + s.Last.String() }

// Contains reports whether a date lies in the season.
func (s Season) Contains(d Date) bool {
	k, a, b := YearDay{d.Month, d.Day}.key(), s.First.key(), s.Last.key()
	if a <= b {
		return k >= a && k <= b
	}
	return k >= a || k <= b
}

// fixedDay is one date (2031-04-14) or a day of every year (25 Dec).
type fixedDay struct {
	date  Date
	every YearDay
}

// UnmarshalText reads either form.
func (h *fixedDay) UnmarshalText(text []byte) error {
	if s := strings.TrimSpace(string(text)); len(s) > 4 && s[4] == '-' {
		return h.date.UnmarshalText(text)
	}
	return h.every.UnmarshalText(text)
}

// Is reports whether the day falls on a date.
func (h fixedDay) Is(d Date) bool {
	if h.date.Year != 0 {
		return h.date == d
	}
	return h.every == YearDay{d.Month, d.Day}
}
