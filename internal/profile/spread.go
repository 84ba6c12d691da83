package profile

import (
	"cmp"
	"math"
	"slices"
)

// The distribution of a sum of machines is kept on a grid of equal steps of
// power. A power between two steps is split between them so that its mean is
// exact, and the finished sum is drawn together about its mean by the little
// that splitting widened it, so that its standard deviation is exact too. With
// gridSteps over the whole range that chance can move, one step is 0.05 % of
// that range, and an expected maximum is within 0.2 % of it.
const gridSteps = 2048

// Machines whose whole range is below smallRange steps, and machines of many
// modes in large numbers, are lumped: by the central limit theorem their sum is
// taken as normal, with exact mean and deviation, inside its possible range.
const (
	smallRange = 3.0
	manyAlike  = 16
)

// tap is a probability at a number of grid steps, with the linked quantity
// that goes with it times the probability.
type tap struct {
	steps int
	p, pq float64
}

// group is a number of like machines whose power chance decides.
type group struct {
	machine         int // -1 for machines that hang together
	mask, value     Set // chance plays where on & mask == value
	alike           int
	atoms           []atom // of one machine: watts is the gridded, vars the linked quantity
	lowest, highest float64
	mean, variance  float64 // of the gridded quantity, all machines of the group
	linked          float64 // mean of the linked quantity
	shared          float64 // covariance of the two
	cycle           float64 // in windows, 1 or more
	members         []member
	swapped         bool // gridded by reactive power, active power linked
}

// active reports whether the group's machines may run while a set is on.
func (g *group) active(on Set) bool { return on&g.mask == g.value }

func newGroup(machine, calendar, alike int, atoms []atom, scale, cycle float64) group {
	g := group{machine: machine, mask: 1 << calendar, value: 1 << calendar, alike: alike, cycle: cycle}
	g.atoms = make([]atom, len(atoms))
	g.lowest, g.highest = math.Inf(1), math.Inf(-1)
	for i, a := range atoms {
		a.watts, a.vars = a.watts*scale, a.vars*scale
		g.atoms[i] = a
		g.lowest, g.highest = min(g.lowest, a.watts), max(g.highest, a.watts)
		g.mean += a.p * a.watts
		g.linked += a.p * a.vars
	}
	for _, a := range g.atoms {
		d := a.watts - g.mean
		g.variance += a.p * d * d
		g.shared += a.p * d * (a.vars - g.linked)
	}
	n := float64(alike)
	g.lowest, g.highest, g.mean, g.linked = n*g.lowest, n*g.highest, n*g.mean, n*g.linked
	g.variance, g.shared = n*g.variance, n*g.shared
	return g
}

func (g *group) span() float64 { return g.highest - g.lowest }

func (g *group) lumped(step float64) bool {
	return g.machine >= 0 && (g.span() < smallRange*step ||
		len(g.atoms) > 2 && (g.alike > manyAlike || g.alike > manyAlike/2 && g.span() < 2*step*float64(g.alike)))
}

// taps gives the group's kernel, to be applied a number of times.
func (g *group) taps(step float64) (taps []tap, times int) {
	one := g.lowest / float64(g.alike)
	if g.alike == 1 || len(g.atoms) > 2 {
		for _, a := range g.atoms {
			taps = split(taps, (a.watts-one)/step, a.p, a.p*a.vars)
		}
		return gather(taps), g.alike
	}
	// Two powers: the number of machines at the upper one is binomial.
	low, high := g.atoms[0], g.atoms[1]
	if low.watts > high.watts {
		low, high = high, low
	}
	n := float64(g.alike)
	all, _ := math.Lgamma(n + 1)
	for k := range g.alike + 1 {
		up := float64(k)
		a, _ := math.Lgamma(up + 1)
		b, _ := math.Lgamma(n - up + 1)
		p := math.Exp(all - a - b + up*math.Log(high.p) + (n-up)*math.Log(low.p))
		if p > negligible {
			taps = split(taps, up*(high.watts-low.watts)/step, p, p*(up*high.vars+(n-up)*low.vars))
		}
	}
	return gather(taps), 1
}

