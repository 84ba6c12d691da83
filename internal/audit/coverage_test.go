package audit

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/tariff"
	"auditgen/internal/uncertainty"
)

// coverageSites is how many sites TestIntervalsHoldTheTruth makes:
//
//	go test ./internal/audit -run TestIntervalsHoldTheTruth -sites 500 -v
var coverageSites = flag.Int("sites", 30, "sites of the coverage test; from 500 on the share itself is held")

// truth is a site as it really is, and as it was written down.
type truth struct {
	small
	machines []profile.Machine
	hours    []float64
	gain     float64 // of the meter: true over shown
}

// likely is a triangle about a middle, as it is written, and a value drawn of it.
func likely(r *rand.Rand, middle, half float64) (low, high, drawn float64) {
	low, high = middle*(1-half*(0.5+r.Float64())), middle*(1+half*(0.5+r.Float64()))
	return low, high, triangle(r, low, middle, high)
}

const coverageTariff = `seasons: {winter: 1 Nov to 31 Mar, summer: 1 Apr to 31 Oct}
periods: {day: {days: Mon-Fri, hours: 07:00-22:00}, night: otherwise}
charges:
  - {id: standing, fixed: 1.50 /day}
  - {id: day-units, energy: {period: day, price: 0.21 /kWh}}
  - {id: night-units, energy: {period: night, price: 0.12 /kWh}}
  - {id: network, energy: {blocks: [{up-to: 4000 kWh, price: 0.03 /kWh}, {price: 0.02 /kWh}], per: month}}
  - {id: demand, demand: {price: 7.80 /kW/month, window: 15 min, at-least: [60 % of highest of 11 months]}}
  - {id: factor, power-factor: {of: [day-units, night-units], round: 0.01, slopes: [{below: 0.95, add: 0.5 % per 0.01}]}}
  - {id: vat, tax: {rate: 20 %, of: all}}`

// randomTruth makes a site of four to ten loads: truth first, then what a person
// with a meter would write of it.
func randomTruth(r *rand.Rand) *truth {
	t := &truth{small: small{tariff: coverageTariff,
		calendars: "{shift: {hours: {Mon-Fri: 06:00-18:00, Sat: 08:00-12:00}, doubt: 94..100..106 %}, night: {hours: {Mon-Sun: 20:00-06:00}, doubt: 90..100..110 %}}"}}
	// 1.5 % of reading as limits: true is shown times 1 ± 1.5 %.
	t.gain = 1 + 0.015*(2*r.Float64()-1)
	doubt := map[int]float64{0: 1}
	doubt[1], doubt[2] = triangle(r, 0.94, 1, 1.06), triangle(r, 0.90, 1, 1.10)
	names := []string{"always", "shift", "night"}
	for i := range 4 + r.IntN(7) {
		c := r.IntN(3)
		m := profile.Machine{ID: fmt.Sprint("l", i), Calendar: c, Count: 1}
		runs := "calendar: " + names[c]
		share := 1.0
		if r.IntN(4) > 0 {
			middle := 0.25 + 0.4*r.Float64()
			low, high, d := likely(r, middle, 0.2)
			share = d
			runs += fmt.Sprintf(", duty: %.4f..%.4f..%.4f %%", 100*low, 100*middle, 100*high)
			if r.IntN(2) == 0 {
				cycle := 10 + 10*r.IntN(5)
				m.Cycle = quantity.Hours(float64(cycle) / 60)
				runs += fmt.Sprintf(", cycle: %d min", cycle)
			}
		}
		if r.IntN(3) == 0 {
			n := 2 + r.IntN(3)
			m.Count = float64(n)
			runs += fmt.Sprintf(", count: %d", n)
		}
		watts, text := t.power(r, i)
		m.Modes = []profile.Mode{{Share: share, Power: profile.Power{P: quantity.Watts(watts), Q: quantity.Vars(watts * 0.75)}}}
		t.machines, t.hours = append(t.machines, m), append(t.hours, doubt[c])
		t.loads += fmt.Sprintf("  - {id: l%d, name: Load %d, at: DB1-%d, use: work, %s, runs: {%s}}\n", i, i, i+1, text, runs)
	}
	t.loads = strings.TrimSuffix(t.loads, "\n")
	t.readings = strings.TrimSuffix(t.readings, "\n")
	return t
}

// triangle draws of a triangular distribution.
func triangle(r *rand.Rand, low, middle, high float64) float64 {
	return uncertainty.Triangular{Low: low, Likely: middle, High: high}.Quantile(r.Float64())
}

