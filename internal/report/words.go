package report

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"auditgen/internal/say"
)

var smallNumbers = []string{say.Key("no"), say.Key("one"), say.Key("two"), say.Key("three"), say.Key("four"), say.Key("five"), say.Key("six"),
	say.Key("seven"), say.Key("eight"), say.Key("nine"), say.Key("ten"), say.Key("eleven"), say.Key("twelve")}

// numeral is a number in words up to twelve, else in digits.
func (f format) numeral(n int) string {
	if n >= 0 && n < len(smallNumbers) {
		return f.S(smallNumbers[n])
	}
	return fmt.Sprint(n)
}

// spans are the words that units are made of; the others are signs.
var spans = map[string]string{"day": say.Key("day"), "days": say.Key("days"), "month": say.Key("month"), "months": say.Key("months"),
	"year": say.Key("year"), "years": say.Key("years")}

var unitWord = regexp.MustCompile(`\pL+`)

// unit writes a unit, whose spans of time are words: kVA·month.
func (f format) unit(u string) string {
	return unitWord.ReplaceAllStringFunc(u, func(w string) string {
		if key, ok := spans[w]; ok {
			return f.S(key)
		}
		return w
	})
}

// list joins words: "a", "a and b", "a, b and c".
func (f format) list(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return f.F("%s and %s", strings.Join(words[:len(words)-1], f.S(", ")), words[len(words)-1])
}

// capital gives a text a capital first letter.
func capital(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[size:]
}

// sentence sets a text that others wrote, with a full stop unless it has an end.
func (f format) sentence(s string) string { return ended(f.typed(strings.TrimSpace(s))) }

// ended gives a text a full stop unless it has an end.
func ended(s string) string {
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".!?:") {
		return s
	}
	return s + "."
}

// bare takes the full stop off, for texts that go into a longer sentence.
func (f format) bare(s string) string { return f.typed(strings.TrimRight(strings.TrimSpace(s), ".")) }

var fractions = []struct {
	of    float64
	words string
}{
	{0.1, say.Key("a tenth")}, {0.2, say.Key("a fifth")}, {0.25, say.Key("a quarter")}, {1.0 / 3, say.Key("a third")}, {0.4, say.Key("two fifths")}, {0.5, say.Key("half")},
	{0.6, say.Key("three fifths")}, {2.0 / 3, say.Key("two thirds")}, {0.75, say.Key("three quarters")}, {0.8, say.Key("four fifths")}, {0.9, say.Key("nine tenths")},
}

// portion words a share of a whole: "about a third", "more than half".
func (f format) portion(share float64) string {
	switch {
	case share >= 0.995:
		return f.S("all")
	case share > 0.95:
		return f.S("nearly all")
	case share < 0.02:
		return f.S("very little")
	case share < 0.075:
		return f.S("a small part")
	}
	near := fractions[0]
	for _, one := range fractions {
		if math.Abs(share-one.of) < math.Abs(share-near.of) {
			near = one
		}
	}
	switch d := share - near.of; {
	case d > 0.018:
		return f.F("more than %s", f.S(near.words))
	case d < -0.018:
		return f.F("almost %s", f.S(near.words))
	}
	return f.F("about %s", f.S(near.words))
}

// hour writes the hour that begins at h.
func hour(h int) string { return fmt.Sprintf("%02d:00", h%24) }

// lower gives a text a small first letter unless its first word is a name of
// capitals or digits.
func lower(s string) string {
	first, _, _ := strings.Cut(s, " ")
	for _, r := range first[min(1, len(first)):] {
		if unicode.IsUpper(r) || unicode.IsDigit(r) {
			return s
		}
	}
	r, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToLower(r)) + s[size:]
}
