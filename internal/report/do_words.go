package report

import (
	"math"
	"regexp"
	"slices"
	"strings"

	"auditgen/internal/audit"
	"auditgen/internal/measure"
)

// The sentences of the plan. Each has forms for none, one and many.

// doHeading says what all measures save, or that they save nothing.
func (v *visit) doHeading() string {
	p := v.Plan
	n := len(p.Measures)
	number, amount := v.numeral(n), best(v.cash, p.Together.Cost)
	switch {
	case p.Together.Cost.Value <= 0:
		return capital(v.N(n, "the one measure proposed saves no money", "%s measures together save no money", number))
	case v.Cost.Value > 0:
		return capital(v.N(n, "the one measure proposed saves about %[2]s a year, %[3]s of the bill", "%s measures together save about %s a year, %s of the bill", number, amount, v.portion(p.Together.Cost.Value/v.Cost.Value)))
	}
	return capital(v.N(n, "the one measure proposed saves about %[2]s a year", "%s measures together save about %s a year", number, amount))
}

func (v *visit) doIntro() []string {
	p := v.Plan
	out := []string{v.S("A measure is worth what the year’s bill, priced again with the change applied, falls by: charge by charge, so that a saving at night counts at the night’s price, and a lower demand only where demand is billed.")}
	if len(p.Measures) > 1 {
		out = append(out, v.F("Each line stands for the measure done alone. Done together they are worth %s, since each changes what is left for the others; the last line counts nothing twice.", v.overlap(p)))
	}
	var losing []string
	for _, i := range p.Order {
		if m := &p.Measures[i]; loses(m) && m.Worth.NPV.High <= 0 {
			losing = append(losing, v.F("“%s”", v.typed(m.Name.Value)))
		}
	}
	if n := len(losing); n > 0 {
		out = append(out, v.N(n, "%s costs more than it saves over its years on the terms below: it is shown so that this is known, and to be done only where it serves something else.",
			"%s cost more than they save over their years on the terms below: they are shown so that this is known, and to be done only where they serve something else.", v.list(losing)))
	}
	return out
}

// overlap tells whether measures help or hinder each other.
func (f format) overlap(p *measure.Plan) string {
	sum := 0.0
	for _, m := range p.Measures {
		sum += m.Alone.Cost.Value
	}
	switch d := p.Together.Cost.Value - sum; {
	case math.Abs(d) < 0.005*math.Max(math.Abs(sum), 1):
		return f.S("nearly the sum of the lines")
	case d < 0:
		return f.S("less than the sum of the lines")
	}
	return f.S("more than the sum of the lines")
}

func (v *visit) doNotes() []string {
	t := v.Plan.Terms
	kind := v.S("constant money: prices of today, inflation left out, the discount rate real")
	if t.Current {
		kind = v.F("current money: with %s of inflation, the discount rate nominal", v.rate(float64(t.Inflation)))
	}
	notes := []string{v.N(t.Study, "Worth over the years after NIST Handbook 135: costs in year 0, savings at the end of each year; a discount rate of %s in %s. Electricity is taken to rise by %s a year beyond other prices. A measure counts as long as it lives, at most one year.",
		"Worth over the years after NIST Handbook 135: costs in year 0, savings at the end of each year; a discount rate of %s in %s. Electricity is taken to rise by %s a year beyond other prices. A measure counts as long as it lives, at most %s years.",
		v.rate(float64(t.Rate)), kind, v.rate(float64(t.Escalation)), v.numeral(t.Study))}
	if v.anyReplaced() {
		notes = append(notes, v.S("Replacements fall at the end of their year and count as paid for the measure; what is left of it when its saving ends is taken off that. In the line above it stands in that year as value, not as money in hand."))
	}
	if e := v.Record.Site.Emission; e != nil {
		notes = append(notes, v.F("Emission by %s: %s.", v.typed(e.Factor.Text), v.bare(e.Source.Value)))
	}
	return append(notes, v.S("Costs are the provider’s and are no offer; savings are expected, not guaranteed."))
}

