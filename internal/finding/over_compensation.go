package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/say"
)

// overCompensation looks for reactive power that leads at the incomer.
var overCompensation = Rule{
	ID:    "over-compensation",
	Title: say.Key("Leading reactive power"),
	Limit: "common practice, no source: no lead below 0.98 at the incomer",
	Judge: judgeLeading,
}

// leadAllowed is the leading power factor that a controller's last step may
// leave.
const leadAllowed = 0.98

func judgeLeading(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	var worst audit.Reading
	read := 0
	for _, rd := range incomers(r) {
		if !rd.Total.Reactive.Known() || !rd.Trusted() {
			continue
		}
		if read++; read == 1 || rd.Total.Reactive.V < worst.Total.Reactive.V {
			worst = rd
		}
	}
	if read == 0 {
		return missing(lang.S("no reactive power was read at the incomer"), lang.S("reactive by phase, or pf with lag or lead, of a reading at the incomer"))
	}
	q := worst.Total.Reactive
	f := Finding{
		Severity: InOrder,
		Headline: lagging(lang, read),
		Why:      lang.S("Capacitors left on at low load raise the voltage, and many tariffs charge leading kvarh like lagging ones."),
		Clause:   lang.S("common practice, no source"),
		Sure:     lang.S("As sure as the instrument, at the load of that moment; a reading at night, at the lowest load, would settle it."),
	}
	f.shows(lang.F("%s at %s", kilo(q.V, "kvar"), worst.PointName), worst.ID, q.Step)
	if q.V >= 0 {
		return []Finding{f}, nil
	}
	f.Headline = leadingBy(lang, -q.V)
	severity := Watch
	if pf := worst.Total.PF; !pf.Known() || pf.V < leadAllowed {
		severity = Plan
	}
	if pf := worst.Total.PF; pf.Known() {
		f.shows(lang.F("power factor of %.2f, leading", pf.V), worst.ID, pf.Step)
	}
	f.does(lang, severity, lang.S("Have the correction's controller checked: its target, its current transformer and its smallest step; fixed capacitors are switched off with the load that they serve."), licensed, capacitorsWait)
	return []Finding{f}, nil
}

func lagging(lang *say.Language, readings int) string {
	switch readings {
	case 1:
		return lang.S("Reactive power lags at the incomer: nothing is over-compensated at that load")
	case 2:
		return lang.S("Reactive power lags in both readings at the incomer: nothing is over-compensated at those loads")
	}
	return lang.F("Reactive power lags in all %s readings at the incomer: nothing is over-compensated at those loads", numeral(lang, readings))
}

func leadingBy(lang *say.Language, vars float64) string {
	return lang.F("The site gives %s back: its capacitors are too large for the load of that moment", kilo(vars, "kvar"))
}
