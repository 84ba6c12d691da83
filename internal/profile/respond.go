package profile

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"auditgen/internal/quantity"
)

// respond works out how chance's part of each demand follows the variables, by
// going a step either way with each.
func (c *Compiled) respond(m *Model) error {
	coarse := &Model{Year: m.Year, grid: compileGrid}
	machines := slices.Clone(m.machines)
	if err := coarse.Set(machines); err != nil {
		return err
	}
	c.spread()
	c.each(coarse, func(x *node, p, q float64) {
		x.p, x.q = p, q
		x.pSteps, x.qSteps = make([][2]float64, len(c.variables)), make([][2]float64, len(c.variables))
	})
	if err := c.steppedEach(m.Year, machines); err != nil {
		return err
	}
	for i := range c.nodes {
		c.settle(&c.nodes[i])
	}
	c.bundle()
	for i := range c.runners {
		c.anchor(m, &c.runners[i])
	}
	for k := range c.asks {
		a := &c.asks[k]
		if !a.found {
			continue
		}
		var levels []float64
		for _, i := range a.contenders {
			levels = append(levels, c.runners[i].atBest)
		}
		a.joint = joint(levels, a.soft)
	}
	return nil
}

// steppedEach works every node out with each variable a step down and a step up,
// the two sides at once.
func (c *Compiled) steppedEach(year *Year, machines []Machine) error {
	var failures [2]error
	var both sync.WaitGroup
	for side, sign := range []float64{-1, 1} {
		both.Go(func() {
			coarse := &Model{Year: year, grid: compileGrid}
			for v, what := range c.variables {
				if failures[side] = coarse.Set(c.stepped(machines, what, sign)); failures[side] != nil {
					return
				}
				c.each(coarse, func(x *node, p, q float64) {
					x.pSteps[v][side], x.qSteps[v][side] = p, q
				})
			}
		})
	}
	both.Wait()
	return cmp.Or(failures[:]...)
}

// spread finds the nodes: for each kind of window the contenders with the fewest
// and the most draws.
func (c *Compiled) spread() {
	for i := range c.runners {
		x := &c.runners[i]
		lo, hi := i, i
		for k := range c.runners {
			y := &c.runners[k]
			if y.unit != x.unit || y.place != x.place {
				continue
			}
			if y.draws < c.runners[lo].draws {
				lo = k
			}
			if y.draws > c.runners[hi].draws {
				hi = k
			}
		}
		if few, many := c.runners[lo].draws, c.runners[hi].draws; many > few {
			x.part = math.Log(x.draws/few) / math.Log(many/few)
		}
		x.lo, x.hi = c.nodeOf(lo), c.nodeOf(hi)
	}
}

func (c *Compiled) nodeOf(runner int) int {
	x := c.runners[runner].crowd
	k := slices.IndexFunc(c.nodes, func(y node) bool {
		return y.unit == x.unit && y.place == x.place && y.n == x.n && y.runs == x.runs
	})
	if k < 0 {
		k = len(c.nodes)
		c.nodes = append(c.nodes, node{crowd: x})
	}
	return k
}

// each works every node out on a model.
func (c *Compiled) each(m *Model, use func(x *node, p, q float64)) {
	// They stand unit by unit: a model holds the draws of one at a time.
	for i := range c.nodes {
		x := &c.nodes[i]
		place := c.places[x.place]
		child := m
		if m.months != nil {
			child = m.months[firstMonth(m, place.variant)]
		}
		_, p, q := child.alone(place.mix, x.n, x.runs, x.unit)
		use(x, p, q)
	}
}

// firstMonth gives the first month of a variant.
func firstMonth(m *Model, variant int) int {
	for month := range 12 {
		if m.alike(month) == month {
			if variant == 0 {
				return month
			}
			variant--
		}
	}
	return 0
}

// stepped gives the machines with one figure moved, or all shares.
func (c *Compiled) stepped(machines []Machine, what variable, sign float64) []Machine {
	out := slices.Clone(machines)
	if what.what == isPowers {
		return out // known without
	}
	if what.what != isAll {
		out[what.machine] = c.machines[what.machine].stepped(out[what.machine], what.what, sign)
		return out
	}
	for i := range out {
		if k := &c.machines[i]; k.share {
			for j := range out[i].Modes {
				out[i] = k.stepped(out[i], j, sign)
			}
		}
	}
	return out
}

