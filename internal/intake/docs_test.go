package intake

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"auditgen/internal/diag"
	"auditgen/internal/source"
)

// Every example of docs/intervals.md is read, and what is printed beside it is
// what the program says.
func TestDocs(t *testing.T) {
	page, err := os.ReadFile("../../docs/intervals.md")
	if err != nil {
		t.Fatal(err)
	}
	columns, data, examples := "", "", 0
	for _, block := range strings.Split("\n"+string(page), "\n```")[1:] {
		kind, text, ok := strings.Cut(block, "\n")
		text += "\n"
		switch {
		case !ok:
		case kind == "yaml":
			columns = text
		case kind == "csv tidy":
			var b bytes.Buffer
			if err := read(t, text, nil).WriteTidy(&b); err != nil || b.String() != text {
				t.Errorf("not tidy:\n%s", b.String())
			}
		case kind == "csv":
			data = text
		case kind == "text":
			examples++
			if got := said(t, columns, data); got != text {
				t.Errorf("the page has\n%s\nit is\n%s", text, got)
			}
			columns = ""
		}
	}
	if examples != 3 {
		t.Errorf("%d examples", examples)
	}
}

func said(t *testing.T, columns, data string) string {
	t.Helper()
	c := &Columns{}
	if columns != "" {
		var faults diag.List
		if c = ReadColumns(source.YAML("columns.yaml", []byte(columns), &faults), &faults); c == nil {
			t.Fatal(faults.Err())
		}
	}
	var b bytes.Buffer
	if err := read(t, data, c).Print(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}
