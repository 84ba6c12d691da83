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
	if !utf8.Valid(data) {
		faults.At(diag.Pos{File: file, Line: 1, Column: 1}, "the file is not UTF-8 text", "a text file saved as UTF-8")
		return nil
	}
	data, tabbed := untab(file, data, faults)
	decoder := yaml.NewDecoder(bytes.NewReader(data))
	var doc yaml.Node
	if err := decoder.Decode(&doc); err != nil {
		if !tabbed { // else the tabs are the likely cause, and named already
			faults.Add(yamlFault(file, data, err))
		}
		return nil
	}
	var second yaml.Node
	if err := decoder.Decode(&second); err == nil {
		faults.At(diag.Pos{File: file, Line: second.Line, Column: 1}, "a second document begins here", "one document a file: remove the line ---")
	} else if !errors.Is(err, io.EOF) {
		faults.Add(yamlFault(file, data, err))
	}
	return (&yamlReader{file, faults}).value(doc.Content[0])
}

// untab records each line that is indented with a tab, which YAML forbids and
// reports in words that help nobody. It gives the text with two spaces for each
// such tab, so that the rest of the file can still be read for its own faults.
func untab(file string, data []byte, faults *diag.List) (clean []byte, found bool) {
	lines := strings.Split(string(data), "\n")
	for i, line := range lines {
		body := strings.TrimLeft(line, " \t")
		indent := line[:len(line)-len(body)]
		if at := strings.IndexByte(indent, '\t'); at >= 0 && strings.TrimSpace(body) != "" {
			faults.At(diag.Pos{File: file, Line: i + 1, Column: at + 1}, "a tab indents this line", "spaces: two for each level")
			lines[i] = strings.ReplaceAll(indent, "\t", "  ") + body
			found = true
		}
	}
	return []byte(strings.Join(lines, "\n")), found
}

var (
	yamlLine = regexp.MustCompile(`line (\d+): `)
	yamlMore = strings.NewReplacer(
		"did not find expected key", "the line does not fit its surroundings: a colon, a quote or the indentation is off",
		"could not find expected ':'", "a colon is missing behind the key",
		"mapping values are not allowed in this context", "a second colon stands on the line, or the line above should end in a colon",
		"found character that cannot start any token", "a character stands where none may begin a value",
		"did not find expected ',' or ']'", "a list in brackets is not closed, or a comma is missing",
		"did not find expected ',' or '}'", "a group in braces is not closed, or a comma is missing",
		"found unexpected end of stream", "a quote is not closed",
		"block sequence entries are not allowed in this context", "a list item begins where none may stand: put it on a line of its own",
		"did not find expected '-' indicator", "the line does not fit the list above: begin it with a dash or mend its indentation",
		"did not find expected node content", "a value is missing",
		"did not find expected alphabetic or numeric character", "& and * have a meaning of their own at the start of a value: put quotes around it",
	)
)

func yamlFault(file string, data []byte, err error) diag.Fault {
	if errors.Is(err, io.EOF) {
		return diag.Fault{Pos: diag.Pos{File: file, Line: 1, Column: 1}, What: "the file is empty", Expected: "lines of the form name: value"}
	}
	text := strings.TrimPrefix(err.Error(), "yaml: ")
	line := 1
	if m := yamlLine.FindStringSubmatchIndex(text); m != nil {
		line, _ = strconv.Atoi(text[m[2]:m[3]])
		text = text[m[1]:]
	}
	lines := strings.Split(string(data), "\n")
	line = min(max(line, 1), len(lines))
	column := len([]rune(lines[line-1])) - len([]rune(strings.TrimLeft(lines[line-1], " "))) + 1
	return diag.Fault{
		Pos:      diag.Pos{File: file, Line: line, Column: column},
		What:     yamlMore.Replace(text),
		Expected: "well-formed YAML on this line or the one before: " + strconv.Quote(strings.TrimSpace(lines[line-1])),
	}
}

type yamlReader struct {
	file   string
	faults *diag.List
}

func (y *yamlReader) pos(n *yaml.Node) diag.Pos {
	return diag.Pos{File: y.file, Line: max(n.Line, 1), Column: max(n.Column, 1)}
}

func (y *yamlReader) value(n *yaml.Node) *Value {
	v := &Value{Pos: y.pos(n), Text: n.Value, Quoted: n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0}
	if n.Anchor != "" || n.Kind == yaml.AliasNode {
		y.faults.At(v.Pos, "anchors and aliases (& and *) are not read", "the value written out")
		return nil
	}
	if n.Style&yaml.TaggedStyle != 0 {
		y.faults.At(v.Pos, fmt.Sprintf("the tag %s is not read", n.Tag), "the value without it")
		return nil
	}
	switch n.Kind {
	case yaml.MappingNode:
		v.Form = Mapping
		y.pairs(v, n)
	case yaml.SequenceNode:
		v.Form = Sequence
		for _, c := range n.Content {
			if item := y.present(c, "this list item"); item != nil {
				v.Items = append(v.Items, item)
			}
		}
	}
	return v
}

func (y *yamlReader) pairs(v *Value, n *yaml.Node) {
	first := map[string]int{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key := n.Content[i]
		if key.Kind != yaml.ScalarNode || key.Tag == "!!merge" {
			y.faults.At(y.pos(key), "this key is not a plain word", "a word and a colon")
			continue
		}
		if line, ok := first[key.Value]; ok {
			y.faults.At(y.pos(key), fmt.Sprintf("%q is given twice, first on line %d", key.Value, line), "one of them")
			continue
		}
		first[key.Value] = key.Line
		if value := y.present(n.Content[i+1], fmt.Sprintf("%q", key.Value)); value != nil {
			v.Pairs = append(v.Pairs, Pair{key.Value, y.pos(key), value})
		}
	}
}

// present refuses a value left empty: whoever wrote the key meant something.
func (y *yamlReader) present(n *yaml.Node, what string) *Value {
	if n.Kind == yaml.ScalarNode && n.Tag == "!!null" && n.Style == 0 && (n.Value == "" || n.Value == "~" || n.Value == "null") {
		y.faults.At(y.pos(n), what+" has no value", "a value, or the line removed")
		return nil
	}
	return y.value(n)
}
