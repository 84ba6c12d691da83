package power

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

const iec4_7 = "IEC 61000-4-7 (definition from memory)"

// THDOfRMS turns a total harmonic distortion of the fundamental (0 and more)
// into one of the rms value, which stays below 1.
func THDOfRMS(f quantity.Ratio) quantity.Ratio {
	return quantity.Ratio(float64(f) / math.Sqrt(1+square(f)))
}

// THDOfRMSF is THDOfRMS as a formula.
var THDOfRMSF = working.Def1("distortion of rms from that of fundamental", "d_R = d_F / sqrt(1 + d_F^2)", iec4_7, "d_F", THDOfRMS)

// THDOfFundamental turns a total harmonic distortion of the rms value into one of
// the fundamental. It is false from 1 (100 %) on, which no share of rms can reach.
func THDOfFundamental(r quantity.Ratio) (quantity.Ratio, bool) {
	if !(math.Abs(float64(r)) < 1) {
		return 0, false
	}
	return quantity.Ratio(float64(r) / math.Sqrt(1-square(r))), true
}

// THDOfFundamentalF is THDOfFundamental as a formula.
var THDOfFundamentalF = working.Def1("distortion of fundamental from that of rms", "d_F = d_R / sqrt(1 - d_R^2)", iec4_7, "d_R", or1(THDOfFundamental))

// THD is the total harmonic distortion from single orders above the first, each
// as a share of the fundamental (then a share of it) or of the rms value.
func THD(orders []quantity.Ratio) quantity.Ratio {
	return quantity.Ratio(math.Sqrt(sumSquares(orders)))
}

// THDF is THD as a formula.
var THDF = working.DefN("distortion from orders", "d_o = sqrt(sum(d^2))", "IEC 61000-4-7; IEEE 519-2022, 3 (clauses from memory)", "d", THD)

// Residual is the distortion that the orders read do not explain, from the total
// distortion and that of the orders, both on one base. It is false when the
// orders exceed the total: then a base was mixed up or a digit misread.
func Residual(total, orders quantity.Ratio) (quantity.Ratio, bool) {
	return root[quantity.Ratio](square(total) - square(orders))
}

// ResidualF is Residual as a formula.
var ResidualF = working.Def2("distortion left over by the orders", "d_r = sqrt(d^2 - d_o^2)", iec4_7, "d", "d_o", or2(Residual))

// RMS is the rms value from the fundamental and its distortion, in the unit of
// the fundamental. IEEE Std 1459-2010, 3.1.2 (from memory).
func RMS[Q ~float64](fundamental Q, d quantity.Ratio) Q {
	return fundamental * Q(math.Sqrt(1+square(d)))
}

// Fundamental is the fundamental from the rms value and the distortion of the
// fundamental, in the unit of the rms value.
func Fundamental[Q ~float64](rms Q, d quantity.Ratio) Q {
	return rms / Q(math.Sqrt(1+square(d)))
}

// RMS and Fundamental as formulas, for current and for line-to-neutral voltage.
var (
	CurrentRMSF         = working.Def2("rms current from fundamental", "I = I_1 * sqrt(1 + d_I^2)", ieeeOne, "I_1", "d_I", RMS[quantity.Amperes])
	VoltageRMSF         = working.Def2("rms voltage from fundamental", "U = U_1 * sqrt(1 + d_U^2)", ieeeOne, "U_1", "d_U", RMS[quantity.VoltsLN])
	CurrentFundamentalF = working.Def2("fundamental current", "I_1 = I / sqrt(1 + d_I^2)", ieeeOne, "I", "d_I", Fundamental[quantity.Amperes])
	VoltageFundamentalF = working.Def2("fundamental voltage", "U_1 = U / sqrt(1 + d_U^2)", ieeeOne, "U", "d_U", Fundamental[quantity.VoltsLN])
)

// Harmonic is the current of an order, or of all orders above the first, from
// the fundamental and that order's, or the total, distortion of it: A.
func Harmonic(i1 quantity.Amperes, d quantity.Ratio) quantity.Amperes {
	return i1 * quantity.Amperes(d)
}

// HarmonicF is Harmonic as a formula.
var HarmonicF = working.Def2("harmonic current", "I_H = I_1 * d_I", ieeeOne, "I_1", "d_I", Harmonic)

// CrestFactor is the peak over the rms value: 1.414 for a sine wave. It is false
// for an rms value of nothing.
func CrestFactor(peak, rms quantity.Amperes) (quantity.Ratio, bool) {
	if rms <= 0 {
		return 0, false
	}
	return quantity.Ratio(peak / rms), true
}

// CrestFactorF is CrestFactor as a formula.
var CrestFactorF = working.Def2("crest factor", "k_c = I_p / I", "definition", "I_p", "I", or2(CrestFactor))

// TDD is the total demand distortion: the harmonic current as a share of the
// maximum demand load current, from the current's distortion, its fundamental
// and that maximum. At part load it is smaller than the distortion. It is false
// for a maximum of nothing. IEEE Std 519-2022, 3 (from memory).
func TDD(d quantity.Ratio, i1, iL quantity.Amperes) (quantity.Ratio, bool) {
	if iL <= 0 {
		return 0, false
	}
	return d * quantity.Ratio(i1/iL), true
}

// TDDF is TDD as a formula.
var TDDF = working.Def3("total demand distortion", "tdd = d_I * I_1 / I_L", "IEEE 519-2022, 3 (clause from memory)", "d_I", "I_1", "I_L", or3(TDD))
