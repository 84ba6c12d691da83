package report

import (
	"fmt"
	"math"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"auditgen/internal/civil"
)

var smallNumbers = []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

// count words a number of things: "no reading", "one reading", "three readings".
func count(n int, one, many string) string {
	if n == 1 {
		return "one " + one
	}
	return numeral(n) + " " + many
}

// numeral is a number in words up to twelve, else in digits.
func numeral(n int) string {
	if n >= 0 && n < len(smallNumbers) {
		return smallNumbers[n]
	}
	return fmt.Sprint(n)
}

// is and has agree with a number.
func is(n int) string { return choose(n, "is", "are") }

func choose(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// list joins words: "a", "a and b", "a, b and c".
func list(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// capital gives a text a capital first letter.
func capital(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[size:]
}

// sentence ends a text with a full stop unless it has an end.
func sentence(s string) string {
	s = typed(strings.TrimSpace(s))
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".!?:") {
		return s
	}
	return s + "."
}

// bare takes the full stop off, for texts that go into a longer sentence.
func bare(s string) string { return typed(strings.TrimRight(strings.TrimSpace(s), ".")) }

var fractions = []struct {
	of    float64
	words string
}{
	{0.1, "a tenth"}, {0.2, "a fifth"}, {0.25, "a quarter"}, {1.0 / 3, "a third"}, {0.4, "two fifths"}, {0.5, "half"},
	{0.6, "three fifths"}, {2.0 / 3, "two thirds"}, {0.75, "three quarters"}, {0.8, "four fifths"}, {0.9, "nine tenths"},
}

// portion words a share of a whole: "about a third", "more than half".
func portion(share float64) string {
	switch {
	case share >= 0.995:
		return "all"
	case share > 0.95:
		return "nearly all"
	case share < 0.02:
		return "very little"
	case share < 0.075:
		return "a small part"
	}
	near := fractions[0]
	for _, f := range fractions {
		if math.Abs(share-f.of) < math.Abs(share-near.of) {
			near = f
		}
	}
	switch d := share - near.of; {
	case d > 0.018:
		return "more than " + near.words
	case d < -0.018:
		return "almost " + near.words
	}
	return "about " + near.words
}

// monthName is the name of a month counted from 0.
func monthName(month int) string {
	if month < 0 || month > 11 {
		return ""
	}
	return time.Month(month + 1).String()
}

func monthShort(month int) string { return monthName(month)[:3] }

// dateWords writes a date in words: 14 May 2031.
func dateWords(d civil.Date) string {
	if d.Month < 1 || d.Month > 12 {
		return ""
	}
	return fmt.Sprintf("%d%s%s%s%d", d.Day, nbsp, d.Month, nbsp, d.Year)
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
