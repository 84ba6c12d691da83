package report

import (
	"slices"

	"auditgen/internal/audit"
	record "auditgen/internal/site"
	"auditgen/internal/working"
)

// ReadingsSection is what the meter showed, what follows from it, and what is
// doubted.
type ReadingsSection struct {
	Section
	Intro   []string
	Blocks  []ReadingBlock
	Phasors []PhasorFigure
	Points  []PointRow
	Apart   string      // said where no point can be held against its parts
	Doubts  []DoubtLine // about no single reading
	Derived bool
}

// ReadingBlock is a reading with its phases.
type ReadingBlock struct {
	ID, Anchor, Where, When, Notes string
	Rows                           []PhaseRow
	Doubts                         []DoubtLine
}

// PhaseRow is a phase, the total or the neutral.
type PhaseRow struct {
	Name  string
	Total bool
	Cells [7]Cell // V, A, kW, kvar, kVA, PF, THD of the current in %
}

// Cell is a value; Mark tells a derived value, Link leads to its working.
type Cell struct{ Text, Mark, Link string }

// DoubtLine is a reason not to take a reading at its word.
type DoubtLine struct {
	Word                string // what it is: a doubt, or a danger
	What, Cause, Retake string
}

// PointRow is a point of the board tree.
type PointRow struct {
	Name, Reading, Link, Measured, Children, Unexplained, Tolerance, Result string
	Depth                                                                   int
	Bar                                                                     *TreeBar
}

// TreeBar is the power at a point: what was measured, what was derived from the
// points below, and what is unexplained, from one place to another.
type TreeBar struct{ Solid, Pale, From, Unexplained string }

func (v *visit) readings() ReadingsSection {
	rs := v.Assessment.Readings
	of, whole := v.doubtsByReading()
	doubtful := 0
	for _, r := range rs {
		if len(of[r.ID]) > 0 {
			doubtful++
		}
	}
	s := ReadingsSection{Section: v.section("readings", v.readingsHeading(len(rs), doubtful, v.closure(v.Tree)))}
	if len(rs) == 0 {
		s.Intro = []string{v.S("Without readings the report rests on plates and judgement alone.")}
	}
	for _, r := range rs {
		b := v.readingBlock(r, of[r.ID])
		if f := v.phasors(r); f != nil {
			s.Phasors = append(s.Phasors, *f)
		}
		for _, row := range b.Rows {
			for _, c := range row.Cells {
				s.Derived = s.Derived || c.Mark != ""
			}
		}
		s.Blocks = append(s.Blocks, b)
	}
	for _, d := range whole {
		s.Doubts = append(s.Doubts, v.doubtLine(d))
	}
	greatest, checked := 0.0, false
	for _, n := range v.Tree {
		greatest = max(greatest, n.Measured.V, n.Children.V)
	}
	for _, n := range v.Tree {
		row := v.pointRow(n)
		row.Bar = treeBar(n, greatest)
		s.Points = append(s.Points, row)
		checked = checked || n.Unexplained.Known() && !n.Rest
	}
	if len(v.Tree) > 1 && !checked {
		s.Apart = v.S("No board was read together with all that it feeds, so none can be held against its parts.")
	}
	return s
}

func (v *visit) readingBlock(r audit.Reading, doubts []audit.Doubt) ReadingBlock {
	b := ReadingBlock{ID: r.ID, Anchor: "r-" + r.ID, Where: r.PointName, When: r.Time}
	if r.At != r.Point {
		b.Where += v.F(", way %s", r.At)
	}
	if r.Of != "" {
		b.Where += ": " + r.Of
	}
	b.Notes = string(r.Wiring)
	if r.Balanced {
		b.Notes += v.S(", one phase for three")
	}
	if raw, ok := v.Record.ReadingByID(r.ID); ok {
		b.Notes += v.behind(raw.Ratios)
		if raw.Wave != nil {
			b.Notes += v.F(", from samples in %s", raw.Wave.File.Value)
		}
	}
	for _, n := range r.Notes {
		b.Notes += "; " + n
	}
	if r.Sequence != "" {
		b.Notes += v.F(", sequence %s", r.Sequence)
	}
	if r.Frequency.Known() {
		b.Notes += ", " + v.withUnit(v.number(r.Frequency.V, 2), "Hz")
	}
	if r.VoltageUnbalance.Known() {
		b.Notes += v.F(", voltage unbalance %s", v.percent(r.VoltageUnbalance.V, 1))
	}
	for i, name := range [3]string{"AB", "BC", "CA"} {
		if slices.ContainsFunc(r.Phases, func(p audit.Phase) bool { return p.Name == name }) {
			continue // a load between two lines has its voltage in its own row
		}
		if r.Wattmeters[i].Known() || r.Lines[i].Known() {
			row := PhaseRow{Name: name}
			row.Cells[0], row.Cells[2] = v.cell(r.Lines[i], 1, 1), v.cell(r.Wattmeters[i], 1000, 2)
			b.Rows = append(b.Rows, row)
		}
	}
	for _, p := range r.Phases {
		b.Rows = append(b.Rows, v.phaseRow(p, r, false))
	}
	if r.Neutral.Known() {
		row := PhaseRow{Name: "N"}
		row.Cells[1] = v.cell(r.Neutral, 1, 1)
		b.Rows = append(b.Rows, row)
	}
	if len(r.Phases) != 1 || r.Balanced {
		if row := v.phaseRow(r.Total, r, true); !row.empty() {
			b.Rows = append(b.Rows, row)
		}
	}
	for _, d := range doubts {
		b.Doubts = append(b.Doubts, v.doubtLine(d))
	}
	return b
}

