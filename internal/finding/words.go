package finding

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"auditgen/internal/audit"
	"auditgen/internal/limits"
	"auditgen/internal/site"
)

// Who may do what, in words that findings share.
const (
	licensed = "a licensed electrician, under the local code"
	anyone   = "the person who measures"
	supplier = "the supplier, on the client's request"
	client   = "the client"
)

// Cautions that findings share.
const (
	liveWork       = "Live boards can kill. Covers come off and leads go on only by a qualified person, with rated instrument and protective equipment, under the rules that apply at the site."
	capacitorsWait = "Capacitors hold their charge after they are switched off. Wait the time stated on them, at least five minutes, then short and earth them before touching. Where harmonic currents are present, have resonance checked before any are added."
	ctSecondaries  = "Never open the secondary of a current transformer while current flows in its primary: short it first."
)

// spotWords says what one reading can say about a limit.
func spotWords(c limits.Citation) string {
	switch c.Reach {
	case limits.Period:
		return "Likely, not proven: the limit is defined over " + c.Statistic + ", and one reading neither breaks nor meets it. A logger over that time would settle it."
	case limits.Level:
		return "For orientation: it is a planning level for a whole network, not a limit at one place."
	case limits.TypeTest:
		return "For orientation: it is a limit for a product in a test, not for an installation."
	}
	return "As sure as the instrument, for as long as the conditions of the reading last."
}

// clause gives a citation with how well its figure is known.
func clause(c limits.Citation) string {
	text := c.Text()
	switch c.Status {
	case limits.Memory:
		text += " (figure from memory: check it before it decides anything)"
	case limits.Secondary:
		text += " (figure from a published reproduction)"
	}
	return text
}

// percent prints a ratio in percent.
func percent(v float64, decimals int) string { return fmt.Sprintf("%.*f %%", decimals, v*100) }

// kilo prints a power, given in its base unit, in thousands of it: the smaller,
// the more decimals.
func kilo(v float64, unit string) string {
	decimals := 0
	switch k := math.Abs(v) / 1e3; {
	case k < 1:
		decimals = 2
	case k < 10:
		decimals = 1
	}
	return fmt.Sprintf("%.*f %s", decimals, v/1e3, unit)
}

// incomers gives the readings taken at the point of supply.
func incomers(r *audit.Result) []audit.Reading {
	var rs []audit.Reading
	for _, rd := range r.Readings {
		if place, _ := r.Record.Site.Points.Get(rd.Point); !place.From.IsSet() && rd.At == rd.Point {
			rs = append(rs, rd)
		}
	}
	return rs
}

// always is the calendar of loads that run all the time.
const always = site.Always

// byEnergy sorts loads, those that use most first.
func byEnergy(ls []audit.Load) {
	slices.SortStableFunc(ls, func(a, b audit.Load) int { return cmp.Compare(b.Energy.Value, a.Energy.Value) })
}

// inSentences are names as they stand within a sentence.
func inSentences(names []string) []string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = audit.InSentence(n)
	}
	return out
}

// hourOf is the hour of a reading's time, "10:35".
func hourOf(time string) (int, bool) {
	hour, _, ok := strings.Cut(time, ":")
	if !ok {
		return 0, false
	}
	h, err := strconv.Atoi(hour)
	return h, err == nil
}

// join words a list: "a", "a and b", "a, b and c".
func join(items []string) string {
	switch n := len(items); n {
	case 0:
		return ""
	case 1:
		return items[0]
	default:
		return strings.Join(items[:n-1], ", ") + " and " + items[n-1]
	}
}

// allOf words all of two or more things.
func allOf(n int, things string) string {
	if n == 2 {
		return "both " + things
	}
	return "all " + plural(n, things, things)
}

// plural gives the word for a number of things.
func plural(n int, one, many string) string {
	if n == 1 {
		return "one " + one
	}
	words := []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	if n < len(words) {
		return words[n] + " " + many
	}
	return fmt.Sprintf("%d %s", n, many)
}
