package audit

import (
	"slices"

	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
)

// billedUse is what a supplier's bill states, as the use that its tariff
// prices. A quantity that the tariff asks for and the bill does not state is
// missing; it counts as none, and the rebuilt bill is then not to be believed.
type billedUse struct {
	bill    site.Billed
	missing []string
	pf      *quantity.Ratio // in place of the bill's own, for a try
	demand  float64         // added to every demand in W, for a try
}

func (u *billedUse) lack(key string) float64 {
	if !slices.Contains(u.missing, key) {
		u.missing = append(u.missing, key)
	}
	return 0
}

// by adds up what is given by period, where the names given cover the slots
// asked for exactly; all is what is given for all hours.
func (u *billedUse) by(want tariff.SlotSet, names []string, value func(name string) float64, all float64, known bool, join func(a, b float64) float64) (float64, bool) {
	here := u.bill.By.Occurring(u.bill.Period)
	want = want.And(here)
	if want.Empty() {
		return 0, true
	}
	var covered tariff.SlotSet
	sum, some := 0.0, false
	for _, name := range names {
		set := u.bill.By.Within(name).And(here)
		if set.Empty() || set.And(want) != set {
			continue
		}
		covered = covered.Or(set)
		if sum = join(sum, value(name)); !some {
			some = true
		}
	}
	if some && covered == want {
		return sum, true
	}
	if known && want == here {
		return all, true
	}
	return 0, false
}

func add(a, b float64) float64 { return a + b }

// Energy is the billed active energy.
func (u *billedUse) Energy(set tariff.SlotSet) quantity.WattHours {
	b := u.bill
	v, ok := u.by(set, b.EnergyBy.Keys(), in(b.EnergyBy), float64(b.Bill.Energy.Value.Value), b.Bill.Energy.IsSet(), add)
	if !ok {
		return quantity.WattHours(u.lack("energy-by"))
	}
	return quantity.WattHours(v)
}

func in[Q quantity.Quantity](m source.Map[source.At[quantity.Displayed[Q]]]) func(string) float64 {
	return func(name string) float64 {
		a, _ := m.Get(name)
		return float64(a.Value.Value)
	}
}

// Reactive is the billed reactive energy.
func (u *billedUse) Reactive(set tariff.SlotSet) quantity.VarHours {
	b := u.bill
	v, ok := u.by(set, b.ReactiveBy.Keys(), in(b.ReactiveBy), float64(b.Bill.Reactive.Value.Value), b.Bill.Reactive.IsSet(), add)
	if !ok {
		return quantity.VarHours(u.lack("reactive"))
	}
	return quantity.VarHours(v)
}

// Demand is the billed demand.
func (u *billedUse) Demand(set tariff.SlotSet, unit tariff.DemandUnit, _ int) float64 {
	b := u.bill
	switch unit {
	case tariff.KVA:
		if !b.Apparent.IsSet() {
			return u.lack("apparent-demand")
		}
		return float64(b.Apparent.Value.Value) + u.demand
	case tariff.KW:
		v, ok := u.by(set, b.DemandBy.Keys(), in(b.DemandBy), float64(b.Bill.Demand.Value.Value), b.Bill.Demand.IsSet(), func(a, b float64) float64 { return max(a, b) })
		if !ok {
			return u.lack("demand")
		}
		return v + u.demand
	}
	return u.lack("demand in kvar")
}

// PowerFactor is the power factor printed on the bill.
func (u *billedUse) PowerFactor(tariff.SlotSet) (quantity.Ratio, bool) {
	if u.pf != nil {
		return *u.pf, true
	}
	return u.bill.PF.Value.Value, u.bill.PF.IsSet()
}
