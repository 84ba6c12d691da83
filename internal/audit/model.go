package audit

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/intake"
	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/site"
	"auditgen/internal/tariff"
)

// model is the year as a function of its doubts: the folded calendar, the loads
// as factors, and the tariff. It is made once and evaluated many times.
type model struct {
	lang           *say.Language // of notes on bills
	loads          []modelLoad
	params         []param
	tariff         *tariff.Tariff
	periods        []tariff.Period
	options        tariff.Options
	window         int                   // the demand window reported, min; the tariff's first where none is set
	years          map[int]*profile.Year // by demand window
	uses           []string              // of each load
	log            *logged               // of the incomer; nil where no month is priced from one
	loggedReactive float64               // proportion of the logged reactive energy; 0 is 1
	folded         *folded               // years folded before
}

// fold folds the year once for each demand window of the tariff, and for the one
// that is reported.
func (m *model) fold(rec *site.Record, year int, calendars []profile.Calendar) error {
	windows := m.tariff.Windows()
	switch {
	case m.window == 0 && len(windows) > 0:
		m.window = windows[0]
	case m.window == 0:
		m.window = 15
	}
	if !slices.Contains(windows, m.window) {
		windows = append(slices.Clone(windows), m.window)
	}
	if years, ok := m.folded.find(rec, calendars, m.window); ok {
		m.years = years
		return nil
	}
	if n := len(m.tariff.Slots()); n > profile.MaxSlots {
		return fmt.Errorf("the tariff's periods make %d combinations of season, day and hour; at most %d can be worked with", n, profile.MaxSlots)
	}
	m.years = map[int]*profile.Year{}
	for _, w := range windows {
		g := profile.Grid{Year: year, Zone: rec.Site.TimeZone.Value.Location, Step: w, Kinds: dayKinds(rec.Site)}
		y, err := profile.Fold(g, calendars, func(day civil.Date, minute int) int { return int(m.tariff.SlotAt(day, minute)) })
		if err != nil {
			return err
		}
		m.years[w] = y
	}
	m.folded.keep(foldedYear{rec.Site, m.tariff, calendars, m.years})
	return nil
}

func (m *model) year() *profile.Year { return m.years[m.window] }

// machines makes the loads for given doubts. For energy the hours' doubt
// scales the number of machines; it does not make a peak higher.
func (m *model) machines(z []float64, energy bool) []profile.Machine {
	ms := make([]profile.Machine, len(m.loads))
	for i := range m.loads {
		l, mc := &m.loads[i], &ms[i]
		l.frame(mc)
		if l.put(z, mc, mc); energy {
			hours := l.hours.at(z)
			mc.Count *= hours
			mc.Standby = mc.Standby.Times(1 / hours)
		}
	}
	return ms
}

// frame is what doubt does not move of a load's machine.
func (l *modelLoad) frame(mc *profile.Machine) {
	if l.own != nil {
		*mc = *l.own
		mc.Calendar, mc.Modes = l.calendar, slices.Clone(l.own.Modes)
		return
	}
	*mc = profile.Machine{ID: l.id, Calendar: l.calendar, Cycle: l.cycle, Modes: make([]profile.Mode, len(l.modes)), Apart: l.apart, InOrder: l.inOrder}
}

// evaluation is the year for one set of doubts.
type evaluation struct {
	model  *model
	energy *profile.Model
	demand map[int]*profile.Model
	peaks  map[peakKey]profile.Peak // those asked for
	logs   []*intake.Use            // of the months that are priced from a log; the others are nil
}

type peakKey struct {
	window int // min
	month  time.Month
	slots  profile.Slots
	unit   profile.Unit
}

// peak gives the highest demand of a month. Charges, ratchets and the outputs
// ask for the same ones.
func (e *evaluation) peak(k peakKey) profile.Peak {
	if p, ok := e.peaks[k]; ok {
		return p
	}
	var p profile.Peak
	if d, ok := e.demand[k.window]; ok {
		p, _ = d.Demand(k.month, k.slots, k.unit)
	}
	e.peaks[k] = p
	return p
}

func (m *model) newEvaluation() (*evaluation, error) {
	e := &evaluation{model: m, demand: map[int]*profile.Model{}, peaks: map[peakKey]profile.Peak{}}
	ms := m.machines(nil, true)
	var err error
	if e.energy, err = profile.NewModel(m.year(), ms); err != nil {
		return nil, err
	}
	ms = m.machines(nil, false)
	for w, y := range m.years {
		if e.demand[w], err = profile.NewModel(y, ms); err != nil {
			return nil, err
		}
	}
	e.logs = m.log.uses(m.tariff, m.periods, 1, cmp.Or(m.loggedReactive, 1))
	return e, nil
}

// bills prices the year.
func (e *evaluation) bills() ([]tariff.Bill, error) {
	bills, err := e.model.tariff.PriceYear(e.model.periods, e.uses(), e.model.options)
	if err == nil {
		e.loggedNotes(bills)
	}
	return bills, err
}

