package profile

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"
	"time"

	"auditgen/internal/quantity"
)

// plantMachines are 22 machines of a small works on the calendars of
// siteCalendars: steady ones, cyclers, a machine of two states, many of a kind.
func plantMachines() []Machine {
	q := func(p, t float64) Power { return Power{quantity.Watts(p), quantity.Vars(p * t)} }
	return []Machine{
		{ID: "pumps", Calendar: 1, Count: 1, Modes: []Mode{{1, q(11400, 0.77)}}},
		{ID: "separator", Calendar: 1, Count: 1, Modes: []Mode{{1, q(4100, 0.91)}}},
		{ID: "cleaning", Calendar: 2, Count: 1, Cycle: 0.5, Modes: []Mode{{0.55, q(18000, 0)}}},
		{ID: "packing", Calendar: 1, Count: 1, Cycle: 0.3, Modes: []Mode{{0.7, q(4450, 0.95)}}, Idle: q(900, 2)},
		{ID: "filter", Calendar: 1, Count: 1, Modes: []Mode{{1, q(12800, 0.29)}}},
		{ID: "labeller", Calendar: 1, Count: 1, Modes: []Mode{{0.8, q(860, 1)}}},
		{ID: "cold 1", Calendar: 0, Count: 2, Cycle: 0.4, Modes: []Mode{{0.55, q(5930, 0.83)}}},
		{ID: "chiller", Calendar: 0, Count: 1, Cycle: 0.25, Modes: []Mode{{0.6, q(17100, 0.7)}}, Idle: q(5300, 1.9)},
		{ID: "fans", Calendar: 0, Count: 1, Modes: []Mode{{1, q(8150, 0.25)}}},
		{ID: "cabinets", Calendar: 0, Count: 4, Cycle: 0.3, Modes: []Mode{{0.45, q(1450, 0.8)}}},
		{ID: "blast", Calendar: 1, Count: 1, Cycle: 2, Modes: []Mode{{0.4, q(9000, 0.75)}}},
		{ID: "compressor", Calendar: 1, Count: 1, Cycle: 0.1, Modes: []Mode{{0.62, q(14800, 0.6)}}, Idle: q(4400, 1.6)},
		{ID: "boiler", Calendar: 1, Count: 1, Cycle: 0.2, Modes: []Mode{{0.5, q(2100, 0.8)}}},
		{ID: "wash", Calendar: 1, Count: 1, Cycle: 1, Modes: []Mode{{0.3, q(12000, 0.05)}, {0.3, q(2400, 0.6)}}, Standby: q(40, 0)},
		{ID: "lights", Calendar: 1, Count: 60, Modes: []Mode{{1, q(46, -0.2)}}},
		{ID: "office lights", Calendar: 1, Count: 24, Modes: []Mode{{0.9, q(38, -0.2)}}},
		{ID: "computers", Calendar: 1, Count: 8, Modes: []Mode{{0.7, q(110, 0.3)}}, Standby: q(6, 0.5)},
		{ID: "heaters", Calendar: 3, Count: 5, Cycle: 0.5, Modes: []Mode{{0.55, q(3000, 0)}}},
		{ID: "trucks", Calendar: 2, Count: 2, Modes: []Mode{{0.8, q(3300, 0.5)}}},
		{ID: "kettle", Calendar: 1, Count: 1, Cycle: 1, Modes: []Mode{{0.06, q(2800, 0)}}},
		{ID: "yard", Calendar: 2, Count: 10, Modes: []Mode{{1, q(120, 0.1)}}},
		{ID: "router", Calendar: 0, Count: 1, Modes: []Mode{{1, q(90, 0.4)}}},
	}
}

