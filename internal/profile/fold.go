package profile

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/quantity"
)

// State is a distinct state of the year: a month, a tariff slot and the set of
// calendars that are on, with the time spent in it.
type State struct {
	Month   time.Month
	Slot    int
	On      Set
	Minutes int // real minutes of the year
}

// Cell is the finer table behind profiles and heat maps: a state split by the
// kind of day and the hour of the clock, 0 to 23.
type Cell struct {
	Month   time.Month
	Kind    int
	Hour    int
	Slot    int
	On      Set
	Minutes int
}

// Year is a folded year. It holds no machine and is not changed once made, so
// that any number of models may share it.
type Year struct {
	Grid      Grid
	Calendars int       // number of calendars folded
	Slots     int       // one more than the highest slot met
	States    []State   // by month, slot, set
	Cells     []Cell    // by month, kind, hour, slot, set
	Days      [13][]int // by month (0: year) and kind of day

	spent   []openTime // by month (0: year) and slot
	profile []openTime // by month (0: year), kind and hour
	always  Set        // calendars on at every minute
	windows windows
}

// openTime is a part of the year: its minutes, and those with each calendar on.
type openTime struct {
	minutes float64
	on      []float64
}

// Fold passes over the year once. The slot of each part of the day is asked of
// slotAt by the local date and the minute of its clock, at each demand window
// and at each half hour; nil puts everything in slot 0. Calendars may change at
// any minute. The error says that there are too many calendars (64) or slots
// (64), or that the grid or the kinds of day cannot be used.
func Fold(g Grid, calendars []Calendar, slotAt func(day civil.Date, minute int) int) (*Year, error) {
	if err := g.check(); err != nil {
		return nil, err
	}
	if len(calendars) > MaxCalendars {
		return nil, fmt.Errorf("%d calendars: a year holds %d at most", len(calendars), MaxCalendars)
	}
	if g.Kinds.Of == nil {
		g.Kinds = WeekdayWeekend()
	}
	if slotAt == nil {
		slotAt = func(civil.Date, int) int { return 0 }
	}
	f := folding{grid: g, slotAt: slotAt,
		cells: map[Cell]int{}, windows: newWindowing(g.Step), lastDay: -1}
	for _, c := range calendars {
		f.calendars = append(f.calendars, c.forFolding(g.Zone))
	}
	for k := range f.year.Days {
		f.year.Days[k] = make([]int, len(g.Kinds.Names))
	}
	for _, s := range g.stretches() {
		if err := f.pass(s); err != nil {
			return nil, err
		}
		f.windows.flush()
	}
	return f.finish(), nil
}

// folding is the state of one pass.
type folding struct {
	grid      Grid
	calendars []Calendar
	slotAt    func(civil.Date, int) int
	cells     map[Cell]int
	windows   windowing
	lastDay   int
	spans     [4][][]openSpan // of tomorrow, today and two days before, by calendar
	mask      dayMask
	year      Year
}

func (f *folding) pass(s stretch) error {
	const whole = 24 * 60
	// Every change of the hour, of the window, and the half hours at which
	// tariffs change, is a multiple of this.
	pace := gcd(f.grid.Step, 30)
	for at := s.from; at < s.to; {
		index, from := at/whole, at%whole
		to := min(whole, from+s.to-at)
		day := f.grid.first().AddDays(index)
		if err := f.day(day, index, from, to, pace); err != nil {
			return err
		}
		at += to - from
	}
	return nil
}

// day passes over a part of a day, in minutes of its clock.
func (f *folding) day(day civil.Date, index, from, to, pace int) error {
	kind := f.grid.Kinds.Of(day)
	if kind < 0 || kind >= len(f.grid.Kinds.Names) {
		return fmt.Errorf("%s: kind of day %d is none of the %d named", day, kind, len(f.grid.Kinds.Names))
	}
	if index != f.lastDay {
		f.open(day, index)
		f.year.Days[0][kind]++
		f.year.Days[day.Month][kind]++
	}
	cell := Cell{Month: day.Month, Kind: kind}
	spent := 0
	for at := from; at < to; {
		slot := f.slotAt(day, at)
		if slot < 0 || slot >= MaxSlots {
			return fmt.Errorf("%s %s: slot %d is outside 0 to %d", day, civil.Clock(at), slot, MaxSlots-1)
		}
		for end := min(to, at-at%pace+pace); at < end; {
			on, start := f.mask[at], at
			for at++; at < end && f.mask[at] == on; at++ {
			}
			f.windows.spend(windowKey{day.Month, kind, start / 60, slot, 0}, start, at, on)
			if next := (Cell{Month: day.Month, Kind: kind, Hour: start / 60, Slot: slot, On: on}); next != cell {
				f.note(cell, spent)
				cell, spent = next, 0
			}
			spent += at - start
		}
	}
	f.note(cell, spent)
	return nil
}

