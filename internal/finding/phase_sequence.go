package finding

import (
	"fmt"

	"auditgen/internal/audit"
	"auditgen/internal/site"
)

// phaseSequence tells which way the three phases turn, and whether it is the
// same everywhere.
var phaseSequence = Rule{
	ID:    "phase-sequence",
	Title: "Phase sequence",
	Limit: "common practice, no source",
	Judge: judgeSequence,
}

func judgeSequence(r *audit.Result) ([]Finding, []Unassessed) {
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
		return missing("no reading shows which way the phases turn", "sequence of a three-phase reading, or voltage-angle of its three phases")
	}
	f := Finding{
		Severity: InOrder,
		Headline: sequenceForward(len(forward)),
		Why:      "Motors turn the way the phases do: a pump, fan or conveyor that turns backwards does damage, and may hurt someone.",
		Clause:   "common practice, no source",
		Sure:     "As sure as the colours of the leads: the meter sees the order in which they were put on.",
	}
	switch {
	case len(reverse) == 0:
		f.shows("sequence ABC", forward[0].ID)
	case len(forward) == 0:
		f.Headline = sequenceReverse(len(reverse))
		f.shows("sequence ACB", reverse[0].ID)
		f.does(Watch, "Have it written on the main board, and let whoever replaces a motor or a cable check the direction before it is coupled.", licensed, liveWork)
	default:
		f.Headline = sequenceMixed(reverse[0].PointName, len(reverse))
		f.shows("sequence ACB", reverse[0].ID)
		f.shows("sequence ABC", forward[0].ID)
		f.does(Plan, "Put leads and clamps on in the order of the phases and look again; if it stays, have the two exchanged conductors found before a motor is connected there.", licensed, liveWork)
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

func sequenceForward(readings int) string {
	if readings == 1 {
		return "The phases turn forward, ABC, where it was read"
	}
	return "The phases turn forward, ABC, in " + allOf(readings, "readings") + " that show it"
}

func sequenceReverse(readings int) string {
	if readings == 1 {
		return "The phases turn backward, ACB, where it was read"
	}
	return "The phases turn backward, ACB, in " + allOf(readings, "readings") + " that show it"
}

func sequenceMixed(place string, reverse int) string {
	if reverse == 1 {
		return "The phases turn the other way, ACB, at " + place
	}
	return fmt.Sprintf("The phases turn the other way, ACB, in %s, first at %s", plural(reverse, "reading", "readings"), place)
}
