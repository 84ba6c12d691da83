package uncertainty

import (
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
)

const publishedDir = "../../testdata/published"

// printed is a figure as printed, with half a unit of its last digit.
type printed struct{ value, half float64 }

func (p *printed) UnmarshalText(text []byte) error {
	value, decimals, err := quantity.Number(string(text))
	if err != nil {
		return err
	}
	*p = printed{value, 0.5 * math.Pow10(-decimals)}
	return nil
}

func (p printed) agrees(got float64) bool {
	return math.Abs(got-p.value) <= p.half+1e-12*math.Abs(p.value)
}

type functionCase struct {
	source.Where
	ID       string                    `key:"id" need:"yes"`
	Function string                    `key:"function" need:"yes"`
	Source   string                    `key:"source" need:"yes"`
	Given    source.OneOrMany[printed] `key:"given"`
	Gives    source.OneOrMany[printed] `key:"gives" need:"yes"`
}

type drawCase struct {
	source.Where
	ID           string   `key:"id" need:"yes"`
	Model        string   `key:"model" need:"yes"`
	Source       string   `key:"source" need:"yes"`
	Mean         printed  `key:"mean" need:"yes"`
	Deviation    printed  `key:"deviation" need:"yes"`
	Low          *printed `key:"low"`
	High         *printed `key:"high"`
	PrintedError printed  `key:"printed-error"`
}

type caseFile struct {
	source.Where
	Cases []functionCase `key:"cases"`
	Draws []drawCase     `key:"draws"`
}

func readCases(t *testing.T) caseFile {
	t.Helper()
	files, err := filepath.Glob(publishedDir + "/uncertainty-*/cases.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no published cases: %v", err)
	}
	var all caseFile
	var faults diag.List
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		var cf caseFile
		source.Decode(source.YAML(f, text, &faults), &cf, &faults)
		all.Cases = append(all.Cases, cf.Cases...)
		all.Draws = append(all.Draws, cf.Draws...)
	}
	for _, f := range faults.Sorted() {
		t.Error(f)
	}
	return all
}

func both(d Distribution) []float64 { return []float64{d.Mean(), d.Deviation()} }

