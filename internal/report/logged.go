package report

import (
	"fmt"
	"math"
	"path"
	"strings"
	"time"

	"auditgen/internal/audit"
	"auditgen/internal/civil"
	"auditgen/internal/intake"
)

// LoggedPart holds what was logged against the model of the loads.
type LoggedPart struct {
	Heading string
	Logs    []LoggedLog
}

// LoggedLog is the log of one point.
type LoggedLog struct {
	Name, Caption string
	Intro         []string
	Rows          []LoggedRow
	Demand        bool // the rows have demands
	Found         []string
}

// LoggedRow is one month of a log.
type LoggedRow struct{ Month, Covered, Logged, Modelled, Gap, KW, ModelledKW string }

// logged is nil for a site without logs of points.
func (v *visit) logged() *LoggedPart {
	if len(v.Logs) == 0 {
		return nil
	}
	p := &LoggedPart{Heading: v.loggedHeading()}
	for _, l := range v.Logs {
		p.Logs = append(p.Logs, v.loggedLog(l))
	}
	return p
}

func (v *visit) loggedHeading() string {
	n := v.LoggedMonths()
	switch {
	case n == 12:
		return v.F("All of %d is logged; its bills are made from the log", v.Year)
	case n > 0:
		return capital(v.N(n, "one month of %[2]d is logged; the others are modelled", "%s months of %d are logged; the others are modelled", v.numeral(n), v.Year))
	}
	for _, l := range v.Logs {
		if l.Incomer {
			return v.F("The log of the incomer has no whole month of %d; all bills are modelled", v.Year)
		}
	}
	return v.S("Boards were logged; the loads below them are held against it")
}

// monthsLogged lists the months whose figures come from the log of the incomer.
func (v *visit) monthsLogged() []string {
	var names []string
	for i := range v.Months {
		if v.Months[i].Logged() {
			names = append(names, v.monthName(v.Months[i].Month))
		}
	}
	return names
}

func (v *visit) loggedLog(l audit.Log) LoggedLog {
	out := LoggedLog{Name: l.Name, Caption: v.F("%s: what was logged, and what the loads below are modelled to take in the same time", l.Name), Demand: l.Incomer && v.LoggedMonths() > 0}
	files := make([]string, len(l.Files))
	for i, f := range l.Files {
		files[i] = path.Base(f)
	}
	out.Intro = append(out.Intro, v.N(l.Intervals, "%s was logged from %s to %s: %s\u00a0interval, mostly of %s (%s).", "%s was logged from %s to %s: %s\u00a0intervals, mostly of %s (%s).", l.Name, v.dateWords(dayOf(l.From)), v.dateWords(dayOf(l.To.Add(-time.Second))),
		v.number(float64(l.Intervals), 0), v.lengthText(l.Length), v.list(files)))
	if l.Incomer {
		out.Intro = append(out.Intro, v.loggedIncomer(l)...)
	}
	if len(l.Months) == 0 {
		out.Intro = append(out.Intro, v.F("No reading of it lies in %d, the year of this report.", v.Year))
	}
	for _, m := range l.Months {
		out.Rows = append(out.Rows, v.loggedRow(m, out.Demand))
	}
	for _, f := range l.Findings {
		out.Found = append(out.Found, v.foundText(f))
	}
	return out
}

func (v *visit) loggedIncomer(l audit.Log) []string {
	names := v.monthsLogged()
	if len(names) == 0 {
		return []string{v.S("A month is priced from the log when at least 99 % of its time has a reading; none has, so the log stands beside the model without replacing it.")}
	}
	out := []string{capital(v.N(len(names), "%s is priced from the log: energy by period and highest demand as metered, time without a reading counted as nothing, the meter’s own error not counted. The loads, their shares and what changes are worth stay modelled.",
		"%s are priced from the log: energy by period and highest demand as metered, time without a reading counted as nothing, the meter’s own error not counted. The loads, their shares and what changes are worth stay modelled.", v.list(names)))}
	if x := v.Unexplained; x.Known() && v.Energy.Value > 0 {
		part := v.percent(math.Abs(x.V/1e3)/v.Energy.Value, 0)
		switch {
		case x.V > 0:
			out = append(out, v.F("No load of the list explains %s of the year’s energy, as far as it was logged. The gap is shown, not spread over the loads.", part))
		case x.V < 0:
			out = append(out, v.F("The loads of the list take %s of the year’s energy more than was logged. The gap is shown, not spread over the loads.", part))
		}
	}
	if !l.Reactive {
		out = append(out, v.S("The log holds no reactive energy; it is taken in proportion to active energy, as modelled for each month."))
	}
	return out
}

func (v *visit) loggedRow(m audit.LogMonth, demand bool) LoggedRow {
	row := LoggedRow{Month: v.monthName(m.Month), Covered: v.shareOfTime(m.Covered), Logged: v.valueText(m.Energy, 1e3, 0), Modelled: v.valueText(m.Expected, 1e3, 0)}
	if m.Gap.Known() {
		row.Gap = v.signed(m.Gap.V)
	}
	if x := &v.Months[m.Month]; demand && m.Used {
		row.KW, row.ModelledKW = best(v.plain, x.PeakKW), best(v.plain, x.Modelled.PeakKW)
	}
	return row
}

// shareOfTime prints a share that is whole only when nothing is missing.
func (f format) shareOfTime(share float64) string {
	if share < 1 && share >= 0.9995 {
		return f.F("under %s", f.percent(1, 0))
	}
	if share > 0.99 && share < 1 {
		return f.percent(share, 1)
	}
	return f.percent(share, 0)
}

// foundText tells what was found in a log of one kind, the rule, and the first
// cases.
func (f format) foundText(found intake.Finding) string {
	const shown = 2
	var cases []string
	for i, c := range found.Cases {
		if i == shown {
			cases = append(cases, f.F("and %d more", len(found.Cases)-shown))
			break
		}
		cases = append(cases, c.What)
	}
	return f.sentence(fmt.Sprintf("%d × %s (%s)", len(found.Cases), found.Rule, strings.Join(cases, "; ")))
}

func dayOf(t time.Time) civil.Date { return civil.Date{Year: t.Year(), Month: t.Month(), Day: t.Day()} }

func (f format) lengthText(d time.Duration) string {
	if d%time.Hour == 0 {
		return f.withUnit(fmt.Sprint(int(d/time.Hour)), "h")
	}
	return f.withUnit(fmt.Sprint(int(d/time.Minute)), "min")
}

// basisWords tells, beside a figure of the year, how much of it was logged and
// whether it was fitted to bills.
func (v *visit) basisWords() string {
	logged := ""
	if n := v.LoggedMonths(); n > 0 {
		logged = v.F("%d of 12 months logged", n)
	}
	return joinSentences(logged, v.fittedWords())
}
