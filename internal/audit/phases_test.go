package audit

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"auditgen/internal/site"
	"auditgen/internal/working"
)

// field finds a value of a reading by words such as "A.power" or "total.pf".
func field(t *testing.T, r Reading, path string) Value {
	t.Helper()
	where, what, _ := strings.Cut(path, ".")
	switch path {
	case "neutral":
		return r.Neutral
	case "unbalance":
		return r.VoltageUnbalance
	case "negative":
		return r.NegativeSequence
	case "current-unbalance":
		return r.CurrentUnbalance
	}
	if strings.HasPrefix(where, "W-") {
		return r.Wattmeters[site.LineIndex(where[2:])]
	}
	p := r.Total
	if where != "total" {
		p = r.phase(where)
	}
	v, ok := map[string]Value{"voltage": p.Voltage, "current": p.Current, "power": p.Power, "reactive": p.Reactive, "apparent": p.Apparent, "pf": p.PF, "angle": p.Angle}[what]
	if !ok {
		t.Fatalf("no field %q", path)
	}
	return v
}

// wants is what a reading must come to: base units; absent when NaN.
type wants map[string]float64

var absent = math.NaN()

func (w wants) hold(t *testing.T, r Reading) {
	t.Helper()
	for path, want := range w {
		got := field(t, r, path)
		switch {
		case math.IsNaN(want) && got.Known():
			t.Errorf("%s is %g, but nothing tells it", path, got.V)
		case math.IsNaN(want):
		case !got.Known():
			t.Errorf("%s is absent, want %g", path, want)
		default:
			nearly(t, path, got.V, want, 1e-6)
		}
	}
}

const (
	splitSupply = "{system: 1P3W, voltage: 240 V, frequency: 60 Hz, limits: north-america}"
	motor       = "{voltage: 230.0 V, current: 10.00 A, pf: 0.80 lag}"
)

// Each wiring comes to its total in its own way.
func TestWirings(t *testing.T) {
	for _, c := range []struct {
		name, supply, at, wiring, shows string
		want                            wants
	}{
		{"one phase", "", "DB1-1", "1P2W", "phases: {A: " + motor + "}",
			wants{"A.apparent": 2300, "A.power": 1840, "A.reactive": 1380, "total.power": 1840, "total.reactive": 1380, "total.apparent": 2300, "total.pf": 0.8, "total.voltage": absent}},
		{"one phase, second letter", "", "DB1-1", "1P2W", "phases: {L2: " + motor + "}",
			wants{"L2.power": 1840, "total.power": 1840}},
		{"between two lines", "", "DB1-1", "1P2W", "lines: {BC: {voltage: 400.0 V, current: 5.00 A, pf: 0.90 lag}}",
			wants{"BC.apparent": 2000, "BC.power": 1800, "total.power": 1800, "total.pf": 0.9}},
		{"split phase", splitSupply, "DB1-1", "1P3W", "phases: {A: {voltage: 120.0 V, current: 10.00 A, pf: 0.90 lag}, B: {voltage: 121.0 V, current: 20.00 A, pf: 1.00}, N: {current: 10.1 A}}",
			wants{"A.power": 1080, "B.power": 2420, "total.power": 3500, "total.apparent": 3620, "neutral": 10.1, "total.pf": 3500.0 / 3620}},
		{"split phase, one leg unknown", splitSupply, "DB1-1", "1P3W", "phases: {A: {voltage: 120.0 V, current: 10.00 A, pf: 0.90 lag}, B: {voltage: 121.0 V}}",
			wants{"A.power": 1080, "B.power": absent, "total.power": absent, "total.apparent": absent, "total.pf": absent}},
		{"two wattmeters", "", "DB1-1", "3P3W", "phases: {A: {current: 25.0 A}, C: {current: 25.0 A}}, lines: {AB: {voltage: 400.0 V, power: 5.00 kW}, CB: {voltage: 400.0 V, power: 9.00 kW}, CA: {voltage: 400.0 V}}",
			wants{"total.power": 14000, "total.apparent": math.Sqrt(3) * 400 * 25, "total.pf": 14000 / (math.Sqrt(3) * 10000), "total.reactive": math.Sqrt(3e8 - 1.96e8), "W-AB": 5000, "W-BC": 9000, "W-CA": absent, "A.power": absent}},
		{"two wattmeters, one negative", "", "DB1-1", "3P3W", "phases: {A: {current: 10.0 A}, C: {current: 10.0 A}}, lines: {AB: {voltage: 400.0 V, power: -0.50 kW}, CB: {voltage: 400.0 V, power: 2.50 kW}, CA: {voltage: 400.0 V}}",
			wants{"total.power": 2000, "W-AB": -500, "total.pf": 2000 / (math.Sqrt(3) * 4000)}},
		{"two wattmeters without currents", "", "DB1-1", "3P3W", "lines: {AB: {voltage: 400.0 V, power: 5.00 kW}, CB: {voltage: 400.0 V, power: 9.00 kW}}",
			wants{"total.power": 14000, "total.apparent": absent, "total.pf": absent, "total.reactive": absent}},
		{"one wattmeter of two", "", "DB1-1", "3P3W", "lines: {AB: {voltage: 400.0 V, power: 5.00 kW}}",
			wants{"total.power": absent, "total.apparent": absent}},
		{"four wires", "", "DB1-1", "3P4W", "phases: {A: {power: 1.00 kW, reactive: 0.50 kvar}, B: {power: 2.00 kW, reactive: 1.00 kvar}, C: {power: 3.00 kW, reactive: 0.00 kvar}}",
			wants{"total.power": 6000, "total.reactive": 1500, "A.apparent": math.Sqrt(1.25e6), "total.apparent": math.Sqrt(1.25e6) + math.Sqrt(5e6) + 3000}},
		{"four wires, two phases read", "", "DB1-1", "3P4W", "phases: {A: " + motor + ", B: " + motor + "}",
			wants{"A.power": 1840, "total.power": absent, "total.apparent": absent, "total.reactive": absent}},
		{"a reversed clamp is summed as shown", "", "DB1-1", "3P4W", "phases: {A: {power: 1.00 kW}, B: {power: 1.00 kW}, C: {power: -1.00 kW}}",
			wants{"total.power": 1000, "total.reactive": absent}},
		{"balanced", "", "DB1-1", "3P4W", "balanced: yes, phases: {A: " + motor + "}",
			wants{"total.power": 5520, "total.reactive": 4140, "total.apparent": 6900, "total.pf": 0.8, "current-unbalance": absent}},
		{"balanced, three wires", "", "DB1-1", "3P3W", "balanced: yes, phases: {A: " + motor + "}",
			wants{"total.power": 5520, "total.apparent": 6900}},
		{"unbalance", "", "DB1-1", "3P4W", "phases: {A: {current: 9.0 A}, B: {current: 10.0 A}, C: {current: 11.0 A}}, lines: {AB: {voltage: 396.0 V}, BC: {voltage: 400.0 V}, CA: {voltage: 404.0 V}}",
			wants{"current-unbalance": 0.1, "unbalance": 0.01}},
		{"two line voltages tell no unbalance", "", "DB1-1", "3P4W", "phases: {A: {current: 9.0 A}, B: {current: 10.0 A}}, lines: {AB: {voltage: 396.0 V}, BC: {voltage: 400.0 V}}",
			wants{"current-unbalance": absent, "unbalance": absent, "negative": absent}},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.want.hold(t, small{supply: c.supply, readings: one(c.at, c.wiring, c.shows)}.reading(t))
		})
	}
}

