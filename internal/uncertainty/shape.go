package uncertainty

import (
	"math"

	"auditgen/internal/quantity"
)

// Certain is a quantity without doubt.
type Certain float64

// Mean is the value.
func (c Certain) Mean() float64 { return float64(c) }

// Deviation is 0.
func (c Certain) Deviation() float64 { return 0 }

// Quantile is the value.
func (c Certain) Quantile(float64) float64 { return float64(c) }

// Rectangular is a quantity of which only limits are known
// (JCGM 100:2008, 4.3.7).
type Rectangular struct{ Low, High float64 }

// Mean is the middle.
func (r Rectangular) Mean() float64 { return (r.Low + r.High) / 2 }

// Deviation is the half-width over √3.
func (r Rectangular) Deviation() float64 { return (r.High - r.Low) / math.Sqrt(12) }

// Quantile is a line from limit to limit.
func (r Rectangular) Quantile(p float64) float64 {
	return min(r.Low+float64(p*(r.High-r.Low)), r.High)
}

// Triangular is a quantity with limits and a likeliest value, which need not be
// in the middle (JCGM 100:2008, 4.3.9).
type Triangular struct{ Low, Likely, High float64 }

// Mean is a third of the sum.
func (t Triangular) Mean() float64 { return (t.Low + t.Likely + t.High) / 3 }

// Deviation is √((l² + l·h + h²)/18) for the distances l and h of the limits
// from the likeliest value: the half-width over √6 where they are equal.
func (t Triangular) Deviation() float64 {
	l, h := t.Likely-t.Low, t.High-t.Likely
	return math.Sqrt((float64(l*l) + float64(l*h) + float64(h*h)) / 18)
}

// Quantile inverts the two parabolas of the distribution function.
func (t Triangular) Quantile(p float64) float64 {
	l, w := t.Likely-t.Low, t.High-t.Low
	if float64(p*w) < l {
		return t.Low + math.Sqrt(float64(p*w)*l)
	}
	return t.High - math.Sqrt(float64((1-p)*w)*(t.High-t.Likely))
}

// Normal is a quantity known by its mean and standard uncertainty, such as a
// certificate's value: U/k is its standard uncertainty (JCGM 100:2008, 4.3.3).
type Normal struct{ Centre, Sigma float64 }

// Mean is the centre.
func (n Normal) Mean() float64 { return n.Centre }

// Deviation is sigma.
func (n Normal) Deviation() float64 { return n.Sigma }

// Quantile is that of the normal distribution (AS 241).
func (n Normal) Quantile(p float64) float64 {
	if n.Sigma == 0 {
		return n.Centre
	}
	return n.Centre + float64(n.Sigma*normalQuantile(p))
}

// Arcsine is a quantity that swings between limits as a sine wave does
// (JCGM 101:2008, 6.4.6): U-shaped.
type Arcsine struct{ Low, High float64 }

// Mean is the middle.
func (a Arcsine) Mean() float64 { return (a.Low + a.High) / 2 }

// Deviation is the half-width over √2.
func (a Arcsine) Deviation() float64 { return (a.High - a.Low) / math.Sqrt(8) }

// Quantile is a half wave of the cosine from limit to limit.
func (a Arcsine) Quantile(p float64) float64 {
	return a.Mean() - float64((a.High-a.Low)/2*cosPi(p))
}

// Trapezoidal is a quantity with limits whose middle is likelier than its ends:
// Top is the length of the level part as a share of the whole, 0 (triangle) to
// 1 (rectangle) (JCGM 100:2008, 4.3.9; JCGM 101:2008, 6.4.4).
type Trapezoidal struct{ Low, High, Top float64 }

// Mean is the middle.
func (t Trapezoidal) Mean() float64 { return (t.Low + t.High) / 2 }

// Deviation is a·√((1+β²)/6) for the half-width a and the share β of the top.
func (t Trapezoidal) Deviation() float64 {
	return (t.High - t.Low) / 2 * math.Sqrt((1+float64(t.Top*t.Top))/6)
}

// Quantile inverts two parabolas and the line between them.
func (t Trapezoidal) Quantile(p float64) float64 {
	half := (t.High - t.Low) / 2
	edge := (1 - t.Top) / (2 * (1 + t.Top)) // probability of one slope
	side := float64((1 - t.Top) * half)
	switch {
	case p < edge:
		return t.Low + float64(side*math.Sqrt(p/edge))
	case 1-p < edge:
		return t.High - float64(side*math.Sqrt((1-p)/edge))
	}
	return t.Low + side + float64((p-edge)*float64(half*(1+t.Top)))
}

// Counts is a whole number of things: First and those above it, each with its
// weight. The weights need not sum to one.
type Counts struct {
	First   int
	Weights []float64
}

// CountsBetween gives the count that a person means by low, likely, high:
// weights fall off evenly from the likely number to nothing one beyond either
// end, so that both ends are possible.
func CountsBetween(low, likely, high int) Counts {
	c := Counts{First: low}
	for k := low; k <= high; k++ {
		w := 1.0
		if k < likely {
			w = float64(k-low+1) / float64(likely-low+1)
		} else if k > likely {
			w = float64(high-k+1) / float64(high-likely+1)
		}
		c.Weights = append(c.Weights, w)
	}
	return c
}

func (c Counts) moments() (sum, mean, square float64) {
	for i, w := range c.Weights {
		sum += w
		mean += float64(w * float64(i))
		square += float64(w * float64(i*i))
	}
	return sum, mean / sum, square / sum
}

// Mean is the weighted mean.
func (c Counts) Mean() float64 {
	_, mean, _ := c.moments()
	return float64(c.First) + mean
}

// Deviation is the weighted standard deviation.
func (c Counts) Deviation() float64 {
	_, mean, square := c.moments()
	return math.Sqrt(max(0, square-float64(mean*mean)))
}

// Quantile is the least number whose probability not to be passed is p or more.
func (c Counts) Quantile(p float64) float64 {
	sum, _, _ := c.moments()
	left := float64(p * sum)
	last := c.First
	for i, w := range c.Weights {
		if w <= 0 {
			continue
		}
		last = c.First + i
		if left -= w; left <= 0 {
			break
		}
	}
	return float64(last)
}

// Of turns a typed estimate into a distribution: limits alone are rectangular,
// limits with a likely value triangular.
func Of[Q quantity.Quantity](e quantity.Estimate[Q]) Distribution {
	switch e.Shape {
	case quantity.Rectangular:
		return Rectangular{float64(e.Low), float64(e.High)}
	case quantity.Triangular:
		return Triangular{float64(e.Low), float64(e.Likely), float64(e.High)}
	}
	return Certain(e.Likely)
}

// Standard gives a distribution in its own standard deviations from its mean:
// mean 0, deviation 1. A distribution without doubt stays 0.
func Standard(d Distribution) Distribution { return standard{d, d.Mean(), d.Deviation()} }

type standard struct {
	of              Distribution
	mean, deviation float64
}

func (standard) Mean() float64 { return 0 }

func (s standard) Deviation() float64 {
	if s.deviation == 0 {
		return 0
	}
	return 1
}

func (s standard) Quantile(p float64) float64 {
	if s.deviation == 0 {
		return 0
	}
	return (s.of.Quantile(p) - s.mean) / s.deviation
}
