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
		{"51.51 ° N 0.13 ° W", "Europe/London", "2024-06-20", 4*60 + 43, 21*60 + 21},
		{"51.51 ° N 0.13 ° W", "Europe/London", "2024-12-21", 8*60 + 4, 15*60 + 53},
		{"40.71 ° N 74.01 ° W", "America/New_York", "2024-06-20", 5*60 + 25, 20*60 + 30},
		{"33.87 ° S 151.21 ° E", "Australia/Sydney", "2024-12-21", 5*60 + 41, 20*60 + 5},
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
	read(t, &p, "51.51 ° N 0.13 ° W")
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
	for _, text := range []string{"53.35 ° N", "53.35 N 6.26 W", "95 ° N 6 ° W", "53,35 ° N 6.26 ° W", ""} {
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

// almanacSun is the algorithm of the Almanac for Computers 1990, Nautical
// Almanac Office, United States Naval Observatory, Washington: sunrise and
// sunset in hours of universal time (from memory; its own error is about a
// minute). It shares nothing with the equations under test.
func almanacSun(p Place, d Date, rising bool) float64 {
	const rad = math.Pi / 180
	turn := func(x, full float64) float64 { return x - full*math.Floor(x/full) }
	n := float64((Date{d.Year, 1, 1}).DaysUntil(d) + 1)
	hour := p.Longitude / 15
	t := n + (18-hour)/24
	if rising {
		t = n + (6-hour)/24
	}
	m := 0.9856*t - 3.289
	l := turn(m+1.916*math.Sin(m*rad)+0.020*math.Sin(2*m*rad)+282.634, 360)
	ra := turn(math.Atan(0.91764*math.Tan(l*rad))/rad, 360)
	ra = (ra + 90*math.Floor(l/90) - 90*math.Floor(ra/90)) / 15
	sin := 0.39782 * math.Sin(l*rad)
	cosH := (math.Cos(90.833*rad) - sin*math.Sin(p.Latitude*rad)) / (math.Cos(math.Asin(sin)) * math.Cos(p.Latitude*rad))
	h := math.Acos(cosH) / rad
	if rising {
		h = 360 - h
	}
	return turn(h/15+ra-0.06571*t-6.622-hour, 24)
}

// TestDaylightAgainstAnotherAlgorithm: all days of two years at five latitudes
// are within three minutes of an independent algorithm of low accuracy.
func TestDaylightAgainstAnotherAlgorithm(t *testing.T) {
	worst := 0.0
	for _, p := range []Place{{0, 30}, {35, 139}, {-34, 151}, {53.35, -6.26}, {58, -135}} {
		for _, year := range []int{2028, 2031} {
			for d := (Date{year, 1, 1}); d.Year == year; d = d.AddDays(1) {
				got := p.Daylight(d, time.UTC)
				for _, x := range []struct {
					minutes float64
					rising  bool
				}{{got.Rise, true}, {got.Set, false}} {
					off := math.Mod(x.minutes-60*almanacSun(p, d, x.rising)+5*720, 1440) - 720
					if worst = max(worst, math.Abs(off)); math.Abs(off) > 3 {
						t.Errorf("%v on %s: %.1f min apart", p, d, off)
					}
				}
			}
		}
	}
	t.Logf("worst %.1f min", worst)
}

// TestDaylightInItsZone: sunrise belongs to the day of the clock, far from
// Greenwich and where the date is not that of the longitude.
func TestDaylightInItsZone(t *testing.T) {
	for _, c := range []struct {
		place Place
		zone  string
	}{{Place{-13.8, -171.8}, "Pacific/Apia"}, {Place{-36.85, 174.76}, "Pacific/Auckland"}, {Place{21.3, -157.9}, "Pacific/Honolulu"}, {Place{64.1, -21.9}, "Atlantic/Reykjavik"}} {
		zone, err := time.LoadLocation(c.zone)
		if err != nil {
			t.Fatal(err)
		}
		last := Daylight{}
		for d := (Date{2031, 1, 1}); d.Year == 2031; d = d.AddDays(1) {
			got := c.place.Daylight(d, zone)
			if noon := (got.Rise + got.Set) / 2; noon < 10*60 || noon > 14*60+30 {
				t.Errorf("%s on %s: noon at %.0f min", c.zone, d, noon)
			}
			if last.Set != 0 && math.Abs(got.Rise-last.Rise) > 70 {
				t.Errorf("%s on %s: sunrise moved by %.0f min", c.zone, d, got.Rise-last.Rise)
			}
			last = got
		}
	}
}
