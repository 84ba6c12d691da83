package profile

import (
	"fmt"
	"math"
	"slices"

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
	for v, what := range c.variables {
		for side, sign := range []float64{-1, 1} {
			if err := coarse.Set(c.stepped(machines, what, sign)); err != nil {
				return err
			}
			c.each(coarse, func(x *node, p, q float64) {
				x.pSteps[v][side], x.qSteps[v][side] = p, q
			})
		}
	}
	for i := range c.nodes {
		c.settle(&c.nodes[i])
	}
	for i := range c.runners {
		c.anchor(m, &c.runners[i])
	}
	for k := range c.asks {
		a := &c.asks[k]
		var levels []float64
		for _, i := range a.contenders {
			levels = append(levels, c.runners[i].atBest)
		}
		a.joint = joint(levels, a.soft)
	}
	return nil
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
	x := c.runners[runner].node
	k := slices.IndexFunc(c.nodes, func(y node) bool {
		return y.unit == x.unit && y.place == x.place && y.n == x.n && y.runs == x.runs
	})
	if k < 0 {
		k = len(c.nodes)
		c.nodes = append(c.nodes, x)
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

// settle turns what the steps gave into slopes and curvatures, leaving out what
// is too small to matter.
func (c *Compiled) settle(x *node) {
	scale := 1e-4 * max(math.Abs(x.p), math.Abs(x.q))
	follows := func(at float64, steps [][2]float64) (out moves) {
		var shares, powers response // of all, each by itself
		for v, s := range steps {
			r := response{v, (s[1] - s[0]) / 2, (s[1]+s[0])/2 - at}
			switch what := c.variables[v].what; {
			case what == isAll:
				r.slope, r.bend = r.slope-shares.slope, r.bend-shares.bend
			case what == isPower:
				step := c.machines[c.variables[v].machine].step.Power
				powers.bend -= r.bend / (step * step)
			case what == isPowers:
				r = response{v, 0, powers.bend} // all together change nothing but the scale
			case what >= 0:
				shares.slope, shares.bend = shares.slope+r.slope, shares.bend+r.bend
			}
			switch what := c.variables[v].what; {
			case math.Abs(r.slope)+math.Abs(r.bend) <= scale:
			case what >= 0 || what == isAll:
				out.shares = append(out.shares, r)
			default:
				out.powers = append(out.powers, r)
			}
		}
		return out
	}
	x.pMoves, x.qMoves = follows(x.p, x.pSteps), follows(x.q, x.qSteps)
	x.pSteps, x.qSteps = nil, nil
}

// anchor takes a contender at the best estimate.
func (c *Compiled) anchor(m *Model, x *contender) {
	place := &c.places[x.place]
	child := m
	if m.months != nil {
		child = m.months[firstMonth(m, place.variant)]
	}
	mean := child.base
	for i, share := range place.share {
		mean = mean.plus(share, child.step[i])
	}
	x.beyond = x.atBest - Power{mean.P + quantity.Watts(x.p), mean.Q + quantity.Vars(x.q)}.in(x.unit)
}

// joint is the expected maximum of several maxima of like spread: that of
// Gumbel distributions of one scale, a smooth step from one to the other.
func joint(levels []float64, soft float64) float64 {
	top := math.Inf(-1)
	for _, x := range levels {
		top = max(top, x)
	}
	if soft == 0 || len(levels) == 1 {
		return top
	}
	sum := 0.0
	for _, x := range levels {
		if d := (x - top) / soft; d > -8 { // below, less than a thousandth of soft
			sum += math.Exp(d)
		}
	}
	return top + float64(soft*math.Log(sum))
}

// shapePoints is the number of even steps of probability of a maximum's shape.
const shapePoints = 64

// shapeOf gives the quantiles of a maximum less its mean.
func shapeOf(climbs []climb, peak Peak) []float64 {
	out := make([]float64, shapePoints+1)
	above, at := 0.0, shapePoints
	last := peak.Mean
	fall(slices.Clone(climbs), func(x, p float64, _ *climb, _ *rung) {
		above += p
		last = x
		// The ends stand at half a step from 0 and 1.
		for at >= 0 {
			want := 1 - min(max(float64(at), 0.5), shapePoints-0.5)/shapePoints
			if above < want {
				break
			}
			out[at] = x - peak.Mean
			at--
		}
	})
	for ; at >= 0; at-- {
		out[at] = last - peak.Mean
	}
	return out
}

func (c *Compiled) fits(machines []Machine) error {
	if len(machines) != len(c.machines) {
		return fmt.Errorf("%d machines, compiled for %d", len(machines), len(c.machines))
	}
	for i := range machines {
		if len(machines[i].Modes) != c.machines[i].modes || machines[i].Calendar != c.machines[i].calendar {
			return fmt.Errorf("machine %q has other modes or another calendar than it was compiled with", machines[i].ID)
		}
	}
	return nil
}

// put works out what the calendars add, by variant. hours scales the time that
// machines run; nil leaves it.
func (c *Compiled) put(machines []Machine, hours []float64) {
	c.base = Power{}
	clear(c.steps)
	for i := range machines {
		a := &machines[i]
		n := a.Count
		offP, offQ := float64(n*float64(a.Standby.P)), float64(n*float64(a.Standby.Q))
		c.base.P += quantity.Watts(offP)
		c.base.Q += quantity.Vars(offQ)
		h := n
		if hours != nil {
			h = float64(n * hours[i])
		}
		var onP, onQ float64
		for v := range c.variants {
			if w := c.weights[v][i]; v == 0 || w != c.weights[v-1][i] {
				onP, onQ = a.onWeighted(w)
			}
			step := &c.steps[v*c.calendars+a.Calendar]
			step.P += quantity.Watts(float64(h*onP) - offP)
			step.Q += quantity.Vars(float64(h*onQ) - offQ)
		}
	}
}

// onWeighted is the mean power on calendar with the shares weighted.
func (m *Machine) onWeighted(weight float64) (p, q float64) {
	sum := 0.0
	for i := range m.Modes {
		mode := &m.Modes[i]
		sum += mode.Share
		p += float64(mode.Share * float64(mode.P))
		q += float64(mode.Share * float64(mode.Q))
	}
	if sum *= weight; sum > 1 {
		weight, sum = weight/sum, 1
	}
	rest := 1 - sum
	return float64(p*weight) + float64(rest*float64(m.Idle.P)), float64(q*weight) + float64(rest*float64(m.Idle.Q))
}

// Energies fills in the energy of each part in Wh, and the reactive energy in
// varh unless reactive is nil, for other figures of the same machines. hours
// scales each machine's time on calendar, for doubt in the hours themselves;
// nil leaves it. Both slices are as long as the parts. It does not allocate.
func (c *Compiled) Energies(machines []Machine, hours []float64, active, reactive []float64) error {
	if err := c.fits(machines); err != nil {
		return err
	}
	if len(active) != c.partCount || reactive != nil && len(reactive) != c.partCount || hours != nil && len(hours) != len(machines) {
		return fmt.Errorf("%d and %d energies of %d parts, hours of %d machines of %d", len(active), len(reactive), c.partCount, len(hours), len(machines))
	}
	c.put(machines, hours)
	clear(active)
	clear(reactive)
	for i := range c.parts {
		row := &c.parts[i]
		steps := c.steps[row.variant*c.calendars:][:c.calendars]
		p, q := float64(row.hours*float64(c.base.P)), float64(row.hours*float64(c.base.Q))
		for k, on := range row.on[:len(steps)] {
			p += float64(on * float64(steps[k].P))
			q += float64(on * float64(steps[k].Q))
		}
		active[row.part] += p
		if reactive != nil {
			reactive[row.part] += q
		}
	}
	return nil
}

// Demands fills in the expected highest demand of each ask, for other figures
// of the same machines; a demand without any window is 0. It does not allocate.
func (c *Compiled) Demands(machines []Machine, out []float64) error {
	if err := c.fits(machines); err != nil {
		return err
	}
	if len(out) != len(c.asks) {
		return fmt.Errorf("%d demands, %d asked for", len(out), len(c.asks))
	}
	c.put(machines, nil)
	c.move(machines)
	for i := range c.places {
		p := &c.places[i]
		mean := c.base
		steps := c.steps[p.variant*c.calendars:][:c.calendars]
		for k, share := range p.share[:len(steps)] {
			if share != 0 {
				mean.P += quantity.Watts(share * float64(steps[k].P))
				mean.Q += quantity.Vars(share * float64(steps[k].Q))
			}
		}
		c.means[i] = mean
	}
	for i := range c.nodes {
		x := &c.nodes[i]
		c.bent[i] = Power{quantity.Watts(c.follow(x.pMoves)), quantity.Vars(c.follow(x.qMoves))}
	}
	for i := range c.runners {
		c.levels[i] = c.runners[i].level(c)
	}
	for k := range c.asks {
		a := &c.asks[k]
		out[k] = 0
		if !a.found {
			continue
		}
		levels := c.some[:len(a.contenders)]
		for i, runner := range a.contenders {
			levels[i] = c.levels[runner]
		}
		out[k] = a.peak.Mean + (joint(levels, a.soft) - a.joint)
	}
	return nil
}

// level is a contender's expected maximum.
func (x *contender) level(c *Compiled) float64 {
	mean, lo, hi := &c.means[x.place], &c.bent[x.lo], &c.bent[x.hi]
	p := float64(mean.P) + x.p + (float64(lo.P) + float64(x.part*float64(hi.P-lo.P)))
	q := float64(mean.Q) + x.q + (float64(lo.Q) + float64(x.part*float64(hi.Q-lo.Q)))
	switch x.unit {
	case Active:
		return p + x.beyond
	case Reactive:
		return q + x.beyond
	}
	return math.Sqrt(float64(p*p)+float64(q*q)) + x.beyond
}

// follow is by how much a figure moves. What a machine's shares do to it grows
// with its power.
func (c *Compiled) follow(m moves) float64 {
	sum := 0.0
	for i := range m.powers {
		r := &m.powers[i]
		d := c.moves[r.variable]
		sum += float64(d * (r.slope + float64(d*r.bend)))
	}
	for i := range m.shares {
		r := &m.shares[i]
		d := c.moves[r.variable]
		sum += float64(float64(d*c.powers[r.variable]) * (r.slope + float64(d*r.bend)))
	}
	return sum
}

// move works out how far the variables are from the best estimate, in their
// steps, and what they have in common.
func (c *Compiled) move(machines []Machine) {
	all, powers := 0.0, 0.0
	for i := range c.machines {
		k := &c.machines[i]
		if k.swing == 0 {
			continue
		}
		a, v := &machines[i], k.first
		ratio := 0.0
		if k.power {
			ratio = swing(a, k.shares)/k.swing - 1
			powers += float64(k.weight * ratio)
			c.moves[v] = ratio / k.step.Power
			v++
		}
		if k.counted {
			c.moves[v] = (a.Count/k.count - 1) / k.step.Count
			v++
		}
		if k.share {
			mean := 0.0
			for j := range a.Modes {
				c.moves[v] = 0
				if stated := k.stated[j]; stated > 0 {
					c.moves[v] = (a.Modes[j].Share/stated - 1) / k.step.Share
				}
				c.powers[v] = 1 + ratio
				mean += c.moves[v] / float64(k.modes)
				v++
			}
			all += float64(k.weight * mean)
		}
	}
	if last := len(c.variables) - 1; last > 0 {
		c.moves[last-1], c.moves[last], c.powers[last] = powers, all, 1+powers
	}
}

// Best gives the highest demand of an ask at the best estimate, as Demand does.
func (c *Compiled) Best(ask int) (Peak, bool) { return c.asks[ask].peak, c.asks[ask].found }

// Chance gives the highest demand of an ask as chance lets it turn out: the
// quantile p, 0 to 1, of the distribution of the maximum whose expected value
// is mean. The shape is that at the best estimate and goes with the mean; the
// quantiles stand at even steps of 1/64, the ends at half a step from 0 and 1.
func (c *Compiled) Chance(ask int, mean, p float64) float64 {
	a := &c.asks[ask]
	if !a.found || a.peak.Mean == 0 {
		return mean
	}
	at := float64(min(max(p, 0), 1) * shapePoints)
	i := min(int(at), shapePoints-1)
	part := at - float64(i)
	off := a.shape[i] + float64(part*(a.shape[i+1]-a.shape[i]))
	return mean + float64(off*(mean/a.peak.Mean))
}
