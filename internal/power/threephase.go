package power

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

var sqrt3 = math.Sqrt(3)

const ieeeThree = "IEEE 1459-2010, 3.2.2 (clause from memory)"

// LineToLine is the line-to-line voltage of a balanced three-phase system from
// its line-to-neutral voltage: V.
func LineToLine(v quantity.VoltsLN) quantity.VoltsLL {
	return quantity.VoltsLL(sqrt3 * float64(v))
}

// LineToLineF is LineToLine as a formula.
var LineToLineF = working.Def1("line-to-line voltage", "U = sqrt(3) * V", "balanced three-phase system", "V", LineToLine)

// LineToNeutral is the line-to-neutral voltage of a balanced three-phase system
// from its line-to-line voltage: V.
func LineToNeutral(u quantity.VoltsLL) quantity.VoltsLN {
	return quantity.VoltsLN(float64(u) / sqrt3)
}

// LineToNeutralF is LineToNeutral as a formula.
var LineToNeutralF = working.Def1("line-to-neutral voltage", "V = U / sqrt(3)", "balanced three-phase system", "U", LineToNeutral)

// BalancedApparent is the apparent power of a balanced three-phase load from its
// line-to-line voltage and line current: VA.
func BalancedApparent(u quantity.VoltsLL, i quantity.Amperes) quantity.VoltAmperes {
	return quantity.VoltAmperes(sqrt3 * float64(u) * float64(i))
}

// BalancedApparentF is BalancedApparent as a formula.
var BalancedApparentF = working.Def2("balanced three-phase apparent power", "S = sqrt(3) * U * I",
	"IEEE 1459-2010, 3.2.1 (clause from memory)", "U", "I", BalancedApparent)

// BalancedActive is the active power of a balanced three-phase load from its
// line-to-line voltage, line current and power factor (-1 to 1): W.
func BalancedActive(u quantity.VoltsLL, i quantity.Amperes, pf quantity.Ratio) quantity.Watts {
	return quantity.Watts(sqrt3 * float64(u) * float64(i) * float64(pf))
}

// BalancedActiveF is BalancedActive as a formula.
var BalancedActiveF = working.Def3("balanced three-phase active power", "P = sqrt(3) * U * I * pf",
	"IEEE 1459-2010, 3.2.1 (clause from memory)", "U", "I", "pf", BalancedActive)

// BalancedCurrent is the line current of a balanced three-phase load from its
// apparent power and line-to-line voltage: A. It is false for a voltage of nothing.
func BalancedCurrent(s quantity.VoltAmperes, u quantity.VoltsLL) (quantity.Amperes, bool) {
	if u <= 0 {
		return 0, false
	}
	return quantity.Amperes(float64(s) / (sqrt3 * float64(u))), true
}

// BalancedCurrentF is BalancedCurrent as a formula.
var BalancedCurrentF = working.Def2("balanced three-phase current", "I = S / (sqrt(3) * U)",
	"IEEE 1459-2010, 3.2.1 (clause from memory)", "S", "U", or2(BalancedCurrent))

// ThreeTimes is a three-phase total taken from one phase, the others being
// assumed alike. Its error is about the unbalance of the currents, so the
// assumption belongs beside the figure.
func ThreeTimes[Q quantity.Watts | quantity.Vars | quantity.VoltAmperes](one Q) Q { return 3 * one }

// ActiveOfThreeF, ReactiveOfThreeF and ApparentOfThreeF are ThreeTimes as formulas.
var (
	ActiveOfThreeF = working.Def1("three-phase active power from one phase", "P = 3 * P_ph",
		"IEEE 1459-2010, 3.2.1 (clause from memory)", "P_ph", ThreeTimes[quantity.Watts])
	ReactiveOfThreeF = working.Def1("three-phase reactive power from one phase", "Q = 3 * Q_ph",
		"IEEE 1459-2010, 3.2.1 (clause from memory)", "Q_ph", ThreeTimes[quantity.Vars])
	ApparentOfThreeF = working.Def1("three-phase apparent power from one phase", "S = 3 * S_ph",
		"IEEE 1459-2010, 3.2.1 (clause from memory)", "S_ph", ThreeTimes[quantity.VoltAmperes])
)

// Total is the sum over phases or elements. Active and reactive powers add for
// any load; see ArithmeticApparent for what a sum of apparent powers means.
func Total[Q quantity.Watts | quantity.Vars | quantity.VoltAmperes](phases []Q) Q { return sum(phases) }

