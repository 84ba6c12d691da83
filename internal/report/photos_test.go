package report

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"auditgen/internal/assess"
	"auditgen/internal/picture"
	record "auditgen/internal/site"
)

// pictured is the smallest site with a photo, a logo and terms.
func pictured(t *testing.T) *assess.Assessment {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, 1000, 500))
	for i := range m.Pix {
		m.Pix[i] = byte(i * 7)
	}
	m.Set(0, 0, color.White)
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, nil); err != nil {
		t.Fatal(err)
	}
	images, err := picture.Photo(b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	logo, err := picture.Logo([]byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20"><path d="M0 0h40v20z"/></svg>`))
	if err != nil {
		t.Fatal(err)
	}
	a := small(t)
	a.Record.Visit.Photos = []record.Photo{{File: typedAs("Main Böard.JPG", ""), Shows: typedAs(`board "A", cover off`, ""), At: typedAs("incomer", ""), Images: images}}
	a.Record.Logo = &logo
	a.Record.Terms = &record.Note{Name: "terms", Text: "# Payment\n\nThirty days.\n\n<script>x</script>"}
	return a
}

// TestPhotos finds the photo at its widths beside part B, lazily loaded, with its
// words and its size; in the one document it is in the page itself.
func TestPhotos(t *testing.T) {
	a := pictured(t)
	files := build(t, a)
	held := map[string]int{}
	for _, f := range files {
		held[f.Name] = len(f.Data)
	}
	check := parse(t, files[2])
	img := check.Find("#photos img")
	if img.Length() != 1 || img.AttrOr("alt", "") != `board "A", cover off` || img.AttrOr("loading", "") != "lazy" || img.AttrOr("width", "") != "960" || img.AttrOr("height", "") != "480" {
		t.Errorf("the photo is %v", img.Nodes)
	}
	set := strings.Split(img.AttrOr("srcset", ""), ", ")
	if len(set) != 2 {
		t.Fatalf("widths: %q", set)
	}
	for _, part := range append(set, img.AttrOr("src", "")) {
		name, _, _ := strings.Cut(part, " ")
		if held["2031-02-03/"+name] == 0 || !strings.HasPrefix(name, "photos/main-b-ard-") {
			t.Errorf("%s does not lie beside the page", name)
		}
	}
	if caption := check.Find("#photos figcaption").Text(); caption != `Incomer: board “A”, cover off.` && caption != `Incomer: board "A", cover off.` {
		t.Errorf("captioned %q", caption)
	}
	if policy := check.Find("meta[http-equiv=Content-Security-Policy]").AttrOr("content", ""); !strings.Contains(policy, "img-src data: 'self' file:;") {
		t.Errorf("the policy is %q", policy)
	}
	if policy := parse(t, files[1]).Find("meta[http-equiv=Content-Security-Policy]").AttrOr("content", ""); !strings.Contains(policy, "img-src data:;") {
		t.Errorf("the policy of a page without photos is %q", policy)
	}
	one := parse(t, buildWhole(t, a))
	if src := one.Find("#photos img").AttrOr("src", ""); !strings.HasPrefix(src, "data:image/jpeg;base64,/9j/") {
		t.Errorf("in one document the photo comes from %.40q", src)
	}
}

// TestBrand finds the logo in the place of the initials, and the terms without
// what a page may not have.
func TestBrand(t *testing.T) {
	a := pictured(t)
	for _, f := range onlyPages(build(t, a)) {
		doc := parse(t, f)
		if src := doc.Find(".brand img.logo").AttrOr("src", ""); !strings.HasPrefix(src, "data:image/svg+xml;base64,") || doc.Find(".brand svg").Length() != 0 {
			t.Errorf("%s: the logo comes from %.40q", f.Name, src)
		}
	}
	doc := parse(t, buildWhole(t, a))
	terms := doc.Find("#issue .note")
	if terms.Find("h4").Text() != "Payment" || !strings.Contains(terms.Text(), "Thirty days.") || doc.Find("script").Length() != 0 {
		html, _ := goquery.OuterHtml(terms)
		t.Errorf("the terms are %s", html)
	}
}
