package report

import (
	"math"
	"strings"

	"auditgen/internal/audit"
)

// ComparedPart holds other tariffs against the one in force, on the same year.
type ComparedPart struct {
	Heading string
	Intro   []string
	Rows    []ComparedRow
	Turns   []string
	Notes   []string
}

// ComparedRow is one tariff.
type ComparedRow struct{ Tariff, Supplier, Cost, Difference, Interval string }

// compared is nil for a site that lists no alternatives.
func (v *visit) compared() *ComparedPart {
	if len(v.Tariffs) == 0 {
		return nil
	}
	p := &ComparedPart{Heading: v.comparedHeading(), Intro: []string{v.F(
		"The expected use of %d, priced line by line on each tariff. What one year makes of a tariff holds for a year like it; below the table stands what would have to change for a tariff to cost what the one in force costs.", v.Year)}}
	for _, t := range v.Tariffs {
		p.Rows = append(p.Rows, v.comparedRow(t))
		if !t.InForce {
			p.Turns = append(p.Turns, v.turnSentence(t))
			p.Notes = append(p.Notes, v.comparedNotes(t)...)
		}
	}
	p.Notes = append(p.Notes, v.S("Before a change: who may have which tariff, minimum terms, notice, and a meter that the new tariff may need are the supplier’s word. Prices of a price sheet may change within the year."))
	return p
}

func (f format) comparedNotes(t audit.PricedTariff) []string {
	var notes []string
	seen := map[string]bool{}
	for _, b := range t.Bills {
		for _, n := range b.Notes {
			if !seen[n] {
				seen[n] = true
				notes = append(notes, t.Name+": "+f.sentence(n))
			}
		}
	}
	return notes
}

func (v *visit) comparedRow(t audit.PricedTariff) ComparedRow {
	row := ComparedRow{Tariff: v.typed(t.Name), Supplier: v.typed(t.Supplier), Cost: rounded(v.cash, t.Cost.V, v.billPlace()), Difference: v.S("in force")}
	if !t.InForce {
		row.Difference = v.signedCash(t.Change)
		if t.Change.Half() > 0 {
			row.Interval = v.span(v.cash, t.Change)
		}
	}
	return row
}

// signedCash prints a difference of amounts with its sign.
func (v *visit) signedCash(i audit.Interval) string {
	place := v.billPlace()
	if i.Half() > 0 {
		place = placeOf(i)
	}
	text := rounded(v.cash, i.Value, place)
	if roundTo(i.Value, place) > 0 {
		return "+" + text
	}
	return text
}

// comparedHeading tells whether another tariff would cost less, and whether
// that can be told at all.
func (v *visit) comparedHeading() string {
	var best *audit.PricedTariff
	others := 0
	for i := range v.Tariffs {
		if t := &v.Tariffs[i]; !t.InForce {
			others++
			if best == nil || t.Change.Value < best.Change.Value {
				best = t
			}
		}
	}
	switch c := best.Change; {
	case c.High < 0:
		amount := audit.Interval{Value: -c.Value, Low: -c.High, High: -c.Low}
		return v.F("On the tariff “%s” this year would cost about %s less", v.typed(best.Name), strings.TrimPrefix(v.signedCash(amount), "+"))
	case c.Low <= 0:
		return v.S("Whether another tariff costs less cannot be told from this year")
	case others == 1:
		return v.S("The tariff in force costs less than the other that was priced")
	}
	return v.F("The tariff in force costs least of the %s that were priced", v.numeral(others+1))
}

// turnSentence tells what would bring a tariff level with the one in force.
func (v *visit) turnSentence(t audit.PricedTariff) string {
	var at, never []string
	for _, turn := range t.Turns {
		what := v.turnWords(turn.Of)
		if turn.At.Known() {
			at = append(at, v.F("with %s at %s instead of %s", what, v.turnText(turn, turn.At.V), v.turnText(turn, turn.Now.V)))
		} else {
			never = append(never, what)
		}
	}
	name, with, none := v.typed(t.Name), strings.Join(at, v.S("; or ")), strings.Join(never, "; ")
	switch {
	case len(at) == 0 && len(never) == 0:
		return v.F("%s costs as much as the tariff in force under no change that was tried.", name)
	case len(at) == 0:
		return v.F("%s costs as much as the tariff in force under none of these changes: %s.", name, none)
	case len(never) == 0:
		return v.F("%s costs as much as the tariff in force %s.", name, with)
	}
	return v.F("%s costs as much as the tariff in force %s. No change of these brings it level: %s.", name, with, none)
}

func (v *visit) turnWords(of string) string {
	switch of {
	case "energy":
		return v.S("the year’s energy, demand in proportion")
	case "demand":
		return v.S("the highest demand alone")
	}
	return v.S("the power factor alone")
}

// turnText prints a point of equal cost to three figures: a model of the year
// tells it no better.
func (v *visit) turnText(t audit.Turn, x float64) string {
	switch t.Now.Unit {
	case "Wh":
		return v.withUnit(v.sig(roundTo(x/1e3, int(math.Floor(math.Log10(x/1e3)))-2), 3), "kWh")
	case "W":
		return v.withUnit(v.sig(x/1e3, 3), "kW")
	}
	return v.plain(x, 2)
}
