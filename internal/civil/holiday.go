package civil

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/rickar/cal/v2"

	"auditgen/internal/diag"
)

// Holiday is a day off in any of the forms that people write:
//
//	2031-04-14          one date
//	25 Dec              a day of every year
//	first Mon of Sep    a weekday counted within a month (first to fifth, last)
//	Easter Sunday, Easter + 1, Easter - 2    days from Western Easter Sunday
//
// A month with no fifth Monday has no "fifth Mon".
type Holiday struct {
	plain   fixedDay
	nth     int // 1 to 5, -1 for last, 0 when the holiday is not of this form
	weekday time.Weekday
	month   time.Month
	easter  bool
	offset  int // days from Easter Sunday
	text    string
}

var nthWords = []string{"last", "", "first", "second", "third", "fourth", "fifth"}

const holidayForms = "a date (2031-04-14), a day of the year (25 Dec), a counted weekday (last Mon of May) or days from Easter (Easter + 1)"

// UnmarshalText reads any of the forms.
func (f *Holiday) UnmarshalText(text []byte) error {
	s := strings.TrimSpace(string(text))
	words := strings.Fields(s)
	next := Holiday{text: s}
	switch {
	case len(words) == 4 && words[2] == "of":
		if err := next.counted(s, words); err != nil {
			return err
		}
	case len(words) > 0 && strings.EqualFold(words[0], "Easter"):
		if err := next.fromEaster(s, words[1:]); err != nil {
			return err
		}
	default:
		if err := next.plain.UnmarshalText([]byte(s)); err != nil {
			if p, ok := err.(*diag.Problem); ok && p.Nearest == "" {
				return &diag.Problem{What: p.What, Expected: holidayForms}
			}
			return err
		}
	}
	*f = next
	return nil
}

func (f *Holiday) counted(s string, words []string) error {
	n := slices.Index(nthWords, strings.ToLower(words[0])) - 1
	d := dayIndex(words[1])
	m := slices.IndexFunc(monthNames, func(name string) bool { return strings.EqualFold(name, words[3]) })
	if n < -1 || words[0] == "" || d < 0 || m < 0 {
		return &diag.Problem{What: fmt.Sprintf("%q is not a holiday", s), Expected: holidayForms}
	}
	f.nth, f.weekday, f.month = n, time.Weekday((d+1)%7), time.Month(m+1)
	return nil
}

func (f *Holiday) fromEaster(s string, rest []string) error {
	f.easter = true
	switch sign := strings.Join(rest, ""); {
	case sign == "" || strings.EqualFold(sign, "Sunday"):
		return nil
	case sign[0] == '+' || sign[0] == '-':
		n, err := strconv.Atoi(sign)
		if err == nil && n >= -100 && n <= 100 {
			f.offset = n
			return nil
		}
	}
	return &diag.Problem{What: fmt.Sprintf("%q is not a holiday", s), Expected: holidayForms}
}

// String gives the holiday as it was typed.
func (f Holiday) String() string { return f.text }

// Is reports whether the holiday falls on a date.
func (f Holiday) Is(d Date) bool {
	switch {
	case f.nth != 0:
		return d.Month == f.month && d == of(cal.WeekdayN(d.Year, f.month, f.weekday, f.nth))
	case f.easter:
		// The feast may lie in the next or the past year's Easter only for
		// offsets beyond 100 days, which are refused.
		return d == of(cal.CalcEasterOffset(&cal.Holiday{Offset: f.offset}, d.Year))
	}
	return f.plain.Is(d)
}
