package source_test

import (
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"auditgen/internal/diag"
	"auditgen/internal/source"
)

var quoted = regexp.MustCompile(`"(?:[^"\\]|\\.)*"`)

// plain holds every fault to what a person can use: a place, and words that
// are not those of a library or of the language.
func plain(t *testing.T, faults *diag.List) {
	t.Helper()
	for _, f := range faults.Sorted() {
		if f.Pos.File == "" || f.Pos.Line < 1 || f.Pos.Column < 1 {
			t.Errorf("no place: %s", f)
		}
		for _, foreign := range []string{"yaml:", "toml:", "strconv", "reflect", "runtime", "%!", "U+00", "[]", "interface", "nil"} {
			if strings.Contains(quoted.ReplaceAllString(f.What, ""), foreign) {
				t.Errorf("foreign words: %s", f)
			}
		}
		if strings.TrimSpace(f.What) == "" {
			t.Errorf("no words: %s", f.Pos)
		}
	}
}

// inside holds every place to the text.
func inside(t *testing.T, v *source.Value, text []byte, depth int) {
	if v == nil {
		t.Fatal("a value is missing")
	}
	if v.Pos.Line < 1 || v.Pos.Column < 1 || v.Pos.Line > strings.Count(string(text), "\n")+strings.Count(string(text), "\r")+2 {
		t.Fatalf("a value is placed at %s", v.Pos)
	}
	if depth > 60 {
		t.Fatal("too deep")
	}
	for _, p := range v.Pairs {
		inside(t, p.Value, text, depth+1)
	}
	for _, i := range v.Items {
		inside(t, i, text, depth+1)
	}
}

func FuzzYAML(f *testing.F) {
	for _, s := range []string{"a: 1\nb: [1, {c: 2}]\n", "a:\n\t- b\n", "a: &x 1\nb: *x\n", "---\na: |\n x\n---\n", "? [a]\n: b\n", "a: \"\\x\"", "%YAML 1.1\n---\n!!map {}\n", "a: 'x\n\n y'\n", "- - - a\n- b: c\n  d\n", "\ufeffa: 1\r\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var faults diag.List
		v := source.YAML("f.yaml", data, &faults)
		plain(t, &faults)
		if v == nil {
			if faults.Len() == 0 {
				t.Error("nothing read, nothing told")
			}
			return
		}
		inside(t, v, data, 0)
		var w whole
		source.Decode(v, &w, &faults)
		plain(t, &faults)
		if !utf8.ValidString(list(&faults)) {
			t.Error("a fault is not text")
		}
	})
}

func FuzzTOML(f *testing.F) {
	for _, s := range []string{"a = 1\n[b]\nc = [1, {d = 'x'}]\n[[e]]\nf.g = 2\n[[e]]\n", "a = \"\"\"\nx\"\"\"\n", "a = {b = [[], {}]}", "\"a\".b = 2031-05-14T10:00:00Z", "a = [ # x\n1,\n]", "[a.b]\n[[a.c]]\n[a.c.d]\nx=1", "\ufeffa = 0x1_0\r\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var faults diag.List
		v := source.TOML("f.toml", data, &faults)
		plain(t, &faults)
		if v == nil {
			if faults.Len() == 0 {
				t.Error("nothing read, nothing told")
			}
			return
		}
		inside(t, v, data, 0)
		var w whole
		source.Decode(v, &w, &faults)
		plain(t, &faults)
	})
}
