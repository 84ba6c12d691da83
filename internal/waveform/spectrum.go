package waveform

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"

	"auditgen/internal/power"
	"auditgen/internal/quantity"
)

// Component is one harmonic order of a wave.
type Component[Q ~float64] struct {
	Order int
	Size  Q                // rms
	Share quantity.Ratio   // of the fundamental
	Angle quantity.Degrees // of the cosine, above -180 to 180; of no meaning for a size near nothing
}

// Wave is what one channel shows.
type Wave[Q ~float64] struct {
	RMS            Q // of all that was sampled, direct current included
	Mean           Q // direct current or voltage
	Peak           Q // greatest size of a sample
	Crest          quantity.Ratio
	Fundamental    Q
	NonFundamental Q                // rms of all but the fundamental
	THD            quantity.Ratio   // orders 2 to Highest, of the fundamental
	THDOfRMS       quantity.Ratio   // the same of the rms value of orders 1 to Highest
	Distortion     quantity.Ratio   // NonFundamental over Fundamental: direct current, interharmonics and noise count
	Orders         []Component[Q]   // from order 1 on
	Groups         []Q              // of the same orders; nil where the window is not grouped
	Subgroups      []Q              // likewise
	THDGroups      quantity.Ratio   // THDG of IEC 61000-4-7
	THDSubgroups   quantity.Ratio   // THDS, which IEC 61000-4-30 takes
	LossFactor     quantity.Ratio   // F_HL from the orders
	shares         []quantity.Ratio // of orders 1 and up
}

// line is one line of a Fourier transform: an rms value with its angle.
type line struct {
	size  float64
	angle float64 // radians
}

// transform gives the lines of a window of points, from direct current up to half
// the sample rate.
func transform(x []float64) []line {
	n := len(x)
	c := fourier.NewFFT(n).Coefficients(nil, x)
	lines := make([]line, len(c))
	for k, z := range c {
		size := cmplx.Abs(z) / float64(n)
		if k > 0 && 2*k < n {
			size *= math.Sqrt2
		}
		lines[k] = line{size, cmplx.Phase(z)}
	}
	return lines
}

// channel is a channel's points in the window with their transform.
type channel struct {
	points []float64
	lines  []line
}

func (w Window) channel(x []float64) channel {
	points := w.cut(x)
	return channel{points, transform(points)}
}

func (w Window) order(c channel, h int) line { return c.lines[h*w.Cycles] }

// wave makes a Wave of a channel; reference is the angle of the reference wave's
// fundamental.
func wave[Q ~float64](w Window, c channel, reference float64) Wave[Q] {
	v := Wave[Q]{RMS: Q(rms(c.points)), Mean: Q(mean(c.points))}
	for _, x := range c.points {
		v.Peak = max(v.Peak, Q(math.Abs(x)))
	}
	first := w.order(c, 1)
	v.Fundamental = Q(first.size)
	v.NonFundamental = Q(math.Sqrt(max(0, sq(float64(v.RMS))-sq(first.size))))
	for h := 1; h <= w.Highest; h++ {
		l := w.order(c, h)
		share, _ := power.ShareOf(Q(l.size), v.Fundamental)
		v.shares = append(v.shares, share)
		v.Orders = append(v.Orders, Component[Q]{h, Q(l.size), share, turned(l.angle - float64(h)*reference)})
	}
	v.THD = power.THD(v.shares[1:])
	v.THDOfRMS = power.THDOfRMS(v.THD)
	v.Distortion, _ = power.ShareOf(v.NonFundamental, v.Fundamental)
	v.LossFactor, _ = power.HarmonicLossFactor(v.shares)
	v.Crest, _ = power.CrestFactor(quantity.Amperes(v.Peak), quantity.Amperes(v.RMS))
	if w.Grouped {
		group(w, c, &v)
	}
	return v
}

// group makes the harmonic groups and subgroups of a window of 10 or 12 cycles,
// whose lines stand 5 Hz apart: a group takes all lines to half way to the next
// orders, the two lines half way counted half; a subgroup takes a line and its two
// neighbours. IEC 61000-4-7:2002 with amendment 1:2008, 3.2 and 5.5 (clauses from
// memory).
func group[Q ~float64](w Window, c channel, v *Wave[Q]) {
	var groups, subgroups []quantity.Ratio
	for h := 1; h <= w.Highest; h++ {
		middle := h * w.Cycles
		whole, near := 0.0, 0.0
		for k := middle - w.steps; k <= middle+w.steps && k < len(c.lines); k++ {
			s := sq(c.lines[k].size)
			if off := k - middle; off == -w.steps || off == w.steps {
				whole += s / 2
			} else {
				whole += s
				if off >= -1 && off <= 1 {
					near += s
				}
			}
		}
		v.Groups = append(v.Groups, Q(math.Sqrt(whole)))
		v.Subgroups = append(v.Subgroups, Q(math.Sqrt(near)))
	}
	for h := 1; h < w.Highest; h++ {
		g, _ := power.ShareOf(v.Groups[h], v.Groups[0])
		s, _ := power.ShareOf(v.Subgroups[h], v.Subgroups[0])
		groups, subgroups = append(groups, g), append(subgroups, s)
	}
	v.THDGroups, v.THDSubgroups = power.THD(groups), power.THD(subgroups)
}

// turned brings an angle in radians into degrees above -180 and up to 180.
func turned(radians float64) quantity.Degrees {
	d := math.Mod(radians*180/math.Pi, 360)
	if d <= -180 {
		d += 360
	} else if d > 180 {
		d -= 360
	}
	return quantity.Degrees(d)
}

func sq(x float64) float64 { return x * x }

func rms(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v * v
	}
	return math.Sqrt(s / float64(len(x)))
}

func mean(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s / float64(len(x))
}

// product is the mean of a product: active power.
func product(u, i []float64) quantity.Watts {
	s := 0.0
	for k := range u {
		s += u[k] * i[k]
	}
	return quantity.Watts(s / float64(len(u)))
}
