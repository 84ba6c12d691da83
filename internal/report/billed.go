package report

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/audit"
)

// BilledPart holds the estimate and the tariff against the supplier's bills.
type BilledPart struct {
	Heading string
	Intro   []string
	Rows    []BilledRow
	After   []string
	Both    []BothRow
	Notes   []string
}

// BothRow is a figure of the year from the site alone and with its bills.
type BothRow struct{ Figure, Unit, Alone, With string }

// BilledRow is one bill.
type BilledRow struct{ Period, Billed, Estimated, Gap, Demand, Expected, Stated, Rebuilt string }

// billed is nil for a site without bills.
func (v *visit) billed() *BilledPart {
	r := v.Reconciled
	if r == nil {
		return nil
	}
	p := &BilledPart{Heading: billedHeading(r, v.percent)}
	p.Intro = v.billedIntro(r)
	for _, b := range r.Bills {
		p.Rows = append(p.Rows, v.billedRow(b))
	}
	p.After, p.Both = v.conditioned(r.Conditioned)
	for _, b := range r.Bills {
		p.Notes = append(p.Notes, v.billedNotes(b)...)
	}
	return p
}

// billedHeading tells how the estimate stands to the bills.
func billedHeading(r *audit.Reconciliation, percent func(float64, int) string) string {
	n := len(r.Bills)
	bills := "the bill"
	if n > 1 {
		bills = "the " + numeral(n) + " bills"
	}
	switch {
	case !r.Gap.Known():
		return capital(bills) + " " + choose(n, "states", "state") + " no energy to hold the estimate against"
	case r.Gap.V > -0.005 && r.Gap.V < 0.005:
		return "The estimate meets " + bills
	case r.Gap.V < 0:
		return "The estimate is " + percent(-r.Gap.V, 0) + " below " + bills
	}
	return "The estimate is " + percent(r.Gap.V, 0) + " above " + bills
}

func (v *visit) billedIntro(r *audit.Reconciliation) []string {
	if !r.Gap.Known() {
		return nil
	}
	inside := "outside the estimate’s interval: a load is missing from the list, or hours and duties are off"
	if r.Inside {
		inside = "inside the estimate’s interval"
	}
	out := []string{fmt.Sprintf("Over %s, %s kWh were billed and %s kWh are estimated for the same days; the bills lie %s.",
		count(r.Days, "day", "days"), v.number(r.Energy, 0), best(v.plain, r.Estimated), inside)}
	if v.Fit != nil {
		return append(out, "That is after the fit below; what it left unexplained stands there.")
	}
	if r.Unexplained.V > 0 {
		out = append(out, fmt.Sprintf("No load of the list explains %s of what was billed. The gap is shown, not spread over the loads.", v.percent(r.Unexplained.V/1e3/r.Energy, 0)))
	}
	return out
}

func (v *visit) billedRow(b audit.Billed) BilledRow {
	row := BilledRow{Period: monthInWords(b.Label), Stated: v.billedMoney(b.Stated), Rebuilt: "not possible"}
	if b.HasEnergy {
		row.Billed, row.Estimated = v.number(b.Energy, 0), best(v.plain, b.Estimated)
		row.Gap = v.signed(b.Gap.V)
	}
	if b.Demand.Known() {
		row.Demand, row.Expected = v.valueText(b.Demand, 1e3, 1), best(v.plain, b.Expected)
	}
	if b.Rebuilt != "" {
		row.Rebuilt = v.billedMoney(b.Rebuilt)
	}
	return row
}

func (v *visit) billedMoney(text string) string {
	d, err := decimal.NewFromString(text)
	if err != nil {
		return text
	}
	return v.amount(d)
}

// signed prints a share in percent with its sign; none for nothing.
func (v *visit) signed(share float64) string {
	text := v.percent(share, 0)
	if share >= 0.005 {
		return "+" + text
	}
	return text
}

func (v *visit) billedNotes(b audit.Billed) []string {
	month := monthInWords(b.Label)
	switch {
	case len(b.Missing) > 0:
		return []string{fmt.Sprintf("The bill of %s could not be rebuilt: it does not state %s.", month, strings.Join(b.Missing, ", "))}
	case b.Agrees:
		return nil
	}
	d, err := decimal.NewFromString(b.Difference)
	if err != nil {
		return nil
	}
	way := "more"
	if d.IsNegative() {
		way = "less"
	}
	out := []string{fmt.Sprintf("For %s the tariff makes %s %s than was billed. %s", month, v.amount(d.Abs()), way, sentence(capital(b.Reason)))}
	for _, l := range b.Lines {
		if !l.Agrees {
			out = append(out, fmt.Sprintf("Of it, the line %q: %s rebuilt, %s printed.", l.Label, v.billedMoney(l.Rebuilt), v.billedMoney(l.Stated)))
		}
	}
	return out
}
