// Package published reads worked examples of documents outside the project and
// holds formulas to them. It is for tests.
package published

import (
	"fmt"
	"io/fs"
	"math"
	"path"
	"regexp"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
	"auditgen/internal/working"
)

// Case is what a formula makes of some figures.
type Case struct {
	source.Where
	ID      string                   `key:"id" need:"yes"`
	Formula string                   `key:"formula" need:"yes"`
	Source  string                   `key:"source" need:"yes"` // section of the source.md beside it
	Given   source.OneOrMany[Figure] `key:"given" need:"yes"`
	Gives   source.At[Figure]        `key:"gives" need:"yes"`
}

type file struct {
	source.Where
	Cases []Case `key:"cases" need:"yes"`
}

// Figure is a figure as printed: its value in base units, and half a unit of its
// last printed digit.
type Figure struct{ Value, Half float64 }

// UnmarshalText reads a number with or without a unit.
func (p *Figure) UnmarshalText(text []byte) error {
	number, unit, _ := strings.Cut(string(text), " ")
	value, decimals, err := quantity.Number(number)
	if err != nil {
		return err
	}
	scale, ok := scales()[unit]
	if !ok {
		return &diag.Problem{What: fmt.Sprintf("unknown unit %q", unit)}
	}
	*p = Figure{value * scale, 0.5 * math.Pow10(-decimals) * scale}
	return nil
}

// scales holds the units that examples are printed in, and no unit for plain
// numbers, years and amounts.
func scales() map[string]float64 {
	m := map[string]float64{"": 1, "kg": 1, "t": 1000}
	for _, k := range []*quantity.Kind{
		quantity.KindOf[quantity.VoltsLL](), quantity.KindOf[quantity.Amperes](), quantity.KindOf[quantity.Watts](), quantity.KindOf[quantity.VoltAmperes](),
		quantity.KindOf[quantity.Vars](), quantity.KindOf[quantity.WattHours](), quantity.KindOf[quantity.Hours](), quantity.KindOf[quantity.Ratio](),
		quantity.KindOf[quantity.Hertz](), quantity.KindOf[quantity.KgPerWh](),
	} {
		for _, u := range k.Units {
			m[u.Symbol] = u.Scale
		}
	}
	return m
}

var statusLine = regexp.MustCompile(`(?m)^Status: (seen|secondary copy|from memory|computed|common practice, no source)`)

// Read reads cases.yaml of a folder of the tree and holds the sources that they
// name against the source.md beside it.
func Read(tree fs.FS, group string) ([]Case, error) {
	name := path.Join(group, "cases.yaml")
	text, err := fs.ReadFile(tree, name)
	if err != nil {
		return nil, err
	}
	notes, err := fs.ReadFile(tree, path.Join(group, "source.md"))
	if err != nil {
		return nil, err
	}
	var faults diag.List
	var f file
	source.Decode(source.YAML(name, text, &faults), &f, &faults)
	for _, c := range f.Cases {
		_, section, ok := strings.Cut(string(notes), "\n## "+c.Source+"\n")
		section, _, _ = strings.Cut(section, "\n## ")
		if !ok || !statusLine.MatchString(section) {
			faults.At(c.Pos, fmt.Sprintf("source.md has no section %q with a status", c.Source), "")
		}
	}
	return f.Cases, faults.Err()
}

// Check works a case out; the error tells by how much it is missed.
func (c Case) Check() error {
	var f *working.Formula
	for _, known := range working.Formulas() {
		if known.Name == c.Formula {
			f = known
		}
	}
	if f == nil {
		return fmt.Errorf("%s: no formula %q", c.Pos, c.Formula)
	}
	if !f.Series && len(c.Given) != len(f.Symbols) {
		return fmt.Errorf("%s: %d figures for the arguments %v", c.Pos, len(c.Given), f.Symbols)
	}
	got := c.eval(f)
	want := c.Gives.Value
	// The second term is the rounding of binary fractions alone.
	if !(math.Abs(got-want.Value) <= want.Half+1e-12*math.Abs(want.Value)) {
		return fmt.Errorf("%s: %s: %s gives %.12g, printed %s", c.Pos, c.ID, c.Formula, got, c.Gives.Text)
	}
	return nil
}

// eval works a formula out by way of a sheet, which knows exact ones too.
func (c Case) eval(f *working.Formula) float64 {
	args := make([]float64, len(c.Given))
	for i, g := range c.Given {
		args[i] = g.Value.Value
	}
	if v := f.Eval(args...); !math.IsNaN(v) {
		return v
	}
	var s working.Sheet
	ids := make([]string, len(args))
	for i, v := range args {
		ids[i] = s.PutExact(working.Step{ID: fmt.Sprint(i), Kind: working.Stated}, decimal.NewFromFloat(v))
	}
	return s.ApplyExact(f, "result", "", "", ids...).InexactFloat64()
}

// Uncovered lists the formulas that no case in any folder of the tree is about.
func Uncovered(tree fs.FS, formulas []*working.Formula) []string {
	groups, _ := fs.Glob(tree, "*/cases.yaml")
	var all strings.Builder
	for _, g := range groups {
		text, _ := fs.ReadFile(tree, g)
		all.Write(text)
	}
	var names []string
	for _, f := range formulas {
		if !strings.Contains(all.String(), "formula: "+f.Name+",") && !strings.Contains(all.String(), `formula: "`+f.Name+`",`) {
			names = append(names, f.Name)
		}
	}
	return names
}
