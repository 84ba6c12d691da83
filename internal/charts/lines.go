package charts

import (
	"fmt"
	"math"
)

// Lines shows series along a sequence: a profile of a day, demand by month.
type Lines struct {
	Text Text
	// X are the names of the places along the sequence. With Steps set they
	// are the edges between values, one more than there are values.
	X      []string
	Series []Series
	Unit   string
	Format Format
	Limits []Limit
	// Events are marked at their places by a line across the plot.
	Events []Event
	// Steps says that each value holds from its edge to the next.
	Steps bool
	// Stacked adds the series up as areas, the first at the foot.
	Stacked bool
	// Floating lets the axis begin above zero; it is for voltage and the like,
	// and not for stacked areas.
	Floating bool
	// Reach is a value that the axis holds in any case, so that charts beside
	// each other share one scale.
	Reach float64
	// Unnamed leaves the names of the series to the chart beside it.
	Unnamed bool
}

// Event is something that falls at a place of the sequence.
type Event struct {
	At    int // counted from 0
	Label string
}

func (l Lines) text() Text { return l.Text }

func (l Lines) values() int {
	if l.Steps {
		return len(l.X) - 1
	}
	return len(l.X)
}

func (l Lines) check() error {
	if l.values() < 2 {
		return fmt.Errorf("x has %d entries: too few for a line", len(l.X))
	}
	of := "x"
	if l.Steps {
		of = "x, less one for the steps,"
	}
	if err := checkSeries(l.Series, of, l.values()); err != nil {
		return err
	}
	for i, s := range l.Series {
		present := 0
		for j := range s.Values {
			if isAbsent(s.Absent, j) {
				continue
			}
			present++
			if l.Stacked && s.Values[j] < 0 {
				return fmt.Errorf("series[%d].values[%d] is negative: a stack starts at zero", i, j)
			}
		}
		if present == 0 {
			return fmt.Errorf("series[%d] has no value", i)
		}
		if l.Stacked && present < len(s.Values) {
			return fmt.Errorf("series[%d] has absent values, which areas cannot be stacked on", i)
		}
	}
	if l.Stacked && l.Floating {
		return fmt.Errorf("floating is not for stacked areas, which start at zero")
	}
	if l.Unnamed && len(l.Limits) > 0 {
		return fmt.Errorf("limits need names, and the chart is unnamed")
	}
	for i, e := range l.Events {
		if e.At < 0 || e.At >= len(l.X) {
			return fmt.Errorf("events[%d] is at %d of %d places", i, e.At, len(l.X))
		}
		if e.Label == "" {
			return fmt.Errorf("events[%d].label is empty", i)
		}
	}
	if err := checkNumber("reach", l.Reach); err != nil {
		return err
	}
	return checkLimits(l.Limits)
}

// Height returns the height in pixels that suits the chart at a width.
func (l Lines) Height(width int) int {
	d := &drawing{size: Size{Width: width}}
	return standingHeight(width) + int(d.headRow(l.Unit, l.names(width).key)) - lineHeight
}

func (l Lines) look(i int) lineLook {
	if l.Stacked {
		return lineLook{Color: seriesColour(i), Width: 1, Type: "solid"}
	}
	colour := seriesColour(i)
	if len(l.Series) == 1 {
		colour = barInk
	}
	return lineLook{Color: colour, Width: 2, Type: dashes[i], Cap: "butt"}
}

func (l Lines) names(width int) namePlan {
	var items []keyItem
	for i, s := range l.Series {
		if l.Unnamed {
			break
		}
		it := keyItem{sample: lineSample, text: s.Name, line: l.look(i)}
		if l.Stacked {
			it = keyItem{sample: swatchSample, text: s.Name, series: s.Name}
		}
		items = append(items, it)
	}
	return placeNames(append(items, limitItems(l.Limits)...), width)
}

func (l Lines) extent() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	if l.Reach != 0 {
		low, high = l.Reach, l.Reach
	}
	for _, s := range l.Series {
		low, high = extent(low, high, s.Values, s.Absent)
	}
	if l.Stacked {
		for i := range l.values() {
			high = math.Max(high, stackFoot(l.Series, len(l.Series), i))
		}
	}
	for _, limit := range l.Limits {
		low, high = math.Min(low, limit.Value), math.Max(high, limit.Value)
	}
	return low, high
}

func (l Lines) layOut(size Size) *drawing {
	d := &drawing{size: size}
	low, high := l.extent()
	s := newScale(low, high, !l.Floating, tickCount(size.Width), l.Format)
	names := l.names(size.Width)
	half := textWidth(l.X[len(l.X)-1]) / 2
	left := math.Max(s.labelWidth()+textGap, textWidth(l.X[0])/2)
	right := float64(size.Width) - math.Max(names.gutter+2, half)
	top := d.headRow(l.Unit, names.key)
	d.plot = box{left, top, right, float64(size.Height) - textGap - lineHeight - 2}
	places := float64(len(l.X) - 1)
	d.x = axis{names: thinNamed(l.X, (right-left)/places), edges: true, line: true}
	d.y = axis{scale: s, grid: true}
	for i, one := range l.Series {
		d.series = append(d.series, l.series(i, one))
	}
	d.series = append(d.series, limitSeries(l.Limits)...)
	d.nameBeside(names, l.nameHeights(d))
	l.mark(d)
	return d
}

// mark draws the events. A label stands at the foot of its line, right of it or,
// for want of room, left; one that would run into another's is left out.
func (l Lines) mark(d *drawing) {
	y := d.plot.bottom - lineHeight/2 - 2
	free := d.plot.left
	for _, e := range l.Events {
		x := d.plot.left + d.plot.width()*float64(e.At)/float64(len(l.X)-1)
		d.stroke(x, d.plot.top, x, d.plot.bottom, lineLook{Color: ink2, Width: 1, Type: []int{2, 3}})
		from, to, side := x+textGap, x+textGap+textWidth(e.Label), alignLeft
		if to > d.plot.right {
			from, to, side = x-textGap-textWidth(e.Label), x-textGap, alignRight
		}
		if from < free || to > d.plot.right {
			continue
		}
		at := from
		if side == alignRight {
			at = to
		}
		d.writeOver(e.Label, at, y, side)
		free = math.Max(to, x) + textGap
	}
}

// dotted is the number of values up to which each is marked with a dot.
const dotted = 31

func (l Lines) series(i int, s Series) series {
	line := l.look(i)
	out := series{kind: lineKind, name: s.Name, z: 4, line: &line, data: data(s.Values, s.Absent), look: look{Color: line.Color}}
	switch {
	case l.Steps:
		out.step = "end"
		// The last value holds to the last edge.
		out.data = append(out.data, out.data[len(out.data)-1])
	case !l.Stacked && len(s.Values) <= dotted:
		out.symbol, out.symbolSize = "circle", 6
	}
	if l.Stacked {
		out.stack = "all"
		out.area = &areaLook{Color: line.Color, Opacity: 1}
		out.look.Decal = seriesPattern(i)
	}
	return out
}

func (l Lines) nameHeights(d *drawing) []float64 {
	var at []float64
	if l.Unnamed {
		return nil
	}
	last := l.values() - 1
	for i, s := range l.Series {
		if l.Stacked {
			at = append(at, (d.py(stackFoot(l.Series, i, last))+d.py(stackFoot(l.Series, i+1, last)))/2)
			continue
		}
		at = append(at, d.py(lastPresent(s.Values, s.Absent)))
	}
	return append(at, d.limitHeights(l.Limits)...)
}
