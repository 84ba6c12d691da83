package charts

import "math"

// headRow writes the unit above the value axis and the key beside it, and
// returns where the plot may start.
func (d *drawing) headRow(unit string, key []keyItem) float64 {
	top := 2.0
	if unit != "" {
		d.write(unit, 0, top+lineHeight/2, alignLeft, ink2)
		top += lineHeight + 3
	}
	right := float64(d.size.Width)
	if len(key) == 0 {
		return top + 6
	}
	// Beside the unit where all fits in one row, else below it.
	if unit != "" {
		x := textWidth(unit) + 2*keyGap
		if x+keyWidth(key) <= right {
			d.placeKey(key, x, 0, right, true)
			return top + 10
		}
	}
	return top + d.placeKey(key, 0, top-2, right, true) + 6
}

// namePlan says where the names of lines and series go: beside them, in a
// gutter at the right, or in the key where that would cost too much width.
type namePlan struct {
	items  []keyItem
	gutter float64
	key    []keyItem
}

// maxBeside is the number of names that stand beside their lines or bars.
const maxBeside = 3

func placeNames(items []keyItem, width int) namePlan {
	if len(items) == 0 {
		return namePlan{}
	}
	plan := namePlan{items: items}
	for _, it := range items {
		need := textWidth(it.text) + textGap
		if it.sample == swatchSample {
			need += besideSwatch + 5
		}
		plan.gutter = math.Max(plan.gutter, need)
	}
	if len(items) > maxBeside || narrow(width) || plan.gutter > 0.18*float64(width) {
		plan.gutter, plan.key = 0, items
	}
	return plan
}

// besideSwatch is the width of the sample before a name beside a stack.
const besideSwatch = 10.0

// nameBeside writes the names in the gutter, each as near its height as the
// others allow.
func (d *drawing) nameBeside(plan namePlan, at []float64) {
	if plan.gutter == 0 {
		return
	}
	x := d.plot.right + textGap - 2
	for i, y := range spread(at, lineHeight+1, lineHeight/2, float64(d.size.Height)-lineHeight/2) {
		it, left := plan.items[i], x
		if it.sample == swatchSample {
			d.key = append(d.key, legend{series: it.series, left: x, top: y - 5, icon: "rect", width: besideSwatch, height: 10})
			left += besideSwatch + 5
		}
		d.write(it.text, left, y, alignLeft, ink)
	}
}

func limitLine(i int) lineLook {
	return lineLook{Color: ink, Width: 1.25, Type: limitDash(i)}
}

func limitItems(limits []Limit) []keyItem {
	var items []keyItem
	for i, l := range limits {
		items = append(items, keyItem{sample: ruleSample, text: l.Label, line: limitLine(i)})
	}
	return items
}

// limitSeries carries the limits as lines across the plot.
func limitSeries(limits []Limit) []series {
	if len(limits) == 0 {
		return nil
	}
	s := series{kind: scatterKind, name: "limits", z: 5}
	for i, l := range limits {
		s.rules = append(s.rules, ruleMark{value: l.Value, line: limitLine(i)})
	}
	return []series{s}
}

// limitHeights are the heights of limits in a standing plot.
func (d *drawing) limitHeights(limits []Limit) []float64 {
	var at []float64
	for _, l := range limits {
		at = append(at, d.py(l.Value))
	}
	return at
}
