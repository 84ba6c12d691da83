package audit

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"auditgen/internal/diag"
	"auditgen/internal/published"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
	"auditgen/internal/uncertainty"
)

const publishedDir = "../../testdata/published"

// printed is a figure as printed, in base units, with half a unit of its last
// printed digit.
type printed struct{ value, half float64 }

func (p *printed) UnmarshalText(text []byte) error {
	number, unit, _ := strings.Cut(string(text), " ")
	value, decimals, err := quantity.Number(number)
	if err != nil {
		return err
	}
	for _, k := range []*quantity.Kind{quantity.KindOf[quantity.WattHours](), quantity.KindOf[quantity.Hours](), quantity.KindOf[quantity.Watts](), quantity.KindOf[quantity.Ratio]()} {
		for _, u := range k.Units {
			if u.Symbol == unit {
				*p = printed{value * u.Scale, 0.5 * math.Pow10(-decimals) * u.Scale}
				return nil
			}
		}
	}
	return &diag.Problem{What: fmt.Sprintf("unknown unit %q", unit)}
}

// siteCase is a small site with what its year must come to.
type siteCase struct {
	source.Where
	ID         string              `key:"id" need:"yes"`
	Source     string              `key:"source" need:"yes"`
	Instrument string              `key:"instrument"`
	Holidays   string              `key:"holidays"`
	Calendars  string              `key:"calendars"`
	Readings   string              `key:"readings"`
	Loads      string              `key:"loads" need:"yes"`
	Gives      source.Map[printed] `key:"gives" need:"yes"`
}

func indented(text string) string {
	if text == "" {
		return ""
	}
	return "  " + strings.ReplaceAll(strings.TrimSpace(text), "\n", "\n  ")
}

func (c siteCase) run(t *testing.T) *Result {
	return small{instrument: c.Instrument, holidays: c.Holidays, calendars: c.Calendars, readings: indented(c.Readings), loads: indented(c.Loads)}.run(t)
}

func siteCases(t *testing.T) []siteCase {
	files, err := filepath.Glob(publishedDir + "/energy-*/cases.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no published cases: %v", err)
	}
	var all []siteCase
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		var faults diag.List
		var file struct {
			source.Where
			Cases []siteCase `key:"cases" need:"yes"`
		}
		source.Decode(source.YAML(f, text, &faults), &file, &faults)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		notes, err := os.ReadFile(filepath.Join(filepath.Dir(f), "source.md"))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range file.Cases {
			_, section, ok := strings.Cut(string(notes), "\n## "+c.Source+"\n")
			section, _, _ = strings.Cut(section, "\n## ")
			if !ok || !strings.Contains(section, "Status: ") {
				t.Errorf("%s: source.md has no section %q with a status", f, c.Source)
			}
		}
		all = append(all, file.Cases...)
	}
	return all
}

// TestPublishedEnergies runs whole small sites against figures worked out
// beforehand: energies, and their standard uncertainties by first-order
// propagation.
func TestPublishedEnergies(t *testing.T) {
	for _, c := range siteCases(t) {
		t.Run(c.ID, func(t *testing.T) {
			r := c.run(t)
			for _, g := range c.Gives {
				got := c.figure(t, r, g.Key)
				if math.Abs(got-g.Value.value) > g.Value.half+1e-9*math.Abs(g.Value.value) {
					t.Errorf("%s is %.9g, printed %.9g ± %.2g", g.Key, got, g.Value.value, g.Value.half)
				}
			}
		})
	}
}

func (c siteCase) figure(t *testing.T, r *Result, name string) float64 {
	t.Helper()
	switch name {
	case "energy":
		return r.Energy.Value * 1e3
	case "uncertainty":
		slopes := uncertainty.FirstOrder(r.drawn)
		at := r.drawn.layout.energy
		drawn, err := uncertainty.Run(r.drawn, r.model.seed(), uncertainty.Options{})
		if err != nil {
			t.Fatal(err)
		}
		// The standard error of a deviation of 10,000 draws is 0.7 %; what is
		// left is of second order.
		nearly(t, "deviation of the draws", drawn.Outputs[at].Deviation, slopes.Deviation[at], 0.03)
		return slopes.Deviation[at] * 1e3
	case "hours":
		return r.Loads[0].Hours.V
	case "mean":
		st, ok := r.Sheet.Get("loads." + r.Loads[0].ID + ".mean")
		if !ok {
			t.Fatal("no mean power")
		}
		return st.Value
	case "share of the meter":
		slopes, at, share := uncertainty.FirstOrder(r.drawn), r.drawn.layout.energy, 0.0
		for i, p := range r.model.params {
			if !p.assumed {
				share += math.Pow(slopes.Moves[i][at]/slopes.Deviation[at], 2)
			}
		}
		return share
	}
	t.Fatalf("no figure %q", name)
	return 0
}

// An inventory held against the bill, by the formulas of the reconciliation.
func TestPublishedReconciliation(t *testing.T) {
	cases, err := published.Read(os.DirFS(publishedDir), "reconciliation")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range cases {
		if err := c.Check(); err != nil {
			t.Error(err)
		}
	}
}