// doubted moves every machine's figures: powers by an instrument's gain in
// common, by the day's share and by a little of each mode's own, shares and
// hours by what a person's estimate leaves open.
func doubted(from []Machine, normal func() float64) []Machine {
	out := make([]Machine, len(from))
	gain := 1 + 0.012*normal()
	for i, a := range from {
		day := gain * (1 + 0.08*normal())
		a.Modes = slices.Clone(a.Modes)
		sum := 0.0
		for j := range a.Modes {
			a.Modes[j].Power = Power{}.plus(day*(1+0.01*normal()), a.Modes[j].Power)
			if a.Modes[j].Share < 1 {
				a.Modes[j].Share *= max(0, 1+0.12*normal())
			}
			sum += a.Modes[j].Share
		}
		for j := range a.Modes {
			a.Modes[j].Share /= max(1, sum)
		}
		a.Idle = Power{}.plus(day, a.Idle)
		out[i] = a
	}
	return out
}

func plantDoubts(n int) []Doubt { return slices.Repeat([]Doubt{{Power: 0.083, Share: 0.12}}, n) }

func yearly(units ...Unit) (parts []Part, asks []Ask) {
	for month := time.January; month <= time.December; month++ {
		for slot := range 3 {
			parts = append(parts, Part{month, SlotsOf(slot)})
		}
		for _, u := range units {
			asks = append(asks, Ask{Part{month, AllSlots}, u})
		}
	}
	return parts, asks
}

