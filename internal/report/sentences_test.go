package report

import (
	"regexp"
	"strings"
	"testing"

	"auditgen/internal/audit"
	"auditgen/internal/finding"
)

func findings(severities ...finding.Severity) []finding.Finding {
	var fs []finding.Finding
	for i, s := range severities {
		fs = append(fs, finding.Finding{Severity: s, Headline: []string{"Voltage is out of its band.", "Power factor falls to 0.84", "Reading R2 is in doubt"}[i%3]})
	}
	return fs
}

func uses(shares ...float64) []audit.Use {
	var us []audit.Use
	for i, s := range shares {
		us = append(us, audit.Use{Name: []string{"refrigeration", "ripening", "lighting"}[i], Share: s})
	}
	return us
}

func sources(shares ...float64) []audit.Contribution {
	var cs []audit.Contribution
	for i, s := range shares {
		cs = append(cs, audit.Contribution{ID: "c", Label: []string{"duty of the chiller", "hours of production"}[i], Share: s})
	}
	return cs
}

func headlineOf(f finding.Finding) string { return euro.bare(f.Headline) }

// TestSentences lists every generated sentence in its forms: none, one, many
// and "can't tell".
func TestSentences(t *testing.T) {
	const now, plan, watch, fine = finding.ActNow, finding.Plan, finding.Watch, finding.InOrder
	year := interval(352000, 17000)
	cases := []struct{ got, want string }{
		{euro.actionSentence(nil, 0, headlineOf), "Nothing was judged."},
		{euro.actionSentence(nil, 2, headlineOf), "Nothing could be judged from these readings."},
		{euro.actionSentence(findings(fine), 0, headlineOf), "Nothing was found out of order."},
		{euro.actionSentence(findings(fine), 1, headlineOf), "Nothing was found out of order, but one matter could not be judged."},
		{euro.actionSentence(findings(fine), 3, headlineOf), "Nothing was found out of order, but three matters could not be judged."},
		{euro.actionSentence(findings(now), 0, headlineOf), "One finding needs action now: voltage is out of its band."},
		{euro.actionSentence(findings(now, now, plan), 0, headlineOf), "Two findings need action now, first of all this: voltage is out of its band."},
		{euro.actionSentence(findings(plan), 0, headlineOf), "Nothing needs action now; one finding is worth a plan: voltage is out of its band."},
		{euro.actionSentence(findings(plan, plan), 0, headlineOf), "Nothing needs action now; two findings are worth a plan."},
		{euro.actionSentence(findings(watch), 0, headlineOf), "Nothing needs action; one finding is worth watching."},
		{euro.actionSentence(findings(watch, watch), 0, headlineOf), "Nothing needs action; two findings are worth watching."},

		{euro.noSteps(0, 0), "No step follows from what was read."},
		{euro.noSteps(4, 0), "Nothing in the readings asks for a step now."},
		{euro.noSteps(4, 1), "Nothing in the readings asks for a step now. One matter could not be judged; part B says which reading would settle it."},
		{euro.noSteps(0, 2), "No step follows from what was read. Two matters could not be judged; part B says which reading would settle each."},

		{euro.energyHeading(nil), "Where the energy goes can’t be told: no load has both power and hours"},
		{euro.energyHeading(uses(1)), "All of the energy goes to refrigeration"},
		{euro.energyHeading(uses(0.6, 0.4)), "About three fifths of the energy goes to refrigeration"},
		{euro.energyHeading(uses(0.28, 0.23, 0.2)), "About half of the energy goes to refrigeration and ripening"},

		{euro.whenHeading(-1, 0, 0), "When the energy is used can’t be told"},
		{euro.whenHeading(10, 5, 4.5), "The load hardly changes through the working day"},
		{euro.whenHeading(10, 79, 19), "A working day peaks around 10:00, at about four times its lowest hour"},
		{euro.whenHeading(10, 15, 10), "A working day peaks around 10:00, at about one and a half times its lowest hour"},
		{euro.whenHeading(10, 19, 10), "A working day peaks around 10:00, at about twice its lowest hour"},
		{euro.whenHeading(10, 19, 0), "A working day peaks around 10:00 and falls to almost nothing"},

		{euro.payHeading(false, 0, 0), "What the site pays can’t be told"},
		{euro.payHeading(true, 0, 0), "Nearly all of the bill follows the energy used"},
		{euro.payHeading(true, 0.2, 0), "About a fifth of the bill pays for peaks, not for energy"},
		{euro.payHeading(true, 0, 0.1), "About a tenth of the bill pays for reactive current, not for energy"},
		{euro.payHeading(true, 0.13, 0.05), "Almost a fifth of the bill pays for peaks and reactive current, not for energy"},

		{euro.foundHeading(nil, 0), "Nothing was judged"},
		{euro.foundHeading(nil, 2), "Nothing could be judged from these readings"},
		{euro.foundHeading(findings(fine, fine), 1), "Nothing was found out of order"},
		{euro.foundHeading(findings(now), 0), "One finding, and it needs action now"},
		{euro.foundHeading(findings(now, now), 0), "Two findings, all of which need action now"},
		{euro.foundHeading(findings(plan), 0), "One finding, not urgent"},
		{euro.foundHeading(findings(plan, watch, fine), 0), "Two findings, none of them urgent"},
		{euro.foundHeading(findings(now, plan, watch), 0), "Three findings, one of them urgent"},

		{euro.sureHeading(audit.Interval{}, nil), "How sure the figures are can’t be told without a year"},
		{euro.sureHeading(interval(100, 0), nil), "No doubt was stated for any input, so the year shows none"},
		{euro.sureHeading(year, nil), "The year is known to within 5" + nbsp + "%"},
		{euro.sureHeading(year, sources(1)), "The year is known to within 5" + nbsp + "%; most of the doubt is one thing, the duty of the chiller"},
		{euro.sureHeading(year, sources(0.4, 0.3)), "The year is known to within 5" + nbsp + "%; the weakest point is the duty of the chiller"},

		{euro.limitsHeading(nil, nil), "No limit could be held against a reading"},
		{euro.limitsHeading([]string{"the voltage of every phase"}, nil), "The voltage of every phase is within its limit"},
		{euro.limitsHeading([]string{"a", "b"}, nil), "All that was read is within its limits"},
		{euro.limitsHeading([]string{"a"}, []string{"the 5th harmonic"}), "The 5th harmonic is outside its limit"},
		{euro.limitsHeading([]string{"a"}, []string{"the 5th harmonic", "the 7th harmonic"}), "The 5th harmonic and the 7th harmonic are outside their limits"},
		{euro.limitsHeading([]string{"a"}, []string{"a", "b", "c", "d"}), "Four values are outside their limits"},

		{euro.spectrumHeading("current", 0, nil), "Current harmonics, for which no limit is known here"},
		{euro.spectrumHeading("voltage", 6, nil), "Voltage harmonics are all within their limits"},
		{euro.spectrumHeading("current", 6, []string{"5th"}), "The 5th harmonic of the current is over the limit"},
		{euro.spectrumHeading("current", 6, []string{"5th", "7th"}), "The 5th and 7th harmonics of the current are over the limit"},
		{euro.spectrumHeading("current", 2, []string{"5th", "7th"}), "Current harmonics are all over their limits"},

		{euro.voltageMessage(nil), "Every phase is within the voltage band"},
		{euro.voltageMessage([]string{"the voltage of phase A"}), "The voltage of phase A is outside the band"},
		{euro.voltageMessage([]string{"the voltage of phase A", "the voltage of phase B"}), "The voltage of phase A and the voltage of phase B are outside the band"},

		{euro.readingsHeading(0, 0, ""), "No readings were taken"},
		{euro.readingsHeading(1, 0, ""), "One reading"},
		{euro.readingsHeading(1, 1, ""), "One reading, and it is doubtful"},
		{euro.readingsHeading(2, 2, ""), "Two readings, all of them doubtful"},
		{euro.readingsHeading(23, 1, "the boards add up to what feeds them"), "23 readings, one of them doubtful; the boards add up to what feeds them"},

		{euro.demandHeading(0, 0, false, 0), "The demand of the months can’t be told"},
		{euro.demandHeading(12, 0, false, 3), "The highest demand of the year is expected in April"},
		{euro.demandHeading(12, 0, false, -1), "The highest demand of the year is expected in every month alike"},
		{euro.demandHeading(12, 0, true, 3), "The demand is expected to stay below the agreed one all year"},
		{euro.demandHeading(12, 1, true, 3), "The demand is expected to pass the agreed one in one month"},
		{euro.demandHeading(12, 5, true, 3), "The demand is expected to pass the agreed one in five months"},
		{euro.demandHeading(12, 12, true, 3), "The demand is expected to pass the agreed one in every month"},

		{euro.workingsHeading(0), "There is nothing to work out from what was measured"},
		{euro.workingsHeading(1), "One formula lies between the readings and the figures"},
		{euro.workingsHeading(47), "47 formulas lie between the readings and the figures"},
		{euro.basisHeading(0), "Nothing was assumed; these are the tariff and the limits of use"},
		{euro.basisHeading(1), "One thing was assumed rather than measured"},
		{euro.basisHeading(3), "Three things were assumed rather than measured"},
		{euro.visitsSentence(0, ""), "The site has not been visited yet."},
		{euro.visitsSentence(1, "14 May 2031"), "One visit, on 14 May 2031."},
		{euro.visitsSentence(2, "14 May 2031"), "Two visits; the latest was on 14 May 2031."},

		{euro.portion(1), "all"}, {euro.portion(0.97), "nearly all"}, {euro.portion(0.33), "about a third"}, {euro.portion(0.53), "more than half"},
		{euro.portion(0.47), "almost half"}, {euro.portion(0.05), "a small part"}, {euro.portion(0.001), "very little"},
		{euro.list(nil), ""}, {euro.list([]string{"a"}), "a"}, {euro.list([]string{"a", "b"}), "a and b"}, {euro.list([]string{"a", "b", "c"}), "a, b and c"},
		{euro.ordinal(2), "2nd"}, {euro.ordinal(3), "3rd"}, {euro.ordinal(5), "5th"}, {euro.ordinal(11), "11th"}, {euro.ordinal(21), "21st"}, {euro.ordinal(13), "13th"},
	}
	for _, c := range cases {
		if c.got != c.want {
			t.Errorf("%q, not %q", c.got, c.want)
		}
	}
}

