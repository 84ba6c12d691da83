package source

import (
	"encoding"
	"errors"
	"fmt"
	"path"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"auditgen/internal/diag"
)

// Decode fills into (a pointer) from v and records every fault it meets.
//
// Struct fields carry tags: key is the name in the file (a field without one is
// left alone); need:"yes" makes its absence a fault; example is quoted when it
// is absent. The tags doc, unit, default and example describe the key for
// people: Describe reads them. A struct that embeds Where learns its place.
func Decode(v *Value, into any, faults *diag.List) {
	if v == nil {
		return
	}
	decode(v, reflect.ValueOf(into).Elem(), faults)
}

func decode(v *Value, t reflect.Value, faults *diag.List) {
	into := t.Addr().Interface()
	if v.Refused {
		if t.Kind() == reflect.Pointer { // typed, so not absent
			t.Set(reflect.New(t.Type().Elem()))
			into = t.Interface()
		}
		refuse(v, into)
		return
	}
	if r, ok := into.(Reader); ok {
		r.ReadSource(v, faults)
		return
	}
	if _, ok := into.(encoding.TextUnmarshaler); ok {
		decodeText(v, t, faults)
		return
	}
	switch t.Kind() {
	case reflect.Pointer:
		t.Set(reflect.New(t.Type().Elem()))
		decode(v, t.Elem(), faults)
	case reflect.Struct:
		decodeStruct(v, t, faults)
	case reflect.Slice:
		if v.Form != Sequence {
			misplaced(v, "a list", "items that begin with a dash, or [a, b]", faults)
			return
		}
		for _, item := range v.Items {
			if item.Refused {
				continue
			}
			e := reflect.New(t.Type().Elem()).Elem()
			decode(item, e, faults)
			t.Set(reflect.Append(t, e))
		}
	default:
		decodeText(v, t, faults)
	}
}

// refuse tells whatever can hear it that its value was typed but not readable.
func refuse(v *Value, into any) {
	if r, ok := into.(refuser); ok {
		r.refuse(v)
		return
	}
	if t := reflect.ValueOf(into).Elem(); t.Kind() == reflect.Struct {
		setWhere(t, Where{v.Pos, true})
	}
}

func setWhere(t reflect.Value, w Where) {
	if f := t.FieldByName("Where"); f.IsValid() && f.Type() == reflect.TypeFor[Where]() {
		f.Set(reflect.ValueOf(w))
	}
}

func decodeText(v *Value, t reflect.Value, faults *diag.List) {
	if v.Form != Scalar {
		misplaced(v, "a single value", "", faults)
		return
	}
	decodeScalar(v, t.Addr().Interface(), faults)
}

var wholeForm = regexp.MustCompile(`^-?(0|[1-9][0-9]{0,17})$`)

func decodeScalar(v *Value, into any, faults *diag.List) {
	if u, ok := into.(encoding.TextUnmarshaler); ok {
		if err := u.UnmarshalText([]byte(v.Text)); err != nil {
			faults.Add(fault(err, v.Pos))
		}
		return
	}
	t := reflect.ValueOf(into).Elem()
	switch t.Kind() {
	case reflect.String:
		t.SetString(v.Text)
	case reflect.Bool:
		switch v.Text {
		case "yes", "true":
			t.SetBool(true)
		case "no", "false":
		default:
			faults.Add(diag.OneOf("answer", v.Text, []string{"yes", "no"}).At(v.Pos))
		}
	case reflect.Int:
		if !wholeForm.MatchString(v.Text) {
			faults.At(v.Pos, fmt.Sprintf("%q is not a whole number", v.Text), "digits only, such as 12")
			return
		}
		n, _ := strconv.ParseInt(v.Text, 10, 64) // eighteen digits fit
		t.SetInt(n)
	default:
		panic("source: no way to read a " + t.Type().String())
	}
}

func fault(err error, pos diag.Pos) diag.Fault {
	var p *diag.Problem
	if errors.As(err, &p) {
		return p.At(pos)
	}
	return diag.Fault{Pos: pos, What: err.Error()}
}

type field struct {
	key     string
	need    bool
	example string
	index   []int
}

func fields(t reflect.Type) []field {
	var fs []field
	for _, f := range reflect.VisibleFields(t) {
		if key := f.Tag.Get("key"); key != "" {
			fs = append(fs, field{key, f.Tag.Get("need") == "yes", f.Tag.Get("example"), f.Index})
		}
	}
	return fs
}

func decodeStruct(v *Value, t reflect.Value, faults *diag.List) {
	before := faults.Len()
	defer func() { setWhere(t, Where{v.Pos, faults.Len() > before || !v.sound()}) }()
	if v.Form != Mapping {
		expected := "lines of the form name: value"
		if strings.HasPrefix(v.example, "{") {
			expected += ", such as " + v.example
		}
		misplaced(v, "a group of named entries", expected, faults)
		return
	}
	fs := fields(t.Type())
	keys := make([]string, len(fs))
	for i, f := range fs {
		keys[i] = f.key
	}
	typed := map[string]bool{}
	for _, p := range v.Pairs {
		i := slices.Index(keys, p.Key)
		if i < 0 {
			pr := diag.OneOf("key", p.Key, keys)
			faults.Add(pr.At(p.Pos))
			typed[pr.Nearest] = true // misspelt, not missing
			continue
		}
		typed[p.Key] = true
		p.Value.example = fs[i].example
		decode(p.Value, t.FieldByIndex(fs[i].index), faults)
	}
	missing(v, fs, typed, faults)
}

// missing records the keys that are needed and were not typed, in one fault.
func missing(v *Value, fs []field, typed map[string]bool, faults *diag.List) {
	var names, lines []string
	colon := ": "
	if path.Ext(v.Pos.File) == ".toml" {
		colon = " = "
	}
	for _, f := range fs {
		if !f.need || typed[f.key] {
			continue
		}
		names = append(names, f.key)
		switch {
		case f.example == "":
		case colon == " = ":
			lines = append(lines, f.key+colon+strconv.Quote(f.example))
		default:
			lines = append(lines, f.key+colon+f.example)
		}
	}
	if len(names) == 0 {
		return
	}
	expected := ""
	if len(lines) > 0 {
		expected = "a line such as " + strings.Join(lines, " and ")
	}
	faults.At(v.Pos, "missing here: "+strings.Join(names, ", "), expected)
}
