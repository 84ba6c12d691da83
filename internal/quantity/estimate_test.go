package quantity_test

import (
	"math"
	"testing"

	q "auditgen/internal/quantity"
)

func TestEstimateForms(t *testing.T) {
	tests := []struct {
		text              string
		low, likely, high float64
		shape             q.Shape
		kept              string // text, when it differs
	}{
		{"62 %", 0.62, 0.62, 0.62, q.Exact, ""},
		{"45..60..75 %", 0.45, 0.60, 0.75, q.Triangular, ""},
		{" 45 .. 60 .. 75% ", 0.45, 0.60, 0.75, q.Triangular, "45 .. 60 .. 75%"},
		{"45 %..60 %..75 %", 0.45, 0.60, 0.75, q.Triangular, ""},
		{"40..70 %", 0.40, 0.55, 0.70, q.Rectangular, ""},
		{"62 % ± 10 %", 0.52, 0.62, 0.72, q.Triangular, ""},
		{"62 % +- 10 %", 0.52, 0.62, 0.72, q.Triangular, "62 % ± 10 %"},
		{"62 %±10 %", 0.52, 0.62, 0.72, q.Triangular, ""},
		{"60 % ± 10 % of value", 0.54, 0.60, 0.66, q.Triangular, ""},
		{"-60 % ± 10 % of value", -0.66, -0.60, -0.54, q.Triangular, ""},
		{"62 % ± 0 %", 0.62, 0.62, 0.62, q.Triangular, ""},
		{"60..60..60 %", 0.60, 0.60, 0.60, q.Triangular, ""},
	}
	for _, tt := range tests {
		var e q.Estimate[q.Ratio]
		if err := e.UnmarshalText([]byte(tt.text)); err != nil {
			t.Errorf("%q: %v", tt.text, err)
			continue
		}
		kept := tt.kept
		if kept == "" {
			kept = tt.text
		}
		if !close(float64(e.Low), tt.low) || !close(float64(e.Likely), tt.likely) || !close(float64(e.High), tt.high) || e.Shape != tt.shape || e.Text != kept {
			t.Errorf("%q is %+v", tt.text, e)
		}
	}
	w, err := q.ParseEstimate[q.Watts]("850 W..0.9 kW..1.1 kW")
	if err != nil || w.Low != 850 || w.Likely != 900 || w.High != 1100 {
		t.Errorf("mixed units: %+v, %v", w, err)
	}
	w, err = q.ParseEstimate[q.Watts]("2 kW ± 10 % of value")
	if err != nil || w.Low != 1800 || w.High != 2200 {
		t.Errorf("share of value: %+v, %v", w, err)
	}
}

func TestEstimateRefuses(t *testing.T) {
	type share = q.Estimate[q.Ratio]
	type watts = q.Estimate[q.Watts]
	const form = "low..likely..high and one unit, such as 45..60..75 %"
	refuses[share](t, "62", `"62" has no unit; expected percentage in %, such as 62 %`)
	refuses[share](t, "45..60..75", `"45..60..75" has no unit; expected percentage in %: `+form)
	refuses[share](t, "75..60..45 %", `"75..60..45 %" is out of order; expected `+form)
	refuses[share](t, "45..80..75 %", `"45..80..75 %" is out of order; expected `+form)
	refuses[share](t, "70..40 %", `"70..40 %" is out of order; expected `+form)
	refuses[share](t, "1..2..3..4 %", `"1..2..3..4 %" is not a range; expected `+form)
	refuses[share](t, "45..x..75 %", `"" is not a number; expected digits with a point before decimals, such as 1234.5`)
	refuses[share](t, "45..60,5..75 %", `"60,5" is not a number; expected digits with a point before decimals, such as 1234.5; did you mean "60.5"?`)
	refuses[share](t, "..60..75 %", `"" is not a number; expected digits with a point before decimals, such as 1234.5`)
	refuses[share](t, "62 % ± 10", `"10" has no unit; expected percentage in %, such as 62 %`)
	refuses[share](t, "62 ± 10 %", `"62" has no unit; expected percentage in %, such as 62 %`)
	refuses[share](t, "62 % ± -10 %", `"62 % ± -10 %" has a negative doubt; expected a half-width of zero or more, such as 62 % ± 10 % of value`)
	refuses[share](t, "62 % ± x of value", `"x" is not a percentage; expected a number and a unit, such as 62 %`)
	refuses[watts](t, "2 kW ± 10 %", `"10 %" is in a unit of percentage; expected active power in W, kW or MW, such as 16.2 kW`)
	refuses[watts](t, "300..400..600 KW", `unknown unit "KW"; expected active power in W, kW or MW, such as 16.2 kW; did you mean "300..400..600 kW"?`)
	refuses[watts](t, "300..400..600", `"300..400..600" has no unit; expected active power in W, kW or MW: low..likely..high and one unit, such as 45..60..75 W`)
}

