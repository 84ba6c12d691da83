package uncertainty

import (
	"fmt"
	"math"
)

// Options says how a model is drawn. The zero value draws 10,000 times and
// gives intervals of 90 %.
type Options struct {
	Draws    int     // trials, 100 to 100 million; 0 means 10,000
	Coverage float64 // 0 to 1, both excluded; 0 means 0.90
	Ranked   []int   // outputs whose doubt is shared out among the parameters
}

const (
	usualDraws    = 10_000
	usualCoverage = 0.90
)

func (o Options) filled(m Model) (Options, error) {
	if o.Draws == 0 {
		o.Draws = usualDraws
	}
	if o.Coverage == 0 {
		o.Coverage = usualCoverage
	}
	if o.Draws < 100 || o.Draws > 100_000_000 {
		return o, fmt.Errorf("%d draws are outside 100 to 100 million", o.Draws)
	}
	if !(o.Coverage > 0 && o.Coverage < 1) {
		return o, fmt.Errorf("coverage %v is outside 0 to 1", o.Coverage)
	}
	for _, k := range o.Ranked {
		if k < 0 || k >= m.Outputs() {
			return o, fmt.Errorf("output %d is none of the %d", k, m.Outputs())
		}
	}
	for _, p := range m.Parameters() {
		if mean, u := p.Mean(), p.Deviation(); !finite(mean) || !finite(u) || u < 0 {
			return o, fmt.Errorf("parameter %q has mean %v and deviation %v", p.ID, mean, u)
		}
	}
	return o, nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// Result is what the draws of a model say.
type Result struct {
	Draws   int
	Outputs []Summary
	Ranked  []Ranking // of Options.Ranked, in that order
}

// Run draws a model (JCGM 101:2008, 7): each parameter once per trial. Memory
// does not grow with the number of draws. The error says which option,
// parameter or output cannot be used.
func Run(m Model, seed Seed, o Options) (*Result, error) {
	o, err := o.filled(m)
	if err != nil {
		return nil, err
	}
	r := newRun(m, seed)
	tallies := tallies(m.Outputs())
	rank := newRanker(m.Parameters(), o.Ranked)
	for first := 0; first < o.Draws; first += batchDraws {
		n := min(batchDraws, o.Draws-first)
		if err := r.next(first, n); err != nil {
			return nil, err
		}
		for j := range n {
			rank.add(r.z.rows[j], r.out.rows[j])
		}
		r.out.tally(n, tallies)
	}
	out := &Result{Draws: o.Draws, Outputs: summaries(tallies, o.Coverage)}
	for k, output := range o.Ranked {
		out.Ranked = append(out.Ranked, rank.ranking(k, out.Outputs[output]))
	}
	return out, nil
}

// run evaluates trials, a batch at a time.
type run struct {
	model   Model
	drawing *Drawing
	z, out  *batch
}

func newRun(m Model, seed Seed) *run {
	ps := m.Parameters()
	return &run{m, NewDrawing(seed, ps), newBatch(len(ps)), newBatch(m.Outputs())}
}

// next draws and evaluates n trials.
func (r *run) next(first, n int) error {
	for j := range n {
		r.drawing.Next(r.z.rows[j])
	}
	return r.evaluate(first, n)
}

func (r *run) evaluate(first, n int) error {
	if m, ok := r.model.(Together); ok {
		m.EvaluateAll(r.z.rows[:n], r.out.rows[:n])
	} else {
		for j := range n {
			r.model.Evaluate(r.z.rows[j], r.out.rows[j])
		}
	}
	for j := range n {
		for k, x := range r.out.rows[j] {
			if x-x != 0 { // neither for infinity nor for what is not a number
				return fmt.Errorf("output %d is not a number in draw %d", k, first+j+1)
			}
		}
	}
	return nil
}

func tallies(n int) []tally {
	ts := make([]tally, n)
	for i := range ts {
		ts[i] = newTally()
	}
	return ts
}

func summaries(ts []tally, coverage float64) []Summary {
	out := make([]Summary, len(ts))
	for i := range ts {
		out[i] = ts[i].summary(coverage)
	}
	return out
}
