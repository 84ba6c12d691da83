package report

import (
	"cmp"
	"fmt"

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
	add("Id", i.ID.Value)
	add("Serial number", i.Serial.Value)
	if i.Category.IsSet() {
		add("Category", i.Category.Value.String())
	}
	add("Limits of error", fmt.Sprintf("voltage %s; current %s; power %s; distortion %s; angle ±%s",
		v.accuracy(l.Voltage), v.accuracy(l.Current), v.accuracy(l.Power), v.accuracy(l.Distortion), withUnit(v.sig(float64(l.PhaseAngle), 3), "°")))
	add("Smallest valid current", withUnit(v.sig(float64(l.SmallestCurrent), 3), "A"))
	add("Calibration", v.calibration(i))
	return out
}

func (v *visit) accuracy(a record.Accuracy) string {
	return fmt.Sprintf("±(%s of reading + %s)", withUnit(v.sig(float64(a.OfReading)*100, 3), "%"), fmt.Sprintf("%g digits", a.Digits))
}

// calibration says what certificate is on file, and whether it was in date.
func (v *visit) calibration(i record.Instrument) string {
	if !i.Calibrated.IsSet() && !i.Certificate.IsSet() {
		return "no certificate is on file; the limits of error are the maker’s and are not proven for this instrument"
	}
	text := ""
	if i.Calibrated.IsSet() {
		text = "calibrated on " + dateWords(i.Calibrated.Value)
	}
	if i.Certificate.IsSet() {
		text = joinSentences(text, "certificate "+i.Certificate.Value)
	}
	if i.Due.IsSet() {
		text = joinSentences(text, "next due "+dateWords(i.Due.Value))
		if v.Record.Visit.Date.Value.Compare(i.Due.Value) > 0 {
			text += ", which was before this visit"
		}
	}
	return text
}
