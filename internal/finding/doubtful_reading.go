package finding

import (
	"fmt"
	"slices"

	"auditgen/internal/audit"
)

// doubtfulReading passes the doubts on to the client: what rests on them, and
// what to read again.
var doubtfulReading = Rule{
	ID:    "doubtful-reading",
	Title: "Readings that contradict themselves",
	Limit: "the instrument's stated accuracy",
	Judge: judgeDoubts,
}

func judgeDoubts(r *audit.Result) ([]Finding, []Unassessed) {
	var order []string
	byReading := map[string][]audit.Doubt{}
	for _, d := range r.Doubts {
		if !slices.Contains(order, d.Reading) {
			order = append(order, d.Reading)
		}
		byReading[d.Reading] = append(byReading[d.Reading], d)
	}
	if len(r.Readings) == 0 {
		return nil, []Unassessed{{Why: "nothing was measured", Measure: "readings of the visit"}}
	}
	if len(order) == 0 {
		return []Finding{{
			Severity: InOrder,
			Headline: agreement(len(r.Readings)),
			Evidence: []Evidence{{Text: checked(r)}},
			Why:      "Redundant values of each reading were held against each other, and boards against the incomer, within the instrument's accuracy.",
			Sure:     "The checks find contradictions; an error that leaves none is not found.",
			Clause:   "common practice, no source",
		}}, nil
	}
	var fs []Finding
	for _, id := range order {
		fs = append(fs, doubtFinding(r, id, byReading[id]))
	}
	return fs, nil
}

func agreement(readings int) string {
	if readings == 1 {
		return "The one reading agrees with itself"
	}
	return fmt.Sprintf("All %d readings agree with themselves and with each other", readings)
}

// checked tells how much was there to be held against each other.
func checked(r *audit.Result) string {
	balances := 0
	for _, n := range r.Tree {
		if n.Unexplained.Known() {
			balances++
		}
	}
	if balances == 0 {
		return "each reading's own values; no point was read together with all that it feeds"
	}
	return "each reading's own values; " + plural(balances, "point", "points") + " with what is fed from there"
}

func doubtFinding(r *audit.Result, id string, doubts []audit.Doubt) Finding {
	rests := restsOn(r, id)
	f := Finding{
		ID:       "doubtful-reading." + id,
		Severity: Watch,
		Headline: fmt.Sprintf("Reading %s is in doubt: %s", id, doubts[0].Cause),
		Why:      "Nothing else in this report rests on it.",
		Who:      anyone,
		Caution:  liveWork,
		Clause:   "common practice, no source",
		Sure:     "The contradiction is certain; its cause is the likeliest one.",
	}
	if len(rests) > 0 {
		f.Severity = Plan
		f.Why = fmt.Sprintf("The energy of %s rests on it: %.0f kWh a year.", join(names(rests)), energy(rests))
	}
	for _, d := range doubts {
		f.Evidence = append(f.Evidence, Evidence{Text: d.What, Reading: d.Reading})
		if d.ID == "category-too-low" {
			f.Severity = ActNow
		}
	}
	f.Action = doubts[0].Retake
	return f
}

func restsOn(r *audit.Result, reading string) []audit.Load {
	var ls []audit.Load
	for _, l := range r.Loads {
		if slices.Contains(l.Readings, reading) {
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

func energy(ls []audit.Load) float64 {
	sum := 0.0
	for _, l := range ls {
		sum += l.Energy.Value
	}
	return sum
}
