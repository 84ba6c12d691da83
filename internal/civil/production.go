package civil

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"auditgen/internal/diag"
)

// Production is working time as people state it who count days, not clock
// times: "26 days a month, 8 h a day", "6 days a week, 12 h a day from 06:00".
type Production struct {
	Days    int  // 1 to 31 a month, 1 to 7 a week
	Weekly  bool // days are a week's, not a month's
	Minutes int  // a day, 1 to 1440
	// From is when a day's work begins; Stated tells whether it was typed. It
	// is 08:00 otherwise, which matters to what meets at the same time, not to
	// the number of hours.
	From   Clock
	Stated bool
}

const usualStart = Clock(8 * 60)

var productionForm = regexp.MustCompile(`^(\d{1,2}) days? a (month|week), (\d{1,2}(?:\.\d+)?) h a day(?: from (\d{1,2}:\d{2}))?$`)

// UnmarshalText reads either form.
func (p *Production) UnmarshalText(text []byte) error {
	const expected = "days and hours, such as 26 days a month, 8 h a day from 06:00"
	s := strings.Join(strings.Fields(string(text)), " ")
	m := productionForm.FindStringSubmatch(s)
	if m == nil {
		return &diag.Problem{What: fmt.Sprintf("%q is not a working time", text), Expected: expected}
	}
	days, _ := strconv.Atoi(m[1])
	hours, _ := strconv.ParseFloat(m[3], 64)
	next := Production{Days: days, Weekly: m[2] == "week", Minutes: int(math.Round(60 * hours)), From: usualStart}
	most := 31
	if next.Weekly {
		most = 7
	}
	switch {
	case days < 1 || days > most:
		return &diag.Problem{What: fmt.Sprintf("%d days a %s", days, m[2]), Expected: fmt.Sprintf("1 to %d days a %s", most, m[2])}
	case next.Minutes < 1 || hours > 24:
		return &diag.Problem{What: fmt.Sprintf("%s h a day", m[3]), Expected: "more than 0 and up to 24 h a day"}
	}
	if m[4] != "" {
		if err := next.From.UnmarshalText([]byte(m[4])); err != nil {
			return err
		}
		next.Stated = true
	}
	*p = next
	return nil
}

// String gives the working time as it may be typed.
func (p Production) String() string {
	per := "month"
	if p.Weekly {
		per = "week"
	}
	s := fmt.Sprintf("%d days a %s, %s h a day", p.Days, per, strconv.FormatFloat(float64(p.Minutes)/60, 'f', -1, 64))
	if p.Stated {
		s += " from " + p.From.String()
	}
	return s
}

// Worked picks the days worked in a month, bit d-1 for day d. A week's days are
// counted from Monday. A month's are its days from Monday to Friday, then
// Saturdays, then Sundays, then days off, each in order of date, until there
// are enough: days off are worked last. Days closed are never worked; a month
// with too few others falls short.
func (p Production) Worked(year int, month time.Month, off, closed func(Date) bool) uint32 {
	var worked uint32
	left := p.Days
	take := func(fits func(d Date, weekday int) bool) {
		for day := 1; day <= DaysIn(year, month) && left > 0; day++ {
			d := Date{year, month, day}
			if worked>>(day-1)&1 == 0 && !closed(d) && fits(d, (int(d.Weekday())+6)%7) {
				worked |= 1 << (day - 1)
				if !p.Weekly {
					left--
				}
			}
		}
	}
	if p.Weekly {
		take(func(d Date, weekday int) bool { return weekday < p.Days && !off(d) })
		return worked
	}
	for _, last := range []int{4, 5, 6} {
		take(func(d Date, weekday int) bool { return weekday <= last && !off(d) })
	}
	take(func(Date, int) bool { return true })
	return worked
}

// Shifts is a run of equal shifts: "3 shifts of 8 h from 06:00".
type Shifts struct {
	Number  int
	Minutes int // of each
	From    Clock
}

var shiftsForm = regexp.MustCompile(`^(\d{1,2}) shifts? of (\d{1,2}(?:\.\d+)?) h from (\d{1,2}:\d{2})$`)

// UnmarshalText reads shifts; together they last a day at most.
func (s *Shifts) UnmarshalText(text []byte) error {
	m := shiftsForm.FindStringSubmatch(strings.Join(strings.Fields(string(text)), " "))
	if m == nil {
		return &diag.Problem{What: fmt.Sprintf("%q is no run of shifts", text), Expected: "number, length and start, such as 3 shifts of 8 h from 06:00"}
	}
	var next Shifts
	next.Number, _ = strconv.Atoi(m[1])
	hours, _ := strconv.ParseFloat(m[2], 64)
	next.Minutes = int(math.Round(60 * hours))
	if next.Number < 1 || next.Minutes < 1 || next.Number*next.Minutes > 1440 {
		return &diag.Problem{What: fmt.Sprintf("%s shifts of %s h do not fit a day", m[1], m[2]), Expected: "24 h at most together"}
	}
	if err := next.From.UnmarshalText([]byte(m[3])); err != nil {
		return err
	}
	if next.From == 1440 {
		next.From = 0
	}
	*s = next
	return nil
}

// String gives the shifts as they may be typed.
func (s Shifts) String() string {
	return fmt.Sprintf("%d shifts of %s h from %s", s.Number, strconv.FormatFloat(float64(s.Minutes)/60, 'f', -1, 64), s.From)
}

// Run gives the whole run in minutes after midnight of the day on which the
// first shift begins. The night shift belongs to that day.
func (s Shifts) Run() (from, to int) { return int(s.From), int(s.From) + s.Number*s.Minutes }

// Monthly is a figure for each month, January first: "310 270 210 ... 290",
// parted by spaces or commas.
type Monthly [12]float64

// UnmarshalText reads twelve figures.
func (m *Monthly) UnmarshalText(text []byte) error {
	words := strings.FieldsFunc(string(text), func(r rune) bool { return r == ' ' || r == ',' || r == '\n' || r == '\t' })
	if len(words) != 12 {
		return &diag.Problem{What: fmt.Sprintf("%d figures", len(words)), Expected: "twelve, one for each month from January"}
	}
	var next Monthly
	for i, w := range words {
		v, err := strconv.ParseFloat(w, 64)
		if err != nil || !(v >= 0) || math.IsInf(v, 0) {
			return &diag.Problem{What: fmt.Sprintf("%q is not a figure of zero or more", w), Expected: "twelve figures, one for each month from January"}
		}
		next[i] = v
	}
	*m = next
	return nil
}
