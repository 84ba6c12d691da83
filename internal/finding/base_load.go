package finding

import (
	"fmt"
	"strings"

	"auditgen/internal/audit"
)

// baseLoad tells what runs through nights and weekends.
var baseLoad = Rule{
	ID:    "base-load",
	Title: "Night and weekend base load",
	Limit: "common practice, no source: a second look from 30 % of the year's energy, a plan from 60 %",
	Judge: judgeBaseLoad,
}

// Shares of the year's energy from which the base load deserves a look and a plan.
const (
	baseWatch = 0.30
	basePlan  = 0.60
)

func judgeBaseLoad(r *audit.Result) ([]Finding, []Unassessed) {
	if r.Energy.Value <= 0 {
		return missing("no load uses energy", "loads of the visit, with runs")
	}
	base, err := r.BaseOf()
	if err != nil {
		return missing("the tariff could not be priced without the base load: "+err.Error(), "the tariff's charges")
	}
	f := Finding{
		Severity: InOrder,
		Why:      "What runs when nobody works there is paid for every hour of the year, and is often there by habit.",
		Clause:   "common practice, no source",
		Sure:     "Modelled from the calendars and duties of the loads listed; what nobody listed is not in it. " + nightReading(r),
	}
	if !base.Share.Known() {
		f.Headline = "Nothing of what is listed runs day and night"
		f.Evidence = []Evidence{{Text: "every load listed has hours of its own, and none takes power outside them"}}
		return []Finding{f}, nil
	}
	f.Headline = baseHeadline(base.Share.V)
	f.figure("base", r.BaseLoad)
	f.figure("base-energy", base.Energy)
	f.figure("base-cost", base.Cost)
	f.shows("{base} in the mean runs day and night, {base-energy} a year", "", r.BaseLoad.Step, base.Energy.Step, base.Share.Step)
	f.shows("without the loads that always run the bill would be {base-cost} lower", "", base.Cost.Step)
	if work, rest := r.DayMeans(); work.Known() && rest.Known() {
		f.shows(fmt.Sprintf("weekends, holidays and shutdowns take %s in the mean, working days %s", kilo(rest.V, "kW"), kilo(work.V, "kW")), "", rest.Step, work.Step)
	}
	if loads := alwaysOn(r); len(loads) > 0 {
		f.shows("always on: "+strings.Join(loads, "; "), "", base.Share.Step)
	}
	switch {
	case base.Share.V > basePlan:
		f.does(Plan, baseAction, client, "")
	case base.Share.V > baseWatch:
		f.does(Watch, baseAction, client, "")
	}
	return []Finding{f}, nil
}

const baseAction = "Walk through the site at night and on a Sunday with the list of loads: what runs, and for whom? Time switches and set-points come before any equipment."

// alwaysOn names the loads that run by the calendar "always", those that use most
// first, five at most.
func alwaysOn(r *audit.Result) []string {
	var ls []audit.Load
	for _, l := range r.Loads {
		if l.Calendar == always {
			ls = append(ls, l)
		}
	}
	byEnergy(ls)
	var names []string
	for i, l := range ls {
		if i == 4 && len(ls) > 5 {
			return append(names, plural(len(ls)-4, "other", "others"))
		}
		names = append(names, audit.InSentence(l.Name))
	}
	return names
}

// nightReading says whether a reading backs the base load.
func nightReading(r *audit.Result) string {
	for _, rd := range incomers(r) {
		if h, ok := hourOf(rd.Time); ok && (h >= 22 || h < 5) {
			return "Reading " + rd.ID + " was taken at night and can be held against it."
		}
	}
	return "No reading at the incomer was taken at night; one would settle it."
}

func baseHeadline(share float64) string {
	return fmt.Sprintf("What runs day and night takes %s of the year's energy", percent(share, 0))
}
