package report

import (
	"fmt"
	"html/template"
	"math"
	"slices"

	"auditgen/internal/audit"
	"auditgen/internal/charts"
)

// DayPair is the mean working day and the mean rest day of a season, side by
// side on one scale.
type DayPair struct{ Panels []DayPanel }

// DayPanel is the mean day of one kind in a season, stacked by use.
type DayPanel struct {
	Caption string
	Chart   template.HTML
}

// DayRow is a use's power in the parts of a day.
type DayRow struct {
	Day, Use string
	Total    bool
	KW       []string
}

// season is a run of months whose days are alike, with what each use takes on
// its mean days.
type season struct {
	months []int
	days   [2]int // by kind
	kw     [2][][24]float64
}

// quarters are the seasons of either hemisphere, December first.
var quarters = [][]int{{11, 0, 1}, {2, 3, 4}, {5, 6, 7}, {8, 9, 10}}

// alike is how far the mean days of two quarters may be apart, as a share of
// the highest power, and still be shown as one.
const alike = 0.03

// mostUses is how many uses a stack shows by name.
const mostUses = 6

// seasons joins neighbouring quarters that hardly differ.
func (v *visit) seasons(uses []audit.Use) []season {
	highest := 0.0
	var out []season
	for _, q := range quarters {
		s := v.seasonOf(uses, q)
		highest = max(highest, s.highest())
		out = append(out, s)
	}
	joined := out[:1]
	for _, s := range out[1:] {
		last := &joined[len(joined)-1]
		if last.apart(s) <= alike*highest {
			*last = v.seasonOf(uses, append(slices.Clone(last.months), s.months...))
			continue
		}
		joined = append(joined, s)
	}
	return joined
}

func (v *visit) seasonOf(uses []audit.Use, months []int) season {
	s := season{months: months}
	for kind, heat := range []audit.Heat{v.Working, v.Rest} {
		s.kw[kind] = make([][24]float64, len(uses))
		for _, m := range months {
			s.days[kind] += heat.Days[m]
		}
		for u := range uses {
			for _, m := range months {
				for h := range 24 {
					s.kw[kind][u][h] += uses[u].Day[kind][m][h] * float64(heat.Days[m]) / math.Max(1, float64(s.days[kind]))
				}
			}
		}
	}
	return s
}

// total is the power of all uses in an hour.
func (s season) total(kind, hour int) float64 {
	sum := 0.0
	for _, kw := range s.kw[kind] {
		sum += kw[hour]
	}
	return sum
}

func (s season) highest() float64 {
	most := 0.0
	for kind := range s.kw {
		for h := range 24 {
			most = max(most, s.total(kind, h))
		}
	}
	return most
}

// apart is the greatest difference of any use's power in any hour.
func (s season) apart(o season) float64 {
	most := 0.0
	for kind := range s.kw {
		if s.days[kind] == 0 || o.days[kind] == 0 {
			continue
		}
		for u := range s.kw[kind] {
			for h := range 24 {
				most = max(most, math.Abs(s.kw[kind][u][h]-o.kw[kind][u][h]))
			}
		}
	}
	return most
}

func (f format) seasonName(s season) string {
	if len(s.months) == 12 {
		return f.S("all year")
	}
	return f.F("%s to %s", f.monthName(s.months[0]), f.monthName(s.months[len(s.months)-1]))
}

// dayUses are the uses as a stack shows them: the largest by name, the rest
// together.
func (f format) dayUses(uses []audit.Use) []audit.Use {
	var out []audit.Use
	for _, u := range uses {
		if len(out) < mostUses || len(uses) == mostUses {
			out = append(out, u)
			continue
		}
		rest := &out[mostUses-1]
		rest.Name = f.S("other uses")
		for kind := range rest.Day {
			for m := range 12 {
				for h := range 24 {
					rest.Day[kind][m][h] += u.Day[kind][m][h]
				}
			}
		}
	}
	return out
}

// kindWord names a kind of day.
func (f format) kindWord(kind int) string {
	if kind == 0 {
		return f.S("working day")
	}
	return f.S("rest day")
}

