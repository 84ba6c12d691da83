package source

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"auditgen/internal/diag"
)

// YAML reads one YAML document. It gives nil when the text cannot be read at
// all; the faults then say why.
func YAML(file string, data []byte, faults *diag.List) *Value {
	data, ok := text(file, data, faults)
	if !ok {
		return nil
	}
	data = blankLine.ReplaceAll(data, nil) // the library trips over a tab on a line of its own
	lines := &lineReader{data: data}
	if tabs := tabbed(file, data); len(tabs) > 0 {
		for _, f := range tabs {
			faults.Add(f)
		}
		// The rest of the file is read for its own faults, as it was probably meant.
		if lines, ok = untab(data); !ok {
			return nil
		}
	}
	decoder := yaml.NewDecoder(lines)
	var doc yaml.Node
	if err := decoder.Decode(&doc); err != nil {
		faults.Add(yamlFault(file, lines, err))
		return nil
	}
	if len(doc.Content) == 0 {
		faults.Add(yamlFault(file, lines, io.EOF))
		return nil
	}
	y := &yamlReader{file, faults}
	v := y.value(doc.Content[0], "the file", 0)
	var second yaml.Node
	if err := decoder.Decode(&second); err == nil {
		v.torn = true
		faults.At(diag.Pos{File: file, Line: max(second.Line, 1), Column: 1}, "a second document begins here", "one document a file: remove the line ---")
	} else if !errors.Is(err, io.EOF) {
		v.torn = true
		faults.Add(yamlFault(file, lines, err))
	}
	return v
}

// lineReader gives its text a line at a time, so that the number of lines taken
// tells how far the parser came: its own errors name the line where the group
// began that could not be finished.
type lineReader struct {
	data  []byte
	taken int // bytes
	lines int
}

func (l *lineReader) Read(p []byte) (int, error) {
	rest := l.data[l.taken:]
	if len(rest) == 0 {
		return 0, io.EOF
	}
	n := bytes.IndexByte(rest, '\n') + 1
	if n == 0 {
		n = len(rest)
	}
	n = copy(p, rest[:n])
	l.taken += n
	l.lines = bytes.Count(l.data[:l.taken], []byte("\n"))
	if l.data[l.taken-1] != '\n' {
		l.lines++
	}
	return n, nil
}

var blankLine = regexp.MustCompile(`(?m)^[ \t]+\r?$`)

var (
	yamlAlias = regexp.MustCompile(`^unknown anchor '(.*)' referenced$`)
	yamlLine  = regexp.MustCompile(`line (\d+): `)
	// yamlMore words the parser's errors for people, and tells which line to name.
	yamlMore = []struct {
		text, words string
		at          yamlPlace
	}{
		{"did not find expected key", "the line does not fit its surroundings: a colon, a quote or the indentation is off", taken},
		{"could not find expected ':'", "a colon is missing behind the key", named},
		{"mapping values are not allowed in this context", "the indentation is off, a second colon stands on the line, or the line above should end in a colon", named},
		{"found character that cannot start any token", "a character stands where none may begin a value: put the value in quotes", named},
		{"did not find expected ',' or ']'", "a list in brackets is not closed, or a comma is missing", opened},
		{"did not find expected ',' or '}'", "a group in braces is not closed, or a comma is missing", opened},
		{"found unexpected end of stream", "a quote is not closed", named},
		{"found unexpected document indicator", "a quote is not closed", named},
		{"block sequence entries are not allowed in this context", "a list item begins where none may stand: put it on a line of its own", named},
		{"did not find expected '-' indicator", "the line does not fit the list above: begin it with a dash or mend its indentation", taken},
		{"did not find expected node content", "a value is missing", taken},
		{"did not find expected alphabetic or numeric character", "& and * have a meaning of their own at the start of a value: put quotes around it", named},
		{"did not find expected comment or line break", "something stands behind | or >: put the text on lines of its own", named},
		{"did not find expected <document start>", "the line does not belong to the group above: mend its indentation", taken},
		{"found unknown escape character", "a backslash in double quotes has a meaning of its own: use single quotes", named},
		{"exceeded max depth", tooDeep, taken},
		{"control characters are not allowed", "a control character stands in the file", taken},
		{"found a tab character", "a tab stands where spaces belong", named},
	}
)

// yamlPlace is which line an error of the parser is about.
type yamlPlace int

const (
	taken  yamlPlace = iota // the last line that the parser took
	named                   // the line that it names
	opened                  // the line behind the one that it names, where the bracket opens
)

