package plant

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s: %.9g, want %.9g within %.2g", what, got, want, tolerance)
	}
}

// states are solved plants to hold the laws against: the demonstration and a
// number of random ones.
func states() []struct {
	plant Plant
	on    []string
} {
	type solved = struct {
		plant Plant
		on    []string
	}
	all := []solved{{Creamery(), CreameryRunning}}
	rng := rand.New(rand.NewPCG(7, 11))
	for range 25 {
		p, on := randomPlant(rng)
		all = append(all, solved{p, on})
	}
	return all
}

func randomPlant(rng *rand.Rand) (Plant, []string) {
	v := 400 / math.Sqrt(3)
	p := Plant{Source: complex(0.004+0.01*rng.Float64(), 0.01+0.03*rng.Float64()), Background: map[int]float64{3: 0.01 * rng.Float64(), 5: 0.03 * rng.Float64(), 7: 0.01 * rng.Float64()}}
	for i := range 3 {
		p.Supply[i] = cmplx.Rect(v*(0.97+0.05*rng.Float64()), (-120*float64(i)+rng.Float64()-0.5)*math.Pi/180)
	}
	var on []string
	for b := range 2 + rng.IntN(3) {
		board := string(rune('P' + b))
		p.Boards = append(p.Boards, Board{board, complex(0.005+0.02*rng.Float64(), 0.002+0.006*rng.Float64())})
		for k := range 1 + rng.IntN(4) {
			l := Load{ID: board + string(rune('0'+k)), Board: board, Phases: []int{0, 1, 2}, Power: 1000 + 9000*rng.Float64(), PF: 0.6 + 0.4*rng.Float64()}
			if rng.IntN(3) == 0 {
				l.Phases, l.Power = []int{rng.IntN(3)}, 200+1500*rng.Float64()
			}
			if rng.IntN(3) == 0 {
				l.Spectrum = map[int]float64{3: 0.2 * rng.Float64(), 5: 0.5 * rng.Float64(), 7: 0.3 * rng.Float64()}
			}
			p.Loads = append(p.Loads, l)
			on = append(on, l.ID)
		}
	}
	return p, on
}

// Kirchhoff: at the incomer the currents of the boards add up, order by order.
func TestCurrentsAddUp(t *testing.T) {
	for n, c := range states() {
		s := c.plant.Solve(c.on...)
		for i := range 3 {
			for h, total := range s.Incomer.I[i] {
				var boards, loads complex128
				for _, b := range s.Boards {
					boards += b.I[i][h]
				}
				for _, l := range s.Loads {
					loads += l.I[i][h]
				}
				near(t, "boards against incomer", cmplx.Abs(boards-total), 0, 1e-9)
				near(t, "loads against incomer", cmplx.Abs(loads-total), 0, 1e-9)
			}
		}
		if t.Failed() {
			t.Fatalf("plant %d", n)
		}
	}
}

// What the incomer takes is what the boards take and what the feeders lose:
// the square of each order's current times the resistance.
func TestPowerBalances(t *testing.T) {
	for n, c := range states() {
		s := c.plant.Solve(c.on...)
		incomer, boards, loads, loss := 0.0, 0.0, 0.0, 0.0
		for i := range 3 {
			incomer += s.Incomer.Phase(i).P
			for _, b := range c.plant.Boards {
				boards += s.Boards[b.ID].Phase(i).P
				loss += math.Pow(s.Boards[b.ID].I[i].RMS(), 2) * real(b.Feeder)
			}
			for _, l := range s.Loads {
				loads += l.Phase(i).P
			}
		}
		near(t, "incomer against boards and feeder loss", incomer, boards+loss, 1e-3)
		near(t, "boards against loads", boards, loads, 1e-3)
		if loss <= 0 || loss > 0.05*incomer {
			t.Errorf("feeder loss of %.0f W of %.0f W", loss, incomer)
		}
		if t.Failed() {
			t.Fatalf("plant %d", n)
		}
	}
}

// A load takes the power and power factor of the fundamental that it is given.
func TestLoadsTakeTheirPower(t *testing.T) {
	p := Creamery()
	s := p.Solve(CreameryRunning...)
	for _, l := range p.Loads {
		at, ok := s.Loads[l.ID]
		if !ok {
			continue
		}
		var power complex128
		for i := range 3 {
			power += at.V[i][1] * cmplx.Conj(at.I[i][1])
		}
		near(t, l.ID+" active power of the fundamental", real(power), l.Power, 0.01)
		near(t, l.ID+" displacement power factor", real(power)/cmplx.Abs(power), l.PF, 1e-6)
	}
}

// What a load that is off would take flows nowhere.
func TestLoadsThatAreOffTakeNothing(t *testing.T) {
	p := Creamery()
	s := p.Solve("server")
	if len(s.Loads) != 1 {
		t.Errorf("%d loads run, want 1", len(s.Loads))
	}
	if rms := s.Boards["DB1"].I[0].RMS(); rms != 0 {
		t.Errorf("DB1 takes %g A", rms)
	}
	near(t, "phase A at the incomer", s.Incomer.Phase(0).I, 0, 0)
}