// cashMessage is the title of the cash line.
func (v *visit) cashMessage() string {
	p := v.Plan
	last := p.Cash[len(p.Cash)-1]
	end := last.Cumulative.InexactFloat64()
	years, stand := v.yearsWords(last.Year), rounded(v.cash, end, exponent(end)-1)
	var text string
	switch {
	case p.Worth.Payback.Step == "":
		text = v.F("All measures together have not paid for themselves within %s", years)
	case p.Worth.Payback.Value == 0:
		text = v.F("All measures together cost nothing at first and stand at %s after %s", stand, years)
	default:
		text = v.F("All measures together have paid for themselves after %s and stand %s ahead after %s", v.paybackWords(p.Worth.Payback), stand, years)
	}
	if slices.ContainsFunc(p.Cash, func(c measure.Cash) bool { return !c.Left.IsZero() }) {
		text += v.S(", what is left of them counted")
	}
	return text
}

// yearsWords counts years in words.
func (f format) yearsWords(n int) string { return f.N(n, "one year", "%s years", f.numeral(n)) }

// paybackWords writes a payback: in months below a year, in years above.
func (v *visit) paybackWords(i audit.Interval) string {
	months := i.Value * 12
	switch {
	case i.Step == "":
		return v.S("never")
	case i.Value == 0:
		return v.S("at once")
	case months < 1:
		return v.S("less than a month")
	case months < 11.5:
		n := int(math.Round(months))
		return v.N(n, "%d\u00a0month", "%d\u00a0months", n)
	case i.Value < 10:
		return v.F("%s\u00a0years", v.plain(i.Value, 1))
	}
	return v.F("%s\u00a0years", v.plain(i.Value, 0))
}

// rate writes a yearly rate with the digits that it has.
func (v *visit) rate(r float64) string { return v.sig(r*100, 3) + nbsp + "%" }

var rangeForm = regexp.MustCompile(`([\d.]*\d)\.\.([\d.]*\d)\.\.([\d.]*\d) ([^\s,;()]+)`)

// rangeWords sets a range as it is typed, low..likely..high, in words.
func (f format) rangeWords(text string) string {
	return rangeForm.ReplaceAllString(text, "${2} ${4} ("+f.F("%s to %s", "${1}", "${3}")+" ${4})")
}

// savedFor says beside a saving what it costs.
func (v *visit) savedFor(cost audit.Interval) string {
	if cost.High == 0 {
		return v.S("saved a year, at no cost")
	}
	return v.F("saved a year, for %s once", v.costWords(cost))
}

// savedLine is what a measure saves in a year.
func (v *visit) savedLine(m *measure.Measure) EvidenceLine {
	s := m.Alone
	if s.Exact.IsZero() {
		return v.lined(v.S("Nothing that the bill shows: it is proposed for what it mends."), s.Cost.Step)
	}
	parts := []string{best(v.cash, s.Cost)}
	if s.Cost.Half() > 0 {
		parts[0] += " (" + v.span(v.cash, s.Cost) + ")"
	}
	more := func(i audit.Interval, least float64, w write, unit string, ofPeak bool) {
		if math.Abs(i.Value) < least {
			return
		}
		takes := i.Value < 0
		if takes {
			i.Value, i.Low, i.High = -i.Value, -i.High, -i.Low
		}
		text := v.withUnit(best(w, i), unit)
		switch {
		case ofPeak && takes:
			text = v.F("but takes %s of the highest demand more", text)
		case ofPeak:
			text = v.F("%s of the highest demand", text)
		case takes:
			text = v.F("but takes %s more", text)
		}
		parts = append(parts, text)
	}
	more(s.Energy, 0.5, v.plain, "kWh", false)
	more(s.Peak, 0.05, func(kw float64, _ int) string { return v.kilowatts(kw) }, "kW", true)
	if s.Emission.Step != "" && s.Energy.Value > 0 {
		more(s.Emission, 0.5, v.plain, "kg CO₂e", false)
	}
	text := ended(strings.Join(parts, ", "))
	if len(m.After) > 0 {
		text += " " + v.S("Counted on top of what it must follow.")
	}
	return v.lined(text, s.Cost.Step)
}

