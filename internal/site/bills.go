package site

import (
	"fmt"
	"path"
	"slices"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
)

// BillsFile is bills.yaml: what the supplier billed.
type BillsFile struct {
	source.Where
	Bills []Bill `key:"bills" need:"yes" doc:"The supplier's bills, one for each period"`
}

// Bill is one bill of the supplier, as printed.
type Bill struct {
	source.Where
	From       source.At[civil.Date]                                         `key:"from" need:"yes" doc:"First day of the period" example:"2031-01-01"`
	To         source.At[civil.Date]                                         `key:"to" need:"yes" doc:"Last day of the period" example:"2031-01-31"`
	Energy     source.At[quantity.Displayed[quantity.WattHours]]             `key:"energy" unit:"kWh or MWh" doc:"Active energy billed, all hours" example:"28140 kWh"`
	EnergyBy   source.Map[source.At[quantity.Displayed[quantity.WattHours]]] `key:"energy-by" unit:"kWh or MWh" doc:"Active energy by the tariff's periods" example:"{day: 16200 kWh, night: 11940 kWh}"`
	Reactive   source.At[quantity.Displayed[quantity.VarHours]]              `key:"reactive" unit:"kvarh or Mvarh" doc:"Reactive energy billed, lagging positive" example:"17300 kvarh"`
	ReactiveBy source.Map[source.At[quantity.Displayed[quantity.VarHours]]]  `key:"reactive-by" unit:"kvarh or Mvarh" doc:"Reactive energy by the tariff's periods" example:"{day: 9800 kvarh, night: 7500 kvarh}"`
	Demand     source.At[quantity.Displayed[quantity.Watts]]                 `key:"demand" unit:"kW" doc:"Highest demand measured, active" example:"104.2 kW"`
	Apparent   source.At[quantity.Displayed[quantity.VoltAmperes]]           `key:"apparent-demand" unit:"kVA" doc:"Highest demand measured, apparent" example:"119.6 kVA"`
	DemandBy   source.Map[source.At[quantity.Displayed[quantity.Watts]]]     `key:"demand-by" unit:"kW" doc:"Highest demand by the tariff's periods" example:"{peak: 98.0 kW}"`
	PF         source.At[quantity.PowerFactor]                               `key:"power-factor" doc:"Power factor printed on the bill" default:"worked out from the energies" example:"0.85"`
	Amount     source.At[money.Stated]                                       `key:"amount" need:"yes" doc:"Total of the bill, with its currency" example:"8123.45 EUR"`
	Lines      source.Map[source.At[money.Stated]]                           `key:"lines" doc:"Printed lines, by the charges' ids in the tariff" example:"{standing: 97.65 EUR}"`
	Tariff     source.At[string]                                             `key:"tariff" doc:"Tariff of this bill, when not the one in force" default:"the tariff of site.yaml" example:"medium-supply-2030"`
}

// Billed is a bill with the tariff that it was made by.
type Billed struct {
	Bill
	By     *tariff.Tariff
	Period tariff.Period
}

// BillsName is the name of the file of bills in a site's folder.
const BillsName = "bills.yaml"

// bills reads the supplier's bills, oldest first; a site may have none.
func (r *reader) bills(inForce *tariff.Tariff, name string) []Billed {
	file := path.Join(r.Dir, BillsName)
	if !slices.Contains(r.names(r.Dir, ".yaml"), BillsName) {
		return nil
	}
	var f BillsFile
	if !r.yaml(file, &f) {
		return nil
	}
	known := map[string]*tariff.Tariff{name: inForce}
	var out []Billed
	for i := range f.Bills {
		b := &f.Bills[i]
		by := inForce
		if b.Tariff.IsSet() {
			t, ok := known[b.Tariff.Value]
			if !ok {
				t = r.tariff(b.Tariff)
				known[b.Tariff.Value] = t
			}
			by = t
		}
		if !b.From.Good().IsSet() || !b.To.Good().IsSet() {
			continue
		}
		out = append(out, Billed{Bill: *b, By: by, Period: tariff.Period{From: b.From.Value, To: b.To.Value.AddDays(1)}})
		checkBill(b, by, r.faults)
	}
	slices.SortStableFunc(out, func(a, b Billed) int { return a.Period.From.Compare(b.Period.From) })
	for i := 1; i < len(out); i++ {
		if out[i].Period.From.Compare(out[i-1].Period.To) < 0 {
			r.faults.At(out[i].From.Pos, fmt.Sprintf("the bill from %s overlaps the one before, which ends on %s", out[i].From.Value, out[i-1].To.Value), "a first day after it")
		}
	}
	return out
}

func checkBill(b *Bill, by *tariff.Tariff, faults *diag.List) {
	if b.To.Value.Compare(b.From.Value) < 0 {
		faults.At(b.To.Pos, fmt.Sprintf("the bill ends on %s, before it begins", b.To.Value), "the last day of its period")
	}
	if by == nil {
		return
	}
	periods := periodNames(by)
	for _, keys := range [][]source.Entry[struct{}]{places(b.EnergyBy), places(b.ReactiveBy), places(b.DemandBy)} {
		for _, k := range keys {
			if !slices.Contains(periods, k.Key) {
				faults.Add(diag.OneOf("period", k.Key, periods).At(k.Pos))
			}
		}
	}
	var ids []string
	for _, c := range by.File.Charges {
		ids = append(ids, c.ID.Value)
	}
	for _, l := range b.Lines {
		if !slices.Contains(ids, l.Key) {
			faults.Add(diag.OneOf("charge", l.Key, ids).At(l.Pos))
		}
	}
	code := by.File.Currency.Value.Code
	for _, a := range append([]source.At[money.Stated]{b.Amount}, amounts(b.Lines)...) {
		if a.Good().IsSet() && a.Value.Currency != code {
			faults.At(a.Pos, fmt.Sprintf("the amount is in %s, the tariff in %s", a.Value.Currency, code), "an amount in "+code)
		}
	}
}

func amounts(m source.Map[source.At[money.Stated]]) []source.At[money.Stated] {
	var as []source.At[money.Stated]
	for _, e := range m {
		as = append(as, e.Value)
	}
	return as
}

// places gives the keys of a map with where they stand.
func places[T any](m source.Map[T]) []source.Entry[struct{}] {
	es := make([]source.Entry[struct{}], len(m))
	for i, e := range m {
		es[i] = source.Entry[struct{}]{Key: e.Key, Pos: e.Pos}
	}
	return es
}

// periodNames lists the names that a bill may give quantities by: the tariff's
// periods, or its seasons where it has no periods.
func periodNames(t *tariff.Tariff) []string {
	var names []string
	names = append(names, t.File.Periods.Keys()...)
	for _, set := range t.File.PeriodSets {
		names = append(names, set.Value.Keys()...)
	}
	if len(names) == 0 {
		names = append(names, t.File.Seasons.Keys()...)
	}
	return names
}

// Total is the active energy that a bill states, added up where it is given by
// period.
func (b Bill) Total() (quantity.WattHours, bool) {
	if b.Energy.IsSet() {
		return b.Energy.Value.Value, true
	}
	var sum quantity.WattHours
	for _, e := range b.EnergyBy {
		sum += e.Value.Value.Value
	}
	return sum, len(b.EnergyBy) > 0
}

// Label names the period of a bill: 2031-01, or first to last day.
func (b Billed) Label() string { return b.Period.String() }
