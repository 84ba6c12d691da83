package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/intake"
	"auditgen/internal/site"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
)

func intakeCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "intake",
		Short: "Bring in logged data and published tariffs",
		Long: `Bring in what others have logged or published: interval data of meters, and records of
tariffs. What was found and done is printed; nothing is mended in silence, and nothing is
written over unless --force says so.`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return &usageError{fmt.Errorf("intake brings in intervals or a tariff, not %q: auditgen intake intervals, auditgen intake tariff", args[0])}
			}
			return nil
		},
		RunE: func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	c.AddCommand(intakeIntervalsCommand(), intakeTariffCommand())
	return c
}

// intervalFlags are what the user says of interval data.
type intervalFlags struct {
	site, columns, zone, point, name string
	projected, force                 bool
}

func intakeIntervalsCommand() *cobra.Command {
	var f intervalFlags
	c := &cobra.Command{
		Use:   "intervals FILE...",
		Short: "Bring a meter's interval data into a site",
		Long: `Bring a meter's interval data into a site: CSV files by a column map, or ESPI (Green
Button) XML. Several files of one meter become one. The site gets intervals/<name>.csv.

Exit status: 0 written, 1 a file could not be read or written, 2 something in the files or
on the command line is wrong and nothing was written.`,
		Example: `  auditgen intake intervals export.xml --site sites/example
  auditgen intake intervals jan.csv feb.csv --site sites/example --columns columns.yaml
  auditgen intake intervals load.csv --site sites/example --columns '{start: Time, import: "P [kW]"}'`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 || f.site == "" {
				return &usageError{errors.New("intake intervals takes files and the site's folder, such as: auditgen intake intervals load.csv --site sites/example")}
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error { return intakeIntervals(c.OutOrStdout(), args, f) },
	}
	c.Flags().StringVar(&f.site, "site", "", "the site's folder")
	c.Flags().StringVar(&f.columns, "columns", "", "the column map of CSV files: a YAML file, or the map itself in braces")
	c.Flags().StringVar(&f.zone, "zone", "", "time zone of local times, such as Europe/Dublin (default: the map's, else the site's)")
	c.Flags().StringVar(&f.point, "point", "", "the metering point, where a file has several")
	c.Flags().StringVar(&f.name, "name", "", "name of the file in the site (default: that of the first file)")
	c.Flags().BoolVar(&f.projected, "projected", false, "take projections in too")
	c.Flags().BoolVar(&f.force, "force", false, "write over a file that is there")
	return c
}

func intakeIntervals(out io.Writer, files []string, f intervalFlags) error {
	place, err := folder(f.site)
	if err != nil {
		return err
	}
	name := f.name
	if name == "" {
		name = slug(strings.TrimSuffix(filepath.Base(files[0]), filepath.Ext(files[0])))
	}
	if name == "" || slug(name) != name {
		return &usageError{fmt.Errorf("%q is no name for a file in the site: small letters, digits and hyphens, with --name", name)}
	}
	target := filepath.Join(f.site, "intervals", name+".csv")
	if err := vacant(target, f.force); err != nil {
		return err
	}
	columns, zone, err := intervalForm(place, f)
	if err != nil {
		return err
	}
	var faults diag.List
	var logs []*intake.Log
	for _, file := range files {
		l, err := readIntervals(file, columns, f.point, &faults)
		if err != nil {
			return err
		}
		logs = append(logs, l)
	}
	if err := faults.Err(); err != nil {
		return err
	}
	log := intake.Join(logs...)
	log.CheckZone(zone)
	if err := log.Print(out); err != nil {
		return err
	}
	if len(log.Rows) == 0 {
		return &usageError{fmt.Errorf("nothing is left of %s to be written", strings.Join(files, ", "))}
	}
	var b bytes.Buffer
	if err := log.WriteTidy(&b); err != nil {
		return err
	}
	if err := write(target, b.Bytes(), f.force); err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "written: %s\n", filepath.ToSlash(target))
	return err
}

// intervalForm gives the column map and the zone of the site's clock.
func intervalForm(p place, f intervalFlags) (*intake.Columns, *time.Location, error) {
	var faults diag.List
	columns := &intake.Columns{}
	if f.columns != "" {
		text, name := []byte(f.columns), "--columns"
		if !strings.HasPrefix(strings.TrimSpace(f.columns), "{") {
			name = f.columns
			var err error
			if text, err = os.ReadFile(f.columns); err != nil {
				return nil, nil, unread(err)
			}
		}
		if columns = intake.ReadColumns(source.YAML(name, text, &faults), &faults); columns == nil {
			return nil, nil, faults.Err()
		}
	}
	columns.Projected = columns.Projected || f.projected
	zone, err := siteZone(p)
	if f.zone != "" {
		var z intake.Zone
		if bad := z.UnmarshalText([]byte(f.zone)); bad != nil {
			return nil, nil, &usageError{fmt.Errorf("--zone: %w", bad)}
		}
		columns.Zone.Value = z
		if err != nil {
			zone, err = z.Location, nil
		}
	}
	if columns.Zone.Value.Location == nil {
		columns.Zone.Value.Location = zone
	}
	return columns, zone, err
}

// siteZone reads the time zone of site.yaml, whatever else may be wrong with the
// file.
func siteZone(p place) (*time.Location, error) {
	name := filepath.Join(p.root, filepath.FromSlash(p.Dir), "site.yaml")
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, unread(err)
	}
	var faults diag.List
	var s site.Site
	if v := source.YAML(name, text, &faults); v != nil {
		source.Decode(v, &s, &faults)
	}
	if s.TimeZone.Value.Location == nil {
		return nil, &usageError{fmt.Errorf("%s states no time zone that can be read: time-zone: with an IANA name, or --zone", p.shown(diag.Pos{File: filepath.ToSlash(filepath.Join(p.Dir, "site.yaml"))}).File)}
	}
	return s.TimeZone.Value.Location, nil
}

