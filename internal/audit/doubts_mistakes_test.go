package audit

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// turned is a balanced 230 V reading of 10 A at a lag of 36.87° (P 1.84 kW, Q
// 1.38 kvar a phase), with each phase's powers as wrong clamps show them.
func turned(more string, powers ...[2]float64) small {
	text := "phases: {"
	for i, p := range powers {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%s: {voltage: 230.0 V, current: 10.00 A, power: %.2f kW, reactive: %.2f kvar}", string(rune('A'+i)), p[0], p[1])
	}
	return small{readings: one("DB1-1", "3P4W", text+"}"+more)}
}

// The powers of that load, true, on backwards, and turned by ±120°.
var (
	asItIs    = [2]float64{1.84, 1.38}
	backward  = [2]float64{-1.84, -1.38}
	onAnother = [2]float64{-2.12, 0.90} // 36.87° + 120°
	onThird   = [2]float64{0.28, -2.28} // 36.87° − 120°
	alone     = "phases: {A: {voltage: 230.0 V, current: 10.00 A, power: %s kW, reactive: %s kvar}}"
)

const boards = "{incomer: {name: Incomer, breaker: 100 A}, DB1: {name: Board, from: incomer, breaker: 63 A}, DB2: {name: Other board, from: incomer}}"

func three(id, at, amperes, kw, more string) string {
	return fmt.Sprintf("  - {id: %s, at: %s, wiring: 3P4W, phases: {A: {voltage: 230.0 V, current: %s A, power: %s kW}, B: {voltage: 230.0 V, current: %s A, power: %s kW}, C: {voltage: 230.0 V, current: %s A, power: %s kW}}%s}\n", id, at, amperes, kw, amperes, kw, amperes, kw, more)
}

func wattmeters(a, c, w1, w2 string) small {
	return small{readings: one("DB1-1", "3P3W", fmt.Sprintf("phases: {A: {current: %s A}, C: {current: %s A}}, lines: {AB: {voltage: 400.0 V, power: %s kW}, CB: {voltage: 400.0 V, power: %s kW}}", a, c, w1, w2))}
}

const plate = "  - {id: motor, name: Motor, at: DB1-1, use: work, nameplate: {rated: 10 hp, efficiency: 90.0 %}, runs: {calendar: always}}"

