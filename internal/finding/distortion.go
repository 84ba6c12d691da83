package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/limits"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
)

// voltageDistortion holds the distortion of the voltage against the limits of
// the site's family.
var voltageDistortion = Rule{
	ID:    "voltage-distortion",
	Title: say.Key("Voltage distortion"),
	Limit: "the voltage distortion limits of the site's family",
	Judge: judgeVoltageDistortion,
}

// currentDistortion holds harmonic currents at the point of supply against
// IEEE 519. Families without a limit for a whole site's currents take it for
// orientation.
var currentDistortion = Rule{
	ID:    "current-distortion",
	Title: say.Key("Current distortion"),
	Limit: "IEEE 519-2022, current distortion limits at the point of common coupling",
	Judge: judgeCurrentDistortion,
}

// excess is a value against its limit.
type excess struct {
	reading string
	what    string // "the 5th harmonic", "total distortion"
	total   bool   // of the voltage, which is shown always
	value   audit.Value
	limit   limits.Limit[quantity.Ratio]
}

func (e excess) share() float64 { return e.value.V / float64(e.limit.Value) }

func worstOf(es []excess) excess {
	w := es[0]
	for _, e := range es {
		if e.share() > w.share() {
			w = e
		}
	}
	return w
}

// ordinal prints an order: 5th, 3rd.
func ordinal(lang *say.Language, n int) string {
	if n%100 < 11 || n%100 > 13 {
		switch n % 10 {
		case 1:
			return lang.F("%dst", n)
		case 2:
			return lang.F("%dnd", n)
		case 3:
			return lang.F("%drd", n)
		}
	}
	return lang.F("%dth", n)
}

func judgeVoltageDistortion(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	bus := r.Record.Site.Supply.Voltage.Value.Value
	var es []excess
	for _, rd := range incomers(r) {
		for _, w := range rd.Waves {
			if w.Kind != "voltage" {
				continue
			}
			if l, ok := limits.VoltageTHD(r.Family.VoltageDistortion, bus); ok && w.THD.Known() {
				es = append(es, excess{rd.ID, lang.S("total distortion"), true, w.THD, l})
			}
			for _, o := range w.Orders {
				if l, ok := limits.VoltageHarmonic(r.Family.VoltageDistortion, bus, o.N); ok {
					es = append(es, excess{rd.ID, lang.F("the %s harmonic", ordinal(lang, o.N)), false, o.Share, l})
				}
			}
		}
	}
	if len(es) == 0 {
		return nil, []Unassessed{{Why: lang.S("no voltage distortion was read at the incomer"), Measure: lang.S("harmonics: voltage of a reading at the incomer, with thd and orders")}}
	}
	w := worstOf(es)
	f := distortionFinding(lang, es, w)
	f.Why = lang.S("Distorted voltage heats motors and capacitors and disturbs electronics, in this site and in its neighbours'.")
	switch {
	case w.share() > 1:
		f.Severity = Plan
		f.Headline = lang.F("Voltage distortion is above its limit: %s at %s against %s", w.what, percent(w.value.V, 1), percent(float64(w.limit.Value), 1))
		f.Action = lang.S("Have the harmonics of the voltage logged for a week at the incomer, and read again with the site's drives off, which tells whether they come from the site or the network.")
		f.Who, f.Licensed, f.Caution = lang.S(licensed), true, lang.S(liveWork)
	case w.share() > 0.8:
		f.Severity = Watch
		f.Headline = lang.F("Voltage distortion is near its limit: %s at %s of %s", w.what, percent(w.value.V, 1), percent(float64(w.limit.Value), 1))
		f.Action = lang.S("Read the voltage's harmonics again at the next visit, and before any capacitors or drives are added.")
		f.Who = lang.S(anyone)
	default:
		f.Headline = lang.F("Voltage distortion is within its limits: %s at %s of %s", w.what, percent(w.value.V, 1), percent(float64(w.limit.Value), 1))
	}
	return []Finding{f}, nil
}

func distortionFinding(lang *say.Language, es []excess, w excess) Finding {
	f := Finding{Severity: InOrder, Clause: clause(lang, w.limit.Cite), Sure: spotWords(lang, w.limit.Cite)}
	for _, e := range es {
		if e.share() > 1 || e.what == w.what || e.total {
			f.Evidence = append(f.Evidence, Evidence{Text: lang.F("%s %s, limit %s", e.what, percent(e.value.V, 1), percent(float64(e.limit.Value), 1)), Reading: e.reading, Step: e.value.Step})
			f.Steps = append(f.Steps, e.value.Step)
		}
	}
	return f
}

