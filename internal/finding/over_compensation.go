package finding

import (
	"fmt"

	"auditgen/internal/audit"
)

// overCompensation looks for reactive power that leads at the incomer.
var overCompensation = Rule{
	ID:    "over-compensation",
	Title: "Leading reactive power",
	Limit: "common practice, no source: no lead below 0.98 at the incomer",
	Judge: judgeLeading,
}

// leadAllowed is the leading power factor that a controller's last step may
// leave.
const leadAllowed = 0.98

func judgeLeading(r *audit.Result) ([]Finding, []Unassessed) {
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
		return missing("no reactive power was read at the incomer", "reactive by phase, or pf with lag or lead, of a reading at the incomer")
	}
	q := worst.Total.Reactive
	f := Finding{
		Severity: InOrder,
		Headline: lagging(read),
		Why:      "Capacitors left on at low load raise the voltage, and many tariffs charge leading kvarh like lagging ones.",
		Clause:   "common practice, no source",
		Sure:     "As sure as the instrument, at the load of that moment; a reading at night, at the lowest load, would settle it.",
	}
	f.shows(kilo(q.V, "kvar")+" at "+worst.PointName, worst.ID, q.Step)
	if q.V >= 0 {
		return []Finding{f}, nil
	}
	f.Headline = leadingBy(-q.V)
	severity := Watch
	if pf := worst.Total.PF; !pf.Known() || pf.V < leadAllowed {
		severity = Plan
	}
	if pf := worst.Total.PF; pf.Known() {
		f.shows(fmt.Sprintf("power factor of %.2f, leading", pf.V), worst.ID, pf.Step)
	}
	f.does(severity, "Have the correction's controller checked: its target, its current transformer and its smallest step; fixed capacitors are switched off with the load that they serve.", licensed, capacitorsWait)
	return []Finding{f}, nil
}

func lagging(readings int) string {
	if readings == 1 {
		return "Reactive power lags at the incomer: nothing is over-compensated at that load"
	}
	return "Reactive power lags in " + allOf(readings, "readings") + " at the incomer: nothing is over-compensated at those loads"
}

func leadingBy(vars float64) string {
	return fmt.Sprintf("The site gives %s back: its capacitors are too large for the load of that moment", kilo(vars, "kvar"))
}
