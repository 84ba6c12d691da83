package browser_test

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"auditgen/internal/browser"
	"auditgen/internal/paper"
)

const numbered = "Page %d of %d"

var margins = browser.Margins{Sides: 15, Ends: 5}

func printPage(t *testing.T, b *browser.Browser, path string, on paper.Sheet) browser.PDF {
	t.Helper()
	data, err := open(t, b, address(t, path), browser.View{}).PDF(on)
	if err != nil {
		t.Fatal(err)
	}
	return readPDF(t, data)
}

func readPDF(t *testing.T, data []byte) browser.PDF {
	t.Helper()
	path := filepath.Join(t.TempDir(), "page.pdf")
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	pdf, err := browser.Need(t).ReadPDF(path)
	if err != nil {
		t.Fatal(err)
	}
	return pdf
}

func TestPDFClean(t *testing.T) {
	b := browser.Start(t)
	path := writePage(t, nil, nil)
	texts, err := open(t, b, address(t, path), browser.View{Print: true, OpenDetails: true}).Texts()
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Contains(texts, "Feeder 2") {
		t.Fatalf("the page's texts miss a table cell: %q", texts)
	}
	for _, on := range []paper.Sheet{paper.A4, paper.Letter} {
		t.Run(on.Name, func(t *testing.T) {
			pdf := printPage(t, b, path, on)
			if err := pdf.Err(numbered, margins); err != nil {
				t.Error(err)
			}
			if len(pdf.Text) != 3 {
				t.Errorf("%d pages, want 3", len(pdf.Text))
			}
			if math.Abs(pdf.Width-on.Width) > .5 || math.Abs(pdf.Height-on.Height) > .5 {
				t.Errorf("sheet of %.1f × %.1f mm", pdf.Width, pdf.Height)
			}
			if pdf.Title != "Three feeders on a Tuesday" {
				t.Errorf("title %q", pdf.Title)
			}
			want := []string{"One feeder carries half of the load", "The readings", "How this was worked out"}
			if !slices.Equal(pdf.Bookmarks, want) {
				t.Errorf("bookmarks %q", pdf.Bookmarks)
			}
			if lost := pdf.Lost(texts); len(lost) > 0 {
				t.Errorf("lost in print: %q", lost)
			}
		})
	}
}

func TestPDFSpoilt(t *testing.T) {
	b := browser.Start(t)
	tests := []struct {
		name        string
		page, style []change
		want        string
	}{
		{name: "no page numbers", style: []change{{`"Page " counter(page) " of " counter(pages)`, `"Report"`}}, want: "no page number on page [1 2 3] of 3"},
		{name: "numbers that stand still", style: []change{{`counter(page) " of "`, `"1 of "`}}, want: "no page number on page [2 3] of 3"},
		{name: "no headings", page: []change{{"<h1>", "<p>"}, {"</h1>", "</p>"}, {`<h2 id="readings">`, `<p id="readings">`}, {"</h2>", "</p>"}, {"<h2>", "<p>"}, {"</h2>", "</p>"}}, want: "no bookmarks"},
		{name: "margins too narrow", style: []change{{"margin-left: 16mm", "margin-left: 8mm"}}, want: `"One" stands outside the margins`},
		{name: "page numbers at the very edge", style: []change{{"margin-bottom: 18mm", "margin-bottom: 4mm"}}, want: `"Page" stands outside the margins`},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			err := printPage(t, b, writePage(t, test.page, test.style), paper.A4).Err(numbered, margins)
			if err == nil {
				t.Fatal("nothing found wrong")
			}
			holds(t, "faults", []string{err.Error()}, test.want)
		})
	}
}

// TestPDFLost proves that text is missed where print leaves it out: in details
// that stay closed, and beyond the sheet, where Chromium drops whole words.
func TestPDFLost(t *testing.T) {
	b := browser.Start(t)
	tests := []struct {
		name  string
		style []change
		want  string
	}{
		{"details closed", []change{{"details::details-content {", "details > none {"}}, "Workings add 48.0"},
		{"text over the edge", []change{{"h2 { break-before: page; }", "figcaption { position: relative; inset-inline-start: -28mm; }"}}, "Active power of feeder 1"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			path := writePage(t, nil, test.style)
			texts, err := open(t, b, address(t, path), browser.View{Print: true, OpenDetails: true}).Texts()
			if err != nil {
				t.Fatal(err)
			}
			lost := printPage(t, b, path, paper.A4).Lost(texts)
			holds(t, "lost", lost, test.want)
			if len(lost) != 1 {
				t.Errorf("lost %d texts, want 1: %q", len(lost), lost)
			}
		})
	}
}

func TestPDFUntagged(t *testing.T) {
	pdf := browser.PDF{Title: "A title", Bookmarks: []string{"One"}, Text: []string{"Page 1 of 10\n"}}
	err := pdf.Err(numbered, margins)
	if err == nil {
		t.Fatal("nothing found wrong")
	}
	holds(t, "untagged", []string{err.Error()}, "not tagged")
	holds(t, "the number must end there", []string{err.Error()}, "no page number on page [1] of 1")
}

func TestPDFLongTextOverTwoPages(t *testing.T) {
	long := "This sentence is long enough to be cut in two by the end of a page, as a paragraph may well be"
	pdf := browser.PDF{Text: []string{"This sentence is long enough to be cut in two by the Page 1 of 2", "end of a page, as a para-\ngraph may well be Page 2 of 2"}}
	if lost := pdf.Lost([]string{long, "Page 1"}); len(lost) > 0 {
		t.Errorf("lost: %q", lost)
	}
	if lost := pdf.Lost([]string{"to be cut in three", long + " indeed"}); len(lost) != 2 {
		t.Errorf("lost: %q", lost)
	}
}

func TestReadPDFRefusesOtherFiles(t *testing.T) {
	if _, err := browser.Need(t).ReadPDF("testdata/clean.html"); err == nil {
		t.Error("a page was read as a PDF")
	}
}
