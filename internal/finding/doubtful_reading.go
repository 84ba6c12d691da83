package finding

import (
	"slices"

	"auditgen/internal/audit"
	"auditgen/internal/say"
)

// doubtfulReading passes the doubts on to the client: what rests on them, and
// what to read again.
var doubtfulReading = Rule{
	ID:    "doubtful-reading",
	Title: say.Key("Readings that contradict themselves"),
	Limit: "the instrument's stated accuracy",
	Judge: judgeDoubts,
}

func judgeDoubts(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	var order []string
	byReading := map[string][]audit.Doubt{}
	for _, d := range r.Doubts {
		if d.ID == audit.CategoryTooLow || d.ID == audit.OutOfCalibration {
			continue // rules of their own
		}
		if !slices.Contains(order, d.Reading) {
			order = append(order, d.Reading)
		}
		byReading[d.Reading] = append(byReading[d.Reading], d)
	}
	if len(r.Readings) == 0 {
		return nil, []Unassessed{{Why: lang.S("nothing was measured"), Measure: lang.S("readings of the visit")}}
	}
	if len(order) == 0 {
		return []Finding{{
			Severity: InOrder,
			Headline: agreement(lang, len(r.Readings)),
			Evidence: []Evidence{{Text: checked(r)}},
			Why:      lang.S("Redundant values of each reading were held against each other, and boards against the incomer, within the instrument's accuracy."),
			Sure:     lang.S("The checks find contradictions; an error that leaves none is not found."),
			Clause:   lang.S("common practice, no source"),
		}}, nil
	}
	var fs []Finding
	for _, id := range order {
		fs = append(fs, doubtFinding(r, id, byReading[id]))
	}
	return fs, nil
}

func agreement(lang *say.Language, readings int) string {
	switch readings {
	case 1:
		return lang.S("The one reading agrees with itself")
	case 2:
		return lang.S("both readings agree with themselves and with each other")
	}
	return lang.F("all %s readings agree with themselves and with each other", numeral(lang, readings))
}

// checked tells how much was there to be held against each other.
func checked(r *audit.Result) string {
	lang := r.Record.Words
	balances := 0
	for _, n := range r.Tree {
		if n.Unexplained.Known() {
			balances++
		}
	}
	if balances == 0 {
		return lang.S("each reading's own values; no point was read together with all that it feeds")
	}
	return lang.N(balances, "each reading's own values; one point with what is fed from there", "each reading's own values; %s points with what is fed from there", numeral(lang, balances))
}

func doubtFinding(r *audit.Result, id string, doubts []audit.Doubt) Finding {
	lang := r.Record.Words
	worst := doubts[0] // the first to be taken up
	ids := []string{id}
	for _, d := range doubts {
		ids = append(ids, d.Also...)
	}
	rests := restsOn(r, ids)
	f := Finding{
		ID:       "doubtful-reading." + id,
		Severity: Watch,
		Headline: lang.F("Reading %s is in doubt: %s", id, worst.Cause),
		Why:      lang.S("Nothing else in this report rests on it."),
		Who:      lang.S(anyone),
		Caution:  lang.S(liveWork),
		Clause:   lang.S("common practice, no source"),
		Sure:     lang.S("The contradiction is certain; its cause is the likeliest one."),
	}
	if len(worst.Also) > 0 {
		f.Headline = lang.N(len(worst.Also), "Reading %s and one other are in doubt: %[3]s", "Reading %s and %s others are in doubt: %s", id, numeral(lang, len(worst.Also)), worst.Cause)
		f.Why = lang.S("Nothing else in this report rests on them.")
	}
	if len(rests) > 0 {
		f.Severity = Plan
		f.Why = lang.F("The energy of %s rests on it: {energy} a year.", join(lang, names(rests)))
		f.figure("energy", energy(rests))
	}
	for _, d := range doubts {
		f.Evidence = append(f.Evidence, Evidence{Text: d.What, Reading: d.Reading})
		if len(d.Also) > 0 {
			f.Evidence = append(f.Evidence, Evidence{Text: lang.F("the same holds for %s", join(lang, d.Also))})
		}
	}
	f.Action = worst.Retake
	return f
}

func restsOn(r *audit.Result, readings []string) []audit.Load {
	var ls []audit.Load
	for _, l := range r.Loads {
		if slices.ContainsFunc(l.Readings, func(id string) bool { return slices.Contains(readings, id) }) {
			ls = append(ls, l)
		}
	}
	return ls
}

func names(ls []audit.Load) []string {
	ns := make([]string, len(ls))
	for i, l := range ls {
		ns[i] = l.Name
	}
	return ns
}

// energy adds up the energy of some loads; one doubt moves them together.
func energy(ls []audit.Load) audit.Interval {
	sum := audit.Interval{Unit: "kWh"}
	for _, l := range ls {
		sum.Value, sum.Low, sum.High = sum.Value+l.Energy.Value, sum.Low+l.Energy.Low, sum.High+l.Energy.High
		sum.Step = l.Energy.Step
	}
	return sum
}
