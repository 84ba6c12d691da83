package source

import (
	"encoding"
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"auditgen/internal/diag"
)

// Decode fills into (a pointer) from v and records every fault it meets.
//
// Struct fields carry tags: key is the name in the file (a field without one is
// left alone); need:"yes" makes its absence a fault. The tags doc, unit,
// default and example describe the key for people and are not read here.
// A struct that embeds Where learns its place.
func Decode(v *Value, into any, faults *diag.List) {
	if v == nil {
		return
	}
	decode(v, reflect.ValueOf(into).Elem(), faults)
}

func decode(v *Value, t reflect.Value, faults *diag.List) {
	if r, ok := t.Addr().Interface().(Reader); ok {
		r.ReadSource(v, faults)
		return
	}
	if _, ok := t.Addr().Interface().(encoding.TextUnmarshaler); ok {
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
			faults.At(v.Pos, "a "+v.Form.word()+" stands where a list belongs", "items that begin with a dash, or [a, b]")
			return
		}
		for _, item := range v.Items {
			e := reflect.New(t.Type().Elem()).Elem()
			decode(item, e, faults)
			t.Set(reflect.Append(t, e))
		}
	default:
		decodeText(v, t, faults)
	}
}

func decodeText(v *Value, t reflect.Value, faults *diag.List) {
	if v.Form != Scalar {
		faults.At(v.Pos, "a "+v.Form.word()+" stands where a single value belongs", "")
		return
	}
	decodeScalar(v, t.Addr().Interface(), faults)
}

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
		n, err := strconv.Atoi(v.Text)
		if err != nil {
			faults.At(v.Pos, fmt.Sprintf("%q is not a whole number", v.Text), "digits only, such as 12")
		}
		t.SetInt(int64(n))
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
	key   string
	need  bool
	index []int
}

func fields(t reflect.Type) []field {
	var fs []field
	for _, f := range reflect.VisibleFields(t) {
		if key := f.Tag.Get("key"); key != "" {
			fs = append(fs, field{key, f.Tag.Get("need") == "yes", f.Index})
		}
	}
	return fs
}

func decodeStruct(v *Value, t reflect.Value, faults *diag.List) {
	if w := t.FieldByName("Where"); w.IsValid() && w.Type() == reflect.TypeFor[Where]() {
		w.Set(reflect.ValueOf(Where{v.Pos}))
	}
	if v.Form != Mapping {
		faults.At(v.Pos, "a "+v.Form.word()+" stands where named entries belong", "lines of the form name: value")
		return
	}
	fs := fields(t.Type())
	byKey := make(map[string]field, len(fs))
	keys := make([]string, len(fs))
	for i, f := range fs {
		byKey[f.key], keys[i] = f, f.key
	}
	seen := map[string]bool{}
	for _, p := range v.Pairs {
		f, ok := byKey[p.Key]
		if !ok {
			pr := diag.OneOf("key", p.Key, keys)
			faults.Add(pr.At(p.Pos))
			continue
		}
		seen[p.Key] = true
		decode(p.Value, t.FieldByIndex(f.index), faults)
	}
	var missing []string
	for _, f := range fs {
		if f.need && !seen[f.key] {
			missing = append(missing, f.key)
		}
	}
	if len(missing) > 0 {
		faults.At(v.Pos, "missing here: "+strings.Join(missing, ", "), "")
	}
}
