// Package source reads YAML and TOML strictly, into values that know where they
// stand. It is the only importer of those libraries, and the one place where
// their traps are refused: tabs, duplicate keys, empty values, aliases, tags
// and second documents.
package source

import (
	"auditgen/internal/diag"
)

// Form is the shape of a value.
type Form int

// The forms.
const (
	Scalar Form = iota
	Mapping
	Sequence
)

// Value is a node of a file.
type Value struct {
	Form   Form
	Pos    diag.Pos
	Text   string // a scalar's text
	Quoted bool   // a scalar was quoted
	Pairs  []Pair
	Items  []*Value
}

// Pair is a key of a mapping with its value.
type Pair struct {
	Key   string
	Pos   diag.Pos
	Value *Value
}

// Where is embedded by structs that want to know where they stand.
type Where struct{ Pos diag.Pos }

// At is a scalar that knows where it stands and how it was typed.
type At[T any] struct {
	Value T
	Pos   diag.Pos
	Text  string
	bad   bool
}

// IsSet reports whether the value was typed, readable or not.
func (a At[T]) IsSet() bool { return a.Pos.IsSet() }

// Good is the place of a value that could be read, else no place: checks of a
// value's range keep quiet about one that was refused already.
func (a At[T]) Good() diag.Pos {
	if a.bad {
		return diag.Pos{}
	}
	return a.Pos
}

// ReadSource reads the scalar.
func (a *At[T]) ReadSource(v *Value, faults *diag.List) {
	if v.Form != Scalar {
		faults.At(v.Pos, "a "+v.Form.word()+" stands where a single value belongs", "")
		return
	}
	a.Pos, a.Text = v.Pos, v.Text
	before := faults.Len()
	decodeScalar(v, &a.Value, faults)
	a.bad = faults.Len() > before
}

// Map is a mapping with free keys, in the order of the file.
type Map[T any] []Entry[T]

// Entry is one key of a Map.
type Entry[T any] struct {
	Key   string
	Pos   diag.Pos
	Value T
}

// ReadSource reads the mapping.
func (m *Map[T]) ReadSource(v *Value, faults *diag.List) {
	if v.Form != Mapping {
		faults.At(v.Pos, "a "+v.Form.word()+" stands where named entries belong", "lines of the form name: value")
		return
	}
	for _, p := range v.Pairs {
		e := Entry[T]{Key: p.Key, Pos: p.Pos}
		Decode(p.Value, &e.Value, faults)
		*m = append(*m, e)
	}
}

// Get finds an entry by its key.
func (m Map[T]) Get(key string) (T, bool) {
	for _, e := range m {
		if e.Key == key {
			return e.Value, true
		}
	}
	var none T
	return none, false
}

// Keys lists the keys in the order of the file.
func (m Map[T]) Keys() []string {
	keys := make([]string, len(m))
	for i, e := range m {
		keys[i] = e.Key
	}
	return keys
}

// OneOrMany is a value or a list of values: "Mon" or [Mon, Tue].
type OneOrMany[T any] []At[T]

// ReadSource reads either form.
func (o *OneOrMany[T]) ReadSource(v *Value, faults *diag.List) {
	items := v.Items
	if v.Form == Scalar {
		items = []*Value{v}
	} else if v.Form == Mapping {
		faults.At(v.Pos, "named entries stand where a value or a list belongs", "")
		return
	}
	for _, item := range items {
		var a At[T]
		a.ReadSource(item, faults)
		if a.IsSet() {
			*o = append(*o, a)
		}
	}
}

// List is a list of groups, or one group alone.
type List[T any] []T

// ReadSource reads either form.
func (l *List[T]) ReadSource(v *Value, faults *diag.List) {
	items := v.Items
	if v.Form != Sequence {
		items = []*Value{v}
	}
	for _, item := range items {
		var e T
		Decode(item, &e, faults)
		*l = append(*l, e)
	}
}

// Reader is what a type implements to read itself.
type Reader interface {
	ReadSource(v *Value, faults *diag.List)
}

func (f Form) word() string {
	return [...]string{"single value", "group of named entries", "list"}[f]
}
