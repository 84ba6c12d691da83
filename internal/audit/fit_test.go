package audit

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"auditgen/internal/working"
)

// fitted works out a site with one bill, fitted to it.
func fitted(t *testing.T, s small, bill string) *Result {
	t.Helper()
	s.more += "fit-to-bills: yes\n"
	files := s.files()
	files["sites/a/bills.yaml"] = &fstest.MapFile{Data: []byte("bills:\n  - {from: 2031-01-01, to: 2031-01-31, amount: 1.00 EUR, " + bill + "}\n")}
	return runFiles(t, files)
}

func alwaysOn(id, duty string) string {
	return fmt.Sprintf("  - {id: %s, name: %s, at: DB1-1, use: other, power: 10 kW, runs: {calendar: always, duty: %s}}\n", id, id, duty)
}

// Two loads of 10 kW, the duty of the one known half as well as that of the
// other: of what is missing it is given a fifth, by the squares of the doubts. By
// hand, in shares of 10 kW × 744 h.
func TestFitByHand(t *testing.T) {
	const whole = 10 * 744.0 // kWh
	for _, c := range []struct {
		name       string
		billed     float64 // of whole; the estimate is 1.00
		one, other float64 // duties after
		left       float64
		held       string
	}{
		{"more was billed", 1.10, 0.52, 0.58, 0, ""},
		{"less was billed", 0.95, 0.49, 0.46, 0, ""},
		{"one is held at its limit", 1.28, 0.58, 0.70, 0, "other"},
		{"both are held, and some is left", 1.36, 0.60, 0.70, 0.06, "one other"},
		{"nothing to do", 1.00, 0.50, 0.50, 0, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := fitted(t, small{loads: alwaysOn("one", "40..50..60 %") + alwaysOn("other", "30..50..70 %")}, fmt.Sprintf("energy: %.1f kWh", c.billed*whole))
			nearly(t, "one", r.Loads[0].Duty.V, c.one, 1e-6)
			nearly(t, "other", r.Loads[1].Duty.V, c.other, 1e-6)
			nearly(t, "January", r.Months[0].Energy.Value, whole*(c.one+c.other), 1e-6)
			if r.Fit == nil || len(r.Fit.Met) != 1 {
				t.Fatalf("fit %+v", r.Fit)
			}
			if d := r.Fit.Met[0].Left() - c.left*whole; d > 0.01 || d < -0.01 {
				t.Errorf("%g kWh left, want %g", r.Fit.Met[0].Left(), c.left*whole)
			}
			var held []string
			for _, l := range []string{"one", "other"} {
				for _, m := range r.Fit.Moved {
					if m.Held && m.Label == "duty of "+l {
						held = append(held, l)
					}
				}
			}
			if strings.Join(held, " ") != c.held {
				t.Errorf("held %v, want %q", held, c.held)
			}
			st, _ := r.Sheet.Get(r.Loads[0].Duty.Step)
			if c.one != 0.5 && (st.Kind != working.Assumed || !strings.HasSuffix(st.Typed, "fitted to the bills (typed 40..50..60 %)")) {
				t.Errorf("step %+v", st)
			}
		})
	}
}

// What was measured, judged or counted for certain stays; hours that were assumed
// move, each in its period. By hand: 372 h of 10 kW and of 3 kW are 3720 and 1116
// kWh; 3906 and 1060.2 were billed, 130.2 more in all. With x and y for what is
// added, the least of (x/a)² + (y/b)² + ((x-186)/p)² + ((y+55.8)/q)² with
// x + y = 130.2, where a and b are a tenth over √6 of the energies and p and q
// 0.03 of what was billed, is at
//
//	x = (130.2·v + 186/p² + (55.8 + 130.2)/q²) / (u + v),
//	u = 1/a² + 1/p², v = 1/b² + 1/q².
func TestFitByPeriods(t *testing.T) {
	s := small{
		calendars: "{day: {hours: {Mon-Sun: 08:00-20:00}, doubt: 100 % ± 10 %}, night: {hours: {Mon-Sun: 20:00-08:00}, doubt: 100 % ± 10 %}}",
		tariff:    "periods: {day: {days: Mon-Sun, hours: 08:00-20:00}, night: otherwise}\ncharges: [{id: day-units, energy: {period: day, price: 0.20 /kWh}}, {id: night-units, energy: {period: night, price: 0.10 /kWh}}]",
		loads: "  - {id: press, name: Press, at: DB1-1, use: other, power: 10 kW, runs: {calendar: day}}\n" +
			"  - {id: lamps, name: Lamps, at: DB1-1, use: other, power: 1 kW, runs: {calendar: night, count: 3}}",
	}
	square := func(x float64) float64 { return 1 / (x * x) }
	u := square(3720*0.1/math.Sqrt(6)) + square(0.03*3906)
	vb, vq := square(1116*0.1/math.Sqrt(6)), square(0.03*1060.2)
	x := (130.2*(vb+vq) + 186*square(0.03*3906) + 55.8*vq) / (u + vb + vq)
	r := fitted(t, s, "energy-by: {day: 3906 kWh, night: 1060.2 kWh}")
	nearly(t, "press", r.Loads[0].Energy.Value, 10*4380*(1+x/3720), 1e-5)
	nearly(t, "lamps", r.Loads[1].Energy.Value, 3*4380*(1+(130.2-x)/1116), 1e-5)
	if len(r.Fit.Met) != 3 || len(r.Fit.Moved) != 2 || r.Loads[1].Count.V != 3 {
		t.Errorf("fit %+v", r.Fit)
	}
	if r.Reconciled == nil || math.Abs(r.Reconciled.Gap.V) > 1e-6 {
		t.Errorf("gap %+v", r.Reconciled)
	}
}

// Nothing that may move, or no bill: the year is what it is without.
func TestFitWithoutRoom(t *testing.T) {
	s := small{loads: alwaysOn("one", "100 %")}
	if r := fitted(t, s, "energy: 8000 kWh"); r.Fit != nil || r.Loads[0].Duty.V != 1 {
		t.Errorf("fit %+v", r.Fit)
	}
	s = small{loads: alwaysOn("one", "40..50..60 %"), more: "fit-to-bills: yes\n"}
	if r := s.run(t); r.Fit != nil || r.Loads[0].Duty.V != 0.5 {
		t.Errorf("fit without a bill: %+v", r.Fit)
	}
}

// The states of a load never take more than all of its time.
func TestFittedStates(t *testing.T) {
	r := fitted(t, small{loads: "  - {id: it, name: It, at: DB1-1, use: other, states: {full: {power: 10 kW, duty: 40..50..60 %}, half: {power: 5 kW, duty: 30..40..70 %}}, runs: {calendar: always}}"}, "energy: 7000 kWh")
	if d := r.Loads[0].Duty.V; d > 1+1e-9 {
		t.Errorf("the states take %g of the time", d)
	}
	if len(r.Fit.Met) != 1 || r.Fit.Met[0].Left() <= 0 {
		t.Errorf("fit %+v", r.Fit)
	}
}
