package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/limits"
	"auditgen/internal/say"
)

// voltageDrop compares voltages at the boards with those at the incomer.
var voltageDrop = Rule{
	ID:    "voltage-drop",
	Title: say.Key("Voltage drop within the installation"),
	Limit: "IEC 60364-5-52, Annex G, or NEC 210.19(A) and 215.2(A), by the site's family of limits",
	Judge: judgeDrop,
}

func judgeDrop(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	whole, ok := limits.Figure(r.Family.VoltageDrop, "voltage-drop", "whole")
	sensitive, ok2 := limits.Figure(r.Family.VoltageDrop, "voltage-drop", "sensitive")
	if !ok || !ok2 {
		return missing(lang.S("the family of limits sets none for voltage drop"), lang.S("supply: limits in site.yaml"))
	}
	worst, n := worstDrop(r)
	if n == 0 {
		return missing(lang.S("no voltage was read both at the incomer and elsewhere"), lang.S("voltage by phase of a reading at the incomer and of one at a board or load"))
	}
	f := Finding{
		Severity: InOrder,
		Headline: dropWithin(lang, worst.Place, worst.Share.V),
		Why:      lang.S("What is lost on the way heats cables and leaves motors and lamps with less; a loose joint shows here first."),
		Clause:   clause(lang, whole.Cite),
		Sure:     lang.S("An indication: the two readings were not taken at one moment, and the supply may have moved between them. Reading both ends together would settle it."),
	}
	f.shows(lang.F("%.1f V less at %s than at the incomer on phase %s, %s of nominal; limit %s, for lighting or a part alone %s",
		worst.Fall.V, worst.To, worst.Phase, percent(worst.Share.V, 1), percent(float64(whole.Value), 0), percent(float64(sensitive.Value), 0)), worst.To, worst.Share.Step, worst.Fall.Step)
	switch {
	case worst.Share.V > float64(whole.Value):
		f.Headline = dropAbove(lang, worst.Place, worst.Share.V, float64(whole.Value))
		f.does(lang, Plan, lang.S("Read both ends together under load; then have joints and terminals looked at with a camera, and the cable's size checked against its load."), licensed, liveWork)
	case worst.Share.V > float64(sensitive.Value):
		f.Headline = dropNear(lang, worst.Place, worst.Share.V)
		f.does(lang, Watch, lang.S("Read both ends together under full load before anything is added there."), licensed, liveWork)
	}
	return []Finding{f}, nil
}

// worstDrop is the largest fall of voltage from a reading at the incomer to any
// other, with the number of readings that could be compared.
func worstDrop(r *audit.Result) (worst audit.Drop, compared int) {
	in := incomers(r)
	if len(in) == 0 {
		return worst, 0
	}
	for _, rd := range r.Readings {
		if isIncomer(r, rd) || misread(rd) {
			continue
		}
		d, ok := r.DropTo(in[0], rd)
		if !ok {
			continue
		}
		if compared++; compared == 1 || d.Share.V > worst.Share.V {
			worst = d
		}
	}
	return worst, compared
}

func dropWithin(lang *say.Language, place string, share float64) string {
	if share <= 0 {
		return lang.S("No voltage is lost on the way to the boards, as far as the readings tell")
	}
	return lang.F("At most %s of the voltage is lost on the way to the loads, at %s", percent(share, 1), place)
}

func dropAbove(lang *say.Language, place string, share, limit float64) string {
	return lang.F("Voltage drops by %s on the way to %s, above the %s advised", percent(share, 1), place, percent(limit, 0))
}

func dropNear(lang *say.Language, place string, share float64) string {
	return lang.F("Voltage drops by %s on the way to %s", percent(share, 1), place)
}
