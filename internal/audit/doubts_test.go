package audit

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"auditgen/internal/diag"
)

// whole is a reading in which everything that a meter shows agrees.
const whole = `  - id: R1
    at: DB1-1
    wiring: 3P4W
    phases:
      A: {voltage: 230.0 V, current: 10.00 A, power: 1.84 kW, reactive: 0.92 kvar, apparent: 2.30 kVA, pf: 0.80 lag}
      B: {voltage: 231.0 V, current: 10.00 A, power: 1.85 kW, reactive: 1.39 kvar, apparent: 2.31 kVA, pf: 0.80 lag}
      C: {voltage: 229.0 V, current: 10.00 A, power: 1.83 kW, reactive: 1.37 kvar, apparent: 2.29 kVA, pf: 0.80 lag}
      N: {current: 0.2 A}
    lines: {AB: {voltage: 399.2 V}, BC: {voltage: 398.4 V}, CA: {voltage: 397.5 V}}
    total: {power: 5.52 kW, reactive: 3.68 kvar, apparent: 6.90 kVA, pf: 0.80 lag}
    sequence: ABC
    frequency: 50.0 Hz
    harmonics:
      current: {phase: A, thd: 50.0 % of fundamental, orders: {3: 40.0 %, 5: 30.0 %}}
      voltage: {phase: A, thd: 3.0 % of fundamental, orders: {5: 2.4 %, 7: 1.8 %}}`

// doubted is a site with what must be doubted, and where.
type doubted struct {
	name  string
	swap  []string // old and new texts of the whole reading
	site  small    // instead of the whole reading, with swaps applied to nothing
	want  string   // ids
	phase string
	cause string // part of the cause
}

func (c doubted) result(t *testing.T) *Result {
	t.Helper()
	s := c.site
	if s.readings == "" {
		text := whole
		for i := 0; i < len(c.swap); i += 2 {
			if strings.Count(text, c.swap[i]) != 1 {
				t.Fatalf("%q stands %d times in the reading", c.swap[i], strings.Count(text, c.swap[i]))
			}
			text = strings.Replace(text, c.swap[i], c.swap[i+1], 1)
		}
		s.readings = text
	}
	return s.run(t)
}

func instrument(category string) string {
	return strings.Replace(plainInstrument, "CAT IV 600 V", category, 1)
}

const (
	backwards = "power: -1.83 kW, reactive: -1.37 kvar, apparent: 2.29 kVA, pf: -0.80}"
	forwards  = "power: 1.83 kW, reactive: 1.37 kvar, apparent: 2.29 kVA, pf: 0.80 lag}"
	single    = "phases: {A: {voltage: 230.0 V, current: 10.00 A"
	kilowatts = "  - {id: base, name: Base, at: DB1-1, use: other, power: 10 kW, runs: {calendar: always}}"
)

