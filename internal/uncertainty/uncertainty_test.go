package uncertainty

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"testing"

	"auditgen/internal/quantity"
)

// TestPlainFunctions holds the plain arithmetic against the math package.
func TestPlainFunctions(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	worst := map[string]float64{}
	hold := func(name string, got, want, scale float64) {
		worst[name] = max(worst[name], math.Abs(got-want)/max(scale, 1e-300))
	}
	for range 20000 {
		x := math.Exp(40 * (r.Float64() - 0.7))
		hold("log", logOf(x), math.Log(x), max(math.Abs(math.Log(x)), 1e-3))
		y := 700 * (r.Float64() - 0.95)
		hold("exp", expOf(y), math.Exp(y), math.Exp(y))
		p := r.Float64()
		hold("cos", cosPi(p), math.Cos(math.Pi*p), 1)
		x = 14 * (p - 0.5)
		hold("below", normalBelow(x), math.Erfc(-x/math.Sqrt2)/2, 1)
		for _, p := range []float64{p, p * 1e-6, p * 1e-200} {
			want := -math.Sqrt2 * math.Erfcinv(2*p)
			hold("normal", normalQuantile(p), want, max(math.Abs(want), 1e-3))
		}
	}
	for name, limit := range map[string]float64{"log": 1e-15, "exp": 1e-14, "cos": 1e-15, "normal": 2e-14, "below": 1e-14} {
		if worst[name] > limit {
			t.Errorf("%s is off by %v", name, worst[name])
		}
	}
	if normalQuantile(0) != math.Inf(-1) || normalQuantile(1) != math.Inf(1) || !math.IsNaN(normalQuantile(math.NaN())) || expOf(-1000) != 0 {
		t.Error("ends of the range")
	}
}

var shapes = map[string]Distribution{
	"certain": Certain(3), "rectangle": Rectangular{-2, 5}, "triangle": Triangular{1, 2, 7}, "steep": Triangular{1, 1, 7},
	"normal": Normal{4, 0.5}, "arcsine": Arcsine{-1, 3}, "trapezium": Trapezoidal{0, 8, 0.3}, "level": Trapezoidal{0, 8, 1},
	"peak": Trapezoidal{0, 8, 0}, "counts": CountsBetween(3, 8, 9), "one": CountsBetween(4, 4, 4), "gaps": Counts{1, []float64{0, 2, 0, 1, 0}},
	"standard": Standard(Triangular{1, 2, 7}), "none": Standard(Certain(4)),
}

// TestShapes: mean and deviation are those of the quantile function, which
// rises from limit to limit.
func TestShapes(t *testing.T) {
	for name, d := range shapes {
		const n = 200000
		sum, squares, last := 0.0, 0.0, math.Inf(-1)
		for i := range n {
			x := d.Quantile((float64(i) + 0.5) / n)
			if x < last {
				t.Fatalf("%s falls at %d", name, i)
			}
			last = x
			sum += x / n
			squares += x * x / n
		}
		u := math.Sqrt(max(0, squares-sum*sum))
		if math.Abs(sum-d.Mean()) > 1e-4 || math.Abs(u-d.Deviation()) > 1e-3 {
			t.Errorf("%s: mean %v, deviation %v; by quantiles %v, %v", name, d.Mean(), d.Deviation(), sum, u)
		}
		if low, high := d.Quantile(0), d.Quantile(1); low > d.Quantile(1e-9) || high < last {
			t.Errorf("%s: limits %v and %v", name, low, high)
		}
	}
	e, err := quantity.ParseEstimate[quantity.Ratio]("45..60..75 %")
	if err != nil {
		t.Fatal(err)
	}
	if d := Of(e); math.Abs(d.Mean()-float64(e.Mean())) > 1e-12 || math.Abs(d.Deviation()-float64(e.Deviation())) > 1e-12 {
		t.Errorf("%v", d)
	}
	if got := (Counts{1, []float64{0, 2, 0, 1, 0}}); got.Quantile(0) != 2 || got.Quantile(0.6) != 2 || got.Quantile(0.7) != 4 || got.Quantile(1) != 4 {
		t.Error("counts without weight were drawn")
	}
}

