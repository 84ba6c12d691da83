package report

import (
	"math"

	"auditgen/internal/audit"
)

// FittedPart shows what was changed so that the estimate meets the bills.
type FittedPart struct {
	Heading string
	Intro   []string
	Met     []FittedTarget
	Moved   []FittedRow
	Notes   []string
}

// FittedTarget is a billed energy before and after.
type FittedTarget struct{ Period, Billed, Before, After, Left string }

// FittedRow is an assumption that was changed.
type FittedRow struct{ Label, Typed, To, Times, Doubts, At string }

// fitted is nil where nothing was fitted.
func (v *visit) fitted() *FittedPart {
	f := v.Fit
	if f == nil {
		return nil
	}
	p := &FittedPart{Heading: v.fittedHeading(f)}
	p.Intro = []string{
		v.F("The loads are not what was first assumed: duties, numbers and hours of calendars that nobody measured were moved until the estimate met the energy of %s (%s). What was measured, read off a plate or judged as power was left alone.", v.N(f.Bills, "one bill", "%s bills", v.numeral(f.Bills)), v.N(f.Days, "one day", "%s days", v.numeral(f.Days))),
		v.S("Of all changes that meet the bills the smallest was taken: each is counted in the doubt that was stated for it, and the sum of the squares is least.") + " " + v.fitParts(f) + v.S("None passes the limits that were typed. A fit makes the sum right, not each load; a load that was forgotten is spread over those that were listed."),
	}
	for _, t := range f.Met {
		name := v.S("All hours")
		if t.Name != "" {
			name = capital(v.typed(t.Name))
		}
		p.Met = append(p.Met, FittedTarget{Period: name, Billed: v.number(t.Billed, 0), Before: v.number(t.Before, 0), After: v.number(t.After, 0), Left: v.signedNumber(t.Left())})
	}
	held := 0
	for _, m := range f.Moved {
		p.Moved = append(p.Moved, v.fittedRow(m))
		if m.Held {
			held++
		}
	}
	if share := leftShare(f); share > 0.005 {
		p.Notes = append(p.Notes, v.F("The estimate still misses the bills by %s: %s. A load is missing from the list or listed too high, or a limit is too narrow.", v.percent(share, 1), v.howManyHeld(held)))
	}
	return p
}

// leftShare is what a fit leaves unexplained, as a share of the billed energy.
func leftShare(f *audit.Fit) float64 {
	if len(f.Met) == 0 || f.Met[0].Billed == 0 {
		return 0
	}
	return math.Abs(f.Met[0].Left() / f.Met[0].Billed)
}

// fitParts says how the split by periods weighs in, where there is one.
func (v *visit) fitParts(f *audit.Fit) string {
	if len(f.Met) < 2 {
		return ""
	}
	return v.F("What stays off in each of the tariff’s periods adds to that sum, counted in %s of its energy.", v.percent(f.Met[1].Within/f.Met[1].Billed, 0)) + " "
}

func (f format) howManyHeld(held int) string {
	if held == 0 {
		return f.S("none of what moved is at the limit that was typed")
	}
	return f.N(held, "one assumption stands at the limit that was typed", "%s assumptions stand at the limit that was typed", f.numeral(held))
}

func (v *visit) fittedHeading(f *audit.Fit) string {
	number := v.numeral(f.Bills)
	switch {
	case len(f.Moved) == 0:
		return v.N(f.Bills, "The estimate met the bill without a change", "The estimate met the %s bills without a change", number)
	case leftShare(f) > 0.005:
		return v.N(f.Bills, "The estimate was fitted to the bill, as far as the assumptions’ limits allow", "The estimate was fitted to the %s bills, as far as the assumptions’ limits allow", number)
	}
	return v.N(f.Bills, "The estimate was fitted to the bill", "The estimate was fitted to the %s bills", number)
}

func (v *visit) fittedRow(m audit.FitMoved) FittedRow {
	to := v.sig(m.To, 3)
	if m.Share {
		to = v.percent(m.To, 1)
	}
	row := FittedRow{Label: capital(m.Label), Typed: v.estimateText(m.Typed), To: to, Times: "×" + nbsp + v.plain(m.Times, 3), Doubts: v.signedPlaces(m.Doubts, 1), At: v.at(m.Pos)}
	if m.Held {
		row.To = v.F("%s, its limit", row.To)
	}
	return row
}

// signedNumber prints whole units with their sign; none for nothing.
func (v *visit) signedNumber(x float64) string { return v.signedPlaces(x, 0) }

func (v *visit) signedPlaces(x float64, decimals int) string {
	x = roundTo(x, -decimals)
	if x > 0 {
		return "+" + v.number(x, decimals)
	}
	if x == 0 {
		x = 0 // no minus before nothing
	}
	return v.number(x, decimals)
}

// fittedWords tells beside a figure of the year that it was fitted.
func (v *visit) fittedWords() string {
	if v.Fit != nil && len(v.Fit.Moved) > 0 {
		return v.N(v.Fit.Bills, "fitted to one bill", "fitted to %s bills", v.numeral(v.Fit.Bills))
	}
	return ""
}
