package charts

import (
	"fmt"
	"math"
	"strings"
)

// Phasors shows voltages and currents as arrows from one point, the first voltage
// to the right, angles growing anticlockwise. Voltages reach for the outer
// circle, currents for the inner one: the two have scales of their own.
type Phasors struct {
	Text     Text
	Voltages []Vector
	Currents []Vector // may be empty
	// Names of the two in the key, with their scales: "voltage, circle 233 V".
	VoltageKey, CurrentKey string
}

// Vector is one phasor.
type Vector struct {
	Label string
	Size  float64 // in the unit of its kind, above 0
	Angle float64 // degrees, on one reference
}

func (p Phasors) text() Text { return p.Text }

func (p Phasors) check() error {
	if len(p.Voltages) == 0 {
		return fmt.Errorf("voltages is empty")
	}
	if strings.TrimSpace(p.VoltageKey) == "" || len(p.Currents) > 0 && strings.TrimSpace(p.CurrentKey) == "" {
		return fmt.Errorf("a key is empty: the arrows need their names and scales")
	}
	for k, vs := range [2][]Vector{p.Voltages, p.Currents} {
		field := [2]string{"voltages", "currents"}[k]
		for i, v := range vs {
			if err := checkNumber(fmt.Sprintf("%s[%d].size", field, i), v.Size); err != nil {
				return err
			}
			if err := checkNumber(fmt.Sprintf("%s[%d].angle", field, i), v.Angle); err != nil {
				return err
			}
			if v.Size <= 0 || strings.TrimSpace(v.Label) == "" {
				return fmt.Errorf("%s[%d] has no size or no label", field, i)
			}
		}
	}
	return nil
}

// mostAcross is the greatest width of the drawing's circle with its labels, px.
const mostAcross = 420

// Height returns the height in pixels that suits the chart at a width.
func (p Phasors) Height(width int) int {
	d := &drawing{size: Size{Width: width}}
	return int(d.headRow("", p.key())) + int(math.Min(p.across(width), 0.8*float64(width)))
}

func (p Phasors) across(width int) float64 { return math.Min(mostAcross, float64(width)) }

var (
	voltageArrow = lineLook{Color: barInk, Width: 2.5, Type: "solid"}
	currentArrow = lineLook{Color: ink, Width: 2, Type: []int{6, 3}}
)

func (p Phasors) key() []keyItem {
	items := []keyItem{{sample: lineSample, text: p.VoltageKey, line: voltageArrow}}
	if len(p.Currents) > 0 {
		items = append(items, keyItem{sample: lineSample, text: p.CurrentKey, line: currentArrow})
	}
	return items
}

// reach is the radius of the circle of voltages, and inner that of currents, as
// shares of half the plot; the rest is for labels.
const (
	reach = 0.80
	inner = 0.56
)

func (p Phasors) layOut(size Size) *drawing {
	d := &drawing{size: size}
	top := d.headRow("", p.key())
	side := math.Min(p.across(size.Width), float64(size.Height)-top)
	widest := 0.0
	for _, v := range append(append([]Vector{}, p.Voltages...), p.Currents...) {
		widest = math.Max(widest, textWidth(v.Label))
	}
	// Labels beyond the outer circle stay within the drawing.
	side = math.Min(side, 2*(float64(size.Width)/2-widest-labelGap-2)/reach)
	left := (float64(size.Width) - side) / 2
	d.plot = box{left, top, left + side, top + side}
	d.x = axis{scale: scale{min: -1, max: 1, step: 1}, bare: true}
	d.y = axis{scale: scale{min: -1, max: 1, step: 1}, bare: true}
	cx, cy, r := left+side/2, top+side/2, side/2
	d.circle(cx, cy, r*reach)
	if len(p.Currents) > 0 {
		d.circle(cx, cy, r*inner)
	}
	hairline := lineLook{Color: rule, Width: 1, Type: "solid"}
	d.stroke(cx-r*reach, cy, cx+r*reach, cy, hairline)
	d.stroke(cx, cy-r*reach, cx, cy+r*reach, hairline)
	d.arrows("voltages", p.Voltages, reach, 0, voltageArrow, "circle")
	d.arrows("currents", p.Currents, inner, -13, currentArrow, "diamond")
	return d
}

func (d *drawing) circle(x, y, r float64) {
	d.graphic = append(d.graphic, graphic{Type: "circle", Z: 1, Silent: true,
		Style: map[string]any{"fill": "none", "stroke": rule, "lineWidth": 1},
		Shape: map[string]any{"cx": round1(x), "cy": round1(y), "r": round1(r)}})
}

// labelGap lies between a tip and its label, px.
const labelGap = 14

// arrows draws vectors with the longest at a radius. Their labels stand beyond
// the tips, turned aside by some degrees.
func (d *drawing) arrows(name string, vs []Vector, radius, aside float64, line lineLook, tip string) {
	if len(vs) == 0 {
		return
	}
	most := 0.0
	for _, v := range vs {
		most = math.Max(most, v.Size)
	}
	tips := series{kind: scatterKind, name: name, symbol: tip, symbolSize: 8, look: look{Color: line.Color, Opacity: share(1)}, z: 18}
	half := d.plot.width() / 2
	cx, cy := d.plot.left+half, d.plot.top+half
	for _, v := range vs {
		sin, cos := math.Sincos(v.Angle * math.Pi / 180)
		at := radius * v.Size / most
		x, y := at*cos, at*sin
		d.stroke(cx, cy, cx+x*half, cy-y*half, line)
		tips.data = append(tips.data, datum{Value: []any{math.Round(x*1e4) / 1e4, math.Round(y*1e4) / 1e4}})
		sin, cos = math.Sincos((v.Angle + aside) * math.Pi / 180)
		to := alignCentre
		switch {
		case cos > 0.3:
			to = alignLeft
		case cos < -0.3:
			to = alignRight
		}
		d.writeOver(v.Label, cx+(at*half+labelGap)*cos, cy-(at*half+labelGap)*sin, to)
	}
	d.series = append(d.series, tips)
}