// TestGainAndOwn: the gain that readings share and what is a reading's own make
// up the whole limit.
func TestGainAndOwn(t *testing.T) {
	for _, s := range []Specification{{0.015, 0, 5, 0}, {0.01, 0.002, 3, 2}, {0, 0, 5, 0}} {
		reading, span, step := 12.4, 60.0, 0.01
		all := s.Reading(reading, span, step).Deviation()
		parts := math.Hypot(reading*s.Gain().Deviation(), s.Own(reading, span, step).Deviation())
		if math.Abs(all-parts) > 1e-12 || s.Gain().Mean() != 1 || s.Own(reading, span, step).Mean() != 0 {
			t.Errorf("%+v: %v, in parts %v", s, all, parts)
		}
	}
}

func TestRefused(t *testing.T) {
	for want, err := range map[string]error{
		"2 rows of correlation for 1":  second(Correlated([]float64{1}, [][]float64{{1, 0}, {0, 1}})),
		"row 1 of the correlations":    second(Correlated([]float64{1}, [][]float64{{1, 0}})),
		"outside -1 to 1":              second(Correlated([]float64{1, 1}, [][]float64{{1, 2}, {2, 1}})),
		"with itself is 0.5":           second(Correlated([]float64{1}, [][]float64{{0.5}})),
		"of 1 and 2 differ":            second(Correlated([]float64{1, 1}, [][]float64{{1, 0}, {0.5, 1}})),
		"contradict each other":        second(Correlated([]float64{1, 1, 1}, [][]float64{{1, -1, -1}, {-1, 1, -1}, {-1, -1, 1}})),
		"1 uncertainties, 2 exponents": second(Product([]float64{1}, []float64{1, 2})),
		"has 0 degrees of freedom":     second(EffectiveFreedom([]float64{1}, []float64{0})),
		"coverage factor 0 cannot":     second(FractionalSaving(Series{0.1, 12, 12, 0}, 0.1, 0)),
		"2 points before":              second(FractionalSaving(Series{0.1, 2, 12, 0}, 0.1, 2)),
		"correlation 1 is outside":     second(FractionalSaving(Series{0.1, 12, 12, 1}, 0.1, 2)),
		"1 factors before, 2 after":    secondOfSteps(Steps([]float64{1}, []float64{1, 2})),
		"2 draws are outside":          secondOf(Run(line, Seed{}, Options{Draws: 2})),
		"coverage 1 is outside":        secondOf(Run(line, Seed{}, Options{Coverage: 1})),
		"output 7 is none of the 1":    secondOf(Run(line, Seed{}, Options{Ranked: []int{7}})),
		"has mean NaN":                 secondOf(Run(formula{named(Normal{math.NaN(), 1}), 1, total}, Seed{}, Options{})),
		"not a number in draw 1":       secondOf(Run(formula{named(Normal{0, 1}), 1, func(z, out []float64) { out[0] = math.Inf(1) }}, Seed{}, Options{})),
		"output 3 is none of the 1":    thirdOf(Update(line, Seed{}, Options{}, []Observation{{3, 1, 1}})),
		"cannot be used":               thirdOf(Weigh(line, Seed{}, Options{}, []Observation{{0, 1, 0}})),
		"they contradict the model":    thirdOf(Weigh(line, Seed{}, Options{}, []Observation{{0, 1, 1}})),
	} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}

func secondOfSteps(_ []float64, err error) error { return err }
func second(_ float64, err error) error          { return err }
func secondOf(_ *Result, err error) error        { return err }
func thirdOf(_ *Conditioned, err error) error    { return err }

// TestSameDraws: the same inputs give the same bits; the figures are written
// down, so that another processor or compiler that fuses products shows.
func TestSameDraws(t *testing.T) {
	d := NewDrawing(SeedOf([]byte("site"), []byte("visit")), named(Normal{0, 1}, Rectangular{0, 1}, Triangular{0, 1, 4}, Arcsine{-1, 1}, Trapezoidal{0, 4, 0.5}))
	z := make([]float64, 5)
	sum := [5]uint64{}
	for range 1000 {
		d.Next(z)
		for i, x := range z {
			sum[i] = sum[i]*31 + math.Float64bits(x)
		}
	}
	want := [5]uint64{0xd4ca1b6813da153c, 0xfd1910f3957983d4, 0xc1ba93cb98f33532, 0xa5e29e6c57ade59a, 0x40443a5cd7909e9a}
	if sum != want {
		t.Errorf("%#v", sum)
	}
	a, b := must(Run(line, SeedOf([]byte("a")), Options{})), must(Run(line, SeedOf([]byte("a")), Options{}))
	if a.Outputs[0] != b.Outputs[0] {
		t.Error("two runs differ")
	}
	if c := must(Run(line, SeedOf([]byte("b")), Options{})); c.Outputs[0] == a.Outputs[0] {
		t.Error("other inputs give the same draws")
	}
	if SeedOf([]byte("ab"), []byte("c")) == SeedOf([]byte("a"), []byte("bc")) {
		t.Error("parts run into each other")
	}
}

