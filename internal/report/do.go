package report

import (
	"fmt"
	"slices"

	"auditgen/internal/audit"
	"auditgen/internal/charts"
	"auditgen/internal/finding"
	"auditgen/internal/measure"
	"auditgen/internal/money"
)

// DoSection says what to do, in which order, and what it is worth.
type DoSection struct {
	Section
	Intro   []string
	Caption string
	Rows    []DoRow
	Total   DoRow
	Over    EvidenceLine // what the years looked at cost
	Notes   []string
	Figure  *Figure
	Cash    []CashRow
	Left    bool // something is left at the end of a measure's years
	Cards   []DoCard
}

// DoRow is a measure in a line.
type DoRow struct {
	Order, Name, Link                            string
	Cost, Saving, Range, Payback, Energy, Carbon string
	Loses                                        string // said of one that costs more than it saves
	Bar                                          *Bar
}

// CashRow is a year of the plan.
type CashRow struct{ Year, Spent, Saved, Left, Cumulative, Discounted string }

// DoCard is a measure in full.
type DoCard struct {
	ID, Title string
	Facts     []DoFact
	Warnings  []string
	Caution   string
}

// DoFact is a line of it.
type DoFact struct {
	Term  string
	Texts []EvidenceLine
}

func measureAnchor(id string) string { return "m-" + id }

func (v *visit) do() DoSection {
	if v.Plan == nil {
		s := DoSection{Section: v.section("do", v.S("No measure is proposed in this report"))}
		s.Intro = []string{v.S("Measures are typed into measures.yaml, each with what it changes and what it costs; each is then worth what the bill, priced again with the change, falls by.")}
		return s
	}
	p := v.Plan
	s := DoSection{Section: v.section("do", v.doHeading())}
	s.Intro = v.doIntro()
	s.Caption = v.S("In the order of doing: what costs nothing and what pays back soonest first, a higher risk counting as a longer payback, and nothing before what it must follow")
	greatest := 0.0
	for _, m := range p.Measures {
		greatest = max(greatest, m.Alone.Cost.High)
	}
	for n, i := range p.Order {
		s.Rows = append(s.Rows, v.doRow(n+1, &p.Measures[i], greatest))
		s.Cards = append(s.Cards, v.doCard(&p.Measures[i]))
	}
	s.Total = v.doTotal()
	s.Over = v.overYears()
	s.Notes = v.doNotes()
	s.Figure = v.cashFigure()
	for _, c := range p.Cash {
		s.Left = s.Left || !c.Left.IsZero()
		s.Cash = append(s.Cash, CashRow{fmt.Sprint(c.Year), v.cash(c.Spent.InexactFloat64(), 0), v.cash(c.Saved.InexactFloat64(), 0), v.cash(c.Left.InexactFloat64(), 0), v.cash(c.Cumulative.InexactFloat64(), 0), v.cash(c.Discounted.InexactFloat64(), 0)})
	}
	return s
}

// costInterval is a cost with its doubt.
func costInterval(r money.Range, step string) audit.Interval {
	return audit.Interval{Value: r.Likely.InexactFloat64(), Low: r.Low.InexactFloat64(), High: r.High.InexactFloat64(), Step: step}
}

func (v *visit) doRow(n int, m *measure.Measure, greatest float64) DoRow {
	row := DoRow{
		Order: fmt.Sprint(n), Name: v.typed(m.Name.Value), Link: "#" + measureAnchor(m.ID.Value),
		Cost: v.costWords(costInterval(m.Cost, m.CostStep)), Saving: best(v.cash, m.Alone.Cost), Payback: v.paybackWords(m.Worth.Payback),
		Energy: best(v.plain, m.Alone.Energy), Carbon: v.carbon(m.Alone.Emission), Bar: intervalBar(positive(m.Alone.Cost), greatest),
	}
	if m.Alone.Cost.Half() > 0 {
		row.Range = v.span(v.cash, m.Alone.Cost)
	}
	switch {
	case loses(m) && m.Worth.NPV.High > 0:
		row.Loses = v.S("may not earn its cost")
	case loses(m):
		row.Loses = v.S("costs more than it saves")
	}
	return row
}

