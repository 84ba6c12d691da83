package finding

import (
	"strings"

	"auditgen/internal/audit"
	"auditgen/internal/say"
	"auditgen/internal/tariff"
)

// peakCoincidence tells how much of the highest demand is made by loads that
// happen to run together.
var peakCoincidence = Rule{
	ID:    "peak-coincidence",
	Title: say.Key("Peaks made by coincidence"),
	Limit: "common practice, no source: a plan where chance makes a fifth of a peak that is charged for",
	Judge: judgeCoincidence,
}

// Shares of the highest demand made by chance, from which it is worth a look or
// a plan.
const (
	chanceWatch = 0.10
	chancePlan  = 0.20
)

func judgeCoincidence(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	chance := r.ChanceOfPeak()
	if !chance.Share.Known() {
		return missing(lang.S("no highest demand is expected, since no load uses power"), lang.S("loads of the visit, with runs"))
	}
	charged, billed := r.ChargedFor(tariff.KindDemand)
	m := r.Months[r.PeakMonth]
	f := Finding{
		Severity: InOrder,
		Headline: peakWithin(lang, chance.Share.V),
		Why:      peakWhy(lang, billed),
		Clause:   lang.S("common practice, no source"),
		Sure:     lang.F("Modelled: loads that cycle are taken to start independently of each other, over a demand window of %s. A logger over a month would show the peaks themselves.", r.WindowWords()),
	}
	f.figure("peak", r.Peak)
	expected := lang.F("{peak} expected in %s, where the loads at their mean power come to %s", audit.MonthName(lang, r.PeakMonth), kilo(chance.Mean.V, "kW"))
	if r.MonthsAlike() {
		expected = lang.F("{peak} expected in every month alike, where the loads at their mean power come to %s", kilo(chance.Mean.V, "kW"))
	}
	f.shows(expected, "", r.Peak.Step, chance.Mean.Step, chance.Above.Step, chance.Share.Step)
	if billed {
		f.figure("charged", charged)
		f.shows(lang.S("{charged} a year is charged for demand"), "", charged.Step)
	}
	if names := peakMakers(r, m); len(names) > 0 {
		f.shows(lang.F("cycling loads that make it: %s", strings.Join(names, "; ")), "", r.Peak.Step)
	}
	if cyclingMachines(r) < 2 {
		f.Headline = lang.S("At most one of the loads comes and goes, so no peak is made by coincidence")
		return []Finding{f}, nil
	}
	if chance.Share.V <= chanceWatch {
		return []Finding{f}, nil
	}
	f.Headline = peakByChance(lang, chance.Share.V)
	severity := Watch
	if billed && chance.Share.V > chancePlan {
		severity = Plan
	}
	f.does(lang, severity, lang.S("Have the largest loads that come and go kept from running together, by a lock between two of them, a delay after start-up or a demand controller; find out first which of them may wait."), licensed, liveWork)
	return []Finding{f}, nil
}

// cyclingMachines counts the machines that come and go while their calendar is on.
func cyclingMachines(r *audit.Result) int {
	n := 0.0
	for _, l := range r.Loads {
		if cycles(l) {
			n += l.Count.V
		}
	}
	return int(n)
}

func cycles(l audit.Load) bool { return l.Duty.V > 0 && l.Duty.V < 0.95 }

// peakMakers names the cycling loads that the month's peak is made of, the
// largest first, four at most.
func peakMakers(r *audit.Result, m audit.Month) []string {
	var names []string
	for _, s := range m.PeakBy {
		for _, l := range r.Loads {
			if l.ID == s.Load && cycles(l) && len(names) < 4 {
				names = append(names, audit.InSentence(l.Name))
			}
		}
	}
	return names
}

func peakWhy(lang *say.Language, billed bool) string {
	if billed {
		return lang.S("The tariff charges for the highest demand of a month, however short: loads that wait for each other cost nothing in energy and lower it.")
	}
	return lang.S("This tariff does not charge for the highest demand; it still sets the size of the supply and of what the supplier may ask for later.")
}

func peakWithin(lang *say.Language, share float64) string {
	if share < 0.01 {
		return lang.S("The highest demand owes nothing to loads that happen to meet")
	}
	return lang.F("Loads that happen to run together add only %s to the highest demand", percent(share, 0))
}

func peakByChance(lang *say.Language, share float64) string {
	return lang.F("Loads that happen to run together make %s of the highest demand of {peak}", percent(share, 0))
}
