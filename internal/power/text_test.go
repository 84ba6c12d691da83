package power

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// readText works out a formula's text. Values are series; a plain number is a
// series of one, which fits to any other. Angles are in degrees; h is the
// running number of a series.
func readText(text string, values map[string][]float64) (result float64, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%v", r)
		}
	}()
	r := &textReader{text: text, values: values}
	v := r.sum()
	if r.skip(); r.at < len(r.text) || len(v) != 1 {
		panic("left over: " + r.text[r.at:])
	}
	return v[0], nil
}

type textReader struct {
	text   string
	at     int
	values map[string][]float64
}

func (r *textReader) skip() {
	for r.at < len(r.text) && r.text[r.at] == ' ' {
		r.at++
	}
}

func (r *textReader) take(set string) byte {
	r.skip()
	if r.at < len(r.text) && strings.IndexByte(set, r.text[r.at]) >= 0 {
		r.at++
		return r.text[r.at-1]
	}
	return 0
}

func (r *textReader) word(more string) string {
	r.skip()
	start := r.at
	for r.at < len(r.text) && (isLetter(r.text[r.at]) || strings.IndexByte(more, r.text[r.at]) >= 0) {
		r.at++
	}
	return r.text[start:r.at]
}

func isLetter(b byte) bool { return b >= 'a' && b <= 'z' || b >= 'A' && b <= 'Z' }

func (r *textReader) sum() []float64 {
	v := r.product()
	for {
		switch r.take("+-") {
		case '+':
			v = pairs(v, r.product(), func(a, b float64) float64 { return a + b })
		case '-':
			v = pairs(v, r.product(), func(a, b float64) float64 { return a - b })
		default:
			return v
		}
	}
}

func (r *textReader) product() []float64 {
	v := r.signed()
	for {
		switch r.take("*/") {
		case '*':
			v = pairs(v, r.signed(), func(a, b float64) float64 { return a * b })
		case '/':
			v = pairs(v, r.signed(), func(a, b float64) float64 { return a / b })
		default:
			return v
		}
	}
}

func (r *textReader) signed() []float64 {
	if r.take("-") != 0 {
		return pairs([]float64{-1}, r.signed(), func(a, b float64) float64 { return a * b })
	}
	v := r.atom()
	if r.take("^") != 0 {
		v = pairs(v, r.atom(), math.Pow)
	}
	return v
}

func (r *textReader) atom() []float64 {
	if r.take("(") != 0 {
		v := r.sum()
		r.close()
		return v
	}
	r.skip()
	if digits := r.word(""); digits == "" {
		start := r.at
		for r.at < len(r.text) && strings.IndexByte("0123456789.", r.text[r.at]) >= 0 {
			r.at++
		}
		n, err := strconv.ParseFloat(r.text[start:r.at], 64)
		if err != nil {
			panic(err)
		}
		return []float64{n}
	} else {
		r.at -= len(digits)
	}
	name := r.word("_0123456789")
	if r.take("(") != 0 {
		arg := r.sum()
		r.close()
		return call(name, arg)
	}
	return r.named(name)
}

func (r *textReader) named(name string) []float64 {
	if v, ok := r.values[name]; ok {
		return v
	}
	if name == "pi" {
		return []float64{math.Pi}
	}
	if name == "h" {
		for _, v := range r.values {
			orders := make([]float64, len(v))
			for i := range orders {
				orders[i] = float64(i + 1)
			}
			return orders
		}
	}
	panic("unknown name " + name)
}

func (r *textReader) close() {
	if r.take(")") == 0 {
		panic("a bracket is not closed")
	}
}

func pairs(a, b []float64, f func(a, b float64) float64) []float64 {
	n := max(len(a), len(b))
	at := func(v []float64, i int) float64 {
		if len(v) == 1 {
			return v[0]
		}
		return v[i]
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = f(at(a, i), at(b, i))
	}
	return out
}

func call(name string, arg []float64) []float64 {
	var total, most float64
	for _, x := range arg {
		total += x
		most = max(most, x)
	}
	each := func(f func(float64) float64) []float64 {
		out := make([]float64, len(arg))
		for i, x := range arg {
			out[i] = f(x)
		}
		return out
	}
	switch name {
	case "sum":
		return []float64{total}
	case "mean":
		return []float64{total / float64(len(arg))}
	case "max":
		return []float64{most}
	case "sqrt":
		return each(math.Sqrt)
	case "abs":
		return each(math.Abs)
	case "cos":
		return each(func(x float64) float64 { return math.Cos(x * radian) })
	case "sin":
		return each(func(x float64) float64 { return math.Sin(x * radian) })
	case "tan":
		return each(func(x float64) float64 { return math.Tan(x * radian) })
	case "acos":
		return each(func(x float64) float64 { return math.Acos(x) / radian })
	}
	panic("unknown function " + name)
}
