package finding

import (
	"cmp"
	"slices"

	"auditgen/internal/audit"
)

// Rules lists every rule, in the order in which findings of equal severity are
// printed.
var Rules = []Rule{
	measurementCategory,
	breakerLoading,
	neutralCurrent,
	capacitorCondition,
	transformerLoading,
	motorLoading,
	voltageUnbalance,
	supplyVoltage,
	doubtfulReading,
	calibration,
	tooFewReadings,
	unexplainedEnergy,
	overCompensation,
	tariffChoice,
	lowPowerFactor,
	agreedDemand,
	peakCoincidence,
	baseLoad,
	capacitorResonance,
	voltageDistortion,
	currentDistortion,
	transformerHarmonics,
	motorEfficiency,
	currentUnbalance,
	voltageDrop,
	phaseSequence,
	frequency,
}

// Judge runs every rule, and gives the findings worst first.
func Judge(r *audit.Result) ([]Finding, []Unassessed) {
	var findings []Finding
	var unassessed []Unassessed
	for _, rule := range Rules {
		f, u := rule.Judge(r)
		for i := range f {
			f[i].Rule = rule.ID
			f[i].ID = cmp.Or(f[i].ID, rule.ID)
		}
		for i := range u {
			u[i].Rule, u[i].Title = rule.ID, r.Record.Words.S(rule.Title)
		}
		findings = append(findings, f...)
		unassessed = append(unassessed, u...)
	}
	slices.SortStableFunc(findings, func(a, b Finding) int {
		return slices.Index(Severities, a.Severity) - slices.Index(Severities, b.Severity)
	})
	return findings, unassessed
}
