// Package working records how a number came to be: read off an instrument,
// stated in a file, assumed for a reason, or worked out by a formula from
// earlier steps. One step is recorded per named number; a step can be replayed.
package working

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
)

// Kind tells what a step rests on. The words are printed beside figures.
type Kind string

// The kinds.
const (
	Measured Kind = "measured" // read off an instrument on the day
	Stated   Kind = "stated"   // a fact from a file: nominal voltage, price, date
	Assumed  Kind = "assumed"  // a judgement, with its reason
	Derived  Kind = "derived"  // worked out from other steps
	Modelled Kind = "modelled" // expected by a model from other steps, which Reason describes
)

// Step is one named number.
type Step struct {
	ID      string // stable words parted by points: readings.r1.a.apparent
	Label   string
	Kind    Kind
	Value   float64          // in Unit
	Unit    string           // base unit symbol, or a currency code
	Exact   *decimal.Decimal // for money and billed quantities; Value is then its nearest float, for display only
	Typed   string           // as typed, for steps that stand in a file
	Pos     diag.Pos         // where it is typed
	Reason  string           // why it is assumed, or how it is modelled
	Formula *Formula         // for derived steps
	From    []string         // the steps that the formula used, in its order; or those that the model rests on
	Note    string           // what limits its worth
}

// Formula is a formula with its source: text, symbols in the order of its
// arguments, and the function itself.
type Formula struct {
	Name    string
	Text    string           // in the notation that report prints: "S = U * I"
	Source  string           // document, edition, clause
	Symbols []string         // the arguments' symbols, in order; one symbol stands for a whole series when Series is set; "" for an argument that only changes the unit, which is not printed
	Series  bool             // the formula takes any number of like arguments
	Args    []*quantity.Kind // of the arguments, beside Symbols; nil for a bare number
	Result  *quantity.Kind   // of what it gives; nil for a bare number
	eval    func([]float64) float64
	exact   func([]decimal.Decimal) decimal.Decimal
}

var all []*Formula

// Formulas lists every formula bound in the program, in the order of their
// binding. Tests hold it against the published cases.
func Formulas() []*Formula { return all }

func bind(f Formula) *Formula {
	all = append(all, &f)
	return &f
}

// Eval works the formula out for its arguments, in base units.
func (f *Formula) Eval(args ...float64) float64 {
	if f.eval == nil {
		return math.NaN()
	}
	return f.eval(args)
}

// EvalExact works an exact formula out.
func (f *Formula) EvalExact(args ...decimal.Decimal) decimal.Decimal { return f.exact(args) }

// IsExact reports whether the formula is one of exact decimals, which Eval
// does not work out.
func (f *Formula) IsExact() bool { return f.exact != nil }

// kindOf gives the kind of a quantity's type, nil for another number.
func kindOf[Q ~float64]() *quantity.Kind {
	var q Q
	if k, ok := any(q).(interface{ Kind() *quantity.Kind }); ok {
		return k.Kind()
	}
	return nil
}

// Num is a value that knows the step it came from.
type Num[Q ~float64] struct {
	V    Q
	Step string
}

// F1 to F4 are formulas of one to four arguments; FN takes a series.
type (
	F1[R, A ~float64] struct {
		*Formula
		fn func(A) R
	}
	F2[R, A, B ~float64] struct {
		*Formula
		fn func(A, B) R
	}
	F3[R, A, B, C ~float64] struct {
		*Formula
		fn func(A, B, C) R
	}
	F4[R, A, B, C, D ~float64] struct {
		*Formula
		fn func(A, B, C, D) R
	}
	FN[R, A ~float64] struct {
		*Formula
		fn func([]A) R
	}
)

// Def1 binds a function of one argument to its text and source.
func Def1[R, A ~float64](name, text, source, a string, fn func(A) R) F1[R, A] {
	return F1[R, A]{bind(Formula{Name: name, Text: text, Source: source, Symbols: []string{a},
		Args: []*quantity.Kind{kindOf[A]()}, Result: kindOf[R](),
		eval: func(x []float64) float64 { return float64(fn(A(x[0]))) }}), fn}
}

// Def2 binds a function of two arguments.
func Def2[R, A, B ~float64](name, text, source, a, b string, fn func(A, B) R) F2[R, A, B] {
	return F2[R, A, B]{bind(Formula{Name: name, Text: text, Source: source, Symbols: []string{a, b},
		Args: []*quantity.Kind{kindOf[A](), kindOf[B]()}, Result: kindOf[R](),
		eval: func(x []float64) float64 { return float64(fn(A(x[0]), B(x[1]))) }}), fn}
}