func judgeCurrentDistortion(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	sc, il := r.ShortCircuit(), r.MaximumCurrent()
	if !sc.Known() {
		return nil, []Unassessed{{Why: lang.S("the limit depends on the short-circuit power at the point of supply"), Measure: lang.S("supply: transformer or fault-level in site.yaml")}}
	}
	if !il.Known() || il.V <= 0 {
		return nil, []Unassessed{{Why: lang.S("the limit depends on the maximum demand current"), Measure: lang.S("supply: maximum-demand-current in site.yaml")}}
	}
	bus := r.Record.Site.Supply.Voltage.Value.Value
	isc, share := r.ShortCircuitCurrent(), r.ShortCircuitRatio()
	if !share.Known() || share.V <= 0 {
		return nil, []Unassessed{{Why: lang.S("the short-circuit current cannot be worked out"), Measure: lang.S("supply: transformer or fault-level in site.yaml")}}
	}
	ratio := share.V
	var es []excess
	for _, rd := range incomers(r) {
		for _, w := range rd.Waves {
			if w.Kind != "current" || !w.TDD.Known() {
				continue
			}
			if l, ok := limits.CurrentTDD(limits.IEEE519, bus, ratio); ok {
				es = append(es, excess{rd.ID, lang.S("total demand distortion"), false, w.TDD, l})
			}
			for _, o := range w.Orders {
				if l, ok := limits.CurrentHarmonic(limits.IEEE519, bus, ratio, o.N); ok && o.OfMaximum.Known() {
					es = append(es, excess{rd.ID, lang.F("the %s harmonic", ordinal(lang, o.N)), false, o.OfMaximum, l})
				}
			}
		}
	}
	if len(es) == 0 {
		return nil, []Unassessed{{Why: lang.S("no current distortion was read at the incomer"), Measure: lang.S("harmonics: current of a reading at the incomer, with thd and orders")}}
	}
	w := worstOf(es)
	f := distortionFinding(lang, es, w)
	f.Why = lang.S("Harmonic currents heat transformers, cables and capacitors and distort the voltage for everyone on the same transformer; they decide how power-factor correction must be built.")
	f.Evidence = append(f.Evidence, Evidence{Text: lang.F("the short-circuit current of %.1f kA is %.0f times the maximum demand current of %.0f A", isc.V/1e3, ratio, il.V), Step: share.Step})
	if r.Family.CurrentDistortion != limits.IEEE519 {
		f.Clause = lang.F("%s; for orientation, since the site's family of limits sets none for a whole site's currents", f.Clause)
	}
	f.Evidence = append(f.Evidence, sources(r)...)
	switch {
	case w.share() > 1:
		f.Severity = Plan
		f.Headline = currentAbove(lang, w)
		f.Action = lang.S("Have chokes or filters quoted for the drives that distort the current, and allow no plain capacitors meanwhile.")
		f.Who, f.Licensed, f.Caution = lang.S(licensed), true, lang.S(capacitorsWait)
	case w.share() > 0.8:
		f.Severity = Watch
		f.Headline = lang.F("Harmonic current is near its limit: %s at %s of %s", w.what, percent(w.value.V, 1), percent(float64(w.limit.Value), 1))
		f.Action = lang.S("Read the current's harmonics again before any drive or capacitor is added.")
		f.Who = lang.S(anyone)
	default:
		f.Headline = lang.F("Harmonic current is within its limits: %s at %s of %s", w.what, percent(w.value.V, 1), percent(float64(w.limit.Value), 1))
	}
	return []Finding{f}, nil
}

func currentAbove(lang *say.Language, w excess) string {
	value, limit := percent(w.value.V, 1), percent(float64(w.limit.Value), 1)
	if w.share() < 1.05 {
		return lang.F("Harmonic current is just above its limit: %s at %s against %s", w.what, value, limit)
	}
	return lang.F("Harmonic current is %.1f times its limit: %s at %s against %s", w.share(), w.what, value, limit)
}

// sources names the readings of single loads with strongly distorted current.
func sources(r *audit.Result) []Evidence {
	lang := r.Record.Words
	var es []Evidence
	for _, rd := range r.Readings {
		if rd.At == rd.Point {
			continue
		}
		for _, w := range rd.Waves {
			if w.Kind == "current" && w.THD.Known() && w.THD.V > 0.3 {
				es = append(es, Evidence{Text: lang.F("%s: current distorted by %s", rd.Of, percent(w.THD.V, 0)), Reading: rd.ID, Step: w.THD.Step})
			}
		}
	}
	return es
}
