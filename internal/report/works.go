package report

import (
	"regexp"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/audit"
	"auditgen/internal/finding"
	"auditgen/internal/working"
)

// works are the steps behind the figures shown, gathered by formula: the first
// of each is printed in full, the others as rows of a table.
type works struct {
	groups  []*workGroup
	printed map[string]bool // ids of the steps that have a place on the page
}

type workGroup struct {
	first working.Step
	more  []working.Step
	left  int // steps beyond those printed
}

// mostRows is how many further steps of one formula are printed.
const mostRows = 4

// collectWorks follows the headline figures, the bill's lines, the findings and
// the doubts back to the readings, nearest first.
func (v *visit) collectWorks() *works {
	w := &works{printed: map[string]bool{}}
	if v.Sheet == nil {
		return w
	}
	queue := v.headlineSteps()
	seen := map[string]bool{}
	groups := map[any]*workGroup{}
	for len(queue) > 0 {
		id := queue[0]
		queue = queue[1:]
		if id == "" || seen[id] {
			continue
		}
		seen[id] = true
		step, ok := v.Sheet.Get(id)
		if !ok || step.Kind != working.Derived && step.Kind != working.Modelled {
			continue
		}
		queue = append(queue, step.From...)
		key := any(step.Formula)
		if step.Formula == nil {
			key = step.Reason
		}
		g := groups[key]
		switch {
		case g == nil:
			g = &workGroup{first: step}
			groups[key] = g
			w.groups = append(w.groups, g)
		case len(g.more) < mostRows:
			g.more = append(g.more, step)
		default:
			g.left++
			continue
		}
		w.printed[id] = true
	}
	return w
}

func (v *visit) headlineSteps() []string {
	ids := []string{v.Cost.Step, v.Energy.Step, v.Peak.Step, v.PeakKVA.Step, v.BaseLoad.Step, v.LoadFactor.Step}
	for _, l := range v.YearLines {
		ids = append(ids, l.Step)
	}
	for _, t := range v.Tariffs {
		ids = append(ids, t.Change.Step)
		for _, turn := range t.Turns {
			ids = append(ids, turn.At.Step)
		}
	}
	ids = append(ids, v.Unexplained.Step)
	for _, l := range v.Logs {
		for _, m := range l.Months {
			ids = append(ids, m.Gap.Step)
		}
	}
	for _, u := range v.Uses {
		ids = append(ids, u.Energy.Step, u.Cost.Step)
	}
	for _, f := range v.Findings {
		if f.Severity == finding.InOrder {
			continue // a line of the list; its figures stand where they were read
		}
		ids = append(ids, f.Steps...)
		for _, e := range f.Evidence {
			ids = append(ids, e.Step)
		}
	}
	ids = append(ids, v.planWorks()...)
	for _, d := range v.Doubts {
		ids = append(ids, d.Steps...)
	}
	for _, m := range v.Months {
		ids = append(ids, m.Energy.Step, m.PF.Step, m.PeakKW.Step, m.PeakKVA.Step)
	}
	return ids
}

// collectAnchors names the readings and assumptions that links may go to.
func (v *visit) collectAnchors() map[string]bool {
	m := map[string]bool{}
	for _, r := range v.Readings {
		m["r-"+r.ID] = true
	}
	for _, a := range v.Assumptions {
		m["a-"+a.ID] = true
	}
	return m
}

// anchor is the id of a step's place on the page.
func anchor(step string) string { return "w-" + strings.ReplaceAll(step, " ", "-") }

// link gives the address of what a step rests on: its working, its reading or
// its assumption; "" when the page has none of them.
func (v *visit) link(step string) string {
	if step == "" {
		return ""
	}
	if v.works.printed[step] {
		return "#" + anchor(step)
	}
	if id := readingOf(step); id != "" && v.anchors["r-"+id] {
		return "#r-" + id
	}
	for _, a := range v.Assumptions {
		if a.Step == step {
			return "#a-" + a.ID
		}
	}
	return ""
}

func (v *visit) readingLink(id string) string {
	if v.anchors["r-"+id] {
		return "#r-" + id
	}
	return ""
}

// readingOf takes the reading's id out of a step's: readings.R1.A.power.
func readingOf(step string) string {
	rest, ok := strings.CutPrefix(step, "readings.")
	if !ok {
		return ""
	}
	id, _, _ := strings.Cut(rest, ".")
	return id
}

// mostDecimals is how fine an amount of money is that a bill may rest on.
const mostDecimals = 8

// quantityText writes a step's value: money and billed quantities exactly, in
// their own unit, but present values to the smallest coin; others with six significant digits at most, in thousands of
// the unit where that is usual.
func (v *visit) quantityText(s working.Step) (number, unit string) {
	switch {
	case s.Exact != nil && s.Unit == v.Currency && s.Exact.Equal(s.Exact.Round(int32(v.places))):
		return v.number(s.Exact.InexactFloat64(), v.places), s.Unit
	case s.Exact != nil && s.Unit == v.Currency && s.Exact.Exponent() < -mostDecimals:
		// A product with a discount factor: no bill has it, and its further digits
		// are the factor's.
		return v.number(s.Exact.InexactFloat64(), v.places), s.Unit
	case s.Exact != nil:
		return v.exact(shortened(*s.Exact)), v.unit(one(s.Value, plainUnit(s.Unit)))
	}
	value, unit := s.Value, one(s.Value, plainUnit(s.Unit))
	switch unit {
	case "kg/Wh":
		value, unit = value*1000, "kg/kWh"
	case "W", "VA", "var", "Wh", "varh":
		if value >= 1000 || value <= -1000 {
			value, unit = value/1000, "k"+unit
		}
	}
	return v.sig(value, 6), v.unit(unit)
}

// one takes the plural off a span of time of which there is one, and off one that
// multiplies another unit: 1 month, 160 kVA·month.
func one(value float64, unit string) string {
	alone := unit == "days" || unit == "months" || unit == "years"
	if alone && value != 1 {
		return unit
	}
	return pluralSpan.ReplaceAllString(unit, "$1")
}

var pluralSpan = regexp.MustCompile(`\b(day|month|year)s\b`)

// shortened cuts the digits that a division or a discount factor leaves: four
// decimals stay, and six significant digits where those need more.
func shortened(d decimal.Decimal) decimal.Decimal {
	const decimals, digits = 4, 6
	places := int32(digits - (d.NumDigits() + int(d.Exponent())))
	return d.Round(max(decimals, places))
}

func plainUnit(unit string) string {
	if unit == "1" {
		return ""
	}
	return unit
}

// valueText writes a value of the audit in a unit of its kind.
func (v *visit) valueText(x audit.Value, scale float64, decimals int) string {
	if !x.Known() {
		return ""
	}
	return v.number(x.V/scale, decimals)
}
