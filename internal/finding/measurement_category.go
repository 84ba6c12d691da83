package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/site"
)

// measurementCategory holds each instrument's overvoltage category against the
// places it was used at. Whoever measures comes before all else.
var measurementCategory = Rule{
	ID:    "measurement-category",
	Title: "Overvoltage category of the instrument",
	Limit: "IEC 61010-2-030, measurement categories",
	Judge: judgeCategory,
}

const categoryClause = "IEC 61010-2-030, measurement categories (from memory)"

func judgeCategory(r *audit.Result) ([]Finding, []Unassessed) {
	if len(r.Readings) == 0 {
		return missing("nothing was measured", "readings of the visit")
	}
	var fs []Finding
	for _, d := range r.Doubts {
		if d.ID == audit.CategoryTooLow {
			fs = append(fs, categoryTooLow(d))
		}
	}
	if len(fs) > 0 {
		return fs, nil
	}
	used := instruments(r)
	for _, i := range used {
		if !i.Category.IsSet() {
			return missing("the category of the instrument "+i.ID.Value+" is not stated", "category of the instrument "+i.ID.Value+" in provider.toml")
		}
	}
	f := Finding{
		Severity: InOrder,
		Headline: categoryFits(len(used)),
		Why:      transient,
		Clause:   categoryClause,
		Sure:     "As sure as the rating on the instrument; its leads and clamps must carry the same rating, the lowest governs.",
	}
	for _, i := range used {
		f.shows(i.Name.Value+" is rated "+i.Category.Value.String(), firstWith(r, i.ID.Value))
	}
	return []Finding{f}, nil
}

const transient = "A transient on the supply can strike an arc within an instrument whose category is too low for the place, in the hands of whoever holds it."

func categoryTooLow(d audit.Doubt) Finding {
	f := Finding{
		ID:       "measurement-category." + d.Reading,
		Headline: "Whoever measures is in danger: " + d.Cause,
		Why:      transient,
		Clause:   categoryClause,
		Sure:     "Certain from the instrument's rating and the place.",
	}
	f.shows(d.What, d.Reading)
	if len(d.Also) > 0 {
		f.shows("the same holds for "+join(d.Also), "")
	}
	f.does(ActNow, d.Retake, anyone, liveWork)
	return f
}

func categoryFits(instruments int) string {
	if instruments == 1 {
		return "The instrument is rated for every place it was used at"
	}
	return allOf(instruments, "instruments") + " are rated for every place they were used at"
}

// instruments lists those that the readings were taken with.
func instruments(r *audit.Result) []site.Instrument {
	var used []site.Instrument
	seen := map[string]bool{}
	for _, rd := range r.Readings {
		if id := rd.Instrument.ID.Value; !seen[id] {
			seen[id] = true
			used = append(used, rd.Instrument)
		}
	}
	return used
}

// firstWith is the first reading that was taken with an instrument.
func firstWith(r *audit.Result, instrument string) string {
	for _, rd := range r.Readings {
		if rd.Instrument.ID.Value == instrument {
			return rd.ID
		}
	}
	return ""
}
