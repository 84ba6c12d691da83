package profile

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"auditgen/internal/quantity"
)

// bondedMachines has an oven of two states that never runs with the dryer, two
// compressors of which the second follows the first, and free machines.
func bondedMachines() []Machine {
	return []Machine{
		{ID: "oven", Calendar: 1, Count: 1, Apart: "hot", Modes: []Mode{{0.25, Power{22000, 400}}, {0.2, Power{8000, 100}}}, Idle: Power{300, 20}},
		{ID: "dryer", Calendar: 2, Count: 1, Apart: "hot", Modes: []Mode{{0.35, Power{15000, 9000}}}},
		{ID: "lead", Calendar: 1, Count: 1, InOrder: "air", Modes: []Mode{{0.8, Power{14000, 8000}}}, Idle: Power{4000, 6000}},
		{ID: "lag", Calendar: 1, Count: 1, InOrder: "air", Modes: []Mode{{0.3, Power{11000, 7000}}}},
		{ID: "free", Calendar: 0, Count: 3, Modes: []Mode{{0.4, Power{5000, 2500}}}},
		{ID: "base", Calendar: 0, Count: 1, Modes: []Mode{{1, Power{3000, 500}}}},
	}
}

func bondedCalendars(t testing.TB) []Calendar {
	return []Calendar{Always(), weekly(t, "Mon-Fri", "06:00-18:00"), weekly(t, "Mon-Fri", "14:00-22:00")}
}

// tied draws one window of the bonded machines: one number between 0 and 1
// decides for all of a bond.
func tied(r *rand.Rand, ms []Machine, on Set) (p, q float64, parts []float64) {
	parts = make([]float64, len(ms))
	add := func(i int, x Power) {
		parts[i] += float64(x.P)
		p, q = p+float64(x.P), q+float64(x.Q)
	}
	place := map[string]float64{}
	taken := map[string]float64{}
	for i := range ms {
		a := &ms[i]
		if !on.Has(a.Calendar) {
			add(i, a.Standby)
			continue
		}
		name := a.Apart + a.InOrder
		if _, known := place[name]; !known {
			place[name] = r.Float64()
		}
		for range int(a.Count) {
			u := r.Float64()
			if name != "" {
				u = place[name] - taken[name]
			}
			now := a.Idle
			for _, mode := range a.Modes {
				if u >= 0 && u < mode.Share {
					now = mode.Power
				}
				u -= mode.Share
			}
			if a.Apart != "" {
				for _, mode := range a.Modes {
					taken[name] += mode.Share
				}
			}
			add(i, now)
		}
	}
	return p, q, parts
}

// TestDemandOfBonds compares machines that exclude each other, and machines
// that follow each other, with a simulation of the window's draws, within its
// own error: maximum of a month, its deviation, and the machines' parts.
func TestDemandOfBonds(t *testing.T) {
	machines, calendars := bondedMachines(), bondedCalendars(t)
	m := model(t, calendars, machines...)
	minutes := expand(m.Year.Grid, calendars, threeSlots)
	var on []Set
	for _, at := range minutes {
		if at.day.Month == time.May && at.minute%15 == 0 {
			on = append(on, at.on)
		}
	}
	r := rand.New(rand.NewPCG(11, 12))
	const months = 300
	var sums [units][2]float64
	parts := make([]float64, len(machines))
	for range months {
		most := [units]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
		var at []float64
		for _, set := range on {
			p, q, now := tied(r, machines, set)
			if p > most[Active] {
				at = now
			}
			most[Active], most[Apparent], most[Reactive] = max(most[Active], p), max(most[Apparent], math.Hypot(p, q)), max(most[Reactive], q)
		}
		for u, v := range most {
			sums[u][0] += v / months
			sums[u][1] += v * v / months
		}
		for i, p := range at {
			parts[i] += p / months
		}
	}
	for u := range units {
		mean := sums[u][0]
		deviation := math.Sqrt(max(0, sums[u][1]-mean*mean))
		got, _ := m.Demand(time.May, AllSlots, u)
		t.Logf("unit %d: %.0f ± %.0f, simulated %.0f ± %.0f", u, got.Mean, got.Deviation, mean, deviation)
		if math.Abs(got.Mean-mean) > 4*deviation/math.Sqrt(months)+0.002*mean {
			t.Errorf("mean differs by more than the simulation's error")
		}
		if math.Abs(got.Deviation-deviation) > 4*deviation/math.Sqrt(2*months)+0.003*mean {
			t.Errorf("deviation differs by more than the simulation's error")
		}
	}
	meeting, _ := m.Coincidence(time.May, AllSlots, Active)
	for i, p := range parts {
		if math.Abs(p-float64(meeting.Machines[i])) > 0.02*meeting.Peak.Mean {
			t.Errorf("%s: %v W at the maximum, simulated %v W", machines[i].ID, meeting.Machines[i], p)
		}
	}
	// Free of each other the peak would be higher, the energy the same.
	free := bondedMachines()
	for i := range free {
		free[i].Apart, free[i].InOrder = "", ""
	}
	f := model(t, calendars, free...)
	a, _ := m.Demand(time.May, AllSlots, Active)
	b, _ := f.Demand(time.May, AllSlots, Active)
	if a.Mean >= b.Mean-5000 || f.Energy(0, AllSlots) != m.Energy(0, AllSlots) {
		t.Errorf("apart %v, free %v", a, b)
	}
}

