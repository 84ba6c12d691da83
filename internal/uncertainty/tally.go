package uncertainty

import (
	"math"
	"slices"
)

// A tally keeps no draws but the first: from those it lays out a histogram of
// equal bins over reach standard deviations on either side of the mean, with
// one more bin beyond each end. Interpolated quantiles inside that range are
// within one bin, 2·reach/bins = 0.012 standard deviations, of the draws' own
// and as a rule within a tenth of that; beyond it they lie between the range
// and the furthest draw.
const (
	pilot = 1024
	bins  = 1024
	reach = 6.0
)

// tally gathers one output.
type tally struct {
	first      []float64 // the first draws, until the histogram is laid out
	weights    []float64 // of the first draws
	count      int
	weight     float64 // sum of weights
	squares    float64 // sum of their squares
	mean, m2   float64 // Welford's recurrence, weighted (West, 1979)
	min, max   float64
	from, wide float64
	perUnit    float64   // bins to a unit
	histogram  []float64 // bins + 2
}

func newTally() tally {
	return tally{first: make([]float64, 0, pilot), weights: make([]float64, 0, pilot), min: math.Inf(1), max: math.Inf(-1)}
}

// add takes a draw with its weight in.
func (t *tally) add(x, w float64) {
	t.count++
	t.weight += w
	if w == 0 {
		return
	}
	t.squares += float64(w * w)
	d := x - t.mean
	r := float64(d * w / t.weight)
	t.mean += r
	t.m2 += float64(float64(w*d) * (x - t.mean))
	t.min, t.max = min(t.min, x), max(t.max, x)
	if t.histogram != nil {
		t.put(x, w)
		return
	}
	t.keep(x, w)
}

// one takes a draw of weight 1 in, the inverse of the count of draws being
// known: the same recurrence as add.
func (t *tally) one(x, inverse float64) {
	t.count++
	t.weight++
	t.squares++
	d := x - t.mean
	t.mean += float64(d * inverse)
	t.m2 += float64(d * (x - t.mean))
	t.min, t.max = min(t.min, x), max(t.max, x)
	t.keep(x, 1)
}

// many takes draws of weight 1 in that stand so far apart, in order, the
// inverses of the counts of draws being known: the same to the last bit as one
// after the other.
func (t *tally) many(draws []float64, apart int, inverses []float64) {
	at := 0
	for t.histogram == nil && len(inverses) > 0 {
		t.one(draws[at], inverses[0])
		at, inverses = at+apart, inverses[1:]
	}
	if len(inverses) == 0 {
		return
	}
	t.count += len(inverses)
	t.weight += float64(len(inverses))
	t.squares += float64(len(inverses))
	mean, m2, lowest, highest := t.mean, t.m2, t.min, t.max
	for _, inverse := range inverses {
		x := draws[at]
		at += apart
		d := x - mean
		mean += float64(d * inverse)
		m2 += float64(d * (x - mean))
		if x < lowest {
			lowest = x
		}
		if x > highest {
			highest = x
		}
		t.put(x, 1)
	}
	t.mean, t.m2, t.min, t.max = mean, m2, lowest, highest
}

// batchDraws is how many draws are gathered before they are tallied output by
// output: each draw moves all outputs, and their histograms together are far
// larger than a processor's nearest memory.
const batchDraws = 256

// batch holds numbers of some draws, draw by draw.
type batch struct {
	width    int
	held     []float64
	rows     [][]float64 // of held
	count    int         // of all draws tallied
	inverses []float64
}

func newBatch(width int) *batch {
	b := &batch{width: width, held: make([]float64, batchDraws*width), inverses: make([]float64, batchDraws)}
	for j := range batchDraws {
		b.rows = append(b.rows, b.held[j*width:][:width:width])
	}
	return b
}

// tally takes the first n draws in.
func (b *batch) tally(n int, ts []tally) {
	for j := range n {
		b.count++
		b.inverses[j] = 1 / float64(b.count)
	}
	for k := range ts {
		ts[k].many(b.held[k:], b.width, b.inverses[:n])
	}
}

// keep holds on to the first draws.
func (t *tally) keep(x, w float64) {
	if len(t.first) < pilot {
		t.first, t.weights = append(t.first, x), append(t.weights, w)
		return
	}
	t.layOut()
	t.put(x, w)
}

func (t *tally) put(x, w float64) {
	at := float64((x-t.from)*t.perUnit) + 1
	switch {
	case !(at >= 1):
		t.histogram[0] += w
	case at >= bins+1:
		t.histogram[bins+1] += w
	default:
		t.histogram[int(at)] += w
	}
}

func (t *tally) layOut() {
	half := float64(reach * t.deviation())
	half = max(half, 1e-9*math.Abs(t.mean), 1e-300)
	t.from, t.wide, t.perUnit = t.mean-half, 2*half/bins, bins/(2*half)
	t.histogram = make([]float64, bins+2)
	for i, x := range t.first {
		t.put(x, t.weights[i])
	}
	t.first, t.weights = nil, nil
}

