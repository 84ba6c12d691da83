package audit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/profile"
	"auditgen/internal/site"
)

// Fit tells how assumptions were changed so that the estimate meets the bills.
//
// The rule is that of least change: each duty, count and calendar's hours that
// was assumed is counted in its own stated doubt, and the sum of the squares of
// what they move is the least with which the estimate meets the billed energy,
// by the tariff's periods where every bill gives them. None passes the limits
// that were typed for it: one that would is held there, and the others are moved
// on. Readings, plates and judged powers stay as they are, and so do the doubts.
type Fit struct {
	Bills int
	Days  int
	Met   []FitTarget
	Moved []FitMoved // those that moved, most of all first
}

// FitTarget is a billed energy with the estimate before and after.
type FitTarget struct {
	Name          string  // of the tariff's period; "" for all hours
	Billed        float64 // kWh
	Within        float64 // kWh, how nearly it is to be met
	Before, After float64 // kWh estimated for the same days
}

// Left is what no assumption within its limits explains, in kWh: billed less
// fitted.
func (t FitTarget) Left() float64 { return t.Billed - t.After }

// FitMoved is an assumption that was changed.
type FitMoved struct {
	Label    string // duty of the mixer
	Typed    string
	From, To float64 // its mean: a share, a number, or a share of a calendar's hours
	Times    float64 // To over From
	Doubts   float64 // the change, in its own standard deviation
	Held     bool    // at the limit that was typed
	Share    bool    // From and To are shares, not numbers
	Pos      diag.Pos
}

// fitter fits one record.
type fitter struct {
	y       *yearPass
	e       *evaluation
	targets []FitTarget
	slots   []profile.Slots
	vars    []fitVar
	z       []float64 // of all params
}

// fitVar is an assumption that may be moved.
type fitVar struct {
	FitMoved
	param     int
	u         float64 // relative standard deviation
	low, high float64 // limits, as multiples of the mean
	put       func(times float64, text string)
}

// fit gives the record with its assumptions fitted to its bills, and how; the
// record as it is, and nil, where no bill states its energy or nothing may be
// moved.
func (r *Result) fit() (*site.Record, *Fit, error) {
	rec := fitCopy(r.Record)
	y, err := r.altered(Alteration{Record: rec})
	if err != nil {
		return nil, nil, err
	}
	f := &fitter{y: y, z: make([]float64, len(y.model.params))}
	if f.e, err = y.model.newEvaluation(); err != nil {
		return nil, nil, err
	}
	f.aim()
	f.variables(rec)
	if len(f.targets) == 0 || len(f.vars) == 0 {
		return r.Record, nil, nil
	}
	before, err := f.estimates()
	if err != nil {
		return nil, nil, err
	}
	if err := f.solve(); err != nil {
		return nil, nil, err
	}
	f.keepStates()
	after, err := f.estimates()
	if err != nil {
		return nil, nil, err
	}
	out := &Fit{}
	for i := range f.targets {
		f.targets[i].Before, f.targets[i].After = before[i], after[i]
	}
	out.Met = f.targets
	for _, b := range rec.Bills {
		if _, ok := b.Total(); ok {
			out.Bills++
			out.Days += b.Period.Days()
		}
	}
	out.Moved = f.apply()
	return rec, out, nil
}

// fitCopy copies what a fit may change.
func fitCopy(rec *site.Record) *site.Record {
	out := *rec
	out.Loads = slices.Clone(rec.Loads)
	for i := range out.Loads {
		out.Loads[i].States = slices.Clone(out.Loads[i].States)
	}
	out.Site.Calendars = slices.Clone(rec.Site.Calendars)
	return &out
}

// aim sums the billed energies: by period where every bill has all of them by
// the periods of the tariff in force, else in all.
func (f *fitter) aim() {
	rec := f.y.rec
	var names []string
	total, bills, by := 0.0, 0, 0
	for _, b := range rec.Bills {
		kwh, ok := b.Total()
		if !ok {
			continue
		}
		bills++
		total += float64(kwh) / 1e3
		if len(b.EnergyBy) > 0 && b.By == rec.Tariff {
			by++
			for _, e := range b.EnergyBy {
				if !slices.Contains(names, e.Key) {
					names = append(names, e.Key)
				}
			}
		}
	}
	if bills == 0 {
		return
	}
	f.targets, f.slots = []FitTarget{{Billed: total, Within: totalDoubt * total}}, []profile.Slots{profile.AllSlots}
	if by < bills || len(names) < 2 || !f.apart(names) {
		return
	}
	for _, name := range names {
		t := FitTarget{Name: name}
		for _, b := range rec.Bills {
			if a, ok := b.EnergyBy.Get(name); ok {
				t.Billed += float64(a.Value.Value) / 1e3
			}
		}
		t.Within = periodDoubt * t.Billed
		f.targets = append(f.targets, t)
		f.slots = append(f.slots, (&monthUse{evaluation: f.e}).slots(rec.Tariff.Within(name)))
	}
}