// Each mistake raises its own doubt and no other. Those on the limit, just
// inside, raise none. The limits are worked out by hand from 0.5 % + 5 digits
// of voltage, 1 % + 5 of current, 1.5 % + 5 of power, 3 % + 5 of distortion.
var doubtCases = []doubted{
	{name: "all agrees"},

	{name: "clamp backwards on one phase", swap: []string{forwards, backwards, "total: {power: 5.52 kW, reactive: 3.68 kvar, apparent: 6.90 kVA, pf: 0.80 lag}", "total: {power: 1.86 kW}"}, want: "current-reversed", phase: "C", cause: "clamp on phase C"},
	{name: "clamp backwards, one phase alone", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {power: -1.84 kW}}")}, want: "current-reversed", phase: "A", cause: "flows back"},
	{name: "negative wattmeter is no mistake", site: small{readings: one("DB1-1", "3P3W", "lines: {AB: {voltage: 400 V, power: -0.50 kW}, CB: {voltage: 400 V, power: 2.50 kW}}")}},

	{name: "decimal point of a current", swap: []string{"A: {voltage: 230.0 V, current: 10.00 A", "A: {voltage: 230.0 V, current: 100.0 A"}, want: "decimal-point", phase: "A", cause: "decimal point"},
	{name: "power and current a thousand off", site: small{readings: one("DB1-1", "1P2W", single+", apparent: 2.30 VA}}")}, want: "unit-slip", phase: "A", cause: "factor of 1,000"},
	{name: "line voltage for phase voltage in the apparent power", site: small{readings: one("DB1-1", "1P2W", single+", apparent: 3.98 kVA}}")}, want: "line-and-phase-mixed", phase: "A", cause: "between lines"},
	{name: "apparent power beyond 0.1375 kVA", site: small{readings: one("DB1-1", "1P2W", single+", apparent: 2.44 kVA}}")}, want: "apparent-against-volts-and-amperes", phase: "A", cause: "one moment"},
	{name: "apparent power within it", site: small{readings: one("DB1-1", "1P2W", single+", apparent: 2.43 kVA}}")}},

	{name: "displacement for true power factor", swap: []string{"power: 1.84 kW, reactive: 0.92 kvar, apparent: 2.30 kVA, pf: 0.80 lag", "power: 1.84 kW, reactive: 0.92 kvar, apparent: 2.30 kVA, pf: 0.98 lag"}, want: "power-factor-against-powers", phase: "A", cause: "displacement"},
	{name: "power factor below what the powers give", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {power: 1.84 kW, apparent: 2.30 kVA, pf: 0.71 lag}}")}, want: "power-factor-against-powers", phase: "A", cause: "one moment"},
	{name: "power factor of the total", swap: []string{"apparent: 6.90 kVA, pf: 0.80 lag", "apparent: 6.90 kVA, pf: 0.93 lag"}, want: "power-factor-against-powers", phase: "total"},
	{name: "power factor beyond 0.083", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {power: 1.84 kW, apparent: 2.30 kVA, pf: 0.89 lag}}")}, want: "power-factor-against-powers", phase: "A"},
	{name: "power factor within it", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {power: 1.84 kW, apparent: 2.30 kVA, pf: 0.88 lag}}")}},

	{name: "reactive power written down wrongly", swap: []string{"reactive: 0.92 kvar", "reactive: 3.18 kvar"}, want: "powers-do-not-close", phase: "A"},
	{name: "powers make 0.24 kVA too much", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {power: 1.84 kW, reactive: 1.38 kvar, apparent: 2.06 kVA}}")}, want: "powers-do-not-close", phase: "A"},
	{name: "powers make 0.20 kVA too much", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {power: 1.84 kW, reactive: 1.38 kvar, apparent: 2.10 kVA}}")}},
	{name: "distortion explains powers that make less", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {power: 1.00 kW, reactive: 0.20 kvar, apparent: 2.00 kVA}}")}},

	{name: "total misread", swap: []string{"total: {power: 5.52 kW, reactive: 3.68 kvar, apparent: 6.90 kVA, pf: 0.80 lag}", "total: {power: 55.2 kW}"}, want: "decimal-point", phase: "total", cause: "decimal point"},
	{name: "balanced taken for three", site: small{readings: one("DB1-1", "3P4W", "balanced: yes, phases: {A: {power: 2.00 kW}}, total: {power: 2.00 kW}")}, want: "total-against-phases", phase: "total"},
	{name: "total 0.40 kW off", site: small{readings: one("DB1-1", "3P4W", "phases: {A: {power: 2.00 kW}, B: {power: 2.00 kW}, C: {power: 2.00 kW}}, total: {power: 6.40 kW}")}, want: "total-against-phases", phase: "total"},
	{name: "total 0.38 kW off", site: small{readings: one("DB1-1", "3P4W", "phases: {A: {power: 2.00 kW}, B: {power: 2.00 kW}, C: {power: 2.00 kW}}, total: {power: 6.38 kW}")}},
	{name: "one phase of three says nothing of a total", site: small{readings: one("DB1-1", "3P4W", "phases: {A: {power: 2.00 kW}}, total: {power: 6.00 kW}")}},
	{name: "split phase total", site: small{supply: splitSupply, readings: one("DB1-1", "1P3W", "phases: {A: {power: 2.00 kW}, B: {power: 2.00 kW}}, total: {power: 6.00 kW}")}, want: "total-against-phases", phase: "total"},

	{name: "voltage leads exchanged", swap: []string{"AB: {voltage: 399.2 V}", "AB: {voltage: 231.0 V}"}, want: "phase-voltage-for-line-voltage", phase: "AB"},
	{name: "line voltage 14.6 V off", site: small{readings: one("DB1-1", "3P4W", "phases: {A: {voltage: 230.0 V}, B: {voltage: 230.0 V}}, lines: {AB: {voltage: 413.0 V}}")}, want: "line-against-phase-voltage", phase: "AB"},
	{name: "line voltage 14.4 V off", site: small{readings: one("DB1-1", "3P4W", "phases: {A: {voltage: 230.0 V}, B: {voltage: 230.0 V}}, lines: {AB: {voltage: 412.8 V}}")}},

	{name: "voltage between lines for one to neutral", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 400.0 V}}")}, want: "line-voltage-for-phase-voltage", phase: "A", cause: "between two lines"},
	{name: "no voltage", site: small{readings: one("DB1-1", "1P2W", "phases: {B: {voltage: 0.0 V}}")}, want: "voltage-implausible", phase: "B"},
	{name: "a fifth and more above", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 277.2 V}}")}, want: "voltage-implausible", phase: "A"},
	{name: "a fifth above", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 277.0 V}}")}},
	{name: "a fifth and more below", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 184.7 V}}")}, want: "voltage-implausible", phase: "A"},
	{name: "a fifth below", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 184.8 V}}")}},
	{name: "split phase to neutral", site: small{supply: splitSupply, readings: one("DB1-1", "1P3W", "phases: {A: {voltage: 121.0 V}, B: {voltage: 119.0 V}}")}},
	{name: "both legs taken for one", site: small{supply: splitSupply, readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 240.0 V}}")}, want: "line-voltage-for-phase-voltage", phase: "A"},
	{name: "single-phase supply", site: small{supply: "{system: 1P2W, voltage: 230 V, frequency: 50 Hz, limits: europe}", readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 228.0 V}}")}},

	{name: "distortion of rms as one of fundamental", swap: []string{"thd: 50.0 % of fundamental", "thd: 44.7 % of fundamental"}, want: "distortion-base", phase: "A", cause: "rms"},
	{name: "distortion of rms said to be so", swap: []string{"thd: 50.0 % of fundamental", "thd: 44.7 % of rms"}},
	{name: "voltage's orders", swap: []string{"orders: {5: 2.4 %, 7: 1.8 %}", "orders: {5: 24.0 %, 7: 1.8 %}"}, want: "orders-against-distortion", phase: "A"},
	{name: "orders 4.1 points over", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {current: 10.0 A}}, harmonics: {current: {phase: A, thd: 45.9 % of fundamental, orders: {3: 40.0 %, 5: 30.0 %}}}")}, want: "distortion-base", phase: "A"},
	{name: "orders 4.0 points over", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {current: 10.0 A}}, harmonics: {current: {phase: A, thd: 46.0 % of fundamental, orders: {3: 40.0 %, 5: 30.0 %}}}")}},
	{name: "whole per cents hide more", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {current: 10.0 A}}, harmonics: {current: {phase: A, thd: 42 % of fundamental, orders: {3: 40.0 %, 5: 30.0 %}}}")}},
	{name: "distortion without orders", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {current: 10.0 A}}, harmonics: {current: {phase: A, thd: 46.0 % of fundamental}}")}},
	{name: "orders without distortion", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {current: 10.0 A}}, harmonics: {current: {phase: A, orders: {3: 46.0 %}}}")}},

	{name: "meter set to 60 Hz", swap: []string{"frequency: 50.0 Hz", "frequency: 60.0 Hz"}, want: "frequency-off"},
	{name: "frequency beyond 2 %", swap: []string{"frequency: 50.0 Hz", "frequency: 51.1 Hz"}, want: "frequency-off"},
	{name: "frequency within 2 %", swap: []string{"frequency: 50.0 Hz", "frequency: 51.0 Hz"}},

	{name: "load too small for the clamp", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {current: 0.9 A}}")}, want: "current-too-small", phase: "A"},
	{name: "smallest current", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {current: 1.0 A}, N: {current: 0.1 A}}")}},
	{name: "no current", site: small{readings: one("DB1-1", "1P2W", "phases: {A: {current: 0.0 A}}")}},

	{name: "calibration ran out yesterday", site: small{visit: "2031-09-03", readings: whole}, want: "out-of-calibration"},
	{name: "calibration runs out today", site: small{visit: "2031-09-02", readings: whole}},

	{name: "category for boards at the incomer", site: small{instrument: instrument("CAT III 1000 V"), readings: strings.Replace(whole, "DB1-1", "incomer", 1)}, want: "category-too-low"},
	{name: "category for boards at a board", site: small{instrument: instrument("CAT III 300 V"), readings: whole}},
	{name: "voltage of the category too low", site: small{instrument: instrument("CAT III 150 V"), readings: whole}, want: "category-too-low"},
	{name: "category for sockets at a board", site: small{instrument: instrument("CAT II 1000 V"), readings: whole}, want: "category-too-low"},
	{name: "category for sockets where the place is one", site: small{instrument: instrument("CAT II 300 V"), points: "{incomer: {name: Incomer}, DB1: {name: Socket, from: incomer, category: CAT II}}", readings: whole}},
	{name: "120 V to neutral", site: small{supply: splitSupply, instrument: instrument("CAT IV 150 V"), readings: one("incomer", "1P3W", "phases: {A: {voltage: 120.0 V}, B: {voltage: 120.0 V}}")}},

	{name: "boards 0.41 kW below the incomer", site: small{readings: wholeAndParts("10.00", "9.59")}, want: "parts-against-whole"},
	{name: "boards 0.39 kW below the incomer", site: small{readings: wholeAndParts("10.00", "9.61")}},
	{name: "boards above the incomer", site: small{readings: wholeAndParts("10.00", "10.50")}, want: "parts-against-whole"},
	{name: "a board that was not read leaves a gap", site: small{points: "{incomer: {name: Incomer}, DB1: {name: Board, from: incomer}, DB2: {name: Other board, from: incomer}}", readings: wholeAndParts("10.00", "2.00")}},
	{name: "circuits of the incomer's own take the rest", site: small{loads: plainLoad + "\n  - {id: water, name: Water heater, at: incomer-2, use: water, power: 6 kW, runs: {calendar: always}}", readings: wholeAndParts("10.00", "4.00")}},
	{name: "parts above the whole, whatever else it feeds", site: small{loads: plainLoad + "\n  - {id: water, name: Water heater, at: incomer-2, use: water, power: 6 kW, runs: {calendar: always}}", readings: wholeAndParts("10.00", "10.50")}, want: "parts-against-whole"},
	{name: "a way of a board is not the board", site: small{readings: strings.Replace(wholeAndParts("10.00", "2.00"), "at: DB1,", "at: DB1-1,", 1)}},

	{name: "a load is missing", site: small{loads: kilowatts, readings: one("incomer", "3P4W", "total: {power: 10.21 kW}")}, want: "reading-above-expected-demand"},
	{name: "the list explains the reading", site: small{loads: kilowatts, readings: one("incomer", "3P4W", "total: {power: 10.20 kW}")}},
	{name: "a spot reading may catch all cycling loads at once", site: small{loads: strings.Replace(kilowatts, "calendar: always", "calendar: always, duty: 10 %, cycle: 5 min, count: 4", 1), readings: one("incomer", "3P4W", "total: {power: 40.00 kW}")}},
	{name: "but not more than all of them", site: small{loads: strings.Replace(kilowatts, "calendar: always", "calendar: always, duty: 100 %, count: 4", 1), readings: one("incomer", "3P4W", "total: {power: 42.00 kW}")}, want: "reading-above-expected-demand"},
	{name: "a part of the site may take less", site: small{loads: kilowatts, readings: one("DB1", "3P4W", "total: {power: 12.00 kW}")}},
	{name: "another year's list does not speak of the day", site: small{more: "year: 2032\n", loads: kilowatts, readings: one("incomer", "3P4W", "total: {power: 12.00 kW}")}},
}

