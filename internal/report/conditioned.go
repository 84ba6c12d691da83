package report

import (
	"fmt"
	"strings"

	"auditgen/internal/audit"
)

// conditioned says what the bills make of the estimate, and which of them
// contradict it.
func (v *visit) conditioned(c *audit.Conditioned) ([]string, []BothRow) {
	if c == nil {
		return nil, nil
	}
	row := func(figure, unit string, alone, with audit.Interval) BothRow {
		return BothRow{figure, unit, best(v.plain, alone) + " (" + span(v.plain, alone) + ")", best(v.plain, with) + " (" + span(v.plain, with) + ")"}
	}
	both := []BothRow{
		row("Energy of the year", "kWh", v.Energy, c.Energy),
		row("Cost of the year", v.Currency, v.Cost, c.Cost),
		row("Highest demand", "kW", v.Peak, c.Peak),
	}
	out := []string{fmt.Sprintf("The figures with the bills are what is left when hours, duties and readings move by no more than the bills ask for; each billed figure is taken to be within %s of the modelled month, beside the doubts that were stated. "+
		"All other figures of this report are from the site alone: a bill tells how much was used in all, not by what.", v.percent(audit.BillDoubt, 0))}
	out = append(out, v.pulls(c))
	if s := movedWords(c.Moved); s != "" {
		out = append(out, s)
	}
	return out, both
}

// pulls names the bills that contradict the estimate.
func (v *visit) pulls(c *audit.Conditioned) string {
	var words []string
	for _, p := range c.Pulls {
		if p.Contradicts {
			what := "energy"
			if p.Demand {
				what = "demand"
			}
			words = append(words, fmt.Sprintf("the %s of %s, %s", what, monthInWords(p.Label), offBy(v, p)))
		}
	}
	if c.All.Contradicts {
		words = append(words, "the energy of all bills together, "+offBy(v, c.All))
	}
	if len(words) == 0 {
		return "No bill contradicts the estimate: none lies further from it than the doubts of both allow."
	}
	return fmt.Sprintf("%s the estimate beyond what the doubts of both allow: %s. A source of doubt is missing or was taken too narrow, and the figures with the bills are not to be relied on before it is found.",
		choose(len(words), "One billed figure contradicts", capital(numeral(len(words)))+" billed figures contradict"), strings.Join(words, "; "))
}

// offBy words a pull.
func offBy(v *visit, p audit.Pull) string {
	way := "above"
	if p.Value < 0 {
		way = "below"
	}
	return fmt.Sprintf("%s standard deviations %s", v.number(max(p.Value, -p.Value), 1), way)
}

// movedWords names what the bills move most.
func movedWords(ms []audit.Moved) string {
	var words []string
	for _, m := range ms[:min(len(ms), 3)] {
		way := "up"
		if m.By < 0 {
			way = "down"
		}
		words = append(words, lower(typed(m.Label))+", "+way)
	}
	switch len(words) {
	case 0:
		return ""
	case 1:
		return "What the bills move is one figure: the " + words[0] + "."
	}
	return "What the bills move most: the " + strings.Join(words, "; the ") + "."
}
