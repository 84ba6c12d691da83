package power

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// SplitVoltage is the voltage between the outer conductors of a single-phase
// three-wire supply, whose legs stand opposite each other: V.
func SplitVoltage(v1, v2 quantity.VoltsLN) quantity.VoltsLL { return quantity.VoltsLL(v1 + v2) }

// SplitVoltageF is SplitVoltage as a formula.
var SplitVoltageF = working.Def2("split-phase outer voltage", "U = V_1 + V_2", "single-phase three-wire supply, legs 180 degrees apart", "V_1", "V_2", SplitVoltage)

// SplitNeutral is the neutral current of a single-phase three-wire supply from
// the currents of its legs and the angles by which each lags its own voltage,
// sinusoidal waves: A. Loads between the outer conductors put none in the neutral.
func SplitNeutral(i1, i2 quantity.Amperes, phi1, phi2 quantity.Degrees) quantity.Amperes {
	x := square(i1) + square(i2) - 2*float64(i1)*float64(i2)*cosine(phi1-phi2)
	return quantity.Amperes(math.Sqrt(max(x, 0)))
}

// SplitNeutralF is SplitNeutral as a formula.
var SplitNeutralF = working.Def4("split-phase neutral current", "I_N = sqrt(I_1^2 + I_2^2 - 2 * I_1 * I_2 * cos(phi_1 - phi_2))",
	"Kirchhoff's current law, legs 180 degrees apart", "I_1", "I_2", "phi_1", "phi_2", SplitNeutral)

// SplitNeutralAlike is the neutral current where both legs have the same power
// factor: A.
func SplitNeutralAlike(i1, i2 quantity.Amperes) quantity.Amperes {
	return quantity.Amperes(math.Abs(float64(i1 - i2)))
}

// SplitNeutralAlikeF is SplitNeutralAlike as a formula.
var SplitNeutralAlikeF = working.Def2("split-phase neutral current, legs alike", "I_N = abs(I_1 - I_2)",
	"Kirchhoff's current law, legs 180 degrees apart", "I_1", "I_2", SplitNeutralAlike)
