package finding

import (
	"fmt"
	"strings"

	"auditgen/internal/audit"
)

// tooFewReadings tells whether the readings carry what this report claims.
var tooFewReadings = Rule{
	ID:    "too-few-readings",
	Title: "Readings enough for the claims",
	Limit: "common practice, no source: half of the year's energy measured, and the incomer read",
	Judge: judgeReadings,
}

// Shares of the year's energy that should rest on readings.
const (
	measuredLeast = 0.5
	measuredGood  = 0.8
)

func judgeReadings(r *audit.Result) ([]Finding, []Unassessed) {
	share := r.MeasuredShare()
	if !share.Known() {
		return missing("no load uses energy, so there is no claim to hold readings against", "loads of the visit, with runs")
	}
	incomer := len(incomers(r)) > 0
	f := Finding{
		Severity: InOrder,
		Headline: measuredHeadline(share.V, incomer),
		Why:      "What rests on plates and judgement can be far off, and a saving promised on it with it.",
		Clause:   "common practice, no source",
		Sure:     "Certain as a count. One day's readings carry no claim about a week's statistics, a load profile or a season, whatever their number.",
	}
	f.shows(fmt.Sprintf("%s of the year's energy is of loads that were read", percent(share.V, 0)), "", share.Step)
	if names := unmeasured(r); len(names) > 0 {
		f.shows("largest that were not: "+strings.Join(names, "; "), "", share.Step)
	}
	if !incomer {
		f.Evidence = append(f.Evidence, Evidence{Text: "the incomer was not read, so nothing holds the list of loads together"})
	}
	switch {
	case share.V < measuredLeast:
		f.does(Plan, readAction(incomer), licensed, liveWork)
	case share.V < measuredGood || !incomer:
		f.does(Watch, readAction(incomer), licensed, liveWork)
	}
	return []Finding{f}, nil
}

// unmeasured names the loads without a reading that use most, three at most.
func unmeasured(r *audit.Result) []string {
	var ls []audit.Load
	for _, l := range r.Loads {
		if len(l.Readings) == 0 && l.Energy.Value > 0 {
			ls = append(ls, l)
		}
	}
	byEnergy(ls)
	return inSentences(names(ls[:min(3, len(ls))]))
}

func readAction(incomer bool) string {
	if incomer {
		return "Read the loads named on the next visit, each while it runs."
	}
	return "Read the incomer on all phases, and the loads named while each runs."
}

func measuredHeadline(share float64, incomer bool) string {
	switch {
	case share == 0:
		return "No load was measured: the year rests on plates and judgement"
	case share < measuredLeast:
		return fmt.Sprintf("Only %s of the year's energy rests on readings", percent(share, 0))
	case !incomer:
		return fmt.Sprintf("%s of the year's energy rests on readings, but the incomer was not read", percent(share, 0))
	}
	return fmt.Sprintf("%s of the year's energy rests on readings", percent(share, 0))
}
