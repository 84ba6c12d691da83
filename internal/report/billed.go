package report

import (
	"math"
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
	p := &BilledPart{Heading: v.billedHeading(r)}
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
func (f format) billedHeading(r *audit.Reconciliation) string {
	n := len(r.Bills)
	number, gap := f.numeral(n), f.percent(math.Abs(r.Gap.V), 0)
	switch {
	case !r.Gap.Known():
		return f.N(n, "The bill states no energy to hold the estimate against", "The %s bills state no energy to hold the estimate against", number)
	case r.Gap.V > -0.005 && r.Gap.V < 0.005:
		return f.N(n, "The estimate meets the bill", "The estimate meets the %s bills", number)
	case r.Gap.V < 0:
		return f.N(n, "The estimate is %[2]s below the bill", "The estimate is %[2]s below the %[1]s bills", number, gap)
	}
	return f.N(n, "The estimate is %[2]s above the bill", "The estimate is %[2]s above the %[1]s bills", number, gap)
}

func (v *visit) billedIntro(r *audit.Reconciliation) []string {
	if !r.Gap.Known() {
		return nil
	}
	lie := v.S("the bills lie outside the estimate’s interval: a load is missing from the list, or hours and duties are off")
	if r.Inside {
		lie = v.S("the bills lie inside the estimate’s interval")
	}
	out := []string{v.N(r.Days, "Over one day, %[2]s kWh were billed and %[3]s kWh are estimated for the same days; %[4]s.", "Over %s days, %s kWh were billed and %s kWh are estimated for the same days; %s.",
		v.numeral(r.Days), v.number(r.Energy, 0), best(v.plain, r.Estimated), lie)}
	if v.Fit != nil {
		return append(out, v.S("That is after the fit below; what it left unexplained stands there."))
	}
	if r.Unexplained.V > 0 {
		out = append(out, v.F("No load of the list explains %s of what was billed. The gap is shown, not spread over the loads.", v.percent(r.Unexplained.V/1e3/r.Energy, 0)))
	}
	return out
}

func (v *visit) billedRow(b audit.Billed) BilledRow {
	row := BilledRow{Period: v.monthInWords(b.Label), Stated: v.billedMoney(b.Stated), Rebuilt: v.S("not possible")}
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
	month := v.monthInWords(b.Label)
	switch {
	case len(b.Missing) > 0:
		return []string{v.F("The bill of %s could not be rebuilt: it does not state %s.", month, strings.Join(b.Missing, ", "))}
	case b.Agrees:
		return nil
	}
	d, err := decimal.NewFromString(b.Difference)
	if err != nil {
		return nil
	}
	told := v.F("For %s the tariff makes %s more than was billed.", month, v.amount(d.Abs()))
	if d.IsNegative() {
		told = v.F("For %s the tariff makes %s less than was billed.", month, v.amount(d.Abs()))
	}
	out := []string{told + " " + v.sentence(capital(b.Reason))}
	for _, l := range b.Lines {
		if !l.Agrees {
			out = append(out, v.F("Of it, the line \"%s\": %s rebuilt, %s printed.", l.Label, v.billedMoney(l.Rebuilt), v.billedMoney(l.Stated)))
		}
	}
	return out
}
