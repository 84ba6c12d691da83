package charts

import (
	"fmt"
	"math"
	"strings"
)

// Range shows a value with its range for each category against a band, such as
// phase voltages against the supply band. Its axis does not begin at zero.
type Range struct {
	Text       Text
	Categories []string
	Values     []float64
	Low, High  []float64 // the ends of each range, or both nil
	Labels     []string  // the values as printed; or nil
	Unit       string
	Format     Format
	Band       *Band
	Limits     []Limit
}

// Band is the area in which values belong.
type Band struct {
	Low, High           float64
	LowLabel, HighLabel string // as printed at the edges: "207 V"
	Label               string // names the band in the key
}

func (r Range) text() Text { return r.Text }

func (r Range) check() error {
	const of = "categories"
	n := len(r.Categories)
	if n == 0 {
		return fmt.Errorf("categories is empty")
	}
	if err := checkLength("values", len(r.Values), of, n); err != nil {
		return err
	}
	if (r.Low == nil) != (r.High == nil) {
		return fmt.Errorf("low and high are given together or not at all")
	}
	for _, list := range []struct {
		field  string
		values []float64
	}{{"values", r.Values}, {"low", r.Low}, {"high", r.High}} {
		if err := checkOptional(list.field, len(list.values), of, n); err != nil {
			return err
		}
		if err := checkNumbers(list.field, list.values, nil); err != nil {
			return err
		}
	}
	for i := range r.Low {
		if !(r.Low[i] <= r.Values[i] && r.Values[i] <= r.High[i]) {
			return fmt.Errorf("low[%d], values[%d] and high[%d] are not in order", i, i, i)
		}
	}
	if err := checkOptional("labels", len(r.Labels), of, n); err != nil {
		return err
	}
	if err := r.Band.check(); err != nil {
		return err
	}
	return checkLimits(r.Limits)
}

func (b *Band) check() error {
	if b == nil {
		return nil
	}
	if err := checkNumber("band.low", b.Low); err != nil {
		return err
	}
	if err := checkNumber("band.high", b.High); err != nil {
		return err
	}
	if b.Low >= b.High {
		return fmt.Errorf("band.low is not below band.high")
	}
	if strings.TrimSpace(b.Label) == "" {
		return fmt.Errorf("band.label is empty")
	}
	return nil
}

// outside tells whether the i-th value lies outside the band or passes a limit.
func (r Range) outside(i int) bool {
	v := r.Values[i]
	if r.Band != nil && (v < r.Band.Low || v > r.Band.High) {
		return true
	}
	for _, l := range r.Limits {
		if l.passedBy(v) {
			return true
		}
	}
	return false
}

const rangeRow = 30.0

// Height returns the height in pixels that suits the chart at a width.
func (r Range) Height(width int) int {
	d := &drawing{size: Size{Width: width}}
	_, n, _ := wrapAll(r.Categories, 0.3*float64(width))
	row := math.Max(rangeRow, float64(n)*lineHeight+8)
	return int(math.Ceil(r.head(d) + row*float64(len(r.Categories)) + textGap + lineHeight + 4))
}

var bandLook = look{Color: rule, Opacity: share(0.5)}

// head lays out the unit, the key and the band's edges, above the rows.
func (r Range) head(d *drawing) float64 {
	var key []keyItem
	if r.Band != nil {
		key = append(key, keyItem{sample: bandSample, text: r.Band.Label, look: bandLook})
	}
	top := d.headRow(r.Unit, append(key, limitItems(r.Limits)...))
	if r.Band != nil && r.Band.LowLabel+r.Band.HighLabel != "" {
		top += lineHeight + 2
	}
	return top
}

func (r Range) extent() (low, high float64) {
	low, high = extent(math.Inf(1), math.Inf(-1), r.Values, nil)
	low, high = extent(low, high, r.Low, nil)
	low, high = extent(low, high, r.High, nil)
	if r.Band != nil {
		low, high = math.Min(low, r.Band.Low), math.Max(high, r.Band.High)
	}
	for _, l := range r.Limits {
		low, high = math.Min(low, l.Value), math.Max(high, l.Value)
	}
	return low, high
}

