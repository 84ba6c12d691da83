package finding

import (
	"fmt"
	"math"

	"auditgen/internal/audit"
	"auditgen/internal/quantity"
)

// agreedDemand holds the demand agreed with the supplier against what the year
// is expected to show.
var agreedDemand = Rule{
	ID:    "agreed-demand",
	Title: "Agreed demand",
	Limit: "the agreed demand; a reserve of a quarter is common practice, no source",
	Judge: judgeAgreed,
}

// reserve is the share of the agreed demand that may stand unused.
const reserve = 0.25

func judgeAgreed(r *audit.Result) ([]Finding, []Unassessed) {
	a := r.Record.Site.Supply.Agreed
	if !a.IsSet() {
		return missing("no agreed demand is stated", "supply: agreed-demand in site.yaml")
	}
	if r.PeakKVA.Value <= 0 {
		return missing("no highest demand is expected, since no load uses power", "loads of the visit, with runs")
	}
	agreed := float64(a.Value.Value) / 1e3
	f := Finding{
		Severity: InOrder,
		Headline: agreedFits(agreed),
		Why:      "Too low, and the supplier charges the excess or trips the supply; too high, and it is paid for unused every month.",
		Clause:   "tariff and supply contract in force; the reserve is common practice, no source",
		Sure:     "Likely: the highest demand is modelled from the loads listed. Twelve months of billed demand would settle it.",
	}
	f.figure("peak", r.PeakKVA)
	f.shows(fmt.Sprintf("{peak} expected in %s against %.0f kVA agreed", monthName(r.PeakMonth), agreed), "", r.PeakKVA.Step)
	billedDemand(r, &f)
	peak := r.PeakKVA
	switch {
	case peak.Value > agreed:
		f.Headline = agreedExceeded(agreed)
		f.does(Plan, "Ask the supplier what an excess costs and what a higher agreement costs; lower the peak first where that is cheaper.", supplier, "")
	case peak.High > agreed:
		f.Headline = agreedTight(agreed)
		f.does(Watch, "Compare with the demand on the next twelve bills before any load is added.", client, "")
	case peak.High < (1-reserve)*agreed:
		return agreedTooHigh(r, f, agreed)
	}
	return []Finding{f}, nil
}

// agreedTooHigh prices the year at the demand that is likely needed, rounded up
// to 5 kVA.
func agreedTooHigh(r *audit.Result, f Finding, agreed float64) ([]Finding, []Unassessed) {
	enough := math.Ceil(r.PeakKVA.High/5) * 5
	saving, err := r.SavingOfAgreed(quantity.VoltAmperes(enough * 1e3))
	if err != nil {
		return missing("the tariff could not be priced at another agreed demand: "+err.Error(), "the tariff's charges")
	}
	f.shows(fmt.Sprintf("%.0f kVA would hold the expected peak with its doubt", enough), "", r.PeakKVA.Step)
	if saving.Value < 0.5 {
		f.Headline = agreedHighFree(agreed)
		return []Finding{f}, nil
	}
	f.Headline = agreedHigh(agreed)
	f.Cost = &saving
	f.Steps = append(f.Steps, saving.Step)
	f.does(Plan, fmt.Sprintf("Check twelve months of billed demand, then ask the supplier for an agreed demand of %.0f kVA and for the notice that a later rise would need.", enough), supplier, "")
	return []Finding{f}, nil
}

// billedDemand adds the highest demand of the bills.
func billedDemand(r *audit.Result, f *Finding) {
	if r.Reconciled == nil {
		return
	}
	var most audit.Billed
	for _, b := range r.Reconciled.Bills {
		if b.Demand.Known() && b.Demand.V > most.Demand.V {
			most = b
		}
	}
	if most.Demand.Known() {
		f.shows(fmt.Sprintf("%.1f kW billed in %s", most.Demand.V/1e3, most.Label), "", most.Demand.Step)
	}
}

func agreedFits(agreed float64) string {
	return fmt.Sprintf("The agreed demand of %.0f kVA fits the expected peak of {peak}", agreed)
}

func agreedExceeded(agreed float64) string {
	return fmt.Sprintf("The highest demand is expected at {peak}, above the %.0f kVA agreed", agreed)
}

func agreedTight(agreed float64) string {
	return fmt.Sprintf("The highest demand, {peak}, may pass the %.0f kVA agreed", agreed)
}

func agreedHigh(agreed float64) string {
	return fmt.Sprintf("The agreed demand of %.0f kVA is more than the site needs, and costs {cost} a year", agreed)
}

func agreedHighFree(agreed float64) string {
	return fmt.Sprintf("The agreed demand of %.0f kVA is more than the site needs; this tariff charges nothing for it", agreed)
}
