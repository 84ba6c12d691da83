package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/say"
)

// transformerLoading holds the year's highest demand against the rating of the
// supply transformer.
var transformerLoading = Rule{
	ID:    "transformer-loading",
	Title: say.Key("Transformer loading"),
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
	lang := r.Record.Words
	t := r.Record.Site.Supply.Transformer
	if t == nil {
		return missing(lang.S("the transformer that feeds the site is not stated"), lang.S("supply: transformer in site.yaml, with rating and impedance"))
	}
	x := r.TransformerLoading()
	if !x.Known() {
		return missing(lang.S("no highest demand is expected, since no load uses power"), lang.S("loads of the visit, with runs"))
	}
	f := Finding{
		Severity: InOrder,
		Headline: transformerFits(lang, x.V, t.Rating.Text),
		Why:      lang.S("Above its rating a transformer ages fast; far below it, what it loses without any load is paid for all year."),
		Clause:   lang.S("rating on the plate; common practice, no source"),
		Sure:     lang.S("Likely: the highest demand is modelled from the loads listed. It is the whole loading only where the transformer feeds nobody else."),
	}
	f.figure("peak", r.PeakKVA)
	expected := lang.F("{peak} expected in %s, %s of %s", audit.MonthName(lang, r.PeakMonth), percent(x.V, 0), t.Rating.Text)
	if r.MonthsAlike() {
		expected = lang.F("{peak} expected in every month alike, %s of %s", percent(x.V, 0), t.Rating.Text)
	}
	f.shows(expected, "", x.Step)
	for _, rd := range incomers(r) {
		if rd.Total.Apparent.Known() && rd.Trusted() {
			f.shows(lang.F("%s while %s was read", kilo(rd.Total.Apparent.V, "kVA"), rd.PointName), rd.ID, rd.Total.Apparent.Step)
		}
	}
	if best := r.BestLoading(); best.Known() {
		f.shows(lang.F("it loses least at a loading of %s", percent(best.V, 0)), "", best.Step)
	}
	switch {
	case x.V > transformerDanger:
		f.Headline = transformerOver(lang, x.V)
		f.does(lang, ActNow, lang.S("Take load off at the hours of the peak, and tell whoever owns the transformer."), licensedAndSupplier, liveWork)
	case x.V > 1:
		f.Headline = transformerOver(lang, x.V)
		f.does(lang, Plan, lang.S("Log the demand for a week; lower the peak, or have a larger transformer priced."), licensedAndSupplier, liveWork)
	case x.V > transformerNear:
		f.Headline = transformerClose(lang, x.V)
		f.does(lang, Watch, lang.S("Add no large load before the demand has been logged for a week."), licensed, liveWork)
	case x.V < transformerLow:
		f.Headline = transformerLarge(lang, x.V)
		f.does(lang, Watch, lang.S("Consider a smaller transformer when this one comes to be replaced, or one of two switched off where there are two."), licensed, liveWork)
	}
	return []Finding{f}, nil
}

func transformerFits(lang *say.Language, x float64, rating string) string {
	return lang.F("The transformer of %s is loaded to %s at the highest demand", rating, percent(x, 0))
}

func transformerOver(lang *say.Language, x float64) string {
	return lang.F("The highest demand, {peak}, is %s of what the transformer is rated for", percent(x, 0))
}

func transformerClose(lang *say.Language, x float64) string {
	return lang.F("The transformer has little left: the highest demand takes %s of its rating", percent(x, 0))
}

func transformerLarge(lang *say.Language, x float64) string {
	return lang.F("The transformer is large for this site: the highest demand takes %s of its rating", percent(x, 0))
}
