package charts

// sample is how a key shows a thing.
type sample int

const (
	swatchSample  sample = iota // a filled block: a series of bars or areas
	lineSample                  // a line: a series
	ruleSample                  // a line: a limit
	tickSample                  // a short thick mark
	outlineSample               // a frame
	bandSample                  // a pale block
)

// keyItem is one entry of the key above or below a plot.
type keyItem struct {
	sample sample
	text   string
	series string   // the series whose look a swatch or line shows
	line   lineLook // of a rule, a tick or an outline
	look   look     // of a band
}

const (
	sampleWidth = 18.0
	keyRow      = 20.0
	keyGap      = 18.0 // between entries
)

// keyWidth is the width of the entries in one row.
func keyWidth(items []keyItem) float64 {
	sum := 0.0
	for _, it := range items {
		sum += sampleWidth + 6 + textWidth(it.text) + keyGap
	}
	return sum - keyGap
}

// placeKey lays the entries out in rows from left to right and returns the
// height that they take. With draw unset it only measures.
func (d *drawing) placeKey(items []keyItem, left, top, right float64, draw bool) float64 {
	if len(items) == 0 {
		return 0
	}
	x, y := left, top
	for _, it := range items {
		// No key entry is wider than the row: a long one breaks into lines.
		text, n, width := wrapAll([]string{it.text}, right-left-sampleWidth-6)
		need := sampleWidth + 6 + width
		if x > left && x+need > right {
			x, y = left, y+keyRow
		}
		if draw {
			d.drawSample(it, x, y+keyRow/2)
			d.write(text[0], x+sampleWidth+6, y+keyRow/2+float64(n-1)*lineHeight/2, alignLeft, ink)
		}
		if n > 1 {
			x, y = left, y+keyRow+float64(n-1)*lineHeight
			continue
		}
		x += need + keyGap
	}
	if x > left {
		y += keyRow
	}
	return y - top + 4
}

func (d *drawing) drawSample(it keyItem, x, middle float64) {
	switch it.sample {
	case swatchSample:
		d.key = append(d.key, legend{series: it.series, left: x, top: middle - 6, icon: "rect", width: sampleWidth, height: 12})
	case lineSample, ruleSample:
		d.stroke(x, middle, x+sampleWidth, middle, it.line)
	case tickSample:
		d.stroke(x+3, middle, x+sampleWidth-3, middle, it.line)
	case outlineSample:
		style := map[string]any{"fill": "none", "stroke": it.line.Color, "lineWidth": it.line.Width}
		if dash, ok := it.line.Type.([]int); ok {
			style["lineDash"] = dash
		}
		d.rect(box{x + 1, middle - 6, x + sampleWidth - 1, middle + 6}, style, 15)
	case bandSample:
		d.rect(box{x, middle - 6, x + sampleWidth, middle + 6},
			map[string]any{"fill": it.look.Color, "opacity": *it.look.Opacity}, 15)
	}
}
