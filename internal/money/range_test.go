package money

import (
	"testing"

	"github.com/shopspring/decimal"
)

func TestRange(t *testing.T) {
	for _, c := range []struct{ text, low, likely, high string }{
		{"3600 EUR", "3600", "3600", "3600"},
		{"3200..3600..4400 EUR", "3200", "3600", "4400"},
		{"3200..4400 EUR", "3200", "3800", "4400"},
		{"0 EUR", "0", "0", "0"},
	} {
		var r Range
		if err := r.UnmarshalText([]byte(c.text)); err != nil {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		if r.Low.String() != c.low || r.Likely.String() != c.likely || r.High.String() != c.high || r.Currency != "EUR" {
			t.Errorf("%s: %+v", c.text, r)
		}
	}
	for _, text := range []string{"", "3600", "3600 EURO", "1..2..3..4 EUR", "4..3 EUR", "a EUR", "1.. EUR", "1,5 EUR"} {
		var r Range
		if r.UnmarshalText([]byte(text)) == nil {
			t.Errorf("%q was read", text)
		}
	}
	var a, b Range
	_, _ = a.UnmarshalText([]byte("1..2..4 EUR")), b.UnmarshalText([]byte("10 EUR"))
	if got := a.Times(decimal.NewFromInt(3)).Plus(b); got.Low.String() != "13" || got.Likely.String() != "16" || got.High.String() != "22" {
		t.Errorf("three times and ten: %+v", got)
	}
}
