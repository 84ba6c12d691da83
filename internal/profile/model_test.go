package profile

import (
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

func TestFoldRefuses(t *testing.T) {
	g := grid(t, 2031, "UTC", 15)
	odd, kinds, nowhere := g, g, g
	odd.Step, nowhere.Zone = 7, nil
	kinds.Kinds = DayKinds{Names: []string{"day"}, Of: func(civil.Date) int { return 1 }}
	for _, c := range []struct {
		grid      Grid
		calendars int
		slot      int
		want      string
	}{
		{g, 65, 0, "65 calendars: a year holds 64 at most"},
		{g, 1, 64, "slot 64 is outside 0 to 63"},
		{g, 1, -1, "slot -1 is outside 0 to 63"},
		{odd, 1, 0, "a demand window of 7 minutes"},
		{kinds, 1, 0, "kind of day 1 is none of the 1 named"},
		{nowhere, 1, 0, "has no time zone"},
	} {
		_, err := Fold(c.grid, make([]Calendar, c.calendars), func(civil.Date, int) int { return c.slot })
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
	if _, err := NewGrid(2031, "Local", 15); err == nil {
		t.Error("the machine's own zone was taken")
	}
	calendars := make([]Calendar, MaxCalendars)
	for i := range calendars {
		calendars[i] = Always()
	}
	y, err := Fold(g, calendars, nil)
	if err != nil || y.AlwaysOn() != ^Set(0) || y.Open(63, 2, AllSlots) != 672 {
		t.Errorf("64 calendars: %v", err)
	}
}

func TestSetRefuses(t *testing.T) {
	m := model(t, siteCalendars(t), siteMachines()...)
	before := m.Energy(0, AllSlots)
	for _, c := range []struct {
		machine Machine
		want    string
	}{
		{Machine{ID: "a", Calendar: 4}, `machine "a": calendar 4 is none of the 4 folded`},
		{Machine{ID: "a", Calendar: -1}, "calendar -1"},
		{Machine{ID: "a", Count: -1}, "count -1 is not zero or more"},
		{Machine{ID: "a", Count: math.NaN()}, "count NaN"},
		{Machine{ID: "a", Cycle: -1}, "cycle -1 h"},
		{Machine{ID: "a", Modes: []Mode{{1.2, Power{}}}}, "share 1.2 of mode 1 is outside 0 to 1"},
		{Machine{ID: "a", Modes: []Mode{{0.7, Power{}}, {0.5, Power{}}}}, "sum to 1.2, above 1"},
		{Machine{ID: "a", Modes: []Mode{{1, Power{P: quantity.Watts(math.Inf(1))}}}}, "power of mode 1 is not a number"},
		{Machine{ID: "a", Standby: Power{Q: quantity.Vars(math.NaN())}}, "on standby is not a number"},
	} {
		if err := m.Set([]Machine{c.machine}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
	if m.Energy(0, AllSlots) != before || m.Machines() != len(siteMachines()) {
		t.Error("a refused machine changed the model")
	}
}

// TestSetAgain: a model that held other machines, and answered other questions
// before, gives what a new one gives.
func TestSetAgain(t *testing.T) {
	machines := siteMachines()
	m, used := model(t, siteCalendars(t), machines...), model(t, siteCalendars(t), machinesOf(60)...)
	used.Demand(0, AllSlots, Apparent)
	used.Coincidence(3, AllSlots, Active)
	if err := used.Set(machines); err != nil {
		t.Fatal(err)
	}
	for _, unit := range []Unit{Reactive, Active, Apparent} {
		for month := time.Month(0); month <= 12; month++ {
			a, _ := m.Demand(month, SlotsOf(1, 2), unit)
			b, _ := used.Demand(month, SlotsOf(1, 2), unit)
			if a != b {
				t.Errorf("month %d unit %d: new %v, used %v", month, unit, a, b)
			}
		}
	}
	a, _ := m.Coincidence(0, AllSlots, Apparent)
	b, _ := used.Coincidence(0, AllSlots, Apparent)
	if !reflect.DeepEqual(a, b) {
		t.Errorf("new %+v, used %+v", a, b)
	}
	// The model keeps a copy of the modes.
	before := used.Energy(0, AllSlots)
	machines[0].Modes[0].P *= 2
	if err := used.Set(used.machines); err != nil || used.Energy(0, AllSlots) != before {
		t.Errorf("a change outside reached the model: %v", err)
	}
}

// TestAtoms: for any ratio of window to cycle the mean is the mean power, and
// the distribution is that of windows laid at random on the cycle.
func TestAtoms(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 40 {
		a := Machine{ID: "a", Count: 1, Cycle: quantity.Hours(0.02 + r.Float64()), Idle: Power{200, 100},
			Modes: []Mode{{0.5 * r.Float64(), Power{5000, 3000}}, {0.4 * r.Float64(), Power{2000, -700}}}}
		var mean, variance, share float64
		atoms := a.atoms(0.25)
		for _, x := range atoms {
			mean += x.p * x.watts
			share += x.p
		}
		for _, x := range atoms {
			variance += x.p * (x.watts - mean) * (x.watts - mean)
		}
		s := simulation{r, nil, 0.25}
		const draws = 20000
		sum, squares := 0.0, 0.0
		for range draws {
			p, _ := s.power(&a, true)
			sum += p / draws
			squares += p * p / draws
		}
		deviation := math.Sqrt(squares - sum*sum)
		if !near(share, 1) || !near(mean, float64(a.On().P)) {
			t.Errorf("cycle %v h: probabilities sum to %v, mean %v, want %v", a.Cycle, share, mean, a.On().P)
		}
		if math.Abs(math.Sqrt(variance)-deviation) > 4*deviation/math.Sqrt(draws)+1e-6 {
			t.Errorf("cycle %v h: deviation %v, simulated %v", a.Cycle, math.Sqrt(variance), deviation)
		}
	}
}

// TestDemandOfManySmall: many machines below a step of the grid beside a large
// one keep the width of their sum.
func TestDemandOfManySmall(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	machines := []Machine{{ID: "large", Count: 1, Modes: []Mode{{0.3, Power{40000, 9000}}}}}
	for range 800 {
		machines = append(machines, Machine{Count: 1, Modes: []Mode{{0.5, Power{P: quantity.Watts(20 + 60*r.Float64())}}}})
	}
	m := model(t, []Calendar{Always()}, machines...)
	s := simulation{r, machines, 0.25}
	windows, months := int(4*m.Year.Hours(time.October, SlotsOf(2))), 60
	sum, squares := 0.0, 0.0
	for range months {
		most := 0.0
		for range windows {
			p, _ := s.site(1)
			most = max(most, p)
		}
		sum += most / float64(months)
		squares += most * most / float64(months)
	}
	deviation := math.Sqrt(squares - sum*sum)
	got, _ := m.Demand(time.October, SlotsOf(2), Active)
	t.Logf("%.0f ± %.0f W, simulated %.0f ± %.0f W", got.Mean, got.Deviation, sum, deviation)
	if math.Abs(got.Mean-sum) > 4*deviation/math.Sqrt(float64(months))+0.002*sum {
		t.Error("differs by more than the simulation's error")
	}
}

// TestDemandOfGenerators: power given back lowers demand and is not lost when
// every power is negative.
func TestDemandOfGenerators(t *testing.T) {
	m := model(t, []Calendar{Always()},
		Machine{Count: 1, Modes: []Mode{{1, Power{P: -8000}}}},
		Machine{Count: 1, Modes: []Mode{{0.5, Power{P: 3000}}}, Idle: Power{P: 1000}})
	if got, _ := m.Demand(7, AllSlots, Active); math.Abs(got.Mean+5000) > 1e-6 {
		t.Errorf("%v", got)
	}
}

// TestTextsHoldTheirSymbols: the identifiers on the right side of a formula's
// text are its arguments.
func TestTextsHoldTheirSymbols(t *testing.T) {
	for _, f := range working.Formulas() {
		_, right, _ := strings.Cut(f.Text, " = ")
		right = strings.NewReplacer("sqrt(", " ", "sum(", " ", "(", " ", ")", " ", "^", " ", "*", " ", "/", " ", "+", " ", "-", " ").Replace(right)
		found := map[string]bool{}
		for _, word := range strings.Fields(right) {
			if word[0] > '9' {
				found[word] = true
			}
		}
		for _, s := range f.Symbols {
			if !found[s] {
				t.Errorf("%q: %q has no %s", f.Name, f.Text, s)
			}
			delete(found, s)
		}
		if len(found) > 0 || f.Source == "" {
			t.Errorf("%q: %q has %v besides its symbols; source %q", f.Name, f.Text, found, f.Source)
		}
	}
}
