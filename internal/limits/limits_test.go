package limits

import (
	"math"
	"testing"
	"testing/fstest"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
)

// Expected figures stand in the tables named, IEEE 519 as in the worked ratio
// of 20 and just below it.
func TestLimitsOfHarmonics(t *testing.T) {
	lim := func(l Limit[quantity.Ratio], ok bool) float64 {
		if !ok {
			return math.NaN()
		}
		return float64(l.Value) * 100
	}
	tests := []struct {
		name string
		got  float64
		want float64 // percent; NaN where no limit is set
	}{
		{"IEEE 519 voltage, 400 V", lim(VoltageTHD(IEEE519, 400)), 8},
		{"IEEE 519 voltage, exactly 1 kV", lim(VoltageTHD(IEEE519, 1000)), 8},
		{"IEEE 519 voltage, 11 kV", lim(VoltageTHD(IEEE519, 11e3)), 5},
		{"IEEE 519 voltage, 132 kV", lim(VoltageTHD(IEEE519, 132e3)), 2.5},
		{"IEEE 519 voltage, 400 kV", lim(VoltageTHD(IEEE519, 400e3)), 1.5},
		{"IEEE 519 voltage, order 5, 480 V", lim(VoltageHarmonic(IEEE519, 480, 5)), 5},
		{"IEEE 519 voltage, order 5, 13.8 kV", lim(VoltageHarmonic(IEEE519, 13.8e3, 5)), 3},
		{"IEEE 519 current, ratio 20.0", lim(CurrentTDD(IEEE519, 480, 20)), 8},
		{"IEEE 519 current, ratio 19.9", lim(CurrentTDD(IEEE519, 480, 19.9)), 5},
		{"IEEE 519 current, ratio 1000", lim(CurrentTDD(IEEE519, 480, 1000)), 20},
		{"IEEE 519 current, order 5, ratio 20.0", lim(CurrentHarmonic(IEEE519, 480, 20, 5)), 7},
		{"IEEE 519 current, order 5, ratio 19.9", lim(CurrentHarmonic(IEEE519, 480, 19.9, 5)), 4},
		{"IEEE 519 current, order 11, ratio 20.0", lim(CurrentHarmonic(IEEE519, 480, 20, 11)), 3.5},
		{"IEEE 519 current, order 6, half", lim(CurrentHarmonic(IEEE519, 480, 60, 6)), 5},
		{"IEEE 519 current, order 8, whole", lim(CurrentHarmonic(IEEE519, 480, 60, 8)), 10},
		{"IEEE 519 current, order 49", lim(CurrentHarmonic(IEEE519, 480, 2000, 49)), 1.4},
		{"IEEE 519 current, 230 kV", lim(CurrentTDD(IEEE519, 230e3, 30)), 2.5},
		{"IEEE 519 current, 132 kV", lim(CurrentTDD(IEEE519, 132e3, 30)), 4},
		{"IEEE 519 current, order 7, 132 kV", lim(CurrentHarmonic(IEEE519, 132e3, 30, 7)), 3.5},
		{"IEC 61000-3-12, order 5, ratio 33", lim(EquipmentHarmonic(BalancedThreePhase, 33, 5)), 10.7},
		{"IEC 61000-3-12, order 5, ratio 32", lim(EquipmentHarmonic(BalancedThreePhase, 32, 5)), math.NaN()},
		{"IEC 61000-3-12, order 8, ratio 400", lim(EquipmentHarmonic(BalancedThreePhase, 400, 8)), 2},
		{"IEC 61000-3-12, total, ratio 130", lim(EquipmentTHC(BalancedThreePhase, 130)), 22},
		{"IEC 61000-3-12, weighted, ratio 250", lim(EquipmentPWHC(BalancedThreePhase, 250)), 38},
		{"IEC 61000-3-12, order 3, one phase", lim(EquipmentHarmonic(OtherPhases, 33, 3)), 21.6},
		{"IEEE 519 current, order 51", lim(CurrentHarmonic(IEEE519, 480, 20, 51)), math.NaN()},
		{"IEEE 519 current, 132 kV, ratio 19", lim(CurrentTDD(IEEE519, 132e3, 19)), 2.5},
		{"IEEE 519 current, order 35, 132 kV, ratio 2000", lim(CurrentHarmonic(IEEE519, 132e3, 2000, 35)), 0.7},
		{"IEEE 519 current, order 4, 132 kV, half of half", lim(CurrentHarmonic(IEEE519, 132e3, 30, 4)), 1.75},
		{"IEEE 519 current, 400 kV, ratio 24", lim(CurrentTDD(IEEE519, 400e3, 24)), 1.5},
		{"IEEE 519 current, 400 kV, ratio 50", lim(CurrentTDD(IEEE519, 400e3, 50)), 3.75},
		{"IEEE 519 current, order 19, 400 kV, ratio 60", lim(CurrentHarmonic(IEEE519, 400e3, 60, 19)), 1.15},
		{"IEEE 519 current, order 49, 400 kV, ratio 10", lim(CurrentHarmonic(IEEE519, 400e3, 10, 49)), 0.1},
		{"IEC 61000-3-2, lighting, order 3, power factor 0.9", lim(LightingHarmonic(58, 0.9, 3)), 27},
		{"IEC 61000-3-2, lighting, order 2", lim(LightingHarmonic(58, 0.9, 2)), 2},
		{"IEC 61000-3-2, lighting, order 5", lim(LightingHarmonic(58, 0.5, 5)), 10},
		{"IEC 61000-3-2, lighting, order 39", lim(LightingHarmonic(58, 0.9, 39)), 3},
		{"IEC 61000-3-2, lighting, order 4", lim(LightingHarmonic(58, 0.9, 4)), math.NaN()},
		{"IEC 61000-3-2, lighting of 25 W", lim(LightingHarmonic(25, 0.9, 3)), math.NaN()},
		{"IEC 61000-3-2, lighting without a power factor", lim(LightingHarmonic(58, 0, 3)), math.NaN()},
		{"EN 50160, total", lim(VoltageTHD(EN50160, 400)), 8},
		{"EN 50160, order 5", lim(VoltageHarmonic(EN50160, 400, 5)), 6},
		{"EN 50160, order 9", lim(VoltageHarmonic(EN50160, 400, 9)), 1.5},
		{"EN 50160, order 10", lim(VoltageHarmonic(EN50160, 400, 10)), 0.5},
		{"EN 50160, order 25", lim(VoltageHarmonic(EN50160, 400, 25)), 1.5},
		{"EN 50160, order 27", lim(VoltageHarmonic(EN50160, 400, 27)), math.NaN()},
		{"EN 50160, 20 kV", lim(VoltageTHD(EN50160, 20e3)), math.NaN()},
		{"EN 50160 sets no current limit", lim(CurrentTDD(EN50160, 400, 20)), math.NaN()},
		{"IEC 61000-2-2, order 17", lim(VoltageHarmonic(IEC61000_2_2, 400, 17)), 2},
		{"IEC 61000-2-2, order 25", math.Round(lim(VoltageHarmonic(IEC61000_2_2, 400, 25))*100) / 100, 1.27},
		{"IEC 61000-2-2, order 49", math.Round(lim(VoltageHarmonic(IEC61000_2_2, 400, 49))*100) / 100, 0.52},
		{"IEC 61000-2-2, order 33", lim(VoltageHarmonic(IEC61000_2_2, 400, 33)), 0.2},
		{"IEC 61000-2-2, order 20", lim(VoltageHarmonic(IEC61000_2_2, 400, 20)), 0.375},
	}
	for _, tt := range tests {
		if !same(tt.got, tt.want) {
			t.Errorf("%s: got %g %%, want %g %%", tt.name, tt.got, tt.want)
		}
	}
}