// mistakeCases are the mistakes that people make with clamps, leads, ratios and
// units, each with its signature.
var mistakeCases = []doubted{
	{name: "two clamps backwards", site: turned("", asItIs, backward, backward), want: "current-reversed", phase: "B and C", cause: "clamps on phases B and C are"},
	{name: "all clamps backwards", site: turned("", backward, backward, backward), want: "current-reversed", phase: "A, B and C", cause: "flows back"},
	{name: "one backwards, kvar without sign", site: turned("", asItIs, [2]float64{-1.84, 1.38}, asItIs), want: "current-reversed", phase: "B"},
	{name: "one backwards takes its total and its sequence with it", site: turned(", total: {power: 1.84 kW, reactive: 1.38 kvar, apparent: 6.90 kVA, pf: 0.27}, sequence: ABC", asItIs, asItIs, backward), want: "current-reversed", phase: "C"},
	{name: "clamps of A and B exchanged", site: turned("", onAnother, onThird, asItIs), want: "clamps-exchanged", phase: "A and B", cause: "exchanged"},
	{name: "voltage leads exchanged turn the sequence too", site: turned(", sequence: ACB", asItIs, onThird, onAnother), want: "clamps-exchanged", phase: "B and C"},
	{name: "exchanged, by power alone", site: small{readings: one("DB1-1", "3P4W", "phases: {A: {voltage: 230.0 V, current: 10.00 A, power: -2.12 kW}, B: {voltage: 230.0 V, current: 10.00 A, power: 0.28 kW}, C: {voltage: 230.0 V, current: 10.00 A, power: 1.84 kW}}")}, want: "clamps-exchanged", phase: "A and B"},
	{name: "one on from its lead", site: turned("", onAnother, onAnother, onAnother), want: "clamps-rotated", phase: "A, B and C", cause: "120°"},
	{name: "one back from its lead: far leading, yet positive", site: turned("", onThird, onThird, onThird), want: "clamps-rotated", phase: "A, B and C"},
	{name: "capacitors lead all the way", site: turned("", [2]float64{0.01, -2.30}, [2]float64{0.01, -2.30}, [2]float64{0.01, -2.30})},
	{name: "one clamp on another phase", site: turned("", asItIs, onThird, asItIs), want: "clamp-on-another-phase", phase: "B", cause: "off by 120°"},
	{name: "single clamp on another phase", site: small{readings: one("DB1-1", "1P2W", fmt.Sprintf(alone, "-0.40", "-2.26"))}, want: "clamp-on-another-phase", phase: "A"},
	{name: "single clamp, kvar without sign", site: small{readings: one("DB1-1", "1P2W", fmt.Sprintf(alone, "-1.84", "1.38"))}, want: "current-reversed", phase: "A", cause: "would tell"},
	{name: "single clamp backwards", site: small{readings: one("DB1-1", "1P2W", fmt.Sprintf(alone, "-1.84", "-1.38"))}, want: "current-reversed", phase: "A"},

	{name: "sequence the other way", site: turned(", sequence: ACB", asItIs, asItIs, asItIs), want: "sequence-reversed", cause: "two phases are exchanged"},
	{name: "a site that turns the other way throughout", site: small{readings: one("DB1-1", "3P4W", "phases: {A: {voltage: 230.0 V}}, sequence: ACB") + "\n  - {id: R2, at: incomer, wiring: 3P4W, phases: {A: {voltage: 230.0 V}}, sequence: ACB}"}},
	{name: "angles against the sequence", site: small{readings: one("DB1-1", "3P4W", "phases: {A: {voltage: 230.0 V, voltage-angle: 0 °}, B: {voltage: 230.0 V, voltage-angle: 120 °}, C: {voltage: 230.0 V, voltage-angle: -120 °}}, sequence: ABC")}, want: "sequence-against-angles"},
	{name: "angles tell the sequence", site: small{readings: one("DB1-1", "3P4W", "phases: {A: {voltage: 230.0 V, voltage-angle: 0 °}, B: {voltage: 230.0 V, voltage-angle: 120 °}, C: {voltage: 230.0 V, voltage-angle: -120 °}}")}, want: "sequence-reversed"},
	{name: "unequal delta turns forward", site: small{supply: "{system: 3P3W, voltage: 240 V, frequency: 60 Hz, limits: north-america}", readings: one("DB1-1", "3P3W", "lines: {AB: {voltage: 274 V}, BC: {voltage: 274 V}, CA: {voltage: 225 V}}, sequence: ABC")}},

	{name: "wattmeter's clamp backwards: third current", site: small{readings: one("DB1-1", "3P3W", "phases: {A: {current: 10.00 A}, B: {current: 17.30 A}, C: {current: 10.00 A}}, lines: {AB: {voltage: 400.0 V, power: 1.0 kW}, CB: {voltage: 400.0 V, power: 2.0 kW}}")}, want: "wattmeter-clamp-reversed", cause: "subtracted"},
	{name: "wattmeter's clamp backwards: powers", site: wattmeters("10.00", "10.00", "-1.57", "3.97"), want: "wattmeter-clamp-reversed"},
	{name: "wattmeters as they should be", site: wattmeters("10.00", "10.00", "1.57", "3.97")},
	{name: "wattmeters at a power factor of one half", site: wattmeters("10.00", "10.00", "0.00", "3.46")},
	{name: "voltage transformer reversed", site: small{readings: one("DB1-1", "3P3W", "lines: {AB: {voltage: 400.0 V}, BC: {voltage: 400.0 V}, CA: {voltage: 693 V}}")}, want: "voltage-transformer-reversed", phase: "CA"},

	{name: "neutral lead off", site: small{readings: one("DB1-1", "3P4W", "phases: {A: {voltage: 180.0 V}, B: {voltage: 262.0 V}, C: {voltage: 258.0 V}}, lines: {AB: {voltage: 400.0 V}, BC: {voltage: 400.0 V}, CA: {voltage: 400.0 V}}")}, want: "neutral-lead-open", cause: "neutral lead is off"},
	{name: "neutral lead off, lines not read", site: small{readings: one("DB1-1", "3P4W", "phases: {A: {voltage: 180.0 V}, B: {voltage: 262.0 V}, C: {voltage: 258.0 V}}")}, want: "neutral-lead-open"},
	{name: "neutral and phase exchanged", site: small{readings: one("DB1-1", "3P4W", "phases: {A: {voltage: 231.0 V, current: 10.0 A, power: -1.84 kW}, B: {voltage: 400.0 V, current: 10.0 A, power: 0.39 kW}, C: {voltage: 400.0 V, current: 10.0 A, power: 3.10 kW}}, lines: {AB: {voltage: 231.0 V}, BC: {voltage: 400.0 V}, CA: {voltage: 231.0 V}}")}, want: "neutral-and-phase-exchanged", phase: "A"},
	{name: "line voltages of a three-phase reading for phase voltages", site: small{readings: one("DB1-1", "3P4W", "phases: {A: {voltage: 400.0 V}, B: {voltage: 401.0 V}, C: {voltage: 399.0 V}}")}, want: "line-voltage-for-phase-voltage", phase: "A, B, C"},
	{name: "legs of a split phase do not add up", site: small{supply: splitSupply, readings: one("DB1-1", "1P3W", "phases: {A: {voltage: 121.0 V}, B: {voltage: 119.0 V}}, lines: {AB: {voltage: 210.0 V}}")}, want: "line-against-phase-voltage", phase: "AB"},

	{name: "voltage transformer's ratio twice", site: small{supply: "{system: 3P3W, voltage: 11 kV, frequency: 50 Hz, limits: europe}", readings: one("DB1-1", "3P3W", "lines: {AB: {voltage: 11.0 kV}, BC: {voltage: 11.0 kV}, CA: {voltage: 11.0 kV}}, ratios: {vt: 11000/110, set: no}"), instrument: instrument("CAT IV 8000 V")}, want: "voltage-ratio", phase: "AB, BC, CA", cause: "applied twice"},
	{name: "voltage transformer's ratio never", site: small{supply: "{system: 3P3W, voltage: 11 kV, frequency: 50 Hz, limits: europe}", readings: one("DB1-1", "3P3W", "lines: {AB: {voltage: 110.0 V}, BC: {voltage: 110.0 V}, CA: {voltage: 110.0 V}}, ratios: {vt: 11000/110, set: yes}"), instrument: instrument("CAT IV 8000 V")}, want: "voltage-ratio", phase: "AB, BC, CA", cause: "not applied"},
	{name: "voltage transformer's ratio once", site: small{supply: "{system: 3P3W, voltage: 11 kV, frequency: 50 Hz, limits: europe}", readings: one("DB1-1", "3P3W", "lines: {AB: {voltage: 110.0 V}, BC: {voltage: 110.0 V}, CA: {voltage: 110.0 V}}, ratios: {vt: 11000/110, set: no}"), instrument: instrument("CAT IV 8000 V")}},
	{name: "current transformer's ratio twice, by the breaker", site: small{points: boards, readings: three("R1", "incomer", "80.0", "14.7", ", ratios: {ct: 200/5, set: no}")}, want: "ratio-applied-twice", cause: "200/5"},
	{name: "current transformer's ratio once", site: small{points: boards, readings: three("R1", "incomer", "2.000", "0.368", ", ratios: {ct: 200/5, set: no}")}},
	{name: "current transformer's ratio set wrong in the meter", site: small{points: boards, readings: three("R1", "incomer", "160.0", "29.4", ", ratios: {ct: 200/5, set: yes}")}, want: "ratio-wrong"},
	{name: "more current than the breaker lets pass", site: small{points: boards, readings: three("R1", "incomer", "160.0", "29.4", "")}, want: "current-above-breaker", phase: "A"},
	{name: "current in mA", site: small{points: boards, readings: one("DB1", "3P4W", "phases: {A: {voltage: 230.0 V, current: 850 A}}")}, want: "unit-slip", phase: "A", cause: "mA"},
	{name: "secondary current, by the boards", site: small{points: boards, readings: three("R1", "incomer", "2.000", "0.368", ", ratios: {ct: 200/5, set: yes}") + three("R2", "DB1", "50.0", "9.2", "") + three("R3", "DB2", "30.0", "5.52", "")}, want: "ratio-not-applied", cause: "200/5"},
	{name: "secondary current, ratio not stated", site: small{points: boards, readings: three("R1", "incomer", "2.000", "0.368", "") + three("R2", "DB1", "50.0", "9.2", "") + three("R3", "DB2", "30.0", "5.52", "")}, want: "ratio-not-applied", cause: "factor of about 40"},
	{name: "another transformer than stated", site: small{points: boards, readings: three("R1", "incomer", "1.000", "0.184", ", ratios: {ct: 200/5, set: no}") + three("R2", "DB1", "50.0", "9.2", "") + three("R3", "DB2", "30.0", "5.52", "")}, want: "ratio-wrong", cause: "not the one"},
	{name: "current on the secondary side, powers on the primary", site: small{readings: three("R1", "DB1-1", "2.000", "14.72", ", ratios: {ct: 200/5, set: yes}")}, want: "ratio-in-part", phase: "A, B, C"},
	{name: "ratio twice by the plate", site: small{loads: plate, readings: three("R1", "DB1-1", "10.0", "1.84", ", ratios: {ct: 200/5, set: no}")}, want: "ratio-applied-twice"},
	{name: "kW for W by the plate", site: small{loads: plate, readings: one("DB1-1", "3P4W", "total: {power: 7.1 MW}")}, want: "unit-slip", cause: "kW and W"},
	{name: "more than the plate allows", site: small{loads: plate, readings: one("DB1-1", "3P4W", "total: {power: 15.0 kW}")}, want: "reading-above-plate"},
	{name: "what the plate allows", site: small{loads: plate, readings: one("DB1-1", "3P4W", "total: {power: 8.0 kW}")}},

	{name: "taken as balanced", site: small{readings: one("DB1-1", "3P4W", "balanced: yes, phases: {A: {voltage: 230.0 V, current: 10.0 A, power: 1.84 kW}}") + "\n  - {id: R2, at: DB1-1, wiring: 3P4W, phases: {A: {current: 10.0 A}, B: {current: 6.0 A}, C: {current: 8.0 A}}}"}, want: "balanced-but-phases-differ", cause: "balanced"},
	{name: "taken as balanced with its phases beside it", site: small{readings: one("DB1-1", "3P4W", "balanced: yes, phases: {A: {current: 10.0 A}, B: {current: 6.0 A}}")}, want: "balanced-but-phases-differ"},
	{name: "kvar that is non-active power", site: small{instrument: displayOnly, readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 222 V, current: 6.2 A, power: 1.19 kW, reactive: 0.71 kvar, apparent: 1.38 kVA, pf: 0.856 lag}}, harmonics: {current: {phase: A, thd: 46.1 % of fundamental, thd-of-rms: 42 %, orders: {2: 5.2 %, 3: 41.7 %, 5: 15 %}}, voltage: {phase: A, thd: 6.5 % of fundamental, orders: {2: 0.3 %, 3: 6 %, 5: 2.3 %}}}")}, want: "kvar-is-non-active", phase: "A", cause: "non-active"},
	{name: "kvar of the fundamental", site: small{instrument: displayOnly, readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 222 V, current: 6.2 A, power: 1.19 kW, reactive: 0.38 kvar, apparent: 1.38 kVA, pf: 0.856 lag}}, harmonics: {current: {phase: A, thd: 46.1 % of fundamental}}")}},
	{name: "two bases that do not go together", site: small{instrument: displayOnly, readings: one("DB1-1", "1P2W", "phases: {A: {current: 6.2 A}}, harmonics: {current: {phase: A, thd: 42.0 % of fundamental, thd-of-rms: 46.1 %}}")}, want: "distortion-base", phase: "A"},
	{name: "angle of a line voltage", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 230.0 V, current: 10.00 A, power: 1.84 kW, angle: 66.9 °}}")}, want: "angle-against-powers", phase: "A", cause: "30°"},
	{name: "angle that goes with the power", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 230.0 V, current: 10.00 A, power: 1.84 kW, angle: 36.9 °}}")}},
	{name: "minus before a power factor", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 230.0 V, current: 10.00 A, pf: -0.80}}")}, want: "sign-of-power-factor", phase: "A"},
	{name: "minus whose meaning is stated", site: small{instrument: plainInstrument + "\npower-factor-sign = \"lag\"", readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 230.0 V, current: 10.00 A, pf: -0.80}}")}},
	{name: "load between two lines: apparent power", site: small{readings: one("DB1-1", "1P2W", "lines: {AB: {voltage: 400.0 V, current: 10.00 A, apparent: 4.00 VA}}")}, want: "unit-slip", phase: "AB"},
	{name: "load between two lines: power factor", site: small{readings: one("DB1-1", "1P2W", "lines: {AB: {voltage: 400.0 V, current: 10.00 A, power: 3.20 kW, apparent: 4.00 kVA, pf: 0.55 lag}}")}, want: "power-factor-against-powers", phase: "AB"},
	{name: "load between two lines: too small", site: small{readings: one("DB1-1", "1P2W", "lines: {AB: {voltage: 400.0 V, current: 0.50 A}}")}, want: "current-too-small", phase: "AB"},
	{name: "load between two lines: backwards", site: small{readings: one("DB1-1", "1P2W", "lines: {AB: {voltage: 400.0 V, current: 10.00 A, power: -3.20 kW}}")}, want: "current-reversed", phase: "AB"},
	{name: "total of apparent power and power factor", site: small{readings: one("DB1-1", "3P4W", "total: {apparent: 6.90 kVA, pf: 0.80 lag}")}},
	{name: "a machine switched between whole and parts", site: small{loads: plainLoad + "\n  - {id: press, name: Press, at: DB1-2, use: work, power: 1 kW, runs: {calendar: always, duty: 40 %}}", readings: wholeAndParts("10.00", "9.20")}},
	{name: "whole and parts at one time", site: small{loads: plainLoad + "\n  - {id: press, name: Press, at: DB1-2, use: work, power: 1 kW, runs: {calendar: always, duty: 40 %}}", readings: "  - {id: R1, at: incomer, time: 10:40, wiring: 3P4W, total: {power: 10.00 kW}}\n  - {id: R2, at: DB1, time: 10:40, wiring: 3P4W, total: {power: 9.20 kW}}"}, want: "parts-against-whole"},
}

