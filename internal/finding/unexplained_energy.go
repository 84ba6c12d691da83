package finding

import (
	"math"

	"auditgen/internal/audit"
	"auditgen/internal/say"
)

// unexplainedEnergy holds the energy of the loads listed against what was
// billed.
var unexplainedEnergy = Rule{
	ID:    "unexplained-energy",
	Title: say.Key("Energy against the bills"),
	Limit: "common practice, no source: within 5 % good, within 10 % acceptable",
	Judge: judgeUnexplained,
}

// Gaps between list and bills that are good, and that can be accepted.
const (
	goodGap       = 0.05
	acceptableGap = 0.10
)

func judgeUnexplained(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	if r.Reconciled == nil || !r.Reconciled.Gap.Known() {
		return missing(lang.S("no bill with its energy was given"), lang.S("bills.yaml of the site, with energy or energy-by"))
	}
	rec := r.Reconciled
	gap := rec.Gap.V
	f := Finding{
		Severity: InOrder,
		Headline: gapWords(lang, gap),
		Why:      lang.S("Savings are promised on the list of loads: what the bills show and the list does not may be a load that nobody knows of."),
		Clause:   lang.S("common practice, no source"),
		Sure:     gapSure(lang, rec),
	}
	f.figure("estimated", rec.Estimated)
	f.shows(lang.F("{estimated} estimated for the %d days that the bills cover", rec.Days), "", rec.Estimated.Step)
	f.shows(lang.F("%.0f kWh billed", rec.Energy), "", "billed.energy", rec.Gap.Step)
	for _, n := range r.Tree {
		if n.Unexplained.Known() && !n.Agrees {
			f.shows(lang.F("%.1f kW unexplained at %s while it was read", n.Unexplained.V/1e3, n.Name), n.Reading, n.Unexplained.Step)
		}
	}
	if math.Abs(gap) <= acceptableGap {
		return []Finding{f}, nil
	}
	severity := Plan
	if rec.Inside {
		severity = Watch
	}
	f.does(lang, severity, gapAction(lang, gap), anyone, liveWork)
	return []Finding{f}, nil
}

func gapSure(lang *say.Language, rec *audit.Reconciliation) string {
	if rec.Inside {
		return lang.S("The energy billed lies within the interval of the estimate: the gap may be doubt alone.")
	}
	return lang.S("The energy billed lies outside the interval of the estimate: the gap is more than the doubt that was stated.")
}

func gapAction(lang *say.Language, gap float64) string {
	if gap < 0 {
		return lang.S("Look for loads that are not on the list, and for hours longer than stated; read the incomer at night and at a weekend.")
	}
	return lang.S("Ask again how long the largest loads run, and read them again: the list takes more than was billed.")
}

// gapWords says how far list and bills are apart; gap is estimate less bill over
// bill.
func gapWords(lang *say.Language, gap float64) string {
	switch {
	case math.Abs(gap) < 0.005:
		return lang.S("The loads listed explain all of the energy billed")
	case gap < -acceptableGap:
		return lang.F("%s of the energy billed is not explained by any load listed", percent(-gap, 0))
	case gap < 0:
		return lang.F("The loads listed explain %s of the energy billed", percent(1+gap, 0))
	case gap > acceptableGap:
		return lang.F("The loads listed take %s more energy than was billed", percent(gap, 0))
	}
	return lang.F("The loads listed explain the energy billed, and %s more", percent(gap, 0))
}