func same(a, b float64) bool {
	return math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) < 1e-9
}

func TestBands(t *testing.T) {
	type pair struct{ low, high float64 }
	ln := func(s Standard, p Place, u quantity.VoltsLN) (out []pair) {
		for _, b := range VoltageBands(s, p, u) {
			out = append(out, pair{float64(b.Low), float64(b.High)})
		}
		return out
	}
	ll := func(s Standard, p Place, u quantity.VoltsLL) (out []pair) {
		for _, b := range VoltageBands(s, p, u) {
			out = append(out, pair{float64(b.Low), float64(b.High)})
		}
		return out
	}
	hz := func(p Place, f quantity.Hertz) (out []pair) {
		for _, b := range FrequencyBands(EN50160, p, f) {
			out = append(out, pair{float64(b.Low), float64(b.High)})
		}
		return out
	}
	tests := []struct {
		name string
		got  []pair
		want []pair
	}{
		{"EN 50160, 230 V", ln(EN50160, AtSupply, 230), []pair{{207, 253}, {195.5, 253}}},
		{"EN 50160, 400 V", ll(EN50160, AtSupply, 400), []pair{{360, 440}, {340, 440}}},
		{"IEC 60038, 400 V inside", ll(IEC60038, AtUse, 400), []pair{{344, 440}}},
		{"ANSI C84.1, 480 V service", ll(ANSIC84_1, AtSupply, 480), []pair{{456, 504}, {440, 508}}},
		{"ANSI C84.1, 480 V inside", ll(ANSIC84_1, AtUse, 480), []pair{{432, 500}, {416, 508}}},
		{"ANSI C84.1, 277 V service", ln(ANSIC84_1, AtSupply, 277), []pair{{263, 291}, {254, 293}}},
		{"ANSI C84.1, 347 V is not listed", ln(ANSIC84_1, AtSupply, 347), []pair{{329.65, 364.35}, {318.0949, 367.2301}}},
		{"EN 50160, 50 Hz", hz(AtSupply, 50), []pair{{49.5, 50.5}, {47, 52}}},
		{"EN 50160, island", hz(AtIsland, 50), []pair{{49, 51}, {42.5, 57.5}}},
		{"IEC 60034-1, 400 V nameplate", ll(IEC60034_1, AtMotor, 400), []pair{{380, 420}}},
		{"NEMA MG 1, 460 V nameplate", ll(NEMAMG1, AtMotor, 460), []pair{{414, 506}}},
	}
	for _, tt := range tests {
		if len(tt.got) != len(tt.want) {
			t.Errorf("%s: got %v, want %v", tt.name, tt.got, tt.want)
			continue
		}
		for i := range tt.got {
			if !same(tt.got[i].low, tt.want[i].low) || !same(tt.got[i].high, tt.want[i].high) {
				t.Errorf("%s: got %v, want %v", tt.name, tt.got, tt.want)
			}
		}
	}
}

