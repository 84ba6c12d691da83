package diag_test

import (
	"errors"
	"strings"
	"testing"

	"auditgen/internal/diag"
)

func at(file string, line, column int) diag.Pos {
	return diag.Pos{File: file, Line: line, Column: column}
}

func TestListIsSortedAndTellsEachFaultOnce(t *testing.T) {
	var l diag.List
	if l.Err() != nil || l.Len() != 0 {
		t.Fatal("an empty list has faults")
	}
	l.At(at("b", 1, 1), "fifth", "")
	l.At(at("a", 10, 2), "fourth", "")
	l.At(at("a", 9, 3), "second", "")
	l.At(at("a", 9, 3), "third", "")
	l.At(at("a", 9, 3), "second", "")
	l.Add(diag.Fault{Pos: at("a", 2, 30), What: "first", Expected: "one", Nearest: "two"})
	const want = `a:2:30: first; expected one; did you mean "two"?
a:9:3: second
a:9:3: third
a:10:2: fourth
b:1:1: fifth`
	var b strings.Builder
	l.Write(&b)
	if b.String() != want+"\n" {
		t.Errorf("Write:\n%s", b.String())
	}
	var faults diag.Faults
	if err := l.Err(); !errors.As(err, &faults) || len(faults) != 5 || err.Error() != want {
		t.Errorf("Err:\n%v", err)
	}
	if l.Len() != 6 {
		t.Errorf("Len is %d", l.Len())
	}
}

func TestAFaultIsOneLine(t *testing.T) {
	f := diag.Fault{Pos: at("f", 1, 2), What: "a\nb\tc\u0085d"}
	if got := f.String(); got != "f:1:2: a b c d" {
		t.Errorf("%q", got)
	}
}

func TestPos(t *testing.T) {
	if p := (diag.Pos{}); p.IsSet() || p.String() != "" {
		t.Errorf("the zero Pos is %q", p)
	}
	if p := at("f", 3, 7); !p.IsSet() || p.String() != "f:3:7" {
		t.Errorf("got %q", p)
	}
	if p := (diag.Pos{File: "f"}); p.IsSet() || p.String() != "f" {
		t.Errorf("got %q", p)
	}
}

func TestProblem(t *testing.T) {
	p := &diag.Problem{What: "x is off", Expected: "y", Nearest: "z"}
	if got := p.Error(); got != `x is off; expected y; did you mean "z"?` {
		t.Error(got)
	}
	if got := p.At(at("f", 1, 2)).String(); got != `f:1:2: x is off; expected y; did you mean "z"?` {
		t.Error(got)
	}
}

func TestNearest(t *testing.T) {
	keys := []string{"voltage", "current", "power", "reactive", "apparent", "pf", "angle"}
	tests := []struct {
		word    string
		options []string
		want    string
	}{
		{"curent", keys, "current"},
		{"Current", keys, "current"},
		{"volts", keys, "voltage"},
		{"amps", keys, ""},
		{"app", keys, "apparent"},
		{"kwh", []string{"Wh", "kWh", "MWh"}, "kWh"},
		{"kVAr", []string{"var", "kvar", "Mvar"}, "kvar"},
		{"L4", []string{"A", "B", "C", "L1", "L2", "L3"}, "L1"},
		{"x", []string{"A", "B"}, ""},
		{"", keys, ""},
		{"R7", nil, ""},
		{"calendar-a", []string{"cal-1", "cal-2"}, ""},
		{"prductoin", []string{"production", "office"}, "production"},
	}
	for _, tt := range tests {
		if got := diag.Nearest(tt.word, tt.options); got != tt.want {
			t.Errorf("Nearest(%q, %q) = %q, want %q", tt.word, tt.options, got, tt.want)
		}
	}
}

func TestChoices(t *testing.T) {
	tests := []struct {
		options    []string
		choice, or string
	}{
		{nil, "nothing here", ""},
		{[]string{"a"}, "a", "a"},
		{[]string{"a", "b"}, "a or b", "a or b"},
		{[]string{"a", "b", "c"}, "one of a, b, c", "a, b or c"},
	}
	for _, tt := range tests {
		if got := diag.Choice(tt.options); got != tt.choice {
			t.Errorf("Choice(%q) = %q", tt.options, got)
		}
		if got := diag.Or(tt.options); got != tt.or {
			t.Errorf("Or(%q) = %q", tt.options, got)
		}
	}
	if got := diag.OneOf("instrument", "clamp-2", []string{"clamp-1"}).Error(); got != `unknown instrument "clamp-2"; expected clamp-1` {
		t.Error(got)
	}
	if got := diag.OneOf("phase", "D", []string{"A", "B", "C"}).Error(); got != `unknown phase "D"; expected one of A, B, C` {
		t.Error(got)
	}
}
