package report

import (
	"fmt"
	"math"
	"strings"

	"auditgen/internal/audit"
	"auditgen/internal/finding"
)

// The generated sentences of the report. Each has forms for none, one, many
// and for "can't tell"; TestSentences lists them.

// headline is the answer in one sentence.
func (v *visit) headline() string {
	switch {
	case known(v.Cost):
		return "Electricity costs about " + best(v.cash, v.Cost) + " a year" + v.headlineTail()
	case known(v.Energy):
		return "The site uses about " + withUnit(best(v.plain, v.Energy), "kWh") + " a year; what that costs can’t be told"
	case len(v.Readings) > 0:
		return capital(count(len(v.Readings), "reading", "readings")) + " " + choose(len(v.Readings), "was", "were") + " taken; a year can’t be worked out from " + choose(len(v.Readings), "it", "them") + " alone"
	}
	return "No reading was taken, so nothing can be said yet"
}

func (v *visit) headlineTail() string {
	if f := v.dearest(); f != nil {
		return ", and " + costWords(f.Rule) + " is " + best(v.cash, *f.Cost) + " of it"
	}
	if len(v.Uses) > 0 {
		return "; " + portion(v.Uses[0].Share) + " of the energy goes to " + v.Uses[0].Name
	}
	return ""
}

// dearest is the finding that costs most.
func (v *visit) dearest() *finding.Finding {
	var top *finding.Finding
	for i := range v.Findings {
		f := &v.Findings[i]
		if f.Cost != nil && f.Cost.Value > 0 && (top == nil || f.Cost.Value > top.Cost.Value) {
			top = f
		}
	}
	return top
}

// costWords say what the cost of a finding is spent on: the words of its rule's
// id, unless those do not name a cost.
func costWords(rule string) string {
	switch rule {
	case "agreed-demand":
		return "demand agreed but not needed"
	case "tariff-choice":
		return "a tariff that does not fit"
	}
	return strings.ReplaceAll(rule, "-", " ")
}

// standFirst is two sentences: where the energy goes or when it peaks, and what
// is to be done.
func (v *visit) standFirst() string {
	var where string
	switch {
	case len(v.Uses) > 0 && v.dearest() != nil:
		where = energyHeading(v.Uses) + "."
	case known(v.Peak):
		is := "is expected"
		if v.PeakMonth < len(v.Months) && v.Months[v.PeakMonth].Logged() {
			is = "was logged"
		}
		where = fmt.Sprintf("The highest demand, about %s, %s in %s.", withUnit(best(v.plain, v.Peak), "kW"), is, monthName(v.PeakMonth))
	case len(v.Loads) == 0:
		where = "No load with its hours is listed, so the readings stand for their moment only."
	default:
		where = "The figures below say what is known."
	}
	if words := v.fittedWords(); words != "" {
		where += " Assumed running times were " + words + "."
	}
	return where + " " + actionSentence(v.Findings, len(v.Unassessed), v.findingHeadline)
}

// actionSentence says how much is to be done, and how soon.
func actionSentence(fs []finding.Finding, unassessed int, headline func(finding.Finding) string) string {
	now, plan, watch := severities(fs)
	switch {
	case now == 1:
		return "One finding needs action now: " + lower(headline(worst(fs))) + "."
	case now > 1:
		return capital(numeral(now)) + " findings need action now, first of all this: " + lower(headline(worst(fs))) + "."
	case plan == 1:
		return "Nothing needs action now; one finding is worth a plan: " + lower(headline(worst(fs))) + "."
	case plan > 1:
		return "Nothing needs action now; " + numeral(plan) + " findings are worth a plan."
	case watch > 0:
		return "Nothing needs action; " + count(watch, "finding is", "findings are") + " worth watching."
	case len(fs) == 0 && unassessed > 0:
		return "Nothing could be judged from these readings."
	case len(fs) == 0:
		return "Nothing was judged."
	case unassessed > 0:
		return "Nothing was found out of order, but " + count(unassessed, "matter", "matters") + " could not be judged."
	}
	return "Nothing was found out of order."
}

func severities(fs []finding.Finding) (now, plan, watch int) {
	for _, f := range fs {
		switch f.Severity {
		case finding.ActNow:
			now++
		case finding.Plan:
			plan++
		case finding.Watch:
			watch++
		}
	}
	return now, plan, watch
}

// worst is the first finding that asks for something.
func worst(fs []finding.Finding) finding.Finding {
	for _, f := range fs {
		if f.Severity != finding.InOrder {
			return f
		}
	}
	return finding.Finding{}
}

// energyHeading says where most of the energy goes.
func energyHeading(uses []audit.Use) string {
	switch {
	case len(uses) == 0:
		return "Where the energy goes can’t be told: no load has both power and hours"
	case len(uses) == 1:
		return "All of the energy goes to " + uses[0].Name
	case uses[0].Share >= 0.45:
		return capital(portion(uses[0].Share)) + " of the energy goes to " + uses[0].Name
	}
	return capital(portion(uses[0].Share+uses[1].Share)) + " of the energy goes to " + uses[0].Name + " and " + uses[1].Name
}

// whenHeading says how the working day runs, from the mean over its months.
func whenHeading(peakHour int, peak, low float64) string {
	switch {
	case peakHour < 0 || peak <= 0:
		return "When the energy is used can’t be told"
	case low > 0 && peak/low < 1.3:
		return "The load hardly changes through the working day"
	case low <= 0 || peak/low >= 20:
		return fmt.Sprintf("A working day peaks around %s and falls to almost nothing", hour(peakHour))
	}
	return fmt.Sprintf("A working day peaks around %s, at %s its lowest hour", hour(peakHour), times(peak/low))
}

