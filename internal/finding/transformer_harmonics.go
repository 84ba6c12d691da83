package finding

import (
	"fmt"

	"auditgen/internal/audit"
)

// transformerHarmonics tells what harmonic currents leave of the supply
// transformer's rating.
var transformerHarmonics = Rule{
	ID:    "transformer-harmonics",
	Title: "Transformer under harmonic load",
	Limit: "IEEE C57.110-2018; K-rating by UL 1561; factor K by HD 538 and EN 50464-3 (all from memory)",
	Judge: judgeTransformerHarmonics,
}

// derated is the loading of what is left from which a transformer deserves a
// second look.
const derated = 0.90

func judgeTransformerHarmonics(r *audit.Result) ([]Finding, []Unassessed) {
	t := r.Record.Site.Supply.Transformer
	if t == nil {
		return missing("the transformer that feeds the site is not stated", "supply: transformer in site.yaml, with rating and impedance")
	}
	h, ok := r.TransformerHarmonics()
	if !ok {
		return missing("no harmonic orders of the current were read at the incomer", "harmonics: current of a reading at the incomer, with orders")
	}
	f := Finding{
		Severity: InOrder,
		Headline: harmonicsLeave(h.Capability.V),
		Why:      "Eddy losses in the windings grow with the square of the order: a transformer runs hot on distorted current that it would carry as a sine.",
		Clause:   "IEEE C57.110-2018 (from memory); factor K by HD 538 and EN 50464-3 (from memory)",
		Sure:     "Likely: orders that were not read count as nothing, and the share of eddy loss is " + eddySource(t.EddyLoss.IsSet()) + ".",
	}
	f.figure("peak", r.PeakKVA)
	f.shows(fmt.Sprintf("harmonic loss factor of %.1f on phase %s", h.Loss.V, h.Phase), h.Reading, h.Loss.Step)
	f.shows(fmt.Sprintf("the transformer can carry %s of such a load, %s of its rating", kilo(h.Carries.V, "kVA"), percent(h.Capability.V, 0)), "", h.Carries.Step, h.Capability.Step)
	f.shows(fmt.Sprintf("{peak} is expected at most, %s of that", percent(h.Loading.V, 0)), "", h.Loading.Step)
	if h.K.Known() {
		f.shows(fmt.Sprintf("K-factor of %.1f at the highest demand", h.K.V), "", h.K.Step)
	}
	if h.FactorK.Known() {
		f.shows(fmt.Sprintf("factor K of %.2f by the European rule", h.FactorK.V), h.Reading, h.FactorK.Step)
	}
	if t.KRating.IsSet() && h.K.Known() {
		return kRated(f, h.K.V, float64(t.KRating.Value)), nil
	}
	switch {
	case h.Loading.V > 1:
		f.Headline = harmonicsOverload(h)
		f.does(Plan, "Have its temperature logged through a week of full work; then filter the largest sources, or have a transformer for such load priced.", licensed+"; "+supplier, liveWork)
	case h.Loading.V > derated:
		f.Headline = harmonicsNear(h)
		f.does(Watch, "Add no drive or charger without a filter before its temperature has been logged.", licensed, liveWork)
	}
	return []Finding{f}, nil
}

// kRated judges a transformer that was built for distorted load.
func kRated(f Finding, k, rating float64) []Finding {
	f.Clause = "UL 1561 (from memory)"
	f.Headline = fmt.Sprintf("The transformer's K-rating of %.0f holds a K-factor of %.1f", rating, k)
	if k > rating {
		f.Headline = fmt.Sprintf("The K-factor of %.1f is above the transformer's K-rating of %.0f", k, rating)
		f.does(Plan, "Have its temperature logged through a week of full work; then filter the largest sources.", licensed+"; "+supplier, liveWork)
	}
	return []Finding{f}
}

func eddySource(stated bool) string {
	if stated {
		return "that of its data sheet"
	}
	return "assumed, on the safe side"
}

func harmonicsLeave(capability float64) string {
	return fmt.Sprintf("Harmonics leave the transformer %s of its rating, which is enough", percent(capability, 0))
}

func harmonicsOverload(h audit.Harmonics) string {
	return fmt.Sprintf("Harmonics leave the transformer %s, less than the highest demand of {peak}", kilo(h.Carries.V, "kVA"))
}

func harmonicsNear(h audit.Harmonics) string {
	return fmt.Sprintf("Harmonics leave the transformer %s, just above the highest demand of {peak}", kilo(h.Carries.V, "kVA"))
}
