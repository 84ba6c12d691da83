package limits

import (
	"embed"
	"fmt"
	"io/fs"
	"strconv"
	"strings"
	"sync"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
)

//go:embed data/*.yaml
var data embed.FS

// published gives the limits that the program carries. Faults in them are faults
// of the program, and a test reads every file: hence the panic.
var published = sync.OnceValue(func() *library {
	var faults diag.List
	lib := load(data, &faults)
	if faults.Len() > 0 {
		panic("limits: " + faults.Sorted()[0].String())
	}
	return lib
})

type library struct{ files []*file }

type file struct {
	source.Where
	Standard Standard `key:"standard" need:"yes"`
	Edition  string   `key:"edition" need:"yes"`
	CitedAs  string   `key:"cited-as" need:"yes"`
	Title    string   `key:"title" need:"yes"`
	Tables   []*table `key:"tables" need:"yes"`
}

type table struct {
	source.Where
	ID        string    `key:"id" need:"yes"`
	Table     string    `key:"table"`
	Clause    string    `key:"clause"`
	Status    Status    `key:"status" need:"yes"`
	Place     string    `key:"place" need:"yes"`
	Reach     Reach     `key:"reach" need:"yes"`
	Base      string    `key:"base"`
	Statistic string    `key:"statistic"`
	Note      string    `key:"note"`
	Measure   Measure   `key:"measure"`
	Also      []also    `key:"also"`
	Even      []even    `key:"even"`
	Rows      []row     `key:"rows"`
	Bands     []band    `key:"bands"`
	Ceilings  []ceiling `key:"ceilings"`
	Curve     []point   `key:"curve"`
	Sizing    []sizing  `key:"sizing"`
	Figures   []figure  `key:"figures"`

	Classes []motorClass  `key:"classes"`
	Ratings []motorRating `key:"ratings"`
}

type (
	ratio = quantity.Displayed[quantity.Ratio]
	volts = quantity.Displayed[quantity.VoltsLL]
	amps  = quantity.Displayed[quantity.Amperes]
)

type also struct {
	Times number `key:"times" need:"yes"`
	Over  string `key:"statistic" need:"yes"`
}

// even is the share of a table's limit that is allowed to even orders.
type even struct {
	Orders source.OneOrMany[span] `key:"orders" need:"yes"`
	Share  ratio                  `key:"share" need:"yes"`
}

// row is a row of a table of harmonics: for a range of bus voltages and of
// short-circuit ratios, the limit of the total and of the orders.
type row struct {
	Above      volts   `key:"above"`
	To         *volts  `key:"to"`
	FromRatio  number  `key:"from-ratio"`
	BelowRatio *number `key:"below-ratio"`
	Total      *ratio  `key:"total"`
	Weighted   *ratio  `key:"weighted"`
	Orders     []order `key:"orders" need:"yes"`
	Status     Status  `key:"status"`
	Note       string  `key:"note"`
}

// order is the limit of some orders: a share, a current or a current for each
// watt; with times, the figure times that number over the order; plus a share.
type order struct {
	Orders  source.OneOrMany[span] `key:"orders" need:"yes"`
	Of      parity                 `key:"of"`
	Limit   ratio                  `key:"limit"`
	Current amps                   `key:"current"`
	PerWatt amps                   `key:"per-watt"`
	Times   *number                `key:"times"`
	Plus    ratio                  `key:"plus"`

	ByPowerFactor bool `key:"by-power-factor"` // the figure times the power factor
}

// figure is a single share that a standard sets, by its name.
type figure struct {
	Name  string `key:"name" need:"yes"`
	Limit ratio  `key:"limit" need:"yes"`
	Note  string `key:"note"`
}

// sizing is a band of third harmonic: up to to, the last without an end.
type sizing struct {
	To     *ratio    `key:"to"`
	Factor ratio     `key:"factor" need:"yes"`
	By     conductor `key:"by" need:"yes"`
}

// conductor is the conductor whose current sizes a cable.
type conductor string

func (c *conductor) UnmarshalText(text []byte) error {
	*c = conductor(text)
	return known("conductor", string(text), "line", "neutral")
}

type band struct {
	Name      string  `key:"name" need:"yes"`
	At        Place   `key:"at" need:"yes"`
	Low       ratio   `key:"low" need:"yes"`
	High      ratio   `key:"high" need:"yes"`
	Statistic string  `key:"statistic"`
	Status    Status  `key:"status"`
	Note      string  `key:"note"`
	Exact     []exact `key:"exact"`
}

type exact struct {
	Nominal volts `key:"nominal" need:"yes"`
	Low     volts `key:"low" need:"yes"`
	High    volts `key:"high" need:"yes"`
}

type ceiling struct {
	Name    string  `key:"name" need:"yes"`
	Measure Measure `key:"measure" need:"yes"`
	Limit   ratio   `key:"limit" need:"yes"`
}

