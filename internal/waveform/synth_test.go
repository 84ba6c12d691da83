package waveform

import (
	"math"

	"auditgen/internal/quantity"
)

// part is a component of a made-up wave: its frequency as a multiple of the
// fundamental, rms value and cosine angle in degrees when the fundamental's clock
// is at nothing.
type part struct{ order, rms, angle float64 }

// made gives n samples of a wave.
func made(n int, rate, f float64, parts ...part) []float64 {
	x := make([]float64, n)
	for i := range x {
		t := float64(i) / rate
		for _, p := range parts {
			if p.order == 0 {
				x[i] += p.rms
				continue
			}
			x[i] += p.rms * math.Sqrt2 * math.Cos(2*math.Pi*p.order*f*t+p.angle/degree)
		}
	}
	return x
}

// record makes a recording of waves by the names of their channels.
func record(rate float64, waves map[string][]float64) *Recording {
	r := &Recording{File: "made.csv", Rate: quantity.Hertz(rate)}
	for _, name := range []string{"u", "i", "u_a", "u_b", "u_c", "u_ab", "u_bc", "u_ca", "i_a", "i_b", "i_c", "i_n"} {
		if x, ok := waves[name]; ok {
			n, err := NameOf(name)
			if err != nil {
				panic(err)
			}
			r.Channels = append(r.Channels, Channel{Name: n, Column: name, Samples: x})
		}
	}
	return r
}

// near reports whether two figures agree within a share of the larger or within
// a floor.
func near(got, want, share, floor float64) bool {
	return math.Abs(got-want) <= math.Max(share*math.Max(math.Abs(got), math.Abs(want)), floor)
}

// apart is the difference of two angles.
func apart(a, b float64) float64 { return math.Abs(math.Mod(a-b+540+360, 360) - 180) }
