package uncertainty

import (
	"crypto/sha256"
	"encoding/binary"
	"math/rand/v2"
)

// Seed starts the generator.
type Seed [32]byte

// SeedOf makes a seed of the inputs that a result rests on: SHA-256 over each
// part with its length before it. The same bytes give the same draws; any other
// byte gives others.
func SeedOf(parts ...[]byte) Seed {
	h := sha256.New()
	var length [8]byte
	for _, p := range parts {
		binary.BigEndian.PutUint64(length[:], uint64(len(p)))
		h.Write(length[:])
		h.Write(p)
	}
	return Seed(h.Sum(nil))
}

// Drawing draws a model's parameters, trial by trial.
type Drawing struct {
	source       *rand.ChaCha8
	parameters   []Parameter
	distribution []Distribution
}

// NewDrawing starts the draws of a seed. The generator is ChaCha8 as specified
// for Go's math/rand/v2; each value is one step of it and one quantile.
func NewDrawing(seed Seed, parameters []Parameter) *Drawing {
	d := &Drawing{source: rand.NewChaCha8(seed), parameters: parameters}
	for _, p := range parameters {
		d.distribution = append(d.distribution, p.Distribution)
	}
	return d
}

// Uniform gives a number between 0 and 1, both excluded: the middle of one of
// 2^52 equal steps.
func (d *Drawing) Uniform() float64 {
	return (float64(d.source.Uint64()>>12) + 0.5) * 0x1p-52
}

// Next fills z with the next trial's values.
func (d *Drawing) Next(z []float64) {
	for i, p := range d.distribution {
		z[i] = p.Quantile(d.Uniform())
	}
}
