package profile

import (
	"slices"
	"time"

	"auditgen/internal/quantity"
)

// DutyByDegreeHours turns a table of degree-hours by month into weights of a
// duty, for a machine's Months: in each month the part of the duty that goes
// with the weather is in proportion to the degree-hours for each hour that the
// machine may run; base is the part, 0 to 1, that does not. The mean of the
// weights over the hours is 1, so that a duty stated for the year stays so. A
// table without degree-hours, or no hours, gives weights of 1.
func DutyByDegreeHours(degreeHours [12]float64, hours [12]quantity.Hours, base quantity.Ratio) [12]float64 {
	sum, time := 0.0, 0.0
	for i, h := range hours {
		if h > 0 {
			sum += degreeHours[i]
			time += float64(h)
		}
	}
	var out [12]float64
	for i, h := range hours {
		out[i] = 1
		if sum > 0 && h > 0 {
			out[i] = float64(base) + float64(1-base)*(degreeHours[i]/float64(h))/(sum/time)
		}
	}
	return out
}

// setMonths makes the models of the months, one for each set of weights.
func (m *Model) setMonths() error {
	if !slices.ContainsFunc(m.machines, func(a Machine) bool { return a.seasonal() }) {
		m.months = nil
		return nil
	}
	old := m.months
	m.months = make([]*Model, 12)
	for month := range m.months {
		if first := m.alike(month); first < month {
			m.months[month] = m.months[first]
			continue
		}
		machines := slices.Clone(m.machines)
		var room []Mode
		for i := range machines {
			from := len(room)
			room = machines[i].in(month, room)
			machines[i].Modes, machines[i].Months = room[from:len(room):len(room)], [12]float64{}
		}
		child := &Model{Year: m.Year, grid: m.grid}
		if old != nil && !slices.Contains(m.months, old[month]) {
			child = old[month] // its buffers
		}
		if err := child.Set(machines); err != nil {
			return err
		}
		m.months[month] = child
	}
	return nil
}

// alike gives the first month with the same weights.
func (m *Model) alike(month int) int {
	for first := range month {
		same := func(a Machine) bool { return a.Months[first] == a.Months[month] }
		if !slices.ContainsFunc(m.machines, func(a Machine) bool { return !same(a) }) {
			return first
		}
	}
	return month
}

// each calls use for each part of a month (0: the year) with the model that
// holds there: once for all where months do not differ.
func (m *Model) each(month time.Month, use func(m *Model, month time.Month)) {
	switch {
	case m.months == nil || month < 0 || month > 12:
		use(m, month)
	case month != 0:
		use(m.months[month-1], month)
	default:
		for i, child := range m.months {
			use(child, time.Month(i+1))
		}
	}
}
