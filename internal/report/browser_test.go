package report

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"auditgen/internal/browser"
	"auditgen/internal/paper"
)

// mostBytes is the largest page that may leave here; the one document of both
// parts may have twice that.
const mostBytes = 300 << 10

// onDisk writes a page where a browser can open it.
func onDisk(t *testing.T, f File) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), filepath.Base(f.Name))
	if err := os.WriteFile(path, f.Data, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestInBrowser opens the one document of the demonstration site as a reader
// would: valid source, nothing asked of other hosts, nothing sticking out on a
// phone, and a numbered, tagged PDF. The pages of the hosted report, made of the
// same sections, are held to the accessibility rules too where the command is
// tested, and the one document of a small site here.
func TestInBrowser(t *testing.T) {
	tools := browser.Need(t)
	b := browser.Start(t)
	path := onDisk(t, buildWhole(t, example(t)))
	remarks, err := tools.Nu(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range remarks {
		t.Errorf("%s", r)
	}
	address, err := browser.FileURL(path)
	if err != nil {
		t.Fatal(err)
	}
	lookAt(t, b, path, address)
	onPaper(t, b, tools, address)
}

// TestSecondThemeInBrowser opens a page in the theme that is laid over the first,
// so that nothing of the first is taken for granted.
func TestSecondThemeInBrowser(t *testing.T) {
	tools := browser.Need(t)
	b := browser.Start(t)
	in := input(t, small(t))
	in.Theme = ledger(t)
	page, err := Whole(in)
	if err != nil {
		t.Fatal(err)
	}
	path := onDisk(t, page)
	remarks, err := tools.Nu(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range remarks {
		t.Errorf("%s", r)
	}
	address, err := browser.FileURL(path)
	if err != nil {
		t.Fatal(err)
	}
	lookAt(t, b, path, address)
	judge(t, b, address)
}

func lookAt(t *testing.T, b *browser.Browser, path, address string) {
	t.Helper()
	faults, err := browser.CheckSource(path, 2*mostBytes)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range faults {
		t.Errorf("%s: %s", path, f)
	}
	p, err := b.Open(address, browser.View{Width: 390, Height: 844})
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	if err := p.Traffic().Err(); err != nil {
		t.Errorf("%s: %v", path, err)
	}
	for _, v := range []browser.View{{Width: 320, Height: 800}, {Width: 320, Height: 800, OpenDetails: true}, {Width: 390, Height: 844, OpenDetails: true}, {Width: 900, Height: 800, OpenDetails: true}, {Width: 1280, OpenDetails: true}} {
		if err := p.Show(v); err != nil {
			t.Fatal(err)
		}
		out, err := p.Overflow()
		if err != nil {
			t.Fatal(err)
		}
		for _, o := range out {
			t.Errorf("%s, %s: %s", path, v, o)
		}
	}
}

func judge(t *testing.T, b *browser.Browser, address string) {
	t.Helper()
	js, err := b.Axe(address,
		browser.View{Width: 1280}, browser.View{Width: 1280, Dark: true, OpenDetails: true},
		browser.View{Width: 320, Height: 800, OpenDetails: true}, browser.View{Width: 320, Height: 800, Dark: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, j := range js {
		for _, f := range j.Violations {
			t.Errorf("%s: %s", j.View, f)
		}
		for _, f := range j.Undecided {
			// Text in a drawing lies over shapes whose colours the rules can't
			// read, and a formula's lone sign has the colour of its text.
			if !f.InDrawing && !strings.HasPrefix(f.HTML, "<mo>") {
				t.Errorf("%s, undecided: %s", j.View, f)
			}
		}
	}
}

func onPaper(t *testing.T, b *browser.Browser, tools browser.Tools, address string) {
	t.Helper()
	p, err := b.Open(address, browser.View{})
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	for _, on := range []paper.Sheet{paper.A4, paper.Letter} {
		data, err := p.PDF(on)
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), "report.pdf")
		if err := os.WriteFile(file, data, 0o644); err != nil {
			t.Fatal(err)
		}
		pdf, err := tools.ReadPDF(file)
		if err != nil {
			t.Fatal(err)
		}
		if err := pdf.Err("Page %d of %d", browser.Margins{Sides: 10, Ends: 5}); err != nil {
			t.Errorf("%s: %v", on.Name, err)
		}
		t.Logf("%s: %d pages", on.Name, len(pdf.Text))
	}
}
