package intake

import (
	"math"

	"auditgen/internal/tariff"
)

// peak is the highest energy of any window, of each kind.
type peak struct {
	active   Energy
	apparent float64 // square of µVAh
	lagging  Energy  // lagging less leading
}

// raise takes a window in.
func (p *peak) raise(s *step) {
	net := s.lagging - s.leading
	p.active = max(p.active, s.active)
	p.lagging = max(p.lagging, net)
	a, q := float64(s.active), float64(net)
	p.apparent = max(p.apparent, a*a+q*q)
}

func (p *peak) merge(q *peak) {
	p.active, p.apparent, p.lagging = max(p.active, q.active), max(p.apparent, q.apparent), max(p.lagging, q.lagging)
}

// mean turns the energy of a window into the mean over its minutes, in W, VA or
// var.
func (p peak) mean(unit tariff.DemandUnit, minutes int) float64 {
	micro := float64(p.active)
	switch unit {
	case tariff.KVA:
		micro = math.Sqrt(p.apparent)
	case tariff.Kvar:
		micro = float64(p.lagging)
	}
	return micro * 60 / float64(minutes) / 1e6
}

// peaks are the highest windows by the slots that they lie in.
type peaks struct {
	one  []peak // windows that lie in one slot, by slot
	more []mixedPeak
}

// mixedPeak is of windows that lie in several slots.
type mixedPeak struct {
	slots tariff.SlotSet
	peak
}

func newPeaks(slots int) *peaks { return &peaks{one: make([]peak, slots)} }

// of gives the peak of windows that lie in exactly these slots.
func (p *peaks) of(slots tariff.SlotSet) *peak {
	for i := range p.more {
		if p.more[i].slots == slots {
			return &p.more[i].peak
		}
	}
	p.more = append(p.more, mixedPeak{slots: slots})
	return &p.more[len(p.more)-1].peak
}

// in gives the peak of all windows that lie in the slots.
func (p *peaks) in(slots tariff.SlotSet) peak {
	var best peak
	for s := range p.one {
		if slots.Has(tariff.Slot(s)) {
			best.merge(&p.one[s])
		}
	}
	for i := range p.more {
		if p.more[i].slots.And(slots) == p.more[i].slots {
			best.merge(&p.more[i].peak)
		}
	}
	return best
}

// step is what was metered in one window of the clock.
type step struct {
	start                    int64 // instant of its first piece
	wall                     int64 // second of the local clock of its first piece
	first                    uint8 // slot of its first piece
	mixed                    bool
	slots                    tariff.SlotSet // all slots, when mixed
	active, lagging, leading Energy
}

func (s *step) add(t *step) {
	s.active += t.active
	s.lagging += t.lagging
	s.leading += t.leading
}

func (s *step) take(p piece) {
	s.active += p.values[Import]
	s.lagging += p.values[Lagging]
	s.leading += p.values[Leading]
	if p.slot != s.first {
		if !s.mixed {
			s.mixed = true
			s.slots.Add(tariff.Slot(s.first))
		}
		s.slots.Add(tariff.Slot(p.slot))
	}
}

// windowMeter adds pieces up by window and keeps the highest.
type windowMeter struct {
	long   int64 // seconds
	key    int64 // number of the window at hand
	offset int64 // of the clock in it: the two rounds of a repeated hour differ
	step   step
	to     *peaks
	emit   func(step) // in place of to
}

func (m *windowMeter) take(p piece) {
	key, offset := floorDiv(p.wall, m.long), p.wall-p.start
	if key != m.key || offset != m.offset {
		m.close()
		m.key, m.offset = key, offset
		m.step = step{start: p.start, wall: p.wall, first: p.slot}
	}
	m.step.take(p)
}

// close ends the window at hand.
func (m *windowMeter) close() {
	switch {
	case m.key == math.MinInt64:
	case m.emit != nil:
		m.emit(m.step)
	case m.step.mixed:
		m.to.of(m.step.slots).raise(&m.step)
	default:
		m.to.one[m.step.first].raise(&m.step)
	}
}

// steps lists the windows of a period in the order of time.
func (w *walk) steps(l *Log, p tariff.Period, minutes int) []step {
	u := &Use{Period: p, zone: w.clock.loc}
	from, to := u.bounds()
	var out []step
	long := int64(minutes) * 60
	m := windowMeter{long: long, key: math.MinInt64, emit: func(s step) {
		if !s.mixed {
			s.slots.Add(tariff.Slot(s.first))
		}
		s.start -= s.wall - floorDiv(s.wall, long)*long
		s.wall = floorDiv(s.wall, long) * long
		out = append(out, s)
	}}
	w.rows(l.Rows, from, to, []int64{long}, m.take)
	m.close()
	return out
}