// apart reports whether periods cover all slots, each once.
func (f *fitter) apart(names []string) bool {
	var all profile.Slots
	for _, name := range names {
		s := (&monthUse{evaluation: f.e}).slots(f.y.rec.Tariff.Within(name))
		if all&s != 0 {
			return false
		}
		all |= s
	}
	for slot := range f.y.rec.Tariff.Slots() {
		if !all.Has(slot) {
			return false
		}
	}
	return true
}

// estimates gives the estimate for each target, in kWh, for the days of the bills.
func (f *fitter) estimates() ([]float64, error) {
	if err := f.e.energy.Set(f.y.model.machines(f.z, true)); err != nil {
		return nil, err
	}
	out := make([]float64, len(f.targets))
	for _, b := range f.y.rec.Bills {
		if _, ok := b.Total(); !ok {
			continue
		}
		for m := range 12 {
			days := daysOf(b.Period, m)
			if days == 0 {
				continue
			}
			share := float64(days) / float64(civil.DaysIn(f.y.result.Year, monthOf(m)))
			for i, slots := range f.slots {
				out[i] += share * float64(f.e.energy.Energy(monthOf(m), slots)) / 1e3
			}
		}
	}
	return out, nil
}

// fitRounds is how often the estimate is taken as straight and solved anew.
// totalDoubt and periodDoubt are how nearly the energy of all bills and that of
// one period are met, as shares of them: the one as good as exactly, the other as
// well as hours typed in calendars can part a day (common practice, no source).
const (
	fitRounds   = 12
	totalDoubt  = 1e-5
	periodDoubt = 0.03
)

// solve moves the assumptions by the least change.
func (f *fitter) solve() error {
	for range fitRounds {
		now, err := f.estimates()
		if err != nil {
			return err
		}
		slopes, err := f.slopes()
		if err != nil {
			return err
		}
		f.step(now, slopes)
	}
	return nil
}

// slopes is what one standard deviation of each assumption does to each target.
func (f *fitter) slopes() ([][]float64, error) {
	const h = 1e-3
	out := make([][]float64, len(f.vars))
	for j, v := range f.vars {
		z := f.z[v.param]
		var ends [2][]float64
		for k, d := range []float64{-h, h} {
			f.z[v.param] = z + d
			e, err := f.estimates()
			if err != nil {
				return nil, err
			}
			ends[k] = e
		}
		f.z[v.param] = z
		out[j] = make([]float64, len(f.targets))
		for i := range out[j] {
			out[j][i] = (ends[1][i] - ends[0][i]) / (2 * h)
		}
	}
	return out, nil
}

// step takes the estimate as straight from where it is and moves the assumptions
// by the least change; one that would pass its limits is put there and held, and
// the others are solved for anew.
func (f *fitter) step(now []float64, slopes [][]float64) {
	held := make([]bool, len(f.vars))
	for {
		z := f.leastChange(now, slopes, held)
		again := false
		for j := range f.vars {
			v := &f.vars[j]
			low, high := (v.low-1)/v.u, (v.high-1)/v.u
			at := math.Min(math.Max(z[j], low), high)
			if held[j] || at == z[j] {
				continue
			}
			for i := range now {
				now[i] += slopes[j][i] * (at - f.z[v.param])
			}
			f.z[v.param], held[j], again = at, true, true
		}
		if again {
			continue
		}
		for j, v := range f.vars {
			if !held[j] {
				f.z[v.param] = z[j]
			}
			f.vars[j].Held = held[j]
		}
		return
	}
}

// leastChange gives z = Aᵀ(AAᵀ + S)⁻¹b over the assumptions that are not held: the
// least sum of the squares of z and of what is off in each target, counted in how
// nearly it is to be met (S has the squares of that).
func (f *fitter) leastChange(now []float64, slopes [][]float64, held []bool) []float64 {
	n := len(f.targets)
	b, system := mat.NewVecDense(n, nil), mat.NewSymDense(n, nil)
	for i, t := range f.targets {
		want := t.Billed - now[i]
		for j, v := range f.vars {
			if !held[j] {
				want += slopes[j][i] * f.z[v.param]
			}
		}
		b.SetVec(i, want)
		for k := i; k < n; k++ {
			sum := 0.0
			for j := range f.vars {
				if !held[j] {
					sum += slopes[j][i] * slopes[j][k]
				}
			}
			if i == k {
				sum += t.Within * t.Within
			}
			system.SetSym(i, k, sum)
		}
	}
	z := make([]float64, len(f.vars))
	var factors mat.Cholesky
	var weights mat.VecDense
	if !factors.Factorize(system) || factors.SolveVecTo(&weights, b) != nil {
		return z
	}
	for j := range z {
		for i := range n {
			z[j] += slopes[j][i] * weights.AtVec(i)
		}
	}
	return z
}
