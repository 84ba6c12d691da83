package source

import (
	"bytes"
	"errors"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"auditgen/internal/diag"
)

// TOML reads a TOML file. It gives nil when the text cannot be read at all; the
// faults then say why.
func TOML(file string, data []byte, faults *diag.List) *Value {
	data, ok := text(file, data, faults)
	if !ok {
		return nil
	}
	var valid map[string]any // the syntax tree below knows nothing of keys given twice
	if err := toml.Unmarshal(data, &valid); err != nil {
		faults.Add(tomlFault(file, data, err))
		return nil
	}
	t := &tomlReader{file: file, data: data, faults: faults}
	t.parser.Reset(data)
	root := &Value{Form: Mapping, Pos: t.pos(0)}
	table := root
	for t.parser.NextExpression() {
		e := t.parser.Expression()
		switch e.Kind {
		case unstable.Table:
			table = t.table(root, keyParts(e))
		case unstable.ArrayTable:
			table = t.item(root, keyParts(e))
		case unstable.KeyValue:
			t.keyValue(table, e, 0)
		}
	}
	return root
}

var (
	tomlRune  = regexp.MustCompile(`U\+[0-9A-F]{4,8}(?: '[^']*')?`)
	tomlLarge = regexp.MustCompile(`^unable to parse float.*|^[a-z]+ number is too large.*`)
	tomlStart = regexp.MustCompile(`unexpected character (.*) at start of value`)
	tomlMore  = strings.NewReplacer(
		"expected newline but got", "something stands behind the value:",
		"unterminated basic string", "a quote is not closed",
		"unterminated literal string", "a quote is not closed",
		"basic strings cannot have new lines", "a quote is not closed on its line",
		"literal strings cannot have new lines", "a quote is not closed on its line",
	)
)

func tomlFault(file string, data []byte, err error) diag.Fault {
	f := diag.Fault{Pos: diag.Pos{File: file, Line: 1, Column: 1}, Expected: `lines of the form name = "text in quotes"`}
	found := "an unprintable character"
	var de *toml.DecodeError
	if errors.As(err, &de) {
		line, column := de.Position()
		lines := bytes.Split(data, []byte("\n"))
		line = min(max(line, 1), len(lines))
		head := lines[line-1][:min(max(column-1, 0), len(lines[line-1]))]
		f.Pos.Line, f.Pos.Column = line, utf8.RuneCount(head)+1
		if r, _ := utf8.DecodeRune(lines[line-1][len(head):]); unicode.IsPrint(r) && r != utf8.RuneError {
			found = "'" + string(r) + "'"
		}
	}
	// The library names the byte; people know the character.
	what := tomlRune.ReplaceAllLiteralString(strings.TrimPrefix(err.Error(), "toml: "), found)
	what = tomlStart.ReplaceAllString(what, "a value begins with $1: put text in quotes")
	what = tomlLarge.ReplaceAllString(what, "a number is out of range")
	f.What = tomlMore.Replace(what)
	return f
}

// tomlReader builds values from the library's syntax tree, which tells where
// each key and each single value stands; where a list begins is found by
// skipping from one to the next.
type tomlReader struct {
	file   string
	data   []byte
	parser unstable.Parser
	faults *diag.List
}

func (t *tomlReader) pos(offset int) diag.Pos {
	before := t.data[:offset]
	line := before[bytes.LastIndexByte(before, '\n')+1:]
	return diag.Pos{File: t.file, Line: bytes.Count(before, []byte("\n")) + 1, Column: utf8.RuneCount(line) + 1}
}

func keyParts(e *unstable.Node) []*unstable.Node {
	var parts []*unstable.Node
	for it := e.Key(); it.Next(); {
		parts = append(parts, it.Node())
	}
	return parts
}

func (v *Value) pair(key string) *Value {
	for _, p := range v.Pairs {
		if p.Key == key {
			return p.Value
		}
	}
	return nil
}

// enter finds or makes the group of a key; of a list of tables it takes the last.
func (t *tomlReader) enter(v *Value, key *unstable.Node) *Value {
	next := v.pair(string(key.Data))
	if next == nil {
		pos := t.pos(int(key.Raw.Offset))
		next = &Value{Form: Mapping, Pos: pos}
		v.Pairs = append(v.Pairs, Pair{string(key.Data), pos, next})
	}
	if next.Form == Sequence && len(next.Items) > 0 {
		return next.Items[len(next.Items)-1]
	}
	return next
}

func (t *tomlReader) table(v *Value, parts []*unstable.Node) *Value {
	for _, key := range parts {
		v = t.enter(v, key)
	}
	return v
}

// item begins a table of a list of tables.
func (t *tomlReader) item(v *Value, parts []*unstable.Node) *Value {
	last := parts[len(parts)-1]
	v = t.table(v, parts[:len(parts)-1])
	list := v.pair(string(last.Data))
	at := int(parts[0].Raw.Offset)
	at = bytes.LastIndex(t.data[:at], []byte("[["))
	if list == nil {
		list = &Value{Form: Sequence, Pos: t.pos(at)}
		v.Pairs = append(v.Pairs, Pair{string(last.Data), t.pos(int(last.Raw.Offset)), list})
	}
	item := &Value{Form: Mapping, Pos: t.pos(at)}
	list.Items = append(list.Items, item)
	return item
}

// keyValue adds a line, or an entry of an inline table, to a group and gives
// the offset behind it.
func (t *tomlReader) keyValue(v *Value, e *unstable.Node, depth int) int {
	parts := keyParts(e)
	v = t.table(v, parts[:len(parts)-1])
	last := parts[len(parts)-1]
	value, end := t.value(e.Value(), t.skip(int(last.Raw.Offset+last.Raw.Length), "="), strconv.Quote(string(last.Data)), depth+1)
	v.Pairs = append(v.Pairs, Pair{string(last.Data), t.pos(int(last.Raw.Offset)), value})
	return end
}

// value reads the value that begins at an offset and gives the offset behind it.
func (t *tomlReader) value(n *unstable.Node, at int, name string, depth int) (*Value, int) {
	v := &Value{Pos: t.pos(at)}
	if depth > deepest {
		refuseDepth(v, t.faults)
		return v, at
	}
	switch n.Kind {
	case unstable.InlineTable:
		v.Form = Mapping
		at++
		for it := n.Children(); it.Next(); {
			at = t.keyValue(v, it.Node(), depth)
		}
		return v, t.skip(at, ",") + 1
	case unstable.Array:
		v.Form = Sequence
		at++
		for it := n.Children(); it.Next(); {
			var item *Value
			item, at = t.value(it.Node(), t.skip(at, ","), "this list item", depth+1)
			v.Items = append(v.Items, item)
		}
		return v, t.skip(at, ",") + 1
	case unstable.String:
		v.Text, v.Quoted = string(n.Data), true
	default:
		v.Text = string(n.Data)
	}
	refuseBlank(v, name, t.faults)
	return v, int(n.Raw.Offset + n.Raw.Length)
}

// skip passes over space, line ends, comments and the characters given.
func (t *tomlReader) skip(at int, also string) int {
	for at < len(t.data) {
		switch c := t.data[at]; {
		case c == '#':
			if end := bytes.IndexByte(t.data[at:], '\n'); end >= 0 {
				at += end
			} else {
				return len(t.data)
			}
		case c == ' ' || c == '\t' || c == '\r' || c == '\n' || strings.IndexByte(also, c) >= 0:
			at++
		default:
			return at
		}
	}
	return at
}