// The neutral carries the phasor sum of the phases. With three equal
// single-phase loads only orders divisible by three are left.
func TestNeutral(t *testing.T) {
	for _, c := range states() {
		s := c.plant.Solve(c.on...)
		squares := 0.0
		for _, h := range s.Incomer.I[0].orders() {
			squares += math.Pow(cmplx.Abs(s.Incomer.I[0][h]+s.Incomer.I[1][h]+s.Incomer.I[2][h]), 2)
		}
		near(t, "neutral against the sum of the phases", s.Incomer.Neutral(), math.Sqrt(squares), 1e-9)
	}
	p := symmetric()
	p.Loads = []Load{{"lamps", "B", []int{0, 1, 2}, 3000, 0.95, map[int]float64{3: 0.2, 5: 0.1, 9: 0.05}}}
	s := p.Solve("lamps")
	i1 := cmplx.Abs(s.Incomer.I[0][1])
	near(t, "neutral of balanced lamps", s.Incomer.Neutral(), 3*i1*math.Hypot(0.2, 0.05), 1e-3)
	p.Loads = []Load{{"one", "B", []int{1}, 1000, 1, nil}}
	s = p.Solve("one")
	near(t, "neutral of one phase", s.Incomer.Neutral(), s.Incomer.Phase(1).I, 1e-9)
}

func symmetric() Plant {
	v := 400 / math.Sqrt(3)
	return Plant{
		Supply: [3]complex128{cmplx.Rect(v, 0), cmplx.Rect(v, -2*math.Pi/3), cmplx.Rect(v, 2*math.Pi/3)},
		Boards: []Board{{"B", 0}},
	}
}

// Between two lines stands the difference of two phases: √3 times the phase
// voltage where they are equal, and by the law of cosines where they are not.
func TestLineVoltages(t *testing.T) {
	p := symmetric()
	s := p.Solve()
	for i := range 3 {
		near(t, "balanced line voltage", s.Incomer.Line(i), 400, 1e-9)
	}
	for _, c := range states() {
		s := c.plant.Solve(c.on...)
		for i := range 3 {
			squares := 0.0
			for _, h := range s.Incomer.V[i].orders() {
				a, b := s.Incomer.V[i][h], s.Incomer.V[(i+1)%3][h]
				angle := cmplx.Phase(a) - cmplx.Phase(b)
				squares += math.Pow(cmplx.Abs(a), 2) + math.Pow(cmplx.Abs(b), 2) - 2*cmplx.Abs(a)*cmplx.Abs(b)*math.Cos(angle)
			}
			near(t, "line voltage by the law of cosines", s.Incomer.Line(i), math.Sqrt(squares), 1e-6)
		}
	}
}

// Blondel: where no current flows in the neutral, two wattmeters show the
// power of any load, balanced or not, distorted or not, whichever line is
// common to them.
func TestTwoWattmetersShowThePower(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	for range 50 {
		term := newTerminal()
		power := 0.0
		for _, h := range []int{1, 3, 5, 7} {
			var sum complex128
			for i := range 3 {
				term.V[i][h] = cmplx.Rect(230/float64(h)*rng.Float64(), 2*math.Pi*rng.Float64())
				term.I[i][h] = cmplx.Rect(20/float64(h)*rng.Float64(), 2*math.Pi*rng.Float64())
				sum += term.I[i][h]
			}
			term.I[2][h] -= sum
			for i := range 3 {
				power += real(term.V[i][h] * cmplx.Conj(term.I[i][h]))
			}
		}
		near(t, "neutral of a three-wire load", term.Neutral(), 0, 1e-9)
		for common := range 3 {
			a, b := (common+1)%3, (common+2)%3
			near(t, "two wattmeters", term.Wattmeter(a, common)+term.Wattmeter(b, common), power, 1e-6)
		}
	}
}

// Below a power factor of 0.5 one of the two shows a negative power.
func TestWattmeterTurnsNegative(t *testing.T) {
	for _, c := range []struct {
		pf       float64
		negative bool
	}{{0.45, true}, {0.55, false}, {0.95, false}} {
		p := symmetric()
		p.Loads = []Load{{"motor", "B", []int{0, 1, 2}, 3000, c.pf, nil}}
		m := p.Solve("motor").Loads["motor"]
		w1, w2 := m.Wattmeter(0, 1), m.Wattmeter(2, 1)
		near(t, "sum", w1+w2, 3000, 1e-3)
		if got := min(w1, w2) < 0; got != c.negative {
			t.Errorf("power factor %.2f: wattmeters %.0f W and %.0f W", c.pf, w1, w2)
		}
		// tan φ = √3 (W2 − W1) / (W2 + W1)
		near(t, "tan φ", math.Sqrt(3)*(w2-w1)/(w1+w2), math.Tan(math.Acos(c.pf)), 1e-6)
	}
}

// The three powers of a phase obey P² + Q² ≤ S² by Cauchy and Schwarz, with
// equality for sine waves.
func TestPowersClose(t *testing.T) {
	for _, c := range states() {
		s := c.plant.Solve(c.on...)
		for id, term := range s.Loads {
			for i := range 3 {
				x := term.Phase(i)
				if math.Hypot(x.P, x.Q) > x.S*(1+1e-9) {
					t.Errorf("%s phase %d: %.1f W and %.1f var make more than %.1f VA", id, i, x.P, x.Q, x.S)
				}
			}
		}
	}
	p := symmetric()
	p.Loads = []Load{{"heater", "B", []int{0, 1, 2}, 3000, 0.8, nil}}
	x := p.Solve("heater").Loads["heater"].Phase(1)
	near(t, "sine wave", math.Hypot(x.P, x.Q), x.S, 1e-6)
	near(t, "power factor", x.PF, 0.8, 1e-9)
}

func TestWave(t *testing.T) {
	w := Wave{1: 3, 5: 4i}
	near(t, "rms", w.RMS(), 5, 1e-12)
	near(t, "thd", w.THD(), 4.0/3, 1e-12)
	near(t, "share", w.Share(5), 4.0/3, 1e-12)
}

func TestSolvingTwiceGivesTheSame(t *testing.T) {
	a, b := CreameryReadings(), CreameryReadings()
	if a != b {
		t.Error("two runs of the model show different readings")
	}
}
