package report

import (
	"math"

	"auditgen/internal/audit"
	"auditgen/internal/charts"
)

// DemandSection says how high the demand gets, month by month, and who makes it.
type DemandSection struct {
	Section
	Intro   []string
	Figure  *Figure
	Rows    []DemandRow
	Caption string
	By      []ShareRow
	ByHead  string
	Naive   string

	Curve     *Figure
	CurveHead string
	CurveRows []CurveRow
	Factors   []FactorRow
}

// DemandRow is the demand of a month.
type DemandRow struct{ Month, KW, KWRange, KVA, KVARange, Hour, Day, MadeOf string }

// ShareRow is a load's part of the highest demand.
type ShareRow struct {
	Name, KW string
	Bar      *Bar
}

func (v *visit) demand() DemandSection {
	agreed := float64(v.Record.Site.Supply.Agreed.Value.Value) / 1000
	inKVA := true
	known12 := 0
	for _, m := range v.Months {
		inKVA = inKVA && known(m.PeakKVA)
		if known(m.PeakKW) {
			known12++
		}
	}
	over := 0
	for _, m := range v.Months {
		if agreed > 0 && known(m.PeakKVA) && m.PeakKVA.Value > agreed {
			over++
		}
	}
	hold := agreed > 0 && inKVA
	peakMonth := v.PeakMonth
	if v.MonthsAlike() {
		peakMonth = -1
	}
	s := DemandSection{Section: v.section("demand", v.demandHeading(known12, over, hold, peakMonth))}
	if known12 == 0 {
		s.Intro = []string{v.S("The highest demand of a month follows from which loads may run together; it needs loads with power, calendars and duties.")}
		return s
	}
	s.Intro = []string{v.S("Machines that come and go seldom run all at once. The demand expected here is the mean of the highest demands that chance gives when each load runs by its calendar and duty.")}
	if names := v.monthsLogged(); len(names) > 0 {
		s.Intro = append(s.Intro, v.F("As logged, not expected: %s.", v.list(names)))
	}
	s.Figure = v.demandFigure(s.Heading, inKVA, hold, agreed)
	for _, m := range v.Months {
		s.Rows = append(s.Rows, v.demandRow(m))
	}
	v.peakMakers(&s)
	v.curve(&s)
	s.Factors = v.factorRows()
	return s
}

func (v *visit) demandFigure(message string, inKVA, hold bool, agreed float64) *Figure {
	b := charts.Bars{Sequence: true, Unit: "kW", Format: v.axis}
	of := func(m audit.Month) audit.Interval { return m.PeakKW }
	if inKVA {
		of = func(m audit.Month) audit.Interval { return m.PeakKVA }
		b.Unit = "kVA"
	}
	high := 0
	for i, m := range v.Months {
		x := of(m)
		if !known(x) {
			return nil
		}
		b.Categories = append(b.Categories, v.monthShort(m.Month))
		b.Values = append(b.Values, x.Value)
		b.Low, b.High = append(b.Low, math.Max(0, x.Low)), append(b.High, x.High)
		b.Labels = append(b.Labels, best(v.plain, x))
		if x.Value > of(v.Months[high]).Value {
			high = i
		}
	}
	if hold {
		b.Limits = []charts.Limit{{Value: agreed, Label: v.F("agreed %s", v.withUnit(v.sig(agreed, 4), "kVA"))}}
	}
	b.Text = charts.Text{Title: message, Description: v.F("Highest demand of each month with its interval; the highest is %s in %s. The table below has the numbers.",
		v.withUnit(best(v.plain, of(v.Months[high])), b.Unit), v.monthName(v.Months[high].Month))}
	return v.figure("chart-demand", v.F("Highest demand of each month, %s: solid to the low end of the interval, pale to its high end", b.Unit), b)
}

func (v *visit) demandRow(m audit.Month) DemandRow {
	row := DemandRow{Month: v.monthWords(m), Hour: v.S("any"), Day: v.peakDay(m), MadeOf: madeOf(m)}
	if m.PeakHour >= 0 {
		row.Hour = hour(m.PeakHour)
	}
	if known(m.PeakKW) {
		row.KW, row.KWRange = best(v.plain, m.PeakKW), v.span(v.plain, m.PeakKW)
	}
	if known(m.PeakKVA) {
		row.KVA, row.KVARange = best(v.plain, m.PeakKVA), v.span(v.plain, m.PeakKVA)
	}
	return row
}

// mostMakers is how many loads of the peak are listed by name.
const mostMakers = 8

// peakMakers lists what the year's highest demand is made of, and the two
// answers that simpler reckoning gives.
func (v *visit) peakMakers(s *DemandSection) {
	i := peakIndex(v.Months)
	if i < 0 {
		return
	}
	m := v.Months[i]
	peak := m.ExpectedPeak()
	if known(peak) && m.SumOfAll > 0 {
		s.Naive = v.F("In %s the averages of all loads add up to %s, which is too low for a peak; all loads at full power add up to %s, which never happens. The expected highest demand is %s.",
			v.monthName(m.Month), v.withUnit(v.kilowatts(m.SumOfAverages), "kW"), v.withUnit(v.kilowatts(m.SumOfAll), "kW"), v.withUnit(best(v.plain, peak), "kW"))
		if m.SumOfAll < 1.01*peak.Value {
			s.Naive = v.F("In %s the averages of all loads add up to %s, which is too low for a peak; all of them may well run at once, and then take %s.",
				v.monthName(m.Month), v.withUnit(v.kilowatts(m.SumOfAverages), "kW"), v.withUnit(best(v.plain, peak), "kW"))
		}
	}
	if len(m.PeakBy) == 0 {
		return
	}
	s.ByHead = v.F("What makes the peak in %s", v.monthName(m.Month))
	if m.Logged() {
		s.ByHead = v.F("What the model makes the peak in %s of", v.monthName(m.Month))
	}
	s.ByHead += v.peakTime(m)
	shares := v.fewer(m.PeakBy)
	values, greatest := make([]float64, len(shares)), 0.0
	for k, x := range shares {
		values[k] = x.Value
		greatest = math.Max(greatest, x.Value)
	}
	printed := addUp(values, placeOf(peak))
	for k, x := range shares {
		s.By = append(s.By, ShareRow{Name: capital(x.Name), KW: rounded(v.plain, printed[k], placeOf(peak)), Bar: plainBar(x.Value, greatest, false)})
	}
}

// peakIndex is the month with the highest demand, -1 when none is known.
func peakIndex(months []audit.Month) int {
	at := -1
	for i, m := range months {
		if known(m.PeakKW) && (at < 0 || m.PeakKW.Value > months[at].PeakKW.Value) {
			at = i
		}
	}
	return at
}

// peakTime says when a month's highest demand is likeliest.
func (v *visit) peakTime(m audit.Month) string {
	if m.PeakHour < 0 || m.PeakHourShare < 0.2 {
		return ""
	}
	from, to := hour(m.PeakHour), hour(m.PeakHour+1)
	if m.PeakKindShare >= 0.6 {
		return v.F(", likeliest from %s to %s on a %s", from, to, v.kindWord(m.PeakKind))
	}
	return v.F(", likeliest from %s to %s", from, to)
}
