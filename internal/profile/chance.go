package profile

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// Unit is what a demand is measured in.
type Unit int

// The units of demand.
const (
	Active   Unit = iota // W
	Apparent             // VA
	Reactive             // var, lagging positive
	units
)

// rung is a demand that a kind of window may show, with the logarithm of the
// probability that a window stays below it and the probability of showing it.
type rung struct {
	at, below, p float64
	step         int // place in the spread it came from
}

// ladder is the distribution of the demand of one kind of window, from the top.
type ladder struct {
	rungs []rung
	down  float64 // how deep the rungs go: see rungsTo; 0 before they are made
	pace  float64 // independent draws to a window, 1 at most
	draw  int     // index of the draw it rests on
}

// draw is the sum of the machines that chance decides, for one set of
// calendars that have such machines.
type draw struct {
	on             Set
	spread         spread
	lowest, middle float64 // lowest sum; mean of the sum on the grid, in steps
	mean, shrink   float64 // exact mean; factor about it
	highest        float64
	linked         float64 // mean of the linked quantity
	// pace is the number of independent draws to a window. The sum is new
	// when any of its machines has gone round its cycle, so the machines'
	// paces add up, each by its deviation against the largest, to 1 at most.
	// Simulated machines with cycles of their own bear this out within 2 % of
	// the maximum (TestDemandOfCyclers).
	pace float64
}

// at gives the power that a place in the spread stands for.
func (d *draw) at(place int, step float64) float64 {
	x := d.mean + (float64(d.spread.first+place)-d.middle)*step*d.shrink
	return min(max(x, d.lowest), d.highest)
}

// chance holds the distributions of a model's machines, worked out when first
// asked for, by unit.
type chance struct {
	made    [units]bool
	ladders [units][]ladder // by mix
	groups  []group         // of single machines, then of bonds
	free    int             // number of the former
	random  Set             // calendars with machines that chance decides
	order   []int
	step    float64
	kernels [][]kernel // by place in order
	bound   []boundKernel
	buffers []spread
	draws   []draw
	drawn   Unit // unit of the draws
	wanted  []Set
	windows []float64 // scratch of Demand
	runs    []float64
	climbs  []climb
	rungs   []rung
}

type kernel struct {
	taps  []tap
	times int
}

// boundKernel is a kernel that holds for some sets of calendars.
type boundKernel struct {
	mask, value Set
	kernel
}

func (c *chance) stale() { c.made = [units]bool{} }

// gather lists the groups. The gridded quantity of reactive demand is the
// reactive power.
func (m *Model) gather(unit Unit) {
	c := &m.chance
	c.groups, c.random = c.groups[:0], 0
	window := float64(m.Year.Grid.Step) / 60
	bound := bonds(m.machines)
	for i := range m.machines {
		if !slices.ContainsFunc(bound, func(b bond) bool { return slices.Contains(b.machines, i) }) {
			m.gatherFree(i, window, unit)
		}
	}
	span := 0.0
	for i := range c.groups {
		span += c.groups[i].span()
	}
	slices.SortStableFunc(c.groups, func(a, b group) int { return cmp.Compare(a.span(), b.span()) })
	c.free = len(c.groups)
	for _, b := range bound {
		widest := 0.0
		for _, g := range b.groups(m.machines, window, unit) {
			widest = max(widest, g.span())
			c.groups = append(c.groups, g)
			c.random |= g.mask
		}
		span += widest
	}
	steps := gridSteps
	if m.grid > 0 {
		steps = m.grid
	}
	c.step = span / float64(steps)
}

// gatherFree adds the groups of a machine that no other hangs on.
func (m *Model) gatherFree(i int, window float64, unit Unit) {
	c, a := &m.chance, &m.machines[i]
	atoms := a.atoms(window)
	if unit == Reactive {
		for j := range atoms {
			atoms[j].watts, atoms[j].vars = atoms[j].vars, atoms[j].watts
		}
	}
	cycle := max(1, float64(a.Cycle)/window)
	whole, part := math.Modf(a.Count)
	for _, n := range []struct {
		alike int
		scale float64
	}{{int(whole), 1}, {1, part}} {
		if n.alike == 0 || n.scale == 0 {
			continue
		}
		if g := newGroup(i, a.Calendar, n.alike, atoms, n.scale, cycle); g.span() > 0 {
			g.swapped = unit == Reactive
			c.groups = append(c.groups, g)
			c.random |= 1 << a.Calendar
		}
	}
}

