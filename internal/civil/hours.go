package civil

import (
	"fmt"
	"strings"

	"auditgen/internal/diag"
)

// Hours is a part of a day in any of the forms that people write:
//
//	06:00-22:00                  by the clock; may cross midnight
//	sunset to 23:00              by the sun, at one end or both
//	3 shifts of 8 h from 06:00   a run of equal shifts
type Hours struct {
	Span   Span     // when the other two are nil
	Sun    *SunSpan // nil unless an end goes with the sun
	Shifts *Shifts  // nil unless written as shifts
}

const hoursForms = "from-to, such as 06:00-22:00; by the sun, such as sunset to 23:00; or shifts, such as 3 shifts of 8 h from 06:00"

// Written words the forms, for the data reference.
func (Hours) Written() string { return hoursForms }

// UnmarshalText reads any of the forms.
func (h *Hours) UnmarshalText(text []byte) error {
	s := strings.ToLower(string(text))
	next := Hours{}
	var err error
	switch {
	case strings.Contains(s, "shift"):
		next.Shifts = &Shifts{}
		err = next.Shifts.UnmarshalText(text)
	case strings.Contains(s, " to "), strings.Contains(s, "sun"):
		next.Sun = &SunSpan{}
		err = next.Sun.UnmarshalText(text)
	case !strings.Contains(s, "-"):
		return &diag.Problem{What: fmt.Sprintf("%q is not a part of a day", text), Expected: hoursForms}
	default:
		err = next.Span.UnmarshalText(text)
	}
	if err == nil {
		*h = next
	}
	return err
}

// String gives the hours as they may be typed.
func (h Hours) String() string {
	switch {
	case h.Sun != nil:
		return h.Sun.String()
	case h.Shifts != nil:
		return h.Shifts.String()
	}
	return h.Span.String()
}
