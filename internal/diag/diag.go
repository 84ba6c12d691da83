// Package diag holds faults in what a person typed: where each stands, what is
// wrong, what was expected, and the nearest valid spelling. Readers collect
// faults and go on, so that one run reports everything.
package diag

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"

	"github.com/agnivade/levenshtein"
)

// Pos is a place in a file. Line and Column count from 1, Column in characters.
// The zero Pos means "no place".
type Pos struct {
	File   string
	Line   int
	Column int
}

// IsSet reports whether p names a place.
func (p Pos) IsSet() bool { return p.Line > 0 }

// String gives file:line:column.
func (p Pos) String() string {
	if !p.IsSet() {
		return p.File
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// Compare orders positions by file, line and column.
func (p Pos) Compare(q Pos) int {
	return cmp.Or(cmp.Compare(p.File, q.File), cmp.Compare(p.Line, q.Line), cmp.Compare(p.Column, q.Column))
}

// Fault is one thing that is wrong in the input.
type Fault struct {
	Pos      Pos
	What     string // what is wrong, quoting what was typed
	Expected string // what would be right, with an example; may be empty
	Nearest  string // the nearest valid spelling; may be empty
}

// String gives the fault on one line, in the form that editors can jump to.
func (f Fault) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s", f.Pos, f.What)
	if f.Expected != "" {
		fmt.Fprintf(&b, "; expected %s", f.Expected)
	}
	if f.Nearest != "" {
		fmt.Fprintf(&b, "; did you mean %q?", f.Nearest)
	}
	return strings.Map(func(r rune) rune { // names that were typed may hold anything
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, b.String())
}

// List collects faults. The zero value is ready to use.
type List struct{ faults []Fault }

// Add records a fault.
func (l *List) Add(f Fault) { l.faults = append(l.faults, f) }

// At records a fault without a nearest spelling.
func (l *List) At(pos Pos, what, expected string) {
	l.Add(Fault{Pos: pos, What: what, Expected: expected})
}

// Len is the number of faults recorded.
func (l *List) Len() int { return len(l.faults) }

// Sorted gives the faults in the order of files, lines and columns, those at one
// place in the order in which they were found; of equal faults it keeps one.
func (l *List) Sorted() []Fault {
	var s []Fault
	seen := map[Fault]bool{}
	for _, f := range l.faults {
		if !seen[f] {
			seen[f] = true
			s = append(s, f)
		}
	}
	slices.SortStableFunc(s, func(a, b Fault) int { return a.Pos.Compare(b.Pos) })
	return s
}

// Err gives the faults as one error, or nil when there are none.
func (l *List) Err() error {
	if len(l.faults) == 0 {
		return nil
	}
	return Faults(l.Sorted())
}

// Faults is an error made of faults.
type Faults []Fault

// Error gives the faults, one a line.
func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i, one := range f {
		lines[i] = one.String()
	}
	return strings.Join(lines, "\n")
}

// Write prints each fault on a line of its own.
func (l *List) Write(w io.Writer) {
	for _, f := range l.Sorted() {
		fmt.Fprintln(w, f)
	}
}

// Problem is an error that knows what was expected and what was probably meant.
// Readers of single values return it; whoever knows the position makes a Fault
// of it.
type Problem struct {
	What, Expected, Nearest string
	Options                 []string // all that could stand there, when it is a choice of words
}

// Error gives the text of the problem without a position.
func (p *Problem) Error() string {
	return strings.TrimPrefix(Fault{What: p.What, Expected: p.Expected, Nearest: p.Nearest}.String(), ": ")
}

// At makes the problem a fault at a position.
func (p *Problem) At(pos Pos) Fault {
	return Fault{Pos: pos, What: p.What, Expected: p.Expected, Nearest: p.Nearest}
}

// Nearest gives the option closest in spelling to word, capitals aside, or ""
// when none is close enough to be what was meant. Among equals it takes the
// first. A word that begins like one option alone (volts, voltage) is close.
func Nearest(word string, options []string) string {
	word = strings.ToLower(word)
	best, bestDistance := "", len([]rune(word))/2+1
	for _, o := range options {
		if d := levenshtein.ComputeDistance(word, strings.ToLower(o)); d < bestDistance {
			best, bestDistance = o, d
		}
	}
	if best != "" || len(word) < 3 {
		return best
	}
	for _, o := range options {
		if strings.HasPrefix(strings.ToLower(o), word[:3]) {
			if best != "" {
				return ""
			}
			best = o
		}
	}
	return best
}

// OneOf gives a problem that says that word is none of the options.
func OneOf(what, word string, options []string) *Problem {
	p := &Problem{What: fmt.Sprintf("unknown %s %q", what, word), Expected: Choice(options), Options: options}
	if len(options) > 1 {
		p.Nearest = Nearest(word, options)
	}
	return p
}

// Choice words a list of options: "a", "a or b", "one of a, b, c".
func Choice(options []string) string {
	switch len(options) {
	case 0:
		return "nothing here"
	case 1:
		return options[0]
	case 2:
		return options[0] + " or " + options[1]
	}
	return "one of " + strings.Join(options, ", ")
}

// Or words a list of options within a sentence: "a", "a or b", "a, b or c".
func Or(options []string) string {
	n := len(options)
	if n < 2 {
		return strings.Join(options, "")
	}
	return strings.Join(options[:n-1], ", ") + " or " + options[n-1]
}
