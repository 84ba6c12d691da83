package main

import (
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
	var out, theme string
	c := &cobra.Command{
		Use:   "report SITE",
		Short: "Write the site's report as static HTML",
		Long: `Write the site's report as static HTML, one folder for each visit and a front page.
The folder is written beside the old one and swapped in at the end: when anything is
wrong, the old report stays as it was.

Exit status: 0 written, 1 could not be written, 2 something in the files is wrong.`,
		Example: "  auditgen report sites/example\n  auditgen report sites/example --out /srv/reports/example",
		Args:    func(c *cobra.Command, args []string) error { return oneSite(c, args) },
		RunE: func(c *cobra.Command, args []string) error {
			return writeReport(args[0], out, theme, c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	c.Flags().StringVar(&out, "out", "", "folder to write (default out/<site>)")
	c.Flags().StringVar(&theme, "theme", "", "folder whose files replace those of the theme folio")
	return c
}

func writeReport(dir, out, theme string, stdout, stderr io.Writer) error {
	p := newProgress(stderr)
	defer p.done()
	all, name, err := assessAll(dir, p.say)
	if err != nil {
		return err
	}
	looks, err := themeFS(theme)
	if err != nil {
		return err
	}
	p.say("drawing the charts")
	files, err := report.Build(all, looks, charts.NewRenderer())
	if err != nil {
		return err
	}
	if out == "" {
		out = filepath.Join("out", name)
	}
	p.say("writing")
	if err := publish.Write(filepath.Clean(out), files); err != nil {
		if errors.Is(err, publish.ErrForeign) {
			return &usageError{fmt.Errorf("%s holds files that are not a report; choose an empty or new folder with --out", out)}
		}
		return err
	}
	p.done()
	summary(stdout, all[len(all)-1], filepath.Join(out, "index.html"))
	return nil
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
