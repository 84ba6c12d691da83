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

// Place is a place on the earth in degrees: latitude north positive, longitude
// east positive.
type Place struct{ Latitude, Longitude float64 }

var placeForm = regexp.MustCompile(`^(\d{1,2}(?:\.\d+)?)\s*°\s*([NS]),?\s+(\d{1,3}(?:\.\d+)?)\s*°\s*([EW])$`)

// UnmarshalText reads a place such as "53.35 ° N 6.26 ° W".
func (p *Place) UnmarshalText(text []byte) error {
	const expected = "degrees north or south and east or west, such as 53.35 ° N 6.26 ° W"
	m := placeForm.FindStringSubmatch(strings.TrimSpace(string(text)))
	if m == nil {
		return &diag.Problem{What: fmt.Sprintf("%q is not a place", text), Expected: expected}
	}
	lat, _ := strconv.ParseFloat(m[1], 64)
	long, _ := strconv.ParseFloat(m[3], 64)
	if lat > 90 || long > 180 {
		return &diag.Problem{What: fmt.Sprintf("the place %s does not exist", text), Expected: "latitude up to 90, longitude up to 180 degrees"}
	}
	if m[2] == "S" {
		lat = -lat
	}
	if m[4] == "W" {
		long = -long
	}
	*p = Place{lat, long}
	return nil
}

// Daylight is when the sun is up on a day, in minutes after midnight of the
// site's clock. Rise may lie before midnight and Set after the next. Where the
// sun does not rise, both are its noon; where it does not set, they are half a
// day before and after its noon.
type Daylight struct{ Rise, Set float64 }

// Daylight gives sunrise and sunset of a day by the clock of a zone: the upper
// edge of the sun on a level horizon, with 34' of refraction, as almanacs
// define them. The equations are those of the solar calculator of NOAA's Global
// Monitoring Laboratory, after J. Meeus, Astronomical Algorithms (from memory).
// Almanacs agree within a minute up to latitudes of about 60 degrees, within a
// few beyond.
func (p Place) Daylight(day Date, zone *time.Location) Daylight {
	at := func(minutes float64) (declination, equation float64) { return sun(day, minutes) }
	// Each event is worked out for its own moment: two rounds are enough.
	noon := 720 - 4*p.Longitude
	for range 2 {
		_, eq := at(noon)
		noon = 720 - 4*p.Longitude - eq
	}
	event := func(side float64) float64 {
		t := noon
		for range 3 {
			dec, eq := at(t)
			t = 720 - 4*p.Longitude - eq + side*4*hourAngle(p.Latitude, dec)
		}
		return t
	}
	offset := func(utc float64) float64 {
		_, seconds := day.midnight().Add(time.Duration(utc * float64(time.Minute))).In(zone).Zone()
		return float64(seconds) / 60
	}
	// Where the zone's date is not that of the longitude, take the day's own noon.
	shift := -1440 * math.Floor((noon+offset(noon))/1440)
	rise, set := event(-1), event(1)
	return Daylight{rise + offset(rise+shift) + shift, set + offset(set+shift) + shift}
}

// hourAngle is half the length of the day in degrees, 0 to 180, for a zenith of
// 90.833 degrees.
func hourAngle(latitude, declination float64) float64 {
	const degree = math.Pi / 180
	c := math.Cos(90.833*degree)/(math.Cos(latitude*degree)*math.Cos(declination*degree)) - math.Tan(latitude*degree)*math.Tan(declination*degree)
	return math.Acos(min(max(c, -1), 1)) / degree
}

// sun gives the sun's declination in degrees and the equation of time in
// minutes, at minutes after midnight of universal time.
func sun(day Date, minutes float64) (declination, equation float64) {
	const degree = math.Pi / 180
	epoch := Date{2000, time.January, 1}
	century := (float64(epoch.DaysUntil(day)) - 0.5 + minutes/1440) / 36525 // Julian, from noon of 1 January 2000
	longitude := math.Mod(280.46646+century*(36000.76983+century*0.0003032), 360)
	anomaly := (357.52911 + century*(35999.05029-0.0001537*century)) * degree
	eccentricity := 0.016708634 - century*(0.000042037+0.0000001267*century)
	centre := math.Sin(anomaly)*(1.914602-century*(0.004817+0.000014*century)) +
		math.Sin(2*anomaly)*(0.019993-0.000101*century) + math.Sin(3*anomaly)*0.000289
	node := (125.04 - 1934.136*century) * degree
	apparent := (longitude + centre - 0.00569 - 0.00478*math.Sin(node)) * degree
	obliquity := 23 + (26+(21.448-century*(46.815+century*(0.00059-century*0.001813)))/60)/60
	obliquity = (obliquity + 0.00256*math.Cos(node)) * degree
	y := math.Pow(math.Tan(obliquity/2), 2)
	l := 2 * longitude * degree
	equation = 4 / degree * (y*math.Sin(l) - 2*eccentricity*math.Sin(anomaly) + 4*eccentricity*y*math.Sin(anomaly)*math.Cos(l) -
		0.5*y*y*math.Sin(2*l) - 1.25*eccentricity*eccentricity*math.Sin(2*anomaly))
	return math.Asin(math.Sin(obliquity)*math.Sin(apparent)) / degree, equation
}