// Any subset that settles a phase completes it.
func TestSubsetsComplete(t *testing.T) {
	for _, c := range []struct {
		shows string
		want  wants
	}{
		{"voltage: 230.0 V, current: 10.00 A, pf: 0.60 lag", wants{"A.apparent": 2300, "A.power": 1380, "A.reactive": 1840}},
		{"voltage: 230.0 V, current: 10.00 A, pf: 0.60 lead", wants{"A.power": 1380, "A.reactive": -1840}},
		{"voltage: 230.0 V, current: 10.00 A, pf: 0.60", wants{"A.reactive": 1840}},
		{"voltage: 230.0 V, current: 10.00 A, power: 1.38 kW", wants{"A.apparent": 2300, "A.reactive": 1840, "A.pf": 0.6}},
		{"voltage: 230.0 V, current: 10.00 A, reactive: 1.84 kvar", wants{"A.power": 1380, "A.pf": 0.6}},
		{"voltage: 230.0 V, current: 10.00 A, angle: 60.0 °", wants{"A.power": 1150, "A.reactive": 2300 * math.Sqrt(3) / 2, "A.pf": 0.5}},
		{"voltage: 230.0 V, current: 10.00 A, angle: -60.0 °", wants{"A.power": 1150, "A.reactive": -2300 * math.Sqrt(3) / 2}},
		{"power: 1.38 kW, pf: 0.60 lag", wants{"A.apparent": 2300, "A.reactive": 1840, "A.current": absent, "A.voltage": absent}},
		{"power: 3.00 kW, reactive: 4.00 kvar", wants{"A.apparent": 5000, "A.pf": 0.6, "A.current": absent}},
		{"power: 3.00 kW, reactive: -4.00 kvar", wants{"A.apparent": 5000, "A.pf": 0.6}},
		{"apparent: 2.30 kVA, pf: 0.60 lag", wants{"A.power": 1380, "A.reactive": 1840}},
		{"apparent: 2.30 kVA, power: 1.38 kW", wants{"A.reactive": 1840, "A.pf": 0.6}},
		{"voltage: 230.0 V, apparent: 2.30 kVA, pf: 0.60 lag", wants{"A.current": 10, "A.power": 1380}},
		{"voltage: 230.0 V, power: 1.38 kW, pf: 0.60 lag", wants{"A.current": 10, "A.apparent": 2300}},
		{"power: -1.38 kW, pf: -0.60", wants{"A.apparent": 2300, "A.power": -1380}},
		{"voltage: 230.0 V, current: 10.00 A", wants{"A.apparent": 2300, "A.power": absent, "A.reactive": absent, "A.pf": absent}},
		{"power: 1.38 kW", wants{"A.power": 1380, "A.apparent": absent, "A.reactive": absent, "A.pf": absent}},
		{"current: 10.00 A", wants{"A.apparent": absent, "A.power": absent}},
		{"voltage: 230.0 V", wants{"A.current": absent, "A.power": absent}},
		{"power: 0 W, pf: 0.00", wants{"A.apparent": absent, "A.reactive": absent, "A.current": absent}},
		{"power: 2.00 kW, apparent: 1.90 kVA", wants{"A.reactive": absent, "A.pf": 2000.0 / 1900}},
	} {
		t.Run(c.shows, func(t *testing.T) {
			c.want.hold(t, small{readings: one("DB1-1", "1P2W", "phases: {A: {"+c.shows+"}}")}.reading(t))
		})
	}
}

