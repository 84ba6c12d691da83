package effect

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

const doe = "US DOE, DOE/CE-0384 (1993) and Determining Electric Motor Load and Efficiency (equations from memory)"

// BetterEfficiency is the share of a power that is left when what it drives is
// driven with another efficiency, the shaft's power being the same: motors, belts
// and gears alike. It is false unless both are above 0 and at most 1.
func BetterEfficiency(from, to quantity.Ratio) (quantity.Ratio, bool) {
	if !(from > 0 && from <= 1 && to > 0 && to <= 1) {
		return 0, false
	}
	return from / to, true
}

// BetterEfficiencyF is BetterEfficiency as a formula.
var BetterEfficiencyF = working.Def2("power left with a better efficiency", "k = eta_1 / eta_2", doe, "eta_1", "eta_2", or2(BetterEfficiency))

// EnergySavedByEfficiency is the energy that a better efficiency saves of what is
// used now, at equal output.
func EnergySavedByEfficiency(e quantity.WattHours, from, to quantity.Ratio) (quantity.WattHours, bool) {
	k, ok := BetterEfficiency(from, to)
	return e * quantity.WattHours(1-k), ok
}

// EnergySavedByEfficiencyF is EnergySavedByEfficiency as a formula.
var EnergySavedByEfficiencyF = working.Def3("energy saved by a better efficiency", "E_s = E * (1 - eta_1 / eta_2)", doe, "E", "eta_1", "eta_2", or3(EnergySavedByEfficiency))

// MotorSavingF is the power that a better motor saves, from its rated output, the
// load as a share of it, and both efficiencies at that load: W. That the new motor
// may turn a little faster, which costs power on fans and pumps, is not counted.
var MotorSavingF = working.Def4("power saved by a better motor", "P_s = P_r * L * (1 / eta_1 - 1 / eta_2)", doe, "P_r", "L", "eta_1", "eta_2",
	func(p quantity.Watts, load, from, to quantity.Ratio) quantity.Watts {
		if _, ok := BetterEfficiency(from, to); !ok {
			return quantity.Watts(math.NaN())
		}
		return p * quantity.Watts(load*(1/from-1/to))
	})

// SpeedPower is the share of its power at full speed that a fan or pump takes at
// a share s of full speed: s to the power k, over the drive's efficiency. k is 3
// where friction is all, 2 to 2.9 where a head or pressure is held. It is false
// outside 0 (excluded) to 1.
func SpeedPower(speed, exponent, drive quantity.Ratio) (quantity.Ratio, bool) {
	if !(speed > 0 && speed <= 1 && exponent >= 1 && exponent <= 3 && drive > 0 && drive <= 1) {
		return 0, false
	}
	return quantity.Ratio(math.Pow(float64(speed), float64(exponent))) / drive, true
}

// SpeedPowerF is SpeedPower as a formula.
var SpeedPowerF = working.Def3("power left at a lower speed", "k = s^n / eta_d", "affinity laws; the exponent is practice where head is held", "s", "n", "eta_d", or3(SpeedPower))

// OverSpeeds is the share of the power that is left where a machine runs at
// several speeds: what is left at each, weighted by its share of the time. The
// shares are brought to a sum of one. Values alternate: what is left, then share.
func OverSpeeds(leftAndShare []quantity.Ratio) quantity.Ratio {
	sum, whole := quantity.Ratio(0), quantity.Ratio(0)
	for i := 0; i+1 < len(leftAndShare); i += 2 {
		sum += leftAndShare[i] * leftAndShare[i+1]
		whole += leftAndShare[i+1]
	}
	return sum / whole
}

// OverSpeedsF is OverSpeeds as a formula.
var OverSpeedsF = working.DefN("power left over several speeds", "k = sum(k_i * t_i) / sum(t_i)", "weighted mean", "k_i, t_i", OverSpeeds)

// HeadPower is the same by flow where a share h of the head at full flow is
// static: the rest falls with the square of flow, and the pump's efficiency is
// taken as unchanged. Without static head it is the cube.
func HeadPower(flow, static, drive quantity.Ratio) (quantity.Ratio, bool) {
	if !(flow > 0 && flow <= 1 && static >= 0 && static <= 1 && drive > 0 && drive <= 1) {
		return 0, false
	}
	return flow * (static + (1-static)*flow*flow) / drive, true
}