// inOrder is what a measure adds with those before it done, where that differs.
func (v *visit) inOrder(m *measure.Measure) string {
	adds := best(v.cash, m.Step.Cost)
	if adds == best(v.cash, m.Alone.Cost) || m.Step.Exact.Equal(m.Alone.Exact) {
		return ""
	}
	return ended(v.F("With those above it in the client’s order done it adds %s", adds))
}

func (v *visit) costLines(m *measure.Measure) []EvidenceLine {
	cost := costInterval(m.Cost, m.CostStep)
	text := capital(v.costWords(cost))
	if cost.Half() > 0 {
		text += " (" + v.span(v.cash, cost) + ")"
	}
	if m.Basis.IsSet() {
		text += v.F(", by %s", v.bare(m.Basis.Value))
	}
	lines := []EvidenceLine{v.lined(ended(text), m.CostStep)}
	for _, l := range m.CostLines {
		line := v.F("%s, in %s: %s at %s", capital(l.Price.Name.Value), l.Price.Unit.Value, l.Quantity.String(), v.rangeWords(l.Price.Each.Text))
		if l.Price.Fixed.IsSet() {
			line += v.F(", and %s once", v.rangeWords(l.Price.Fixed.Text))
		}
		lines = append(lines, EvidenceLine{Text: v.sentence(line + " (" + l.Price.Source.Value + ")")})
	}
	if m.Upkeep.IsSet() {
		lines = append(lines, EvidenceLine{Text: v.sentence(v.F("Upkeep of %s a year", v.rangeWords(m.Upkeep.Text)))})
	}
	return append(lines, v.replacedLines(m)...)
}

// worthLine is what a measure is worth over its years.
func (v *visit) worthLine(m *measure.Measure) EvidenceLine {
	w := m.Worth
	parts := []string{v.F("Net present value %s", best(v.cash, w.NPV))}
	if w.NPV.Half() > 0 {
		parts[0] += " (" + v.span(v.cash, w.NPV) + ")"
	}
	parts = append(parts, v.F("over %s", v.yearsWords(m.Counted)))
	switch {
	case w.Payback.Step == "":
		parts = append(parts, v.S("it never pays back"))
	case w.Payback.Value > 0:
		parts = append(parts, v.F("paid back in %s", v.paybackWords(w.Payback)))
		if w.Discounted.Step != "" {
			parts = append(parts, v.F("with interest in %s", v.paybackWords(w.Discounted)))
		}
	}
	if w.Ratio.Known() {
		parts = append(parts, v.F("savings-to-investment ratio %s", v.sig(w.Ratio.V, 2)))
	}
	if w.Return.Known() && w.Return.V < 2 {
		parts = append(parts, v.F("internal rate of return %s", v.percent(w.Return.V, 0)))
	} else if w.Adjusted.Known() {
		parts = append(parts, v.F("adjusted internal rate of return %s", v.percent(w.Adjusted.V, 0)))
	}
	if w.Conserved.Known() {
		parts = append(parts, v.F("a saved kWh costs %s", v.money(w.Conserved.V, 3)))
	}
	return v.lined(ended(strings.Join(parts, ", ")), w.NPV.Step)
}

func (f format) who(m *measure.Measure) string {
	text := f.sentence(capital(m.Who.Value))
	if m.Licensed.Value {
		text = f.licensed(text)
	}
	return text
}

// licensed says of who does a work that it is licensed work, unless that is said.
func (f format) licensed(who string) string {
	for _, stem := range strings.Fields(f.S("licen")) {
		if strings.Contains(strings.ToLower(who), stem) {
			return who
		}
	}
	return strings.TrimSpace(who + " " + f.S("Licensed work."))
}

func (f format) riskWords(risk string) string {
	switch risk {
	case "low":
		return f.S("Low: it does what it should and disturbs nothing.")
	case "high":
		return f.S("High: it may disappoint, or disturb the work while it is done.")
	}
	return f.S("Medium: it depends on people or on figures that are not yet certain.")
}
