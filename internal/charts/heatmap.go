package charts

import (
	"fmt"
	"math"
	"strings"
)

// Classes is the number of steps of the heat ramp.
const Classes = 7

// HeatMap shows values by two categories, such as hour and month, in seven
// classes of the heat ramp.
type HeatMap struct {
	Text             Text
	XLabels, YLabels []string
	Values           [][]float64 // one row for each of YLabels, from the top
	Absent           [][]bool    // nil, or as Values: cells that were not measured
	// Steps are the six edges between the classes, rising. A value on an edge
	// is of the upper class.
	Steps      []float64
	StepLabels []string // the edges as printed; nil writes them by Format
	Unit       string
	Format     Format
	Marks      []Region
}

// Region is a block of cells with a frame and its meaning.
type Region struct {
	// The first and the last column and row, counted from 0.
	FromX, ToX, FromY, ToY int
	Label                  string
}

func (h HeatMap) text() Text { return h.Text }

func (h HeatMap) check() error {
	if len(h.XLabels) == 0 || len(h.YLabels) == 0 {
		return fmt.Errorf("xlabels or ylabels is empty")
	}
	if err := checkLength("values", len(h.Values), "ylabels", len(h.YLabels)); err != nil {
		return err
	}
	if err := checkOptional("absent", len(h.Absent), "ylabels", len(h.YLabels)); err != nil {
		return err
	}
	for y, row := range h.Values {
		field := fmt.Sprintf("values[%d]", y)
		if err := checkLength(field, len(row), "xlabels", len(h.XLabels)); err != nil {
			return err
		}
		var absent []bool
		if h.Absent != nil {
			absent = h.Absent[y]
		}
		if err := checkNumbers(field, row, absent); err != nil {
			return err
		}
	}
	if len(h.Steps) != Classes-1 {
		return fmt.Errorf("steps has %d edges, but %d classes need %d", len(h.Steps), Classes, Classes-1)
	}
	if err := checkNumbers("steps", h.Steps, nil); err != nil {
		return err
	}
	for i := 1; i < len(h.Steps); i++ {
		if h.Steps[i] <= h.Steps[i-1] {
			return fmt.Errorf("steps[%d] does not rise", i)
		}
	}
	if err := checkOptional("steplabels", len(h.StepLabels), "steps", len(h.Steps)); err != nil {
		return err
	}
	return h.checkMarks()
}

func (h HeatMap) checkMarks() error {
	for i, m := range h.Marks {
		if m.FromX < 0 || m.ToX >= len(h.XLabels) || m.FromX > m.ToX ||
			m.FromY < 0 || m.ToY >= len(h.YLabels) || m.FromY > m.ToY {
			return fmt.Errorf("marks[%d] is not a block of cells of the map", i)
		}
		if strings.TrimSpace(m.Label) == "" {
			return fmt.Errorf("marks[%d].label is empty", i)
		}
	}
	return nil
}

// class returns the class of a value, from 0.
func (h HeatMap) class(v float64) int {
	n := 0
	for _, s := range h.Steps {
		if v >= s {
			n++
		}
	}
	return n
}

func heatRow(width int) float64 {
	if narrow(width) {
		return 18
	}
	return 21
}

const heatTop = 6.0

// Height returns the height in pixels that suits the chart at a width.
func (h HeatMap) Height(width int) int {
	d := &drawing{size: Size{Width: width}}
	return int(math.Ceil(heatTop + heatRow(width)*float64(len(h.YLabels)) + h.foot(d, false)))
}

func (h HeatMap) layOut(size Size) *drawing {
	d := &drawing{size: size, classes: Classes}
	columns, rows := float64(len(h.XLabels)), float64(len(h.YLabels))
	left := math.Ceil(widest(h.YLabels) + textGap)
	// Whole tenths, the precision of the drawing, leave no seams between cells.
	cell := math.Max(1, math.Floor((float64(size.Width)-left-2)/columns*10)/10)
	row := math.Max(1, math.Floor((float64(size.Height)-heatTop-h.foot(d, false))/rows))
	d.plot = box{left, heatTop, left + cell*columns, heatTop + row*rows}
	d.x = axis{names: thin(h.XLabels, thinning(h.XLabels, cell))}
	d.y = axis{names: h.YLabels, inverse: true}
	cells := series{kind: heatKind, name: "cells", z: 2}
	for y, line := range h.Values {
		for x, v := range line {
			if h.Absent != nil && isAbsent(h.Absent[y], x) {
				h.drawAbsent(d, d.cell(x, x, y, y, cell, row))
				continue
			}
			cells.data = append(cells.data, datum{Value: []int{x, y, h.class(v)}})
		}
	}
	d.series = []series{cells}
	// Rows are apart, for they are different things; along a row time runs on.
	for y := 1; y < len(h.YLabels); y++ {
		at := d.plot.top + float64(y)*row
		d.stroke(d.plot.left, at, d.plot.right, at, lineLook{Color: paper, Width: 1})
	}
	for i, m := range h.Marks {
		h.drawMark(d, d.cell(m.FromX, m.ToX, m.FromY, m.ToY, cell, row), i)
	}
	h.foot(d, true)
	return d
}