const displayOnly = `category = "CAT IV 600 V"
voltage-accuracy = "0.5 % + 1 digits"
current-accuracy = "0.5 % + 1 digits"
power-accuracy = "0.5 % + 1 digits"
distortion-accuracy = "0.5 % + 1 digits"
phase-error = "0.3 °"
smallest-current = "0.5 A"`

// Danger comes first, whatever rests on it; then the board on which most doubtful
// energy rests, whole; then the others.
func TestOrderOfDoubtsOverTheSite(t *testing.T) {
	loads := `  - {id: little, name: Little, at: DB1-1, use: other, reading: R2, runs: {calendar: always}}
  - {id: much, name: Much, at: DB2-1, use: other, reading: R4, runs: {calendar: always}}
  - {id: some, name: Some, at: DB1-2, use: other, reading: R3, runs: {calendar: always}}`
	wrong := func(id, at string, kw float64) string {
		return fmt.Sprintf("  - {id: %s, at: %s, wiring: 1P2W, phases: {A: {voltage: 230.0 V, current: %.2f A, power: %.3f kW, apparent: %.3f VA}}}\n", id, at, kw/0.23, kw, kw)
	}
	s := small{loads: loads, points: boards, instrument: instrument("CAT III 600 V"),
		readings: "  - {id: R1, at: incomer, wiring: 3P4W, sequence: ACB, phases: {A: {voltage: 230.0 V}}}\n" +
			wrong("R2", "DB1-1", 1) + wrong("R3", "DB1-2", 3) + wrong("R4", "DB2-1", 10)}
	var got []string
	for _, d := range s.run(t).Doubts {
		got = append(got, d.Reading+" "+d.ID)
	}
	want := "R1 category-too-low, R4 unit-slip, R3 unit-slip, R2 unit-slip, R1 sequence-reversed"
	if strings.Join(got, ", ") != want {
		t.Errorf("order %q, want %q", strings.Join(got, ", "), want)
	}
}

