package power

import (
	"math"

	"auditgen/internal/quantity"
)

// Direction tells whether the current lags or leads, from the fundamental
// reactive power by the program's convention: lagging positive, seen by the
// load, whichever way the active power flows. No reactive power is neither.
func Direction(q quantity.Vars) quantity.Lead {
	switch {
	case q > 0:
		return quantity.Lagging
	case q < 0:
		return quantity.Leading
	}
	return quantity.Unstated
}

// SignConvention is what an instrument means by the sign of a power factor. The
// display alone does not tell: "-0.85" is a leading current under one, power
// given back under the other.
type SignConvention int

// The conventions. UnknownSign is that of an instrument whose manual was not
// asked: a negative figure then says nothing of direction.
const (
	UnknownSign SignConvention = iota
	// SignOfPower: the sign is that of the active power, as IEC does it.
	SignOfPower
	// SignOfReactive: negative means lagging, positive leading, as IEEE does it.
	SignOfReactive
	// SignOfLead: negative means leading.
	SignOfLead
)

// ShownPowerFactor reads a signed power factor off a display (-1 to 1) by the
// instrument's convention: the power factor with the sign of the active power,
// taken as import where the sign means something else, and the direction of the
// current where the sign tells it. It is false outside -1 to 1, and for a
// negative figure under an unknown convention. The conventions' attribution to
// IEC and IEEE is from memory.
func ShownPowerFactor(shown quantity.Ratio, c SignConvention) (quantity.Ratio, quantity.Lead, bool) {
	size := quantity.Ratio(math.Abs(float64(shown)))
	if !(size <= 1) {
		return 0, quantity.Unstated, false
	}
	positive, negative := quantity.Leading, quantity.Lagging
	switch c {
	case SignOfPower:
		return shown, quantity.Unstated, true
	case SignOfReactive:
	case SignOfLead:
		positive, negative = negative, positive
	default:
		return size, quantity.Unstated, shown >= 0
	}
	if size == 1 || size == 0 {
		return size, quantity.Unstated, true
	}
	if shown < 0 {
		return size, negative, true
	}
	return size, positive, true
}

// Sequence is the order in which the phases reach their peaks.
type Sequence int

// The sequences. NoSequence is that of voltages that turn neither way.
const (
	NoSequence Sequence = iota
	ABC
	ACB
)

// String gives the sequence as the trade writes it, empty for none.
func (s Sequence) String() string { return [...]string{"", "ABC", "ACB"}[s] }

// SequenceOf tells which way three phases turn: the positive sequence outweighs
// the negative one, or the other way about. The sizes alone never tell: an
// unequal set, such as one of 274, 274 and 225 V, turns either way.
func SequenceOf[Q quantity.VoltsLN | quantity.VoltsLL | quantity.Amperes](c Components[Q]) Sequence {
	switch {
	case c.Positive.Size > c.Negative.Size:
		return ABC
	case c.Negative.Size > c.Positive.Size:
		return ACB
	}
	return NoSequence
}

// TriangleABC gives the line-to-line voltages AB, BC and CA as phasors, from
// their sizes and a forward phase sequence, AB at 0 degrees. It is false unless
// they can close a triangle.
func TriangleABC(ab, bc, ca quantity.VoltsLL) ([3]Phasor[quantity.VoltsLL], bool) {
	if _, ok := Beta([]quantity.VoltsLL{ab, bc, ca}); !ok {
		return [3]Phasor[quantity.VoltsLL]{}, false
	}
	// The law of cosines gives the triangle's inner angles at its corners.
	inner := func(x, y, opposite quantity.VoltsLL) quantity.Degrees {
		cos := (square(x) + square(y) - square(opposite)) / (2 * float64(x) * float64(y))
		return quantity.Degrees(math.Acos(max(min(cos, 1), -1)) / radian)
	}
	return [3]Phasor[quantity.VoltsLL]{
		{ab, 0},
		{bc, -(180 - inner(ab, bc, ca))},
		{ca, 180 - inner(ca, ab, bc)},
	}, true
}
