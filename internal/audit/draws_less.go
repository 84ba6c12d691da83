package audit

import (
	"cmp"
	"slices"
	"sync"

	"auditgen/internal/quantity"
	"auditgen/internal/uncertainty"
)

// lesser is what the cost falls by when something about the same year is
// otherwise: each of others has the doubts of base, drawn together with it.
type lesser struct {
	base   *drawn
	others []*drawn
	was    [][]float64   // by draw
	is     [][][]float64 // by other, draw
}

// fallsBy draws what the cost falls by in each of other models of the same
// doubts: without some loads, or with other reactive power.
func (r *Result) fallsBy(base *drawn, draws int, others ...*model) ([]uncertainty.Summary, error) {
	l := &lesser{base: base, was: drawsOfWidth(base.Outputs()), others: make([]*drawn, len(others))}
	failures := make([]error, len(others))
	var all sync.WaitGroup // making ready takes most of the time
	for i, m := range others {
		all.Go(func() { l.others[i], failures[i] = m.prepared(nil, 0, nil) })
	}
	all.Wait()
	if err := cmp.Or(failures...); err != nil {
		return nil, err
	}
	for _, d := range l.others {
		l.is = append(l.is, drawsOfWidth(d.Outputs()))
	}
	res, err := uncertainty.Run(l, r.model.seed(), uncertainty.Options{Draws: drawsOf(draws, append(l.others, l.base)...), Coverage: coverage})
	if err != nil {
		return nil, l.base.failed(err)
	}
	return res.Outputs, nil
}

// loadsAlone is the model without the log made ready for draws.
func (r *Result) loadsAlone() (*drawn, error) {
	if r.priced.log == nil {
		return r.drawn, nil
	}
	return r.drawnWith(nil)
}

// Parameters are those of the base.
func (l *lesser) Parameters() []uncertainty.Parameter { return l.base.Parameters() }

// Outputs is the number of others.
func (l *lesser) Outputs() int { return len(l.others) }

// Evaluate gives what the cost falls by in each of them.
func (l *lesser) Evaluate(z, out []float64) { l.EvaluateAll([][]float64{z}, [][]float64{out}) }

// EvaluateAll gives the same of several draws.
func (l *lesser) EvaluateAll(z, out [][]float64) {
	for len(z) > 0 {
		n := min(len(z), atOnce)
		l.base.EvaluateAll(z[:n], l.was[:n])
		for i, d := range l.others {
			is := l.is[i][:n]
			d.EvaluateAll(z[:n], is)
			for j := range is {
				out[j][i] = l.was[j][l.base.layout.cost] - is[j][d.layout.cost]
			}
		}
		z, out = z[n:], out[n:]
	}
}

// without is the year without some of its loads.
func (m *model) without(gone func(load int) bool) *model {
	other := *m
	other.loads = nil
	for i, l := range m.loads {
		if !gone(i) {
			other.loads = append(other.loads, l)
		}
	}
	return &other
}

// withReactive is the year with all reactive power in proportion.
func (m *model) withReactive(k float64) *model {
	other := *m
	other.loads, other.loggedReactive = nil, k
	for _, l := range m.loads {
		if l.own != nil {
			own := *l.own
			own.Modes = slices.Clone(own.Modes)
			for i := range own.Modes {
				own.Modes[i].Q *= quantity.Vars(k)
			}
			own.Idle.Q, own.Standby.Q = own.Idle.Q*quantity.Vars(k), own.Standby.Q*quantity.Vars(k)
			l.own = &own
		}
		modes := l.modes
		l.modes = nil
		for _, mode := range modes {
			mode.reactive *= k
			l.modes = append(l.modes, mode)
		}
		other.loads = append(other.loads, l)
	}
	return &other
}

// total is the year's cost at the best estimate.
func (m *model) total() (float64, error) {
	e, err := m.newEvaluation()
	if err != nil {
		return 0, err
	}
	bills, err := e.bills()
	return total(bills).InexactFloat64(), err
}
