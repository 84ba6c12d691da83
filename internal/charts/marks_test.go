package charts

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/beevik/etree"
)

// rectangles returns the rectangles drawn with a fill.
func rectangles(t *testing.T, root *etree.Element, fill string) (all []area) {
	t.Helper()
	for _, e := range root.FindElements(".//path[@fill='" + fill + "']") {
		if e.Parent().Tag != "svg" {
			continue
		}
		o, ok := parseOutline(e.SelectAttrValue("d", ""), identity)
		if !ok {
			t.Fatalf("path %q", e.SelectAttrValue("d", ""))
		}
		for _, p := range o.parts {
			a, ok := outline{parts: []part{p}}.rectangle()
			if !ok {
				t.Fatalf("%q is not a rectangle", e.SelectAttrValue("d", ""))
			}
			all = append(all, a)
		}
	}
	return all
}

func drawn(t *testing.T, c Chart) *etree.Element {
	t.Helper()
	svg, err := NewRenderer().Draw(c, "x", Size{Width: 900})
	if err != nil {
		t.Fatal(err)
	}
	return parse(t, svg)
}

func TestBarsDrawn(t *testing.T) {
	b := samples()["bars-demand"].(Bars)
	root := drawn(t, b)
	plain, high := rectangles(t, root, "var(--bar)"), rectangles(t, root, "var(--over)")
	if len(plain) != 7 || len(high) != 5 {
		t.Fatalf("%d bars within and %d over the limit, not 7 and 5", len(plain), len(high))
	}
	// Heights are as the values from zero, to the rounding of the drawing. The
	// highest of each colour comes first.
	base := plain[0].bottom
	if got, want := float64(base-high[0].top)/float64(base-plain[0].top), 89.0/79; math.Abs(got-want) > 0.002 {
		t.Errorf("89 kW is drawn %.3f times as high as 79 kW, not %.3f", got, want)
	}
	hatched := root.FindElements(".//path")
	n := 0
	for _, e := range hatched {
		if strings.HasPrefix(e.SelectAttrValue("fill", ""), "url(#x-p") {
			n += strings.Count(e.SelectAttrValue("d", ""), "z")
		}
	}
	if n != 5 {
		t.Errorf("%d bars are hatched, not 5", n)
	}
}

func TestIntervalsDrawn(t *testing.T) {
	b := samples()["bars-use"].(Bars)
	root := drawn(t, b)
	if n := len(rectangles(t, root, "var(--bar)")); n != 14 {
		t.Errorf("%d parts of bars, not 7 solid and 7 pale", n)
	}
	if n := len(rectangles(t, root, "var(--ink)")); n != 7 {
		t.Errorf("%d ticks, not 7", n)
	}
}

func TestHeatMapDrawn(t *testing.T) {
	h := samples()["heat"].(HeatMap)
	root := drawn(t, h)
	d := h.layOut(Size{900, h.Height(900)})
	cell, row := d.plot.width()/24, d.plot.height()/12
	want := make([]int, Classes)
	for y := range h.Values {
		for x, v := range h.Values[y] {
			if !h.Absent[y][x] {
				want[h.class(v)]++
			}
		}
	}
	for class, n := range want {
		got := 0.0
		for _, a := range rectangles(t, root, rampColour(class)) {
			if float64(a.top) > d.plot.bottom*10 {
				continue // the key
			}
			// Runs of cells are one rectangle, half a pixel wider than its cells.
			got += math.Round(float64(a.right-a.left)/10/cell) * math.Round(float64(a.bottom-a.top)/10/row)
		}
		if int(got) != n {
			t.Errorf("class %d: %v cells drawn for %d values", class, got, n)
		}
	}
}

func TestStacksDrawn(t *testing.T) {
	s := samples()["stack-8"].(StackedBars)
	root := drawn(t, s)
	for i := range s.Series {
		n := len(rectangles(t, root, seriesColour(i)))
		if n != 12+1 {
			t.Errorf("series %d: %d blocks and a key, not 13", i, n)
		}
	}
}

func TestSpectrumDrawn(t *testing.T) {
	s := samples()["spectrum-50"].(Spectrum)
	root := drawn(t, s)
	if n := len(rectangles(t, root, "var(--bar)")) + len(rectangles(t, root, "var(--over)")); n != 49 {
		t.Errorf("%d bars, not 49", n)
	}
	if n := len(rectangles(t, root, "var(--ink)")); n != 49 {
		t.Errorf("%d limit marks, not 49", n)
	}
	if n := len(rectangles(t, root, "var(--over)")); n != 1 {
		t.Errorf("%d bars over their limit, not 1", n)
	}
}