// deviation is the standard deviation of the draws, with the divisor n - 1
// (JCGM 101:2008, 7.6); for weights n is their effective number.
func (t *tally) deviation() float64 {
	n := t.effective()
	if !(n > 1) {
		return 0
	}
	return math.Sqrt(max(0, t.m2/t.weight*(n/(n-1))))
}

// effective is the number of equal draws that would be worth as much:
// (Σw)²/Σw².
func (t *tally) effective() float64 {
	if t.squares == 0 {
		return 0
	}
	return float64(t.weight*t.weight) / t.squares
}

// step is a part of a distribution, evenly spread from x to y.
type step struct{ x, y, p float64 }

// steps lists the distribution from below. A draw of the first ones reaches
// half way to its neighbours.
func (t *tally) steps() []step {
	var out []step
	if t.histogram == nil {
		order := make([]int, len(t.first))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int {
			switch {
			case t.first[a] < t.first[b]:
				return -1
			case t.first[a] > t.first[b]:
				return 1
			}
			return 0
		})
		for k, i := range order {
			x, y := t.first[i], t.first[i]
			if k > 0 {
				x = (t.first[order[k-1]] + x) / 2
			}
			if k+1 < len(order) {
				y = (t.first[order[k+1]] + y) / 2
			}
			out = append(out, step{x, y, t.weights[i] / t.weight})
		}
		return out
	}
	for i, w := range t.histogram {
		if w == 0 {
			continue
		}
		x := t.from + float64(float64(i-1)*t.wide)
		y := x + t.wide
		if i == 0 {
			x, y = t.min, t.from
		}
		if i == bins+1 {
			y = t.max
		}
		out = append(out, step{max(x, t.min), min(max(y, t.min), t.max), w / t.weight})
	}
	return out
}

// curve is a distribution function: steps, and the probability below each.
type curve struct {
	steps []step
	below []float64
}

func (t *tally) curve() curve {
	c := curve{steps: t.steps()}
	sum := 0.0
	for _, s := range c.steps {
		c.below = append(c.below, sum)
		sum += s.p
	}
	return c
}

// quantile inverts the distribution function.
func (c *curve) quantile(p float64) float64 {
	if len(c.steps) == 0 {
		return math.NaN()
	}
	i, found := slices.BinarySearch(c.below, p)
	if !found || i == len(c.steps) {
		i = max(i-1, 0)
	}
	return c.within(i, p)
}

// within inverts the distribution function in a step.
func (c *curve) within(i int, p float64) float64 {
	s := c.steps[i]
	part := min(max((p-c.below[i])/s.p, 0), 1)
	return s.x + float64(part*(s.y-s.x))
}

// climb is the step that holds a probability, counted on from a step that holds
// a lower one.
func (c *curve) climb(i int, p float64) int {
	for i+1 < len(c.below) && c.below[i+1] <= p {
		i++
	}
	return i
}

// Summary is what the draws say of one output.
type Summary struct {
	Mean, Deviation float64
	// Symmetric leaves the same probability on either side (JCGM 101:2008,
	// 7.7.2); Shortest is the shortest interval of that probability (7.7.2,
	// note), for distributions of one hump.
	Symmetric, Shortest Interval
	Median              float64
	// MeanError and EndError are the standard errors of the mean and of the
	// worse end of Symmetric that come from the number of draws.
	MeanError, EndError float64
}

func (t *tally) summary(coverage float64) Summary {
	c := t.curve()
	low, high := (1-coverage)/2, (1+coverage)/2
	s := Summary{Mean: t.mean, Deviation: t.deviation(), Median: c.quantile(0.5),
		Symmetric: Interval{c.quantile(low), c.quantile(high)}, Shortest: c.shortest(coverage)}
	if n := t.effective(); n > 0 {
		s.MeanError = s.Deviation / math.Sqrt(n)
		half := math.Sqrt(float64(low*(1-low)) / n)
		for _, p := range []float64{low, high} {
			s.EndError = max(s.EndError, (c.quantile(min(p+half, 1))-c.quantile(max(p-half, 0)))/2)
		}
	}
	return s
}

// shortest looks for the shortest interval of a coverage, among 201 that leave
// from nothing to all of the rest below them.
func (c *curve) shortest(coverage float64) Interval {
	const grid = 200
	best := Interval{math.NaN(), math.NaN()}
	if len(c.steps) == 0 {
		return best
	}
	low, high := 0, 0
	for k := range grid + 1 {
		p := float64((1 - coverage) * float64(k) / grid)
		low, high = c.climb(low, p), c.climb(high, p+coverage)
		if i := (Interval{c.within(low, p), c.within(high, p+coverage)}); k == 0 || i.Width() < best.Width() {
			best = i
		}
	}
	return best
}