// Each reading knows the doubts that are about it, also where one doubt is about
// several.
func TestDoubtsStandBesideEachReading(t *testing.T) {
	s := small{visit: "2031-10-01", readings: "  - {id: R1, at: DB1-1, wiring: 1P2W, phases: {A: {voltage: 230.0 V}}}\n  - {id: R2, at: DB1-2, wiring: 1P2W, phases: {A: {voltage: 230.0 V}}}"}
	r := s.run(t)
	if len(r.Doubts) != 1 || strings.Join(r.Doubts[0].Also, " ") != "R2" {
		t.Fatalf("doubts %+v", r.Doubts)
	}
	for _, rd := range r.Readings {
		if got := ids(rd.Doubts); got != "out-of-calibration" {
			t.Errorf("beside %s stands %q", rd.ID, got)
		}
	}
}

// What a meter behind transformers shows on the secondary side is multiplied
// once, and the working shows it.
func TestRatiosAreAppliedOnce(t *testing.T) {
	for _, c := range []struct {
		set           string
		kw, amperes   float64
		kind, working string
	}{{"no", 7.36, 80, "derived", "R1.A.current.secondary"}, {"yes", 0.184, 2, "measured", "R1.ct"}} {
		s := small{readings: three("R1", "DB1-1", "2.000", "0.184", ", ratios: {ct: 200/5, set: "+c.set+"}"), instrument: strings.Replace(plainInstrument, "1 A", "0.01 A", 1)}
		r := s.run(t)
		a := r.Readings[0].Phases[0]
		nearly(t, "current", a.Current.V, c.amperes, 1e-9)
		nearly(t, "power", a.Power.V, c.kw*1e3, 1e-9)
		if string(a.Current.Kind) != c.kind {
			t.Errorf("set: %s: the current is %s", c.set, a.Current.Kind)
		}
		if _, ok := r.Sheet.Get("readings." + c.working); !ok {
			t.Errorf("set: %s: no step %s", c.set, c.working)
		}
	}
}

