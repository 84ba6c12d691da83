// Package charts draws a report's charts: a typed chart definition becomes an
// option of go-echarts, and the option is drawn by Apache ECharts, inside the
// program, as an SVG that needs no script and no style sheet of its own.
//
// Colours are custom properties that the page's theme defines, so one drawing
// serves light, dark, print and any brand: --paper, --ink, --ink2, --rule,
// --rule2, --bar, --over, --accent, the heat ramp --q0 to --q6 and the series
// colours --c1 to --c8. Every colour that tells things apart has a pattern or
// a shape beside it, so a grey print tells them apart too.
//
// The same chart, id and size give the same bytes. The library is built from
// its published packages by one command, which needs node; go build does not:
//
//	sh internal/charts/bundle/build.sh
package charts

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// SVG is one drawn chart: a complete svg element, safe to place in a page as
// it is. Only this package makes one.
type SVG string

// Size is the size of a drawing in CSS pixels. A chart is drawn for the width
// at which it is shown, since text is 12 px in the drawing: 900 for a desktop
// page and 360 for a phone are usual. A Height of 0 takes the chart's own.
type Size struct {
	Width, Height int
}

// Text is what a reader who does not see the chart is told.
type Text struct {
	Title       string // the message, needed
	Description string // what is plotted, its range and its extremes
}

// Chart is one of HeatMap, StackedBars, Bars, Spectrum, Lines, Range and Phasors.
type Chart interface {
	// Height returns the height in pixels that suits the chart at a width.
	Height(width int) int

	text() Text
	check() error
	layOut(size Size) *drawing
}

// Format writes a number of an axis with a count of decimals, in the reader's
// language. Where it is nil numbers are written plainly: 1200.5, with a true
// minus sign.
type Format func(value float64, decimals int) string

func (f Format) write(value float64, decimals int) string {
	if value == 0 {
		value = 0 // no minus sign on zero
	}
	if f != nil {
		return f(value, decimals)
	}
	return strings.Replace(strconv.FormatFloat(value, 'f', decimals, 64), "-", "\u2212", 1)
}

// Series is one named row of values, one for each category. Where Absent is
// set it has as many entries as Values, and the value of a true entry is not
// drawn: absent is not zero.
type Series struct {
	Name   string
	Values []float64
	Absent []bool
}

// Limit is a line across the chart that values are held against.
type Limit struct {
	Value float64
	Label string // as printed: "limit 7 %"
	// Lower says that values below the limit are the bad ones.
	Lower bool
}

func (l Limit) passedBy(value float64) bool {
	if l.Lower {
		return value < l.Value
	}
	return value > l.Value
}

// maxSeries is the number of colours and patterns that can be told apart.
const maxSeries = 8

func checkText(t Text) error {
	if strings.TrimSpace(t.Title) == "" {
		return fmt.Errorf("text.title is empty: a chart needs a title for readers who do not see it")
	}
	return nil
}

// checkNumbers refuses values that no axis has a place for. A nil list of
// absences means that all are present.
func checkNumbers(field string, values []float64, absent []bool) error {
	if absent != nil && len(absent) != len(values) {
		return fmt.Errorf("%s has %d values but %d marks of absence", field, len(values), len(absent))
	}
	for i, v := range values {
		if absent != nil && absent[i] {
			continue
		}
		if err := checkNumber(fmt.Sprintf("%s[%d]", field, i), v); err != nil {
			return err
		}
	}
	return nil
}

func checkNumber(field string, v float64) error {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Errorf("%s is not a finite number", field)
	}
	return nil
}

func checkLength(field string, got int, of string, want int) error {
	if got != want {
		return fmt.Errorf("%s has %d entries but %s has %d", field, got, of, want)
	}
	return nil
}

// checkOptional is checkLength for a list that may be left out.
func checkOptional(field string, got int, of string, want int) error {
	if got == 0 {
		return nil
	}
	return checkLength(field, got, of, want)
}

func checkSeries(series []Series, of string, want int) error {
	if len(series) == 0 {
		return fmt.Errorf("series is empty")
	}
	if len(series) > maxSeries {
		return fmt.Errorf("series has %d entries; more than %d cannot be told apart", len(series), maxSeries)
	}
	taken := map[string]bool{}
	for i, s := range series {
		if taken[s.Name] {
			return fmt.Errorf("series[%d].name %q is the name of another series", i, s.Name)
		}
		taken[s.Name] = true
		field := fmt.Sprintf("series[%d].values", i)
		if strings.TrimSpace(s.Name) == "" {
			return fmt.Errorf("series[%d].name is empty", i)
		}
		if err := checkLength(field, len(s.Values), of, want); err != nil {
			return err
		}
		if err := checkNumbers(field, s.Values, s.Absent); err != nil {
			return err
		}
	}
	return nil
}

func checkLimits(limits []Limit) error {
	for i, l := range limits {
		if err := checkNumber(fmt.Sprintf("limits[%d].value", i), l.Value); err != nil {
			return err
		}
		if strings.TrimSpace(l.Label) == "" {
			return fmt.Errorf("limits[%d].label is empty", i)
		}
	}
	return nil
}

func isAbsent(absent []bool, i int) bool { return absent != nil && absent[i] }
