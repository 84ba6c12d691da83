package report

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/tdewolff/minify/v2"
	"github.com/tdewolff/minify/v2/css"

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
	pages map[string]*template.Template
	style string
}

const stylesheet = "static/report.css"

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
	style, err := fs.ReadFile(files, stylesheet)
	if err != nil {
		return nil, fmt.Errorf("report: theme: %w", err)
	}
	th.style, err = minifyStyle(string(style))
	if err != nil {
		return nil, fmt.Errorf("report: theme: %s: %w", stylesheet, err)
	}
	return th, nil
}

func minifyStyle(style string) (string, error) {
	m := minify.New()
	m.AddFunc("text/css", css.Minify)
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
	accent := readableAccent(cmp.Or(string(v.Record.Provider.Accent.Value), "#0d5b66"))
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
