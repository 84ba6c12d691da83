package report

import (
	"fmt"
	"math"
	"regexp"
	"strings"

	"auditgen/internal/audit"
	"auditgen/internal/measure"
)

// The sentences of the plan. Each has forms for none, one and many.

func noMeasures() string { return "No measure is proposed in this report" }

// doHeading says what all measures save, or that they save nothing.
func (v *visit) doHeading() string {
	p := v.Plan
	n := len(p.Measures)
	all := capital(count(n, "measure", "measures")) + " together"
	if n == 1 {
		all = "The one measure proposed"
	}
	verb := choose(n, "saves", "save")
	switch {
	case p.Together.Cost.Value <= 0:
		return all + " " + verb + " no money"
	case v.Cost.Value > 0:
		return fmt.Sprintf("%s %s about %s a year, %s of the bill", all, verb, best(v.cash, p.Together.Cost), portion(p.Together.Cost.Value/v.Cost.Value))
	}
	return fmt.Sprintf("%s %s about %s a year", all, verb, best(v.cash, p.Together.Cost))
}

func (v *visit) doIntro() []string {
	p := v.Plan
	out := []string{"A measure is worth what the year’s bill, priced again with the change applied, falls by: charge by charge, so that a saving at night counts at the night’s price, and a lower demand only where demand is billed."}
	if len(p.Measures) > 1 {
		out = append(out, "Each line stands for the measure done alone. Done together they are worth "+overlap(p)+", since each changes what is left for the others; the last line counts nothing twice.")
	}
	return out
}

// overlap tells whether measures help or hinder each other.
func overlap(p *measure.Plan) string {
	sum := 0.0
	for _, m := range p.Measures {
		sum += m.Alone.Cost.Value
	}
	switch d := p.Together.Cost.Value - sum; {
	case math.Abs(d) < 0.005*math.Max(math.Abs(sum), 1):
		return "nearly the sum of the lines"
	case d < 0:
		return "less than the sum of the lines"
	}
	return "more than the sum of the lines"
}

func (v *visit) doNotes() []string {
	t := v.Plan.Terms
	kind := "constant money: prices of today, inflation left out, the discount rate real"
	if t.Current {
		kind = "current money: with " + v.rate(float64(t.Inflation)) + " of inflation, the discount rate nominal"
	}
	notes := []string{fmt.Sprintf("Worth over the years after NIST Handbook 135: costs in year 0, savings at the end of each year; a discount rate of %s in %s. Electricity is taken to rise by %s a year beyond other prices. A measure counts as long as it lives, at most %s.",
		v.rate(float64(t.Rate)), kind, v.rate(float64(t.Escalation)), count(t.Study, "year", "years"))}
	if e := v.Record.Site.Emission; e != nil {
		notes = append(notes, fmt.Sprintf("Emission by %s: %s.", typed(e.Factor.Text), bare(e.Source.Value)))
	}
	return append(notes, "Costs are the provider’s and are no offer; savings are expected, not guaranteed.")
}

// cashMessage is the title of the cash line.
func (v *visit) cashMessage() string {
	p := v.Plan
	last := p.Cash[len(p.Cash)-1]
	end := last.Cumulative.InexactFloat64()
	switch {
	case p.Worth.Payback.Step == "":
		return fmt.Sprintf("All measures together have not paid for themselves within %s", count(last.Year, "year", "years"))
	case p.Worth.Payback.Value == 0:
		return fmt.Sprintf("All measures together cost nothing at first and stand at %s after %s", rounded(v.cash, end, exponent(end)-1), count(last.Year, "year", "years"))
	}
	return fmt.Sprintf("All measures together have paid for themselves after %s and stand %s ahead after %s", v.paybackWords(p.Worth.Payback), rounded(v.cash, end, exponent(end)-1), count(last.Year, "year", "years"))
}

// paybackWords writes a payback: in months below a year, in years above.
func (v *visit) paybackWords(i audit.Interval) string {
	months := i.Value * 12
	switch {
	case i.Step == "":
		return "never"
	case i.Value == 0:
		return "at once"
	case months < 1:
		return "less than a month"
	case months < 11.5:
		n := int(math.Round(months))
		return fmt.Sprintf("%d%s%s", n, nbsp, choose(n, "month", "months"))
	case i.Value < 10:
		return v.plain(i.Value, 1) + nbsp + "years"
	}
	return v.plain(i.Value, 0) + nbsp + "years"
}

// rate writes a yearly rate with the digits that it has.
func (v *visit) rate(r float64) string { return v.sig(r*100, 3) + nbsp + "%" }

var rangeForm = regexp.MustCompile(`([\d.]*\d)\.\.([\d.]*\d)\.\.([\d.]*\d) ([^\s,;()]+)`)

// rangeWords sets a range as it is typed, low..likely..high, in words.
func rangeWords(text string) string {
	return rangeForm.ReplaceAllString(text, "${2} ${4} (${1} to ${3} ${4})")
}