// power gives a load's true power over the year, and how it is written: from a
// reading with the meter's gain, its own digits and the day against the year, or
// judged.
func (t *truth) power(r *rand.Rand, i int) (float64, string) {
	middle := math.Round(10*(1+11*r.Float64())) / 10 // kW
	if r.IntN(4) == 0 {
		low, high, watts := likely(r, 1e3*middle, 0.25)
		return watts, fmt.Sprintf("power: %.0f..%.0f..%.0f W, pf: 0.80 lag", low, 1e3*middle, high)
	}
	t.readings += fmt.Sprintf("  - {id: R%d, at: DB1-%d, wiring: 3P4W, total: {power: %.2f kW, reactive: %.3f kvar}}\n", i, i+1, middle, 0.75*middle)
	// 5 digits of 0.01 kW beside the gain: √((1.5 % + 0.05)² - 1.5 %²) kW.
	limit, gain := 0.015*middle+0.05, 0.015*middle
	own := math.Sqrt(limit*limit-gain*gain) * (2*r.Float64() - 1)
	return 1e3 * middle * (t.gain + own/middle) * triangle(r, 0.90, 1, 1.10), fmt.Sprintf("reading: R%d", i)
}

// figures are the true energy of the year, a month's highest demand as chance
// lets it turn out, and the exact bill of that year.
func (t *truth) figures(tb testing.TB, res *Result, month int, r *rand.Rand) (energy, kw, cost float64) {
	m := *res.model
	var chances [12]float64
	for i := range chances {
		chances[i] = r.Float64()
	}
	demand, err := profile.NewModel(m.year(), t.machines)
	if err != nil {
		tb.Fatal(err)
	}
	running := slices.Clone(t.machines)
	for i := range running {
		running[i].Count *= t.hours[i]
	}
	used, err := profile.NewModel(m.year(), running)
	if err != nil {
		tb.Fatal(err)
	}
	var asks []profile.Ask
	for i := range 12 {
		asks = append(asks, profile.Ask{Part: profile.Part{Month: monthOf(i), Slots: profile.AllSlots}, Unit: profile.Active})
	}
	c, err := demand.Compile(nil, asks, make([]profile.Doubt, len(t.machines)))
	if err != nil {
		tb.Fatal(err)
	}
	uses := make([]tariff.Use, 12)
	for i := range uses {
		best, _ := c.Best(i)
		peak := c.Chance(i, best.Mean, chances[i])
		if i == month {
			kw = peak / 1e3
		}
		uses[i] = turnedOut{&monthUse{evaluation: &evaluation{model: &m, energy: used}, month: monthOf(i)}, peak}
	}
	bills, err := m.tariff.PriceYear(m.periods, uses, m.options)
	if err != nil {
		tb.Fatal(err)
	}
	return float64(used.Energy(0, profile.AllSlots)) / 1e3, kw, total(bills).InexactFloat64()
}

// turnedOut is a month whose highest demand turned out.
type turnedOut struct {
	*monthUse
	peak float64
}

// Demand is what it turned out to be.
func (u turnedOut) Demand(tariff.SlotSet, tariff.DemandUnit, int) float64 { return u.peak }

// TestIntervalsHoldTheTruth makes sites whose truth is known, writes them down
// with the meter's errors and honest ranges, and works them out: the 90 %
// intervals hold the truth in nine sites of ten. With 500 sites and more the
// share is held to 87 to 93 %; with few, to what chance allows but once in a
// thousand.
func TestIntervalsHoldTheTruth(t *testing.T) {
	r := rand.New(rand.NewPCG(2031, 90))
	n := *coverageSites
	names := []string{"energy", "demand", "bill"}
	held := make([]int, len(names))
	for range n {
		site := randomTruth(r)
		res := site.run(t)
		month := r.IntN(12)
		energy, kw, cost := site.figures(t, res, month, r)
		for k, x := range []struct {
			Interval
			true float64
		}{{res.Energy, energy}, {res.Months[month].PeakKW, kw}, {res.Cost, cost}} {
			if x.Low <= x.true && x.true <= x.High {
				held[k]++
			}
		}
	}
	for k, h := range held {
		share := float64(h) / float64(n)
		t.Logf("%s: %.1f %% of %d sites", names[k], 100*share, n)
		low, high := 0.87, 0.93
		if n < 500 {
			slack := 3.3 * math.Sqrt(0.9*0.1/float64(n))
			low, high = 0.9-slack, 0.9+slack
		}
		if share < low || share > high {
			t.Errorf("%s: the interval holds the truth at %.1f %% of %d sites", names[k], 100*share, n)
		}
	}
}
