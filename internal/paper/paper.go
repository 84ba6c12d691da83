// Package paper prints a page to PDF through an installed Chromium.
package paper

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// EnvChromium is the environment variable with the path of the Chromium to run.
const EnvChromium = "AUDITGEN_CHROMIUM"

// FindChromium looks for Chromium in AUDITGEN_CHROMIUM and on PATH.
func FindChromium() (string, error) {
	if named := os.Getenv(EnvChromium); named != "" {
		path, err := exec.LookPath(named)
		if err != nil {
			return "", fmt.Errorf("%s names %q, which is not a program that can be run", EnvChromium, named)
		}
		return path, nil
	}
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path, nil
		}
	}
	return "", fmt.Errorf("chromium is not on PATH: install it (Debian: apt-get install chromium) or set %s to its path", EnvChromium)
}

// Options are those that Chromium is run with: an empty profile of its own, and
// no way to resolve a name, so that nothing outside is asked for.
func Options(chromium string) []chromedp.ExecAllocatorOption {
	return append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(chromium), // as root chromedp adds --no-sandbox by itself
		chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-gpu", true),
		chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"),
	)
}

// Sheet is a size of paper, in millimetres.
type Sheet struct {
	Name          string
	Width, Height float64
}

// The two papers that reports are printed on.
var (
	A4     = Sheet{"A4", 210, 297}
	Letter = Sheet{"Letter", 215.9, 279.4}
)

// PrintTo is the command that prints the open page: tagged and with bookmarks,
// margins by the page's own style, no backgrounds, as when a reader prints.
func PrintTo(s Sheet) *page.PrintToPDFParams {
	const inch = 25.4 // millimetres
	return page.PrintToPDF().
		WithPaperWidth(s.Width / inch).
		WithPaperHeight(s.Height / inch).
		WithGenerateTaggedPDF(true).
		WithGenerateDocumentOutline(true)
}

// patience is how long Chromium may take over a document; a large one takes
// seconds, and the machine may be busy.
const patience = 3 * time.Minute

// Print prints an HTML document that needs nothing beside it. The PDF carries
// the date given, not that of the printing, so that the same Chromium makes the
// same bytes of the same document.
func Print(chromium string, document []byte, on Sheet, date time.Time) ([]byte, error) {
	dir, err := os.MkdirTemp("", "auditgen-paper-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	file := filepath.Join(dir, "report.html")
	if err := os.WriteFile(file, document, 0o600); err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	ctx, stop := chromedp.NewExecAllocator(ctx, Options(chromium)...)
	defer stop()
	ctx, done := chromedp.NewContext(ctx, chromedp.WithErrorf(func(string, ...any) {})) // events that the library does not know
	defer done()
	var pdf []byte
	err = chromedp.Run(ctx,
		chromedp.Navigate("file://"+filepath.ToSlash(file)),
		chromedp.ActionFunc(func(ctx context.Context) (err error) {
			pdf, _, err = PrintTo(on).Do(ctx)
			return err
		}))
	if err != nil {
		return nil, fmt.Errorf("%s could not print the report: %w", chromium, err)
	}
	return settled(pdf, date)
}

var (
	dates = regexp.MustCompile(`/(CreationDate|ModDate) ?\(D:[^)]*\)`)
	nodes = regexp.MustCompile(`\(node\d{8}\)`)
)

// settled takes out of a PDF what differs from run to run: the date of printing,
// for which the given one is put, and the numbers of the document's nodes, which
// Chromium counts on through its own; they become their ranks, so that their
// order stays. No length changes, since a PDF counts its bytes.
func settled(pdf []byte, date time.Time) ([]byte, error) {
	found := 0
	out := dates.ReplaceAllFunc(pdf, func(old []byte) []byte {
		found++
		head, tail := bytes.IndexByte(old, '('), old[len(old)-1:]
		stamp := date.UTC().Format("D:20060102150405+00'00'")
		room := len(old) - head - 2
		if len(stamp) > room {
			stamp = stamp[:room]
		}
		return append(append(bytes.Clone(old[:head+1]), stamp+strings.Repeat(" ", room-len(stamp))...), tail...)
	})
	if found == 0 {
		return nil, errors.New("the PDF has no date where one was expected")
	}
	rank := map[string]int{}
	for _, n := range nodes.FindAll(out, -1) {
		rank[string(n)] = 0
	}
	for i, n := range slices.Sorted(maps.Keys(rank)) {
		rank[n] = i + 1
	}
	return nodes.ReplaceAllFunc(out, func(old []byte) []byte {
		return fmt.Appendf(nil, "(node%08d)", rank[string(old)])
	}), nil
}
