package source

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/BurntSushi/toml"

	"auditgen/internal/diag"
)

// TOML reads a TOML file. It gives nil when the text cannot be read at all; the
// faults then say why.
func TOML(file string, data []byte, faults *diag.List) *Value {
	start := diag.Pos{File: file, Line: 1, Column: 1}
	if !utf8.Valid(data) {
		faults.At(start, "the file is not UTF-8 text", "a text file saved as UTF-8")
		return nil
	}
	var tree map[string]any
	meta, err := toml.Decode(string(data), &tree)
	if err != nil {
		var pe toml.ParseError
		if errors.As(err, &pe) {
			faults.At(diag.Pos{File: file, Line: max(pe.Position.Line, 1), Column: max(pe.Position.Col, 1)}, pe.Message, "well-formed TOML")
		} else {
			faults.At(start, err.Error(), "well-formed TOML")
		}
		return nil
	}
	t := &tomlReader{file: file, places: tomlPlaces(file, string(data)), order: map[string]int{}, faults: faults}
	for i, k := range meta.Keys() {
		if _, seen := t.order[k.String()]; !seen {
			t.order[k.String()] = i
		}
	}
	return t.value("", "", tree, start)
}

type tomlReader struct {
	file   string
	places map[string]diag.Pos // by path, list items numbered: instrument[1].id
	order  map[string]int      // by path without numbers
	faults *diag.List
}

func (t *tomlReader) value(path, plain string, x any, parent diag.Pos) *Value {
	pos, ok := t.places[path]
	if !ok {
		pos = parent
	}
	v := &Value{Pos: pos}
	switch x := x.(type) {
	case map[string]any:
		v.Form = Mapping
		for _, k := range t.keys(plain, x) {
			sub := join(path, k)
			child := t.value(sub, join(plain, k), x[k], pos)
			v.Pairs = append(v.Pairs, Pair{k, child.Pos, child})
		}
	case []map[string]any:
		v.Form = Sequence
		for i, item := range x {
			v.Items = append(v.Items, t.value(fmt.Sprintf("%s[%d]", path, i), plain, item, pos))
		}
	case []any:
		v.Form = Sequence
		for i, item := range x {
			v.Items = append(v.Items, t.value(fmt.Sprintf("%s[%d]", path, i), plain, item, pos))
		}
	case string:
		v.Text, v.Quoted = x, true
	case time.Time:
		v.Text = x.Format("2006-01-02")
	default:
		v.Text = fmt.Sprint(x)
	}
	return v
}

// keys gives the keys of a table in the order of the file.
func (t *tomlReader) keys(plain string, table map[string]any) []string {
	keys := make([]string, 0, len(table))
	for k := range table {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b string) int {
		if d := t.order[join(plain, a)] - t.order[join(plain, b)]; d != 0 {
			return d
		}
		return strings.Compare(a, b)
	})
	return keys
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// tomlPlaces finds where each key of a valid TOML text stands. The library
// keeps positions to itself, so this walks the lines: tables, lists of tables
// and keys; it skips over multi-line strings and lists.
func tomlPlaces(file, text string) map[string]diag.Pos {
	places := map[string]diag.Pos{}
	counts := map[string]int{}
	table, until := "", ""
	depth := 0
	for i, line := range strings.Split(text, "\n") {
		trimmed := strings.TrimSpace(line)
		if until != "" {
			if strings.Contains(trimmed, until) {
				until = ""
			}
			continue
		}
		if depth > 0 {
			depth += brackets(trimmed)
			continue
		}
		pos := diag.Pos{File: file, Line: i + 1, Column: len(line) - len(strings.TrimLeft(line, " \t")) + 1}
		switch {
		case trimmed == "" || trimmed[0] == '#':
		case strings.HasPrefix(trimmed, "[["):
			name := bare(strings.Trim(before(trimmed, "]"), "[ "))
			table = fmt.Sprintf("%s[%d]", name, counts[name])
			counts[name]++
			places[table] = pos
			if _, ok := places[name]; !ok {
				places[name] = pos
			}
		case trimmed[0] == '[':
			table = bare(strings.Trim(before(trimmed, "]"), "[ "))
			places[table] = pos
		default:
			key, value, _ := strings.Cut(trimmed, "=")
			path := join(table, bare(key))
			places[path] = pos
			value = strings.TrimSpace(value)
			for _, q := range []string{`"""`, `'''`} {
				if strings.HasPrefix(value, q) && !strings.Contains(value[3:], q) {
					until = q
				}
			}
			if strings.HasPrefix(value, "[") {
				depth = brackets(value)
			}
		}
	}
	return places
}

func before(s, sep string) string { head, _, _ := strings.Cut(s, sep); return head }

func bare(key string) string {
	parts := strings.Split(key, ".")
	for i, p := range parts {
		parts[i] = strings.Trim(strings.TrimSpace(p), `"'`)
	}
	return strings.Join(parts, ".")
}

// brackets counts opened less closed brackets outside quotes and comments.
func brackets(s string) int {
	n, quote := 0, rune(0)
	for _, r := range s {
		switch {
		case quote != 0:
			if r == quote {
				quote = 0
			}
		case r == '"' || r == '\'':
			quote = r
		case r == '#':
			return n
		case r == '[':
			n++
		case r == ']':
			n--
		}
	}
	return n
}
