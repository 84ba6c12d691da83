package source_test

import (
	"errors"
	"strings"
	"testing"

	"auditgen/internal/diag"
	"auditgen/internal/source"
)

// word reads itself and refuses a text; its error is a problem with a mend.
type word string

func (w *word) UnmarshalText(text []byte) error {
	if string(text) == "odd" {
		return &diag.Problem{What: `"odd" is odd`, Expected: "an even word", Nearest: "even"}
	}
	*w = word(text)
	return nil
}

// blunt fails with an error that knows no mend.
type blunt string

func (*blunt) UnmarshalText([]byte) error { return errors.New("it is blunt") }

type part struct {
	source.Where
	ID   source.At[string] `key:"id" need:"yes" example:"P1"`
	Size source.At[int]    `key:"size"`
}

type whole struct {
	source.Where
	Name   source.At[string]            `key:"name" need:"yes" example:"Mill"`
	Word   source.At[word]              `key:"word"`
	Plain  string                       `key:"plain"`
	Answer bool                         `key:"answer"`
	Number int                          `key:"number"`
	Own    word                         `key:"own"`
	Blunt  blunt                        `key:"blunt"`
	Part   *part                        `key:"part"`
	Parts  []part                       `key:"parts"`
	One    source.List[part]            `key:"one-or-more"`
	Words  source.OneOrMany[word]       `key:"words"`
	Sizes  source.Map[source.At[int]]   `key:"sizes"`
	Groups source.Map[source.List[int]] `key:"groups"`
	Spare  int                          // no key: left alone
}

func decodeWhole(file, text string) (whole, string) {
	var faults diag.List
	var w whole
	read := source.YAML
	if strings.HasSuffix(file, ".toml") {
		read = source.TOML
	}
	source.Decode(read(file, []byte(text), &faults), &w, &faults)
	return w, list(&faults)
}

func TestDecode(t *testing.T) {
	w, faults := decodeWhole("f.yaml", `name: Rowan
word: even
plain: text
answer: yes
number: -12
own: fine
part: {id: P1, size: 3}
parts:
  - id: P2
  - {id: P3, size: 0}
one-or-more: {id: P4}
words: [a, b]
sizes: {x: 1, y: 2}
groups: {g: [1, 2], h: 3}
`)
	if faults != "" {
		t.Fatal(faults)
	}
	if w.Name.Value != "Rowan" || w.Name.Text != "Rowan" || w.Name.Pos != (diag.Pos{File: "f.yaml", Line: 1, Column: 7}) || w.Name.Good() != w.Name.Pos {
		t.Errorf("name: %+v", w.Name)
	}
	if w.Word.Value != "even" || w.Plain != "text" || !w.Answer || w.Number != -12 || w.Own != "fine" {
		t.Errorf("values: %+v", w)
	}
	if w.Part == nil || w.Part.Size.Value != 3 || w.Part.Pos.Line != 7 || w.Part.Pos.Column != 7 || w.Part.Faulty {
		t.Errorf("part: %+v", w.Part)
	}
	if len(w.Parts) != 2 || w.Parts[1].ID.Value != "P3" || w.Parts[0].Size.IsSet() || !w.Parts[1].Size.IsSet() {
		t.Errorf("parts: %+v", w.Parts)
	}
	if len(w.One) != 1 || w.One[0].ID.Value != "P4" || len(w.Words) != 2 || w.Words[1].Value != "b" {
		t.Errorf("lists: %+v %+v", w.One, w.Words)
	}
	if got, ok := w.Sizes.Get("y"); !ok || got.Value != 2 || strings.Join(w.Sizes.Keys(), " ") != "x y" {
		t.Errorf("sizes: %+v", w.Sizes)
	}
	if _, ok := w.Sizes.Get("z"); ok {
		t.Error("a key was found that is not there")
	}
	if h, _ := w.Groups.Get("h"); len(h) != 1 || h[0] != 3 {
		t.Errorf("groups: %+v", w.Groups)
	}
}

