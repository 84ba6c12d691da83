package effect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"auditgen/internal/quantity"
)

// random gives circuits of a board as they grow over the years.
func random(r *rand.Rand, phases, n int) ([]complex128, []Circuit) {
	fixed := make([]complex128, phases)
	for i := range fixed {
		fixed[i] = complex(2000*r.Float64(), 500*r.Float64())
	}
	cs := make([]Circuit, n)
	for i := range cs {
		cs[i] = Circuit{ID: fmt.Sprint(i), Phase: r.IntN(phases), P: quantity.Watts(100 + 2900*r.Float64()), Q: quantity.Vars(900 * r.Float64())}
	}
	return fixed, cs
}

func moved(cs []Circuit, moves []Move) []Circuit {
	out := append([]Circuit{}, cs...)
	for _, m := range moves {
		out[m.Circuit].Phase = m.To
	}
	return out
}

// least tries every arrangement.
func least(fixed []complex128, cs []Circuit) float64 {
	best := math.Inf(1)
	n := int(math.Pow(float64(len(fixed)), float64(len(cs))))
	all := append([]Circuit{}, cs...)
	for code := range n {
		for i := range all {
			all[i].Phase = code % len(fixed)
			code /= len(fixed)
		}
		best = math.Min(best, Spread(fixed, all))
	}
	return best
}

// On small boards the moves reach what trying everything finds.
func TestRebalancingEqualsBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	for trial := range 40 {
		fixed, cs := random(r, 2+trial%2, 1+trial%8)
		got := Spread(fixed, moved(cs, Rebalance(fixed, cs)))
		want := least(fixed, cs)
		if got > want+2*even*Spread(fixed, cs) {
			t.Errorf("trial %d: spread %g, brute force %g", trial, got, want)
		}
	}
}

// On large ones they beat a thousand random assignments.
func TestRebalancingBeatsRandom(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	for _, n := range []int{10, 20, 40} {
		fixed, cs := random(r, 3, n)
		got := Spread(fixed, moved(cs, Rebalance(fixed, cs)))
		for range 1000 {
			_, other := random(r, 3, n)
			for i := range cs {
				other[i].P, other[i].Q = cs[i].P, cs[i].Q
			}
			if s := Spread(fixed, other); s < got*(1-even) {
				t.Fatalf("%d circuits: spread %g, a random one has %g", n, got, s)
			}
		}
	}
}

// A balanced board is left alone, and of arrangements alike the one with the
// fewest moves is given.
func TestRebalancingMovesNoMoreThanItMust(t *testing.T) {
	same := func(phases ...int) []Circuit {
		var cs []Circuit
		for _, p := range phases {
			cs = append(cs, Circuit{Phase: p, P: 1000})
		}
		return cs
	}
	if m := Rebalance(make([]complex128, 3), same(0, 1, 2, 2, 1, 0)); len(m) != 0 {
		t.Errorf("a balanced board: %v", m)
	}
	if m := Rebalance(make([]complex128, 3), same(0, 0, 1)); len(m) != 1 || m[0].To != 2 {
		t.Errorf("two on one phase: %v, want one move to the third", m)
	}
	if m := Rebalance(make([]complex128, 3), same(0, 0, 0)); len(m) != 2 {
		t.Errorf("all on one phase: %v, want two moves", m)
	}
}

func BenchmarkRebalanceExact(b *testing.B) {
	fixed, cs := random(rand.New(rand.NewPCG(1, 2)), 3, exactUpTo)
	for b.Loop() {
		Rebalance(fixed, cs)
	}
}
