package finding

import (
	"math"

	"auditgen/internal/audit"
	"auditgen/internal/limits"
	"auditgen/internal/say"
)

// frequency holds the frequency against the band of the site's family.
var frequency = Rule{
	ID:    "frequency",
	Title: say.Key("Frequency"),
	Limit: "the frequency band of the site's family of limits",
	Judge: judgeFrequency,
}

func judgeFrequency(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	nominal := r.Record.Site.Supply.Frequency.Value.Value
	bands := limits.FrequencyBands(r.Family.Frequency, limits.AtSupply, nominal)
	if len(bands) == 0 {
		return nil, []Unassessed{{Why: lang.S("the family of limits has no band of frequency"), Measure: lang.S("supply: limits in site.yaml")}}
	}
	var worst audit.Reading
	for _, rd := range r.Readings {
		if rd.Frequency.Known() && (!worst.Frequency.Known() || math.Abs(rd.Frequency.V-float64(nominal)) > math.Abs(worst.Frequency.V-float64(nominal))) {
			worst = rd
		}
	}
	if !worst.Frequency.Known() {
		return nil, []Unassessed{{Why: lang.S("no reading shows the frequency"), Measure: lang.S("frequency of a reading at the incomer")}}
	}
	band, f := bands[0], worst.Frequency.V
	out := Finding{
		Severity: InOrder,
		Headline: lang.F("Frequency is within its band: %.2f Hz", f),
		Why:      lang.S("Motors run faster or slower with it, and generators show their trouble in it first."),
		Clause:   clause(lang, band.Cite),
		Sure:     spotWords(lang, band.Cite),
		Evidence: []Evidence{{Text: lang.F("%.2f Hz, band %.2f Hz to %.2f Hz", f, float64(band.Low), float64(band.High)), Reading: worst.ID, Step: worst.Frequency.Step}},
		Steps:    []string{worst.Frequency.Step},
	}
	if f < float64(band.Low) || f > float64(band.High) {
		out.Severity = Plan
		out.Headline = lang.F("Frequency is out of its band: %.2f Hz", f)
		out.Action = lang.S("Check the meter's setting first; if it is right, have the generator's governor checked or ask the supplier.")
		out.Who, out.Licensed, out.Caution = lang.S(licensedAndSupplier), true, lang.S(liveWork)
	}
	return []Finding{out}, nil
}