// TestTally: mean, deviation and quantiles against all draws sorted.
func TestTally(t *testing.T) {
	for name, f := range map[string]func(z, out []float64){
		"linear":   func(z, out []float64) { out[0] = 5 + z[0] + 0.3*z[1] },
		"skewed":   func(z, out []float64) { out[0] = math.Exp(0.8 * z[0]) },
		"far tail": func(z, out []float64) { out[0] = math.Pow(z[0], 5) },
		"constant": func(z, out []float64) { out[0] = 7 },
		"two":      func(z, out []float64) { out[0] = math.Copysign(1, z[0]+1) },
	} {
		m := formula{named(Normal{0, 1}, Rectangular{-1, 1}), 1, f}
		for _, n := range []int{500, 20000} {
			s := must(Run(m, Seed{}, Options{Draws: n})).Outputs[0]
			d := NewDrawing(Seed{}, m.parameters)
			var all []float64
			z, out := make([]float64, 2), make([]float64, 1)
			mean, squares := 0.0, 0.0
			for range n {
				d.Next(z)
				f(z, out)
				all = append(all, out[0])
				mean += out[0] / float64(n)
			}
			for _, x := range all {
				squares += (x - mean) * (x - mean) / float64(n-1)
			}
			slices.Sort(all)
			u := math.Sqrt(squares)
			if math.Abs(s.Mean-mean) > 1e-9*(u+math.Abs(mean)) || math.Abs(s.Deviation-u) > 1e-9*u+1e-11 {
				t.Errorf("%s: %v ± %v, want %v ± %v", name, s.Mean, s.Deviation, mean, u)
			}
			for p, got := range map[float64]float64{0.05: s.Symmetric.Low, 0.5: s.Median, 0.95: s.Symmetric.High} {
				at := int(p * float64(n))
				if want := all[at]; got < all[at-3]-0.013*u-1e-9 || got > all[at+3]+0.013*u+1e-9 {
					t.Errorf("%s: quantile %v is %v, sorted %v, deviation %v", name, p, got, want, u)
				}
			}
			if s.Shortest.Width() > s.Symmetric.Width()+1e-12 {
				t.Errorf("%s: shortest %v, symmetric %v", name, s.Shortest, s.Symmetric)
			}
		}
	}
	// The shortest interval of an exponential-like shape begins at its end.
	m := formula{named(Triangular{0, 0, 1}), 1, total}
	if s := must(Run(m, Seed{}, Options{Draws: 100000})).Outputs[0]; s.Shortest.Low > 0.003 || math.Abs(s.Shortest.High-(1-math.Sqrt(0.1))) > 0.005 {
		t.Errorf("shortest %v", s.Shortest)
	}
}

// TestMemory: memory does not grow with the number of draws.
func TestMemory(t *testing.T) {
	used := func(draws int) uint64 {
		var a, b runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&a)
		must(Run(line, Seed{}, Options{Draws: draws, Ranked: []int{0}}))
		runtime.ReadMemStats(&b)
		return b.TotalAlloc - a.TotalAlloc
	}
	few, many := used(5000), used(500000)
	if many > 2*few {
		t.Errorf("%d bytes for 5,000 draws, %d for 500,000", few, many)
	}
}

