package power

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

const infiniteBus = "network without impedance upstream: an upper bound, motors not counted"

// ShortCircuitPower is the short-circuit power behind a transformer, from its
// rated power and its impedance as a share (4 % is 0.04), the network upstream
// without impedance: VA. It is false for an impedance of nothing.
func ShortCircuitPower(s quantity.VoltAmperes, z quantity.Ratio) (quantity.VoltAmperes, bool) {
	if z <= 0 {
		return 0, false
	}
	return s / quantity.VoltAmperes(z), true
}

// ShortCircuitPowerF is ShortCircuitPower as a formula.
var ShortCircuitPowerF = working.Def2("short-circuit power of a transformer", "S_sc = S / z", infiniteBus, "S", "z", or2(ShortCircuitPower))

// ShortCircuitCurrent is the three-phase short-circuit current behind a
// transformer, from its full-load current and its impedance as a share: A. It is
// false for an impedance of nothing.
func ShortCircuitCurrent(full quantity.Amperes, z quantity.Ratio) (quantity.Amperes, bool) {
	if z <= 0 {
		return 0, false
	}
	return full / quantity.Amperes(z), true
}

// ShortCircuitCurrentF is ShortCircuitCurrent as a formula.
var ShortCircuitCurrentF = working.Def2("short-circuit current of a transformer", "I_sc = I_FL / z", infiniteBus, "I_FL", "z", or2(ShortCircuitCurrent))

// FullLoadCurrent is the rated current of a three-phase transformer, from its
// rated power and line-to-line voltage: A. It is false for a voltage of nothing.
func FullLoadCurrent(s quantity.VoltAmperes, u quantity.VoltsLL) (quantity.Amperes, bool) {
	return BalancedCurrent(s, u)
}

// FullLoadCurrentF is FullLoadCurrent as a formula.
var FullLoadCurrentF = working.Def2("full-load current of a transformer", "I_FL = S / (sqrt(3) * U)", "rating of a three-phase transformer", "S", "U", or2(FullLoadCurrent))

// ShortCircuitSeries is the short-circuit power behind two impedances in series,
// such as network and transformer, from that of each: VA. Their angles are taken
// as alike, which makes the result a little too small. It is false unless both
// are above nothing.
func ShortCircuitSeries(s1, s2 quantity.VoltAmperes) (quantity.VoltAmperes, bool) {
	if s1 <= 0 || s2 <= 0 {
		return 0, false
	}
	return 1 / (1/s1 + 1/s2), true
}

// ShortCircuitSeriesF is ShortCircuitSeries as a formula.
var ShortCircuitSeriesF = working.Def2("short-circuit power in series", "S_sc = 1 / (1 / S_1 + 1 / S_2)", "impedances in series, angles alike", "S_1", "S_2", or2(ShortCircuitSeries))

// CurrentOfShortCircuit is the three-phase short-circuit current from the
// short-circuit power and the line-to-line voltage: A. It is false for a voltage
// of nothing.
func CurrentOfShortCircuit(s quantity.VoltAmperes, u quantity.VoltsLL) (quantity.Amperes, bool) {
	return BalancedCurrent(s, u)
}

// CurrentOfShortCircuitF is CurrentOfShortCircuit as a formula.
var CurrentOfShortCircuitF = working.Def2("short-circuit current", "I_sc = S_sc / (sqrt(3) * U)", "IEC 60909 form without its voltage factor", "S_sc", "U", or2(CurrentOfShortCircuit))

// ShortCircuitRatio is Isc/IL, by which IEEE 519 sets its current limits, from the
// short-circuit current at the point of common coupling and the maximum demand
// load current. It is false for a load current of nothing.
// IEEE Std 519-2022, 3 (from memory).
func ShortCircuitRatio(isc, iL quantity.Amperes) (quantity.Ratio, bool) {
	if iL <= 0 {
		return 0, false
	}
	return quantity.Ratio(isc / iL), true
}

// ShortCircuitRatioF is ShortCircuitRatio as a formula.
var ShortCircuitRatioF = working.Def2("short-circuit ratio", "r_sc = I_sc / I_L", "IEEE 519-2022, 3 (clause from memory)", "I_sc", "I_L", or2(ShortCircuitRatio))

// TransformerLoss is the loss of a transformer at a loading of its rated power
// (1 is full load), from its no-load loss and its load loss at full load: W.
func TransformerLoss(x quantity.Ratio, p0, pk quantity.Watts) quantity.Watts {
	return p0 + quantity.Watts(square(x))*pk
}

// TransformerLossF is TransformerLoss as a formula.
var TransformerLossF = working.Def3("transformer loss", "P_l = P_0 + x^2 * P_k", "no-load loss and load loss; IEC 60076-1 (from memory)", "x", "P_0", "P_k", TransformerLoss)

// BestLoading is the loading of a transformer at which its efficiency is highest.
// It is false for a load loss of nothing.
func BestLoading(p0, pk quantity.Watts) (quantity.Ratio, bool) {
	if p0 < 0 || pk <= 0 {
		return 0, false
	}
	return quantity.Ratio(math.Sqrt(float64(p0 / pk))), true
}

// BestLoadingF is BestLoading as a formula.
var BestLoadingF = working.Def2("best loading of a transformer", "x = sqrt(P_0 / P_k)", "equal no-load and load loss", "P_0", "P_k", or2(BestLoading))

// EfficiencyFromLoss is the efficiency from the power delivered and the loss. It
// is false when there is neither.
func EfficiencyFromLoss(p, loss quantity.Watts) (quantity.Ratio, bool) {
	if p < 0 || loss < 0 || p+loss == 0 {
		return 0, false
	}
	return quantity.Ratio(p / (p + loss)), true
}

// EfficiencyFromLossF is EfficiencyFromLoss as a formula.
var EfficiencyFromLossF = working.Def2("efficiency from loss", "eta = P / (P + P_l)", "definition", "P", "P_l", or2(EfficiencyFromLoss))
