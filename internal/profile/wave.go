package profile

import (
	"cmp"
	"math"
	"slices"
)

// atom is a power that one machine may show as its mean over a demand window,
// with the probability that it does.
type atom struct{ p, watts, vars float64 }

// level is a power that a machine holds for a share of its time on calendar.
type level struct{ share, watts, vars float64 }

// levels lists a machine's modes and idling, those of no share left out. Shares
// that miss 1 by a rounding are put right.
func (m *Machine) levels(out []level) []level {
	out = out[:0]
	sum := 0.0
	add := func(share float64, p Power) {
		if share > shareSlack {
			out = append(out, level{share, float64(p.P), float64(p.Q)})
			sum += share
		}
	}
	for _, mode := range m.Modes {
		add(mode.Share, mode.Power)
	}
	add(m.rest(), m.Idle)
	for i := range out {
		out[i].share /= sum
	}
	return out
}

// atoms gives the distribution of the mean power of one machine, its calendar
// being on, over a window in hours.
//
// With a known cycle the machine is taken to go round its modes in blocks, and
// the window to fall anywhere in the round with equal chance: exact for any
// ratio of window to cycle, from the steady mean of a cycle much shorter than
// the window to the plain shares of one much longer. Without a known cycle
// each window shows one of the modes.
func (m *Machine) atoms(window float64) []atom {
	levels := m.levels(nil)
	if m.Cycle == 0 || len(levels) == 1 {
		out := make([]atom, len(levels))
		for i, l := range levels {
			out[i] = atom{l.share, l.watts, l.vars}
		}
		return merge(out)
	}
	return around(levels, window/float64(m.Cycle))
}

// lobatto holds the nodes and weights of the Gauss-Lobatto rule of five points
// on 0 to 1, which gives the moments of an even ramp exactly to the seventh and
// keeps its two ends.
var lobatto = func() (rule [5]struct{ at, weight float64 }) {
	x := math.Sqrt(3.0 / 7)
	for i, n := range []float64{-1, -x, 0, x, 1} {
		rule[i].at = (1 + n) / 2
	}
	for i, w := range []float64{1.0 / 20, 49.0 / 180, 16.0 / 45, 49.0 / 180, 1.0 / 20} {
		rule[i].weight = w
	}
	return rule
}()

// around gives the distribution of a window's mean on a cycle, its length given
// in cycles.
func around(levels []level, length float64) []atom { return merge(ring(levels, length)) }

// ring moves a window around a cycle. Its mean power is a line between the
// places where either end of it meets a change of mode.
func ring(levels []level, length float64) []atom {
	whole, rest := math.Modf(length)
	edges := make([]float64, 0, 2*len(levels)+2)
	edge := 0.0
	for _, l := range levels {
		edges = append(edges, edge, wrap(edge-rest))
		edge += l.share
	}
	edges = append(edges, 1)
	slices.Sort(edges)

	full := inside(levels, 1)
	mean := func(at float64) atom {
		a, b := inside(levels, at), inside(levels, wrap(at+rest))
		if at+rest >= 1 {
			b.watts, b.vars = b.watts+full.watts, b.vars+full.vars
		}
		return atom{0, (whole*full.watts + b.watts - a.watts) / length, (whole*full.vars + b.vars - a.vars) / length}
	}
	var out []atom
	for i := 1; i < len(edges); i++ {
		from, to := edges[i-1], edges[i]
		if to-from < 1e-12 {
			continue
		}
		// Between its edges the mean is a line: two points inside give both
		// ends without asking which side of an edge they are on.
		a, b := mean(from+(to-from)/4), mean(to-(to-from)/4)
		start := atom{0, a.watts - (b.watts-a.watts)/2, a.vars - (b.vars-a.vars)/2}
		dp, dq := 2*(b.watts-a.watts), 2*(b.vars-a.vars)
		for _, node := range lobatto {
			out = append(out, atom{(to - from) * node.weight, start.watts + node.at*dp, start.vars + node.at*dq})
		}
	}
	return out
}

func wrap(x float64) float64 { return x - math.Floor(x) }

// inside adds up the powers over the first part of a cycle.
func inside(levels []level, part float64) (sum atom) {
	for _, l := range levels {
		t := min(l.share, part)
		sum.watts += t * l.watts
		sum.vars += t * l.vars
		if part -= t; part <= 0 {
			break
		}
	}
	return sum
}

// merge joins atoms of like power.
func merge(atoms []atom) []atom {
	slices.SortFunc(atoms, func(a, b atom) int {
		return cmp.Or(cmp.Compare(a.watts, b.watts), cmp.Compare(a.vars, b.vars))
	})
	scale := 0.0
	for _, a := range atoms {
		scale = max(scale, math.Abs(a.watts), math.Abs(a.vars))
	}
	out := atoms[:0]
	for _, a := range atoms {
		if last := len(out) - 1; last >= 0 && math.Abs(out[last].watts-a.watts) <= 1e-9*scale && math.Abs(out[last].vars-a.vars) <= 1e-9*scale {
			out[last].p += a.p
			continue
		}
		out = append(out, a)
	}
	return out
}
