package power

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// TwoWattmeters is the active power of a three-wire load from two wattmeters
// with a common line: W. It holds for any load, balanced or not, of any wave
// form, as long as there is no neutral current. Below a power factor of one half
// one wattmeter of a balanced load reads negative; that is no fault. Blondel's theorem.
func TwoWattmeters(w1, w2 quantity.Watts) quantity.Watts { return w1 + w2 }

// TwoWattmetersF is TwoWattmeters as a formula.
var TwoWattmetersF = working.Def2("two-wattmeter active power", "P = W_1 + W_2", "Blondel's theorem, three wires", "W_1", "W_2", TwoWattmeters)

// TwoWattmeterReactive is the reactive power of a balanced three-wire load with
// sinusoidal waves: var. W_1 is the wattmeter on the line that follows the common
// one in the phase sequence (on C, when B is common and the sequence is ABC); it
// reads higher on a lagging load. Wattmeters exchanged, or the other sequence,
// turn the sign.
func TwoWattmeterReactive(w1, w2 quantity.Watts) quantity.Vars {
	return quantity.Vars(sqrt3 * float64(w1-w2))
}

// TwoWattmeterReactiveF is TwoWattmeterReactive as a formula.
var TwoWattmeterReactiveF = working.Def2("two-wattmeter reactive power", "Q = sqrt(3) * (W_1 - W_2)",
	"two-wattmeter method, balanced load, sinusoidal waves", "W_1", "W_2", TwoWattmeterReactive)

// TwoWattmeterTangent is tan phi of a balanced three-wire load with sinusoidal
// waves, positive when lagging; W_1 as in TwoWattmeterReactive. It is false when
// no active power flows.
func TwoWattmeterTangent(w1, w2 quantity.Watts) (quantity.Ratio, bool) {
	if w1+w2 == 0 {
		return 0, false
	}
	return quantity.Ratio(sqrt3 * float64(w1-w2) / float64(w1+w2)), true
}

// TwoWattmeterTangentF is TwoWattmeterTangent as a formula.
var TwoWattmeterTangentF = working.Def2("two-wattmeter tangent", "tan_phi = sqrt(3) * (W_1 - W_2) / (W_1 + W_2)",
	"two-wattmeter method, balanced load, sinusoidal waves", "W_1", "W_2", or2(TwoWattmeterTangent))

// TwoWattmeterPowerFactor is the power factor of a balanced three-wire load with
// sinusoidal waves; it has the sign of the active power. It is false when both
// wattmeters read nothing.
func TwoWattmeterPowerFactor(w1, w2 quantity.Watts) (quantity.Ratio, bool) {
	size := math.Sqrt(square(w1) - float64(w1)*float64(w2) + square(w2))
	if size == 0 {
		return 0, false
	}
	return quantity.Ratio(float64(w1+w2) / (2 * size)), true
}

// TwoWattmeterPowerFactorF is TwoWattmeterPowerFactor as a formula.
var TwoWattmeterPowerFactorF = working.Def2("two-wattmeter power factor", "pf = (W_1 + W_2) / (2 * sqrt(W_1^2 - W_1 * W_2 + W_2^2))",
	"two-wattmeter method, balanced load, sinusoidal waves", "W_1", "W_2", or2(TwoWattmeterPowerFactor))

// Wattmeter1 is what the first wattmeter of a balanced three-wire load should
// read, with W_1 as in TwoWattmeterReactive: W.
func Wattmeter1(u quantity.VoltsLL, i quantity.Amperes, phi quantity.Degrees) quantity.Watts {
	return quantity.Watts(float64(u) * float64(i) * cosine(phi-30))
}

// Wattmeter2 is what the second should read: W; negative beyond 60 degrees.
func Wattmeter2(u quantity.VoltsLL, i quantity.Amperes, phi quantity.Degrees) quantity.Watts {
	return quantity.Watts(float64(u) * float64(i) * cosine(phi+30))
}

// The single wattmeters as formulas.
var (
	Wattmeter1F = working.Def3("first wattmeter of a balanced load", "W_1 = U * I * cos(phi - 30)",
		"two-wattmeter method, balanced load, sinusoidal waves", "U", "I", "phi", Wattmeter1)
	Wattmeter2F = working.Def3("second wattmeter of a balanced load", "W_2 = U * I * cos(phi + 30)",
		"two-wattmeter method, balanced load, sinusoidal waves", "U", "I", "phi", Wattmeter2)
)
