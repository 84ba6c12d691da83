package power

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

const capacitorSource = "fundamental reactive power; IEEE 1459-2010, 3.1.1 (clause from memory)"

// CapacitorFor is the reactive power of capacitors that raises a lagging power
// factor to a target: var, negative when the target is the lower one. The power
// and power factors are those of the fundamental: capacitors do not mend
// distortion. It is false for power factors outside 0 (excluded) to 1 and for
// power given back.
func CapacitorFor(p quantity.Watts, from, to quantity.Ratio) (quantity.Vars, bool) {
	q1, ok1 := ReactiveFromPowerFactor(p, from)
	q2, ok2 := ReactiveFromPowerFactor(p, to)
	return q1 - q2, ok1 && ok2
}

// CapacitorForF is CapacitorFor as a formula.
var CapacitorForF = working.Def3("capacitor for a power factor", "Q_c = P * (tan(acos(pf_1)) - tan(acos(pf_2)))",
	capacitorSource, "P", "pf_1", "pf_2", or3(CapacitorFor))

// CapacitorForReactive is the same from the reactive power before: var. False as
// CapacitorFor.
func CapacitorForReactive(p quantity.Watts, q quantity.Vars, to quantity.Ratio) (quantity.Vars, bool) {
	q2, ok := ReactiveFromPowerFactor(p, to)
	return q - q2, ok
}

// CapacitorForReactiveF is CapacitorForReactive as a formula.
var CapacitorForReactiveF = working.Def3("capacitor for a power factor from reactive power", "Q_c = Q - P * tan(acos(pf_2))",
	capacitorSource, "P", "Q", "pf_2", or3(CapacitorForReactive))

// DeltaCapacitance is the capacitance of each of three capacitors in delta, from
// the reactive power of all, the frequency and the line-to-line voltage: F. It is
// false without frequency or voltage.
func DeltaCapacitance(q quantity.Vars, f quantity.Hertz, u quantity.VoltsLL) (Farads, bool) {
	c, ok := Capacitance(q, f, u)
	return c / 3, ok
}

// DeltaCapacitanceF is DeltaCapacitance as a formula.
var DeltaCapacitanceF = working.Def3("capacitance in delta", "C = Q_c / (3 * 2 * pi * f * U^2)", "definition of capacitance", "Q_c", "f", "U", or3(DeltaCapacitance))

// Capacitance is the capacitance between two lines that gives a reactive power,
// and that of each of three capacitors in star giving it together: F. It is
// false without frequency or voltage.
func Capacitance(q quantity.Vars, f quantity.Hertz, u quantity.VoltsLL) (Farads, bool) {
	if f <= 0 || u <= 0 {
		return 0, false
	}
	return Farads(float64(q) / (2 * math.Pi * float64(f) * square(u))), true
}

// CapacitanceF is Capacitance as a formula.
var CapacitanceF = working.Def3("capacitance in star or between lines", "C = Q_c / (2 * pi * f * U^2)", "definition of capacitance", "Q_c", "f", "U", or3(Capacitance))

// CapacitorAtVoltage is the reactive power that capacitors rated for one voltage
// give at another: var. It is false for a rated voltage of nothing.
func CapacitorAtVoltage(rated quantity.Vars, u, uRated quantity.VoltsLL) (quantity.Vars, bool) {
	if uRated <= 0 {
		return 0, false
	}
	return rated * quantity.Vars(square(u)/square(uRated)), true
}

// CapacitorAtVoltageF is CapacitorAtVoltage as a formula.
var CapacitorAtVoltageF = working.Def3("capacitor at another voltage", "Q = Q_n * (U / U_n)^2", "definition of capacitance", "Q_n", "U", "U_n", or3(CapacitorAtVoltage))

// CapacitorAtFrequency is the reactive power that capacitors rated for one
// frequency give at another: var. It is false for a rated frequency of nothing.
func CapacitorAtFrequency(rated quantity.Vars, f, fRated quantity.Hertz) (quantity.Vars, bool) {
	if fRated <= 0 {
		return 0, false
	}
	return rated * quantity.Vars(f/fRated), true
}

// CapacitorAtFrequencyF is CapacitorAtFrequency as a formula.
var CapacitorAtFrequencyF = working.Def3("capacitor at another frequency", "Q = Q_n * f / f_n", "definition of capacitance", "Q_n", "f", "f_n", or3(CapacitorAtFrequency))

// ReleasedApparent is the apparent power that a better power factor frees: VA.
// It is false unless both power factors are above nothing.
func ReleasedApparent(p quantity.Watts, from, to quantity.Ratio) (quantity.VoltAmperes, bool) {
	if from <= 0 || to <= 0 {
		return 0, false
	}
	return quantity.VoltAmperes(float64(p)/float64(from) - float64(p)/float64(to)), true
}

// ReleasedApparentF is ReleasedApparent as a formula.
var ReleasedApparentF = working.Def3("apparent power freed", "S_f = P / pf_1 - P / pf_2", capacitorSource, "P", "pf_1", "pf_2", or3(ReleasedApparent))

// LossReduction is the share of the I²R loss that a better power factor saves in
// the conductors upstream of the capacitors, at equal power and voltage. It is a
// share of that loss alone, itself a few percent of a site's energy, and never
// of the site's energy. It is false unless the target is above nothing.
func LossReduction(from, to quantity.Ratio) (quantity.Ratio, bool) {
	if from <= 0 || to <= 0 {
		return 0, false
	}
	return 1 - quantity.Ratio(square(from)/square(to)), true
}

