package audit

import (
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/intake"
	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/site"
	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

// wholeMonth is the share of a month's time that must have a reading before its
// bill is made from the log. What is missing in it counts as nothing.
const wholeMonth = 0.99

// logged is the log of the incomer with the months that are priced from it.
type logged struct {
	*intake.Log
	zone     *time.Location
	year     int
	months   [12]bool
	reactive bool // reactive energy was logged too
}

// incomer is the point that no other feeds.
func incomer(s site.Site) string {
	for _, p := range s.Points {
		if !p.Value.From.IsSet() {
			return p.Key
		}
	}
	return ""
}

// attachLog puts the log of the incomer on the model: the months that it has
// whole are priced from it. The result keeps the model without the log too:
// what a load or a change to it is worth is worked out on that one.
func (y *yearPass) attachLog() error {
	lang := y.rec.Words
	expected := *y.model
	y.result.model, y.result.priced = &expected, y.model
	f, ok := y.rec.Site.Intervals.Get(incomer(y.rec.Site))
	if !ok || f.Log == nil {
		return nil
	}
	l := &logged{Log: f.Log, year: y.result.Year, zone: y.rec.Site.TimeZone.Value.Location, reactive: f.Log.Has.Reactive()}
	some := false
	for i, u := range f.Log.Uses(y.model.tariff, l.zone, y.model.periods) {
		l.months[i] = u.Covered() >= wholeMonth
		some = some || l.months[i]
	}
	if !some {
		return nil
	}
	if !l.reactive {
		e, err := y.model.newEvaluation()
		if err != nil {
			return err
		}
		l.Log = f.Log.WithReactive(l.zone, e.tangent)
		y.loads.register.add(lang.S("Reactive energy of the logged months"), lang.S("in proportion to active energy, as modelled for the month"), lang.S("the log of the incomer has no reactive energy"), f.Pos, "", true)
		y.result.Assumptions = y.loads.register.list
	}
	y.model.log = l
	return nil
}

// tangent is the reactive over the active energy of a month as modelled.
func (e *evaluation) tangent(m time.Month) float64 {
	active := float64(e.energy.Energy(m, profile.AllSlots))
	if active == 0 {
		return 0
	}
	return float64(e.energy.Reactive(m, profile.AllSlots)) / active
}

// loggedUse is what a log shows of a month.
type loggedUse struct{ *intake.Use }

// Spoken is the word for its quantities.
func (loggedUse) Spoken() string { return say.Key("logged") }

// uses reduces the log, with its energies in some proportion, to the logged
// months; the others are nil.
func (l *logged) uses(t *tariff.Tariff, periods []tariff.Period, active, reactive float64) []*intake.Use {
	out := make([]*intake.Use, len(periods))
	if l == nil {
		return out
	}
	log := l.Log
	if active != 1 || reactive != 1 {
		log = log.Scaled(active, reactive)
	}
	for i, u := range log.Uses(t, l.zone, periods) {
		if l.months[i] {
			out[i] = u
		}
	}
	return out
}

// use is what the meter shows or is expected to show in a month.
func (e *evaluation) use(i int) tariff.Use {
	if u := e.logs[i]; u != nil {
		return loggedUse{u}
	}
	return e.expected(i)
}

// heat puts the mean powers of the logged months in place of those modelled, by
// kind of day and hour of the clock; a row counts by its middle. Hours without a
// reading keep what is modelled.
func (l *logged) heat(kindOf func(civil.Date) int, kinds ...*Heat) {
	if l == nil {
		return
	}
	var sums [2][12][24]meanPower
	for i := range l.Rows {
		r := &l.Rows[i]
		t := time.Unix(r.Start+int64(r.Duration)/2, 0).In(l.zone)
		day := civil.Date{Year: t.Year(), Month: t.Month(), Day: t.Day()}
		if m := int(t.Month()) - 1; t.Year() == l.year && l.months[m] {
			sums[kindOf(day)][m][t.Hour()].add(float64(r.Values[intake.Import].WattHours()), float64(r.Duration)/3600)
		}
	}
	for kind, heat := range kinds {
		for m := range 12 {
			for h := range 24 {
				if p := sums[kind][m][h]; p.time > 0 {
					heat.KW[m][h] = p.watts / 1e3
				}
			}
		}
	}
}

// loggedNotes tells of each logged month what limits the worth of its bill.
func (e *evaluation) loggedNotes(bills []tariff.Bill) {
	lang := e.model.lang
	for i, u := range e.logs {
		if u == nil {
			continue
		}
		for _, n := range u.Notes(lang) {
			bills[i].Notes = append(bills[i].Notes, lang.F("%s, logged: %s", bills[i].Period, n))
		}
	}
}

// loggedStep records what a log shows of a month.
func (y *yearPass) loggedStep(id, label, unit string, i int, v float64, reactive bool) string {
	lang := y.rec.Words
	l := y.model.log
	rows, pos := l.Within(y.model.periods[i], l.zone)
	st := working.Step{ID: id, Label: lang.F("%s, logged", label), Kind: working.Measured, Unit: unit, Value: v, Typed: lang.F("%d intervals", rows), Pos: pos}
	if reactive && !l.reactive {
		st.Kind, st.Reason = working.Modelled, lang.S("active energy as logged; reactive in proportion to it, as modelled for the month")
	}
	return y.result.Sheet.Put(st)
}

// loggedMetered gives the step of what a log shows in the periods of a tariff.
func (y *yearPass) loggedMetered(id, label string, i int, m tariff.Metered, u tariff.Use) string {
	v, reactive := 0.0, false
	switch m.What {
	case "energy":
		v = float64(u.Energy(m.Slots))
	case "reactive energy":
		v, reactive = float64(u.Reactive(m.Slots)), true
	default:
		v, reactive = u.Demand(m.Slots, m.Unit, m.Window), m.Unit != tariff.KW
	}
	return y.loggedStep(id, label, m.Base(), i, v, reactive)
}

// ModelledMonth is what the model of the loads expects of a month whose figures
// are logged.
type ModelledMonth struct {
	Energy          Interval // kWh
	PeakKW, PeakKVA Interval
	Gap             Value // modelled less logged energy, over logged
}

// loggedMonth records a month's energies from the log beside those of the model.
func (y *yearPass) loggedMonth(i int, m *Month, modelled working.Num[quantity.WattHours]) {
	lang := y.rec.Words
	s, u, all := y.result.Sheet, y.base.logs[i], y.model.tariff.All()
	id := monthID(i)
	energy := working.Num[quantity.WattHours]{V: u.Energy(all), Step: y.loggedStep(id+"energy", lang.F("energy of %s", MonthName(lang, i)), "Wh", i, float64(u.Energy(all)), false)}
	q := u.Reactive(all)
	reactive := working.Num[quantity.VarHours]{V: q, Step: y.loggedStep(id+"reactive", lang.F("reactive energy of %s", MonthName(lang, i)), "varh", i, float64(q), true)}
	m.Energy = y.interval(y.layout.months+i, "kWh", energy.Step)
	m.Reactive = Value{V: float64(q), Unit: "varh", Step: reactive.Step, Kind: working.Measured}
	if energy.V != 0 || q != 0 {
		m.PF = ratioOf(profile.EnergyFactorF.Apply(s, id+"pf", lang.F("power factor of %s", MonthName(lang, i)), "", energy, reactive))
	}
	m.Modelled = &ModelledMonth{Energy: y.interval(y.layout.modelled+i, "kWh", modelled.Step)}
	if energy.V > 0 {
		m.Modelled.Gap = ratioOf(gapF.Apply(s, id+"modelled.gap", lang.F("gap of the modelled energy of %s", MonthName(lang, i)), "", modelled, energy))
	}
}

// loggedPeak gives the highest demand of a logged month.
func (y *yearPass) loggedPeak(i, at int, key, unit, base string, of tariff.DemandUnit) Interval {
	lang := y.rec.Words
	v := y.base.logs[i].Demand(y.model.tariff.All(), of, y.model.window)
	return y.interval(at+i, unit, y.loggedStep(monthID(i)+"peak-"+key, lang.F("highest %s of %s", unit, MonthName(lang, i)), base, i, v, of != tariff.KW))
}

// Logged reports whether the month's figures come from the log of the incomer.
func (m *Month) Logged() bool { return m.Modelled != nil }

// ExpectedPeak is the highest demand that the model of the loads expects, in kW,
// logged or not.
func (m *Month) ExpectedPeak() Interval {
	if m.Modelled != nil {
		return m.Modelled.PeakKW
	}
	return m.PeakKW
}

// LoggedMonths counts the months whose figures come from the log of the incomer.
func (r *Result) LoggedMonths() int {
	n := 0
	for i := range r.Months {
		if r.Months[i].Logged() {
			n++
		}
	}
	return n
}

// Log is what the log of a point shows beside the model of the loads below it.
type Log struct {
	Point, Name string
	Incomer     bool
	Pos         diag.Pos // where it is named
	Files       []string
	From, To    time.Time // in the site's zone
	Intervals   int
	Length      time.Duration // the commonest
	Findings    []intake.Finding
	Reactive    bool // reactive energy was logged
	Months      []LogMonth
}

// LogMonth is a month of the year in a log.
type LogMonth struct {
	Month    int     // 0 to 11
	Covered  float64 // share of its time that has a reading
	Used     bool    // its bill is made from the log
	Energy   Value   // Wh logged
	Expected Value   // Wh that the loads below the point are modelled to take in the covered time
	Gap      Value   // modelled less logged, over logged
}