// ActiveTotalF and ReactiveTotalF are Total as formulas. ArithmeticApparentF is
// the arithmetic apparent power: it does not fall when unbalanced phases carry
// opposite reactive powers, as the vector one does.
var (
	ActiveTotalF = working.DefN("active power, sum of the phases", "P = sum(P_ph)",
		ieeeThree, "P_ph", Total[quantity.Watts])
	ReactiveTotalF = working.DefN("reactive power, sum of the phases", "Q = sum(Q_ph)",
		ieeeThree, "Q_ph", Total[quantity.Vars])
	ArithmeticApparentF = working.DefN("arithmetic apparent power", "S_A = sum(S_ph)",
		ieeeThree, "S_ph", Total[quantity.VoltAmperes])
)

// VectorApparent is the vector apparent power from the total active and reactive
// powers: VA. IEEE Std 1459-2010, 3.2.2 (from memory).
func VectorApparent(p quantity.Watts, q quantity.Vars) quantity.VoltAmperes {
	return ApparentFromPowers(p, q)
}

// VectorApparentF is VectorApparent as a formula.
var VectorApparentF = working.Def2("vector apparent power", "S_V = sqrt(P^2 + Q^2)", ieeeThree, "P", "Q", VectorApparent)

// QuadraticMean is the root of the mean square of three voltages or currents,
// from which the effective values are made. It is false unless there are three.
func QuadraticMean[Q ~float64](three []Q) (Q, bool) {
	if len(three) != 3 {
		return 0, false
	}
	return Q(math.Sqrt(sumSquares(three) / 3)), true
}

// The quadratic means as formulas.
var (
	MeanVoltsLNF = working.DefN("quadratic mean of phase voltages", "V_q = sqrt(sum(V^2) / 3)", ieeeThree, "V", orN(QuadraticMean[quantity.VoltsLN]))
	MeanVoltsLLF = working.DefN("quadratic mean of line voltages", "U_q = sqrt(sum(U^2) / 3)", ieeeThree, "U", orN(QuadraticMean[quantity.VoltsLL]))
	MeanAmperesF = working.DefN("quadratic mean of currents", "I_q = sqrt(sum(I^2) / 3)", ieeeThree, "I", orN(QuadraticMean[quantity.Amperes]))
)

// EffectiveVoltage is the effective voltage of a four-wire system from the
// quadratic means of its phase and line voltages, losses shared evenly between
// star and delta loads (ξ = 1): V. IEEE Std 1459-2010, 3.2.2 (from memory).
func EffectiveVoltage(v quantity.VoltsLN, u quantity.VoltsLL) quantity.VoltsLN {
	return quantity.VoltsLN(math.Sqrt((3*square(v) + square(u)) / 6))
}

// EffectiveVoltageF is EffectiveVoltage as a formula.
var EffectiveVoltageF = working.Def2("effective voltage", "V_e = sqrt((3 * V_q^2 + U_q^2) / 6)", ieeeThree, "V_q", "U_q", EffectiveVoltage)

// EffectiveVoltage3W is the effective voltage of a three-wire system from the
// quadratic mean of its line voltages: V.
func EffectiveVoltage3W(u quantity.VoltsLL) quantity.VoltsLN { return LineToNeutral(u) }

// EffectiveVoltage3WF is EffectiveVoltage3W as a formula.
var EffectiveVoltage3WF = working.Def1("effective voltage, three wires", "V_e = U_q / sqrt(3)", ieeeThree, "U_q", EffectiveVoltage3W)

// EffectiveCurrent is the effective current of a four-wire system from the
// quadratic mean of the line currents, the neutral current and the ratio of
// neutral to line resistance (1 when unknown): A. In a three-wire system the
// quadratic mean is the effective current. IEEE Std 1459-2010, 3.2.2 (from memory).
func EffectiveCurrent(i, n quantity.Amperes, rho quantity.Ratio) quantity.Amperes {
	return quantity.Amperes(math.Sqrt(square(i) + float64(rho)*square(n)/3))
}

// EffectiveCurrentF is EffectiveCurrent as a formula.
var EffectiveCurrentF = working.Def3("effective current", "I_e = sqrt(I_q^2 + rho * I_n^2 / 3)", ieeeThree, "I_q", "I_n", "rho", EffectiveCurrent)

// EffectiveApparent is the effective apparent power, which a supply of least
// loss would need: VA. No load has less than its arithmetic apparent power.
// IEEE Std 1459-2010, 3.2.2 (from memory).
func EffectiveApparent(v quantity.VoltsLN, i quantity.Amperes) quantity.VoltAmperes {
	return quantity.VoltAmperes(3 * float64(v) * float64(i))
}

// EffectiveApparentF is EffectiveApparent as a formula.
var EffectiveApparentF = working.Def2("effective apparent power", "S_e = 3 * V_e * I_e", ieeeThree, "V_e", "I_e", EffectiveApparent)
