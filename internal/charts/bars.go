package charts

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Bars is one bar for each category, from zero.
type Bars struct {
	Text       Text
	Categories []string
	Values     []float64
	// Low and High are the ends of each value's interval, or both nil. A bar
	// is then solid to its low end, paler to its high end, with a tick at the
	// value.
	Low, High []float64
	Labels    []string // the values as printed, beside the bars; or nil
	Unit      string
	Format    Format
	Limits    []Limit
	// Sequence says that the categories follow each other, as hours or months
	// do: the bars stand, and labels may be left out where they would touch.
	// Bars of other categories lie where their names would not fit below.
	Sequence bool
}

func (b Bars) text() Text { return b.Text }

func (b Bars) check() error {
	const of = "categories"
	n := len(b.Categories)
	if n == 0 {
		return fmt.Errorf("categories is empty")
	}
	if err := checkLength("values", len(b.Values), of, n); err != nil {
		return err
	}
	if (b.Low == nil) != (b.High == nil) {
		return fmt.Errorf("low and high are given together or not at all")
	}
	for _, list := range []struct {
		field  string
		values []float64
	}{{"values", b.Values}, {"low", b.Low}, {"high", b.High}} {
		if err := checkOptional(list.field, len(list.values), of, n); err != nil {
			return err
		}
		if err := checkNumbers(list.field, list.values, nil); err != nil {
			return err
		}
	}
	for i := range b.Low {
		if !(b.Low[i] <= b.Values[i] && b.Values[i] <= b.High[i]) {
			return fmt.Errorf("low[%d], values[%d] and high[%d] are not in order", i, i, i)
		}
		if b.Low[i] < 0 {
			return fmt.Errorf("low[%d] is negative: a bar with an interval starts at zero", i)
		}
	}
	if err := checkOptional("labels", len(b.Labels), of, n); err != nil {
		return err
	}
	return checkLimits(b.Limits)
}

// over tells whether the i-th value passes one of the limits.
func (b Bars) over(i int) bool {
	for _, l := range b.Limits {
		if l.passedBy(b.Values[i]) {
			return true
		}
	}
	return false
}

// lying tells whether the bars run from left to right.
func (b Bars) lying(width int) bool {
	if b.Sequence {
		return false
	}
	slot := (float64(width) - 60) / float64(len(b.Categories))
	_, lines, wide := wrapAll(b.Categories, slot-textGap)
	return lines > 1 || wide > slot-textGap
}

// Height returns the height in pixels that suits the chart at a width.
func (b Bars) Height(width int) int {
	if !b.lying(width) {
		return standingHeight(width)
	}
	d := &drawing{size: Size{Width: width}}
	return int(math.Ceil(b.layHead(d, false) + float64(len(b.Categories))*b.rowHeight(width) + b.foot()))
}

func standingHeight(width int) int {
	if narrow(width) {
		return 240
	}
	return 300
}

func (b Bars) layOut(size Size) *drawing {
	d := &drawing{size: size}
	if b.lying(size.Width) {
		b.layLying(d)
	} else {
		b.layStanding(d)
	}
	return d
}

func (b Bars) extent() (low, high float64) {
	low, high = extent(0, 0, b.Values, nil)
	low, high = extent(low, high, b.High, nil)
	for _, l := range b.Limits {
		low, high = math.Min(low, l.Value), math.Max(high, l.Value)
	}
	return low, high
}

// marks returns the bars' series: one, or a solid and a pale part with ticks.
func (b Bars) marks(width float64, at func(i int, v float64) any) []series {
	values := b.Values
	if b.Low != nil {
		values = b.Low
	}
	solid := series{kind: barKind, name: "value", stack: "bar", barWidth: width, look: look{Color: barInk}, z: 3}
	pale := series{kind: barKind, name: "interval", stack: "bar", barWidth: width,
		look: look{Color: barInk, Opacity: share(0.6)}, z: 3}
	tick := series{kind: scatterKind, name: "best", symbol: "rect", look: look{Color: ink, Opacity: share(1)}, z: 6}
	for i, v := range values {
		one := datum{Value: v}
		if b.over(i) {
			one.Look = &look{Color: over, Decal: hatch()}
		}
		solid.data = append(solid.data, one)
		if b.Low == nil {
			continue
		}
		rest := datum{Value: b.High[i] - b.Low[i]}
		if b.over(i) {
			rest.Look = &look{Color: over, Opacity: share(0.6), Decal: hatch()}
		}
		pale.data = append(pale.data, rest)
		tick.data = append(tick.data, datum{Value: at(i, b.Values[i])})
	}
	if b.Low == nil {
		return []series{solid}
	}
	return []series{solid, pale, tick}
}

// end is where the drawn bar of the i-th value ends.
func (b Bars) end(i int) float64 {
	if b.High != nil {
		return b.High[i]
	}
	return b.Values[i]
}

func (b Bars) layStanding(d *drawing) {
	width := float64(d.size.Width)
	low, high := b.extent()
	s := newScale(low, high, true, tickCount(d.size.Width), b.Format)
	limits := placeNames(limitItems(b.Limits), d.size.Width)
	left, right := s.labelWidth()+textGap, width-math.Max(limits.gutter, overhang(b.Categories, width))
	labelled := b.Labels != nil && widest(b.Labels)+4 <= (width-limits.gutter)/float64(len(b.Categories))
	if labelled {
		// The values are written on the bars: an axis would say them twice.
		s, left = tightScale(low, high), 0
	}
	top := d.headRow(b.Unit, limits.key)
	slot := (right - left) / float64(len(b.Categories))
	if labelled {
		top += lineHeight
	}
	names := b.Categories
	if b.Sequence {
		names = thin(names, thinning(names, slot))
	}
	d.plot = box{left, top, right, float64(d.size.Height) - textGap - lineHeight - 2}
	d.y = axis{scale: s, grid: !labelled, bare: labelled}
	d.x = axis{names: names, line: true}
	bar := barWidth(slot)
	d.series = b.marks(bar, func(i int, v float64) any { return []any{i, v} })
	if b.Low != nil {
		d.series[2].symbolSize = []float64{round1(bar + 6), 2}
	}
	if labelled {
		for i := range b.Values {
			y := d.clear(d.py(math.Max(b.end(i), 0))-lineHeight/2-3, b.Limits)
			d.writeOver(b.Labels[i], place(left, right, i, len(b.Values)), y, alignCentre)
		}
	}
	d.series = append(d.series, limitSeries(b.Limits)...)
	d.nameBeside(limits, d.limitHeights(b.Limits))
}

func tickCount(width int) int {
	if narrow(width) {
		return 4
	}
	return 5
}

// barWidth leaves a third of a slot between bars, and no bar is a slab.
func barWidth(slot float64) float64 {
	return math.Max(1, math.Min(math.Round(slot*0.66), 44))
}

// clear lifts the middle of a text off the limit lines that would cross it.
func (d *drawing) clear(y float64, limits []Limit) float64 {
	at := d.limitHeights(limits)
	slices.SortFunc(at, func(a, b float64) int { return cmp.Compare(b, a) })
	for _, line := range at {
		if math.Abs(y-line) < lineHeight/2+1 {
			y = line - lineHeight/2 - 1
		}
	}
	return y
}