type point struct {
	At     ratio `key:"at" need:"yes"`
	Factor ratio `key:"factor" need:"yes"`
}

// number is a plain number without a unit.
type number float64

func (n *number) UnmarshalText(text []byte) error {
	v, _, err := quantity.Number(string(text))
	*n = number(v)
	return err
}

// span is an order or a range of orders: "5", "17-49".
type span struct{ from, to int }

func (s *span) UnmarshalText(text []byte) error {
	first, last, isRange := strings.Cut(string(text), "-")
	if !isRange {
		last = first
	}
	from, err1 := strconv.Atoi(first)
	to, err2 := strconv.Atoi(last)
	if err1 != nil || err2 != nil || from < 2 || to < from {
		return &diag.Problem{What: fmt.Sprintf("%q is not a range of harmonic orders", text), Expected: "an order from 2, or a range such as 17-49"}
	}
	*s = span{from, to}
	return nil
}

// parity picks orders of a range.
type parity string

var parities = map[parity]func(int) bool{
	"":                func(int) bool { return true },
	"odd":             func(h int) bool { return h%2 == 1 },
	"even":            func(h int) bool { return h%2 == 0 },
	"triplen":         func(h int) bool { return h%2 == 1 && h%3 == 0 },
	"odd-not-triplen": func(h int) bool { return h%2 == 1 && h%3 != 0 },
}

func (p *parity) UnmarshalText(text []byte) error {
	*p = parity(text)
	return known("set of orders", string(text), "odd", "even", "triplen", "odd-not-triplen")
}

// UnmarshalText reads one of the states.
func (s *Status) UnmarshalText(text []byte) error {
	*s = Status(text)
	return known("status", string(text), string(Seen), string(Secondary), string(Memory))
}

// UnmarshalText reads one of the reaches.
func (r *Reach) UnmarshalText(text []byte) error {
	*r = Reach(text)
	return known("reach", string(text), string(Period), string(Level), string(Sustained), string(TypeTest))
}

// UnmarshalText reads one of the measures.
func (m *Measure) UnmarshalText(text []byte) error {
	*m = Measure(text)
	return known("measure", string(text), string(NEMA), string(NegativeSequence))
}

// UnmarshalText reads one of the places.
func (p *Place) UnmarshalText(text []byte) error {
	*p = Place(text)
	return known("place", string(text), string(AtSupply), string(AtUse), string(AtMotor), string(AtIsland))
}

func known(what, word string, words ...string) error {
	for _, w := range words {
		if w == word {
			return nil
		}
	}
	return diag.OneOf(what, word, words)
}

// load reads every data file of fsys.
func load(fsys fs.FS, faults *diag.List) *library {
	lib := &library{}
	names, err := fs.Glob(fsys, "data/*.yaml")
	if err != nil || len(names) == 0 {
		faults.At(diag.Pos{File: "data"}, "no data files of limits", "")
	}
	for _, name := range names {
		text, err := fs.ReadFile(fsys, name)
		if err != nil {
			faults.At(diag.Pos{File: name, Line: 1, Column: 1}, err.Error(), "")
			continue
		}
		f := &file{}
		source.Decode(source.YAML(name, text, faults), f, faults)
		f.check(faults)
		lib.files = append(lib.files, f)
	}
	return lib
}

// check holds what the form of the file cannot: ids once, every table with
// something in it and with a statistic.
func (f *file) check(faults *diag.List) {
	seen := map[string]bool{}
	for _, t := range f.Tables {
		if seen[t.ID] {
			faults.At(t.Pos, fmt.Sprintf("table %q stands twice", t.ID), "one of them")
		}
		seen[t.ID] = true
		if len(t.Rows)+len(t.Bands)+len(t.Ceilings)+len(t.Curve)+len(t.Sizing)+len(t.Figures)+len(t.Classes)+len(t.Ratings) == 0 {
			faults.At(t.Pos, fmt.Sprintf("table %q is empty", t.ID), "rows, bands, ceilings, a curve, a sizing, figures or efficiencies")
		}
		for i := 1; i < len(t.Curve); i++ {
			if t.Curve[i].At.Value <= t.Curve[i-1].At.Value {
				faults.At(t.Pos, fmt.Sprintf("the curve of %q is out of order", t.ID), "rising values of at")
			}
		}
		for _, b := range t.Bands {
			if t.Statistic == "" && b.Statistic == "" {
				faults.At(t.Pos, fmt.Sprintf("band %q has no statistic", b.Name), "what it is defined over")
			}
		}
		if t.Statistic == "" && len(t.Bands) == 0 {
			faults.At(t.Pos, fmt.Sprintf("table %q has no statistic", t.ID), "what it is defined over")
		}
	}
}

// table finds a table of a standard.
func (l *library) table(s Standard, id string) (*file, *table) {
	for _, f := range l.files {
		if f.Standard != s {
			continue
		}
		for _, t := range f.Tables {
			if t.ID == id {
				return f, t
			}
		}
	}
	return nil, nil
}
