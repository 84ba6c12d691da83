package finding

import (
	"math"

	"auditgen/internal/audit"
	"auditgen/internal/limits"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/site"
)

// supplyVoltage holds the voltages at the point of supply against the band of
// the site's family.
var supplyVoltage = Rule{
	ID:    "supply-voltage",
	Title: say.Key("Supply voltage"),
	Limit: "the supply voltage band of the site's family of limits",
	Judge: judgeVoltage,
}

// volts is one voltage with where it was read and what is nominal for it.
type volts struct {
	reading string
	phase   string
	value   audit.Value
	nominal float64
}

func voltagesAt(r *audit.Result, rs []audit.Reading) []volts {
	nominal := float64(r.Record.Site.Supply.Voltage.Value.Value)
	toNeutral := nominal
	switch r.Record.Site.Supply.System.Value {
	case site.ThreePhaseFourWire, site.ThreePhaseThreeWire:
		toNeutral = nominal / math.Sqrt(3)
	case site.OnePhaseThreeWire:
		toNeutral = nominal / 2
	}
	var vs []volts
	for _, rd := range rs {
		for _, p := range rd.Phases {
			if p.Voltage.Known() && site.PhaseIndex(p.Name) >= 0 {
				vs = append(vs, volts{rd.ID, p.Name, p.Voltage, toNeutral})
			}
		}
		if rd.Wiring == site.ThreePhaseThreeWire {
			for i, l := range rd.Lines {
				if l.Known() {
					vs = append(vs, volts{rd.ID, [...]string{"AB", "BC", "CA"}[i], l, nominal})
				}
			}
		}
	}
	return vs
}

func judgeVoltage(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	vs := voltagesAt(r, incomers(r))
	if len(vs) == 0 {
		return nil, []Unassessed{{Why: lang.S("no voltage was read at the incomer"), Measure: lang.S("a reading with at: the incomer, and voltage by phase")}}
	}
	worst := vs[0]
	for _, v := range vs {
		if math.Abs(v.value.V/v.nominal-1) > math.Abs(worst.value.V/worst.nominal-1) {
			worst = v
		}
	}
	bands := limits.VoltageBands(r.Family.SupplyVoltage, limits.AtSupply, quantity.VoltsLN(worst.nominal))
	if len(bands) == 0 {
		return nil, []Unassessed{{Why: lang.S("the family of limits has no band for this voltage"), Measure: lang.S("supply: voltage, limits in site.yaml")}}
	}
	band := bands[0]
	off := worst.value.V/worst.nominal - 1
	f := Finding{
		Severity: InOrder,
		Headline: lang.F("Supply voltage is within its band: at most %s off %.0f V", percent(math.Abs(off), 1), worst.nominal),
		Why:      lang.S("Voltage far from nominal heats motors, shortens the life of lamps and electronics, and trips machines."),
		Clause:   clause(lang, band.Cite),
		Sure:     spotWords(lang, band.Cite),
	}
	for _, v := range vs {
		f.Evidence = append(f.Evidence, Evidence{
			Text:    lang.F("%.1f V on %s, band %.0f V to %.0f V", v.value.V, v.phase, float64(band.Low), float64(band.High)),
			Reading: v.reading, Step: v.value.Step,
		})
		f.Steps = append(f.Steps, v.value.Step)
	}
	if band.Holds(quantity.VoltsLN(worst.value.V)) {
		return []Finding{f}, nil
	}
	f.Severity = Plan
	f.Headline = lang.F("Supply voltage is lower than its band allows: %.1f V on phase %s", worst.value.V, worst.phase)
	if off > 0 {
		f.Headline = lang.F("Supply voltage is higher than its band allows: %.1f V on phase %s", worst.value.V, worst.phase)
	}
	f.Action = lang.S("Log the voltage at the incomer for a week and send the record to the supplier; have the tap of an own transformer checked.")
	f.Who, f.Licensed, f.Caution = lang.S(licensedAndSupplier), true, lang.S(liveWork)
	return []Finding{f}, nil
}