// TestRanking: shares of a linear model are its squared coefficients; what
// works by curvature is left over; knowing a parameter narrows the interval by
// what is stated.
func TestRanking(t *testing.T) {
	ps := named(Rectangular{-1, 1}, Normal{0, 1}, Triangular{-2, 0, 2}, Certain(5), Normal{0, 1})
	f := func(c4 float64) formula {
		return formula{ps, 2, func(z, out []float64) {
			out[0] = 3*z[0] - 2*z[1] + z[2] + z[3]
			out[1] = z[1] + c4*z[4]*z[4]
		}}
	}
	r := must(Run(f(1), Seed{}, Options{Draws: 20000, Ranked: []int{0, 1}}))
	variance := 9.0/3 + 4 + 4.0/6
	want := map[int]float64{0: 3 / variance, 1: 4 / variance, 2: 4.0 / 6 / variance, 4: 0}
	sum := 0.0
	for _, s := range r.Ranked[0].Shares {
		sum += s.Of
		if math.Abs(s.Of-want[s.Parameter]) > 0.03 {
			t.Errorf("parameter %d: %v, want %v", s.Parameter, s.Of, want[s.Parameter])
		}
	}
	if r.Ranked[0].Shares[0].Parameter != 1 || math.Abs(sum-1) > 1e-9 || r.Ranked[0].Residual > 1e-9 || r.Ranked[0].Shares[0].Slope > 0 {
		t.Errorf("%+v", r.Ranked[0])
	}
	if q := r.Ranked[1]; math.Abs(q.Shares[0].Of-1.0/3) > 0.05 || math.Abs(q.Residual-2.0/3) > 0.06 {
		t.Errorf("%+v", q)
	}
	// Narrower, against a run without the doubt.
	known := f(1)
	known.parameters = slices.Clone(ps)
	known.parameters[1].Distribution = Certain(0)
	less := must(Run(known, Seed{}, Options{Draws: 20000})).Outputs[0].Symmetric.Width() / r.Outputs[0].Symmetric.Width()
	if got := r.Ranked[0].Shares[0].Narrower; math.Abs(1-less-got) > 0.03 {
		t.Errorf("narrower by %v, stated %v", 1-less, got)
	}
	none := must(Run(formula{named(Certain(1)), 1, total}, Seed{}, Options{Ranked: []int{0}}))
	if len(none.Ranked[0].Shares) != 0 || none.Outputs[0].Symmetric != (Interval{1, 1}) {
		t.Errorf("%+v", none)
	}
}

// TestConditioning: a linear model of normal parameters has a closed answer;
// both ways meet it.
func TestConditioning(t *testing.T) {
	m := formula{named(Normal{10, 1}, Normal{20, 2}), 3, func(z, out []float64) { out[0], out[1], out[2] = z[0]+z[1], z[0], z[1] }}
	obs := []Observation{{0, 33, 0.5}}
	// Bayes: gain of each is its variance over 1 + 4 + 0.25.
	want := []Spot{{10 + 3.0/5.25, math.Sqrt(1 - 1/5.25)}, {20 + 4*3.0/5.25, math.Sqrt(4 - 16/5.25)}}
	for name, way := range map[string]func(Model, Seed, Options, []Observation) (*Conditioned, error){"weigh": Weigh, "update": Update} {
		c := must(way(m, Seed{1}, Options{Draws: 100000}, obs))
		for i, w := range want {
			if got := c.Moved[i].After; math.Abs(got.Mean-w.Mean) > 0.08 || math.Abs(got.Deviation-w.Deviation) > 0.05 {
				t.Errorf("%s: parameter %d: %v, want %v", name, i, got, w)
			}
			if got := c.After[1+i]; math.Abs(got.Mean-w.Mean) > 0.08 || math.Abs(got.Deviation-w.Deviation) > 0.05 {
				t.Errorf("%s: output %d: %v, want %v", name, 1+i, got, w)
			}
		}
		if math.Abs(c.Pulls[0]-3/math.Sqrt(5.25)) > 0.05 || c.After[0].Deviation > 0.5 || c.Effective < 4000 {
			t.Errorf("%s: pulls %v, sum ± %v, effective %v", name, c.Pulls, c.After[0].Deviation, c.Effective)
		}
	}
	// Limits hold, and two observations that say the same are no fault.
	tight := formula{named(Rectangular{0, 1}, Rectangular{0, 1}), 1, total}
	c := must(Update(tight, Seed{}, Options{}, []Observation{{0, 1.9, 0.05}, {0, 1.9, 0.05}}))
	if s := c.After[0]; s.Symmetric.High > 2 || s.Mean < 1.8 || c.Pulls[0] < 2 {
		t.Errorf("%+v", s)
	}
	c = must(Update(tight, Seed{}, Options{}, []Observation{{0, 1.5, 0.05}}))
	if s := c.After[0]; math.Abs(s.Mean-1.5) > 0.03 || s.Deviation > 0.09 {
		t.Errorf("%+v", s)
	}
	whole := formula{named(CountsBetween(8, 10, 14)), 1, total}
	c = must(Update(whole, Seed{}, Options{}, []Observation{{0, 12, 0.2}}))
	if s := c.After[0]; math.Abs(s.Mean-12) > 0.3 || math.Abs(s.Symmetric.Low-12) > 0.02 {
		t.Errorf("%+v", s)
	}
}

