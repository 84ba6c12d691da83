package report

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/PuerkitoBio/goquery"
)

func parse(t testing.TB, f File) *goquery.Document {
	t.Helper()
	doc, err := goquery.NewDocumentFromReader(bytes.NewReader(f.Data))
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// TestPages executes every page on a full site, the smallest and one of which
// nothing is known, and holds each page against what all must have.
func TestPages(t *testing.T) {
	for name, a := range sitesUnderTest(t) {
		t.Run(name, func(t *testing.T) {
			files := build(t, a)
			names := map[string]*goquery.Document{}
			for _, f := range files {
				names[f.Name] = nil
				if strings.HasSuffix(f.Name, ".html") {
					names[f.Name] = parse(t, f)
				}
			}
			if n := len(onlyPages(files)); n != 3 {
				t.Fatalf("%d pages, not 3", n)
			}
			for _, f := range onlyPages(files) {
				t.Logf("%s: %d bytes", f.Name, len(f.Data))
				if len(f.Data) > mostBytes {
					t.Errorf("%s has %d bytes, more than %d", f.Name, len(f.Data), mostBytes)
				}
				holdPage(t, f, names[f.Name])
				holdLinks(t, f.Name, names)
			}
			one := buildWhole(t, a)
			doc := parse(t, one)
			holdPage(t, one, doc)
			holdLinks(t, "whole", map[string]*goquery.Document{"whole": doc})
		})
	}
}

// onlyPages leaves the files of data out.
func onlyPages(files []File) []File {
	return slices.DeleteFunc(slices.Clone(files), func(f File) bool { return !strings.HasSuffix(f.Name, ".html") })
}

// TestDownloads finds a link for each file of data on both pages of the visit,
// and none where nothing lies beside the page.
func TestDownloads(t *testing.T) {
	files := build(t, example(t))
	var names []string
	for _, f := range files {
		if name, ok := strings.CutPrefix(f.Name, "2031-05-14/data/"); ok {
			names = append(names, name)
		}
	}
	if want := []string{"readings.csv", "loads.csv", "bill.csv", "bill.xlsx", "measures.csv", "assessment.json"}; !slices.Equal(names, want) {
		t.Errorf("files of data: %q, not %q", names, want)
	}
	for _, f := range files[1:3] {
		if n := parse(t, f).Find(`a[download][href^="data/"]`).Length(); n != len(names) {
			t.Errorf("%s: %d links to data, not %d", f.Name, n, len(names))
		}
	}
	if parse(t, buildWhole(t, example(t))).Find("a[download]").Length() != 0 {
		t.Error("the one document links to files that are not beside it")
	}
}

func holdPage(t *testing.T, f File, doc *goquery.Document) {
	t.Helper()
	for _, never := range []string{"script", "[style]", "link[rel=stylesheet]", "iframe", "form", "img:not([src^='data:'])", "[onclick]", "[onload]"} {
		if n := doc.Find(never).Length(); n > 0 {
			t.Errorf("%s: %d of %s", f.Name, n, never)
		}
	}
	for _, once := range []string{"h1", "title", "main#main", "meta[name=robots][content=noindex]", "meta[name=viewport]", "link[rel=icon][href='data:,']", "html[lang]"} {
		n := doc.Find(once).Length()
		if once == "title" {
			n = doc.Find("head > title").Length()
		}
		if n != 1 {
			t.Errorf("%s: %d of %s, not 1", f.Name, n, once)
		}
	}
	holdPolicy(t, f, doc)
	seen := map[string]bool{}
	doc.Find("[id]").Each(func(_ int, s *goquery.Selection) {
		id := s.AttrOr("id", "")
		if seen[id] || id == "" || strings.ContainsAny(id, " \t\n") {
			t.Errorf("%s: the id %q is empty, broken or used twice", f.Name, id)
		}
		seen[id] = true
	})
	doc.Find("h1, h2, h3, h4, summary, caption, dt, dd, figcaption").Each(func(_ int, s *goquery.Selection) {
		if strings.TrimSpace(s.Text()) == "" {
			t.Errorf("%s: an empty %s", f.Name, goquery.NodeName(s))
		}
	})
	if bad := regexp.MustCompile(`NaN|\bInf\b|%!|ZgotmplZ|<no value>|\{cost\}|undefined`).FindAllString(string(f.Data), -1); bad != nil {
		t.Errorf("%s: holds %q", f.Name, bad)
	}
}

// holdPolicy works the hash of the style out again and compares.
func holdPolicy(t *testing.T, f File, doc *goquery.Document) {
	t.Helper()
	m := regexp.MustCompile(`(?s)<style>(.*?)</style>`).FindSubmatch(f.Data)
	if m == nil {
		t.Fatalf("%s: no style", f.Name)
	}
	sum := sha256.Sum256(m[1])
	want := "default-src 'none'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'; img-src data:; base-uri 'none'; form-action 'none'"
	if got := doc.Find("meta[http-equiv=Content-Security-Policy]").AttrOr("content", ""); got != want {
		t.Errorf("%s: the policy is %q, not %q", f.Name, got, want)
	}
	if bytes.Count(f.Data, []byte("<style>")) != 1 {
		t.Errorf("%s: not one style element", f.Name)
	}
}

// holdLinks follows every link within the pages.
func holdLinks(t *testing.T, name string, pages map[string]*goquery.Document) {
	t.Helper()
	dir := ""
	if i := strings.LastIndex(name, "/"); i >= 0 {
		dir = name[:i+1]
	}
	pages[name].Find("a[href]").Each(func(_ int, s *goquery.Selection) {
		href := s.AttrOr("href", "")
		file, anchor, _ := strings.Cut(href, "#")
		target := name
		switch {
		case strings.HasPrefix(file, "../"):
			target = strings.TrimPrefix(file, "../")
		case strings.Contains(file, "://") || strings.HasPrefix(file, "mailto:"):
			return
		case file != "":
			target = dir + file
		}
		doc, ok := pages[target]
		if !ok {
			t.Errorf("%s: %q leads to no page", name, href)
			return
		}
		found := anchor == ""
		if doc == nil { // a file of data
			return
		}
		doc.Find("[id]").EachWithBreak(func(_ int, s *goquery.Selection) bool {
			found = found || s.AttrOr("id", "") == anchor
			return !found
		})
		if !found {
			t.Errorf("%s: %q leads to no place", name, href)
		}
	})
}

// TestSections finds the ten sections, each with a heading and a topic, in the
// right part, once in the whole and once on one of the two pages, and with a
// line in the contents of each.
func TestSections(t *testing.T) {
	for name, a := range sitesUnderTest(t) {
		files := build(t, a)
		decide, check, all := parse(t, files[1]), parse(t, files[2]), parse(t, buildWhole(t, a))
		for i, s := range sections {
			sec := all.Find("section#" + s.id)
			if sec.Length() != 1 || sec.Find(".no").Text() != fmt.Sprint(i+1) || !strings.Contains(sec.Find("header").Text(), s.topic) {
				t.Errorf("%s: section %s is not in its place", name, s.id)
			}
			if h := sec.Find("h2").First().Text(); h == "" || h == s.topic {
				t.Errorf("%s: section %s is headed %q", name, s.id, h)
			}
			if got := sec.Closest(".part-b").Length() == 1; got != (i >= inPartA) {
				t.Errorf("%s: section %s is in the wrong part", name, s.id)
			}
			for _, page := range []struct {
				doc    *goquery.Document
				inside bool
				file   string
			}{{all, true, ""}, {decide, i < inPartA, checkFile}, {check, i >= inPartA, decideFile}} {
				found, to := page.doc.Find("section#"+s.id), page.file+"#"+s.id
				if page.inside {
					to = "#" + s.id
				}
				if (found.Length() == 1) != page.inside {
					t.Errorf("%s: section %s is on the wrong page", name, s.id)
				}
				if page.doc.Find(`nav a[href="`+to+`"]`).Length() != 1 {
					t.Errorf("%s: %s is not in the contents", name, to)
				}
			}
		}
	}
}

// TestCrossLinks follows a figure of part A to its working in part B, and a
// working back.
func TestCrossLinks(t *testing.T) {
	files := build(t, example(t))
	decide, check := parse(t, files[1]), parse(t, files[2])
	figure := decide.Find(".keys .big a").First().AttrOr("href", "")
	place, ok := strings.CutPrefix(figure, "check.html#w-")
	if !ok || check.Find(`[id="w-`+place+`"]`).Length() != 1 {
		t.Errorf("the first figure leads to %q", figure)
	}
	if check.Find(`.two a[href="index.html#part-a"]`).Length() != 1 || check.Find(`.foot a[href="index.html"]`).Length() != 1 {
		t.Error("part B leads nowhere back")
	}
	if decide.Find(`main a[href="check.html#part-b"]`).Length() != 1 {
		t.Error("part A does not lead to part B")
	}
}

// TestCrossLink keeps all bytes but those of a link to a neighbour.
func TestCrossLink(t *testing.T) {
	page := `<!DOCTYPE html><style>a>b{}</style><p id=A1 CLASS='x'>1 < 2 &amp; <a href="#R%C3%A9"  title='"'>x</a><svg viewBox="0 0 1 1"><path d="M0 0"/></svg><a href="#A1"><a href="#none"><a href="x#Ré">`
	files := []File{{"v/a.html", []byte(page)}, {"w/b.html", []byte(`<b id="Ré">`)}, {"v/c.html", []byte(`<b id="Ré"><a href="#Ré">`)}}
	crossLink(files)
	if got, want := string(files[0].Data), strings.Replace(page, `"#R%C3`, `"c.html#R%C3`, 1); got != want {
		t.Errorf("linked to\n%s\nnot\n%s", got, want)
	}
	if got := string(files[2].Data); got != `<b id="Ré"><a href="#Ré">` {
		t.Errorf("a page's link to its own place became %s", got)
	}
}

// TestSameBytes builds twice.
func TestSameBytes(t *testing.T) {
	first, second := build(t, example(t)), build(t, assessed(t))
	for i := range first {
		if first[i].Name != second[i].Name || !bytes.Equal(first[i].Data, second[i].Data) {
			t.Errorf("%s differs from build to build", first[i].Name)
		}
	}
}

func TestVisitsNewestFirst(t *testing.T) {
	old, recent := small(t), small(t)
	recent.Record.Visit.Date.Value.Year = 2032
	files := build(t, old, recent)
	if n := len(onlyPages(files)); n != 5 {
		t.Fatalf("%d pages, not 5", n)
	}
	doc := parse(t, files[0])
	var links []string
	doc.Find("article h2 a").Each(func(_ int, s *goquery.Selection) { links = append(links, s.AttrOr("href", "")) })
	if strings.Join(links, " ") != "2032-02-03/index.html 2031-02-03/index.html" {
		t.Errorf("visits are listed as %q", links)
	}
	if n := doc.Find("article").First().Find(".keys > div").Length(); n != 4 {
		t.Errorf("%d key figures, not 4", n)
	}
}

func TestNoVisit(t *testing.T) {
	if _, err := Build(input(t)); err == nil {
		t.Error("no visit gives no error")
	}
}

// TestOverlay lays a folder with one part and one style sheet over the theme.
func TestOverlay(t *testing.T) {
	over := fstest.MapFS{
		"part/own.tmpl":     {Data: []byte(`{{define "brand"}}<b class="own">{{.Brand.Name}}</b>{{end}}`)},
		"static/report.css": {Data: []byte("body { color : red } :root { --paper : #ffffff; --panel : #eeeeee; --hint : #ffffee }")},
	}
	in := input(t, missing())
	in.Theme = Overlay(over, folio(t))
	files, err := Build(in)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range onlyPages(files) {
		doc := parse(t, f)
		if doc.Find("b.own").Length() != 1 || doc.Find(".brand").Length() != 0 {
			t.Errorf("%s: the part was not replaced", f.Name)
		}
		if !bytes.Contains(f.Data, []byte("<style>body{color:red}")) {
			t.Errorf("%s: the style was not replaced", f.Name)
		}
		holdPolicy(t, f, doc)
	}
	broken := fstest.MapFS{"page/visit.tmpl": {Data: []byte(`{{define "main"}}{{.Nonsense}}{{end}}`)}}
	in.Theme = Overlay(broken, folio(t))
	if _, err := Build(in); err == nil || !strings.Contains(err.Error(), "Nonsense") {
		t.Errorf("a template that asks for what is not there gives %v", err)
	}
}

// TestTemplatesOnlyLayOut holds that no template computes or formats, and that
// no style attribute or script has crept in.
func TestTemplatesOnlyLayOut(t *testing.T) {
	files := folio(t)
	allowed := map[string]bool{"if": true, "else": true, "end": true, "range": true, "with": true, "define": true, "template": true, "block": true, "eq": true, "say": true}
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(name, ".tmpl") {
			return err
		}
		data, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		for _, action := range regexp.MustCompile(`{{-?(.*?)-?}}`).FindAllSubmatch(data, -1) {
			text := regexp.MustCompile(`"[^"]*"`).ReplaceAllString(string(action[1]), "")
			for _, word := range regexp.MustCompile(`(?:^|[\s(|])([a-z]+)`).FindAllStringSubmatch(text, -1) {
				if !allowed[word[1]] {
					t.Errorf("%s: {{%s}} calls %s", name, action[1], word[1])
				}
			}
		}
		if regexp.MustCompile(`(?i)<script| style=| on[a-z]+=|https?://`).Match(data) {
			t.Errorf("%s holds a script, a style attribute or an address of another host", name)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestTrustedHTML finds the places where text becomes trusted: a chart that
// package charts drew, a picture that package picture made, and a note that the
// Markdown library wrote.
func TestTrustedHTML(t *testing.T) {
	entries, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	var found []string
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".go") || strings.HasSuffix(e.Name(), "_test.go") {
			continue
		}
		data, err := os.ReadFile(e.Name())
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(string(data), "\n") {
			if regexp.MustCompile(`template\.(HTML|HTMLAttr|JS|URL|Srcset)\(`).MatchString(line) {
				found = append(found, e.Name()+": "+strings.TrimSpace(line))
			}
		}
	}
	want := []string{
		"notes.go: return Note{ID: noteAnchor(n.Name), HTML: template.HTML(b.String())}",
		"theme.go: return template.URL(\"data:\" + m.Type + \";base64,\" + base64.StdEncoding.EncodeToString(m.Data))",
		"theme.go: func trusted(svg charts.SVG) template.HTML { return template.HTML(svg) }",
	}
	if strings.Join(found, "\n") != strings.Join(want, "\n") {
		t.Errorf("trusted HTML is made at:\n%s\nnot only at:\n%s", strings.Join(found, "\n"), strings.Join(want, "\n"))
	}
}

// TestTransfer holds what a reader of the whole example loads, packed as web
// servers pack it: every page, without photos and without the data to take away.
func TestTransfer(t *testing.T) {
	var packed bytes.Buffer
	for _, f := range onlyPages(build(t, example(t))) {
		w := gzip.NewWriter(&packed)
		if _, err := w.Write(f.Data); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d kB", packed.Len()>>10)
	if packed.Len() > 250<<10 {
		t.Errorf("the pages take %d bytes packed, more than 250 kB", packed.Len())
	}
}
