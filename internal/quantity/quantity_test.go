package quantity_test

import (
	"errors"
	"math"
	"testing"

	"auditgen/internal/diag"
	q "auditgen/internal/quantity"
)

func close(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Max(math.Abs(a), math.Abs(b)) }

type read struct {
	text        string
	value, step float64
}

func parses[Q q.Quantity](t *testing.T, tests ...read) {
	t.Helper()
	for _, tt := range tests {
		var d q.Displayed[Q]
		if err := d.UnmarshalText([]byte(tt.text)); err != nil {
			t.Errorf("%q: %v", tt.text, err)
		} else if !close(float64(d.Value), tt.value) || !close(float64(d.Step), tt.step) {
			t.Errorf("%q is %v in steps of %v, want %v and %v", tt.text, d.Value, d.Step, tt.value, tt.step)
		}
	}
}

func TestParseEveryUnit(t *testing.T) {
	parses[q.VoltsLN](t, read{"231.2 V", 231.2, 0.1}, read{"231 V", 231, 1}, read{"850 mV", 0.85, 0.001}, read{"11.00 kV", 11000, 10}, read{"231.2V", 231.2, 0.1}, read{" 231.2\u00a0V ", 231.2, 0.1}, read{"231.2\u202fV", 231.2, 0.1}, read{"0 V", 0, 1})
	parses[q.VoltsLL](t, read{"0.40 kV", 400, 10})
	parses[q.Amperes](t, read{"84.1 A", 84.1, 0.1}, read{"12 mA", 0.012, 0.001}, read{"1.2 kA", 1200, 100})
	parses[q.Watts](t, read{"850 W", 850, 1}, read{"16.2 kW", 16200, 100}, read{"1.25 MW", 1.25e6, 1e4}, read{"-0.79 kW", -790, 10})
	parses[q.VoltAmperes](t, read{"400 VA", 400, 1}, read{"19.4 kVA", 19400, 100}, read{"8.2 MVA", 8.2e6, 1e5})
	parses[q.Vars](t, read{"10 var", 10, 1}, read{"-10.6 kvar", -10600, 100}, read{"1 Mvar", 1e6, 1e6})
	parses[q.WattHours](t, read{"5 Wh", 5, 1}, read{"5000 kWh", 5e6, 1e3}, read{"1 MWh", 1e6, 1e6})
	parses[q.VarHours](t, read{"5 varh", 5, 1}, read{"1200 kvarh", 1.2e6, 1e3}, read{"1 Mvarh", 1e6, 1e6})
	parses[q.Hertz](t, read{"50.02 Hz", 50.02, 0.01})
	parses[q.Ratio](t, read{"62 %", 0.62, 0.01}, read{"62.5%", 0.625, 0.001})
	parses[q.Degrees](t, read{"32.9 °", 32.9, 0.1}, read{"-32 deg", -32, 1})
	parses[q.Hours](t, read{"2 h", 2, 1}, read{"20 min", 1.0 / 3, 1.0 / 60}, read{"90 s", 0.025, 1.0 / 3600})
	parses[q.SquareMetres](t, read{"1450 m²", 1450, 1}, read{"1450 m2", 1450, 1}, read{"1000 ft²", 92.90304, 0.09290304}, read{"1000 ft2", 92.90304, 0.09290304})
	parses[q.KgPerWh](t, read{"1 kg/Wh", 1, 1}, read{"0.312 kg/kWh", 0.312e-3, 1e-6}, read{"312 g/kWh", 0.312e-3, 1e-6}, read{"0.312 t/MWh", 0.312e-3, 1e-6}, read{"1000 lb/MWh", 0.45359237e-3, 0.45359237e-6})
}

// refuses holds the whole message of a text that cannot be read.
func refuses[T any, P interface {
	*T
	UnmarshalText([]byte) error
}](t *testing.T, text, want string) {
	t.Helper()
	var v T
	err := P(&v).UnmarshalText([]byte(text))
	if err == nil {
		t.Errorf("%q was read", text)
		return
	}
	var p *diag.Problem
	if !errors.As(err, &p) {
		t.Errorf("%q: %T", text, err)
	}
	if err.Error() != want {
		t.Errorf("%q:\n got %s\nwant %s", text, err, want)
	}
}

