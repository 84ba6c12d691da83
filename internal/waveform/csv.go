package waveform

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"unicode/utf8"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
)

// mostFaults bounds how many faults of one file are told: a file read with the
// wrong map has one in every line.
const mostFaults = 20

// Read reads a CSV file of samples. Columns are parted by semicolons, tabs or
// commas, whichever the header has first in that order; decimals stand after a
// point, or after a comma where commas do not part columns, and in one file not
// both. Lines that begin with #, % or // are comments. A line of units may follow
// the header. Nothing is guessed: a column without a unit, a name that says
// nothing, a gap in time or a figure that is none is a fault at its place. Read
// gives nil when there are faults.
func Read(file string, data []byte, columns Columns, faults *diag.List) *Recording {
	r := &reader{file: file, columns: columns, faults: faults, before: faults.Len()}
	r.read(data)
	if faults.Len() > r.before {
		return nil
	}
	return r.recording()
}

// beyond bounds volts, amperes and seconds, so that no sum of squares overflows.
const beyond = 1e9

type reader struct {
	file    string
	columns Columns
	faults  *diag.List
	before  int

	data    []byte // as read
	blanked []byte // without comments
	csv     *csv.Reader
	comma   bool // decimals stand after a comma
	point   bool // decimals stand after a point

	names, units []string
	cells        [][2]int // line and byte column of each header cell
	unitRow      bool     // a line of units follows the header
	width        int
	time         column
	channels     []Channel
	wired        []column // beside channels
	times        []float64
}

// column is where a channel's figures stand and what they are worth.
type column struct {
	at    int // -1: none
	scale float64
}

func (r *reader) at(line, column int, what, expected string) {
	r.faults.At(r.pos(line, column), what, expected)
}

func (r *reader) full() bool { return r.faults.Len()-r.before >= mostFaults }

// pos turns a line and a byte column into a place, whose column counts
// characters.
func (r *reader) pos(line, column int) diag.Pos {
	rest := r.data
	for range line - 1 {
		_, rest, _ = bytes.Cut(rest, []byte("\n"))
	}
	if column-1 <= len(rest) && column > 0 {
		column = utf8.RuneCount(rest[:column-1]) + 1
	}
	return diag.Pos{File: r.file, Line: line, Column: column}
}

func (r *reader) field(i int) (line, column int) { return r.csv.FieldPos(i) }

func (r *reader) read(data []byte) {
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	r.data = data
	if i := invalid(data); i >= 0 {
		line := 1 + bytes.Count(data[:i], []byte("\n"))
		r.at(line, i-bytes.LastIndexByte(data[:i], '\n'), "the file is not in UTF-8", "an export in UTF-8")
		return
	}
	var header string
	r.blanked, header = blank(data, r.columns.Header)
	if header == "" {
		r.at(1, 1, "there is no header line", "names and units of the columns, such as time [ms], u [V], i [A]")
		return
	}
	r.csv = csv.NewReader(bytes.NewReader(r.blanked))
	r.csv.Comma = parting(header)
	r.csv.FieldsPerRecord = -1
	r.csv.ReuseRecord = true
	r.csv.TrimLeadingSpace = r.csv.Comma != '\t'
	if !r.header() {
		return
	}
	r.rows()
	if r.faults.Len() == r.before {
		r.finish()
	}
}

