package assess

import (
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/working"
)

// An assessment that does not agree with itself is refused, and the message
// names what does not.
func TestSpoiltAssessmentIsRefused(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(*Assessment)
		says  string
	}{
		{"month", func(a *Assessment) { a.Months[3].Energy.Value += 1 }, "months against the year"},
		{"tariff period", func(a *Assessment) { a.Months[4].BySlot[0] -= 0.5 }, "tariff periods against month 5"},
		{"load", func(a *Assessment) { a.Loads[0].Energy.Value *= 1.01 }, "loads against the year"},
		{"working of a load", func(a *Assessment) { a.Loads[0].Energy.Step = a.Loads[1].Energy.Step }, "working of cooling"},
		{"use", func(a *Assessment) { a.Uses[0].Energy.Value = 0 }, "uses against the year"},
		{"share", func(a *Assessment) { a.Uses[1].Share += 0.01 }, "shares of uses"},
		{"year", func(a *Assessment) { a.Energy.Value += 3 }, "working of the year"},
		{"line of the year", func(a *Assessment) { a.YearLines[0].Exact = "0.01" }, "year's lines"},
		{"a cent on a bill's total", func(a *Assessment) { a.Bills[6].Total = a.Bills[6].Total.Add(decimal.New(1, -2)) }, "bill"},
		{"a cent on a bill's line", func(a *Assessment) {
			l := &a.Bills[6].Lines[0]
			l.Amount = l.Amount.Add(decimal.New(1, -2))
		}, ""},
		{"derived step", func(a *Assessment) { derivedStep(a).Value *= 1.001 }, "replayed"},
		{"step without its formula", func(a *Assessment) { derivedStep(a).Formula = nil }, "no formula"},
		{"step that cites nothing", func(a *Assessment) { derivedStep(a).From[0] = "no.such.step" }, "not there"},
		{"step recorded twice", func(a *Assessment) { a.Sheet.Put(working.Step{ID: "year.energy"}) }, "twice"},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := assessed(t, sites[2].root, sites[2].dir)
			if err := a.check(); err != nil {
				t.Fatalf("sound as it is: %v", err)
			}
			c.spoil(a)
			err := a.check()
			if err == nil || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), "does not agree with itself") {
				t.Errorf("error %v, want one that says %q", err, c.says)
			}
		})
	}
}

// derivedStep gives a step that a formula made of floating-point numbers.
func derivedStep(a *Assessment) *working.Step {
	steps := a.Sheet.Steps()
	return &steps[slices.IndexFunc(steps, func(s working.Step) bool {
		return s.Kind == working.Derived && s.Exact == nil && len(s.From) > 0 && s.Value != 0
	})]
}

// What cannot be worked with is refused with its place.
func TestFaultsOfTheRecordComeThrough(t *testing.T) {
	rec := record(t, sites[2].root, sites[2].dir)
	rec.Loads[0].Reading.Value = "R9"
	if _, err := Assess(rec); err == nil || !strings.Contains(err.Error(), "R9") {
		t.Errorf("error %v, want one that names R9", err)
	}
}