func TestParseRefuses(t *testing.T) {
	type volts = q.Displayed[q.VoltsLN]
	type watts = q.Displayed[q.Watts]
	type share = q.Displayed[q.Ratio]
	const volt = "; expected voltage in V, mV or kV, such as 231.2 V"
	refuses[volts](t, "231", `"231" has no unit`+volt)
	refuses[volts](t, "V", `"V" is not a voltage; expected a number and a unit, such as 231.2 V`)
	refuses[volts](t, "", `"" is not a voltage; expected a number and a unit, such as 231.2 V`)
	refuses[volts](t, "about 231 V", `"about 231 V" is not a voltage; expected a number and a unit, such as 231.2 V`)
	refuses[volts](t, "231 A", `"231 A" is in a unit of current`+volt)
	refuses[volts](t, "231 v", `unknown unit "v"`+volt+`; did you mean "231 V"?`)
	refuses[watts](t, "16.2 KW", `unknown unit "KW"; expected active power in W, kW or MW, such as 16.2 kW; did you mean "16.2 kW"?`)
	refuses[watts](t, "16.2 kVA", `"16.2 kVA" is in a unit of apparent power; expected active power in W, kW or MW, such as 16.2 kW`)
	refuses[share](t, "0.62", `"0.62" has no unit; expected percentage in %, such as 62 %`)
	refuses[share](t, "62 percent", `unknown unit "percent"; expected percentage in %, such as 62 %`)
	refuses[q.Displayed[q.Hertz]](t, "50", `"50" has no unit; expected frequency in Hz, such as 50.02 Hz`)
	refuses[q.Displayed[q.Hours]](t, "20 m", `unknown unit "m"; expected time in h, min or s, such as 20 min`)
	const number = " is not a number; expected digits with a point before decimals, such as 1234.5"
	refuses[volts](t, "231,2 V", `"231,2"`+number+`; did you mean "231.2"?`)
	refuses[volts](t, "11,000 V", `"11,000"`+number)
	refuses[volts](t, "1,234.5 V", `"1,234.5"`+number)
	refuses[volts](t, "1 234 V", `"1 234"`+number+`; did you mean "1234"?`)
	refuses[volts](t, "1_234 V", `"1_234"`+number+`; did you mean "1234"?`)
	refuses[volts](t, "1'234 V", `"1'234"`+number+`; did you mean "1234"?`)
	refuses[volts](t, "+231 V", `"+231"`+number+`; did you mean "231"?`)
	refuses[volts](t, "007 V", `"007"`+number)
	refuses[volts](t, ".5 V", `".5"`+number)
	refuses[volts](t, "5. V", `"5."`+number)
	refuses[volts](t, "--5 V", `"--5"`+number)
	refuses[volts](t, "1e3 V", `unknown unit "e3 V"`+volt)
	refuses[volts](t, "0x10 V", `unknown unit "x10 V"`+volt)
	refuses[volts](t, "nan V", `"nan V" is not a voltage; expected a number and a unit, such as 231.2 V`)
	refuses[volts](t, digits(400)+" V", `"`+digits(400)+`" is too large a number`)
}

func digits(n int) string {
	b := make([]byte, n)
	for i := range b {
		b[i] = '9'
	}
	return string(b)
}

func TestNumber(t *testing.T) {
	for _, tt := range []struct {
		text     string
		value    float64
		decimals int
	}{{"0", 0, 0}, {"-0.50", -0.5, 2}, {"12", 12, 0}, {"0.001", 0.001, 3}} {
		v, n, err := q.Number(tt.text)
		if err != nil || v != tt.value || n != tt.decimals {
			t.Errorf("Number(%q) = %v, %d, %v", tt.text, v, n, err)
		}
	}
}

func TestPrint(t *testing.T) {
	if got := q.Text(q.Watts(16249), "kW", 1); got != "16.2 kW" {
		t.Error(got)
	}
	if got := q.Text(q.Ratio(0.6249), "%", 0); got != "62 %" {
		t.Error(got)
	}
	if got := q.In(q.Hours(0.5), "min"); !close(got, 30) {
		t.Error(got)
	}
	if k := q.KindOf[q.KgPerWh](); k.Base() != "kg/Wh" || k.Name != "emission factor" {
		t.Error(k)
	}
	defer func() {
		if recover() == nil {
			t.Error("a unit that the kind lacks was taken")
		}
	}()
	q.In(q.Watts(1), "V")
}

// TestExamples: every kind's example is one that can be typed.
func TestExamples(t *testing.T) {
	example[q.VoltsLN](t)
	example[q.VoltsLL](t)
	example[q.Amperes](t)
	example[q.Watts](t)
	example[q.VoltAmperes](t)
	example[q.Vars](t)
	example[q.WattHours](t)
	example[q.VarHours](t)
	example[q.Hertz](t)
	example[q.Ratio](t)
	example[q.Degrees](t)
	example[q.Hours](t)
	example[q.SquareMetres](t)
	example[q.KgPerWh](t)
}

func example[Q q.Quantity](t *testing.T) {
	t.Helper()
	k := q.KindOf[Q]()
	if _, err := q.Parse[Q](k.Example); err != nil {
		t.Errorf("%s: %v", k.Name, err)
	}
	if k.Units[0].Scale != 1 && k.Base() != "%" { // a ratio is kept as a fraction and typed in percent only
		t.Errorf("%s: the first unit is not the base unit", k.Name)
	}
}

func TestWrite(t *testing.T) {
	for _, c := range []struct {
		kind *q.Kind
		v    float64
		want string
	}{
		{q.KindOf[q.Watts](), 55323, "55.323 kW"},
		{q.KindOf[q.Watts](), 999, "999 W"},
		{q.KindOf[q.Watts](), -2500, "-2.5 kW"},
		{q.KindOf[q.VoltsLL](), 0.25, "250 mV"},
		{q.KindOf[q.VoltsLL](), 0, "0 V"},
		{q.KindOf[q.Amperes](), 1.0 / 3, "333.3333 mA"},
		{q.KindOf[q.Ratio](), 0.62, "62 %"},
		{q.KindOf[q.Degrees](), 32.9, "32.9 °"},
		{q.KindOf[q.Hours](), 0.5, "0.5 h"},
		{q.KindOf[q.SquareMetres](), 1450, "1450 m²"},
	} {
		if got := c.kind.Write(c.v, 7); got != c.want {
			t.Errorf("%v %s: got %q, want %q", c.v, c.kind.Name, got, c.want)
		}
	}
}
