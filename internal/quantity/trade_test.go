package quantity_test

import (
	"testing"

	q "auditgen/internal/quantity"
)

func TestPowerFactor(t *testing.T) {
	for _, tt := range []struct {
		text string
		want q.PowerFactor
	}{
		{"0.84 lag", q.PowerFactor{Value: 0.84, Step: 0.01, Lead: q.Lagging, Text: "0.84 lag"}},
		{"0.84lagging", q.PowerFactor{Value: 0.84, Step: 0.01, Lead: q.Lagging, Text: "0.84lagging"}},
		{"0.840 ind", q.PowerFactor{Value: 0.84, Step: 0.001, Lead: q.Lagging, Text: "0.840 ind"}},
		{"0.97 lead", q.PowerFactor{Value: 0.97, Step: 0.01, Lead: q.Leading, Text: "0.97 lead"}},
		{"0.97 leading", q.PowerFactor{Value: 0.97, Step: 0.01, Lead: q.Leading, Text: "0.97 leading"}},
		{"0.97 cap", q.PowerFactor{Value: 0.97, Step: 0.01, Lead: q.Leading, Text: "0.97 cap"}},
		{"0.91", q.PowerFactor{Value: 0.91, Step: 0.01, Text: "0.91"}},
		{"1.00", q.PowerFactor{Value: 1, Step: 0.01, Text: "1.00"}},
		{"-0.74", q.PowerFactor{Value: -0.74, Step: 0.01, Text: "-0.74"}},
		{"0", q.PowerFactor{Value: 0, Step: 1, Text: "0"}},
	} {
		var p q.PowerFactor
		if err := p.UnmarshalText([]byte(tt.text)); err != nil || p != tt.want {
			t.Errorf("%q is %+v, %v", tt.text, p, err)
		}
	}
	const expected = "; expected a number up to 1 with lag or lead, such as 0.84 lag"
	refuses[q.PowerFactor](t, "84 %", `power factor 84 is out of range`+expected)
	refuses[q.PowerFactor](t, "1.01", `power factor 1.01 is out of range`+expected)
	refuses[q.PowerFactor](t, "-1.01", `power factor -1.01 is out of range`+expected)
	refuses[q.PowerFactor](t, "0.84 lags", `unknown direction "lags"`+expected+`; did you mean "lag"?`)
	refuses[q.PowerFactor](t, "lag", `"lag" is not a power factor`+expected)
	refuses[q.PowerFactor](t, "", `"" is not a power factor`+expected)
	refuses[q.PowerFactor](t, "0,84 lag", `"0,84 lag" is not a power factor`+expected+`; did you mean "0.84"?`)
}

func TestDistortion(t *testing.T) {
	for _, tt := range []struct {
		text string
		want q.Distortion
	}{
		{"24.1 % of fundamental", q.Distortion{Value: 0.241, Step: 0.001, Base: q.OfFundamental, Text: "24.1 % of fundamental"}},
		{"120 % of fundamental", q.Distortion{Value: 1.2, Step: 0.01, Base: q.OfFundamental, Text: "120 % of fundamental"}},
		{"23.4 % of rms", q.Distortion{Value: 0.234, Step: 0.001, Base: q.OfRMS, Text: "23.4 % of rms"}},
		{"0 % of RMS", q.Distortion{Value: 0, Step: 0.01, Base: q.OfRMS, Text: "0 % of RMS"}},
	} {
		var d q.Distortion
		if err := d.UnmarshalText([]byte(tt.text)); err != nil || d.Base != tt.want.Base || !close(float64(d.Value), float64(tt.want.Value)) || !close(float64(d.Step), float64(tt.want.Step)) || d.Text != tt.want.Text {
			t.Errorf("%q is %+v, %v", tt.text, d, err)
		}
	}
	const expected = "; expected a percentage of fundamental or of rms, such as 24.1 % of fundamental"
	refuses[q.Distortion](t, "24.1 %", `"24.1 %" does not say of what`+expected)
	refuses[q.Distortion](t, "24.1", `"24.1" has no unit; expected percentage in %, such as 62 %`)
	refuses[q.Distortion](t, "24.1 of rms", `"24.1" has no unit; expected percentage in %, such as 62 %`)
	refuses[q.Distortion](t, "-1 % of rms", `"-1 % of rms" is negative`+expected)
	refuses[q.Distortion](t, "24.1 % of total", `unknown base "total"`+expected)
	refuses[q.Distortion](t, "24.1 % of fundmental", `unknown base "fundmental"`+expected+`; did you mean "fundamental"?`)
	refuses[q.Distortion](t, "100 % of rms", `"100 % of rms" is impossible: a share of rms stays below 100 %; expected % of fundamental, if the meter shows 100 % or more`)
}

func TestCount(t *testing.T) {
	for _, tt := range []struct {
		text              string
		low, likely, high float64
		shape             q.Shape
	}{{"12", 12, 12, 12, q.Exact}, {"10..12..15", 10, 12, 15, q.Triangular}, {"10 .. 12 .. 15", 10, 12, 15, q.Triangular}, {"1", 1, 1, 1, q.Exact}, {"100000", 1e5, 1e5, 1e5, q.Exact}} {
		var c q.Count
		if err := c.UnmarshalText([]byte(tt.text)); err != nil {
			t.Errorf("%q: %v", tt.text, err)
			continue
		}
		e := c.Estimate()
		if float64(e.Low) != tt.low || float64(e.Likely) != tt.likely || float64(e.High) != tt.high || e.Shape != tt.shape || e.Text != tt.text {
			t.Errorf("%q is %+v", tt.text, e)
		}
	}
	const expected = "; expected a whole number of 1 or more, such as 12, or low..likely..high"
	refuses[q.Count](t, "-2", `the count -2 is out of range`+expected)
	refuses[q.Count](t, "0", `the count 0 is out of range`+expected)
	refuses[q.Count](t, "100001", `the count 100001 is out of range`+expected)
	refuses[q.Count](t, "1.5", `"1.5" is not a count`+expected)
	refuses[q.Count](t, "12 pieces", `"12 pieces" is not a count`+expected)
	refuses[q.Count](t, "10..12", `"10..12" is not a count`+expected)
	refuses[q.Count](t, "12..10..15", `"12..10..15" is out of order`+expected)
	refuses[q.Count](t, "", `"" is not a count`+expected)
}