func (k *compiledMachine) stepped(a Machine, what int, sign float64) Machine {
	a.Modes = slices.Clone(a.Modes)
	switch what {
	case isPower:
		f := 1 + sign*k.step.Power
		for j := range a.Modes {
			a.Modes[j].Power = Power{}.plus(f, a.Modes[j].Power)
		}
		a.Idle = Power{}.plus(f, a.Idle)
	case isCount:
		a.Count = max(0, a.Count*(1+sign*k.step.Count))
	default:
		mode := &a.Modes[what]
		mode.Share = min(max(0, mode.Share*(1+sign*k.step.Share)), 1)
		sum := 0.0
		for _, m := range a.Modes {
			sum += m.Share
		}
		for j := range a.Modes {
			a.Modes[j].Share /= max(1, sum)
		}
	}
	return a
}

// settle turns what the steps gave into slopes and curvatures; what is too small
// to matter becomes none.
func (c *Compiled) settle(x *node) {
	scale := 1e-4 * max(math.Abs(x.p), math.Abs(x.q))
	follows := func(at float64, steps [][2]float64) []response {
		var shares, powers response // of all, each by itself
		out := make([]response, len(steps))
		for v, s := range steps {
			r := response{(s[1] - s[0]) / 2, (s[1]+s[0])/2 - at}
			switch what := c.variables[v].what; {
			case what == isAll:
				r.slope, r.bend = r.slope-shares.slope, r.bend-shares.bend
			case what == isPower:
				step := c.machines[c.variables[v].machine].step.Power
				powers.bend -= r.bend / (step * step)
			case what == isPowers:
				r = response{0, powers.bend} // all together change nothing but the scale
			case what >= 0:
				shares.slope, shares.bend = shares.slope+r.slope, shares.bend+r.bend
			}
			if math.Abs(r.slope)+math.Abs(r.bend) > scale {
				out[v] = r
			}
		}
		return out
	}
	x.pMoves, x.qMoves = follows(x.p, x.pSteps), follows(x.q, x.qSteps)
	x.pSteps, x.qSteps = nil, nil
}

// bundle gathers the responses of the nodes that contenders lie between.
func (c *Compiled) bundle() {
	type ends struct{ lo, hi int }
	var done []ends
	for i := range c.runners {
		x := &c.runners[i]
		x.bends = slices.Index(done, ends{x.lo, x.hi})
		if x.bends < 0 {
			x.bends = len(done)
			done = append(done, ends{x.lo, x.hi})
			c.bundles = append(c.bundles, c.bundleOf(&c.nodes[x.lo], &c.nodes[x.hi]))
		}
	}
	for i := range c.nodes {
		c.nodes[i].pMoves, c.nodes[i].qMoves = nil, nil
	}
}

func (c *Compiled) bundleOf(lo, hi *node) bundle {
	b := bundle{one: lo == hi}
	terms := func(lo, hi []response) (out []nodesTerm) {
		for v := range c.variables {
			if none := (response{}); lo[v] != none || hi[v] != none {
				out = append(out, nodesTerm{v, lo[v], hi[v]})
			}
		}
		return out
	}
	if lo.unit != Reactive {
		b.active = terms(lo.pMoves, hi.pMoves)
	}
	if lo.unit != Active {
		b.reactive = terms(lo.qMoves, hi.qMoves)
	}
	return b
}

// anchor takes a contender at the best estimate.
func (c *Compiled) anchor(m *Model, x *contender) {
	place := &c.places[x.place]
	child := m
	if m.months != nil {
		child = m.months[firstMonth(m, place.variant)]
	}
	mean := child.base
	for _, on := range place.on {
		mean = mean.plus(on.share, child.step[on.calendar])
	}
	x.beyond = x.atBest - Power{mean.P + quantity.Watts(x.p), mean.Q + quantity.Vars(x.q)}.in(x.unit)
}