func wholeAndParts(incomer, board string) string {
	return "  - {id: R1, at: incomer, wiring: 3P4W, total: {power: " + incomer + " kW}}\n  - {id: R2, at: DB1, wiring: 3P4W, total: {power: " + board + " kW}}"
}

func TestDoubts(t *testing.T) {
	for _, c := range slices.Concat(doubtCases, mistakeCases) {
		t.Run(c.name, func(t *testing.T) {
			r := c.result(t)
			if got := ids(r.Doubts); got != c.want {
				t.Fatalf("doubts %q, want %q", got, c.want)
			}
			if c.want == "" {
				return
			}
			d := r.Doubts[0]
			if d.Phase != c.phase || !strings.Contains(d.Cause, c.cause) {
				t.Errorf("doubt of phase %q because %q, want phase %q because %q", d.Phase, d.Cause, c.phase, c.cause)
			}
			soundDoubt(t, r, d)
		})
	}
}

var brokenWords = regexp.MustCompile(`%!|NaN|Inf|  |\bnil\b`)

// soundDoubt holds a doubt to what each must say.
func soundDoubt(t *testing.T, r *Result, d Doubt) {
	t.Helper()
	for what, text := range map[string]string{"what": d.What, "cause": d.Cause, "retake": d.Retake} {
		if text == "" || brokenWords.MatchString(text) {
			t.Errorf("%s of %s: %q", what, d.ID, text)
		}
	}
	if d.Pos == (diag.Pos{}) || d.Pos.Line == 0 {
		t.Errorf("%s does not say where the reading stands", d.ID)
	}
	if !slices.ContainsFunc(r.Readings, func(x Reading) bool { return x.ID == d.Reading }) {
		t.Errorf("%s is about %q, which is no reading", d.ID, d.Reading)
	}
	for _, id := range d.Steps {
		if _, ok := r.Sheet.Get(id); !ok {
			t.Errorf("%s cites step %s, which is not there", d.ID, id)
		}
	}
}

