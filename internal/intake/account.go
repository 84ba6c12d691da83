package intake

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
)

// Kind tells what a note is about.
type Kind int

// The kinds, in the order in which an account lists them.
const (
	Unused        Kind = iota // a column, series or meter that is not taken in
	Order                     // rows not in the order of time
	Deduced                   // what the file does not say and its rows show
	Gap                       // time without a reading
	Duplicate                 // the same reading again
	Contradiction             // another reading for the same time
	Overlap                   // a reading that begins before the one before it ends
	NoTime                    // a reading of no duration
	Uneven                    // a reading of another duration than the rest
	Skipped                   // a row in the hour that the clock leaves out
	Summed                    // a row that holds two hours
	Repeated                  // rows of the hour that the clock repeats
	Reset                     // a register that fell
	Passed                    // a register that passed its highest figure
	Negative                  // less than nothing
	Missing                   // a row without its figure
	Refused                   // a reading whose quality keeps it out
	Unsure                    // readings that the supplier did not plainly meter
	Clock                     // what a file says of its time zone
	Cost                      // what a file says of costs
)

// rules says, for each kind, what was found and what was done, one sentence for
// any number of cases.
var rules = map[Kind]string{
	Unused:        "not taken in",
	Order:         "not in the order of time: sorted",
	Deduced:       "taken from the rows, since the file does not say",
	Gap:           "no reading: nothing is filled in, and nothing counted",
	Duplicate:     "the same reading again: counted once",
	Contradiction: "two readings for the same time: the first in the file counts, the other is left out",
	Overlap:       "begins before the reading before it ends: left out",
	NoTime:        "a reading of no duration: its energy belongs to no time and is left out",
	Uneven:        "of another duration than the rest: kept, its energy spread evenly over its time",
	Skipped:       "in the hour that the clock leaves out, and zero: left out",
	Summed:        "two hours in one row, where the clock repeats an hour: half given to each",
	Repeated:      "the hour that the clock repeats: told apart by the order of the rows",
	Reset:         "the register fell: what was used up to this reading is not known and is left out",
	Passed:        "the register passed its highest figure: counted on",
	Negative:      "less than nothing: left out",
	Missing:       "no figure: nothing is counted for it",
	Refused:       "a projection, not a reading: left out",
	Unsure:        "kept, though not plainly metered",
	Clock:         "the file's own word on its clock",
	Cost:          "the supplier's word; used for nothing",
}

// Note is one thing that was found, and was handled by the rule of its kind.
type Note struct {
	Kind Kind
	Pos  diag.Pos // where it stands; may be no place
	What string
}

// String gives the note on one line.
func (n Note) String() string {
	if n.Pos.IsSet() {
		place := fmt.Sprintf("%s:%d", n.Pos.File, n.Pos.Line)
		if n.Pos.Column > 0 {
			place = n.Pos.String()
		}
		return place + ": " + n.What
	}
	return n.What
}

// Account says what was found in files and what was done with it.
type Account struct {
	Found int              // readings in the files, whatever they were worth
	Sums  [channels]Energy // sums of all figures found
	Notes []Note
}

func (a *Account) note(k Kind, pos diag.Pos, format string, args ...any) {
	a.Notes = append(a.Notes, Note{k, pos, fmt.Sprintf(format, args...)})
}

// Of counts the notes of a kind.
func (a *Account) Of(k Kind) int {
	n := 0
	for i := range a.Notes {
		if a.Notes[i].Kind == k {
			n++
		}
	}
	return n
}

func (a *Account) join(b *Account) {
	a.Found += b.Found
	for c := range b.Sums {
		a.Sums[c] += b.Sums[c]
	}
	a.Notes = append(a.Notes, b.Notes...)
}

// Finding is all that was found of one kind, with the rule by which it was
// handled.
type Finding struct {
	Kind  Kind
	Rule  string
	Cases []Note // in the order of the file
}

// Findings gathers the notes by kind, in the order of the kinds.
func (a *Account) Findings() []Finding {
	notes := slices.Clone(a.Notes)
	slices.SortStableFunc(notes, func(x, y Note) int { return cmp.Or(cmp.Compare(x.Kind, y.Kind), x.Pos.Compare(y.Pos)) })
	var out []Finding
	for _, n := range notes {
		if k := len(out) - 1; k < 0 || out[k].Kind != n.Kind {
			out = append(out, Finding{Kind: n.Kind, Rule: rules[n.Kind]})
		}
		out[len(out)-1].Cases = append(out[len(out)-1].Cases, n)
	}
	return out
}

// listed bounds how many cases of one kind Print lists.
const listed = 5

// Print writes what was found and what was done, in plain words.
func (l *Log) Print(w io.Writer) error {
	b := &strings.Builder{}
	fmt.Fprintf(b, "found: %s in %s\n", many(l.Account.Found, "reading", "readings"), list(l.files))
	for c := range channels {
		if l.Has.Has(c) {
			fmt.Fprintf(b, "  %s: %s %s\n", c, kilo(l.Account.Sums[c]), c.unit())
		}
	}
	if from, to, ok := l.Span(); ok {
		fmt.Fprintf(b, "taken: %s, mostly of %s, from %s to %s\n", many(len(l.Rows), "interval", "intervals"), span(int64(l.Interval)), stamp(from.Unix()), stamp(to.Unix()))
	} else {
		b.WriteString("taken: nothing\n")
	}
	for c := range channels {
		if l.Has.Has(c) {
			fmt.Fprintf(b, "  %s: %s %s\n", c, kilo(l.Total(c)), c.unit())
		}
	}
	for _, g := range l.Account.Findings() {
		fmt.Fprintf(b, "%d × %s\n", len(g.Cases), g.Rule)
		for k, n := range g.Cases {
			if k == listed && len(g.Cases) > listed+1 {
				fmt.Fprintf(b, "  and %d more\n", len(g.Cases)-listed)
				break
			}
			fmt.Fprintf(b, "  %s\n", n)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// kilo prints an energy exactly, in kWh or kvarh, with no zeros at its end.
func kilo(e Energy) string { return decimal.New(int64(e), -9).String() }

func many(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return grouped(n) + " " + more
}

// grouped prints a count with thousands apart.
func grouped(n int) string {
	digits := fmt.Sprint(n)
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + "," + digits[i:]
	}
	return digits
}

func list(words []string) string { return strings.Join(words, ", ") }

// span prints a duration: 15 min, 1 h, 90 s.
func span(seconds int64) string {
	switch {
	case seconds%86400 == 0 && seconds > 0:
		return fmt.Sprintf("%d d", seconds/86400)
	case seconds%3600 == 0 && seconds > 0:
		return fmt.Sprintf("%d h", seconds/3600)
	case seconds%60 == 0 && seconds > 0:
		return fmt.Sprintf("%d min", seconds/60)
	}
	return fmt.Sprintf("%d s", seconds)
}
