package intake

import (
	"math"
	"sort"
	"time"

	"auditgen/internal/diag"
	"auditgen/internal/tariff"
)

// Within counts the rows that lie in a period, wholly or in part, and tells where
// the first of them stands.
func (l *Log) Within(p tariff.Period, zone *time.Location) (rows int, first diag.Pos) {
	i, k := l.bounds(midnight(p.From, zone), midnight(p.To, zone))
	if i < k {
		first = l.pos(&l.Rows[i])
	}
	return k - i, first
}

// bounds gives the rows that lie between two instants, wholly or in part.
func (l *Log) bounds(from, to int64) (i, k int) {
	i = sort.Search(len(l.Rows), func(n int) bool { return l.Rows[n].End() > from })
	k = sort.Search(len(l.Rows), func(n int) bool { return l.Rows[n].Start >= to })
	return i, max(i, k)
}

// Scaled gives the log with its active and its reactive energies multiplied, for
// what would be. Figures are rounded to whole µWh.
func (l *Log) Scaled(active, reactive float64) *Log {
	out := *l
	out.Rows = make([]Row, len(l.Rows))
	for i := range l.Rows {
		r := l.Rows[i]
		for c := range r.Values {
			by := active
			if Channel(c) >= Lagging {
				by = reactive
			}
			r.Values[c] = Energy(math.Round(float64(r.Values[c]) * by))
		}
		out.Rows[i] = r
	}
	return &out
}

// WithReactive gives a log without reactive energy the lagging energy that goes
// with its active energy at var for each W, which may differ from month to month
// of the local clock; negative is leading.
func (l *Log) WithReactive(zone *time.Location, tangent func(time.Month) float64) *Log {
	out := *l
	out.Rows = make([]Row, len(l.Rows))
	out.Has.add(Lagging)
	out.Has.add(Leading)
	for i := range l.Rows {
		r := l.Rows[i]
		q := Energy(math.Round(float64(r.Values[Import]) * tangent(time.Unix(r.Start, 0).In(zone).Month())))
		r.Values[Lagging], r.Values[Leading] = max(q, 0), max(-q, 0)
		out.Rows[i] = r
	}
	return &out
}
