package report

import (
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
		return BothRow{figure, unit, best(v.plain, alone) + " (" + v.span(v.plain, alone) + ")", best(v.plain, with) + " (" + v.span(v.plain, with) + ")"}
	}
	both := []BothRow{
		row(v.S("Energy of the year"), "kWh", v.Energy, c.Energy),
		row(v.S("Cost of the year"), v.Currency, v.Cost, c.Cost),
		row(v.S("Highest demand"), "kW", v.Peak, c.Peak),
	}
	out := []string{v.F("The figures with the bills are what is left when hours, duties and readings move by no more than the bills ask for; each billed figure is taken to be within %s of the modelled month, beside the doubts that were stated. "+
		"All other figures of this report are from the site alone: a bill tells how much was used in all, not by what.", v.percent(audit.BillDoubt, 0))}
	out = append(out, v.pulls(c))
	if s := v.movedWords(c.Moved); s != "" {
		out = append(out, s)
	}
	return out, both
}

// pulls names the bills that contradict the estimate.
func (v *visit) pulls(c *audit.Conditioned) string {
	var words []string
	for _, p := range c.Pulls {
		switch off := v.offBy(p); {
		case !p.Contradicts:
		case p.Demand:
			words = append(words, v.F("the demand of %s, %s", v.monthInWords(p.Label), off))
		default:
			words = append(words, v.F("the energy of %s, %s", v.monthInWords(p.Label), off))
		}
	}
	if c.All.Contradicts {
		words = append(words, v.F("the energy of all bills together, %s", v.offBy(c.All)))
	}
	n := len(words)
	if n == 0 {
		return v.S("No bill contradicts the estimate: none lies further from it than the doubts of both allow.")
	}
	return capital(v.N(n, "one billed figure contradicts the estimate beyond what the doubts of both allow: %[2]s. A source of doubt is missing or was taken too narrow, and the figures with the bills are not to be relied on before it is found.",
		"%s billed figures contradict the estimate beyond what the doubts of both allow: %s. A source of doubt is missing or was taken too narrow, and the figures with the bills are not to be relied on before it is found.",
		v.numeral(n), strings.Join(words, "; ")))
}

// offBy words a pull.
func (v *visit) offBy(p audit.Pull) string {
	if p.Value < 0 {
		return v.F("%s standard deviations below", v.number(-p.Value, 1))
	}
	return v.F("%s standard deviations above", v.number(p.Value, 1))
}

// movedWords names what the bills move most.
func (f format) movedWords(ms []audit.Moved) string {
	var words []string
	for _, m := range ms[:min(len(ms), 3)] {
		label := lower(f.typed(m.Label))
		if m.By < 0 {
			words = append(words, f.F("the %s, down", label))
		} else {
			words = append(words, f.F("the %s, up", label))
		}
	}
	if len(words) == 0 {
		return ""
	}
	return f.N(len(words), "What the bills move is one figure: %s.", "What the bills move most: %s.", strings.Join(words, "; "))
}
