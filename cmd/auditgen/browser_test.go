package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"auditgen/internal/browser"
	"auditgen/internal/paper"
	"auditgen/internal/publish"
)

const (
	maxPage  = 300_000 // bytes; a page must open at once from a mailbox or a phone
	numbered = "Page %d of %d"
	sheet    = 680 // CSS pixels, the 180 mm of text across an A4 sheet
)

var printMargins = browser.Margins{Sides: 14, Ends: 5}

// narrow holds the widths in CSS pixels at which nothing may scroll sideways: 320
// is asked for by WCAG 2.2, 1.4.10 (reflow), the others are common screens.
var narrow = []int{320, 390, 768, 1280}

// judged holds the views that the accessibility rules look at.
var judged = []browser.View{
	{Width: 1280, OpenDetails: true},
	{Width: 1280, OpenDetails: true, Dark: true},
	{Width: 390},
	{Width: 390, OpenDetails: true, Dark: true},
}

// buildExample gives the folder of the example site's report, made once for all
// tests as a user would: no test may write into it.
func buildExample(t *testing.T) string {
	t.Helper()
	return exampleReport(t, exampleFolder)
}

// wholeExample gives the file of the example's report as one page, made once.
func wholeExample(t *testing.T) string {
	t.Helper()
	return exampleReport(t, exampleWhole)
}

func exampleReport(t *testing.T, made func() (string, error)) string {
	t.Helper()
	path, err := made()
	if err != nil {
		t.Fatal(err)
	}
	return path
}

var (
	exampleFolder = sync.OnceValues(func() (string, error) { return reportOfExample("out") })
	exampleWhole  = sync.OnceValues(func() (string, error) { return reportOfExample("whole.html", "--single") })
)

// shared is the folder of what is made once; TestMain makes and removes it.
var shared string

func reportOfExample(name string, flags ...string) (string, error) {
	example, err := filepath.Abs(filepath.Join("..", "..", "sites", "example"))
	if err != nil {
		return "", err
	}
	path := filepath.Join(shared, name)
	var stdout, stderr bytes.Buffer
	if code := run(append([]string{"report", example, "--out", path}, flags...), strings.NewReader(""), &stdout, &stderr); code != 0 {
		return "", fmt.Errorf("report ended with code %d:\n%s%s", code, stdout.String(), stderr.String())
	}
	return path, nil
}

