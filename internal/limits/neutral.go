package limits

import "auditgen/internal/quantity"

// Sizing tells how a cable whose neutral carries third harmonic is to be sized.
type Sizing struct {
	Factor    quantity.Ratio // of the cable's capacity with three loaded conductors
	ByNeutral bool           // the neutral's current sizes the cable, not the line's
	Cite      Citation
}

// NeutralSizing gives how to size a cable of four or five cores from the third
// harmonic of the line current as a share of its fundamental, the phases being
// alike. A share that stands on a bound belongs to the band below it. It is false
// for a negative share.
func NeutralSizing(third quantity.Ratio) (Sizing, bool) {
	f, t := published().table(IEC60364_5_52, "neutral")
	if t == nil || !(third >= 0) {
		return Sizing{}, false
	}
	for _, s := range t.Sizing {
		if s.To == nil || third <= s.To.Value {
			return Sizing{s.Factor.Value, s.By == "neutral", t.cite(f)}, true
		}
	}
	return Sizing{}, false
}