func TestClosure(t *testing.T) {
	node := func(agrees bool) audit.Node { return audit.Node{Unexplained: audit.Value{Step: "x"}, Agrees: agrees} }
	cases := []struct {
		nodes []audit.Node
		want  string
	}{
		{nil, ""},
		{[]audit.Node{{}}, ""},
		{[]audit.Node{{Unexplained: audit.Value{Step: "x"}, Agrees: true, Rest: true}}, ""},
		{[]audit.Node{node(true)}, "the boards add up to what feeds them"},
		{[]audit.Node{node(false)}, "the boards do not add up to what feeds them"},
		{[]audit.Node{node(false), node(true), node(true)}, "at one board of three the parts do not add up to the whole"},
	}
	for _, c := range cases {
		if got := euro.closure(c.nodes); got != c.want {
			t.Errorf("%q, not %q", got, c.want)
		}
	}
}

// TestNumbersInProse holds the numbers of the first screen against the model.
func TestNumbersInProse(t *testing.T) {
	v := newVisit(example(t), renderer)
	top := v.top()
	for _, want := range []string{best(v.cash, v.Cost), best(v.cash, *v.dearest().Cost)} {
		if !strings.Contains(top.Headline, want) {
			t.Errorf("%q is not in %q", want, top.Headline)
		}
	}
	number := regexp.MustCompile(`[0-9][0-9,.]*`)
	if n := len(number.FindAllString(top.Headline, -1)); n != 2 {
		t.Errorf("%d numbers in %q, not 2", n, top.Headline)
	}
	figures := []audit.Interval{v.Cost, v.Energy, v.Peak, *v.priced(lowPowerFactor).Cost}
	for i, f := range top.Figures {
		w := v.plain
		if i == 0 || i == 3 {
			w = v.cash
		}
		if f.Big != best(w, figures[i]) || f.Range != euro.span(w, figures[i]) {
			t.Errorf("%s is printed %s (%s), but is %v", f.Term, f.Big, f.Range, figures[i])
		}
	}
	said := 0
	for _, f := range top.Figures {
		said += strings.Count(f.Why, "nine chances in ten")
	}
	if said != 1 {
		t.Errorf("what an interval means is said %d times, not once", said)
	}
}

