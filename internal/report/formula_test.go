package report

import (
	"strings"
	"testing"

	"auditgen/internal/working"
)

// plainMath writes MathML as text, for tests.
func plainMath(m *Math) string {
	if m.Kids == nil {
		return m.Text
	}
	parts := make([]string, len(m.Kids))
	for i, k := range m.Kids {
		parts[i] = plainMath(k)
	}
	switch m.Kind {
	case "mfrac":
		return "{" + parts[0] + "/" + parts[1] + "}"
	case "msqrt":
		return "√{" + strings.Join(parts, "") + "}"
	case "msub":
		return parts[0] + "_" + parts[1]
	case "msup":
		return parts[0] + "^" + parts[1]
	}
	return strings.Join(parts, "")
}

func TestFormula(t *testing.T) {
	cases := []struct{ text, want string }{
		{"S = U * I", "S=U×I"},
		{"Q = sqrt(S^2 - P^2)", "Q=√{S^2−P^2}"},
		{"Q = -P * tan(acos(pf))", "Q=−P×tan\u2061(arccos\u2061(pf))"},
		{"pf = (W_1 + W_2) / (2 * sqrt(W_1^2))", "pf={W_1+W_2/2×√{W_1^2}}"},
		{"tan_phi = 3", "tan\u2061φ=3"},
		{"X = min(max(Q - a; 0); b - a)", "X=min\u2061(max\u2061(Q−a;0);b−a)"},
		{"q = round(m * u, r)", "q=round\u2061(m×u;r)"},
		{"E = sum(E_k)", "E=∑E_k"},
		{"U = mean(U_k)", "U=mean\u2061(U_k)"},
		{"LF = E / (P_max * h)", "LF={E/P_max×h}"},
		{"a - (b - c)", "a−(b−c)"},
		{"x^-2", "x^−2"},
	}
	for _, c := range cases {
		eq, err := parseFormula(c.text)
		if err != nil {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		got := plainMath(layout(eq.left, nil))
		if eq.right != nil {
			got += "=" + plainMath(layout(eq.right, nil))
		}
		if got != c.want {
			t.Errorf("%s is set as %s, not %s", c.text, got, c.want)
		}
	}
}

func TestFormulaWithNumbers(t *testing.T) {
	values := func(texts ...string) (ms []*Math) {
		for _, x := range texts {
			ms = append(ms, quantityMath(x, ""))
		}
		return ms
	}
	cases := []struct {
		text string
		s    substitutes
		want string
	}{
		{"P = sum(V^2) / 3", substitutes{"V": values("1", "2", "3")}, "{(1^2+2^2+3^2)/3}"},
		{"P = sum(x)", substitutes{"x": values("1")}, "1"},
		{"P = max(x)", substitutes{"x": values("1", minus+"2")}, "max\u2061(1;(−2))"},
		{"P = sum(x)", substitutes{"x": values("1", "2", "3", "4", "5", "6", "7", "8", "9", "10")}, "(1+2+…+10)"},
		{"E = sum(E_k * t_k)", substitutes{"E_k": values("1", "3"), "t_k": values("2", "4")}, "(1×2+3×4)"},
		{"P = a - b", substitutes{"a": values("1"), "b": values(minus + "2")}, "1−(−2)"},
		{"P = a^2", substitutes{"a": {quantityMath("2", "kW")}}, "(2\u00a0kW)^2"},
	}
	for _, c := range cases {
		eq, err := parseFormula(c.text)
		if err != nil {
			t.Fatal(err)
		}
		if got := plainMath(layout(eq.right, c.s)); got != c.want {
			t.Errorf("%s is set as %s, not %s", c.text, got, c.want)
		}
	}
}

func TestFormulaFaults(t *testing.T) {
	for _, text := range []string{"", "a +", "a = (b", "f(a", "a b", "a = b = c", "*a", strings.Repeat("(", 500), strings.Repeat("-", 5000) + "a", "a^" + strings.Repeat("b^", 500) + "c"} {
		if _, err := parseFormula(text); err == nil {
			t.Errorf("%.20q is taken as a formula", text)
		}
	}
}

// TestEveryFormula parses each formula that the program binds, and finds its
// symbols in it: one that is not there would stay without a number.
func TestEveryFormula(t *testing.T) {
	if len(working.Formulas()) < 30 {
		t.Fatalf("only %d formulas are bound", len(working.Formulas()))
	}
	for _, f := range working.Formulas() {
		eq, err := parseFormula(f.Text)
		if err != nil {
			t.Errorf("%s: %v", f.Text, err)
			continue
		}
		if eq.right == nil {
			t.Errorf("%s: no right side", f.Text)
			continue
		}
		for _, s := range f.Symbols {
			if f.Series && len(eq.right.symbols(nil)) > 1 {
				continue // the members stand for the text's symbols by turns
			}
			if s != "" && !eq.right.holds(s) {
				t.Errorf("%s: the symbol %s is not in it", f.Text, s)
			}
		}
	}
}

func FuzzFormula(f *testing.F) {
	for _, seed := range []string{"S = U * I", "q = round(m * u; r)", "((", "a_b_c", "φ = x^2^3", "−1", "."} {
		f.Add(seed)
	}
	for _, known := range working.Formulas() {
		f.Add(known.Text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		eq, err := parseFormula(text)
		if err != nil {
			return
		}
		layout(eq.left, nil)
		if eq.right != nil {
			layout(eq.right, substitutes{"x": {leaf("mn", "1"), leaf("mn", "2")}})
		}
	})
}
