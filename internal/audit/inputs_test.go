package audit

import (
	"fmt"
	"math"
	"testing"
)

// Energies by hand of loads that were counted, paced out, or follow the weather;
// 2088 h as in weekdays.
func TestEnergyOfCountedLoads(t *testing.T) {
	for _, c := range []struct {
		name, load, more string
		kwh, running     float64
	}{
		{"lamps with their drivers", "lamps: {number: 24, each: 36 W}, runs: {calendar: shift}", "", 0.864 * 2088, 864},
		{"lamps with ballasts", "lamps: {number: 24, each: 36 W, ballast: 4..6..8 W}, runs: {calendar: shift}", "", 24 * 0.042 * 2088, 24 * 42},
		{"lamps counted roughly", "lamps: {number: 20..24..28, each: 36 W, ballast: 6 W}, runs: {calendar: shift, duty: 50 %}", "", 24 * 0.042 * 2088 * 0.5, 24 * 42},
		{"two rooms of lamps", "lamps: {number: 10, each: 58 W}, runs: {calendar: shift, count: 2}", "", 2 * 0.58 * 2088, 580},
		{"by area", "per-area: {area: 320 m², power: 8..10..12 W/m²}, runs: {calendar: shift}", "", 3.2 * 2088, 3200},
		// 1 ft² is 0.09290304 m² (NIST SP 811, appendix B.8): 1000 ft² at 1 W/ft².
		{"by area in feet", "per-area: {area: 1000 ft², power: 1.0 W/ft²}, runs: {calendar: shift}", "", 1.0 * 2088, 1000},
		{"standby beside lamps", "lamps: {number: 24, each: 36 W}, standby: 12 W, runs: {calendar: shift}", "", 0.864*2088 + 0.012*(8760-2088), 864},
		{"duty that follows the weather keeps its year", "power: 1 kW, runs: {calendar: always, duty: 10 %, follows: cold, base: 20..30..40 %}", cold, 0.1 * 8760, 1000},
		{"on a calendar", "power: 1 kW, standby: 10 W, runs: {calendar: shift, duty: 10 %, follows: cold, base: 0 %}", cold, 0.1*2088 + 0.01*(8760-2088), 1000},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := small{calendars: weekdays, more: c.more, loads: "  - {id: it, name: It, at: DB1-1, use: work, " + c.load + "}"}.run(t)
			nearly(t, "energy", r.Energy.Value, c.kwh, 1e-9)
			nearly(t, "running power", r.Loads[0].Running.V, c.running, 1e-9)
			sum := 0.0
			for i, m := range r.Months {
				sum += m.Energy.Value
				st, _ := r.Sheet.Get(m.Energy.Step)
				nearly(t, "working of "+MonthName(nil, i), st.Value/1e3, m.Energy.Value, 1e-9)
			}
			nearly(t, "months", sum, c.kwh, 1e-9)
			if err := r.Sheet.Replay(); err != nil {
				t.Error(err)
			}
		})
	}
}

// cold asks for heat in January and December alone, as much in each.
const cold = "weather: {cold: {degree-hours: 100 0 0 0 0 0 0 0 0 0 0 100 K h, source: invented}}\n"