func (f *folding) note(c Cell, minutes int) {
	if minutes > 0 {
		f.cells[c] += minutes
	}
}

// open works out which calendars are on at each minute of a day.
func (f *folding) open(day civil.Date, index int) {
	follows := index == f.lastDay+1 && f.lastDay >= 0
	f.lastDay = index
	if follows {
		f.spans[0], f.spans[1], f.spans[2], f.spans[3] = f.spans[3], f.spans[0], f.spans[1], f.spans[2]
	}
	for k := range f.spans {
		if f.spans[k] == nil {
			f.spans[k] = make([][]openSpan, len(f.calendars))
		}
		if k > 0 && follows {
			continue
		}
		for i := range f.calendars {
			f.spans[k][i] = f.calendars[i].spans(day.AddDays(1 - k))
		}
	}
	clear(f.mask[:])
	for k, all := range f.spans {
		for i, spans := range all {
			f.mask.add(1<<i, spans, k-1)
		}
	}
}

func (f *folding) finish() *Year {
	y := &f.year
	y.Grid, y.Calendars = f.grid, len(f.calendars)
	minutes := map[State]int{}
	for c, n := range f.cells {
		c.Minutes = n
		y.Cells = append(y.Cells, c)
		minutes[State{Month: c.Month, Slot: c.Slot, On: c.On}] += n
	}
	for s, n := range minutes {
		s.Minutes = n
		y.States = append(y.States, s)
	}
	slices.SortFunc(y.Cells, func(a, b Cell) int {
		return cmp.Or(cmp.Compare(a.Month, b.Month), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Hour, b.Hour),
			cmp.Compare(a.Slot, b.Slot), cmp.Compare(a.On, b.On))
	})
	slices.SortFunc(y.States, func(a, b State) int {
		return cmp.Or(cmp.Compare(a.Month, b.Month), cmp.Compare(a.Slot, b.Slot), cmp.Compare(a.On, b.On))
	})
	y.windows = f.windows.finish()
	y.index()
	return y
}

// index adds up what energies and profiles ask for again and again.
func (y *Year) index() {
	y.always = ^Set(0)
	for _, s := range y.States {
		y.Slots = max(y.Slots, s.Slot+1)
		y.always &= s.On
	}
	y.spent = y.openTimes(13 * y.Slots)
	for _, s := range y.States {
		for _, month := range []int{0, int(s.Month)} {
			y.spent[month*y.Slots+s.Slot].add(s.On, s.Minutes)
		}
	}
	y.profile = y.openTimes(13 * len(y.Grid.Kinds.Names) * 24)
	for _, c := range y.Cells {
		for _, month := range []time.Month{0, c.Month} {
			y.profile[y.profileAt(month, c.Kind, c.Hour)].add(c.On, c.Minutes)
		}
	}
}

func (y *Year) openTimes(n int) []openTime {
	all, on := make([]openTime, n), make([]float64, n*y.Calendars)
	for i := range all {
		all[i].on, on = on[:y.Calendars:y.Calendars], on[y.Calendars:]
	}
	return all
}

func (o *openTime) add(on Set, minutes int) {
	o.minutes += float64(minutes)
	for c := range o.on {
		if on.Has(c) {
			o.on[c] += float64(minutes)
		}
	}
}

func (y *Year) profileAt(month time.Month, kind, hour int) int {
	return (int(month)*len(y.Grid.Kinds.Names)+kind)*24 + hour
}

// Hours is the real time of a month (0: the year) in a set of slots.
func (y *Year) Hours(month time.Month, slots Slots) quantity.Hours {
	sum := 0.0
	y.each(month, slots, func(o *openTime) { sum += o.minutes })
	return quantity.Hours(sum / 60)
}

// Open is the time that a calendar is on in a month (0: the year) within a set
// of slots. A calendar that was not folded is never on.
func (y *Year) Open(calendar int, month time.Month, slots Slots) quantity.Hours {
	sum := 0.0
	if calendar >= 0 && calendar < y.Calendars {
		y.each(month, slots, func(o *openTime) { sum += o.on[calendar] })
	}
	return quantity.Hours(sum / 60)
}

// AlwaysOn gives the calendars that are on at every minute of the year.
func (y *Year) AlwaysOn() Set { return y.always }

func (y *Year) each(month time.Month, slots Slots, use func(*openTime)) {
	if month < 0 || month > 12 {
		return
	}
	for slot := range y.Slots {
		if slots.Has(slot) {
			use(&y.spent[int(month)*y.Slots+slot])
		}
	}
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
