package power

import (
	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// A reading behind instrument transformers is multiplied by their ratios once:
// in the meter, where they are set there, or here, where the meter was read at
// its own terminals. Whether it is the one or the other belongs beside the
// reading; multiplied twice, every figure is wrong by the ratio.

const instrumentTransformer = "rated transformation ratio; IEC 61869-1 (from memory)"

// TransformerRatio is the ratio of an instrument transformer from its rated
// primary and secondary values, in one unit: 400 A to 5 A is 80. It is false
// unless both are above nothing.
func TransformerRatio[Q ~float64](primary, secondary Q) (quantity.Ratio, bool) {
	if !(primary > 0 && secondary > 0) {
		return 0, false
	}
	return quantity.Ratio(primary / secondary), true
}

// Primary is a value on the primary side from one on the secondary side.
func Primary[Q ~float64](secondary Q, ratio quantity.Ratio) Q { return secondary * Q(ratio) }

// PrimaryPower is a power on the primary side from one measured behind voltage
// and current transformers; a ratio of 1 stands for none.
func PrimaryPower[Q quantity.Watts | quantity.Vars | quantity.VoltAmperes](secondary Q, vt, ct quantity.Ratio) Q {
	return secondary * Q(vt) * Q(ct)
}

// Instrument transformers as formulas.
var (
	CurrentRatioF    = working.Def2("ratio of a current transformer", "k_I = I_1 / I_2", instrumentTransformer, "I_1", "I_2", or2(TransformerRatio[quantity.Amperes]))
	VoltageRatioF    = working.Def2("ratio of a voltage transformer", "k_U = U_1 / U_2", instrumentTransformer, "U_1", "U_2", or2(TransformerRatio[quantity.VoltsLL]))
	PrimaryCurrentF  = working.Def2("primary current", "I_1 = I_2 * k_I", instrumentTransformer, "I_2", "k_I", Primary[quantity.Amperes])
	PrimaryVoltsLLF  = working.Def2("primary line-to-line voltage", "U_1 = U_2 * k_U", instrumentTransformer, "U_2", "k_U", Primary[quantity.VoltsLL])
	PrimaryVoltsLNF  = working.Def2("primary line-to-neutral voltage", "V_1 = V_2 * k_U", instrumentTransformer, "V_2", "k_U", Primary[quantity.VoltsLN])
	PrimaryActiveF   = working.Def3("primary active power", "P_1 = P_2 * k_U * k_I", instrumentTransformer, "P_2", "k_U", "k_I", PrimaryPower[quantity.Watts])
	PrimaryReactiveF = working.Def3("primary reactive power", "Q_1 = Q_2 * k_U * k_I", instrumentTransformer, "Q_2", "k_U", "k_I", PrimaryPower[quantity.Vars])
	PrimaryApparentF = working.Def3("primary apparent power", "S_1 = S_2 * k_U * k_I", instrumentTransformer, "S_2", "k_U", "k_I", PrimaryPower[quantity.VoltAmperes])
)
