package charts

import (
	"math"

	"github.com/go-echarts/go-echarts/v2/opts"
)

// drawing is a chart laid out in pixels, ready to become an option.
type drawing struct {
	size    Size
	plot    box
	x, y    axis
	series  []series
	graphic []graphic
	key     []legend
	classes int // of the heat ramp; 0 where there is none
}

// axis is one axis of the plot: a category axis where names is set, else a
// value axis with the ticks of its scale.
type axis struct {
	names   []string // a category axis; "" leaves a place without a label
	edges   bool     // the names stand at the edges of the places, not in them
	inverse bool     // the first category on top
	scale   scale
	bare    bool // no labels, ticks or grid lines
	line    bool // the axis line
	grid    bool // hairlines at the ticks
	ticks   bool // short marks at the ticks
}

// seriesKind is a series type that the drawing library was built with. It
// draws nothing, and says nothing, for any other.
type seriesKind string

const (
	barKind     seriesKind = "bar"
	lineKind    seriesKind = "line"
	scatterKind seriesKind = "scatter"
	heatKind    seriesKind = "heatmap"
)

// series is one series of marks of one kind.
type series struct {
	kind     seriesKind
	name     string
	stack    string
	data     []datum
	look     look
	barWidth float64
	barGap   string
	z        int

	symbol     string
	symbolSize any // a number, or width and height

	line *lineLook // of a line series
	step string
	area *areaLook

	rules []ruleMark
}

// marks is the number of marks that the library must draw for the series.
func (s series) marks() int {
	n := len(s.rules)
	if s.kind == lineKind && s.symbol == "" {
		return n
	}
	for _, d := range s.data {
		if d.Value != nil {
			n++
		}
	}
	return n
}

// datum is one value: a number, or its place and value, or nil for absent.
type datum struct {
	Value any   `json:"value"`
	Look  *look `json:"itemStyle,omitempty"`
	// Symbol replaces the series' symbol at this point.
	Symbol     string    `json:"symbol,omitempty"`
	SymbolSize []float64 `json:"symbolSize,omitempty"`
}

// look is the style of a mark; go-echarts' own has no decal.
type look struct {
	Color       string   `json:"color,omitempty"`
	Opacity     *float64 `json:"opacity,omitempty"`
	BorderColor string   `json:"borderColor,omitempty"`
	BorderWidth float64  `json:"borderWidth,omitempty"`
	Decal       *decal   `json:"decal,omitempty"`
}

type lineLook struct {
	Color string  `json:"color"`
	Width float64 `json:"width"`
	Type  any     `json:"type"`
	Cap   string  `json:"cap,omitempty"`
}

type areaLook struct {
	Color   string  `json:"color"`
	Opacity float64 `json:"opacity"`
}

// ruleMark is a line across the whole plot at a value of the value axis.
type ruleMark struct {
	value float64
	line  lineLook
}

// graphic is a text, line or rectangle at a place in pixels.
type graphic struct {
	Type   string         `json:"type"`
	X      float64        `json:"x"`
	Y      float64        `json:"y"`
	Z      int            `json:"z"`
	Silent bool           `json:"silent"`
	Shape  map[string]any `json:"shape,omitempty"`
	Style  map[string]any `json:"style"`
}

// legend is the key to one series, placed by pixels.
type legend struct {
	series    string
	left, top float64
	icon      string
	width     float64
	height    float64
}

type align string

const (
	alignLeft   align = "left"
	alignCentre align = "center"
	alignRight  align = "right"
)

// write adds a text; y is the middle of its line.
func (d *drawing) write(text string, x, y float64, to align, colour string) {
	d.graphic = append(d.graphic, graphic{Type: "text", X: round1(x), Y: round1(y), Z: 20, Silent: true,
		Style: map[string]any{"text": cleanText(text), "fill": colour, "textAlign": string(to),
			"textVerticalAlign": "middle", "fontSize": fontSize, "fontFamily": "inherit"}})
}

// writeOver adds a text that may cross a line: a halo of paper keeps it
// readable.
func (d *drawing) writeOver(text string, x, y float64, to align) {
	d.write(text, x, y, to, ink)
	style := d.graphic[len(d.graphic)-1].Style
	style["stroke"], style["lineWidth"] = paper, 4
}

func (d *drawing) stroke(x1, y1, x2, y2 float64, line lineLook) {
	style := map[string]any{"stroke": line.Color, "lineWidth": line.Width}
	if dash, ok := line.Type.([]int); ok {
		style["lineDash"] = dash
	}
	d.graphic = append(d.graphic, graphic{Type: "line", Z: 15, Silent: true, Style: style,
		Shape: map[string]any{"x1": round1(x1), "y1": round1(y1), "x2": round1(x2), "y2": round1(y2)}})
}

func (d *drawing) rect(b box, style map[string]any, z int) {
	d.graphic = append(d.graphic, graphic{Type: "rect", Z: z, Silent: true, Style: style,
		Shape: map[string]any{"x": round1(b.left), "y": round1(b.top), "width": round1(b.width()), "height": round1(b.height())}})
}

// px returns the pixel of a value on a value axis of the plot.
func (d *drawing) px(value float64) float64 {
	return d.plot.left + d.x.scale.share(value)*d.plot.width()
}

func (d *drawing) py(value float64) float64 {
	return d.plot.bottom - d.y.scale.share(value)*d.plot.height()
}

// place returns the middle of the i-th of n places between two pixels.
func place(from, to float64, i, n int) float64 {
	return from + (to-from)*(float64(i)+0.5)/float64(n)
}

func round1(v float64) float64 { return math.Round(v*10) / 10 }

func share(v float64) *float64 { return &v }

// data makes one datum of each value and nothing of an absent one.
func data(values []float64, absent []bool) []datum {
	out := make([]datum, len(values))
	for i, v := range values {
		if !isAbsent(absent, i) {
			out[i].Value = v
		}
	}
	return out
}

func show(v bool) *bool { return opts.Bool(v) }
