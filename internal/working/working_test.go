package working_test

import (
	"math"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/working"
)

type (
	volts   float64
	amperes float64
	watts   float64
)

var (
	double = working.Def1("double", "y = 2 * x", "test", "x", func(x watts) watts { return 2 * x })
	times  = working.Def2("product", "S = U * I", "test", "U", "I", func(u volts, i amperes) watts { return watts(float64(u) * float64(i)) })
	three  = working.Def3("three", "x + y + z", "test", "x", "y", "z", func(x, y, z watts) watts { return x + 10*y + 100*z })
	four   = working.Def4("four", "x + y + z + w", "test", "x", "y", "z", "w", func(x, y, z, w watts) watts { return x + 10*y + 100*z + 1000*w })
	sum    = working.DefN("sum", "sum of x", "test", "x", func(xs []watts) watts {
		total := watts(0)
		for _, x := range xs {
			total += x
		}
		return total
	})
	price = working.DefExact("amount", "q * p", "test", []string{"q", "p"}, func(x []decimal.Decimal) decimal.Decimal { return x[0].Mul(x[1]) })
)

func read[Q ~float64](s *working.Sheet, id string, v Q) working.Num[Q] {
	return working.Record(s, working.Step{ID: id, Kind: working.Measured, Unit: "W", Typed: "as typed", Pos: diag.Pos{File: "f", Line: 1, Column: 2}}, v)
}

func TestApplyRecordsOneStepThatCanBeReplayed(t *testing.T) {
	var s working.Sheet
	u, i := read(&s, "u", volts(230)), read(&s, "i", amperes(10))
	p := times.Apply(&s, "p", "power", "W", u, i)
	x := double.Apply(&s, "x", "doubled", "W", p)
	y := three.Apply(&s, "y", "of three", "W", p, x, p)
	z := four.Apply(&s, "z", "of four", "W", p, x, y, p)
	n := sum.Apply(&s, "n", "total", "W", []working.Num[watts]{p, x, y})
	for _, tt := range []struct {
		num   working.Num[watts]
		value float64
		from  string
	}{{p, 2300, "u i"}, {x, 4600, "p"}, {y, 278300, "p x p"}, {z, 30178300, "p x y p"}, {n, 285200, "p x y"}} {
		st, ok := s.Get(tt.num.Step)
		if !ok || float64(tt.num.V) != tt.value || st.Value != tt.value || st.Kind != working.Derived || strings.Join(st.From, " ") != tt.from || st.Formula == nil {
			t.Errorf("%+v: %+v", tt.num, st)
		}
	}
	if got := len(s.Steps()); got != 7 || s.Steps()[0].ID != "u" || s.Steps()[6].ID != "n" {
		t.Errorf("%d steps", got)
	}
	if err := s.Replay(); err != nil {
		t.Error(err)
	}
	if times.Call(2, 3) != 6 || double.Call(2) != 4 || three.Call(1, 2, 3) != 321 || four.Call(1, 2, 3, 4) != 4321 || sum.Call([]watts{1, 2}) != 3 {
		t.Error("Call works out something else")
	}
	if st, _ := s.Get("u"); st.Typed != "as typed" || st.Pos.Line != 1 || st.Kind != working.Measured {
		t.Errorf("%+v", st)
	}
	if _, ok := s.Get("nothing"); ok {
		t.Error("a step was found that is not there")
	}
}

func TestExactFormulas(t *testing.T) {
	var s working.Sheet
	s.PutExact(working.Step{ID: "q", Kind: working.Stated, Unit: "kWh"}, decimal.RequireFromString("12345.678"))
	s.PutExact(working.Step{ID: "p", Kind: working.Stated, Unit: "EUR/kWh"}, decimal.RequireFromString("0.1523"))
	got := s.ApplyExact(price, "a", "amount", "EUR", "q", "p")
	if want := decimal.RequireFromString("1880.2467594"); !got.Equal(want) {
		t.Errorf("%s, want %s", got, want)
	}
	st, _ := s.Get("a")
	if st.Exact == nil || !st.Exact.Equal(got) || math.Abs(st.Value-1880.2467594) > 1e-9 || st.Kind != working.Derived {
		t.Errorf("%+v", st)
	}
	if err := s.Replay(); err != nil {
		t.Error(err)
	}
	if !math.IsNaN(price.Eval(1, 2)) {
		t.Error("an exact formula was worked out in floating point")
	}
}

