package report

import (
	"cmp"

	record "auditgen/internal/site"
)

// instrument states a meter's limits of error and its calibration, in words
// that claim no more than is on file.
func instrument(v *visit, i record.Instrument) Instrument {
	out := Instrument{Name: capital(cmp.Or(i.Name.Value, i.ID.Value))}
	add := func(term, value string) {
		if value != "" {
			out.Facts = append(out.Facts, Pair{Term: term, Value: value})
		}
	}
	l := i.Limits()
	add(v.S("Id"), i.ID.Value)
	add(v.S("Serial number"), i.Serial.Value)
	if i.Category.IsSet() {
		add(v.S("Category"), i.Category.Value.String())
	}
	add(v.S("Limits of error"), v.F("voltage %s; current %s; power %s; distortion %s; angle ±%s",
		v.accuracy(l.Voltage), v.accuracy(l.Current), v.accuracy(l.Power), v.accuracy(l.Distortion), v.withUnit(v.sig(float64(l.PhaseAngle), 3), "°")))
	add(v.S("Smallest valid current"), v.withUnit(v.sig(float64(l.SmallestCurrent), 3), "A"))
	add(v.S("Calibration"), v.calibration(i))
	return out
}

func (v *visit) accuracy(a record.Accuracy) string {
	return v.F("±(%s of reading + %s digits)", v.withUnit(v.sig(float64(a.OfReading)*100, 3), "%"), v.sig(a.Digits, 6))
}

// calibration says what certificate is on file, and whether it was in date.
func (v *visit) calibration(i record.Instrument) string {
	if !i.Calibrated.IsSet() && !i.Certificate.IsSet() {
		return v.S("no certificate is on file; the limits of error are the maker’s and are not proven for this instrument")
	}
	text := ""
	if i.Calibrated.IsSet() {
		text = v.F("calibrated on %s", v.dateWords(i.Calibrated.Value))
	}
	if i.Certificate.IsSet() {
		text = joinSentences(text, v.F("certificate %s", i.Certificate.Value))
	}
	if i.Due.IsSet() {
		due := v.F("next due %s", v.dateWords(i.Due.Value))
		if v.Record.Visit.Date.Value.Compare(i.Due.Value) > 0 {
			due = v.F("next due %s, which was before this visit", v.dateWords(i.Due.Value))
		}
		text = joinSentences(text, due)
	}
	return text
}