// readIntervals reads one file; nil when it has faults.
func readIntervals(file string, columns *intake.Columns, point string, faults *diag.List) (*intake.Log, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, unread(err)
	}
	shown := filepath.ToSlash(file)
	if start := bytes.TrimLeft(bytes.TrimPrefix(text, []byte("\xef\xbb\xbf")), " \t\r\n"); len(start) == 0 || start[0] != '<' {
		return intake.ReadCSV(shown, text, columns, faults), nil
	}
	logs := intake.ReadESPI(shown, bytes.NewReader(text), intake.ESPIOptions{Projected: columns.Projected}, faults)
	var points []string
	for _, l := range logs {
		if l.Point == point || len(logs) == 1 && point == "" {
			return l, nil
		}
		points = append(points, fmt.Sprintf("%q", l.Point))
	}
	switch {
	case len(logs) == 0:
		return nil, nil
	case point == "":
		return nil, &usageError{fmt.Errorf("%s has %d metering points: --point with one of %s", shown, len(logs), strings.Join(points, ", "))}
	}
	return nil, &usageError{fmt.Errorf("%s has no metering point %q: --point with one of %s", shown, point, strings.Join(points, ", "))}
}

func intakeTariffCommand() *cobra.Command {
	var out, from, currency, record string
	var force bool
	c := &cobra.Command{
		Use:   "tariff FILE.json",
		Short: "Make a tariff of a record of the US Utility Rate Database",
		Long: `Make a tariff of a record of the US Utility Rate Database in JSON (open data), and say what
could not be carried over. Check the tariff against the supplier's own sheet.

Exit status: 0 written, 1 a file could not be read or written, 2 something in the record or
on the command line is wrong and nothing was written.`,
		Example: "  auditgen intake tariff record.json\n  auditgen intake tariff answer.json --record 539f6d0aec4f024411ecb11d --out tariffs/large.yaml",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{errors.New("intake tariff takes one record, such as: auditgen intake tariff record.json")}
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			o := intake.RateOptions{Record: record, Currency: currency}
			if from != "" {
				var err error
				if o.From, err = civil.ParseDate(from); err != nil {
					return &usageError{fmt.Errorf("--from: %w", err)}
				}
			}
			return intakeTariff(c.OutOrStdout(), args[0], out, o, force)
		},
	}
	c.Flags().StringVar(&out, "out", "", "the tariff's file (default: tariffs/ and the rate's name)")
	c.Flags().StringVar(&from, "from", "", "first day of the prices, where the record does not say")
	c.Flags().StringVar(&currency, "currency", "", "ISO 4217 code, where the record is not of the United States")
	c.Flags().StringVar(&record, "record", "", "label of the record, where the file holds several")
	c.Flags().BoolVar(&force, "force", false, "write over a file that is there")
	return c
}

func intakeTariff(w io.Writer, file, out string, o intake.RateOptions, force bool) error {
	text, err := os.ReadFile(file)
	if err != nil {
		return unread(err)
	}
	var faults diag.List
	rate := intake.ReadRate(filepath.ToSlash(file), text, o, &faults)
	if rate == nil {
		return faults.Err()
	}
	if out == "" {
		name := slug(rate.Name)
		if name == "" {
			return &usageError{fmt.Errorf("the rate's name, %q, makes no name for a file: --out with one", rate.Name)}
		}
		out = filepath.Join("tariffs", name+".yaml")
	}
	t := tariff.Read(source.YAML(filepath.ToSlash(out), rate.YAML, &faults), &faults)
	if t == nil {
		return faults.Err()
	}
	if err := write(out, rate.YAML, force); err != nil {
		return err
	}
	fmt.Fprintf(w, "%s: %s, from %s, in %s\n", rate.Name, count(len(t.Charges), "charge", "charges"), t.From.Value, t.Currency.Value.Code)
	section(w, "taken, since the record does not say:", rate.Took)
	section(w, "not carried over:", rate.Left)
	_, err = fmt.Fprintf(w, "written: %s\n", filepath.ToSlash(out))
	return err
}

func section(w io.Writer, title string, lines []string) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintln(w, title)
	for _, l := range lines {
		fmt.Fprintf(w, "  %s\n", l)
	}
}

var notInNames = regexp.MustCompile(`[^a-z0-9]+`)

// slug makes a name for a file: small letters, digits and hyphens.
func slug(s string) string {
	return strings.Trim(notInNames.ReplaceAllString(strings.ToLower(s), "-"), "-")
}

// unread tells a file that cannot be read; one that is not there is the command
// line's fault.
func unread(err error) error {
	if errors.Is(err, os.ErrNotExist) {
		return &usageError{err}
	}
	return err
}

// vacant refuses a file that is there.
func vacant(name string, force bool) error {
	if _, err := os.Stat(name); err == nil && !force {
		return &usageError{fmt.Errorf("%s is there already: --force to write over it, or another name", filepath.ToSlash(name))}
	}
	return nil
}

// write puts a file in its place whole, or not at all.
func write(name string, data []byte, force bool) (err error) {
	if err := vacant(name, force); err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(name), ".intake-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
		}
	}()
	if _, err = f.Write(data); err != nil {
		f.Close()
		return err
	}
	if err = errors.Join(f.Chmod(0o644), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), name)
}
