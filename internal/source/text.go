package source

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"auditgen/internal/diag"
)

// deepest is how deep groups and lists may lie in one another; the files of
// this program need six.
const deepest = 50

var tooDeep = fmt.Sprintf("groups lie in one another more than %d deep", deepest)

func refuseDepth(v *Value, faults *diag.List) {
	v.Refused = true
	faults.At(v.Pos, tooDeep, "")
}

// refuseBlank refuses a single value without text.
func refuseBlank(v *Value, name string, faults *diag.List) {
	if strings.TrimSpace(v.Text) == "" {
		v.Refused = true
		faults.At(v.Pos, name+" has no value", "a value, or the line removed")
	}
}

// text takes off a byte order mark and refuses what is not UTF-8, at the first
// line that is not.
func text(file string, data []byte, faults *diag.List) ([]byte, bool) {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if utf8.Valid(data) {
		return data, true
	}
	pos := diag.Pos{File: file, Line: 1, Column: 1}
	for at := 0; at < len(data); {
		r, n := utf8.DecodeRune(data[at:])
		if r == utf8.RuneError && n == 1 {
			break
		}
		pos.Column++
		if r == '\n' {
			pos.Line, pos.Column = pos.Line+1, 1
		}
		at += n
	}
	faults.At(pos, "a character is not UTF-8 text", "the file saved as UTF-8")
	return nil, false
}

func parts(line string) (indent, body string) {
	body = strings.TrimLeft(line, " \t")
	return line[:len(line)-len(body)], body
}

// tabbed gives a fault for each line that is indented with a tab, which YAML
// forbids and reports in words that help nobody.
func tabbed(file string, data []byte) []diag.Fault {
	var faults []diag.Fault
	for i, line := range strings.Split(string(data), "\n") {
		indent, body := parts(line)
		if at := strings.IndexByte(indent, '\t'); at >= 0 && strings.TrimSpace(body) != "" {
			faults = append(faults, diag.Fault{Pos: diag.Pos{File: file, Line: i + 1, Column: at + 1},
				What: "a tab indents this line", Expected: "spaces: two for each level"})
		}
	}
	return faults
}

// untab gives the text with spaces for the tabs that indent its lines: a line
// that stands alone with its tab is brought to the indentation that it
// continues, others get two, four or eight spaces for each tab, whichever can
// be read as YAML.
func untab(data []byte) (*lineReader, bool) {
	for _, alone := range []bool{true, false} {
		for _, width := range []int{2, 4, 8} {
			clean := &lineReader{data: spaces(data, width, alone)}
			var doc yaml.Node
			if d := yaml.NewDecoder(clean); d.Decode(&doc) == nil && d.Decode(&doc) == io.EOF {
				return &lineReader{data: clean.data}, true
			}
		}
	}
	return nil, false
}

func spaces(data []byte, width int, alone bool) []byte {
	lines := strings.Split(string(data), "\n")
	hasTab := make([]bool, len(lines))
	for i, line := range lines {
		indent, body := parts(line)
		hasTab[i] = strings.Contains(indent, "\t") && strings.TrimSpace(body) != ""
	}
	for i, line := range lines {
		if !hasTab[i] {
			continue
		}
		indent, body := parts(line)
		lines[i] = strings.ReplaceAll(indent, "\t", strings.Repeat(" ", width)) + body
		neighbour := i > 0 && hasTab[i-1] || i+1 < len(lines) && hasTab[i+1]
		if alone && !neighbour {
			lines[i] = strings.Repeat(" ", continued(lines[:i], body)) + body
		}
	}
	return []byte(strings.Join(lines, "\n"))
}

// continued is the indentation that continues the lines above.
func continued(above []string, body string) int {
	for i := len(above) - 1; i >= 0; i-- {
		indent, before := parts(above[i])
		before = strings.TrimSpace(before)
		if before == "" || before[0] == '#' {
			continue
		}
		n := len(indent)
		for strings.HasPrefix(before, "- ") && !strings.HasPrefix(body, "- ") {
			n, before = n+2, before[2:]
		}
		if strings.HasSuffix(before, ":") {
			n += 2
		}
		return n
	}
	return 0
}
