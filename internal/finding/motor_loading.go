package finding

import (
	"strings"

	"auditgen/internal/audit"
	"auditgen/internal/say"
)

// motorLoading holds what motors take against their plates.
var motorLoading = Rule{
	ID:    "motor-loading",
	Title: say.Key("Motor loading"),
	Limit: "US DOE, Determining Electric Motor Load and Efficiency: 50 to 100 % of the rating; a service factor of 1.15 is from memory",
	Judge: judgeMotorLoading,
}

// Loadings of a motor that ask for something.
const (
	motorLow     = 0.50
	motorFull    = 1.00
	motorService = 1.15
)

var motorClause = say.Key("US DOE, Determining Electric Motor Load and Efficiency (range from a public summary, equations from memory)")

func judgeMotorLoading(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	motors := r.Motors()
	if len(motors) == 0 {
		return missing(lang.S("no motor's plate was given"), lang.S("motor of a load, with rated, and efficiency or class"))
	}
	var judged, low, over []audit.Motor
	for _, m := range motors {
		if !m.Loading.Known() {
			continue
		}
		judged = append(judged, m)
		switch {
		case m.Loading.V > motorFull:
			over = append(over, m)
		case m.Loading.V < motorLow:
			low = append(low, m)
		}
	}
	if len(judged) == 0 {
		return missing(lang.S("no motor with a plate was read while it ran"), lang.S("reading of a load with motor, its efficiency or class in the plate; or speed or current in its nameplate"))
	}
	var fs []Finding
	if len(over) > 0 {
		fs = append(fs, motorsOver(lang, over))
	}
	if len(low) > 0 {
		fs = append(fs, motorsLow(lang, low))
	}
	if len(fs) == 0 {
		fs = []Finding{motorFinding(lang, "", motorsWell(lang, len(judged)), judged)}
	}
	return fs, nil
}

func motorFinding(lang *say.Language, id, headline string, ms []audit.Motor) Finding {
	f := Finding{
		ID:       id,
		Severity: InOrder,
		Headline: headline,
		Why:      lang.S("A motor above its rating burns its insulation; one far below it works with a poor efficiency and a poorer power factor."),
		Clause:   lang.S(motorClause),
		Sure:     motorsSure(lang, ms),
	}
	for _, m := range ms {
		f.shows(motorFact(lang, m), m.Reading, m.Loading.Step)
	}
	return f
}

// motorsSure says how far each way in which the motors' loading was found goes.
func motorsSure(lang *say.Language, ms []audit.Motor) string {
	found := map[string]bool{}
	for _, m := range ms {
		found[m.By] = true
	}
	var says []string
	if found[""] {
		says = append(says, lang.S("As sure as the instrument, in the state that was read; the efficiency is taken at full load, which makes a lightly loaded motor look fuller than it is."))
	}
	if found[audit.BySlip] {
		says = append(says, lang.S("By slip it is rough: the full-load speed on a plate may be off by 20 % of the slip, and no power was read."))
	}
	if found[audit.ByCurrent] {
		says = append(says, lang.S("By current it is rough, and rather too high: it holds above about half load only, below which the current mostly magnetises the motor; no power was read."))
	}
	return strings.Join(says, " ")
}

func motorFact(lang *say.Language, m audit.Motor) string {
	name, share := audit.InSentence(m.Name), percent(m.Loading.V, 0)
	switch {
	case m.By == audit.BySlip:
		return lang.F("%s at %s of its rating, by slip (from the plate)", name, share)
	case m.By == audit.ByCurrent:
		return lang.F("%s at %s of its rating, by current (from the plate)", name, share)
	case m.Drive:
		return lang.F("%s at %s of its rated input, the loss of its drive included", name, share)
	}
	return lang.F("%s at %s of its rated input", name, share)
}

func motorsOver(lang *say.Language, ms []audit.Motor) Finding {
	worst, beyond := ms[0], false
	for _, m := range ms {
		if m.Loading.V > worst.Loading.V {
			worst = m
		}
		// A slip is too rough to send anyone at once.
		beyond = beyond || m.Loading.V > motorService && m.By != audit.BySlip
	}
	f := motorFinding(lang, "motor-loading.over", motorOverloaded(lang, worst, len(ms)), ms)
	severity := Plan
	if beyond {
		severity = ActNow
	}
	f.does(lang, severity, lang.S("Have the machine looked at for what brakes it (bearings, blockage, wrong speed), and the setting of its overload relay checked; do not raise that setting."), licensed, liveWork)
	return f
}

func motorsLow(lang *say.Language, ms []audit.Motor) Finding {
	f := motorFinding(lang, "motor-loading.low", motorsIdle(lang, ms), ms)
	f.does(lang, Watch, lang.S("Choose the size by the measured load when it comes to be replaced; see whether a smaller motor of the site can take its place."), licensed, liveWork)
	return f
}

func motorsWell(lang *say.Language, n int) string {
	switch n {
	case 1:
		return lang.S("The one motor that could be judged is loaded as it should be")
	case 2:
		return lang.S("both motors that could be judged are loaded as they should be")
	}
	return lang.F("all %s motors that could be judged are loaded as they should be", numeral(lang, n))
}

func motorOverloaded(lang *say.Language, worst audit.Motor, n int) string {
	if n == 1 && worst.By != "" {
		return lang.F("The motor of %s seems loaded to %s of its rating", audit.InSentence(worst.Name), percent(worst.Loading.V, 0))
	}
	if n == 1 {
		return lang.F("The motor of %s takes %s of its rated input", audit.InSentence(worst.Name), percent(worst.Loading.V, 0))
	}
	if worst.By != "" {
		return lang.F("%s motors seem loaded above their rating; that of %s to %s", numeral(lang, n), audit.InSentence(worst.Name), percent(worst.Loading.V, 0))
	}
	return lang.F("%s motors take more than their rated input; that of %s takes %s", numeral(lang, n), audit.InSentence(worst.Name), percent(worst.Loading.V, 0))
}

func motorsIdle(lang *say.Language, ms []audit.Motor) string {
	if len(ms) == 1 {
		return lang.F("The motor of %s is loaded to less than half: %s", audit.InSentence(ms[0].Name), percent(ms[0].Loading.V, 0))
	}
	return lang.F("%s motors are loaded to less than half of their rating", numeral(lang, len(ms)))
}
