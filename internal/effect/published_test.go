package effect

import (
	"os"
	"testing"

	"auditgen/internal/published"
	"auditgen/internal/working"
)

func TestPublishedCases(t *testing.T) {
	tree := os.DirFS("../../testdata/published")
	cases, err := published.Read(tree, "effects")
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
