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
	"auditgen/internal/say"
	"auditgen/internal/site"
)

// Who may do what, in words that findings share.
var (
	licensed            = say.Key("a licensed electrician, under the local code")
	licensedAndSupplier = say.Key("a licensed electrician, under the local code; the supplier, on the client's request")
	anyone              = say.Key("the person who measures")
	supplier            = say.Key("the supplier, on the client's request")
	client              = say.Key("the client")
	clientAndSupplier   = say.Key("the client; the supplier, on the client's request")
	laboratory          = say.Key("an accredited laboratory, on the provider's order")
)

// Cautions that findings share.
var (
	liveWork       = say.Key("Live boards can kill. Covers come off and leads go on only by a qualified person, with rated instrument and protective equipment, under the rules that apply at the site.")
	capacitorsWait = say.Key("Capacitors hold their charge after they are switched off. Wait the time stated on them, at least five minutes, then short and earth them before touching. Where harmonic currents are present, have resonance checked before any are added.")
)

// spotWords says what one reading can say about a limit.
func spotWords(lang *say.Language, c limits.Citation) string {
	switch c.Reach {
	case limits.Period:
		return lang.F("Likely, not proven: the limit is defined over %s, and one reading neither breaks nor meets it. A logger over that time would settle it.", lang.S(c.Statistic))
	case limits.Level:
		return lang.S("For orientation: it is a planning level for a whole network, not a limit at one place.")
	case limits.TypeTest:
		return lang.S("For orientation: it is a limit for a product in a test, not for an installation.")
	}
	return lang.S("As sure as the instrument, for as long as the conditions of the reading last.")
}

// clause gives a citation with how well its figure is known.
func clause(lang *say.Language, c limits.Citation) string {
	switch text := c.In(lang); c.Status {
	case limits.Memory:
		return lang.F("%s (figure from memory: check it before it decides anything)", text)
	case limits.Secondary:
		return lang.F("%s (figure from a published reproduction)", text)
	default:
		return text
	}
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
func join(lang *say.Language, items []string) string {
	switch n := len(items); n {
	case 0:
		return ""
	case 1:
		return items[0]
	default:
		return lang.F("%s and %s", strings.Join(items[:n-1], ", "), items[n-1])
	}
}

var numerals = []string{
	say.Key("one"), say.Key("two"), say.Key("three"), say.Key("four"), say.Key("five"), say.Key("six"),
	say.Key("seven"), say.Key("eight"), say.Key("nine"), say.Key("ten"), say.Key("eleven"), say.Key("twelve"),
}

// numeral words a small number.
func numeral(lang *say.Language, n int) string {
	if n > 0 && n <= len(numerals) {
		return lang.S(numerals[n-1])
	}
	return strconv.Itoa(n)
}