// TestDemandOfTwoApart is the case that anyone can check: two machines that
// fill the time between them never add up.
func TestDemandOfTwoApart(t *testing.T) {
	for _, cycle := range []quantity.Hours{0, 2} {
		two := []Machine{
			{ID: "a", Count: 1, Apart: "x", Cycle: cycle, Modes: []Mode{{0.5, Power{P: 9000}}}},
			{ID: "b", Count: 1, Apart: "x", Cycle: cycle, Modes: []Mode{{0.5, Power{P: 7000}}}},
		}
		m := model(t, []Calendar{Always()}, two...)
		if got, _ := m.Demand(3, AllSlots, Active); math.Abs(got.Mean-9000) > 1 {
			t.Errorf("cycle %v h: %v, want 9 kW", cycle, got)
		}
		two[1].Apart = ""
		m = model(t, []Calendar{Always()}, two...)
		if got, _ := m.Demand(3, AllSlots, Active); math.Abs(got.Mean-16000) > 1 {
			t.Errorf("alone in its bond: %v, want 16 kW", got)
		}
	}
	both := []Machine{{ID: "a", Count: 1, Apart: "x", InOrder: "y"}}
	y := model(t, []Calendar{Always()}).Year
	if _, err := NewModel(y, both); err == nil || !strings.Contains(err.Error(), `machine "a": both apart`) {
		t.Errorf("%v", err)
	}
	var calendars []Calendar
	var many []Machine
	for i := range 7 {
		calendars = append(calendars, Always())
		many = append(many, Machine{Calendar: i, Count: 1, Apart: "x", Modes: []Mode{{0.1, Power{P: 1}}}})
	}
	wide, err := Fold(grid(t, 2031, "UTC", 15), calendars, nil)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := NewModel(wide, many); err == nil || !strings.Contains(err.Error(), "have 7 calendars: 6 at most") {
		t.Errorf("%v", err)
	}
}

// TestStartOrder: three ovens that heat at full power for half an hour after
// the calendar opens, then hold. Started together their heating adds up, one
// after another it does not; a simulation of the day minute by minute agrees.
func TestStartOrder(t *testing.T) {
	const heating, holding, half = 20000.0, 6000.0, 30
	shift := weekly(t, "Mon-Fri", "06:00-14:00")
	for _, c := range []struct{ apart, want int }{{0, 60000}, {30, 32000}, {20, 0}} {
		var calendars []Calendar
		var machines []Machine
		for i := range 3 {
			warm, hold := shift, shift
			warm.Delay, warm.Lasting = i*c.apart, half
			hold.Delay = i*c.apart + half
			calendars = append(calendars, warm, hold)
			machines = append(machines,
				Machine{ID: "warm", Calendar: 2 * i, Count: 1, Modes: []Mode{{1, Power{P: heating}}}},
				Machine{ID: "hold", Calendar: 2*i + 1, Count: 1, Modes: []Mode{{1, Power{P: holding}}}})
		}
		m := model(t, calendars, machines...)
		var minute [1440]float64
		for i := range 3 {
			for at := 6*60 + i*c.apart; at < 14*60; at++ {
				minute[at] += holding
				if at < 6*60+i*c.apart+half {
					minute[at] += heating - holding
				}
			}
		}
		most, energy := 0.0, 0.0
		for w := 0; w < 1440; w += 15 {
			sum := 0.0
			for _, p := range minute[w : w+15] {
				sum += p
			}
			most, energy = max(most, sum/15), energy+sum/60
		}
		got, _ := m.Demand(time.June, AllSlots, Active)
		if math.Abs(got.Mean-most) > 1e-6 || c.want > 0 && math.Abs(most-float64(c.want)) > 1e-6 {
			t.Errorf("%d min apart: %v W, simulated %v W, by hand %d W", c.apart, got.Mean, most, c.want)
		}
		if e := float64(m.Energy(time.June, AllSlots)); !near(e, 21*energy) {
			t.Errorf("%d min apart: %v Wh, simulated %v Wh", c.apart, e, 21*energy)
		}
	}
}
