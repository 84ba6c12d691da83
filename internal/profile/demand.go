package profile

import (
	"cmp"
	"math"
	"slices"
	"time"

	"auditgen/internal/quantity"
)

// Peak is the highest demand of a period, as chance lets it turn out, in the
// base unit of what was asked: W, VA or var.
type Peak struct {
	Mean      float64 // expected value
	Deviation float64 // standard deviation
	Low, High float64 // 5 % and 95 % points
}

// prepare works out which draw and how many of it every kind of window has for
// a unit; rungsOf makes a ladder's rungs when they are asked for.
func (m *Model) prepare(unit Unit) []ladder {
	c := &m.chance
	if c.made[unit] {
		return c.ladders[unit]
	}
	m.draws(unit)
	mixes := m.Year.windows.mixes
	ladders := slices.Grow(c.ladders[unit][:0], len(mixes))[:len(mixes)]
	for i, mix := range mixes {
		on := mix[0].on & c.random
		d := slices.IndexFunc(c.draws, func(d draw) bool { return d.on == on })
		ladders[i].draw, ladders[i].pace, ladders[i].down = d, c.draws[d].pace, 0
	}
	c.ladders[unit], c.made[unit] = ladders, true
	return ladders
}

// rungsOf gives the rungs of a kind of window for a unit that is prepared, down
// to where none of so many draws is likely to stay below. What lies deeper has
// no part in their maximum, and making it would cost most of the work.
func (m *Model) rungsOf(unit Unit, mix int, draws float64) []rung {
	return m.rungsTo(unit, mix, unlikely/draws)
}

// rungsTo gives the rungs down to a logarithm of the probability to stay below.
func (m *Model) rungsTo(unit Unit, mix int, down float64) []rung {
	c := &m.chance
	l := &c.ladders[unit][mix]
	if l.down > down || l.down == 0 {
		if c.drawn != unit {
			m.draws(unit) // another unit has been worked out since
		}
		c.rungs = m.rungs(c.rungs[:0], unit, m.Year.windows.mixes[mix], &c.draws[l.draw], down)
		l.rungs, l.down = append(l.rungs[:0], c.rungs...), down
	}
	return l.rungs
}

// draws works out the sums of the machines that chance decides.
func (m *Model) draws(unit Unit) {
	c := &m.chance
	c.drawn = unit
	m.gather(unit)
	c.wants(m.Year.windows.mixes)
	c.kernelsFor(func(g *group) group { return *g })
	used := 0
	c.spreads(unit == Apparent, func(on Set, s *spread) {
		if used == len(c.draws) {
			c.draws = append(c.draws, draw{})
		}
		c.draws[used].set(on, s, c)
		used++
	})
	c.draws = c.draws[:used]
}

// set takes over a spread, with the exact moments of what it stands for.
func (d *draw) set(on Set, s *spread, c *chance) {
	d.on, d.spread.first = on, s.first
	d.spread.f, d.spread.g = append(d.spread.f[:0], s.f...), append(d.spread.g[:0], s.g...)
	d.lowest, d.highest, d.mean, d.linked, d.pace = 0, 0, 0, 0, 1
	variance, largest, turns := 0.0, 0.0, 0.0
	for i := range c.groups {
		if g := &c.groups[i]; g.active(on) {
			d.lowest += g.lowest
			d.highest += g.highest
			d.mean += g.mean
			d.linked += g.linked
			variance += g.variance
			n := float64(g.alike)
			deviation := math.Sqrt(g.variance / n)
			largest = max(largest, deviation)
			turns += n * deviation / g.cycle
		}
	}
	sum, first, second := 0.0, 0.0, 0.0
	for i, p := range d.spread.f {
		sum += p
		first += p * float64(i)
	}
	first /= sum
	for i, p := range d.spread.f {
		second += p * (float64(i) - first) * (float64(i) - first)
	}
	d.middle, d.shrink = float64(d.spread.first)+first, 1
	if variance > 0 && second > 0 {
		d.pace = min(1, turns/largest)
		d.shrink = math.Sqrt(variance/(second/sum)) / c.step
	}
}

