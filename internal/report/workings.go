package report

import (
	"fmt"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/working"
)

// WorkingsSection shows how every figure was worked out.
type WorkingsSection struct {
	Section
	Intro   string
	Explain []Explanation
	Life    *LifeTable
	Parted  bool // something stands before the formulas
	Works   []Work
}

// Work is one formula with its use on this site.
type Work struct {
	ID, Title, Source    string
	Left                 *Math
	Symbolic, Numeric    *Math // nil where the formula cannot be set: Plain then
	Plain, Reason        string
	Result, Note, Origin string
	Origins              []Origin
	More                 *WorkTable
}

// Origin says where a symbol's number comes from.
type Origin struct {
	Symbol                 *Symbol
	Label, Value, Kind, At string
	Link                   string
}

// WorkTable holds the further uses of a formula.
type WorkTable struct {
	Caption string
	Heads   []*Symbol
	Rows    []WorkRow
	Left    string
}

// WorkRow is one further use of a formula.
type WorkRow struct {
	ID, Label string
	Cells     []string
	Result    string
}

func (v *visit) workings() WorkingsSection {
	s := WorkingsSection{Section: v.section("workings", v.workingsHeading(len(v.works.groups)))}
	if len(v.works.groups) > 0 {
		s.Intro = v.S("Each figure rests on a reading, on an assumption with its reason, on a price of the tariff, or on one of these formulas. Numbers are printed with more digits than are known, so that each step can be worked again; the figures of part A are rounded to what their doubt allows.")
	}
	for _, l := range v.YearLines {
		s.Explain = append(s.Explain, v.explain(l))
	}
	s.Life = v.lifeTable()
	s.Parted = len(s.Explain) > 0 || s.Life != nil
	for _, g := range v.works.groups {
		s.Works = append(s.Works, v.work(g))
	}
	return s
}

func (v *visit) work(g *workGroup) Work {
	w := Work{ID: anchor(g.first.ID), Title: v.workTitle(g), Note: v.sentence(g.first.Note), Result: v.result(g.first)}
	if g.first.Formula == nil {
		w.Reason = v.sentence(capital(g.first.Reason))
		w.Origins = v.origins(g.first, nil)
	} else {
		w.Source = v.polished(v.S(g.first.Formula.Source))
		v.setFormula(&w, g.first)
		w.Origins = v.origins(g.first, g.first.Formula)
	}
	if len(g.more) > 0 {
		w.More = v.workTable(g)
	}
	return w
}

func (v *visit) workTitle(g *workGroup) string {
	title := capital(v.stepLabel(g.first, ""))
	if n := len(g.more) + g.left; n > 0 {
		title = v.N(n, "%[2]s, and one figure worked out alike", "%[2]s, and %[1]s figures worked out alike", v.numeral(n), title)
	}
	return title
}

// stepLabel words a step, with whose it is where that is not said already: by
// its own words, or as it is the same as that of what stands around it.
func (v *visit) stepLabel(s working.Step, around string) string {
	label, owner := v.typed(s.Label), v.Sheet.Owner(s.ID)
	if owner == "" || owner == around {
		return label
	}
	if owner = v.typed(owner); strings.Contains(label, owner) {
		return label
	}
	return label + ", " + owner
}

func (v *visit) result(s working.Step) string {
	number, unit := v.quantityText(s)
	return v.withUnit(number, unit)
}

// setFormula sets the formula in symbols and with this site's numbers; one that
// cannot be parsed is printed as it is written.
func (v *visit) setFormula(w *Work, s working.Step) {
	eq, err := parseFormula(s.Formula.Text)
	eq.relocate(v.point)
	if err != nil || eq.right == nil {
		w.Plain = s.Formula.Text
		return
	}
	w.Left = layout(eq.left, nil)
	w.Symbolic = layout(open(eq.right), nil)
	subs := v.substitutes(s, eq.right)
	for name := range subs {
		if !eq.right.holds(name) {
			return // a number without a place in the text would mislead
		}
	}
	w.Numeric = layout(open(eq.right), subs)
}

func (v *visit) substitutes(s working.Step, right *expr) substitutes {
	subs := substitutes{}
	symbols := seriesSymbols(s.Formula, right)
	for i, id := range s.From {
		from, ok := v.Sheet.Get(id)
		if !ok {
			continue
		}
		symbol := symbolAt(s.Formula, i)
		if len(symbols) > 0 {
			symbol = symbols[i%len(symbols)]
		}
		if symbol != "" {
			subs[symbol] = append(subs[symbol], quantityMath(v.quantityText(from)))
		}
	}
	return subs
}

// seriesSymbols are the symbols that the members of a series stand for by
// turns: the formula's own where it is in the text, else those of the text, as
// in a sum of products whose factors alternate.
func seriesSymbols(f *working.Formula, right *expr) []string {
	if f == nil || !f.Series || len(f.Symbols) == 0 {
		return nil
	}
	if right.holds(f.Symbols[0]) {
		return f.Symbols[:1]
	}
	return right.symbols(nil)
}

