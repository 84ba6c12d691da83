package report

import (
	"fmt"
	"math"
	"strconv"

	"auditgen/internal/audit"
	"auditgen/internal/charts"
)

// WhenSection says when the energy is used.
type WhenSection struct {
	Section
	Intro  []string
	Figure *Figure
	Hours  []HourRow
	Months []string

	Days      []DayPair
	DayBlocks []string
	DayRows   []DayRow
	Night     []ShareRow
	NightHead string
}

// HourRow is an hour of the day over the months.
type HourRow struct {
	Hour string
	KW   []string
}

func (v *visit) when() WhenSection {
	day := meanDay(v.Working)
	peakHour, low := -1, math.Inf(1)
	for h, kw := range day {
		if peakHour < 0 || kw > day[peakHour] {
			peakHour = h
		}
		low = math.Min(low, kw)
	}
	if peakHour < 0 {
		s := WhenSection{Section: v.section("when", v.whenHeading(-1, 0, 0))}
		s.Intro = []string{v.S("It needs loads with their calendars.")}
		return s
	}
	s := WhenSection{Section: v.section("when", v.whenHeading(peakHour, day[peakHour], low))}
	s.Intro = v.restSentences()
	s.Figure = v.heatFigure(s.Heading)
	s.Hours = v.hourRows()
	for m := range 12 {
		s.Months = append(s.Months, v.monthShort(m))
	}
	v.dayPairs(&s)
	v.night(&s)
	return s
}

// meanDay is the mean power by hour over the months that have such days; nil
// when none has, or nothing is used.
func meanDay(h audit.Heat) []float64 {
	days, any := 0, false
	sum := make([]float64, 24)
	for m := range h.KW {
		days += h.Days[m]
		for hr, kw := range h.KW[m] {
			sum[hr] += kw * float64(h.Days[m])
			any = any || kw > 0
		}
	}
	if days == 0 || !any {
		return nil
	}
	for hr := range sum {
		sum[hr] /= float64(days)
	}
	return sum
}

func (v *visit) restSentences() []string {
	var out []string
	if rest := meanDay(v.Rest); rest != nil {
		mean := 0.0
		for _, kw := range rest {
			mean += kw / 24
		}
		days := 0
		for _, n := range v.Rest.Days {
			days += n
		}
		out = append(out, v.F("On the %s rest days of the year (weekends, holidays, shutdowns) the site still takes %s on average.", v.plain(float64(days), 0), v.withUnit(v.kilowatts(mean), "kW")))
	}
	if known(v.BaseLoad) && known(v.Energy) && v.Energy.Value > 0 {
		share := v.BaseLoad.Value * v.hoursOfYear() / v.Energy.Value
		out = append(out, v.F("What never stops, the base load, is %s (%s), %s of the year’s energy.", v.withUnit(best(v.plain, v.BaseLoad), "kW"), v.span(v.plain, v.BaseLoad), v.portion(share)))
	}
	return out
}

func (v *visit) hoursOfYear() float64 {
	days := 0
	for m := range 12 {
		days += v.Working.Days[m] + v.Rest.Days[m]
	}
	return float64(days) * 24
}

// kilowatts writes a modelled power: whole from ten on, else one decimal.
func (v *visit) kilowatts(kw float64) string {
	if math.Abs(kw) >= 10 {
		return v.plain(kw, 0)
	}
	return v.plain(kw, 1)
}

func (v *visit) heatFigure(message string) *Figure {
	h := charts.HeatMap{Unit: "kW", Format: v.axis}
	var low, high float64
	var at [2]int
	first := true
	for m := range 12 {
		h.YLabels = append(h.YLabels, v.monthShort(m))
		absent := make([]bool, 24)
		for hr := range 24 {
			absent[hr] = v.Working.Days[m] == 0
			kw := v.Working.KW[m][hr]
			if absent[hr] {
				continue
			}
			if first || kw > high {
				high, at = kw, [2]int{m, hr}
			}
			if first || kw < low {
				low = kw
			}
			first = false
		}
		h.Absent = append(h.Absent, absent)
		h.Values = append(h.Values, append([]float64(nil), v.Working.KW[m][:]...))
	}
	for hr := range 24 {
		h.XLabels = append(h.XLabels, fmt.Sprintf("%02d", hr))
	}
	h.Steps = steps(low, high)
	h.Text = charts.Text{
		Title: message,
		Description: v.F("Mean power on a working day by hour and month. Highest %s kW, at %s in %s; lowest %s kW. The table below has the numbers.",
			v.kilowatts(high), hour(at[1]), v.monthName(at[0]), v.kilowatts(low)),
	}
	return v.figure("chart-when", v.S("Mean power on a working day, kW, by hour of day and month"), h)
}

// steps are six even edges of round numbers between low and high.
func steps(low, high float64) []float64 {
	if high-low <= 1e-9*high {
		low = 0 // a flat day still stands in some class, whatever its last bits
	}
	size := niceStep((high - low) / charts.Classes)
	start := (math.Floor(low/size) + 1) * size
	out := make([]float64, charts.Classes-1)
	for i := range out {
		out[i], _ = strconv.ParseFloat(strconv.FormatFloat(start+float64(i)*size, 'g', 10, 64), 64)
	}
	return out
}

// niceStep is the least of 1, 2, 2.5 and 5 times a power of ten that is not
// below x.
func niceStep(x float64) float64 {
	if x <= 0 || !finite(x) {
		return 1
	}
	unit := math.Pow10(exponent(x))
	for _, n := range []float64{1, 2, 2.5, 5} {
		if n*unit >= x*(1-1e-9) {
			return n * unit
		}
	}
	return 10 * unit
}

func (v *visit) hourRows() []HourRow {
	var rows []HourRow
	for h := range 24 {
		row := HourRow{Hour: hour(h)}
		for m := range 12 {
			text := "–"
			if v.Working.Days[m] > 0 {
				text = v.kilowatts(v.Working.KW[m][h])
			}
			row.KW = append(row.KW, text)
		}
		rows = append(rows, row)
	}
	return rows
}

func pow10(n int) float64 { return math.Pow10(n) }
