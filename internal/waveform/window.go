package waveform

import (
	"fmt"
	"math"
	"math/bits"
	"strconv"
	"sync"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
)

// Window is the part of a recording that was analysed.
type Window struct {
	Frequency quantity.Hertz // of the reference wave
	Cycles    int            // whole cycles in the window
	Grouped   bool           // 10 cycles at 50 Hz or 12 at 60 Hz, grouped after IEC 61000-4-7
	Resampled bool           // the samples did not fit the cycles and were set on a grid that does
	Points    int            // points of the window as analysed
	Highest   int            // the highest order that the sample rate allows, up to 50
	Notes     []string       // what limits the worth of the analysis

	period float64 // samples a cycle, as recorded
	steps  int     // half a width of the group of an order, in lines: 5 or 6
}

// mostOrders is the highest order: IEEE 519 and IEC 61000-4-7 go to 50.
const mostOrders = 50

// usable is the share of the range below half the sample rate that resampling
// keeps: the kernel's edge begins behind it.
const usable = 0.8

// inStep is the share of a window by which samples may miss whole cycles without
// being set on a grid: a line then leaks at most 1e-4 of itself into the next, a
// thirtieth of what IEC 61000-4-7 allows (0.03 % of the window, from memory).
const inStep = 1e-5

// window places the window in a recording of n samples whose reference wave is
// given.
func window(reference []float64, rate float64) (Window, error) {
	f, ok := frequency(reference, rate)
	if !ok {
		return Window{}, &diag.Problem{
			What:     "the recording has no clear fundamental between 40 and 70 Hz",
			Expected: "at least one whole cycle of a 50 or 60 Hz supply, sampled at 1 kHz or faster",
		}
	}
	w := Window{Frequency: quantity.Hertz(f), period: rate / f}
	n := len(reference)
	// A recording of exactly whole cycles may seem short by a trifle.
	whole := int(math.Floor(float64(n+1) / w.period))
	if whole < 1 {
		return Window{}, &diag.Problem{What: fmt.Sprintf("the recording has less than one cycle of %.2f Hz", f), Expected: "at least one whole cycle"}
	}
	full := 10
	if f > 55 {
		full = 12
	}
	w.steps = full / 2
	w.Cycles = min(whole, full)
	w.Grouped = whole >= full
	length := float64(w.Cycles) * w.period
	near := min(math.Round(length), float64(n))
	w.Points = int(near)
	if math.Abs(length-near) > inStep*length {
		w.grid(n, length)
	}
	w.Highest = max(1, min(mostOrders, int(usable*rate/2/f+1e-6)))
	w.remarks(length)
	return w, nil
}

// grid chooses a grid of a power of two for each cycle, fine enough for all that
// was sampled.
func (w *Window) grid(n int, length float64) {
	if float64(n) < w.period+2*half+1 {
		return // too short to fill in what lies before and behind it
	}
	w.Resampled = true
	w.Points = w.Cycles << bits.Len(uint(math.Ceil(length/float64(w.Cycles))-1))
}

func (w *Window) remarks(length float64) {
	note := func(format string, args ...any) { w.Notes = append(w.Notes, fmt.Sprintf(format, args...)) }
	if !w.Grouped {
		note("%s instead of the %d of IEC 61000-4-7: single lines, no groups", quantityOf(w.Cycles, "cycle", "cycles"), 2*w.steps)
	}
	if w.Cycles < 2 {
		note("the frequency rests on less than two cycles")
	}
	if off := math.Abs(length-math.Round(length)) / length; !w.Resampled && off > inStep {
		note("the window misses whole cycles by %s %% and is too short to be set right: each line leaks into its neighbours", strconv.FormatFloat(off*100, 'g', 2, 64))
	}
	if w.Highest < mostOrders {
		note("the sample rate reaches order %d only", w.Highest)
	}
}

// cut gives the window's points of a channel.
func (w Window) cut(x []float64) []float64 {
	if !w.Resampled {
		return x[:w.Points]
	}
	out := make([]float64, w.Points)
	step := float64(w.Cycles) * w.period / float64(w.Points)
	// The window stands in the middle, so that the kernel finds samples around it.
	start := max(0, (float64(len(x)-1)-step*float64(w.Points))/2)
	for i := range out {
		out[i] = at(x, start+float64(i)*step, w.period)
	}
	return out
}

// The kernel of resampling: a sine over its argument under a Kaiser window of
// half samples to each side, tabled at fine steps between two samples. It passes
// all up to 80 % of half the sample rate within 1e-4.
const (
	half  = 16
	fine  = 4096
	shape = 10.0 // of the Kaiser window
)

var kernel = sync.OnceValue(func() []float64 {
	taps := make([]float64, (fine+1)*2*half)
	for p := range fine + 1 {
		row := taps[p*2*half : (p+1)*2*half]
		total := 0.0
		for k := range row {
			d := float64(p)/fine - float64(k-half+1) // from tap to point
			row[k] = sinc(d) * kaiser(d/half)
			total += row[k]
		}
		for k := range row {
			row[k] /= total
		}
	}
	return taps
})

func sinc(x float64) float64 {
	if math.Abs(x) < 1e-9 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

func kaiser(x float64) float64 {
	return bessel(shape*math.Sqrt(max(0, 1-x*x))) / bessel(shape)
}

// bessel is the modified Bessel function of the first kind and order 0, by its
// series.
func bessel(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-17*sum; k++ {
		term *= x * x / (4 * k * k)
		sum += term
	}
	return sum
}

// at gives the wave between samples. Near an end the place a whole number of
// cycles further in is taken for it.
func at(x []float64, position, period float64) float64 {
	for position < half-1 {
		position += period
	}
	for position > float64(len(x)-half-1) {
		position -= period
	}
	i := int(position)
	row := (position - float64(i)) * fine
	p := int(row)
	between := row - float64(p)
	taps := kernel()[p*2*half:]
	low, high := taps[:2*half], taps[2*half:]
	sum := 0.0
	for k, v := range x[i-half+1 : i+half+1] {
		sum += v * (low[k] + between*(high[k]-low[k]))
	}
	return sum
}
