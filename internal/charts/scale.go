package charts

import "math"

// scale is a value axis: its ends, its ticks and their labels, all fixed here
// so that the drawing library neither chooses nor writes a number.
type scale struct {
	min, max, step float64
	labels         []string // for min, min+step, … max
}

// newScale covers low to high with about want steps of 1, 2, 2.5 or 5 times a
// power of ten. With zero set, zero is on the axis.
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
	step := niceStep(low, high, want)
	first, last := ends(low, high, step)
	s := scale{min: first * step, max: last * step, step: step}
	decimals := decimalsOf(step)
	for k := first; k <= last; k++ {
		s.labels = append(s.labels, format.write(k*step, decimals))
	}
	return s
}

// ends returns the first and the last tick that hold low to high, in steps.
func ends(low, high, step float64) (first, last float64) {
	return math.Floor(low/step + 1e-9), math.Ceil(high/step - 1e-9)
}

// niceStep returns the step that comes near the wanted count of ticks and
// leaves little of the axis empty.
func niceStep(low, high float64, want int) float64 {
	raw := (high - low) / float64(max(want, 1))
	power := math.Pow(10, math.Floor(math.Log10(raw)))
	best, least := 10*power, math.Inf(1)
	for _, m := range []float64{1, 2, 2.5, 5, 10} {
		step := m * power
		first, last := ends(low, high, step)
		empty := 1 - (high-low)/((last-first)*step)
		cost := empty + 0.15*math.Abs(last-first-float64(want))
		if m == 2.5 {
			cost += 0.2 // harder to read between
		}
		if cost < least-1e-9 {
			best, least = step, cost
		}
	}
	return best
}

// decimalsOf returns how many decimals a step, and so each of its ticks, has.
func decimalsOf(step float64) int {
	n := 0
	for scaled := step; n < 12 && math.Abs(scaled-math.Round(scaled)) > 1e-6*scaled; n++ {
		scaled *= 10
	}
	return n
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
