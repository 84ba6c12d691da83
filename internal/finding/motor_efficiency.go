package finding

import (
	"fmt"
	"slices"

	"auditgen/internal/audit"
	"auditgen/internal/limits"
)

// motorEfficiency names motors below the class that is sold as premium.
var motorEfficiency = Rule{
	ID:    "motor-efficiency",
	Title: "Efficiency class of motors",
	Limit: "IEC 60034-30-1 classes; NEMA Premium at 60 Hz",
	Judge: judgeMotorEfficiency,
}

// longHours is the running time of a year from which a class is worth planning for.
const longHours = 2000

func judgeMotorEfficiency(r *audit.Result) ([]Finding, []Unassessed) {
	motors := r.Motors()
	if len(motors) == 0 {
		return missing("no motor's plate was given", "motor of a load, with rated, and efficiency or class")
	}
	var judged, below []audit.Motor
	for _, m := range motors {
		if !m.Known {
			continue
		}
		judged = append(judged, m)
		if slices.Index(limits.MotorClasses, m.Class) < slices.Index(limits.MotorClasses, m.Better) {
			below = append(below, m)
		}
	}
	if len(judged) == 0 {
		return missing("no plate gives a class, or an efficiency that one follows from", "motor of a load: efficiency or class, and poles")
	}
	f := Finding{
		Severity: InOrder,
		Headline: motorsPremium(len(judged)),
		Why:      "A motor that runs all year costs many times its price in electricity: what it will use is decided on the day it is ordered.",
		Clause:   efficiencyClause(judged),
		Sure:     "Likely: classes are of full load and of new motors; a rewound one has lost some.",
	}
	shown := judged
	if len(below) > 0 {
		shown = below
	}
	for _, m := range shown {
		f.shows(classFact(m), m.Reading, m.Efficiency.Step)
	}
	if len(below) == 0 {
		return []Finding{f}, nil
	}
	f.Headline = motorsBelow(below, false)
	severity := Watch
	saved := audit.Interval{Unit: "kWh"}
	for _, m := range below {
		saved.Value, saved.Low, saved.High = saved.Value+m.Saving.Value, saved.Low+m.Saving.Low, saved.High+m.Saving.High
		if m.Saving.Step != "" {
			saved.Step = m.Saving.Step
			f.Steps = append(f.Steps, m.Saving.Step)
		}
		if slices.Index(limits.MotorClasses, m.Class) <= 0 && m.Hours > longHours {
			severity = Plan
		}
	}
	if saved.Step != "" {
		f.figure("saved", saved)
		f.Headline = motorsBelow(below, true)
		f.shows("motors of class "+below[0].Better+" would save {saved} a year at the same output, by the energy that each takes now", "", saved.Step)
	}
	f.does(severity, "Write the better class into the order now, so that the next failure does not bring the old one back; replace early only what runs most of the year.", licensed, liveWork)
	return []Finding{f}, nil
}

func efficiencyClause(ms []audit.Motor) string {
	for _, m := range ms {
		if m.Cite.CitedAs != "" {
			return clause(m.Cite)
		}
	}
	return "IEC 60034-30-1:2014, class on the plate"
}

func classFact(m audit.Motor) string {
	class := "class " + m.Class
	if m.Class == "" {
		class = "below class IE1"
	}
	text := audit.InSentence(m.Name) + ": " + class
	if m.Efficiency.Known() {
		text += ", " + percent(m.Efficiency.V, 1) + " at full load"
	}
	return text + ", runs " + percent(m.Hours/8760, 0) + " of the year"
}

func motorsPremium(n int) string {
	if n == 1 {
		return "The one motor whose class is known is of class IE3 or better"
	}
	return allOf(n, "motors") + " whose class is known are of class IE3 or better"
}

func motorsBelow(ms []audit.Motor, saving bool) string {
	text, better := plural(len(ms), "motor is", "motors are")+" below class "+ms[0].Better, "better ones"
	if len(ms) == 1 {
		text, better = fmt.Sprintf("The motor of %s is below class %s", audit.InSentence(ms[0].Name), ms[0].Better), "a better one"
	}
	if saving {
		text += "; " + better + " would save {saved} a year"
	}
	return text
}
