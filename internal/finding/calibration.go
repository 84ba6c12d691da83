package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/say"
	"auditgen/internal/site"
)

// calibration tells whether each instrument's stated accuracy still held on the
// day.
var calibration = Rule{
	ID:    "calibration",
	Title: say.Key("Calibration of the instrument"),
	Limit: "the date on the instrument's certificate; ISO/IEC 17025 sets no interval",
	Judge: judgeCalibration,
}

var calibrationClause = say.Key("date set by the instrument's owner; ISO/IEC 17025:2017 recommends no interval (7.8.4.3, from memory)")

func judgeCalibration(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	if len(r.Readings) == 0 {
		return missing(lang.S("nothing was measured"), lang.S("readings of the visit"))
	}
	var fs []Finding
	for _, d := range r.Doubts {
		if d.ID == audit.OutOfCalibration {
			fs = append(fs, calibrationOut(lang, d))
		}
	}
	if len(fs) > 0 {
		return fs, nil
	}
	used := instruments(r)
	for _, i := range used {
		if !i.Due.IsSet() {
			return missing(lang.F("nobody stated when the calibration of %s is due", i.ID.Value), lang.F("calibration-due of the instrument %s in provider.toml", i.ID.Value))
		}
	}
	f := Finding{
		Severity: InOrder,
		Headline: calibrationHolds(lang, len(used)),
		Why:      lang.S("The accuracy that every figure here rests on is the one that the last calibration found."),
		Clause:   lang.S(calibrationClause),
		Sure:     certificates(lang, used),
	}
	for _, i := range used {
		f.shows(calibratedUntil(lang, i), firstWith(r, i.ID.Value))
	}
	return []Finding{f}, nil
}

func calibrationOut(lang *say.Language, d audit.Doubt) Finding {
	f := Finding{
		ID:       "calibration." + d.Reading,
		Headline: calibrationRanOut(lang, d.Reading, len(d.Also)),
		Why:      lang.S("Nobody knows how far the instrument has drifted since: every figure that rests on it is less sure than its interval says."),
		Clause:   lang.S(calibrationClause),
		Sure:     lang.S("Certain from the dates; how much it matters, the next calibration's as-found values tell."),
	}
	f.shows(d.What, d.Reading)
	f.does(lang, Plan, d.Retake, laboratory, "")
	return f
}

func calibrationRanOut(lang *say.Language, reading string, others int) string {
	if others == 0 {
		return lang.F("The calibration had run out when reading %s was taken", reading)
	}
	return lang.F("The calibration had run out when %s readings were taken", numeral(lang, others+1))
}

func calibrationHolds(lang *say.Language, instruments int) string {
	switch instruments {
	case 1:
		return lang.S("The instrument was within its calibration")
	case 2:
		return lang.S("both instruments were within their calibration")
	}
	return lang.F("all %s instruments were within their calibration", numeral(lang, instruments))
}

func calibratedUntil(lang *say.Language, i site.Instrument) string {
	if i.Certificate.IsSet() {
		return lang.F("calibration of %s is due on %s, certificate %s", i.Name.Value, i.Due.Value, i.Certificate.Value)
	}
	return lang.F("calibration of %s is due on %s", i.Name.Value, i.Due.Value)
}

// certificates says whether the readings are traceable.
func certificates(lang *say.Language, used []site.Instrument) string {
	for _, i := range used {
		if !i.Certificate.IsSet() {
			return lang.F("Certain from the dates; traceability is not claimed, since no certificate is named for %s.", i.ID.Value)
		}
	}
	return lang.S("Certain from the dates and the certificates named.")
}