// A total typed alone is enough for a load; what does not follow stays absent.
func TestTotalAlone(t *testing.T) {
	for _, c := range []struct {
		wiring, shows string
		want          wants
	}{
		{"3P4W", "power: 16.20 kW", wants{"total.power": 16200, "total.apparent": absent, "total.reactive": absent, "total.pf": absent}},
		{"3P4W", "power: 16.20 kW, pf: 0.90 lag", wants{"total.apparent": 18000, "total.reactive": 16200 * math.Tan(math.Acos(0.9))}},
		{"3P4W", "power: 3.00 kW, reactive: 4.00 kvar", wants{"total.apparent": 5000, "total.pf": 0.6}},
		{"3P3W", "power: 3.00 kW, apparent: 5.00 kVA", wants{"total.pf": 0.6, "total.reactive": 4000}},
		{"1P3W", "power: 2.40 kW, apparent: 2.50 kVA", wants{"total.pf": 0.96, "total.reactive": 700}},
		{"1P2W", "voltage: 230.0 V, current: 10.00 A, pf: 0.60 lag", wants{"total.power": 1380}},
		// One voltage by one current is not the power of three conductors.
		{"3P4W", "voltage: 230.0 V, current: 10.00 A, pf: 0.60 lag", wants{"total.voltage": 230, "total.current": 10, "total.apparent": absent, "total.power": absent}},
		{"3P3W", "voltage: 400.0 V, current: 10.00 A", wants{"total.apparent": absent}},
		{"1P3W", "voltage: 240.0 V, power: 2.00 kW, pf: 1.00", wants{"total.apparent": 2000, "total.current": absent}},
	} {
		t.Run(c.wiring+" "+c.shows, func(t *testing.T) {
			c.want.hold(t, small{readings: one("DB1-1", c.wiring, "total: {"+c.shows+"}")}.reading(t))
		})
	}
}

// What was typed stands as typed, even where it contradicts the rest.
func TestTypedIsNeverReplaced(t *testing.T) {
	const phase = "{voltage: 231.0 V, current: 9.00 A, power: 1.11 kW, reactive: 2.22 kvar, apparent: 3.33 kVA, pf: 0.44 lag, angle: 12.0 °}"
	typed := wants{"voltage": 231, "current": 9, "power": 1110, "reactive": 2220, "apparent": 3330, "pf": 0.44, "angle": 12}
	for _, wiring := range []string{"1P2W", "3P4W"} {
		for _, balanced := range []string{"", "balanced: yes, "} {
			if wiring == "1P2W" && balanced != "" {
				continue
			}
			r := small{readings: one("DB1-1", wiring, balanced+"phases: {A: "+phase+"}, total: "+phase)}.reading(t)
			for what, want := range typed {
				for _, where := range []string{"A.", "total."} {
					v := field(t, r, where+what)
					if !v.Known() || math.Abs(v.V-want) > 1e-9*want || v.Kind != working.Measured {
						t.Errorf("%s %s%s is %g (%s), want %g as typed", wiring, where, what, v.V, v.Kind, want)
					}
				}
			}
		}
	}
}

