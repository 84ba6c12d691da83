// Package power holds the formulas of electrical measurement: pure functions on
// quantities, each bound to its text and source so that a figure can show how it
// came to be.
//
// Conventions are those of package quantity: rms values, active power taken from
// the supply positive, lagging reactive power positive, ratios as fractions of
// one, angles in degrees with a lagging current positive. The trigonometric
// functions in a formula's text take and give degrees. In a series whose symbol
// ends in _h the letter h is the harmonic order: the series begins at order 1
// and has a place for each order.
//
// A function that some input makes meaningless gives a second result, false for
// such input. The formula bound to it then gives NaN: ask the function, or
// Possible of the formula's Call, before recording a step.
//
// Clause numbers in the sources are from memory where they say so: the
// standards' own text was not at hand.
package power

import "math"

// Possible reports whether a formula gave a number at all.
func Possible[Q ~float64](q Q) bool {
	return !math.IsNaN(float64(q)) && !math.IsInf(float64(q), 0)
}

// The helpers below make a checked function one that gives NaN instead of false.

func or1[R, A ~float64](fn func(A) (R, bool)) func(A) R {
	return func(a A) R { return orNaN(fn(a)) }
}

func or2[R, A, B ~float64](fn func(A, B) (R, bool)) func(A, B) R {
	return func(a A, b B) R { return orNaN(fn(a, b)) }
}

func or3[R, A, B, C ~float64](fn func(A, B, C) (R, bool)) func(A, B, C) R {
	return func(a A, b B, c C) R { return orNaN(fn(a, b, c)) }
}

func or4[R, A, B, C, D ~float64](fn func(A, B, C, D) (R, bool)) func(A, B, C, D) R {
	return func(a A, b B, c C, d D) R { return orNaN(fn(a, b, c, d)) }
}

func orN[R, A ~float64](fn func([]A) (R, bool)) func([]A) R {
	return func(a []A) R { return orNaN(fn(a)) }
}

func orNaN[R ~float64](r R, ok bool) R {
	if !ok {
		return R(math.NaN())
	}
	return r
}

// root gives the square root of x, and false for a negative x.
func root[R ~float64](x float64) (R, bool) {
	if !(x >= 0) {
		return 0, false
	}
	return R(math.Sqrt(x)), true
}

func square[Q ~float64](q Q) float64 { return float64(q) * float64(q) }

func sum[Q ~float64](series []Q) Q {
	var s Q
	for _, q := range series {
		s += q
	}
	return s
}

func sumSquares[Q ~float64](series []Q) float64 {
	var s float64
	for _, q := range series {
		s += square(q)
	}
	return s
}

func mean[Q ~float64](series []Q) Q { return sum(series) / Q(len(series)) }

const radian = math.Pi / 180

func cosine[Q ~float64](degrees Q) float64 { return math.Cos(float64(degrees) * radian) }
func sine[Q ~float64](degrees Q) float64   { return math.Sin(float64(degrees) * radian) }
func tangent[Q ~float64](degrees Q) float64 {
	return math.Tan(float64(degrees) * radian)
}
