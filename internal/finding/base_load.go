package finding

import (
	"strings"

	"auditgen/internal/audit"
	"auditgen/internal/say"
)

// baseLoad tells what runs through nights and weekends.
var baseLoad = Rule{
	ID:    "base-load",
	Title: say.Key("Night and weekend base load"),
	Limit: "common practice, no source: a second look from 30 % of the year's energy, a plan from 60 %",
	Judge: judgeBaseLoad,
}

// Shares of the year's energy from which the base load deserves a look and a plan.
const (
	baseWatch = 0.30
	basePlan  = 0.60
)

func judgeBaseLoad(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	if r.Energy.Value <= 0 {
		return missing(lang.S("no load uses energy"), lang.S("loads of the visit, with runs"))
	}
	base, err := r.BaseOf()
	if err != nil {
		return missing(lang.F("the tariff could not be priced without the base load: %s", err), lang.S("the tariff's charges"))
	}
	f := Finding{
		Severity: InOrder,
		Why:      lang.S("What runs when nobody works there is paid for every hour of the year, and is often there by habit."),
		Clause:   lang.S("common practice, no source"),
		Sure:     lang.S("Modelled from the calendars and duties of the loads listed; what nobody listed is not in it.") + " " + nightReading(r),
	}
	if !base.Share.Known() {
		f.Headline = lang.S("Nothing of what is listed runs day and night")
		f.Evidence = []Evidence{{Text: lang.S("every load listed has hours of its own, and none takes power outside them")}}
		return []Finding{f}, nil
	}
	f.Headline = baseHeadline(lang, base.Share.V)
	f.figure("base", r.BaseLoad)
	f.figure("base-energy", base.Energy)
	f.figure("base-cost", base.Cost)
	f.shows(lang.S("{base} in the mean runs day and night, {base-energy} a year"), "", r.BaseLoad.Step, base.Energy.Step, base.Share.Step)
	f.shows(lang.S("without the loads that always run the bill would be {base-cost} lower"), "", base.Cost.Step)
	if work, rest := r.DayMeans(); work.Known() && rest.Known() {
		f.shows(lang.F("weekends, holidays and shutdowns take %s in the mean, working days %s", kilo(rest.V, "kW"), kilo(work.V, "kW")), "", rest.Step, work.Step)
	}
	if loads := alwaysOn(r); len(loads) > 0 {
		f.shows(lang.F("always on: %s", strings.Join(loads, "; ")), "", base.Share.Step)
	}
	switch {
	case base.Share.V > basePlan:
		f.does(lang, Plan, lang.S(baseAction), client, "")
	case base.Share.V > baseWatch:
		f.does(lang, Watch, lang.S(baseAction), client, "")
	}
	return []Finding{f}, nil
}

var baseAction = say.Key("Walk through the site at night and on a Sunday with the list of loads: what runs, and for whom? Time switches and set-points come before any equipment.")

// alwaysOn names the loads that run by the calendar "always", those that use most
// first, five at most.
func alwaysOn(r *audit.Result) []string {
	lang := r.Record.Words
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
			return append(names, lang.N(len(ls)-4, "one other", "%s others", numeral(lang, len(ls)-4)))
		}
		names = append(names, audit.InSentence(l.Name))
	}
	return names
}

// nightReading says whether a reading backs the base load.
func nightReading(r *audit.Result) string {
	lang := r.Record.Words
	for _, rd := range incomers(r) {
		if h, ok := hourOf(rd.Time); ok && (h >= 22 || h < 5) {
			return lang.F("Reading %s was taken at night and can be held against it.", rd.ID)
		}
	}
	return lang.S("No reading at the incomer was taken at night; one would settle it.")
}

func baseHeadline(lang *say.Language, share float64) string {
	return lang.F("What runs day and night takes %s of the year's energy", percent(share, 0))
}