// The 453 V of a 480 V system stand below Range A at the service, within Range
// B, and within Range A at a motor inside.
func TestOneVoltageAtTwoPlaces(t *testing.T) {
	service, inside := VoltageBands(ANSIC84_1, AtSupply, quantity.VoltsLL(480)), VoltageBands(ANSIC84_1, AtUse, quantity.VoltsLL(480))
	if service[0].Holds(453) || !service[1].Holds(453) || !inside[0].Holds(453) {
		t.Errorf("453 V: service %v, inside %v", service, inside)
	}
	if b := VoltageBands(ANSIC84_1, AtSupply, quantity.VoltsLN(347))[0]; b.Cite.Note == "" {
		t.Error("a band by percentage must say so")
	}
}

func TestUnbalanceKeepsItsMeasure(t *testing.T) {
	tests := []struct {
		s    Standard
		want []Limit[quantity.Ratio]
	}{
		{EN50160, []Limit[quantity.Ratio]{{Value: 0.02, Measure: NegativeSequence}}},
		{IEC61000_2_2, []Limit[quantity.Ratio]{{Value: 0.02, Measure: NegativeSequence}}},
		{ANSIC84_1, []Limit[quantity.Ratio]{{Value: 0.03, Measure: NEMA}}},
		{NEMAMG1, []Limit[quantity.Ratio]{{Value: 0.01, Measure: NEMA}, {Value: 0.05, Measure: NEMA}}},
	}
	for _, tt := range tests {
		got := Unbalance(tt.s)
		if len(got) != len(tt.want) {
			t.Errorf("%s: got %v", tt.s, got)
			continue
		}
		for i := range got {
			if !same(float64(got[i].Value), float64(tt.want[i].Value)) || got[i].Measure != tt.want[i].Measure {
				t.Errorf("%s: got %v", tt.s, got[i])
			}
		}
	}
}

func TestDerating(t *testing.T) {
	for _, tt := range []struct{ unbalance, want float64 }{
		{0, 1}, {0.01, 1}, {0.015, 0.975}, {0.02, 0.95}, {0.03, 0.88}, {0.045, 0.785}, {0.05, 0.75},
	} {
		got, ok := Derating(quantity.Ratio(tt.unbalance))
		if !ok || !same(float64(got.Value), tt.want) {
			t.Errorf("%g: got %v %v, want %g", tt.unbalance, got.Value, ok, tt.want)
		}
	}
	for _, u := range []quantity.Ratio{-0.01, 0.0501, quantity.Ratio(math.NaN())} {
		if _, ok := Derating(u); ok {
			t.Errorf("%g: a factor outside the curve", u)
		}
	}
}

