package quantity

import (
	"fmt"
	"math"
	"strings"

	"auditgen/internal/diag"
)

// Lead tells whether current lags or leads voltage.
type Lead int

// The directions of a power factor. Unstated is for displays that show none.
const (
	Unstated Lead = iota
	Lagging
	Leading
)

// PowerFactor is a power factor as displayed, -1 to 1, with its direction:
// "0.84 lag", "0.97 lead", "0.91". Meters show a negative one when power flows
// back, or when a clamp is on backwards.
type PowerFactor struct {
	Value Ratio
	Step  Ratio
	Lead  Lead
	Text  string
}

// UnmarshalText reads a power factor.
func (p *PowerFactor) UnmarshalText(text []byte) error {
	const expected = "a number up to 1 with lag or lead, such as 0.84 lag"
	s := strings.TrimSpace(string(text))
	number, word := split(s)
	value, decimals, err := Number(number)
	if err != nil {
		return &diag.Problem{What: fmt.Sprintf("%q is not a power factor", s), Expected: expected, Nearest: err.(*diag.Problem).Nearest}
	}
	if value < -1 || value > 1 {
		return &diag.Problem{What: fmt.Sprintf("power factor %s is out of range", number), Expected: expected}
	}
	lead := Unstated
	switch word {
	case "":
	case "lag", "lagging", "ind":
		lead = Lagging
	case "lead", "leading", "cap":
		lead = Leading
	default:
		pr := diag.OneOf("direction", word, []string{"lag", "lead"})
		pr.Expected = expected
		return pr
	}
	*p = PowerFactor{Value: Ratio(value), Step: Ratio(math.Pow10(-decimals)), Lead: lead, Text: s}
	return nil
}

// DistortionBase is what a distortion is a share of.
type DistortionBase int

// The bases of a total harmonic distortion: the fundamental (IEC 61000-4-7,
// IEEE 519) or the rms value of the whole wave.
const (
	OfFundamental DistortionBase = iota + 1
	OfRMS
)

// Distortion is a total harmonic distortion as displayed, with its base:
// "24.1 % of fundamental" or "23.4 % of rms".
type Distortion struct {
	Value Ratio
	Step  Ratio
	Base  DistortionBase
	Text  string
}

const distortionForm = "a percentage of fundamental or of rms, such as 24.1 % of fundamental"

// Written words how a distortion is typed, for the data reference.
func (Distortion) Written() string { return distortionForm }

// UnmarshalText reads a distortion; the base must be stated, since meters differ.
func (d *Distortion) UnmarshalText(text []byte) error {
	const expected = distortionForm
	s := strings.TrimSpace(string(text))
	number, base, stated := strings.Cut(s, " of ")
	r, err := Parse[Ratio](number)
	if err != nil {
		return err
	}
	if !stated {
		return &diag.Problem{What: fmt.Sprintf("%q does not say of what", s), Expected: expected}
	}
	if r.Value < 0 {
		return &diag.Problem{What: fmt.Sprintf("%q is negative", s), Expected: expected}
	}
	*d = Distortion{Value: r.Value, Step: r.Step, Text: s}
	switch strings.TrimSpace(base) {
	case "fundamental":
		d.Base = OfFundamental
	case "rms", "RMS":
		d.Base = OfRMS
		if r.Value >= 1 {
			return &diag.Problem{What: fmt.Sprintf("%q is impossible: a share of rms stays below 100 %%", s), Expected: "% of fundamental, if the meter shows 100 % or more"}
		}
	default:
		p := diag.OneOf("base", strings.TrimSpace(base), []string{"fundamental", "rms"})
		p.Expected = expected
		return p
	}
	return nil
}

// mostCounted bounds a count, so that a slip of the finger cannot make numbers
// beyond all reason.
const mostCounted = 100_000

// Count is a whole number of like things, 1 or more; it may carry a doubt:
// "12", "10..12..15".
type Count struct {
	Low, Likely, High float64
	Text              string
}

// UnmarshalText reads a count.
func (c *Count) UnmarshalText(text []byte) error {
	const expected = "a whole number of 1 or more, such as 12, or low..likely..high"
	s := strings.TrimSpace(string(text))
	parts := strings.Split(s, "..")
	if len(parts) != 1 && len(parts) != 3 {
		return &diag.Problem{What: fmt.Sprintf("%q is not a count", s), Expected: expected}
	}
	var v [3]float64
	for i, p := range parts {
		n, decimals, err := Number(strings.TrimSpace(p))
		if err != nil || decimals > 0 {
			return &diag.Problem{What: fmt.Sprintf("%q is not a count", s), Expected: expected}
		}
		if n < 1 || n > mostCounted {
			return &diag.Problem{What: fmt.Sprintf("the count %s is out of range", strings.TrimSpace(p)), Expected: expected}
		}
		v[i] = n
	}
	if len(parts) == 1 {
		v[1], v[2] = v[0], v[0]
	}
	if v[0] > v[1] || v[1] > v[2] {
		return &diag.Problem{What: fmt.Sprintf("%q is out of order", s), Expected: expected}
	}
	*c = Count{Low: v[0], Likely: v[1], High: v[2], Text: s}
	return nil
}

// Estimate gives the count as an estimate.
func (c Count) Estimate() Estimate[Ratio] {
	e := Estimate[Ratio]{Low: Ratio(c.Low), Likely: Ratio(c.Likely), High: Ratio(c.High), Text: c.Text}
	if c.Low < c.High {
		e.Shape = Triangular
	}
	return e
}
