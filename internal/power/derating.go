package power

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// DeratedMotor is the shaft power that a motor may give under unbalanced
// voltages, from its rated power and the derating factor of NEMA MG 1 (the curve
// is data of package limits): W. It is false for a factor outside 0 to 1.
func DeratedMotor(rated quantity.Watts, factor quantity.Ratio) (quantity.Watts, bool) {
	if !(factor >= 0 && factor <= 1) {
		return 0, false
	}
	return rated * quantity.Watts(factor), true
}

// UnbalanceHeating is the rise of a motor's winding temperature over that of
// balanced voltages, as a share of it, from the NEMA unbalance: twice the square
// of the unbalance, both in percent. A rule of thumb for a few percent of
// unbalance, from memory. It is false for a negative unbalance.
func UnbalanceHeating(u quantity.Ratio) (quantity.Ratio, bool) {
	if !(u >= 0) {
		return 0, false
	}
	return quantity.Ratio(200 * square(u)), true
}

// UnbalanceGain is how many times the voltage unbalance the current unbalance of
// a motor is, both by the same measure. A motor alone shows about 6 to 10 (from
// memory); far less tells of other loads beside it, far more of a fault in it.
// It is false for a voltage unbalance of nothing.
func UnbalanceGain(current, voltage quantity.Ratio) (quantity.Ratio, bool) {
	return ShareOf(current, voltage)
}

// DeratedTransformer is the apparent power that a transformer can carry of a
// distorted load, from its rating and either the capability of IEEE C57.110
// (HarmonicCapability) or 1/K of the European factor (FactorKShare): VA. The two
// rest on different losses and do not give the same figure; name the one used.
// It is false for a share outside 0 to 1.
func DeratedTransformer(rated quantity.VoltAmperes, share quantity.Ratio) (quantity.VoltAmperes, bool) {
	if !(share >= 0 && share <= 1) {
		return 0, false
	}
	return rated * quantity.VoltAmperes(share), true
}

// FactorKShare is the share of its rating that a transformer carries under the
// European factor K. It is false for a factor below 1.
func FactorKShare(k quantity.Ratio) (quantity.Ratio, bool) {
	if !(k >= 1) {
		return 0, false
	}
	return 1 / k, true
}

// Derating as formulas.
var (
	DeratedMotorF       = working.Def2("derated motor", "P_d = P_r * f", "NEMA MG 1, 14.36 and 20.24 (clauses from memory)", "P_r", "f", or2(DeratedMotor))
	UnbalanceHeatingF   = working.Def1("heating by unbalance", "r = 200 * u^2", "rule of thumb: percent of temperature rise is twice the square of percent of unbalance (from memory)", "u", or1(UnbalanceHeating))
	UnbalanceGainF      = working.Def2("current unbalance over voltage unbalance", "g = u_I / u_U", "definition", "u_I", "u_U", or2(UnbalanceGain))
	DeratedTransformerF = working.Def2("derated transformer", "S_d = S_r * f", "IEEE C57.110-2018, or HD 538 and EN 50464-3 (from memory)", "S_r", "f", or2(DeratedTransformer))
	FactorKShareF       = working.Def1("transformer rating under factor K", "f = 1 / K", "HD 538 and EN 50464-3 (from memory)", "K", or1(FactorKShare))
)

// TotalHarmonicCurrent is THC/I_ref of IEC 61000-3-12, from the currents of orders
// 2, 3, 4 and so on as shares of the reference current: those to order 40 count.
// IEC 61000-3-12:2011, 3.1 (from memory).
func TotalHarmonicCurrent(from2 []quantity.Ratio) quantity.Ratio {
	return THD(upTo40(from2))
}

// PartialWeighted is PWHC/I_ref of IEC 61000-3-12 from the same series: the
// orders 14 to 40, the square of each weighted by its order.
// IEC 61000-3-12:2011, 3.2 (from memory).
func PartialWeighted(from2 []quantity.Ratio) quantity.Ratio {
	var s float64
	for i, o := range upTo40(from2) {
		if h := i + 2; h >= 14 {
			s += float64(h) * square(o)
		}
	}
	return quantity.Ratio(math.Sqrt(s))
}

func upTo40(from2 []quantity.Ratio) []quantity.Ratio { return from2[:min(len(from2), 39)] }
