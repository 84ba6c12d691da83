// Package money has exact decimal amounts. Every rounding is named;
// no binary floating-point number meets a price.
package money

import (
	"fmt"
	"regexp"
	"strings"

	"github.com/shopspring/decimal"
	"golang.org/x/text/currency"

	"auditgen/internal/diag"
)

// Currency is an ISO 4217 code with the number of decimals of its smallest coin.
type Currency struct {
	Code   string
	Places int32
}

// noCurrency are the codes that ISO 4217 keeps for no currency and for tests.
var noCurrency = map[string]bool{"XXX": true, "XTS": true}

// minorUnits are currencies whose decimals in ISO 4217, which bills use, differ
// from those in everyday use, which the library gives (ISO 4217 list one, from
// memory).
var minorUnits = map[string]int{
	"AFN": 2, "ALL": 2, "AMD": 2, "COP": 2, "GYD": 2, "IDR": 2, "IQD": 3, "IRR": 2, "KPW": 2, "LAK": 2, "LBP": 2, "MGA": 2,
	"MMK": 2, "MNT": 2, "MUR": 2, "PKR": 2, "RSD": 2, "SLL": 2, "SOS": 2, "SYP": 2, "TZS": 2, "UZS": 2, "YER": 2,
}

// UnmarshalText reads an ISO 4217 code such as EUR.
func (c *Currency) UnmarshalText(text []byte) error {
	u, err := currency.ParseISO(string(text))
	if err != nil || u.String() != string(text) || noCurrency[u.String()] {
		p := &diag.Problem{What: fmt.Sprintf("unknown currency %q", text), Expected: "an ISO 4217 code of three capitals, such as EUR, GBP or USD"}
		if err == nil && !noCurrency[u.String()] {
			p.Nearest = u.String()
		}
		return p
	}
	places, _ := currency.Standard.Rounding(u)
	if n, ok := minorUnits[u.String()]; ok {
		places = n
	}
	*c = Currency{Code: u.String(), Places: int32(places)}
	return nil
}

// Rounding is a way to bring an amount to a number of decimals.
type Rounding int

// The ways. HalfUp takes a half away from zero, as most bills do.
const (
	HalfUp Rounding = iota
	HalfEven
	Cut
	Up
)

var roundingWords = map[string]Rounding{"half up": HalfUp, "half even": HalfEven, "cut": Cut, "up": Up}

// UnmarshalText reads "half up", "half even", "cut" or "up".
func (r *Rounding) UnmarshalText(text []byte) error {
	v, ok := roundingWords[string(text)]
	if !ok {
		return diag.OneOf("rounding", string(text), []string{"half up", "half even", "cut", "up"})
	}
	*r = v
	return nil
}

// String gives the word that is typed.
func (r Rounding) String() string {
	return [...]string{"half up", "half even", "cut", "up"}[r]
}

// Round brings d to a number of decimals.
func (r Rounding) Round(d decimal.Decimal, places int32) decimal.Decimal {
	switch r {
	case HalfEven:
		return d.RoundBank(places)
	case Cut:
		return d.Truncate(places)
	case Up:
		return d.RoundUp(places)
	}
	return d.Round(places)
}

var decimalForm = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]+)?$`)

// ParseDecimal reads an exact decimal number.
func ParseDecimal(text string) (decimal.Decimal, error) {
	text = strings.TrimSpace(text)
	if !decimalForm.MatchString(text) {
		return decimal.Decimal{}, &diag.Problem{What: fmt.Sprintf("%q is not a number", text), Expected: "digits with a point before decimals, such as 0.1523"}
	}
	return decimal.NewFromString(text)
}

// Percent is an exact percentage: "4.5 %". Fraction is 0.045.
type Percent struct {
	Fraction decimal.Decimal
	Text     string
}

// UnmarshalText reads a percentage.
func (p *Percent) UnmarshalText(text []byte) error {
	s := strings.TrimSpace(string(text))
	number, ok := strings.CutSuffix(s, "%")
	if !ok {
		return &diag.Problem{What: fmt.Sprintf("%q has no unit", s), Expected: "a percentage, such as 21 %"}
	}
	d, err := ParseDecimal(number)
	if err != nil {
		return err
	}
	*p = Percent{Fraction: d.Shift(-2), Text: s}
	return nil
}

// Sum adds amounts exactly.
func Sum(amounts ...decimal.Decimal) decimal.Decimal {
	total := decimal.Zero
	for _, a := range amounts {
		total = total.Add(a)
	}
	return total
}