// TestEstimateMoments holds mean and standard uncertainty to published cases
// (JCGM 100:2008, 4.3.7 and 4.3.9, inputs from memory) and computed ones.
func TestEstimateMoments(t *testing.T) {
	r := func(low, likely, high float64, s q.Shape) q.Estimate[q.Ratio] {
		return q.Estimate[q.Ratio]{Low: q.Ratio(low), Likely: q.Ratio(likely), High: q.Ratio(high), Shape: s}
	}
	tests := []struct {
		name            string
		e               q.Estimate[q.Ratio]
		mean, deviation float64
		half            float64 // half a unit in the last printed digit
	}{
		{"skewed duty, computed", r(0.20, 0.33, 0.50, q.Triangular), 0.343333, 0.061418, 5e-7},
		{"GUM 4.3.7, example 1: half-width 0.40e-6", r(-0.40e-6, 0, 0.40e-6, q.Rectangular), 0, 0.23e-6, 0.5e-8},
		{"the same to more digits, computed", r(-0.40e-6, 0, 0.40e-6, q.Rectangular), 0, 0.230940e-6, 5e-13},
		{"hours 3000 ± 10 %, rectangular, computed", r(2700, 3000, 3300, q.Rectangular), 3000, 173.205, 5e-4},
		{"duty 0.70 ± 0.10, triangular, computed", r(0.60, 0.70, 0.80, q.Triangular), 0.70, 0.040825, 5e-7},
		{"power within ± 0.236 kW, rectangular, computed", r(12.164, 12.40, 12.636, q.Rectangular), 12.40, 0.13625, 5e-6},
		{"symmetric triangle of half-width a: a/√6 (GUM 4.3.9)", r(-1, 0, 1, q.Triangular), 0, 1 / math.Sqrt(6), 1e-15},
		{"one-sided triangle of width w: w/√18", r(0, 0, 1, q.Triangular), 1.0 / 3, 1 / math.Sqrt(18), 1e-15},
		{"no doubt", r(0.62, 0.62, 0.62, q.Exact), 0.62, 0, 0},
		{"close limits keep their digits", r(1e6, 1e6+1e-3, 1e6+2e-3, q.Triangular), 1e6 + 1e-3, 1e-3 / math.Sqrt(6), 1e-9},
	}
	for _, tt := range tests {
		if got := float64(tt.e.Mean()); math.Abs(got-tt.mean) > math.Max(tt.half, 1e-12*math.Abs(tt.mean)) {
			t.Errorf("%s: mean %.9g, want %.9g", tt.name, got, tt.mean)
		}
		if got := float64(tt.e.Deviation()); math.Abs(got-tt.deviation) > tt.half {
			t.Errorf("%s: deviation %.9g, want %.9g", tt.name, got, tt.deviation)
		}
	}
}

func TestEstimateScale(t *testing.T) {
	e, _ := q.ParseEstimate[q.Ratio]("45..60..75 %")
	if s := e.Scale(2); !close(float64(s.Low), 0.9) || !close(float64(s.High), 1.5) || !close(float64(s.Mean()), 1.2) {
		t.Errorf("%+v", s)
	}
	if s := e.Scale(-1); s.Low > s.High || !close(float64(s.Low), -0.75) {
		t.Errorf("%+v", s)
	}
	if c := q.Certain(q.Watts(5)); c.Mean() != 5 || c.Deviation() != 0 {
		t.Errorf("%+v", c)
	}
}
