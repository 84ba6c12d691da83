package report

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/tdewolff/minify/v2"
	minifycss "github.com/tdewolff/minify/v2/css"
	cssinput "github.com/tdewolff/parse/v2"
	"github.com/tdewolff/parse/v2/css"

	"auditgen/internal/charts"
	"auditgen/internal/picture"
	"auditgen/internal/say"
)

// Base is what every page has: head, masthead and foot.
type Base struct {
	Kind                     string // the kind of page, for the style
	Lang, Title, Description string
	RightToLeft              bool
	Style                    template.CSS
	Policy                   string // Content-Security-Policy
	Brand                    Brand
	Mast                     []Pair
	Foot                     []string
	Back                     []Link // to pages above and beside
	Beside                   bool   // it shows pictures that lie beside it
	words                    *say.Language
}

func (b *Base) base() *Base { return b }

// Brand is the provider's name and the mark made of its initials.
// The logo, where there is one, stands in the mark's place.
type Brand struct {
	Name, Initials string
	Logo           *Logo
}

// Logo is the provider's mark, carried in the page.
type Logo struct {
	Src           template.URL
	Width, Height int // pixels
}

// inPage is a picture as an address that holds it. It is the only place where a
// picture becomes a trusted address; only package picture makes one.
func inPage(m picture.Image) template.URL {
	return template.URL("data:" + m.Type + ";base64," + base64.StdEncoding.EncodeToString(m.Data))
}

// Pair is a term with its value.
type Pair struct{ Term, Value, Date string }

// theme is a folder of templates with its style sheet.
type theme struct {
	pages   map[string]*template.Template
	style   string
	grounds grounds
}

// stylesheet is a theme's style; what stands in added comes after it, so that a
// theme that only changes colours and type need not repeat the rest.
const (
	stylesheet = "static/report.css"
	added      = "static/theme.css"
)

// readTheme parses one template set for each page: the skeleton, the parts and
// that page.
func readTheme(files fs.FS) (*theme, error) {
	th := &theme{pages: map[string]*template.Template{}}
	for _, kind := range append(slices.Clone(pages), whole) {
		name := path.Join("page", kind.template+".tmpl")
		t, err := template.New("base.tmpl").Funcs(sayings(nil)).ParseFS(files, "base.tmpl", "part/*.tmpl", name)
		if err != nil {
			return nil, fmt.Errorf("report: theme: %w", err)
		}
		th.pages[kind.template] = t
	}
	style, err := styleOf(files)
	if err != nil {
		return nil, err
	}
	light, dark, err := tokensOf(style)
	if err != nil {
		return nil, err
	}
	if th.grounds, err = groundsOf(light, dark); err != nil {
		return nil, err
	}
	if th.style, err = minifyStyle(string(style)); err != nil {
		return nil, fmt.Errorf("report: theme: style: %w", err)
	}
	return th, nil
}

func styleOf(files fs.FS) ([]byte, error) {
	var style []byte
	for _, name := range []string{stylesheet, added} {
		data, err := fs.ReadFile(files, name)
		if name == added && errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, fmt.Errorf("report: theme: %w", err)
		}
		style = append(append(style, data...), '\n')
	}
	return style, nil
}

// tokensOf finds the custom properties that a style sets on the root, the last
// of each; the dark scheme has those of the light one that it does not set.
func tokensOf(style []byte) (light, dark map[string]string, err error) {
	light, dark = map[string]string{}, map[string]string{}
	p := css.NewParser(cssinput.NewInputBytes(slices.Clone(style)), false)
	var within []bool // of at-rules: whether of the dark scheme
	root := false
	for {
		switch grammar, _, data := p.Next(); grammar {
		case css.ErrorGrammar:
			if err := p.Err(); !errors.Is(err, io.EOF) {
				return nil, nil, fmt.Errorf("report: theme: style: %w", err)
			}
			for name, value := range light {
				if _, ok := dark[name]; !ok {
					dark[name] = value
				}
			}
			return light, dark, nil
		case css.BeginAtRuleGrammar:
			words := wordsOf(p.Values())
			within = append(within, strings.Contains(words, "prefers-color-scheme") && strings.Contains(words, "dark"))
		case css.EndAtRuleGrammar:
			within = within[:max(0, len(within)-1)]
		case css.BeginRulesetGrammar:
			root = wordsOf(p.Values()) == ":root"
		case css.CustomPropertyGrammar:
			switch {
			case !root || len(within) > 1:
			case len(within) == 0:
				light[string(data)] = strings.TrimSpace(wordsOf(p.Values()))
			case within[0]:
				dark[string(data)] = strings.TrimSpace(wordsOf(p.Values()))
			}
		}
	}
}

func wordsOf(tokens []css.Token) string {
	var b strings.Builder
	for _, t := range tokens {
		b.Write(t.Data)
	}
	return b.String()
}

