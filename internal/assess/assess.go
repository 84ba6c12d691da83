// Package assess composes the passes and the rules into one assessment. It is
// pure: no file, no clock, no network.
package assess

import (
	"auditgen/internal/audit"
	"auditgen/internal/finding"
	"auditgen/internal/site"
)

// Assessment is everything a report says.
type Assessment struct {
	*audit.Result
	Findings   []finding.Finding    // worst first
	Unassessed []finding.Unassessed // rules that lacked their inputs
}

// Assess works a record out. An error is a fault of the program or an input
// that no pass can work with, such as a tariff that leaves an hour unpriced.
func Assess(rec *site.Record) (*Assessment, error) {
	result, err := audit.Run(rec)
	if err != nil {
		return nil, err
	}
	findings, unassessed := finding.Judge(result)
	a := &Assessment{Result: result, Findings: findings, Unassessed: unassessed}
	return a, a.check()
}
