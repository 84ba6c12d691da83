package report

import (
	"strings"

	"auditgen/internal/audit"
	"auditgen/internal/charts"
)

// FactorRow is a figure by which a site's demand is known.
type FactorRow struct{ Name, Value, Means, Link string }

// CurveRow is a point of the load-duration curve.
type CurveRow struct{ Share, Hours, KW string }

// curve draws the load-duration curve.
func (v *visit) curve(s *DemandSection) {
	n := len(v.Duration)
	if n < 3 || v.Duration[0].KW <= 0 {
		return
	}
	at := func(share float64) float64 { return v.Duration[int(share*float64(n-1)+0.5)].KW }
	message := v.F("Half of the time the demand is %s or less; one hour in ten reaches %s or more", v.withUnit(v.kilowatts(at(0.5)), "kW"), v.withUnit(v.kilowatts(at(0.1)), "kW"))
	switch {
	case at(0.5) < 0.005*at(0):
		message = v.F("Half of the time hardly anything runs; one hour in ten reaches %s or more", v.withUnit(v.kilowatts(at(0.1)), "kW"))
	case at(0.1) < 1.1*at(0.5):
		message = v.F("For most of the year the demand stays near %s", v.withUnit(v.kilowatts(at(0.5)), "kW"))
	}
	c := charts.Lines{Unit: "kW", Format: v.axis, Series: []charts.Series{{Name: v.S("demand")}}, Unnamed: true,
		Text: charts.Text{Title: message, Description: v.F("Load-duration curve: the demand, from %s kW down to %s kW, over the share of the year for which it is reached. The table below has the numbers.",
			v.kilowatts(v.Duration[0].KW), v.kilowatts(v.Duration[n-1].KW))}}
	hours := v.hoursOfYear()
	for i, x := range v.Duration {
		name := ""
		if i*10%(n-1) == 0 {
			name = v.percent(x.Share, 0)
			s.CurveRows = append(s.CurveRows, CurveRow{Share: name, Hours: v.plain(x.Share*hours, 0), KW: v.kilowatts(x.KW)})
		}
		c.X = append(c.X, name)
		c.Series[0].Values = append(c.Series[0].Values, x.KW)
	}
	s.Curve = v.figure("chart-duration", v.S("Demand, kW, over the share of the year for which it is reached"), c)
	s.CurveHead = message
}

// factorRows are the factors with what each means in words.
func (v *visit) factorRows() []FactorRow {
	f := v.Factors
	month := v.monthName(v.PeakMonth)
	var rows []FactorRow
	add := func(name string, x audit.Value, value, means string) {
		if x.Known() {
			rows = append(rows, FactorRow{name, value, means, v.link(x.Step)})
		}
	}
	share := func(x audit.Value) string { return v.number(x.V, 2) }
	add(v.S("Load factor"), v.LoadFactor, share(v.LoadFactor), v.S("mean power of the year over its highest demand; 1 would be the same power at all hours"))
	add(v.S("Hours of use"), f.Use, v.withUnit(rounded(v.plain, f.Use.V, 2), "h"), v.S("hours at the highest demand that would use the year’s energy"))
	add(v.S("Mean power"), f.Mean, v.withUnit(v.kilowatts(f.Mean.V/1e3), "kW"), v.S("energy of the year over its hours"))
	add(v.S("Demand reached 95 % of the time"), f.Floor, v.withUnit(v.kilowatts(f.Floor.V/1e3), "kW"), v.S("one demand window in twenty is lower"))
	add(v.F("Demand factor in %s", month), f.Demand, share(f.Demand), v.F("highest demand over all loads that may run at their highest power, %s", v.withUnit(v.kilowatts(f.All.V/1e3), "kW")))
	add(v.F("Coincidence factor in %s", month), f.Coincidence, share(f.Coincidence), v.F("highest demand over the sum of the loads’ own highest demands, %s", v.withUnit(v.kilowatts(f.Apart.V/1e3), "kW")))
	add(v.F("Diversity factor in %s", month), f.Diversity, share(f.Diversity), v.S("the inverse; in Europe the name is used for the coincidence factor"))
	return rows
}

// mostMade is how many loads of a month's peak are named in its row.
const mostMade = 3

// madeOf names the largest parts of a month's highest demand.
func madeOf(m audit.Month) string {
	var names []string
	for i, x := range m.PeakBy {
		if i < mostMade {
			names = append(names, lower(x.Name))
		}
	}
	return strings.Join(names, "; ")
}

// peakDay is the kind of day on which a month's highest demand is likeliest.
func (f format) peakDay(m audit.Month) string {
	switch {
	case m.PeakHour < 0:
		return f.S("any")
	case m.PeakKindShare < 0.6:
		return f.S("either")
	}
	return f.kindWord(m.PeakKind)
}

// fewer lists the largest shares by name and the others together.
func (f format) fewer(shares []audit.Share) []audit.Share {
	if len(shares) <= mostMakers+1 {
		return shares
	}
	rest := audit.Share{Name: f.F("%d other loads together", len(shares)-mostMakers)}
	for _, x := range shares[mostMakers:] {
		rest.Value += x.Value
	}
	return append(shares[:mostMakers:mostMakers], rest)
}
