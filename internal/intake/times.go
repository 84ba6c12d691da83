package intake

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// settleTimes turns the lines of the file into rows of the log.
func (r *csvReader) settleTimes() {
	if len(r.raws) == 0 {
		return
	}
	if z := r.zone(); z != nil {
		s := &timeSettler{csvReader: r, clock: &zoneClock{loc: z}, last: longAgo}
		s.run()
	}
}

// zone is that of the file's local times; a fault where it is wanted and not
// stated.
func (r *csvReader) zone() *time.Location {
	switch {
	case r.utc:
		return time.UTC
	case r.columns.Zone.Value.Location != nil:
		return r.columns.Zone.Value.Location
	}
	for i := range r.raws {
		if !r.raws[i].at.instant {
			r.at(int(r.raws[i].line), 1, "the time does not say its distance from UTC, and no time zone is stated", "zone: in the column map, with an IANA name such as Europe/Dublin")
			return nil
		}
	}
	return time.UTC
}

// timeSettler gives each line its instant. Lines are met in the order of time,
// so that the two rounds of a repeated hour can be told apart.
type timeSettler struct {
	*csvReader
	clock    *zoneClock
	interval int32
	last     int64 // instant of the line before
	repeated repeatedHour
}

// repeatedHour counts the lines of an hour that the clock repeats.
type repeatedHour struct {
	line, rounds [2]int
	wall         int64
}

func (s *timeSettler) run() {
	step := 1
	first, last := &s.raws[0], &s.raws[len(s.raws)-1]
	if last.at.seconds < first.at.seconds {
		step = -1
	}
	if !s.findInterval(step) {
		return
	}
	begin := map[int]int{1: 0, -1: len(s.raws) - 1}[step]
	if s.figures[0].Register {
		s.registers(begin, step)
		return
	}
	s.log.Rows = make([]Row, len(s.raws), len(s.raws)+8)
	kept := make([]bool, len(s.raws))
	for i := begin; i >= 0 && i < len(s.raws) && !s.full(); i += step {
		kept[i] = s.settleOne(&s.raws[i], &s.log.Rows[i])
	}
	s.flushRepeated()
	n := 0
	for i, ok := range kept {
		if ok {
			s.log.Rows[n] = s.log.Rows[i]
			n++
		}
	}
	s.log.Rows = append(s.log.Rows[:n], s.halves...)
	if len(s.halves) > 0 {
		slices.SortStableFunc(s.log.Rows, func(a, b Row) int { return cmp.Compare(a.Start, b.Start) })
	}
}

// findInterval takes the length of intervals that the map states, or that of the
// duration column, or the commonest step between lines.
func (s *timeSettler) findInterval(direction int) bool {
	if s.columns.Interval.IsSet() {
		s.interval = int32(s.columns.Interval.Value) * 60
		return true
	}
	if s.durationAt >= 0 || s.figures[0].Register {
		return true
	}
	counts := map[int64]int{}
	var best int64
	for i := 1; i < len(s.raws); i++ {
		if d := (s.raws[i].at.seconds - s.raws[i-1].at.seconds) * int64(direction); d > 0 && d <= 31*aDay {
			counts[d]++
			if counts[d] > counts[best] || counts[d] == counts[best] && d < best {
				best = d
			}
		}
	}
	if 2*counts[best] < len(s.raws)-1 || best == 0 {
		s.at(int(s.raws[0].line), 1, "the steps between rows do not show how long the intervals are", "interval: in the column map, such as 15 min")
		return false
	}
	s.interval = int32(best)
	s.log.Account.note(Deduced, s.log.pos(&Row{line: s.raws[0].line}), "intervals of %s, the commonest step between rows", span(best))
	return true
}

