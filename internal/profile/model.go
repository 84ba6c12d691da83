package profile

import (
	"cmp"
	"slices"
	"time"

	"auditgen/internal/quantity"
)

// Model is a set of machines on a folded year. It keeps buffers between calls,
// so a model serves one goroutine; make one for each, on the same year.
type Model struct {
	Year *Year

	machines []Machine
	modes    []Mode // the machines' modes, copied
	on       []Power
	off      []Power // both times count, by machine
	base     Power   // all machines on standby
	step     []Power // by calendar: what its being on adds
	chance   chance
	months   []*Model // where months differ: the model of each, January first
	grid     int      // steps of the distributions; 0 for gridSteps
}

// NewModel puts machines on a year. The error names the machine that cannot be
// used, and why.
func NewModel(y *Year, machines []Machine) (*Model, error) {
	m := &Model{Year: y}
	if err := m.Set(machines); err != nil {
		return nil, err
	}
	return m, nil
}

// Set puts other machines, or the same with other figures, on the model's year.
// The model keeps a copy: call Set again after a change. After an error the
// model holds what it held before.
func (m *Model) Set(machines []Machine) error {
	for i := range machines {
		if err := machines[i].check(m.Year.Calendars); err != nil {
			return err
		}
	}
	if err := checkBonds(machines); err != nil {
		return err
	}
	m.machines = append(m.machines[:0], machines...)
	m.modes = m.modes[:0]
	for i := range machines {
		m.modes = append(m.modes, machines[i].Modes...)
	}
	m.on, m.off, m.base = m.on[:0], m.off[:0], Power{}
	if m.step == nil {
		m.step = make([]Power, m.Year.Calendars)
	}
	clear(m.step)
	modes := m.modes
	for i := range m.machines {
		a := &m.machines[i]
		n := len(a.Modes)
		a.Modes, modes = modes[:n:n], modes[n:]
		on, off := Power{}.plus(a.Count, a.On()), Power{}.plus(a.Count, a.Standby)
		m.on, m.off = append(m.on, on), append(m.off, off)
		m.base = m.base.plus(1, off)
		m.step[a.Calendar] = m.step[a.Calendar].plus(1, on).plus(-1, off)
	}
	m.chance.stale()
	return m.setMonths()
}

// Machines gives the number of machines.
func (m *Model) Machines() int { return len(m.machines) }

// At is the mean power of all machines while a set of calendars is on, months
// not being told apart: shares are taken as they are stated.
func (m *Model) At(on Set) Power {
	p := m.base
	for c, step := range m.step {
		if on.Has(c) {
			p = p.plus(1, step)
		}
	}
	return p
}

// BaseLoad is the mean power while every calendar that is ever off is off.
func (m *Model) BaseLoad() Power { return m.At(m.Year.always) }

func (m *Model) sum(month time.Month, slots Slots) (wh, varh float64) {
	m.each(month, func(m *Model, month time.Month) {
		m.Year.each(month, slots, func(o *openTime) {
			wh += float64(m.base.P) * o.minutes
			varh += float64(m.base.Q) * o.minutes
			for c, step := range m.step {
				wh += float64(step.P) * o.on[c]
				varh += float64(step.Q) * o.on[c]
			}
		})
	})
	return wh / 60, varh / 60
}

// Energy is the expected energy of a month (0: the year) in a set of slots.
func (m *Model) Energy(month time.Month, slots Slots) quantity.WattHours {
	wh, _ := m.sum(month, slots)
	return quantity.WattHours(wh)
}

// Reactive is the expected reactive energy, lagging less leading.
func (m *Model) Reactive(month time.Month, slots Slots) quantity.VarHours {
	_, varh := m.sum(month, slots)
	return quantity.VarHours(varh)
}

// ActiveParts is the expected active energy as a meter with two registers counts
// it: taken and delivered, each zero or more, by the sign of the mean power of
// each state. What chance adds within a state is not told apart.
func (m *Model) ActiveParts(month time.Month, slots Slots) (taken, delivered quantity.WattHours) {
	m.eachState(month, slots, func(p Power, hours float64) {
		if wh := p.P * quantity.Watts(hours); wh >= 0 {
			taken += quantity.WattHours(wh)
		} else {
			delivered -= quantity.WattHours(wh)
		}
	})
	return taken, delivered
}

// eachState gives the mean power of each state of a month (0: the year) in a
// set of slots, with the hours spent in it.
func (m *Model) eachState(month time.Month, slots Slots, use func(p Power, hours float64)) {
	m.each(month, func(m *Model, month time.Month) {
		for i := range m.Year.States {
			if s := &m.Year.States[i]; (month == 0 || s.Month == month) && slots.Has(s.Slot) {
				use(m.At(s.On), float64(s.Minutes)/60)
			}
		}
	})
}