// SunEvent is what a SunTime counts from.
type SunEvent int

// The events.
const (
	ByClock SunEvent = iota
	Sunrise
	Sunset
)

// SunTime is a time of day by the clock or by the sun: "23:00", "sunset",
// "sunrise - 30 min".
type SunTime struct {
	Event  SunEvent
	Offset int   // minutes from the event
	Clock  Clock // for ByClock
}

var sunForm = regexp.MustCompile(`^(sunrise|sunset)(?:\s*([+-])\s*(\d{1,3})\s*min)?$`)

const sunForms = "a time such as 23:00, or sunrise or sunset with minutes before or after, such as sunset + 15 min"

// UnmarshalText reads a time.
func (s *SunTime) UnmarshalText(text []byte) error {
	word := strings.ToLower(strings.TrimSpace(string(text)))
	if m := sunForm.FindStringSubmatch(word); m != nil {
		next := SunTime{Event: Sunrise}
		if m[1] == "sunset" {
			next.Event = Sunset
		}
		next.Offset, _ = strconv.Atoi(m[2] + m[3])
		*s = next
		return nil
	}
	next := SunTime{}
	if err := next.Clock.UnmarshalText([]byte(word)); err != nil {
		if p, ok := err.(*diag.Problem); ok && !clockForm.MatchString(word) {
			return &diag.Problem{What: p.What, Expected: sunForms, Nearest: nearestSun(word)}
		}
		return err
	}
	*s = next
	return nil
}

// nearestSun mends the event's name in a time that is else well written.
func nearestSun(word string) string {
	name, rest, _ := strings.Cut(word, " ")
	mended := diag.Nearest(name, []string{"sunrise", "sunset"})
	if mended != "" && rest != "" {
		mended += " " + rest
	}
	if !sunForm.MatchString(mended) {
		return ""
	}
	return mended
}

// String gives the time as it may be typed.
func (s SunTime) String() string {
	word := map[SunEvent]string{Sunrise: "sunrise", Sunset: "sunset"}[s.Event]
	switch {
	case s.Event == ByClock:
		return s.Clock.String()
	case s.Offset > 0:
		return fmt.Sprintf("%s + %d min", word, s.Offset)
	case s.Offset < 0:
		return fmt.Sprintf("%s - %d min", word, -s.Offset)
	}
	return word
}

// SunSpan is a part of the day of which an end, or both, goes with the sun:
// "sunset to sunrise", "sunset to 23:00", "05:30 to sunrise + 10 min".
type SunSpan struct{ From, To SunTime }

// UnmarshalText reads a span.
func (s *SunSpan) UnmarshalText(text []byte) error {
	a, b, ok := strings.Cut(string(text), " to ")
	if !ok {
		return &diag.Problem{What: fmt.Sprintf("%q is not a span by the sun", text), Expected: "one time to another, such as sunset to 23:00"}
	}
	if err := s.From.UnmarshalText([]byte(a)); err != nil {
		return err
	}
	if err := s.To.UnmarshalText([]byte(b)); err != nil {
		return err
	}
	if s.From.Event == ByClock && s.To.Event == ByClock {
		return &diag.Problem{What: fmt.Sprintf("%q does not go with the sun", text), Expected: "sunrise or sunset at one end; from-to for a span by the clock"}
	}
	return nil
}

// String gives the span as it may be typed.
func (s SunSpan) String() string { return s.From.String() + " to " + s.To.String() }

// On gives the span that begins on a day, in minutes after its midnight by the
// clock of a zone, rounded to the minute. A span from sunset or evening to
// sunrise or a morning time ends on the next day. A span that would end before
// it begins, such as 05:30 to sunrise in midsummer, is empty: from equals to.
func (s SunSpan) On(day Date, p Place, zone *time.Location) (from, to int) {
	light, next := p.Daylight(day, zone), Daylight{}
	at := func(t SunTime, d Daylight) int {
		switch t.Event {
		case Sunrise:
			return int(math.Round(d.Rise)) + t.Offset
		case Sunset:
			return int(math.Round(d.Set)) + t.Offset
		}
		return int(t.Clock)
	}
	from, to = at(s.From, light), at(s.To, light)
	overnight := s.From.Event == Sunset && s.To.Event == Sunrise || s.To.Event == Sunrise && s.From.Event == ByClock && s.From.Clock >= 12*60 ||
		s.From.Event == Sunset && s.To.Event == ByClock && s.To.Clock < 12*60
	if overnight {
		next = p.Daylight(day.AddDays(1), zone)
		to = at(s.To, next) + 1440
	}
	return from, max(from, to)
}
