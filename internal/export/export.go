// Package export gives an assessment as data for other programs: tables as CSV,
// the whole as JSON by the schema docs/schema/assessment.json, and the bill as a
// workbook whose formulas follow a changed price. Units stand in the names of
// columns and keys. It knows no file: bytes come out, the same for the same
// assessment.
package export

import (
	"math"
	"strconv"
	"strings"

	"auditgen/internal/assess"
	"auditgen/internal/audit"
	"auditgen/internal/diag"
)

// File is one finished file, with what it is in words.
type File struct {
	Name, What string
	Data       []byte
}

// Files gives all files of an assessment; what has no content is left out.
func Files(a *assess.Assessment) ([]File, error) {
	var files []File
	for _, f := range []struct {
		name, what string
		make       func(*assess.Assessment) ([]byte, error)
		empty      bool
	}{
		{"readings.csv", a.Record.Words.S("The readings, a row for each phase"), readingsCSV, len(a.Readings) == 0},
		{"loads.csv", a.Record.Words.S("The loads with power, hours and energy"), loadsCSV, len(a.Loads) == 0},
		{"bill.csv", a.Record.Words.S("The year’s bills, line by line"), billsCSV, len(a.Bills) == 0},
		{"bill.xlsx", a.Record.Words.S("The bills as a workbook: change a price, and the total follows"), Workbook, len(a.Bills) == 0},
		{"measures.csv", a.Record.Words.S("The measures with cost, saving and life-cycle cost, a row for each"), measuresCSV, a.Plan == nil},
		{"assessment.json", a.Record.Words.S("The whole assessment with its workings, as JSON"), document, false},
	} {
		if f.empty {
			continue
		}
		data, err := f.make(a)
		if err != nil {
			return nil, err
		}
		files = append(files, File{f.name, f.what, data})
	}
	return files, nil
}

// plain writes a number with ten significant digits at most, the same on every
// processor, and without an exponent.
func plain(v float64) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 10, 64), 64)
	if err != nil || math.IsInf(rounded, 0) {
		return "" // never of an assessment that passed its own check
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}

// known writes a value over a unit's prefix, or nothing.
func known(v audit.Value, scale float64) string {
	if !v.Known() {
		return ""
	}
	return plain(v.V / scale)
}

// guarded is a text that a spreadsheet takes for a text: one that begins like a
// formula gets an apostrophe before it.
func guarded(text string) string {
	if text != "" && strings.ContainsAny(text[:1], "=+-@\t\r\n") {
		return "'" + text
	}
	return text
}

// place gives file and line of a position.
func place(p diag.Pos) string {
	if !p.IsSet() {
		return ""
	}
	return p.File + ":" + strconv.Itoa(p.Line)
}
