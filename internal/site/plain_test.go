package site_test

import (
	"regexp"
	"strings"
	"testing"
)

var (
	placed  = regexp.MustCompile(`^([^:]+):[1-9][0-9]*:[1-9][0-9]*: `)
	inQuote = regexp.MustCompile(`"(?:[^"\\]|\\.)*"`)
	foreign = regexp.MustCompile(`(?:^| )(?:yaml|toml): |strconv|reflect|runtime error|%!|U\+[0-9A-F]{4}|\b(?:int|string|float64|struct|interface|nil|parse error|invalid syntax|EOF)\b|[a-z]+\.[A-Z][a-z]+\[`)
)

// plainWords holds faults to a place and to words that a person knows.
func plainWords(t *testing.T, faults string) {
	t.Helper()
	for line := range strings.Lines(faults) {
		if !placed.MatchString(line) {
			t.Errorf("no place: %s", line)
		}
		if said := inQuote.ReplaceAllString(placed.ReplaceAllString(line, ""), ""); foreign.MatchString(said) {
			t.Errorf("foreign words: %s", line)
		}
	}
}
