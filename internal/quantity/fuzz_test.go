package quantity_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"auditgen/internal/diag"
	q "auditgen/internal/quantity"
)

// told holds an error to a problem in plain words.
func told(t *testing.T, err error) {
	t.Helper()
	var p *diag.Problem
	if !errors.As(err, &p) || p.What == "" {
		t.Fatalf("%T: %v", err, err)
	}
	for _, foreign := range []string{"strconv", "%!", "Inf", "NaN"} {
		if strings.Contains(p.Expected, foreign) {
			t.Errorf("foreign words: %v", err)
		}
	}
}

func finite(t *testing.T, values ...float64) {
	t.Helper()
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Errorf("not a number: %v", values)
		}
	}
}

func seeds(f *testing.F) {
	for _, s := range []string{"231.2 V", "16.2 kW", "62 %", "45..60..75 %", "62 % ± 10 %", "62 % +- 10 % of value", "0.84 lag", "24.1 % of rms", "12", "10..12..15", "1e309 V", "- 5 A", "1 234,5 V", "..", "±", "%", "5 % of", "٣ V"} {
		f.Add(s)
	}
}

func FuzzParse(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, s string) {
		d, err := q.Parse[q.Watts](s)
		if err != nil {
			told(t, err)
			return
		}
		finite(t, float64(d.Value), float64(d.Step))
		if again, err := q.Parse[q.Watts](d.Text); err != nil || again != d {
			t.Errorf("%q is read back as %+v, %v", d.Text, again, err)
		}
	})
}

func FuzzEstimate(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, s string) {
		e, err := q.ParseEstimate[q.Ratio](s)
		if err != nil {
			told(t, err)
			return
		}
		finite(t, float64(e.Low), float64(e.Likely), float64(e.High))
		if e.Low > e.Likely || e.Likely > e.High {
			t.Errorf("%q is out of order: %+v", s, e)
		}
		if again, err := q.ParseEstimate[q.Ratio](e.Text); err != nil || again != e {
			t.Errorf("%q is read back as %+v, %v", e.Text, again, err)
		}
	})
}

func FuzzTrade(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, s string) {
		var p q.PowerFactor
		if err := p.UnmarshalText([]byte(s)); err != nil {
			told(t, err)
		} else if p.Value < -1 || p.Value > 1 || p.Step <= 0 && len(s) < 300 {
			t.Errorf("%q is %+v", s, p)
		}
		var d q.Distortion
		if err := d.UnmarshalText([]byte(s)); err != nil {
			told(t, err)
		} else if d.Value < 0 || d.Base == 0 {
			t.Errorf("%q is %+v", s, d)
		}
		var c q.Count
		if err := c.UnmarshalText([]byte(s)); err != nil {
			told(t, err)
		} else if c.Low < 1 || c.High > 1e5 || c.Low > c.Likely || c.Likely > c.High {
			t.Errorf("%q is %+v", s, c)
		}
	})
}
