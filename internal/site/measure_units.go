package site

import (
	"fmt"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
)

// Years is a whole number of years: "12 years", "1 year".
type Years int

// longestLife bounds a life, so that a slip of the finger cannot make it endless.
const longestLife = 60

// UnmarshalText reads a number of years.
func (y *Years) UnmarshalText(text []byte) error {
	const expected = "a whole number of years, such as 12 years"
	number, unit, _ := strings.Cut(strings.TrimSpace(string(text)), " ")
	n, decimals, err := quantity.Number(number)
	switch {
	case err != nil || decimals > 0:
		return &diag.Problem{What: fmt.Sprintf("%q is not a number of years", text), Expected: expected}
	case unit == "":
		return &diag.Problem{What: fmt.Sprintf("%q has no unit", text), Expected: expected, Nearest: number + " years"}
	case unit != "years" && unit != "year":
		return &diag.Problem{What: fmt.Sprintf("unknown unit %q", unit), Expected: expected}
	case n < 1 || n > longestLife:
		return &diag.Problem{What: fmt.Sprintf("%q is out of range", text), Expected: fmt.Sprintf("1 to %d years", longestLife)}
	}
	*y = Years(n)
	return nil
}

// Written words how it is typed, for the data reference.
func (Years) Written() string { return "a whole number of years, such as 12 years" }

// Kelvins is a difference of temperature: "2 K".
type Kelvins float64

// UnmarshalText reads a difference of temperature.
func (k *Kelvins) UnmarshalText(text []byte) error {
	const expected = "kelvins above 0, up to 30, such as 2 K"
	number, unit, _ := strings.Cut(strings.TrimSpace(string(text)), " ")
	v, _, err := quantity.Number(number)
	switch {
	case err != nil:
		return &diag.Problem{What: fmt.Sprintf("%q is not a difference of temperature", text), Expected: expected}
	case unit != "K":
		return &diag.Problem{What: fmt.Sprintf("%q has not the unit K", text), Expected: expected, Nearest: number + " K"}
	case v <= 0 || v > 30:
		return &diag.Problem{What: fmt.Sprintf("%q is out of range", text), Expected: expected}
	}
	*k = Kelvins(v)
	return nil
}

// Written words how it is typed, for the data reference.
func (Kelvins) Written() string { return "kelvins, such as 2 K" }
