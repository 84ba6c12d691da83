package waveform

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
)

// Columns tells how to read a file. The zero value suits a file whose header
// names its columns time (or t), u, i, u_a and so on, with their units.
type Columns struct {
	Header   int      `key:"header-line" doc:"the line of the header, where lines stand before it that are no comments"`
	Time     string   `key:"time" doc:"the name of the time column, where it is not time or t"`
	Rate     Rate     `key:"sample-rate" doc:"samples a second, for a file without a usable time column" example:"10 kHz"`
	Channels []Column `key:"channels" doc:"what each column holds; columns not named are left out"`
}

// Column tells what one column holds.
type Column struct {
	Column string `key:"column" need:"yes" doc:"the column's name in the header, without its unit" example:"Channel A"`
	Is     Name   `key:"is" need:"yes" doc:"u or i with its phase" example:"i_a"`
	Unit   string `key:"unit" doc:"the column's unit, where the header has none" example:"mV"`
	Worth  Factor `key:"worth" doc:"what a probe, clamp or transformer makes of one unit of the column; a minus sign turns it about" example:"100 A/V"`
}

// Rate is a number of samples a second.
type Rate quantity.Hertz

// UnmarshalText reads a rate: "10 kHz", "6400 Hz".
func (r *Rate) UnmarshalText(text []byte) error {
	number, unit, _ := strings.Cut(strings.TrimSpace(string(text)), " ")
	scale, ok := map[string]float64{"Hz": 1, "kHz": 1e3, "MHz": 1e6}[unit]
	v, _, err := quantity.Number(number)
	if !ok || err != nil || v <= 0 {
		return &diag.Problem{What: fmt.Sprintf("%q is no sample rate", text), Expected: "samples a second in Hz, kHz or MHz, such as 10 kHz"}
	}
	*r = Rate(v * scale)
	return nil
}

// Factor is what one unit of a column is worth: 100 A/V for a clamp of 10 mV/A,
// 10 V/V or plain 10 for a probe that divides by ten. The zero value is 1.
type Factor struct {
	Value   float64
	Of, Per string // units; empty for a plain factor
}

var factorForm = regexp.MustCompile(`^(-?[0-9.]+)(?: ([mk]?[VA])/([mk]?[VA]))?$`)

// UnmarshalText reads a factor.
func (f *Factor) UnmarshalText(text []byte) error {
	no := &diag.Problem{What: fmt.Sprintf("%q is no factor of a probe", text), Expected: "a number, or a number of units per unit, such as 10 or 100 A/V"}
	m := factorForm.FindStringSubmatch(strings.TrimSpace(string(text)))
	if m == nil {
		return no
	}
	v, _, err := quantity.Number(m[1])
	if err != nil || v == 0 {
		return no
	}
	*f = Factor{Value: v, Of: m[2], Per: m[3]}
	return nil
}

var valueUnits = map[string]struct {
	base  string
	scale float64
}{
	"V": {"V", 1}, "mV": {"V", 1e-3}, "kV": {"V", 1e3},
	"A": {"A", 1}, "mA": {"A", 1e-3}, "kA": {"A", 1e3},
}

var timeUnits = map[string]float64{"s": 1, "ms": 1e-3, "us": 1e-6, "µs": 1e-6, "μs": 1e-6, "ns": 1e-9}

// scale is what a figure of a column in the unit is worth in the base unit of
// the kind.
func (f Factor) scale(k Kind, unit string) (float64, error) {
	u, ok := valueUnits[unit]
	if !ok {
		return 0, &diag.Problem{What: fmt.Sprintf("unknown unit %q", unit), Expected: "V, mV, kV, A, mA or kA"}
	}
	if f.Of == "" {
		if u.base != k.Base() {
			return 0, &diag.Problem{What: fmt.Sprintf("a %s is given in %s", k.word(), unit), Expected: "what one unit of the column is worth, such as 100 " + k.Base() + "/" + u.base}
		}
		if f.Value == 0 {
			return u.scale, nil
		}
		return f.Value * u.scale, nil
	}
	of, per := valueUnits[f.Of], valueUnits[f.Per]
	if of.base != k.Base() || per.base != u.base {
		return 0, &diag.Problem{
			What:     fmt.Sprintf("a factor in %s/%s does not turn %s into a %s", f.Of, f.Per, unit, k.word()),
			Expected: "a factor in " + k.Base() + "/" + u.base,
		}
	}
	return f.Value * of.scale / per.scale * u.scale, nil
}

func (k Kind) word() string {
	if k == Current {
		return "current"
	}
	return "voltage"
}

var unitAtEnd = regexp.MustCompile(`^(.*?)\s*(?:\[([^\]]*)\]|\(([^)]*)\)|/\s*(\S+)|\bin\s+(\S+))$`)

// headed parts a header cell into name and unit: "u_a [V]", "i (mA)", "t/ms".
func headed(cell string) (name, unit string) {
	cell = strings.TrimSpace(cell)
	m := unitAtEnd.FindStringSubmatch(cell)
	if m == nil {
		return cell, ""
	}
	return strings.TrimSpace(m[1]), strings.TrimSpace(m[2] + m[3] + m[4] + m[5])
}

// number reads a figure of an export: digits, a point (or a comma, where commas
// do not part the columns), an exponent.
func number(field string, comma bool) (float64, bool) {
	for i := range len(field) {
		switch c := field[i]; {
		case c >= '0' && c <= '9', c == '-', c == '+', c == 'e', c == 'E':
		case c == '.' && !comma, c == ',' && comma:
		default:
			return 0, false
		}
	}
	if comma {
		field = strings.Replace(field, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(field, 64)
	return v, err == nil
}
