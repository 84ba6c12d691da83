package audit

import (
	"math"
	"slices"
	"testing"

	"auditgen/internal/site"
	"auditgen/internal/uncertainty"
)

func ran(t testing.TB, rec *site.Record) *Result {
	t.Helper()
	r, err := Run(rec)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func drawnOf(t testing.TB, r *Result) *drawn {
	t.Helper()
	useOf := make([]int, len(r.Loads))
	for i, l := range r.Loads {
		useOf[i] = slices.IndexFunc(r.Uses, func(u Use) bool { return u.Name == l.Use })
	}
	d, err := r.model.prepared(useOf, len(r.Uses), lineIDs(r.Bills))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// A draw without doubt is the best estimate: energies and demands exactly, the
// bill to the cents of its roundings, save for chance, whose middle is not the
// mean of a demand.
func TestADrawWithoutDoubtIsTheBestEstimate(t *testing.T) {
	for name, r := range map[string]*Result{"mixed": mixed.run(t), "example": ran(t, example(t))} {
		d := drawnOf(t, r)
		e, err := r.model.newEvaluation()
		if err != nil {
			t.Fatal(err)
		}
		want, err := e.outputs(d.layout, d.useOf)
		if err != nil {
			t.Fatal(err)
		}
		got := make([]float64, d.Outputs())
		d.chanceless = true
		d.Evaluate(make([]float64, len(d.Parameters())), got)
		for k := range want {
			tolerance := 1e-9 * math.Abs(want[k])
			if k == d.layout.cost || k >= d.layout.costs && k < d.layout.loads || k >= d.layout.lines {
				tolerance = 0.12
			}
			if math.Abs(got[k]-want[k]) > tolerance {
				t.Errorf("%s, output %d: %.9g, want %.9g", name, k, got[k], want[k])
			}
		}
	}
}

// An evaluation keeps nothing of the one before it, nor of those beside it.
func TestDrawsDoNotDependOnOrder(t *testing.T) {
	r := mixed.run(t)
	a, b := drawnOf(t, r), drawnOf(t, r)
	drawing := uncertainty.NewDrawing(uncertainty.SeedOf([]byte("order")), a.Parameters())
	var zs, first [][]float64
	for range 50 {
		z, out := make([]float64, len(a.Parameters())), make([]float64, a.Outputs())
		drawing.Next(z)
		a.Evaluate(z, out)
		zs, first = append(zs, z), append(first, out)
	}
	for i := len(zs) - 1; i >= 0; i-- {
		out := make([]float64, b.Outputs())
		b.Evaluate(zs[i], out)
		if !slices.Equal(out, first[i]) {
			t.Fatalf("draw %d differs when it is worked out in another order", i)
		}
	}
	together := drawsOfWidth(b.Outputs())
	for i := 0; i < len(zs); i += len(together) {
		n := min(len(together), len(zs)-i)
		b.EvaluateAll(zs[i:][:n], together[:n])
		for j, out := range together[:n] {
			if !slices.Equal(out, first[i+j]) {
				t.Fatalf("draw %d differs when it is worked out with others", i+j)
			}
		}
	}
}

// One doubt by hand: the ends of the middle 90 % of a rectangle or a triangle
// (JCGM 101:2008, 6.4.2 and 6.4.5), of the energy and of a flat price.
func TestIntervalsOfOneDoubtByHand(t *testing.T) {
	const hours = 8760
	for _, c := range []struct {
		name, power string
		low, high   float64
	}{
		{"limits alone", "400..600 W", 410, 590},
		// A triangle of half-width 100: √(2·0.05)·100 from either limit.
		{"limits and likely", "400..500..600 W", 431.62, 568.38},
		// From 400 with its top at 400: 300·(1 - √0.95) and 300·(1 - √0.05).
		{"one-sided", "400..400..700 W", 407.60, 632.92},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := small{loads: "  - {id: it, name: It, at: DB1-1, use: work, power: " + c.power + ", runs: {calendar: always}}"}.run(t)
			low, high := c.low, c.high
			// The standard error of an end of 10,000 draws is below 1 % of the range.
			nearly(t, "low", r.Energy.Low, low*hours/1e3, 0.006)
			nearly(t, "high", r.Energy.High, high*hours/1e3, 0.006)
			nearly(t, "low cost", r.Cost.Low, 0.2*low*hours/1e3, 0.006)
			nearly(t, "high cost", r.Cost.High, 0.2*high*hours/1e3, 0.006)
			nearly(t, "the use's share", r.Uses[0].Part.Low, 1, 1e-9)
			if err := r.ValueUses(); err != nil {
				t.Fatal(err)
			}
			nearly(t, "the use's cost", r.Uses[0].Cost.Low, r.Cost.Low, 0.02) // 1,000 draws
		})
	}
}

// Where a tariff cannot be priced quickly the exact engine prices the draws.
func TestDrawsOfATariffThatIsNotQuick(t *testing.T) {
	r := small{tariff: "charges: [{id: units, energy: 0.20 /kWh}, {id: excess, repeat: {most: 12}, demand: {price: 3.00 /kW/month, window: 15 min, above: 0.4 kW}}]",
		loads: "  - {id: it, name: It, at: DB1-1, use: work, power: 450..500..550 W, runs: {calendar: always}}"}.run(t)
	if !r.drawn.exactly {
		t.Fatal("the tariff is quick")
	}
	if !(r.Cost.Low < r.Cost.Value && r.Cost.Value < r.Cost.High) {
		t.Errorf("cost %+v", r.Cost)
	}
	if st, _ := r.Sheet.Get(intervalsStep); st.Value != exactDraws {
		t.Errorf("%g draws", st.Value)
	}
}

// BenchmarkDraws is 10,000 draws of the example's full year: 12 months, all
// periods, demands, the bill by month and line, and the ranking of two figures.
func BenchmarkDraws(b *testing.B) {
	r := ran(b, example(b))
	d := drawnOf(b, r)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := uncertainty.Run(d, r.model.seed(), uncertainty.Options{Draws: yearDraws, Ranked: []int{d.layout.energy, d.layout.cost}}); err != nil {
			b.Fatal(err)
		}
	}
}