// negligible is a probability too small to matter in a year of windows.
const negligible = 1e-16

func split(taps []tap, at, p, pq float64) []tap {
	whole := math.Floor(at)
	part := at - whole
	if part < 1e-9 {
		return append(taps, tap{int(whole), p, pq})
	}
	if part > 1-1e-9 {
		return append(taps, tap{int(whole) + 1, p, pq})
	}
	return append(taps, tap{int(whole), p * (1 - part), pq * (1 - part)}, tap{int(whole) + 1, p * part, pq * part})
}

// gather joins taps of the same place.
func gather(taps []tap) []tap {
	slices.SortStableFunc(taps, func(a, b tap) int { return cmp.Compare(a.steps, b.steps) })
	out := taps[:0]
	for _, t := range taps {
		if last := len(out) - 1; last >= 0 && out[last].steps == t.steps {
			out[last].p += t.p
			out[last].pq += t.pq
			continue
		}
		out = append(out, t)
	}
	return out
}

// lump is the sum of many small groups of one calendar.
type lump struct{ lowest, highest, mean, variance, linked, shared float64 }

func (l *lump) add(g *group) {
	l.lowest += g.lowest
	l.highest += g.highest
	l.mean += g.mean
	l.variance += g.variance
	l.linked += g.linked
	l.shared += g.shared
}

// taps gives the lump's kernel.
func (l *lump) taps(step float64) []tap {
	deviation := math.Sqrt(l.variance)
	middle := (l.mean - l.lowest) / step
	if deviation < step {
		return split(nil, middle, 1, l.linked)
	}
	const reach = 8.5 // standard deviations; beyond it lies less than negligible
	wide := reach * deviation / step
	from, to := int(math.Ceil(max(0, middle-wide))), int(min((l.highest-l.lowest)/step, middle+wide))
	var taps []tap
	sum := 0.0
	for i := from; i <= to; i++ {
		z := (float64(i) - middle) * step / deviation
		p := math.Exp(-z * z / 2)
		sum += p
		taps = append(taps, tap{i, p, z * deviation})
	}
	for i := range taps {
		t := &taps[i]
		t.p /= sum
		t.pq = t.p * (l.linked + l.shared/l.variance*t.pq)
	}
	return taps
}

// spread is a distribution on the grid: f holds probabilities, g the linked
// quantity times the probability; f[0] stands for first steps.
type spread struct {
	first int
	f, g  []float64
}

// certain sets a spread to a sum of nothing.
func (s *spread) certain() {
	s.first = 0
	s.f, s.g = append(s.f[:0], 1), append(s.g[:0], 0)
}

// add sets a spread to the sum of another and a kernel. Without linked the
// linked quantity is left out.
func (s *spread) add(of *spread, taps []tap, linked bool) {
	low, high := taps[0].steps, taps[len(taps)-1].steps
	n := len(of.f) + high - low
	s.first = of.first + low
	s.f = zeros(s.f, n)
	for _, t := range taps {
		to := s.f[t.steps-low:][:len(of.f)]
		for i, v := range of.f {
			to[i] += t.p * v
		}
	}
	if linked {
		s.g = zeros(s.g, n)
		for _, t := range taps {
			to, g := s.g[t.steps-low:][:len(of.f)], of.g[:len(of.f)]
			for i, v := range of.f {
				to[i] += t.p*g[i] + t.pq*v
			}
		}
	} else {
		s.g = s.g[:0]
	}
	s.trim()
}

// trim drops ends too improbable to matter.
func (s *spread) trim() {
	a, b := 0, len(s.f)
	for a < b-1 && s.f[a] < negligible {
		a++
	}
	for b > a+1 && s.f[b-1] < negligible {
		b--
	}
	s.first += a
	s.f = s.f[:copy(s.f, s.f[a:b])]
	if len(s.g) > 0 {
		s.g = s.g[:copy(s.g, s.g[a:b])]
	}
}

func zeros(s []float64, n int) []float64 {
	s = slices.Grow(s[:0], n)[:n]
	clear(s)
	return s
}