// TestPrintedColumnsAddUp adds the printed numbers of the energy and the bill.
func TestPrintedColumnsAddUp(t *testing.T) {
	v := newVisit(example(t), renderer)
	sum := func(texts []string) int {
		n := 0
		for _, x := range texts {
			digits := strings.Map(func(r rune) rune {
				if r >= '0' && r <= '9' {
					return r
				}
				return -1
			}, x)
			part := 0
			for _, d := range digits {
				part = part*10 + int(d-'0')
			}
			n += part
		}
		return n
	}
	e, p := v.energy(), v.pay()
	var energy, amounts, months, costs []string
	for _, r := range e.Rows {
		energy = append(energy, r.Energy)
	}
	for _, l := range p.Lines {
		amounts = append(amounts, l.Amount)
	}
	for _, m := range p.Months {
		months, costs = append(months, m.Energy), append(costs, m.Cost)
	}
	for _, c := range []struct {
		what  string
		parts []string
		total string
	}{{"uses", energy, e.Total.Energy}, {"charges", amounts, p.Total.Amount}, {"months", months, p.Sum.Energy}, {"monthly costs", costs, p.Sum.Cost}} {
		if len(c.parts) == 0 || sum(c.parts) != sum([]string{c.total}) {
			t.Errorf("%s: %v add up to %d, printed as %s", c.what, c.parts, sum(c.parts), c.total)
		}
	}
}
