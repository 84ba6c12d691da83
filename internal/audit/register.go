package audit

import (
	"fmt"
	"unicode"

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

// inSentence gives a name as it stands within a sentence: without its capital,
// unless the word is written in capitals.
func inSentence(name string) string {
	r := []rune(name)
	if len(r) > 1 && unicode.IsUpper(r[0]) && !unicode.IsUpper(r[1]) {
		r[0] = unicode.ToLower(r[0])
	}
	return string(r)
}

// InSentence is a name as it stands within a sentence, for those who word results.
func InSentence(name string) string { return inSentence(name) }

// capital gives a text as it begins a sentence.
func capital(text string) string {
	r := []rune(text)
	if len(r) > 0 {
		r[0] = unicode.ToUpper(r[0])
	}
	return string(r)
}
