package profile

import (
	"cmp"
	"fmt"
	"slices"

	"auditgen/internal/quantity"
)

// member is a machine's part of a group: its own active power, by atom.
type member struct {
	machine  int
	watts    []float64
	mean     float64
	variance float64 // of its own active power
	shared   float64 // covariance with what the group is gridded by
}

// eachMember calls use for each machine of a group.
func (g *group) eachMember(use func(*member)) {
	if g.members == nil {
		watts := make([]float64, len(g.atoms))
		for i, a := range g.atoms {
			watts[i] = a.watts
			if g.swapped {
				watts[i] = a.vars
			}
		}
		g.members = []member{{machine: g.machine, watts: watts}}
	}
	for k := range g.members {
		m := &g.members[k]
		if m.mean == 0 && m.variance == 0 {
			m.moments(g)
		}
		use(m)
	}
}

func (m *member) moments(g *group) {
	mean, grid := 0.0, 0.0
	for i, a := range g.atoms {
		mean += a.p * m.watts[i]
		grid += a.p * a.watts
	}
	n := float64(g.alike)
	for i, a := range g.atoms {
		d := m.watts[i] - mean
		m.variance += n * a.p * d * d
		m.shared += n * a.p * d * (a.watts - grid)
	}
	m.mean = n * mean
}

// bond is a number of machines whose running hangs together.
type bond struct {
	name     string
	inOrder  bool
	machines []int
	mask     Set // their calendars
}

// mostBonded is how many calendars the machines of a bond may have.
const mostBonded = 6

// bonds lists what ties machines together; a machine alone in its bond is free.
func bonds(machines []Machine) []bond {
	var out []bond
	for i := range machines {
		a := &machines[i]
		name := a.Apart + a.InOrder
		if name == "" {
			continue
		}
		k := slices.IndexFunc(out, func(b bond) bool { return b.name == name && b.inOrder == (a.InOrder != "") })
		if k < 0 {
			k = len(out)
			out = append(out, bond{name: name, inOrder: a.InOrder != ""})
		}
		out[k].machines = append(out[k].machines, i)
		out[k].mask |= 1 << a.Calendar
	}
	return slices.DeleteFunc(out, func(b bond) bool { return len(b.machines) < 2 })
}

func checkBonds(machines []Machine) error {
	for _, b := range bonds(machines) {
		if b.mask.Len() > mostBonded {
			return fmt.Errorf("machines bound by %q have %d calendars: %d at most", b.name, b.mask.Len(), mostBonded)
		}
	}
	return nil
}

// groups gives the bond's groups: one for each set of its calendars that may be
// on together.
func (b bond) groups(machines []Machine, window float64, unit Unit) []group {
	var out []group
	for value := b.mask; value != 0; value = (value - 1) & b.mask {
		var active []int
		for _, i := range b.machines {
			if value.Has(machines[i].Calendar) && machines[i].Count > 0 {
				active = append(active, i)
			}
		}
		if len(active) == 0 {
			continue
		}
		if g := b.group(machines, active, window, unit); g.span() > 0 {
			g.mask, g.value = b.mask, value
			out = append(out, g)
		}
	}
	return out
}

// group makes one group of the machines that may run.
func (b bond) group(machines []Machine, active []int, window float64, unit Unit) group {
	levels := b.apart
	if b.inOrder {
		levels = b.ordered
	}
	shares, powers := levels(machines, active)
	cycle := 0.0
	for _, i := range active {
		if c := float64(machines[i].Cycle); c == 0 {
			cycle = 0
			break
		} else {
			cycle = max(cycle, c)
		}
	}
	// The atoms of the sum and of each machine, not merged, lie side by side.
	sum := make([]level, len(shares))
	own := make([][]level, len(active))
	for k := range own {
		own[k] = make([]level, len(shares))
	}
	for s, share := range shares {
		sum[s].share = share
		for k := range active {
			p := powers[s][k]
			own[k][s] = level{share, float64(p.P), float64(p.Q)}
			sum[s].watts += float64(p.P)
			sum[s].vars += float64(p.Q)
		}
	}
	atoms := atomsOf(sum, cycle, window)
	members := make([]member, len(active))
	for k, i := range active {
		members[k].machine = i
		for _, a := range atomsOf(own[k], cycle, window) {
			members[k].watts = append(members[k].watts, a.watts)
		}
	}
	swapped := unit == Reactive
	if swapped {
		for i := range atoms {
			atoms[i].watts, atoms[i].vars = atoms[i].vars, atoms[i].watts
		}
	}
	g := newGroup(-1, 0, 1, atoms, 1, max(1, cycle/window))
	g.members, g.swapped = members, swapped
	return g
}

// atomsOf gives the distribution over a window of levels that take turns, not
// merged.
func atomsOf(levels []level, cycle, window float64) []atom {
	if cycle > 0 {
		return ring(levels, window/cycle)
	}
	out := make([]atom, len(levels))
	for i, l := range levels {
		out[i] = atom{l.share, l.watts, l.vars}
	}
	return out
}

// counted gives a machine's levels times its count, idling last, and the share
// that it runs.
func (m *Machine) counted() (modes []level, idle Power, running float64) {
	rest := m.rest()
	scale := 1.0
	if rest < 0 {
		scale, rest = 1/(1-rest), 0
	}
	for _, mode := range m.Modes {
		if mode.Share > 0 {
			modes = append(modes, level{mode.Share * scale, m.Count * float64(mode.P), m.Count * float64(mode.Q)})
		}
	}
	return modes, Power{}.plus(m.Count, m.Idle), 1 - rest
}

func powerOf(l level) Power { return Power{quantity.Watts(l.watts), quantity.Vars(l.vars)} }

// apart lists the states of machines of which one runs at a time: each mode of
// each with the others idle, and all idle. Shares that leave no room for each
// other are scaled down together.
func (b bond) apart(machines []Machine, active []int) (shares []float64, powers [][]Power) {
	idle := make([]Power, len(active))
	sum := 0.0
	for k, i := range active {
		var running float64
		_, idle[k], running = machines[i].counted()
		sum += running
	}
	scale := 1 / max(1, sum)
	for k, i := range active {
		modes, _, _ := machines[i].counted()
		for _, l := range modes {
			state := slices.Clone(idle)
			state[k] = powerOf(l)
			shares, powers = append(shares, l.share*scale), append(powers, state)
		}
	}
	if rest := 1 - sum*scale; rest > shareSlack {
		shares, powers = append(shares, rest), append(powers, idle)
	}
	return shares, powers
}

// ordered lists the states of machines that follow each other: all running,
// one less, and so on down to none. A machine with several modes runs at their
// mean.
func (b bond) ordered(machines []Machine, active []int) (shares []float64, powers [][]Power) {
	n := len(active)
	idle, run, share, order := make([]Power, n), make([]Power, n), make([]float64, n), make([]int, n)
	for k, i := range active {
		var modes []level
		modes, idle[k], share[k] = machines[i].counted()
		for _, l := range modes {
			run[k] = run[k].plus(l.share/share[k], powerOf(l))
		}
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(share[b], share[a]) })
	for running := n; running >= 0; running-- {
		above, below := 1.0, 0.0
		if running > 0 {
			above = share[order[running-1]]
		}
		if running < n {
			below = share[order[running]]
		}
		if above-below <= shareSlack {
			continue
		}
		state := slices.Clone(idle)
		for _, k := range order[:running] {
			state[k] = run[k]
		}
		shares, powers = append(shares, above-below), append(powers, state)
	}
	return shares, powers
}
