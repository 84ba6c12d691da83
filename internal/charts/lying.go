package charts

import "math"

const barThickness = 14.0 // of a lying bar, px

// rowHeight of a lying bar: on a phone its name stands above it.
func (b Bars) rowHeight(width int) float64 {
	if narrow(width) {
		_, n, _ := wrapAll(b.Categories, float64(width))
		return float64(n)*lineHeight + barThickness + 14
	}
	_, n, _ := wrapAll(b.Categories, b.nameLimit(width))
	return math.Max(barThickness+12, float64(n)*lineHeight+6)
}

func (b Bars) nameLimit(width int) float64 { return 0.3 * float64(width) }

// foot is the height below the bars, for the axis where there is one.
func (b Bars) foot() float64 {
	if b.Labels != nil {
		return 4
	}
	return lineHeight + textGap + 4
}

// layHead lays out what stands above lying bars and returns its height.
func (b Bars) layHead(d *drawing, draw bool) float64 {
	key := limitItems(b.Limits)
	if !draw {
		d = &drawing{size: d.size}
	}
	return d.headRow(b.Unit, key)
}

func (b Bars) layLying(d *drawing) {
	width := float64(d.size.Width)
	top := b.layHead(d, true)
	low, high := b.extent()
	left := 0.0
	var names []string
	if narrow(d.size.Width) {
		names, _, _ = wrapAll(b.Categories, width)
	} else {
		var wide float64
		names, _, wide = wrapAll(b.Categories, b.nameLimit(d.size.Width))
		left = wide + textGap + 4
	}
	right := width - 2
	s := tightScale(low, high)
	if b.Labels != nil {
		right -= widest(b.Labels) + textGap
	} else {
		s = newScale(low, high, true, tickCount(d.size.Width), b.Format)
		// Half of the last tick's label stands beyond the plot.
		right -= textWidth(s.labels[len(s.labels)-1]) / 2
		left = math.Max(left, textWidth(s.labels[0])/2)
	}
	d.plot = box{left, top, right, float64(d.size.Height) - b.foot()}
	d.x = axis{scale: s, bare: b.Labels != nil, grid: b.Labels == nil}
	d.y = axis{names: b.Categories, inverse: true, bare: true, line: true}
	d.series = b.marks(barThickness, func(i int, v float64) any { return []any{v, i} })
	if b.Low != nil {
		d.series[2].symbolSize = []float64{2, barThickness + 6}
	}
	b.layNames(d, names)
	d.series = append(d.series, limitSeries(b.Limits)...)
}

// layNames writes the names and the values of lying bars, and on a phone
// moves each bar to the foot of its row, below its name.
func (b Bars) layNames(d *drawing, names []string) {
	n := len(names)
	row := d.plot.height() / float64(n)
	shift := 0.0
	if narrow(d.size.Width) {
		shift = row/2 - barThickness/2 - 3
	}
	for i, name := range names {
		middle := place(d.plot.top, d.plot.bottom, i, n)
		if shift > 0 {
			d.write(name, d.plot.left, middle-barThickness/2-1, alignLeft, ink)
		} else {
			d.write(name, d.plot.left-textGap, middle, alignRight, ink)
		}
		if b.Labels != nil {
			d.writeOver(b.Labels[i], d.px(math.Max(b.end(i), 0))+textGap-2, middle+shift, alignLeft)
		}
	}
	if shift > 0 {
		// The places of the axis move down by the shift, names stay.
		d.plot.top += shift
		d.plot.bottom += shift
	}
}
