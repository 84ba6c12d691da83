package finding

import (
	"strings"

	"auditgen/internal/audit"
	"auditgen/internal/say"
)

// tooFewReadings tells whether the readings carry what this report claims.
var tooFewReadings = Rule{
	ID:    "too-few-readings",
	Title: say.Key("Readings enough for the claims"),
	Limit: "common practice, no source: half of the year's energy measured, and the incomer read",
	Judge: judgeReadings,
}

// Shares of the year's energy that should rest on readings.
const (
	measuredLeast = 0.5
	measuredGood  = 0.8
)

func judgeReadings(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	share := r.MeasuredShare()
	if !share.Known() {
		return missing(lang.S("no load uses energy, so there is no claim to hold readings against"), lang.S("loads of the visit, with runs"))
	}
	incomer := len(incomers(r)) > 0
	f := Finding{
		Severity: InOrder,
		Headline: measuredHeadline(lang, share.V, incomer),
		Why:      lang.S("What rests on plates and judgement can be far off, and a saving promised on it with it."),
		Clause:   lang.S("common practice, no source"),
		Sure:     lang.S("Certain as a count. One day's readings carry no claim about a week's statistics, a load profile or a season, whatever their number."),
	}
	f.shows(lang.F("%s of the year's energy is of loads that were read", percent(share.V, 0)), "", share.Step)
	if names := unmeasured(r); len(names) > 0 {
		f.shows(lang.F("largest that were not: %s", strings.Join(names, "; ")), "", share.Step)
	}
	if !incomer {
		f.Evidence = append(f.Evidence, Evidence{Text: lang.S("the incomer was not read, so nothing holds the list of loads together")})
	}
	switch {
	case share.V < measuredLeast:
		f.does(lang, Plan, readAction(lang, incomer), licensed, liveWork)
	case share.V < measuredGood || !incomer:
		f.does(lang, Watch, readAction(lang, incomer), licensed, liveWork)
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

func readAction(lang *say.Language, incomer bool) string {
	if incomer {
		return lang.S("Read the loads named on the next visit, each while it runs.")
	}
	return lang.S("Read the incomer on all phases, and the loads named while each runs.")
}

func measuredHeadline(lang *say.Language, share float64, incomer bool) string {
	switch {
	case share == 0:
		return lang.S("No load was measured: the year rests on plates and judgement")
	case share < measuredLeast:
		return lang.F("Only %s of the year's energy rests on readings", percent(share, 0))
	case share < measuredGood && incomer:
		return lang.F("%s of the year's energy rests on no reading", percent(1-share, 0))
	case !incomer:
		return lang.F("%s of the year's energy rests on readings, but the incomer was not read", percent(share, 0))
	}
	return lang.F("%s of the year's energy rests on readings", percent(share, 0))
}
