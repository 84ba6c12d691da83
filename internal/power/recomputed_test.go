package power

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"auditgen/internal/working"
)

// recomputed is a value that testdata/published/recompute/recompute.py found in
// another way, from sampled waves and circuits.
type recomputed struct {
	Formula string
	Given   []float64
	Gives   float64
	By      string
	Within  float64 // as a share
}

func readRecomputed(t *testing.T) []recomputed {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(publishedDir, "recompute", "values.json"))
	if err != nil {
		t.Fatal(err)
	}
	var all []recomputed
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	return all
}

// Every formula gives what the other way gave: each has at least one value that
// does not come out of this program.
func TestRecomputedValues(t *testing.T) {
	byName := map[string]*working.Formula{}
	for _, f := range working.Formulas() {
		byName[f.Name] = f
	}
	found := map[string]bool{}
	all := readRecomputed(t)
	for _, c := range all {
		f := byName[c.Formula]
		if f == nil || c.By == "" || !(c.Within > 0 && c.Within < 1e-4) {
			t.Errorf("no formula %q, or nothing is said of how its value was found", c.Formula)
			continue
		}
		found[c.Formula] = true
		if !f.Series && len(c.Given) != len(f.Symbols) {
			t.Errorf("%q: %d figures for the arguments %v", c.Formula, len(c.Given), f.Symbols)
			continue
		}
		if got := f.Eval(c.Given...); !(math.Abs(got-c.Gives) <= c.Within*math.Max(math.Abs(c.Gives), 1e-9)) {
			t.Errorf("%q of %v gives %.12g, by %s %.12g", c.Formula, c.Given, got, c.By, c.Gives)
		}
	}
	for name := range byName {
		if !found[name] {
			t.Errorf("%q was not recomputed", name)
		}
	}
	t.Logf("%d values over %d formulas", len(all), len(found))
}
