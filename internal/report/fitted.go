package report

import (
	"fmt"
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
		fmt.Sprintf("The loads are not what was first assumed: duties, numbers and hours of calendars that nobody measured were moved until the estimate met the energy of %s (%s). What was measured, read off a plate or judged as power was left alone.", count(f.Bills, "bill", "bills"), count(f.Days, "day", "days")),
		"Of all changes that meet the bills the smallest was taken: each is counted in the doubt that was stated for it, and the sum of the squares is least. " + v.fitParts(f) + "None passes the limits that were typed. A fit makes the sum right, not each load; a load that was forgotten is spread over those that were listed.",
	}
	for _, t := range f.Met {
		name := "All hours"
		if t.Name != "" {
			name = capital(typed(t.Name))
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
		p.Notes = append(p.Notes, fmt.Sprintf("The estimate still misses the bills by %s: %s at the limit that was typed. A load is missing from the list or listed too high, or a limit is too narrow.", v.percent(share, 1), howManyHeld(held)))
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
	return "What stays off in each of the tariff’s periods adds to that sum, counted in " + v.percent(f.Met[1].Within/f.Met[1].Billed, 0) + " of its energy. "
}

func howManyHeld(held int) string {
	switch held {
	case 0:
		return "none of what moved is"
	case 1:
		return "one assumption stands"
	}
	return numeral(held) + " assumptions stand"
}

func (v *visit) fittedHeading(f *audit.Fit) string {
	bills := "the " + count(f.Bills, "bill", "bills")
	if f.Bills == 1 {
		bills = "the bill"
	}
	switch {
	case len(f.Moved) == 0:
		return "The estimate met " + bills + " without a change"
	case leftShare(f) > 0.005:
		return "The estimate was fitted to " + bills + ", as far as the assumptions’ limits allow"
	}
	return "The estimate was fitted to " + bills
}

func (v *visit) fittedRow(m audit.FitMoved) FittedRow {
	to := v.sig(m.To, 3)
	if m.Share {
		to = v.percent(m.To, 1)
	}
	row := FittedRow{Label: capital(m.Label), Typed: estimateText(m.Typed), To: to, Times: "×" + nbsp + v.plain(m.Times, 3), Doubts: v.signedPlaces(m.Doubts, 1), At: at(m.Pos)}
	if m.Held {
		row.To += ", its limit"
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
		return "fitted to " + count(v.Fit.Bills, "bill", "bills")
	}
	return ""
}
