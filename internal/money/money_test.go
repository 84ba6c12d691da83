package money_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/money"
)

func dec(s string) decimal.Decimal { return decimal.RequireFromString(s) }

func TestCurrencyPlaces(t *testing.T) {
	// ISO 4217 list one, minor units (from memory).
	for code, places := range map[string]int32{
		"EUR": 2, "USD": 2, "GBP": 2, "CHF": 2, "INR": 2, "ZAR": 2, "JPY": 0, "KRW": 0, "CLP": 0, "ISK": 0, "VND": 0, "XOF": 0,
		"KWD": 3, "BHD": 3, "JOD": 3, "OMR": 3, "TND": 3, "LYD": 3, "IQD": 3, "RSD": 2, "PKR": 2, "IDR": 2, "HUF": 2, "TWD": 2, "COP": 2, "ALL": 2,
	} {
		var c money.Currency
		if err := c.UnmarshalText([]byte(code)); err != nil || c.Code != code || c.Places != places {
			t.Errorf("%s: %+v, %v; want %d places", code, c, err, places)
		}
	}
	const expected = "; expected an ISO 4217 code of three capitals, such as EUR, GBP or USD"
	for text, want := range map[string]string{
		"eur":  `unknown currency "eur"` + expected + `; did you mean "EUR"?`,
		"EURO": `unknown currency "EURO"` + expected,
		"€":    `unknown currency "€"` + expected,
		"XXX":  `unknown currency "XXX"` + expected,
		"XTS":  `unknown currency "XTS"` + expected,
		"QQQ":  `unknown currency "QQQ"` + expected,
		"":     `unknown currency ""` + expected,
	} {
		var c money.Currency
		if err := c.UnmarshalText([]byte(text)); err == nil || err.Error() != want {
			t.Errorf("%q:\n got %v\nwant %s", text, err, want)
		}
	}
}

func TestRounding(t *testing.T) {
	tests := []struct {
		amount                    string
		places                    int32
		halfUp, halfEven, cut, up string
	}{
		{"1.005", 2, "1.01", "1", "1", "1.01"},
		{"1.015", 2, "1.02", "1.02", "1.01", "1.02"},
		{"1.0149", 2, "1.01", "1.01", "1.01", "1.02"},
		{"-1.005", 2, "-1.01", "-1", "-1", "-1.01"},
		{"-1.0001", 2, "-1", "-1", "-1", "-1.01"},
		{"2.5", 0, "3", "2", "2", "3"},
		{"3.5", 0, "4", "4", "3", "4"},
		{"0.0625", 3, "0.063", "0.062", "0.062", "0.063"},
		{"7", 2, "7", "7", "7", "7"},
		{"0", 2, "0", "0", "0", "0"},
		{"123456789012345678901234567890.125", 2, "123456789012345678901234567890.13", "123456789012345678901234567890.12", "123456789012345678901234567890.12", "123456789012345678901234567890.13"},
	}
	for _, tt := range tests {
		for _, way := range []struct {
			word, want string
		}{{"half up", tt.halfUp}, {"half even", tt.halfEven}, {"cut", tt.cut}, {"up", tt.up}} {
			var r money.Rounding
			if err := r.UnmarshalText([]byte(way.word)); err != nil || r.String() != way.word {
				t.Fatalf("%s: %v, %v", way.word, r, err)
			}
			if got := r.Round(dec(tt.amount), tt.places); !got.Equal(dec(way.want)) {
				t.Errorf("%s to %d places, %s: %s, want %s", tt.amount, tt.places, way.word, got, way.want)
			}
		}
	}
	var r money.Rounding
	if err := r.UnmarshalText([]byte("halfup")); err == nil || err.Error() != `unknown rounding "halfup"; expected one of half up, half even, cut, up; did you mean "half up"?` {
		t.Error(err)
	}
}

func TestDecimal(t *testing.T) {
	for _, text := range []string{"0", "0.1523", "-12.50", "123456789012345678901234567890.123456789", " 7 "} {
		d, err := money.ParseDecimal(text)
		if err != nil || !d.Equal(dec(strings.TrimSpace(text))) {
			t.Errorf("%q is %s, %v", text, d, err)
		}
	}
	for _, text := range []string{"", "0,1523", "1e3", "0x10", ".5", "5.", "1 000", "+5", "007", "NaN", "--1"} {
		_, err := money.ParseDecimal(text)
		want := `"` + text + `" is not a number; expected digits with a point before decimals, such as 0.1523`
		if err == nil || err.Error() != want {
			t.Errorf("%q:\n got %v\nwant %s", text, err, want)
		}
	}
}

func TestPercent(t *testing.T) {
	for text, want := range map[string]string{"21 %": "0.21", "4.5%": "0.045", "-2 %": "-0.02", "0 %": "0", "13.125 %": "0.13125", "0.0003 %": "0.000003"} {
		var p money.Percent
		if err := p.UnmarshalText([]byte(text)); err != nil || !p.Fraction.Equal(dec(want)) || p.Text != text {
			t.Errorf("%q is %s, %v", text, p.Fraction, err)
		}
	}
	for text, want := range map[string]string{
		"21":    `"21" has no unit; expected a percentage, such as 21 %`,
		"":      `"" has no unit; expected a percentage, such as 21 %`,
		"%":     `"" is not a number; expected digits with a point before decimals, such as 0.1523`,
		"4,5 %": `"4,5" is not a number; expected digits with a point before decimals, such as 0.1523`,
	} {
		var p money.Percent
		if err := p.UnmarshalText([]byte(text)); err == nil || err.Error() != want {
			t.Errorf("%q:\n got %v\nwant %s", text, err, want)
		}
	}
}

// TestSumIsExact adds what binary floating point cannot.
func TestSumIsExact(t *testing.T) {
	if got := money.Sum(dec("0.1"), dec("0.2"), dec("-0.3")); !got.IsZero() {
		t.Error(got)
	}
	if got := money.Sum(); !got.IsZero() {
		t.Error(got)
	}
}

func FuzzMoney(f *testing.F) {
	for _, s := range []string{"EUR", "0.1523", "21 %", "half up", "-0", "99999999999999999999999999", "€", "1e9", "%"} {
		f.Add(s)
	}
	told := func(t *testing.T, err error) {
		var p *diag.Problem
		if !errors.As(err, &p) || p.What == "" || p.Expected == "" {
			t.Errorf("%T: %v", err, err)
		}
	}
	f.Fuzz(func(t *testing.T, s string) {
		if d, err := money.ParseDecimal(s); err != nil {
			told(t, err)
		} else if again, err := money.ParseDecimal(d.String()); err != nil || !again.Equal(d) {
			t.Errorf("%q is %s, then %s, %v", s, d, again, err)
		}
		var c money.Currency
		if err := c.UnmarshalText([]byte(s)); err != nil {
			told(t, err)
		} else if len(c.Code) != 3 || c.Places < 0 || c.Places > 4 {
			t.Errorf("%q is %+v", s, c)
		}
		var p money.Percent
		if err := p.UnmarshalText([]byte(s)); err != nil {
			told(t, err)
		}
		var r money.Rounding
		if err := r.UnmarshalText([]byte(s)); err != nil {
			told(t, err)
		}
	})
}
