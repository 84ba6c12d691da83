package finding

import (
	"slices"

	"auditgen/internal/audit"
	"auditgen/internal/limits"
	"auditgen/internal/say"
)

// motorEfficiency names motors below the class that is sold as premium.
var motorEfficiency = Rule{
	ID:    "motor-efficiency",
	Title: say.Key("Efficiency class of motors"),
	Limit: "IEC 60034-30-1 classes; NEMA Premium at 60 Hz",
	Judge: judgeMotorEfficiency,
}

// longHours is the running time of a year from which a class is worth planning for.
const longHours = 2000

func judgeMotorEfficiency(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	motors := r.Motors()
	if len(motors) == 0 {
		return missing(lang.S("no motor's plate was given"), lang.S("motor of a load, with rated, and efficiency or class"))
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
		return missing(lang.S("no plate gives a class, or an efficiency that one follows from"), lang.S("motor of a load: efficiency or class, and poles"))
	}
	f := Finding{
		Severity: InOrder,
		Headline: motorsPremium(lang, len(judged)),
		Why:      lang.S("A motor that runs all year costs many times its price in electricity: what it will use is decided on the day it is ordered."),
		Clause:   efficiencyClause(lang, judged),
		Sure:     lang.S("Likely: classes are of full load and of new motors; a rewound one has lost some."),
	}
	shown := judged
	if len(below) > 0 {
		shown = below
	}
	for _, m := range shown {
		f.shows(classFact(lang, m), m.Reading, m.Efficiency.Step)
	}
	if len(below) == 0 {
		return []Finding{f}, nil
	}
	f.Headline = motorsBelow(lang, below, false)
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
		f.Headline = motorsBelow(lang, below, true)
		f.shows(lang.F("motors of class %s would save {saved} a year at the same output, by the energy that each takes now", below[0].Better), "", saved.Step)
	}
	f.does(lang, severity, lang.S("Write the better class into the order now, so that the next failure does not bring the old one back; replace early only what runs most of the year."), licensed, liveWork)
	return []Finding{f}, nil
}

func efficiencyClause(lang *say.Language, ms []audit.Motor) string {
	for _, m := range ms {
		if m.Cite.CitedAs != "" {
			return clause(lang, m.Cite)
		}
	}
	return lang.S("IEC 60034-30-1:2014, class on the plate")
}

func classFact(lang *say.Language, m audit.Motor) string {
	class := lang.F("class %s", m.Class)
	if m.Class == "" {
		class = lang.S("below class IE1")
	}
	name, runs := audit.InSentence(m.Name), percent(m.Hours/8760, 0)
	if m.Efficiency.Known() {
		return lang.F("%s: %s, %s at full load, runs %s of the year", name, class, percent(m.Efficiency.V, 1), runs)
	}
	return lang.F("%s: %s, runs %s of the year", name, class, runs)
}

func motorsPremium(lang *say.Language, n int) string {
	switch n {
	case 1:
		return lang.S("The one motor whose class is known is of class IE3 or better")
	case 2:
		return lang.S("both motors whose class is known are of class IE3 or better")
	}
	return lang.F("all %s motors whose class is known are of class IE3 or better", numeral(lang, n))
}

func motorsBelow(lang *say.Language, ms []audit.Motor, saving bool) string {
	name, better, n := audit.InSentence(ms[0].Name), ms[0].Better, numeral(lang, len(ms))
	switch {
	case len(ms) == 1 && saving:
		return lang.F("The motor of %s is below class %s; a better one would save {saved} a year", name, better)
	case len(ms) == 1:
		return lang.F("The motor of %s is below class %s", name, better)
	case saving:
		return lang.F("%s motors are below class %s; better ones would save {saved} a year", n, better)
	}
	return lang.F("%s motors are below class %s", n, better)
}
