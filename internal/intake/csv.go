package intake

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"auditgen/internal/diag"
)

// mostFaults bounds how many faults of one file are told: a file read with the
// wrong map has one in every line.
const mostFaults = 20

// ReadCSV reads a CSV file of intervals by its column map. Lines that begin with
// # are comments. A column without a unit, a time that does not exist, a figure
// that is none: each is a fault at its place, and ReadCSV gives nil when there
// are faults. What can be handled by a rule stands in the log's account.
func ReadCSV(file string, data []byte, columns *Columns, faults *diag.List) *Log {
	if columns == nil {
		columns = &Columns{}
	}
	r := &csvReader{file: file, columns: columns, faults: faults, before: faults.Len(), log: &Log{files: []string{file}}}
	r.read(data)
	if faults.Len() > r.before {
		return nil
	}
	r.log.settle()
	r.log.finish()
	return r.log
}

type csvReader struct {
	file    string
	columns *Columns
	faults  *diag.List
	before  int
	log     *Log

	data    []byte
	csv     *csv.Reader
	decimal byte // 0 until it is known
	width   int

	clock      clockReader
	timeAt     []int
	durationAt int // -1: none
	qualityAt  int // -1: none
	figures    []figureColumn
	utc        bool // the time column's name says UTC
	tidy       bool // the file has the program's own form: projections in it were asked for
	raws       []raw
	joined     []byte
	halves     []Row // second halves of rows that hold two hours
}

// figureColumn is where a channel's figures stand and what they are.
type figureColumn struct {
	*Column
	at     int
	unit   unit
	plus   Channel // of positive figures
	minus  Channel // of negative figures, when signed
	signed bool
}

// raw is a line of the file before its time is settled.
type raw struct {
	at       moment
	start    int64 // instant, once it is known
	duration int32
	line     int32
	quality  Quality
	missing  [4]bool
	figures  [4]int64 // in µ of the column's unit
}

func (r *csvReader) at(line, column int, what, expected string) {
	r.faults.At(r.pos(line, column), what, expected)
}

func (r *csvReader) full() bool { return r.faults.Len()-r.before >= mostFaults }

// pos turns a line and a byte column into a place, whose column counts
// characters.
func (r *csvReader) pos(line, column int) diag.Pos {
	rest := r.data
	for range line - 1 {
		_, rest, _ = bytes.Cut(rest, []byte("\n"))
	}
	if column > 1 && column-1 <= len(rest) {
		column = utf8.RuneCount(rest[:column-1]) + 1
	}
	return diag.Pos{File: r.file, Line: line, Column: column}
}

func (r *csvReader) field(i int) diag.Pos {
	line, column := r.csv.FieldPos(i)
	return r.pos(line, column)
}

func (r *csvReader) read(data []byte) {
	r.data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if !utf8.Valid(r.data) {
		i := invalidAt(r.data)
		r.at(1+bytes.Count(r.data[:i], []byte("\n")), i-bytes.LastIndexByte(r.data[:i], '\n'), "the file is not in UTF-8", "an export in UTF-8")
		return
	}
	if !r.open() || !r.header() {
		return
	}
	r.rows()
	if r.faults.Len() == r.before {
		r.settleTimes()
	}
}

func invalidAt(data []byte) int {
	i := 0
	for i < len(data) {
		c, n := utf8.DecodeRune(data[i:])
		if c == utf8.RuneError && n == 1 {
			break
		}
		i += n
	}
	return i
}

// open finds the header line and what parts columns.
func (r *csvReader) open() bool {
	rest, line := r.data, 1
	for ; len(rest) > 0; line++ {
		text, next, _ := bytes.Cut(rest, []byte("\n"))
		trimmed := bytes.TrimSpace(text)
		if line >= r.columns.HeaderLine.Value && len(trimmed) > 0 && trimmed[0] != '#' {
			comma := rune(r.columns.Separator.Value)
			if comma == 0 {
				comma = parting(text)
			}
			// Lines before the header stay as empty ones, so that lines keep their numbers.
			r.csv = csv.NewReader(io.MultiReader(strings.NewReader(strings.Repeat("\n", line-1)), bytes.NewReader(rest)))
			r.csv.Comma, r.csv.Comment = comma, '#'
			r.csv.FieldsPerRecord, r.csv.ReuseRecord = -1, true
			return true
		}
		rest = next
	}
	r.at(1, 1, "there is no header line", "the names of the columns, such as start,kWh")
	return false
}

func parting(header []byte) rune {
	for _, c := range ";\t" {
		if bytes.ContainsRune(header, c) {
			return c
		}
	}
	return ','
}

