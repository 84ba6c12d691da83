package charts

import (
	"math"
	"sort"
	"strings"
)

const (
	lineHeight = 15 // of text, px
	textGap    = 8  // between a text and what it belongs to, px
	phone      = 480
)

// narrow tells a phone drawing, where gutters beside the plot cost too much.
func narrow(width int) bool { return width < phone }

// box is an area of the drawing in pixels from its top left corner.
type box struct {
	left, top, right, bottom float64
}

func (b box) width() float64  { return b.right - b.left }
func (b box) height() float64 { return b.bottom - b.top }

// wrap breaks a text at spaces into lines of at most limit pixels. A word
// that is longer than the limit stays whole.
func wrap(text string, limit float64) []string {
	var lines []string
	for _, word := range strings.Fields(text) {
		last := len(lines) - 1
		if last >= 0 && textWidth(lines[last]+" "+word) <= limit {
			lines[last] += " " + word
			continue
		}
		lines = append(lines, word)
	}
	if len(lines) == 0 {
		return []string{""}
	}
	return lines
}

// wrapAll wraps each text and returns the largest count of lines and the
// width of the widest line.
func wrapAll(texts []string, limit float64) (wrapped []string, lines int, width float64) {
	for _, t := range texts {
		w := wrap(t, limit)
		lines = max(lines, len(w))
		width = math.Max(width, widest(w))
		wrapped = append(wrapped, strings.Join(w, "\n"))
	}
	return wrapped, lines, width
}

// thinning returns n for which every n-th label fits in slots of the given
// width: of the steps that suit hours, months and orders, the first that fits.
func thinning(labels []string, slot float64) int {
	need := widest(labels) + textGap
	for _, n := range []int{1, 2, 3, 4, 6, 8, 12, 24} {
		if need <= slot*float64(n) {
			return n
		}
	}
	return max(1, int(math.Ceil(need/slot)))
}

// thin blanks all but every n-th label.
func thin(labels []string, n int) []string {
	out := make([]string, len(labels))
	for i, l := range labels {
		if i%n == 0 {
			out[i] = l
		}
	}
	return out
}

// thinNamed thins labels of which only some places have one, at even distances.
func thinNamed(labels []string, slot float64) []string {
	every := len(labels)
	for i := len(labels) - 1; i > 0; i-- {
		if labels[i] != "" {
			every = i // the first named after the start
		}
	}
	n := every * thinning(labels, slot*float64(every))
	return thin(labels, n)
}

// spread moves positions apart until neighbours are gap apart, within low to
// high, and keeps their order. It returns nil where they do not fit.
func spread(at []float64, gap, low, high float64) []float64 {
	if len(at) == 0 {
		return nil
	}
	if float64(len(at)-1)*gap > high-low+1e-9 {
		return nil
	}
	order := make([]int, len(at))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return at[order[a]] < at[order[b]] })
	out := make([]float64, len(at))
	floor := low
	for _, i := range order {
		out[i] = math.Max(at[i], floor)
		floor = out[i] + gap
	}
	ceiling := high
	for k := len(order) - 1; k >= 0; k-- {
		i := order[k]
		out[i] = math.Min(out[i], ceiling)
		ceiling = out[i] - gap
	}
	return out
}

// overhang is how far the last shown label of a sequence may reach beyond the
// plot's right edge. The widest of the labels is taken, and the narrowest
// slot, so that it holds whichever label comes last.
func overhang(labels []string, width float64) float64 {
	slot := 0.8 * width / float64(len(labels))
	return math.Max(2, (widest(labels)-slot)/2)
}
