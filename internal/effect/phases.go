package effect

import (
	"slices"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// Circuit is a one-phase circuit that may hang on any phase, with its power and
// reactive power.
type Circuit struct {
	ID    string
	Phase int // counted from 0
	P     quantity.Watts
	Q     quantity.Vars
}

// Move takes a circuit to another phase.
type Move struct {
	Circuit  int
	From, To int
}

// exactUpTo is how many circuits are worked out by trying every arrangement that
// may be best; beyond it circuits are moved one and two at a time until no move
// helps.
const exactUpTo = 12

// Spread is the sum of the squares of what each phase carries beyond the mean, the
// fixed part of each phase counted in: W² and var² together. It is nothing for a
// balanced site, and goes with the heat in the neutral. There are as many phases
// as the fixed part has.
func Spread(fixed []complex128, circuits []Circuit) float64 {
	s := slices.Clone(fixed)
	for _, c := range circuits {
		s[c.Phase] += complex(float64(c.P), float64(c.Q))
	}
	mean := complex128(0)
	for _, v := range s {
		mean += v / complex(float64(len(s)), 0)
	}
	sum := 0.0
	for _, v := range s {
		d := v - mean
		sum += real(d)*real(d) + imag(d)*imag(d)
	}
	return sum
}

// Rebalance gives the moves that spread circuits most evenly over the phases, three
// or the two legs of a split-phase supply, as many as the fixed part has; among arrangements that are as even within a ten-thousandth, the one with the
// fewest moves.
func Rebalance(fixed []complex128, circuits []Circuit) []Move {
	best := append([]Circuit{}, circuits...)
	if len(circuits) <= exactUpTo {
		best = exhaust(fixed, circuits)
	} else {
		descend(fixed, best)
	}
	var moves []Move
	for i, c := range best {
		if c.Phase != circuits[i].Phase {
			moves = append(moves, Move{i, circuits[i].Phase, c.Phase})
		}
	}
	return moves
}

// even is within what share of the first spread two arrangements count as alike.
const even = 1e-4

// exhaust tries all arrangements, circuit by circuit.
func exhaust(fixed []complex128, circuits []Circuit) []Circuit {
	slack := even * Spread(fixed, circuits)
	s := &search{circuits: circuits, now: append([]Circuit{}, circuits...), sums: slices.Clone(fixed), slack: slack}
	s.best = append([]Circuit{}, circuits...)
	s.spread, s.moved = Spread(fixed, circuits), 0
	s.try(0, 0)
	return s.best
}

type search struct {
	circuits, now, best []Circuit
	sums                []complex128
	spread, slack       float64
	moved               int
}

func (s *search) try(i, moved int) {
	if i == len(s.circuits) {
		spread := Spread(s.sums, nil)
		if spread < s.spread-s.slack || spread <= s.spread+s.slack && moved < s.moved {
			s.spread, s.moved = min(spread, s.spread), moved
			copy(s.best, s.now)
		}
		return
	}
	c := s.circuits[i]
	power := complex(float64(c.P), float64(c.Q))
	for k := range s.sums {
		phase := (c.Phase + k) % len(s.sums)
		s.now[i].Phase = phase
		s.sums[phase] += power
		more := 0
		if k > 0 {
			more = 1
		}
		s.try(i+1, moved+more)
		s.sums[phase] -= power
	}
}

// descend moves one circuit, or exchanges two, as long as that helps.
func descend(fixed []complex128, cs []Circuit) {
	slack := even * Spread(fixed, cs)
	for now := Spread(fixed, cs); ; {
		to, i, k := step(fixed, cs, now-slack)
		if i < 0 {
			return
		}
		if k >= 0 {
			cs[i].Phase, cs[k].Phase = cs[k].Phase, cs[i].Phase
		} else {
			cs[i].Phase = to
		}
		now = Spread(fixed, cs)
	}
}

// step finds the move or exchange that gives the least spread below a limit; i is
// -1 where there is none, k is -1 for a move.
func step(fixed []complex128, cs []Circuit, limit float64) (to, i, k int) {
	i, k = -1, -1
	for a := range cs {
		was := cs[a].Phase
		for p := range fixed {
			cs[a].Phase = p
			if s := Spread(fixed, cs); s < limit {
				limit, to, i, k = s, p, a, -1
			}
		}
		cs[a].Phase = was
		for b := a + 1; b < len(cs); b++ {
			cs[a].Phase, cs[b].Phase = cs[b].Phase, cs[a].Phase
			if s := Spread(fixed, cs); s < limit {
				limit, i, k = s, a, b
			}
			cs[a].Phase, cs[b].Phase = cs[b].Phase, cs[a].Phase
		}
	}
	return to, i, k
}

// LossSavedF is the share of the heat in the lines and a neutral of equal size that
// balancing three currents saves, resistive loads taken: 1 less the heat of three
// equal currents over that of these with their neutral.
var LossSavedF = working.Def3("copper loss saved by balancing", "r = 1 - (a + b + c)^2 / 3 / (2 * (a^2 + b^2 + c^2) - a * b - b * c - c * a)", "Joule's law, currents at equal power factor, neutral as large as the lines", "a", "b", "c",
	func(a, b, c quantity.Amperes) quantity.Ratio {
		lines := a*a + b*b + c*c
		neutral := lines - a*b - b*c - c*a
		mean := (a + b + c) / 3
		return quantity.Ratio(1 - 3*mean*mean/(lines+neutral))
	})