func yamlFault(file string, from *lineReader, err error) diag.Fault {
	if errors.Is(err, io.EOF) {
		return diag.Fault{Pos: diag.Pos{File: file, Line: 1, Column: 1}, What: "the file is empty", Expected: "lines of the form name: value"}
	}
	text := strings.TrimPrefix(err.Error(), "yaml: ")
	if m := yamlAlias.FindStringSubmatch(text); m != nil {
		at := bytes.Index(from.data, []byte("*"+m[1]))
		before := from.data[:max(at, 0)]
		start := bytes.LastIndexByte(before, '\n') + 1
		return aliasFault(diag.Pos{File: file, Line: bytes.Count(before, []byte("\n")) + 1, Column: utf8.RuneCount(before[start:]) + 1})
	}
	line, said := from.lines, 0
	if m := yamlLine.FindStringSubmatchIndex(text); m != nil {
		said, _ = strconv.Atoi(text[m[2]:m[3]])
		text = text[m[1]:]
	}
	what := "the line cannot be read as YAML"
	for _, m := range yamlMore {
		if strings.Contains(text, m.text) {
			what = m.words
			if m.at == named && said > 0 {
				line = said
			} else if m.at == opened && said > 0 {
				line = said + 1
			}
			break
		}
	}
	lines := strings.Split(string(from.data), "\n")
	line = min(max(line, 1), len(lines))
	if strings.Contains(text, "cannot start any token") && strings.Contains(lines[line-1], "\t") {
		what = "a tab stands on the line where spaces belong"
	}
	for line > 1 && strings.TrimSpace(lines[line-1]) == "" {
		line--
	}
	column := utf8.RuneCountInString(lines[line-1]) - utf8.RuneCountInString(strings.TrimLeft(lines[line-1], " ")) + 1
	return diag.Fault{
		Pos:      diag.Pos{File: file, Line: line, Column: column},
		What:     what,
		Expected: "well-formed YAML on this line and the one before: " + strconv.Quote(clip(strings.TrimSpace(lines[line-1]))),
	}
}

// clip shortens a line that is quoted in a message.
func clip(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}

func aliasFault(pos diag.Pos) diag.Fault {
	return diag.Fault{Pos: pos, What: "anchors and aliases (& and *) are not read", Expected: "the value written out, or quotes around it"}
}

type yamlReader struct {
	file   string
	faults *diag.List
}

func (y *yamlReader) pos(n *yaml.Node) diag.Pos {
	return diag.Pos{File: y.file, Line: max(n.Line, 1), Column: max(n.Column, 1)}
}

// value reads a node. A value left empty is refused: whoever wrote the key
// meant something.
func (y *yamlReader) value(n *yaml.Node, name string, depth int) *Value {
	v := &Value{Pos: y.pos(n), Text: n.Value, Quoted: n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0}
	switch {
	case depth > deepest:
		refuseDepth(v, y.faults)
		return v
	case n.Anchor != "" || n.Kind == yaml.AliasNode:
		v.Refused = true
		y.faults.Add(aliasFault(v.Pos))
		return v
	case n.Style&yaml.TaggedStyle != 0:
		v.Refused = true
		y.faults.At(v.Pos, fmt.Sprintf("the tag %q is not read", n.Tag), "the value without it, or quotes around it")
		return v
	}
	switch n.Kind {
	case yaml.MappingNode:
		v.Form = Mapping
		y.pairs(v, n, depth)
	case yaml.SequenceNode:
		v.Form = Sequence
		for _, c := range n.Content {
			v.Items = append(v.Items, y.value(c, "this list item", depth+1))
		}
	default:
		if !v.Quoted && (n.Value == "~" || n.Value == "null") {
			v.Text = ""
		}
		refuseBlank(v, name, y.faults)
	}
	return v
}

func (y *yamlReader) pairs(v *Value, n *yaml.Node, depth int) {
	first := map[string]int{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key := n.Content[i]
		if key.Kind != yaml.ScalarNode || key.Tag == "!!merge" || key.Anchor != "" || strings.TrimSpace(key.Value) == "" {
			v.torn = true
			y.faults.At(y.pos(key), "this key is not a plain word", "a word and a colon")
			continue
		}
		if y.decimalComma(v, n, i) {
			continue
		}
		if line, ok := first[key.Value]; ok {
			y.faults.At(y.pos(key), fmt.Sprintf("%q is given twice, first on line %d", key.Value, line), "one of them")
			continue
		}
		first[key.Value] = key.Line
		v.Pairs = append(v.Pairs, Pair{key.Value, y.pos(key), y.value(n.Content[i+1], strconv.Quote(key.Value), depth+1)})
	}
}

var (
	wholePart = regexp.MustCompile(`^[-+]?[0-9]+$`)
	fraction  = regexp.MustCompile(`^[0-9]+(?:[^0-9].*)?$`)
)

// decimalComma refuses {voltage: 231,2 V}, which YAML takes for a voltage of 231
// and a key "2 V" without value: one fault, not three.
func (y *yamlReader) decimalComma(v *Value, n *yaml.Node, i int) bool {
	if n.Style&yaml.FlowStyle == 0 || len(v.Pairs) == 0 {
		return false
	}
	before, key, none := v.Pairs[len(v.Pairs)-1].Value, n.Content[i], n.Content[i+1]
	beside := key.Line == before.Pos.Line && key.Column == before.Pos.Column+len(before.Text)+1
	if !beside || none.Value != "" || none.Style != 0 || none.Tag != "!!null" || !wholePart.MatchString(before.Text) || !fraction.MatchString(key.Value) {
		return false
	}
	before.Refused = true
	y.faults.At(before.Pos, fmt.Sprintf("\"%s,%s\" has a decimal comma", before.Text, key.Value), "a point: "+before.Text+"."+key.Value)
	return true
}
