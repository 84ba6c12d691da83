package charts

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
)

// Spectrum shows harmonics by order, each against its own limit.
type Spectrum struct {
	Text    Text
	Orders  []int     // harmonic orders, rising, from 2
	Percent []float64 // measured, of the base that Unit names
	// LimitPercent is the limit of each order, or nil where there is none.
	LimitPercent []*float64
	Labels       []string // the measured values as printed; or nil
	LimitLabel   string   // names the limit marks in the key, where there are any
	Unit         string
	Format       Format
}

func (s Spectrum) text() Text { return s.Text }

func (s Spectrum) check() error {
	const of = "orders"
	n := len(s.Orders)
	if n == 0 {
		return fmt.Errorf("orders is empty")
	}
	for i, order := range s.Orders {
		if order < 2 {
			return fmt.Errorf("orders[%d] is %d: harmonics begin at order 2", i, order)
		}
		if i > 0 && order <= s.Orders[i-1] {
			return fmt.Errorf("orders[%d] does not rise", i)
		}
	}
	if err := checkLength("percent", len(s.Percent), of, n); err != nil {
		return err
	}
	if err := checkNumbers("percent", s.Percent, nil); err != nil {
		return err
	}
	for i, v := range s.Percent {
		if v < 0 {
			return fmt.Errorf("percent[%d] is negative", i)
		}
	}
	if err := checkOptional("limitpercent", len(s.LimitPercent), of, n); err != nil {
		return err
	}
	for i, limit := range s.LimitPercent {
		if limit == nil {
			continue
		}
		if err := checkNumber(fmt.Sprintf("limitpercent[%d]", i), *limit); err != nil {
			return err
		}
		if strings.TrimSpace(s.LimitLabel) == "" {
			return fmt.Errorf("limitlabel is empty: the limit marks need a name in the key")
		}
	}
	return checkOptional("labels", len(s.Labels), of, n)
}

// Height returns the height in pixels that suits the chart at a width.
func (s Spectrum) Height(width int) int { return standingHeight(width) }

func (s Spectrum) limit(i int) *float64 {
	if s.LimitPercent == nil {
		return nil
	}
	return s.LimitPercent[i]
}

func (s Spectrum) over(i int) bool {
	limit := s.limit(i)
	return limit != nil && s.Percent[i] > *limit
}

// top is the highest that is drawn at an order: the bar or its limit.
func (s Spectrum) top(i int) float64 {
	if limit := s.limit(i); limit != nil {
		return math.Max(*limit, s.Percent[i])
	}
	return s.Percent[i]
}

var tickLine = lineLook{Color: ink, Width: 2, Type: "solid"}

func (s Spectrum) layOut(size Size) *drawing {
	d := &drawing{size: size}
	high := 0.0
	limited := false
	for i := range s.Orders {
		high = math.Max(high, s.top(i))
		limited = limited || s.limit(i) != nil
	}
	var key []keyItem
	if limited {
		key = []keyItem{{sample: tickSample, text: s.LimitLabel, line: tickLine}}
	}
	sc := newScale(0, high, true, tickCount(size.Width), s.Format)
	names := make([]string, len(s.Orders))
	for i, order := range s.Orders {
		names[i] = strconv.Itoa(order)
	}
	left, right := sc.labelWidth()+textGap, float64(size.Width)-overhang(names, float64(size.Width))
	top := d.headRow(s.Unit, key)
	if s.Labels != nil {
		top += lineHeight
	}
	d.plot = box{left, top, right, float64(size.Height) - textGap - lineHeight - 2}
	slot := (right - left) / float64(len(s.Orders))
	d.x = axis{names: thin(names, thinning(names, slot)), line: true}
	d.y = axis{scale: sc, grid: true}
	s.marks(d, slot)
	if s.Labels != nil {
		s.writeLabels(d)
	}
	return d
}

