package audit

import (
	"math"
	"slices"

	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/uncertainty"
)

// param is one source of doubt, counted in its own standard deviations: zero is
// the best estimate. What shares a param moves together, so errors common to
// all readings of an instrument are not averaged away.
type param struct {
	id, label string
	assumed   bool // a judgement, not an instrument
	mend      string
	of        uncertainty.Distribution // mean 0, deviation 1
}

// params collects the sources of doubt.
type params struct {
	list  []param
	index map[string]int
}

// add gives the index of a param, new or known by its id.
func (p *params) add(x param) int {
	if p.index == nil {
		p.index = map[string]int{}
	}
	if i, ok := p.index[x.id]; ok {
		return i
	}
	p.index[x.id] = len(p.list)
	p.list = append(p.list, x)
	return len(p.list) - 1
}

// factor is a value that doubt moves: mean × Π (1 + u_i·z_i), or for an
// additive doubt mean + Σ u_i·z_i, held within limits.
type factor struct {
	mean  float64
	terms []term
}

type term struct {
	param int
	u     float64 // standard uncertainty, relative to the mean
}

// at gives the factor's value for the params.
func (f factor) at(z []float64) float64 {
	v := f.mean
	for _, t := range f.terms {
		if t.param < len(z) {
			v *= 1 + t.u*z[t.param]
		}
	}
	return v
}

// times multiplies two factors.
func (f factor) times(g factor) factor {
	return factor{f.mean * g.mean, append(append([]term{}, f.terms...), g.terms...)}
}

// relative makes a factor of an estimate; one without doubt has no term.
func (p *params) relative(e quantity.Estimate[quantity.Ratio], x param) factor {
	return p.scaled(uncertainty.Of(e), x)
}

// counted makes a factor of a number of things: whole numbers where the ends
// and the likely one are whole.
func (p *params) counted(e quantity.Estimate[quantity.Ratio], x param) factor {
	low, likely, high := int(e.Low), int(e.Likely), int(e.High)
	if float64(low) != float64(e.Low) || float64(likely) != float64(e.Likely) || float64(high) != float64(e.High) || high-low > mostCounted {
		return p.relative(e, x)
	}
	if e.Shape == quantity.Rectangular {
		return p.scaled(uncertainty.Counts{First: low, Weights: slices.Repeat([]float64{1}, high-low+1)}, x)
	}
	return p.scaled(uncertainty.CountsBetween(low, likely, high), x)
}

// mostCounted is the width of a count up to which its numbers are told apart.
const mostCounted = 1000

func (p *params) scaled(d uncertainty.Distribution, x param) factor {
	mean, deviation := d.Mean(), d.Deviation()
	f := factor{mean: mean}
	if deviation > 0 && mean != 0 {
		x.of = uncertainty.Standard(d)
		f.terms = []term{{p.add(x), deviation / math.Abs(mean)}}
	}
	return f
}

// instrument gives the doubt of a reading's total power: the share of reading
// and the angle error are common to all readings of one instrument; digits are
// the reading's own. Limits of error are read as rectangular distributions, the
// share of reading and the digits together as one (JCGM 100:2008, 4.3.7): so
// what the digits add to the share is √((share + digits)² − share²).
func (p *params) instrument(lang *say.Language, r Reading) factor {
	f := factor{mean: r.Total.Power.V}
	if f.mean == 0 {
		return f
	}
	a := r.Instrument.Limits()
	id := r.Instrument.ID.Value
	flat := uncertainty.Standard(uncertainty.Rectangular{Low: -1, High: 1})
	gain := p.add(param{of: flat, id: "instrument." + id + ".gain", label: lang.F("accuracy of %s", r.Instrument.Name.Value), mend: lang.S("a more accurate instrument")})
	f.terms = append(f.terms, term{gain, float64(a.Power.OfReading) / math.Sqrt(3)})
	if angle := float64(a.PhaseAngle) * math.Pi / 180 * math.Abs(r.Total.Reactive.V/f.mean) / math.Sqrt(3); angle > 0 {
		i := p.add(param{of: flat, id: "instrument." + id + ".angle", label: lang.F("angle error of %s", r.Instrument.Name.Value), mend: lang.S("a clamp with a smaller angle error")})
		f.terms = append(f.terms, term{i, angle})
	}
	share := float64(a.Power.OfReading) * math.Abs(f.mean)
	both := r.PowerError - float64(a.PhaseAngle)*math.Pi/180*math.Abs(r.Total.Reactive.V)
	own := math.Sqrt(math.Max(both*both-share*share, 0))
	if both > share && own > 0 {
		i := p.add(param{of: flat, id: "reading." + r.ID + ".digits", label: lang.F("last digits of %s", r.ID), mend: lang.S("a finer range of the meter")})
		f.terms = append(f.terms, term{i, own / math.Abs(f.mean) / math.Sqrt(3)})
	}
	return f
}
