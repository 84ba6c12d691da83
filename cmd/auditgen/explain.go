package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"auditgen/internal/assess"
	"auditgen/internal/diag"
	"auditgen/internal/working"
)

func explainCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "explain SITE FIGURE",
		Short: "Print how a figure was worked out, down to the readings",
		Long: `Print how a figure was worked out: its formula, the figures it rests on and where each of
those comes from, down to readings, assumptions and prices. FIGURE is energy, cost, demand,
base-load, load-factor, a month (2031-07), the id of a load, a reading or a measure, measures
for all of them together, or a step's name as printed in the report.

Exit status: 0 printed, 2 there is no such figure or something in the files is wrong.`,
		Example: "  auditgen explain sites/example energy\n  auditgen explain sites/example chiller\n  auditgen explain sites/example readings.R1.total.power",
		Args:    func(c *cobra.Command, args []string) error { return oneSite(c, args, "the figure") },
		RunE: func(c *cobra.Command, args []string) error {
			a, f, err := assessOne(args[0], assess.Find)
			if err != nil {
				return err
			}
			id, err := figure(a, args[1])
			if err != nil {
				// It may be a use's cost or one of the plan, which take the longest.
				if err := a.Propose(); err != nil {
					return f.shownFaults(err)
				}
				id, err = figure(a, args[1])
			}
			if err != nil {
				return err
			}
			(&explainer{w: c.OutOrStdout(), sheet: a.Sheet, place: f, seen: map[string]bool{}}).step(id, 0)
			return nil
		},
	}
}

// figure finds the step that a word stands for.
func figure(a *assess.Assessment, word string) (string, error) {
	names := map[string]string{
		"energy": a.Energy.Step, "cost": a.Cost.Step, "demand": a.Peak.Step, "apparent-demand": a.PeakKVA.Step,
		"base-load": a.BaseLoad.Step, "load-factor": a.LoadFactor.Step,
	}
	for i, m := range a.Months {
		names[a.Bills[i].Period.String()] = m.Cost.Step
	}
	for _, l := range a.Loads {
		names[l.ID] = l.Energy.Step
	}
	for _, r := range a.Readings {
		names[r.ID] = r.Total.Power.Step
	}
	if a.Plan != nil {
		names["measures"] = a.Plan.Together.Cost.Step
		for _, m := range a.Plan.Measures {
			if _, taken := names[m.ID.Value]; !taken {
				names[m.ID.Value] = m.Alone.Cost.Step
			}
		}
	}
	id, ok := names[word]
	if !ok {
		id = word
	}
	if _, ok := a.Sheet.Get(id); ok {
		return id, nil
	}
	var known []string
	for n := range names {
		known = append(known, n)
	}
	for _, st := range a.Sheet.Steps() {
		known = append(known, st.ID)
	}
	slices.Sort(known)
	err := fmt.Errorf("there is no figure %q", word)
	if near := diag.Nearest(word, known); near != "" {
		err = fmt.Errorf("%w; did you mean %q?", err, near)
	}
	return "", &usageError{err}
}

// explainer prints steps as a tree; what was printed before is named only.
type explainer struct {
	w     io.Writer
	sheet *working.Sheet
	place place
	seen  map[string]bool
}

func (e *explainer) step(id string, depth int) {
	st, ok := e.sheet.Get(id)
	if !ok {
		return
	}
	indent := strings.Repeat("  ", depth)
	if e.seen[id] {
		fmt.Fprintf(e.w, "%s%s: %s (see above)\n", indent, st.Label, value(st))
		return
	}
	e.seen[id] = true
	fmt.Fprintf(e.w, "%s%s: %s [%s] %s\n", indent, st.Label, value(st), st.Kind, st.ID)
	e.basis(st, indent+"    ")
	for _, from := range st.From {
		e.step(from, depth+1)
	}
}

func (e *explainer) basis(st working.Step, indent string) {
	if st.Pos.IsSet() {
		fmt.Fprintf(e.w, "%s%s  typed %q\n", indent, e.place.shown(st.Pos), st.Typed)
	}
	if st.Reason != "" {
		fmt.Fprintf(e.w, "%s%s\n", indent, st.Reason)
	}
	if st.Formula != nil {
		fmt.Fprintf(e.w, "%s%s  (%s)\n", indent, st.Formula.Text, st.Formula.Source)
	}
	if st.Note != "" {
		fmt.Fprintf(e.w, "%snote: %s\n", indent, st.Note)
	}
}
