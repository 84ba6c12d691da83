package civil

import (
	"math"
	"testing"
	"time"
	_ "time/tzdata"
)

func read[T interface{ UnmarshalText([]byte) error }](t *testing.T, into T, text string) {
	t.Helper()
	if err := into.UnmarshalText([]byte(text)); err != nil {
		t.Fatalf("%q: %v", text, err)
	}
}

// Times of almanacs, to the minute, from memory: sunrise and sunset of London
// on the solstices and of the equator's noon; held to two minutes, since an
// almanac is for a place and a year of its own.
func TestDaylightAgainstAlmanacs(t *testing.T) {
	tests := []struct {
		place, zone, day string
		rise, set        Clock
	}{
		{"51.51 N 0.13 W", "Europe/London", "2024-06-20", 4*60 + 43, 21*60 + 21},
		{"51.51 N 0.13 W", "Europe/London", "2024-12-21", 8*60 + 4, 15*60 + 53},
		{"40.71 N 74.01 W", "America/New_York", "2024-06-20", 5*60 + 25, 20*60 + 30},
		{"33.87 S 151.21 E", "Australia/Sydney", "2024-12-21", 5*60 + 41, 20*60 + 5},
	}
	for _, tt := range tests {
		zone, err := time.LoadLocation(tt.zone)
		if err != nil {
			t.Fatal(err)
		}
		var p Place
		var d Date
		read(t, &p, tt.place)
		read(t, &d, tt.day)
		got := p.Daylight(d, zone)
		if math.Abs(got.Rise-float64(tt.rise)) > 2 || math.Abs(got.Set-float64(tt.set)) > 2 {
			t.Errorf("%s on %s: %s to %s, almanac %s to %s", tt.place, tt.day, Clock(math.Round(got.Rise)), Clock(math.Round(got.Set)), tt.rise, tt.set)
		}
	}
}

// At an equinox day and night are near equal: refraction and the sun's disc
// make the day a few minutes longer. Beyond a polar circle the sun stays up or
// down at the solstices.
func TestDaylightAtItsEnds(t *testing.T) {
	day := func(text string) (d Date) { read(t, &d, text); return }
	if d := (Place{Latitude: 0, Longitude: 0}).Daylight(day("2031-03-20"), time.UTC); math.Abs(d.Set-d.Rise-727) > 2 {
		t.Errorf("day at the equator: %.1f min", d.Set-d.Rise)
	}
	north := Place{Latitude: 70, Longitude: 20}
	if d := north.Daylight(day("2031-06-21"), time.UTC); math.Abs(d.Set-d.Rise-minutesInDay) > 1 {
		t.Errorf("midnight sun: %.1f min", d.Set-d.Rise)
	}
	if d := north.Daylight(day("2031-12-21"), time.UTC); d.Set != d.Rise {
		t.Errorf("polar night: %.1f min", d.Set-d.Rise)
	}
}

const minutesInDay = 24 * 60

func TestSunSpansFollowTheSun(t *testing.T) {
	zone, _ := time.LoadLocation("Europe/London")
	var p Place
	var s SunSpan
	var d Date
	read(t, &p, "51.51 N 0.13 W")
	read(t, &s, "sunset - 10 min to sunrise + 10 min")
	read(t, &d, "2024-12-21")
	from, to := s.On(d, p, zone)
	if math.Abs(float64(from)-(15*60+43)) > 2 || math.Abs(float64(to)-(24*60+8*60+14)) > 2 {
		t.Errorf("from %d to %d", from, to)
	}
	if got := s.String(); got != "sunset - 10 min to sunrise + 10 min" {
		t.Errorf("%q", got)
	}
}

func TestTimesOfTheSunRefuse(t *testing.T) {
	for _, text := range []string{"53.35 N", "95 N 6 W", "53,35 N 6.26 W", ""} {
		if new(Place).UnmarshalText([]byte(text)) == nil {
			t.Errorf("place %q is taken", text)
		}
	}
	for _, text := range []string{"noon", "sunset + 10", "sunset +", "25:00"} {
		if new(SunTime).UnmarshalText([]byte(text)) == nil {
			t.Errorf("time %q is taken", text)
		}
	}
}
