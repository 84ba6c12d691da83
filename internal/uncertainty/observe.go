package uncertainty

import (
	"fmt"
	"math"
)

// Observation is an output that was also measured, such as a year's billed
// energy, with its own standard uncertainty, above zero.
type Observation struct {
	Output           int
	Value, Deviation float64
}

// Conditioned is a model before and after observations were taken into account.
type Conditioned struct {
	Before, After []Summary // of each output
	// Moved has each parameter before and after; Deviation 0 and the rest
	// equal for one without doubt.
	Moved []Moved
	// Pulls tells, for each observation, how far it lies from what the model
	// expected, in standard deviations of the difference, before. Beyond about
	// 2 the two contradict each other: a source of doubt is missing or too
	// narrow, and the intervals after must not be relied on.
	Pulls []float64
	// Effective is the number of equal draws that the result is worth.
	Effective float64
}

// Moved is one parameter before and after.
type Moved struct{ Before, After Spot }

// Spot is a mean with its standard deviation.
type Spot struct{ Mean, Deviation float64 }

func (o Options) observed(m Model, obs []Observation) (Options, error) {
	o, err := o.filled(m)
	if err != nil {
		return o, err
	}
	for _, x := range obs {
		switch {
		case x.Output < 0 || x.Output >= m.Outputs():
			return o, fmt.Errorf("output %d is none of the %d", x.Output, m.Outputs())
		case !finite(x.Value) || !(x.Deviation > 0) || !finite(x.Deviation):
			return o, fmt.Errorf("observation %v ± %v of output %d cannot be used", x.Value, x.Deviation, x.Output)
		}
	}
	return o, nil
}

// Weigh takes observations into account by the weight of each draw: the normal
// density of what was observed about what the draw gives (Bayes' rule; JCGM
// 101:2008 says nothing of it). It makes no assumption on the model, but few
// draws are left where the observations are much narrower than the model:
// Effective says how many. Below some hundreds use Update.
func Weigh(m Model, seed Seed, o Options, obs []Observation) (*Conditioned, error) {
	o, err := o.observed(m, obs)
	if err != nil {
		return nil, err
	}
	r := newRun(m, seed)
	before, after := tallies(m.Outputs()), tallies(m.Outputs())
	was, is := tallies(r.z.width), tallies(r.z.width)
	for first := 0; first < o.Draws; first += batchDraws {
		n := min(batchDraws, o.Draws-first)
		if err := r.next(first, n); err != nil {
			return nil, err
		}
		for j, out := range r.out.rows[:n] {
			log := 0.0
			for _, x := range obs {
				d := (x.Value - out[x.Output]) / x.Deviation
				log -= float64(d*d) / 2
			}
			w := expOf(log)
			for k, x := range out {
				before[k].add(x, 1)
				after[k].add(x, w)
			}
			for k, x := range r.z.rows[j] {
				was[k].add(x, 1)
				is[k].add(x, w)
			}
		}
	}
	c := &Conditioned{Before: summaries(before, o.Coverage), Moved: moved(was, is)}
	c.pulls(obs)
	if len(after) > 0 {
		c.Effective = after[0].effective()
	}
	if c.Effective == 0 {
		return nil, fmt.Errorf("no draw comes near the observations: they contradict the model")
	}
	c.After = summaries(after, o.Coverage)
	return c, nil
}

// members is how many draws Update keeps and moves, at most; rounds is in how
// many steps it moves them.
const (
	members = 4096
	rounds  = 4
)

// Update takes observations into account by the least change of the
// parameters. Each parameter is counted in normal scores, the place in its own
// distribution as a number of standard deviations, so that it keeps to its
// limits. The scores of each draw are moved along their covariance with the
// observed outputs, by as much as regression on those outputs asks for,
// w' = w + Cov(w,y)·(Cov(y,y) + R)⁻¹·(observed + its error - y), in four equal
// steps that each count the observations' variances R fourfold (ensemble
// smoother with multiple data assimilation: Emerick and Reynolds, Computers &
// Geosciences 55, 2013, 3-15; from memory). For a linear model of normal
// parameters that is Bayes' rule exactly; for others it follows the curve as
// far as four straight lines do. It copes with many and narrow observations.
// Of Options.Draws the first 4096 are used; Effective is their number.
func Update(m Model, seed Seed, o Options, obs []Observation) (*Conditioned, error) {
	o, err := o.observed(m, obs)
	if err != nil {
		return nil, err
	}
	e := newEnsemble(m, seed, min(o.Draws, members), obs)
	c := &Conditioned{Effective: float64(len(e.scores))}
	if err := e.evaluate(); err != nil {
		return nil, err
	}
	was := e.spots()
	c.Before = summaries(e.tallies, o.Coverage)
	c.pulls(obs)
	for range rounds {
		if err := e.move(); err != nil {
			return nil, err
		}
		if err := e.evaluate(); err != nil {
			return nil, err
		}
	}
	c.After = summaries(e.tallies, o.Coverage)
	for j, after := range e.spots() {
		c.Moved = append(c.Moved, Moved{was[j], after})
	}
	return c, nil
}

