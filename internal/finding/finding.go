// Package finding holds the rules that judge results: evidence against a
// published limit or the practice of the trade, one file a rule. A rule's
// verdict is "not assessed" until shown otherwise.
package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/say"
)

// Severity orders findings. It is the key of its words.
type Severity string

// The severities, worst first.
const (
	ActNow  Severity = "act now"
	Plan    Severity = "plan"
	Watch   Severity = "watch"
	InOrder Severity = "in order"
)

// Severities lists them, worst first.
var Severities = []Severity{ActNow, Plan, Watch, InOrder}

// In says a severity.
func (s Severity) In(lang *say.Language) string { return lang.S(string(s)) }

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
	Cost     *audit.Interval // what mending it is worth a year, where it can be priced
	Steps    []string        // steps of the working that carry the number

	// Figures with an interval, which the sentences leave a place for: {peak}.
	// Whoever prints them knows how many digits the interval allows.
	Figures map[string]audit.Interval
}

// figure keeps a figure for the sentences, with its step.
func (f *Finding) figure(name string, i audit.Interval) {
	if f.Figures == nil {
		f.Figures = map[string]audit.Interval{}
	}
	f.Figures[name] = i
	f.Steps = append(f.Steps, i.Step)
}

// shows adds a fact with the steps that carry its number; the first step is
// linked beside it.
func (f *Finding) shows(text, reading string, steps ...string) {
	e := Evidence{Text: text, Reading: reading}
	if len(steps) > 0 {
		e.Step = steps[0]
	}
	f.Evidence = append(f.Evidence, e)
	f.Steps = append(f.Steps, steps...)
}

// does sets what is to be done, and by whom with what caution, by their keys.
func (f *Finding) does(lang *say.Language, s Severity, action, who, caution string) {
	f.Severity, f.Action, f.Who = s, action, lang.S(who)
	f.Licensed = who == licensed || who == licensedAndSupplier
	if caution != "" {
		f.Caution = lang.S(caution)
	}
}

// missing is the verdict of a rule that lacks its inputs.
func missing(why, measure string) ([]Finding, []Unassessed) {
	return nil, []Unassessed{{Why: why, Measure: measure}}
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
