package profile

import (
	"cmp"
	"slices"
	"time"

	"auditgen/internal/quantity"
)

// When is a place in the year with the probability that the maximum falls there.
type When struct {
	Month       time.Month
	Kind, Hour  int
	Probability float64
}

// Meeting is how machines come together at the highest demand of a period.
type Meeting struct {
	Peak Peak
	// On is the set of calendars that is most likely on at the maximum, with
	// its probability.
	On          Set
	Probability float64
	// When lists where the maximum falls, the likeliest first.
	When []When
	// Machines has the expected active power of each machine, all alike
	// together, at the time of the maximum; for active demand they sum to
	// Peak.Mean.
	Machines []quantity.Watts
}

// closely is how many machines, those of the greatest variance, have their part
// in a maximum worked out from the exact joint distribution; the others are
// given theirs in proportion to their variance, as for normal sums.
const closely = 24

// Coincidence tells how machines come together at the highest demand of a month
// (0: the year) within a set of slots. It is false when the month has no
// window in those slots. It costs some tens of demands.
func (m *Model) Coincidence(month time.Month, slots Slots, unit Unit) (Meeting, bool) {
	if m.months != nil && month >= 1 && month <= 12 {
		return m.months[month-1].Coincidence(month, slots, unit)
	}
	if m.months != nil {
		return m.meetingOfMonths(slots, unit)
	}
	climbs := m.climbs(month, slots, unit)
	if len(climbs) == 0 {
		return Meeting{}, false
	}
	ladders := m.chance.ladders[unit]
	m.draws(unit) // another unit may have been worked out since
	weights := make([][]float64, len(ladders))
	var sum peakSum
	fall(climbs, func(at, p float64, c *climb, r *rung) {
		sum.add(at, p)
		if weights[c.mix] == nil {
			weights[c.mix] = make([]float64, len(m.chance.draws[ladders[c.mix].draw].spread.f))
		}
		weights[c.mix][r.step] += p
	})
	out := Meeting{Peak: sum.peak(), Machines: make([]quantity.Watts, len(m.machines))}
	m.where(&out, weights, month, slots)
	m.steady(&out, weights, ladders)
	m.moved(&out, weights, ladders, unit)
	return out, true
}

// meetingOfMonths joins the meetings of months that differ, each by the
// probability that the year's maximum falls in it. The parts of a month are
// those of its own maximum, scaled so that all sum to the year's.
func (m *Model) meetingOfMonths(slots Slots, unit Unit) (Meeting, bool) {
	var chances [12]float64
	var all []climb
	var owner []int
	for i, child := range m.months {
		for _, c := range child.ownClimbs(time.Month(i+1), slots, unit) {
			c.mix = len(owner)
			all, owner = append(all, c), append(owner, i)
		}
	}
	if len(all) == 0 {
		return Meeting{}, false
	}
	var sum peakSum
	fall(all, func(at, p float64, c *climb, _ *rung) {
		sum.add(at, p)
		chances[owner[c.mix]] += p
	})
	out := Meeting{Peak: sum.peak(), Machines: make([]quantity.Watts, len(m.machines))}
	watts := 0.0
	for i, p := range chances {
		one, ok := m.months[i].Coincidence(time.Month(i+1), slots, unit)
		if !ok || p == 0 {
			continue
		}
		if p*one.Probability > out.Probability {
			out.On, out.Probability = one.On, p*one.Probability
		}
		for _, w := range one.When {
			w.Probability *= p
			out.When = append(out.When, w)
		}
		for k, part := range one.Machines {
			out.Machines[k] += quantity.Watts(p) * part
			watts += p * float64(part)
		}
	}
	if unit == Active && watts != 0 {
		for k := range out.Machines {
			out.Machines[k] *= quantity.Watts(out.Peak.Mean / watts)
		}
	}
	sortWhen(out.When)
	return out, true
}

func total(w []float64) float64 {
	sum := 0.0
	for _, p := range w {
		sum += p
	}
	return sum
}

// where fills in the sets and hours of the maximum.
func (m *Model) where(out *Meeting, weights [][]float64, month time.Month, slots Slots) {
	w := &m.Year.windows
	sets := map[Set]float64{}
	for i := range weights {
		for _, p := range w.mixes[i] {
			sets[p.on] += total(weights[i]) * p.share
		}
	}
	for on, p := range sets {
		if p > out.Probability || p == out.Probability && on < out.On {
			out.On, out.Probability = on, p
		}
	}
	places := map[When]float64{}
	for _, c := range w.counts {
		if (month == 0 || c.month == month) && slots.Has(c.slot) && weights[c.mix] != nil {
			places[When{c.month, c.kind, c.hour, 0}] += total(weights[c.mix]) * c.n / m.chance.windows[c.mix]
		}
	}
	for at, p := range places {
		at.Probability = p
		out.When = append(out.When, at)
	}
	sortWhen(out.When)
}

