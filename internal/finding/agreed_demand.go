package finding

import (
	"math"

	"auditgen/internal/audit"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
)

// agreedDemand holds the demand agreed with the supplier against what the year
// is expected to show.
var agreedDemand = Rule{
	ID:    "agreed-demand",
	Title: say.Key("Agreed demand"),
	Limit: "the agreed demand; a reserve of a quarter is common practice, no source",
	Judge: judgeAgreed,
}

// reserve is the share of the agreed demand that may stand unused.
const reserve = 0.25

func judgeAgreed(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	a := r.Record.Site.Supply.Agreed
	if !a.IsSet() {
		return missing(lang.S("no agreed demand is stated"), lang.S("supply: agreed-demand in site.yaml"))
	}
	if r.PeakKVA.Value <= 0 {
		return missing(lang.S("no highest demand is expected, since no load uses power"), lang.S("loads of the visit, with runs"))
	}
	agreed := float64(a.Value.Value) / 1e3
	f := Finding{
		Severity: InOrder,
		Headline: agreedFits(lang, agreed),
		Why:      lang.S("Too low, and the supplier charges the excess or trips the supply; too high, and it is paid for unused every month."),
		Clause:   lang.S("tariff and supply contract in force; the reserve is common practice, no source"),
		Sure:     lang.S("Likely: the highest demand is modelled from the loads listed. Twelve months of billed demand would settle it."),
	}
	f.figure("peak", r.PeakKVA)
	expected := lang.F("{peak} expected in %s against %.0f kVA agreed", audit.MonthName(lang, r.PeakMonth), agreed)
	if r.MonthsAlike() {
		expected = lang.F("{peak} expected in every month alike against %.0f kVA agreed", agreed)
	}
	f.shows(expected, "", r.PeakKVA.Step)
	billedDemand(r, &f)
	peak := r.PeakKVA
	switch {
	case peak.Value > agreed:
		f.Headline = agreedExceeded(lang, agreed)
		f.does(lang, Plan, lang.S("Ask the supplier what an excess costs and what a higher agreement costs; lower the peak first where that is cheaper."), supplier, "")
	case peak.High > agreed:
		f.Headline = agreedTight(lang, agreed)
		f.does(lang, Watch, lang.S("Compare with the demand on the next twelve bills before any load is added."), client, "")
	case peak.High < (1-reserve)*agreed:
		return agreedTooHigh(r, f, agreed)
	}
	return []Finding{f}, nil
}

// agreedTooHigh prices the year at the demand that is likely needed, rounded up
// to 5 kVA.
func agreedTooHigh(r *audit.Result, f Finding, agreed float64) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	enough := math.Ceil(r.PeakKVA.High/5) * 5
	saving, err := r.SavingOfAgreed(quantity.VoltAmperes(enough * 1e3))
	if err != nil {
		return missing(lang.F("the tariff could not be priced at another agreed demand: %s", err), lang.S("the tariff's charges"))
	}
	f.shows(lang.F("%.0f kVA would hold the expected peak with its doubt", enough), "", r.PeakKVA.Step)
	if saving.Value < 0.5 {
		f.Headline = agreedHighFree(lang, agreed)
		return []Finding{f}, nil
	}
	f.Headline = agreedHigh(lang, agreed)
	f.Cost = &saving
	f.Steps = append(f.Steps, saving.Step)
	f.does(lang, Plan, lang.F("Check twelve months of billed demand, then ask the supplier for an agreed demand of %.0f kVA and for the notice that a later rise would need.", enough), supplier, "")
	return []Finding{f}, nil
}

// billedDemand adds the highest demand of the bills.
func billedDemand(r *audit.Result, f *Finding) {
	lang := r.Record.Words
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
		f.shows(lang.F("%.1f kW billed in %s", most.Demand.V/1e3, most.Label), "", most.Demand.Step)
	}
}

func agreedFits(lang *say.Language, agreed float64) string {
	return lang.F("The agreed demand of %.0f kVA fits the expected peak of {peak}", agreed)
}

func agreedExceeded(lang *say.Language, agreed float64) string {
	return lang.F("The highest demand is expected at {peak}, above the %.0f kVA agreed", agreed)
}

func agreedTight(lang *say.Language, agreed float64) string {
	return lang.F("The highest demand, {peak}, may pass the %.0f kVA agreed", agreed)
}

func agreedHigh(lang *say.Language, agreed float64) string {
	return lang.F("The agreed demand of %.0f kVA is more than the site needs, and costs {cost} a year", agreed)
}

func agreedHighFree(lang *say.Language, agreed float64) string {
	return lang.F("The agreed demand of %.0f kVA is more than the site needs; this tariff charges nothing for it", agreed)
}