// rungs turns a draw into demands of a kind of window, from the top to the first
// one below which a window stays with less than a logarithm of probability.
func (m *Model) rungs(out []rung, unit Unit, of mix, d *draw, down float64) []rung {
	// The steady part is what the mean of the window holds beside the draw.
	steady := Power{}
	for _, p := range of {
		steady = steady.plus(p.share, m.At(p.on))
	}
	watts, vars := float64(steady.P), float64(steady.Q)
	if unit == Reactive {
		watts, vars = vars, watts
	}
	watts, vars = watts-d.mean, vars-d.linked
	total, above, last := 0.0, 0.0, -1
	for i := len(d.spread.f) - 1; i >= 0; i-- {
		if p := d.spread.f[i]; p >= negligible {
			total += p
			last = i
		}
	}
	deep := func(p float64) (below float64, enough bool) {
		above += p / total
		below = math.Log1p(-min(above, 1))
		return below, below < down
	}
	out = slices.Grow(out, len(d.spread.f))
	for i := len(d.spread.f) - 1; i >= last; i-- {
		p := d.spread.f[i]
		if p < negligible {
			continue
		}
		r := rung{at: watts + d.at(i, m.chance.step), p: p, step: i}
		if unit == Apparent {
			r.at = math.Hypot(r.at, vars+d.spread.g[i]/p)
			out = append(out, r)
			continue
		}
		enough := false
		r.below, enough = deep(p)
		if out = append(out, r); enough {
			return out
		}
	}
	if unit == Apparent {
		slices.SortStableFunc(out, func(a, b rung) int { return cmp.Compare(b.at, a.at) })
		for i := range out {
			enough := false
			if out[i].below, enough = deep(out[i].p); enough {
				return out[:i+1]
			}
		}
	}
	out[len(out)-1].below = math.Inf(-1)
	return out
}

// climb is a ladder being gone down, rung by rung.
type climb struct {
	mix   int
	draws float64 // number of independent windows
	rungs []rung
	next  int
}

func (c *climb) log() float64 {
	if c.next == 0 {
		return 0
	}
	return c.draws * c.rungs[c.next-1].below
}

// unlikely is the logarithm of a probability not worth following.
const unlikely = -40

// climbs lists the kinds of window of a period with their ladders.
func (m *Model) climbs(month time.Month, slots Slots, unit Unit) []climb {
	if m.months == nil {
		return m.ownClimbs(month, slots, unit)
	}
	m.chance.climbs = m.chance.climbs[:0]
	m.each(month, func(child *Model, month time.Month) {
		m.chance.climbs = append(m.chance.climbs, child.ownClimbs(month, slots, unit)...)
	})
	return m.chance.climbs
}

func (m *Model) ownClimbs(month time.Month, slots Slots, unit Unit) []climb {
	c := &m.chance
	ladders := m.prepare(unit)
	c.windows, c.runs = zeros(c.windows, len(ladders)), zeros(c.runs, len(ladders))
	for _, s := range m.Year.windows.spells {
		if (month == 0 || s.month == month) && slots.Has(s.slot) {
			c.windows[s.mix] += s.n
			c.runs[s.mix] += s.runs
		}
	}
	c.climbs = c.climbs[:0]
	floor := math.Inf(-1)
	for i := range ladders {
		n := c.windows[i]
		if n == 0 {
			continue
		}
		// Each run is at least one draw of its own.
		draws := min(n, max(n*ladders[i].pace, c.runs[i]))
		rungs := m.rungsOf(unit, i, draws)
		c.climbs = append(c.climbs, climb{i, draws, rungs, 0})
		for _, r := range rungs {
			if draws*r.below < unlikely {
				floor = max(floor, r.at)
				break
			}
		}
	}
	// A kind of window that stays below what another is sure to reach has no
	// part in the maximum.
	c.climbs = slices.DeleteFunc(c.climbs, func(k climb) bool { return k.rungs[0].at < floor })
	return c.climbs
}