func pagesOf(t *testing.T, dir string) []string {
	t.Helper()
	var pages []string
	err := filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err == nil && !entry.IsDir() && filepath.Ext(path) == ".html" {
			pages = append(pages, path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(pages) == 0 {
		t.Fatalf("%s holds no page", dir)
	}
	return pages
}

// TestExampleInBrowser holds what every page of a report must keep, on the report
// of the example site.
func TestExampleInBrowser(t *testing.T) {
	tools := browser.Need(t)
	b := browser.Start(t)
	dir := buildExample(t)
	root := browser.Serve(t, dir)
	for _, path := range pagesOf(t, dir) {
		name, err := filepath.Rel(dir, path)
		if err != nil {
			t.Fatal(err)
		}
		address, err := browser.FileURL(path)
		if err != nil {
			t.Fatal(err)
		}
		t.Run(filepath.ToSlash(name), func(t *testing.T) {
			t.Parallel()
			c := checker{T: t, tools: tools, browser: b}
			faults, err := browser.CheckSource(path, maxPage)
			c.none("source", faults, err)
			c.quiet(address)
			c.quiet(root + "/" + filepath.ToSlash(name))
			c.fits(address)
			c.sameWithScripts(address)
			c.accessible(address)
			c.prints(address)
		})
	}
}

// TestExampleMarkup has the Nu HTML checker read all pages at once.
func TestExampleMarkup(t *testing.T) {
	tools := browser.Need(t)
	remarks, err := tools.Nu(pagesOf(t, buildExample(t))...)
	if err != nil {
		t.Fatal(err)
	}
	for _, remark := range remarks {
		t.Error(remark)
	}
}

// TestPDF prints the example as a user would: one tagged document with bookmarks
// and numbered pages within the margins, the sections of both parts, room for
// signatures, and the visit's date, so that a second run makes the same bytes:
// here one that worked the report out by itself and printed it by itself.
func TestPDF(t *testing.T) {
	tools := browser.Need(t)
	path := filepath.Join(t.TempDir(), "report.pdf")
	var stdout, stderr bytes.Buffer
	if code := run([]string{"report", filepath.Join("..", "..", "sites", "example"), "--pdf", "--out", path}, strings.NewReader(""), &stdout, &stderr); code != 0 {
		t.Fatalf("report --pdf ended with code %d:\n%s%s", code, stdout.String(), stderr.String())
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	pdf, err := tools.ReadPDF(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := pdf.Err(numbered, printMargins); err != nil {
		t.Error(err)
	}
	text := strings.Join(pdf.Text, " ")
	for _, part := range []string{"Do these first", "Part B. To check", "What this report is not", "Issued for Quernstone Creamery", "Received for Quernstone Creamery", "Signature"} {
		if !strings.Contains(text, part) {
			t.Errorf("the PDF does not say %q", part)
		}
	}
	if len(pdf.Bookmarks) < 12 {
		t.Errorf("%d bookmarks, fewer than the sections", len(pdf.Bookmarks))
	}
	t.Logf("%d pages, %d bookmarks, %d bytes", len(pdf.Text), len(pdf.Bookmarks), len(data))

	page, err := os.ReadFile(wholeExample(t))
	if err != nil {
		t.Fatal(err)
	}
	chromium, err := paper.FindChromium()
	if err != nil {
		t.Fatal(err)
	}
	again, err := paper.Print(chromium, page, paper.A4, time.Date(2031, time.May, 14, 0, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(again, data) {
		t.Error("the PDF differs from run to run")
	}
}

// TestSealedInBrowser opens a sealed report with a wrong and the right
// passphrase: the page's own code undoes what the program's did, nothing breaks
// its policy, and the report looks like the one that was not sealed.
func TestSealedInBrowser(t *testing.T) {
	tools := browser.Need(t)
	page, err := os.ReadFile(wholeExample(t))
	if err != nil {
		t.Fatal(err)
	}
	sealed, err := publish.Seal(page, "violet harbour nine lantern")
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "sealed.html")
	if err := os.WriteFile(path, sealed, 0o644); err != nil {
		t.Fatal(err)
	}
	remarks, err := tools.Nu(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, remark := range remarks {
		t.Error(remark)
	}
	address, err := browser.FileURL(path)
	if err != nil {
		t.Fatal(err)
	}
	c := checker{T: t, tools: tools, browser: browser.Start(t)}
	p := c.open(address, browser.View{Scripts: true})
	for _, step := range []struct{ typed, says string }{
		{"violet harbour nine lanterns", "The passphrase does not open this report."},
		{"violet harbour nine lantern", "Do these first"},
	} {
		if err := p.Enter("#passphrase", step.typed); err != nil {
			t.Fatal(err)
		}
		if err := p.Await(step.says); err != nil {
			t.Fatalf("after %q the page does not say %q: %v", step.typed, step.says, err)
		}
	}
	if err := p.Traffic().Err(); err != nil {
		t.Error(err)
	}
	plain, err := browser.FileURL(wholeExample(t))
	if err != nil {
		t.Fatal(err)
	}
	want, err := c.open(plain, browser.View{Scripts: true}).Pictures()
	if err != nil {
		t.Fatal(err)
	}
	got, err := p.Pictures()
	if err != nil || !bytes.Equal(bytes.Join(got, nil), bytes.Join(want, nil)) {
		t.Errorf("the opened report looks different (%v)", err)
	}
	found, err := p.Overflow()
	c.none("opened", found, err)
	judgements, err := c.browser.Axe(address, browser.View{Width: 390, Scripts: true}, browser.View{Width: 390, Scripts: true, Dark: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, j := range judgements {
		if err := j.Err(); err != nil {
			t.Error(err)
		}
	}
}

type checker struct {
	*testing.T
	tools   browser.Tools
	browser *browser.Browser
}

// none fails for each line of a list that must be empty.
func (c checker) none(what string, lines []string, err error) {
	c.Helper()
	if err != nil {
		c.Fatal(err)
	}
	for _, line := range lines {
		c.Errorf("%s: %s", what, line)
	}
}

func (c checker) open(address string, v browser.View) *browser.Page {
	c.Helper()
	p, err := c.browser.Open(address, v)
	if err != nil {
		c.Fatal(err)
	}
	c.Cleanup(p.Close)
	return p
}

func (c checker) show(p *browser.Page, v browser.View) {
	c.Helper()
	if err := p.Show(v); err != nil {
		c.Fatal(err)
	}
}

// quiet wants one request, for the page itself, and no complaint.
func (c checker) quiet(address string) {
	c.Helper()
	traffic := c.open(address, browser.View{}).Traffic()
	if err := traffic.Err(); err != nil {
		c.Error(err)
	}
	if len(traffic.Requests) != 1 || traffic.Requests[0] != address {
		c.Errorf("want one request, for %s, got %q", address, traffic.Requests)
	}
}

func (c checker) fits(address string) {
	c.Helper()
	p := c.open(address, browser.View{})
	views := []browser.View{{Width: sheet, Print: true, OpenDetails: true}}
	for _, width := range narrow {
		for _, dark := range []bool{false, true} {
			views = append(views, browser.View{Width: width, Dark: dark}, browser.View{Width: width, Dark: dark, OpenDetails: true})
		}
	}
	for _, v := range views {
		c.show(p, v)
		found, err := p.Overflow()
		c.none(v.String(), found, err)
	}
}

// sameWithScripts wants the page to need no script: it looks the same without.
func (c checker) sameWithScripts(address string) {
	c.Helper()
	var pictures [2][]byte
	for i, scripts := range []bool{false, true} {
		pieces, err := c.open(address, browser.View{Scripts: scripts}).Pictures()
		if err != nil {
			c.Fatal(err)
		}
		pictures[i] = bytes.Join(pieces, nil)
	}
	if !bytes.Equal(pictures[0], pictures[1]) {
		c.Error("the page looks different with scripts on")
	}
}

func (c checker) accessible(address string) {
	c.Helper()
	judgements, err := c.browser.Axe(address, judged...)
	if err != nil {
		c.Fatal(err)
	}
	for _, j := range judgements {
		if err := j.Err(); err != nil {
			c.Error(err)
		}
		c.Logf("%s: %d rules held, %d contrasts excused", j.View, len(j.Passed), len(j.Excused))
	}
}

func (c checker) prints(address string) {
	c.Helper()
	p := c.open(address, browser.View{Print: true, OpenDetails: true})
	texts, err := p.Texts()
	if err != nil {
		c.Fatal(err)
	}
	c.show(p, browser.View{}) // a reader prints from the screen, workings closed
	for _, on := range []paper.Sheet{paper.A4, paper.Letter} {
		data, err := p.PDF(on)
		if err != nil {
			c.Fatal(err)
		}
		path := filepath.Join(c.TempDir(), "page.pdf")
		if err := os.WriteFile(path, data, 0o644); err != nil {
			c.Fatal(err)
		}
		pdf, err := c.tools.ReadPDF(path)
		if err != nil {
			c.Fatal(err)
		}
		if err := pdf.Err(numbered, printMargins); err != nil {
			c.Errorf("%s: %v", on.Name, err)
		}
		c.none(fmt.Sprintf("%s: lost in print", on.Name), pdf.Lost(texts), nil)
		c.Logf("%s: %d pages, %d texts found", on.Name, len(pdf.Text), len(texts))
	}
}