// TestCoverage generates models with a known truth: what is read is the truth
// with an error of its distribution, judgements hold the truth as likely as
// they say. The 90 % interval must hold the truth 87 to 93 % of the time; with
// 2,000 cases the share is known within 0.7 %.
func TestCoverage(t *testing.T) {
	const cases = 2000
	r := rand.New(rand.NewPCG(90, 2031))
	hits := map[string]int{}
	kinds := []struct {
		name string
		make func(*rand.Rand) (formula, float64)
	}{{"linear", sumCase}, {"product", productCase}, {"highest", highestCase}}
	for i := range cases {
		for _, k := range kinds {
			m, truth := k.make(rand.New(rand.NewPCG(r.Uint64(), 1)))
			s := must(Run(m, SeedOf([]byte(k.name), []byte{byte(i), byte(i >> 8)}), Options{Draws: 1000})).Outputs[0]
			if s.Symmetric.Contains(truth) {
				hits[k.name]++
			}
		}
	}
	for kind, n := range hits {
		share := float64(n) / cases
		t.Logf("%s: %.1f %%", kind, 100*share)
		if share < 0.87 || share > 0.93 {
			t.Errorf("%s: the interval holds the truth in %.1f %% of cases", kind, 100*share)
		}
	}
}

// spot is a reading of a true value and what is then known of it; or a judgement.
func spot(r *rand.Rand, truth float64) Distribution {
	spread := truth * (0.02 + 0.15*r.Float64())
	switch r.IntN(3) {
	case 0: // read with an error within limits
		e := Rectangular{-spread, spread}
		at := truth + e.Quantile(r.Float64())
		return Rectangular{at - spread, at + spread}
	case 1:
		at := truth + Normal{0, spread / 2}.Quantile(r.Float64())
		return Normal{at, spread / 2}
	}
	// A judgement low..likely..high, skewed, placed so that the truth is one
	// draw of it.
	d := Triangular{-spread, 0.4 * spread, 1.5 * spread}
	shift := truth - d.Quantile(r.Float64())
	return Triangular{d.Low + shift, d.Likely + shift, d.High + shift}
}

func sumCase(r *rand.Rand) (formula, float64) {
	n := 3 + r.IntN(10)
	truth := 0.0
	var ds []Distribution
	for range n {
		x := 1 + 10*r.Float64()
		truth += x
		ds = append(ds, spot(r, x))
	}
	return formula{named(ds...), 1, total}, truth
}

// productCase is energies of lines with hours in common.
func productCase(r *rand.Rand) (formula, float64) {
	n := 2 + r.IntN(5)
	hours := 2000 + 2000*r.Float64()
	ds := []Distribution{spot(r, hours)}
	truth := 0.0
	for range n {
		power, duty := 1+20*r.Float64(), 0.3+0.5*r.Float64()
		truth += power * duty * hours
		ds = append(ds, spot(r, power), spot(r, duty))
	}
	return formula{named(ds...), 1, func(z, out []float64) {
		out[0] = 0
		for i := 1; i < len(z); i += 2 {
			out[0] += z[0] * z[i] * z[i+1]
		}
	}}, truth
}

// highestCase is an amount that depends on the larger of two demands by a step.
func highestCase(r *rand.Rand) (formula, float64) {
	a, b := 50+10*r.Float64(), 50+10*r.Float64()
	pay := func(x, y float64) float64 { return 8*max(x, y) + 3*max(0, x-52) }
	return formula{named(spot(r, a), spot(r, b)), 1, func(z, out []float64) { out[0] = pay(z[0], z[1]) }}, pay(a, b)
}

func BenchmarkRun(b *testing.B) {
	var ds []Distribution
	for i := range 44 {
		switch i % 3 {
		case 0:
			ds = append(ds, Rectangular{0.9, 1.1})
		case 1:
			ds = append(ds, Triangular{0.4, 0.6, 0.8})
		default:
			ds = append(ds, Normal{1, 0.05})
		}
	}
	m := formula{named(ds...), 84, func(z, out []float64) {
		for k := range out {
			out[k] = z[k%44] * z[(k+1)%44]
		}
	}}
	for b.Loop() {
		must(Run(m, Seed{}, Options{Ranked: []int{0, 1}}))
	}
}
