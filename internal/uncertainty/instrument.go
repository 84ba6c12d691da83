package uncertainty

import "math"

// Specification is an instrument's stated limit of error: a share of the
// reading, a share of the range and a number of steps of the last digit, added
// up.
type Specification struct {
	OfReading float64 // share of the reading, 0.015 for 1.5 %
	OfRange   float64 // share of the range
	Digits    float64 // steps of the last digit
	// Coverage is the coverage factor k where the maker states one: the limit
	// is then an expanded uncertainty of a normal distribution (JCGM 100:2008,
	// 4.3.3). 0 means that none is stated: only limits are known (4.3.7).
	Coverage float64
}

// Limit gives the limit of error for a reading on a range whose last digit has
// a step, all in the reading's unit; without a share of the range the range
// does not matter.
func (s Specification) Limit(reading, span, step float64) float64 {
	return float64(s.OfReading*math.Abs(reading)) + float64(s.OfRange*math.Abs(span)) + float64(s.Digits*math.Abs(step))
}

// Reading gives what is known of a quantity that the instrument showed.
func (s Specification) Reading(reading, span, step float64) Distribution {
	a := s.Limit(reading, span, step)
	if s.Coverage > 0 {
		return Normal{reading, a / s.Coverage}
	}
	return Rectangular{reading - a, reading + a}
}

// Gain gives the relative error that is common to all readings of the
// instrument on that range, mean 1: it is one parameter, shared by them.
func (s Specification) Gain() Distribution {
	if s.Coverage > 0 {
		return Normal{1, s.OfReading / s.Coverage}
	}
	return Rectangular{1 - s.OfReading, 1 + s.OfReading}
}

// Own gives what a reading's digits and range add to its gain error, mean 0.
// The whole limit is one rectangle: its deviation less that of the gain, in
// quadrature, is left for the reading's own.
func (s Specification) Own(reading, span, step float64) Distribution {
	all, gain := s.Limit(reading, span, step), float64(s.OfReading*math.Abs(reading))
	own := math.Sqrt(max(0, float64(all*all)-float64(gain*gain)))
	if s.Coverage > 0 {
		return Normal{0, own / s.Coverage}
	}
	return Rectangular{-own, own}
}
