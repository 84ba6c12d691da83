// Package finding holds the rules that judge results: evidence against a
// published limit or the practice of the trade, one file a rule. A rule's
// verdict is "not assessed" until shown otherwise.
package finding

import (
	"auditgen/internal/audit"
)

// Severity orders findings; the words are printed.
type Severity string

// The severities, worst first.
const (
	ActNow  Severity = "act now"
	Plan    Severity = "plan"
	Watch   Severity = "watch"
	InOrder Severity = "in order"
)

// Finding is one thing found.
type Finding struct {
	Rule     string // the rule's id
	ID       string // unique: the rule's id and what it is about
	Severity Severity
	Headline string // one sentence with the number
	Evidence []Evidence
	Why      string // why it matters, in plain words
	Action   string // what to do
	Who      string // who may do it
	Licensed bool   // licensed work
	Caution  string
	Clause   string          // standard, edition, clause, and its status
	Sure     string          // how sure, and what a spot reading cannot say
	Cost     *audit.Interval // what it costs a year, where it can be priced
	Steps    []string        // steps of the working that carry the number
}

// Evidence is one fact with where it comes from.
type Evidence struct {
	Text    string
	Reading string // id, for a link; may be empty
	Step    string // step id; may be empty
}

// Unassessed is a rule that could not be judged, and what would settle it.
type Unassessed struct {
	Rule, Title string
	Why         string
	Measure     string // what to type or measure, by its YAML key
}

// Rule judges one matter.
type Rule struct {
	ID    string
	Title string
	Limit string // the published limit it applies, or "common practice, no source"
	Judge func(*audit.Result) ([]Finding, []Unassessed)
}
