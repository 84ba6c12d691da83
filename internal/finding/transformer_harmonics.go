package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/say"
)

// transformerHarmonics tells what harmonic currents leave of the supply
// transformer's rating.
var transformerHarmonics = Rule{
	ID:    "transformer-harmonics",
	Title: say.Key("Transformer under harmonic load"),
	Limit: "IEEE C57.110-2018; K-rating by UL 1561; factor K by HD 538 and EN 50464-3 (all from memory)",
	Judge: judgeTransformerHarmonics,
}

// derated is the loading of what is left from which a transformer deserves a
// second look.
const derated = 0.90

func judgeTransformerHarmonics(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	t := r.Record.Site.Supply.Transformer
	if t == nil {
		return missing(lang.S("the transformer that feeds the site is not stated"), lang.S("supply: transformer in site.yaml, with rating and impedance"))
	}
	h, ok := r.TransformerHarmonics()
	if !ok {
		return missing(lang.S("no harmonic orders of the current were read at the incomer"), lang.S("harmonics: current of a reading at the incomer, with orders"))
	}
	f := Finding{
		Severity: InOrder,
		Headline: harmonicsLeave(lang, h.Capability.V),
		Why:      lang.S("Eddy losses in the windings grow with the square of the order: a transformer runs hot on distorted current that it would carry as a sine."),
		Clause:   lang.S("IEEE C57.110-2018 (from memory); factor K by HD 538 and EN 50464-3 (from memory)"),
		Sure:     harmonicsSure(lang, t.EddyLoss.IsSet()),
	}
	f.figure("peak", r.PeakKVA)
	f.shows(lang.F("harmonic loss factor of %.1f on phase %s", h.Loss.V, h.Phase), h.Reading, h.Loss.Step)
	f.shows(lang.F("the transformer can carry %s of such a load, %s of its rating", kilo(h.Carries.V, "kVA"), percent(h.Capability.V, 0)), "", h.Carries.Step, h.Capability.Step)
	f.shows(lang.F("{peak} is expected at most, %s of that", percent(h.Loading.V, 0)), "", h.Loading.Step)
	if h.K.Known() {
		f.shows(lang.F("K-factor of %.1f at the highest demand", h.K.V), "", h.K.Step)
	}
	if h.FactorK.Known() {
		f.shows(lang.F("factor K of %.2f by the European rule", h.FactorK.V), h.Reading, h.FactorK.Step)
	}
	if t.KRating.IsSet() && h.K.Known() {
		return kRated(lang, f, h.K.V, float64(t.KRating.Value)), nil
	}
	switch {
	case h.Loading.V > 1:
		f.Headline = harmonicsOverload(lang, h)
		f.does(lang, Plan, lang.S("Have its temperature logged through a week of full work; then filter the largest sources, or have a transformer for such load priced."), licensedAndSupplier, liveWork)
	case h.Loading.V > derated:
		f.Headline = harmonicsNear(lang, h)
		f.does(lang, Watch, lang.S("Add no drive or charger without a filter before its temperature has been logged."), licensed, liveWork)
	}
	return []Finding{f}, nil
}

// kRated judges a transformer that was built for distorted load.
func kRated(lang *say.Language, f Finding, k, rating float64) []Finding {
	f.Clause = lang.S("UL 1561 (from memory)")
	f.Headline = lang.F("The transformer's K-rating of %.0f holds a K-factor of %.1f", rating, k)
	if k > rating {
		f.Headline = lang.F("The K-factor of %.1f is above the transformer's K-rating of %.0f", k, rating)
		f.does(lang, Plan, lang.S("Have its temperature logged through a week of full work; then filter the largest sources."), licensedAndSupplier, liveWork)
	}
	return []Finding{f}
}

func harmonicsSure(lang *say.Language, eddyStated bool) string {
	if eddyStated {
		return lang.S("Likely: orders that were not read count as nothing, and the share of eddy loss is that of its data sheet.")
	}
	return lang.S("Likely: orders that were not read count as nothing, and the share of eddy loss is assumed, on the safe side.")
}

func harmonicsLeave(lang *say.Language, capability float64) string {
	return lang.F("Harmonics leave the transformer %s of its rating, which is enough", percent(capability, 0))
}

func harmonicsOverload(lang *say.Language, h audit.Harmonics) string {
	return lang.F("Harmonics leave the transformer %s, less than the highest demand of {peak}", kilo(h.Carries.V, "kVA"))
}

func harmonicsNear(lang *say.Language, h audit.Harmonics) string {
	return lang.F("Harmonics leave the transformer %s, just above the highest demand of {peak}", kilo(h.Carries.V, "kVA"))
}
