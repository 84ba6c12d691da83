package power

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
	"auditgen/internal/working"
)

const publishedDir = "../../testdata/published"

// groups are the folders of published cases that belong to this package; those of
// bills and of the year's load belong to others.
var groups = []string{
	"accuracy", "distorted-wave", "distortion", "effective-power", "instrument-transformers", "loading", "motor", "neutral-current", "power-factor-correction", "resonance",
	"single-phase", "split-phase", "symmetrical-components", "three-phase", "transformer", "transformer-harmonics",
	"two-wattmeters", "unbalance", "unbalanced-load", "voltage-drop",
}

// unpublished lists bound formulas that have no published case, each with the
// reason. It is empty: keep it so.
var unpublished = map[string]string{}

// publishedCase is a worked example: what a formula, or a function that gives
// several results, makes of some quantities.
type publishedCase struct {
	source.Where
	ID       string                          `key:"id" need:"yes"`
	Formula  string                          `key:"formula"`
	Function string                          `key:"function"`
	Source   string                          `key:"source" need:"yes"`
	Given    source.OneOrMany[printedFigure] `key:"given" need:"yes"`
	Gives    source.OneOrMany[printedFigure] `key:"gives" need:"yes"`
}

type caseFile struct {
	source.Where
	Cases []publishedCase `key:"cases" need:"yes"`
}

// printedFigure is a figure as printed: its value in base units, and half a
// unit of its last printed digit.
type printedFigure struct{ value, half float64 }

func (p *printedFigure) UnmarshalText(text []byte) error {
	number, unit, _ := strings.Cut(string(text), " ")
	value, decimals, err := quantity.Number(number)
	if err != nil {
		return err
	}
	scale, ok := unitScales()[unit]
	if !ok {
		return &diag.Problem{What: fmt.Sprintf("unknown unit %q", unit)}
	}
	*p = printedFigure{value * scale, 0.5 * math.Pow10(-decimals) * scale}
	return nil
}

// unitScales holds every unit of the quantities that formulas use, and no unit
// for plain numbers.
func unitScales() map[string]float64 {
	scales := map[string]float64{"": 1}
	for _, k := range []*quantity.Kind{
		quantity.KindOf[quantity.VoltsLN](), quantity.KindOf[quantity.Amperes](), quantity.KindOf[quantity.Watts](),
		quantity.KindOf[quantity.VoltAmperes](), quantity.KindOf[quantity.Vars](), quantity.KindOf[quantity.Hertz](),
		quantity.KindOf[quantity.Ratio](), quantity.KindOf[quantity.Degrees](),
		quantity.KindOf[Ohms](), quantity.KindOf[Farads](), quantity.KindOf[PerMin](),
	} {
		for _, u := range k.Units {
			scales[u.Symbol] = u.Scale
		}
	}
	return scales
}

// functions are those of the package that give several results and so are no
// formulas; a case names them by function.
var functions = map[string]func([]float64) []float64{
	"symmetrical components": func(x []float64) []float64 {
		p := func(i int) Phasor[quantity.VoltsLN] {
			return Phasor[quantity.VoltsLN]{Size: quantity.VoltsLN(x[i]), Angle: quantity.Degrees(x[i+1])}
		}
		c := Symmetrical(p(0), p(2), p(4))
		var out []float64
		for _, s := range []Phasor[quantity.VoltsLN]{c.Zero, c.Positive, c.Negative} {
			out = append(out, float64(s.Size), float64(s.Angle))
		}
		return out
	},
}

func readCases(t *testing.T) []publishedCase {
	t.Helper()
	var all []publishedCase
	var faults diag.List
	for _, group := range groups {
		f := filepath.Join(publishedDir, group, "cases.yaml")
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		var cf caseFile
		source.Decode(source.YAML(f, text, &faults), &cf, &faults)
		all = append(all, cf.Cases...)
	}
	for _, f := range faults.Sorted() {
		t.Error(f)
	}
	return all
}

func TestPublishedCases(t *testing.T) {
	byName := map[string]*working.Formula{}
	for _, f := range working.Formulas() {
		if byName[f.Name] != nil {
			t.Errorf("two formulas are called %q", f.Name)
		}
		byName[f.Name] = f
	}
	covered := map[string]bool{}
	cases := readCases(t)
	for _, c := range cases {
		given := make([]float64, len(c.Given))
		for i, g := range c.Given {
			given[i] = g.Value.value
		}
		got, err := evaluate(c, byName[c.Formula], given)
		if err != nil {
			t.Errorf("%s: %s: %v", c.Pos, c.ID, err)
			continue
		}
		covered[c.Formula] = true
		for i, g := range c.Gives {
			// The second term is the rounding of binary fractions alone.
			tolerance := g.Value.half + 1e-12*math.Abs(g.Value.value)
			if i >= len(got) || !(math.Abs(got[i]-g.Value.value) <= tolerance) {
				t.Errorf("%s: %s: %s%s gives %v, printed %s", c.Pos, c.ID, c.Formula, c.Function, got, g.Text)
			}
		}
	}
	for _, f := range working.Formulas() {
		if !covered[f.Name] && unpublished[f.Name] == "" {
			t.Errorf("%q has no published case", f.Name)
		}
	}
	for name := range unpublished {
		if byName[name] == nil || covered[name] {
			t.Errorf("%q need not be listed as unpublished", name)
		}
	}
	t.Logf("%d cases over %d formulas", len(cases), len(byName))
}

