package source_test

import (
	"fmt"
	"strings"
	"testing"

	"auditgen/internal/diag"
	"auditgen/internal/source"
)

// outline prints a value with its places, for comparison.
func outline(v *source.Value) string {
	var b strings.Builder
	draw(&b, v, "")
	return b.String()
}

func draw(b *strings.Builder, v *source.Value, indent string) {
	at := fmt.Sprintf("%d:%d", v.Pos.Line, v.Pos.Column)
	switch {
	case v.Refused:
		fmt.Fprintf(b, "refused@%s\n", at)
	case v.Form == source.Scalar:
		fmt.Fprintf(b, "%q@%s\n", v.Text, at)
	case v.Form == source.Mapping:
		fmt.Fprintf(b, "group@%s\n", at)
		for _, p := range v.Pairs {
			fmt.Fprintf(b, "%s  %s@%d:%d ", indent, p.Key, p.Pos.Line, p.Pos.Column)
			draw(b, p.Value, indent+"  ")
		}
	case v.Form == source.Sequence:
		fmt.Fprintf(b, "list@%s\n", at)
		for _, item := range v.Items {
			fmt.Fprintf(b, "%s  - ", indent)
			draw(b, item, indent+"  ")
		}
	}
}

func list(faults *diag.List) string {
	var b strings.Builder
	faults.Write(&b)
	return strings.TrimSuffix(b.String(), "\n")
}

func TestYAMLPositions(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"block", "a: 1\nb:\n  c: x y\n  d:\n    - 2\n    - {e: 3}\n", `group@1:1
  a@1:1 "1"@1:4
  b@2:1 group@3:3
    c@3:3 "x y"@3:6
    d@4:3 list@5:5
      - "2"@5:7
      - group@6:7
        e@6:8 "3"@6:11
`},
		{"flow over lines", "a: {b: 1,\n    c: [2,\n  3]}\n", `group@1:1
  a@1:1 group@1:4
    b@1:5 "1"@1:8
    c@2:5 list@2:8
      - "2"@2:9
      - "3"@3:3
`},
		{"columns are characters", "ä: {ö: 'µ', ü: 1 °}\n", `group@1:1
  ä@1:1 group@1:4
    ö@1:5 "µ"@1:8
    ü@1:13 "1 °"@1:16
`},
		{"byte order mark, CRLF, comments", "\ufeff# words\r\na: 1\r\n\r\nb: 2 # more\r\n", `group@2:1
  a@2:1 "1"@2:4
  b@4:1 "2"@4:4
`},
		{"text as typed", "a: 0x10\nb: 1_000\nc: .nan\nd: yes\ne: 2031-05-14\nf: 1e3\ng: 'null'\nh: 010\n", `group@1:1
  a@1:1 "0x10"@1:4
  b@2:1 "1_000"@2:4
  c@3:1 ".nan"@3:4
  d@4:1 "yes"@4:4
  e@5:1 "2031-05-14"@5:4
  f@6:1 "1e3"@6:4
  g@7:1 "null"@7:4
  h@8:1 "010"@8:4
`},
		{"folded and literal text", "a: >\n  one\n  two\nb: |\n  three\n", `group@1:1
  a@1:1 "one two\n"@1:4
  b@4:1 "three\n"@4:4
`},
		{"one document with its marks", "---\na: 1\n...\n", `group@2:1
  a@2:1 "1"@2:4
`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var faults diag.List
			v := source.YAML("f.yaml", []byte(tt.text), &faults)
			if faults.Len() > 0 {
				t.Fatal(list(&faults))
			}
			if got := outline(v); got != tt.want {
				t.Errorf("got\n%swant\n%s", got, tt.want)
			}
		})
	}
}

