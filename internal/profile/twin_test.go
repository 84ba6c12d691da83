package profile

import (
	"math"
	"testing"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/quantity"
)

// text reads any of the civil types from what a person would type.
func text[T any, P interface {
	*T
	UnmarshalText([]byte) error
}](t testing.TB, typed ...string) []T {
	t.Helper()
	out := make([]T, len(typed))
	for i, s := range typed {
		if err := P(&out[i]).UnmarshalText([]byte(s)); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// weekly makes a calendar from days and their spans, in turn.
func weekly(t testing.TB, pairs ...string) Calendar {
	t.Helper()
	var c Calendar
	for i := 0; i < len(pairs); i += 2 {
		days := text[civil.Weekdays](t, pairs[i])[0]
		for d := range c.Hours {
			if days[d] {
				c.Hours[d] = append(c.Hours[d], text[civil.Span](t, pairs[i+1])...)
			}
		}
	}
	return c
}

func grid(t testing.TB, year int, zone string, step int) Grid {
	t.Helper()
	g, err := NewGrid(year, zone, step)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// siteCalendars is a set of calendars with everything that calendars can have.
func siteCalendars(t testing.TB) []Calendar {
	production := weekly(t, "Mon-Fri", "06:00-18:00", "Sat", "06:00-10:00", "Sat", "14:00-16:00")
	production.Holidays = text[civil.Holiday](t, "1 Jan", "2031-04-14", "25 Dec", "26 Dec")
	production.Shutdowns = text[civil.Days](t, "2031-08-04 to 2031-08-15")
	nights := weekly(t, "Sun-Thu", "21:50-05:40")
	nights.Holidays = production.Holidays
	nights.HolidayHours = text[civil.Span](t, "23:00-02:00")
	heating := weekly(t, "Mon-Sun", "05:30-08:00", "Mon-Sun", "16:00-22:00")
	heating.Season = &text[civil.Season](t, "15 Oct to 31 Mar")[0]
	return []Calendar{Always(), production, nights, heating}
}

// threeSlots has a night, a day and a working-day peak slot.
func threeSlots(day civil.Date, minute int) int {
	switch {
	case minute < 7*60 || minute >= 23*60:
		return 0
	case day.Weekday() != time.Saturday && day.Weekday() != time.Sunday && minute >= 17*60 && minute < 19*60+30:
		return 2
	}
	return 1
}

func siteMachines() []Machine {
	return []Machine{
		{ID: "base", Calendar: 0, Count: 1, Modes: []Mode{{1, Power{1800, 300}}}},
		{ID: "cold", Calendar: 0, Count: 4, Cycle: 1.0 / 3, Modes: []Mode{{0.6, Power{2300, 1500}}}, Idle: Power{90, 10}},
		{ID: "freezer", Calendar: 0, Count: 1, Cycle: 1.5, Modes: []Mode{{0.4, Power{5200, 3100}}}},
		{ID: "compressor", Calendar: 1, Count: 2, Cycle: 0.1, Modes: []Mode{{0.62, Power{37000, 21000}}}, Idle: Power{11100, 9000}, Standby: Power{120, 40}},
		{ID: "oven", Calendar: 1, Count: 3, Modes: []Mode{{0.35, Power{22000, 200}}, {0.5, Power{8000, 100}}}, Standby: Power{60, -20}},
		{ID: "lights", Calendar: 1, Count: 40, Modes: []Mode{{1, Power{58, -6}}}},
		{ID: "cleaning", Calendar: 2, Count: 1, Modes: []Mode{{0.9, Power{9000, 5000}}}, Idle: Power{700, 500}},
		{ID: "heaters", Calendar: 3, Count: 5, Cycle: 0.5, Modes: []Mode{{0.55, Power{3000, 0}}}},
	}
}

// minuteOf is one real minute of the expanded year.
type minuteOf struct {
	day          civil.Date
	minute, slot int
	on           Set
}

// expand lists every real minute of a year, asking the calendars and the
// tariff about each: the slow way that Fold must agree with.
func expand(g Grid, calendars []Calendar, slotAt func(civil.Date, int) int) []minuteOf {
	var out []minuteOf
	end := time.Date(g.Year+1, 1, 1, 0, 0, 0, 0, g.Zone)
	for t := time.Date(g.Year, 1, 1, 0, 0, 0, 0, g.Zone); t.Before(end); t = t.Add(time.Minute) {
		y, mo, d := t.Date()
		m := minuteOf{day: civil.Date{Year: y, Month: mo, Day: d}, minute: t.Hour()*60 + t.Minute()}
		m.slot = slotAt(m.day, m.minute)
		for i, c := range calendars {
			if c.On(m.day, m.minute) {
				m.on |= 1 << i
			}
		}
		out = append(out, m)
	}
	return out
}

// near tells whether two figures are equal but for the order of their sums.
func near(a, b float64) bool { return math.Abs(a-b) <= 1e-9*max(math.Abs(a), math.Abs(b), 1) }

// TestFoldAgainstExpansion compares states, cells and energies with the
// expanded year, minute by minute, in three zones: one where clocks change at
// night, one where they do not, one where they change at midnight.
func TestFoldAgainstExpansion(t *testing.T) {
	for _, zone := range []string{"Europe/Dublin", "Asia/Kolkata", "America/Santiago"} {
		t.Run(zone, func(t *testing.T) {
			g, calendars := grid(t, 2031, zone, 15), siteCalendars(t)
			minutes := expand(g, calendars, threeSlots)
			y, err := Fold(g, calendars, threeSlots)
			if err != nil {
				t.Fatal(err)
			}
			compareStates(t, y, minutes)
			compareEnergy(t, y, minutes)
		})
	}
}

func compareStates(t *testing.T, y *Year, minutes []minuteOf) {
	states, cells := map[State]int{}, map[Cell]int{}
	for _, m := range minutes {
		states[State{Month: m.day.Month, Slot: m.slot, On: m.on}]++
		cells[Cell{Month: m.day.Month, Kind: y.Grid.Kinds.Of(m.day), Hour: m.minute / 60, Slot: m.slot, On: m.on}]++
	}
	if len(states) != len(y.States) || len(cells) != len(y.Cells) {
		t.Fatalf("%d states and %d cells, expanded %d and %d", len(y.States), len(y.Cells), len(states), len(cells))
	}
	for _, s := range y.States {
		if want := states[State{Month: s.Month, Slot: s.Slot, On: s.On}]; s.Minutes != want {
			t.Errorf("state %+v: expanded %d minutes", s, want)
		}
	}
	for _, c := range y.Cells {
		if want := cells[Cell{Month: c.Month, Kind: c.Kind, Hour: c.Hour, Slot: c.Slot, On: c.On}]; c.Minutes != want {
			t.Errorf("cell %+v: expanded %d minutes", c, want)
		}
	}
}

func compareEnergy(t *testing.T, y *Year, minutes []minuteOf) {
	machines := siteMachines()
	m, err := NewModel(y, machines)
	if err != nil {
		t.Fatal(err)
	}
	type key struct{ month, slot, machine int }
	wh, varh := map[key]float64{}, map[key]float64{}
	for _, at := range minutes {
		for i, a := range machines {
			p := a.Standby
			if at.on.Has(a.Calendar) {
				p = a.On()
			}
			k := key{int(at.day.Month), at.slot, i}
			wh[k] += a.Count * float64(p.P) / 60
			varh[k] += a.Count * float64(p.Q) / 60
		}
	}
	for month := time.January; month <= time.December; month++ {
		for slot := range 3 {
			sumP, sumQ := 0.0, 0.0
			for i := range machines {
				k := key{int(month), slot, i}
				if got := float64(m.MachineEnergy(i, month, SlotsOf(slot))); !near(got, wh[k]) {
					t.Errorf("%s slot %d %s: %v Wh, expanded %v", month, slot, machines[i].ID, got, wh[k])
				}
				if got := float64(m.MachineReactive(i, month, SlotsOf(slot))); !near(got, varh[k]) {
					t.Errorf("%s slot %d %s: %v varh, expanded %v", month, slot, machines[i].ID, got, varh[k])
				}
				sumP, sumQ = sumP+wh[k], sumQ+varh[k]
			}
			if got := float64(m.Energy(month, SlotsOf(slot))); !near(got, sumP) {
				t.Errorf("%s slot %d: %v Wh, expanded %v", month, slot, got, sumP)
			}
			if got := float64(m.Reactive(month, SlotsOf(slot))); !near(got, sumQ) {
				t.Errorf("%s slot %d: %v varh, expanded %v", month, slot, got, sumQ)
			}
		}
	}
	var year quantity.WattHours
	for month := time.January; month <= time.December; month++ {
		year += m.Energy(month, AllSlots)
	}
	if !near(float64(year), float64(m.Energy(0, AllSlots))) {
		t.Errorf("the months sum to %v, the year is %v", year, m.Energy(0, AllSlots))
	}
	lag, lead := m.ReactiveParts(0, AllSlots)
	if !near(float64(lag-lead), float64(m.Reactive(0, AllSlots))) || lead < 0 {
		t.Errorf("lagging %v less leading %v is not %v", lag, lead, m.Reactive(0, AllSlots))
	}
	compareMeans(t, m)
}

// compareMeans holds the mean day against the energies: power by hour times
// the time of that hour is the energy.
func compareMeans(t *testing.T, m *Model) {
	for month := time.Month(0); month <= 12; month++ {
		sum, single := 0.0, 0.0
		for kind := range m.Year.Grid.Kinds.Names {
			for hour := range 24 {
				p, ok := m.Mean(month, kind, hour)
				if !ok {
					t.Fatalf("month %d has no hour %d on a %s", month, hour, m.Year.Grid.Kinds.Names[kind])
				}
				o, _ := m.Year.hourOf(month, kind, hour)
				sum += float64(p.P) * o.minutes / 60
				for i := range m.Machines() {
					p, _ := m.MachineMean(i, month, kind, hour)
					single += float64(p.P) * o.minutes / 60
				}
			}
		}
		if want := float64(m.Energy(month, AllSlots)); !near(sum, want) || !near(single, want) {
			t.Errorf("month %d: mean day gives %v Wh, machines %v, energy is %v", month, sum, single, want)
		}
		sum = 0
		for _, l := range m.Levels(month, AllSlots) {
			sum += float64(l.Power.P) * float64(l.Time)
		}
		if want := float64(m.Energy(month, AllSlots)); !near(sum, want) {
			t.Errorf("month %d: load-duration curve holds %v Wh, energy is %v", month, sum, want)
		}
	}
}
