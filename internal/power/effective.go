package power

import (
	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// The resolution of the effective apparent power S_e into fundamental and
// non-fundamental parts. V_e1 and I_e1 are made as V_e and I_e are, of the
// fundamentals of the phases; what is left of V_e and I_e is V_eH and I_eH.

// NonFundamentalPart is what is left of an rms value, or of an effective value,
// beside its fundamental, in the unit of both: all harmonics, interharmonics and
// direct current. It is false when the fundamental exceeds the whole.
// IEEE Std 1459-2010, 3.1.2 and 3.2.3 (from memory).
func NonFundamentalPart[Q ~float64](whole, fundamental Q) (Q, bool) {
	return root[Q](square(whole) - square(fundamental))
}

// EffectiveNonFundamental is the non-fundamental effective apparent power S_eN:
// VA. It is false when S_e1 exceeds S_e. IEEE Std 1459-2010, 3.2.3 (from memory).
func EffectiveNonFundamental(se, se1 quantity.VoltAmperes) (quantity.VoltAmperes, bool) {
	return root[quantity.VoltAmperes](square(se) - square(se1))
}

// EffectiveCurrentDistortion is the power D_eI of the effective fundamental
// voltage and the effective harmonic current: var. IEEE Std 1459-2010, 3.2.3
// (from memory).
func EffectiveCurrentDistortion(v1 quantity.VoltsLN, iH quantity.Amperes) quantity.Vars {
	return quantity.Vars(3 * float64(v1) * float64(iH))
}

// EffectiveVoltageDistortion is the power D_eV of the effective harmonic voltage
// and the effective fundamental current: var. IEEE Std 1459-2010, 3.2.3 (from
// memory).
func EffectiveVoltageDistortion(vH quantity.VoltsLN, i1 quantity.Amperes) quantity.Vars {
	return quantity.Vars(3 * float64(vH) * float64(i1))
}

// EffectiveHarmonic is the effective apparent power S_eH of harmonic voltage and
// harmonic current: VA. IEEE Std 1459-2010, 3.2.3 (from memory).
func EffectiveHarmonic(vH quantity.VoltsLN, iH quantity.Amperes) quantity.VoltAmperes {
	return EffectiveApparent(vH, iH)
}

// PositiveApparent is the fundamental positive-sequence apparent power S_1+, from
// the positive-sequence fundamentals of phase voltage and current: VA. It is what
// a balanced load without distortion would take. IEEE Std 1459-2010, 3.2.2 (from
// memory).
func PositiveApparent(v quantity.VoltsLN, i quantity.Amperes) quantity.VoltAmperes {
	return EffectiveApparent(v, i)
}

// UnbalancePower is the power S_U1 that the unbalance of load and voltage at the
// fundamental costs: VA. It is false when S_1+ exceeds S_e1, which no true set of
// readings shows. IEEE Std 1459-2010, 3.2.2 (from memory).
func UnbalancePower(se1, sPlus quantity.VoltAmperes) (quantity.VoltAmperes, bool) {
	return root[quantity.VoltAmperes](square(se1) - square(sPlus))
}

// The parts of the effective apparent power as formulas.
var (
	EffectiveHarmonicVoltageF = working.Def2("effective harmonic voltage", "V_eH = sqrt(V_e^2 - V_e1^2)", ieeeThreeH, "V_e", "V_e1", or2(NonFundamentalPart[quantity.VoltsLN]))
	EffectiveHarmonicCurrentF = working.Def2("effective harmonic current", "I_eH = sqrt(I_e^2 - I_e1^2)", ieeeThreeH, "I_e", "I_e1", or2(NonFundamentalPart[quantity.Amperes]))

	EffectiveFundamentalF        = working.Def2("effective fundamental apparent power", "S_e1 = 3 * V_e1 * I_e1", ieeeThreeH, "V_e1", "I_e1", EffectiveApparent)
	EffectiveNonFundamentalF     = working.Def2("effective non-fundamental apparent power", "S_eN = sqrt(S_e^2 - S_e1^2)", ieeeThreeH, "S_e", "S_e1", or2(EffectiveNonFundamental))
	EffectiveCurrentDistortionF  = working.Def2("effective current distortion power", "D_eI = 3 * V_e1 * I_eH", ieeeThreeH, "V_e1", "I_eH", EffectiveCurrentDistortion)
	EffectiveVoltageDistortionF  = working.Def2("effective voltage distortion power", "D_eV = 3 * V_eH * I_e1", ieeeThreeH, "V_eH", "I_e1", EffectiveVoltageDistortion)
	EffectiveHarmonicF           = working.Def2("effective harmonic apparent power", "S_eH = 3 * V_eH * I_eH", ieeeThreeH, "V_eH", "I_eH", EffectiveHarmonic)
	PositiveApparentF            = working.Def2("positive-sequence apparent power", "S_p = 3 * V_p * I_p", ieeeThree, "V_p", "I_p", PositiveApparent)
	PositiveActiveF              = working.Def2("positive-sequence active power", "P_p = S_p * cos(phi)", ieeeThree, "S_p", "phi", ActiveFromAngle)
	PositiveReactiveF            = working.Def2("positive-sequence reactive power", "Q_p = S_p * sin(phi)", ieeeThree, "S_p", "phi", ReactiveFromAngle)
	PositivePowerFactorF         = working.Def2("positive-sequence power factor", "pf_p = P_p / S_p", ieeeThree, "P_p", "S_p", or2(PowerFactor))
	UnbalancePowerF              = working.Def2("unbalance power", "S_U = sqrt(S_e1^2 - S_p^2)", ieeeThree, "S_e1", "S_p", or2(UnbalancePower))
	NonFundamentalCurrentF       = working.Def2("non-fundamental current", "I_H = sqrt(I^2 - I_1^2)", ieeeOne, "I", "I_1", or2(NonFundamentalPart[quantity.Amperes]))
	NonFundamentalVoltageF       = working.Def2("non-fundamental voltage", "V_H = sqrt(V^2 - V_1^2)", ieeeOne, "V", "V_1", or2(NonFundamentalPart[quantity.VoltsLN]))
	HarmonicActiveF              = working.Def2("harmonic active power", "P_H = P - P_1", ieeeOne, "P", "P_1", HarmonicActive)
	EffectiveVoltageDistortionDF = working.Def2("effective distortion of voltage", "d_eU = V_eH / V_e1", ieeeThreeH, "V_eH", "V_e1", or2(ShareOf[quantity.VoltsLN]))
	EffectiveCurrentDistortionDF = working.Def2("effective distortion of current", "d_eI = I_eH / I_e1", ieeeThreeH, "I_eH", "I_e1", or2(ShareOf[quantity.Amperes]))
)

const ieeeThreeH = "IEEE 1459-2010, 3.2.3 (clause from memory)"

// HarmonicActive is the active power that does not flow at the fundamental: W.
// It is negative where a load gives harmonic power back to the network, as
// rectifiers do. IEEE Std 1459-2010, 3.1.2 (from memory).
func HarmonicActive(p, p1 quantity.Watts) quantity.Watts { return p - p1 }

// ShareOf is a part as a share of a base of the same unit, such as an order as a
// share of the fundamental. It is false for a base of nothing.
func ShareOf[Q ~float64](part, base Q) (quantity.Ratio, bool) {
	if !(base > 0) {
		return 0, false
	}
	return quantity.Ratio(part / base), true
}

// Set is what the resolution of a three-phase system starts from: the effective
// voltage and current, both of the whole waves and of their fundamentals, the
// positive-sequence fundamentals with the angle by which its current lags, and
// the active power.
type Set struct {
	Voltage, Voltage1 quantity.VoltsLN
	Current, Current1 quantity.Amperes
	PositiveVoltage   quantity.VoltsLN
	PositiveCurrent   quantity.Amperes
	PositiveAngle     quantity.Degrees
	Active            quantity.Watts
}

// Effective is the resolution of the effective apparent power.
// IEEE Std 1459-2010, 3.2.2 and 3.2.3 (from memory).
type Effective struct {
	Apparent          quantity.VoltAmperes // S_e
	Fundamental       quantity.VoltAmperes // S_e1
	NonFundamental    quantity.VoltAmperes // S_eN
	CurrentDistortion quantity.Vars        // D_eI
	VoltageDistortion quantity.Vars        // D_eV
	Harmonic          quantity.VoltAmperes // S_eH
	Positive          quantity.VoltAmperes // S_1+
	PositiveActive    quantity.Watts       // P_1+
	PositiveReactive  quantity.Vars        // Q_1+, lagging positive
	Unbalance         quantity.VoltAmperes // S_U1
	PowerFactor       quantity.Ratio       // P over S_e
	PositiveFactor    quantity.Ratio       // P_1+ over S_1+, with the sign of P_1+
}

// Resolve works the resolution out. It is false when a fundamental exceeds its
// whole, when the positive sequence exceeds the effective fundamental, or when
// there is no power at all. Differences within the rounding of the arithmetic
// count as none.
func (s Set) Resolve() (Effective, bool) {
	vH, ok1 := rest(s.Voltage, s.Voltage1)
	iH, ok2 := rest(s.Current, s.Current1)
	e := Effective{
		Apparent:          EffectiveApparent(s.Voltage, s.Current),
		Fundamental:       EffectiveApparent(s.Voltage1, s.Current1),
		CurrentDistortion: EffectiveCurrentDistortion(s.Voltage1, iH),
		VoltageDistortion: EffectiveVoltageDistortion(vH, s.Current1),
		Harmonic:          EffectiveHarmonic(vH, iH),
		Positive:          PositiveApparent(s.PositiveVoltage, s.PositiveCurrent),
	}
	var ok3, ok4, ok5, ok6 bool
	e.NonFundamental, ok3 = rest(e.Apparent, e.Fundamental)
	e.Unbalance, ok4 = rest(e.Fundamental, e.Positive)
	e.PositiveActive = ActiveFromAngle(e.Positive, s.PositiveAngle)
	e.PositiveReactive = ReactiveFromAngle(e.Positive, s.PositiveAngle)
	e.PowerFactor, ok5 = PowerFactor(s.Active, e.Apparent)
	e.PositiveFactor, ok6 = PowerFactor(e.PositiveActive, e.Positive)
	return e, ok1 && ok2 && ok3 && ok4 && ok5 && ok6
}

// rest is NonFundamentalPart where a part that exceeds the whole by rounding
// alone leaves nothing.
func rest[Q ~float64](whole, part Q) (Q, bool) {
	if part > whole && float64(part-whole) <= 1e-9*float64(part) {
		return 0, true
	}
	return NonFundamentalPart(whole, part)
}
