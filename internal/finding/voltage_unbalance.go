package finding

import (
	"fmt"

	"auditgen/internal/audit"
	"auditgen/internal/limits"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
)

// voltageUnbalance holds the unbalance of the line voltages against the limit
// for the measure that the limit is set for.
var voltageUnbalance = Rule{
	ID:    "voltage-unbalance",
	Title: "Voltage unbalance",
	Limit: "NEMA MG 1 for motors; the supply's limit of the site's family",
	Judge: judgeUnbalance,
}

func judgeUnbalance(r *audit.Result) ([]Finding, []Unassessed) {
	if s := r.Record.Site.Supply.System.Value; s == site.OnePhaseTwoWire || s == site.OnePhaseThreeWire {
		return nil, nil
	}
	var worst audit.Reading
	for _, rd := range r.Readings {
		if rd.VoltageUnbalance.Known() && (!worst.VoltageUnbalance.Known() || rd.VoltageUnbalance.V > worst.VoltageUnbalance.V) {
			worst = rd
		}
	}
	if !worst.VoltageUnbalance.Known() {
		return nil, []Unassessed{{Why: "the three line voltages were not read together", Measure: "lines: AB, BC and CA of one reading, each with voltage"}}
	}
	var fs []Finding
	for _, s := range []limits.Standard{r.Family.MotorUnbalance, r.Family.SupplyUnbalance} {
		for _, l := range limits.Unbalance(s) {
			fs = append(fs, unbalanceFinding(worst, l))
		}
	}
	// The strictest that is broken speaks; if none is, the strictest of all.
	for _, f := range fs {
		if f.Severity != InOrder {
			return []Finding{f}, nil
		}
	}
	if len(fs) == 0 {
		return nil, []Unassessed{{Why: "the family of limits has none for unbalance", Measure: "supply: limits in site.yaml"}}
	}
	return fs[:1], nil
}

func unbalanceFinding(rd audit.Reading, l limits.Limit[quantity.Ratio]) Finding {
	u := rd.VoltageUnbalance
	name := "voltage unbalance (largest deviation from the mean)"
	if l.Measure == limits.NegativeSequence {
		u, name = rd.NegativeSequence, "negative-sequence voltage unbalance"
	}
	f := Finding{
		Severity: InOrder,
		Headline: fmt.Sprintf("The three phases' voltages are balanced to %s", percent(u.V, 1)),
		Why:      "Unbalanced voltage drives a current in motors that only heats them: a few percent cost a motor a good part of its life.",
		Clause:   clause(l.Cite),
		Sure:     spotWords(l.Cite),
		Evidence: []Evidence{{
			Text:    fmt.Sprintf("%s of %s at %s, limit %s", name, percent(u.V, 2), rd.PointName, percent(float64(l.Value), 1)),
			Reading: rd.ID, Step: u.Step,
		}},
		Steps: []string{u.Step},
	}
	if u.V <= float64(l.Value) {
		return f
	}
	f.Severity = Plan
	f.Headline = fmt.Sprintf("Voltage unbalance of %s is above the %s that motors stand", percent(u.V, 1), percent(float64(l.Value), 0))
	f.Action = "Spread single-phase loads more evenly over the phases; look for a loose joint or a blown fuse of a capacitor bank; if it remains with the site's load off, ask the supplier."
	f.Who, f.Licensed, f.Caution = licensed, true, liveWork
	if d, ok := limits.Derating(quantity.Ratio(rd.VoltageUnbalance.V)); ok && l.Measure == limits.NEMA {
		f.Evidence = append(f.Evidence, Evidence{Text: fmt.Sprintf("motors to be loaded to at most %s of their rating meanwhile", percent(float64(d.Value), 0))})
	}
	return f
}
