package main

import (
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
	return nil
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
