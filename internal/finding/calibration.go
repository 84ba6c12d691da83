package finding

import (
	"fmt"

	"auditgen/internal/audit"
	"auditgen/internal/site"
)

// calibration tells whether each instrument's stated accuracy still held on the
// day.
var calibration = Rule{
	ID:    "calibration",
	Title: "Calibration of the instrument",
	Limit: "the date on the instrument's certificate; ISO/IEC 17025 sets no interval",
	Judge: judgeCalibration,
}

const calibrationClause = "date set by the instrument's owner; ISO/IEC 17025:2017 recommends no interval (7.8.4.3, from memory)"

func judgeCalibration(r *audit.Result) ([]Finding, []Unassessed) {
	if len(r.Readings) == 0 {
		return missing("nothing was measured", "readings of the visit")
	}
	var fs []Finding
	for _, d := range r.Doubts {
		if d.ID == audit.OutOfCalibration {
			fs = append(fs, calibrationOut(d))
		}
	}
	if len(fs) > 0 {
		return fs, nil
	}
	used := instruments(r)
	for _, i := range used {
		if !i.Due.IsSet() {
			return missing("nobody stated when the calibration of "+i.ID.Value+" is due", "calibration-due of the instrument "+i.ID.Value+" in provider.toml")
		}
	}
	f := Finding{
		Severity: InOrder,
		Headline: calibrationHolds(len(used)),
		Why:      "The accuracy that every figure here rests on is the one that the last calibration found.",
		Clause:   calibrationClause,
		Sure:     certificates(used),
	}
	for _, i := range used {
		f.shows(calibratedUntil(i), firstWith(r, i.ID.Value))
	}
	return []Finding{f}, nil
}

func calibrationOut(d audit.Doubt) Finding {
	f := Finding{
		ID:       "calibration." + d.Reading,
		Headline: calibrationRanOut(d.Reading, len(d.Also)),
		Why:      "Nobody knows how far the instrument has drifted since: every figure that rests on it is less sure than its interval says.",
		Clause:   calibrationClause,
		Sure:     "Certain from the dates; how much it matters, the next calibration's as-found values tell.",
	}
	f.shows(d.What, d.Reading)
	f.does(Plan, d.Retake, "an accredited laboratory, on the provider's order", "")
	return f
}

func calibrationRanOut(reading string, others int) string {
	if others == 0 {
		return "The calibration had run out when reading " + reading + " was taken"
	}
	return fmt.Sprintf("The calibration had run out when %s were taken", plural(others+1, "reading", "readings"))
}

func calibrationHolds(instruments int) string {
	if instruments == 1 {
		return "The instrument was within its calibration"
	}
	return allOf(instruments, "instruments") + " were within their calibration"
}

func calibratedUntil(i site.Instrument) string {
	text := "calibration of " + i.Name.Value + " is due on " + i.Due.Value.String()
	if i.Certificate.IsSet() {
		text += ", certificate " + i.Certificate.Value
	}
	return text
}

// certificates says whether the readings are traceable.
func certificates(used []site.Instrument) string {
	for _, i := range used {
		if !i.Certificate.IsSet() {
			return "Certain from the dates; traceability is not claimed, since no certificate is named for " + i.ID.Value + "."
		}
	}
	return "Certain from the dates and the certificates named."
}
