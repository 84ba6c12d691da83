package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/limits"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
)

// neutralCurrent looks for neutrals that carry as much as a line, and for the
// third harmonic that makes them do so.
var neutralCurrent = Rule{
	ID:    "neutral-current",
	Title: say.Key("Neutral current"),
	Limit: "IEC 60364-5-52, Table E.52.1; a neutral above its lines is common practice, no source",
	Judge: judgeNeutral,
}

// loaded is a reading with what it tells of its neutral.
type loaded struct {
	reading audit.Reading
	audit.Neutral
}

func judgeNeutral(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	var most, third loaded
	for _, rd := range r.Readings {
		n := loaded{rd, r.NeutralOf(rd)}
		if n.Share.Known() && (!most.Share.Known() || n.Share.V > most.Share.V) {
			most = n
		}
		if n.Third.Known() && (!third.Third.Known() || n.Third.V > third.Third.V) {
			third = n
		}
	}
	if !most.Share.Known() && !third.Third.Known() {
		return missing(lang.S("neither a neutral's current nor a third harmonic was read"), lang.S("phases: N with current, or harmonics: current with order 3, of a 3P4W reading"))
	}
	f := Finding{
		Severity: InOrder,
		Why:      lang.S("A neutral is often no larger than its lines and has no protection of its own: what single-phase electronics and lamps send into it can overheat it unseen."),
		Clause:   lang.S("common practice, no source"),
		Sure:     lang.S("As sure as the instrument, for the loads that ran at that moment."),
	}
	neutralFacts(lang, &f, most, third)
	if third.Third.Known() {
		if sizing, ok := limits.NeutralSizing(quantity.Ratio(third.Third.V)); ok {
			f.Clause = clause(lang, sizing.Cite)
			judgeThird(lang, &f, third, sizing)
		}
	}
	switch {
	case most.Share.Known() && most.Share.V > 1:
		f.Headline = neutralAbove(lang, most.reading.PointName, most.Share.V)
		f.does(lang, Plan, lang.S(neutralAction), licensed, liveWork)
	case f.Severity == InOrder && most.Share.Known():
		f.Headline = neutralWithin(lang, most.reading.PointName, most.Share.V)
	case f.Severity == InOrder:
		f.Headline = thirdLow(lang, third.reading.PointName, third.Third.V)
	}
	overBreaker(r, &f, most)
	return []Finding{f}, nil
}

var neutralAction = say.Key("Have the size and the joints of the loaded neutral checked while it is warm, by thermal camera; where it is smaller than the lines, have it enlarged or the loads spread.")

// neutralFacts lists what was read.
func neutralFacts(lang *say.Language, f *Finding, most, third loaded) {
	if most.Share.Known() {
		rd := most.reading
		f.shows(lang.F("%.1f A in the neutral of %s, %s of its highest line", rd.Neutral.V, rd.PointName, percent(most.Share.V, 0)), rd.ID, most.Share.Step, rd.Neutral.Step)
	}
	if third.Third.Known() {
		rd := third.reading
		f.shows(lang.F("third harmonic of %s at %s", percent(third.Third.V, 1), rd.PointName), rd.ID, third.Third.Step)
		if third.Expected.Known() {
			f.shows(lang.F("that third harmonic makes %.1f A in the neutral if the phases are alike", third.Expected.V), rd.ID, third.Expected.Step)
		}
	}
}

// judgeThird says what the third harmonic asks of the cable.
func judgeThird(lang *say.Language, f *Finding, third loaded, s limits.Sizing) {
	switch {
	case s.ByNeutral:
		f.Headline = thirdSizesNeutral(lang, third.reading.PointName, third.Third.V)
		f.does(lang, Plan, lang.S(neutralAction), licensed, liveWork)
	case s.Factor < 1:
		f.Headline = thirdDerates(lang, third.reading.PointName, third.Third.V, float64(s.Factor))
		f.does(lang, Watch, lang.S("Let whoever adds such loads to this board size its cable by the reduced value."), licensed, liveWork)
	}
}

// overBreaker raises the alarm where the neutral carries more than the device in
// front of it is rated for: nothing would switch it off.
func overBreaker(r *audit.Result, f *Finding, most loaded) {
	lang := r.Record.Words
	if !most.Share.Known() || most.reading.At != most.reading.Point {
		return
	}
	share := r.BreakerLoading(most.reading.Point, most.reading.Neutral)
	if !share.Known() || share.V <= 1 {
		return
	}
	f.Headline = neutralOverBreaker(lang, most.reading.PointName, share.V)
	f.shows(lang.F("which is %s of the protective device", percent(share.V, 0)), most.reading.ID, share.Step)
	f.does(lang, ActNow, lang.S("Take the single-phase loads that distort off this board until the neutral has been checked."), licensed, liveWork)
}

func neutralAbove(lang *say.Language, place string, share float64) string {
	return lang.F("The neutral of %s carries more than any of its lines: %s", place, percent(share, 0))
}

func neutralWithin(lang *say.Language, place string, share float64) string {
	return lang.F("No neutral read carries more than its lines; that of %s carries most, %s of one", place, percent(share, 0))
}

func neutralOverBreaker(lang *say.Language, place string, share float64) string {
	return lang.F("The neutral of %s carries %s of what its protective device allows a line, and nothing switches it off", place, percent(share, 0))
}

func thirdLow(lang *say.Language, place string, third float64) string {
	return lang.F("The third harmonic is too low to load a neutral: %s at %s", percent(third, 1), place)
}

func thirdSizesNeutral(lang *say.Language, place string, third float64) string {
	return lang.F("A third harmonic of %s at %s loads the neutral more than the lines", percent(third, 0), place)
}

func thirdDerates(lang *say.Language, place string, third, factor float64) string {
	return lang.F("A third harmonic of %s at %s takes the cable's capacity down to %s", percent(third, 0), place, percent(factor, 0))
}
