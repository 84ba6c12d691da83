package measure

import (
	"math"

	"auditgen/internal/audit"
)

// ninety is the coverage factor of a 90 % interval of a normal distribution
// (JCGM 100:2008, table G.1).
const ninety = 1.6448536269514722

// ownDoubts widens a measure's intervals by what its own changes leave open: the
// year is altered again with each such figure moved by a standard deviation, and
// the difference is its part (JCGM 100:2008, 5.1.2, by forward differences).
func (e *evaluation) ownDoubts(m *Measure, from *audit.Variant, doubts []string) error {
	at := m.Alone
	for _, name := range doubts {
		s, err := e.prepared(m.Measure)
		if err != nil {
			return err
		}
		s.moved[name] = 1
		if err := s.apply(m.Measure); err != nil {
			return err
		}
		to, err := s.year(true)
		if err != nil {
			return err
		}
		other := between(from, to)
		m.ownEnergy = math.Hypot(m.ownEnergy, ninety*(other.Energy.Value-at.Energy.Value))
		m.ownCost = math.Hypot(m.ownCost, ninety*(other.Cost.Value-at.Cost.Value))
		m.ownPeak = math.Hypot(m.ownPeak, ninety*(other.Peak.Value-at.Peak.Value))
	}
	widen(&m.Alone.Energy, m.ownEnergy)
	widen(&m.Alone.Cost, m.ownCost)
	widen(&m.Alone.Peak, m.ownPeak)
	return nil
}

func widen(i *audit.Interval, by float64) {
	half := math.Hypot(i.Half(), by)
	i.Low, i.High = i.Value-half, i.Value+half
}
