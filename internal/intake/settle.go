package intake

import (
	"cmp"
	"slices"

	"auditgen/internal/diag"
)

// settle brings rows into the order of time, leaves out what has no time or a
// time that is taken, and notes each case. Gaps are noted by finish, once the
// rows of all files are together.
func (l *Log) settle() {
	rows := l.Rows
	later, first := 0, 0
	for i := 1; i < len(rows); i++ {
		if rows[i].Start < rows[i-1].Start {
			if later == 0 {
				first = i
			}
			later++
		}
	}
	if later > 0 {
		switch {
		case later == len(rows)-1:
			l.Account.note(Order, l.pos(&rows[0]), "%s, the latest first", many(len(rows), "row", "rows"))
		default:
			l.Account.note(Order, l.pos(&rows[first]), "%s earlier than the row before", many(later, "row is", "rows are"))
		}
		slices.SortStableFunc(rows, func(a, b Row) int { return cmp.Compare(a.Start, b.Start) })
	}
	kept := rows[:0]
	for i := range rows {
		r := rows[i]
		if r.Duration <= 0 {
			l.Account.note(NoTime, l.pos(&r), "%s, %s", stamp(r.Start), l.figures(&r))
			continue
		}
		if n := len(kept); n > 0 && r.Start < kept[n-1].End() {
			l.clash(&kept[n-1], &r)
			continue
		}
		kept = append(kept, r)
	}
	l.Rows = kept
	l.Interval = commonest(kept)
}

// clash notes a row whose time is taken by another.
func (l *Log) clash(first, r *Row) {
	switch {
	case r.Start != first.Start || r.Duration != first.Duration:
		l.Account.note(Overlap, l.pos(r), "%s, %s, %s; the reading before is from %s for %s", stamp(r.Start), span(int64(r.Duration)), l.figures(r), stamp(first.Start), span(int64(first.Duration)))
	case r.Values == first.Values:
		l.Account.note(Duplicate, l.pos(r), "%s, %s", stamp(r.Start), l.figures(r))
	default:
		l.Account.note(Contradiction, l.pos(r), "%s, %s; %s counts", stamp(r.Start), l.figures(r), l.figures(first))
	}
}

// finish notes gaps, uneven rows and qualities.
func (l *Log) finish() {
	for i := range l.Rows {
		r := &l.Rows[i]
		if r.Duration != l.Interval {
			l.Account.note(Uneven, l.pos(r), "%s, %s, %s", stamp(r.Start), span(int64(r.Duration)), l.figures(r))
		}
		if i > 0 {
			if before := &l.Rows[i-1]; r.Start > before.End() {
				l.Account.note(Gap, l.pos(r), "from %s to %s, %s", stamp(before.End()), stamp(r.Start), l.intervals(r.Start-before.End()))
			}
		}
	}
	l.unsure()
}

// intervals says how long a gap is.
func (l *Log) intervals(seconds int64) string {
	if each := int64(l.Interval); seconds%each == 0 {
		return many(int(seconds/each), "interval", "intervals")
	}
	return span(seconds)
}

// unsure counts the rows of each quality that a bill should speak of.
func (l *Log) unsure() {
	var counts [qualities]int
	var first [qualities]int
	for i := range l.Rows {
		q := l.Rows[i].Quality
		if counts[q] == 0 {
			first[q] = i
		}
		counts[q]++
	}
	for q, n := range counts {
		if n > 0 && !Quality(q).good() {
			l.Account.note(Unsure, l.pos(&l.Rows[first[q]]), "%s %s, the first at %s", many(n, "reading", "readings"), Quality(q), stamp(l.Rows[first[q]].Start))
		}
	}
}

// figures prints what a row holds.
func (l *Log) figures(r *Row) string {
	var parts []string
	for c := range channels {
		if l.Has.Has(c) {
			parts = append(parts, kilo(r.Values[c])+" "+c.unit())
		}
	}
	return list(parts)
}

// commonest gives the duration that most rows have, the shortest among equals.
func commonest(rows []Row) int32 {
	counts := map[int32]int{}
	for i := 0; i < len(rows); {
		j := i
		for j < len(rows) && rows[j].Duration == rows[i].Duration {
			j++
		}
		counts[rows[i].Duration] += j - i
		i = j
	}
	best := int32(0)
	for d, n := range counts {
		if best == 0 || n > counts[best] || n == counts[best] && d < best {
			best = d
		}
	}
	return best
}

// Join puts the logs of several files of one meter together, in the order given.
// Where a channel is not in every file, its absence counts as nothing and is
// noted.
func Join(logs ...*Log) *Log {
	if len(logs) == 1 {
		return logs[0]
	}
	out := &Log{}
	for _, l := range logs {
		out.Has |= l.Has
		if out.Point == "" {
			out.Point = l.Point
		}
		if out.Local == nil {
			out.Local = l.Local
		}
	}
	for _, l := range logs {
		for _, r := range l.Rows {
			r.file += int16(len(out.files))
			out.Rows = append(out.Rows, r)
		}
		out.Account.join(l.withoutRows())
		for c := range channels {
			if out.Has.Has(c) && !l.Has.Has(c) {
				out.Account.note(Missing, l.firstPos(), "%s has no %s", list(l.files), c)
			}
		}
		out.files = append(out.files, l.files...)
	}
	out.settle()
	out.finish()
	return out
}

// withoutRows is the account without what finish noted: it is told once, of all
// files together.
func (l *Log) withoutRows() *Account {
	a := l.Account
	a.Notes = slices.DeleteFunc(slices.Clone(a.Notes), func(n Note) bool { return n.Kind == Gap || n.Kind == Uneven || n.Kind == Unsure })
	return &a
}

func (l *Log) firstPos() (p diag.Pos) {
	if len(l.Rows) > 0 {
		p = l.pos(&l.Rows[0])
	}
	return p
}