// A derived value says which steps it rests on; a measured one where it stands.
func TestValuesKnowWhereTheyComeFrom(t *testing.T) {
	r := small{readings: one("DB1-1", "3P4W", fmt.Sprintf("phases: {A: %s, B: %s, C: %s}", motor, motor, motor))}.run(t)
	for _, p := range append(r.Readings[0].Phases, r.Readings[0].Total) {
		for _, v := range []Value{p.Voltage, p.Current, p.Power, p.Reactive, p.Apparent, p.PF} {
			if !v.Known() {
				continue
			}
			st, ok := r.Sheet.Get(v.Step)
			switch {
			case !ok:
				t.Errorf("no step %s", v.Step)
			case v.Kind == working.Measured && (st.Pos.Line == 0 || st.Typed == ""):
				t.Errorf("%s is measured but does not say where it is typed", v.Step)
			case v.Kind == working.Derived && (st.Formula == nil || len(st.From) == 0):
				t.Errorf("%s is derived from nothing", v.Step)
			}
		}
	}
}

// The limit of error of a total follows from what was shown.
func TestPowerError(t *testing.T) {
	angle := math.Pi / 180
	for _, c := range []struct {
		name, wiring, shows string
		want                float64
	}{
		{"one phase", "1P2W", "phases: {A: {power: 2.00 kW, reactive: 1.00 kvar}}", 0.015*2000 + 50 + angle*1000},
		{"no angle known", "1P2W", "phases: {A: {power: 2.00 kW}}", 0.015*2000 + 50},
		{"three phases", "3P4W", "phases: {A: {power: 2.00 kW}, B: {power: 2.0 kW}, C: {power: 2000 W}}", 0.015*6000 + 50 + 500 + 5},
		{"a reversed phase errs like any other", "3P4W", "phases: {A: {power: 2.00 kW}, B: {power: 2.00 kW}, C: {power: -2.00 kW}}", 0.015*6000 + 150},
		{"balanced", "3P4W", "balanced: yes, phases: {A: {power: 2.00 kW}}", 3 * (30 + 50)},
		{"two wattmeters", "3P3W", "lines: {AB: {voltage: 400 V, power: -1.00 kW}, CB: {voltage: 400 V, power: 3.00 kW}}", 0.015*4000 + 100},
		{"total alone", "3P4W", "total: {power: 12.40 kW}", 0.015*12400 + 50},
		{"the total stands before the phases", "3P4W", "phases: {A: {power: 2.00 kW}, B: {power: 2.00 kW}, C: {power: 2.00 kW}}, total: {power: 6.0 kW}", 0.015*6000 + 500},
		{"volts and amperes", "1P2W", "phases: {A: {voltage: 230.0 V, current: 10.00 A, pf: 0.80 lag}}", 1840 * (0.005 + 0.01 + 0.01)},
		{"one phase shown, two worked out", "3P4W", "phases: {A: {power: 2.00 kW}, B: {voltage: 200.0 V, current: 10.00 A, pf: 1.00}, C: {voltage: 200.0 V, current: 10.00 A, pf: 1.00}}", 0.015*2000 + 50 + 4000*0.025},
		{"between two lines", "1P2W", "lines: {AB: {voltage: 400 V, power: 2.00 kW}}", 0.015*2000 + 50},
	} {
		t.Run(c.name, func(t *testing.T) {
			nearly(t, "limit of error", small{readings: one("DB1-1", c.wiring, c.shows)}.reading(t).PowerError, c.want, 1e-9)
		})
	}
}

// The distortion is brought to one base, and back.
func TestDistortionBases(t *testing.T) {
	for _, c := range []struct {
		shows         string
		thd, ofRMS    float64
		fundamental   float64
		orders        int
		kindOfTHDStep working.Kind
	}{
		{"current: {phase: A, thd: 75.0 % of fundamental}", 0.75, 0.6, 8, 0, working.Measured},
		{"current: {phase: A, thd: 60.0 % of rms}", 0.75, 0.6, 8, 0, working.Derived},
		{"current: {phase: A, orders: {3: 60.0 %, 5: 45.0 %}}", 0.75, 0.6, 8, 2, working.Derived},
		{"voltage: {phase: L1, thd: 0.0 % of fundamental}", 0, 0, 230, 0, working.Measured},
	} {
		r := small{readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 230.0 V, current: 10.00 A}}, harmonics: {"+c.shows+"}")}.reading(t)
		if len(r.Waves) != 1 {
			t.Fatalf("%s: %d waves", c.shows, len(r.Waves))
		}
		w := r.Waves[0]
		nearly(t, c.shows+" of fundamental", w.THD.V, c.thd, 1e-9)
		nearly(t, c.shows+" of rms", w.THDOfRMS.V, c.ofRMS, 1e-9)
		nearly(t, c.shows+" fundamental", w.Fundamental.V, c.fundamental, 1e-9)
		if len(w.Orders) != c.orders || w.THD.Kind != c.kindOfTHDStep {
			t.Errorf("%s: %d orders, thd %s", c.shows, len(w.Orders), w.THD.Kind)
		}
	}
}