// cell returns the area of a block of cells.
func (d *drawing) cell(fromX, toX, fromY, toY int, width, height float64) box {
	return box{
		left: d.plot.left + float64(fromX)*width, right: d.plot.left + float64(toX+1)*width,
		top: d.plot.top + float64(fromY)*height, bottom: d.plot.top + float64(toY+1)*height,
	}
}

// drawAbsent strikes a cell through: not measured is not little.
func (h HeatMap) drawAbsent(d *drawing, b box) {
	d.stroke(b.left+2, b.bottom-3, b.right-2, b.top+3, lineLook{Color: rule2, Width: 1})
}

// markLines are the frames of regions; under each lies a wider one of paper,
// or it would vanish on a dark class.
func markLine(i int) lineLook {
	return []lineLook{
		{Color: over, Width: 2, Type: "solid"},
		{Color: ink, Width: 2, Type: []int{5, 3}},
		{Color: ink, Width: 2, Type: []int{2, 2}},
		{Color: over, Width: 2, Type: []int{5, 3}},
	}[i%4]
}

func (h HeatMap) drawMark(d *drawing, b box, i int) {
	line := markLine(i)
	d.rect(b, map[string]any{"fill": "none", "stroke": paper, "lineWidth": line.Width + 2.5}, 16)
	style := map[string]any{"fill": "none", "stroke": line.Color, "lineWidth": line.Width}
	if dash, ok := line.Type.([]int); ok {
		style["lineDash"] = dash
	}
	d.rect(b, style, 17)
}

// foot lays out the key below the map and returns the height from the map's
// lower edge to the drawing's.
func (h HeatMap) foot(d *drawing, draw bool) float64 {
	width := float64(d.size.Width)
	left := math.Ceil(widest(h.YLabels) + textGap)
	if narrow(d.size.Width) {
		left = 0
	}
	labels := h.stepLabels()
	swatch := math.Max(26, widest(labels)+6)
	space := width - left - 2
	if h.Unit != "" {
		space -= textWidth(h.Unit) + textGap
	}
	swatch = math.Floor(math.Min(swatch, space/Classes))
	top := lineHeight + textGap + 12.0
	if draw {
		h.drawRamp(d, left, d.plot.bottom+top, swatch, labels)
	}
	height := top + 10 + 4 + lineHeight
	var key []keyItem
	for i, m := range h.Marks {
		key = append(key, keyItem{sample: outlineSample, text: m.Label, line: markLine(i)})
	}
	beside := left + Classes*swatch + textGap + textWidth(h.Unit) + 2*keyGap
	if len(key) > 0 {
		if beside+keyWidth(key) <= width {
			if draw {
				d.placeKey(key, beside, d.plot.bottom+top-keyRow/2+5, width, true)
			}
		} else {
			n := d.placeKey(key, left, d.plot.bottom+height+4, width, draw)
			height += n + 4
		}
	}
	return height + 2
}

func (h HeatMap) stepLabels() []string {
	if h.StepLabels != nil {
		return h.StepLabels
	}
	decimals := 0
	for _, s := range h.Steps {
		for decimals < 3 && math.Abs(s*math.Pow10(decimals)-math.Round(s*math.Pow10(decimals))) > 1e-6 {
			decimals++
		}
	}
	var out []string
	for _, s := range h.Steps {
		out = append(out, h.Format.write(s, decimals))
	}
	return out
}

func (h HeatMap) drawRamp(d *drawing, left, top, swatch float64, labels []string) {
	for i := range Classes {
		d.rect(box{left + float64(i)*swatch, top, left + float64(i+1)*swatch, top + 10},
			map[string]any{"fill": rampColour(i)}, 10)
	}
	every := 1
	if widest(labels)+4 > swatch {
		every = 2
	}
	for i, l := range labels {
		if (i+1)%every == 0 || every == 1 {
			d.write(l, left+float64(i+1)*swatch, top+10+4+lineHeight/2, alignCentre, ink2)
		}
	}
	if h.Unit != "" {
		d.write(h.Unit, left+Classes*swatch+textGap, top+5, alignLeft, ink2)
	}
}
