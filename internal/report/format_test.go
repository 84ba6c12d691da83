package report

import (
	"math"
	"testing"

	"github.com/shopspring/decimal"
	"golang.org/x/text/language"

	"auditgen/internal/audit"
	"auditgen/internal/civil"
	"auditgen/internal/say"
)

var euro = newFormat(nil, "EUR")

func interval(v, half float64) audit.Interval {
	return audit.Interval{Value: v, Low: v - half, High: v + half, Step: "x"}
}

// TestIntervalDigits holds the rule: the half-width to two digits where it
// begins with 1 or 2, else to one; value and ends to the same place.
func TestIntervalDigits(t *testing.T) {
	plain := func(v float64, d int) string { return euro.number(v, d) }
	cases := []struct {
		i                audit.Interval
		best, span, give string
	}{
		{interval(238705, 18557), "239,000", "220,000 to 257,000", "19,000"},
		{interval(57700, 3500), "58,000", "54,000 to 61,000", "4,000"},
		{interval(112.4, 5.6), "112", "107 to 118", "6"},
		{interval(0.8432, 0.012), "0.843", "0.831 to 0.855", "0.012"},
		{interval(19.03, 1.37), "19.0", "17.7 to 20.4", "1.4"},
		{interval(1.1, 0.15), "1.10", "0.95 to 1.25", "0.15"},
		{interval(1149.75, 0), "1,150", "1,150", "none"},
		{interval(0, 0), "0", "0", "none"},
		{interval(5, 10), "5", minus + "5 to 15", "10"},
		{interval(9.6, 0.96), "9.6", "8.6 to 10.6", "1.0"},
		{interval(2.5e6, 2.9e5), "2,500,000", "2,210,000 to 2,790,000", "290,000"},
	}
	for _, c := range cases {
		if got := best(plain, c.i); got != c.best {
			t.Errorf("%v: best is %s, not %s", c.i, got, c.best)
		}
		if got := euro.span(plain, c.i); got != c.span {
			t.Errorf("%v: span is %s, not %s", c.i, got, c.span)
		}
		if got := euro.give(plain, c.i); got != c.give {
			t.Errorf("%v: half is %s, not %s", c.i, got, c.give)
		}
	}
}

func TestNumbers(t *testing.T) {
	cases := []struct{ got, want string }{
		{euro.number(1234567.891, 1), "1,234,567.9"},
		{euro.number(-1234, 0), minus + "1,234"},
		{euro.number(-0.001, 1), "0.0"},
		{euro.number(0, 0), "0"},
		{euro.money(4710, 0), "€4,710"},
		{euro.money(-12.5, 2), minus + "€12.50"},
		{newFormat(nil, "CHF").money(100, 0), "CHF" + nbsp + "100"},
		{newFormat(nil, "JPY").amount(decimal.RequireFromString("1234")), "¥1,234"},
		{newFormat(nil, "").money(5, 0), "5"},
		{euro.amount(decimal.RequireFromString("1149.7")), "€1,149.70"},
		{euro.amount(decimal.RequireFromString("0.00051")), "€0.00051"},
		{euro.exact(decimal.RequireFromString("137300.125")), "137,300.125"},
		{euro.exact(decimal.RequireFromString("-0.5")), minus + "0.5"},
		{euro.exact(decimal.RequireFromString("-1200.5")), minus + "1,200.5"},
		{euro.exact(decimal.RequireFromString("12345678901234567890.5")), "12345678901234567890.5"},
		{euro.sig(351524.6, 6), "351,525"},
		{euro.sig(0.8428262, 6), "0.842826"},
		{euro.sig(2.5, 6), "2.5"},
		{euro.sig(1e6, 4), "1,000,000"},
		{euro.percent(0.286, 0), "29" + nbsp + "%"},
		{euro.withUnit("5", "kW"), "5" + nbsp + "kW"},
		{euro.withUnit("5", ""), "5"},
		{euro.typed("-0.79 kW at 62 %"), minus + "0.79" + nbsp + "kW at 62" + nbsp + "%"},
		{euro.typed("short-circuit of IEEE 519-2022"), "short-circuit of IEEE 519-2022"},
		{euro.typed("the site's bill of 2031-01"), "the site’s bill of January 2031"},
		{euro.typed("30014.219 kWh, up to 20000 kWh in 2031 by EN 50160:2010"), "30,014.219" + nbsp + "kWh, up to 20,000" + nbsp + "kWh in 2031 by EN 50160:2010"},
		{euro.typed("on 2031-01-05"), "on 5" + nbsp + "January 2031"},
		{euro.estimateText("45..60..75 %"), "60" + nbsp + "%, from 45 to 75" + nbsp + "%"},
		{euro.estimateText("900..1180..1400 W"), "1,180" + nbsp + "W, from 900 to 1,400" + nbsp + "W"},
		{euro.estimateText("3282 h ± 6 %"), "3,282" + nbsp + "h ± 6" + nbsp + "%"},
		{euro.estimateText("10..20 W"), "from 10 to 20" + nbsp + "W"},
		{euro.estimateText("100 % ± 6 %"), "100" + nbsp + "% ± 6" + nbsp + "%"},
	}
	for _, c := range cases {
		if c.got != c.want {
			t.Errorf("printed %q, not %q", c.got, c.want)
		}
	}
}