func invalid(data []byte) int {
	if utf8.Valid(data) {
		return -1
	}
	for i := 0; i < len(data); {
		c, n := utf8.DecodeRune(data[i:])
		if c == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return -1
}

// blank empties comment lines, and all before the header line when it is stated,
// so that the lines behind keep their numbers. It gives the header's text too.
func blank(data []byte, header int) ([]byte, string) {
	out := make([]byte, 0, len(data))
	first := ""
	for line := 1; len(data) > 0; line++ {
		text, rest, ended := bytes.Cut(data, []byte("\n"))
		data = rest
		start := strings.TrimSpace(string(text[:min(len(text), 4096)]))
		comment := strings.HasPrefix(start, "#") || strings.HasPrefix(start, "%") || strings.HasPrefix(start, "//")
		if line >= header && !comment {
			out = append(out, text...)
			if first == "" {
				first = start
			}
		}
		if ended {
			out = append(out, '\n')
		}
	}
	return out, first
}

// parting is the character that parts columns.
func parting(header string) rune {
	switch {
	case strings.Contains(header, ";"):
		return ';'
	case strings.Contains(header, "\t"):
		return '\t'
	}
	return ','
}

// next reads a line; false at the end or after a fault of form.
func (r *reader) next() ([]string, bool) {
	record, err := r.csv.Read()
	if err == nil {
		return record, true
	}
	var form *csv.ParseError
	if errors.As(err, &form) {
		r.at(form.Line, form.Column, "the line cannot be read: "+form.Err.Error(), "")
	} else if err != io.EOF {
		r.at(1, 1, "the file cannot be read: "+err.Error(), "")
	}
	return nil, false
}

// rows reads the lines of figures.
func (r *reader) rows() {
	for !r.full() {
		record, ok := r.next()
		if !ok {
			return
		}
		if len(record) != r.width {
			line, _ := r.field(0)
			r.at(line, 1, fmt.Sprintf("the line has %s, the header %d", quantityOf(len(record), "column", "columns"), r.width), "")
			continue
		}
		if r.time.at >= 0 {
			line, col := r.field(r.time.at)
			r.times = append(r.times, r.value(record, r.time))
			r.step(line, col, record[r.time.at])
		}
		for i, c := range r.wired {
			r.channels[i].Samples = append(r.channels[i].Samples, r.value(record, c))
		}
	}
	line, _ := r.field(0)
	r.at(line+1, 1, "more faults may follow: the rest of the file was not read", "")
}

func quantityOf(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// value reads one figure in base units.
func (r *reader) value(record []string, c column) float64 {
	text := strings.TrimSpace(record[c.at])
	comma := r.csv.Comma != ',' && strings.Contains(text, ",")
	point := strings.Contains(text, ".")
	v, ok := number(text, comma)
	if !ok {
		line, col := r.field(c.at)
		r.at(line, col, fmt.Sprintf("%q is not a number", text), "a figure such as -12.5 or 1.25E-3")
		return 0
	}
	v *= c.scale
	if !(math.Abs(v) <= beyond) {
		line, col := r.field(c.at)
		r.at(line, col, fmt.Sprintf("%q is beyond measure", text), "a figure that an instrument can show")
		return 0
	}
	if comma && r.point || point && r.comma {
		line, col := r.field(c.at)
		r.at(line, col, fmt.Sprintf("%q has another decimal sign than the figures before it", text), "points or commas before decimals, not both in one file")
	}
	r.comma, r.point = r.comma || comma, r.point || point
	return v
}

// step checks that time rises.
func (r *reader) step(line, col int, text string) {
	n := len(r.times)
	if n > 1 && !(r.times[n-1] > r.times[n-2]) && r.faults.Len() == r.before {
		r.at(line, col, fmt.Sprintf("time does not rise at %q", strings.TrimSpace(text)), "a later time than the line before; or state the sample rate and leave the time column out")
	}
}

// finish checks that the time steps are even and finds the rate.
func (r *reader) finish() {
	n := 0
	if len(r.channels) > 0 {
		n = len(r.channels[0].Samples)
	}
	if n < 2 {
		r.at(1, 1, fmt.Sprintf("the file has %s", quantityOf(n, "sample", "samples")), "at least one whole cycle")
		return
	}
	if r.time.at < 0 {
		return
	}
	mean := (r.times[n-1] - r.times[0]) / float64(n-1)
	for i := 1; i < n; i++ {
		if d := r.times[i] - r.times[i-1]; d < 0.7*mean || d > 1.3*mean {
			line := r.lineOf(i)
			r.at(line, 1, fmt.Sprintf("time steps by %.4g ms here and by %.4g ms on average", d*1e3, mean*1e3),
				"even steps without gaps; where the figures are only rounded, state the sample rate and leave the time column out")
			return
		}
	}
	r.columns.Rate = Rate(1 / mean)
}

// lineOf finds the line of a row of figures by reading the file again: faults
// are rare, and so no line is kept for each of a million rows.
func (r *reader) lineOf(row int) int {
	again := csv.NewReader(bytes.NewReader(r.blanked))
	again.Comma, again.FieldsPerRecord, again.TrimLeadingSpace = r.csv.Comma, -1, r.csv.TrimLeadingSpace
	skip := 1
	if r.unitRow {
		skip++
	}
	for range skip + row + 1 {
		if _, err := again.Read(); err != nil {
			break
		}
	}
	line, _ := again.FieldPos(0)
	return line
}

func (r *reader) recording() *Recording {
	return &Recording{File: r.file, Rate: quantity.Hertz(r.columns.Rate), Channels: r.channels}
}
