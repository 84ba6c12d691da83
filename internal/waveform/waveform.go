// Package waveform makes readings out of sampled voltages and currents, as a scope
// or an analyser exports them: rms values, powers, distortion, harmonic orders,
// symmetrical components.
//
// Read takes a CSV file strictly: columns by name, units stated, time rising in
// even steps. Analyse finds the frequency, cuts a window of whole cycles out of
// the recording (10 cycles at 50 Hz, 12 at 60 Hz, where there are that many, as
// IEC 61000-4-7 has it; else as many as there are), sets it on a grid that fits
// the cycles, and takes its Fourier transform. A window of 10 or 12 cycles is
// grouped as that standard groups.
//
// Conventions are those of package quantity. The angle of a component is that of
// its cosine, forward in time positive, when the fundamental of the reference
// wave is at its positive peak: the first voltage, or the first current where
// there is none.
package waveform

import (
	"fmt"
	"regexp"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
)

// Kind tells what a channel holds.
type Kind int

// The kinds of channels.
const (
	PhaseVoltage Kind = iota + 1 // line to neutral, V
	LineVoltage                  // line to line, V
	Current                      // A
)

// Base is the symbol of the kind's base unit.
func (k Kind) Base() string {
	if k == Current {
		return "A"
	}
	return "V"
}

// Name tells what a channel is: u or i, with the phase behind it (u_a, i_c, i_n)
// or the two lines (u_ab); without a phase, the only one there is. 1, 2, 3 and
// L1, L2, L3 stand for a, b, c, and v for u.
type Name struct {
	Kind     Kind
	Phase    string // A, B, C; N for the neutral; AB, BC, CA; empty for a single phase
	Reversed bool   // a line voltage taken the other way about: u_cb is u_bc turned
}

var nameForm = regexp.MustCompile(`^([uvi])[_ ]?(l?[123]|[abcn]|l?[123]l?[123]|[abc][abc])?$`)

var pairs = map[string]Name{
	"AB": {Phase: "AB"}, "BC": {Phase: "BC"}, "CA": {Phase: "CA"},
	"BA": {Phase: "AB", Reversed: true}, "CB": {Phase: "BC", Reversed: true}, "AC": {Phase: "CA", Reversed: true},
}

// NameOf reads the name of a channel. The error is a *diag.Problem.
func NameOf(text string) (Name, error) {
	no := &diag.Problem{What: fmt.Sprintf("%q is no channel", text), Expected: "u or i with its phase, such as u_a, u_ab, i_a, i_n, or u and i alone"}
	m := nameForm.FindStringSubmatch(strings.ToLower(strings.TrimSpace(text)))
	if m == nil {
		return Name{}, no
	}
	phase := strings.NewReplacer("L", "", "1", "A", "2", "B", "3", "C").Replace(strings.ToUpper(m[2]))
	switch {
	case m[1] == "i" && len(phase) < 2:
		return Name{Kind: Current, Phase: phase}, nil
	case m[1] == "i" || phase == "N":
		return Name{}, no
	case len(phase) < 2:
		return Name{Kind: PhaseVoltage, Phase: phase}, nil
	}
	n, ok := pairs[phase]
	if !ok {
		return Name{}, no
	}
	n.Kind = LineVoltage
	return n, nil
}

// UnmarshalText reads the name of a channel.
func (n *Name) UnmarshalText(text []byte) (err error) {
	*n, err = NameOf(string(text))
	return err
}

// String gives the name as NameOf reads it; of a reversed voltage, that of the
// voltage turned back.
func (n Name) String() string {
	letter := "u"
	if n.Kind == Current {
		letter = "i"
	}
	if n.Phase == "" {
		return letter
	}
	return letter + "_" + strings.ToLower(n.Phase)
}

// Channel is one sampled wave, in V or A.
type Channel struct {
	Name    Name
	Column  string // the column's name in the file
	Samples []float64
}

// Recording is what was sampled: channels of one length, taken at one rate.
type Recording struct {
	File     string
	Rate     quantity.Hertz // samples a second
	Channels []Channel
}

// Len is the number of samples of each channel.
func (r *Recording) Len() int {
	if len(r.Channels) == 0 {
		return 0
	}
	return len(r.Channels[0].Samples)
}

// Find gives the samples of a channel, nil when it was not recorded.
func (r *Recording) Find(k Kind, phase string) []float64 {
	for _, c := range r.Channels {
		if c.Name.Kind == k && c.Name.Phase == phase {
			return c.Samples
		}
	}
	return nil
}