func TestReplayCatches(t *testing.T) {
	tests := []struct {
		name string
		make func(s *working.Sheet)
		want string
	}{
		{"a wrong value", func(s *working.Sheet) {
			s.Put(working.Step{ID: "p", Kind: working.Derived, Value: 2301, Formula: times.Formula, From: []string{"u", "i"}})
		}, "step p: recorded 2301, replayed 2300"},
		{"a value off by a billionth", func(s *working.Sheet) {
			s.Put(working.Step{ID: "p", Kind: working.Derived, Value: 2300 * (1 + 1e-9), Formula: times.Formula, From: []string{"u", "i"}})
		}, "step p: recorded 2300.0000023, replayed 2300"},
		{"not a number", func(s *working.Sheet) {
			s.Put(working.Step{ID: "p", Kind: working.Derived, Value: math.NaN(), Formula: times.Formula, From: []string{"u", "i"}})
		}, "step p: recorded NaN, replayed 2300"},
		{"a citation of nothing", func(s *working.Sheet) {
			s.Put(working.Step{ID: "p", Kind: working.Derived, Value: 2300, Formula: times.Formula, From: []string{"u", "j"}})
		}, "step p cites j, which is not there"},
		{"a model that rests on nothing", func(s *working.Sheet) {
			s.Put(working.Step{ID: "m", Kind: working.Modelled, Value: 5, From: []string{"u", "gone"}})
		}, "step m cites gone, which is not there"},
		{"no formula", func(s *working.Sheet) {
			s.Put(working.Step{ID: "p", Kind: working.Derived, Value: 2300, From: []string{"u", "i"}})
		}, "step p is derived but has no formula"},
		{"an id used twice", func(s *working.Sheet) {
			s.Put(working.Step{ID: "u", Kind: working.Stated, Value: 231})
		}, "step recorded twice: u"},
		{"a wrong exact amount", func(s *working.Sheet) {
			d := decimal.RequireFromString("2300.01")
			s.Put(working.Step{ID: "a", Kind: working.Derived, Exact: &d, Value: 2300.01, Formula: price, From: []string{"u", "i"}})
		}, "step a: recorded 2300.01, replayed 2300"},
		{"an exact formula without an exact amount", func(s *working.Sheet) {
			s.Put(working.Step{ID: "a", Kind: working.Derived, Value: 2300, Formula: price, From: []string{"u", "i"}})
		}, "step a: recorded <nil>, replayed 2300"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var s working.Sheet
			read(&s, "u", volts(230))
			read(&s, "i", amperes(10))
			if err := s.Replay(); err != nil {
				t.Fatal(err)
			}
			tt.make(&s)
			if err := s.Replay(); err == nil || err.Error() != tt.want {
				t.Errorf("got %v\nwant %s", err, tt.want)
			}
		})
	}
}

func TestNotes(t *testing.T) {
	var s working.Sheet
	read(&s, "u", volts(230))
	s.Note("u", "below the smallest valid current")
	s.Note("nothing", "is lost")
	if st, _ := s.Get("u"); st.Note != "below the smallest valid current" {
		t.Errorf("%+v", st)
	}
}

func TestFormulasAreListed(t *testing.T) {
	names := map[string]bool{}
	for _, f := range working.Formulas() {
		names[f.Name] = true
	}
	for _, n := range []string{"double", "product", "three", "four", "sum", "amount"} {
		if !names[n] {
			t.Errorf("%s is not listed", n)
		}
	}
	if got := times.Eval(230, 10); got != 2300 {
		t.Error(got)
	}
	if times.Formula.Series || !sum.Formula.Series || len(four.Formula.Symbols) != 4 {
		t.Error("symbols or series are off")
	}
}

// TestUnknownStaysUnknown holds that a formula without a number leaves no step,
// and neither does what would rest on it.
func TestUnknownStaysUnknown(t *testing.T) {
	root := working.Def1("root", "y = sqrt(x)", "test", "x", func(x watts) watts { return watts(math.Sqrt(float64(x))) })
	var s working.Sheet
	y := root.Apply(&s, "y", "root of a negative", "W", read(&s, "x", watts(-1)))
	z := double.Apply(&s, "z", "twice that", "W", y)
	n := sum.Apply(&s, "n", "sum with it", "W", []working.Num[watts]{read(&s, "a", watts(1)), z})
	if y.Step != "" || z.Step != "" || n.Step != "" || len(s.Steps()) != 2 {
		t.Errorf("%q %q %q in %d steps", y.Step, z.Step, n.Step, len(s.Steps()))
	}
	if err := s.Replay(); err != nil {
		t.Error(err)
	}
}

func TestOwner(t *testing.T) {
	var s working.Sheet
	if got := s.Owner("bills.2031-01.vat"); got != "" {
		t.Errorf("without owners: %q", got)
	}
	s.Own("bills.2031-01.", "January 2031")
	s.Own("measures.fans.", "Slower fans")
	s.Own("measures.fans.2.", "Their second change")
	for id, want := range map[string]string{
		"bills.2031-01.vat.amount": "January 2031",
		"bills.2031-01.total":      "January 2031",
		"bills.2031-10.total":      "",
		"measures.fans.npv":        "Slower fans",
		"measures.fans.2.left":     "Their second change",
		"measures.fans":            "",
		"year":                     "",
	} {
		if got := s.Owner(id); got != want {
			t.Errorf("%s: %q, want %q", id, got, want)
		}
	}
}