func evaluate(c publishedCase, f *working.Formula, given []float64) ([]float64, error) {
	if fn := functions[c.Function]; fn != nil && c.Formula == "" {
		return fn(given), nil
	}
	if f == nil {
		return nil, fmt.Errorf("no formula %q and no function %q", c.Formula, c.Function)
	}
	if !f.Series && len(given) != len(f.Symbols) {
		return nil, fmt.Errorf("%d figures for the arguments %v", len(given), f.Symbols)
	}
	return []float64{f.Eval(given...)}, nil
}

var statusLine = regexp.MustCompile(`(?m)^Status: (seen|secondary copy|from memory|computed|common practice, no source)`)

// Every case names a section of the source.md beside it, and every section says
// how well its source is known.
func TestPublishedSources(t *testing.T) {
	cases := readCases(t)
	displays := readDisplays(t)
	for _, d := range displays {
		cases = append(cases, d.publishedCase)
	}
	for _, c := range cases {
		file := filepath.Join(filepath.Dir(c.Pos.File), "source.md")
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		_, section, ok := strings.Cut(string(text), "\n## "+c.Source+"\n")
		if !ok {
			t.Errorf("%s: %s has no section %q", c.Pos, file, c.Source)
			continue
		}
		section, _, _ = strings.Cut(section, "\n## ")
		if !statusLine.MatchString(section) {
			t.Errorf("%s: section %q says nothing of its status", file, c.Source)
		}
	}
}

// The last digit printed sets the tolerance: a case just beyond it must fail.
func TestPrintedDigitsSetTheTolerance(t *testing.T) {
	for _, tt := range []struct {
		text        string
		value, half float64
	}{
		{"2230.9 W", 2230.9, 0.05}, {"40.000 kW", 40000, 0.5}, {"19.61 %", 0.1961, 0.00005}, {"0.297", 0.297, 0.0005},
	} {
		var p printedFigure
		if err := p.UnmarshalText([]byte(tt.text)); err != nil || math.Abs(p.value-tt.value) > 1e-12*tt.value || math.Abs(p.half-tt.half) > 1e-12 {
			t.Errorf("%s: %v %v", tt.text, p, err)
		}
	}
	var p printedFigure
	if p.UnmarshalText([]byte("3 furlongs")) == nil {
		t.Error("an unknown unit was read")
	}
}

var (
	identifier = regexp.MustCompile(`[A-Za-z][A-Za-z0-9]*(_[A-Za-z0-9]+)?`)
	functionOf = regexp.MustCompile(`[A-Za-z]+\(`)
)

// The symbols of a formula are the identifiers on the right side of its text,
// so that a text can be shown with its arguments' values.
func TestTextsAndSymbolsAgree(t *testing.T) {
	for _, f := range working.Formulas() {
		_, right, ok := strings.Cut(f.Text, " = ")
		if !ok {
			t.Errorf("%q: %q is no equation", f.Name, f.Text)
			continue
		}
		found := map[string]bool{}
		for _, id := range identifier.FindAllString(functionOf.ReplaceAllString(right, "("), -1) {
			found[id] = true
		}
		delete(found, "pi")
		for _, s := range f.Symbols {
			if !found[s] {
				t.Errorf("%q: symbol %s is not in %q", f.Name, s, f.Text)
			}
			delete(found, s)
			if f.Series && strings.HasSuffix(s, "_h") {
				delete(found, "h") // the running order
			}
		}
		if len(found) > 0 {
			t.Errorf("%q: %q has %v, which are no symbols", f.Name, f.Text, found)
		}
		if f.Source == "" || strings.Count(f.Text, "(") != strings.Count(f.Text, ")") {
			t.Errorf("%q: source %q, text %q", f.Name, f.Source, f.Text)
		}
	}
}

// The text of each formula, worked out by a small reader of the notation, must
// give what the function gives: a text that says one thing and a function that
// does another would print a false working.
func TestTextsSayWhatFunctionsDo(t *testing.T) {
	byName := map[string]*working.Formula{}
	for _, f := range working.Formulas() {
		byName[f.Name] = f
	}
	for _, c := range readCases(t) {
		f := byName[c.Formula]
		if f == nil {
			continue
		}
		values := map[string][]float64{}
		var series []float64
		for i, g := range c.Given {
			series = append(series, g.Value.value)
			if !f.Series && i < len(f.Symbols) {
				values[f.Symbols[i]] = []float64{g.Value.value}
			}
		}
		if f.Series {
			values[f.Symbols[0]] = series
		}
		_, right, _ := strings.Cut(f.Text, " = ")
		got, err := readText(right, values)
		if err != nil {
			t.Errorf("%q: %q: %v", f.Name, f.Text, err)
			continue
		}
		want := f.Eval(series...)
		if !(math.Abs(got-want) <= 1e-7*math.Max(math.Abs(want), 1e-3)) {
			t.Errorf("%s: %q: the text gives %s, the function %s", c.Pos, f.Text,
				strconv.FormatFloat(got, 'g', 12, 64), strconv.FormatFloat(want, 'g', 12, 64))
		}
	}
}