// LossReductionF is LossReduction as a formula.
var LossReductionF = working.Def2("conductor loss saved", "r = 1 - (pf_1 / pf_2)^2", "Joule's law at equal power and voltage", "pf_1", "pf_2", or2(LossReduction))

// ResonanceOrder is the harmonic order at which capacitors and the network
// resonate in parallel, from the short-circuit power at their bus and the
// reactive power of the capacitors in service: each step of a bank has its own.
// Within about 0.5 of an order that is present it is a hazard (from memory). It
// is false without capacitors.
func ResonanceOrder(sc quantity.VoltAmperes, qc quantity.Vars) (quantity.Ratio, bool) {
	if qc <= 0 || sc < 0 {
		return 0, false
	}
	return root[quantity.Ratio](float64(sc) / float64(qc))
}

// ResonanceOrderF is ResonanceOrder as a formula.
var ResonanceOrderF = working.Def2("parallel resonance order", "h_r = sqrt(S_sc / Q_c)",
	"resonance of network inductance and capacitance; public engineering notes", "S_sc", "Q_c", or2(ResonanceOrder))

// TuningFrequency is the frequency to which a reactor of p = X_L/X_C (0 excluded
// to 1) tunes its capacitor: Hz.
func TuningFrequency(f quantity.Hertz, p quantity.Ratio) (quantity.Hertz, bool) {
	if p <= 0 {
		return 0, false
	}
	return f / quantity.Hertz(math.Sqrt(float64(p))), true
}

// TuningFrequencyF is TuningFrequency as a formula.
var TuningFrequencyF = working.Def2("tuning frequency of a detuned capacitor", "f_t = f / sqrt(p)", "series resonance", "f", "p", or2(TuningFrequency))

// DetunedVoltage is the voltage across a capacitor behind a reactor of
// p = X_L/X_C (below 1): V. The capacitor must be rated for it.
func DetunedVoltage(u quantity.VoltsLL, p quantity.Ratio) (quantity.VoltsLL, bool) {
	if p < 0 || p >= 1 {
		return 0, false
	}
	return u / quantity.VoltsLL(1-p), true
}

// DetunedVoltageF is DetunedVoltage as a formula.
var DetunedVoltageF = working.Def2("voltage across a detuned capacitor", "U_C = U / (1 - p)", "voltage division of reactor and capacitor", "U", "p", or2(DetunedVoltage))

// DetunedReactive is the reactive power of a capacitor with its reactor, from
// that of the capacitor alone at the network's voltage: var.
func DetunedReactive(q quantity.Vars, p quantity.Ratio) (quantity.Vars, bool) {
	if p < 0 || p >= 1 {
		return 0, false
	}
	return q / quantity.Vars(1-p), true
}

// DetunedReactiveF is DetunedReactive as a formula.
var DetunedReactiveF = working.Def2("reactive power of a detuned capacitor", "Q = Q_c / (1 - p)", "voltage division of reactor and capacitor", "Q_c", "p", or2(DetunedReactive))

// BankResonance is the order at which a bank behind detuning reactors resonates in
// parallel with the supply, from the supply's short-circuit power, the reactive
// power of the capacitors alone and the reactors' reactance as a share of the
// capacitors' (0 for none, which gives ResonanceOrder). It is false without a
// bank or a supply.
func BankResonance(sc quantity.VoltAmperes, qc quantity.Vars, p quantity.Ratio) (quantity.Ratio, bool) {
	if !(sc > 0 && qc > 0 && p >= 0) {
		return 0, false
	}
	return quantity.Ratio(1 / math.Sqrt(float64(qc)/float64(sc)+float64(p))), true
}

// BankResonanceF is BankResonance as a formula.
var BankResonanceF = working.Def3("parallel resonance order of a bank with reactors", "h_r = 1 / sqrt(Q_c / S_sc + p)",
	"reactance of supply and reactor in series against that of the capacitors; IEC 61642 (from memory)", "S_sc", "Q_c", "p", or3(BankResonance))

// TuningOrder is the order that a detuned bank is tuned to: above it the bank is a
// reactor, and cannot resonate with the supply. It is false without a reactor.
func TuningOrder(p quantity.Ratio) (quantity.Ratio, bool) {
	if !(p > 0) {
		return 0, false
	}
	return quantity.Ratio(1 / math.Sqrt(float64(p))), true
}

// TuningOrderF is TuningOrder as a formula.
var TuningOrderF = working.Def1("tuning order of a detuned bank", "h_t = 1 / sqrt(p)", "series resonance", "p", or1(TuningOrder))

// BankCurrent is the current of a bank at its rated voltage: A.
func BankCurrent(q quantity.Vars, u quantity.VoltsLL) (quantity.Amperes, bool) {
	return BalancedCurrent(quantity.VoltAmperes(q), u)
}

// BankCurrentF is BankCurrent as a formula.
var BankCurrentF = working.Def2("rated current of a bank", "I_n = Q_n / (sqrt(3) * U_n)", "rating of a three-phase bank", "Q_n", "U_n", or2(BankCurrent))

// VoltageShareF is a voltage as a share of another.
var VoltageShareF = working.Def2("share of a voltage", "s = U / U_b", "definition", "U", "U_b", or2(ShareOf[quantity.VoltsLL]))