// HeadPowerF is HeadPower as a formula.
var HeadPowerF = working.Def3("power left at a lower flow against a static head", "k = q * (h + (1 - h) * q^2) / eta_d", "head by flow on a system curve with a static part; pump efficiency unchanged", "q", "h", "eta_d", or3(HeadPower))

// LightPower is the power that better lamps take less: the number of fittings by
// the difference of their input, ballast included.
func LightPower(n quantity.Ratio, before, after quantity.Watts) quantity.Watts {
	return quantity.Watts(n) * (before - after)
}

// LightPowerF is LightPower as a formula.
var LightPowerF = working.Def3("lighting power saved", "P_s = n * (P_1 - P_2)", "Uniform Methods Project, chapter 2, NREL/SR-7A40-68558 (only its title was seen)", "n", "P_1", "P_2", LightPower)

// FittingShare is the share of a fitting's input that is left with better lamps.
func FittingShare(before, after quantity.Watts) (quantity.Ratio, bool) {
	if !(before > 0 && after >= 0) {
		return 0, false
	}
	return quantity.Ratio(after / before), true
}

// FittingShareF is FittingShare as a formula.
var FittingShareF = working.Def2("power left with better lamps", "k = P_2 / P_1", "Uniform Methods Project, chapter 2, NREL/SR-7A40-68558 (only its title was seen)", "P_1", "P_2", or2(FittingShare))

// FittingPower is the input of a fitting with ballast, from the number and rating
// of its lamps and the ballast factor; a magnetic ballast's loss comes on top.
func FittingPower(lamps quantity.Ratio, rated quantity.Watts, factor quantity.Ratio) quantity.Watts {
	return quantity.Watts(lamps) * rated * quantity.Watts(factor)
}

// FittingPowerF is FittingPower as a formula.
var FittingPowerF = working.Def3("input of a fitting", "P = n * P_l * BF", "definition of the ballast factor", "n", "P_l", "BF", FittingPower)

// Interaction is the share of the light's saving that cooling saves besides: the
// share of the light's heat that cooling takes away, the share of the lit hours
// that it runs, over its coefficient of performance.
func Interaction(heat, hours, cop quantity.Ratio) (quantity.Ratio, bool) {
	if !(heat >= 0 && heat <= 1 && hours >= 0 && hours <= 1 && cop > 0) {
		return 0, false
	}
	return heat * hours / cop, true
}

// InteractionF is Interaction as a formula.
var InteractionF = working.Def3("interaction of light and cooling", "IF = a * b / COP", "structure of technical reference manuals (from memory)", "a", "b", "COP", or3(Interaction))

// WithInteractionF is a saving with what cooling saves besides.
var WithInteractionF = working.Def2("saving with interaction", "E_s = E * (1 + IF)", "structure of technical reference manuals (from memory)", "E", "IF",
	func(e quantity.WattHours, i quantity.Ratio) quantity.WattHours { return e * quantity.WattHours(1+i) })

// SetPoint is the share of a cooling energy that a set-point moved by kelvins
// saves, each saving the share s of what is left: shares compound, they do not add.
func SetPoint(each quantity.Ratio, kelvins float64) (quantity.Ratio, bool) {
	if !(each >= 0 && each < 1) {
		return 0, false
	}
	return 1 - quantity.Ratio(math.Pow(1-float64(each), kelvins)), true
}

// SetPointF is SetPoint as a formula.
var SetPointF = working.Def2("share saved by a set-point", "r = 1 - (1 - s)^T", "compounding of a share for each kelvin", "s", "T", or2(SetPoint))

// BetterCooling is the power that a chiller of a better coefficient of performance
// saves at equal cooling.
func BetterCooling(cooling quantity.Watts, from, to quantity.Ratio) (quantity.Watts, bool) {
	if !(from > 0 && to > 0) {
		return 0, false
	}
	return cooling * quantity.Watts(1/from-1/to), true
}

// BetterCoolingF is BetterCooling as a formula.
var BetterCoolingF = working.Def3("power saved by better cooling", "P_s = Q_c * (1 / COP_1 - 1 / COP_2)", "definition of the coefficient of performance", "Q_c", "COP_1", "COP_2", or3(BetterCooling))