func (s Spectrum) marks(d *drawing, slot float64) {
	bar := math.Min(barWidth(slot), 22)
	bars := series{kind: barKind, name: "measured", barWidth: bar, look: look{Color: barInk}, z: 3, data: data(s.Percent, nil)}
	ticks := series{kind: scatterKind, name: "limits", symbol: "rect", z: 5, look: look{Color: ink, Opacity: share(1)},
		symbolSize: []float64{round1(math.Min(bar+6, slot)), 2}}
	for i := range s.Orders {
		if s.over(i) {
			bars.data[i].Look = &look{Color: over, Decal: hatch()}
		}
		if limit := s.limit(i); limit != nil {
			ticks.data = append(ticks.data, datum{Value: []any{i, *limit}})
		}
	}
	d.series = []series{bars}
	if len(ticks.data) > 0 {
		d.series = append(d.series, ticks)
	}
}

// allLabelled is the number of orders up to which each bar has its value.
const allLabelled = 16

// writeLabels writes the values over the bars: all of them where the orders
// are few; else those over their limits, or the highest if there is none.
func (s Spectrum) writeLabels(d *drawing) {
	order := make([]int, len(s.Orders))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool {
		i, j := order[a], order[b]
		if s.over(i) != s.over(j) {
			return s.over(i)
		}
		return s.Percent[i] > s.Percent[j]
	})
	var taken []box
	for rank, i := range order {
		if s.Labels[i] == "" || len(order) > allLabelled && rank > 0 && !s.over(i) {
			continue
		}
		b, ok := s.freeBox(d, i, taken)
		if !ok {
			continue
		}
		taken = append(taken, b)
		d.writeOver(s.Labels[i], (b.left+b.right)/2, (b.top+b.bottom)/2, alignCentre)
		if s.over(i) {
			d.graphic[len(d.graphic)-1].Style["fill"] = over
		}
	}
}

// maxLift is how far the label of a bar over its limit may rise to stay clear
// of its neighbours, in px.
const maxLift = 48

// freeBox returns where a label touches nothing, if there is such a place.
func (s Spectrum) freeBox(d *drawing, i int, taken []box) (box, bool) {
	b := s.labelBox(d, i)
	lift := 0
	if s.over(i) {
		lift = maxLift
	}
	for up := 0; up <= lift; up += 4 {
		at := box{b.left, b.top - float64(up), b.right, b.bottom - float64(up)}
		inside := at.left >= 0 && at.right <= float64(d.size.Width) && at.top >= d.plot.top-lineHeight-4
		if inside && !s.covered(d, at, i) && !overlaps(taken, at) {
			return at, true
		}
	}
	return box{}, false
}

// labelBox is the place of a value's label: on its bar, under the limit mark
// where there is room, else over both.
func (s Spectrum) labelBox(d *drawing, i int) box {
	x, half := place(d.plot.left, d.plot.right, i, len(s.Orders)), textWidth(s.Labels[i])/2
	bottom := d.py(s.Percent[i]) - 3
	if limit := s.limit(i); limit != nil && *limit >= s.Percent[i] && bottom-lineHeight-1 < d.py(*limit) {
		bottom = d.py(*limit) - 3
	}
	return box{x - half - 2, bottom - lineHeight, x + half + 2, bottom}
}

// covered tells whether a label of the i-th order would lie on a neighbour's
// bar or limit.
func (s Spectrum) covered(d *drawing, b box, i int) bool {
	half := d.series[0].barWidth/2 + 3
	for j := range s.Orders {
		x := place(d.plot.left, d.plot.right, j, len(s.Orders))
		if j == i || x+half <= b.left || x-half >= b.right {
			continue
		}
		if d.py(s.Percent[j]) < b.bottom {
			return true
		}
		if limit := s.limit(j); limit != nil && d.py(*limit) < b.bottom && d.py(*limit) > b.top {
			return true
		}
	}
	return false
}

func overlaps(taken []box, b box) bool {
	for _, t := range taken {
		if t.left < b.right && b.left < t.right && t.top < b.bottom && b.top < t.bottom {
			return true
		}
	}
	return false
}
