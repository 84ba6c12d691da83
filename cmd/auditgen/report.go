package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"auditgen/internal/assess"
	"auditgen/internal/audit"
	"auditgen/internal/charts"
	"auditgen/internal/finding"
	"auditgen/internal/paper"
	"auditgen/internal/publish"
	"auditgen/internal/report"
	"auditgen/internal/site"
	"auditgen/themes"
)

func reportCommand() *cobra.Command {
	var o reportOptions
	c := &cobra.Command{
		Use:   "report SITE",
		Short: "Write the site's report as static HTML",
		Long: `Write the site's report as static HTML, one folder for each visit and a front page.
The folder is written beside the old one and swapped in at the end: when anything is
wrong, the old report stays as it was.

With --single the latest visit is written as one self-contained HTML file, to be sent
by mail; with --pdf it is printed to one PDF file, by a Chromium that must be installed.
--out then names the file. With --sealed that one HTML file is encrypted: it opens in a
browser for whoever knows the passphrase, which is asked for, or taken from a file or
from AUDITGEN_PASSPHRASE. See docs/hosting.md for what this protects and what not.

Where the files are kept in a git repository, the report tells the state of the data and
lists the changes to the site's folder by date, short hash and first line.

Exit status: 0 written, 1 could not be written, 2 something in the files is wrong.`,
		Example: "  auditgen report sites/example\n  auditgen report sites/example --out /srv/reports/example\n  auditgen report sites/example --single",
		Args:    func(c *cobra.Command, args []string) error { return oneSite(c, args) },
		RunE: func(c *cobra.Command, args []string) error {
			return writeReport(args[0], o, c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	c.Flags().StringVar(&o.out, "out", "", "folder to write (default out/<site>), or the file with --single, --pdf and --sealed")
	c.Flags().StringVar(&o.theme, "theme", "", "built-in theme (folio or ledger), or a folder whose files replace those of folio")
	c.Flags().BoolVar(&o.single, "single", false, "write the latest visit as one file, by default out/<site>-<date>.html")
	c.Flags().BoolVar(&o.pdf, "pdf", false, "print the latest visit to one PDF, by default out/<site>-<date>.pdf")
	c.Flags().BoolVar(&o.sealed, "sealed", false, "write the latest visit as one encrypted file, by default out/<site>-<date>-sealed.html")
	c.Flags().StringVar(&o.passphraseFile, "passphrase-file", "", "file with the passphrase of --sealed")
	c.MarkFlagsMutuallyExclusive("single", "pdf", "sealed")
	return c
}

// reportOptions are the flags of the command.
type reportOptions struct {
	out, theme          string
	single, pdf, sealed bool
	passphraseFile      string
}

func writeReport(dir string, o reportOptions, stdout, stderr io.Writer) error {
	f, err := folder(dir)
	if err != nil {
		return err
	}
	secret := ""
	if o.sealed {
		if secret, err = passphrase(o.passphraseFile, stderr); err != nil {
			return err
		}
	}
	theme, err := themeFS(o.theme)
	if err != nil {
		return err
	}
	own, err := wordsOf(theme, o.theme)
	if err != nil {
		return err
	}
	p := newProgress(stderr)
	defer p.done()
	all, err := assessAll(f, own, p.say)
	if err != nil {
		return err
	}
	in := report.Input{Visits: all, Theme: theme, Draw: charts.NewRenderer(), Revisions: revisions(f, stderr)}
	latest := all[len(all)-1]
	p.say("drawing the charts")
	name := filepath.Join("out", path.Base(f.Dir))
	dated := name + "-" + latest.Record.Visit.Date.Value.String()
	var written string
	switch {
	case o.pdf:
		written, err = writeOne(in, cmp.Or(o.out, dated+".pdf"), printed)
	case o.sealed:
		written, err = writeOne(in, cmp.Or(o.out, dated+"-sealed.html"), func(_ report.Input, page []byte) ([]byte, error) { return publish.Seal(page, secret) })
	case o.single:
		written, err = writeOne(in, cmp.Or(o.out, dated+".html"), func(_ report.Input, page []byte) ([]byte, error) { return page, nil })
	default:
		written, err = writeFolder(in, filepath.Clean(cmp.Or(o.out, name)))
	}
	if err != nil {
		return err
	}
	p.done()
	summary(stdout, latest, written)
	return nil
}

// writeFolder writes the pages of all visits, and gives the path of the front page.
func writeFolder(in report.Input, out string) (string, error) {
	files, err := report.Build(in)
	if err != nil {
		return "", err
	}
	err = publish.Write(out, files)
	if errors.Is(err, publish.ErrForeign) {
		err = &usageError{fmt.Errorf("%s holds files that are not a report; choose an empty or new folder with --out", out)}
	}
	return filepath.Join(out, "index.html"), err
}

// writeOne writes the latest visit as one file, in the form that the page is
// brought to, and gives its path.
func writeOne(in report.Input, out string, form func(report.Input, []byte) ([]byte, error)) (string, error) {
	if info, err := os.Stat(out); err == nil && info.IsDir() {
		return "", &usageError{fmt.Errorf("%s is a folder; here --out names the file to write", out)}
	}
	page, err := report.Whole(in)
	if err != nil {
		return "", err
	}
	data, err := form(in, page.Data)
	if err != nil {
		return "", err
	}
	return out, publish.WriteFile(out, data)
}

// printed is the page as a PDF on the provider's paper, dated by the visit.
func printed(in report.Input, document []byte) ([]byte, error) {
	chromium, err := paper.FindChromium()
	if err != nil {
		return nil, fmt.Errorf("a PDF is printed by Chromium, and %w; --single writes a file that any browser prints", err)
	}
	rec := in.Visits[len(in.Visits)-1].Record
	sheet := paper.A4
	if rec.Provider.Paper.Value == site.Letter {
		sheet = paper.Letter
	}
	d := rec.Visit.Date.Value
	return paper.Print(chromium, document, sheet, time.Date(d.Year, time.Month(d.Month), d.Day, 0, 0, 0, 0, time.UTC))
}

// themeFS gives the first theme, with another built-in one or the user's folder
// laid over it.
func themeFS(name string) (fs.FS, error) {
	const first = "folio"
	base, err := fs.Sub(themes.Files, first)
	if err != nil || name == "" || name == first {
		return base, err
	}
	if info, err := fs.Stat(themes.Files, name); err == nil && info.IsDir() {
		over, err := fs.Sub(themes.Files, name)
		return report.Overlay(over, base), err
	}
	if info, err := os.Stat(name); err != nil || !info.IsDir() {
		return nil, &usageError{fmt.Errorf("there is no theme folder %s, and the built-in themes are %s", name, strings.Join(builtIn(), " and "))}
	}
	return report.Overlay(os.DirFS(name), base), nil
}

func builtIn() []string {
	var names []string
	entries, _ := fs.ReadDir(themes.Files, ".") // it is embedded
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

// summary tells on the terminal what the report says, in its language.
func summary(w io.Writer, a *assess.Assessment, path string) {
	lang := a.Record.Words
	fmt.Fprintln(w, lang.F("%s, visit of %s", a.Record.Site.Client.Value, a.Record.Visit.Date.Value)+"\n")
	row := func(what string, i audit.Interval, unit string) {
		value, low, high := report.Digits(lang, i)
		fmt.Fprintf(w, "  %-22s %12s %-4s (%s)\n", what, value, unit, lang.F("%s to %s", low, high))
	}
	row(lang.S("energy a year"), a.Energy, "kWh")
	row(lang.S("cost a year"), a.Cost, a.Currency)
	row(lang.S("highest demand"), a.Peak, a.Peak.Unit)
	fmt.Fprintln(w)
	width := 8
	for _, f := range a.Findings {
		width = max(width, utf8.RuneCountInString(f.Severity.In(lang)))
	}
	for _, f := range a.Findings {
		if f.Severity != finding.InOrder {
			fmt.Fprintf(w, "  %-*s %s\n", width, f.Severity.In(lang), headline(lang, f))
		}
	}
	fmt.Fprintln(w, "\n"+lang.F("Report: %s", path))
}
