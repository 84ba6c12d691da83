package audit

import (
	"math"
	"strings"
	"testing"

	"auditgen/internal/working"
)

// In 2031 a Mon-Fri calendar of 8 h without holidays has 261 days: 2088 h.
const weekdays = "{shift: {hours: {Mon-Fri: 08:00-16:00}, doubt: 100 % ± 0 %}}"

// Energies by hand: power by duty by hours by number.
func TestEnergyByHand(t *testing.T) {
	const reading = "  - {id: R1, at: DB1-1, wiring: 3P4W, total: {power: 4.00 kW}}\n  - {id: R2, at: DB1-1, wiring: 3P4W, total: {power: 1.00 kW}}"
	for _, c := range []struct {
		name, load string
		kwh        float64
		running    float64 // W
		basis      working.Kind
	}{
		{"judged, always on", "power: 500 W, runs: {calendar: always}", 0.5 * 8760, 500, working.Assumed},
		{"judged, on a calendar", "power: 500 W, runs: {calendar: shift}", 0.5 * 2088, 500, working.Assumed},
		{"duty", "power: 500 W, runs: {calendar: shift, duty: 40 %}", 0.5 * 2088 * 0.4, 500, working.Assumed},
		{"duty as a range has its mean", "power: 500 W, runs: {calendar: shift, duty: 20..33..50 %}", 0.5 * 2088 * (0.20 + 0.33 + 0.50) / 3, 500, working.Assumed},
		{"duty between limits", "power: 500 W, runs: {calendar: shift, duty: 20..50 %}", 0.5 * 2088 * 0.35, 500, working.Assumed},
		{"off", "power: 500 W, runs: {calendar: shift, duty: 0 %}", 0, 500, working.Assumed},
		{"power as a range", "power: 300..400..800 W, runs: {calendar: shift}", 0.5 * 2088, 500, working.Assumed},
		{"count", "power: 500 W, runs: {calendar: shift, count: 6}", 3 * 2088, 500, working.Assumed},
		{"count as a range", "power: 500 W, runs: {calendar: shift, count: 4..6..11}", 0.5 * 7 * 2088, 500, working.Assumed},
		{"reading", "reading: R1, runs: {calendar: shift}", 4 * 2088, 4000, working.Measured},
		{"reading of a running machine is not scaled by a rating", "reading: R1, runs: {calendar: shift, duty: 50 %, cycle: 20 min}", 4 * 2088 * 0.5, 4000, working.Measured},
		{"year's power differs from the day's", "reading: R1, typical: 90..100..125 %, runs: {calendar: shift}", 4 * 1.05 * 2088, 4200, working.Measured},
		{"plate with its default loading", "nameplate: {rated: 2.0 kW}, runs: {calendar: shift}", 2 * 0.75 * 2088, 1500, working.Assumed},
		{"plate of a motor", "nameplate: {rated: 7.5 kW, loading: 60..70..80 %, efficiency: 87.5 %}, runs: {calendar: shift, duty: 50 %}", 6 * 2088 * 0.5, 6000, working.Assumed},
		{"standby while the calendar is off", "power: 500 W, standby: 20 W, runs: {calendar: shift}", 0.5*2088 + 0.02*(8760-2088), 500, working.Assumed},
		{"standby of several", "power: 500 W, standby: 20 W, runs: {calendar: shift, duty: 40 %, count: 3}", 3 * (0.5*2088*0.4 + 0.02*(8760-2088)), 500, working.Assumed},
		{"standby of what is always on", "power: 500 W, standby: 20 W, runs: {calendar: always}", 0.5 * 8760, 500, working.Assumed},
		{"states", "states: {loaded: {reading: R1, duty: 60 %}, idle: {reading: R2, duty: 20 %}}, runs: {calendar: shift}", (4*0.6 + 1*0.2) * 2088, 2600 / 0.8, working.Measured},
		{"states, one judged", "states: {loaded: {reading: R1, duty: 50 %}, idle: {power: 800 W, duty: 50 %}}, runs: {calendar: shift, count: 2}", 2 * (4*0.5 + 0.8*0.5) * 2088, 2400, working.Measured},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := small{calendars: weekdays, readings: reading, loads: "  - {id: it, name: It, at: DB1-1, use: work, " + c.load + "}"}.run(t)
			l := r.Loads[0]
			nearly(t, "energy", l.Energy.Value, c.kwh, 1e-9)
			nearly(t, "year", r.Energy.Value, c.kwh, 1e-9)
			nearly(t, "cost at 0.20 /kWh", r.Cost.Value, 0.2*c.kwh, 2e-4)
			nearly(t, "running power", l.Running.V, c.running, 1e-9)
			if l.Basis != c.basis {
				t.Errorf("basis is %s, want %s", l.Basis, c.basis)
			}
			if c.kwh > 0 && (r.Energy.Low > r.Energy.Value || r.Energy.High < r.Energy.Value) {
				t.Errorf("%.0f kWh is not within %.0f to %.0f", r.Energy.Value, r.Energy.Low, r.Energy.High)
			}
			st, ok := r.Sheet.Get(l.Energy.Step)
			if !ok {
				t.Fatalf("no step %s", l.Energy.Step)
			}
			nearly(t, "working of the load", st.Value/1e3, c.kwh, 1e-9)
		})
	}
}