func TestDecodeFaults(t *testing.T) {
	const someKeys = "; expected one of name, word, plain, answer, number, own, blunt, part, parts, one-or-more, words, sizes, groups"
	tests := []struct{ name, file, text, want string }{
		{"unknown key", "f.yaml", "name: x\nsize: 1\n", `f.yaml:2:1: unknown key "size"` + someKeys + `; did you mean "sizes"?`},
		{"unknown key, nothing near", "f.yaml", "name: x\nzzzzzz: 1\n", `f.yaml:2:1: unknown key "zzzzzz"` + someKeys},
		{"misspelt key is not missing as well", "f.yaml", "nmae: x\n", `f.yaml:1:1: unknown key "nmae"` + someKeys + `; did you mean "name"?`},
		{"missing key", "f.yaml", "word: x\n", "f.yaml:1:1: missing here: name; expected a line such as name: Mill"},
		{"missing key in TOML", "f.toml", "word = \"x\"\n", "f.toml:1:1: missing here: name; expected a line such as name = \"Mill\""},
		{"missing in a part", "f.yaml", "name: x\nparts:\n  - size: 1\n", "f.yaml:3:5: missing here: id; expected a line such as id: P1"},
		{"a needed key without value is not missing as well", "f.yaml", "name:\n", `f.yaml:1:6: "name" has no value; expected a value, or the line removed`},
		{"refused text", "f.yaml", "name: x\nword: odd\nown: odd\n", "f.yaml:2:7: \"odd\" is odd; expected an even word; did you mean \"even\"?\nf.yaml:3:6: \"odd\" is odd; expected an even word; did you mean \"even\"?"},
		{"refused without a mend", "f.yaml", "name: x\nblunt: y\n", "f.yaml:2:8: it is blunt"},
		{"not a whole number", "f.yaml", "name: x\nnumber: 1.5\nsizes: {a: 0x10, b: +5, c: 010, d: 99999999999999999999}\n", "f.yaml:2:9: \"1.5\" is not a whole number; expected digits only, such as 12\nf.yaml:3:12: \"0x10\" is not a whole number; expected digits only, such as 12\nf.yaml:3:21: \"+5\" is not a whole number; expected digits only, such as 12\nf.yaml:3:28: \"010\" is not a whole number; expected digits only, such as 12\nf.yaml:3:36: \"99999999999999999999\" is not a whole number; expected digits only, such as 12"},
		{"not an answer", "f.yaml", "name: x\nanswer: maybe\n", "f.yaml:2:9: unknown answer \"maybe\"; expected yes or no"},
		{"list for one value", "f.yaml", "name: [x]\nplain: [y]\nown: {a: b}\n", "f.yaml:1:7: a list stands where a single value belongs; expected one value, such as Mill\nf.yaml:2:8: a list stands where a single value belongs\nf.yaml:3:6: a group of named entries stands where a single value belongs"},
		{"value for a group", "f.yaml", "name: x\npart: y\n", "f.yaml:2:7: a single value stands where a group of named entries belongs; expected lines of the form name: value"},
		{"value for a list", "f.yaml", "name: x\nparts: {id: P1}\n", "f.yaml:2:8: a group of named entries stands where a list belongs; expected items that begin with a dash, or [a, b]"},
		{"list for named entries", "f.yaml", "name: x\nsizes: [1]\n", "f.yaml:2:8: a list stands where a group of named entries belongs; expected lines of the form name: value"},
		{"group for one or many", "f.yaml", "name: x\nwords: {a: b}\n", "f.yaml:2:8: a group of named entries stands where a value or a list belongs"},
		{"list in one or many", "f.yaml", "name: x\nwords: [[a], b]\n", "f.yaml:2:9: a list stands where a single value belongs"},
		{"empty items", "f.yaml", "name: x\nparts:\n  -\none-or-more:\n  -\nwords: [~]\npart: ~\n", "f.yaml:3:4: this list item has no value; expected a value, or the line removed\nf.yaml:5:4: this list item has no value; expected a value, or the line removed\nf.yaml:6:9: this list item has no value; expected a value, or the line removed\nf.yaml:7:7: \"part\" has no value; expected a value, or the line removed"},
		{"all at once", "f.yaml", "word: odd\nzzz: 1\nanswer: perhaps\nnumber: many\n", "f.yaml:1:1: missing here: name; expected a line such as name: Mill\nf.yaml:1:7: \"odd\" is odd; expected an even word; did you mean \"even\"?\nf.yaml:2:1: unknown key \"zzz\"" + someKeys + "\nf.yaml:3:9: unknown answer \"perhaps\"; expected yes or no\nf.yaml:4:9: \"many\" is not a whole number; expected digits only, such as 12"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if _, got := decodeWhole(tt.file, tt.text); got != tt.want {
				t.Errorf("got\n%s\nwant\n%s", got, tt.want)
			}
		})
	}
}

// TestDecodeFaulty: what has a fault is known as typed, so that checks of what
// is missing, or out of range, can keep quiet about it.
func TestDecodeFaulty(t *testing.T) {
	w, _ := decodeWhole("f.yaml", "name: [x]\nword: odd\npart:\nparts:\n  - id: ~\n  - id: P2\n")
	if !w.Name.IsSet() || w.Name.Good().IsSet() || !w.Word.IsSet() || w.Word.Good().IsSet() {
		t.Errorf("values: %+v %+v", w.Name, w.Word)
	}
	if w.Part == nil || !w.Part.Faulty || !w.Part.Pos.IsSet() {
		t.Errorf("part: %+v", w.Part)
	}
	if !w.Faulty || !w.Parts[0].Faulty || !w.Parts[0].ID.IsSet() || w.Parts[0].ID.Good().IsSet() || w.Parts[1].Faulty {
		t.Errorf("parts: %+v", w.Parts)
	}
}