// TestDutyByMonths: half the duty is base. Of the other half all falls to
// January and December, 744 of 8760 h each: 0.5 + 0.5·(100/744)/(200/8760).
func TestDutyByMonths(t *testing.T) {
	const load = "  - {id: it, name: It, at: DB1-1, use: heat, power: 1 kW, runs: {calendar: always, duty: %s, follows: cold, base: 50 %%}}"
	winter := 0.5 + 0.5*(100.0/744)/(200.0/8760)
	r := small{more: cold, loads: fmt.Sprintf(load, "20 %")}.run(t)
	nearly(t, "January", r.Months[0].Energy.Value, 744*0.2*winter, 1e-9)
	nearly(t, "June", r.Months[5].Energy.Value, 720*0.2*0.5, 1e-9)
	nearly(t, "year", r.Energy.Value, 8760*0.2, 1e-9)
	// At 60 % January would need 60 % × 3.44: it runs all the time, and no more.
	r = small{more: cold, loads: fmt.Sprintf(load, "60 %")}.run(t)
	nearly(t, "January, full", r.Months[0].Energy.Value, 744, 1e-9)
	nearly(t, "June at half", r.Months[5].Energy.Value, 720*0.6*0.5, 1e-9)
	nearly(t, "year", r.Energy.Value, 2*744+(8760-2*744)*0.6*0.5, 1e-9)
	nearly(t, "load", r.Loads[0].Energy.Value, r.Energy.Value, 1e-9)
	if err := r.Sheet.Replay(); err != nil {
		t.Error(err)
	}
}

// TestGrowth: 10 % a year over the time from 2 July two years before to the
// middle of the year worked out, 730 of 365.25 days.
func TestGrowth(t *testing.T) {
	const load = "  - {id: it, name: It, at: DB1-1, use: cold rooms, power: 1 kW, standby: 100 W, runs: {calendar: shift, duty: 50 %}}\n  - {id: other, name: Other, at: DB1-2, use: work, power: 1 kW, runs: {calendar: shift}}"
	r := small{visit: "2029-07-02", calendars: weekdays, more: "year: 2031\ngrowth: {cold rooms: 5..10..15 %}\n", loads: load}.run(t)
	k := math.Pow(1.1, 730/365.25)
	nearly(t, "energy", r.Loads[0].Energy.Value, k*(0.5*2088+0.1*(8760-2088)), 1e-9)
	nearly(t, "the other's", r.Loads[1].Energy.Value, 2088, 1e-9)
	nearly(t, "demand", r.Months[0].PeakKW.Value, 1+k, 1e-6)
	if err := r.Sheet.Replay(); err != nil {
		t.Error(err)
	}
	found := false
	for _, c := range r.Contributions {
		found = found || c.ID == "growth.cold-rooms"
	}
	if !found {
		t.Errorf("growth is not among the doubts: %+v", r.Contributions)
	}
}

// TestBoundLoads: an interlock and an order tell on demand, not on energy. Loads
// of 4 and 3 kW that never run together show 4 kW at most; on their own, 7 kW in
// some window of the month. A follower of its leader adds to it always.
func TestBoundLoads(t *testing.T) {
	run := func(a, b string) *Result {
		return small{calendars: weekdays, loads: "  - {id: oven, name: Oven, at: DB1-1, use: work, power: 4 kW, pf: 1.00, runs: {calendar: shift, duty: 50 %" + a + "}}\n" +
			"  - {id: kiln, name: Kiln, at: DB1-2, use: work, power: 3 kW, pf: 1.00, runs: {calendar: shift, duty: 30 %" + b + "}}"}.run(t)
	}
	free, apart, led := run("", ""), run(", never-with: kiln", ""), run("", ", starts-after: oven")
	for name, r := range map[string]*Result{"free": free, "apart": apart, "led": led} {
		nearly(t, name+" energy", r.Energy.Value, (4*0.5+3*0.3)*2088, 1e-9)
	}
	nearly(t, "free", free.Months[0].PeakKW.Value, 7, 1e-3)
	nearly(t, "apart", apart.Months[0].PeakKW.Value, 4, 1e-3)
	nearly(t, "led", led.Months[0].PeakKW.Value, 7, 1e-3)
	// Told by either of the two, the interlock is the same.
	other := run("", ", never-with: [oven]")
	if other.Months[0].PeakKW.Value != apart.Months[0].PeakKW.Value {
		t.Errorf("%.3f kW told by one, %.3f kW by the other", other.Months[0].PeakKW.Value, apart.Months[0].PeakKW.Value)
	}
}