// next reads a line; false at the end or after a fault of form.
func (r *csvReader) next() ([]string, bool) {
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

func (r *csvReader) rows() {
	r.raws = make([]raw, 0, bytes.Count(r.data, []byte("\n"))+1)
	for !r.full() {
		record, ok := r.next()
		if !ok {
			return
		}
		if len(record) != r.width {
			if len(record) == 1 && strings.TrimSpace(record[0]) == "" {
				continue
			}
			line, _ := r.csv.FieldPos(0)
			r.at(line, 1, fmt.Sprintf("the line has %s, the header %d", many(len(record), "column", "columns"), r.width), "")
			continue
		}
		r.row(record)
	}
	line, _ := r.csv.FieldPos(0)
	r.at(line+1, 1, "more faults may follow: the rest of the file was not read", "")
}

func (r *csvReader) row(record []string) {
	line, _ := r.csv.FieldPos(0)
	w := raw{line: int32(line)}
	r.joined = append(r.joined[:0], strings.TrimSpace(record[r.timeAt[0]])...)
	if len(r.timeAt) == 2 {
		r.joined = append(append(r.joined, ' '), strings.TrimSpace(record[r.timeAt[1]])...)
	}
	var ok bool
	if w.at, ok = r.clock.read(r.joined); !ok {
		r.faults.At(r.field(r.timeAt[0]), fmt.Sprintf("%q is not a time of the form %s", r.joined, r.columns.Format.Value), "the form in which the file writes times, as format: in the column map")
	}
	if r.durationAt >= 0 {
		w.duration = r.seconds(record[r.durationAt])
	}
	if r.qualityAt >= 0 {
		w.quality, w.missing[0] = r.quality(record[r.qualityAt])
	}
	for i := range r.figures {
		var missing bool
		w.figures[i], missing = r.figure(record, &r.figures[i])
		w.missing[i] = w.missing[i] || missing
	}
	r.raws = append(r.raws, w)
}

func (r *csvReader) seconds(cell string) int32 {
	f, ok := parseFixed([]byte(strings.TrimSpace(cell)), '.')
	n, fits := f.scaled(0, 31*aDay)
	if !ok || !fits || n < 0 {
		r.faults.At(r.field(r.durationAt), fmt.Sprintf("%q is not a duration in seconds", cell), "a whole number, such as 900")
	}
	return int32(n)
}

func (r *csvReader) quality(cell string) (Quality, bool) {
	word := strings.TrimSpace(cell)
	words := r.columns.Quality
	if words != nil && len(words.Words) > 0 {
		s, ok := words.Words.Get(word)
		if !ok {
			r.faults.At(r.field(r.qualityAt), fmt.Sprintf("the column map does not say what %q means", word), "the word under words:, with its meaning")
		}
		return s.Value.Quality, s.Value.Missing
	}
	var s Status
	if word == "" {
		return Unstated, false
	}
	var problem *diag.Problem
	if err := s.UnmarshalText([]byte(word)); errors.As(err, &problem) {
		problem.Expected = "what the file's words mean, under quality: words: in the column map"
		r.faults.Add(problem.At(r.field(r.qualityAt)))
	}
	return s.Quality, s.Missing
}

// figure reads one figure in µ of its unit; true where there is none.
func (r *csvReader) figure(record []string, c *figureColumn) (int64, bool) {
	text := strings.TrimSpace(record[c.at])
	switch text {
	case "", "-", "NA", "N/A", "NaN", "nan", "null", "NULL":
		return 0, true
	}
	f, ok := r.number(text)
	if !ok {
		what := fmt.Sprintf("%q is not a number", text)
		if r.decimal == ',' && strings.Contains(text, ".") || r.decimal == '.' && strings.Contains(text, ",") {
			what = fmt.Sprintf("%q has another decimal sign than the figures before it, or parts its thousands", text)
		}
		r.faults.At(r.field(c.at), what, "a figure such as 12.5, without signs between thousands")
		return 0, false
	}
	times, most := int64(max(1, c.Times.Value)), int64(mostEnergy)
	if c.Register {
		most = mostTotal
	}
	v, ok := f.scaled(c.unit.exp, most/times)
	if !ok {
		r.faults.At(r.field(c.at), fmt.Sprintf("%s %s is beyond measure", text, c.unit.symbol), "the right unit of the column")
	}
	return v * times, false
}

// number reads a figure with the decimal sign of the file, which the first
// figure that has one shows, unless the map states it.
func (r *csvReader) number(text string) (fixedPoint, bool) {
	if r.decimal == 0 {
		switch {
		case strings.Contains(text, "."):
			r.decimal = '.'
		case strings.Contains(text, ",") && r.csv.Comma != ',':
			r.decimal = ','
		default:
			return parseFixed([]byte(text), '.')
		}
	}
	return parseFixed([]byte(text), r.decimal)
}
