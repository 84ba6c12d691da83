package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/say"
	"auditgen/internal/site"
)

// currentUnbalance looks for a board whose phases are loaded unequally.
var currentUnbalance = Rule{
	ID:    "current-unbalance",
	Title: say.Key("Current unbalance"),
	Limit: "common practice, no source: 10 % at the incomer, 30 % at a board",
	Judge: judgeCurrentUnbalance,
}

// Unbalances of current from which a second look, and a plan, are worth while.
const (
	unbalancedIncomer = 0.10
	unbalancedBoard   = 0.30
	badlyUnbalanced   = 0.30 // at the incomer
)

func judgeCurrentUnbalance(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	if singlePhase(r) {
		return nil, nil
	}
	worst, limit, read := audit.Reading{}, unbalancedBoard, 0
	for _, rd := range r.Readings {
		if !rd.CurrentUnbalance.Known() || rd.At != rd.Point {
			continue
		}
		read++
		l := unbalancedBoard
		if isIncomer(r, rd) {
			l = unbalancedIncomer
		}
		if !worst.CurrentUnbalance.Known() || rd.CurrentUnbalance.V/l > worst.CurrentUnbalance.V/limit {
			worst, limit = rd, l
		}
	}
	if read == 0 {
		return missing(lang.S("no board was read on all three phases"), lang.S("current of phases A, B and C of a reading with at: the incomer or a board"))
	}
	u := worst.CurrentUnbalance
	f := Finding{
		Severity: InOrder,
		Headline: currentsAlike(lang, read, worst.PointName, u.V),
		Why:      lang.S("The phase that carries more than its share sets the size of everything upstream, heats the neutral, and trips first."),
		Clause:   lang.S("common practice, no source"),
		Sure:     lang.S("As sure as the instrument, for the loads that ran at that moment: read again at another hour before circuits are moved."),
	}
	f.shows(lang.F("current unbalance of %s at %s", percent(u.V, 0), worst.PointName), worst.ID, u.Step)
	f.shows(lineCurrents(lang, worst.Phases), worst.ID)
	if u.V <= limit {
		return []Finding{f}, nil
	}
	f.Headline = currentsDiffer(lang, worst.PointName, u.V)
	severity := Watch
	if isIncomer(r, worst) && u.V > badlyUnbalanced {
		severity = Plan
	}
	f.does(lang, severity, lang.S("Have single-phase circuits spread over the phases, the largest first; do it together with other work on the board."), licensed, liveWork)
	return []Finding{f}, nil
}

// lineCurrents lists the currents of the lines.
func lineCurrents(lang *say.Language, phases []audit.Phase) string {
	var words []string
	for _, p := range phases {
		if p.Current.Known() && site.PhaseIndex(p.Name) != site.Neutral {
			words = append(words, lang.F("%.1f A on %s", p.Current.V, p.Name))
		}
	}
	return join(lang, words)
}

func isIncomer(r *audit.Result, rd audit.Reading) bool {
	place, _ := r.Record.Site.Points.Get(rd.Point)
	return !place.From.IsSet() && rd.At == rd.Point
}

func currentsAlike(lang *say.Language, boards int, place string, u float64) string {
	switch boards {
	case 1:
		return lang.F("The phases of %s carry alike, to within %s", place, percent(u, 0))
	case 2:
		return lang.F("The phases carry alike enough on both boards read; %s differs most, by %s", place, percent(u, 0))
	}
	return lang.F("The phases carry alike enough on all %s boards read; %s differs most, by %s", numeral(lang, boards), place, percent(u, 0))
}

func currentsDiffer(lang *say.Language, place string, u float64) string {
	return lang.F("The phases of %s are loaded unequally: one is %s off their mean", place, percent(u, 0))
}