// ensemble is a number of draws that are moved together.
type ensemble struct {
	run
	obs     []Observation
	scores  [][]float64 // by member, parameter
	seen    [][]float64 // by member, observation: the outputs observed
	tallies []tally     // of the outputs
	values  []tally     // of the parameters
	errors  *Drawing
}

func newEnsemble(m Model, seed Seed, n int, obs []Observation) *ensemble {
	e := &ensemble{run: *newRun(m, seed), obs: obs, errors: NewDrawing(SeedOf(seed[:], []byte("errors of observations")), nil)}
	for range n {
		scores := make([]float64, e.z.width)
		for j := range scores {
			scores[j] = normalQuantile(e.drawing.Uniform())
		}
		e.scores = append(e.scores, scores)
		e.seen = append(e.seen, make([]float64, len(obs)))
	}
	return e
}

// evaluate works the model out for each member.
func (e *ensemble) evaluate() error {
	e.tallies, e.values = tallies(e.out.width), tallies(e.z.width)
	e.out.count, e.z.count = 0, 0
	for first := 0; first < len(e.scores); first += batchDraws {
		n := min(batchDraws, len(e.scores)-first)
		for i, scores := range e.scores[first:][:n] {
			z := e.z.rows[i]
			for j := range e.drawing.quantiles {
				z[j] = e.drawing.quantiles[j].at(normalBelow(scores[j]))
			}
		}
		if err := e.run.evaluate(first, n); err != nil {
			return err
		}
		for i, seen := range e.seen[first:][:n] {
			for k, x := range e.obs {
				seen[k] = e.out.rows[i][x.Output]
			}
		}
		e.out.tally(n, e.tallies)
		e.z.tally(n, e.values)
	}
	return nil
}

func (e *ensemble) spots() []Spot {
	out := make([]Spot, len(e.values))
	for j := range out {
		out[j] = Spot{e.values[j].mean, e.values[j].deviation()}
	}
	return out
}

// move moves each member's scores by one step.
func (e *ensemble) move() error {
	gain, err := e.gain()
	if err != nil {
		return err
	}
	for i, scores := range e.scores {
		for k, x := range e.obs {
			noise := Normal{0, x.Deviation * math.Sqrt(rounds)}
			off := x.Value + noise.Quantile(e.errors.Uniform()) - e.seen[i][k]
			for j := range scores {
				scores[j] += float64(gain[j][k] * off)
			}
		}
	}
	return nil
}

// gain is by how much each score follows each observation.
func (e *ensemble) gain() ([][]float64, error) {
	q, divisor := len(e.obs), float64(len(e.scores)-1)
	y, w := means(e.seen, q), means(e.scores, e.z.width)
	yy, gain := square(q), make([][]float64, e.z.width)
	for j := range gain {
		gain[j] = make([]float64, q)
	}
	for i, seen := range e.seen {
		for k := range q {
			d := (seen[k] - y[k]) / divisor
			for l := range q {
				yy[k][l] += float64(d * (seen[l] - y[l]))
			}
			for j, score := range e.scores[i] {
				gain[j][k] += float64(d * (score - w[j]))
			}
		}
	}
	for k, x := range e.obs {
		yy[k][k] += float64(rounds * float64(x.Deviation*x.Deviation))
	}
	if !solve(yy, gain...) {
		return nil, fmt.Errorf("the observations cannot be told apart: leave one out")
	}
	return gain, nil
}

func means(rows [][]float64, n int) []float64 {
	out := make([]float64, n)
	for _, row := range rows {
		for k, x := range row {
			out[k] += x
		}
	}
	for k := range out {
		out[k] /= float64(len(rows))
	}
	return out
}

func moved(was, is []tally) []Moved {
	out := make([]Moved, len(was))
	for j := range out {
		out[j] = Moved{Spot{was[j].mean, was[j].deviation()}, Spot{is[j].mean, is[j].deviation()}}
	}
	return out
}

func (c *Conditioned) pulls(obs []Observation) {
	for _, x := range obs {
		s := c.Before[x.Output]
		c.Pulls = append(c.Pulls, (x.Value-s.Mean)/math.Sqrt(float64(s.Deviation*s.Deviation)+float64(x.Deviation*x.Deviation)))
	}
}
