package main

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"auditgen/internal/assess"
	"auditgen/internal/audit"
)

// billedTable prints the supplier's bills against the rebuilt ones and the
// estimate.
func billedTable(w io.Writer, a *assess.Assessment, f place) error {
	r := a.Reconciled
	if r == nil {
		fmt.Fprintln(w, "The site has no bills.yaml.")
		return nil
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "bill\tkWh billed\testimated\tgap\t"+a.Currency+" billed\trebuilt\tdifference\t")
	for _, b := range r.Bills {
		fmt.Fprintln(t, strings.Join([]string{b.Label, kwh(b), estimated(b), gap(b), groupedText(b.Stated), dash(groupedText(b.Rebuilt)), dash(groupedText(b.Difference)), ""}, "\t"))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	for _, b := range r.Bills {
		switch {
		case len(b.Missing) > 0:
			fmt.Fprintf(w, "\n%s: %s cannot be rebuilt; it does not state %s\n", f.shown(b.Pos), b.Label, strings.Join(b.Missing, ", "))
		case !b.Agrees:
			fmt.Fprintf(w, "\n%s: %s differs by %s %s; %s\n", f.shown(b.Pos), b.Label, groupedText(b.Difference), a.Currency, b.Reason)
		}
		for _, l := range b.Lines {
			if !l.Agrees {
				fmt.Fprintf(w, "  %s: %s printed, %s rebuilt\n", l.Label, groupedText(l.Stated), groupedText(l.Rebuilt))
			}
		}
	}
	if r.Gap.Known() {
		fmt.Fprintf(w, "\n%s billed over %d days, %s estimated (%s to %s): %s\n", grouped(r.Energy, 0)+" kWh", r.Days, grouped(r.Estimated.Value, 0), grouped(r.Estimated.Low, 0), grouped(r.Estimated.High, 0), verdict(r))
	}
	fitTable(w, a)
	return nil
}

// fitTable prints what was moved to meet the bills.
func fitTable(w io.Writer, a *assess.Assessment) {
	if a.Fit == nil {
		return
	}
	fmt.Fprintf(w, "\nfitted to %s by the least change\n", count(a.Fit.Bills, "bill", "bills"))
	for _, t := range a.Fit.Met {
		fmt.Fprintf(w, "  %s: %s kWh billed, %s before, %s fitted, %s still off\n", cmp.Or(t.Name, "all hours"), grouped(t.Billed, 0), grouped(t.Before, 0), grouped(t.After, 0), grouped(t.Left(), 0))
	}
	for _, m := range a.Fit.Moved {
		held := ""
		if m.Held {
			held = ", held at its limit"
		}
		fmt.Fprintf(w, "  %s: typed %s, × %.3f%s\n", m.Label, m.Typed, m.Times, held)
	}
}

func verdict(r *audit.Reconciliation) string {
	if r.Inside {
		return "inside the interval"
	}
	return "outside the interval: a load is missing, or hours and duties are off"
}

func kwh(b audit.Billed) string {
	if !b.HasEnergy {
		return "-"
	}
	return grouped(b.Energy, 0)
}

func estimated(b audit.Billed) string {
	if !b.HasEnergy {
		return "-"
	}
	return grouped(b.Estimated.Value, 0)
}

func gap(b audit.Billed) string {
	if !b.HasEnergy {
		return "-"
	}
	return fmt.Sprintf("%+.1f %%", b.Gap.V*100)
}

func dash(text string) string {
	if text == "" {
		return "-"
	}
	return text
}
