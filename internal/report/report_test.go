package report

import "testing"

func TestExample(t *testing.T) {
	for _, f := range build(t, example(t)) {
		t.Logf("%s: %d bytes", f.Name, len(f.Data))
	}
}