// settleOne makes a row of a line; false when it is left out.
func (s *timeSettler) settleOne(w *raw, row *Row) bool {
	if s.durationAt < 0 {
		w.duration = s.interval
	}
	rounds := s.instant(w)
	*row = Row{Start: w.start, Duration: w.duration, line: w.line, Quality: w.quality}
	ok := s.energies(w, row)
	switch {
	case rounds == 1:
		return ok
	case rounds == 2 && ok:
		s.halve(w, row)
		return true
	case rounds == 0 && s.columns.Clock.Value == SumUp && (row.Values == [channels]Energy{}):
		s.log.Account.note(Skipped, s.log.pos(row), "%s", s.wallText(w.at.seconds))
		return false
	case rounds == 0:
		s.noSuchTime(w)
	}
	return false
}

// instant finds when a line's interval begins. It gives 1, or 2 where the line
// holds two hours, or 0 where its time does not exist.
func (s *timeSettler) instant(w *raw) int {
	back := int64(0)
	if s.columns.Label.Value == AtEnd && !s.figures[0].Register {
		back = int64(w.duration)
	}
	wall := w.at.seconds - back
	if w.at.instant {
		w.start = wall
		return 1
	}
	if s.columns.Clock.Value == Standard {
		w.start = wall - s.clock.standard(wall)
		return 1
	}
	first, second, n := s.clock.instants(wall)
	switch {
	case n == 0 && back > 0 && s.columns.Clock.Value == Changes:
		// The end of an interval before the change may be written by either clock.
		if at, _, m := s.clock.instants(w.at.seconds); m > 0 {
			w.start = at - back
			return 1
		}
		return 0
	case n == 0:
		w.start = first
		return 0
	case n == 2 && s.columns.Clock.Value == SumUp:
		w.start = first
		return 2
	case n == 2:
		w.start = first
		round := 0
		if s.last >= first && second > s.last {
			w.start, round = second, 1
		}
		s.repeat(w, wall, round)
	default:
		w.start = first
	}
	s.last = w.start
	return 1
}

func (s *timeSettler) noSuchTime(w *raw) {
	if s.columns.Clock.Value == SumUp {
		s.at(int(w.line), 1, fmt.Sprintf("%s is in the hour that the clock of %s leaves out, and is not zero", s.wallText(w.at.seconds), s.clock.loc), "zero there; or, in the column map, the zone and the clock that the file keeps")
		return
	}
	s.at(int(w.line), 1, fmt.Sprintf("%s does not exist in %s: the clock leaves this hour out", s.wallText(w.at.seconds), s.clock.loc),
		"clock: standard in the column map where the file keeps standard time; clock: summed where every day has all its rows and this hour is zero")
}

func (s *timeSettler) wallText(seconds int64) string { return utc(seconds).Format("2006-01-02 15:04") }

// repeat counts a line of a repeated hour. One note tells of each change.
func (s *timeSettler) repeat(w *raw, wall int64, round int) {
	if s.repeated.wall != 0 && (wall-s.repeated.wall > aDay || s.repeated.wall-wall > aDay) {
		s.flushRepeated()
	}
	if s.repeated.wall == 0 {
		s.repeated.line[0] = int(w.line)
	}
	s.repeated.wall = wall
	s.repeated.rounds[round]++
}

func (s *timeSettler) flushRepeated() {
	if h := s.repeated; h.wall != 0 {
		s.log.Account.note(Repeated, s.log.pos(&Row{line: int32(h.line[0])}), "%s: %d rows in the first round, %d in the second", utc(h.wall).Format("2006-01-02"), h.rounds[0], h.rounds[1])
	}
	s.repeated = repeatedHour{}
}

// halve parts a row that holds two hours: the second half is the same time of
// the second round.
func (s *timeSettler) halve(w *raw, row *Row) {
	_, second, _ := s.clock.instants(w.start + s.clock.at(w.start))
	s.log.Account.note(Summed, s.log.pos(row), "%s, %s", s.wallText(w.at.seconds), s.log.figures(row))
	later := *row
	later.Start = second
	if row.Quality.good() {
		row.Quality, later.Quality = Derived, Derived
	}
	for c := range row.Values {
		later.Values[c] = row.Values[c] / 2
		row.Values[c] -= later.Values[c]
	}
	s.halves = append(s.halves, later)
}
