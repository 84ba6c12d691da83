package power

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

const ieeeOne = "IEEE 1459-2010, 3.1.2 (clause from memory)"

// FundamentalApparent is the apparent power of the fundamentals from the
// apparent power and both distortions of the fundamental: VA.
// IEEE Std 1459-2010, 3.1.2 (from memory).
func FundamentalApparent(s quantity.VoltAmperes, dU, dI quantity.Ratio) quantity.VoltAmperes {
	return Fundamental(Fundamental(s, dU), dI)
}

// FundamentalApparentF is FundamentalApparent as a formula.
var FundamentalApparentF = working.Def3("fundamental apparent power", "S_1 = S / (sqrt(1 + d_U^2) * sqrt(1 + d_I^2))", ieeeOne, "S", "d_U", "d_I", FundamentalApparent)

// FundamentalReactive is the reactive power of the fundamentals from their
// apparent and active powers: var, taken as lagging. This, and not the
// non-active power, is what capacitors can supply. It is false when P_1 exceeds
// S_1. IEEE Std 1459-2010, 3.1.2 (from memory).
func FundamentalReactive(s1 quantity.VoltAmperes, p1 quantity.Watts) (quantity.Vars, bool) {
	return Reactive(s1, p1)
}

// FundamentalReactiveF is FundamentalReactive as a formula.
var FundamentalReactiveF = working.Def2("fundamental reactive power", "Q_1 = sqrt(S_1^2 - P_1^2)", ieeeOne, "S_1", "P_1", or2(FundamentalReactive))

// CurrentDistortionPower is the power D_I of fundamental voltage and harmonic
// current: var. IEEE Std 1459-2010, 3.1.2 (from memory).
func CurrentDistortionPower(s1 quantity.VoltAmperes, dI quantity.Ratio) quantity.Vars {
	return quantity.Vars(float64(s1) * float64(dI))
}

// VoltageDistortionPower is the power D_V of harmonic voltage and fundamental
// current: var. IEEE Std 1459-2010, 3.1.2 (from memory).
func VoltageDistortionPower(s1 quantity.VoltAmperes, dU quantity.Ratio) quantity.Vars {
	return quantity.Vars(float64(s1) * float64(dU))
}

// HarmonicApparent is the apparent power S_H of harmonic voltage and harmonic
// current: VA. IEEE Std 1459-2010, 3.1.2 (from memory).
func HarmonicApparent(s1 quantity.VoltAmperes, dU, dI quantity.Ratio) quantity.VoltAmperes {
	return quantity.VoltAmperes(float64(s1) * float64(dU) * float64(dI))
}

// NonFundamental is the apparent power S_N that is not that of the fundamentals:
// VA. It is false when S_1 exceeds S. IEEE Std 1459-2010, 3.1.2 (from memory).
func NonFundamental(s, s1 quantity.VoltAmperes) (quantity.VoltAmperes, bool) {
	return root[quantity.VoltAmperes](square(s) - square(s1))
}

// HarmonicDistortionPower is the part D_H of the harmonic apparent power that
// carries no energy: var. It is false when P_H exceeds S_H.
// IEEE Std 1459-2010, 3.1.2 (from memory).
func HarmonicDistortionPower(sH quantity.VoltAmperes, pH quantity.Watts) (quantity.Vars, bool) {
	return Reactive(sH, pH)
}

// The powers of distortion as formulas.
var (
	CurrentDistortionPowerF  = working.Def2("current distortion power", "D_I = S_1 * d_I", ieeeOne, "S_1", "d_I", CurrentDistortionPower)
	VoltageDistortionPowerF  = working.Def2("voltage distortion power", "D_V = S_1 * d_U", ieeeOne, "S_1", "d_U", VoltageDistortionPower)
	HarmonicApparentF        = working.Def3("harmonic apparent power", "S_H = S_1 * d_U * d_I", ieeeOne, "S_1", "d_U", "d_I", HarmonicApparent)
	NonFundamentalF          = working.Def2("non-fundamental apparent power", "S_N = sqrt(S^2 - S_1^2)", ieeeOne, "S", "S_1", or2(NonFundamental))
	HarmonicDistortionPowerF = working.Def2("harmonic distortion power", "D_H = sqrt(S_H^2 - P_H^2)", ieeeOne, "S_H", "P_H", or2(HarmonicDistortionPower))
)

// DisplacementFromPowers is the displacement power factor P_1/S_1. It is false
// for a fundamental apparent power of nothing.
func DisplacementFromPowers(p1 quantity.Watts, s1 quantity.VoltAmperes) (quantity.Ratio, bool) {
	return PowerFactor(p1, s1)
}

// DisplacementFromPowersF is DisplacementFromPowers as a formula.
var DisplacementFromPowersF = working.Def2("displacement power factor", "pf_1 = P_1 / S_1", ieeeOne, "P_1", "S_1", or2(DisplacementFromPowers))

// TrueFromDisplacement is the true power factor from the displacement power
// factor and both distortions of the fundamental, the harmonics' own active
// power left out; that error is below 1 % while the voltage's distortion stays
// within 10 % (from memory).
func TrueFromDisplacement(pf1, dU, dI quantity.Ratio) quantity.Ratio {
	return Fundamental(Fundamental(pf1, dU), dI)
}

// TrueFromDisplacementF is TrueFromDisplacement as a formula.
var TrueFromDisplacementF = working.Def3("true power factor from displacement", "pf = pf_1 / (sqrt(1 + d_U^2) * sqrt(1 + d_I^2))",
	"IEEE 1459-2010, 3.1.2 (clause from memory), harmonic active power left out", "pf_1", "d_U", "d_I", TrueFromDisplacement)

// DisplacementFromTrue is the displacement power factor from the true one and
// the current's distortion of the fundamental, for a voltage of less than 5 %
// distortion. It is false when it would exceed 1, which shows that the readings
// disagree.
func DisplacementFromTrue(pf, dI quantity.Ratio) (quantity.Ratio, bool) {
	pf1 := RMS(pf, dI)
	return pf1, math.Abs(float64(pf1)) <= 1
}

// DisplacementFromTrueF is DisplacementFromTrue as a formula.
var DisplacementFromTrueF = working.Def2("displacement power factor from true", "pf_1 = pf * sqrt(1 + d_I^2)",
	"IEEE 1459-2010, 3.1.2 (clause from memory), voltage distortion below 5 %", "pf", "d_I", or2(DisplacementFromTrue))
