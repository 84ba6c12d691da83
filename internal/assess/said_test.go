package assess

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/text/language"

	"auditgen/internal/measure"
	"auditgen/internal/say"
)

// verb finds what a translation must keep of a sentence.
var verb = regexp.MustCompile(`%(?:\[\d+\])?[-+ #0]*(?:\d+|\*)?(?:\.(?:\d+|\*))?[a-zA-Z%]|\{[^{}]*\}`)

// foreign puts a sentence into letters that nothing typed has.
func foreign(english string) string {
	var b strings.Builder
	at := 0
	put := func(s string) {
		for _, r := range s {
			switch {
			case r >= 'a' && r <= 'z':
				r += 'а' - 'a'
			case r >= 'A' && r <= 'Z':
				r += 'А' - 'A'
			}
			b.WriteRune(r)
		}
	}
	for _, m := range verb.FindAllStringIndex(english, -1) {
		put(english[at:m[0]])
		b.WriteString(english[m[0]:m[1]])
		at = m[1]
	}
	put(english[at:])
	return b.String()
}

// typedText is all that the files of a site hold, with even spaces.
func typedText(t *testing.T, root, dir string) string {
	t.Helper()
	var all strings.Builder
	tree := os.DirFS(root)
	for _, part := range []string{"provider.toml", dir, "tariffs"} {
		err := fs.WalkDir(tree, part, func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !slices.Contains([]string{".yaml", ".toml", ".md"}, filepath.Ext(name)) {
				return err
			}
			data, err := fs.ReadFile(tree, name)
			all.Write(data)
			all.WriteString(" " + strings.TrimSuffix(filepath.Base(name), filepath.Ext(name)) + "\n")
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return strings.ToLower(strings.Join(strings.Fields(all.String()), " "))
}

// letters finds what was left in the letters of the files.
var letters = regexp.MustCompile(`[A-Za-z][A-Za-z'’-]*(?: [A-Za-z][A-Za-z'’-]*)*`)

// symbols need no translation: units, names of phases, standards and formulas.
var symbols = strings.Fields(`A B C N AB BC CA ABC ACB V W VA var h d s min Hz kW kWh MWh kVA kvar kvarh kV kA MVA mA Wh varh K g kg t m lag lead THD cos tan P Q S
	EN IEC IEEE NEMA MG HD UL ISO ANSI NFPA US DOE NEC JCGM CAT II III IV IE IPCC NIST ASTM CFR CO e EUR of`)

// TestEverySentenceIsSaid works sites out in a language made of other letters:
// what is left in ours was typed, or is a symbol, or nobody can translate it.
func TestEverySentenceIsSaid(t *testing.T) {
	for _, at := range sites {
		if testing.Short() && at.name != "minimal" {
			continue
		}
		t.Run(at.name, func(t *testing.T) {
			rec := record(t, at.root, at.dir)
			rec.Words = say.Made(language.Russian, foreign)
			a, err := Assess(rec)
			if err != nil {
				t.Fatal(err)
			}
			typed := typedText(t, at.root, at.dir)
			seen := map[string]bool{}
			hold := func(what, text string) {
				for _, left := range letters.FindAllString(text, -1) {
					if words := strings.Fields(left); slices.ContainsFunc(words, func(w string) bool { return !slices.Contains(symbols, w) }) && !strings.Contains(typed, strings.ToLower(left)) && !seen[left] {
						seen[left] = true
						t.Errorf("%s says %q in %q", what, left, text)
					}
				}
			}
			eachText(a, hold)
		})
	}
}

// eachText shows every text of an assessment that a report prints.
func eachText(a *Assessment, hold func(what, text string)) {
	for _, f := range a.Findings {
		for _, text := range []string{f.Headline, f.Why, f.Action, f.Who, f.Caution, f.Clause, f.Sure} {
			hold("finding "+f.ID, verb.ReplaceAllString(text, ""))
		}
		for _, e := range f.Evidence {
			hold("evidence of "+f.ID, verb.ReplaceAllString(e.Text, ""))
		}
	}
	for _, u := range a.Unassessed {
		hold("unassessed "+u.Rule, u.Title)
		hold("unassessed "+u.Rule, u.Why)
		hold("unassessed "+u.Rule, u.Measure)
	}
	for _, d := range a.Doubts {
		for _, text := range []string{d.What, d.Cause, d.Retake} {
			hold("doubt "+d.ID, text)
		}
	}
	for _, s := range a.Sheet.Steps() {
		for _, text := range []string{s.Label, s.Reason, s.Note} {
			hold("step "+s.ID, text)
		}
		if s.Formula != nil {
			hold("source of "+s.ID, a.Record.Words.S(s.Formula.Source))
		}
	}
	for _, x := range a.Assumptions {
		hold("assumption "+x.ID, x.What)
		hold("assumption "+x.ID, x.Reason)
	}
	for _, cs := range append(slices.Clone(a.Contributions), a.CostContributions...) {
		hold("contribution "+cs.ID, cs.Label)
		hold("contribution "+cs.ID, cs.Mend)
	}
	for _, l := range a.Loads {
		hold("load "+l.ID, l.BasisText)
		hold("load "+l.ID, l.CalendarName)
	}
	for _, b := range a.Bills {
		for _, l := range b.Lines {
			hold("line "+l.ID, l.Label)
			for _, text := range l.How {
				hold("line "+l.ID, text)
			}
		}
		for _, text := range b.Notes {
			hold("bill", text)
		}
	}
	if a.Reconciled != nil {
		for _, b := range a.Reconciled.Bills {
			hold("bill of "+b.Label, b.Reason)
		}
	}
	if a.Plan != nil {
		for _, m := range a.Plan.Measures {
			hold("measure "+m.ID.Value, m.Who.Value)
			hold("measure "+m.ID.Value, m.Caution.Value)
			for _, n := range m.Notes {
				hold("measure "+m.ID.Value, n.Text)
			}
			for _, c := range m.Changes {
				hold("measure "+m.ID.Value, measure.Words(a.Record, c))
			}
		}
	}
}
