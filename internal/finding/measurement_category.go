package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/say"
	"auditgen/internal/site"
)

// measurementCategory holds each instrument's overvoltage category against the
// places it was used at. Whoever measures comes before all else.
var measurementCategory = Rule{
	ID:    "measurement-category",
	Title: say.Key("Overvoltage category of the instrument"),
	Limit: "IEC 61010-2-030, measurement categories",
	Judge: judgeCategory,
}

var categoryClause = say.Key("IEC 61010-2-030, measurement categories (from memory)")

func judgeCategory(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	if len(r.Readings) == 0 {
		return missing(lang.S("nothing was measured"), lang.S("readings of the visit"))
	}
	var fs []Finding
	for _, d := range r.Doubts {
		if d.ID == audit.CategoryTooLow {
			fs = append(fs, categoryTooLow(lang, d))
		}
	}
	if len(fs) > 0 {
		return fs, nil
	}
	used := instruments(r)
	for _, i := range used {
		if !i.Category.IsSet() {
			return missing(lang.F("the category of the instrument %s is not stated", i.ID.Value), lang.F("category of the instrument %s in provider.toml", i.ID.Value))
		}
	}
	f := Finding{
		Severity: InOrder,
		Headline: categoryFits(lang, len(used)),
		Why:      lang.S(transient),
		Clause:   lang.S(categoryClause),
		Sure:     lang.S("As sure as the rating on the instrument; its leads and clamps must carry the same rating, the lowest governs."),
	}
	for _, i := range used {
		f.shows(lang.F("%s is rated %s", i.Name.Value, i.Category.Value), firstWith(r, i.ID.Value))
	}
	return []Finding{f}, nil
}

var transient = say.Key("A transient on the supply can strike an arc within an instrument whose category is too low for the place, in the hands of whoever holds it.")

func categoryTooLow(lang *say.Language, d audit.Doubt) Finding {
	f := Finding{
		ID:       "measurement-category." + d.Reading,
		Headline: lang.F("Whoever measures is in danger: %s", d.Cause),
		Why:      lang.S(transient),
		Clause:   lang.S(categoryClause),
		Sure:     lang.S("Certain from the instrument's rating and the place."),
	}
	f.shows(d.What, d.Reading)
	if len(d.Also) > 0 {
		f.shows(lang.F("the same holds for %s", join(lang, d.Also)), "")
	}
	f.does(lang, ActNow, d.Retake, anyone, liveWork)
	return f
}

func categoryFits(lang *say.Language, instruments int) string {
	switch instruments {
	case 1:
		return lang.S("The instrument is rated for every place it was used at")
	case 2:
		return lang.S("both instruments are rated for every place they were used at")
	}
	return lang.F("all %s instruments are rated for every place they were used at", numeral(lang, instruments))
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
