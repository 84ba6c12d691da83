package civil

import (
	"math/bits"
	"testing"
	"time"
)

func never(Date) bool { return false }

func TestProductionCountsDays(t *testing.T) {
	tests := []struct {
		text  string
		year  int
		month time.Month
		days  int
	}{
		{"26 days a month, 8 h a day", 2031, time.January, 26},
		{"31 days a month, 8 h a day", 2031, time.February, 28}, // no more days than the month has
		{"31 days a month, 8 h a day", 2032, time.February, 29},
		{"20 days a month, 7.5 h a day from 06:00", 2031, time.June, 20},
	}
	for _, tt := range tests {
		var p Production
		read(t, &p, tt.text)
		if got := bits.OnesCount32(p.Worked(tt.year, tt.month, never, never)); got != tt.days {
			t.Errorf("%s, %s %d: %d days", tt.text, tt.month, tt.year, got)
		}
	}
}

// Weekdays go first, then Saturdays, then Sundays: June 2031 has 21 days from
// Monday to Friday and begins on a Sunday.
func TestProductionTakesWeekdaysFirst(t *testing.T) {
	var p Production
	read(t, &p, "22 days a month, 8 h a day")
	worked := p.Worked(2031, time.June, never, never)
	for d := 1; d <= 30; d++ {
		w := Date{2031, time.June, d}.Weekday()
		want := w != time.Saturday && w != time.Sunday || d == 7
		if got := worked&(1<<(d-1)) != 0; got != want {
			t.Errorf("%d June (%s): %v", d, w, got)
		}
	}
}

func TestShiftsRunTogether(t *testing.T) {
	var s Shifts
	read(t, &s, "2 shifts of 7.5 h from 14:00")
	if from, to := s.Run(); from != 840 || to != 1740 {
		t.Errorf("%d to %d", from, to)
	}
	if s.String() != "2 shifts of 7.5 h from 14:00" {
		t.Errorf("%q", s)
	}
}

func TestMonthlyTakesTwelve(t *testing.T) {
	var m Monthly
	read(t, &m, "310, 270, 210, 120 40 0 0 0 30 130 220 290")
	if m[0] != 310 || m[5] != 0 || m[11] != 290 {
		t.Errorf("%v", m)
	}
}

func TestWorkingTimesRefuse(t *testing.T) {
	for _, text := range []string{"26 days, 8 h", "32 days a month, 8 h a day", "8 days a week, 8 h a day", "5 days a week, 25 h a day", "5 days a week, 0 h a day"} {
		if new(Production).UnmarshalText([]byte(text)) == nil {
			t.Errorf("working time %q is taken", text)
		}
	}
	for _, text := range []string{"4 shifts of 8 h from 06:00", "0 shifts of 8 h from 06:00", "3 shifts of 8 h", "two shifts of 8 h from 06:00"} {
		if new(Shifts).UnmarshalText([]byte(text)) == nil {
			t.Errorf("shifts %q are taken", text)
		}
	}
	for _, text := range []string{"1 2 3", "1 2 3 4 5 6 7 8 9 10 11 -12", "a b c d e f g h i j k l"} {
		if new(Monthly).UnmarshalText([]byte(text)) == nil {
			t.Errorf("months %q are taken", text)
		}
	}
}