func TestYAMLTraps(t *testing.T) {
	tests := []struct {
		name, text string
		want       string // faults
		rest       string // what is read all the same; "" for nothing
	}{
		{"empty file", "", "f.yaml:1:1: the file is empty; expected lines of the form name: value", ""},
		{"comments only", "# nothing\n", "f.yaml:1:1: the file is empty; expected lines of the form name: value", ""},
		{"document mark only", "---\n", "f.yaml:2:1: the file has no value; expected a value, or the line removed", "refused@2:1\n"},
		{"key twice", "a: 1\nb: 2\na: 3\n", `f.yaml:3:1: "a" is given twice, first on line 1; expected one of them`, "group@1:1\n  a@1:1 \"1\"@1:4\n  b@2:1 \"2\"@2:4\n"},
		{"key without value", "a:\nb: 2\n", `f.yaml:1:3: "a" has no value; expected a value, or the line removed`, "group@1:1\n  a@1:1 refused@1:3\n  b@2:1 \"2\"@2:4\n"},
		{"null and tilde", "a: null\nb: ~\n", "f.yaml:1:4: \"a\" has no value; expected a value, or the line removed\nf.yaml:2:4: \"b\" has no value; expected a value, or the line removed", "group@1:1\n  a@1:1 refused@1:4\n  b@2:1 refused@2:4\n"},
		{"empty quotes", "a: \"\"\nb: '  '\n", "f.yaml:1:4: \"a\" has no value; expected a value, or the line removed\nf.yaml:2:4: \"b\" has no value; expected a value, or the line removed", "group@1:1\n  a@1:1 refused@1:4\n  b@2:1 refused@2:4\n"},
		{"empty list item", "a:\n  - 1\n  -\n", "f.yaml:3:4: this list item has no value; expected a value, or the line removed", "group@1:1\n  a@1:1 list@2:3\n    - \"1\"@2:5\n    - refused@3:4\n"},
		{"alias", "a: &x 1\nb: *x\n", "f.yaml:1:4: anchors and aliases (& and *) are not read; expected the value written out, or quotes around it\nf.yaml:2:4: anchors and aliases (& and *) are not read; expected the value written out, or quotes around it", "group@1:1\n  a@1:1 refused@1:4\n  b@2:1 refused@2:4\n"},
		{"alias of nothing", "a: *x\n", "f.yaml:1:4: anchors and aliases (& and *) are not read; expected the value written out, or quotes around it", ""},
		{"decimal comma", "a: {b: 231,2 V, c: 1}\nd: {e: 3,}\n", "f.yaml:1:8: \"231,2 V\" has a decimal comma; expected a point: 231.2 V", "group@1:1\n  a@1:1 group@1:4\n    b@1:5 refused@1:8\n    c@1:17 \"1\"@1:20\n  d@2:1 group@2:4\n    e@2:5 \"3\"@2:8\n"},
		{"merge key", "a: {b: 1}\nc:\n  <<: {b: 2}\n", "f.yaml:3:3: this key is not a plain word; expected a word and a colon", "group@1:1\n  a@1:1 group@1:4\n    b@1:5 \"1\"@1:8\n  c@2:1 group@3:3\n"},
		{"tag", "a: !!str 1\nb: !own 2\n", "f.yaml:1:4: the tag \"!!str\" is not read; expected the value without it, or quotes around it\nf.yaml:2:4: the tag \"!own\" is not read; expected the value without it, or quotes around it", "group@1:1\n  a@1:1 refused@1:4\n  b@2:1 refused@2:4\n"},
		{"list as key", "? [a, b]\n: 1\nc: 2\n", "f.yaml:1:3: this key is not a plain word; expected a word and a colon", "group@1:1\n  c@3:1 \"2\"@3:4\n"},
		{"empty key", "\"\": 1\nc: 2\n", "f.yaml:1:1: this key is not a plain word; expected a word and a colon", "group@1:1\n  c@2:1 \"2\"@2:4\n"},
		{"second document", "a: 1\n---\nb: 2\n", "f.yaml:2:1: a second document begins here; expected one document a file: remove the line ---", "group@1:1\n  a@1:1 \"1\"@1:4\n"},
		{"not UTF-8", "a: 1\nb: \xe4\n", "f.yaml:2:4: a character is not UTF-8 text; expected the file saved as UTF-8", ""},
		{"UTF-16", "\xff\xfea\x00:\x00", "f.yaml:1:1: a character is not UTF-8 text; expected the file saved as UTF-8", ""},
		{"nested too deep", "a: " + strings.Repeat("[", 60) + strings.Repeat("]", 60), "f.yaml:1:54: groups lie in one another more than 50 deep", "*"},
		{"nested beyond the parser", strings.Repeat("[", 20000), "f.yaml:1:1: groups lie in one another more than 50 deep; expected well-formed YAML on this line and the one before: \"[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[…\"", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var faults diag.List
			v := source.YAML("f.yaml", []byte(tt.text), &faults)
			if got := list(&faults); got != tt.want {
				t.Errorf("got\n%s\nwant\n%s", got, tt.want)
			}
			switch {
			case tt.rest == "*":
			case v == nil && tt.rest != "":
				t.Error("nothing was read")
			case v != nil && outline(v) != tt.rest:
				t.Errorf("got\n%s\nwant\n%s", outline(v), tt.rest)
			}
		})
	}
}

