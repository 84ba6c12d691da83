package site

import (
	"slices"

	"auditgen/internal/diag"
)

// Sequence is the order in which the phases reach their peak.
type Sequence string

// The sequences.
const (
	Forward Sequence = "ABC"
	Reverse Sequence = "ACB"
)

// UnmarshalText reads ABC or ACB.
func (s *Sequence) UnmarshalText(text []byte) error {
	switch string(text) {
	case "ABC", "L1-L2-L3":
		*s = Forward
	case "ACB", "CBA", "L1-L3-L2":
		*s = Reverse
	default:
		return diag.OneOf("phase sequence", string(text), []string{"ABC", "ACB"})
	}
	return nil
}

var (
	phaseNames  = []string{"A", "B", "C"}
	phaseOther  = []string{"L1", "L2", "L3"}
	lineNames   = []string{"AB", "BC", "CA"}
	lineOther   = []string{"L1-L2", "L2-L3", "L3-L1"}
	lineReverse = []string{"BA", "CB", "AC"}
)

// Neutral is the index that PhaseIndex gives for N.
const Neutral = 3

// PhaseIndex gives 0, 1, 2 for phases A, B, C (or L1, L2, L3), Neutral for N
// and -1 for anything else.
func PhaseIndex(name string) int {
	if name == "N" {
		return Neutral
	}
	return max(slices.Index(phaseNames, name), slices.Index(phaseOther, name))
}

// LineIndex gives 0, 1, 2 for the pairs AB, BC, CA and -1 for anything else. A
// pair read the other way round, as a two-wattmeter set has it (CB), is the
// same pair.
func LineIndex(name string) int {
	return max(slices.Index(lineNames, name), slices.Index(lineOther, name), slices.Index(lineReverse, name))
}
