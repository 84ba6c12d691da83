package report

import (
	"slices"
	"unicode/utf8"

	"auditgen/internal/audit"
	"auditgen/internal/charts"
	"auditgen/internal/measure"
)

// LifeTable is what the years looked at cost as today, with each measure and with
// all, in present value.
type LifeTable struct {
	Caption string
	Parts   bool // some measure has replacements or a residual value
	Rows    []LifeRow
	Total   LifeRow
	Notes   []string
}

// LifeRow is the years with a measure, or as today.
type LifeRow struct {
	ID, Name, Link                                                      string
	Cost, Replacements, Left, Bills, Upkeep, Total, Saved, Range, Works string // Works links to the formula
}

func (v *visit) lifeTable() *LifeTable {
	p := v.Plan
	if p == nil {
		return nil
	}
	t := &LifeTable{
		Caption: v.F("Present value of what %s cost, by what is done", v.yearsWords(p.Terms.Study)),
		Parts:   v.anyReplaced(),
		Rows:    []LifeRow{{Name: v.S("Going on as today"), Bills: v.cash(p.Today.V, 0), Total: v.cash(p.Today.V, 0), Works: v.link(p.Today.Step)}},
	}
	follows := false
	for _, i := range p.Order {
		m := &p.Measures[i]
		row := v.lifeRow(m.LifeCycle, m.Cost.Likely.InexactFloat64())
		row.ID, row.Name, row.Link = lifeAnchor(m), v.typed(m.Name.Value), "#"+measureAnchor(m.ID.Value)
		t.Rows = append(t.Rows, row)
		follows = follows || len(m.After) > 0
	}
	t.Total = v.lifeRow(p.LifeCycle, p.Cost.Value)
	t.Total.Name = v.S("All together")
	t.Notes = v.lifeNotes(follows)
	return t
}

// lifeAnchor is the id of a measure's row.
func lifeAnchor(m *measure.Measure) string { return "life-" + m.ID.Value }

func (v *visit) lifeRow(l measure.LifeCycle, cost float64) LifeRow {
	row := LifeRow{
		Cost: v.cash(cost, 0), Replacements: v.cash(l.Replacements.V, 0), Left: v.cash(audit.Less(0, l.Residual.V), 0), Bills: v.cash(l.Bills.V, 0), Upkeep: v.cash(l.Upkeep.V, 0),
		Total: v.cash(l.Total.V, 0), Saved: v.cash(l.Saved.Value, 0), Works: v.link(l.Saved.Step),
	}
	if l.Saved.Half() > 0 {
		row.Range = v.span(v.cash, l.Saved)
	}
	return row
}

// anyReplaced tells whether a measure has replacements or a residual value.
func (v *visit) anyReplaced() bool {
	for i := range v.Plan.Measures {
		if m := &v.Plan.Measures[i]; len(m.Replaced) > 0 || m.Left.Step != "" {
			return true
		}
	}
	return false
}

// lifeNotes are the convention in sentences.
func (v *visit) lifeNotes(follows bool) []string {
	p := v.Plan
	notes := []string{
		v.S("After NIST Handbook 135: life-cycle cost is the first cost, the replacements, the bills that remain and the upkeep, less what is left at the end, each discounted to the year of the visit. First costs fall in year 0, all else at the end of its year; the bills of years after a measure’s life are those without it."),
		v.S("Net savings are the life-cycle cost without the measure less that with it, and equal its net present value. The savings-to-investment ratio divides what is saved, less upkeep, by first cost and replacements less what is left."),
	}
	if p.Worth.Ratio.Known() {
		notes[1] += " " + v.F("Of all measures together it is %s.", v.sig(p.Worth.Ratio.V, 2))
	}
	if v.anyReplaced() {
		notes = append(notes, v.S("A replacement counts in each year before the last in which it is due. What is left by the straight line is the share of its life that something still has: of the first cost without the parts that were replaced, and of the last of each part, which dies with its measure."))
	}
	if follows {
		notes = append(notes, v.S("A measure that must follow others is held against the years with those done, not against today."))
	}
	return append(notes, v.S("Amounts are rounded one by one, so that a last digit may differ from their sum."))
}

