package site

import (
	"fmt"

	"auditgen/internal/diag"
	"auditgen/internal/tariff"
)

// Alternative is a tariff that is priced on the same year as the one in force.
type Alternative struct {
	*tariff.Tariff
	Name string // of its file, without .yaml
	Pos  diag.Pos
}

// alternatives reads the tariffs that are to be priced beside the one in force.
func (r *reader) alternatives(s *Site, inForce *tariff.Tariff) []Alternative {
	var out []Alternative
	seen := map[string]bool{}
	for _, a := range s.Alternatives {
		if !a.Good().IsSet() {
			continue
		}
		switch {
		case a.Value == s.Tariff.Value:
			r.faults.At(a.Pos, fmt.Sprintf("the tariff %q is the one in force", a.Value), "other tariffs; the one in force is priced in any case")
			continue
		case seen[a.Value]:
			r.faults.At(a.Pos, fmt.Sprintf("the tariff %q is listed twice", a.Value), "each alternative once")
			continue
		}
		seen[a.Value] = true
		t := r.tariff(a)
		if t == nil {
			continue
		}
		if code, have := inForce.File.Currency.Value.Code, t.File.Currency.Value.Code; code != have {
			r.faults.At(a.Pos, fmt.Sprintf("the tariff %q is in %s, the one in force in %s", a.Value, have, code), "tariffs in one currency")
			continue
		}
		out = append(out, Alternative{Tariff: t, Name: a.Value, Pos: a.Pos})
	}
	return out
}