// TestYAMLBomb has aliases that would make a billion values: they are refused
// where they stand, and never followed.
func TestYAMLBomb(t *testing.T) {
	var b strings.Builder
	b.WriteString("a0: &a0 [x, x]\n")
	for i := 1; i < 30; i++ {
		fmt.Fprintf(&b, "a%d: &a%d [*a%d, *a%d]\n", i, i, i-1, i-1)
	}
	var faults diag.List
	source.YAML("f.yaml", []byte(b.String()), &faults)
	if faults.Len() != 30 {
		t.Errorf("%d faults:\n%s", faults.Len(), list(&faults))
	}
}

// TestYAMLSyntax holds the line that a syntax error is told to be on: the one
// that a person has to mend.
func TestYAMLSyntax(t *testing.T) {
	const hint = "; expected well-formed YAML on this line and the one before: "
	tests := []struct{ name, text, want string }{
		{"indentation off", "a: 1\nb:\n  c: 2\n   d: 3\n", "f.yaml:4:4: the indentation is off, a second colon stands on the line, or the line above should end in a colon" + hint + `"d: 3"`},
		{"indentation back to nowhere", "a: 1\nb:\n    c: 2\n  d: 3\ne: 4\n", "f.yaml:4:3: the line does not fit its surroundings: a colon, a quote or the indentation is off" + hint + `"d: 3"`},
		{"colon missing", "a: 1\nb 2\nc: 3\n", "f.yaml:2:1: a colon is missing behind the key" + hint + `"b 2"`},
		{"second colon", "a: 1\nb: c: 2\n", "f.yaml:2:1: the indentation is off, a second colon stands on the line, or the line above should end in a colon" + hint + `"b: c: 2"`},
		{"brace open", "x: 1\na: {b: 1, c: 2\nd: 3\n", "f.yaml:2:1: a group in braces is not closed, or a comma is missing" + hint + `"a: {b: 1, c: 2"`},
		{"bracket open", "x: 1\na: [1, 2\nd: 3\ne: 4\n", "f.yaml:2:1: a list in brackets is not closed, or a comma is missing" + hint + `"a: [1, 2"`},
		{"comma missing", "x: 1\na: {b: 1 V c: 2}\n", "f.yaml:2:1: a group in braces is not closed, or a comma is missing" + hint + `"a: {b: 1 V c: 2}"`},
		{"quote open", "x: 1\na: \"text\nb: 2\nc: 3\n", "f.yaml:2:1: a quote is not closed" + hint + `"a: \"text"`},
		{"percent first", "x: 1\na: %5\n", "f.yaml:2:1: a character stands where none may begin a value: put the value in quotes" + hint + `"a: %5"`},
		{"at sign first", "x: 1\na: @home\n", "f.yaml:2:1: a character stands where none may begin a value: put the value in quotes" + hint + `"a: @home"`},
		{"list in a group", "a: 1\n- b\n", "f.yaml:2:1: the line does not fit its surroundings: a colon, a quote or the indentation is off" + hint + `"- b"`},
		{"group in a list", "- b\na: 1\n", "f.yaml:2:1: the line does not fit the list above: begin it with a dash or mend its indentation" + hint + `"a: 1"`},
		{"backslash", "x: 1\na: \"C:\\data\"\n", "f.yaml:2:1: a backslash in double quotes has a meaning of its own: use single quotes" + hint + `"a: \"C:\\data\""`},
		{"tab behind a dash", "x: 1\na:\n  -\tb: 1\n    c: 2\n", "f.yaml:3:3: a tab stands on the line where spaces belong" + hint + `"-\tb: 1"`},
		{"control character", "x: 1\na: \x01\n", "f.yaml:2:1: a control character stands in the file" + hint + `"a: \x01"`},
		{"text behind a bar", "x: 1\na: | text\n", "f.yaml:2:1: something stands behind | or >: put the text on lines of its own" + hint + `"a: | text"`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var faults diag.List
			if v := source.YAML("f.yaml", []byte(tt.text), &faults); v != nil {
				t.Errorf("it was read:\n%s", outline(v))
			}
			if got := list(&faults); got != tt.want {
				t.Errorf("got\n%s\nwant\n%s", got, tt.want)
			}
		})
	}
}

