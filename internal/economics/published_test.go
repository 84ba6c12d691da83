package economics

import (
	"os"
	"strings"
	"testing"

	"auditgen/internal/published"
	"auditgen/internal/working"
)

func TestPublishedCases(t *testing.T) {
	tree := os.DirFS("../../testdata/published")
	cases, err := published.Read(tree, "economics")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range cases {
		if err := c.Check(); err != nil {
			t.Error(err)
		}
	}
	for _, name := range published.Uncovered(tree, working.Formulas()) {
		t.Errorf("%q has no published case", name)
	}
}

// A formula's text is an equation that names its arguments.
func TestTextsNameTheirArguments(t *testing.T) {
	for _, f := range working.Formulas() {
		_, right, ok := strings.Cut(f.Text, " = ")
		for _, s := range f.Symbols {
			if !ok || !strings.Contains(right, s) {
				t.Errorf("%q: %q does not show %s", f.Name, f.Text, s)
			}
		}
	}
}
