package tariff

import (
	"fmt"

	"github.com/shopspring/decimal"
)

// fixed prices a charge by time: days, months or years, times the capacity and
// the count where they are stated.
func (b *pricing) fixed(c *charge) []Line {
	f := c.Fixed
	id := b.key + "." + c.ID.Value
	q, unit, how := b.time(c, f.Price.Per.Over)
	if f.Price.Per.Of != "" {
		capacity, words := b.limit(c, f.Of, f.Price.Per.Of, b.i)
		q = b.trail.apply(timesF, id+".capacity-time", c.label(), f.Price.Per.Of+"·"+unit, capacity, q)
		unit = f.Price.Per.Of + "·" + singular(unit)
		how = append([]string{words}, how...)
	}
	if f.Count.IsSet() && f.Count.Value != 1 {
		n := b.constant(c.ID.Value+".count", "count", "1", decimal.New(int64(f.Count.Value), 0), Step{Pos: f.Count.Pos, Text: f.Count.Text})
		q = b.trail.apply(timesF, id+".counted", c.label(), unit, n, q)
		how = append(how, fmt.Sprintf("%d of them", f.Count.Value))
	}
	l := b.newLine(c, 0, c.label(), q, unit, b.priceOf(c, 0, f.Price), f.Price.Per.String())
	l.How = how
	return []Line{l}
}

// time gives the days, months or years of the bill, or of the part of it that
// lies in the charge's seasons.
func (b *pricing) time(c *charge, over string) (val, string, []string) {
	unit := over + "s"
	n := b.t.counted(b.period, over)
	v := b.trail.stated(node{id: b.key + "." + unit, label: unit + " of the bill", unit: unit, v: n, typed: b.period.String()})
	how := []string{fmt.Sprintf("%s: %s", b.period, plural(n, unit))}
	if c.kind != KindFixed || len(c.Fixed.Season) == 0 {
		return v, unit, how
	}
	in := 0
	for d := b.period.From; d.Compare(b.period.To) < 0; d = d.AddDays(1) {
		if c.sel.Has(b.t.SlotAt(d, 0)) {
			in++
		}
	}
	if in == b.period.Days() {
		return v, unit, how
	}
	share := decimal.New(int64(in), 0).DivRound(decimal.New(int64(b.period.Days()), 0), 2*timePlaces)
	n = n.Mul(share).Round(timePlaces)
	v = b.trail.stated(node{id: b.key + "." + c.ID.Value + "." + unit, label: unit + " of the bill in season", unit: unit, v: n, typed: b.period.String()})
	return v, unit, []string{fmt.Sprintf("%d of the %d days of %s are in %s: %s", in, b.period.Days(), b.period, list(values(c.Fixed.Season)), plural(n, unit))}
}

func singular(unit string) string { return unit[:len(unit)-1] }
