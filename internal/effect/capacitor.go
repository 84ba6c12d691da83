package effect

import (
	"math"
	"slices"

	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// VoltageRise is by what share of the voltage capacitors lift it, from their
// reactive power and the short-circuit power at their bus.
func VoltageRise(q quantity.Vars, sc quantity.VoltAmperes) (quantity.Ratio, bool) {
	if sc <= 0 {
		return 0, false
	}
	return quantity.Ratio(float64(q) / float64(sc)), true
}

// VoltageRiseF is VoltageRise as a formula.
var VoltageRiseF = working.Def2("voltage rise by capacitors", "u = Q_c / S_sc", "voltage drop of a reactive current in a reactance, common practice", "Q_c", "S_sc", or2(VoltageRise))

// CapacitorLossF is what capacitors take themselves, from their reactive power and
// their loss for each var: 0.5 W for each kvar with discharge resistors, several
// times as much with reactors.
var CapacitorLossF = working.Def2("loss of capacitors", "P_c = Q_c * w", "makers' data, common practice, no source", "Q_c", "w",
	func(q quantity.Vars, w quantity.Ratio) quantity.Watts { return quantity.Watts(float64(q) * float64(w)) })

// StepSizes are the usual sizes of low-voltage capacitors, kvar (from memory).
var StepSizes = []float64{2.5, 5, 7.5, 10, 12.5, 15, 20, 25, 30, 40, 50, 60, 75, 100}

// Bank is an automatic capacitor bank: its steps in var, smallest first.
type Bank struct{ Steps []quantity.Vars }

// Total is the reactive power of all steps.
func (b Bank) Total() quantity.Vars {
	var sum quantity.Vars
	for _, s := range b.Steps {
		sum += s
	}
	return sum
}

// patterns are the usual ratios of the steps of a bank (from memory).
var patterns = [][]float64{{1}, {1, 1}, {1, 2}, {1, 1, 1}, {1, 1, 2}, {1, 2, 2}, {1, 2, 4}, {1, 1, 2, 2}, {1, 2, 4, 4}, {1, 2, 4, 4, 4}, {1, 2, 4, 4, 4, 4}}

// BankFor gives the smallest bank of usual steps that reaches a reactive power:
// of those the one whose smallest step is finest, down to an eighth of the whole.
// It is false for nothing to reach and for more than the largest pattern holds.
func BankFor(need quantity.Vars) (Bank, bool) {
	if need <= 0 {
		return Bank{}, false
	}
	var best Bank
	for _, pattern := range patterns {
		for _, size := range StepSizes {
			b, ok := bankOf(size, pattern)
			if !ok || b.Total() < need {
				continue
			}
			if best.Steps == nil || b.Total() < best.Total() || b.Total() == best.Total() && finer(b, best) {
				best = b
			}
		}
	}
	return best, best.Steps != nil
}

// bankOf makes a bank of a smallest step and a pattern, of usual sizes alone.
func bankOf(size float64, pattern []float64) (Bank, bool) {
	var b Bank
	for _, k := range pattern {
		if !slices.Contains(StepSizes, size*k) {
			return Bank{}, false
		}
		b.Steps = append(b.Steps, quantity.Vars(size*k*1000))
	}
	return b, true
}

// finer prefers the finer of two banks, but none of steps below an eighth.
func finer(a, b Bank) bool {
	fine := func(x Bank) bool { return x.Steps[0]*8 >= x.Total() }
	if fine(a) != fine(b) {
		return fine(a)
	}
	return a.Steps[0] < b.Steps[0]
}

// Combinations lists the reactive powers that the bank can have in service, each
// once, smallest first.
func (b Bank) Combinations() []quantity.Vars {
	seen := map[quantity.Vars]bool{0: true}
	sums := []quantity.Vars{0}
	for _, s := range b.Steps {
		for _, q := range append([]quantity.Vars{}, sums...) {
			if !seen[q+s] {
				seen[q+s] = true
				sums = append(sums, q+s)
			}
		}
	}
	slices.Sort(sums)
	return sums[1:]
}

// InService is what an automatic bank switches on for a reactive power: the most
// that leaves none leading.
func (b Bank) InService(q quantity.Vars) quantity.Vars {
	var on quantity.Vars
	for _, c := range b.Combinations() {
		if c <= q {
			on = c
		}
	}
	return on
}

// Hazard is a combination of steps that resonates near an order.
type Hazard struct {
	InService quantity.Vars
	Resonance quantity.Ratio // order
	Near      int            // the order in question
}

// Near is how close to an order, in orders, a resonance is a hazard (from
// memory).
const Near = 0.5

// Resonances lists the combinations that resonate with the network near one of
// some orders, for the short-circuit power at the bank's bus. Each combination
// has its own resonance: all are looked at.
func (b Bank) Resonances(sc quantity.VoltAmperes, orders []int) []Hazard {
	var out []Hazard
	for _, q := range b.Combinations() {
		h, ok := power.ResonanceOrder(sc, q)
		if !ok {
			continue
		}
		for _, n := range orders {
			if math.Abs(float64(h)-float64(n)) <= Near {
				out = append(out, Hazard{q, h, n})
			}
		}
	}
	return out
}

// Reactor is the share of its capacitor's reactance that keeps a bank below the
// lowest order that is present: 14 % where that is the 3rd, 7 % from the 5th on
// (IEC 61642 practice, from memory). 0 where none is present.
func Reactor(orders []int) quantity.Ratio {
	lowest := 0
	for _, n := range orders {
		if n > 1 && (lowest == 0 || n < lowest) {
			lowest = n
		}
	}
	switch {
	case lowest == 0:
		return 0
	case lowest < 5:
		return 0.14
	}
	return 0.07
}

// Overcompensated is for how many hours a fixed capacitor leaves a site leading,
// from the reactive power of each stretch of time before it.
func Overcompensated(before []quantity.Vars, hours []quantity.Hours, fixed quantity.Vars) quantity.Hours {
	var sum quantity.Hours
	for i, q := range before {
		if q < fixed {
			sum += hours[i]
		}
	}
	return sum
}
