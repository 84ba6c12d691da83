package power

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// HarmonicLossFactor is F_HL: by how much a current's harmonics raise the eddy
// losses in a transformer's windings over those of a sinusoidal current of the
// same rms value. The series holds the currents of orders 1, 2, 3 and so on, in
// any one unit; a transformer of type dry or liquid alike. It is false without a
// current. An order that was not read counts as nothing, so the factor is then
// a lower bound. IEEE Std C57.110-2018 (definition from memory).
func HarmonicLossFactor(orders []quantity.Ratio) (quantity.Ratio, bool) {
	return weighted(orders, 2)
}

// StrayLossFactor is F_HL-STR, the same for the stray losses outside the
// windings, which rise with the power 0.8 of the order.
// IEEE Std C57.110-2018 (from memory).
func StrayLossFactor(orders []quantity.Ratio) (quantity.Ratio, bool) {
	return weighted(orders, 0.8)
}

func weighted(orders []quantity.Ratio, exponent float64) (quantity.Ratio, bool) {
	squares := sumSquares(orders)
	if !(squares > 0) {
		return 0, false
	}
	var s float64
	for i, o := range orders {
		s += math.Pow(float64(i+1), exponent) * square(o)
	}
	return quantity.Ratio(s / squares), true
}

// The loss factors as formulas.
var (
	HarmonicLossFactorF = working.DefN("harmonic loss factor", "F_HL = sum(h^2 * I_h^2) / sum(I_h^2)",
		"IEEE C57.110-2018 (definition from memory)", "I_h", orN(HarmonicLossFactor))
	StrayLossFactorF = working.DefN("stray loss factor", "F_STR = sum(h^0.8 * I_h^2) / sum(I_h^2)",
		"IEEE C57.110-2018 (from memory)", "I_h", orN(StrayLossFactor))
)

// KFactor is the K-factor of a load on a transformer, from the harmonic loss
// factor, the rms current and the transformer's rated current: it equals the
// harmonic loss factor at rated current only. It is false for a rated current
// of nothing. UL 1561 (from memory).
func KFactor(fHL quantity.Ratio, i, rated quantity.Amperes) (quantity.Ratio, bool) {
	if rated <= 0 {
		return 0, false
	}
	return fHL * quantity.Ratio(square(i)/square(rated)), true
}

// KFactorF is KFactor as a formula.
var KFactorF = working.Def3("K-factor", "K = F_HL * (I / I_R)^2", "UL 1561 (from memory)", "F_HL", "I", "I_R", or3(KFactor))

// HarmonicCapability is the current that a dry-type transformer can carry of a
// distorted load, as a share of its rated current, from the harmonic loss factor
// and the eddy loss of the windings at rated current as a share of their I²R
// loss (0.02 to 0.10 for small units, to 0.15 for large ones, from memory).
// IEEE Std C57.110-2018 (from memory).
func HarmonicCapability(fHL, eddy quantity.Ratio) (quantity.Ratio, bool) {
	if eddy < 0 || fHL < 0 {
		return 0, false
	}
	return root[quantity.Ratio](float64((1 + eddy) / (1 + fHL*eddy)))
}

// HarmonicCapabilityF is HarmonicCapability as a formula.
var HarmonicCapabilityF = working.Def2("transformer capability under harmonics", "I_max = sqrt((1 + P_EC) / (1 + F_HL * P_EC))",
	"IEEE C57.110-2018 (from memory)", "F_HL", "P_EC", or2(HarmonicCapability))

// FactorKSum17 is the sum over orders above the first that the European factor K
// rests on, for windings of round or rectangular conductors (exponent 1.7). The
// series holds the currents of orders 1, 2, 3 and so on as shares of the
// fundamental, so that the first is 1; the sum begins at order 2. Some notes sum
// from order 1 and so count the eddy loss of the fundamental, which is within the
// rating already, a second time: a sine wave would then derate a transformer by
// its own eddy loss (K of 1.04 at a share of 0.1 instead of 1). From order 2 a
// sine wave gives 1, as a factor on the rating must, and so does HD 538 and EN
// 50464-3 (from memory).
func FactorKSum17(orders []quantity.Ratio) (quantity.Ratio, bool) { return factorKSum(orders, 1.7) }

// FactorKSum15 is the same for windings of foil (exponent 1.5).
func FactorKSum15(orders []quantity.Ratio) (quantity.Ratio, bool) { return factorKSum(orders, 1.5) }

func factorKSum(orders []quantity.Ratio, exponent float64) (quantity.Ratio, bool) {
	if len(orders) == 0 || math.Abs(float64(orders[0])-1) > 1e-12 {
		return 0, false
	}
	var s float64
	for i := 1; i < len(orders); i++ {
		s += math.Pow(float64(i+1), exponent) * square(orders[i])
	}
	return quantity.Ratio(s), true
}

// FactorK is the European factor K, from the eddy loss as a share of the ohmic
// loss at the fundamental, the sum of FactorKSum17 or FactorKSum15 and the
// current's distortion of the fundamental. The transformer carries 1/K of its
// rating. HD 538 and EN 50464-3 (from memory).
func FactorK(eddy, s, d quantity.Ratio) (quantity.Ratio, bool) {
	if eddy < 0 {
		return 0, false
	}
	return root[quantity.Ratio](1 + float64(eddy/(1+eddy)*s)/(1+square(d)))
}

// The European factor K as formulas.
var (
	FactorKSum17F = working.DefN("factor K sum, round or rectangular conductors", "s = sum(h^1.7 * I_h^2) - 1",
		"HD 538 and EN 50464-3 (from memory); currents as shares of the fundamental", "I_h", orN(FactorKSum17))
	FactorKSum15F = working.DefN("factor K sum, foil", "s = sum(h^1.5 * I_h^2) - 1",
		"HD 538 and EN 50464-3 (from memory); currents as shares of the fundamental", "I_h", orN(FactorKSum15))
	FactorKF = working.Def3("factor K", "K = sqrt(1 + e / (1 + e) * s / (1 + d_I^2))",
		"HD 538 and EN 50464-3 (from memory)", "e", "s", "d_I", or3(FactorK))
)
