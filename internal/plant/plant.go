// Package plant computes what a meter would show on a known installation:
// loads on boards, feeders with impedance, a supply with unbalance and
// background distortion. It makes the readings of the demonstration site and
// the consistent readings that the checks must not doubt. It serves tests and
// the maker of the example; no result of an assessment comes from it.
package plant

import (
	"math"
	"math/cmplx"
	"slices"
)

// Plant is an installation on a three-phase supply.
type Plant struct {
	Supply     [3]complex128   // V, fundamental, line to neutral, behind the source impedance
	Source     complex128      // Ω a phase, at the fundamental
	Background map[int]float64 // share of the fundamental voltage by order, behind the source
	Boards     []Board
	Loads      []Load
}

// Board is fed from the incomer over a feeder.
type Board struct {
	ID     string
	Feeder complex128 // Ω a phase, at the fundamental
}

// Load takes constant power. It stands on the phases given; each takes its part
// as the square of its voltage, as a winding or heater does.
type Load struct {
	ID, Board string
	Phases    []int           // 0, 1, 2
	Power     float64         // W, of the fundamental, all phases
	PF        float64         // displacement power factor, lagging
	Spectrum  map[int]float64 // harmonic currents as a share of the fundamental
}

// Wave holds the phasors of one voltage or current by order, 1 for the fundamental.
type Wave map[int]complex128

// RMS is the rms value over all orders.
func (w Wave) RMS() float64 {
	sum := 0.0
	for _, h := range w.orders() {
		sum += real(w[h])*real(w[h]) + imag(w[h])*imag(w[h])
	}
	return math.Sqrt(sum)
}

func (w Wave) orders() []int {
	hs := make([]int, 0, len(w))
	for h := range w {
		hs = append(hs, h)
	}
	slices.Sort(hs)
	return hs
}

// Share is the magnitude of an order as a share of the fundamental.
func (w Wave) Share(h int) float64 { return cmplx.Abs(w[h]) / cmplx.Abs(w[1]) }

// THD is the total harmonic distortion as a share of the fundamental.
func (w Wave) THD() float64 {
	sum := 0.0
	for _, h := range w.orders() {
		if h > 1 {
			sum += w.Share(h) * w.Share(h)
		}
	}
	return math.Sqrt(sum)
}

func (w Wave) add(x Wave) {
	for _, h := range x.orders() {
		w[h] += x[h]
	}
}

// Terminal is what flows at one place: voltage and current of each phase.
type Terminal struct {
	V, I [3]Wave
}

// State is a solved plant.
type State struct {
	Incomer Terminal
	Boards  map[string]Terminal
	Loads   map[string]Terminal
}

func newTerminal() Terminal {
	var t Terminal
	for i := range t.V {
		t.V[i], t.I[i] = Wave{}, Wave{}
	}
	return t
}

// Solve finds voltages and currents with the loads named in on running. The
// loads' currents follow from the voltage at their board and that from the
// currents, so it goes round until nothing moves by more than a microvolt.
func (p *Plant) Solve(on ...string) State {
	boards := map[string]Terminal{}
	for _, b := range p.Boards {
		t := newTerminal()
		for i := range t.V {
			t.V[i][1] = p.Supply[i]
		}
		boards[b.ID] = t
	}
	for range 200 {
		s := p.currents(boards, on)
		moved := 0.0
		for _, b := range p.Boards {
			t := s.Boards[b.ID]
			for i := range t.V {
				for h, v := range t.V[i] {
					moved = max(moved, cmplx.Abs(v-boards[b.ID].V[i][h]))
				}
			}
			boards[b.ID] = t
		}
		if moved < 1e-6 {
			return s
		}
	}
	return p.currents(boards, on)
}

// at scales an impedance of the fundamental to an order: resistance stays,
// reactance grows with frequency.
func at(z complex128, h int) complex128 { return complex(real(z), imag(z)*float64(h)) }