// Class D of 500 W: third order 1.70 A; 1000 W is outside the class, and at
// 600 W the cap of class A holds where it is lower.
func TestEquipmentCurrent(t *testing.T) {
	tests := []struct {
		c     Class
		p     quantity.Watts
		order int
		want  float64
	}{
		{ClassA, 0, 3, 2.30}, {ClassA, 0, 21, 0.107}, {ClassA, 0, 10, 0.184}, {ClassA, 0, 41, math.NaN()},
		{ClassB, 0, 3, 3.45}, {ClassB, 0, 21, 0.161}, {ClassD, 500, 3, 1.70}, {ClassD, 600, 3, 2.04}, {ClassD, 1000, 3, math.NaN()}, {ClassD, 60, 3, math.NaN()},
		{ClassD, 600, 5, 1.14}, {ClassD, 600, 2, math.NaN()}, {ClassC, 58, 3, math.NaN()},
	}
	for _, tt := range tests {
		got := math.NaN()
		if l, ok := EquipmentCurrent(tt.c, tt.p, tt.order); ok {
			got = math.Round(float64(l.Value)*1000) / 1000
		}
		if !same(got, tt.want) {
			t.Errorf("%s, %g W, order %d: got %g, want %g", tt.c, tt.p, tt.order, got, tt.want)
		}
	}
}

func TestEveryTableIsWhole(t *testing.T) {
	var faults diag.List
	lib := load(data, &faults)
	for _, f := range faults.Sorted() {
		t.Error(f)
	}
	for _, s := range []Standard{IEEE519, EN50160, IEC61000_2_2, IEC61000_3_2, IEC61000_3_12, IEC60034_1, IEC60038, IEC60364_5_52, ANSIC84_1, NEMAMG1} {
		found := false
		for _, f := range lib.files {
			found = found || f.Standard == s
		}
		if !found {
			t.Errorf("no data file for %s", s)
		}
	}
	for _, f := range lib.files {
		for _, tb := range f.Tables {
			if tb.Table == "" && tb.Clause == "" {
				t.Errorf("%s: %s has neither table nor clause", tb.Pos, tb.ID)
			}
		}
	}
}

// Every standard that a family names must answer for what it is named for.
func TestFamilies(t *testing.T) {
	for _, f := range Families() {
		if got, err := FamilyOf(f.Word); err != nil || got.Name != f.Name {
			t.Errorf("%s: %v %v", f.Word, got, err)
		}
		if l, ok := VoltageTHD(f.VoltageDistortion, 400); !ok || l.Cite.Statistic == "" || l.Cite.Reach != Period {
			t.Errorf("%s: voltage distortion %v", f.Word, l)
		}
		if f.CurrentDistortion != "" {
			if _, ok := CurrentTDD(f.CurrentDistortion, 400, 30); !ok {
				t.Errorf("%s: no limit of current distortion", f.Word)
			}
		}
		if len(VoltageBands(f.SupplyVoltage, AtSupply, quantity.VoltsLN(230))) == 0 || len(VoltageBands(f.UseVoltage, AtUse, quantity.VoltsLN(230))) == 0 {
			t.Errorf("%s: no voltage band", f.Word)
		}
		if len(Unbalance(f.SupplyUnbalance)) == 0 || len(Unbalance(f.MotorUnbalance)) == 0 {
			t.Errorf("%s: no limit of unbalance", f.Word)
		}
		if f.Frequency != "" && len(FrequencyBands(f.Frequency, AtSupply, 50)) == 0 {
			t.Errorf("%s: no frequency band", f.Word)
		}
	}
	if _, err := FamilyOf("europa"); err == nil || err.Error() != `unknown family of limits "europa"; expected europe or north-america; did you mean "europe"?` {
		t.Errorf("got %v", err)
	}
}