// symbolAt is the symbol of a formula's i-th argument.
func symbolAt(f *working.Formula, i int) string {
	switch {
	case f == nil || len(f.Symbols) == 0:
		return ""
	case f.Series:
		return f.Symbols[0]
	case i < len(f.Symbols):
		return f.Symbols[i]
	}
	return ""
}

// mostOrigins is how many members of a series are listed by origin.
const mostOrigins = 12

func (v *visit) origins(s working.Step, f *working.Formula) []Origin {
	var out []Origin
	names := originSymbols(f)
	for i, id := range s.From {
		if i == mostOrigins && len(s.From) > mostOrigins+1 {
			out = append(out, Origin{Label: v.F("and %d more", len(s.From)-mostOrigins)})
			break
		}
		from, ok := v.Sheet.Get(id)
		if !ok {
			continue
		}
		if i < len(names) && names[i] == "" && !f.Series {
			continue // a change of unit: the numbers are printed with theirs
		}
		o := v.origin(from)
		o.Label = v.stepLabel(from, v.Sheet.Owner(s.ID))
		if i < len(names) {
			o.Symbol = plainSymbol(names[i])
		}
		out = append(out, o)
	}
	return out
}

// originSymbols are the symbols of a formula's arguments; of a series, those of
// its first members.
func originSymbols(f *working.Formula) []string {
	if f == nil {
		return nil
	}
	if eq, err := parseFormula(f.Text); err == nil && eq.right != nil && f.Series {
		return seriesSymbols(f, eq.right)
	}
	return f.Symbols
}

func (v *visit) origin(s working.Step) Origin {
	number, unit := v.quantityText(s)
	o := Origin{Label: v.typed(s.Label), Value: v.withUnit(number, unit), Kind: v.stepKind(s.Kind), Link: v.link(s.ID)}
	switch {
	case s.Kind == working.Assumed && o.Link != "":
		o.Kind = v.F("assumption %s", strings.TrimPrefix(o.Link, "#a-"))
	case s.Kind == working.Measured && readingOf(s.ID) != "":
		o.Kind = v.F("reading %s", readingOf(s.ID))
	case s.Kind == working.Derived || s.Kind == working.Modelled:
		o.Kind = ""
	}
	if s.Kind == working.Stated || s.Kind == working.Assumed {
		o.At = v.at(s.Pos)
	}
	return o
}

// stepKind says what a number rests on.
func (f format) stepKind(k working.Kind) string {
	switch k {
	case working.Measured:
		return f.S("measured")
	case working.Stated:
		return f.S("stated")
	case working.Assumed:
		return f.S("assumed")
	case working.Modelled:
		return f.S("modelled")
	}
	return f.S("derived")
}

// at is where something is typed: file and line, a file of the site by its place
// in the site's folder.
func (v *visit) at(p diag.Pos) string {
	return strings.TrimPrefix(at(p), v.Record.Dir+"/")
}

// at is where something is typed: file and line.
func at(p diag.Pos) string {
	if !p.IsSet() {
		return ""
	}
	return fmt.Sprintf("%s:%d", p.File, p.Line)
}

func (v *visit) workTable(g *workGroup) *WorkTable {
	t := &WorkTable{Caption: v.S("By the same formula")}
	f := g.first.Formula
	if f == nil {
		t.Caption = v.S("Found in the same way")
	}
	columns := f != nil && !f.Series
	if columns {
		for _, s := range f.Symbols {
			if s != "" {
				t.Heads = append(t.Heads, plainSymbol(s))
			}
		}
	}
	for _, s := range g.more {
		row := WorkRow{ID: anchor(s.ID), Label: v.stepLabel(s, ""), Result: v.result(s)}
		if columns {
			row.Cells = v.cells(s)
		} else if f != nil {
			row.Label = v.F("%s, %s", row.Label, v.memberText(s))
		}
		t.Rows = append(t.Rows, row)
	}
	if g.left > 0 {
		t.Left = capital(v.N(g.left, "one more like these is not printed; auditgen explain prints any of them.", "%s more like these are not printed; auditgen explain prints any of them.", v.numeral(g.left)))
	}
	return t
}

func (v *visit) cells(s working.Step) []string {
	var out []string
	for i, symbol := range s.Formula.Symbols {
		if symbol == "" || i >= len(s.From) {
			continue
		}
		cell := ""
		if from, ok := v.Sheet.Get(s.From[i]); ok {
			cell = v.result(from)
		}
		out = append(out, cell)
	}
	return out
}

// memberText lists the members of a short series, and counts those of a long one.
func (v *visit) memberText(s working.Step) string {
	if len(s.From) > 2*longest {
		return v.F("of %d members", len(s.From))
	}
	parts := make([]string, 0, len(s.From))
	for _, id := range s.From {
		if from, ok := v.Sheet.Get(id); ok {
			parts = append(parts, v.result(from))
		}
	}
	return v.F("of %s", v.list(parts))
}