// Def3 binds a function of three arguments.
func Def3[R, A, B, C ~float64](name, text, source, a, b, c string, fn func(A, B, C) R) F3[R, A, B, C] {
	return F3[R, A, B, C]{bind(Formula{Name: name, Text: text, Source: source, Symbols: []string{a, b, c},
		Args: []*quantity.Kind{kindOf[A](), kindOf[B](), kindOf[C]()}, Result: kindOf[R](),
		eval: func(x []float64) float64 { return float64(fn(A(x[0]), B(x[1]), C(x[2]))) }}), fn}
}

// Def4 binds a function of four arguments.
func Def4[R, A, B, C, D ~float64](name, text, source, a, b, c, d string, fn func(A, B, C, D) R) F4[R, A, B, C, D] {
	return F4[R, A, B, C, D]{bind(Formula{Name: name, Text: text, Source: source, Symbols: []string{a, b, c, d},
		Args: []*quantity.Kind{kindOf[A](), kindOf[B](), kindOf[C](), kindOf[D]()}, Result: kindOf[R](),
		eval: func(x []float64) float64 { return float64(fn(A(x[0]), B(x[1]), C(x[2]), D(x[3]))) }}), fn}
}

// DefN binds a function of a series of like arguments, such as a sum.
func DefN[R, A ~float64](name, text, source, a string, fn func([]A) R) FN[R, A] {
	return FN[R, A]{bind(Formula{Name: name, Text: text, Source: source, Symbols: []string{a}, Series: true,
		Args: []*quantity.Kind{kindOf[A]()}, Result: kindOf[R](),
		eval: func(x []float64) float64 {
			args := make([]A, len(x))
			for i, v := range x {
				args[i] = A(v)
			}
			return float64(fn(args))
		}}), fn}
}

// DefExact binds an exact decimal formula, for money and billed quantities.
func DefExact(name, text, source string, symbols []string, fn func([]decimal.Decimal) decimal.Decimal) *Formula {
	return bind(Formula{Name: name, Text: text, Source: source, Symbols: symbols, exact: fn})
}

// Call works the formula out without leaving a step.
func (f F1[R, A]) Call(a A) R                         { return f.fn(a) }
func (f F2[R, A, B]) Call(a A, b B) R                 { return f.fn(a, b) }
func (f F3[R, A, B, C]) Call(a A, b B, c C) R         { return f.fn(a, b, c) }
func (f F4[R, A, B, C, D]) Call(a A, b B, c C, d D) R { return f.fn(a, b, c, d) }
func (f FN[R, A]) Call(a []A) R                       { return f.fn(a) }

// Apply works the formula out and records the step.
func (f F1[R, A]) Apply(s *Sheet, id, label, unit string, a Num[A]) Num[R] {
	v := f.fn(a.V)
	return Num[R]{v, s.derive(id, label, unit, f.Formula, float64(v), a.Step)}
}

// Apply works the formula out and records the step.
func (f F2[R, A, B]) Apply(s *Sheet, id, label, unit string, a Num[A], b Num[B]) Num[R] {
	v := f.fn(a.V, b.V)
	return Num[R]{v, s.derive(id, label, unit, f.Formula, float64(v), a.Step, b.Step)}
}

// Apply works the formula out and records the step.
func (f F3[R, A, B, C]) Apply(s *Sheet, id, label, unit string, a Num[A], b Num[B], c Num[C]) Num[R] {
	v := f.fn(a.V, b.V, c.V)
	return Num[R]{v, s.derive(id, label, unit, f.Formula, float64(v), a.Step, b.Step, c.Step)}
}

// Apply works the formula out and records the step.
func (f F4[R, A, B, C, D]) Apply(s *Sheet, id, label, unit string, a Num[A], b Num[B], c Num[C], d Num[D]) Num[R] {
	v := f.fn(a.V, b.V, c.V, d.V)
	return Num[R]{v, s.derive(id, label, unit, f.Formula, float64(v), a.Step, b.Step, c.Step, d.Step)}
}

// Apply works the formula out over a series and records the step.
func (f FN[R, A]) Apply(s *Sheet, id, label, unit string, series []Num[A]) Num[R] {
	values, from := make([]A, len(series)), make([]string, len(series))
	for i, n := range series {
		values[i], from[i] = n.V, n.Step
	}
	v := f.fn(values)
	return Num[R]{v, s.derive(id, label, unit, f.Formula, float64(v), from...)}
}

// Sheet holds the steps in the order in which they were recorded. The zero
// value is ready to use.
type Sheet struct {
	steps  []Step
	index  map[string]int
	twice  []string
	owners map[string]string
}

// Own says whose the steps are whose ids begin with the prefix, such as the
// month of a bill or the name of a measure. Their labels are short; where steps
// of several owners stand side by side, the owner tells them apart.
func (s *Sheet) Own(prefix, owner string) {
	if s.owners == nil {
		s.owners = map[string]string{}
	}
	s.owners[prefix] = owner
}