// TestDoubtsOfCountedLoads: relative standard uncertainties in quadrature
// (JCGM 100:2008, 5.1.2). Lamps are whole: 20 to 28 with weights 1, 2, … 5, … 1
// have a variance of 2·(1·4 + 4·3 + 9·2 + 16·1)/25 = 4; ballasts of 4..6..8 W one
// of 4/6, on 42 W.
func TestDoubtsOfCountedLoads(t *testing.T) {
	r := small{loads: "  - {id: it, name: It, at: DB1-1, use: light, lamps: {number: 20..24..28, each: 36 W, ballast: 4..6..8 W}, runs: {calendar: always}}"}.run(t)
	u := math.Hypot(2.0/24, math.Sqrt(4.0/6)/42)
	nearly(t, "half of the interval", r.Energy.Half(), ninety*u*24*0.042*8760, 0.03)
	if len(r.Assumptions) < 2 {
		t.Errorf("assumptions %+v", r.Assumptions)
	}
}

// TestFactorsOfSteadyLoads: in July 3, 5 and 1 kW meet at noon and 4 kW come
// later, so 9 kW of 13 kW: coincidence 9/13, diversity 13/9. The year's 8760 h
// use 3·2088 + 4·4·261 + 5·31 + 8760 kWh.
func TestFactorsOfSteadyLoads(t *testing.T) {
	r := small{
		calendars: "{day: {hours: {Mon-Fri: 08:00-16:00}, doubt: 100 % ± 0 %}, late: {hours: {Mon-Fri: 16:00-20:00}, doubt: 100 % ± 0 %}, july: {hours: {Mon-Sun: 12:00-13:00}, season: 1 Jul to 31 Jul, doubt: 100 % ± 0 %}}",
		loads: `  - {id: a, name: A, at: DB1-1, use: work, power: 3 kW, runs: {calendar: day}}
  - {id: b, name: B, at: DB1-2, use: work, power: 4 kW, runs: {calendar: late}}
  - {id: c, name: C, at: DB1-3, use: work, power: 5 kW, runs: {calendar: july}}
  - {id: d, name: D, at: DB1-4, use: rest, power: 1 kW, runs: {calendar: always}}`,
	}.run(t)
	kwh := 3*2088.0 + 4*4*261 + 5*31 + 8760
	f := r.Factors
	nearly(t, "energy", r.Energy.Value, kwh, 1e-9)
	nearly(t, "demand factor", f.Demand.V, 9.0/13, 1e-6)
	nearly(t, "coincidence factor", f.Coincidence.V, 9.0/13, 1e-6)
	nearly(t, "diversity factor", f.Diversity.V, 13.0/9, 1e-6)
	nearly(t, "mean power", f.Mean.V, kwh*1e3/8760, 1e-9)
	nearly(t, "hours of use", f.Use.V, kwh/9, 1e-6)
	// On 24 of 168 hours 3 or 4 kW run beside the 1 kW: more than one in twenty
	// are at 1 kW.
	nearly(t, "demand reached 95 % of the time", f.Floor.V, 1000, 1e-6)
	nearly(t, "highest of the curve", r.Duration[0].KW, 9, 1e-6)
	if r.Months[6].PeakHour != 12 || r.Months[6].PeakKind != WorkingDay || r.Months[0].PeakHour < 16 {
		t.Errorf("July's peak at %d h on kind %d, January's at %d h", r.Months[6].PeakHour, r.Months[6].PeakKind, r.Months[0].PeakHour)
	}
	if len(r.Night) != 1 || r.Night[0].Load != "d" {
		t.Errorf("nights of rest days have %+v", r.Night)
	}
	sum := 0.0
	for _, u := range r.Uses {
		for m := range 12 {
			for h := range 24 {
				sum += u.Day[WorkingDay][m][h]*float64(r.Working.Days[m]) + u.Day[RestDay][m][h]*float64(r.Rest.Days[m])
			}
		}
	}
	nearly(t, "energy of the uses' days", sum, kwh, 1e-9)
	if err := r.Sheet.Replay(); err != nil {
		t.Error(err)
	}
}
