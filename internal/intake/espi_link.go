package intake

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
)

// belongs reports whether a resource lies under a link: by its up link, which
// equals a related link of the owner, or by its place below the owner.
func belongs(e, owner *entry) bool {
	if e == owner {
		return true
	}
	if e.up != "" && slices.Contains(owner.related, e.up) || e.self != "" && slices.Contains(owner.related, e.self) {
		return true
	}
	return owner.self != "" && (strings.HasPrefix(e.up+"/", owner.self+"/") || strings.HasPrefix(e.self+"/", owner.self+"/") && e.self != owner.self)
}

// logs puts the resources together: one log for each usage point of electricity.
func (r *espiReader) logs(o ESPIOptions) []*Log {
	points := r.points
	if len(points) == 0 && len(r.meters) > 0 {
		points = []*usagePoint{{entry: &entry{line: 1, title: "meter"}, kind: -1}}
	}
	var out []*Log
	taken := map[*meterReading]bool{}
	for _, p := range points {
		l := &Log{files: []string{r.file}, Point: p.name()}
		if p.kind > 0 {
			continue
		}
		var found []*series
		for _, m := range r.meters {
			if belongs(m.entry, p.entry) || len(points) == 1 {
				taken[m] = true
				if s := r.series(l, m, o); s != nil {
					found = append(found, s)
				}
			}
		}
		if len(found) == 0 {
			continue
		}
		r.tellZone(l, p)
		l.merge(found)
		out = append(out, l)
	}
	if len(out) > 0 {
		out[0].Account.Notes = append(out[0].Account.Notes, r.notes...)
		for _, m := range r.meters {
			if !taken[m] {
				out[0].Account.note(Unused, diag.Pos{File: r.file, Line: m.line}, "meter reading %q, which no usage point of electricity links to", m.name())
			}
		}
		for _, b := range r.blocks {
			if !slices.ContainsFunc(r.meters, func(m *meterReading) bool { return r.owns(m, b) }) {
				out[0].Account.note(Unused, diag.Pos{File: r.file, Line: b.line}, "interval block %q with %s, which no meter reading links to", b.name(), many(len(b.readings), "reading", "readings"))
			}
		}
	}
	return out
}

func (r *espiReader) owns(m *meterReading, b *block) bool {
	return belongs(b.entry, m.entry) || len(r.meters) == 1 && b.up == "" && b.self == ""
}

// series is one channel, or two when its readings are signed, of a usage point.
type series struct {
	*meterReading
	channel Channel
	signed  bool
	rows    []Row
	account Account
}

// typeOf finds the reading type that a meter reading links to.
func (r *espiReader) typeOf(m *meterReading) *readingType {
	for _, link := range m.related {
		if t := r.types[link]; t != nil {
			return t
		}
	}
	if len(r.order) == 1 && (len(r.meters) == 1 || r.order[0] == "") {
		return r.types[r.order[0]]
	}
	for _, link := range r.order {
		if t := r.types[link]; t.entry == m.entry {
			return t
		}
	}
	return nil
}

// figureKind tells what the readings of a type are; a reason where they are not
// taken in.
func (t *readingType) figureKind() (c Channel, signed, power bool, why string) {
	if t.commodity > 2 {
		return c, false, false, fmt.Sprintf("its commodity is %d, not electricity", t.commodity)
	}
	switch t.uom {
	case 72, 38: // Wh, W
		switch t.flow {
		case 1, -1:
			c = Import
		case 19:
			c = Export
		case 4:
			c, signed = Import, true
		default:
			return c, false, false, fmt.Sprintf("its flow direction is %d", t.flow)
		}
	case 73, 63: // varh, var
		switch t.flow {
		case 1, -1:
			c = Lagging
		case 19:
			c = Leading
		case 4:
			c, signed = Lagging, true
		default:
			return c, false, false, fmt.Sprintf("its flow direction is %d", t.flow)
		}
	case -1:
		return c, false, false, "it has no unit"
	default:
		return c, false, false, fmt.Sprintf("its unit has the code %d, which is neither Wh, W, varh nor var", t.uom)
	}
	if t.multiplier < -12 || t.multiplier > 12 {
		return c, false, false, fmt.Sprintf("its power-of-ten multiplier is %d", t.multiplier)
	}
	return c, signed, t.uom == 38 || t.uom == 63, ""
}

