package say

import (
	"strings"
	"testing"

	"golang.org/x/text/language"

	"auditgen/internal/diag"
)

// TestCheck tells each slip of a catalogue, and passes what is right.
func TestCheck(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"msgid \"Do these first\"\nmsgstr \"Primero esto\"\n", ""},
		{"# words\r\n\r\nmsgid \"\"\r\nmsgstr \"Plural-Forms: nplurals=2; plural=n != 1;\\n\"\r\n", ""},
		{"msgid \"\"\n\"Do these \"\n\"first\"\nmsgstr \"Ya\"\n", ""},
		{"msgid \"\"\nmsgstr \"Plural-Forms: nplurals=3; plural=n/0;\\n\"\n", "x.po:2:1: the plural forms"},
		{"Do these first = Primero\n", "x.po:1:1: \"Do these first = Primero\" is no line of a catalogue"},
		{"msgid \"Do these \"first\"\nmsgstr \"Ya\"\n", "does not hold together"},
		{"msgstr \"Ya\"\n", "a text without its sentence"},
		{"msgid \"Do these first\"\n", "lacks a text"},
		{"msgid \"Do these first\"\nmsgstr \"\"\n", "has an empty text"},
		{"msgid \"Do these firts\"\nmsgstr \"Ya\"\n", "did you mean \"Do these first\""},
		{"msgid \"one reading\"\nmsgstr \"una lectura\"\n", "has other forms"},
		{"msgid \"one reading\"\nmsgid_plural \"%s readings\"\nmsgstr[0] \"una\"\n", "lacks a text"},
		{"msgid \"one reading\"\nmsgid_plural \"%s readings\"\nmsgstr[1] \"una\"\n", "stands out of order"},
		{"msgid \"one reading\"\nmsgid_plural \"%s readings\"\nmsgstr[0] \"una\"\nmsgstr[1] \"varias\"\n", "leaves out the figure %[1]s"},
		{"msgid \"one reading\"\nmsgid_plural \"%s readings\"\nmsgstr[0] \"una\"\nmsgstr[1] \"%s tomas\"\n", ""},
		{"msgid \"%s of the energy goes to %s\"\nmsgstr \"%[2]s: %[1]s\"\n", ""},
		{"msgid \"%s of the energy goes to %s\"\nmsgstr \"%[2]s: %[1]d\"\n", "takes the figure %[1]d"},
		{"msgid \"%s of the energy goes to %s\"\nmsgstr \"%s: %s, un 5 % de ella\"\n", "a percent sign alone"},
		{"msgid \"%s of the energy goes to %s\"\nmsgstr \"%s: %*s\"\n", "takes the figure %[2]*s"},
	} {
		var faults diag.List
		Check("x.po", []byte(c.text), &faults)
		switch got := faults.Err(); {
		case c.want == "" && got != nil:
			t.Errorf("%q: %v", c.text, got)
		case c.want != "" && (got == nil || !strings.Contains(got.Error(), c.want)):
			t.Errorf("%q: %v, not %q", c.text, got, c.want)
		}
	}
}

// FuzzCheck holds that a catalogue which passes can be spoken with.
func FuzzCheck(f *testing.F) {
	f.Add([]byte("msgid \"one reading\"\nmsgid_plural \"%s readings\"\nmsgstr[0] \"una\"\nmsgstr[1] \"%s tomas\"\n"))
	f.Add([]byte("msgid \"%s of the energy goes to %s\"\nmsgstr \"%[2]s: %[1]s\"\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		var faults diag.List
		Check("x.po", data, &faults)
		if faults.Len() > 0 {
			return
		}
		es, ok := Load(language.Spanish, data)
		if !ok {
			t.Fatal("there is no Spanish")
		}
		for n := range 3 {
			if text := es.N(n, "one reading", "%s readings", "5") + es.F("%s of the energy goes to %s", "a", "b"); strings.Contains(text, "%!") {
				t.Errorf("said %q", text)
			}
		}
	})
}
