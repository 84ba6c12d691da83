package site

import (
	"fmt"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/money"
)

// Residual is what is left of a measure at the end of the years that count: an
// amount, or what the straight line leaves of its costs.
type Residual struct {
	Straight bool
	Amount   money.Range // where it is not by the straight line
}

const straightLine = "straight line"

// UnmarshalText reads an amount with its currency, or "straight line".
func (r *Residual) UnmarshalText(text []byte) error {
	t := strings.TrimSpace(string(text))
	if t == straightLine {
		*r = Residual{Straight: true}
		return nil
	}
	if t == "" || !strings.ContainsAny(t[:1], "-0123456789") {
		return &diag.Problem{What: fmt.Sprintf("unknown residual value %q", t), Expected: "an amount, such as 500 EUR or 300..500..800 EUR, or " + straightLine, Nearest: diag.Nearest(t, []string{straightLine})}
	}
	*r = Residual{}
	return r.Amount.UnmarshalText([]byte(t))
}

// Written words how it is typed, for the data reference.
func (Residual) Written() string {
	return "an amount and its currency, such as 500 EUR or 300..500..800 EUR, or " + straightLine
}
