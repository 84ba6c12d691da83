// Package source reads YAML and TOML strictly, into values that know where they
// stand. It is the only importer of those libraries, and the one place where
// their traps are refused: tabs, duplicate keys, empty values, aliases, tags
// and second documents.
package source

import (
	"reflect"

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
	Form    Form
	Pos     diag.Pos
	Text    string // a scalar's text
	Quoted  bool   // a scalar was quoted
	Refused bool   // the value has a fault of its own already; it holds nothing to read
	Pairs   []Pair
	Items   []*Value

	torn    bool   // part of the value could not be read
	example string // what could stand here, by the tag of the field that it is for
}

// sound reports whether nothing in v was refused.
func (v *Value) sound() bool {
	for _, p := range v.Pairs {
		if !p.Value.sound() {
			return false
		}
	}
	for _, item := range v.Items {
		if !item.sound() {
			return false
		}
	}
	return !v.Refused && !v.torn
}

// Pair is a key of a mapping with its value.
type Pair struct {
	Key   string
	Pos   diag.Pos
	Value *Value
}

// Where is embedded by structs that want to know where they stand. Faulty
// tells that something in the struct could not be read: checks of what is there
// and what is not then keep quiet, since the fault is told already.
type Where struct {
	Pos    diag.Pos
	Faulty bool
}

// At is a scalar that knows where it stands and how it was typed.
type At[T any] struct {
	Value T
	Pos   diag.Pos
	Text  string
	bad   bool
}

func (At[T]) holds() (shape, reflect.Type)        { return alone, reflect.TypeFor[T]() }
func (Map[T]) holds() (shape, reflect.Type)       { return entries, reflect.TypeFor[T]() }
func (OneOrMany[T]) holds() (shape, reflect.Type) { return aloneOrMany, reflect.TypeFor[T]() }
func (List[T]) holds() (shape, reflect.Type)      { return aloneOrMany, reflect.TypeFor[T]() }

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
	a.Pos, a.Text = v.Pos, v.Text
	before := faults.Len()
	if v.Form != Scalar {
		misplaced(v, "a single value", "", faults)
	} else {
		decodeScalar(v, &a.Value, faults)
	}
	a.bad = faults.Len() > before
}

func (a *At[T]) refuse(v *Value) { a.Pos, a.bad = v.Pos, true }

// refuser is a type that wants to know that it was typed, though its value has
// a fault already.
type refuser interface{ refuse(v *Value) }

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
		misplaced(v, "a group of named entries", "lines of the form name: value", faults)
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
		misplaced(v, "a value or a list", "", faults)
		return
	}
	for _, item := range items {
		if item.Refused {
			continue
		}
		var a At[T]
		a.ReadSource(item, faults)
		*o = append(*o, a)
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
		if item.Refused {
			continue
		}
		var e T
		Decode(item, &e, faults)
		*l = append(*l, e)
	}
}

// Reader is what a type implements to read itself. It is not asked to read a
// value that was refused.
type Reader interface {
	ReadSource(v *Value, faults *diag.List)
}

func (f Form) word() string {
	return [...]string{"a single value", "a group of named entries", "a list"}[f]
}

// misplaced records that a value has the wrong shape for its place.
func misplaced(v *Value, belongs, expected string, faults *diag.List) {
	if expected == "" && v.example != "" {
		expected = "one value, such as " + v.example
	}
	faults.At(v.Pos, v.Form.word()+" stands where "+belongs+" belongs", expected)
}
