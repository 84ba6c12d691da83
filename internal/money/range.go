package money

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
)

// Range is an amount of money with its doubt: "3600 EUR", "3200..3600..4400 EUR",
// "3200..4400 EUR". Without a likely amount the middle is taken for one.
type Range struct {
	Low, Likely, High decimal.Decimal
	Currency          string
	Text              string
}

// UnmarshalText reads a range; the currency must stand behind it.
func (r *Range) UnmarshalText(text []byte) error {
	const form = "an amount, or low..likely..high, and a currency, such as 3600 EUR or 3200..3600..4400 EUR"
	t := strings.TrimSpace(string(text))
	numbers, code, ok := strings.Cut(t, " ")
	if !ok {
		return &diag.Problem{What: fmt.Sprintf("%q has no currency", t), Expected: form}
	}
	var c Currency
	if err := c.UnmarshalText([]byte(strings.TrimSpace(code))); err != nil {
		return err
	}
	var ds []decimal.Decimal
	for _, n := range strings.Split(numbers, "..") {
		d, err := ParseDecimal(n)
		if err != nil {
			return &diag.Problem{What: fmt.Sprintf("%q is not an amount", n), Expected: form}
		}
		ds = append(ds, d)
	}
	if len(ds) > 3 {
		return &diag.Problem{What: fmt.Sprintf("%q is not a range", t), Expected: form}
	}
	for i := 1; i < len(ds); i++ {
		if ds[i].LessThan(ds[i-1]) {
			return &diag.Problem{What: fmt.Sprintf("%q is out of order", t), Expected: form}
		}
	}
	likely := ds[len(ds)/2]
	if len(ds) == 2 {
		likely = ds[0].Add(ds[1]).Div(decimal.NewFromInt(2))
	}
	*r = Range{Low: ds[0], Likely: likely, High: ds[len(ds)-1], Currency: c.Code, Text: t}
	return nil
}

// Times multiplies a range by a number of zero or more.
func (r Range) Times(k decimal.Decimal) Range {
	r.Low, r.Likely, r.High = r.Low.Mul(k), r.Likely.Mul(k), r.High.Mul(k)
	return r
}

// Plus adds a range, ends to ends: what costs more by one cause costs more by the
// other.
func (r Range) Plus(s Range) Range {
	r.Low, r.Likely, r.High = r.Low.Add(s.Low), r.Likely.Add(s.Likely), r.High.Add(s.High)
	return r
}
