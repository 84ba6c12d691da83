package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/limits"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
)

// capacitorCondition holds the current and the voltage of each bank against its
// plate.
var capacitorCondition = Rule{
	ID:    "capacitor-condition",
	Title: say.Key("Condition of capacitors"),
	Limit: "IEC 60831-1 or IEEE Std 18, by the site's family of limits; failed elements are common practice, no source",
	Judge: judgeCapacitors,
}

const (
	failedElements = 0.80 // of the rated current, below which elements have failed
	blownFuse      = 0.10 // unbalance of its currents, above which a fuse has
)

func judgeCapacitors(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	banks := r.Banks()
	if len(banks) == 0 {
		return missing(lang.S("no capacitors are listed, and nothing says that there are none"), lang.S("capacitors in site.yaml, where there are any, with rated and steps"))
	}
	current, ok := limits.Figure(r.Family.Capacitor, "capacitor", "current")
	voltage, ok2 := limits.Figure(r.Family.Capacitor, "capacitor", "voltage")
	if !ok || !ok2 {
		return missing(lang.S("the family of limits sets none for capacitors"), lang.S("supply: limits in site.yaml"))
	}
	var fs []Finding
	for _, b := range banks {
		if b.Current.Known() || b.Voltage.Known() {
			fs = append(fs, capacitorFinding(lang, b, current, voltage))
		}
	}
	if len(fs) == 0 {
		return missing(lang.S("neither current nor line voltages of the capacitors were read"), lang.S("a reading at the way of the bank with current by phase and all steps on, and lines with voltage"))
	}
	return fs, nil
}

func capacitorFinding(lang *say.Language, b audit.BankState, current, voltage limits.Limit[quantity.Ratio]) Finding {
	f := Finding{
		ID:       "capacitor-condition." + b.ID,
		Severity: InOrder,
		Headline: capacitorWell(lang, b),
		Why:      lang.S("Capacitors that carry more than their plate allows overheat, and may burst; failed ones no longer correct what is paid for."),
		Clause:   clause(lang, current.Cite),
		Sure:     lang.S("As sure as the instrument, with the steps that were on: note which were."),
	}
	if b.Current.Known() {
		f.shows(lang.F("highest current %s of the rated current, limit %s", percent(b.Current.V, 0), percent(float64(current.Value), 0)), b.Reading, b.Current.Step)
	}
	if b.Unequal.Known() {
		f.shows(lang.F("its phases differ by %s", percent(b.Unequal.V, 0)), b.Reading, b.Unequal.Step)
	}
	if b.Voltage.Known() {
		f.shows(lang.F("voltage at the capacitors %s of their plate's, limit %s", percent(b.Voltage.V, 0), percent(float64(voltage.Value), 0)), b.Reading, b.Voltage.Step)
	}
	switch {
	case b.Current.Known() && b.Current.V > float64(current.Value):
		f.Headline = capacitorOverloaded(lang, b, float64(current.Value))
		f.does(lang, ActNow, lang.S("Have the bank switched off until its harmonic currents and its resonance have been looked at."), licensed, capacitorsWait)
	case b.Voltage.Known() && b.Voltage.V > float64(voltage.Value):
		f.Headline = capacitorOvervoltage(lang, b, float64(voltage.Value))
		f.does(lang, Plan, lang.S("Have capacitors of a higher rated voltage fitted."), licensed, capacitorsWait)
	case b.Unequal.Known() && b.Unequal.V > blownFuse:
		f.Headline = capacitorUnequal(lang, b)
		f.does(lang, Plan, lang.S("Have fuses and elements of the bank tested, switched off and discharged."), licensed, capacitorsWait)
	case b.Current.Known() && b.Current.V < failedElements:
		f.Headline = capacitorWeak(lang, b)
		f.does(lang, Plan, lang.S("Have the bank's steps and elements tested; make sure first that all steps were on."), licensed, capacitorsWait)
	}
	return f
}

func capacitorWell(lang *say.Language, b audit.BankState) string {
	if b.Current.Known() {
		return lang.F("%s takes %s of its rated current", b.Name, percent(b.Current.V, 0))
	}
	return lang.F("%s stands at %s of its rated voltage", b.Name, percent(b.Voltage.V, 0))
}

func capacitorOverloaded(lang *say.Language, b audit.BankState, limit float64) string {
	return lang.F("%s carries %s of its rated current, above the %s that it may", b.Name, percent(b.Current.V, 0), percent(limit, 0))
}

func capacitorOvervoltage(lang *say.Language, b audit.BankState, limit float64) string {
	return lang.F("%s stands at %s of its rated voltage, above the %s that it may", b.Name, percent(b.Voltage.V, 0), percent(limit, 0))
}

func capacitorUnequal(lang *say.Language, b audit.BankState) string {
	return lang.F("The phases of %s differ by %s: a fuse or an element has failed", b.Name, percent(b.Unequal.V, 0))
}

func capacitorWeak(lang *say.Language, b audit.BankState) string {
	return lang.F("%s takes only %s of its rated current: elements have failed, or steps were off", b.Name, percent(b.Current.V, 0))
}
