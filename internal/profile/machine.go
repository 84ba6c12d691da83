package profile

import (
	"fmt"
	"math"

	"auditgen/internal/quantity"
)

// Power is active and reactive power that go together.
type Power struct {
	P quantity.Watts
	Q quantity.Vars // lagging positive
}

func (a Power) plus(f float64, b Power) Power {
	return Power{a.P + quantity.Watts(f)*b.P, a.Q + quantity.Vars(f)*b.Q}
}

// Times is so many times the power.
func (a Power) Times(f float64) Power {
	return Power{quantity.Watts(float64(a.P) * f), quantity.Vars(float64(a.Q) * f)}
}

// Mode is a running mode with its share of the running time, 0 to 1.
type Mode struct {
	Share float64
	Power
}

// Machine is a thing, or a number of like things, that uses electricity.
//
// While its calendar is on it is in one of its modes, or idle for what the
// shares of the modes leave; while the calendar is off it is on standby.
type Machine struct {
	ID       string
	Calendar int // index into the calendars folded
	Modes    []Mode
	Idle     Power
	Standby  Power
	// Cycle is the length of one round through the modes, in the order given,
	// and idling. 0 means that it is not known: a machine with more than one
	// power is then taken to be in a mode drawn anew for each demand window.
	Cycle quantity.Hours
	// Count is the number of like machines, each running on its own. A part
	// of a machine counts as one machine of that part of the power.
	Count float64

	// Months scales the shares of the modes in each month, January first, for
	// duty that follows the weather; the zero value leaves them as they are. A
	// machine whose shares would pass 1 runs all the time.
	Months [12]float64
	// Apart names machines of which never more than one runs: the oven and
	// what must not run with it. InOrder names machines that are started in
	// order, the one of the largest share first, and stopped in the reverse
	// order: a lead machine and those that follow it. Machines of one name that
	// have no name in common with others are on their own. Like machines of a
	// count are then switched together. Both tell on demand alone: the energy
	// is that of the shares.
	Apart, InOrder string
}

// seasonal reports whether months differ.
func (m *Machine) seasonal() bool { return m.Months != [12]float64{} }

// in gives the shares of a month: the modes scaled into room.
func (m *Machine) in(month int, room []Mode) []Mode {
	weight, sum := 1.0, 0.0
	if m.seasonal() {
		weight = m.Months[month]
	}
	for _, mode := range m.Modes {
		sum += weight * mode.Share
	}
	if sum > 1 {
		weight /= sum
	}
	for _, mode := range m.Modes {
		mode.Share *= weight
		room = append(room, mode)
	}
	return room
}

// rest is the share of the time on calendar that no mode takes.
func (m *Machine) rest() float64 {
	rest := 1.0
	for _, mode := range m.Modes {
		rest -= mode.Share
	}
	return rest
}

// On is the mean power of one machine while its calendar is on.
func (m *Machine) On() Power {
	p := Power{}.plus(m.rest(), m.Idle)
	for _, mode := range m.Modes {
		p = p.plus(mode.Share, mode.Power)
	}
	return p
}

// shareSlack lets shares that were typed as percentages miss 1 by rounding.
const shareSlack = 1e-9

func (m *Machine) check(calendars int) error {
	switch {
	case m.Calendar < 0 || m.Calendar >= calendars:
		return fmt.Errorf("machine %q: calendar %d is none of the %d folded", m.ID, m.Calendar, calendars)
	case !(m.Count >= 0) || math.IsInf(m.Count, 0):
		return fmt.Errorf("machine %q: count %v is not zero or more", m.ID, m.Count)
	case !(m.Cycle >= 0) || math.IsInf(float64(m.Cycle), 0):
		return fmt.Errorf("machine %q: cycle %v h is not zero or more", m.ID, float64(m.Cycle))
	case m.Apart != "" && m.InOrder != "":
		return fmt.Errorf("machine %q: both apart from others (%s) and in order with others (%s)", m.ID, m.Apart, m.InOrder)
	case !finite(m.Idle) || !finite(m.Standby):
		return fmt.Errorf("machine %q: power idle or on standby is not a number", m.ID)
	}
	for i, w := range m.Months {
		if !(w >= 0) || math.IsInf(w, 0) {
			return fmt.Errorf("machine %q: weight %v of month %d is not zero or more", m.ID, w, i+1)
		}
	}
	for i, mode := range m.Modes {
		if !(mode.Share >= 0 && mode.Share <= 1+shareSlack) {
			return fmt.Errorf("machine %q: share %v of mode %d is outside 0 to 1", m.ID, mode.Share, i+1)
		}
		if !finite(mode.Power) {
			return fmt.Errorf("machine %q: power of mode %d is not a number", m.ID, i+1)
		}
	}
	if m.rest() < -shareSlack {
		return fmt.Errorf("machine %q: the modes' shares sum to %v, above 1", m.ID, 1-m.rest())
	}
	return nil
}

func finite(p Power) bool {
	s := float64(p.P) + float64(p.Q)
	return !math.IsNaN(s) && !math.IsInf(s, 0)
}
