package audit

import (
	"math"
	"slices"

	"auditgen/internal/tariff"
)

// changedYear is a tariff on the year under a kind of change.
type changedYear struct {
	turning *turning
	year    *evaluation
	exact   map[float64]float64 // totals by x
	tried   bool                // to make it quick
	quick   *tariff.Quick       // nil where the tariff cannot be priced quickly
	answers [][]float64         // to the quick bill, at the turning's nodes
	weights []float64           // barycentric, of the nodes
	between []float64           // scratch
	totals  []float64
}

func newChangedYear(t *turning, year *evaluation) *changedYear {
	return &changedYear{turning: t, year: year, exact: map[float64]float64{}}
}

// total is the year's cost, exactly.
func (p *changedYear) total(x float64) (float64, error) {
	if v, ok := p.exact[x]; ok {
		return v, nil
	}
	m, uses, err := p.turning.uses(p.year, x)
	if err != nil {
		return 0, err
	}
	o := m.options
	o.Brief = true
	bills, err := m.tariff.PriceYear(m.periods, uses, o)
	if err != nil {
		return 0, err
	}
	p.exact[x] = total(bills).InexactFloat64()
	return p.exact[x], nil
}

// quicken makes the quick bill, and tells whether there is one.
func (p *changedYear) quicken() (bool, error) {
	if p.tried {
		return p.quick != nil, nil
	}
	p.tried = true
	var first *tariff.Quick
	for _, x := range p.turning.nodes {
		m, uses, err := p.turning.uses(p.year, x)
		if err != nil {
			return false, err
		}
		q, err := m.tariff.Quick(m.periods, uses, m.options)
		if err != nil || first != nil && !slices.Equal(first.Asks, q.Asks) {
			return false, nil // the exact engine will do
		}
		if first == nil {
			first = q
		}
		p.answers = append(p.answers, q.Answers())
	}
	for i, x := range p.turning.nodes {
		w := 1.0
		for k, y := range p.turning.nodes {
			if k != i {
				w /= p.turning.of(x) - p.turning.of(y)
			}
		}
		p.weights = append(p.weights, w)
	}
	p.quick, p.between, p.totals = first, make([]float64, len(first.Asks)), make([]float64, len(p.year.model.periods))
	return true, nil
}

// nearly is the year's cost from answers between the nodes: a line for what is
// in proportion, else the polynomial through them.
func (p *changedYear) nearly(x float64) float64 {
	at, sum := p.turning.of(x), 0.0
	clear(p.between)
	for i, node := range p.turning.nodes {
		off := at - p.turning.of(node)
		if off == 0 {
			copy(p.between, p.answers[i])
			sum = 1
			break
		}
		w := p.weights[i] / off
		sum += w
		for k, v := range p.answers[i] {
			p.between[k] += float64(w * v)
		}
	}
	for k := range p.between {
		p.between[k] /= sum
	}
	p.quick.Price(p.between, p.totals, nil)
	year := 0.0
	for _, v := range p.totals {
		year += v
	}
	return year
}

// level finds where another tariff costs what the one in force does, as level
// does with exact prices. Quick ones find where to look, which takes most of the
// steps; exact ones decide.
func (t *turning) level(other *changedYear, cost float64) (x float64, found bool, err error) {
	exact := func(x float64) (float64, error) {
		a, err := other.total(x)
		if err != nil {
			return 0, err
		}
		b, err := t.inForce.total(x)
		return a - b, err
	}
	now, from, to := t.Now.V/t.unit, t.From/t.unit, t.To/t.unit
	for _, p := range []*changedYear{other, t.inForce} {
		if ok, err := p.quicken(); err != nil {
			return 0, false, err
		} else if !ok {
			return level(now, from, to, exact)
		}
	}
	quick := func(x float64) (float64, error) { return other.nearly(x) - t.inForce.nearly(x), nil }
	return levelBoth(now, from, to, quick, exact, closeBy*math.Abs(cost))
}

// closeBy is the share of the year's cost within which quick prices must lie of
// the exact ones for the search to go by them.
const closeBy = 1e-5

// levelBoth finds what level finds with an exact function, most of the way by a
// quick one that must lie so near to it.
func levelBoth(now, from, to float64, quick, exact func(float64) (float64, error), slack float64) (float64, bool, error) {
	var start float64
	for _, x := range []float64{from, to, now} {
		q, err := quick(x)
		if err != nil {
			return 0, false, err
		}
		if start, err = exact(x); err != nil {
			return 0, false, err
		}
		if !(math.Abs(q-start) <= slack) {
			return level(now, from, to, exact)
		}
	}
	if start == 0 {
		return now, true, nil
	}
	b, err := bracketOf(now, from, to, quick)
	if err != nil || !b.found {
		return now, false, err
	}
	// The exact change of sign is near: it is looked for in ever wider brackets.
	for _, wider := range []float64{1, 1 << 4, 1 << 8, 1 << 12, 1 << 16} {
		wide := b.widened(wider)
		near, err := exact(wide.near)
		if err != nil {
			return 0, false, err
		}
		far, err := exact(wide.far)
		if err != nil {
			return 0, false, err
		}
		if same(near, start) && !same(far, start) {
			x, err := wide.halved(int(math.Log2(wider)), start, exact)
			return x, true, err
		}
	}
	return level(now, from, to, exact)
}

// bracket holds a change of sign: near is the end towards now.
type bracket struct {
	near, far float64
	low, high float64 // that it may be widened to
	found     bool
}

const levelSteps, levelHalvings = 20, 24

// level finds the x nearest to now, between from and to, at which f changes its
// sign: the range is looked over in even steps either way, the first change
// halved in on. A tariff with bands may jump across zero; x is then the jump.
func level(now, from, to float64, f func(float64) (float64, error)) (x float64, found bool, err error) {
	b, err := bracketOf(now, from, to, f)
	return b.far, b.found, err
}

func bracketOf(now, from, to float64, f func(float64) (float64, error)) (bracket, error) {
	start, err := f(now)
	if err != nil || start == 0 {
		return bracket{now, now, from, to, err == nil}, err
	}
	for i := 1; i <= levelSteps; i++ {
		for _, end := range []float64{from, to} {
			b := bracket{now + (end-now)*float64(i-1)/levelSteps, now + (end-now)*float64(i)/levelSteps, from, to, true}
			v, err := f(b.far)
			if err != nil {
				return bracket{}, err
			}
			if !same(v, start) {
				_, err := b.halved(levelHalvings, start, f)
				return b, err
			}
		}
	}
	return bracket{}, nil
}

// same tells whether v has the sign of start; nothing has none.
func same(v, start float64) bool { return v != 0 && math.Signbit(v) == math.Signbit(start) }

// widened is a bracket so many times as wide about its middle, within its range.
func (b bracket) widened(times float64) bracket {
	if times == 1 {
		return b
	}
	middle, half := (b.near+b.far)/2, float64((b.far-b.near)/2*times)
	b.near, b.far = min(max(middle-half, b.low), b.high), min(max(middle+half, b.low), b.high)
	return b
}

// halved halves a bracket so often, and gives its far end.
func (b *bracket) halved(times int, start float64, f func(float64) (float64, error)) (float64, error) {
	for range times {
		middle := (b.near + b.far) / 2
		v, err := f(middle)
		if err != nil {
			return 0, err
		}
		if same(v, start) {
			b.near = middle
		} else {
			b.far = middle
		}
	}
	return b.far, nil
}
