package profile

import (
	"cmp"
	"math"
	"slices"
	"time"

	"auditgen/internal/quantity"
)

// Exceeded is a point of the load-duration curve: a demand, in the base unit of
// what was asked, and the time for which the mean of a window reaches it.
type Exceeded struct {
	Demand float64
	Time   quantity.Hours
	Share  quantity.Ratio // of all time in question
}

// Duration gives the load-duration curve of a month (0: the year) in a set of
// slots, as a meter that records every demand window is expected to show it:
// the demands reached for 0, 1/steps, 2/steps … of the time, the highest first.
// Unlike Levels it holds what chance does to each window. It is nil when the
// month has no window in those slots, or for fewer than one step.
func (m *Model) Duration(month time.Month, slots Slots, unit Unit, steps int) []Exceeded {
	held, total := m.held(month, slots, unit)
	if total == 0 || steps < 1 {
		return nil
	}
	out := make([]Exceeded, 0, steps+1)
	at, above := 0, 0.0
	for k := range steps + 1 {
		share := float64(k) / float64(steps)
		// The slack keeps the last point from the rounding of the sum.
		for at < len(held)-1 && above+held[at].hours < share*total*(1-1e-12) {
			above += held[at].hours
			at++
		}
		out = append(out, Exceeded{held[at].demand, quantity.Hours(share * total), quantity.Ratio(share)})
	}
	return out
}

// heldFor is a demand with the expected time for which windows show it.
type heldFor struct{ demand, hours float64 }

// held lists the demands of a period, the highest first, with the hours in all.
func (m *Model) held(month time.Month, slots Slots, unit Unit) (out []heldFor, total float64) {
	m.each(month, func(m *Model, month time.Month) {
		windows := make([]float64, len(m.prepare(unit)))
		for _, s := range m.Year.windows.spells {
			if (month == 0 || s.month == month) && slots.Has(s.slot) {
				windows[s.mix] += s.n
			}
		}
		for i, n := range windows {
			if n == 0 {
				continue
			}
			rungs := m.rungsTo(unit, i, math.Inf(-1))
			hours, sum := n*float64(m.Year.Grid.Step)/60, 0.0
			for _, r := range rungs {
				sum += r.p
			}
			for _, r := range rungs {
				out = append(out, heldFor{r.at, hours * r.p / sum})
			}
			total += hours
		}
	})
	slices.SortStableFunc(out, func(a, b heldFor) int { return cmp.Compare(b.demand, a.demand) })
	return out, total
}

// Factors are the figures by which a load is known over a period, as defined by
// Gönen, Electric Power Distribution System Engineering, ch. 2, of active power.
type Factors struct {
	Highest Peak           // demand as chance lets it turn out, W
	Mean    quantity.Watts // energy over time
	Base    quantity.Watts // mean power while only what is always on runs
	Floor   quantity.Watts // demand that 95 % of the windows reach
	Apart   quantity.Watts // sum of the machines' own expected highest demands
	All     quantity.Watts // every machine that may run in the period at its highest power
	Use     quantity.Hours // hours at highest demand that would use the energy
	Load    quantity.Ratio // load factor: mean over highest demand
	Demand  quantity.Ratio // demand factor: highest demand over All
	// Coincidence is the highest demand over the sum of the machines' own, 1 at
	// most but for rounding; Diversity is its inverse, the diversity factor of
	// North American usage.
	Coincidence, Diversity quantity.Ratio
}

// ownGrid is the number of grid steps on which a machine's own demand is worked out.
const ownGrid = 512

// Factors gives the factors of a month (0: the year) in a set of slots. It is
// false when the period has no window or its highest demand is not above zero.
// It costs a demand for each machine.
func (m *Model) Factors(month time.Month, slots Slots) (Factors, bool) {
	peak, ok := m.Demand(month, slots, Active)
	if !ok || !(peak.Mean > 0) {
		return Factors{}, false
	}
	highest, energy, hours := quantity.Watts(peak.Mean), m.Energy(month, slots), m.Year.Hours(month, slots)
	all, _ := m.AllOn(month, slots, Active)
	f := Factors{Highest: peak, Mean: MeanDemand(energy, hours), Base: m.BaseLoad().P, All: quantity.Watts(all),
		Use: HoursOfUse(energy, highest), Load: LoadFactor(energy, highest, hours)}
	if curve := m.Duration(month, slots, Active, 20); curve != nil {
		f.Floor = quantity.Watts(curve[19].Demand)
	}
	one := &Model{Year: m.Year, grid: ownGrid}
	for i := range m.machines {
		if one.Set(m.machines[i:i+1]) == nil { // it was fit when all were set
			own, _ := one.Demand(month, slots, Active)
			f.Apart += quantity.Watts(max(own.Mean, 0))
		}
	}
	if all > 0 {
		f.Demand = quantity.Ratio(highest / f.All)
	}
	f.Coincidence = Coincidence(highest, f.Apart)
	f.Diversity = 1 / f.Coincidence
	return f, true
}