func (r Range) layOut(size Size) *drawing {
	d := &drawing{size: size}
	width := float64(size.Width)
	top := r.head(d)
	names, _, wide := wrapAll(r.Categories, 0.3*width)
	low, high := r.extent()
	pad := 0.04 * (high - low)
	s := newScale(low-pad, high+pad, false, tickCount(size.Width), r.Format)
	left := math.Max(wide+textGap+4, textWidth(s.labels[0])/2)
	right := width - textWidth(s.labels[len(s.labels)-1])/2
	if r.Labels != nil {
		right = math.Min(right, width-widest(r.Labels)-textGap-4)
	}
	d.plot = box{left, top, right, float64(size.Height) - textGap - lineHeight - 4}
	d.x = axis{scale: s, line: true, ticks: true}
	d.y = axis{names: r.Categories, inverse: true, bare: true}
	if r.Band != nil {
		r.drawBand(d)
	}
	n := len(r.Categories)
	for i := range r.Categories {
		middle := place(d.plot.top, d.plot.bottom, i, n)
		d.write(names[i], left-textGap-2, middle, alignRight, ink)
		if r.Labels != nil {
			d.write(r.Labels[i], width-1, middle, alignRight, ink)
		}
		if i > 0 {
			at := d.plot.top + float64(i)*d.plot.height()/float64(n)
			d.stroke(0, at, width, at, lineLook{Color: rule, Width: 1})
		}
	}
	r.marks(d)
	d.series = append(d.series, limitSeries(r.Limits)...)
	return d
}

// marks adds a pale bar for each range and a dot for each value; a value
// outside is a diamond in the colour of what is over.
func (r Range) marks(d *drawing) {
	dots := series{kind: scatterKind, name: "values", symbol: "circle", symbolSize: 10, z: 6,
		look: look{Color: barInk, Opacity: share(1)}}
	spans := series{kind: scatterKind, name: "ranges", symbol: "rect", z: 5,
		look: look{Color: barInk, Opacity: share(0.5)}}
	for i, v := range r.Values {
		dot, span := datum{Value: []any{v, i}}, datum{}
		if r.Low != nil {
			wide := d.px(r.High[i]) - d.px(r.Low[i])
			span = datum{Value: []any{(r.Low[i] + r.High[i]) / 2, i}, SymbolSize: []float64{round1(math.Max(wide, 1)), 5}}
		}
		if r.outside(i) {
			dot.Symbol, dot.SymbolSize, dot.Look = "diamond", []float64{13, 13}, &look{Color: over, Opacity: share(1)}
			span.Look = &look{Color: over, Opacity: share(0.5)}
		}
		dots.data = append(dots.data, dot)
		spans.data = append(spans.data, span)
	}
	if r.Low != nil {
		d.series = append(d.series, spans)
	}
	d.series = append(d.series, dots)
}

// drawBand draws the band behind the rows, and names its edges above.
func (r Range) drawBand(d *drawing) {
	from, to := d.px(r.Band.Low), d.px(r.Band.High)
	d.rect(box{from, d.plot.top, to, d.plot.bottom}, map[string]any{"fill": bandLook.Color, "opacity": *bandLook.Opacity}, 1)
	edges := []struct {
		at   float64
		text string
	}{{from, r.Band.LowLabel}, {to, r.Band.HighLabel}}
	clash := (textWidth(edges[0].text)+textWidth(edges[1].text))/2 + 4 - (to - from)
	for i, e := range edges {
		d.stroke(e.at, d.plot.top-3, e.at, d.plot.bottom, lineLook{Color: rule2, Width: 1})
		if e.text == "" {
			continue
		}
		x := e.at
		if clash > 0 {
			// A narrow band: its two names move apart.
			x += []float64{-1, 1}[i] * clash / 2
		}
		half := textWidth(e.text) / 2
		x = math.Max(half, math.Min(x, float64(d.size.Width)-half))
		d.write(e.text, x, d.plot.top-4-lineHeight/2, alignCentre, ink2)
	}
}