// TestColumnsAddUp holds that printed values sum to the printed total.
func TestColumnsAddUp(t *testing.T) {
	cases := []struct {
		values []float64
		place  int
		sum    float64
	}{
		{[]float64{33.4, 33.4, 33.2}, 0, 100},
		{[]float64{0.4, 0.4, 0.4}, 0, 1},
		{[]float64{97744.6, 82370.8, 66648.4, 35347.1, 13448}, 3, 296000},
		{[]float64{1.26, 1.26, -0.5}, -1, 2.0},
		{nil, 0, 0},
		{[]float64{0, 0}, 0, 0},
		{[]float64{1e-9, 50, 50}, 0, 100},
	}
	for _, c := range cases {
		sum := 0.0
		for i, v := range addUp(c.values, c.place) {
			sum += v
			if d := v - c.values[i]; d > pow10(c.place)*1.001 || d < -pow10(c.place)*1.001 {
				t.Errorf("%v: %g became %g", c.values, c.values[i], v)
			}
		}
		if roundTo(sum, c.place) != c.sum {
			t.Errorf("%v adds up to %g, not %g", c.values, sum, c.sum)
		}
	}
}

func TestSteps(t *testing.T) {
	for _, c := range []struct{ low, high float64 }{{0, 0}, {5, 5}, {0.3, 0.3}, {19, 79}, {0, 1000}, {12.3, 12.4}, {-3, 4}, {math.Nextafter(0.3, 0), 0.3}} {
		s := steps(c.low, c.high)
		for i := 1; i < len(s); i++ {
			if s[i] <= s[i-1] {
				t.Errorf("%v: steps %v do not rise", c, s)
			}
		}
	}
}

func TestInitials(t *testing.T) {
	for name, want := range map[string]string{"Rowan & Tench Electrical": "RT", "lone hand": "LH", "Örsted": "Ö", "": "", "42 Volts": "V"} {
		if got := initials(name); got != want {
			t.Errorf("%q gives %q, not %q", name, got, want)
		}
	}
}

func TestCSSString(t *testing.T) {
	if got := cssString(`a"</style>`); got != `"a\22 \3c \2f style\3e "` {
		t.Errorf("quoted as %s", got)
	}
}

// TestNumbersBySpanish has numbers, money and dates as Spain and Mexico write
// them, and leaves names and clauses alone.
func TestNumbersBySpanish(t *testing.T) {
	spoken := func(tag, code string) format {
		words, ok := say.Load(language.MustParse(tag))
		if !ok {
			t.Fatalf("there is no %s", tag)
		}
		return newFormat(words, code)
	}
	es, mx := spoken("es", "EUR"), spoken("es-MX", "MXN")
	day := civil.Date{Year: 2031, Month: 5, Day: 14}
	cases := []struct{ got, want string }{
		{es.number(1234567.891, 1), "1.234.567,9"},
		{es.number(-0.5, 1), minus + "0,5"},
		{es.money(4710, 0), "4.710" + nbsp + "€"},
		{es.money(-12.5, 2), minus + "12,50" + nbsp + "€"},
		{es.exact(decimal.RequireFromString("-1200.5")), minus + "1.200,5"},
		{es.percent(0.286, 1), "28,6" + nbsp + "%"},
		{es.span(es.number, interval(57700, 3500)), "de 54.000 a 61.000"},
		{es.perUnit("0,31", "/kWh"), "0,31" + nbsp + "€/kWh"},
		{es.priceText("8.45 /kW/month"), "8,45" + nbsp + "/kW/mes"},
		{es.dateWords(day), "14" + nbsp + "de" + nbsp + "mayo" + nbsp + "de" + nbsp + "2031"},
		{es.monthShort(8), "sept"},
		{es.numeral(7), "siete"},
		{es.ordinal(5), "5.º"},
		{es.list([]string{"a", "b", "c"}), "a, b y c"},
		{es.typed("-0.79 kW at 62.5 %, R1.2, DB2-1.5"), minus + "0,79" + nbsp + "kW at 62,5" + nbsp + "%, R1.2, DB2-1.5"},
		{es.typed("EN 50160:2010, apartado 4.2, tabla 5.1 y 4.2.2; 1234.5 de 12.5"), "EN 50160:2010, apartado 4.2, tabla 5.1 y 4.2.2; 1.234,5 de 12,5"},
		{es.typed("20000 kWh en 2031-01 de EN 50160:2010"), "20.000" + nbsp + "kWh en enero de 2031 de EN 50160:2010"},
		{es.typed("el 2031-01-05, a las 10:30 de file.yaml:12"), "el 5" + nbsp + "de" + nbsp + "enero" + nbsp + "de 2031, a las 10:30 de file.yaml:12"},
		{es.estimateText("45..60..75.5 %"), "60" + nbsp + "%, de 45 a 75,5" + nbsp + "%"},
		{mx.number(1234567.891, 1), "1,234,567.9"},
		{mx.money(4710, 0), "$4,710"},
		{mx.typed("1234.5 kWh"), "1,234.5" + nbsp + "kWh"},
	}
	for _, c := range cases {
		if c.got != c.want {
			t.Errorf("printed %q, not %q", c.got, c.want)
		}
	}
}