// alternating parts a list of pairs.
func alternating(x []float64) (a, b []float64) {
	for i := 0; i+1 < len(x); i += 2 {
		a, b = append(a, x[i]), append(b, x[i+1])
	}
	return a, b
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

var functions = map[string]func(x []float64) []float64{
	"rectangular":         func(x []float64) []float64 { return both(Rectangular{x[0] - x[1], x[0] + x[1]}) },
	"triangular":          func(x []float64) []float64 { return both(Triangular{x[0], x[1], x[2]}) },
	"arcsine":             func(x []float64) []float64 { return both(Arcsine{x[0], x[1]}) },
	"trapezoidal":         func(x []float64) []float64 { return both(Trapezoidal{x[0], x[1], x[2]}) },
	"counts between":      func(x []float64) []float64 { return both(CountsBetween(int(x[0]), int(x[1]), int(x[2]))) },
	"normal quantile":     func(x []float64) []float64 { return []float64{Normal{0, 1}.Quantile(x[0])} },
	"triangular quantile": func(x []float64) []float64 { return []float64{Triangular{x[0], x[1], x[2]}.Quantile(x[3])} },
	"arcsine quantile":    func(x []float64) []float64 { return []float64{Arcsine{x[0], x[1]}.Quantile(x[2])} },
	"trapezoidal quantile": func(x []float64) []float64 {
		return []float64{Trapezoidal{x[0], x[1], x[2]}.Quantile(x[3])}
	},
	"specification": func(x []float64) []float64 {
		s := Specification{OfReading: x[0], OfRange: x[1], Digits: x[2]}
		return []float64{s.Limit(x[3], x[4], x[5]), s.Reading(x[3], x[4], x[5]).Deviation()}
	},
	"combined": func(x []float64) []float64 { return []float64{Combined(x)} },
	"together": func(x []float64) []float64 {
		ones := make([][]float64, len(x))
		for i := range ones {
			ones[i] = []float64{1, 1, 1}[:len(x)]
		}
		if u := must(Correlated(x, ones)); math.Abs(u-FullyCorrelated(x)) > 1e-9*u {
			panic("two ways to the same sum differ")
		}
		return []float64{FullyCorrelated(x)}
	},
	"difference": func(x []float64) []float64 {
		return []float64{must(Correlated([]float64{x[0], -x[1]}, [][]float64{{1, x[2]}, {x[2], 1}}))}
	},
	"product":  func(x []float64) []float64 { u, p := alternating(x); return []float64{must(Product(u, p))} },
	"freedom":  func(x []float64) []float64 { u, f := alternating(x); return []float64{must(EffectiveFreedom(u, f))} },
	"coverage": func(x []float64) []float64 { return []float64{Coverage(x[0], x[1])} },
	"expanded": func(x []float64) []float64 {
		u, f := alternating(x[1:])
		return []float64{Coverage(must(EffectiveFreedom(u, f)), x[0]) * Combined(u)}
	},
	"fractional saving": func(x []float64) []float64 {
		return []float64{must(FractionalSaving(Series{x[1], x[2], x[3], x[4]}, x[5], x[0]))}
	},
	"steps": func(x []float64) []float64 { b, a := alternating(x); return must(Steps(b, a)) },
	"ratio of difference": func(x []float64) []float64 {
		u := must(Correlated([]float64{x[1], -x[3]}, [][]float64{{1, 0}, {0, 1}}))
		return []float64{x[0] - x[2], (x[0] - x[2]) / u, 2 * u}
	},
	"squares to first order": func([]float64) []float64 {
		s := FirstOrder(models["squares"])
		return []float64{s.Best[0], s.Deviation[0]}
	},
	"energy of a line":      func([]float64) []float64 { s := FirstOrder(line); return []float64{s.Best[0], s.Deviation[0]} },
	"power of three phases": func([]float64) []float64 { s := FirstOrder(phases); return []float64{s.Best[0], s.Deviation[0]} },
}

// formula is a model of a plain function.
type formula struct {
	parameters []Parameter
	outputs    int
	evaluate   func(z, out []float64)
}

func (f formula) Parameters() []Parameter   { return f.parameters }
func (f formula) Outputs() int              { return f.outputs }
func (f formula) Evaluate(z, out []float64) { f.evaluate(z, out) }
func named(ds ...Distribution) (p []Parameter) {
	for i, d := range ds {
		p = append(p, Parameter{string(rune('a' + i)), d})
	}
	return p
}

func total(z, out []float64) {
	out[0] = 0
	for _, x := range z {
		out[0] += x
	}
}

var (
	meter = Specification{OfReading: 0.015, Digits: 5}
	line  = formula{named(meter.Reading(12.40, 0, 0.01), Rectangular{2700, 3300}, Triangular{0.60, 0.70, 0.80}), 1,
		func(z, out []float64) { out[0] = z[0] * z[1] * z[2] }}
	phases = formula{named(Specification{OfReading: 0.01, Digits: 5}.Reading(400, 0, 0.1), meter.Reading(52.0, 0, 0.1), Rectangular{0.79, 0.85}), 1,
		func(z, out []float64) { out[0] = math.Sqrt(3) * z[0] * z[1] * z[2] / 1e3 }}
	unit = Rectangular{-math.Sqrt(3), math.Sqrt(3)}
)

var models = map[string]formula{
	"four normals":    {named(Normal{0, 1}, Normal{0, 1}, Normal{0, 1}, Normal{0, 1}), 1, total},
	"four rectangles": {named(unit, unit, unit, unit), 1, total},
	"squares":         {named(Normal{0.050, 0.005}, Normal{0, 0.005}), 1, func(z, out []float64) { out[0] = z[0]*z[0] + z[1]*z[1] }},
	"line":            line,
	"common gain":     {named(Normal{0, 0.1}), 1, func(z, out []float64) { out[0] = z[0] + z[0] + z[0] }},
}

func TestPublishedFunctions(t *testing.T) {
	used := map[string]bool{}
	for _, c := range readCases(t).Cases {
		f := functions[c.Function]
		if f == nil {
			t.Errorf("%s: no function %q", c.Pos, c.Function)
			continue
		}
		used[c.Function] = true
		var given []float64
		for _, g := range c.Given {
			given = append(given, g.Value.value)
		}
		got := f(given)
		for i, g := range c.Gives {
			if i >= len(got) || !g.Value.agrees(got[i]) {
				t.Errorf("%s: %s: %s gives %v, printed %s", c.Pos, c.ID, c.Function, got, g.Text)
			}
		}
	}
	for name := range functions {
		if !used[name] {
			t.Errorf("%q has no published case", name)
		}
	}
}

func TestPublishedDraws(t *testing.T) {
	used := map[string]bool{}
	for _, c := range readCases(t).Draws {
		m, ok := models[c.Model]
		if !ok {
			t.Errorf("%s: no model %q", c.Pos, c.Model)
			continue
		}
		used[c.Model] = true
		r, err := Run(m, SeedOf([]byte(c.ID)), Options{Draws: 1_000_000, Coverage: 0.95})
		if err != nil {
			t.Fatal(err)
		}
		s := r.Outputs[0]
		own := c.PrintedError.value
		hold := func(what string, got float64, want *printed, error float64) {
			if want != nil && math.Abs(got-want.value) > 4*error+want.half+own {
				t.Errorf("%s: %s: %s %v ± %v, printed %v", c.Pos, c.ID, what, got, error, want.value)
			}
		}
		hold("mean", s.Mean, &c.Mean, s.MeanError)
		hold("deviation", s.Deviation, &c.Deviation, s.Deviation/math.Sqrt(2e6))
		hold("low end", s.Symmetric.Low, c.Low, s.EndError+0.002*s.Deviation)
		hold("high end", s.Symmetric.High, c.High, s.EndError+0.002*s.Deviation)
		t.Logf("%s: %+v", c.ID, s)
	}
	for name := range models {
		if !used[name] {
			t.Errorf("%q has no published case", name)
		}
	}
}

var statusLine = regexp.MustCompile(`(?m)^Status: (seen|secondary copy|from memory|computed)`)

func TestPublishedSources(t *testing.T) {
	cases := readCases(t)
	check := func(pos diag.Pos, name string) {
		text, err := os.ReadFile(filepath.Join(filepath.Dir(pos.File), "source.md"))
		if err != nil {
			t.Fatal(err)
		}
		_, section, ok := strings.Cut(string(text), "\n## "+name+"\n")
		section, _, _ = strings.Cut(section, "\n## ")
		if !ok || !statusLine.MatchString(section) {
			t.Errorf("%s: no section %q with its status", pos, name)
		}
	}
	for _, c := range cases.Cases {
		check(c.Pos, c.Source)
	}
	for _, c := range cases.Draws {
		check(c.Pos, c.Source)
	}
	t.Logf("%d functions, %d draws", len(cases.Cases), len(cases.Draws))
}
