package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/limits"
	"auditgen/internal/say"
)

// breakerLoading holds the current of each feeder against the rating of its
// protective device.
var breakerLoading = Rule{
	ID:    "breaker-loading",
	Title: say.Key("Loading of feeders and breakers"),
	Limit: "IEC 60364-4-43 or NEC 210.20(A) and 215.3, by the site's family of limits",
	Judge: judgeBreakers,
}

// feeder is a current behind a protective device.
type feeder struct {
	place, rating, reading string
	current, share         audit.Value
	expected               bool // at the year's highest demand, not read
}

func judgeBreakers(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	limit, ok := limits.Figure(r.Family.Overload, "overload", "continuous")
	if !ok {
		return missing(lang.S("the family of limits sets none for circuits"), lang.S("supply: limits in site.yaml"))
	}
	fs := feeders(r)
	if len(fs) == 0 {
		return missing(lang.S("no feeder was read whose protective device is stated"), lang.S("points: breaker in site.yaml, and a reading with at: that point and current by phase"))
	}
	worst := fs[0]
	for _, x := range fs {
		if x.share.V > worst.share.V {
			worst = x
		}
	}
	f := Finding{
		Severity: InOrder,
		Headline: feedersWithin(lang, len(fs), worst),
		Why:      lang.S("A breaker at its rating trips on a warm day; a cable behind one that does not trip ages, and may burn."),
		Clause:   clause(lang, limit.Cite),
		Sure:     spotWords(lang, limit.Cite),
	}
	for _, x := range fs {
		if x.share.V > float64(limit.Value) || x == worst {
			f.shows(feederFact(lang, x), x.reading, x.share.Step)
		}
	}
	switch {
	case worst.share.V > 1:
		f.Headline = feederOver(lang, worst)
		f.does(lang, ActNow, lang.S("Take load off the feeder today; have the device's rating, its setting and the cable checked before it is loaded like this again."), licensed, liveWork)
	case worst.share.V > float64(limit.Value):
		f.Headline = feederAboveLimit(lang, worst, float64(limit.Value))
		f.does(lang, Plan, lang.S("Find out whether the feeder carries this for three hours or more; if so, have load moved or the feeder enlarged."), licensed, liveWork)
	case worst.share.V > 0.8:
		f.Headline = feederNear(lang, worst)
		f.does(lang, Watch, lang.S("Add nothing to this feeder before it has been logged for a week."), licensed, liveWork)
	}
	return []Finding{f}, nil
}

// feeders lists the currents of whole points with a stated protective device,
// and at the incomer that of the year's highest demand.
func feeders(r *audit.Result) []feeder {
	var fs []feeder
	for _, rd := range r.Readings {
		if rd.At != rd.Point || misread(rd) {
			continue
		}
		place, _ := r.Record.Site.Points.Get(rd.Point)
		i := r.HighestCurrent(rd)
		if share := r.BreakerLoading(rd.Point, i); share.Known() {
			fs = append(fs, feeder{rd.PointName, place.Breaker.Text, rd.ID, i, share, false})
		}
	}
	for _, n := range r.Tree {
		place, _ := r.Record.Site.Points.Get(n.ID)
		if n.Depth > 0 || !place.Breaker.IsSet() {
			continue
		}
		i := r.MaximumCurrent()
		if share := r.BreakerLoading(n.ID, i); share.Known() {
			fs = append(fs, feeder{n.Name, place.Breaker.Text, "", i, share, true})
		}
	}
	return fs
}

// misread tells whether a doubt says that a reading's current is off by a ratio
// or a unit; one that is just high stands.
func misread(rd audit.Reading) bool {
	for _, d := range rd.Doubts {
		if d.Severe && d.ID != "current-above-breaker" && d.ID != "current-reversed" {
			return true
		}
	}
	return false
}

func feederFact(lang *say.Language, x feeder) string {
	if x.expected {
		return lang.F("%.0f A expected at %s at the year's highest demand, %s of %s", x.current.V, x.place, percent(x.share.V, 0), x.rating)
	}
	return lang.F("%.1f A at %s, %s of %s", x.current.V, x.place, percent(x.share.V, 0), x.rating)
}

func feedersWithin(lang *say.Language, n int, worst feeder) string {
	if n == 1 {
		return lang.F("%s carries %s of its protective device", worst.place, percent(worst.share.V, 0))
	}
	return lang.F("No feeder read carries more than %s of its protective device", percent(worst.share.V, 0))
}

func feederOver(lang *say.Language, x feeder) string {
	return lang.F("%s carries more than its protective device is rated for: %s of %s", x.place, percent(x.share.V, 0), x.rating)
}

func feederAboveLimit(lang *say.Language, x feeder, limit float64) string {
	return lang.F("%s carries %s of its protective device, above the %s for continuous load", x.place, percent(x.share.V, 0), percent(limit, 0))
}

func feederNear(lang *say.Language, x feeder) string {
	return lang.F("%s is near the rating of its protective device: %s of %s", x.place, percent(x.share.V, 0), x.rating)
}
