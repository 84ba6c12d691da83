// Command shoot makes pictures of a page for a person to look at, since no check
// can tell whether a page is good to read:
//
//	go run ./internal/browser/shoot PAGE OUTDIR
//
// PAGE is a file on disk or an address. OUTDIR gets, as PNG, the whole page at
// 1280 and 390 CSS pixels, at 1280 in the dark as well, in pieces where the page
// is tall (screen-1280-light-1.png), what shows before scrolling at both widths
// (first-390.png), the printed page (a4.pdf, letter.pdf), and each sheet of the
// first (a4-1.png). It needs Chromium, and for the sheets poppler's pdftoppm.
// Scripts stay off.
package main

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"auditgen/internal/browser"
	"auditgen/internal/paper"
)

func main() {
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "usage: go run ./internal/browser/shoot PAGE OUTDIR")
		os.Exit(2)
	}
	if err := shoot(os.Args[1], os.Args[2], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "shoot:", err)
		os.Exit(1)
	}
}

var screens = []browser.View{
	{Width: 1280, Height: 900},
	{Width: 390, Height: 844},
	{Width: 1280, Height: 900, Dark: true},
}

func shoot(page, dir string, log io.Writer) error {
	address := page
	if !strings.Contains(page, "://") {
		if _, err := os.Stat(page); err != nil {
			return err
		}
		var err error
		if address, err = browser.FileURL(page); err != nil {
			return err
		}
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	chromium, err := paper.FindChromium()
	if err != nil {
		return err
	}
	b, err := browser.Launch(chromium, "")
	if err != nil {
		return err
	}
	defer b.Close()
	p, err := b.Open(address, screens[0])
	if err != nil {
		return err
	}
	defer p.Close()
	save := func(name string, data []byte) error {
		path := filepath.Join(dir, name)
		fmt.Fprintln(log, path)
		return os.WriteFile(path, data, 0o644)
	}
	for _, v := range screens {
		if err := onScreen(p, v, save); err != nil {
			return err
		}
	}
	if err := p.Show(browser.View{}); err != nil {
		return err
	}
	for _, on := range []paper.Sheet{paper.A4, paper.Letter} {
		pdf, err := p.PDF(on)
		if err != nil {
			return err
		}
		if err := save(strings.ToLower(on.Name)+".pdf", pdf); err != nil {
			return err
		}
	}
	if err := sheets(dir); err != nil {
		return err
	}
	if err := p.Traffic().Err(); err != nil {
		fmt.Fprintf(log, "the page is not quiet:\n%v\n", err)
	}
	return nil
}

func onScreen(p *browser.Page, v browser.View, save func(string, []byte) error) error {
	if err := p.Show(v); err != nil {
		return err
	}
	scheme := "light"
	if v.Dark {
		scheme = "dark"
	} else {
		first, err := p.FirstScreen()
		if err != nil {
			return err
		}
		if err := save(fmt.Sprintf("first-%d.png", v.Width), first); err != nil {
			return err
		}
	}
	pieces, err := p.Pictures()
	if err != nil {
		return err
	}
	for i, piece := range pieces {
		if err := save(fmt.Sprintf("screen-%d-%s-%d.png", v.Width, scheme, i+1), piece); err != nil {
			return err
		}
	}
	return nil
}

// sheets turns a4.pdf into one picture a sheet, at 90 dots an inch.
func sheets(dir string) error {
	cmd := exec.Command("pdftoppm", "-png", "-r", "90", filepath.Join(dir, "a4.pdf"), filepath.Join(dir, "a4"))
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("pdftoppm (Debian: apt-get install poppler-utils): %w: %s", err, out)
	}
	return nil
}
