package report

import (
	"io/fs"
	"os"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"golang.org/x/net/html"
	"golang.org/x/text/language"

	"auditgen/internal/say"
)

var anyVerb = regexp.MustCompile(`\{?%(?:%|(?:\[\d+\])?[+#0-]*\d*(?:\.\d+)?[a-zA-Z])\}?`)

// marked puts marks about the words of a sentence and leaves its figures
// outside, so that words that came in as a figure show.
func marked(english string) string {
	var out strings.Builder
	last := 0
	word := func(s string) {
		if strings.ContainsFunc(s, unicode.IsLetter) {
			s = "⟦" + s + "⟧"
		}
		out.WriteString(s)
	}
	for _, m := range anyVerb.FindAllStringIndex(english, -1) {
		word(english[last:m[0]])
		out.WriteString(english[m[0]:m[1]])
		last = m[1]
	}
	word(english[last:])
	return out.String()
}

// unmarked is what a text has outside of marks.
func unmarked(text string) string {
	var out strings.Builder
	depth := 0
	for _, r := range text {
		switch {
		case r == '⟦':
			depth++
			out.WriteRune('|')
		case r == '⟧':
			depth--
		case depth == 0:
			out.WriteRune(r)
		}
	}
	return out.String()
}

// unconverted are the sections that show words of packages whose sentences do
// not all go through the catalogue yet. It is to be empty.
var unconverted = []string{}

// TestAllIsSaid builds the demonstration site's report in a language of which
// every sentence is marked, and finds no word outside of marks but what the user
// typed, units, symbols, names of files and months.
func TestAllIsSaid(t *testing.T) {
	own := typedWords(t)
	file := buildWhole(t, assessedIn(t, say.Made(language.English, marked)))
	doc, err := html.Parse(strings.NewReader(string(file.Data)))
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	hold := func(where, text string) {
		for _, part := range strings.FieldsFunc(unmarked(text), func(r rune) bool { return strings.ContainsRune("|;()“”", r) }) {
			rest := strings.TrimFunc(part, func(r rune) bool { return !unicode.IsLetter(r) })
			if rest == "" || seen[rest] || own.typed(part) {
				continue
			}
			seen[rest] = true
			t.Errorf("%s: nobody said %q, in %.120q", where, rest, text)
		}
	}
	var walk func(n *html.Node)
	walk = func(n *html.Node) {
		switch n.Data {
		case "style", "math", "var", "code":
			return
		}
		if strings.Contains(attribute(n, "class"), "path") || strings.Contains(attribute(n, "class"), "note") {
			return // where something is typed, and what the user wrote
		}
		if n.Data == "section" && slices.Contains(unconverted, attribute(n, "id")) {
			return
		}
		if n.Type == html.TextNode {
			hold(n.Parent.Data, n.Data)
		}
		for _, name := range []string{"alt", "title", "aria-label"} {
			hold(name, attribute(n, name))
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c)
		}
	}
	walk(doc)
}

func attribute(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

// typedText is what stands in the files of the demonstration site.
type typedText string

func typedWords(t *testing.T) typedText {
	t.Helper()
	var all strings.Builder
	add := func(name string) {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		all.Write(data)
	}
	root := path.Join("..", "..")
	add(path.Join(root, "provider.toml"))
	for _, dir := range []string{"sites/example", "tariffs", "internal/limits/data"} { // a standard's title is a name
		err := fs.WalkDir(os.DirFS(path.Join(root, dir)), ".", func(name string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() {
				add(path.Join(root, dir, name))
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return typedText(plainly(yamlKey.ReplaceAllString(all.String(), " ")))
}

var (
	yamlKey = regexp.MustCompile(`[\w-]+:\s`)
	symbols = regexp.MustCompile(`^(?:RT|k?Wh|kW|W|VA|kVA|k?var|k?varh|V|A|Hz|h|min|s|t|kg|kg/kWh|kWh/t of cheese|K|EUR|N|d|A|B|C|AB|BC|CA|CB|ABC|THD|TDD|CO₂e|kg CO|CO|e|bill|kB|MB)$`)
	months  = regexp.MustCompile(`\b(?:January|February|March|April|May|June|July|August|September|October|November|December|Jan|Feb|Mar|Apr|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\b`)
	names   = regexp.MustCompile(`\b(?:[\w./-]+\.ya?ml|CAT I[IV]+|NEMA MG|[A-Z]+\d+(?:-\d+)?|\d[\w-]*|IEEE|EN|IEC|ANSI|NEMA|NIST|JCGM|[\w-]+\.(?:csv|xlsx|json|yaml|md))\b`)
	letters = regexp.MustCompile(`\pL+`)
)

// plainly is a text without the marks of writing that a page changes.
func plainly(s string) string {
	s = strings.ToLower(strings.NewReplacer("’", "'", nbsp, " ", minus, "-").Replace(s))
	return strings.Join(strings.Fields(s), " ")
}

// typed reports whether a text outside of marks is the user's own, or no words.
func (own typedText) typed(text string) bool {
	if own.holds(text) {
		return true
	}
	for _, part := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(",:·+", r) }) {
		if !own.holds(part) && !wordless(part) && !own.holds(names.ReplaceAllString(months.ReplaceAllString(part, " "), " ")) {
			return false
		}
	}
	return true
}

// holds reports whether a text of more than two letters was typed as it is.
func (own typedText) holds(text string) bool {
	text = plainly(strings.Trim(text, " .%±×=–−+"+nbsp))
	return len(text) > 2 && strings.Contains(string(own), text)
}

// wordless reports whether a text has signs alone.
func wordless(text string) bool {
	text = names.ReplaceAllString(months.ReplaceAllString(text, " "), " ")
	for _, w := range letters.FindAllString(text, -1) {
		if !symbols.MatchString(w) {
			return false
		}
	}
	return true
}
