package report

import "strings"

// Math is a node of MathML Core. Templates write it, so every text is escaped.
type Math struct {
	Kind string // mi, mn, mo, mtext, mrow, mfrac, msqrt, msub or msup
	Text string // of mi, mn, mo and mtext
	Kids []*Math
}

func leaf(kind, text string) *Math       { return &Math{Kind: kind, Text: text} }
func tree(kind string, k ...*Math) *Math { return &Math{Kind: kind, Kids: k} }

// substitutes are what takes the place of symbols: one value, or the members
// of a series.
type substitutes map[string][]*Math

// longest is how many members of a series are written out.
const longest = 4

// layout turns an expression into MathML.
func layout(e *expr, s substitutes) *Math {
	switch e.op {
	case "number":
		return leaf("mn", e.text)
	case "symbol":
		return layoutSymbol(e.text, s)
	case "group":
		return fenced(layout(e.kids[0], s))
	case "neg":
		return tree("mrow", leaf("mo", minus), layout(e.kids[0], s))
	case "/":
		return tree("mfrac", layout(open(e.kids[0]), s), layout(open(e.kids[1]), s))
	case "^":
		base := layout(e.kids[0], s)
		if base.Kind == "mrow" && e.kids[0].op != "group" {
			base = fenced(base)
		}
		return tree("msup", base, layout(open(e.kids[1]), s))
	case "call":
		return layoutCall(e, s)
	}
	return tree("mrow", layout(e.kids[0], s), leaf("mo", signs[e.op]), layout(e.kids[1], s))
}

var signs = map[string]string{"+": "+", "-": minus, "*": "×"}

// open takes parentheses off that a fraction bar or a root makes idle.
func open(e *expr) *expr {
	if e.op == "group" {
		return e.kids[0]
	}
	return e
}

func fenced(m *Math) *Math { return tree("mrow", leaf("mo", "("), m, leaf("mo", ")")) }

func layoutSymbol(name string, s substitutes) *Math {
	switch values := s[name]; len(values) {
	case 0:
		return symbol(name)
	case 1:
		return values[0]
	}
	return leaf("mtext", "…")
}

// symbol writes a name with its subscript: P_max, phi, tan_phi.
func symbol(name string) *Math {
	base, sub, found := strings.Cut(name, "_")
	if !found || base == "" || sub == "" {
		return leaf("mi", greek(name))
	}
	if functions[base] != "" {
		return tree("mrow", leaf("mi", base), leaf("mo", "\u2061"), symbol(sub))
	}
	return tree("msub", leaf("mi", greek(base)), leaf("mi", greek(strings.ReplaceAll(sub, "_", ","))))
}

// Symbol is a symbol set without MathML, for lists and heads of tables.
type Symbol struct{ Base, Sub string }

func plainSymbol(name string) *Symbol {
	base, sub, _ := strings.Cut(name, "_")
	if base == "" || functions[base] != "" {
		return &Symbol{Base: strings.ReplaceAll(name, "_", " ")}
	}
	return &Symbol{greek(base), greek(strings.ReplaceAll(sub, "_", ","))}
}

var greekNames = strings.NewReplacer("alpha", "α", "beta", "β", "gamma", "γ", "delta", "δ", "epsilon", "ε", "eta", "η",
	"theta", "θ", "lambda", "λ", "mu", "μ", "rho", "ρ", "sigma", "σ", "tau", "τ", "phi", "φ", "psi", "ψ", "omega", "ω", "Delta", "Δ", "Sigma", "Σ")

var greekWords = func() map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields("alpha beta gamma delta epsilon eta theta lambda mu rho sigma tau phi psi omega Delta Sigma") {
		m[w] = true
	}
	return m
}()

func greek(name string) string {
	if greekWords[name] {
		return greekNames.Replace(name)
	}
	return name
}

// functions are the names that are set upright, with the word printed.
var functions = map[string]string{
	"sin": "sin", "cos": "cos", "tan": "tan", "acos": "arccos", "asin": "arcsin", "atan": "arctan",
	"min": "min", "max": "max", "round": "round", "mean": "mean", "ln": "ln", "log": "log", "exp": "exp",
}

func layoutCall(e *expr, s substitutes) *Math {
	switch e.text {
	case "sqrt":
		if len(e.kids) == 1 {
			return tree("msqrt", layout(e.kids[0], s))
		}
	case "abs":
		if len(e.kids) == 1 {
			return tree("mrow", leaf("mo", "|"), layout(e.kids[0], s), leaf("mo", "|"))
		}
	case "sum", "mean", "max", "min":
		if len(e.kids) == 1 {
			return layoutSeries(e, s)
		}
	}
	return call(e.text, layoutAll(e.kids, s))
}

func layoutAll(es []*expr, s substitutes) []*Math {
	out := make([]*Math, len(es))
	for i, e := range es {
		out[i] = layout(e, s)
	}
	return out
}

func call(name string, args []*Math) *Math {
	if printed := functions[name]; printed != "" {
		name = printed
	}
	return tree("mrow", leaf("mi", name), leaf("mo", "\u2061"), fenced(joined(args, ";")))
}

func joined(items []*Math, by string) *Math {
	m := &Math{Kind: "mrow"}
	for i, it := range items {
		if i > 0 {
			m.Kids = append(m.Kids, leaf("mo", by))
		}
		m.Kids = append(m.Kids, it)
	}
	return m
}

// layoutSeries writes a sum, mean, greatest or least of a series: with symbols
// as such, with numbers member by member.
func layoutSeries(e *expr, s substitutes) *Math {
	members := members(e.kids[0], s)
	switch {
	case len(members) == 0 && e.text == "sum":
		inner := layout(e.kids[0], s)
		if k := e.kids[0].op; k == "+" || k == "-" {
			inner = fenced(inner)
		}
		return tree("mrow", leaf("mo", "∑"), inner)
	case len(members) == 0:
		return call(e.text, []*Math{layout(e.kids[0], s)})
	case e.text == "sum" && len(members) == 1:
		return members[0]
	case e.text == "sum":
		return fenced(joined(members, "+"))
	}
	return call(e.text, members)
}

// members writes an expression once for each member of the series in it; what
// lies between the first ones and the last is left out. Two series of one
// expression, such as the factors of a sum of products, go in step. A symbol
// with one value is a series of one only where nothing longer stands beside it.
func members(e *expr, s substitutes) []*Math {
	n := 0
	for _, name := range e.symbols(nil) {
		n = max(n, len(s[name]))
	}
	var out []*Math
	for i := range n {
		if n > longest && i >= longest-2 && i < n-1 {
			if i == longest-2 {
				out = append(out, leaf("mtext", "…"))
			}
			continue
		}
		one := substitutes{}
		for _, name := range e.symbols(nil) {
			switch values := s[name]; {
			case len(values) == 1:
				one[name] = values
			case i < len(values):
				one[name] = values[i : i+1]
			}
		}
		out = append(out, layout(e, one))
	}
	return out
}

// quantityMath writes a value with its unit; a negative one stands in
// parentheses so that no two signs meet.
func quantityMath(number, unit string) *Math {
	m := leaf("mn", number)
	if strings.HasPrefix(number, minus) {
		m = fenced(tree("mrow", leaf("mo", minus), leaf("mn", strings.TrimPrefix(number, minus))))
	}
	if unit == "" {
		return m
	}
	return tree("mrow", m, leaf("mtext", nbsp+unit))
}
