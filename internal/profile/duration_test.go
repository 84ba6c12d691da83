package profile

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// TestFactorsByHand: 40 kW always, 60 kW on weekdays from 08:00 to 18:00 in a
// month of 30 days with 22 weekdays: mean 58.33 kW, load factor 0.5833, 420 h of
// use; each machine at its highest at once. A third machine of 50 kW at night
// never meets the second: coincidence 100/150.
func TestFactorsByHand(t *testing.T) {
	day, night := weekly(t, "Mon-Fri", "08:00-18:00"), weekly(t, "Mon-Fri", "20:00-22:00")
	machines := []Machine{
		{ID: "base", Calendar: 0, Count: 1, Modes: []Mode{{1, Power{P: 40000}}}},
		{ID: "day", Calendar: 1, Count: 1, Modes: []Mode{{1, Power{P: 60000}}}},
	}
	calendars := []Calendar{Always(), day, night}
	m := model(t, calendars, machines...)
	f, ok := m.Factors(time.April, AllSlots)
	if !ok || f.Highest.Mean != 100000 || math.Abs(float64(f.Mean)-58333.33) > 0.01 || math.Abs(float64(f.Load)-0.583333) > 1e-6 ||
		math.Abs(float64(f.Use)-420) > 1e-9 || f.Coincidence != 1 || f.Diversity != 1 || f.Demand != 1 || f.Base != 40000 || f.Floor != 40000 {
		t.Errorf("%+v", f)
	}
	m = model(t, calendars, append(machines, Machine{ID: "night", Calendar: 2, Count: 1, Modes: []Mode{{1, Power{P: 50000}}}})...)
	f, _ = m.Factors(time.April, AllSlots)
	if f.Apart != 150000 || math.Abs(float64(f.Coincidence)-2.0/3) > 1e-12 || math.Abs(float64(f.Diversity)-1.5) > 1e-12 {
		t.Errorf("%+v", f)
	}
	// 220 h at 100 kW, 44 h at 90 kW, 456 h at 40 kW.
	curve := m.Duration(time.April, AllSlots, Active, 720)
	for hour, want := range map[int]float64{0: 100000, 220: 100000, 221: 90000, 264: 90000, 265: 40000, 720: 40000} {
		if got := curve[hour]; got.Demand != want || math.Abs(float64(got.Time)-float64(hour)) > 1e-9 {
			t.Errorf("hour %d: %+v, want %v W", hour, got, want)
		}
	}
	if _, ok := m.Factors(time.April, SlotsOf(9)); ok || m.Duration(time.April, SlotsOf(9), Active, 10) != nil || m.Duration(0, AllSlots, Active, 0) != nil {
		t.Error("factors of no time")
	}
	off := model(t, calendars, Machine{Count: 1, Modes: []Mode{{1, Power{P: -5}}}})
	if _, ok := off.Factors(0, AllSlots); ok {
		t.Error("factors of a generator")
	}
}

// TestDurationHoldsTheEnergy: the curve's area is the energy, its ends are
// within the naive answers, and it falls.
func TestDurationHoldsTheEnergy(t *testing.T) {
	m := model(t, siteCalendars(t), plantMachines()...)
	for month := time.Month(0); month <= 12; month++ {
		held, hours := m.held(month, SlotsOf(1, 2), Active)
		sum := 0.0
		for _, h := range held {
			sum += h.demand * h.hours
		}
		// Windows that a slot ends in belong to the slot that they begin in:
		// here slots end with windows.
		if want := float64(m.Energy(month, SlotsOf(1, 2))); math.Abs(sum-want) > 1e-6*want || !near(hours, float64(m.Year.Hours(month, SlotsOf(1, 2)))) {
			t.Errorf("month %d: %v Wh in %v h, energy is %v", month, sum, hours, want)
		}
		curve := m.Duration(month, SlotsOf(1, 2), Active, 100)
		for k := 1; k < len(curve); k++ {
			if curve[k].Demand > curve[k-1].Demand {
				t.Errorf("month %d: the curve rises at %d %%", month, k)
			}
		}
		f, _ := m.Factors(month, SlotsOf(1, 2))
		if !(f.Coincidence > 0.3 && f.Coincidence < 0.95) || f.Highest.Mean > float64(f.Apart) || float64(f.Apart) > float64(f.All)+1 || !(f.Base <= f.Mean) {
			t.Errorf("month %d: %+v", month, f)
		}
	}
}

// TestDurationAgainstSimulation: quantiles of the curve are those of windows
// drawn one by one.
func TestDurationAgainstSimulation(t *testing.T) {
	calendars, machines := siteCalendars(t), siteMachines()
	m := model(t, calendars, machines...)
	s := simulation{rand.New(rand.NewPCG(3, 1)), machines, 0.25}
	var drawn []float64
	for _, at := range expand(m.Year.Grid, calendars, threeSlots) {
		if at.day.Month == time.May && at.minute%15 == 0 {
			for range 20 {
				p, _ := s.site(at.on)
				drawn = append(drawn, p)
			}
		}
	}
	slices.Sort(drawn)
	curve := m.Duration(time.May, AllSlots, Active, 20)
	for k := 1; k < 20; k++ {
		// Windows that straddle a change of the calendar are simulated as if
		// they were whole: the rank may be off by their share, under 1 %.
		rank := func(share float64) float64 { return drawn[int((1-share)*float64(len(drawn)-1))] }
		low, high := rank(min(curve[k].share()+0.012, 1)), rank(max(curve[k].share()-0.012, 0))
		if got := curve[k].Demand; got < low-50 || got > high+50 {
			t.Errorf("%d %%: %.0f W, simulated %.0f to %.0f W", 5*k, got, low, high)
		}
	}
}

func (e Exceeded) share() float64 { return float64(e.Share) }