func compileFor(t testing.TB, m *Model, machines []Machine, parts []Part, asks []Ask) *Compiled {
	t.Helper()
	c, err := m.Compile(parts, asks, plantDoubts(len(machines)))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// TestCompiledEnergy: energies are those of the model, to the last digits, with
// months that differ too.
func TestCompiledEnergy(t *testing.T) {
	machines := plantMachines()
	machines[7].Months = [12]float64{0.5, 0.5, 0.6, 0.8, 1.1, 1.4, 1.6, 1.6, 1.3, 0.9, 0.6, 0.5}
	m := model(t, siteCalendars(t), machines...)
	parts, _ := yearly()
	parts = append(parts, Part{0, AllSlots}, Part{0, SlotsOf(1)})
	c := compileFor(t, m, machines, parts, nil)
	r := rand.New(rand.NewPCG(4, 4))
	active, reactive := make([]float64, len(parts)), make([]float64, len(parts))
	for range 5 {
		moved := doubted(machines, r.NormFloat64)
		if err := c.Energies(moved, nil, active, reactive); err != nil {
			t.Fatal(err)
		}
		if err := m.Set(moved); err != nil {
			t.Fatal(err)
		}
		for k, p := range parts {
			if !near(active[k], float64(m.Energy(p.Month, p.Slots))) || !near(reactive[k], float64(m.Reactive(p.Month, p.Slots))) {
				t.Errorf("%+v: %v Wh, %v varh, the model has %v, %v", p, active[k], reactive[k], m.Energy(p.Month, p.Slots), m.Reactive(p.Month, p.Slots))
			}
		}
	}
	// Hours scale what runs, not what stands by.
	hours := slices.Repeat([]float64{1}, len(machines))
	hours[13] = 1.1
	if err := c.Energies(machines, hours, active, nil); err != nil {
		t.Fatal(err)
	}
	if err := m.Set(machines); err != nil {
		t.Fatal(err)
	}
	year := len(parts) - 2
	on := float64(m.on[13].P) * float64(m.Year.Open(1, 0, AllSlots))
	if want := float64(m.Energy(0, AllSlots)) + 0.1*on; !near(active[year], want) {
		t.Errorf("%v Wh, want %v", active[year], want)
	}
}

// TestCompiledDemand: over draws of realistic doubt, and with everything up or
// down by two standard deviations, demands are within 0.5 % of those of the
// model.
func TestCompiledDemand(t *testing.T) {
	for name, change := range map[string]func([]Machine){ // each on machines of its own
		"plant": func([]Machine) {},
		"weather": func(ms []Machine) {
			ms[7].Months = [12]float64{0.5, 0.5, 0.6, 0.8, 1.1, 1.4, 1.6, 1.6, 1.3, 0.9, 0.6, 0.5}
		},
		"bonds": func(ms []Machine) {
			ms[10].Apart, ms[3].Apart, ms[10].Modes[0].Share = "line", "line", 0.15
			ms[7].InOrder, ms[11].InOrder = "air", "air"
		},
		"evenly": func(ms []Machine) { ms[18].Count = 9; ms[2].Count = 3 }, // nights compete with days
	} {
		t.Run(name, func(t *testing.T) {
			machines := plantMachines()
			change(machines)
			m := model(t, siteCalendars(t), machines...)
			parts, asks := yearly(Active, Apparent)
			asks = append(asks, Ask{Part{0, AllSlots}, Active}, Ask{Part{time.May, SlotsOf(2)}, Active}, Ask{Part{time.May, SlotsOf(0)}, Reactive})
			c := compileFor(t, m, machines, parts, asks)
			got := make([]float64, len(asks))
			if err := c.Demands(machines, got); err != nil {
				t.Fatal(err)
			}
			for k := range asks {
				if best, _ := c.Best(k); math.Abs(got[k]-best.Mean) > 1e-9*best.Mean {
					t.Errorf("%+v: %v at the best estimate, the model has %v", asks[k], got[k], best.Mean)
				}
			}
			r := rand.New(rand.NewPCG(7, 7))
			worst, square, n := 0.0, 0.0, 0
			for trial := range 42 {
				normal := r.NormFloat64
				switch trial {
				case 0:
					normal = func() float64 { return 2 }
				case 1:
					normal = func() float64 { return -2 }
				}
				moved := doubted(machines, func() float64 { return min(max(normal(), -2), 2) })
				if err := c.Demands(moved, got); err != nil {
					t.Fatal(err)
				}
				if err := m.Set(moved); err != nil {
					t.Fatal(err)
				}
				for k, a := range asks {
					want, _ := m.Demand(a.Month, a.Slots, a.Unit)
					off := math.Abs(got[k]-want.Mean) / want.Mean
					worst, square, n = max(worst, off), square+off*off, n+1
					if off > 0.005 {
						t.Errorf("trial %d: %+v: %.0f, the model has %.0f (%.2f %%)", trial, a, got[k], want.Mean, 100*off)
					}
				}
			}
			t.Logf("worst %.3f %%, root mean square %.3f %%", 100*worst, 100*math.Sqrt(square/float64(n)))
		})
	}
}

// TestCompiledChance: quantiles of the maximum are those of the model, and
// their mean is its mean.
func TestCompiledChance(t *testing.T) {
	machines := plantMachines()
	m := model(t, siteCalendars(t), machines...)
	_, asks := yearly(Active)
	c := compileFor(t, m, machines, nil, asks)
	for k := range asks {
		best, _ := c.Best(k)
		mean := 0.0
		for i := range 1000 {
			mean += c.Chance(k, best.Mean, (float64(i)+0.5)/1000) / 1000
		}
		if math.Abs(mean-best.Mean) > 0.1*best.Deviation {
			t.Errorf("mean %v, want %v", mean, best.Mean)
		}
		for p, want := range map[float64]float64{0.05: best.Low, 0.95: best.High} {
			if got := c.Chance(k, best.Mean, p); math.Abs(got-want) > 0.25*best.Deviation {
				t.Errorf("quantile %v is %v, want %v (deviation %v)", p, got, want, best.Deviation)
			}
		}
	}
}

func TestCompileRefuses(t *testing.T) {
	machines := plantMachines()
	m := model(t, siteCalendars(t), machines...)
	if _, err := m.Compile(nil, nil, []Doubt{{}}); err == nil {
		t.Error("one doubt for 22 machines")
	}
	if _, err := m.Compile(nil, nil, slices.Repeat([]Doubt{{Power: -1}}, 22)); err == nil {
		t.Error("a negative doubt")
	}
	parts, asks := yearly(Active)
	asks = append(asks, Ask{Part{time.May, SlotsOf(9)}, Active})
	c := compileFor(t, m, machines, parts, asks)
	out := make([]float64, len(asks))
	if err := c.Demands(machines[1:], out); err == nil {
		t.Error("a machine less")
	}
	if err := c.Demands(machines, out[1:]); err == nil {
		t.Error("a demand less")
	}
	if err := c.Energies(machines, []float64{1}, make([]float64, len(parts)), nil); err == nil {
		t.Error("hours of one machine")
	}
	other := slices.Clone(machines)
	other[3].Calendar = 0
	if err := c.Demands(other, out); err == nil {
		t.Error("another calendar")
	}
	if err := c.Demands(machines, out); err != nil || out[len(out)-1] != 0 {
		t.Errorf("a demand without windows: %v %v", out[len(out)-1], err)
	}
	if n := testing.AllocsPerRun(10, func() { _ = c.Demands(machines, out) }); n != 0 {
		t.Errorf("%v allocations a draw", n)
	}
	d := c.Clone()
	again := make([]float64, len(asks))
	if err := d.Demands(machines, again); err != nil || !slices.Equal(out, again) {
		t.Errorf("the clone gives others: %v", err)
	}
}

// TestNotedDemands: demands of draws worked out together are those of each by
// itself, to the last bit, whatever stood there before.
func TestNotedDemands(t *testing.T) {
	machines := plantMachines()
	parts, asks := yearly(Active, Apparent, Reactive)
	c := compileFor(t, model(t, siteCalendars(t), machines...), machines, parts, asks)
	alone := c.Clone()
	r := rand.New(rand.NewPCG(3, 1))
	hours := slices.Repeat([]float64{1.1}, len(machines))
	active, reactive, want := make([]float64, len(parts)), make([]float64, len(parts)), make([]float64, len(asks))
	for _, n := range []int{Together, 1, lanes + 1} {
		rows := make([][]float64, len(asks))
		for k := range rows {
			rows[k] = make([]float64, n)
		}
		var moved [][]Machine
		for j := range n {
			moved = append(moved, doubted(machines, r.NormFloat64))
			if err := c.NoteEnergies(j, moved[j], hours, active, reactive); err != nil {
				t.Fatal(err)
			}
		}
		c.Noted(rows)
		for j := range n {
			if err := alone.Demands(moved[j], want); err != nil {
				t.Fatal(err)
			}
			for k := range want {
				if rows[k][j] != want[k] {
					t.Errorf("draw %d of %d, ask %d: %v, want %v", j, n, k, rows[k][j], want[k])
				}
			}
		}
	}
	if err := c.Note(0, machines[1:]); err == nil {
		t.Error("a machine less")
	}
}

// BenchmarkDraws is 10,000 draws of a year: 36 energies, active and reactive,
// and 24 demands, by number of machines. The figures of the machines are moved
// beforehand.
func BenchmarkDraws(b *testing.B) {
	for _, n := range []int{22, 10, 100, 1000} {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			machines := plantMachines()
			if n != len(machines) {
				machines = machinesOf(n)
			}
			m := model(b, siteCalendars(b), machines...)
			parts, asks := yearly(Active, Apparent)
			c := compileFor(b, m, machines, parts, asks)
			r := rand.New(rand.NewPCG(1, 1))
			var moved [][]Machine
			for range 64 {
				moved = append(moved, doubted(machines, r.NormFloat64))
			}
			active, reactive, demands := make([]float64, len(parts)), make([]float64, len(parts)), make([][]float64, len(asks))
			for k := range demands {
				demands[k] = make([]float64, Together)
			}
			b.ReportAllocs()
			for b.Loop() {
				for i := range 10_000 {
					if err := c.NoteEnergies(i%Together, moved[i%64], nil, active, reactive); err != nil {
						b.Fatal(err)
					}
					if i%Together == Together-1 || i == 9_999 {
						c.Noted(demands)
					}
				}
			}
		})
	}
}

// BenchmarkCompile is what comes before the draws, once.
func BenchmarkCompile(b *testing.B) {
	machines := plantMachines()
	m := model(b, siteCalendars(b), machines...)
	parts, asks := yearly(Active, Apparent)
	for b.Loop() {
		compileFor(b, m, machines, parts, asks)
	}
}
