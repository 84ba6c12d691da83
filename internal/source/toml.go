package source

import (
	"bytes"
	"errors"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
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
	// This library says what is wrong, and knows of keys given twice; it keeps
	// the places of keys and values to itself, which the syntax tree below has.
	var valid map[string]any
	if _, err := toml.Decode(string(data), &valid); err != nil {
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
	if err := t.parser.Error(); err != nil {
		faults.Add(tomlFault(file, data, err))
		return nil
	}
	return root
}

// tomlPlain puts the library's messages into the words of this package.
var tomlPlain = []struct {
	form *regexp.Regexp
	text string
}{
	{regexp.MustCompile(`^expected value but found "(.+)" instead$`), "a value begins with $1: put text in quotes"},
	{regexp.MustCompile(`^expected value but found '(.+)' instead$`), "a value begins with $1: put text in quotes"},
	{regexp.MustCompile(`^strings cannot contain newlines$`), "a quote is not closed on its line"},
	{regexp.MustCompile(`^expected '\.' or '=', but got (.+) instead$`), "the key is followed by $1, not by ="},
	{regexp.MustCompile(`^Key '(.+)' has already been defined\.?$`), "$1 is given twice"},
	{regexp.MustCompile(`^expected a top-level item to end with a newline, comment, or EOF, but got (.+) instead$`), "something stands behind the value: $1"},
	{regexp.MustCompile(`^invalid datetime: "(.+)"$`), "the date or time $1 does not exist"},
	{regexp.MustCompile(`^unexpected EOF; expected (.+)$`), "the file ends where a $1 belongs"},
	{regexp.MustCompile(`^(.*)\bEOF\b(.*)$`), "${1}the end of the file$2"},
	{regexp.MustCompile(`^(.+) is out of range for \w+$`), "the number $1 is out of range"},
}

func tomlFault(file string, data []byte, err error) diag.Fault {
	f := diag.Fault{Pos: diag.Pos{File: file, Line: 1, Column: 1}, Expected: `lines of the form name = "text in quotes"`, What: err.Error()}
	var pe toml.ParseError
	if errors.As(err, &pe) {
		f.What = pe.Message
		if at := pe.Position.Start; at >= 0 && at <= len(data) {
			f.Pos = (&tomlReader{file: file, data: data}).pos(at)
		}
	}
	for _, p := range tomlPlain {
		if p.form.MatchString(f.What) {
			f.What = p.form.ReplaceAllString(f.What, p.text)
			break
		}
	}
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
