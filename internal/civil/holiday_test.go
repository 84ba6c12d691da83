package civil

import "testing"

// Easter dates: US Naval Observatory's table of Easter dates (from memory):
// 2024-03-31, 2025-04-20, 2031-04-13, 2038-04-25.
func TestHoliday(t *testing.T) {
	for _, c := range []struct {
		text, date string
		is         bool
	}{
		{"2031-04-14", "2031-04-14", true},
		{"2031-04-14", "2032-04-14", false},
		{"25 Dec", "2031-12-25", true},
		{"first Mon of Sep", "2031-09-01", true},
		{"first Mon of Sep", "2031-09-08", false},
		{"last Mon of May", "2031-05-26", true},
		{"fourth Thu of Nov", "2031-11-27", true},
		{"fifth Mon of Feb", "2031-03-03", false},
		{"fifth Sat of Feb", "2048-02-29", true},
		{"Easter Sunday", "2038-04-25", true},
		{"Easter + 1", "2031-04-14", true},
		{"Easter - 2", "2025-04-18", true},
		{"easter", "2024-03-31", true},
		{"easter", "2024-04-01", false},
	} {
		var f Holiday
		if err := f.UnmarshalText([]byte(c.text)); err != nil {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		d, err := ParseDate(c.date)
		if err != nil {
			t.Fatal(err)
		}
		if got := f.Is(d); got != c.is {
			t.Errorf("%s on %s: %v, want %v", c.text, c.date, got, c.is)
		}
	}
}

func TestHolidayRefused(t *testing.T) {
	for text, want := range map[string]string{
		"firs Mon of Sep": `"firs Mon of Sep" is not a holiday; expected ` + holidayForms,
		"Easter 1":        `"Easter 1" is not a holiday; expected ` + holidayForms,
		"Easter + 101":    `"Easter + 101" is not a holiday; expected ` + holidayForms,
		"Christmas":       `"Christmas" is not a day of the year; expected ` + holidayForms,
		"31 Feb":          `the day "31 Feb" does not exist; expected ` + holidayForms,
		"2031-02-30":      `the date 2031-02-30 does not exist; expected a day of the calendar; did you mean "2031-02-28"?`,
	} {
		var f Holiday
		if err := f.UnmarshalText([]byte(text)); err == nil || err.Error() != want {
			t.Errorf("%s:\n got %v\nwant %s", text, err, want)
		}
	}
}
