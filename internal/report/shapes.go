package report

import (
	"html/template"
	"math"
	"strconv"
	"strings"

	"auditgen/internal/audit"
	"auditgen/internal/charts"
)

// share writes a part of a width for an SVG attribute: "84.03%".
func width(part float64) string {
	if !finite(part) {
		part = 0
	}
	text := strconv.FormatFloat(math.Min(1, math.Max(0, part))*100, 'f', 2, 64)
	return strings.TrimRight(strings.TrimRight(text, "0"), ".") + "%"
}

// Bar is a bar in a table: solid to the low end of the interval, pale to its
// high end, with a tick at the best estimate. Without an interval only Solid is
// set.
type Bar struct {
	Solid, Pale, Tick string
	Hatched           bool // told apart by hatching
}

// intervalBar draws an interval against the greatest high end.
func intervalBar(i audit.Interval, greatest float64) *Bar {
	if greatest <= 0 || !finite(i.Value) {
		return nil
	}
	return &Bar{Solid: width(i.Low / greatest), Pale: width(i.High / greatest), Tick: width(i.Value / greatest)}
}

func plainBar(v, greatest float64, hatched bool) *Bar {
	if greatest <= 0 || v <= 0 {
		return nil
	}
	return &Bar{Solid: width(v / greatest), Hatched: hatched}
}

// Strip is the interval of a key figure on an axis from zero to its high end.
type Strip struct{ From, To, At string }

func strip(i audit.Interval) *Strip {
	if i.High <= 0 || i.Low < 0 || !finite(i.Value) {
		return nil
	}
	return &Strip{From: width(i.Low / i.High), To: "100%", At: width(i.Value / i.High)}
}

// Figure is a chart, drawn for a wide page and for a phone; the style shows the
// one that fits. Its caption is the message.
type Figure struct {
	ID, Caption  string
	Wide, Narrow template.HTML
}

// The widths at which charts are drawn, in CSS pixels.
const (
	wideChart   = 800
	narrowChart = 360
)

// figure draws a chart at both widths. A chart that cannot be drawn is a fault
// of the program: it is kept and stops the build.
func (v *visit) figure(id, caption string, c charts.Chart) *Figure {
	f := &Figure{ID: id, Caption: caption}
	wide, err := v.draw.Draw(c, id+"-w", charts.Size{Width: wideChart})
	if err != nil {
		v.fail(err)
		return nil
	}
	narrow, err := v.draw.Draw(c, id+"-n", charts.Size{Width: narrowChart})
	if err != nil {
		v.fail(err)
		return nil
	}
	f.Wide, f.Narrow = trusted(wide), trusted(narrow)
	return f
}

func (v *visit) fail(err error) {
	if v.chart == nil {
		v.chart = err
	}
}

// axis writes the numbers of a chart's axis.
func (v *visit) axis(value float64, decimals int) string { return v.number(value, decimals) }
