package economics

import (
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"auditgen/internal/money"
	"auditgen/internal/quantity"
)

// Flow is the cash of each year, year 0 first: costs negative, savings positive.
type Flow []decimal.Decimal

// factorPlaces is how exactly a discount factor meets an amount: twelve decimals
// leave a millionth of a cent in a sum of ten thousands.
const factorPlaces = 12

// Discount is what each year's cash is worth at the base date.
func (f Flow) Discount(d quantity.Ratio) Flow {
	out := make(Flow, len(f))
	for t, a := range f {
		out[t] = a.Mul(decimal.NewFromFloat(float64(SPV(d, Years(t)))).Round(factorPlaces))
	}
	return out
}

// NPV is the net present value.
func (f Flow) NPV(d quantity.Ratio) decimal.Decimal { return money.Sum(f.Discount(d)...) }

// Cumulative is what stands at the end of each year, all cash so far added up.
func (f Flow) Cumulative() Flow {
	out, sum := make(Flow, len(f)), decimal.Zero
	for t, a := range f {
		sum = sum.Add(a)
		out[t] = sum
	}
	return out
}

// Payback is when the cash so far first ceases to be negative, within a year by
// straight line, and stays so to the end. It is false when that never happens.
// Put on a discounted flow it is the discounted payback.
func (f Flow) Payback() (Years, bool) {
	sums := f.Cumulative()
	at := len(sums)
	for at > 0 && !sums[at-1].IsNegative() {
		at--
	}
	switch at {
	case len(sums):
		return 0, false
	case 0:
		return 0, true
	}
	before, gain := sums[at-1].Neg().InexactFloat64(), f[at].InexactFloat64()
	return Years(float64(at-1) + before/gain), true
}

// signChanges counts how often the cash changes its sign; years without cash do
// not count.
func (f Flow) signChanges() int {
	n, last := 0, 0
	for _, a := range f {
		if s := a.Sign(); s != 0 {
			if last != 0 && s != last {
				n++
			}
			last = s
		}
	}
	return n
}

// The internal rates of return that are looked for: from a loss of nearly all to
// a hundredfold gain a year.
const (
	lowestReturn  = -0.99
	highestReturn = 100.0
)

// Returns gives every internal rate of return, lowest first: the rates at which
// the net present value is nothing. There may be none, and where the cash
// changes its sign more than once there may be several, of which none is the
// return; the adjusted one stands in then.
func (f Flow) Returns() []quantity.Ratio {
	c := make([]float64, len(f))
	for t, a := range f {
		c[t] = a.InexactFloat64()
	}
	var out []quantity.Ratio
	for _, x := range roots(c, 1/(1+highestReturn), 1/(1+lowestReturn)) {
		out = append(out, quantity.Ratio(1/x-1))
	}
	slices.Reverse(out)
	return out
}

// Return is the internal rate of return where there is one and no other: the
// cash changes its sign once.
func (f Flow) Return() (quantity.Ratio, bool) {
	if f.signChanges() != 1 {
		return 0, false
	}
	r := f.Returns()
	if len(r) != 1 {
		return 0, false
	}
	return r[0], true
}

// roots gives the places between lo and hi where a polynomial, its constant
// first, changes its sign or touches nothing, in order. Between two neighbouring
// turns of its derivative a polynomial has at most one.
func roots(c []float64, lo, hi float64) []float64 {
	for len(c) > 0 && c[len(c)-1] == 0 {
		c = c[:len(c)-1]
	}
	if len(c) < 2 {
		return nil
	}
	slope := make([]float64, len(c)-1)
	for i := range slope {
		slope[i] = float64(i+1) * c[i+1]
	}
	ends := append(append([]float64{lo}, roots(slope, lo, hi)...), hi)
	var found []float64
	for i := 1; i < len(ends); i++ {
		a, b := ends[i-1], ends[i]
		fa, fb := horner(c, a), horner(c, b)
		switch {
		case i > 1 && touches(c, a):
			found = append(found, a)
		case fa*fb < 0 && !touches(c, b):
			found = append(found, bisect(c, a, b))
		}
	}
	if touches(c, hi) {
		found = append(found, hi)
	}
	return slices.Compact(found)
}

// touches reports whether a polynomial is nothing at x but for rounding.
func touches(c []float64, x float64) bool {
	size, p := 0.0, 1.0
	for _, v := range c {
		size += math.Abs(v) * p
		p *= x
	}
	return math.Abs(horner(c, x)) <= 1e-14*size
}

func horner(c []float64, x float64) float64 {
	v := 0.0
	for _, k := range slices.Backward(c) {
		v = v*x + k
	}
	return v
}

func bisect(c []float64, a, b float64) float64 {
	fa := horner(c, a)
	for range 200 {
		m := a + (b-a)/2
		if m <= a || m >= b {
			break
		}
		if fm := horner(c, m); (fm < 0) == (fa < 0) {
			a = m
		} else {
			b = m
		}
	}
	return a + (b-a)/2
}
