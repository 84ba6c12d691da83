package audit

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

// reactiveF is reactive energy from active energies and their tangents; the
// series alternates between the two.
var reactiveF = working.DefN("reactive energy of a month", "E_q = sum(E_k * t_k)", "reactive over active power of each load, by its active energy", "x",
	func(x []float64) quantity.VarHours {
		sum := 0.0
		for i := 0; i+1 < len(x); i += 2 {
			sum += float64(x[i] * x[i+1])
		}
		return quantity.VarHours(sum)
	})

// energySteps records the energies of the year: each load's month from its mean
// power and the hours of its calendar, the months and the year as sums.
func (y *yearPass) energySteps() {
	lang := y.rec.Words
	r, s := y.result, y.result.Sheet
	for i := range r.Loads {
		y.tangentStep(i)
	}
	for i := range 12 {
		y.monthSteps(i)
	}
	var loads []working.Num[quantity.WattHours]
	for _, l := range r.Loads {
		st, _ := s.Get(l.Energy.Step)
		loads = append(loads, working.Num[quantity.WattHours]{V: quantity.WattHours(st.Value), Step: st.ID})
	}
	total := y.yearEnergy(loads)
	r.Energy = y.interval(y.layout.energy, "kWh", total.Step)
	y.ends(r.Energy, y.layout.energy, lang.S("energy of the year"), 1e3)
	for i := range r.Uses {
		u := &r.Uses[i]
		var parts []working.Num[quantity.WattHours]
		for _, id := range u.Loads {
			l := r.load(id)
			st, _ := s.Get(l.Energy.Step)
			parts = append(parts, working.Num[quantity.WattHours]{V: quantity.WattHours(st.Value), Step: st.ID})
		}
		sum := profile.SumEnergyF.Apply(s, "uses."+slug(u.Name)+".energy", lang.F("energy of %s", u.Name), "Wh", parts)
		u.Energy = y.interval(y.layout.uses+i, "kWh", sum.Step)
		if r.Energy.Value > 0 {
			u.Share = u.Energy.Value / r.Energy.Value
			u.Part = y.interval(y.layout.shares+i, "", "")
		}
	}
	order := make([]int, len(r.Uses))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(r.Uses[b].Energy.Value, r.Uses[a].Energy.Value) })
	sorted := make([]Use, len(order))
	rank := make([]int, len(order))
	for to, from := range order {
		sorted[to], rank[from] = r.Uses[from], to
	}
	r.Uses = sorted
	for i, u := range y.useOf {
		y.useOf[i] = rank[u]
	}
	base := s.Put(working.Step{ID: "year.base-load", Label: lang.S("base load: mean power while only what is always on runs"), Kind: working.Modelled, Unit: "W", Value: r.BaseLoad.Value * 1e3,
		Reason: lang.S("sum of the mean powers of the loads that are always on, and of what the others take on standby"), From: y.alwaysOn()})
	r.BaseLoad.Step = base
}

// yearEnergy records the year's energy: the sum of the loads, or of the months
// where some are logged; what the loads do not explain is then told.
func (y *yearPass) yearEnergy(loads []working.Num[quantity.WattHours]) working.Num[quantity.WattHours] {
	lang := y.rec.Words
	r, s := y.result, y.result.Sheet
	if r.LoggedMonths() == 0 {
		return profile.SumEnergyF.Apply(s, "year.energy", lang.S("energy of the year"), "Wh", loads)
	}
	var months []working.Num[quantity.WattHours]
	for _, m := range r.Months {
		months = append(months, stepNum(s, m.Energy.Step))
	}
	total := profile.SumEnergyF.Apply(s, "year.energy", lang.S("energy of the year, logged where it was"), "Wh", months)
	modelled := profile.SumEnergyF.Apply(s, "year.modelled", lang.S("energy of all loads in the year"), "Wh", loads)
	r.Unexplained = derived(leftF.Apply(s, "year.unexplained", lang.S("logged energy that no load explains"), "Wh", total, modelled))
	return total
}