// series reads the blocks of a meter reading; nil when it is not taken in.
func (r *espiReader) series(l *Log, m *meterReading, o ESPIOptions) *series {
	at := diag.Pos{File: r.file, Line: m.line}
	t := r.typeOf(m)
	if t == nil {
		l.Account.note(Unused, at, "meter reading %q: it links to no reading type, so that its unit is not known", m.name())
		return nil
	}
	channel, signed, power, why := t.figureKind()
	register := t.behaviour == 1 || t.behaviour == 3
	if why == "" && t.behaviour >= 0 && t.behaviour != 4 && !register && !power {
		why = fmt.Sprintf("its accumulation behaviour is %d, neither the amount of an interval nor a register", t.behaviour)
	}
	if why == "" && register && power {
		why = "it is a register of power"
	}
	if why != "" {
		l.Account.note(Unused, at, "meter reading %q: %s", m.name(), why)
		return nil
	}
	if t.flow == -1 {
		l.Account.note(Deduced, at, "meter reading %q does not say which way energy flows: it counts as %s", m.name(), channel)
	}
	s := &series{meterReading: m, channel: channel, signed: signed}
	raw := r.gather(m, t, s)
	if register {
		raw = s.moved(r, raw, t)
	}
	for i := range raw {
		s.add(r, &raw[i], t, power, o)
	}
	s.tellCost(r, raw, t)
	if len(s.rows) == 0 && s.account.Found == 0 {
		l.Account.note(Unused, at, "meter reading %q: it has no readings", m.name())
		return nil
	}
	return s
}

// gather lists the readings of a meter reading with their times filled in: where
// a reading has none, it follows the one before it in its block.
func (r *espiReader) gather(m *meterReading, t *readingType, s *series) []reading {
	var all []reading
	for _, b := range r.blocks {
		if !r.owns(m, b) {
			continue
		}
		next, known := b.start, b.hasStart
		for _, x := range b.readings {
			if !x.hasDuration {
				x.duration = int64(t.interval)
			}
			if !x.hasStart {
				x.start = next
				x.hasStart = known
			}
			next, known = x.start+x.duration, x.hasStart
			if !x.stated && t.quality >= 0 {
				x.worse(t.quality)
			}
			if !x.hasStart || !x.hasValue || x.start < 0 || x.start > 1<<33 || x.duration < 0 || x.duration > 31*aDay {
				s.account.Found++
				s.account.note(Missing, diag.Pos{File: r.file, Line: x.line}, "a reading without a value, or without a time that can be")
				continue
			}
			all = append(all, x)
		}
	}
	return all
}

// moved makes amounts of the states of a register, each of which holds at the
// start of its reading's time.
func (s *series) moved(r *espiReader, states []reading, t *readingType) []reading {
	slices.SortStableFunc(states, func(a, b reading) int { return cmp.Compare(a.start, b.start) })
	var out []reading
	s.account.note(Deduced, diag.Pos{File: r.file, Line: t.line}, "registers: each state is taken to hold at the start of its reading's time")
	for i := 1; i < len(states); i++ {
		x := states[i]
		before := states[i-1]
		x.duration, x.start, x.hasCost = x.start-before.start, before.start, false
		if x.value -= before.value; x.value < 0 {
			s.account.Found++
			s.account.note(Reset, diag.Pos{File: r.file, Line: x.line}, "%s: from %d to %d", stamp(states[i].start), before.value, states[i].value)
			continue
		}
		out = append(out, x)
	}
	return out
}

// add makes a row of a reading, or notes why not.
func (s *series) add(r *espiReader, x *reading, t *readingType, power bool, o ESPIOptions) {
	pos := diag.Pos{File: r.file, Line: x.line}
	v, ok := fixedPoint{mantissa: x.value, exp: t.multiplier}.scaled(6, mostEnergy)
	e := Energy(v)
	if power {
		e = overTime(v, int32(x.duration))
	}
	c, size := s.channel, e
	if s.signed && e < 0 {
		c, size = c+1, -e // export after import, leading after lagging
	}
	if ok {
		s.account.Sums[c] += size
	}
	if !ok || size > mostEnergy || s.account.Sums[c] > mostTotal {
		pos.Column = x.column
		r.faults.At(pos, fmt.Sprintf("a value of %d with the multiplier %d is beyond measure", x.value, t.multiplier), "the right unit and multiplier")
		return
	}
	s.account.Found++
	switch {
	case size < 0:
		s.account.note(Negative, pos, "%s: %s of %s %s", stamp(x.start), c, kilo(e), c.unit())
		return
	case x.quality == Projected && !o.Projected:
		s.account.note(Refused, pos, "%s: %s %s", stamp(x.start), kilo(size), c.unit())
		return
	}
	row := Row{Start: x.start, Duration: int32(x.duration), line: int32(x.line), Quality: x.quality}
	row.Values[c] = size
	s.rows = append(s.rows, row)
}

