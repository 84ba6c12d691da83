package report

import (
	"math"

	"auditgen/internal/audit"
	"auditgen/internal/finding"
)

// The generated sentences of the report. Each has forms for none, one, many
// and for "can't tell"; TestSentences lists them.

// headline is the answer in one sentence.
func (v *visit) headline() string {
	switch {
	case known(v.Cost):
		return v.costHeadline(best(v.cash, v.Cost))
	case known(v.Energy):
		return v.F("The site uses about %s a year; what that costs can’t be told", v.withUnit(best(v.plain, v.Energy), "kWh"))
	case len(v.Readings) > 0:
		n := len(v.Readings)
		return capital(v.N(n, "one reading was taken; a year can’t be worked out from it alone", "%s readings were taken; a year can’t be worked out from them alone", v.numeral(n)))
	}
	return v.S("No reading was taken, so nothing can be said yet")
}

func (v *visit) costHeadline(cost string) string {
	if f := v.dearest(); f != nil {
		return v.F("Electricity costs about %s a year, and %s is %s of it", cost, v.lossWords(f.Rule), best(v.cash, *f.Cost))
	}
	if len(v.Uses) > 0 {
		return v.F("Electricity costs about %s a year; %s of the energy goes to %s", cost, v.portion(v.Uses[0].Share), v.Uses[0].Name)
	}
	return v.F("Electricity costs about %s a year", cost)
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

// lossWords say what the cost of a finding is spent on.
func (f format) lossWords(rule string) string {
	switch rule {
	case lowPowerFactor:
		return f.S("low power factor")
	case "agreed-demand":
		return f.S("demand agreed but not needed")
	case "tariff-choice":
		return f.S("a tariff that does not fit")
	}
	return f.S("what the dearest finding names")
}

// standFirst is two sentences: where the energy goes or when it peaks, and what
// is to be done.
func (v *visit) standFirst() string {
	var where string
	switch {
	case len(v.Uses) > 0 && v.dearest() != nil:
		where = v.energyHeading(v.Uses) + "."
	case known(v.Peak):
		peak, month := v.withUnit(best(v.plain, v.Peak), "kW"), v.monthName(v.PeakMonth)
		where = v.F("The highest demand, about %s, is expected in %s.", peak, month)
		if v.MonthsAlike() {
			where = v.F("The highest demand, about %s, is expected in every month alike.", peak)
		}
		if v.PeakMonth < len(v.Months) && v.Months[v.PeakMonth].Logged() {
			where = v.F("The highest demand, about %s, was logged in %s.", peak, month)
		}
	case len(v.Loads) == 0:
		where = v.S("No load with its hours is listed, so the readings stand for their moment only.")
	default:
		where = v.S("The figures below say what is known.")
	}
	if v.Fit != nil && len(v.Fit.Moved) > 0 {
		where += " " + v.N(v.Fit.Bills, "Assumed running times were fitted to one bill.", "Assumed running times were fitted to %s bills.", v.numeral(v.Fit.Bills))
	}
	return where + " " + v.actionSentence(v.Findings, len(v.Unassessed), v.findingHeadline)
}

// actionSentence says how much is to be done, and how soon.
func (f format) actionSentence(fs []finding.Finding, unassessed int, headline func(finding.Finding) string) string {
	now, plan, watch := severities(fs)
	switch {
	case now > 0:
		return capital(f.N(now, "one finding needs action now: %[2]s.", "%s findings need action now, first of all this: %s.", f.numeral(now), lower(headline(worst(fs)))))
	case plan > 0:
		return f.N(plan, "Nothing needs action now; one finding is worth a plan: %[2]s.", "Nothing needs action now; %[1]s findings are worth a plan.", f.numeral(plan), lower(headline(worst(fs))))
	case watch > 0:
		return f.N(watch, "Nothing needs action; one finding is worth watching.", "Nothing needs action; %s findings are worth watching.", f.numeral(watch))
	case len(fs) == 0 && unassessed > 0:
		return f.S("Nothing could be judged from these readings.")
	case len(fs) == 0:
		return f.S("Nothing was judged.")
	case unassessed > 0:
		return f.N(unassessed, "Nothing was found out of order, but one matter could not be judged.", "Nothing was found out of order, but %s matters could not be judged.", f.numeral(unassessed))
	}
	return f.S("Nothing was found out of order.")
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
func (f format) energyHeading(uses []audit.Use) string {
	switch {
	case len(uses) == 0:
		return f.S("Where the energy goes can’t be told: no load has both power and hours")
	case len(uses) == 1:
		return f.F("All of the energy goes to %s", uses[0].Name)
	case uses[0].Share >= 0.45:
		return capital(f.F("%s of the energy goes to %s", f.portion(uses[0].Share), uses[0].Name))
	}
	return capital(f.F("%s of the energy goes to %s and %s", f.portion(uses[0].Share+uses[1].Share), uses[0].Name, uses[1].Name))
}

// whenHeading says how the working day runs, from the mean over its months.
func (f format) whenHeading(peakHour int, peak, low float64) string {
	switch {
	case peakHour < 0 || peak <= 0:
		return f.S("When the energy is used can’t be told")
	case low > 0 && peak/low < 1.3:
		return f.S("The load hardly changes through the working day")
	case low <= 0 || peak/low >= 20:
		return f.F("A working day peaks around %s and falls to almost nothing", hour(peakHour))
	}
	return f.F("A working day peaks around %s, at %s its lowest hour", hour(peakHour), f.times(peak/low))
}

// times words a ratio.
func (f format) times(r float64) string {
	switch n := math.Round(r); {
	case r < 1.75:
		return f.S("about one and a half times")
	case n <= 2:
		return f.S("about twice")
	default:
		return f.F("about %s times", f.numeral(int(n)))
	}
}

// payHeading says what part of the bill pays for something other than energy.
func (f format) payHeading(knownCost bool, demand, factor float64) string {
	switch share := demand + factor; {
	case !knownCost:
		return f.S("What the site pays can’t be told")
	case share < 0.02:
		return f.S("Nearly all of the bill follows the energy used")
	case factor < 0.02:
		return capital(f.F("%s of the bill pays for peaks, not for energy", f.portion(share)))
	case demand < 0.02:
		return capital(f.F("%s of the bill pays for reactive current, not for energy", f.portion(share)))
	default:
		return capital(f.F("%s of the bill pays for peaks and reactive current, not for energy", f.portion(share)))
	}
}

// foundHeading counts the findings.
func (f format) foundHeading(fs []finding.Finding, unassessed int) string {
	now, plan, watch := severities(fs)
	n := now + plan + watch
	number := f.numeral(n)
	switch {
	case n == 0 && len(fs) == 0 && unassessed > 0:
		return f.S("Nothing could be judged from these readings")
	case n == 0 && len(fs) == 0:
		return f.S("Nothing was judged")
	case n == 0:
		return f.S("Nothing was found out of order")
	case now == n:
		return capital(f.N(n, "one finding, and it needs action now", "%s findings, all of which need action now", number))
	case now == 0:
		return capital(f.N(n, "one finding, not urgent", "%s findings, none of them urgent", number))
	}
	return capital(f.N(now, "%s findings, one of them urgent", "%s findings, %s of them urgent", number, f.numeral(now)))
}

// sureHeading says how well the year is known and what is its weak point.
func (f format) sureHeading(energy audit.Interval, cs []audit.Contribution) string {
	if !known(energy) || energy.Value <= 0 {
		return f.S("How sure the figures are can’t be told without a year")
	}
	within := f.percent(math.Max(0.01, energy.Half()/energy.Value), 0)
	switch {
	case energy.Half() <= 0:
		return f.S("No doubt was stated for any input, so the year shows none")
	case len(cs) == 0:
		return f.F("The year is known to within %s", within)
	case len(cs) == 1 || cs[0].Share > 0.5:
		return f.F("The year is known to within %s; most of the doubt is one thing, the %s", within, lower(f.typed(cs[0].Label)))
	}
	return f.F("The year is known to within %s; the weakest point is the %s", within, lower(f.typed(cs[0].Label)))
}

// limitsHeading says what is over its limit.
func (f format) limitsHeading(judged, over []string) string {
	switch {
	case len(judged) == 0:
		return f.S("No limit could be held against a reading")
	case len(over) == 0 && len(judged) == 1:
		return capital(f.F("%s is within its limit", judged[0]))
	case len(over) == 0:
		return f.S("All that was read is within its limits")
	case len(over) > 3:
		return capital(f.F("%s values are outside their limits", f.numeral(len(over))))
	}
	return capital(f.N(len(over), "%s is outside its limit", "%s are outside their limits", f.list(over)))
}

// readingsHeading counts readings and doubts, and says whether the boards add up.
func (f format) readingsHeading(readings, doubtful int, closure string) string {
	number := f.numeral(readings)
	head := f.N(readings, "one reading", "%s readings", number)
	switch {
	case readings == 0:
		return f.S("No readings were taken")
	case doubtful == readings:
		head = f.N(readings, "one reading, and it is doubtful", "%s readings, all of them doubtful", number)
	case doubtful > 0:
		head = f.N(doubtful, "%s readings, one of them doubtful", "%s readings, %s of them doubtful", number, f.numeral(doubtful))
	}
	if closure != "" {
		head += "; " + closure
	}
	return capital(head)
}

// closure says whether the parts add up to the whole, for the points that can
// be held against what they feed. A point with circuits of its own may take any
// power beyond its parts, and shows nothing.
func (f format) closure(nodes []audit.Node) string {
	checked, off := 0, 0
	for _, n := range nodes {
		if n.Unexplained.Known() && !n.Rest {
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
		return f.S("the boards add up to what feeds them")
	case off == checked:
		return f.S("the boards do not add up to what feeds them")
	}
	return f.N(off, "at one board of %[2]s the parts do not add up to the whole", "at %s boards of %s the parts do not add up to the whole", f.numeral(off), f.numeral(checked))
}

// demandHeading holds the highest demand against the agreed one, in kVA. A peak
// month below 0 means that the months are alike.
func (f format) demandHeading(months int, over int, agreed bool, peakMonth int) string {
	switch {
	case months == 0:
		return f.S("The demand of the months can’t be told")
	case !agreed:
		if peakMonth < 0 {
			return f.S("The highest demand of the year is expected in every month alike")
		}
		return f.F("The highest demand of the year is expected in %s", f.monthName(peakMonth))
	case over == 0:
		return f.S("The demand is expected to stay below the agreed one all year")
	case over == months:
		return f.S("The demand is expected to pass the agreed one in every month")
	}
	return f.N(over, "The demand is expected to pass the agreed one in one month", "The demand is expected to pass the agreed one in %s months", f.numeral(over))
}

// workingsHeading counts the formulas.
func (f format) workingsHeading(n int) string {
	if n == 0 {
		return f.S("There is nothing to work out from what was measured")
	}
	return capital(f.N(n, "one formula lies between the readings and the figures", "%s formulas lie between the readings and the figures", f.numeral(n)))
}

// basisHeading counts the assumptions.
func (f format) basisHeading(n int) string {
	if n == 0 {
		return f.S("Nothing was assumed; these are the tariff and the limits of use")
	}
	return capital(f.N(n, "one thing was assumed rather than measured", "%s things were assumed rather than measured", f.numeral(n)))
}

// severityWord is a severity in words.
func (f format) severityWord(s finding.Severity) string {
	switch s {
	case finding.ActNow:
		return f.S("act now")
	case finding.Plan:
		return f.S("plan")
	case finding.Watch:
		return f.S("watch")
	}
	return f.S("in order")
}