// loses tells a measure that by the best estimate costs more than it saves over
// its years.
func loses(m *measure.Measure) bool {
	return m.Worth.NPV.Step != "" && m.Worth.NPV.Value < 0
}

// positive is an interval as a bar can show it: from nothing up.
func positive(i audit.Interval) audit.Interval {
	i.Low, i.Value, i.High = max(i.Low, 0), max(i.Value, 0), max(i.High, 0)
	return i
}

func (v *visit) doTotal() DoRow {
	t := v.Plan.Together
	row := DoRow{Name: v.S("All together"), Cost: v.costWords(v.Plan.Cost), Saving: best(v.cash, t.Cost), Payback: v.paybackWords(v.Plan.Worth.Payback), Energy: best(v.plain, t.Energy), Carbon: v.carbon(t.Emission)}
	if t.Cost.Half() > 0 {
		row.Range = v.span(v.cash, t.Cost)
	}
	return row
}

// costWords writes a cost; what costs nothing says so.
func (v *visit) costWords(i audit.Interval) string {
	if i.High == 0 {
		return v.S("nothing")
	}
	return best(v.cash, i)
}

// carbon writes a mass of CO2e in kilograms, or nothing where no factor is known.
func (v *visit) carbon(i audit.Interval) string {
	if i.Step == "" {
		return ""
	}
	return best(v.plain, i)
}

// cashFigure is the cash of all measures over the years.
func (v *visit) cashFigure() *Figure {
	p := v.Plan
	l := charts.Lines{Unit: v.Currency, Format: v.axis}
	plain, discounted := charts.Series{Name: v.S("at prices of today")}, charts.Series{Name: v.F("discounted at %s", v.rate(float64(p.Terms.Rate)))}
	if p.Terms.Current {
		plain.Name = v.S("in the money of each year")
	}
	for _, c := range p.Cash {
		l.X = append(l.X, fmt.Sprint(c.Year))
		plain.Values = append(plain.Values, c.Cumulative.InexactFloat64())
		discounted.Values = append(discounted.Values, c.Discounted.InexactFloat64())
	}
	if len(p.Cash) < 2 {
		return nil
	}
	l.Series = []charts.Series{plain, discounted}
	last := p.Cash[len(p.Cash)-1]
	text := v.F("Costs and savings of all measures added up by year. Year 0 ends at %s, year %d at %s. The table below has the numbers.",
		v.cash(p.Cash[0].Cumulative.InexactFloat64(), 0), last.Year, v.cash(last.Cumulative.InexactFloat64(), 0))
	if years := v.replacedYears(); len(years) > 0 {
		var words []string
		for _, y := range years {
			words = append(words, fmt.Sprint(y.At))
		}
		l.Events = years
		text += " " + v.N(len(years), "Parts are replaced in year %s.", "Parts are replaced in years %s.", v.list(words))
	}
	l.Text = charts.Text{Title: v.cashMessage(), Description: text}
	return v.figure("chart-cash", v.cashMessage(), l)
}

// doCard is all that is said of a measure.
func (v *visit) doCard(m *measure.Measure) DoCard {
	c := DoCard{ID: measureAnchor(m.ID.Value), Title: v.typed(m.Name.Value), Caution: v.sentence(capital(m.Caution.Value))}
	add := func(term string, lines ...EvidenceLine) {
		lines = slices.DeleteFunc(lines, func(l EvidenceLine) bool { return l.Text == "" })
		if len(lines) > 0 {
			c.Facts = append(c.Facts, DoFact{term, lines})
		}
	}
	var changes []EvidenceLine
	for _, ch := range m.Changes {
		changes = append(changes, EvidenceLine{Text: v.sentence(v.rangeWords(measure.Words(v.Record, ch)))})
	}
	add(v.S("What changes"), changes...)
	add(v.S("Why"), EvidenceLine{Text: v.sentence(capital(m.Because.Value))})
	add(v.S("Saves a year"), v.savedLine(m))
	add(v.S("In this order"), EvidenceLine{Text: v.inOrder(m)})
	add(v.S("Costs"), v.costLines(m)...)
	add(v.S("Worth"), v.worthLine(m), v.lifeLine(m))
	var shown []EvidenceLine
	for _, n := range m.Notes {
		if n.Warning {
			c.Warnings = append(c.Warnings, v.typed(n.Text))
			continue
		}
		shown = append(shown, v.lined(v.typed(n.Text), n.Step))
	}
	add(v.S("Worked out"), shown...)
	add(v.S("Mends"), v.mended(m)...)
	add(v.S("Who"), EvidenceLine{Text: v.who(m)})
	add(v.S("Risk"), EvidenceLine{Text: v.riskWords(m.Risk.Value)})
	return c
}

