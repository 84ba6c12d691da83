package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"auditgen/internal/assess"
	"auditgen/internal/charts"
	"auditgen/internal/finding"
	"auditgen/internal/publish"
	"auditgen/internal/report"
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
by mail; --out then names the file.

Exit status: 0 written, 1 could not be written, 2 something in the files is wrong.`,
		Example: "  auditgen report sites/example\n  auditgen report sites/example --out /srv/reports/example\n  auditgen report sites/example --single",
		Args:    func(c *cobra.Command, args []string) error { return oneSite(c, args) },
		RunE: func(c *cobra.Command, args []string) error {
			return writeReport(args[0], o, c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	c.Flags().StringVar(&o.out, "out", "", "folder to write (default out/<site>), or the file with --single")
	c.Flags().StringVar(&o.theme, "theme", "", "folder whose files replace those of the theme folio")
	c.Flags().BoolVar(&o.single, "single", false, "write the latest visit as one file, by default out/<site>-<date>.html")
	return c
}

// reportOptions are the flags of the command.
type reportOptions struct {
	out, theme string
	single     bool
}

func writeReport(dir string, o reportOptions, stdout, stderr io.Writer) error {
	p := newProgress(stderr)
	defer p.done()
	all, name, err := assessAll(dir, p.say)
	if err != nil {
		return err
	}
	looks, err := themeFS(o.theme)
	if err != nil {
		return err
	}
	latest := all[len(all)-1]
	p.say("drawing the charts")
	var written string
	if o.single {
		written, err = writeSingle(all, looks, cmp.Or(o.out, filepath.Join("out", name+"-"+latest.Record.Visit.Date.Value.String()+".html")))
	} else {
		written, err = writeFolder(all, looks, filepath.Clean(cmp.Or(o.out, filepath.Join("out", name))))
	}
	if err != nil {
		return err
	}
	p.done()
	summary(stdout, latest, written)
	return nil
}

// writeFolder writes the pages of all visits, and gives the path of the front page.
func writeFolder(all []*assess.Assessment, looks fs.FS, out string) (string, error) {
	files, err := report.Build(all, looks, charts.NewRenderer())
	if err != nil {
		return "", err
	}
	err = publish.Write(out, files)
	if errors.Is(err, publish.ErrForeign) {
		err = &usageError{fmt.Errorf("%s holds files that are not a report; choose an empty or new folder with --out", out)}
	}
	return filepath.Join(out, "index.html"), err
}

// writeSingle writes the latest visit as one file, and gives its path.
func writeSingle(all []*assess.Assessment, looks fs.FS, out string) (string, error) {
	if info, err := os.Stat(out); err == nil && info.IsDir() {
		return "", &usageError{fmt.Errorf("%s is a folder; with --single, --out names the file to write", out)}
	}
	file, err := report.Whole(all, looks, charts.NewRenderer())
	if err != nil {
		return "", err
	}
	return out, publish.WriteFile(out, file.Data)
}

// themeFS gives the built-in theme, with the user's folder laid over it.
func themeFS(dir string) (fs.FS, error) {
	base, err := fs.Sub(themes.Files, "folio")
	if err != nil || dir == "" {
		return base, err
	}
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return nil, &usageError{fmt.Errorf("there is no theme folder %s", dir)}
	}
	return report.Overlay(os.DirFS(dir), base), nil
}

// summary tells on the terminal what the report says.
func summary(w io.Writer, a *assess.Assessment, path string) {
	fmt.Fprintf(w, "%s, visit of %s\n\n", a.Record.Site.Client.Value, a.Record.Visit.Date.Value)
	row := func(what string, value, low, high float64, decimals int, unit string) {
		fmt.Fprintf(w, "  %-22s %12s %-4s (%s to %s)\n", what, grouped(value, decimals), unit, grouped(low, decimals), grouped(high, decimals))
	}
	row("energy a year", a.Energy.Value, a.Energy.Low, a.Energy.High, 0, "kWh")
	row("cost a year", a.Cost.Value, a.Cost.Low, a.Cost.High, 0, a.Currency)
	row("highest demand", a.Peak.Value, a.Peak.Low, a.Peak.High, 0, a.Peak.Unit)
	fmt.Fprintln(w)
	for _, f := range a.Findings {
		if f.Severity != finding.InOrder {
			fmt.Fprintf(w, "  %-8s %s\n", f.Severity, withCost(f))
		}
	}
	fmt.Fprintf(w, "\nReport: %s\n", path)
}
