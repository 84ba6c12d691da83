package finding

import (
	"fmt"

	"auditgen/internal/audit"
)

// transformerLoading holds the year's highest demand against the rating of the
// supply transformer.
var transformerLoading = Rule{
	ID:    "transformer-loading",
	Title: "Transformer loading",
	Limit: "the rating on the plate; a second look below 30 % and above 80 % is common practice, no source",
	Judge: judgeTransformer,
}

// Loadings of a transformer that ask for something.
const (
	transformerLow    = 0.30
	transformerNear   = 0.80
	transformerDanger = 1.20
)

func judgeTransformer(r *audit.Result) ([]Finding, []Unassessed) {
	t := r.Record.Site.Supply.Transformer
	if t == nil {
		return missing("the transformer that feeds the site is not stated", "supply: transformer in site.yaml, with rating and impedance")
	}
	x := r.TransformerLoading()
	if !x.Known() {
		return missing("no highest demand is expected, since no load uses power", "loads of the visit, with runs")
	}
	f := Finding{
		Severity: InOrder,
		Headline: transformerFits(x.V, t.Rating.Text),
		Why:      "Above its rating a transformer ages fast; far below it, what it loses without any load is paid for all year.",
		Clause:   "rating on the plate; common practice, no source",
		Sure:     "Likely: the highest demand is modelled from the loads listed. It is the whole loading only where the transformer feeds nobody else.",
	}
	f.figure("peak", r.PeakKVA)
	f.shows(fmt.Sprintf("{peak} expected in %s, %s of %s", monthName(r.PeakMonth), percent(x.V, 0), t.Rating.Text), "", x.Step)
	for _, rd := range incomers(r) {
		if rd.Total.Apparent.Known() && rd.Trusted() {
			f.shows(kilo(rd.Total.Apparent.V, "kVA")+" while "+rd.PointName+" was read", rd.ID, rd.Total.Apparent.Step)
		}
	}
	if best := r.BestLoading(); best.Known() {
		f.shows("it loses least at a loading of "+percent(best.V, 0), "", best.Step)
	}
	switch {
	case x.V > transformerDanger:
		f.Headline = transformerOver(x.V)
		f.does(ActNow, "Take load off at the hours of the peak, and tell whoever owns the transformer.", licensed+"; "+supplier, liveWork)
	case x.V > 1:
		f.Headline = transformerOver(x.V)
		f.does(Plan, "Log the demand for a week; lower the peak, or have a larger transformer priced.", licensed+"; "+supplier, liveWork)
	case x.V > transformerNear:
		f.Headline = transformerClose(x.V)
		f.does(Watch, "Add no large load before the demand has been logged for a week.", licensed, liveWork)
	case x.V < transformerLow:
		f.Headline = transformerLarge(x.V)
		f.does(Watch, "Consider a smaller one when it comes to be replaced, or one of two switched off where there are two.", licensed, liveWork)
	}
	return []Finding{f}, nil
}

func transformerFits(x float64, rating string) string {
	return fmt.Sprintf("The transformer of %s is loaded to %s at the highest demand", rating, percent(x, 0))
}

func transformerOver(x float64) string {
	return fmt.Sprintf("The highest demand, {peak}, is %s of what the transformer is rated for", percent(x, 0))
}

func transformerClose(x float64) string {
	return fmt.Sprintf("The transformer has little left: the highest demand takes %s of its rating", percent(x, 0))
}

func transformerLarge(x float64) string {
	return fmt.Sprintf("The transformer is large for this site: the highest demand takes %s of its rating", percent(x, 0))
}
