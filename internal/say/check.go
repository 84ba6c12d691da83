package say

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"auditgen/internal/diag"
)

// Entry is a sentence of a catalogue with its translation.
type Entry struct {
	Pos       diag.Pos
	Key, Many string   // in English: the form for one, and for many where there are forms
	Text      []string // one for each form
}

var poLine = regexp.MustCompile(`^(?:(msgid|msgid_plural|msgstr|msgstr\[(\d)\])\s+)?(".*")$`)

// Entries reads a catalogue in the PO format strictly: the library that looks
// sentences up passes over lines that it does not know, so that a slip would
// change nothing and nobody would be told. The head of the file is no entry.
func Entries(file string, data []byte, faults *diag.List) []Entry {
	var out []Entry
	var entry Entry
	var at *string // what a line of text alone goes on
	done := func() {
		if entry.Pos.IsSet() && entry.Key != "" {
			out = append(out, entry)
		}
		entry, at = Entry{}, nil
	}
	for i, line := range strings.Split(strings.TrimPrefix(string(data), "\ufeff"), "\n") {
		line = strings.TrimSpace(line)
		pos := diag.Pos{File: file, Line: i + 1, Column: 1}
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		m := poLine.FindStringSubmatch(line)
		if m == nil {
			faults.At(pos, fmt.Sprintf("%q is no line of a catalogue", line), `msgid, msgid_plural or msgstr with a text in quotes, as msgstr "Lecturas"`)
			continue
		}
		text, err := unquoted(m[3])
		if err != nil {
			faults.At(pos, fmt.Sprintf("the text %s does not hold together", m[3]), `quotes about the whole, and within it \" and \n`)
			continue
		}
		switch {
		case m[1] == "msgid":
			done()
			entry.Pos, at = pos, &entry.Key
		case m[1] == "" && at != nil:
		case m[1] == "" || !entry.Pos.IsSet():
			faults.At(pos, "a text without its sentence", "msgid with the English sentence before it")
			continue
		case m[1] == "msgid_plural":
			at = &entry.Many
		default:
			n, _ := strconv.Atoi(m[2])
			if n != len(entry.Text) {
				faults.At(pos, fmt.Sprintf("%s stands out of order", m[1]), fmt.Sprintf("msgstr[%d]", len(entry.Text)))
				continue
			}
			entry.Text = append(entry.Text, "")
			at = &entry.Text[n]
		}
		*at += text
	}
	done()
	return out
}

func unquoted(text string) (string, error) {
	if !utf8.ValidString(text) {
		return "", strconv.ErrSyntax
	}
	return strconv.Unquote(text)
}

// Known are the sentences that the program says, by their keys, as its own
// catalogues have them.
func Known() map[string]Entry {
	known := map[string]Entry{}
	var none diag.List
	for _, f := range files("*") {
		data, _ := builtIn.ReadFile(f) // it was listed
		for _, e := range Entries(f, data, &none) {
			known[e.Key] = e
		}
	}
	return known
}

// forms are the plural forms of a catalogue: one and many, as in English.
var forms = regexp.MustCompile(`^nplurals=2;plural=\(?n!=1\)?;?$`)

var formsLine = regexp.MustCompile(`Plural-Forms:([^"\\]*)`)

// Check tells what is wrong with a catalogue of somebody's own words: lines that
// say nothing, sentences that the program does not have, and texts whose figures
// are not those of the sentence.
func Check(file string, data []byte, faults *diag.List) {
	known := Known()
	for i, line := range strings.Split(string(data), "\n") {
		if m := formsLine.FindStringSubmatch(line); m != nil && !forms.MatchString(strings.ReplaceAll(m[1], " ", "")) {
			faults.At(diag.Pos{File: file, Line: i + 1, Column: 1}, fmt.Sprintf("the plural forms %q", strings.TrimSpace(m[1])), "nplurals=2; plural=(n != 1);")
		}
	}
	for _, e := range Entries(file, data, faults) {
		k, ok := known[e.Key]
		if !ok {
			options := slices.Sorted(maps.Keys(known))
			faults.Add(diag.Fault{Pos: e.Pos, What: fmt.Sprintf("the report never says %q", e.Key), Expected: "a sentence as it stands in the English report, with %s for each figure", Nearest: diag.Nearest(e.Key, options)})
			continue
		}
		if k.Many != e.Many {
			faults.At(e.Pos, fmt.Sprintf("%q has other forms", e.Key), expectedForms(k))
			continue
		}
		e.check(faults)
	}
}

func expectedForms(k Entry) string {
	if k.Many == "" {
		return "msgstr alone, no msgid_plural"
	}
	return fmt.Sprintf("msgid_plural %q with msgstr[0] and msgstr[1]", k.Many)
}

// check holds the texts of an entry to the figures of its sentence.
func (e Entry) check(faults *diag.List) {
	if len(e.Text) == 0 || e.Many != "" && len(e.Text) < 2 {
		faults.At(e.Pos, fmt.Sprintf("%q lacks a text", e.Key), expectedForms(e))
		return
	}
	want := verbs(e.Key)
	last := want
	if e.Many != "" {
		last = verbs(e.Many)
		maps.Copy(want, last)
	}
	for i, text := range e.Text {
		if text == "" {
			faults.At(e.Pos, fmt.Sprintf("%q has an empty text", e.Key), "the sentence in your words")
			continue
		}
		if (len(want) > 0 || strings.Contains(e.Key, "%%")) && strings.Contains(verb.ReplaceAllString(text, ""), "%") {
			faults.At(e.Pos, fmt.Sprintf("%q has a percent sign alone", text), "two of them, as 5 %%, where a sentence has figures")
		}
		got := verbs(text)
		for at, verb := range got {
			if want[at] != verb {
				faults.At(e.Pos, fmt.Sprintf("%q takes the figure %%[%d]%s, which %q does not have", text, at, verb, e.Key), figures(want))
			}
		}
		if i < len(e.Text)-1 {
			continue // a form for one may leave figures out, as in "one reading"
		}
		for at, verb := range last {
			if _, ok := got[at]; !ok {
				faults.At(e.Pos, fmt.Sprintf("%q leaves out the figure %%[%d]%s of %q", text, at, verb, e.Key), figures(want))
			}
		}
	}
}

func figures(of map[int]string) string {
	if len(of) == 0 {
		return "no figure"
	}
	var all []string
	for _, at := range slices.Sorted(maps.Keys(of)) {
		all = append(all, fmt.Sprintf("%%[%d]%s", at, of[at]))
	}
	return strings.Join(all, ", ")
}

// A percent sign before a space is no verb here, so that "99 % of its time" can
// be said without doubling it.
var verb = regexp.MustCompile(`%(?:%|(?:\[(\d+)\])?([+#0-]*(?:[\d*]+)?(?:\.[\d*]+)?[a-zA-Z]))`)

// verbs are the figures that a sentence takes: the verb of each, by its place
// from 1.
func verbs(text string) map[int]string {
	found := map[int]string{}
	next := 1
	for _, m := range verb.FindAllStringSubmatch(text, -1) {
		if m[2] == "" {
			continue
		}
		if m[1] != "" {
			next, _ = strconv.Atoi(m[1])
		}
		found[next] = m[2]
		next++
	}
	return found
}