// lined is a text with a link to its working.
func (v *visit) lined(text, step string) EvidenceLine {
	l := EvidenceLine{Text: text}
	if v.works.printed[step] {
		l.Links = []Link{{v.S("working"), "#" + anchor(step)}}
	}
	return l
}

func (v *visit) mended(m *measure.Measure) []EvidenceLine {
	var lines []EvidenceLine
	for _, f := range v.Findings {
		if f.Severity != finding.InOrder && mends(m, f.Rule) {
			lines = append(lines, EvidenceLine{Text: ended(v.findingHeadline(f)), Links: []Link{{v.S("finding"), "#" + findingAnchor(f.ID)}}})
		}
	}
	return lines
}

// mendsNeed tells whether a measure mends what asks for a step, whatever it earns.
func (v *visit) mendsNeed(m *measure.Measure) bool {
	return slices.ContainsFunc(v.Findings, func(f finding.Finding) bool {
		return (f.Severity == finding.ActNow || f.Severity == finding.Plan) && mends(m, f.Rule)
	})
}

func mends(m *measure.Measure, rule string) bool {
	for _, x := range m.Mends {
		if x.Value == rule {
			return true
		}
	}
	return false
}

// menders links a finding to the measures that mend it.
func (v *visit) menders(rule string) []Link {
	var links []Link
	if v.Plan == nil {
		return nil
	}
	for i := range v.Plan.Measures {
		if m := &v.Plan.Measures[i]; mends(m, rule) {
			links = append(links, Link{v.typed(m.Name.Value), "#" + measureAnchor(m.ID.Value)})
		}
	}
	return links
}

// planSteps are the first steps that a plan gives: what saves more money than it
// costs, or mends what asks for a step, in the order of doing.
func (v *visit) planSteps(most int) []FirstStep {
	var steps []FirstStep
	if v.Plan == nil {
		return nil
	}
	for _, i := range v.Plan.Order {
		m := &v.Plan.Measures[i]
		if len(steps) == most || !m.Alone.Exact.IsPositive() || loses(m) && !v.mendsNeed(m) {
			continue
		}
		steps = append(steps, FirstStep{
			Action: v.typed(m.Name.Value), Link: "#" + measureAnchor(m.ID.Value), Who: v.bare(m.Who.Value),
			Gain: best(v.cash, m.Alone.Cost), GainNote: v.savedFor(costInterval(m.Cost, m.CostStep)),
		})
	}
	return steps
}

// planWorks are the steps behind the figures of the plan.
func (v *visit) planWorks() []string {
	if v.Plan == nil {
		return nil
	}
	p := v.Plan
	ids := []string{p.Together.Cost.Step, p.Together.Energy.Step, p.Together.Emission.Step, p.Cost.Step, p.Worth.NPV.Step, p.Today.Step, p.LifeCycle.Saved.Step, p.Worth.Ratio.Step}
	for i := range p.Measures {
		m := &p.Measures[i]
		ids = append(ids, m.Alone.Cost.Step, m.Step.Cost.Step, m.Alone.Energy.Step, m.Worth.NPV.Step, m.Worth.Payback.Step, m.Worth.Ratio.Step, m.Worth.Adjusted.Step, m.Worth.Conserved.Step, m.CostStep, m.Left.Step)
		for _, n := range m.Notes {
			ids = append(ids, n.Step)
		}
	}
	return ids
}