// dayPairs draws the mean days and writes them as numbers.
func (v *visit) dayPairs(s *WhenSection) {
	uses := v.dayUses(v.Uses)
	seasons := v.seasons(uses)
	reach := 0.0
	for _, x := range seasons {
		reach = max(reach, x.highest())
	}
	if reach == 0 {
		return
	}
	s.DayBlocks = dayBlocks()
	for i, x := range seasons {
		pair := DayPair{}
		for kind := range x.kw {
			if x.days[kind] == 0 {
				continue
			}
			message := v.dayMessage(x, uses, kind)
			c := charts.Lines{Steps: true, Stacked: true, Unit: "kW", Format: v.axis, Reach: reach, Unnamed: len(pair.Panels) > 0,
				Text: charts.Text{Title: message, Description: v.S("Mean power by hour of the day, stacked by use. The table below has the numbers.")}}
			for h := range 25 {
				c.X = append(c.X, fmt.Sprintf("%02d", h))
			}
			for u, use := range uses {
				c.Series = append(c.Series, charts.Series{Name: capital(use.Name), Values: x.kw[kind][u][:]})
			}
			svg, err := v.draw.Draw(c, fmt.Sprintf("chart-day-%d-%d", i+1, kind+1), charts.Size{Width: narrowChart})
			if err != nil {
				v.fail(err)
				return
			}
			pair.Panels = append(pair.Panels, DayPanel{message, trusted(svg)})
			s.DayRows = append(s.DayRows, v.dayRows(x, uses, kind)...)
		}
		s.Days = append(s.Days, pair)
	}
}

// dayMessage says what a mean day shows.
func (v *visit) dayMessage(x season, uses []audit.Use, kind int) string {
	at := 0
	for h := range 24 {
		if x.total(kind, h) > x.total(kind, at)+1e-9 {
			at = h
		}
	}
	largest := 0
	for u := range uses {
		if x.kw[kind][u][at] > x.kw[kind][largest][at] {
			largest = u
		}
	}
	high := x.total(kind, at)
	when := v.dayName(x, kind)
	switch share := x.kw[kind][largest][at] / math.Max(high, 1e-9); {
	case high < 0.05:
		return v.F("%s: next to nothing runs", when)
	case len(uses) == 1:
		return v.F("%s: up to %s at %s", when, v.withUnit(v.kilowatts(high), "kW"), hour(at))
	case share > 0.5:
		return v.F("%s: up to %s at %s, most of it %s", when, v.withUnit(v.kilowatts(high), "kW"), hour(at), lower(uses[largest].Name))
	default:
		return v.F("%s: up to %s at %s, with %s the largest part", when, v.withUnit(v.kilowatts(high), "kW"), hour(at), lower(uses[largest].Name))
	}
}

// dayName names the mean day of a kind in a season.
func (f format) dayName(x season, kind int) string {
	return capital(f.F("%s, %s", f.kindWord(kind), f.seasonName(x)))
}

// dayPart is the length of the parts of a day in the table, h.
const dayPart = 3

func dayBlocks() []string {
	var out []string
	for h := 0; h < 24; h += dayPart {
		out = append(out, fmt.Sprintf("%02d–%02d", h, h+dayPart))
	}
	return out
}

func (v *visit) dayRows(x season, uses []audit.Use, kind int) []DayRow {
	day := v.dayName(x, kind)
	var rows []DayRow
	row := func(name string, total bool, kw func(hour int) float64) {
		r := DayRow{Day: day, Use: name, Total: total}
		for h := 0; h < 24; h += dayPart {
			sum := 0.0
			for k := range dayPart {
				sum += kw(h + k)
			}
			r.KW = append(r.KW, v.kilowatts(sum/dayPart))
		}
		rows = append(rows, r)
	}
	for u := range uses {
		row(capital(uses[u].Name), false, func(h int) float64 { return x.kw[kind][u][h] })
	}
	row(v.S("All uses"), true, func(h int) float64 { return x.total(kind, h) })
	return rows
}

// night lists what runs when nobody works.
func (v *visit) night(s *WhenSection) {
	total := 0.0
	for _, x := range v.Night {
		total += x.Value
	}
	days := 0
	for _, n := range v.Rest.Days {
		days += n
	}
	if days == 0 || total < 0.05 {
		return
	}
	shares := v.fewer(v.Night)
	greatest := 0.0
	for _, x := range shares {
		greatest = max(greatest, x.Value)
	}
	for _, x := range shares {
		s.Night = append(s.Night, ShareRow{Name: capital(x.Name), KW: v.kilowatts(x.Value), Bar: plainBar(x.Value, greatest, false)})
	}
	runs := v.withUnit(v.kilowatts(total), "kW")
	s.NightHead = v.F("After midnight on rest days %s still run", runs)
	if first := v.Night[0]; len(v.Night) > 1 && first.Value > total/2 {
		s.NightHead = v.F("After midnight on rest days %s still run, most of it %s", runs, lower(first.Name))
	}
}
