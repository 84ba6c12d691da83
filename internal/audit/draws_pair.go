package audit

import (
	"math"
	"reflect"
	"slices"

	"auditgen/internal/uncertainty"
)

// pair draws a year as it is and a year altered together. Doubts with one id in
// both move together: by the same value where both have the same distribution,
// else at the same probability of their own.
type pair struct {
	before, after *drawn
	parameters    []uncertainty.Parameter
	from          [2][]link
	z, out        [2][][]float64 // by draw
	peak          [2]int         // month of the highest demand of either
	headline      int            // outputs that both layouts begin with
}

// link is where a year's parameter comes from among those of the pair.
type link struct {
	at int
	of uncertainty.Distribution // that the pair's probability goes through; nil for a value
}

func newPair(before, after *drawn, peak [2]int) *pair {
	p := &pair{before: before, after: after, peak: peak, headline: before.layout.loads}
	index := map[string]int{}
	for side, d := range []*drawn{before, after} {
		for _, x := range d.Parameters() {
			at, known := index[x.ID]
			switch {
			case !known:
				at = len(p.parameters)
				index[x.ID] = at
				p.parameters = append(p.parameters, x)
				p.from[side] = append(p.from[side], link{at: at})
			case reflect.DeepEqual(p.parameters[at].Distribution, x.Distribution):
				p.from[side] = append(p.from[side], link{at: at})
			default:
				was := p.parameters[at].Distribution
				p.parameters[at].Distribution = uncertainty.Rectangular{Low: 0, High: 1}
				k := slices.IndexFunc(p.from[0], func(l link) bool { return l.at == at })
				p.from[0][k].of = was
				p.from[side] = append(p.from[side], link{at, x.Distribution})
			}
		}
		p.z[side], p.out[side] = drawsOfWidth(len(p.from[side])), drawsOfWidth(d.Outputs())
	}
	return p
}

// drawsOfWidth makes room for draws of so many figures.
func drawsOfWidth(width int) [][]float64 {
	out := make([][]float64, atOnce)
	for j := range out {
		out[j] = make([]float64, width)
	}
	return out
}

// Parameters are those of both years.
func (p *pair) Parameters() []uncertainty.Parameter { return p.parameters }

// Outputs are what either layout begins with, altered and saved; the lines
// saved; the highest kW and kVA saved.
func (p *pair) Outputs() int { return 2*p.headline + len(p.before.layout.lineKeys) + 2 }

// Evaluate works both years out.
func (p *pair) Evaluate(z, out []float64) { p.EvaluateAll([][]float64{z}, [][]float64{out}) }

// EvaluateAll works both years out in several draws.
func (p *pair) EvaluateAll(z, out [][]float64) {
	for len(z) > 0 {
		n := min(len(z), atOnce)
		p.evaluate(z[:n], out[:n])
		z, out = z[n:], out[n:]
	}
}

func (p *pair) evaluate(z, out [][]float64) {
	for side, d := range []*drawn{p.before, p.after} {
		for i, l := range p.from[side] {
			for j := range z {
				v := z[j][l.at]
				if l.of != nil {
					v = l.of.Quantile(v)
				}
				p.z[side][j][i] = v
			}
		}
		d.EvaluateAll(p.z[side][:len(z)], p.out[side][:len(z)])
	}
	for j := range out {
		p.compare(p.out[0][j], p.out[1][j], out[j])
	}
}

// compare fills in what a draw of both years makes.
func (p *pair) compare(was, is, out []float64) {
	for k := range p.headline {
		out[k], out[p.headline+k] = is[k], was[k]-is[k]
	}
	b, a := p.before.layout, p.after.layout
	lines := out[2*p.headline:]
	for k := range b.lineKeys {
		lines[k] = was[b.lines+k] - is[a.lines+k]
	}
	peaks := lines[len(b.lineKeys):]
	peaks[0] = was[b.kw+p.peak[0]] - is[a.kw+p.peak[1]]
	peaks[1] = was[b.kva+p.peak[0]] - is[a.kva+p.peak[1]]
}

// doubted puts intervals on what an alteration makes and saves.
func (v *Variant) doubted(p *pair, draws []uncertainty.Summary) {
	l, saved := p.after.layout, draws[p.headline:]
	put := func(i *Interval, s uncertainty.Summary) { *i = drawnAbout(i.Value, s, i.Unit, "") }
	saves := func(i *Interval, s uncertainty.Summary, of Interval) {
		if put(i, s); i.Half() <= 1e-9*math.Abs(of.Value) {
			i.Low, i.High = i.Value, i.Value // the last digits of arithmetic are no doubt
		}
	}
	put(&v.Energy, draws[l.energy])
	put(&v.Cost, draws[l.cost])
	saves(&v.Saved.Energy, saved[l.energy], v.Energy)
	put(&v.Saved.Cost, saved[l.cost])
	for i := range v.Months {
		m, s := &v.Months[i], &v.Saved.Months[i]
		put(&m.Energy, draws[l.months+i])
		put(&m.Reactive, draws[l.reactive+i])
		put(&m.PeakKW, draws[l.kw+i])
		put(&m.PeakKVA, draws[l.kva+i])
		put(&m.Cost, draws[l.costs+i])
		saves(&s.Energy, saved[l.months+i], m.Energy)
		saves(&s.PeakKW, saved[l.kw+i], m.PeakKW)
		saves(&s.PeakKVA, saved[l.kva+i], m.PeakKVA)
		put(&s.Cost, saved[l.costs+i])
	}
	v.Peak, v.PeakKVA = v.Months[p.peak[1]].PeakKW, v.Months[p.peak[1]].PeakKVA
	lines := draws[2*p.headline:]
	for k := range v.Lines {
		put(&v.Lines[k].SavedWithDoubt, lines[k])
	}
	saves(&v.Saved.Peak, lines[len(v.Lines)], v.Peak)
	saves(&v.Saved.PeakKVA, lines[len(v.Lines)+1], v.PeakKVA)
}
