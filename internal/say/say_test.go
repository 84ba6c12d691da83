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

// TestSpanishAndOr has the examples of the Diccionario panhispánico de dudas,
// entries "y" and "o" (from memory), and words of reports.
func TestSpanishAndOr(t *testing.T) {
	es, ok := Load(language.Spanish)
	if !ok {
		t.Fatal("there is no Spanish")
	}
	for in, want := range map[string]string{
		"Eres único y irrepetible": "Eres único e irrepetible", "padre y hijo": "padre e hijo", "paraguas y impermeable": "paraguas e impermeable",
		"agua y hielo": "agua y hielo", "cobre y hierro": "cobre y hierro", "diez o once": "diez u once", "mujer o hombre": "mujer u hombre",
		"casa y campo": "casa y campo", "Refrigeración y Iluminación": "Refrigeración e Iluminación", "«Bomba» y «Iluminación»": "«Bomba» e «Iluminación»",
		"U y I": "U y I", "hoy hizo": "hoy hizo", "V o A": "V o A", "y irá": "e irá",
	} {
		if got := es.F("%s", in); got != want {
			t.Errorf("%q becomes %q, not %q", in, got, want)
		}
	}
	if got := English.F("%s", "y irá o oro"); got != "y irá o oro" {
		t.Errorf("English became %q", got)
	}
}
