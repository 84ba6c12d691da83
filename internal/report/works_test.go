package report

import (
	"testing"

	"github.com/shopspring/decimal"
)

// TestShortened keeps digits by which a step can be worked again, and no more.
func TestShortened(t *testing.T) {
	for in, want := range map[string]string{
		"784.08920829194680472": "784.0892",
		"43202.04500761994847":  "43202.045",
		"0.013629087628":        "0.0136291",
		"0.846068435168":        "0.846068",
		"1.259093452714":        "1.25909",
		"9692.142":              "9692.142",
		"0.0005":                "0.0005",
		"160":                   "160",
		"0":                     "0",
		"-12.3456789":           "-12.3457",
		"351386000":             "351386000",
	} {
		if got := shortened(decimal.RequireFromString(in)).String(); got != want {
			t.Errorf("%s: %s, want %s", in, got, want)
		}
	}
}

func TestOneOfASpan(t *testing.T) {
	for _, test := range []struct {
		value      float64
		unit, want string
	}{
		{1, "months", "month"}, {2, "months", "months"}, {0, "days", "days"}, {1, "years", "year"},
		{160, "kVA·months", "kVA·month"}, {31, "EUR/days", "EUR/day"}, {3, "kWh", "kWh"}, {1, "", ""},
	} {
		if got := one(test.value, test.unit); got != test.want {
			t.Errorf("%g %s: %s, want %s", test.value, test.unit, got, test.want)
		}
	}
}
