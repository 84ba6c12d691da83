package say

import (
	"strings"
	"testing"

	"golang.org/x/text/language"
)

const words = `msgid ""
msgstr ""
"Plural-Forms: nplurals=2; plural=(n != 1);\n"

msgid "%s in %s"
msgstr "en %[2]s, %[1]s"

msgid "one reading"
msgid_plural "%d readings"
msgstr[0] "una lectura"
msgstr[1] "%d lecturas"
`

// TestSays says sentences in English, in a catalogue's language with another
// order and other forms, and as they are where the catalogue lacks them.
func TestSays(t *testing.T) {
	es, ok := Load(language.MustParse("es-MX"), []byte(words))
	if !ok {
		t.Fatal("there is no Spanish")
	}
	var missed []string
	es.Missed = func(key string) { missed = append(missed, key) }
	for _, c := range []struct{ got, want string }{
		{(*Language)(nil).F("%s in %s", "a", "b"), "a in b"},
		{English.N(1, "one reading", "%d readings", 1), "one reading"},
		{English.N(2, "one reading", "%d readings", 2), "2 readings"},
		{es.F("%s in %s", "a", "b"), "en b, a"},
		{es.N(1, "one reading", "%d readings", 1), "una lectura"},
		{es.N(3, "one reading", "%d readings", 3), "3 lecturas"},
		{es.S("nobody translated this"), "nobody translated this"},
	} {
		if c.got != c.want {
			t.Errorf("said %q, not %q", c.got, c.want)
		}
	}
	if strings.Join(missed, "|") != "nobody translated this" {
		t.Errorf("missed %q", missed)
	}
	if _, ok := Load(language.German); ok {
		t.Error("a language without a catalogue was loaded")
	}
	long := Made(language.Arabic, func(s string) string { return s + "~" })
	if got := long.F("%d V", 3); got != "3 V~" {
		t.Errorf("made up %q", got)
	}
}