// TestYAMLTabs: a tab is told once for each line, and the rest of the file is
// read as it was meant.
func TestYAMLTabs(t *testing.T) {
	const fault = ": a tab indents this line; expected spaces: two for each level"
	tests := []struct{ name, text, same, want string }{
		{"one line at two", "a:\n  b: 1\n\tc: 2\nd: 3\n", "a:\n  b: 1\n  c: 2\nd: 3\n", "f.yaml:3:1" + fault},
		{"one line at four, last of its group", "a:\n  b:\n    c: 1\n\td: 2\n  e: 3\n", "a:\n  b:\n    c: 1\n    d: 2\n  e: 3\n", "f.yaml:4:1" + fault},
		{"one line in a list item", "a:\n  - b: 1\n\tc: 2\n    d: 3\n", "a:\n  - b: 1\n    c: 2\n    d: 3\n", "f.yaml:3:1" + fault},
		{"a list item", "a:\n  - b: 1\n\t- b: 2\n", "a:\n  - b: 1\n  - b: 2\n", "f.yaml:3:1" + fault},
		{"below a colon", "a:\n\tb: 1\nc: 2\n", "a:\n  b: 1\nc: 2\n", "f.yaml:2:1" + fault},
		{"all lines", "a:\n\tb:\n\t\tc: 1\n\td: 2\n", "a:\n  b:\n    c: 1\n  d: 2\n", "f.yaml:2:1" + fault + "\nf.yaml:3:1" + fault + "\nf.yaml:4:1" + fault},
		{"behind spaces", "a:\n  b:\n  \tc: 1\n", "a:\n  b:\n    c: 1\n", "f.yaml:3:3" + fault},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var faults, none diag.List
			v := source.YAML("f.yaml", []byte(tt.text), &faults)
			if got := list(&faults); got != tt.want {
				t.Errorf("got\n%s\nwant\n%s", got, tt.want)
			}
			if v == nil {
				t.Fatal("nothing was read")
			}
			if got, want := outline(v), outline(source.YAML("f.yaml", []byte(tt.same), &none)); got != want {
				t.Errorf("got\n%swant\n%s", got, want)
			}
		})
	}
	t.Run("beyond mending", func(t *testing.T) {
		var faults diag.List
		v := source.YAML("f.yaml", []byte("a: 1\n\tb: [\nc: }\n"), &faults)
		if got := list(&faults); v != nil || got != "f.yaml:2:1"+fault {
			t.Errorf("got %v\n%s", v, got)
		}
	})
	t.Run("tabs elsewhere are no fault", func(t *testing.T) {
		var faults diag.List
		source.YAML("f.yaml", []byte("a: 1 # note\there\n\t\nb:\t2\n"), &faults)
		if faults.Len() > 0 {
			t.Error(list(&faults))
		}
	})
}