// mixed is a site with every kind of load, for what holds for all of them.
var mixed = small{
	holidays:  "[1 Jan, 25 Dec]",
	calendars: "{shift: {hours: {Mon-Fri: 06:00-18:00, Sat: 08:00-12:00}}, summer: {hours: {Mon-Sun: 10:00-16:00}, season: 1 May to 30 Sep}, night: {hours: {Mon-Sun: 22:00-05:00}, holidays: open}}",
	tariff: `seasons: {winter: 1 Nov to 31 Mar, summer: 1 Apr to 31 Oct}
periods: {day: {days: Mon-Fri, hours: 07:00-22:00}, night: otherwise}
charges:
  - {id: standing, fixed: 1.50 /day}
  - {id: day-units, energy: {period: day, price: 0.21 /kWh}}
  - {id: night-units, energy: {period: night, price: 0.12 /kWh}}
  - {id: demand, demand: {price: 7.80 /kW/month, window: 15 min}}
  - {id: factor, power-factor: {of: [day-units, night-units], slopes: [{below: 0.95, add: 1 % per 0.01}]}}
  - {id: vat, tax: {rate: 20 %, of: all}}`,
	readings: `  - {id: R1, at: DB1-1, wiring: 3P4W, total: {power: 8.00 kW, reactive: 6.00 kvar}}
  - {id: R2, at: DB1-1, wiring: 3P4W, total: {power: 2.00 kW, reactive: 3.00 kvar}}
  - {id: R3, at: DB1-2, wiring: 1P2W, phases: {A: {voltage: 230.0 V, current: 9.0 A, pf: 0.72 lag}}}`,
	loads: `  - {id: chiller, name: Chiller, at: DB1-1, use: cooling, states: {loaded: {reading: R1, duty: 40..50..60 %}, idle: {reading: R2, duty: 30 %}}, runs: {calendar: shift, cycle: 30 min}}
  - {id: fridges, name: Fridges, at: DB1-2, use: cooling, reading: R3, runs: {calendar: always, duty: 30..40..55 %, cycle: 20 min, count: 3}}
  - {id: fan, name: Fan, at: DB1-3, use: air, nameplate: {rated: 1.5 kW, loading: 60..70..85 %, efficiency: 82 %}, pf: 0.75 lag, runs: {calendar: summer}}
  - {id: lamps, name: Lamps, at: DB1-4, use: light, power: 350..400..450 W, pf: 0.95 lead, runs: {calendar: night, count: 2..3..5}}
  - {id: desk, name: Desk, at: DB1-5, use: office, power: 300 W, standby: 15..20..30 W, runs: {calendar: shift, duty: 80 %}}`,
}

func TestPartsSumToTheYear(t *testing.T) {
	r := mixed.run(t)
	months, cost, slots, loads, uses, shares, lines := 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
	for i, m := range r.Months {
		if m.Month != i {
			t.Errorf("month %d stands at %d", m.Month, i)
		}
		months += m.Energy.Value
		cost += m.Cost.Value
		for _, kwh := range m.BySlot {
			slots += kwh
		}
	}
	for _, l := range r.Loads {
		loads += l.Energy.Value
	}
	for i, u := range r.Uses {
		uses += u.Energy.Value
		shares += u.Share
		if i > 0 && u.Energy.Value > r.Uses[i-1].Energy.Value {
			t.Errorf("%s stands below a smaller use", u.Name)
		}
	}
	for _, l := range r.YearLines {
		lines += l.Amount
	}
	if len(r.Months) != 12 || len(r.Bills) != 12 {
		t.Errorf("%d months, %d bills", len(r.Months), len(r.Bills))
	}
	nearly(t, "months", months, r.Energy.Value, 1e-9)
	nearly(t, "tariff periods", slots, r.Energy.Value, 1e-9)
	nearly(t, "loads", loads, r.Energy.Value, 1e-9)
	nearly(t, "uses", uses, r.Energy.Value, 1e-9)
	nearly(t, "shares", shares, 1, 1e-9)
	nearly(t, "bills", cost, r.Cost.Value, 1e-9)
	nearly(t, "lines of the year", lines, r.Cost.Value, 1e-9)
}