// A minus before a power factor is read as the instrument's file has it.
func TestSignOfPowerFactor(t *testing.T) {
	for sign, reactive := range map[string]float64{"lag": 1380, "lead": -1380} {
		s := small{instrument: plainInstrument + "\npower-factor-sign = \"" + sign + "\"", readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 230.0 V, current: 10.00 A, pf: -0.80}}")}
		a := s.reading(t).Phases[0]
		nearly(t, sign+": power", a.Power.V, 1840, 1e-9)
		nearly(t, sign+": reactive power", a.Reactive.V, reactive, 1e-9)
	}
}

// The components of three voltages with their angles: a published case of
// phasors (Gönen, Electric Power Transmission System Engineering, 2nd ed.,
// example 9.1: V_0 1.47, V_1 3.97, V_2 2.52).
func TestComponentsFromAngles(t *testing.T) {
	s := small{supply: "{system: 3P4W, voltage: 400 V, frequency: 50 Hz, limits: europe}",
		readings: one("DB1-1", "3P4W", "phases: {A: {voltage: 7.3 V, voltage-angle: 12.5 °}, B: {voltage: 0.4 V, voltage-angle: -100 °}, C: {voltage: 4.4 V, voltage-angle: 154 °}}")}
	c := s.reading(t).Components
	for what, x := range map[string][2]float64{"V_0": {c.Zero.V, 1.47}, "V_1": {c.Positive.V, 3.97}, "V_2": {c.Negative.V, 2.52}} {
		if math.Abs(x[0]-x[1]) > 0.005 {
			t.Errorf("%s %.4f V, want %.2f V", what, x[0], x[1])
		}
	}
	nearly(t, "zero-sequence share", c.ZeroShare.V, c.Zero.V/c.Positive.V, 1e-12)
}

// A load whose reading gives no power is refused with the mistake behind it.
func TestRefusedLoadTellsTheMistake(t *testing.T) {
	s := turned("", backward, backward, backward)
	s.loads = "  - {id: pump, name: Pump, at: DB1-1, use: water, reading: R1, runs: {calendar: always}}"
	if _, err := Run(s.record(t)); err == nil || !strings.Contains(err.Error(), "gives no power for pump, for the clamps are all on backwards") {
		t.Errorf("refused with %v", err)
	}
}