// wants lists the sets whose spreads are needed, and orders the calendars so
// that those on in most sets come first: their sum is then worked out once.
func (c *chance) wants(mixes []mix) {
	c.wanted = c.wanted[:0]
	for _, m := range mixes {
		c.wanted = append(c.wanted, m[0].on&c.random)
	}
	slices.Sort(c.wanted)
	c.wanted = slices.Compact(c.wanted)
	c.order = c.order[:0]
	var count [MaxCalendars]int
	for rest := c.random; rest != 0; rest &= rest - 1 {
		calendar := bits.TrailingZeros64(uint64(rest))
		c.order = append(c.order, calendar)
		for _, on := range c.wanted {
			if on.Has(calendar) {
				count[calendar]++
			}
		}
	}
	slices.SortStableFunc(c.order, func(a, b int) int { return cmp.Compare(count[b], count[a]) })
}

// kernelsFor makes the kernels of each calendar in order, and those of bonds.
// A machine of 0 or more makes its own power the linked quantity in place of
// the other unit's.
func (c *chance) kernelsFor(link func(*group) group) {
	c.kernels = c.kernels[:0]
	for _, calendar := range c.order {
		var ks []kernel
		var small lump
		for i := range c.groups[:c.free] {
			if !c.groups[i].mask.Has(calendar) {
				continue
			}
			g := link(&c.groups[i])
			if g.lumped(c.step) {
				small.add(&g)
				continue
			}
			taps, times := g.taps(c.step)
			ks = append(ks, kernel{taps, times})
		}
		if small.highest > small.lowest {
			ks = append([]kernel{{small.taps(c.step), 1}}, ks...)
		}
		c.kernels = append(c.kernels, ks)
	}
	c.bound = c.bound[:0]
	for i := range c.groups[c.free:] {
		g := link(&c.groups[c.free+i])
		taps, times := g.taps(c.step)
		c.bound = append(c.bound, boundKernel{g.mask, g.value, kernel{taps, times}})
	}
}

// spreads works out the spread of each wanted set, sharing what sets have in
// common, and hands it to use; the spread is only good during that call.
func (c *chance) spreads(linked bool, use func(on Set, s *spread)) {
	for len(c.buffers) < 2*len(c.order)+3 {
		c.buffers = append(c.buffers, spread{})
	}
	c.buffers[0].certain()
	c.descend(0, &c.buffers[0], c.wanted, linked, use)
}

// descend parts the sets by whether the next calendar in order is on.
func (c *chance) descend(depth int, s *spread, sets []Set, linked bool, use func(Set, *spread)) {
	if len(sets) == 0 {
		return
	}
	if depth == len(c.order) {
		from, a, b := s, &c.buffers[2*depth+1], &c.buffers[2*depth+2]
		for _, k := range c.bound {
			if sets[0]&k.mask == k.value {
				a.add(from, k.taps, linked)
				from, a, b = a, b, a
			}
		}
		use(sets[0], from)
		return
	}
	calendar := c.order[depth]
	split := slices.Clone(sets)
	slices.SortStableFunc(split, func(a, b Set) int { return cmp.Compare(a>>calendar&1, b>>calendar&1) })
	first := slices.IndexFunc(split, func(on Set) bool { return on.Has(calendar) })
	if first < 0 {
		first = len(split)
	}
	c.descend(depth+1, s, split[:first], linked, use)
	if first == len(split) {
		return
	}
	from, a, b := s, &c.buffers[2*depth+1], &c.buffers[2*depth+2]
	for _, k := range c.kernels[depth] {
		for range k.times {
			a.add(from, k.taps, linked)
			from, a, b = a, b, a
		}
	}
	c.descend(depth+1, from, split[first:], linked, use)
}
