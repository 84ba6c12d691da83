package audit

import (
	"fmt"

	"auditgen/internal/civil"
	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/tariff"
)

// Added is a machine that no load of a record can say: reactive power of a
// capacitor bank, generation, or one with modes, idling and standby of its own.
type Added struct {
	ID, Name string
	Calendar string            // key of a calendar of the record, or always; "" where On is given
	On       *profile.Calendar // a calendar of its own
	Machine  profile.Machine   // its calendar is set from the two above
	// Factor is the share of the powers that the year brings, with its doubt;
	// the zero value is 1, without doubt.
	Factor quantity.Estimate[quantity.Ratio]
	// Mend is what would narrow that doubt.
	Mend string
}

// Capacitors gives a bank that supplies so many var while a calendar is on,
// with no active power: a loss of its own is stated as Added.Machine's P.
func Capacitors(id, name, calendar string, supplied quantity.Vars) Added {
	return Added{ID: id, Name: name, Calendar: calendar, Machine: profile.Machine{
		ID: id, Count: 1, Modes: []profile.Mode{{Share: 1, Power: profile.Power{Q: -supplied}}},
	}}
}

// steadyCycle is the length of a cycle so short, in hours, that no demand window
// tells its parts apart: one second.
const steadyCycle = 1.0 / 3600

// Generation gives what generates the mean power of a month and hour of the
// clock, in W, January first, as machines of negative power, one for each hour
// that has any. present is the share of the demand windows in which it is there
// at all, above 0 and at most 1: 1 takes it to follow its mean, so that it
// always lowers the highest demand; below that it is there at 1/present of its
// mean power or not at all, drawn anew for each window, as a passing cloud or a
// trip does, and the highest demand falls in a window without it.
func Generation(id, name string, power [12][24]quantity.Watts, present float64, factor quantity.Estimate[quantity.Ratio]) ([]Added, error) {
	if !(present > 0 && present <= 1) {
		return nil, fmt.Errorf("%s: present %v of the time, not above 0 and at most 1", id, present)
	}
	var out []Added
	for hour := range 24 {
		most := quantity.Watts(0)
		for m := range power {
			most = max(most, power[m][hour])
		}
		if most == 0 {
			continue
		}
		a := Added{ID: fmt.Sprintf("%s.%02d", id, hour), Name: name, On: hourOfDay(id, hour), Factor: factor}
		a.Machine = profile.Machine{ID: a.ID, Count: 1, Modes: []profile.Mode{{Share: present, Power: profile.Power{P: -most / quantity.Watts(present)}}}}
		if present == 1 {
			a.Machine.Cycle = steadyCycle
		}
		for m := range power {
			a.Machine.Months[m] = float64(power[m][hour] / most)
		}
		out = append(out, a)
	}
	return out, nil
}

// hourOfDay is a calendar that is on in one hour of every day.
func hourOfDay(id string, hour int) *profile.Calendar {
	c := &profile.Calendar{Name: fmt.Sprintf("%s, hour %d", id, hour)}
	for d := range c.Hours {
		c.Hours[d] = []civil.Span{{From: civil.Clock(hour * 60), To: civil.Clock((hour + 1) * 60)}}
	}
	return c
}

// calendarsOfAdded appends the calendars that additions bring, and gives the
// index of each one's.
func calendarsOfAdded(added []Added, calendars []profile.Calendar, index map[when]int) ([]profile.Calendar, []int, error) {
	on := make([]int, len(added))
	for i, a := range added {
		if a.On != nil {
			on[i] = len(calendars)
			calendars = append(calendars, *a.On)
			continue
		}
		k, ok := index[when{calendar: a.Calendar}]
		if !ok {
			return nil, nil, fmt.Errorf("%s: there is no calendar %q", a.ID, a.Calendar)
		}
		on[i] = k
	}
	return calendars, on, nil
}

// load is the addition in the year's model.
func (a Added) load(calendar int, p *params) modelLoad {
	m := modelLoad{id: a.ID, calendar: calendar, own: &a.Machine, scale: factor{mean: 1}, count: factor{mean: a.Machine.Count}, hours: factor{mean: 1}}
	if a.Factor != (quantity.Estimate[quantity.Ratio]{}) {
		m.scale = p.relative(a.Factor, param{id: "added." + a.ID + ".factor", label: a.Name, assumed: true, mend: a.Mend})
	}
	return m
}

// delivers tells whether anything added may turn the flow around, so that
// registers for either direction are needed.
func (m *model) delivers() bool {
	for _, l := range m.loads {
		if l.own == nil {
			continue
		}
		for _, p := range powersOf(l.own) {
			if p.P < 0 || p.Q < 0 {
				return true
			}
		}
	}
	return false
}

func powersOf(a *profile.Machine) []profile.Power {
	ps := []profile.Power{a.Idle, a.Standby}
	for _, mode := range a.Modes {
		ps = append(ps, mode.Power)
	}
	return ps
}

// partedUse is what a meter with registers for either direction is expected to
// show: a state counts by the sign of its mean power.
type partedUse struct{ monthUse }

// Energy is the active energy taken.
func (u *partedUse) Energy(set tariff.SlotSet) quantity.WattHours { return u.taken(u.slots(set)) }

// Exported is the active energy delivered.
func (u *partedUse) Exported(set tariff.SlotSet) quantity.WattHours {
	_, delivered := u.energy.ActiveParts(u.month, u.slots(set))
	return delivered
}

// Lagging is the reactive energy taken.
func (u *partedUse) Lagging(set tariff.SlotSet) quantity.VarHours {
	lagging, _ := u.energy.ReactiveParts(u.month, u.slots(set))
	return lagging
}

// Leading is the reactive energy delivered.
func (u *partedUse) Leading(set tariff.SlotSet) quantity.VarHours {
	_, leading := u.energy.ReactiveParts(u.month, u.slots(set))
	return leading
}

// taken is the active energy taken: net where nothing generates.
func (u *monthUse) taken(slots profile.Slots) quantity.WattHours {
	if !u.model.delivers() {
		return u.energy.Energy(u.month, slots)
	}
	taken, _ := u.energy.ActiveParts(u.month, slots)
	return taken
}
