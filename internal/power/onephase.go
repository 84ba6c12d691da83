package power

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// Apparent is the apparent power of one phase from its line-to-neutral voltage
// and its current, both rms: VA. It holds for any wave form.
// IEEE Std 1459-2010, 3.1.2 (clause from memory).
func Apparent(u quantity.VoltsLN, i quantity.Amperes) quantity.VoltAmperes {
	return quantity.VoltAmperes(float64(u) * float64(i))
}

// ApparentF is Apparent as a formula.
var ApparentF = working.Def2("apparent power", "S = U * I",
	"IEEE 1459-2010, 3.1.2 (clause from memory)", "U", "I", Apparent)

// ApparentLL is the apparent power of a load between two lines: VA.
// IEEE Std 1459-2010, 3.1.2 (clause from memory).
func ApparentLL(u quantity.VoltsLL, i quantity.Amperes) quantity.VoltAmperes {
	return quantity.VoltAmperes(float64(u) * float64(i))
}

// ApparentLLF is ApparentLL as a formula.
var ApparentLLF = working.Def2("apparent power between two lines", "S = U * I",
	"IEEE 1459-2010, 3.1.2 (clause from memory)", "U", "I", ApparentLL)

// Active is the active power of one phase from voltage, current and power
// factor (-1 to 1): W. The power factor is the true one, P/S, so that the result
// holds for distorted waves too. IEEE Std 1459-2010, 3.1.2 (from memory).
func Active(u quantity.VoltsLN, i quantity.Amperes, pf quantity.Ratio) quantity.Watts {
	return quantity.Watts(float64(u) * float64(i) * float64(pf))
}

// ActiveF is Active as a formula.
var ActiveF = working.Def3("active power", "P = U * I * pf",
	"IEEE 1459-2010, 3.1.2 (clause from memory)", "U", "I", "pf", Active)

// ActiveFromApparent is the active power from apparent power and power factor
// (-1 to 1): W. IEEE Std 1459-2010, 3.1.2 (from memory).
func ActiveFromApparent(s quantity.VoltAmperes, pf quantity.Ratio) quantity.Watts {
	return quantity.Watts(float64(s) * float64(pf))
}

// ActiveFromApparentF is ActiveFromApparent as a formula.
var ActiveFromApparentF = working.Def2("active power from apparent power", "P = S * pf",
	"IEEE 1459-2010, 3.1.2 (clause from memory)", "S", "pf", ActiveFromApparent)

// ActiveFromReactive is the active power, taken as import, from apparent and
// reactive power: W. It is false when the reactive power exceeds the apparent.
// IEEE Std 1459-2010, 3.1.1 (from memory).
func ActiveFromReactive(s quantity.VoltAmperes, q quantity.Vars) (quantity.Watts, bool) {
	return root[quantity.Watts](square(s) - square(q))
}

// ActiveFromReactiveF is ActiveFromReactive as a formula.
var ActiveFromReactiveF = working.Def2("active power from apparent and reactive power", "P = sqrt(S^2 - Q^2)",
	"IEEE 1459-2010, 3.1.1 (clause from memory)", "S", "Q", or2(ActiveFromReactive))

// ApparentFromPowers is the apparent power from active and reactive power: VA.
// On distorted waves it leaves the distortion power out and falls short of U·I.
// IEEE Std 1459-2010, 3.1.1 (from memory).
func ApparentFromPowers(p quantity.Watts, q quantity.Vars) quantity.VoltAmperes {
	return quantity.VoltAmperes(math.Sqrt(square(p) + square(q)))
}

// ApparentFromPowersF is ApparentFromPowers as a formula.
var ApparentFromPowersF = working.Def2("apparent power from active and reactive power", "S = sqrt(P^2 + Q^2)",
	"IEEE 1459-2010, 3.1.1 (clause from memory)", "P", "Q", ApparentFromPowers)

// ApparentFromPowerFactor is the apparent power from active power and power
// factor: VA. It is false for a power factor of nothing, or of a sign that is
// not that of the power. IEEE Std 1459-2010, 3.1.2 (from memory).
func ApparentFromPowerFactor(p quantity.Watts, pf quantity.Ratio) (quantity.VoltAmperes, bool) {
	if pf == 0 || float64(p)/float64(pf) < 0 {
		return 0, false
	}
	return quantity.VoltAmperes(float64(p) / float64(pf)), true
}

// ApparentFromPowerFactorF is ApparentFromPowerFactor as a formula.
var ApparentFromPowerFactorF = working.Def2("apparent power from active power", "S = P / pf",
	"IEEE 1459-2010, 3.1.2 (clause from memory)", "P", "pf", or2(ApparentFromPowerFactor))

// PowerFactor is the true power factor, P/S; it has the sign of the active
// power. A size above one means that the two readings cannot both be right. It
// is false when there is no apparent power.
// IEEE Std 1459-2010, 3.1.2 (from memory).
func PowerFactor(p quantity.Watts, s quantity.VoltAmperes) (quantity.Ratio, bool) {
	if s <= 0 {
		return 0, false
	}
	return quantity.Ratio(float64(p) / float64(s)), true
}

// PowerFactorF is PowerFactor as a formula.
var PowerFactorF = working.Def2("power factor", "pf = P / S",
	"IEEE 1459-2010, 3.1.2 (clause from memory)", "P", "S", or2(PowerFactor))

// Current is the rms current from apparent power and line-to-neutral voltage: A.
// It is false for a voltage of nothing.
func Current(s quantity.VoltAmperes, u quantity.VoltsLN) (quantity.Amperes, bool) {
	if u <= 0 {
		return 0, false
	}
	return quantity.Amperes(float64(s) / float64(u)), true
}

// CurrentF is Current as a formula.
var CurrentF = working.Def2("current", "I = S / U",
	"IEEE 1459-2010, 3.1.2 (clause from memory)", "S", "U", or2(Current))
