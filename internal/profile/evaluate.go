package profile

import (
	"fmt"
	"math"

	"auditgen/internal/quantity"
)

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

// joint is the expected maximum of several maxima of like spread: that of
// Gumbel distributions of one scale, a smooth step from one to the other.
func joint(levels []float64, soft float64) float64 {
	best := 0
	for i, x := range levels {
		if x > levels[best] {
			best = i
		}
	}
	top, sum, inverse := levels[best], 1.0, 1/soft
	for i, x := range levels {
		// Below that, less than a thousandth of soft.
		if d := x - top; i != best && d > -7*soft {
			sum += expBelow(float64(d * inverse))
		}
	}
	if sum == 1 || soft == 0 {
		return top
	}
	return top + float64(soft*logAbove(sum))
}

// put works out what the calendars add, by variant: to energies, for which hours
// scales the time that machines run (nil leaves it), and to demands.
func (c *Compiled) put(machines []Machine, hours []float64) {
	c.base = Power{}
	clear(c.steps)
	clear(c.plain)
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
		if len(c.first) > 0 && a.seasonal() {
			for v, month := range c.first {
				c.weights[v][i] = a.Months[month]
			}
		}
		var onP, onQ float64
		for v := range c.variants {
			if w := c.weights[v][i]; v == 0 || w != c.weights[v-1][i] {
				onP, onQ = a.onWeighted(w)
			}
			step, plain := &c.steps[v*c.calendars+a.Calendar], &c.plain[v*c.calendars+a.Calendar]
			step.P += quantity.Watts(float64(h*onP) - offP)
			step.Q += quantity.Vars(float64(h*onQ) - offQ)
			plain.P += quantity.Watts(float64(n*onP) - offP)
			plain.Q += quantity.Vars(float64(n*onQ) - offQ)
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

// MachineEnergies fills in the energy of each machine in one of the parts, in Wh,
// as Energies has it of all. It does not allocate.
func (c *Compiled) MachineEnergies(part int, machines []Machine, hours, out []float64) error {
	if err := c.fits(machines); err != nil {
		return err
	}
	if part < 0 || part >= c.partCount || len(out) != len(machines) || hours != nil && len(hours) != len(machines) {
		return fmt.Errorf("part %d of %d, energies of %d machines of %d", part, c.partCount, len(out), len(machines))
	}
	clear(out)
	for k := range c.parts {
		row := &c.parts[k]
		if row.part != part {
			continue
		}
		weights := c.weights[row.variant]
		for i := range machines {
			a := &machines[i]
			on := row.on[a.Calendar]
			p, _ := a.onWeighted(weights[i])
			off := float64(float64(a.Standby.P) * (row.hours - on))
			if hours != nil {
				// Hours in doubt lengthen the time on calendar; standby
				// keeps to the time off it.
				on *= hours[i]
			}
			out[i] += float64(a.Count * (float64(p*on) + off))
		}
	}
	return nil
}

// BaseLoad is the mean active power while every calendar that is ever off is
// off, in W.
func (c *Compiled) BaseLoad(machines []Machine) float64 {
	sum := 0.0
	for i := range machines {
		a := &machines[i]
		p := float64(a.Standby.P)
		if c.always.Has(a.Calendar) {
			p, _ = a.onWeighted(1)
		}
		sum += float64(a.Count * p)
	}
	return sum
}

// Demands fills in the expected highest demand of each ask, for other figures
// of the same machines; a demand without any window is 0. It does not allocate.
func (c *Compiled) Demands(machines []Machine, out []float64) error {
	if len(out) != len(c.asks) {
		return fmt.Errorf("%d demands, %d asked for", len(out), len(c.asks))
	}
	if err := c.Note(0, machines); err != nil {
		return err
	}
	c.Noted(c.alone)
	for k, row := range c.alone {
		out[k] = row[0]
	}
	return nil
}

// Note takes figures of the machines as those of a draw, 0 to Together less 1,
// whose demands Noted works out.
func (c *Compiled) Note(draw int, machines []Machine) error {
	if err := c.fits(machines); err != nil {
		return err
	}
	c.put(machines, nil)
	c.note(draw, machines)
	return nil
}

// NoteEnergies is Note, and Energies of the same figures.
func (c *Compiled) NoteEnergies(draw int, machines []Machine, hours []float64, active, reactive []float64) error {
	if err := c.Energies(machines, hours, active, reactive); err != nil {
		return err
	}
	c.note(draw, machines)
	return nil
}

// note keeps what demands need of machines that have been put.
func (c *Compiled) note(draw int, machines []Machine) {
	c.move(draw, machines)
	for i := range c.places {
		p := &c.places[i]
		mean := c.base
		steps := c.plain[p.variant*c.calendars:][:c.calendars]
		for _, on := range p.on {
			mean.P += quantity.Watts(on.share * float64(steps[on.calendar].P))
			mean.Q += quantity.Vars(on.share * float64(steps[on.calendar].Q))
		}
		c.meanP[i*Together+draw], c.meanQ[i*Together+draw] = float64(mean.P), float64(mean.Q)
	}
}

// Noted fills in the expected highest demands of the draws noted: a row for each
// ask, with as many of the draws as the rows are long, each to the last bit what
// Demands gives. It does not allocate.
func (c *Compiled) Noted(out [][]float64) {
	if len(out) == 0 {
		return
	}
	n := len(out[0])
	for i := range c.bundles {
		c.bundles[i].follow(c.moves, len(c.variables), n, &c.bent[i])
	}
	for i := range c.runners {
		c.runners[i].level(c, c.levels[i*Together:][:n])
	}
	for k := range c.asks {
		a := &c.asks[k]
		if !a.found {
			clear(out[k])
			continue
		}
		c.join(a, out[k])
		for j, level := range out[k] {
			out[k][j] = a.peak.Mean + (level - a.joint)
		}
	}
}

// joined is room for join, by draw.
type joined struct {
	top, sum [Together]float64
	best     [Together]uint32
}

// join is joint of the levels of an ask's contenders, for each draw. Which of
// them are near the highest is chance, so that it does not branch on that.
func (c *Compiled) join(a *compiledAsk, out []float64) {
	n := len(out)
	r := &c.joined
	top, sum, best := r.top[:n], r.sum[:n], r.best[:n]
	clear(best)
	copy(top, c.levels[a.contenders[0]*Together:][:n])
	for i, runner := range a.contenders {
		for j, x := range c.levels[runner*Together:][:n] {
			if x > top[j] {
				top[j], best[j] = x, uint32(i)
			}
		}
	}
	copy(out, top)
	if a.soft == 0 {
		return
	}
	for j := range sum {
		sum[j] = 1
	}
	inverse, least := 1/a.soft, -7*a.soft
	for i, runner := range a.contenders {
		for j, x := range c.levels[runner*Together:][:n] {
			d := x - top[j]
			near := uint64(0)
			if d > least {
				near = 1
			}
			other := best[j] ^ uint32(i)
			near &= uint64((other | -other) >> 31)
			sum[j] += math.Float64frombits(math.Float64bits(expNear(float64(d*inverse))) & -near)
		}
	}
	for j, s := range sum {
		if s != 1 {
			out[j] += float64(a.soft * logAbove(s))
		}
	}
}

// level fills in a contender's expected maximum, by draw.
func (x *contender) level(c *Compiled, out []float64) {
	n := len(out)
	by := &c.bent[x.bends]
	meanP, meanQ := c.meanP[x.place*Together:][:n], c.meanQ[x.place*Together:][:n]
	pLo, pHi, qLo, qHi := by.pLo[:n], by.pHi[:n], by.qLo[:n], by.qHi[:n]
	switch x.unit {
	case Active:
		for j := range out {
			out[j] = meanP[j] + x.p + (pLo[j] + float64(x.part*(pHi[j]-pLo[j]))) + x.beyond
		}
	case Reactive:
		for j := range out {
			out[j] = meanQ[j] + x.q + (qLo[j] + float64(x.part*(qHi[j]-qLo[j]))) + x.beyond
		}
	default:
		for j := range out {
			p := meanP[j] + x.p + (pLo[j] + float64(x.part*(pHi[j]-pLo[j])))
			q := meanQ[j] + x.q + (qLo[j] + float64(x.part*(qHi[j]-qLo[j])))
			out[j] = math.Sqrt(float64(p*p)+float64(q*q)) + x.beyond
		}
	}
}

// follow is by how much the nodes move, in n draws.
func (b *bundle) follow(moves []step, variables, n int, out *bend) {
	for j := 0; j < n; j += lanes {
		some := moves[j/lanes*variables:][:variables]
		if b.one {
			followOne(b.active, some, (*[lanes]float64)(out.pLo[j:]))
			followOne(b.reactive, some, (*[lanes]float64)(out.qLo[j:]))
			continue
		}
		followBoth(b.active, some, (*[lanes]float64)(out.pLo[j:]), (*[lanes]float64)(out.pHi[j:]))
		followBoth(b.reactive, some, (*[lanes]float64)(out.qLo[j:]), (*[lanes]float64)(out.qHi[j:]))
	}
	if b.one {
		out.pHi, out.qHi = out.pLo, out.qLo
	}
}

func followBoth(terms []nodesTerm, moves []step, lo, hi *[lanes]float64) {
	var l0, l1, l2, l3, h0, h1, h2, h3 float64
	for i := range terms {
		t := &terms[i]
		d := &moves[t.variable]
		slope, curve := t.lo.slope, t.lo.bend
		l0 += float64(d.once[0]*slope) + float64(d.twice[0]*curve)
		l1 += float64(d.once[1]*slope) + float64(d.twice[1]*curve)
		l2 += float64(d.once[2]*slope) + float64(d.twice[2]*curve)
		l3 += float64(d.once[3]*slope) + float64(d.twice[3]*curve)
		slope, curve = t.hi.slope, t.hi.bend
		h0 += float64(d.once[0]*slope) + float64(d.twice[0]*curve)
		h1 += float64(d.once[1]*slope) + float64(d.twice[1]*curve)
		h2 += float64(d.once[2]*slope) + float64(d.twice[2]*curve)
		h3 += float64(d.once[3]*slope) + float64(d.twice[3]*curve)
	}
	*lo, *hi = [lanes]float64{l0, l1, l2, l3}, [lanes]float64{h0, h1, h2, h3}
}

func followOne(terms []nodesTerm, moves []step, out *[lanes]float64) {
	var l0, l1, l2, l3 float64
	for i := range terms {
		t := &terms[i]
		d := &moves[t.variable]
		slope, curve := t.lo.slope, t.lo.bend
		l0 += float64(d.once[0]*slope) + float64(d.twice[0]*curve)
		l1 += float64(d.once[1]*slope) + float64(d.twice[1]*curve)
		l2 += float64(d.once[2]*slope) + float64(d.twice[2]*curve)
		l3 += float64(d.once[3]*slope) + float64(d.twice[3]*curve)
	}
	*out = [lanes]float64{l0, l1, l2, l3}
}

// move works out how far the variables are from the best estimate, in their
// steps, and the square of that. What a machine's shares do to a demand grows
// with its power.
func (c *Compiled) move(draw int, machines []Machine) {
	moves, lane := c.moves[draw/lanes*len(c.variables):][:len(c.variables)], draw%lanes
	put := func(v int, d, power float64) {
		moves[v].once[lane], moves[v].twice[lane] = float64(d*power), float64(float64(d*d)*power)
	}
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
			put(v, ratio/k.step.Power, 1)
			v++
		}
		if k.counted {
			put(v, (a.Count/k.count-1)/k.step.Count, 1)
			v++
		}
		if k.share {
			mean := 0.0
			for j := range a.Modes {
				d := 0.0
				if stated := k.stated[j]; stated > 0 {
					d = (a.Modes[j].Share/stated - 1) / k.step.Share
				}
				put(v, d, 1+ratio)
				mean += d / float64(k.modes)
				v++
			}
			all += float64(k.weight * mean)
		}
	}
	if last := len(c.variables) - 1; last > 0 {
		put(last-1, powers, 1)
		put(last, all, 1+powers)
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
