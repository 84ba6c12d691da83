package profile

import (
	"math"
	"testing"
)

// TestTables: exponentials and logarithms from tables are as near as is stated.
func TestTables(t *testing.T) {
	const n = 1_000_000
	for i := range n + 1 {
		x := -expSpan * float64(i) / n
		if got, want := expBelow(x), math.Exp(x); math.Abs(got-want) > 2e-10*want {
			t.Fatalf("exp(%v) is %v, want %v", x, got, want)
		}
		for _, x := range []float64{1 + float64(i)/n, math.Exp(30 * float64(i) / n)} {
			if got, want := logAbove(x), math.Log(x); math.Abs(got-want) > 1e-10 {
				t.Fatalf("log(%v) is %v, want %v", x, got, want)
			}
		}
	}
}
