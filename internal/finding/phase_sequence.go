package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/say"
	"auditgen/internal/site"
)

// phaseSequence tells which way the three phases turn, and whether it is the
// same everywhere.
var phaseSequence = Rule{
	ID:    "phase-sequence",
	Title: say.Key("Phase sequence"),
	Limit: "common practice, no source",
	Judge: judgeSequence,
}

func judgeSequence(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	if singlePhase(r) {
		return nil, nil
	}
	var forward, reverse []audit.Reading
	for _, rd := range r.Readings {
		switch sequenceOf(rd) {
		case site.Forward:
			forward = append(forward, rd)
		case site.Reverse:
			reverse = append(reverse, rd)
		}
	}
	if len(forward)+len(reverse) == 0 {
		return missing(lang.S("no reading shows which way the phases turn"), lang.S("sequence of a three-phase reading, or voltage-angle of its three phases"))
	}
	f := Finding{
		Severity: InOrder,
		Headline: sequenceForward(lang, len(forward)),
		Why:      lang.S("Motors turn the way the phases do: a pump, fan or conveyor that turns backwards does damage, and may hurt someone."),
		Clause:   lang.S("common practice, no source"),
		Sure:     lang.S("As sure as the colours of the leads: the meter sees the order in which they were put on."),
	}
	switch {
	case len(reverse) == 0:
		f.shows(lang.S("sequence ABC"), forward[0].ID)
	case len(forward) == 0:
		f.Headline = sequenceReverse(lang, len(reverse))
		f.shows(lang.S("sequence ACB"), reverse[0].ID)
		f.does(lang, Watch, lang.S("Have it written on the main board, and let whoever replaces a motor or a cable check the direction before it is coupled."), licensed, liveWork)
	default:
		f.Headline = sequenceMixed(lang, reverse[0].PointName, len(reverse))
		f.shows(lang.S("sequence ACB"), reverse[0].ID)
		f.shows(lang.S("sequence ABC"), forward[0].ID)
		f.does(lang, Plan, lang.S("Put leads and clamps on in the order of the phases and look again; if it stays, have the two exchanged conductors found before a motor is connected there."), licensed, liveWork)
	}
	return []Finding{f}, nil
}

// sequenceOf is what a reading shows, or what the angles of its voltages say.
func sequenceOf(rd audit.Reading) site.Sequence {
	c := rd.Components
	switch {
	case rd.Sequence != "":
		return rd.Sequence
	case !c.Positive.Known() || !c.Negative.Known():
		return ""
	case c.Negative.V > c.Positive.V:
		return site.Reverse
	}
	return site.Forward
}

func singlePhase(r *audit.Result) bool {
	s := r.Record.Site.Supply.System.Value
	return s == site.OnePhaseTwoWire || s == site.OnePhaseThreeWire
}

func sequenceForward(lang *say.Language, readings int) string {
	switch readings {
	case 1:
		return lang.S("The phases turn forward, ABC, where it was read")
	case 2:
		return lang.S("The phases turn forward, ABC, in both readings that show it")
	}
	return lang.F("The phases turn forward, ABC, in all %s readings that show it", numeral(lang, readings))
}

func sequenceReverse(lang *say.Language, readings int) string {
	switch readings {
	case 1:
		return lang.S("The phases turn backward, ACB, where it was read")
	case 2:
		return lang.S("The phases turn backward, ACB, in both readings that show it")
	}
	return lang.F("The phases turn backward, ACB, in all %s readings that show it", numeral(lang, readings))
}

func sequenceMixed(lang *say.Language, place string, reverse int) string {
	if reverse == 1 {
		return lang.F("The phases turn the other way, ACB, at %s", place)
	}
	return lang.F("The phases turn the other way, ACB, in %s readings, first at %s", numeral(lang, reverse), place)
}
