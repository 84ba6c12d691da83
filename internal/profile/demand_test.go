package profile

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"auditgen/internal/quantity"
)

func model(t testing.TB, calendars []Calendar, machines ...Machine) *Model {
	t.Helper()
	y, err := Fold(grid(t, 2031, "Europe/Dublin", 15), calendars, threeSlots)
	if err != nil {
		t.Fatal(err)
	}
	m, err := NewModel(y, machines)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// TestDemandOfSteadyMachines: without chance the peak is the sum of what the
// calendars let run together, to the last digit.
func TestDemandOfSteadyMachines(t *testing.T) {
	early, late := weekly(t, "Mon-Fri", "06:00-12:00"), weekly(t, "Mon-Fri", "10:00-16:00", "Sat", "08:00-10:00")
	m := model(t, []Calendar{Always(), early, late},
		Machine{ID: "a", Calendar: 0, Count: 1, Modes: []Mode{{1, Power{3000, 4000}}}},
		Machine{ID: "b", Calendar: 1, Count: 2, Modes: []Mode{{1, Power{5000, 0}}}, Standby: Power{100, 0}},
		Machine{ID: "c", Calendar: 2, Count: 1, Modes: []Mode{{1, Power{9000, 12000}}}},
	)
	for _, c := range []struct {
		unit  Unit
		slots Slots
		want  float64
	}{
		{Active, AllSlots, 22000},
		{Active, SlotsOf(0), 13000}, // before 07:00
		{Active, SlotsOf(2), 3200},  // after 17:00
		{Reactive, AllSlots, 16000},
		{Apparent, AllSlots, math.Hypot(22000, 16000)},
	} {
		got, ok := m.Demand(5, c.slots, c.unit)
		if !ok || got.Mean != c.want || got.Deviation != 0 || got.Low != c.want || got.High != c.want {
			t.Errorf("unit %d slots %b: %+v %v, want %v", c.unit, c.slots, got, ok, c.want)
		}
	}
	if _, ok := m.Demand(5, SlotsOf(9), Active); ok {
		t.Error("a demand in a slot that the tariff does not have")
	}
	if got, _ := m.AllOn(5, AllSlots, Active); got != 22000 {
		t.Errorf("all on %v", got)
	}
	if got := m.BaseLoad(); got != (Power{3200, 4000}) {
		t.Errorf("base load %v", got)
	}
}

// TestDemandOfBinomial compares with the exact binomial maximum, worked out
// here from factorials: n like machines, one draw a window.
func TestDemandOfBinomial(t *testing.T) {
	const n, duty, watts = 12, 0.3, 4000.0
	m := model(t, []Calendar{Always()}, Machine{ID: "a", Count: n, Modes: []Mode{{duty, Power{P: watts}}}})
	for month := time.January; month <= time.December; month++ {
		windows := 4 * float64(m.Year.Hours(month, AllSlots))
		cdf, mean, choose := 0.0, float64(n), 1.0
		for k := range n {
			cdf += choose * math.Pow(duty, float64(k)) * math.Pow(1-duty, float64(n-k))
			mean -= math.Pow(cdf, windows)
			choose *= float64(n-k) / float64(k+1)
		}
		got, _ := m.Demand(month, AllSlots, Active)
		if math.Abs(got.Mean-watts*mean) > 0.0005*watts*mean {
			t.Errorf("%s: %v W, exact %v W", month, got.Mean, watts*mean)
		}
	}
}

// TestDemandOfMixedWindows: where calendars change inside a window, the meter
// sees the mean over the window.
func TestDemandOfMixedWindows(t *testing.T) {
	m := model(t, []Calendar{weekly(t, "Mon-Sun", "06:00-12:05"), weekly(t, "Mon-Sun", "12:00-18:00")},
		Machine{ID: "a", Calendar: 0, Count: 1, Modes: []Mode{{1, Power{P: 9000}}}},
		Machine{ID: "b", Calendar: 1, Count: 1, Modes: []Mode{{1, Power{P: 8000}}}},
	)
	if got, _ := m.Demand(3, AllSlots, Active); math.Abs(got.Mean-11000) > 1e-9 {
		t.Errorf("%v, want 8 kW and a third of 9 kW", got)
	}
	if got, _ := m.MeanDemand(3, AllSlots, Active); math.Abs(got-11000) > 1e-9 {
		t.Errorf("mean demand %v", got)
	}
	meeting, _ := m.Coincidence(3, AllSlots, Active)
	if len(meeting.When) != 2 || meeting.When[0].Hour != 12 || math.Abs(float64(meeting.Machines[0])-3000) > 1e-9 {
		t.Errorf("%+v", meeting)
	}
}

// simulation draws every machine anew for every window.
type simulation struct {
	random   *rand.Rand
	machines []Machine
	window   float64
}

// power is the mean of one machine over one window: from a random place in its
// cycle it walks through the modes until the window is over.
func (s *simulation) power(a *Machine, on bool) (p, q float64) {
	if !on {
		return float64(a.Standby.P), float64(a.Standby.Q)
	}
	place, left := s.random.Float64(), 1.0 // in cycles and in windows
	for left > 1e-12 {
		now, end := a.Idle, 1.0
		edge := 0.0
		for _, mode := range a.Modes {
			if edge += mode.Share; place < edge {
				now, end = mode.Power, edge
				break
			}
		}
		t := left
		if a.Cycle > 0 {
			t = min(left, (end-place)*float64(a.Cycle)/s.window)
		}
		p, q = p+t*float64(now.P), q+t*float64(now.Q)
		left -= t
		if place = end; place >= 1 {
			place = 0
		}
	}
	return p, q
}

func (s *simulation) site(on Set) (p, q float64) {
	for i := range s.machines {
		a := &s.machines[i]
		whole, part := math.Modf(a.Count)
		for range int(whole) {
			x, y := s.power(a, on.Has(a.Calendar))
			p, q = p+x, q+y
		}
		if part > 0 {
			x, y := s.power(a, on.Has(a.Calendar))
			p, q = p+part*x, q+part*y
		}
	}
	return p, q
}

// TestDemandAgainstSimulation draws months of windows, each window and machine
// on its own, and compares the mean and deviation of the maximum, within four
// standard errors of the simulation and the 0.2 % that the grid allows itself.
func TestDemandAgainstSimulation(t *testing.T) {
	calendars := siteCalendars(t)
	machines := siteMachines()
	for i := range machines {
		machines[i].Cycle = min(machines[i].Cycle, 0.25) // longer ones are not drawn anew: TestDemandOfCyclers
	}
	machines[6].Count = 1.5
	m := model(t, calendars, machines...)
	s := simulation{rand.New(rand.NewPCG(20310512, 7)), machines, 0.25}
	minutes := expand(m.Year.Grid, calendars, threeSlots)
	for _, c := range []struct {
		month time.Month
		slots Slots
	}{{time.May, SlotsOf(2)}, {time.December, SlotsOf(0)}} {
		var on []Set
		for _, at := range minutes {
			if at.day.Month == c.month && c.slots.Has(at.slot) && at.minute%15 == 0 {
				on = append(on, at.on)
			}
		}
		const months = 250
		var sums [units][2]float64
		for range months {
			most := [units]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
			for _, set := range on {
				p, q := s.site(set)
				most[Active], most[Apparent], most[Reactive] = max(most[Active], p), max(most[Apparent], math.Hypot(p, q)), max(most[Reactive], q)
			}
			for u, v := range most {
				sums[u][0] += v / months
				sums[u][1] += v * v / months
			}
		}
		for u := range units {
			mean, deviation := sums[u][0], math.Sqrt(sums[u][1]-sums[u][0]*sums[u][0])
			got, _ := m.Demand(c.month, c.slots, u)
			t.Logf("%s slots %b unit %d: %.0f ± %.0f, simulated %.0f ± %.0f", c.month, c.slots, u, got.Mean, got.Deviation, mean, deviation)
			if math.Abs(got.Mean-mean) > 4*deviation/math.Sqrt(months)+0.002*mean {
				t.Errorf("mean differs by more than the simulation's error")
			}
			if math.Abs(got.Deviation-deviation) > 4*deviation/math.Sqrt(2*months)+0.002*mean {
				t.Errorf("deviation differs by more than the simulation's error")
			}
			low, _ := m.MeanDemand(c.month, c.slots, u)
			high, _ := m.AllOn(c.month, c.slots, u)
			if !(low <= got.Mean && got.Mean <= high) {
				t.Errorf("%v is not between the naive answers %v and %v", got.Mean, low, high)
			}
		}
	}
}

// walk adds a cycling machine's mean over each window of a month; each round
// lasts up to a quarter more or less than the cycle.
func walk(load []float64, a *Machine, window float64, r *rand.Rand) {
	end := float64(len(load)) * window
	c := float64(a.Cycle)
	for start := -r.Float64() * c; start < end; {
		round := c * (0.75 + 0.5*r.Float64())
		for at, off := max(start, 0), start+round*a.Modes[0].Share; at < off; {
			w := math.Floor(at/window + 1e-12)
			to := min((w+1)*window, off)
			if int(w) < len(load) {
				load[int(w)] += float64(a.Modes[0].P) * (to - at) / window
			}
			at = to
		}
		start += round
	}
}

// TestDemandOfCyclers simulates machines in continuous time, with cycles that
// drift, so that neighbouring windows are alike: the expected maximum must be
// within 2 % of the simulated one.
func TestDemandOfCyclers(t *testing.T) {
	y, err := Fold(grid(t, 2031, "UTC", 15), []Calendar{Always()}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		machines             int
		cycleFrom, cycleTo   quantity.Hours
		sharesFrom, sharesTo float64
	}{
		{4, 0.5, 0.5, 0.5, 0.5}, {4, 2, 2, 0.3, 0.3}, {8, 1, 1, 0.2, 0.2}, {8, 0.3, 3, 0.2, 0.6},
		{15, 0.3, 3, 0.3, 0.7}, {15, 4, 4, 0.3, 0.3}, {30, 6, 6, 0.5, 0.5},
	} {
		r := rand.New(rand.NewPCG(1, 2))
		machines := make([]Machine, c.machines)
		for i := range machines {
			f := float64(i) / float64(c.machines-1)
			machines[i] = Machine{Count: 1, Cycle: c.cycleFrom + quantity.Hours(f)*(c.cycleTo-c.cycleFrom),
				Modes: []Mode{{c.sharesFrom + math.Mod(3*f, 1)*(c.sharesTo-c.sharesFrom), Power{P: quantity.Watts(5000 + 3000*r.Float64())}}}}
		}
		m, err := NewModel(y, machines)
		if err != nil {
			t.Fatal(err)
		}
		const months = 200
		load, sum := make([]float64, 4*24*30), 0.0
		for range months {
			clear(load)
			for i := range machines {
				walk(load, &machines[i], 0.25, r)
			}
			sum += slices.Max(load) / months
		}
		got, _ := m.Demand(time.June, AllSlots, Active)
		t.Logf("%d machines, cycles %v to %v h: %.0f W, simulated %.0f W (%+.2f %%)", c.machines, c.cycleFrom, c.cycleTo, got.Mean, sum, 100*(got.Mean/sum-1))
		if math.Abs(got.Mean/sum-1) > 0.02 {
			t.Errorf("more than 2 %% from the simulation")
		}
	}
}

// TestCoincidence: the machines' parts sum to the peak, agree with a simulation
// of what each machine draws in the window of the maximum, and the place of the
// maximum is where the calendars overlap.
func TestCoincidence(t *testing.T) {
	calendars := siteCalendars(t)
	machines := siteMachines()
	for i := range machines {
		machines[i].Cycle = min(machines[i].Cycle, 0.25)
	}
	m := model(t, calendars, machines...)
	got, ok := m.Coincidence(time.May, AllSlots, Active)
	if !ok {
		t.Fatal("no maximum in May")
	}
	sum := 0.0
	for i, p := range got.Machines {
		t.Logf("%s %.0f W", machines[i].ID, p)
		sum += float64(p)
	}
	peak, _ := m.Demand(time.May, AllSlots, Active)
	if !near(sum, peak.Mean) || got.Peak != peak {
		t.Errorf("parts sum to %v, the peak is %v, apart %v", sum, got.Peak, peak)
	}
	if got.On != 0b0011 || got.Probability < 0.99 || got.When[0].Kind != 0 || got.When[0].Hour < 6 || got.When[0].Hour > 17 {
		t.Errorf("maximum at %b (%v), %+v", got.On, got.Probability, got.When[0])
	}
	// Here active power leads the other two: at their maxima the machines draw
	// about what they draw at its own.
	for _, unit := range []Unit{Apparent, Reactive} {
		other, _ := m.Coincidence(time.May, AllSlots, unit)
		if peak, _ := m.Demand(time.May, AllSlots, unit); other.Peak != peak {
			t.Errorf("unit %d: %v apart, %v together", unit, peak, other.Peak)
		}
		for i, p := range other.Machines {
			if unit == Apparent && math.Abs(float64(p-got.Machines[i])) > 0.02*peak.Mean {
				t.Errorf("unit %d: %s %v W, at the maximum of active power %v W", unit, machines[i].ID, p, got.Machines[i])
			}
		}
		// All compressors loaded is what makes the most reactive power.
		if unit == Reactive && math.Abs(float64(other.Machines[3])-float64(got.Machines[3])) > 0.05*float64(got.Machines[3]) {
			t.Errorf("compressors %v W at the maximum of reactive power", other.Machines[3])
		}
	}
	s := simulation{rand.New(rand.NewPCG(5, 8)), machines, 0.25}
	compareParts(t, &s, got)
}

func compareParts(t *testing.T, s *simulation, got Meeting) {
	const months, windows = 300, 22*48 + 4*24
	parts := make([]float64, len(s.machines))
	for range months {
		best, at := 0.0, make([]float64, len(s.machines))
		for range windows {
			sum, now := 0.0, make([]float64, len(s.machines))
			for i := range s.machines {
				for range int(s.machines[i].Count) {
					p, _ := s.power(&s.machines[i], got.On.Has(s.machines[i].Calendar))
					now[i] += p
				}
				sum += now[i]
			}
			if sum > best {
				best, at = sum, now
			}
		}
		for i, p := range at {
			parts[i] += p / months
		}
	}
	for i, p := range parts {
		if math.Abs(p-float64(got.Machines[i])) > 0.02*got.Peak.Mean {
			t.Errorf("%s: %v W at the maximum, simulated %v W", s.machines[i].ID, got.Machines[i], p)
		}
	}
}
