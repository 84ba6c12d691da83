package power

import (
	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

const doeMotor = "US DOE, Determining Electric Motor Load and Efficiency (equations from memory)"

// RatedInput is the electrical power that a motor takes at its rated output, from
// that output and its full-load efficiency (0 excluded to 1): W. The plate gives
// the output at the shaft: it is divided by the efficiency, never multiplied.
func RatedInput(rated quantity.Watts, efficiency quantity.Ratio) (quantity.Watts, bool) {
	if efficiency <= 0 || efficiency > 1 {
		return 0, false
	}
	return rated / quantity.Watts(efficiency), true
}

// RatedInputF is RatedInput as a formula.
var RatedInputF = working.Def2("rated input of a motor", "P_ir = P_r / eta", doeMotor, "P_r", "eta", or2(RatedInput))

// MotorLoad is a motor's load as a share of its rating, from the power it takes
// and its rated input. It is false for a rated input of nothing.
func MotorLoad(p, rated quantity.Watts) (quantity.Ratio, bool) {
	if rated <= 0 {
		return 0, false
	}
	return quantity.Ratio(p / rated), true
}

// MotorLoadF is MotorLoad as a formula.
var MotorLoadF = working.Def2("motor load from input power", "x = P_i / P_ir", doeMotor, "P_i", "P_ir", or2(MotorLoad))

// MotorLoadFromSlip is a motor's load from its synchronous, measured and rated
// speeds. Nameplates may be off by a fifth of the slip, so that it is a rough
// figure. It is false when the rated speed is not below the synchronous one.
func MotorLoadFromSlip(synchronous, measured, rated PerMin) (quantity.Ratio, bool) {
	if rated >= synchronous {
		return 0, false
	}
	return quantity.Ratio((synchronous - measured) / (synchronous - rated)), true
}

// MotorLoadFromSlipF is MotorLoadFromSlip as a formula.
var MotorLoadFromSlipF = working.Def3("motor load from slip", "x = (n_s - n) / (n_s - n_r)", doeMotor, "n_s", "n", "n_r", or3(MotorLoadFromSlip))

// MotorLoadFromSlipAtVoltage is a motor's load from the one that its slip gives
// and the voltage at its terminals against that of its plate: at a lower voltage
// it slips more under the same load, by the square (the slip over
// (n_s - n_r) * (U_r / U)^2, written apart). It is false for a plate without
// voltage.
func MotorLoadFromSlipAtVoltage(x quantity.Ratio, u, uRated quantity.VoltsLL) (quantity.Ratio, bool) {
	if uRated <= 0 {
		return 0, false
	}
	k := quantity.Ratio(u / uRated)
	return x * k * k, true
}

// MotorLoadFromSlipAtVoltageF is MotorLoadFromSlipAtVoltage as a formula.
var MotorLoadFromSlipAtVoltageF = working.Def3("motor load from slip, at another voltage", "x = x_0 * (U / U_r)^2", doeMotor, "x_0", "U", "U_r", or3(MotorLoadFromSlipAtVoltage))

// SynchronousSpeed is the speed of the field of a machine, in 1/min, from the
// frequency and its number of poles: one turn takes a period for each pair of
// poles. It is false without poles or frequency.
func SynchronousSpeed(f quantity.Hertz, poles quantity.Ratio) (PerMin, bool) {
	if f <= 0 || poles <= 0 {
		return 0, false
	}
	return PerMin(120 * float64(f) / float64(poles)), true
}

// SynchronousSpeedF is SynchronousSpeed as a formula.
var SynchronousSpeedF = working.Def2("synchronous speed", "n_s = 120 * f / p", "definition: a turn takes one period for each pair of poles", "f", "p", or2(SynchronousSpeed))

// FullLoadSpeedAt is the full-load speed of a plate, in 1/min, at a frequency near
// that of the plate, the slip staying the same share of the synchronous speed.
// It is false for a plate without frequency.
func FullLoadSpeedAt(rated PerMin, f, fRated quantity.Hertz) (PerMin, bool) {
	if fRated <= 0 {
		return 0, false
	}
	return rated * PerMin(f/fRated), true
}

// FullLoadSpeedAtF is FullLoadSpeedAt as a formula.
var FullLoadSpeedAtF = working.Def3("full-load speed at another frequency", "n_r = n_p * f / f_n", "the slip staying the same share of the synchronous speed, near the plate's frequency", "n_p", "f", "f_n", or3(FullLoadSpeedAt))

// MotorLoadFromCurrentAlone is a motor's load from its current where no voltage
// was read, which is as much as to say that it is that of the plate; poor below
// half load, like MotorLoadFromCurrent. It is false for a plate without current.
func MotorLoadFromCurrentAlone(i, iRated quantity.Amperes) (quantity.Ratio, bool) {
	if iRated <= 0 {
		return 0, false
	}
	return quantity.Ratio(i / iRated), true
}

// MotorLoadFromCurrentAloneF is MotorLoadFromCurrentAlone as a formula.
var MotorLoadFromCurrentAloneF = working.Def2("motor load from current alone", "x = I / I_r", doeMotor, "I", "I_r", or2(MotorLoadFromCurrentAlone))

// MotorLoadFromCurrent is a motor's load from its current and voltage against
// those of its plate; poor below half load, where the magnetising current rules.
// It is false for a plate without current or voltage.
func MotorLoadFromCurrent(i, iRated quantity.Amperes, u, uRated quantity.VoltsLL) (quantity.Ratio, bool) {
	if iRated <= 0 || uRated <= 0 {
		return 0, false
	}
	return quantity.Ratio(i/iRated) * quantity.Ratio(u/uRated), true
}

// MotorLoadFromCurrentF is MotorLoadFromCurrent as a formula.
var MotorLoadFromCurrentF = working.Def4("motor load from current", "x = I / I_r * U / U_r", doeMotor, "I", "I_r", "U", "U_r", or4(MotorLoadFromCurrent))

// ShaftPower is the power at a motor's shaft from the power it takes and its
// efficiency at that load: W.
func ShaftPower(p quantity.Watts, efficiency quantity.Ratio) quantity.Watts {
	return p * quantity.Watts(efficiency)
}

// ShaftPowerF is ShaftPower as a formula.
var ShaftPowerF = working.Def2("shaft power", "P_o = P_i * eta", "definition", "P_i", "eta", ShaftPower)

// Efficiency is the power given over the power taken. It is false when none is
// taken.
func Efficiency(out, in quantity.Watts) (quantity.Ratio, bool) {
	if in <= 0 {
		return 0, false
	}
	return quantity.Ratio(out / in), true
}

// EfficiencyF is Efficiency as a formula.
var EfficiencyF = working.Def2("efficiency", "eta = P_o / P_i", "definition", "P_o", "P_i", or2(Efficiency))

// AffinityPower is the shaft power of a fan or pump at a share of its full speed,
// the system being friction alone; with a static head or a held pressure the
// power falls less than the cube says: W.
func AffinityPower(full quantity.Watts, speed quantity.Ratio) quantity.Watts {
	return full * quantity.Watts(speed*speed*speed)
}

// AffinityPowerF is AffinityPower as a formula.
var AffinityPowerF = working.Def2("affinity law of power", "P = P_f * s^3", "affinity laws, no static head", "P_f", "s", AffinityPower)

// EfficiencySaving is the energy that a better efficiency saves at equal output,
// from the energy taken now and both efficiencies: Wh, negative for a worse one.
// It is false for an efficiency of nothing.
func EfficiencySaving(e quantity.WattHours, old, better quantity.Ratio) (quantity.WattHours, bool) {
	if !(old > 0 && better > 0) {
		return 0, false
	}
	return e * quantity.WattHours(1-old/better), true
}

// EfficiencySavingF is EfficiencySaving as a formula.
var EfficiencySavingF = working.Def3("energy saved by a better efficiency", "dE = E * (1 - eta_1 / eta_2)", "US DOE, DOE/CE-0384 (1993), at equal output (from memory)", "E", "eta_1", "eta_2", or3(EfficiencySaving))
