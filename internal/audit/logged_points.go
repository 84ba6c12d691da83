package audit

import (
	"fmt"
	"slices"
	"time"

	"auditgen/internal/diag"
	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

// coveredF is the part of a month's modelled energy that stands against a log.
var coveredF = working.Def2("modelled energy for the time of a log", "E_k = E_m * s", "a month's energy by the share of its time that has a reading", "E_m", "s",
	func(e quantity.WattHours, s quantity.Ratio) quantity.WattHours { return e * quantity.WattHours(s) })

// logPoints holds the logs of points against the loads below them, month by
// month of the year.
func (y *yearPass) logPoints() {
	for _, e := range y.rec.Site.Intervals {
		if e.Value.Log != nil {
			y.result.Logs = append(y.result.Logs, y.logPoint(e))
		}
	}
}

func (y *yearPass) logPoint(e source.Entry[site.IntervalFile]) Log {
	log, zone := e.Value.Log, y.rec.Site.TimeZone.Value.Location
	point, _ := y.rec.Site.Points.Get(e.Key)
	from, to, _ := log.Span()
	out := Log{Point: e.Key, Name: point.Name.Value, Incomer: e.Key == incomer(y.rec.Site), Pos: e.Pos, Files: log.Files(), From: from.In(zone), To: to.In(zone),
		Intervals: len(log.Rows), Length: time.Duration(log.Interval) * time.Second, Findings: log.Account.Findings(), Reactive: log.Has.Reactive()}
	below := y.loadsBelow(e.Key)
	for i, u := range log.Uses(y.model.tariff, zone, y.model.periods) {
		if covered := float64(u.Covered()); covered > 0 {
			m := LogMonth{Month: i, Covered: covered, Used: out.Incomer && y.model.log != nil && y.model.log.months[i]}
			y.holdMonth(e.Key, &m, float64(u.Energy(y.model.tariff.All())), log.Within, below)
			out.Months = append(out.Months, m)
		}
	}
	return out
}

// holdMonth records a logged month of a point beside what its loads are modelled
// to take in the same time.
func (y *yearPass) holdMonth(point string, m *LogMonth, wh float64, within func(tariff.Period, *time.Location) (int, diag.Pos), below []int) {
	lang := y.rec.Words
	s := y.result.Sheet
	id := fmt.Sprintf("logs.%s.%02d.", slug(point), m.Month+1)
	rows, pos := within(y.model.periods[m.Month], y.rec.Site.TimeZone.Value.Location)
	energy := working.Record(s, working.Step{ID: id + "energy", Label: lang.F("energy logged at %s in %s", point, MonthName(lang, m.Month)), Kind: working.Measured, Unit: "Wh", Typed: lang.F("%d intervals", rows), Pos: pos}, quantity.WattHours(wh))
	m.Energy = Value{V: wh, Unit: "Wh", Step: energy.Step, Kind: working.Measured}
	if len(below) == 0 {
		return
	}
	var parts []working.Num[quantity.WattHours]
	for _, k := range below {
		parts = append(parts, stepNum(s, fmt.Sprintf("loads.%s.months.%02d", y.result.Loads[k].ID, m.Month+1)))
	}
	month := profile.SumEnergyF.Apply(s, id+"month", lang.F("modelled energy of the loads at %s in %s", point, MonthName(lang, m.Month)), "Wh", parts)
	share := working.Record(s, working.Step{ID: id + "covered", Label: lang.F("share of %s that is logged at %s", MonthName(lang, m.Month), point), Kind: working.Measured, Typed: lang.F("%d intervals", rows), Pos: pos}, quantity.Ratio(m.Covered))
	expected := coveredF.Apply(s, id+"expected", lang.F("modelled energy of the loads at %s in the logged time of %s", point, MonthName(lang, m.Month)), "Wh", month, share)
	m.Expected = derived(expected)
	if wh > 0 {
		m.Gap = ratioOf(gapF.Apply(s, id+"gap", lang.F("gap of the modelled energy at %s in %s", point, MonthName(lang, m.Month)), "", expected, energy))
	}
}

// loadsBelow lists the loads at a point and at those that it feeds.
func (y *yearPass) loadsBelow(point string) []int {
	var out []int
	for k, l := range y.result.Loads {
		for at := l.Point; at != ""; {
			if at == point {
				out = append(out, k)
				break
			}
			p, _ := y.rec.Site.Points.Get(at)
			at = p.From.Value
		}
	}
	return slices.Clip(out)
}
