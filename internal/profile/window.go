package profile

import (
	"cmp"
	"encoding/binary"
	"slices"
	"time"
)

// A demand meter averages over fixed windows of the clock. Most windows lie
// whole within one set of calendars; where a calendar changes inside a window
// the window is a mix, and its demand the mean of the parts by their time.

// part is a set of calendars with its share of a window.
type part struct {
	on    Set
	share float64
}

// mix is what one kind of window is made of, the longest part first.
type mix []part

// windowKey places a kind of window in the year.
type windowKey struct {
	month     time.Month
	kind      int
	hour      int
	slot, mix int
}

// windowCount counts windows of one kind; a window cut short by a change of
// the clock counts for the part that is left of it.
type windowCount struct {
	windowKey
	n float64
}

// spell is the windows of one mix in a month and slot.
type spell struct {
	month   time.Month
	slot    int
	mix     int
	n, runs float64 // windows, and the unbroken runs that they make up
}

// windows is the part of a folded year that demand rests on.
type windows struct {
	mixes  []mix
	counts []windowCount // by month, kind, hour, slot, mix
	spells []spell       // by month, slot, mix
}

// windowing gathers windows during the fold.
type windowing struct {
	step    int
	now     windowKey // the window that is open; its mix is not yet known
	number  int
	parts   []minutesOn
	counts  map[windowKey]float64
	runs    map[windowKey]float64 // keyed without kind and hour
	last    windowKey
	index   map[string]int
	pure    map[Set]int
	mixes   []mix
	scratch []byte
}

type minutesOn struct {
	on      Set
	minutes int
}

func newWindowing(step int) windowing {
	return windowing{step: step, counts: map[windowKey]float64{}, runs: map[windowKey]float64{},
		index: map[string]int{}, pure: map[Set]int{}, last: windowKey{mix: -1}}
}

// spend puts minutes of a day's clock, all within one window, under a set. A
// window belongs to the slot and the hour in which it begins.
func (w *windowing) spend(at windowKey, from, to int, on Set) {
	if number := from / w.step; len(w.parts) == 0 || number != w.number || at.month != w.now.month {
		w.flush()
		w.now, w.number = at, number
	}
	for i := range w.parts {
		if w.parts[i].on == on {
			w.parts[i].minutes += to - from
			return
		}
	}
	w.parts = append(w.parts, minutesOn{on, to - from})
}

// flush counts the window that is open.
func (w *windowing) flush() {
	if len(w.parts) == 0 {
		return
	}
	total := 0
	for _, p := range w.parts {
		total += p.minutes
	}
	key := w.now
	key.mix = w.mixOf(total)
	w.counts[key] += float64(total) / float64(w.step)
	if key.kind, key.hour = 0, 0; key != w.last {
		w.runs[key]++
		w.last = key
	}
	w.parts = w.parts[:0]
}

// mixOf numbers what the open window is made of.
func (w *windowing) mixOf(total int) int {
	if len(w.parts) == 1 {
		on := w.parts[0].on
		i, known := w.pure[on]
		if !known {
			i = len(w.mixes)
			w.pure[on] = i
			w.mixes = append(w.mixes, mix{{on, 1}})
		}
		return i
	}
	slices.SortFunc(w.parts, func(a, b minutesOn) int {
		return cmp.Or(cmp.Compare(b.minutes, a.minutes), cmp.Compare(a.on, b.on))
	})
	w.scratch = w.scratch[:0]
	m := make(mix, len(w.parts))
	for i, p := range w.parts {
		m[i] = part{p.on, float64(p.minutes) / float64(total)}
		w.scratch = binary.AppendUvarint(binary.AppendUvarint(w.scratch, uint64(p.on)), uint64(p.minutes))
	}
	i, known := w.index[string(w.scratch)]
	if !known {
		i = len(w.mixes)
		w.index[string(w.scratch)] = i
		w.mixes = append(w.mixes, m)
	}
	return i
}

// finish sorts what was gathered. Mixes keep the order in which the year met
// them, which is the same on every run.
func (w *windowing) finish() windows {
	out := windows{mixes: w.mixes}
	sums := map[windowKey]float64{}
	for key, n := range w.counts {
		out.counts = append(out.counts, windowCount{key, n})
	}
	slices.SortFunc(out.counts, func(a, b windowCount) int {
		return cmp.Or(cmp.Compare(a.month, b.month), cmp.Compare(a.kind, b.kind), cmp.Compare(a.hour, b.hour),
			cmp.Compare(a.slot, b.slot), cmp.Compare(a.mix, b.mix))
	})
	for _, c := range out.counts { // in order, so that the sums are the same on every run
		sums[windowKey{month: c.month, slot: c.slot, mix: c.mix}] += c.n
	}
	for key, n := range sums {
		out.spells = append(out.spells, spell{key.month, key.slot, key.mix, n, w.runs[key]})
	}
	slices.SortFunc(out.spells, func(a, b spell) int {
		return cmp.Or(cmp.Compare(a.month, b.month), cmp.Compare(a.slot, b.slot), cmp.Compare(a.mix, b.mix))
	})
	return out
}