// uses is what the meter shows or is expected to show, month by month.
func (e *evaluation) uses() []tariff.Use {
	uses := make([]tariff.Use, len(e.model.periods))
	for i := range uses {
		uses[i] = e.use(i)
	}
	return uses
}

// expected is what the meter is expected to show in a month.
func (e *evaluation) expected(i int) tariff.Use {
	u := monthUse{evaluation: e, month: monthOf(i)}
	if e.model.delivers() {
		return &partedUse{u}
	}
	return &u
}

// monthUse is what the meter is expected to show in a month.
type monthUse struct {
	*evaluation
	month time.Month
}

func (u *monthUse) slots(set tariff.SlotSet) profile.Slots {
	var s profile.Slots
	all := true
	for i := range u.model.tariff.Slots() {
		if set.Has(tariff.Slot(i)) {
			s |= profile.SlotsOf(i)
		} else {
			all = false
		}
	}
	if all {
		return profile.AllSlots
	}
	return s
}

// Energy is the expected active energy.
func (u *monthUse) Energy(set tariff.SlotSet) quantity.WattHours {
	return u.energy.Energy(u.month, u.slots(set))
}

// Reactive is the expected reactive energy, lagging less leading.
func (u *monthUse) Reactive(set tariff.SlotSet) quantity.VarHours {
	return u.energy.Reactive(u.month, u.slots(set))
}

// Demand is the expected highest demand.
func (u *monthUse) Demand(set tariff.SlotSet, unit tariff.DemandUnit, window int) float64 {
	return math.Max(u.peak(peakKey{window, u.month, u.slots(set), demandUnit(unit)}).Mean, 0)
}

func demandUnit(u tariff.DemandUnit) profile.Unit {
	switch u {
	case tariff.KVA:
		return profile.Apparent
	case tariff.Kvar:
		return profile.Reactive
	}
	return profile.Active
}

// layout tells where each output stands in the vector that outputs gives.
type layout struct {
	energy, cost, base                int
	months, reactive, kw, kva, costs  int // the first of twelve
	modelled, modelledKW, modelledKVA int // the first of twelve: what the model expects; those of months where there is no log
	loads, uses, shares, lines        int
	lineKeys                          []string
	size                              int
}

func (m *model) layout(lineKeys []string, uses int) layout {
	l := layout{lineKeys: lineKeys}
	at := 0
	take := func(n int) int { at += n; return at - n }
	l.energy, l.cost, l.base = take(1), take(1), take(1)
	l.months, l.reactive, l.kw, l.kva, l.costs = take(12), take(12), take(12), take(12), take(12)
	l.modelled, l.modelledKW, l.modelledKVA = l.months, l.kw, l.kva
	if m.log != nil {
		l.modelled, l.modelledKW, l.modelledKVA = take(12), take(12), take(12)
	}
	l.loads, l.uses, l.shares, l.lines = take(len(m.loads)), take(uses), take(uses), take(len(lineKeys))
	l.size = at
	return l
}

// outputs gives every figure that carries an interval: energies in kWh,
// demands in kW and kVA, amounts in the currency.
func (e *evaluation) outputs(l layout, useOf []int) ([]float64, error) {
	out := make([]float64, l.size)
	out[l.base] = float64(e.energy.BaseLoad().P) / 1e3
	for i := range e.model.loads {
		kwh := float64(e.energy.MachineEnergy(i, 0, profile.AllSlots)) / 1e3
		out[l.loads+i] = kwh
		out[l.uses+useOf[i]] += kwh
	}
	for i := range 12 {
		out[l.modelled+i], out[l.modelledKW+i], out[l.modelledKVA+i] = e.month(e.expected(i))
		out[l.months+i], out[l.kw+i], out[l.kva+i] = e.month(e.use(i))
		out[l.reactive+i] = float64(e.use(i).Reactive(e.model.tariff.All())) / 1e3
		out[l.energy] += out[l.months+i]
	}
	for k := l.uses; k < l.shares && out[l.energy] != 0; k++ {
		out[l.shares+k-l.uses] = out[k] / out[l.energy]
	}
	bills, err := e.bills()
	if err != nil {
		return nil, err
	}
	for i, b := range bills {
		out[l.costs+i] = b.Total.InexactFloat64()
		out[l.cost] += out[l.costs+i]
		for _, line := range b.Lines {
			for k, key := range l.lineKeys {
				if key == line.ID {
					out[l.lines+k] += line.Amount.InexactFloat64()
				}
			}
		}
	}
	return out, nil
}

// month gives a month's energy in kWh and its highest demands in kW and kVA.
func (e *evaluation) month(u tariff.Use) (kwh, kw, kva float64) {
	all, w := e.model.tariff.All(), e.model.window
	return float64(u.Energy(all)) / 1e3, u.Demand(all, tariff.KW, w) / 1e3, u.Demand(all, tariff.KVA, w) / 1e3
}