func sortWhen(when []When) {
	slices.SortFunc(when, func(a, b When) int {
		return cmp.Or(cmp.Compare(b.Probability, a.Probability), cmp.Compare(a.Month, b.Month),
			cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Hour, b.Hour))
	})
}

// steady gives each machine its mean in the windows in which the maximum falls.
func (m *Model) steady(out *Meeting, weights [][]float64, ladders []ladder) {
	for i := range ladders {
		p := total(weights[i])
		for _, part := range m.Year.windows.mixes[i] {
			f := quantity.Watts(p * part.share)
			for j := range m.machines {
				if part.on.Has(m.machines[j].Calendar) {
					out.Machines[j] += f * m.on[j].P
				} else {
					out.Machines[j] += f * m.off[j].P
				}
			}
		}
	}
}

// moved adds how far each machine that chance decides is from its mean when
// the sum is at its maximum.
func (m *Model) moved(out *Meeting, weights [][]float64, ladders []ladder, unit Unit) {
	c := &m.chance
	exact, others := c.byVariance(len(m.machines))
	moved := make([]float64, len(m.machines))
	for _, machine := range exact {
		c.kernelsFor(func(g *group) group { return g.of(machine, unit) })
		c.spreads(true, func(on Set, s *spread) {
			for i := range ladders {
				d := &c.draws[ladders[i].draw]
				if d.on != on || weights[i] == nil {
					continue
				}
				mean := c.meanOf(machine, on)
				for step, w := range weights[i] {
					if at := step + d.spread.first - s.first; w > 0 && at >= 0 && at < len(s.f) && s.f[at] > 0 {
						moved[machine] += w * (s.g[at]/s.f[at] - mean)
					}
				}
			}
		})
	}
	for i := range ladders {
		d := &c.draws[ladders[i].draw]
		for step, w := range weights[i] {
			if w > 0 {
				for _, machine := range others {
					moved[machine] += w * (d.at(step, c.step) - d.mean) * c.partOf(machine, d.on)
				}
			}
		}
	}
	m.balance(out, moved, unit)
}

// balance adds the moves, for active demand scaled by the little that the grid
// leaves open so that the machines sum to the peak.
func (m *Model) balance(out *Meeting, moved []float64, unit Unit) {
	scale := 1.0
	if all := total(moved); unit == Active && all != 0 {
		rest := out.Peak.Mean
		for _, p := range out.Machines {
			rest -= float64(p)
		}
		scale = rest / all
	}
	for i, d := range moved {
		out.Machines[i] += quantity.Watts(scale * d)
	}
}

// byVariance lists the machines that chance decides: those of the greatest
// variance, and the others.
func (c *chance) byVariance(machines int) (exact, others []int) {
	variance := make([]float64, machines)
	for i := range c.groups {
		c.groups[i].eachMember(func(m *member) {
			variance[m.machine] += m.variance
		})
	}
	for i, v := range variance {
		if v > 0 {
			exact = append(exact, i)
		}
	}
	slices.SortStableFunc(exact, func(a, b int) int { return cmp.Compare(variance[b], variance[a]) })
	n := min(closely, len(exact))
	return exact[:n], exact[n:]
}

// of gives the group with one machine's active power as the linked quantity:
// its own when it is in the group, else nothing.
func (g *group) of(machine int, unit Unit) group {
	g.eachMember(func(*member) {}) // made when first asked for
	h := *g
	h.atoms = slices.Clone(g.atoms)
	mine := -1
	for k := range g.members {
		if g.members[k].machine == machine {
			mine = k
		}
	}
	h.linked, h.shared = 0, 0
	if mine >= 0 {
		h.linked, h.shared = g.members[mine].mean, g.members[mine].shared
	}
	for i := range h.atoms {
		switch {
		case mine < 0:
			h.atoms[i].vars = 0
		default:
			h.atoms[i].vars = g.members[mine].watts[i]
		}
	}
	return h
}

// meanOf is the mean active power of a machine's part of a draw.
func (c *chance) meanOf(machine int, on Set) float64 {
	sum := 0.0
	for i := range c.groups {
		if g := &c.groups[i]; g.active(on) {
			g.eachMember(func(m *member) {
				if m.machine == machine {
					sum += m.mean
				}
			})
		}
	}
	return sum
}

// partOf is how much of a move of a draw falls on a machine's active power, if
// the sum is normal: its covariance with the sum over the variance of the sum.
func (c *chance) partOf(machine int, on Set) float64 {
	mine, all := 0.0, 0.0
	for i := range c.groups {
		g := &c.groups[i]
		if !g.active(on) {
			continue
		}
		all += g.variance
		g.eachMember(func(m *member) {
			if m.machine == machine {
				mine += m.shared
			}
		})
	}
	if all == 0 {
		return 0
	}
	return mine / all
}
