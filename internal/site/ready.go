package site

import (
	_ "embed"
	"slices"
	"sync"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/source"
)

// Ready is a ready measure: what is common to a kind of measure. Its life and its
// notes are the provider's own assumptions.
type Ready struct {
	source.Where
	ID       source.At[string]                             `key:"id" need:"yes"`
	Name     source.At[string]                             `key:"name" need:"yes"`
	Kinds    []source.At[string]                           `key:"kinds" need:"yes"` // keys of Change that it is for
	Life     source.At[Years]                              `key:"life" need:"yes"`
	Decline  source.At[quantity.Displayed[quantity.Ratio]] `key:"decline"`
	Who      source.At[string]                             `key:"who" need:"yes"`
	Licensed source.At[bool]                               `key:"licensed"`
	Risk     source.At[string]                             `key:"risk" need:"yes"`
	Caution  source.At[string]                             `key:"caution"`
	Mends    source.OneOrMany[string]                      `key:"mends"`
	CostNote source.At[string]                             `key:"cost-note" need:"yes"`
	LifeNote source.At[string]                             `key:"life-note" need:"yes"`
}

//go:embed ready/ready.yaml
var readyText []byte

// ReadyMeasures lists the ready measures in the order of their file.
func ReadyMeasures() []Ready { return readyOnce() }

var readyOnce = sync.OnceValue(readReady)

func readReady() []Ready {
	var faults diag.List
	var f struct {
		source.Where
		Measures []Ready `key:"measures" need:"yes"`
	}
	source.Decode(source.YAML("ready.yaml", readyText, &faults), &f, &faults)
	if err := faults.Err(); err != nil {
		panic("site: ready measures: " + err.Error()) // embedded; a test reads it
	}
	return f.Measures
}

// ReadyByID finds a ready measure.
func ReadyByID(id string) (Ready, bool) {
	all := ReadyMeasures()
	i := slices.IndexFunc(all, func(r Ready) bool { return r.ID.Value == id })
	if i < 0 {
		return Ready{}, false
	}
	return all[i], true
}

// fill puts what a ready measure says where nothing was typed. What is filled in
// stands where the ready measure is named.
func (m *Measure) fill(r Ready) {
	at := m.Ready.Pos
	filled(&m.Life, r.Life, at)
	filled(&m.Decline, r.Decline, at)
	filled(&m.Who, r.Who, at)
	filled(&m.Licensed, r.Licensed, at)
	filled(&m.Risk, r.Risk, at)
	filled(&m.Caution, r.Caution, at)
	if m.Mends == nil {
		for _, x := range r.Mends {
			x.Pos = at
			m.Mends = append(m.Mends, x)
		}
		m.MendsReady = true
	}
}

func filled[T any](typed *source.At[T], ready source.At[T], at diag.Pos) {
	if !typed.IsSet() && ready.IsSet() {
		*typed = ready
		typed.Pos = at
	}
}

// In says in a language what a ready measure filled in; what was typed stays.
func (m Measure) In(lang *say.Language) Measure {
	for _, text := range []*source.At[string]{&m.Who, &m.Caution} {
		if m.Ready.IsSet() && text.IsSet() && text.Pos == m.Ready.Pos {
			text.Value = lang.S(text.Value)
		}
	}
	return m
}
