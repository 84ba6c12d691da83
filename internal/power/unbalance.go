package power

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// Deviation is the greatest deviation of three values from their mean, as a
// share of it: the unbalance of NEMA MG 1, which is defined for line-to-line
// voltages, and by common practice the same form on phase voltages and on
// currents. It is not (max - min) over the mean. It is false unless there are
// three values with a mean above nothing.
func Deviation[Q ~float64](three []Q) (quantity.Ratio, bool) {
	m := mean(three)
	if len(three) != 3 || !(m > 0) {
		return 0, false
	}
	var most float64
	for _, q := range three {
		most = max(most, math.Abs(float64(q-m)))
	}
	return quantity.Ratio(most / float64(m)), true
}

// Deviation as formulas. Only the first may be held against a NEMA limit.
var (
	NEMAUnbalanceF = working.DefN("voltage unbalance, NEMA", "u_NEMA = max(abs(U - mean(U))) / mean(U)",
		"NEMA MG 1, 14.36 and 20.24, line-to-line voltages", "U", orN(Deviation[quantity.VoltsLL]))
	PhaseVoltageDeviationF = working.DefN("deviation of phase voltages", "u_ph = max(abs(V - mean(V))) / mean(V)",
		"the form of NEMA MG 1, 14.36, on line-to-neutral voltages: not the unbalance that limits are set for", "V", orN(Deviation[quantity.VoltsLN]))
	CurrentUnbalanceF = working.DefN("current unbalance", "u_I = max(abs(I - mean(I))) / mean(I)",
		"the form of NEMA MG 1, 14.36, on currents", "I", orN(Deviation[quantity.Amperes]))
)

// Beta is the ratio from which the negative-sequence unbalance of three
// line-to-line voltages follows: 1/3 when they are equal, 1/2 when the triangle
// is flat. It is false unless the three can close a triangle, which line
// voltages always do; phase voltages may not be used.
// IEC 61000-4-30:2015, 5.7 (clause from memory).
func Beta(lines []quantity.VoltsLL) (quantity.Ratio, bool) {
	if len(lines) != 3 {
		return 0, false
	}
	var fourth float64
	for _, u := range lines {
		if u <= 0 || 2*u > sum(lines) {
			return 0, false
		}
		fourth += square(u) * square(u)
	}
	s := sumSquares(lines)
	return quantity.Ratio(fourth / (s * s)), true
}

// BetaF is Beta as a formula.
var BetaF = working.DefN("beta of line voltages", "beta = sum(U^4) / sum(U^2)^2", "IEC 61000-4-30:2015, 5.7 (clause from memory)", "U", orN(Beta))

// NegativeSequenceFromBeta is the negative-sequence voltage as a share of the
// positive-sequence one, from Beta, 1/3 to 1/2; rounding just below 1/3 counts
// as 1/3. False outside. IEC 61000-4-30:2015, 5.7 (clause from memory).
func NegativeSequenceFromBeta(beta quantity.Ratio) (quantity.Ratio, bool) {
	const rounding = 1e-9
	inner := 3 - 6*float64(beta)
	if !(inner >= -rounding && inner <= 1+rounding) {
		return 0, false
	}
	r := math.Sqrt(min(max(inner, 0), 1))
	return quantity.Ratio(math.Sqrt((1 - r) / (1 + r))), true
}

// NegativeSequenceFromBetaF is NegativeSequenceFromBeta as a formula.
var NegativeSequenceFromBetaF = working.Def1("negative-sequence unbalance from beta", "u_2 = sqrt((1 - sqrt(3 - 6 * beta)) / (1 + sqrt(3 - 6 * beta)))",
	"IEC 61000-4-30:2015, 5.7 (clause from memory)", "beta", or1(NegativeSequenceFromBeta))

// NegativeSequence is the negative-sequence unbalance of three line-to-line
// voltages, from their sizes alone: a share of the positive-sequence voltage.
// It is false unless they can close a triangle.
func NegativeSequence(lines []quantity.VoltsLL) (quantity.Ratio, bool) {
	beta, ok := Beta(lines)
	if !ok {
		return 0, false
	}
	return NegativeSequenceFromBeta(beta)
}

// NegativeSequenceF is NegativeSequence as a formula, whole.
var NegativeSequenceF = working.DefN("negative-sequence unbalance",
	"u_2 = sqrt((1 - sqrt(3 - 6 * sum(U^4) / sum(U^2)^2)) / (1 + sqrt(3 - 6 * sum(U^4) / sum(U^2)^2)))",
	"IEC 61000-4-30:2015, 5.7 (clause from memory), line-to-line voltages", "U", orN(NegativeSequence))

// SequenceShare is a negative- or zero-sequence voltage or current as a share of
// the positive-sequence one. It is false when there is no positive sequence.
func SequenceShare[Q quantity.VoltsLN | quantity.VoltsLL | quantity.Amperes](q, positive Q) (quantity.Ratio, bool) {
	return ShareOf(q, positive)
}

const iec4_30 = "IEC 61000-4-30:2015, 5.7 (clause from memory)"

// Sequence shares as formulas. The zero sequence needs phase voltages with their
// angles: line-to-line voltages add up to nothing and have none.
var (
	NegativeShareF        = working.Def2("negative-sequence unbalance from components", "u_2 = V_2 / V_1", iec4_30, "V_2", "V_1", or2(SequenceShare[quantity.VoltsLN]))
	ZeroShareF            = working.Def2("zero-sequence unbalance from components", "u_0 = V_0 / V_1", iec4_30, "V_0", "V_1", or2(SequenceShare[quantity.VoltsLN]))
	NegativeShareCurrentF = working.Def2("negative-sequence unbalance of current", "i_2 = I_2 / I_1", iec4_30, "I_2", "I_1", or2(SequenceShare[quantity.Amperes]))
	ZeroShareCurrentF     = working.Def2("zero-sequence unbalance of current", "i_0 = I_0 / I_1", iec4_30, "I_0", "I_1", or2(SequenceShare[quantity.Amperes]))
)
