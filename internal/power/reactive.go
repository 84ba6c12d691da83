package power

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// Reactive is the size of the reactive power from apparent and active power:
// var, taken as lagging. It holds for sinusoidal waves; on distorted ones the
// same root is NonActive power. It is false when the active power exceeds the
// apparent. IEEE Std 1459-2010, 3.1.1 (from memory).
func Reactive(s quantity.VoltAmperes, p quantity.Watts) (quantity.Vars, bool) {
	return root[quantity.Vars](square(s) - square(p))
}

// ReactiveF is Reactive as a formula, for a lagging load.
var ReactiveF = working.Def2("reactive power", "Q = sqrt(S^2 - P^2)",
	"IEEE 1459-2010, 3.1.1 (clause from memory)", "S", "P", or2(Reactive))

// ReactiveLeading is the reactive power of a leading load from apparent and
// active power: var, never positive. False as Reactive.
func ReactiveLeading(s quantity.VoltAmperes, p quantity.Watts) (quantity.Vars, bool) {
	q, ok := Reactive(s, p)
	return -q, ok
}

// ReactiveLeadingF is ReactiveLeading as a formula.
var ReactiveLeadingF = working.Def2("reactive power, leading", "Q = -sqrt(S^2 - P^2)",
	"IEEE 1459-2010, 3.1.1 (clause from memory)", "S", "P", or2(ReactiveLeading))

// NonActive is the non-active power N, all of the apparent power that carries
// no energy: fundamental reactive and distortion power together, in var. It is
// not what capacitors can supply. False as Reactive.
// IEEE Std 1459-2010, 3.1.2 (from memory).
func NonActive(s quantity.VoltAmperes, p quantity.Watts) (quantity.Vars, bool) {
	return root[quantity.Vars](square(s) - square(p))
}

// NonActiveF is NonActive as a formula.
var NonActiveF = working.Def2("non-active power", "N = sqrt(S^2 - P^2)",
	"IEEE 1459-2010, 3.1.2 (clause from memory)", "S", "P", or2(NonActive))

// ReactiveFromPowerFactor is the reactive power of a lagging load from active
// power taken from the supply and the power factor: var. It is false for a
// power given back, and for a power factor outside 0 (excluded) to 1.
func ReactiveFromPowerFactor(p quantity.Watts, pf quantity.Ratio) (quantity.Vars, bool) {
	if p < 0 || pf <= 0 || pf > 1 {
		return 0, false
	}
	return quantity.Vars(float64(p) * lagTangent(pf)), true
}

// ReactiveFromPowerFactorF is ReactiveFromPowerFactor as a formula.
var ReactiveFromPowerFactorF = working.Def2("reactive power from power factor", "Q = P * tan(acos(pf))",
	"IEEE 1459-2010, 3.1.1 (clause from memory)", "P", "pf", or2(ReactiveFromPowerFactor))

// ReactiveLeadingFromPowerFactor is the same for a leading load: never positive.
func ReactiveLeadingFromPowerFactor(p quantity.Watts, pf quantity.Ratio) (quantity.Vars, bool) {
	q, ok := ReactiveFromPowerFactor(p, pf)
	return -q, ok
}

// ReactiveLeadingFromPowerFactorF is ReactiveLeadingFromPowerFactor as a formula.
var ReactiveLeadingFromPowerFactorF = working.Def2("reactive power from power factor, leading", "Q = -P * tan(acos(pf))",
	"IEEE 1459-2010, 3.1.1 (clause from memory)", "P", "pf", or2(ReactiveLeadingFromPowerFactor))

// lagTangent is tan(acos(pf)), 0 < pf <= 1.
func lagTangent(pf quantity.Ratio) float64 {
	return math.Sqrt(1-square(pf)) / float64(pf)
}

// ReactiveFromAngle is the reactive power from apparent power and the angle by
// which current lags voltage: var. IEEE Std 1459-2010, 3.1.1 (from memory).
func ReactiveFromAngle(s quantity.VoltAmperes, phi quantity.Degrees) quantity.Vars {
	return quantity.Vars(float64(s) * sine(phi))
}

// ReactiveFromAngleF is ReactiveFromAngle as a formula.
var ReactiveFromAngleF = working.Def2("reactive power from angle", "Q = S * sin(phi)",
	"IEEE 1459-2010, 3.1.1 (clause from memory)", "S", "phi", ReactiveFromAngle)

// ActiveFromAngle is the active power from apparent power and the angle by which
// current lags voltage, for sinusoidal waves: W. IEEE Std 1459-2010, 3.1.1
// (from memory).
func ActiveFromAngle(s quantity.VoltAmperes, phi quantity.Degrees) quantity.Watts {
	return quantity.Watts(float64(s) * cosine(phi))
}

// ActiveFromAngleF is ActiveFromAngle as a formula.
var ActiveFromAngleF = working.Def2("active power from angle", "P = S * cos(phi)",
	"IEEE 1459-2010, 3.1.1 (clause from memory)", "S", "phi", ActiveFromAngle)

// Angle is the angle by which current lags voltage, from the power factor (-1
// to 1) of a lagging load with sinusoidal waves: 0 to 180 degrees. It is false
// for a power factor outside that range.
func Angle(pf quantity.Ratio) (quantity.Degrees, bool) {
	if !(math.Abs(float64(pf)) <= 1) {
		return 0, false
	}
	return quantity.Degrees(math.Acos(float64(pf)) / radian), true
}

// AngleF is Angle as a formula.
var AngleF = working.Def1("angle", "phi = acos(pf)",
	"IEEE 1459-2010, 3.1.1 (clause from memory)", "pf", or1(Angle))

// AngleLeading is the same for a leading load: never positive.
func AngleLeading(pf quantity.Ratio) (quantity.Degrees, bool) {
	phi, ok := Angle(pf)
	return -phi, ok
}

// AngleLeadingF is AngleLeading as a formula.
var AngleLeadingF = working.Def1("angle, leading", "phi = -acos(pf)",
	"IEEE 1459-2010, 3.1.1 (clause from memory)", "pf", or1(AngleLeading))

// Displacement is the displacement power factor from the angle between the
// fundamentals of voltage and current; it equals the power factor only of
// sinusoidal waves. IEEE Std 1459-2010, 3.1.2 (from memory).
func Displacement(phi quantity.Degrees) quantity.Ratio { return quantity.Ratio(cosine(phi)) }

// DisplacementF is Displacement as a formula.
var DisplacementF = working.Def1("displacement power factor from angle", "pf_1 = cos(phi)",
	"IEEE 1459-2010, 3.1.2 (clause from memory)", "phi", Displacement)

// AngleFromLine is the angle of lag in a balanced load from the angle by which
// the current of line A lags the voltage between lines A and B: that voltage
// stands 30 degrees before the phase's own in a forward sequence, so that the
// cosine of the displayed angle is no power factor.
func AngleFromLine(alpha quantity.Degrees) quantity.Degrees { return alpha - 30 }

// AngleFromLineF is AngleFromLine as a formula.
var AngleFromLineF = working.Def1("angle from line voltage", "phi = alpha - 30",
	"balanced three-phase system, forward sequence", "alpha", AngleFromLine)
