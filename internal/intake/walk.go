package intake

import (
	"math"
	"sort"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/tariff"
)

// walk goes over the rows of a log in the order of time and parts them at the
// edges of days, slots and demand windows.
type walk struct {
	tariff *tariff.Tariff
	clock  *zoneClock
	kinds  map[*uint8]*dayKind
	day    int64 // days since 1970-01-01 of the day at hand
	kind   *dayKind
}

// dayKind is a day's slots with the minute at which each run of a slot ends.
type dayKind struct {
	slots []uint8
	until [1440]int16
}

func newWalk(t *tariff.Tariff, zone *time.Location) *walk {
	return &walk{tariff: t, clock: &zoneClock{loc: zone}, kinds: map[*uint8]*dayKind{}, day: math.MinInt64}
}

// on gives the slots of a day, counted from 1970-01-01.
func (w *walk) on(day int64) *dayKind {
	if day == w.day {
		return w.kind
	}
	slots := w.tariff.DaySlots(dateOf(day))
	k := w.kinds[&slots[0]]
	if k == nil {
		k = &dayKind{slots: slots}
		end := int16(1440)
		for m := 1439; m >= 0; m-- {
			if m < 1439 && slots[m] != slots[m+1] {
				end = int16(m + 1)
			}
			k.until[m] = end
		}
		w.kinds[&slots[0]] = k
	}
	w.day, w.kind = day, k
	return k
}

func dateOf(day int64) civil.Date {
	t := utc(day * aDay)
	return civil.Date{Year: t.Year(), Month: t.Month(), Day: t.Day()}
}

// piece is a row, or the part of one, that lies in one slot and one window of
// each length.
type piece struct {
	start  int64 // instant
	wall   int64 // second of the local clock
	slot   uint8
	values *[channels]Energy
}

// rows visits the pieces of the rows between two instants. Pieces do not cross
// multiples of any of the steps, in seconds of the local clock.
func (w *walk) rows(rows []Row, from, to int64, steps []int64, visit func(piece)) {
	first := sort.Search(len(rows), func(i int) bool { return rows[i].End() > from })
	for i := first; i < len(rows) && rows[i].Start < to; i++ {
		r := &rows[i]
		start, end := max(r.Start, from), min(r.End(), to)
		if start == r.Start && end == r.End() {
			if p, next := w.piece(start, steps); next >= end {
				p.values = &r.Values
				visit(p)
				continue
			}
		}
		w.parts(r, start, end, steps, visit)
	}
}

// parts visits a row piece by piece. The pieces of a whole row add up to it
// exactly.
func (w *walk) parts(r *Row, start, end int64, steps []int64, visit func(piece)) {
	for at := start; at < end; {
		p, next := w.piece(at, steps)
		next = min(next, end)
		var values [channels]Energy
		for c := range values {
			values[c] = share(r.Values[c], next-r.Start, int64(r.Duration)) - share(r.Values[c], at-r.Start, int64(r.Duration))
		}
		p.values = &values
		visit(p)
		at = next
	}
}

// piece begins a piece at an instant and gives the instant by which it must end.
func (w *walk) piece(at int64, steps []int64) (piece, int64) {
	offset := w.clock.at(at)
	wall := at + offset
	day := floorDiv(wall, aDay)
	second := wall - day*aDay
	kind := w.on(day)
	minute := second / 60
	next := wall - second + int64(kind.until[minute])*60
	for _, step := range steps {
		if edge := wall - second%step + step; edge < next {
			next = edge
		}
	}
	return piece{start: at, wall: wall, slot: kind.slots[minute]}, min(next-offset, w.clock.to)
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// use reduces the rows of a period.
func (w *walk) use(l *Log, p tariff.Period, windows []int) *Use {
	slots := len(w.tariff.Slots())
	u := &Use{log: l, tariff: w.tariff, zone: w.clock.loc, Period: p, peaks: map[int]*peaks{}, apparent: make([]float64, slots)}
	all := make([]Energy, int(channels)*slots)
	for c := range u.energies {
		u.energies[c] = all[c*slots : (c+1)*slots]
	}
	steps := make([]int64, len(windows))
	meters := make([]windowMeter, len(windows))
	for i, minutes := range windows {
		steps[i] = int64(minutes) * 60
		u.peaks[minutes] = newPeaks(slots)
		meters[i] = windowMeter{long: steps[i], to: u.peaks[minutes], key: math.MinInt64}
	}
	from, to := u.bounds()
	reactive := l.Has.Reactive()
	w.rows(l.Rows, from, to, steps, func(p piece) {
		v := p.values
		for c := range channels {
			u.energies[c][p.slot] += v[c]
		}
		if reactive {
			u.apparent[p.slot] += hypot(v[Import], v[Lagging]-v[Leading]) / 1e6
		}
		for i := range meters {
			meters[i].take(p)
		}
	})
	for i := range meters {
		meters[i].close()
	}
	u.survey(from, to)
	return u
}

// survey counts the time that has readings, and what to say of them.
func (u *Use) survey(from, to int64) {
	rows := u.log.Rows
	first := sort.Search(len(rows), func(i int) bool { return rows[i].End() > from })
	for i := first; i < len(rows) && rows[i].Start < to; i++ {
		r := &rows[i]
		u.covered += min(r.End(), to) - max(r.Start, from)
		u.unsure[r.Quality]++
		u.longest = max(u.longest, r.Duration)
		if r.Start < from || r.End() > to {
			u.cut++
		}
	}
}

func hypot(a, b Energy) float64 {
	x, y := float64(a), float64(b)
	return math.Sqrt(x*x + y*y)
}