func (y *yearPass) alwaysOn() []string {
	var from []string
	for _, l := range y.result.Loads {
		if l.Hours.V >= float64(y.loads.yearHours.V) {
			from = append(from, "loads."+l.ID+".mean")
		}
	}
	return from
}

func (r *Result) load(id string) *Load {
	i := slices.IndexFunc(r.Loads, func(l Load) bool { return l.ID == id })
	return &r.Loads[i]
}

// tangentStep records var for each W of a load, over its running states.
func (y *yearPass) tangentStep(i int) {
	lang := y.rec.Words
	m, l := y.model.loads[i], y.result.Loads[i]
	p, q := 0.0, 0.0
	for _, mode := range m.modes {
		p += mode.duty.mean * mode.power.mean
		q += mode.duty.mean * mode.power.mean * mode.reactive
	}
	t := 0.0
	if p > 0 {
		t = q / p
	}
	from := []string{"loads." + l.ID + ".running"}
	if l.PF.Known() {
		from = append(from, l.PF.Step)
	}
	y.result.Sheet.Put(working.Step{ID: "loads." + l.ID + ".tan", Label: lang.F("reactive over active power of %s", inSentence(l.Name)), Kind: working.Modelled, Value: t,
		Reason: lang.S("reactive over active power of its readings, or tan φ of its power factor; states weighted by duty and power"), From: from})
}

// monthSteps records one month.
func (y *yearPass) monthSteps(i int) {
	lang := y.rec.Words
	r, s := y.result, y.result.Sheet
	id := monthID(i)
	var parts []working.Num[quantity.WattHours]
	var pairs []working.Num[float64]
	for k := range r.Loads {
		n := y.loadMonth(i, k)
		parts = append(parts, n)
		t, _ := s.Get("loads." + r.Loads[k].ID + ".tan")
		pairs = append(pairs, working.Num[float64]{V: float64(n.V), Step: n.Step}, working.Num[float64]{V: t.Value, Step: t.ID})
	}
	under := id
	if y.base.logs[i] != nil {
		under += "modelled."
	}
	energy := profile.SumEnergyF.Apply(s, under+"energy", lang.F("energy of %s, all loads", MonthName(lang, i)), "Wh", parts)
	reactive := reactiveF.Apply(s, under+"reactive", lang.F("reactive energy of %s, all loads", MonthName(lang, i)), "varh", pairs)
	m := Month{Month: i, Reactive: derived(reactive)}
	if y.base.logs[i] != nil {
		y.loggedMonth(i, &m, energy)
	} else {
		if energy.V != 0 || reactive.V != 0 { // a month in which nothing runs has no power factor
			m.PF = ratioOf(profile.EnergyFactorF.Apply(s, id+"pf", lang.F("power factor of %s", MonthName(lang, i)), "", energy, reactive))
		}
		m.Energy = y.interval(y.layout.months+i, "kWh", energy.Step)
	}
	use := y.base.use(i)
	for slot := range y.model.tariff.Slots() {
		var one tariff.SlotSet
		one.Add(tariff.Slot(slot))
		m.BySlot = append(m.BySlot, float64(use.Energy(one))/1e3)
	}
	r.Months = append(r.Months, m)
}

var monthEnergyF = working.Def4("energy of like machines in a month", "E = n * (P_m * h + E_s)", "mean power by the hours of the calendar, and the standby energy of the others", "n", "P_m", "h", "E_s",
	func(n quantity.Ratio, p quantity.Watts, h quantity.Hours, standby quantity.WattHours) quantity.WattHours {
		return quantity.WattHours(float64(n) * (float64(p)*float64(h) + float64(standby)))
	})