// The year's hours are those of the heat map's days, and its mean powers give
// back the year's energy.
func TestHeatMapHoldsTheYear(t *testing.T) {
	r := mixed.run(t)
	kwh, days := 0.0, 0
	for m := range 12 {
		days += r.Working.Days[m] + r.Rest.Days[m]
		for h := range 24 {
			kwh += r.Working.KW[m][h]*float64(r.Working.Days[m]) + r.Rest.KW[m][h]*float64(r.Rest.Days[m])
		}
	}
	if days != 365 {
		t.Errorf("%d days", days)
	}
	nearly(t, "energy of the heat map", kwh, r.Energy.Value, 1e-6)
}

// A demand lies between the mean of what runs and the sum of all that can run.
func TestDemandLiesBetweenMeanAndSum(t *testing.T) {
	r := mixed.run(t)
	for _, m := range r.Months {
		if m.PeakKW.Value < m.SumOfAverages-1e-9 || m.PeakKW.Value > m.SumOfAll+1e-9 {
			t.Errorf("month %d: demand of %.2f kW, averages %.2f, all %.2f", m.Month+1, m.PeakKW.Value, m.SumOfAverages, m.SumOfAll)
		}
		if m.PeakKVA.Value < m.PeakKW.Value {
			t.Errorf("month %d: %.2f kVA below %.2f kW", m.Month+1, m.PeakKVA.Value, m.PeakKW.Value)
		}
		if m.PeakKW.Value > r.Peak.Value {
			t.Errorf("month %d is above the year's peak", m.Month+1)
		}
		sum := 0.0
		for _, s := range m.PeakBy {
			sum += s.Value
		}
		nearly(t, "what the peak is made of", sum, m.PeakKW.Value, 0.02)
	}
	nearly(t, "load factor", r.LoadFactor.V, r.Energy.Value/(r.Peak.Value*8760), 1e-9)
}

// Steady loads make a demand without chance: the sum of those on together.
func TestDemandOfSteadyLoads(t *testing.T) {
	r := small{
		calendars: "{day: {hours: {Mon-Fri: 08:00-16:00}}, late: {hours: {Mon-Fri: 16:00-20:00}}, july: {hours: {Mon-Sun: 12:00-13:00}, season: 1 Jul to 31 Jul}}",
		loads: `  - {id: a, name: A, at: DB1-1, use: work, power: 3 kW, pf: 0.60 lag, runs: {calendar: day}}
  - {id: b, name: B, at: DB1-2, use: work, power: 4 kW, pf: 1.00, runs: {calendar: late}}
  - {id: c, name: C, at: DB1-3, use: work, power: 5 kW, pf: 1.00, runs: {calendar: july}}
  - {id: d, name: D, at: DB1-4, use: work, power: 1 kW, pf: 1.00, runs: {calendar: always}}`,
	}.run(t)
	for i, m := range r.Months {
		kw, kva := 5.0, math.Hypot(4, 4)
		if i == 6 {
			kw, kva = 9, math.Hypot(9, 4)
		}
		nearly(t, "kW of "+MonthName(nil, i), m.PeakKW.Value, kw, 1e-9)
		nearly(t, "kVA of "+MonthName(nil, i), m.PeakKVA.Value, kva, 1e-9)
		if i == 6 && m.PeakHour != 12 {
			t.Errorf("July's peak falls at %d h", m.PeakHour)
		}
	}
	if r.PeakMonth != 6 {
		t.Errorf("the peak falls in month %d", r.PeakMonth+1)
	}
	nearly(t, "base load", r.BaseLoad.Value, 1, 1e-9)
}

// What no load does cannot be worked out, and says where to mend it.
func TestReadingWithoutPowerIsRefused(t *testing.T) {
	for _, shows := range []string{"phases: {A: {voltage: 230.0 V}}", "phases: {A: {power: 0.00 kW}}", "phases: {A: {power: -1.00 kW}}"} {
		s := small{readings: one("DB1-1", "1P2W", shows), loads: "  - {id: it, name: It, at: DB1-1, use: work, reading: R1, runs: {calendar: always}}"}
		_, err := Run(s.record(t))
		if err == nil || !strings.Contains(err.Error(), "R1") || !strings.Contains(err.Error(), "2031-05-14.yaml:") {
			t.Errorf("%s: error %v, want one that names R1 and its place", shows, err)
		}
	}
}

// A zero power factor or reactive power of nothing must not spoil the year.
func TestNothingIsNeverNaN(t *testing.T) {
	r := small{loads: "  - {id: it, name: It, at: DB1-1, use: work, power: 500 W, pf: 1.00, runs: {calendar: shift, duty: 0 %}}", calendars: weekdays}.run(t)
	for _, st := range r.Sheet.Steps() {
		if math.IsNaN(st.Value) || math.IsInf(st.Value, 0) {
			t.Errorf("%s is %g", st.ID, st.Value)
		}
	}
	for _, m := range r.Months {
		if m.PF.Known() && math.IsNaN(m.PF.V) {
			t.Errorf("power factor of month %d", m.Month+1)
		}
	}
	if r.LoadFactor.Known() {
		t.Errorf("a year without demand has a load factor of %g", r.LoadFactor.V)
	}
}