// Owner is whose a step is, by the longest prefix that says so; "" for a step of
// the whole site.
func (s *Sheet) Owner(id string) string {
	for end := strings.LastIndexByte(id, '.'); end >= 0; end = strings.LastIndexByte(id[:end], '.') {
		if owner, ok := s.owners[id[:end+1]]; ok {
			return owner
		}
	}
	return ""
}

// Put records a step that is not derived. A step id is used once.
func (s *Sheet) Put(step Step) string {
	if s.index == nil {
		s.index = map[string]int{}
	}
	if _, ok := s.index[step.ID]; ok {
		s.twice = append(s.twice, step.ID)
		return step.ID
	}
	s.index[step.ID] = len(s.steps)
	s.steps = append(s.steps, step)
	return step.ID
}

// Record puts a step and gives its value with its id.
func Record[Q ~float64](s *Sheet, step Step, v Q) Num[Q] {
	step.Value = float64(v)
	return Num[Q]{v, s.Put(step)}
}

// derive records a step, unless the formula gave no number for its arguments or
// one of them is not known: then there is none, and its id is "".
func (s *Sheet) derive(id, label, unit string, f *Formula, v float64, from ...string) string {
	if math.IsNaN(v) || math.IsInf(v, 0) || slices.Contains(from, "") {
		return ""
	}
	return s.Put(Step{ID: id, Label: label, Kind: Derived, Value: v, Unit: unit, Formula: f, From: from})
}

// PutExact records an exact decimal step: stated when f is nil, else derived.
func (s *Sheet) PutExact(step Step, v decimal.Decimal) string {
	step.Exact = &v
	step.Value = v.InexactFloat64()
	return s.Put(step)
}

// ApplyExact works an exact formula out from exact steps and records it.
func (s *Sheet) ApplyExact(f *Formula, id, label, unit string, from ...string) decimal.Decimal {
	v := f.exact(s.exactArgs(from))
	s.PutExact(Step{ID: id, Label: label, Kind: Derived, Unit: unit, Formula: f, From: from}, v)
	return v
}

// Note adds what limits the worth of a recorded step.
func (s *Sheet) Note(id, note string) {
	if i, ok := s.index[id]; ok {
		s.steps[i].Note = note
	}
}

func (s *Sheet) exactArgs(from []string) []decimal.Decimal {
	args := make([]decimal.Decimal, len(from))
	for i, id := range from {
		st, _ := s.Get(id)
		if st.Exact != nil {
			args[i] = *st.Exact
		} else {
			args[i] = decimal.NewFromFloat(st.Value)
		}
	}
	return args
}

// Get finds a step.
func (s *Sheet) Get(id string) (Step, bool) {
	i, ok := s.index[id]
	if !ok {
		return Step{}, false
	}
	return s.steps[i], true
}

// Steps lists all steps in the order of their recording.
func (s *Sheet) Steps() []Step { return s.steps }

func (s *Sheet) cited(st Step) error {
	for _, id := range st.From {
		if _, ok := s.Get(id); !ok {
			return fmt.Errorf("step %s cites %s, which is not there", st.ID, id)
		}
	}
	return nil
}

// Replay works every derived step out again from the steps that it cites and
// gives an error for the first that comes out differently, cites a step that
// is not there, or shares its id.
func (s *Sheet) Replay() error {
	if len(s.twice) > 0 {
		return fmt.Errorf("step recorded twice: %s", s.twice[0])
	}
	for _, st := range s.steps {
		if st.Kind == Modelled {
			if err := s.cited(st); err != nil {
				return err
			}
			continue
		}
		if st.Kind != Derived {
			continue
		}
		if st.Formula == nil {
			return fmt.Errorf("step %s is derived but has no formula", st.ID)
		}
		if err := s.cited(st); err != nil {
			return err
		}
		args := make([]float64, len(st.From))
		for i, id := range st.From {
			from, _ := s.Get(id)
			args[i] = from.Value
		}
		if st.Formula.exact != nil {
			if got := st.Formula.exact(s.exactArgs(st.From)); st.Exact == nil || !got.Equal(*st.Exact) {
				return fmt.Errorf("step %s: recorded %v, replayed %s", st.ID, st.Exact, got)
			}
			continue
		}
		if got := st.Formula.Eval(args...); !same(got, st.Value) {
			return fmt.Errorf("step %s: recorded %v, replayed %v", st.ID, st.Value, got)
		}
	}
	return nil
}

// same allows for the last digits, and for nothing that is not a number.
func same(a, b float64) bool { return a == b || math.Abs(a-b) <= 1e-12*math.Abs(b) }