// groundsOf takes the grounds that the accent is read on from a theme's tokens.
func groundsOf(light, dark map[string]string) (g grounds, err error) {
	for _, name := range []string{"--paper", "--panel", "--hint"} {
		for _, of := range []map[string]string{light, dark} {
			if _, ok := parseColour(of[name]); !ok {
				return g, fmt.Errorf("report: theme: style: %s is %q; expected #rrggbb, since the accent's contrast is held against it", name, of[name])
			}
		}
		g.light, g.dark = append(g.light, light[name]), append(g.dark, dark[name])
	}
	return g, nil
}

func minifyStyle(style string) (string, error) {
	m := minify.New()
	m.AddFunc("text/css", minifycss.Minify)
	return m.String("text/css", style)
}

// sayings are the functions by which templates speak: a sentence by its English
// form, with the figures that its verbs ask for.
func sayings(words *say.Language) template.FuncMap {
	return template.FuncMap{"say": func(key string, args ...any) string {
		if len(args) == 0 {
			return words.S(key)
		}
		return words.F(key, args...)
	}}
}

// execute writes a page into memory; a page that fails leaves nothing.
func (th *theme) execute(name string, data pageData) ([]byte, error) {
	var b bytes.Buffer
	t, err := th.pages[name].Clone()
	if err != nil {
		return nil, err
	}
	if err := t.Funcs(sayings(data.base().words)).ExecuteTemplate(&b, "base", data); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// dress gives a page its style, with the provider's accent and the running
// head of its paper form, and in the same breath the policy that allows just
// this style: the hash of another would leave the page bare.
func (th *theme) dress(b *Base, v *visit, running string) {
	accent := th.grounds.readableAccent(cmp.Or(string(v.Record.Provider.Accent.Value), "#0d5b66"))
	style := th.style +
		":root{--accent:" + accent.Light + ";--run:" + cssString(running) + ";--prov:" + cssString(v.Record.Provider.Name.Value) +
		";--part-a:" + cssString(v.S("Part A: to decide")) + ";--part-b:" + cssString(v.S("Part B: to check")) + ";--page:" + v.pageOf() + "}" +
		"@media screen and (prefers-color-scheme:dark){:root{--accent:" + accent.Dark + "}}"
	b.Style = template.CSS(style)
	sum := sha256.Sum256([]byte(style))
	b.Policy = "default-src 'none'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'; img-src " + b.pictures() + "; base-uri 'none'; form-action 'none'"
}

// pageOf is the number of a printed page as a style sheet writes it.
func (f format) pageOf() string {
	text := cssString(f.F("Page %s of %s", "0page0", "0pages0"))
	return strings.NewReplacer("0page0", `"counter(page)"`, "0pages0", `"counter(pages)"`).Replace(text)
}

// pictures are the places that a page's pictures may come from: itself, and its
// own folder where photos lie beside it, on a server or on disk.
func (b *Base) pictures() string {
	if b.Beside {
		return "data: 'self' file:"
	}
	return "data:"
}

// cssString quotes a text for a style sheet. All but letters, digits and spaces
// go by code point, so that no text can end the string or the style element.
func cssString(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		if r == ' ' || r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' {
			b.WriteRune(r)
		} else {
			fmt.Fprintf(&b, `\%x `, r) // the space ends the escape and is not printed
		}
	}
	b.WriteByte('"')
	return b.String()
}

// trusted takes a drawn chart into a page as it is. It is the only place where
// a drawing becomes trusted HTML; only package charts makes a charts.SVG.
func trusted(svg charts.SVG) template.HTML { return template.HTML(svg) }

// Overlay lays a folder of the user's over a theme: a file that the folder has
// replaces the theme's, and the rest stays.
func Overlay(over, under fs.FS) fs.FS { return overlay{over, under} }

type overlay struct{ over, under fs.FS }

// Open opens the file of the upper folder, or else of the lower one.
func (o overlay) Open(name string) (fs.File, error) {
	f, err := o.over.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return o.under.Open(name)
	}
	return f, err
}

// ReadDir lists the files of both folders.
func (o overlay) ReadDir(name string) ([]fs.DirEntry, error) {
	upper, err1 := fs.ReadDir(o.over, name)
	lower, err2 := fs.ReadDir(o.under, name)
	if err1 != nil && err2 != nil {
		return nil, err2
	}
	return mergeEntries(upper, lower), nil
}

// mergeEntries merges two sorted listings; an entry of the upper one hides the
// one of its name below.
func mergeEntries(upper, lower []fs.DirEntry) []fs.DirEntry {
	var out []fs.DirEntry
	for len(upper) > 0 || len(lower) > 0 {
		switch {
		case len(lower) == 0 || len(upper) > 0 && upper[0].Name() < lower[0].Name():
			out, upper = append(out, upper[0]), upper[1:]
		case len(upper) == 0 || lower[0].Name() < upper[0].Name():
			out, lower = append(out, lower[0]), lower[1:]
		default:
			out, upper, lower = append(out, upper[0]), upper[1:], lower[1:]
		}
	}
	return out
}
