package waveform

import (
	"math/rand/v2"
	"strings"
	"testing"

	"auditgen/internal/power"
)

// three makes a four-wire system with some unbalance and distortion.
func three(r *rand.Rand, rate, f float64, n int) map[string][]float64 {
	waves := map[string][]float64{}
	for k, name := range []string{"a", "b", "c"} {
		turn := -120 * float64(k)
		waves["u_"+name] = made(n, rate, f, part{1, 230 * (0.95 + 0.1*r.Float64()), turn + 6*r.Float64() - 3}, part{5, 5, 5 * turn})
		phi := 60*r.Float64() - 20
		waves["i_"+name] = made(n, rate, f, part{1, 10 + 90*r.Float64(), turn - phi}, part{3, 8, 0}, part{7, 5, 7*turn + 20})
	}
	return waves
}

func TestRotationLeavesTotalsAlone(t *testing.T) {
	r := rand.New(rand.NewPCG(20310514, 4))
	for draw := range 40 {
		f, rate := 45+20*r.Float64(), 6400.0
		w := three(r, rate, f, int(rate/f*11))
		turned := map[string][]float64{
			"u_a": w["u_b"], "u_b": w["u_c"], "u_c": w["u_a"], "i_a": w["i_b"], "i_b": w["i_c"], "i_c": w["i_a"],
		}
		one, err := Analyse(record(rate, w))
		two, err2 := Analyse(record(rate, turned))
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		a, b := one.Total, two.Total
		for _, c := range []struct {
			what string
			x, y float64
		}{
			{"P", float64(a.Active), float64(b.Active)}, {"Q1", float64(a.Reactive), float64(b.Reactive)},
			{"S_A", float64(a.Arithmetic), float64(b.Arithmetic)}, {"S_e", float64(a.Effective.Apparent), float64(b.Effective.Apparent)},
			{"u2", float64(a.Negative), float64(b.Negative)}, {"u0", float64(a.Zero), float64(b.Zero)},
			{"i2", float64(a.NegativeCurrent), float64(b.NegativeCurrent)}, {"NEMA", float64(a.NEMA), float64(b.NEMA)},
			{"S_U1", float64(a.Effective.Unbalance), float64(b.Effective.Unbalance)}, {"P1+", float64(a.Effective.PositiveActive), float64(b.Effective.PositiveActive)},
			{"I_N", float64(one.Neutral.RMS), float64(two.Neutral.RMS)},
		} {
			if !near(c.x, c.y, 1e-6, 1e-6) {
				t.Errorf("draw %d: %s %.9g, turned %.9g", draw, c.what, c.x, c.y)
			}
		}
		e := a.Effective
		d2 := sq(float64(e.CurrentDistortion)) + sq(float64(e.VoltageDistortion)) + sq(float64(e.Harmonic))
		if !near(sq(float64(e.NonFundamental)), d2, 1e-9, 0) || !near(sq(float64(e.Fundamental)), sq(float64(e.Positive))+sq(float64(e.Unbalance)), 1e-9, 0) {
			t.Errorf("draw %d: the effective parts do not close", draw)
		}
		if a.Vector > a.Arithmetic*(1+1e-9) || a.Arithmetic > e.Apparent*(1+1e-9) || a.Sequence != power.ABC {
			t.Errorf("draw %d: order of the apparent powers, sequence %v", draw, a.Sequence)
		}
		swapped, err := Analyse(record(rate, map[string][]float64{
			"u_a": w["u_b"], "u_b": w["u_a"], "u_c": w["u_c"], "i_a": w["i_b"], "i_b": w["i_a"], "i_c": w["i_c"],
		}))
		if err != nil || swapped.Total.Sequence != power.ACB || !near(float64(swapped.Total.Active), float64(a.Active), 1e-6, 0) {
			t.Errorf("draw %d: two phases exchanged: %v", draw, swapped.Total.Sequence)
		}
		if t.Failed() {
			return
		}
	}
}

// Three wires: two line voltages and two currents give what three of each, taken
// against a neutral point, give. That is the two-wattmeter method.
func TestThreeWires(t *testing.T) {
	rate, f := 10000.0, 50.02
	n := 2300
	w := map[string][]float64{}
	var u, i [3][]float64
	for k := range 3 {
		turn := -120 * float64(k)
		u[k] = made(n, rate, f, part{1, 230 + 5*float64(k), turn}, part{5, 6, 5 * turn})
	}
	i[0] = made(n, rate, f, part{1, 20, -25}, part{7, 3, 40})
	i[1] = made(n, rate, f, part{1, 26, -150}, part{5, 2, 10})
	i[2] = combine(i[0], -1, i[1], -1)
	w["u_ab"], w["u_bc"] = combine(u[0], 1, u[1], -1), combine(u[1], 1, u[2], -1)
	w["i_a"], w["i_c"] = i[0], i[2]
	a, err := Analyse(record(rate, w))
	if err != nil {
		t.Fatal(err)
	}
	want := 0.0
	full, err := Analyse(record(rate, map[string][]float64{"u_a": u[0], "u_b": u[1], "u_c": u[2], "i_a": i[0], "i_b": i[1], "i_c": i[2]}))
	if err != nil {
		t.Fatal(err)
	}
	want = float64(full.Total.Active)
	if !near(float64(a.Total.Active), want, 1e-6, 0) || a.Neutral != nil || !near(float64(a.Total.Negative), float64(full.Total.Negative), 1e-5, 0) || a.Total.Zero > 1e-9 {
		t.Errorf("P %g, want %g; u2 %g, want %g; neutral %v", a.Total.Active, want, a.Total.Negative, full.Total.Negative, a.Neutral)
	}
	if len(a.Lines) != 3 || !a.Lines[0].Measured || a.Lines[2].Measured || !strings.Contains(strings.Join(a.Notes, "; "), "i_b was not recorded") {
		t.Errorf("lines %v, notes %q", len(a.Lines), a.Notes)
	}
}

// Three rectifiers on three phases: the third order fills the neutral.
func TestTriplenNeutral(t *testing.T) {
	rate, f, n := 12800.0, 50.0, 2560
	w := map[string][]float64{}
	for k, name := range []string{"a", "b", "c"} {
		turn := -120 * float64(k)
		w["u_"+name] = made(n, rate, f, part{1, 230, turn})
		w["i_"+name] = made(n, rate, f, part{1, 100, turn}, part{3, 30, 3 * turn})
	}
	a, err := Analyse(record(rate, w))
	if err != nil {
		t.Fatal(err)
	}
	if !near(float64(a.Neutral.RMS), 90, 1e-9, 0) || !near(float64(a.Phases[0].Current.RMS), 104.403065, 1e-8, 0) || a.Neutral.Fundamental > 1e-9 || !near(float64(a.Neutral.Orders[2].Size), 90, 1e-9, 0) {
		t.Errorf("neutral %g A of order 3 %g A beside %g A in a line", a.Neutral.RMS, a.Neutral.Orders[2].Size, a.Phases[0].Current.RMS)
	}
}