// overYears says in one sentence for whoever decides what the years cost as today
// and with all measures. What is left of the cost is rounded as the difference is,
// so that the three agree.
func (v *visit) overYears() EvidenceLine {
	p := v.Plan
	place := placeOf(p.Worth.NPV)
	today, less := roundTo(p.Today.V, place), roundTo(p.Worth.NPV.Value, place)
	write := func(x float64) string { return rounded(v.cash, x, place) }
	years := v.yearsWords(p.Terms.Study)
	var text string
	if less >= 0 {
		text = v.F("Over %s, going on as today costs %s in present value. With all measures, all that is paid for them counted, it is %s: %s less.", years, write(today), write(today-less), write(less))
	} else {
		text = v.F("Over %s, going on as today costs %s in present value. With all measures, all that is paid for them counted, it is %s: %s more.", years, write(today), write(today-less), write(-less))
	}
	return EvidenceLine{Text: text, Links: []Link{{v.S("how it is made up"), "#life-cycle"}}}
}

// lifeLine is a measure's life-cycle cost against that without it; the measure's
// row of the table shows how it is worked out.
func (v *visit) lifeLine(m *measure.Measure) EvidenceLine {
	l := m.LifeCycle
	place := placeOf(l.Saved)
	before := roundTo(l.Before.V, place)
	with := before - roundTo(l.Saved.Value, place)
	years := v.yearsWords(v.Plan.Terms.Study)
	a, b := rounded(v.cash, with, place), rounded(v.cash, before, place)
	text := v.F("Life-cycle cost over %s: %s with it, %s going on as today", years, a, b)
	if len(m.After) > 0 {
		text = v.F("Life-cycle cost over %s: %s with it, %s without it, what it must follow being done in both", years, a, b)
	}
	return EvidenceLine{Text: ended(text), Links: []Link{{v.S("how it is made up"), "#" + lifeAnchor(m)}}}
}

// replacedLines are what is paid for a measure after its first cost, and what is
// left of it.
func (v *visit) replacedLines(m *measure.Measure) []EvidenceLine {
	var lines []EvidenceLine
	for i, r := range m.Replaced {
		typed := m.Replacements[i]
		cost := costInterval(r.Cost, r.Step)
		amount := v.costWords(cost)
		if cost.Half() > 0 {
			amount += " (" + v.span(v.cash, cost) + ")"
		}
		part, every := capital(v.bare(r.Part)), v.yearsWords(int(typed.Every.Value))
		var text string
		switch after := v.yearsWords(int(typed.After.Value)); {
		case !typed.Every.IsSet():
			text = v.F("%s replaced after %s, for %s", part, after, amount)
		case !typed.After.IsSet():
			text = v.F("%s replaced every %s, for %s each time", part, every, amount)
		default:
			text = v.F("%s replaced after %s and every %s from then on, for %s each time", part, after, every, amount)
		}
		if typed.Basis.IsSet() {
			text += v.F(", by %s", v.bare(typed.Basis.Value))
		}
		if len(r.Years) == 0 {
			text += v.S("; beyond the years that count")
		}
		lines = append(lines, EvidenceLine{Text: v.sentence(text)})
	}
	switch {
	case m.Left.Step == "":
	case m.Left.Straight && m.Left.Amount.IsZero():
		lines = append(lines, EvidenceLine{Text: v.F("Nothing is left of it after %s, the end of its life.", v.yearsWords(m.Counted))})
	case m.Left.Straight:
		lines = append(lines, v.lined(v.F("%s are left of it after %s, by the straight line over its life.", v.wholes(m.Left.Amount.InexactFloat64()), v.yearsWords(m.Counted)), m.Left.Step))
	case m.Left.Amount.IsNegative():
		lines = append(lines, EvidenceLine{Text: v.F("Taking it away after %s costs %s.", v.yearsWords(m.Counted), v.wholes(-m.Left.Amount.InexactFloat64()))})
	default:
		lines = append(lines, EvidenceLine{Text: v.F("%s are left of it after %s.", v.wholes(m.Left.Amount.InexactFloat64()), v.yearsWords(m.Counted))})
	}
	return lines
}

// wholes writes an amount to three digits.
func (v *visit) wholes(x float64) string { return rounded(v.cash, x, max(exponent(x)-2, 0)) }

// longestEvent is the length of a mark's label beyond which it names no part.
const longestEvent = 30

// replacedYears marks the years in which parts are replaced.
func (v *visit) replacedYears() []charts.Event {
	var events []charts.Event
	for _, c := range v.Plan.Cash {
		var parts []string
		for i := range v.Plan.Measures {
			for _, r := range v.Plan.Measures[i].Replaced {
				if slices.Contains(r.Years, c.Year) {
					parts = append(parts, v.bare(r.Part))
				}
			}
		}
		if len(parts) == 0 {
			continue
		}
		label := v.F("replaced: %s", v.list(parts))
		if utf8.RuneCountInString(label) > longestEvent {
			label = v.S("replacements")
		}
		events = append(events, charts.Event{At: c.Year, Label: label})
	}
	return events
}
