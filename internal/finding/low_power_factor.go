package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/say"
)

// lowPowerFactor tells what reactive current costs under this very tariff: the
// year is priced again at a good power factor.
var lowPowerFactor = Rule{
	ID:    "low-power-factor",
	Title: say.Key("Power factor"),
	Limit: "the tariff in force; 0.95 as a target and a plan from a hundredth of the year's cost are common practice, no source",
	Judge: judgePowerFactor,
}

// target is the power factor that correction commonly aims at.
const target = 0.95

// worthMending is the share of the year's cost from which a low power factor
// deserves a plan.
const worthMending = 0.01

func judgePowerFactor(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	worst, at := 1.0, -1
	for i, m := range r.Months {
		if m.PF.Known() && m.PF.V < worst {
			worst, at = m.PF.V, i
		}
	}
	if at < 0 {
		return nil, []Unassessed{{Why: lang.S("no reactive power is known"), Measure: lang.S("pf, reactive or apparent of the readings")}}
	}
	cost, err := r.LowPowerFactor(target)
	if err != nil {
		return nil, []Unassessed{{Why: lang.F("the tariff could not be priced at another power factor: %s", err), Measure: lang.S("the tariff's charges")}}
	}
	m := r.Months[at]
	f := Finding{
		Severity: InOrder,
		Headline: lang.F("Power factor is good: %.2f in the lowest month", worst),
		Why:      lang.S("Current that does no work heats cables and transformers, takes up capacity, and where the tariff charges for it costs money."),
		Clause:   lang.S("tariff in force; the target of 0.95 and a plan from a hundredth of the year's cost are common practice, no source"),
		Sure:     lang.S("Likely: it follows from the readings of each load and from how long each is taken to run."),
		Evidence: []Evidence{{Text: lang.F("average power factor of %.2f in %s", worst, audit.MonthName(lang, at)), Step: m.PF.Step}},
		Steps:    []string{m.PF.Step, m.Energy.Step, m.Reactive.Step},
	}
	if worst >= target {
		return []Finding{f}, nil
	}
	for _, rd := range incomers(r) {
		if rd.Total.PF.Known() {
			f.Evidence = append(f.Evidence, Evidence{Text: lang.F("power factor of %.2f at %s while it was read", rd.Total.PF.V, rd.PointName), Reading: rd.ID, Step: rd.Total.PF.Step})
		}
	}
	correction(r, &f)
	f.Severity = Watch
	f.Headline = lang.F("Power factor falls to %.2f; this tariff charges nothing for it", worst)
	if cost.Value < 0.5 {
		f.Action = lang.S("Leave it as it is: under this tariff correction earns nothing. Look again when the tariff changes, or where cables or a transformer are short of room.")
		f.Who, f.Licensed, f.Caution = lang.S("The client, when a new tariff is offered."), false, ""
	}
	if cost.Value >= 0.5 {
		if cost.Value >= worthMending*r.Cost.Value {
			f.Severity = Plan
		}
		f.Headline = lang.F("Power factor falls to %.2f and costs {cost} a year", worst)
		f.Cost = &cost
		f.Steps = append([]string{cost.Step}, f.Steps...)
	}
	return []Finding{f}, nil
}

// Capacitors that are not worth naming: a hundredth of the load's power, and what
// rounds to nothing.
const (
	negligible = 0.01
	leastVars  = 5 // var
)

// correction adds what would mend it: the capacitors that bring the incomer's
// load to the target.
func correction(r *audit.Result, f *Finding) {
	lang := r.Record.Words
	f.Action = lang.S("Have automatic power-factor correction designed for the site, switched in steps, after the harmonic currents have been looked at.")
	f.Who, f.Licensed, f.Caution = lang.S(licensed), true, lang.S(capacitorsWait)
	for _, rd := range incomers(r) {
		need, order := r.Correction(rd, target)
		if !need.Known() || need.V < negligible*rd.Total.Power.V || need.V < leastVars {
			continue
		}
		f.Evidence = append(f.Evidence, Evidence{Text: lang.F("%s would bring the load of %s to %.2f", kilo(need.V, "kvar"), rd.ID, target), Reading: rd.ID, Step: need.Step})
		if order.Known() {
			f.Evidence = append(f.Evidence, Evidence{Text: lang.F("with the supply they would resonate near order %.1f", order.V), Step: order.Step})
		}
		return
	}
}
