package profile

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"auditgen/internal/quantity"
	"auditgen/internal/uncertainty"
)

// doubtedSite is a site as a model of its doubts: one gain of the meter, and of
// each machine the power over the year against the reading, the shares, and a
// number that chance draws for each highest demand.
type doubtedSite struct {
	compiled *Compiled
	machines []Machine
	moved    []Machine
	params   []uncertainty.Parameter
	parts    int
	asks     int
	reactive []float64
	means    []float64
}

func newDoubtedSite(t testing.TB, y *Year, machines []Machine, parts []Part, asks []Ask) *doubtedSite {
	t.Helper()
	m, err := NewModel(y, machines)
	if err != nil {
		t.Fatal(err)
	}
	s := &doubtedSite{machines: machines, moved: slices.Clone(machines), parts: len(parts), asks: len(asks),
		reactive: make([]float64, len(parts)), means: make([]float64, len(asks))}
	add := func(id string, d uncertainty.Distribution) {
		s.params = append(s.params, uncertainty.Parameter{ID: id, Distribution: d})
	}
	add("gain", uncertainty.Rectangular{Low: -0.015, High: 0.015})
	doubts := make([]Doubt, len(machines))
	for i := range machines {
		s.moved[i].Modes = slices.Clone(machines[i].Modes)
		add(machines[i].ID+" power", uncertainty.Triangular{Low: -0.2, Likely: 0.02, High: 0.15})
		add(machines[i].ID+" share", uncertainty.Triangular{Low: -0.25, Likely: 0, High: 0.25})
		doubts[i] = Doubt{Power: 0.075, Share: 0.102}
	}
	for range asks {
		add("chance", uncertainty.Rectangular{Low: 0, High: 1})
	}
	if s.compiled, err = m.Compile(parts, asks, doubts); err != nil {
		t.Fatal(err)
	}
	return s
}

func (s *doubtedSite) Parameters() []uncertainty.Parameter { return s.params }
func (s *doubtedSite) Outputs() int                        { return s.parts + s.asks }

// put moves the machines by the parameters.
func (s *doubtedSite) put(z []float64) {
	for i := range s.machines {
		from, to := &s.machines[i], &s.moved[i]
		power, share := 1+z[0]+z[1+2*i], 1+z[2+2*i]
		sum := 0.0
		for j := range from.Modes {
			to.Modes[j] = from.Modes[j]
			to.Modes[j].P *= quantity.Watts(power)
			to.Modes[j].Q *= quantity.Vars(power)
			if from.Modes[j].Share < 1 {
				to.Modes[j].Share *= share
			}
			sum += to.Modes[j].Share
		}
		for j := range to.Modes {
			to.Modes[j].Share /= max(1, sum)
		}
		to.Idle = Power{from.Idle.P * quantity.Watts(power), from.Idle.Q * quantity.Vars(power)}
	}
}

func (s *doubtedSite) Evaluate(z []float64, out []float64) {
	s.put(z)
	if s.compiled.Energies(s.moved, nil, out[:s.parts], s.reactive) != nil || s.compiled.Demands(s.moved, s.means) != nil {
		panic("the machines are those compiled")
	}
	chance := z[1+2*len(s.machines):]
	for k, mean := range s.means {
		out[s.parts+k] = s.compiled.Chance(k, mean, chance[k])
	}
}

// TestIntervalsHoldTheTruth generates sites whose truth is one draw of what is
// known of them: the year's energy, and the highest demand of a month as chance
// lets it turn out, both worked out by the whole model and not by its response.
// The 90 % intervals hold them 87 to 93 % of the time.
func TestIntervalsHoldTheTruth(t *testing.T) {
	const sites = 500
	y, err := Fold(grid(t, 2031, "Europe/Dublin", 15), siteCalendars(t), threeSlots)
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(2031, 500))
	parts, asks := []Part{{0, AllSlots}}, []Ask{{Part{time.January, AllSlots}, Active}, {Part{time.June, SlotsOf(1)}, Apparent}}
	names := []string{"energy", "kW", "kVA"}
	held := make([]int, len(names))
	kinds := append(plantMachines(), siteMachines()...)
	for i := range sites {
		var machines []Machine
		for range 4 + r.IntN(10) {
			a := kinds[r.IntN(len(kinds))]
			scale := 0.4 + 1.5*r.Float64()
			a.Modes = slices.Clone(a.Modes)
			for j := range a.Modes {
				a.Modes[j].Power = Power{}.plus(scale, a.Modes[j].Power)
			}
			a.Idle = Power{}.plus(scale, a.Idle)
			machines = append(machines, a)
		}
		site := newDoubtedSite(t, y, machines, parts, asks)
		z := make([]float64, len(site.params))
		for k, p := range site.params {
			z[k] = p.Quantile(r.Float64())
		}
		site.put(z)
		true_, err := NewModel(y, site.moved)
		if err != nil {
			t.Fatal(err)
		}
		truth := []float64{float64(true_.Energy(0, AllSlots))}
		for _, a := range asks {
			truth = append(truth, turnsOut(true_, a, r.Float64()))
		}
		got, err := uncertainty.Run(site, uncertainty.SeedOf([]byte{byte(i), byte(i >> 8)}), uncertainty.Options{Draws: 2000})
		if err != nil {
			t.Fatal(err)
		}
		for k, x := range truth {
			if got.Outputs[k].Symmetric.Contains(x) {
				held[k]++
			}
		}
	}
	for k, n := range held {
		share := float64(n) / sites
		t.Logf("%s: %.1f %%", names[k], 100*share)
		if share < 0.87 || share > 0.93 {
			t.Errorf("%s: the interval holds the truth at %.1f %% of sites", names[k], 100*share)
		}
	}
}

// turnsOut is a demand as chance lets it turn out: the quantile p of the exact
// distribution of the maximum.
func turnsOut(m *Model, a Ask, p float64) float64 {
	above, out := 0.0, 0.0
	fall(m.climbs(a.Month, a.Slots, a.Unit), func(at, q float64, _ *climb, _ *rung) {
		if above < 1-p {
			out = at
		}
		above += q
	})
	return out
}

// BenchmarkYearWithDoubt is 10,000 draws from the parameters to the intervals of
// 36 energies and 24 demands and the ranking of two, for 22 machines; it leaves
// out the bill.
func BenchmarkYearWithDoubt(b *testing.B) {
	y, err := Fold(grid(b, 2031, "Europe/Dublin", 15), siteCalendars(b), threeSlots)
	if err != nil {
		b.Fatal(err)
	}
	parts, asks := yearly(Active, Apparent)
	site := newDoubtedSite(b, y, plantMachines(), parts, asks)
	for b.Loop() {
		if _, err := uncertainty.Run(site, uncertainty.Seed{}, uncertainty.Options{Ranked: []int{0, len(parts)}}); err != nil {
			b.Fatal(err)
		}
	}
}