// loadMonth records a load's energy in a month.
func (y *yearPass) loadMonth(i, k int) working.Num[quantity.WattHours] {
	lang := y.rec.Words
	s, l, m := y.result.Sheet, y.result.Loads[k], y.model.loads[k]
	h := y.calendarMonth(i, m)
	mean, ok := s.Get(fmt.Sprintf("loads.%s.months.%02d.mean", l.ID, i+1))
	if !ok { // no month differs
		mean, _ = s.Get("loads." + l.ID + ".mean")
	}
	count, _ := s.Get("loads." + l.ID + ".count")
	n := working.Num[quantity.Ratio]{V: quantity.Ratio(count.Value), Step: count.ID}
	p := working.Num[quantity.Watts]{V: quantity.Watts(mean.Value), Step: mean.ID}
	id := fmt.Sprintf("loads.%s.months.%02d", l.ID, i+1)
	label := lang.F("energy of %s in %s", inSentence(l.Name), MonthName(lang, i))
	if m.standby.mean == 0 {
		return profile.EnergyF.Apply(s, id, label, "Wh", n, p, h)
	}
	off := y.model.year().Hours(time.Month(i+1), profile.AllSlots) - y.model.year().Open(m.calendar, time.Month(i+1), profile.AllSlots)
	standby := working.Record(s, working.Step{ID: id + ".standby", Label: lang.F("standby energy of one of %s in %s", inSentence(l.Name), MonthName(lang, i)), Kind: working.Modelled, Unit: "Wh",
		Reason: lang.S("standby power by the month's hours off the calendar"), From: []string{"loads." + l.ID + ".standby"}}, quantity.WattHours(m.standby.mean*float64(off)))
	return monthEnergyF.Apply(s, id, label, "Wh", n, p, h, standby)
}

// calendarMonth records the hours of a calendar in a month, once.
func (y *yearPass) calendarMonth(i int, m modelLoad) working.Num[quantity.Hours] {
	lang := y.rec.Words
	s := y.result.Sheet
	id := fmt.Sprintf("calendars.%s.months.%02d", m.when.key(), i+1)
	on := y.model.year().Open(m.calendar, time.Month(i+1), profile.AllSlots)
	h := y.loads.hours[m.when]
	if len(m.hours.terms) == 0 && m.hours.mean == 1 {
		return once(s, working.Step{ID: id, Label: lang.F("%s of %s", h.name, MonthName(lang, i)), Kind: working.Stated, Unit: "h", Typed: lang.F("calendar %s", m.when.calendar)}, on)
	}
	shown := once(s, working.Step{ID: id + ".on", Label: lang.F("%s of %s", h.name, MonthName(lang, i)), Kind: working.Assumed, Unit: "h", Typed: lang.F("calendar %s", m.when.calendar)}, on)
	if st, ok := s.Get(id); ok {
		return working.Num[quantity.Hours]{V: quantity.Hours(st.Value), Step: id}
	}
	k, _ := s.Get("calendars." + m.when.calendar + ".doubt")
	return hoursF.Apply(s, id, lang.F("%s of %s, as taken", h.name, MonthName(lang, i)), "h", shown, working.Num[quantity.Ratio]{V: quantity.Ratio(k.Value), Step: k.ID})
}

// once records a step unless it is there.
func once[Q ~float64](s *working.Sheet, step working.Step, v Q) working.Num[Q] {
	if st, ok := s.Get(step.ID); ok {
		return working.Num[Q]{V: Q(st.Value), Step: st.ID}
	}
	return working.Record(s, step, v)
}

// heat averages power by month and hour, for working and for rest days.
func (y *yearPass) heat() {
	r, grid := y.result, dayKinds(y.rec.Site)
	for _, p := range y.model.periods {
		for d := p.From; d.Compare(p.To) < 0; d = d.AddDays(1) {
			if grid.Of(d) == 0 {
				r.Working.Days[d.Month-1]++
			} else {
				r.Rest.Days[d.Month-1]++
			}
		}
	}
	for m := range 12 {
		for h := range 24 {
			for kind, heat := range []*Heat{&r.Working, &r.Rest} {
				if p, ok := y.base.energy.Mean(time.Month(m+1), kind, h); ok {
					heat.KW[m][h], heat.Kvar[m][h] = float64(p.P)/1e3, float64(p.Q)/1e3
				}
			}
		}
	}
	y.model.log.heat(grid.Of, &r.Working, &r.Rest)
}
