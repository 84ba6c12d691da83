package finding

import (
	"slices"

	"auditgen/internal/audit"
	"auditgen/internal/limits"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
)

// voltageUnbalance holds the unbalance of the line voltages against the limit
// for the measure that the limit is set for.
var voltageUnbalance = Rule{
	ID:    "voltage-unbalance",
	Title: say.Key("Voltage unbalance"),
	Limit: "NEMA MG 1 for motors; the supply's limit of the site's family",
	Judge: judgeUnbalance,
}

func judgeUnbalance(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	if singlePhase(r) {
		return nil, nil
	}
	var worst audit.Reading
	for _, rd := range r.Readings {
		if rd.VoltageUnbalance.Known() && (!worst.VoltageUnbalance.Known() || rd.VoltageUnbalance.V > worst.VoltageUnbalance.V) {
			worst = rd
		}
	}
	if !worst.VoltageUnbalance.Known() {
		return nil, []Unassessed{{Why: lang.S("the three line voltages were not read together"), Measure: lang.S("lines: AB, BC and CA of one reading, each with voltage")}}
	}
	// The limit that is broken worst speaks; if none is, the strictest of all.
	var first, said Finding
	for _, s := range []limits.Standard{r.Family.MotorUnbalance, r.Family.SupplyUnbalance} {
		for _, l := range limits.Unbalance(s) {
			f := unbalanceFinding(r, worst, l)
			if first.Headline == "" {
				first = f
			}
			if f.Severity != InOrder && (said.Headline == "" || slices.Index(Severities, f.Severity) < slices.Index(Severities, said.Severity)) {
				said = f
			}
		}
	}
	switch {
	case said.Headline != "":
		return []Finding{said}, nil
	case first.Headline == "":
		return missing(lang.S("the family of limits has none for unbalance"), lang.S("supply: limits in site.yaml"))
	}
	return []Finding{first}, nil
}

// stop is the unbalance above which NEMA MG 1 advises against running a motor
// at all.
const stop = 0.05

func unbalanceFinding(r *audit.Result, rd audit.Reading, l limits.Limit[quantity.Ratio]) Finding {
	lang := r.Record.Words
	u := rd.VoltageUnbalance
	name := lang.S("voltage unbalance (largest deviation from the mean)")
	if l.Measure == limits.NegativeSequence {
		u, name = rd.NegativeSequence, lang.S("negative-sequence voltage unbalance")
	}
	f := Finding{
		Severity: InOrder,
		Headline: lang.F("The three phases' voltages are balanced to %s", percent(u.V, 1)),
		Why:      lang.S("Unbalanced voltage drives a current in motors that only heats them: a few percent cost a motor a good part of its life."),
		Clause:   clause(lang, l.Cite),
		Sure:     spotWords(lang, l.Cite),
		Evidence: []Evidence{{
			Text:    lang.F("%s of %s at %s, limit %s", name, percent(u.V, 2), rd.PointName, percent(float64(l.Value), 1)),
			Reading: rd.ID, Step: u.Step,
		}},
		Steps: []string{u.Step},
	}
	if u.V <= float64(l.Value) {
		return f
	}
	f.Headline = unbalanceAbove(lang, u.V, l)
	severity := Plan
	if l.Measure == limits.NEMA && l.Value >= stop {
		f.Headline = unbalanceStops(lang, u.V)
		severity = ActNow
	}
	f.does(lang, severity, unbalanceAction(lang, severity), licensedAndSupplier, liveWork)
	if l.Measure != limits.NEMA {
		return f
	}
	if d, ok := limits.Derating(quantity.Ratio(rd.VoltageUnbalance.V)); ok && d.Value < 1 {
		f.shows(lang.F("motors to be loaded to at most %s of their rating meanwhile (%s)", percent(float64(d.Value), 0), d.Cite.In(lang)), rd.ID)
	}
	deratedMotors(r, rd, &f)
	return f
}

// deratedMotors names the motors that are loaded beyond what the unbalance leaves
// them.
func deratedMotors(r *audit.Result, rd audit.Reading, f *Finding) {
	lang := r.Record.Words
	d, ok := limits.Derating(quantity.Ratio(rd.VoltageUnbalance.V))
	for _, m := range r.Motors() {
		if m.Loading.Known() && (!ok || m.Loading.V > float64(d.Value)) {
			f.shows(motorLoadedTo(lang, m), m.Reading, m.Loading.Step)
		}
	}
}

func motorLoadedTo(lang *say.Language, m audit.Motor) string {
	name, share := audit.InSentence(m.Name), percent(m.Loading.V, 0)
	switch m.By {
	case audit.BySlip:
		return lang.F("the motor of %s is loaded to %s, by slip (from the plate)", name, share)
	case audit.ByCurrent:
		return lang.F("the motor of %s is loaded to %s, by current (from the plate)", name, share)
	}
	return lang.F("the motor of %s is loaded to %s", name, share)
}

func unbalanceAction(lang *say.Language, s Severity) string {
	if s == ActNow {
		return lang.S("Stop three-phase motors that are not needed, and look for a loose joint, a blown fuse of a capacitor bank or a lost phase; if the unbalance remains with the site's load off, ask the supplier.")
	}
	return lang.S("Spread single-phase loads more evenly over the phases; look for a loose joint, a blown fuse of a capacitor bank or a lost phase; if the unbalance remains with the site's load off, ask the supplier.")
}

func unbalanceAbove(lang *say.Language, u float64, l limits.Limit[quantity.Ratio]) string {
	if l.Measure == limits.NEMA {
		return lang.F("Voltage unbalance of %s is above the %s that motors stand at full load", percent(u, 1), percent(float64(l.Value), 0))
	}
	return lang.F("Voltage unbalance of %s is above the supply's limit of %s", percent(u, 1), percent(float64(l.Value), 0))
}

func unbalanceStops(lang *say.Language, u float64) string {
	return lang.F("Voltage unbalance of %s is above the 5 %% at which motors should not run at all", percent(u, 1))
}
