package site

import (
	"fmt"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
)

// Ratios are the instrument transformers that a meter stood behind. They are
// multiplied in once: by the meter, where they are set in it, else here.
type Ratios struct {
	source.Where
	CT  source.At[TransformerRatio] `key:"ct" doc:"Current transformer, primary and secondary current" default:"none" example:"200/5"`
	VT  source.At[TransformerRatio] `key:"vt" doc:"Voltage transformer, primary and secondary voltage" default:"none" example:"11000/110"`
	Set source.At[bool]             `key:"set" need:"yes" doc:"yes: the ratios are set in the meter, and what it shows is the primary side; no: what it shows is the secondary side, and they are applied here" example:"no"`
}

// TransformerRatio is a rated ratio as it stands on the plate: "200/5".
type TransformerRatio struct {
	Primary, Secondary float64 // in one unit
	Text               string
}

// UnmarshalText reads a ratio.
func (r *TransformerRatio) UnmarshalText(text []byte) error {
	s := strings.TrimSpace(string(text))
	fault := &diag.Problem{What: fmt.Sprintf("%q is not a transformer's ratio", s), Expected: "primary and secondary rating in one unit, such as 200/5"}
	p, q, parted := strings.Cut(s, "/")
	if !parted {
		return fault
	}
	primary, _, err := quantity.Number(strings.TrimSpace(p))
	if err != nil {
		return fault
	}
	secondary, _, err := quantity.Number(strings.TrimSpace(q))
	if err != nil || primary <= 0 || secondary <= 0 {
		return fault
	}
	*r = TransformerRatio{Primary: primary, Secondary: secondary, Text: s}
	return nil
}

// Ratio is the primary over the secondary rating; 1 where there is none.
func (r TransformerRatio) Ratio() float64 {
	if r.Secondary == 0 {
		return 1
	}
	return r.Primary / r.Secondary
}

// SignConvention is what a minus before a power factor means on a display.
type SignConvention power.SignConvention

var signWords = map[string]power.SignConvention{"power": power.SignOfPower, "lag": power.SignOfReactive, "lead": power.SignOfLead}

// UnmarshalText reads power, lag or lead.
func (c *SignConvention) UnmarshalText(text []byte) error {
	known, ok := signWords[string(text)]
	if !ok {
		return diag.OneOf("meaning of a minus sign", string(text), []string{"power", "lag", "lead"})
	}
	*c = SignConvention(known)
	return nil
}