func forCost(cost string) string {
	if cost == "nothing" {
		return ", at no cost"
	}
	return ", for " + cost + " once"
}

// savedLine is what a measure saves in a year.
func (v *visit) savedLine(m *measure.Measure) EvidenceLine {
	s := m.Alone
	if s.Exact.IsZero() {
		return v.lined("Nothing that the bill shows: it is proposed for what it mends.", s.Cost.Step)
	}
	parts := []string{best(v.cash, s.Cost)}
	if s.Cost.Half() > 0 {
		parts[0] += " (" + span(v.cash, s.Cost) + ")"
	}
	more := func(i audit.Interval, least float64, w write, unit, tail string) {
		switch {
		case math.Abs(i.Value) < least:
		case i.Value > 0:
			parts = append(parts, withUnit(best(w, i), unit)+tail)
		default:
			i.Value, i.Low, i.High = -i.Value, -i.High, -i.Low
			parts = append(parts, "but takes "+withUnit(best(w, i), unit)+tail+" more")
		}
	}
	more(s.Energy, 0.5, v.plain, "kWh", "")
	more(s.Peak, 0.05, func(kw float64, _ int) string { return v.kilowatts(kw) }, "kW", " of the highest demand")
	if s.Emission.Step != "" && s.Energy.Value > 0 {
		more(s.Emission, 0.5, v.plain, "kg CO₂e", "")
	}
	text := sentence(strings.Join(parts, ", "))
	if len(m.After) > 0 {
		text += " Counted on top of what it must follow."
	}
	return v.lined(text, s.Cost.Step)
}

// inOrder is what a measure adds with those before it done, where that differs.
func (v *visit) inOrder(m *measure.Measure) string {
	adds := best(v.cash, m.Step.Cost)
	if adds == best(v.cash, m.Alone.Cost) || m.Step.Exact.Equal(m.Alone.Exact) {
		return ""
	}
	return sentence("With those above it in the client’s order done it adds " + adds)
}

func (v *visit) costLines(m *measure.Measure) []EvidenceLine {
	cost := costInterval(m.Cost, m.CostStep)
	text := capital(v.costWords(cost))
	if cost.Half() > 0 {
		text += " (" + span(v.cash, cost) + ")"
	}
	if m.Basis.IsSet() {
		text += ", by " + bare(m.Basis.Value)
	}
	lines := []EvidenceLine{v.lined(sentence(text), m.CostStep)}
	for _, l := range m.CostLines {
		line := fmt.Sprintf("%s %s of %s at %s", l.Quantity.String(), l.Price.Unit.Value, lower(l.Price.Name.Value), rangeWords(l.Price.Each.Text))
		if l.Price.Fixed.IsSet() {
			line += ", and " + rangeWords(l.Price.Fixed.Text) + " once"
		}
		lines = append(lines, EvidenceLine{Text: sentence(line + " (" + l.Price.Source.Value + ")")})
	}
	if m.Upkeep.IsSet() {
		lines = append(lines, EvidenceLine{Text: sentence("Upkeep of " + rangeWords(m.Upkeep.Text) + " a year")})
	}
	return lines
}

// worthLine is what a measure is worth over its years.
func (v *visit) worthLine(m *measure.Measure) EvidenceLine {
	w := m.Worth
	parts := []string{"Net present value " + best(v.cash, w.NPV)}
	if w.NPV.Half() > 0 {
		parts[0] += " (" + span(v.cash, w.NPV) + ")"
	}
	parts = append(parts, "over "+count(m.Counted, "year", "years"))
	switch {
	case w.Payback.Step == "":
		parts = append(parts, "it never pays back")
	case w.Payback.Value > 0:
		parts = append(parts, "paid back in "+v.paybackWords(w.Payback))
		if w.Discounted.Step != "" {
			parts = append(parts, "with interest in "+v.paybackWords(w.Discounted))
		}
	}
	if w.Ratio.Known() {
		parts = append(parts, "savings-to-investment ratio "+v.sig(w.Ratio.V, 2))
	}
	if w.Return.Known() && w.Return.V < 2 {
		parts = append(parts, "internal rate of return "+v.percent(w.Return.V, 0))
	} else if w.Adjusted.Known() {
		parts = append(parts, "adjusted internal rate of return "+v.percent(w.Adjusted.V, 0))
	}
	if w.Conserved.Known() {
		parts = append(parts, "a saved kWh costs "+v.money(w.Conserved.V, 3))
	}
	return v.lined(sentence(strings.Join(parts, ", ")), w.NPV.Step)
}

func who(m *measure.Measure) string {
	text := sentence(capital(m.Who.Value))
	if m.Licensed.Value && !strings.Contains(strings.ToLower(text), "licen") {
		text = strings.TrimSpace(text + " Licensed work.")
	}
	return text
}

func riskWords(risk string) string {
	switch risk {
	case "low":
		return "Low: it does what it should and disturbs nothing."
	case "high":
		return "High: it may disappoint, or disturb the work while it is done."
	}
	return "Medium: it depends on people or on figures that are not yet certain."
}