func TestLinesDrawn(t *testing.T) {
	l := samples()["lines-month"].(Lines)
	root := drawn(t, l)
	for i, want := range []int{12, 11} {
		dots := len(root.FindElements(".//circle[@fill='" + seriesColour(i) + "']"))
		points := 0
		for _, e := range root.FindElements(".//path[@stroke='" + seriesColour(i) + "']") {
			o, ok := parseOutline(e.SelectAttrValue("d", ""), identity)
			if !ok {
				t.Fatalf("line %q", e.SelectAttrValue("d", ""))
			}
			for _, p := range o.parts {
				points += len(p.points)
			}
		}
		if dots != want || points != want {
			t.Errorf("series %d: %d dots and %d points of its line, not %d", i, dots, points, want)
		}
	}
}

func TestRangeDrawn(t *testing.T) {
	root := drawn(t, samples()["range-v"])
	if n := len(root.FindElements(".//circle[@fill='var(--bar)']")); n != 2 {
		t.Errorf("%d values within the band, not 2", n)
	}
	if n := len(root.FindElements(".//path[@fill='var(--over)']")); n != 2 {
		t.Errorf("%d marks outside the band, not a diamond and its range", n)
	}
}

// TestLimitOnItsTick holds the two ways of placing a value against each
// other: the library's axis, and this package's pixels.
func TestLimitOnItsTick(t *testing.T) {
	root := drawn(t, samples()["bars-demand"])
	var tick, limit float64
	for _, e := range root.FindElements(".//text") {
		y, _ := strconv.ParseFloat(e.SelectAttrValue("y", ""), 64)
		switch e.Text() {
		case "80":
			tick = y
		case "agreed 80 kW":
			limit = y
		}
	}
	if tick == 0 || math.Abs(tick-limit) > 0.2 {
		t.Errorf("tick 80 at %v, the name of the limit of 80 at %v", tick, limit)
	}
}

func TestMarksAreCounted(t *testing.T) {
	d := golden()["bars"].layOut(Size{360, 240})
	option, err := d.option()
	if err != nil {
		t.Fatal(err)
	}
	e, err := newEngine()
	if err != nil {
		t.Fatal(err)
	}
	unknown := strings.Replace(string(option), `"type":"bar"`, `"type":"unknown"`, 1)
	raw, err := e.draw([]byte(unknown), Size{360, 240}, "x", drawingTime)
	if err != nil {
		return // refused by the library itself
	}
	if _, err := tidy(raw, "x", Text{Title: "x"}, d.markCounts()); err == nil || !strings.Contains(err.Error(), "marks") {
		t.Errorf("a series of an unknown type went unnoticed: %v", err)
	}
}

func TestUnknownSeriesType(t *testing.T) {
	d := golden()["bars"].layOut(Size{360, 240})
	d.series[0].kind = "pie"
	if _, err := d.option(); err == nil || !strings.Contains(err.Error(), `"pie"`) {
		t.Errorf("an unknown series type: %v", err)
	}
}

// TestEventsDrawn finds a line for each event at its place, and its label unless
// that would run into the one before; the last has its label at its left.
func TestEventsDrawn(t *testing.T) {
	l := Lines{Text: Text{"Cash", "x"}, Unit: "EUR", Series: []Series{{Name: "cash", Values: make([]float64, 16)}},
		Events: []Event{{3, "replaced: fan"}, {4, "replaced: belt"}, {15, "replaced: lamp"}}}
	for i := range 16 {
		l.X, l.Series[0].Values[i] = append(l.X, strconv.Itoa(i)), float64(1000*i)
	}
	root := drawn(t, l)
	labels := map[string]bool{}
	for _, e := range root.FindElements(".//text") {
		labels[e.Text()] = true
	}
	if !labels["replaced: fan"] || labels["replaced: belt"] || !labels["replaced: lamp"] {
		t.Errorf("labels %v", labels)
	}
	lines := 0
	for _, e := range root.FindElements(".//path") {
		if e.SelectAttrValue("stroke-dasharray", "") != "" && e.SelectAttrValue("stroke", "") == ink2 {
			lines += strings.Count(strings.ToUpper(e.SelectAttrValue("d", "")), "M") // alike ones are one path
		}
	}
	if lines != 3 {
		t.Errorf("%d lines for three events", lines)
	}
}