func (f format) doubtLine(d audit.Doubt) DoubtLine {
	word := f.S("Doubt.")
	if d.Safety {
		word = f.S("Danger.")
	}
	return DoubtLine{word, f.sentence(capital(d.What)), f.sentence(lower(d.Cause)), f.sentence(lower(d.Retake))}
}

// behind tells which instrument transformers a meter stood behind, and where
// their ratios came in.
func (f format) behind(r *record.Ratios) string {
	if r == nil {
		return ""
	}
	text := ""
	if r.CT.IsSet() {
		text += f.F(", current transformer %s", r.CT.Text)
	}
	if r.VT.IsSet() {
		text += f.F(", voltage transformer %s", r.VT.Text)
	}
	if r.Set.Value {
		return text + f.S(" (set in the meter)")
	}
	return text + f.S(" (applied here, once)")
}

// doubtsByReading sorts the doubts by the reading that they are about; those
// about none that is printed come apart.
func (v *visit) doubtsByReading() (of map[string][]audit.Doubt, whole []audit.Doubt) {
	of = map[string][]audit.Doubt{}
	for _, d := range v.Assessment.Doubts {
		if v.anchors["r-"+d.Reading] {
			of[d.Reading] = append(of[d.Reading], d)
			for _, also := range d.Also {
				same := d
				same.What = v.F("what spoils %s spoils this reading too", d.Reading)
				of[also] = append(of[also], same)
			}
		} else {
			whole = append(whole, d)
		}
	}
	return of, whole
}

func (r PhaseRow) empty() bool { return r.Cells == [7]Cell{} }

func (v *visit) phaseRow(p audit.Phase, r audit.Reading, total bool) PhaseRow {
	row := PhaseRow{Name: p.Name, Total: total}
	if total {
		row.Name = v.S("total")
	}
	row.Cells = [7]Cell{
		v.cell(p.Voltage, 1, 1), v.cell(p.Current, 1, 1), v.cell(p.Power, 1000, 2), v.cell(p.Reactive, 1000, 2),
		v.cell(p.Apparent, 1000, 2), v.cell(p.PF, 1, 2), {},
	}
	for _, w := range r.Waves {
		if w.Kind == "current" && w.Phase == p.Name && !total {
			row.Cells[6] = v.cell(w.THD, 0.01, 1)
		}
	}
	return row
}

// cell writes a value divided by scale. What the meter showed stands bare; what
// follows from it is marked.
func (v *visit) cell(x audit.Value, scale float64, decimals int) Cell {
	c := Cell{Text: v.valueText(x, scale, decimals)}
	if x.Known() && x.Kind == working.Derived {
		c.Mark = "d"
		if v.works.printed[x.Step] {
			c.Link = "#" + anchor(x.Step)
		}
	}
	return c
}

func (v *visit) pointRow(n audit.Node) PointRow {
	row := PointRow{Name: n.Name, Reading: n.Reading, Link: v.readingLink(n.Reading), Depth: n.Depth,
		Measured: v.valueText(n.Measured, 1000, 1), Children: v.valueText(n.Children, 1000, 1),
		Unexplained: v.valueText(n.Unexplained, 1000, 1), Tolerance: v.valueText(n.Tolerance, 1000, 1)}
	switch {
	case n.Unexplained.Known() && n.Rest:
		row.Result = v.S("the rest goes to circuits of its own")
	case n.Unexplained.Known() && n.Agrees:
		row.Result = v.S("agrees")
	case n.Unexplained.Known():
		row.Result = v.S("does not agree")
	case n.Children.Known():
		row.Result = v.S("derived from what it feeds")
	case !n.Measured.Known():
		row.Measured = v.S("not measured")
	}
	return row
}

// treeBar draws a point's power against the greatest.
func treeBar(n audit.Node, greatest float64) *TreeBar {
	if greatest <= 0 || n.Measured.V < 0 || n.Children.V < 0 {
		return nil
	}
	switch {
	case n.Unexplained.Known():
		low, high := min(n.Measured.V, n.Children.V), max(n.Measured.V, n.Children.V)
		return &TreeBar{Solid: width(low / greatest), From: width(low / greatest), Unexplained: width((high - low) / greatest)}
	case n.Measured.Known():
		return &TreeBar{Solid: width(n.Measured.V / greatest)}
	case n.Children.Known():
		return &TreeBar{Pale: width(n.Children.V / greatest)}
	}
	return nil
}
