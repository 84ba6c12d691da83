package power

import (
	"math"
	"testing"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// What some input makes meaningless gives false, and the formula bound to it
// NaN; it never gives a number.
func TestImpossibleInput(t *testing.T) {
	nan := quantity.Ratio(math.NaN())
	tests := []struct {
		name string
		ok   bool
		call float64
	}{
		{"more active than apparent power", second(Reactive(100, 101)), float64(ReactiveF.Call(100, 101))},
		{"the same, leading", second(ReactiveLeading(100, 101)), float64(ReactiveLeadingF.Call(100, 101))},
		{"more reactive than apparent power", second(ActiveFromReactive(100, -101)), float64(ActiveFromReactiveF.Call(100, -101))},
		{"power factor of nothing", second(ApparentFromPowerFactor(100, 0)), float64(ApparentFromPowerFactorF.Call(100, 0))},
		{"power factor against the power's sign", second(ApparentFromPowerFactor(100, -0.5)), float64(ApparentFromPowerFactorF.Call(100, -0.5))},
		{"no apparent power", second(PowerFactor(0, 0)), float64(PowerFactorF.Call(0, 0))},
		{"power factor above one", second(Angle(1.01)), float64(AngleF.Call(1.01))},
		{"power factor not a number", second(Angle(nan)), float64(AngleF.Call(nan))},
		{"reactive power of power given back", second(ReactiveFromPowerFactor(-1, 0.9)), float64(ReactiveFromPowerFactorF.Call(-1, 0.9))},
		{"current of no voltage", second(Current(100, 0)), float64(CurrentF.Call(100, 0))},
		{"wattmeters of no power", second(TwoWattmeterTangent(5, -5)), float64(TwoWattmeterTangentF.Call(5, -5))},
		{"distortion of 100 % of rms", second(THDOfFundamental(1)), float64(THDOfFundamentalF.Call(1))},
		{"orders above the total", second(Residual(0.2, 0.21)), float64(ResidualF.Call(0.2, 0.21))},
		{"displacement above one", second(DisplacementFromTrue(0.95, 0.5)), float64(DisplacementFromTrueF.Call(0.95, 0.5))},
		{"no demand", second(TDD(0.2, 5, 0)), float64(TDDF.Call(0.2, 5, 0))},
		{"two voltages", second(Deviation([]quantity.VoltsLL{400, 400})), float64(NEMAUnbalanceF.Call([]quantity.VoltsLL{400, 400}))},
		{"no voltages", second(Deviation([]quantity.VoltsLL{0, 0, 0})), float64(NEMAUnbalanceF.Call(nil))},
		{"no triangle", second(NegativeSequence([]quantity.VoltsLL{400, 100, 100})), float64(NegativeSequenceF.Call([]quantity.VoltsLL{400, 100, 100}))},
		{"beta of no triangle", second(Beta([]quantity.VoltsLL{400, 100, 100})), float64(BetaF.Call([]quantity.VoltsLL{400, 100, 100}))},
		{"beta outside", second(NegativeSequenceFromBeta(0.6)), float64(NegativeSequenceFromBetaF.Call(0.6))},
		{"no positive sequence", second(SequenceShare(quantity.VoltsLN(1), 0)), float64(NegativeShareF.Call(1, 0))},
		{"no currents", second(HarmonicLossFactor(nil)), float64(HarmonicLossFactorF.Call(nil))},
		{"fundamental not one", second(FactorKSum17([]quantity.Ratio{0.5, 0.1})), float64(FactorKSum17F.Call([]quantity.Ratio{0.5, 0.1}))},
		{"no capacitor", second(ResonanceOrder(1e6, 0)), float64(ResonanceOrderF.Call(1e6, 0))},
		{"target above one", second(CapacitorFor(100, 0.8, 1.1)), float64(CapacitorForF.Call(100, 0.8, 1.1))},
		{"no impedance", second(ShortCircuitPower(1e6, 0)), float64(ShortCircuitPowerF.Call(1e6, 0))},
		{"efficiency above one", second(RatedInput(1000, 1.2)), float64(RatedInputF.Call(1000, 1.2))},
		{"rated at synchronous speed", second(MotorLoadFromSlip(1500, 1480, 1500)), float64(MotorLoadFromSlipF.Call(1500, 1480, 1500))},
		{"slip at the voltage of no plate", second(MotorLoadFromSlipAtVoltage(0.6, 400, 0)), float64(MotorLoadFromSlipAtVoltageF.Call(0.6, 400, 0))},
		{"speed of no poles", second(SynchronousSpeed(50, 0)), float64(SynchronousSpeedF.Call(50, 0))},
		{"speed of no frequency", second(SynchronousSpeed(0, 4)), float64(SynchronousSpeedF.Call(0, 4))},
		{"full-load speed of a plate without frequency", second(FullLoadSpeedAt(1450, 50, 0)), float64(FullLoadSpeedAtF.Call(1450, 50, 0))},
		{"current against no plate", second(MotorLoadFromCurrentAlone(10, 0)), float64(MotorLoadFromCurrentAloneF.Call(10, 0))},
		{"phase error at 90 degrees", second(PhaseError(90, 1)), float64(PhaseErrorF.Call(90, 1))},
		{"effective fundamental above the whole", second(EffectiveNonFundamental(10, 11)), float64(EffectiveNonFundamentalF.Call(10, 11))},
		{"positive sequence above the fundamental", second(UnbalancePower(10, 11)), float64(UnbalancePowerF.Call(10, 11))},
		{"fundamental above rms", second(NonFundamentalPart(quantity.Amperes(10), 11)), float64(NonFundamentalCurrentF.Call(10, 11))},
		{"share of nothing", second(ShareOf(quantity.VoltsLN(1), 0)), float64(EffectiveVoltageDistortionDF.Call(1, 0))},
		{"derating above one", second(DeratedMotor(1000, 1.1)), float64(DeratedMotorF.Call(1000, 1.1))},
		{"negative unbalance", second(UnbalanceHeating(-0.01)), float64(UnbalanceHeatingF.Call(-0.01))},
		{"unbalance over none", second(UnbalanceGain(0.1, 0)), float64(UnbalanceGainF.Call(0.1, 0))},
		{"capability above one", second(DeratedTransformer(1e6, 1.1)), float64(DeratedTransformerF.Call(1e6, 1.1))},
		{"factor K below one", second(FactorKShare(0.9)), float64(FactorKShareF.Call(0.9))},
		{"transformer without a secondary", second(TransformerRatio(quantity.Amperes(400), 0)), float64(CurrentRatioF.Call(400, 0))},
		{"reactor that cancels its capacitor", second(DetunedVoltage(400, 1)), float64(DetunedVoltageF.Call(400, 1))},
	}
	for _, tt := range tests {
		if tt.ok || Possible(tt.call) {
			t.Errorf("%s: ok %v, formula %g", tt.name, tt.ok, tt.call)
		}
	}
}

func second[R any](_ R, ok bool) bool { return ok }

// A step of a derived figure can be replayed from the sheet.
func TestFormulasLeaveSteps(t *testing.T) {
	var sheet working.Sheet
	u := working.Record(&sheet, working.Step{ID: "u", Kind: working.Measured, Unit: "V"}, quantity.VoltsLN(231.2))
	i := working.Record(&sheet, working.Step{ID: "i", Kind: working.Measured, Unit: "A"}, quantity.Amperes(84.1))
	s := ApparentF.Apply(&sheet, "s", "apparent power", "VA", u, i)
	none := working.Record(&sheet, working.Step{ID: "not-read", Kind: working.Assumed, Reason: "order not read"}, quantity.Ratio(0))
	one := working.Record(&sheet, working.Step{ID: "first", Kind: working.Stated}, quantity.Ratio(1))
	fifth := working.Record(&sheet, working.Step{ID: "fifth", Kind: working.Measured}, quantity.Ratio(0.2))
	f := HarmonicLossFactorF.Apply(&sheet, "loss", "loss factor", "", []working.Num[quantity.Ratio]{one, none, none, none, fifth})
	if math.Abs(float64(s.V)-19443.92) > 1e-9 || math.Abs(float64(f.V)-(1+25*0.04)/1.04) > 1e-12 {
		t.Errorf("got %g VA, %g", s.V, f.V)
	}
	if err := sheet.Replay(); err != nil {
		t.Error(err)
	}
}
