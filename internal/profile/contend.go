package profile

import (
	"math"
	"slices"
	"time"
)

// ask finds the kinds of window that may hold a maximum.
func (c *Compiled) ask(m *Model, a Ask, variants [12]int) compiledAsk {
	out := compiledAsk{Ask: a}
	out.peak, out.found = m.Demand(a.Month, a.Slots, a.Unit)
	if out.found {
		out.soft = out.peak.Deviation * math.Sqrt(6) / math.Pi
		out.shape = shapeOf(m.climbs(a.Month, a.Slots, a.Unit), out.peak)
		c.contend(m, &out, variants)
	}
	return out
}

func (c *Compiled) contend(m *Model, a *compiledAsk, variants [12]int) {
	highest := math.Inf(-1)
	var all []contender
	m.each(a.Month, func(child *Model, month time.Month) {
		variant := 0
		if month > 0 && month <= 12 {
			variant = variants[month-1]
		}
		var list []contender
		var mixes []int
		for _, s := range child.Year.windows.spells {
			if month != 0 && s.month != month || !a.Slots.Has(s.slot) {
				continue
			}
			k := slices.Index(mixes, s.mix)
			if k < 0 {
				k = len(list)
				list, mixes = append(list, contender{}), append(mixes, s.mix)
			}
			list[k].n += s.n
			list[k].runs += s.runs
		}
		for k := range list {
			x := &list[k]
			x.unit = a.Unit
			x.atBest, x.p, x.q = child.alone(mixes[k], x.n, x.runs, a.Unit)
			x.draws = child.drawsOf(mixes[k], x.n, x.runs, a.Unit)
			highest = max(highest, x.atBest)
			x.variant, x.mix = variant, mixes[k]
			all = append(all, *x)
		}
	})
	near := max(outOfReach*math.Abs(highest), 6*a.soft)
	for _, x := range all {
		if x.atBest >= highest-near {
			x.place = c.placeOf(m.Year, x.variant, x.mix)
			a.contenders = append(a.contenders, c.runnerOf(x))
		}
	}
}

func (c *Compiled) runnerOf(x contender) int {
	k := slices.IndexFunc(c.runners, func(r contender) bool {
		return r.unit == x.unit && r.place == x.place && r.n == x.n && r.runs == x.runs
	})
	if k < 0 {
		k = len(c.runners)
		c.runners = append(c.runners, x)
	}
	return k
}

func (c *Compiled) placeOf(y *Year, variant, mix int) int {
	k := slices.IndexFunc(c.places, func(p place) bool { return p.variant == variant && p.mix == mix })
	if k >= 0 {
		return k
	}
	p := place{variant: variant, mix: mix}
	for i := range c.calendars {
		share := 0.0
		for _, part := range y.windows.mixes[mix] {
			if part.on.Has(i) {
				share += part.share
			}
		}
		if share != 0 {
			p.on = append(p.on, shareOf{i, share})
		}
	}
	c.places = append(c.places, p)
	return len(c.places) - 1
}

// drawsOf is the number of independent windows of a mix.
func (m *Model) drawsOf(mix int, n, runs float64, unit Unit) float64 {
	return min(n, max(n*m.prepare(unit)[mix].pace, runs))
}

// alone gives the expected maximum over the windows of one mix, and by how much
// active and reactive power then exceed their means.
func (m *Model) alone(mix int, n, runs float64, unit Unit) (highest, p, q float64) {
	l := &m.prepare(unit)[mix]
	c := &m.chance
	if c.drawn != unit {
		m.draws(unit) // another unit has been worked out since
	}
	draws := m.drawsOf(mix, n, runs, unit)
	rungs := m.rungsOf(unit, mix, draws)
	d := &m.chance.draws[l.draw]
	before := 1.0
	for i := range rungs {
		r := &rungs[i]
		now := 0.0
		if log := draws * r.below; log >= unlikely {
			now = math.Exp(log)
		}
		w := before - now
		highest += w * r.at
		p += w * (d.at(r.step, c.step) - d.mean)
		if unit == Apparent {
			q += w * (d.spread.g[r.step]/d.spread.f[r.step] - d.linked)
		}
		if before = now; now == 0 {
			break
		}
	}
	if unit == Reactive {
		return highest, 0, p
	}
	return highest, p, q
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