// ReactiveParts is the expected reactive energy as a meter with two registers
// counts it: lagging and leading, each zero or more, by the sign of the mean
// reactive power of each state.
func (m *Model) ReactiveParts(month time.Month, slots Slots) (lagging, leading quantity.VarHours) {
	m.eachState(month, slots, func(p Power, hours float64) {
		if q := quantity.VarHours(p.Q) * quantity.VarHours(hours); q >= 0 {
			lagging += q
		} else {
			leading -= q
		}
	})
	return lagging, leading
}

// MachineEnergy is the expected energy of one machine, by its index.
func (m *Model) MachineEnergy(i int, month time.Month, slots Slots) quantity.WattHours {
	var sum quantity.WattHours
	m.each(month, func(m *Model, month time.Month) {
		on, all := m.hours(i, month, slots)
		sum += quantity.WattHours(float64(m.on[i].P)*on + float64(m.off[i].P)*(all-on))
	})
	return sum
}

// MachineReactive is the expected reactive energy of one machine, by its index.
func (m *Model) MachineReactive(i int, month time.Month, slots Slots) quantity.VarHours {
	var sum quantity.VarHours
	m.each(month, func(m *Model, month time.Month) {
		on, all := m.hours(i, month, slots)
		sum += quantity.VarHours(float64(m.on[i].Q)*on + float64(m.off[i].Q)*(all-on))
	})
	return sum
}

func (m *Model) hours(i int, month time.Month, slots Slots) (on, all float64) {
	return float64(m.Year.Open(m.machines[i].Calendar, month, slots)), float64(m.Year.Hours(month, slots))
}

// Mean is the mean power of all machines in an hour of the clock, over the days
// of one kind of a month (0: the year). It is false for an hour that the month
// does not have.
func (m *Model) Mean(month time.Month, kind, hour int) (Power, bool) {
	return m.meanOf(month, kind, hour, func(m *Model, o *openTime) Power {
		p := m.base
		for c, step := range m.step {
			p = p.plus(o.on[c]/o.minutes, step)
		}
		return p
	})
}

// MachineMean is the same for one machine, by its index.
func (m *Model) MachineMean(i int, month time.Month, kind, hour int) (Power, bool) {
	return m.meanOf(month, kind, hour, func(m *Model, o *openTime) Power {
		share := o.on[m.machines[i].Calendar] / o.minutes
		return Power{}.plus(share, m.on[i]).plus(1-share, m.off[i])
	})
}

func (m *Model) meanOf(month time.Month, kind, hour int, power func(*Model, *openTime) Power) (Power, bool) {
	var sum Power
	minutes := 0.0
	m.each(month, func(m *Model, month time.Month) {
		if o, ok := m.Year.hourOf(month, kind, hour); ok {
			sum = sum.plus(o.minutes, power(m, o))
			minutes += o.minutes
		}
	})
	if minutes == 0 {
		return Power{}, false
	}
	return Power{sum.P / quantity.Watts(minutes), sum.Q / quantity.Vars(minutes)}, true
}

func (y *Year) hourOf(month time.Month, kind, hour int) (*openTime, bool) {
	if month < 0 || month > 12 || kind < 0 || kind >= len(y.Grid.Kinds.Names) || hour < 0 || hour > 23 {
		return nil, false
	}
	o := &y.profile[y.profileAt(month, kind, hour)]
	return o, o.minutes > 0
}

// Level is a stretch of the load-duration curve.
type Level struct {
	On    Set
	Power Power
	Time  quantity.Hours
}

// Levels gives the load-duration curve of a month (0: the year) in mean powers
// of states, the highest first. Duration has the curve of demands.
func (m *Model) Levels(month time.Month, slots Slots) []Level {
	var out []Level
	m.each(month, func(m *Model, month time.Month) {
		minutes := map[Set]int{}
		for _, s := range m.Year.States {
			if (month == 0 || s.Month == month) && slots.Has(s.Slot) {
				minutes[s.On] += s.Minutes
			}
		}
		for on, n := range minutes {
			out = append(out, Level{on, m.At(on), quantity.Hours(n) / 60})
		}
	})
	slices.SortFunc(out, func(a, b Level) int {
		return cmp.Or(cmp.Compare(b.Power.P, a.Power.P), cmp.Compare(a.On, b.On), cmp.Compare(b.Power.Q, a.Power.Q))
	})
	joined := out[:0]
	for _, l := range out {
		if last := len(joined) - 1; last >= 0 && joined[last].On == l.On && joined[last].Power == l.Power {
			joined[last].Time += l.Time
			continue
		}
		joined = append(joined, l)
	}
	return joined
}
