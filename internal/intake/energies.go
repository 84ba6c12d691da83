package intake

import "fmt"

// energies puts the figures of a line into a row; false when the row is left
// out.
func (s *timeSettler) energies(w *raw, row *Row) bool {
	l := s.log
	l.Account.Found++
	if w.missing[0] {
		l.Account.note(Missing, l.pos(row), "%s: no %s; the row is left out", stamp(row.Start), s.figures[0].plus)
		return false
	}
	keep := true
	for i := range s.figures {
		f := &s.figures[i]
		if w.missing[i] {
			l.Account.note(Missing, l.pos(row), "%s: no %s", stamp(row.Start), f.plus)
			continue
		}
		e := Energy(w.figures[i])
		if f.unit.power {
			e = overTime(w.figures[i], w.duration)
		}
		if !s.put(row, f, e) {
			keep = false
		}
	}
	if w.quality == Projected && !s.columns.Projected && !s.tidy && keep {
		l.Account.note(Refused, l.pos(row), "%s, %s", stamp(row.Start), l.figures(row))
		keep = false
	}
	return keep
}

// put gives an energy to its channel; false when it cannot be.
func (s *timeSettler) put(row *Row, f *figureColumn, e Energy) bool {
	l := s.log
	c, size := f.plus, e
	if e < 0 && f.signed {
		c, size = f.minus, -e
	}
	if size > mostEnergy {
		s.at(int(row.line), 1, fmt.Sprintf("%s %s in one interval is beyond measure", kilo(e), c.unit()), "the right unit of the column")
		return false
	}
	l.Account.Sums[c] += size
	if l.Account.Sums[c] > mostTotal {
		s.at(int(row.line), 1, fmt.Sprintf("the figures up to here add up to more than %s %s", kilo(mostTotal), c.unit()), "the right unit of the column")
		return false
	}
	if size < 0 {
		l.Account.note(Negative, l.pos(row), "%s: %s of %s %s; the row is left out", stamp(row.Start), c, kilo(e), c.unit())
		return false
	}
	row.Values[c] = size
	return true
}

// registers makes rows of what registers moved on between lines.
func (s *timeSettler) registers(begin, step int) {
	var before *raw
	for i := begin; i >= 0 && i < len(s.raws) && !s.full(); i += step {
		w := &s.raws[i]
		if s.instant(w) == 0 {
			s.noSuchTime(w)
			continue
		}
		if w.missing != [4]bool{} {
			s.log.Account.Found++
			s.log.Account.note(Missing, s.log.pos(&Row{line: w.line}), "%s: no state of the register", stamp(w.start))
			continue
		}
		if before == nil {
			s.log.Account.Found++
		} else if w.start-before.start > 31*aDay {
			s.at(int(w.line), 1, fmt.Sprintf("the state before this one is of %s", stamp(before.start)), "states not more than a month apart")
		} else {
			s.between(before, w)
		}
		if before == nil || w.start >= before.start {
			before = w
		}
	}
	s.flushRepeated()
}

// between makes a row of the time between two states of the registers.
func (s *timeSettler) between(before, w *raw) {
	row := Row{Start: before.start, Duration: int32(w.start - before.start), line: w.line, Quality: w.quality}
	moved := *w
	moved.duration = row.Duration
	for i := range s.figures {
		f := &s.figures[i]
		moved.figures[i] = w.figures[i] - before.figures[i]
		if moved.figures[i] >= 0 || row.Duration <= 0 {
			continue
		}
		round := s.round(f)
		if round > 0 && moved.figures[i]+round >= 0 && moved.figures[i]+round < round/2 {
			moved.figures[i] += round
			s.log.Account.note(Passed, s.log.pos(&row), "%s: from %s to %s %s", stamp(w.start), kilo(Energy(before.figures[i])), kilo(Energy(w.figures[i])), f.plus.unit())
			continue
		}
		s.log.Account.Found++
		s.log.Account.note(Reset, s.log.pos(&row), "%s: %s fell from %s to %s %s", stamp(w.start), f.plus, kilo(Energy(before.figures[i])), kilo(Energy(w.figures[i])), f.plus.unit())
		return
	}
	if row.Duration <= 0 {
		moved.figures = [4]int64{}
	}
	if s.energies(&moved, &row) {
		s.log.Rows = append(s.log.Rows, row)
	}
}

// round is the figure at which a register begins again, in µ of its unit; 0
// where it is not known.
func (s *timeSettler) round(f *figureColumn) int64 {
	if f.Passes.Value == 0 {
		return 0
	}
	v, ok := fixedPoint{mantissa: int64(f.Passes.Value)}.scaled(f.unit.exp, mostTotal/int64(max(1, f.Times.Value)))
	if !ok {
		return 0
	}
	return v * int64(max(1, f.Times.Value))
}
