package charts

import (
	"fmt"
	"math"
)

// StackedBars is a bar for each category, such as a month, made of one block
// for each series. The first series is at the foot.
type StackedBars struct {
	Text       Text
	Categories []string
	Series     []Series
	Labels     []string // the totals as printed, above the bars; or nil
	Unit       string
	Format     Format
	Line       *LineOverlay
	Limits     []Limit
}

// LineOverlay is a line over bars, on the same axis.
type LineOverlay struct {
	Name   string
	Values []float64
	Absent []bool
}

func (s StackedBars) text() Text { return s.Text }

func (s StackedBars) check() error {
	const of = "categories"
	n := len(s.Categories)
	if n == 0 {
		return fmt.Errorf("categories is empty")
	}
	if err := checkSeries(s.Series, of, n); err != nil {
		return err
	}
	for i, one := range s.Series {
		for j, v := range one.Values {
			if v < 0 && !isAbsent(one.Absent, j) {
				return fmt.Errorf("series[%d].values[%d] is negative: a stack starts at zero", i, j)
			}
		}
	}
	if err := checkOptional("labels", len(s.Labels), of, n); err != nil {
		return err
	}
	if s.Line != nil {
		line := []Series{{Name: s.Line.Name, Values: s.Line.Values, Absent: s.Line.Absent}}
		if err := checkSeries(line, of, n); err != nil {
			return fmt.Errorf("line: %w", err)
		}
	}
	return checkLimits(s.Limits)
}

// Height returns the height in pixels that suits the chart at a width.
func (s StackedBars) Height(width int) int {
	d := &drawing{size: Size{Width: width}}
	return standingHeight(width) + int(d.headRow(s.Unit, s.names(width).key)) - lineHeight
}

// foot returns where the blocks of the i-th series begin at a category.
func stackFoot(series []Series, i, at int) float64 {
	sum := 0.0
	for _, s := range series[:i] {
		if !isAbsent(s.Absent, at) {
			sum += s.Values[at]
		}
	}
	return sum
}

func (s StackedBars) names(width int) namePlan {
	var items []keyItem
	for _, one := range s.Series {
		items = append(items, keyItem{sample: swatchSample, text: one.Name, series: one.Name})
	}
	if s.Line != nil {
		items = append(items, keyItem{sample: lineSample, text: s.Line.Name, line: overlayLine})
	}
	return placeNames(append(items, limitItems(s.Limits)...), width)
}

var overlayLine = lineLook{Color: ink, Width: 2, Type: "solid"}

func (s StackedBars) layOut(size Size) *drawing {
	d := &drawing{size: size}
	width := float64(size.Width)
	high := 0.0
	for i := range s.Categories {
		high = math.Max(high, stackFoot(s.Series, len(s.Series), i))
	}
	if s.Line != nil {
		_, high = extent(0, high, s.Line.Values, s.Line.Absent)
	}
	for _, l := range s.Limits {
		high = math.Max(high, l.Value)
	}
	sc := newScale(0, high, true, tickCount(size.Width), s.Format)
	names := s.names(size.Width)
	left, right := sc.labelWidth()+textGap, width-math.Max(names.gutter, overhang(s.Categories, width))
	top := d.headRow(s.Unit, names.key)
	slot := (right - left) / float64(len(s.Categories))
	labelled := s.Labels != nil && widest(s.Labels)+4 <= slot
	if labelled {
		top += lineHeight
	}
	d.plot = box{left, top, right, float64(size.Height) - textGap - lineHeight - 2}
	d.y = axis{scale: sc, grid: true}
	d.x = axis{names: thin(s.Categories, thinning(s.Categories, slot)), line: true}
	s.stack(d, barWidth(slot))
	if labelled {
		for i := range s.Categories {
			y := d.clear(d.py(stackFoot(s.Series, len(s.Series), i))-lineHeight/2-3, s.Limits)
			d.writeOver(s.Labels[i], place(left, right, i, len(s.Categories)), y, alignCentre)
		}
	}
	d.nameBeside(names, s.nameHeights(d))
	return d
}

func (s StackedBars) stack(d *drawing, bar float64) {
	for i, one := range s.Series {
		d.series = append(d.series, series{kind: barKind, name: one.Name, stack: "all", barWidth: bar, z: 3,
			look: look{Color: seriesColour(i), Decal: seriesPattern(i), BorderColor: paper, BorderWidth: 1},
			data: data(one.Values, one.Absent)})
	}
	if s.Line != nil {
		d.series = append(d.series, series{kind: lineKind, name: s.Line.Name, z: 6,
			symbol: "circle", symbolSize: 6, look: look{Color: ink}, line: &overlayLine,
			data: data(s.Line.Values, s.Line.Absent)})
	}
	d.series = append(d.series, limitSeries(s.Limits)...)
}

// nameHeights are the middles of the last bar's blocks, the line's end and
// the limits.
func (s StackedBars) nameHeights(d *drawing) []float64 {
	last := len(s.Categories) - 1
	var at []float64
	for i := range s.Series {
		at = append(at, (d.py(stackFoot(s.Series, i, last))+d.py(stackFoot(s.Series, i+1, last)))/2)
	}
	if s.Line != nil {
		at = append(at, d.py(lastPresent(s.Line.Values, s.Line.Absent)))
	}
	return append(at, d.limitHeights(s.Limits)...)
}

func lastPresent(values []float64, absent []bool) float64 {
	for i := len(values) - 1; i >= 0; i-- {
		if !isAbsent(absent, i) {
			return values[i]
		}
	}
	return 0
}
