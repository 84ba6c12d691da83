package power

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// LinearNeutral is the neutral current of a four-wire load without harmonics,
// its phase currents 120 degrees apart and of one power factor: A.
func LinearNeutral(a, b, c quantity.Amperes) quantity.Amperes {
	// By differences: the plain form loses all digits when the phases are alike.
	ab, bc, ca := square(a-b), square(b-c), square(c-a)
	return quantity.Amperes(math.Sqrt((ab + bc + ca) / 2))
}

// LinearNeutralF is LinearNeutral as a formula.
var LinearNeutralF = working.Def3("neutral current without harmonics", "I_N = sqrt(I_a^2 + I_b^2 + I_c^2 - I_a * I_b - I_b * I_c - I_c * I_a)",
	"phasor sum of three currents 120 degrees apart", "I_a", "I_b", "I_c", LinearNeutral)

// TriplenNeutral is the neutral current of the triplen orders (3, 9, 15 and so
// on) of a balanced load, from their currents in one phase: they are in phase
// with one another and add up, so that the neutral may carry more than a line: A.
func TriplenNeutral(triplen []quantity.Amperes) quantity.Amperes {
	return quantity.Amperes(3 * math.Sqrt(sumSquares(triplen)))
}

// TriplenNeutralF is TriplenNeutral as a formula.
var TriplenNeutralF = working.DefN("neutral current of triplen orders", "I_N3 = 3 * sqrt(sum(I^2))",
	"zero-sequence orders of a balanced load", "I", TriplenNeutral)

// TriplenNeutralUnbalanced is the neutral current of one triplen order from its
// currents in the phases, taken as in phase: A.
func TriplenNeutralUnbalanced(phases []quantity.Amperes) quantity.Amperes { return sum(phases) }

// TriplenNeutralUnbalancedF is TriplenNeutralUnbalanced as a formula.
var TriplenNeutralUnbalancedF = working.DefN("neutral current of one triplen order", "I_N3 = sum(I)",
	"zero-sequence order, phases taken as alike in angle", "I", TriplenNeutralUnbalanced)

// Neutral is the rms neutral current from its part at the fundamental and that of
// the triplen orders: A.
func Neutral(n1, n3 quantity.Amperes) quantity.Amperes {
	return quantity.Amperes(math.Sqrt(square(n1) + square(n3)))
}

// NeutralF is Neutral as a formula.
var NeutralF = working.Def2("neutral current", "I_N = sqrt(I_N1^2 + I_N3^2)", "rms of orders", "I_N1", "I_N3", Neutral)

// ThirdOverLine is the neutral current of a balanced load's third harmonic as a
// share of the rms line current, from the third order and the total distortion,
// both of the fundamental. Above 1 the neutral carries more than a line; the most
// that rectifiers whose pulses do not overlap reach is the square root of 3, all
// triplen orders together.
func ThirdOverLine(d3, d quantity.Ratio) quantity.Ratio {
	return Fundamental(3*d3, d)
}

// ThirdOverLineF is ThirdOverLine as a formula.
var ThirdOverLineF = working.Def2("neutral current over line current", "k_N = 3 * d_3 / sqrt(1 + d^2)",
	"zero-sequence orders of a balanced load", "d_3", "d", ThirdOverLine)