func (p *Plant) currents(boards map[string]Terminal, on []string) State {
	s := State{Incomer: newTerminal(), Boards: map[string]Terminal{}, Loads: map[string]Terminal{}}
	for _, b := range p.Boards {
		s.Boards[b.ID] = newTerminal()
	}
	for _, l := range p.Loads {
		if !slices.Contains(on, l.ID) {
			continue
		}
		t := newTerminal()
		for _, i := range l.Phases {
			t.I[i] = l.current(i, boards[l.Board].V)
			s.Boards[l.Board].I[i].add(t.I[i])
			s.Incomer.I[i].add(t.I[i])
		}
		s.Loads[l.ID] = t
	}
	for i := range s.Incomer.V {
		for _, h := range p.orders(s) {
			source := complex(0, 0)
			if h == 1 {
				source = p.Supply[i]
			} else if share, ok := p.Background[h]; ok {
				source = cmplx.Rect(share*cmplx.Abs(p.Supply[i]), float64(h)*cmplx.Phase(p.Supply[i]))
			}
			s.Incomer.V[i][h] = source - at(p.Source, h)*s.Incomer.I[i][h]
			for _, b := range p.Boards {
				s.Boards[b.ID].V[i][h] = s.Incomer.V[i][h] - at(b.Feeder, h)*s.Boards[b.ID].I[i][h]
			}
		}
	}
	for id, t := range s.Loads {
		for _, l := range p.Loads {
			if l.ID == id {
				t.V = s.Boards[l.Board].V
				s.Loads[id] = t
			}
		}
	}
	return s
}

func (p *Plant) orders(s State) []int {
	set := map[int]bool{1: true}
	for h := range p.Background {
		set[h] = true
	}
	for i := range s.Incomer.I {
		for h := range s.Incomer.I[i] {
			set[h] = true
		}
	}
	hs := make([]int, 0, len(set))
	for h := range set {
		hs = append(hs, h)
	}
	slices.Sort(hs)
	return hs
}

// current gives a load's current in one phase for the voltage there. A
// harmonic's angle turns with its order times the fundamental's, as that of a
// rectifier's does, so triplen orders of the three phases are in phase.
func (l Load) current(phase int, volts [3]Wave) Wave {
	squares := 0.0
	for _, i := range l.Phases {
		squares += math.Pow(cmplx.Abs(volts[i][1]), 2)
	}
	v := volts[phase][1]
	p := l.Power * math.Pow(cmplx.Abs(v), 2) / squares
	phi := math.Acos(l.PF)
	i1 := cmplx.Rect(p/(cmplx.Abs(v)*l.PF), cmplx.Phase(v)-phi)
	w := Wave{1: i1}
	for h, share := range l.Spectrum {
		w[h] = cmplx.Rect(share*cmplx.Abs(i1), float64(h)*cmplx.Phase(i1)+math.Pi)
	}
	return w
}

// Shown is what a meter shows of one phase.
type Shown struct {
	V, I    float64 // rms
	P, Q, S float64 // W; var of the fundamental, lagging positive; VA
	PF      float64
}

// Phase gives what a meter with its clamp and lead on phase i shows.
func (t Terminal) Phase(i int) Shown {
	var p float64
	for _, h := range t.I[i].orders() {
		p += real(t.V[i][h] * cmplx.Conj(t.I[i][h]))
	}
	v, a := t.V[i].RMS(), t.I[i].RMS()
	s := Shown{V: v, I: a, P: p, Q: imag(t.V[i][1] * cmplx.Conj(t.I[i][1])), S: v * a}
	if s.S > 0 {
		s.PF = s.P / s.S
	}
	return s
}

// Line gives the rms voltage between phases i and the one after it.
func (t Terminal) Line(i int) float64 { return t.between(i, (i+1)%3).RMS() }

func (t Terminal) between(i, j int) Wave {
	w := Wave{}
	for _, h := range t.V[i].orders() {
		w[h] = t.V[i][h] - t.V[j][h]
	}
	return w
}

// Wattmeter gives the power that a wattmeter shows with its clamp on phase i
// and its voltage between i and j, as the two-wattmeter method has it.
func (t Terminal) Wattmeter(i, j int) float64 {
	p := 0.0
	v := t.between(i, j)
	for _, h := range t.I[i].orders() {
		p += real(v[h] * cmplx.Conj(t.I[i][h]))
	}
	return p
}

// Neutral is the rms current of the neutral.
func (t Terminal) Neutral() float64 {
	w := Wave{}
	for i := range t.I {
		w.add(t.I[i])
	}
	return w.RMS()
}
