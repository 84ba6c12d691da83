package charts

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
		if d.placeKey(key, x, 0, right, false) <= keyRow+4 {
			d.placeKey(key, x, 0, right, true)
			return top + 10
		}
	}
	return top + d.placeKey(key, 0, top-2, right, true) + 6
}

// limitPlan says where the names of limits go: beside their lines, in a
// gutter, or in the key where that would cost too much of the width.
type limitPlan struct {
	gutter float64
	key    []keyItem
}

func limitLine(i int) lineLook {
	return lineLook{Color: ink, Width: 1.25, Type: limitDash(i)}
}

func placeLimits(limits []Limit, width int) limitPlan {
	if len(limits) == 0 {
		return limitPlan{}
	}
	var labels []string
	for _, l := range limits {
		labels = append(labels, l.Label)
	}
	if need := widest(labels) + textGap; need <= 0.16*float64(width) && !narrow(width) {
		return limitPlan{gutter: need}
	}
	plan := limitPlan{}
	for i, l := range limits {
		plan.key = append(plan.key, keyItem{sample: ruleSample, text: l.Label, line: limitLine(i)})
	}
	return plan
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

// drawLimits draws limits across a standing plot, and their names in the
// gutter if that is where they go.
func (d *drawing) drawLimits(limits []Limit, plan limitPlan) {
	d.series = append(d.series, limitSeries(limits)...)
	if plan.gutter == 0 {
		return
	}
	var at []float64
	for _, l := range limits {
		at = append(at, d.py(l.Value))
	}
	for i, y := range spread(at, lineHeight, 0, float64(d.size.Height)-lineHeight/2) {
		d.write(limits[i].Label, d.plot.right+textGap-2, y, alignLeft, ink)
	}
}
