// Package assess composes the passes and the rules into one assessment. It is
// pure: no file, no clock, no network.
package assess

import (
	"slices"

	"auditgen/internal/audit"
	"auditgen/internal/diag"
	"auditgen/internal/finding"
	"auditgen/internal/measure"
	"auditgen/internal/site"
)

// Assessment is everything a report says.
type Assessment struct {
	*audit.Result
	Findings   []finding.Finding    // worst first
	Unassessed []finding.Unassessed // rules that lacked their inputs
	Plan       *measure.Plan        // nil where no measure is proposed
}

// Assess works a record out. An error is a fault of the program or an input
// that no pass can work with, such as a tariff that leaves an hour unpriced.
func Assess(rec *site.Record) (*Assessment, error) {
	a, err := found(rec)
	if err != nil {
		return nil, err
	}
	return a, a.Propose()
}

// Propose values the uses and the measures, and makes the plan of these.
func (a *Assessment) Propose() (err error) {
	if err = a.ValueUses(); err != nil {
		return err
	}
	if a.Plan, err = measure.Of(a.Result); err != nil {
		return err
	}
	return a.check()
}

// Find works a record out as Assess does, but leaves out what takes the longest:
// what each use costs and what each measure is worth. The measures are looked
// through for mistakes.
func Find(rec *site.Record) (*Assessment, error) {
	a, err := found(rec)
	if err != nil {
		return nil, err
	}
	if err := measure.Check(a.Result); err != nil {
		return nil, err
	}
	return a, a.check()
}

func found(rec *site.Record) (*Assessment, error) {
	result, err := audit.Run(rec)
	if err != nil {
		return nil, err
	}
	findings, unassessed := finding.Judge(result)
	a := &Assessment{Result: result, Findings: findings, Unassessed: unassessed}
	return a, a.mends()
}

// mends refuses a measure that would mend what no rule finds.
func (a *Assessment) mends() error {
	if a.Record.Measures == nil {
		return nil
	}
	var faults diag.List
	var ids []string
	for _, r := range finding.Rules {
		ids = append(ids, r.ID)
	}
	for _, m := range a.Record.Measures.Measures {
		for _, id := range m.Mends {
			if !m.MendsReady && !slices.Contains(ids, id.Value) {
				p := diag.OneOf("finding", id.Value, ids)
				faults.Add(p.At(id.Pos))
			}
		}
	}
	return faults.Err()
}
