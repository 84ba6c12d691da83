package uncertainty

import (
	"crypto/sha256"
	"encoding/binary"
	"math"
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
	source     *rand.ChaCha8
	parameters []Parameter
	quantiles  []quantile
}

// quantile is the quantile function of a parameter. Those of what people state
// and of limits of error, which are nearly all, are worked out in place and the
// same to the last bit: which slope of a triangle a draw falls on is chance, and
// a processor that guesses at a branch is wrong half of the time.
type quantile struct {
	shape           quantileShape
	mean, deviation float64    // that the value is counted from and in
	low, high, wide float64    // limits
	left            float64    // of the likeliest value from the lower limit
	edge            [2]float64 // limits, lower first
	arm             [2]float64 // distance of the likeliest value from either
	of              Distribution
}

type quantileShape uint8

const (
	otherShape quantileShape = iota
	rectangularShape
	triangularShape
)

// upwards is the sign of the way from either limit into the range.
var upwards = [2]float64{1, -1}

func newQuantile(d Distribution) quantile {
	q := quantile{deviation: 1, of: d}
	if s, ok := d.(standard); ok && s.deviation != 0 {
		q.mean, q.deviation, d = s.mean, s.deviation, s.of
	}
	switch d := d.(type) {
	case Rectangular:
		q.shape, q.low, q.high, q.wide = rectangularShape, d.Low, d.High, d.High-d.Low
	case Triangular:
		q.shape, q.wide, q.left = triangularShape, d.High-d.Low, d.Likely-d.Low
		q.edge, q.arm = [2]float64{d.Low, d.High}, [2]float64{d.Likely - d.Low, d.High - d.Likely}
	}
	return q
}

func (q *quantile) at(p float64) float64 {
	switch q.shape {
	case rectangularShape:
		return (min(q.low+float64(p*q.wide), q.high) - q.mean) / q.deviation
	case triangularShape:
		side := 0
		if float64(p*q.wide) >= q.left {
			side = 1
		}
		beyond := [2]float64{p, 1 - p}
		root := math.Sqrt(float64(beyond[side]*q.wide) * q.arm[side])
		return (q.edge[side] + float64(upwards[side]*root) - q.mean) / q.deviation
	}
	return q.of.Quantile(p)
}

// NewDrawing starts the draws of a seed. The generator is ChaCha8 as specified
// for Go's math/rand/v2; each value is one step of it and one quantile.
func NewDrawing(seed Seed, parameters []Parameter) *Drawing {
	d := &Drawing{source: rand.NewChaCha8(seed), parameters: parameters}
	for _, p := range parameters {
		d.quantiles = append(d.quantiles, newQuantile(p.Distribution))
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
	for i := range d.quantiles {
		z[i] = d.quantiles[i].at(d.Uniform())
	}
}
