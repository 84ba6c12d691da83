package money

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
)

// Stated is an amount of money as a person types it off a bill, with its
// currency: "8123.45 EUR".
type Stated struct {
	Amount   decimal.Decimal
	Currency string
	Text     string
}

// UnmarshalText reads an amount; the currency must stand behind it.
func (s *Stated) UnmarshalText(text []byte) error {
	t := strings.TrimSpace(string(text))
	number, code, ok := strings.Cut(t, " ")
	code = strings.TrimSpace(code)
	if !ok || code == "" {
		return &diag.Problem{What: fmt.Sprintf("%q has no currency", t), Expected: "an amount and its currency, such as 8123.45 EUR"}
	}
	var c Currency
	if err := c.UnmarshalText([]byte(code)); err != nil {
		return err
	}
	d, err := ParseDecimal(number)
	if err != nil {
		return err
	}
	*s = Stated{Amount: d, Currency: c.Code, Text: t}
	return nil
}
