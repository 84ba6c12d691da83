package report

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// expr is a node of a formula: a number, a symbol, an operation or a function.
type expr struct {
	op   string // "number", "symbol", "call", "group", "neg" or one of = + - * / ^
	text string // digits, symbol or function
	kids []*expr
}

// equation is a formula's text, parsed: its left side, and the right side or
// nil where there is no equals sign.
type equation struct{ left, right *expr }

// longestFormula is the longest text, in bytes, that is taken for a formula.
const longestFormula = 1000

// deepest bounds how far parentheses may nest.
const deepest = 60

// parseFormula reads the notation of working.Formula.Text: identifiers with
// _subscript, numbers, + - * / ^, parentheses, and functions whose arguments
// are parted by ";" or ",".
func parseFormula(text string) (equation, error) {
	if len(text) > longestFormula {
		return equation{}, fmt.Errorf("formula: %d characters are more than %d", len(text), longestFormula)
	}
	p := &formulaParser{rest: text}
	left := p.sum(0)
	eq := equation{left: left}
	if p.accept("=") {
		eq.right = p.sum(0)
	}
	if p.space(); p.err == nil && p.rest != "" {
		p.fail("%q is left over", p.rest)
	}
	return eq, p.err
}

type formulaParser struct {
	rest string
	err  error
}

func (p *formulaParser) fail(format string, args ...any) *expr {
	if p.err == nil {
		p.err = fmt.Errorf("formula: "+format, args...)
	}
	p.rest = ""
	return &expr{op: "symbol"}
}

func (p *formulaParser) space() { p.rest = strings.TrimLeft(p.rest, " \t") }

func (p *formulaParser) accept(token string) bool {
	p.space()
	rest, ok := strings.CutPrefix(p.rest, token)
	if ok {
		p.rest = rest
	}
	return ok
}

func (p *formulaParser) oneOf(tokens ...string) string {
	for _, t := range tokens {
		if p.accept(t) {
			return t
		}
	}
	return ""
}

func (p *formulaParser) sum(depth int) *expr {
	if depth > deepest {
		return p.fail("nested too deep")
	}
	e := p.product(depth)
	for op := p.oneOf("+", "-", minus); op != ""; op = p.oneOf("+", "-", minus) {
		if op == minus {
			op = "-"
		}
		e = &expr{op: op, kids: []*expr{e, p.product(depth)}}
	}
	return e
}

func (p *formulaParser) product(depth int) *expr {
	e := p.signed(depth)
	for op := p.oneOf("*", "/", "·", "×"); op != ""; op = p.oneOf("*", "/", "·", "×") {
		if op != "/" {
			op = "*"
		}
		e = &expr{op: op, kids: []*expr{e, p.signed(depth)}}
	}
	return e
}

func (p *formulaParser) signed(depth int) *expr {
	if depth > deepest {
		return p.fail("nested too deep")
	}
	if p.oneOf("-", minus) != "" {
		return &expr{op: "neg", kids: []*expr{p.signed(depth + 1)}}
	}
	e := p.atom(depth)
	if p.accept("^") {
		return &expr{op: "^", kids: []*expr{e, p.signed(depth + 1)}}
	}
	return e
}

func (p *formulaParser) atom(depth int) *expr {
	if p.accept("(") {
		inner := p.sum(depth + 1)
		if !p.accept(")") {
			return p.fail("a parenthesis is not closed")
		}
		return &expr{op: "group", kids: []*expr{inner}}
	}
	p.space()
	if n := leading(p.rest, func(r rune) bool { return unicode.IsDigit(r) || r == '.' }); n != "" {
		p.rest = p.rest[len(n):]
		return &expr{op: "number", text: n}
	}
	name := leading(p.rest, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || r == '_' })
	if name == "" {
		return p.fail("%q cannot begin a term", p.rest)
	}
	p.rest = p.rest[len(name):]
	if !p.accept("(") {
		return &expr{op: "symbol", text: name}
	}
	call := &expr{op: "call", text: name}
	for {
		call.kids = append(call.kids, p.sum(depth+1))
		if p.oneOf(";", ",") == "" {
			break
		}
	}
	if !p.accept(")") {
		return p.fail("a parenthesis is not closed")
	}
	return call
}

func leading(s string, in func(rune) bool) string {
	for i := 0; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		if !in(r) {
			return s[:i]
		}
		i += size
	}
	return s
}

// holds reports whether a symbol stands in the expression.
func (e *expr) holds(symbol string) bool {
	if e.op == "symbol" && e.text == symbol {
		return true
	}
	for _, k := range e.kids {
		if k.holds(symbol) {
			return true
		}
	}
	return false
}

// relocate gives the numbers of an equation the point of a language.
func (q equation) relocate(point string) {
	for _, e := range []*expr{q.left, q.right} {
		e.relocate(point)
	}
}

func (e *expr) relocate(point string) {
	if e == nil {
		return
	}
	if e.op == "number" {
		e.text = strings.Replace(e.text, ".", point, 1)
	}
	for _, k := range e.kids {
		k.relocate(point)
	}
}

// symbols lists the symbols of the expression, each once, in order.
func (e *expr) symbols(known []string) []string {
	if e.op == "symbol" && !slices.Contains(known, e.text) {
		known = append(known, e.text)
	}
	for _, k := range e.kids {
		known = k.symbols(known)
	}
	return known
}