// Every doubt that the passes can raise, by the text of the package, is raised
// by a case above.
func TestEveryDoubtHasACase(t *testing.T) {
	raised := map[string]bool{}
	for _, c := range slices.Concat(doubtCases, mistakeCases) {
		raised[c.want] = true
	}
	form := regexp.MustCompile(`"([a-z]+(?:-[a-z]+)+)"`)
	files, err := filepath.Glob("doubts_*.go")
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for _, f := range append(files, "tree.go") {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range form.FindAllStringSubmatch(string(text), -1) {
			found++
			if !raised[m[1]] {
				t.Errorf("%s: no case raises %s", f, m[1])
			}
		}
	}
	if found < 30 {
		t.Errorf("%d doubts found in the package's text; the form that finds them is out of date", found)
	}
}

// The doubts of one reading come in the order in which they are settled, and
// stand beside the reading too.
func TestOrderOfDoubts(t *testing.T) {
	s := small{visit: "2031-10-01", instrument: instrument("CAT II 300 V"), readings: one("DB1-1", "1P2W", "phases: {A: {voltage: 230.0 V, current: 0.5 A, power: -0.11 kW}}, frequency: 55.0 Hz")}
	r := s.run(t)
	const want = "category-too-low out-of-calibration frequency-off current-too-small"
	if got := ids(r.Doubts); got != want {
		t.Errorf("doubts %q, want %q", got, want)
	}
	if got := ids(r.Readings[0].Doubts); got != want {
		t.Errorf("beside the reading %q, want %q", got, want)
	}
}
