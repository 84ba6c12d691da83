package waveform

import (
	"fmt"
	"slices"
	"strings"

	"auditgen/internal/diag"
)

// header reads the header line, the line of units that may follow it, and finds
// the columns.
func (r *reader) header() bool {
	record, ok := r.next()
	if !ok {
		return false
	}
	r.width = len(record)
	for i, cell := range record {
		line, col := r.field(i)
		r.cells = append(r.cells, [2]int{line, col})
		name, unit := headed(cell)
		r.names, r.units = append(r.names, name), append(r.units, unit)
	}
	r.unitLine()
	r.findTime()
	if len(r.columns.Channels) > 0 {
		r.mapped()
	} else {
		r.named()
	}
	if len(r.channels) == 0 && r.faults.Len() == r.before {
		r.at(r.cells[0][0], 1, "no column holds a voltage or a current", "columns such as u [V], i [A], u_a [V]")
	}
	return r.faults.Len() == r.before
}

// unitLine takes the line behind the header as units where no column of the
// header has one and each of its cells is a unit.
func (r *reader) unitLine() {
	if slices.ContainsFunc(r.units, func(u string) bool { return u != "" }) {
		return
	}
	rest := strings.Split(string(r.blanked[:min(len(r.blanked), 1<<20)]), "\n")
	if r.cells[0][0] >= len(rest) {
		return
	}
	for _, line := range rest[r.cells[0][0]:] {
		line = strings.TrimSpace(line)
		if line == "" {
			continue
		}
		cells := strings.Split(line, string(r.csv.Comma))
		if len(cells) != r.width || slices.ContainsFunc(cells, func(c string) bool { return !isUnit(bare(c)) }) {
			return
		}
		if _, ok := r.next(); !ok {
			return
		}
		r.unitRow = true
		for i, c := range cells {
			r.units[i] = bare(c)
		}
		return
	}
}

// bare takes the brackets off a unit.
func bare(cell string) string { return strings.Trim(strings.TrimSpace(cell), `[]()"`) }

func isUnit(u string) bool {
	_, value := valueUnits[u]
	_, time := timeUnits[u]
	return value || time
}

func (r *reader) findTime() {
	r.time.at = -1
	if r.columns.Rate > 0 && r.columns.Time == "" {
		return
	}
	words := []string{"time", "t"}
	if r.columns.Time != "" {
		words = []string{r.columns.Time}
	}
	i := r.column(words...)
	if i < 0 {
		r.at(r.cells[0][0], 1, "there is no time column", "a column named "+diag.Choice(words)+" with its unit, or the sample rate stated beside the file")
		return
	}
	if r.columns.Rate > 0 {
		r.at(r.cells[i][0], r.cells[i][1], "both a time column and a sample rate are stated", "one of them")
		return
	}
	scale, ok := timeUnits[r.units[i]]
	if !ok {
		what := fmt.Sprintf("unknown unit of time %q", r.units[i])
		if r.units[i] == "" {
			what = "the time column has no unit"
		}
		r.at(r.cells[i][0], r.cells[i][1], what, "s, ms, us or ns, such as time [ms]")
		return
	}
	r.time = column{i, scale}
}

// column finds a column by one of some names, capitals aside; -1 when none.
func (r *reader) column(names ...string) int {
	return slices.IndexFunc(r.names, func(n string) bool {
		return slices.ContainsFunc(names, func(w string) bool { return strings.EqualFold(n, strings.TrimSpace(w)) })
	})
}

// named finds the channels by the names in the header: every column must say
// what it holds.
func (r *reader) named() {
	for i, text := range r.names {
		if i == r.time.at || r.time.at < 0 && (strings.EqualFold(text, "time") || strings.EqualFold(text, "t")) {
			continue
		}
		if text == "" && r.units[i] == "" && i == r.width-1 {
			continue // a separator at the end of every line
		}
		n, err := NameOf(text)
		if err != nil {
			r.problem(i, err)
			continue
		}
		r.wire(i, n, r.units[i], Factor{})
	}
}

// mapped finds the channels by the map.
func (r *reader) mapped() {
	for _, c := range r.columns.Channels {
		i := r.column(c.Column)
		if i < 0 {
			r.faults.Add(diag.Fault{
				Pos: r.pos(r.cells[0][0], 1), What: fmt.Sprintf("there is no column %q", c.Column),
				Expected: diag.Choice(r.names), Nearest: diag.Nearest(c.Column, r.names),
			})
			continue
		}
		unit := r.units[i]
		if c.Unit != "" && unit != "" && c.Unit != unit {
			r.at(r.cells[i][0], r.cells[i][1], fmt.Sprintf("the header has %s, the map %s", unit, c.Unit), "one unit")
			continue
		}
		if unit == "" {
			unit = c.Unit
		}
		r.wire(i, c.Is, unit, c.Worth)
	}
}

func (r *reader) wire(i int, n Name, unit string, f Factor) {
	if unit == "" {
		r.at(r.cells[i][0], r.cells[i][1], fmt.Sprintf("the column %q has no unit", r.names[i]), "its unit behind the name, such as "+n.String()+" ["+n.Kind.Base()+"]")
		return
	}
	for _, c := range r.channels {
		if c.Name.Kind == n.Kind && c.Name.Phase == n.Phase {
			r.at(r.cells[i][0], r.cells[i][1], fmt.Sprintf("%s stands in two columns, %q and %q", n, c.Column, r.names[i]), "one of them")
			return
		}
	}
	scale, err := f.scale(n.Kind, unit)
	if err != nil {
		r.problem(i, err)
		return
	}
	if n.Reversed {
		scale, n.Reversed = -scale, false
	}
	r.channels = append(r.channels, Channel{Name: n, Column: r.names[i]})
	r.wired = append(r.wired, column{i, scale})
}

func (r *reader) problem(i int, err error) {
	if p, ok := err.(*diag.Problem); ok {
		r.faults.Add(p.At(r.pos(r.cells[i][0], r.cells[i][1])))
		return
	}
	r.at(r.cells[i][0], r.cells[i][1], err.Error(), "")
}