// times words a ratio.
func times(r float64) string {
	switch n := math.Round(r); {
	case r < 1.75:
		return "about one and a half times"
	case n <= 2:
		return "about twice"
	default:
		return "about " + numeral(int(n)) + " times"
	}
}

// payHeading says what part of the bill pays for something other than energy.
func payHeading(knownCost bool, demand, factor float64) string {
	switch share := demand + factor; {
	case !knownCost:
		return "What the site pays can’t be told"
	case share < 0.02:
		return "Nearly all of the bill follows the energy used"
	case factor < 0.02:
		return capital(portion(share)) + " of the bill pays for peaks, not for energy"
	case demand < 0.02:
		return capital(portion(share)) + " of the bill pays for reactive current, not for energy"
	default:
		return capital(portion(share)) + " of the bill pays for peaks and reactive current, not for energy"
	}
}

// foundHeading counts the findings.
func foundHeading(fs []finding.Finding, unassessed int) string {
	now, plan, watch := severities(fs)
	n := now + plan + watch
	switch {
	case n == 0 && len(fs) == 0 && unassessed > 0:
		return "Nothing could be judged from these readings"
	case n == 0 && len(fs) == 0:
		return "Nothing was judged"
	case n == 0:
		return "Nothing was found out of order"
	case now == n && n == 1:
		return "One finding, and it needs action now"
	case now == n:
		return capital(numeral(n)) + " findings, all of which need action now"
	case now == 0:
		return capital(count(n, "finding", "findings")) + ", " + choose(n, "not urgent", "none of them urgent")
	}
	return capital(count(n, "finding", "findings")) + ", " + numeral(now) + " of them urgent"
}

// sureHeading says how well the year is known and what is its weak point.
func sureHeading(energy audit.Interval, cs []audit.Contribution) string {
	if !known(energy) || energy.Value <= 0 {
		return "How sure the figures are can’t be told without a year"
	}
	share := energy.Half() / energy.Value * 100
	within := "to within " + fmt.Sprintf("%.0f", math.Max(1, share)) + nbsp + "%"
	switch {
	case energy.Half() <= 0:
		return "No doubt was stated for any input, so the year shows none"
	case len(cs) == 0:
		return "The year is known " + within
	case len(cs) == 1 || cs[0].Share > 0.5:
		return "The year is known " + within + "; most of the doubt is one thing, the " + lower(typed(cs[0].Label))
	}
	return "The year is known " + within + "; the weakest point is the " + lower(typed(cs[0].Label))
}

// limitsHeading says what is over its limit.
func limitsHeading(judged, over []string) string {
	switch {
	case len(judged) == 0:
		return "No limit could be held against a reading"
	case len(over) == 0 && len(judged) == 1:
		return capital(judged[0]) + " is within its limit"
	case len(over) == 0:
		return "All that was read is within its limits"
	case len(over) > 3:
		return capital(numeral(len(over))) + " values are outside their limits"
	}
	return capital(list(over)) + " " + is(len(over)) + " outside " + choose(len(over), "its limit", "their limits")
}

// readingsHeading counts readings and doubts, and says whether the boards add up.
func readingsHeading(readings, doubtful int, closure string) string {
	head := capital(count(readings, "reading", "readings"))
	switch {
	case readings == 0:
		return "No readings were taken"
	case doubtful == readings:
		head += ", " + choose(readings, "and it is doubtful", "all of them doubtful")
	case doubtful > 0:
		head += ", " + numeral(doubtful) + " of them doubtful"
	}
	if closure != "" {
		head += "; " + closure
	}
	return head
}

// closure says whether the parts add up to the whole, for the points that can
// be held against what they feed.
func closure(nodes []audit.Node) string {
	checked, off := 0, 0
	for _, n := range nodes {
		if n.Unexplained.Known() {
			checked++
			if !n.Agrees {
				off++
			}
		}
	}
	switch {
	case checked == 0:
		return ""
	case off == 0:
		return "the boards add up to what feeds them"
	case off == checked:
		return "the boards do not add up to what feeds them"
	}
	return fmt.Sprintf("at %s of %s the parts do not add up to the whole", count(off, "board", "boards"), numeral(checked))
}

// demandHeading holds the highest demand against the agreed one, in kVA.
func demandHeading(months int, over int, agreed bool, peakMonth int) string {
	switch {
	case months == 0:
		return "The demand of the months can’t be told"
	case !agreed:
		return "The highest demand of the year is expected in " + monthName(peakMonth)
	case over == 0:
		return "The demand is expected to stay below the agreed one all year"
	case over == months:
		return "The demand is expected to pass the agreed one in every month"
	}
	return "The demand is expected to pass the agreed one in " + count(over, "month", "months")
}

// workingsHeading counts the formulas.
func workingsHeading(n int) string {
	switch n {
	case 0:
		return "There is nothing to work out from what was measured"
	case 1:
		return "One formula lies between the readings and the figures"
	}
	return capital(numeral(n)) + " formulas lie between the readings and the figures"
}

// basisHeading counts the assumptions.
func basisHeading(n int) string {
	switch n {
	case 0:
		return "Nothing was assumed; these are the tariff and the limits of use"
	case 1:
		return "One thing was assumed rather than measured"
	}
	return capital(numeral(n)) + " things were assumed rather than measured"
}

// severityWord is a severity as printed.
func severityWord(s finding.Severity) string { return capital(string(s)) }
