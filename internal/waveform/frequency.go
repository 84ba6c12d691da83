package waveform

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// The fundamental is looked for in this range, Hz: 50 and 60 Hz supplies with
// room for a poor generator set.
const (
	lowest  = 40.0
	highest = 70.0
)

// frequency finds the fundamental of a wave sampled at a rate, both in Hz. A first
// guess is the strongest component between 40 and 70 Hz; a least-squares fit of
// fundamental and harmonics, whose frequency is a parameter too, then refines it.
// The fit knows the harmonics, and so neither they nor a part of a cycle at the
// end draw the result off, as they do with zero crossings. It is the sine fit of
// IEEE Std 1057 (from memory) with more than one order. It is false when there is
// no such wave.
func frequency(x []float64, rate float64) (float64, bool) {
	x, rate = thinned(x, rate)
	f, ok := guess(x, rate)
	if !ok {
		return 0, false
	}
	return fit(x, rate, f)
}

// thinned takes what is needed of a long or finely sampled wave: the first 0.25 s,
// by means over neighbours at 5 kHz or somewhat more.
func thinned(x []float64, rate float64) ([]float64, float64) {
	x = x[:min(len(x), int(math.Ceil(0.3*rate)))]
	by := int(rate / 5000)
	if by < 2 {
		return x, rate
	}
	out := make([]float64, len(x)/by)
	for i := range out {
		for _, v := range x[i*by : (i+1)*by] {
			out[i] += v / float64(by)
		}
	}
	return out, rate / float64(by)
}

// guess scans the range with a Hann window.
func guess(x []float64, rate float64) (float64, bool) {
	n := len(x)
	length := float64(n) / rate
	if length*highest < 1 || rate < 2*highest {
		return 0, false
	}
	mean, square := 0.0, 0.0
	for _, v := range x {
		mean += v / float64(n)
	}
	windowed := make([]float64, n)
	weight := 0.0
	for i, v := range x {
		w := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))
		windowed[i] = w * (v - mean)
		weight += w
		square += w * (v - mean) * (v - mean)
	}
	best, size := 0.0, -1.0
	for f := lowest; f <= highest; f += min(1, 1/(6*length)) {
		if s := component(windowed, f/rate); s > size {
			best, size = f, s
		}
	}
	// A twentieth of the wave's power, at the least, is at the fundamental.
	return best, 2*size*size/weight > 0.05*square && square > 0
}

// component is the size of the sum of x times a turning phasor, at a frequency in
// turns a sample.
func component(x []float64, turns float64) float64 {
	stepRe, stepIm := math.Cos(2*math.Pi*turns), math.Sin(2*math.Pi*turns)
	re, im, sumRe, sumIm := 1.0, 0.0, 0.0, 0.0
	for _, v := range x {
		sumRe += v * re
		sumIm += v * im
		re, im = re*stepRe-im*stepIm, re*stepIm+im*stepRe
	}
	return math.Hypot(sumRe, sumIm)
}

// fit refines a frequency by least squares (Gauss and Newton).
func fit(x []float64, rate, f float64) (float64, bool) {
	cycles := float64(len(x)) / rate * f
	orders := max(1, min(25, int(10*cycles), int(0.45*rate/f)))
	var c []float64
	for range 30 {
		if !(f >= lowest && f <= highest) {
			return 0, false
		}
		var ok bool
		if c, ok = solve(x, rate, f, orders, c); !ok {
			return 0, false
		}
		if len(c) == 2*orders+1 {
			continue // the first round has no slope by frequency yet
		}
		step := c[2*orders+1]
		f += max(-1, min(1, step))
		if math.Abs(step) < 1e-9*f {
			return f, true
		}
	}
	return f, true
}

// solve fits a constant, the cosines and sines of some orders and, once there are
// coefficients c of an earlier round, the change of the frequency. The change is
// that of the fundamental alone: lines that stand beside a harmonic then do not
// draw it off.
func solve(x []float64, rate, f float64, orders int, c []float64) ([]float64, bool) {
	k := 2*orders + 1
	if c != nil {
		k++
	}
	a := make([]float64, k*k)
	b := make([]float64, k)
	row := make([]float64, k)
	row[0] = 1
	middle := float64(len(x)-1) / 2
	for i, v := range x {
		t := 2 * math.Pi * (float64(i) - middle) / rate // by f: the angle
		sin, cos := math.Sincos(f * t)
		hs, hc := sin, cos
		for h := 1; h <= orders; h++ {
			row[2*h-1], row[2*h] = hc, hs
			hc, hs = hc*cos-hs*sin, hs*cos+hc*sin
		}
		if c != nil {
			row[k-1] = t * (c[2]*cos - c[1]*sin)
		}
		weight := taper(i, len(x), float64(len(x))/rate*f)
		for p, rp := range row {
			rp *= weight
			b[p] += rp * v
			for q := p; q < k; q++ {
				a[p*k+q] += rp * row[q]
			}
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(mat.NewSymDense(k, a)) {
		return nil, false
	}
	out := mat.NewVecDense(k, nil)
	if err := chol.SolveVecTo(out, mat.NewVecDense(k, b)); err != nil {
		return nil, false
	}
	return out.RawVector().Data, true
}

// taper weights the samples of three cycles and more by a Hann window, so that
// orders above those fitted, and the ends, count for little. Shorter recordings
// cannot spare their ends.
func taper(i, n int, cycles float64) float64 {
	if cycles < 3 {
		return 1
	}
	return 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))
}
