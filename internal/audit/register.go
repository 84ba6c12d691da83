package audit

import (
	"fmt"

	"auditgen/internal/diag"
)

// register collects the assumptions in the order in which they are used.
type register struct {
	list   []Assumption
	common map[string]bool
}

func (r *register) add(what, value, reason string, pos diag.Pos, step string, isDefault bool) {
	r.list = append(r.list, Assumption{
		ID: fmt.Sprintf("A%d", len(r.list)+1), What: what, Value: value, Reason: reason, Pos: pos, Step: step, Default: isDefault,
	})
}

// shared adds an assumption that many loads rest on, once.
func (r *register) shared(key, what, value, reason string, pos diag.Pos, step string, isDefault bool) {
	if r.common == nil {
		r.common = map[string]bool{}
	}
	if !r.common[key] {
		r.common[key] = true
		r.add(what, value, reason, pos, step, isDefault)
	}
}
