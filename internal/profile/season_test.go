package profile

import (
	"math"
	"testing"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/quantity"
)

// Weights of a duty by degree-hours, by hand: half the duty goes with the
// weather, one month in four is twice as warm as the mean of the four.
func TestDutyByDegreeHours(t *testing.T) {
	var table [12]float64
	var hours [12]quantity.Hours
	for i := range 4 {
		hours[i] = 100
	}
	table[0], table[1], table[2], table[3] = 200, 100, 100, 0
	got := DutyByDegreeHours(table, hours, 0.5)
	for i, want := range []float64{1.5, 1, 1, 0.5} {
		if math.Abs(got[i]-want) > 1e-12 {
			t.Errorf("month %d: %g, want %g", i+1, got[i], want)
		}
	}
	if got[5] != 1 {
		t.Errorf("a month without hours: %g", got[5])
	}
}

// Hours of a year by hand: 22 days a month of 8 h are 2,112 h; three shifts of
// 8 h from Monday to Friday are 24 h on each of the 261 such days of 2031.
func TestCalendarsOfProductionAndShifts(t *testing.T) {
	var p civil.Production
	var s civil.Shifts
	for text, into := range map[string]interface{ UnmarshalText([]byte) error }{"22 days a month, 8 h a day": &p, "3 shifts of 8 h from 06:00": &s} {
		if err := into.UnmarshalText([]byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	produced, shifts := Calendar{Production: &p}, Calendar{}
	for _, d := range []time.Weekday{time.Monday, time.Tuesday, time.Wednesday, time.Thursday, time.Friday} {
		shifts.Shifts[d] = []civil.Shifts{s}
	}
	y, err := Fold(Grid{Year: 2031, Zone: time.UTC, Step: 15}, []Calendar{produced, shifts}, func(civil.Date, int) int { return 0 })
	if err != nil {
		t.Fatal(err)
	}
	if got := y.Open(0, 0, AllSlots); got != 12*22*8 {
		t.Errorf("production: %g h", float64(got))
	}
	if got := y.Open(1, 0, AllSlots); got != 261*24 {
		t.Errorf("shifts: %g h", float64(got))
	}
}

// weather is a table of weights with two months alike.
var weather = [12]float64{0.5, 0.5, 0.6, 0.8, 1.1, 1.4, 1.6, 1.6, 1.3, 0.9, 0.6, 0.5}

// TestMonthsAgainstPlainModels: each month of a model whose duty goes with the
// weather is that of a plain model with the month's duty; the year is their sum.
func TestMonthsAgainstPlainModels(t *testing.T) {
	machines := plantMachines()
	machines[7].Months, machines[6].Months = weather, weather
	m := model(t, siteCalendars(t), machines...)
	var energy, chiller, levels float64
	highest := 0.0
	for month := time.January; month <= time.December; month++ {
		plain := plantMachines()
		for _, i := range []int{6, 7} {
			plain[i].Modes[0].Share = min(1, weather[month-1]*plain[i].Modes[0].Share)
		}
		p := model(t, siteCalendars(t), plain...)
		if a, b := m.Energy(month, AllSlots), p.Energy(month, AllSlots); !near(float64(a), float64(b)) {
			t.Errorf("%s: %v Wh, plain %v Wh", month, a, b)
		}
		for unit := range units {
			a, _ := m.Demand(month, SlotsOf(1, 2), unit)
			b, _ := p.Demand(month, SlotsOf(1, 2), unit)
			if math.Abs(a.Mean-b.Mean) > 1e-9*b.Mean {
				t.Errorf("%s unit %d: %v, plain %v", month, unit, a, b)
			}
		}
		a, _ := m.Coincidence(month, AllSlots, Active)
		b, _ := p.Coincidence(month, AllSlots, Active)
		if !near(float64(a.Machines[7]), float64(b.Machines[7])) {
			t.Errorf("%s: chiller %v W at the maximum, plain %v W", month, a.Machines[7], b.Machines[7])
		}
		x, _ := m.MachineMean(7, month, 0, 12)
		y, _ := p.MachineMean(7, month, 0, 12)
		if !near(float64(x.P), float64(y.P)) {
			t.Errorf("%s: mean %v W, plain %v W", month, x, y)
		}
		energy += float64(p.Energy(month, AllSlots))
		chiller += float64(p.MachineEnergy(7, month, AllSlots))
		peak, _ := p.Demand(month, AllSlots, Active)
		highest = max(highest, peak.Mean)
	}
	for _, l := range m.Levels(0, AllSlots) {
		levels += float64(l.Power.P) * float64(l.Time)
	}
	if !near(float64(m.Energy(0, AllSlots)), energy) || !near(float64(m.MachineEnergy(7, 0, AllSlots)), chiller) || !near(levels, energy) {
		t.Errorf("year %v, chiller %v, curve %v; months sum to %v and %v", m.Energy(0, AllSlots), m.MachineEnergy(7, 0, AllSlots), levels, energy, chiller)
	}
	year, _ := m.Demand(0, AllSlots, Active)
	meeting, _ := m.Coincidence(0, AllSlots, Active)
	sum := 0.0
	for _, p := range meeting.Machines {
		sum += float64(p)
	}
	if year.Mean < highest || year.Mean > 1.05*highest || meeting.Peak != year || !near(sum, year.Mean) {
		t.Errorf("year %v, highest month %v; parts sum to %v of %v", year, highest, sum, meeting.Peak)
	}
}

// TestMonthsAlike: weights of 1 change nothing.
func TestMonthsAlike(t *testing.T) {
	machines := plantMachines()
	p := model(t, siteCalendars(t), machines...)
	for i := range machines[7].Months {
		machines[7].Months[i] = 1
	}
	m := model(t, siteCalendars(t), machines...)
	for _, month := range []time.Month{0, 3} {
		a, _ := m.Demand(month, AllSlots, Apparent)
		b, _ := p.Demand(month, AllSlots, Apparent)
		if !near(a.Mean, b.Mean) || !near(float64(m.Energy(month, AllSlots)), float64(p.Energy(month, AllSlots))) {
			t.Errorf("month %d: %v, plain %v", month, a, b)
		}
	}
	machines[7].Months[3] = -1
	if err := m.Set(machines); err == nil {
		t.Error("a negative weight is taken")
	}
}

// TestSunCalendarAgainstMinutes: what dark and light hold between them is the
// year, and a calendar that goes with the sun is on where it says so, where
// clocks change too.
func TestSunCalendarAgainstMinutes(t *testing.T) {
	dark, light := Calendar{}, Calendar{}
	for d := range dark.Sun {
		dark.Sun[d] = text[civil.SunSpan](t, "sunset to sunrise")
		light.Sun[d] = text[civil.SunSpan](t, "sunrise to sunset")
	}
	dark.Place = text[civil.Place](t, "53.35 ° N 6.26 ° W")[0]
	light.Place = dark.Place
	g := grid(t, 2031, "Europe/Dublin", 15)
	y, err := Fold(g, []Calendar{dark, light}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if sum := y.Open(0, 0, AllSlots) + y.Open(1, 0, AllSlots); math.Abs(float64(sum)-8760) > 0.1 {
		t.Errorf("dark and light hold %v h", sum)
	}
	// Street lighting burns for 4,100 to 4,380 h a year from dusk to dawn.
	if h := y.Open(0, 0, AllSlots); h < 4100 || h > 4380 {
		t.Errorf("dark for %v h", h)
	}
	dark.Zone = g.Zone
	minutes := 0
	end := time.Date(2031, time.April, 1, 0, 0, 0, 0, g.Zone)
	for at := time.Date(2031, time.March, 1, 0, 0, 0, 0, g.Zone); at.Before(end); at = at.Add(time.Minute) {
		year, month, day := at.Date()
		if dark.On(civil.Date{Year: year, Month: month, Day: day}, at.Hour()*60+at.Minute()) {
			minutes++
		}
	}
	if got := y.Open(0, time.March, AllSlots); !near(float64(got), float64(minutes)/60) {
		t.Errorf("March: %v h, minute by minute %v h", got, float64(minutes)/60)
	}
}
