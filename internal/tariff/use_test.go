package tariff_test

import (
	"auditgen/internal/quantity"
	"auditgen/internal/tariff"
)

// slotUse is a meter that shows a number for each slot: energies add up,
// demands take the highest.
type slotUse struct{ kwh, kvarh, kw, kva, kvar []float64 }

func newSlotUse(slots int) *slotUse {
	f := func() []float64 { return make([]float64, slots) }
	return &slotUse{f(), f(), f(), f(), f()}
}

func (u *slotUse) set(s tariff.Slot, x [5]float64) {
	u.kwh[s], u.kvarh[s], u.kw[s], u.kva[s], u.kvar[s] = x[0], x[1], x[2], x[3], x[4]
}

func sumOf(values []float64, set tariff.SlotSet) float64 {
	sum := 0.0
	for i, v := range values {
		if set.Has(tariff.Slot(i)) {
			sum += v
		}
	}
	return sum * 1000
}

func (u *slotUse) Energy(s tariff.SlotSet) quantity.WattHours {
	return quantity.WattHours(sumOf(u.kwh, s))
}
func (u *slotUse) Reactive(s tariff.SlotSet) quantity.VarHours {
	return quantity.VarHours(sumOf(u.kvarh, s))
}
func (u *slotUse) Demand(set tariff.SlotSet, unit tariff.DemandUnit, _ int) float64 {
	values := map[tariff.DemandUnit][]float64{tariff.KW: u.kw, tariff.KVA: u.kva, tariff.Kvar: u.kvar}[unit]
	top := 0.0
	for i, v := range values {
		if set.Has(tariff.Slot(i)) {
			top = max(top, v)
		}
	}
	return top * 1000
}
