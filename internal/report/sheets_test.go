package report

import (
	"bytes"
	"flag"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"auditgen/internal/browser"
	"auditgen/internal/paper"
)

var update = flag.Bool("update", false, "draw the kept pictures of printed pages anew")

// Twelve dots to the inch show where text, tables and charts stand on a page and
// not their letters, which another version of Chromium may set otherwise.
const sheetDots = 12

// sameSheet is how far a page may stand from its kept picture. Moved by 6 mm, every
// kept page stands 0.036 or more from itself, and a blank one 0.022 or more.
const sameSheet = 0.015

// TestPrintedPages holds the printed report of the smallest site, page by page,
// against kept pictures.
func TestPrintedPages(t *testing.T) {
	tools := browser.Need(t)
	b := browser.Start(t)
	address, err := browser.FileURL(onDisk(t, buildWhole(t, small(t))))
	if err != nil {
		t.Fatal(err)
	}
	p, err := b.Open(address, browser.View{})
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	data, err := p.PDF(paper.A4)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "report.pdf")
	if err := os.WriteFile(file, data, 0o644); err != nil {
		t.Fatal(err)
	}
	pages, err := tools.Sheets(file, sheetDots)
	if err != nil {
		t.Fatal(err)
	}
	kept := func(i int) string { return filepath.Join("testdata", "sheets", fmt.Sprintf("%02d.png", i+1)) }
	if *update {
		old, _ := filepath.Glob(filepath.Join("testdata", "sheets", "*.png")) // the pattern is well formed
		for _, f := range old {
			os.Remove(f)
		}
		for i, page := range pages {
			var out bytes.Buffer
			if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, page); err != nil {
				t.Fatal(err)
			}
			if err := os.MkdirAll(filepath.Dir(kept(i)), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(kept(i), out.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	if _, err := os.Stat(kept(len(pages))); err == nil || len(pages) == 0 {
		t.Errorf("%d pages were printed; more are kept", len(pages))
	}
	for i, page := range pages {
		data, err := os.ReadFile(kept(i))
		if err != nil {
			t.Fatal(err)
		}
		want, err := browser.Grey(data)
		if err != nil {
			t.Fatal(err)
		}
		d := browser.Apart(page, want)
		t.Logf("page %d differs by %.4f", i+1, d)
		if d > sameSheet {
			t.Errorf("page %d differs from its kept picture by %.3f, more than %.3f; look at it, then run with -update", i+1, d, sameSheet)
		}
	}
}
