package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"auditgen/internal/assess"
	"auditgen/internal/finding"
)

func checkCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "check SITE",
		Short: "Tell what is wrong in the files and which readings are in doubt",
		Long: `Tell what is wrong in the files, all at once, and which readings are in doubt, in the
order in which to take them again.

Exit status: 0 the files can be worked with (readings may be in doubt), 2 something in
the files is wrong.`,
		Example: "  auditgen check sites/example",
		Args:    func(c *cobra.Command, args []string) error { return oneSite(c, args) },
		RunE: func(c *cobra.Command, args []string) error {
			a, f, err := assessOne(args[0], assess.Find)
			if err != nil {
				return err
			}
			doubts(c.OutOrStdout(), a, f)
			return nil
		},
	}
}

func doubts(w io.Writer, a *assess.Assessment, f place) {
	for _, warning := range a.Record.Tariff.Warnings() {
		fmt.Fprintf(w, "%s\n", warning)
	}
	fmt.Fprintf(w, "%s, %s read without fault.\n", count(len(a.Readings), "reading", "readings"), count(len(a.Loads), "load", "loads"))
	if len(a.Doubts) == 0 {
		fmt.Fprintln(w, "No reading contradicts itself or another.")
		notAssessed(w, a.Unassessed)
		return
	}
	order := ""
	if len(a.Doubts) > 1 {
		order = ", in the order in which to take them up"
	}
	fmt.Fprintf(w, "%s%s:\n", count(len(a.Doubts), "doubt", "doubts"), order)
	for _, d := range a.Doubts {
		fmt.Fprintf(w, "\n%s: %s\n", f.shown(d.Pos), d.ID)
		if d.Safety {
			fmt.Fprintln(w, "  danger  someone may come to harm: see to this before anything else")
		}
		fmt.Fprintf(w, "  seen    %s\n", d.What)
		if len(d.Also) > 0 {
			fmt.Fprintf(w, "  also    %s\n", strings.Join(d.Also, ", "))
		}
		fmt.Fprintf(w, "  likely  %s\n  do      %s\n", d.Cause, d.Retake)
	}
	notAssessed(w, a.Unassessed)
}

// notAssessed lists what could not be judged, what lacks the same together.
func notAssessed(w io.Writer, all []finding.Unassessed) {
	type lack struct{ why, measure string }
	var lacks []lack
	titles := map[lack][]string{}
	for _, u := range all {
		l := lack{u.Why, u.Measure}
		if titles[l] == nil {
			lacks = append(lacks, l)
		}
		titles[l] = append(titles[l], u.Title)
	}
	for _, l := range lacks {
		fmt.Fprintf(w, "\nnot assessed: %s\n  why      %s\n  measure  %s\n", strings.Join(titles[l], "; "), l.why, l.measure)
	}
}