// currencies are the names of some ISO 4217 numbers.
var currencies = map[int]string{36: "AUD", 124: "CAD", 554: "NZD", 756: "CHF", 826: "GBP", 840: "USD", 978: "EUR"}

// tellCost sums the costs, which stand in hundred-thousandths of the currency.
func (s *series) tellCost(r *espiReader, all []reading, t *readingType) {
	sum, n, line := decimal.Zero, 0, 0
	for i := range all {
		if all[i].hasCost {
			if n == 0 {
				line = all[i].line
			}
			sum = sum.Add(decimal.New(all[i].cost, -5))
			n++
		}
	}
	if n == 0 {
		return
	}
	name := currencies[t.currency]
	if name == "" {
		name = fmt.Sprintf("of the currency with the number %d", t.currency)
	}
	s.account.note(Cost, diag.Pos{File: r.file, Line: line}, "costs on %s: %s %s in all", many(n, "reading", "readings"), sum, name)
}

// merge puts the channels of a usage point into common rows. Of several series
// of one channel, the finest is taken.
func (l *Log) merge(found []*series) {
	settled := make([]*Log, len(found))
	for i, s := range found {
		settled[i] = &Log{Rows: s.rows, files: l.files}
		settled[i].Has.add(s.channel)
		if s.signed {
			settled[i].Has.add(s.channel + 1)
		}
		settled[i].Account = s.account
		settled[i].settle()
	}
	order := make([]int, len(found))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(found[a].channel, found[b].channel), cmp.Compare(settled[a].Interval, settled[b].Interval), cmp.Compare(len(settled[b].Rows), len(settled[a].Rows)))
	})
	for _, i := range order {
		s, one := found[i], settled[i]
		if l.Has&one.Has != 0 {
			l.Account.note(Unused, diag.Pos{File: l.files[0], Line: s.line}, "meter reading %q, %s of %s, since a finer one holds %s already", s.name(), many(len(one.Rows), "reading", "readings"), span(int64(one.Interval)), s.channel)
			continue
		}
		l.Account.join(&one.Account)
		if l.Has == 0 {
			l.Rows = one.Rows
		} else {
			l.beside(one, s)
		}
		l.Has |= one.Has
	}
	l.Interval = commonest(l.Rows)
	l.finish()
}

// beside puts another channel into rows of the same times. Where it has no
// reading, it counts as nothing; where the first channel has none, the time is
// left out. Notes say how often.
func (l *Log) beside(one *Log, s *series) {
	out := make([]Row, 0, len(l.Rows))
	alone, without := 0, 0
	first := Import
	for !l.Has.Has(first) {
		first++
	}
	i, j := 0, 0
	for i < len(l.Rows) || j < len(one.Rows) {
		switch {
		case j == len(one.Rows) || i < len(l.Rows) && l.Rows[i].Start < one.Rows[j].Start:
			out = append(out, l.Rows[i])
			without++
			i++
		case i == len(l.Rows) || one.Rows[j].Start < l.Rows[i].Start:
			alone++
			j++
		case l.Rows[i].Duration != one.Rows[j].Duration:
			l.Account.note(Overlap, l.pos(&one.Rows[j]), "%s, %s: %s; the other figures are of %s", stamp(one.Rows[j].Start), span(int64(one.Rows[j].Duration)), one.figures(&one.Rows[j]), span(int64(l.Rows[i].Duration)))
			out = append(out, l.Rows[i])
			i, j = i+1, j+1
		default:
			row := l.Rows[i]
			for c := range channels {
				row.Values[c] += one.Rows[j].Values[c]
			}
			if row.Quality.good() {
				row.Quality = one.Rows[j].Quality
			}
			out = append(out, row)
			i, j = i+1, j+1
		}
	}
	if without > 0 {
		l.Account.note(Missing, diag.Pos{File: l.files[0], Line: s.line}, "%s without %s", many(without, "interval", "intervals"), s.channel)
	}
	if alone > 0 {
		l.Account.note(Missing, diag.Pos{File: l.files[0], Line: s.line}, "%s with %s and no %s: left out", many(alone, "interval", "intervals"), s.channel, first)
	}
	l.Rows = out
}
