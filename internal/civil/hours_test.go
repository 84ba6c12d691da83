package civil

import "testing"

func TestHoursInEachForm(t *testing.T) {
	for _, text := range []string{"06:00-22:00", "22:00-05:30", "sunset to 23:00", "05:30 to sunrise + 10 min", "sunset - 15 min to sunrise", "3 shifts of 8 h from 06:00"} {
		var h Hours
		read(t, &h, text)
		if h.String() != text {
			t.Errorf("%q is %q", text, h)
		}
	}
}

func TestHoursRefuse(t *testing.T) {
	for text, want := range map[string]string{
		"all day":           `"all day" is not a part of a day; expected ` + hoursForms,
		"6-12":              `"6" is not a time of day; expected hours:minutes, such as 06:30`,
		"sunst to 23:00":    `"sunst" is not a time of day; expected ` + sunForms + `; did you mean "sunset"?`,
		"06:00 to 22:00":    `"06:00 to 22:00" does not go with the sun; expected sunrise or sunset at one end; from-to for a span by the clock`,
		"sunset-23:00":      `"sunset-23:00" is not a span by the sun; expected one time to another, such as sunset to 23:00`,
		"3 shifts of 9 h":   `"3 shifts of 9 h" is no run of shifts; expected number, length and start, such as 3 shifts of 8 h from 06:00`,
		"sunset to sunries": `"sunries" is not a time of day; expected ` + sunForms + `; did you mean "sunrise"?`,
	} {
		var h Hours
		if err := h.UnmarshalText([]byte(text)); err == nil || err.Error() != want {
			t.Errorf("%s:\n got %v\nwant %s", text, err, want)
		}
	}
}

// FuzzWorkingTimes: whatever is taken prints as something that is taken again,
// as the same.
func FuzzWorkingTimes(f *testing.F) {
	for _, s := range []string{"06:00-22:00", "sunset to 23:00", "sunrise - 30 min to sunset + 5 min", "3 shifts of 8 h from 06:00", "26 days a month, 8 h a day", "6 days a week, 7.5 h a day from 05:00", "53.35 ° N 6.26 ° W", "1 2 3 4 5 6 7 8 9 10 11 12", "?"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var h, again Hours
		if h.UnmarshalText([]byte(text)) == nil {
			if err := again.UnmarshalText([]byte(h.String())); err != nil || again.String() != h.String() {
				t.Errorf("%q prints as %q, which reads as %q, %v", text, h, again, err)
			}
			if s := h.Shifts; s != nil {
				if from, to := s.Run(); from < 0 || to <= from || to > from+minutesInDay {
					t.Errorf("%q runs from %d to %d", text, from, to)
				}
			}
		}
		var p, same Production
		if p.UnmarshalText([]byte(text)) == nil {
			if err := same.UnmarshalText([]byte(p.String())); err != nil || same.String() != p.String() {
				t.Errorf("%q prints as %q, which reads as %q, %v", text, p, same, err)
			}
		}
		var at Place
		if at.UnmarshalText([]byte(text)) == nil && (at.Latitude < -90 || at.Latitude > 90 || at.Longitude < -180 || at.Longitude > 180) {
			t.Errorf("%q is at %v", text, at)
		}
		_ = new(Monthly).UnmarshalText([]byte(text))
	})
}
