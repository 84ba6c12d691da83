package intake

import (
	"fmt"
	"slices"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/source"
)

// header finds the columns of the map in the header line.
func (r *csvReader) header() bool {
	record, ok := r.next()
	if !ok {
		return false
	}
	r.width = len(record)
	names := make([]string, len(record))
	for i, cell := range record {
		names[i] = strings.TrimSpace(cell)
	}
	h := &headerLine{csvReader: r, names: names, used: make([]bool, len(names))}
	h.time()
	r.durationAt = h.own(r.columns.Duration, "duration_s")
	r.tidy = r.utc && len(r.columns.Start) == 0 && r.durationAt >= 0
	r.qualityAt = -1
	if q := r.columns.Quality; q != nil {
		r.qualityAt = h.named(q.Name)
	} else {
		r.qualityAt = h.own("", "quality")
	}
	h.channels()
	r.decimal = byte(r.columns.Decimal.Value)
	r.clock.format = r.columns.Format.Value
	for i, used := range h.used {
		if !used && names[i] != "" {
			line, column := r.csv.FieldPos(i)
			r.log.Account.note(Unused, r.pos(line, column), "column %q", names[i])
		}
	}
	return r.faults.Len() == r.before
}

type headerLine struct {
	*csvReader
	names []string
	used  []bool
}

// find gives the column of a name, -1 when there is none.
func (h *headerLine) find(name string) int {
	i := slices.Index(h.names, name)
	if i >= 0 {
		h.used[i] = true
	}
	return i
}

// named finds a column that the map names; a fault when it is not there, or
// there twice.
func (h *headerLine) named(name source.At[string]) int {
	i := h.find(name.Value)
	switch {
	case i < 0:
		h.faults.Add(diag.Fault{Pos: name.Pos, What: fmt.Sprintf("%s has no column %q", h.file, name.Value), Expected: "one of " + list(h.names), Nearest: diag.Nearest(name.Value, h.names)})
	case slices.Contains(h.names[i+1:], name.Value):
		h.faults.At(name.Pos, fmt.Sprintf("%s has two columns %q", h.file, name.Value), "names that differ")
	}
	return i
}

// own finds a column by the name in the map, or else by ours; -1 for none.
func (h *headerLine) own(stated, ours string) int {
	if stated != "" {
		return h.named(source.At[string]{Value: stated, Pos: h.columns.Pos})
	}
	return h.find(ours)
}

func (h *headerLine) time() {
	for _, name := range h.columns.Start {
		h.timeAt = append(h.timeAt, h.named(name))
	}
	for _, ours := range []string{"start_utc", "start"} {
		if len(h.timeAt) == 0 {
			if i := h.find(ours); i >= 0 {
				h.timeAt = []int{i}
			}
		}
	}
	if len(h.timeAt) == 0 {
		h.at(h.line(), 1, "no column is known to hold the time", "start: with the name of one of "+list(h.names)+" in the column map")
		return
	}
	h.utc = slices.ContainsFunc(h.timeAt, func(i int) bool { return i >= 0 && strings.HasSuffix(h.names[i], "_utc") })
}

func (h *headerLine) line() int {
	line, _ := h.csv.FieldPos(0)
	return line
}

// channels finds the columns of figures: those of the map, or ours.
func (h *headerLine) channels() {
	c := h.columns
	wanted := []struct {
		column      *Column
		plus, minus Channel
		signed      bool
		ours        []string
	}{
		{c.Import, Import, Import, false, []string{"energy_kwh", "kWh"}},
		{c.Net, Import, Export, true, nil},
		{c.Export, Export, Export, false, []string{"export_kwh"}},
		{c.Lagging, Lagging, Lagging, false, []string{"reactive_kvarh", "kvarh"}},
		{c.Reactive, Lagging, Leading, true, nil},
		{c.Leading, Leading, Leading, false, []string{"leading_kvarh"}},
	}
	mapped := slices.ContainsFunc(wanted, func(w struct {
		column      *Column
		plus, minus Channel
		signed      bool
		ours        []string
	}) bool {
		return w.column != nil
	})
	for _, w := range wanted {
		f := figureColumn{Column: w.column, plus: w.plus, minus: w.minus, signed: w.signed, at: -1}
		switch {
		case w.column != nil:
			f.at = h.named(w.column.Name)
		case !mapped:
			f.Column = &Column{}
			for _, name := range w.ours {
				if f.at < 0 {
					f.at = h.find(name)
				}
			}
		}
		if f.at < 0 {
			continue
		}
		h.unitOf(&f)
		h.log.Has.add(f.plus)
		if f.signed {
			h.log.Has.add(f.minus)
		}
		h.figures = append(h.figures, f)
	}
	h.together()
}

// together checks what must hold of the columns together.
func (h *headerLine) together() {
	switch {
	case h.faults.Len() > h.before:
	case !h.log.Has.Has(Import):
		h.at(h.line(), 1, "no column is known to hold active energy", "import: or net: with the name of one of "+list(h.names)+" in the column map")
	default:
		for _, f := range h.figures {
			if f.Register != h.figures[0].Register {
				h.faults.At(f.Pos, "some columns are registers and some are not", "register: yes for all figures of a file, or for none")
			}
			if f.Register && h.columns.Clock.Value == SumUp {
				h.faults.At(h.columns.Clock.Pos, "registers are not summed where the clock repeats an hour", "clock: changes or clock: standard")
			}
		}
	}
}

// unitOf finds the unit of a column: that of the map, that of the header; a fault
// where there is none, or where the two differ.
func (h *headerLine) unitOf(f *figureColumn) {
	cell := h.names[f.at]
	reactive := f.plus >= Lagging
	kinds := unitSymbols(reactive)
	written, inHeader := headerUnit(cell)
	if !f.Unit.IsSet() {
		f.unit = written
		if !inHeader {
			h.faults.At(h.field(f.at), fmt.Sprintf("column %q has no unit", cell), "unit: with one of "+list(kinds)+" beside it in the column map")
			return
		}
		if written.kvar != reactive {
			h.faults.At(h.field(f.at), fmt.Sprintf("column %q is in %s, and %s is not", cell, written.symbol, f.plus), "one of "+list(kinds))
		}
	} else {
		var known bool
		f.unit, known = unitOf(f.Unit.Value)
		if !known || f.unit.kvar != reactive {
			h.faults.Add(diag.OneOf("unit of "+f.plus.String(), f.Unit.Value, kinds).At(f.Unit.Pos))
			return
		}
		if inHeader && written.symbol != f.unit.symbol {
			h.faults.At(f.Unit.Pos, fmt.Sprintf("the column map says %s, the header of column %q %s", f.unit.symbol, cell, written.symbol), "the unit in which the figures are")
		}
	}
	if f.Register && f.unit.power {
		h.faults.At(f.Pos, fmt.Sprintf("a register in %s", f.unit.symbol), "a unit of energy")
	}
}
