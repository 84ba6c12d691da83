package assess

import (
	"strings"
	"testing"
)

// Every figure that a finding states can show how it was worked out: its
// evidence names a step that is there, and its cost a step of the same value.
func TestFindingsShowTheirWorking(t *testing.T) {
	for _, s := range sites {
		name := s.name
		a := kept(t, s.root, s.dir)
		for _, f := range a.Findings {
			for _, e := range f.Evidence {
				if e.Step == "" && e.Reading == "" && strings.ContainsAny(e.Text, "0123456789") {
					t.Errorf("%s, %s: %q shows neither step nor reading", name, f.ID, e.Text)
				}
				if _, ok := a.Sheet.Get(e.Step); e.Step != "" && !ok {
					t.Errorf("%s, %s: the step %s is not there", name, f.ID, e.Step)
				}
			}
			if f.Cost != nil {
				if st, _ := a.Sheet.Get(f.Cost.Step); st.Value != f.Cost.Value {
					t.Errorf("%s, %s: costs %g, its working says %g", name, f.ID, f.Cost.Value, st.Value)
				}
			}
		}
	}
}
