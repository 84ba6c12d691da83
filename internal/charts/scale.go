package charts

import "math"

// scale is a value axis: its ends, its ticks and their labels, all fixed here
// so that the drawing library neither chooses nor writes a number.
type scale struct {
	min, max, step float64
	labels         []string // for min, min+step, … max
}

// newScale covers low to high with about want steps of 1, 2 or 5 times a power
// of ten. With zero set, zero is on the axis.
func newScale(low, high float64, zero bool, want int, format Format) scale {
	if zero {
		low, high = math.Min(low, 0), math.Max(high, 0)
	}
	if high <= low {
		pad := math.Abs(low) * 0.05
		if pad == 0 {
			pad = 1
		}
		if !zero {
			low -= pad
		}
		high = low + 2*pad
	}
	step := niceStep((high - low) / float64(max(want, 1)))
	first, last := math.Floor(low/step+1e-9), math.Ceil(high/step-1e-9)
	s := scale{min: first * step, max: last * step, step: step}
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	for k := first; k <= last; k++ {
		s.labels = append(s.labels, format.write(k*step, decimals))
	}
	return s
}

// niceStep returns the smallest of 1, 2, 5 and 10 times a power of ten that is
// not below the raw step.
func niceStep(raw float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5, 10} {
		if raw <= m*power*(1+1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// tightScale covers low to high exactly: for a chart whose values are written
// beside their marks, where an axis would say it twice.
func tightScale(low, high float64) scale {
	low, high = math.Min(low, 0), math.Max(high, 0)
	if high <= low {
		high = 1
	}
	return scale{min: low, max: high, step: high - low}
}

// share returns where a value lies on the axis, from 0 at min to 1 at max.
func (s scale) share(value float64) float64 { return (value - s.min) / (s.max - s.min) }

func (s scale) labelWidth() float64 { return widest(s.labels) }

func widest(texts []string) float64 {
	w := 0.0
	for _, t := range texts {
		w = math.Max(w, textWidth(t))
	}
	return w
}

// extent returns the smallest and the largest of the present values.
func extent(low, high float64, values []float64, absent []bool) (float64, float64) {
	for i, v := range values {
		if !isAbsent(absent, i) {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	return low, high
}

var noExtent = [2]float64{math.Inf(1), math.Inf(-1)}
