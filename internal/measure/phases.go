package measure

import (
	"fmt"
	"slices"
	"strings"

	"auditgen/internal/audit"
	"auditgen/internal/effect"
	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

var phaseNames = [3]string{"A", "B", "C"}

// phases works out which one-phase circuits of a board to move. It changes no
// power: no saving of energy is claimed.
func (s *state) phases(board string) {
	lang := s.result.Record.Words
	circuits, unknown := s.circuits(board)
	rest, from := s.rest(board, circuits)
	if len(circuits) < 2 {
		s.warn("", lang.S("Fewer than two one-phase circuits of this board were read on a known phase: there is nothing to work out. Read each with its phase."))
		return
	}
	moves := effect.Rebalance(rest, circuits)
	before, after := sums(rest, circuits), sums(rest, spreadBy(circuits, moves))
	carry := func(key, label, reason string, powers []complex128) {
		for i, v := range powers {
			s.sheet.Put(working.Step{ID: s.prefix + key + "." + phaseNames[i], Label: fmt.Sprintf(label, phaseNames[i]), Kind: working.Modelled, Unit: "W", Value: real(v), From: from, Reason: reason})
		}
	}
	carry("now", lang.S("power of phase %s of the board, now"), lang.S("the board's reading less its one-phase circuits, and these at their running power on the phase where they are now"), before)
	carry("then", lang.S("power of phase %s of the board, then"), lang.S("the board's reading less its one-phase circuits, and these at their running power on the phase where they are then"), after)
	u := func(key, label string) working.Num[quantity.Ratio] {
		var p []working.Num[quantity.Amperes]
		for i := range before {
			st, _ := s.sheet.Get(s.prefix + key + "." + phaseNames[i])
			p = append(p, working.Num[quantity.Amperes]{V: quantity.Amperes(st.Value), Step: st.ID})
		}
		return power.CurrentUnbalanceF.Apply(s.sheet, s.prefix+"unbalance-"+key, label, "", p)
	}
	now, then := u("now", lang.S("unbalance of the phases by power, now")), u("then", lang.S("unbalance of the phases by power, then"))
	if len(moves) == 0 {
		s.note(now.Step, lang.S("The circuits are spread as evenly as they can be: nothing is moved."))
		return
	}
	s.note(then.Step, lang.F("Move %s. The phases then differ from their mean by %.0f %% at the most, instead of %.0f %%. No saving of energy is claimed.", s.moves(circuits, moves), float64(then.V)*100, float64(now.V)*100))
	if len(unknown) > 0 {
		s.warn(then.Step, lang.F("Not counted, since their phase is not known: %s.", strings.Join(unknown, ", ")))
	}
}

// legs is how many phases there are to spread over: three, or the two of a
// split-phase supply.
func (s *state) legs() int {
	if s.rec.Site.Supply.System.Value == site.OnePhaseThreeWire {
		return 2
	}
	return 3
}

func (s *state) moves(circuits []effect.Circuit, moves []effect.Move) string {
	lang := s.result.Record.Words
	var parts []string
	for _, m := range moves {
		parts = append(parts, lang.F("%s (%.1f kW) from %s to %s", s.named(circuits[m.Circuit].ID), float64(circuits[m.Circuit].P)/1e3, phaseNames[m.From], phaseNames[m.To]))
	}
	return strings.Join(parts, ", ")
}

func spreadBy(circuits []effect.Circuit, moves []effect.Move) []effect.Circuit {
	out := slices.Clone(circuits)
	for _, m := range moves {
		out[m.Circuit].Phase = m.To
	}
	return out
}

func sums(rest []complex128, circuits []effect.Circuit) []complex128 {
	rest = slices.Clone(rest)
	for _, c := range circuits {
		rest[c.Phase] += complex(float64(c.P), float64(c.Q))
	}
	return rest
}

// circuits lists the loads of a board that were read on one known phase, each
// alone; the others of one phase or of none are named.
func (s *state) circuits(board string) (list []effect.Circuit, unknown []string) {
	for _, l := range s.result.Loads {
		if l.Point != board {
			continue
		}
		rd := s.reading(l)
		if rd == nil || rd.Wiring != site.OnePhaseTwoWire || len(rd.Phases) != 1 || l.Count.V != 1 {
			if rd == nil || rd.Wiring == site.OnePhaseTwoWire {
				unknown = append(unknown, l.Name)
			}
			continue
		}
		if i := site.PhaseIndex(rd.Phases[0].Name); i >= 0 && i < s.legs() {
			c := effect.Circuit{ID: l.ID, Phase: i, P: quantity.Watts(rd.Total.Power.V)}
			if rd.Total.Reactive.Known() {
				c.Q = quantity.Vars(rd.Total.Reactive.V)
			}
			list = append(list, c)
		}
	}
	return list, unknown
}

func (s *state) reading(l audit.Load) *audit.Reading {
	if len(l.Readings) == 0 {
		return nil
	}
	for i := range s.result.Readings {
		if s.result.Readings[i].ID == l.Readings[0] {
			return &s.result.Readings[i]
		}
	}
	return nil
}

// rest is what each phase of the board carries besides the circuits: its own
// reading less theirs, where it was read by phase.
func (s *state) rest(board string, circuits []effect.Circuit) (rest []complex128, from []string) {
	rest = make([]complex128, s.legs())
	for _, rd := range s.result.Readings {
		if rd.At != board || len(rd.Phases) < len(rest) {
			continue
		}
		for _, p := range rd.Phases {
			if i := site.PhaseIndex(p.Name); i >= 0 && i < len(rest) && p.Power.Known() {
				rest[i] = complex(p.Power.V, p.Reactive.V)
				from = append(from, p.Power.Step)
			}
		}
		for _, c := range circuits {
			rest[c.Phase] -= complex(float64(c.P), float64(c.Q))
		}
		for i, v := range rest { // a circuit that did not run when the board was read
			rest[i] = complex(max(real(v), 0), max(imag(v), 0))
		}
		break
	}
	for _, c := range circuits {
		from = append(from, "loads."+c.ID+".running")
	}
	return rest, from
}