// fall goes down all ladders together and hands each step of the
// distribution of the maximum to use: where it lies, how probable it is, and
// the kind of window and rung that it comes from. The maximum of independent
// windows lies below x with the product of their probabilities to do so.
func fall(climbs []climb, use func(at, p float64, c *climb, r *rung)) {
	log, below := 0.0, 1.0
	for below > 0 {
		var top *climb
		for i := range climbs {
			k := &climbs[i]
			if k.next < len(k.rungs) && (top == nil || k.rungs[k.next].at > top.rungs[top.next].at) {
				top = k
			}
		}
		if top == nil {
			return
		}
		r := &top.rungs[top.next]
		log -= top.log()
		top.next++
		log += top.log()
		now := math.Exp(log)
		if log < unlikely {
			now = 0
		}
		use(r.at, below-now, top, r)
		below = now
	}
}

// Demand is the highest demand of a month (0: the year) within a set of slots.
// It is false when the month has no window in those slots.
func (m *Model) Demand(month time.Month, slots Slots, unit Unit) (Peak, bool) {
	climbs := m.climbs(month, slots, unit)
	if len(climbs) == 0 {
		return Peak{}, false
	}
	var sum peakSum
	fall(climbs, func(at, p float64, _ *climb, _ *rung) { sum.add(at, p) })
	return sum.peak(), true
}

// peakSum adds up a distribution given from the top.
type peakSum struct {
	top           float64
	p, d, dd      float64 // moments of the distance below top
	high, low     float64
	started, done bool
	passed        bool
}

func (s *peakSum) add(at, p float64) {
	if !s.started {
		s.top, s.started = at, true
	}
	d := s.top - at
	s.p += p
	s.d += p * d
	s.dd += p * d * d
	if !s.passed && s.p >= 0.05 {
		s.high, s.passed = at, true
	}
	if !s.done && s.p >= 0.95 {
		s.low, s.done = at, true
	}
}

func (s *peakSum) peak() Peak {
	mean := s.d / s.p
	return Peak{
		Mean:      s.top - mean,
		Deviation: math.Sqrt(max(0, s.dd/s.p-mean*mean)),
		Low:       s.low,
		High:      s.high,
	}
}

// MeanDemand is the first naive answer, the sum of averages: the highest mean
// demand of any kind of window of the period. No peak can be expected below it.
func (m *Model) MeanDemand(month time.Month, slots Slots, unit Unit) (float64, bool) {
	highest, found := math.Inf(-1), false
	m.each(month, func(m *Model, month time.Month) {
		for _, s := range m.Year.windows.spells {
			if month != 0 && s.month != month || !slots.Has(s.slot) {
				continue
			}
			var p Power
			for _, part := range m.Year.windows.mixes[s.mix] {
				p = p.plus(part.share, m.At(part.on))
			}
			highest, found = max(highest, p.in(unit)), true
		}
	})
	return highest, found
}

// AllOn is the second naive answer: every machine of every calendar that opens
// in the period at its highest power, all at once. No peak can exceed it.
func (m *Model) AllOn(month time.Month, slots Slots, unit Unit) (float64, bool) {
	if m.Year.Hours(month, slots) == 0 {
		return 0, false
	}
	var sum Power
	for i := range m.machines {
		a := &m.machines[i]
		open := m.Year.Open(a.Calendar, month, slots)
		sum = sum.plus(a.Count, a.most(open > 0, open < m.Year.Hours(month, slots)))
	}
	return sum.in(unit), true
}

// most gives the highest active and the highest reactive power of a machine
// that is on, off or now one and now the other.
func (m *Machine) most(on, off bool) Power {
	p := Power{quantity.Watts(math.Inf(-1)), quantity.Vars(math.Inf(-1))}
	raise := func(share float64, to Power) {
		if share > shareSlack {
			p.P, p.Q = max(p.P, to.P), max(p.Q, to.Q)
		}
	}
	if on {
		for _, mode := range m.Modes {
			raise(mode.Share, mode.Power)
		}
		raise(m.rest(), m.Idle)
	}
	if off {
		raise(1, m.Standby)
	}
	return p
}

func (a Power) in(unit Unit) float64 {
	switch unit {
	case Apparent:
		return math.Hypot(float64(a.P), float64(a.Q))
	case Reactive:
		return float64(a.Q)
	}
	return float64(a.P)
}