func TestFaultsOfAFileAreNamed(t *testing.T) {
	fsys := fstest.MapFS{"data/x.yaml": {Data: []byte(`standard: X
edition: "1"
cited-as: X
title: X
tables:
  - id: a
    status: rumour
    place: here
    reach: period
    rows: [{orders: [{orders: 1-5, limit: 5}]}]
`)}}
	var faults diag.List
	load(fsys, &faults)
	want := []string{
		`data/x.yaml:6:5: table "a" has no statistic; expected what it is defined over`,
		`data/x.yaml:7:13: unknown status "rumour"; expected one of seen, secondary, memory`,
		`data/x.yaml:10:31: "1-5" is not a range of harmonic orders; expected an order from 2, or a range such as 17-49`,
		`data/x.yaml:10:43: "5" has no unit; expected percentage in %, such as 62 %`,
	}
	got := faults.Sorted()
	if len(got) != len(want) {
		t.Fatalf("got %v", got)
	}
	for i := range got {
		if got[i].String() != want[i] {
			t.Errorf("got  %s\nwant %s", got[i], want[i])
		}
	}
}

func TestNeutralSizing(t *testing.T) {
	for _, tt := range []struct {
		third, factor float64
		byNeutral     bool
	}{{0, 1, false}, {0.15, 1, false}, {0.16, 0.86, false}, {0.33, 0.86, false}, {0.34, 0.86, true}, {0.45, 0.86, true}, {0.46, 1, true}, {2, 1, true}} {
		s, ok := NeutralSizing(quantity.Ratio(tt.third))
		if !ok || !same(float64(s.Factor), tt.factor) || s.ByNeutral != tt.byNeutral || s.Cite.Status != Memory {
			t.Errorf("%g: %+v %v", tt.third, s, ok)
		}
	}
	for _, bad := range []float64{-0.1, math.NaN()} {
		if _, ok := NeutralSizing(quantity.Ratio(bad)); ok {
			t.Errorf("%g was sized", bad)
		}
	}
}

// Table 3 of IEEE 519 is half of Table 2 in every figure.
func TestSubtransmissionIsHalf(t *testing.T) {
	for _, ratio := range []float64{10, 20, 60, 500, 1000} {
		a, ok1 := CurrentTDD(IEEE519, 480, ratio)
		b, ok2 := CurrentTDD(IEEE519, 100e3, ratio)
		if !ok1 || !ok2 || !same(float64(a.Value), 2*float64(b.Value)) {
			t.Errorf("ratio %g: %g and %g", ratio, a.Value, b.Value)
		}
		for h := 2; h <= 50; h++ {
			a, ok1 := CurrentHarmonic(IEEE519, 480, ratio, h)
			b, ok2 := CurrentHarmonic(IEEE519, 100e3, ratio, h)
			if !ok1 || !ok2 || !same(float64(a.Value), 2*float64(b.Value)) {
				t.Errorf("ratio %g, order %d: %g and %g", ratio, h, a.Value, b.Value)
			}
		}
	}
}

// A reading is never said to meet or to break a limit that has a statistic.
func TestConclusions(t *testing.T) {
	thd, _ := VoltageTHD(EN50160, 400)
	level, _ := VoltageTHD(IEC61000_2_2, 400)
	lamp, _ := LightingHarmonic(58, 0.9, 5)
	motor := Unbalance(NEMAMG1)[0]
	for _, tt := range []struct {
		c     Citation
		above bool
		want  Conclusion
	}{
		{thd.Cite, true, Conclusion{
			"The reading stands outside the figure of EN 50160:2010, Table 1.",
			"The limit is defined over 95 % of the 10-minute means of a week: one reading neither breaks nor meets it.",
			"A logger at the supply terminals, over that time, would settle it.",
		}},
		{level.Cite, false, Conclusion{
			"The reading stands within the figure of IEC 61000-2-2, Table 1.",
			"The figure is a level to plan a whole network by, not a limit at one place.",
			"The limit that the supplier or the local code sets for this place would settle it.",
		}},
		{lamp.Cite, true, Conclusion{
			"The reading stands outside the figure of IEC 61000-3-2, Table 2.",
			"The limit binds a product in a laboratory, on a supply without distortion, not an installation.",
			"The maker's test report would settle it.",
		}},
		{motor.Cite, false, Conclusion{
			"The reading stands within the figure of NEMA MG 1, clause 14.36 and 20.24. That is as sure as the instrument.",
			"It holds for as long as the conditions of the reading last: other loads and other hours may differ.",
			"Readings at motor terminals at the least and at the highest load would settle it.",
		}},
	} {
		if got := tt.c.Conclude(nil, tt.above); got != tt.want {
			t.Errorf("%s: %+v", tt.c.Text(), got)
		}
	}
}
