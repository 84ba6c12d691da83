package finding

import (
	"fmt"

	"auditgen/internal/audit"
)

// motorLoading holds what motors take against their plates.
var motorLoading = Rule{
	ID:    "motor-loading",
	Title: "Motor loading",
	Limit: "US DOE, Determining Electric Motor Load and Efficiency: 50 to 100 % of the rating; a service factor of 1.15 is from memory",
	Judge: judgeMotorLoading,
}

// Loadings of a motor that ask for something.
const (
	motorLow     = 0.50
	motorFull    = 1.00
	motorService = 1.15
)

const motorClause = "US DOE, Determining Electric Motor Load and Efficiency (range from a public summary, equations from memory)"

func judgeMotorLoading(r *audit.Result) ([]Finding, []Unassessed) {
	motors := r.Motors()
	if len(motors) == 0 {
		return missing("no motor's plate was given", "motor of a load, with rated, and efficiency or class")
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
		return missing("no motor with a plate was read while it ran", "reading of a load with motor, its efficiency or class in the plate")
	}
	var fs []Finding
	if len(over) > 0 {
		fs = append(fs, motorsOver(over))
	}
	if len(low) > 0 {
		fs = append(fs, motorsLow(low))
	}
	if len(fs) == 0 {
		fs = []Finding{motorFinding("", motorsWell(len(judged)), judged)}
	}
	return fs, nil
}

func motorFinding(id, headline string, ms []audit.Motor) Finding {
	f := Finding{
		ID:       id,
		Severity: InOrder,
		Headline: headline,
		Why:      "A motor above its rating burns its insulation; one far below it works with a poor efficiency and a poorer power factor.",
		Clause:   motorClause,
		Sure:     "As sure as the instrument, in the state that was read; the efficiency is taken at full load, which makes a lightly loaded motor look fuller than it is.",
	}
	for _, m := range ms {
		text := fmt.Sprintf("%s at %s of its rated input", audit.InSentence(m.Name), percent(m.Loading.V, 0))
		if m.Drive {
			text += ", the loss of its drive included"
		}
		f.shows(text, m.Reading, m.Loading.Step)
	}
	return f
}

func motorsOver(ms []audit.Motor) Finding {
	worst := ms[0]
	for _, m := range ms {
		if m.Loading.V > worst.Loading.V {
			worst = m
		}
	}
	f := motorFinding("motor-loading.over", motorOverloaded(worst, len(ms)), ms)
	severity := Plan
	if worst.Loading.V > motorService {
		severity = ActNow
	}
	f.does(severity, "Have the machine looked at for what brakes it (bearings, blockage, wrong speed), and the setting of its overload relay checked; do not raise that setting.", licensed, liveWork)
	return f
}

func motorsLow(ms []audit.Motor) Finding {
	f := motorFinding("motor-loading.low", motorsIdle(ms), ms)
	f.does(Watch, "Choose the size by the measured load when it comes to be replaced; see whether a smaller motor of the site can take its place.", licensed, liveWork)
	return f
}

func motorsWell(n int) string {
	if n == 1 {
		return "The one motor that could be judged is loaded as it should be"
	}
	return allOf(n, "motors") + " that could be judged are loaded as they should be"
}

func motorOverloaded(worst audit.Motor, n int) string {
	if n == 1 {
		return fmt.Sprintf("The motor of %s takes %s of its rated input", audit.InSentence(worst.Name), percent(worst.Loading.V, 0))
	}
	return fmt.Sprintf("%s more than their rated input; that of %s takes %s", plural(n, "motor takes", "motors take"), audit.InSentence(worst.Name), percent(worst.Loading.V, 0))
}

func motorsIdle(ms []audit.Motor) string {
	if len(ms) == 1 {
		return fmt.Sprintf("The motor of %s is loaded to less than half: %s", audit.InSentence(ms[0].Name), percent(ms[0].Loading.V, 0))
	}
	return plural(len(ms), "motor is", "motors are") + " loaded to less than half of their rating"
}
