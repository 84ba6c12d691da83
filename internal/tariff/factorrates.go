package tariff

import (
	"github.com/shopspring/decimal"
)

// stepRate looks the power factor up in the table.
func (b *pricing) stepRate(c *charge, pf val) (val, string) {
	lang := b.o.Words
	if b.tracing {
		return b.rowTraced(c, pf), ""
	}
	row := -1
	for i, s := range c.PowerFactor.Steps {
		if pf.GreaterThanOrEqual(s.From.Value.Decimal) && (row < 0 || s.From.Value.GreaterThan(c.PowerFactor.Steps[row].From.Value.Decimal)) {
			row = i
		}
	}
	if row < 0 {
		return b.none(), lang.S("no row is reached")
	}
	s := c.PowerFactor.Steps[row]
	return b.constantN(c, "row", row+1, lang.F("rate from power factor %s", s.From.Text), "1", s.Percent.Value.Fraction, Step{Pos: s.Percent.Pos, Text: s.Percent.Text}), lang.F("row from %s", s.From.Text)
}

// uncapped stands for the cap of a rate that has none.
var uncapped = decimal.New(1, 6)

func (b *pricing) ratioRate(c *charge, pf val) (val, string, bool) {
	r := c.PowerFactor.Ratio
	if pf.IsZero() {
		b.fail(r.Target.Pos, "", "%s, %s: a power factor of 0 has no ratio to %s", b.period, c.ID.Value, r.Target.Text)
		return val{}, "", false
	}
	if b.tracing {
		return b.ratioTraced(c, pf), "", true
	}
	words := b.F("%s of (%s / %s - 1)", r.Add.Text, r.Target.Text, pf)
	bonus := pf.GreaterThanOrEqual(r.Target.Value.Decimal)
	if bonus {
		words = b.F("bonus of %s of (1 - %s / %s)", percent(r.Less.Value.Fraction), r.Target.Text, pf)
	}
	return b.ratioOf(c, pf, bonus), words, true
}

// ratioOf is the rate below the target, or the bonus above it.
func (b *pricing) ratioOf(c *charge, pf val, bonus bool) val {
	lang := b.o.Words
	r := c.PowerFactor.Ratio
	f, share, most, name := addF, r.Add, r.AddCap, "add"
	if bonus {
		f, share, most, name = offF, r.Less, r.LessCap, "less"
	}
	limit := b.constantRaw("tariff.uncapped", lang.S("no cap"), "1", uncapped, Step{})
	if most.IsSet() {
		limit = b.constant(c, name+"-cap", lang.S("cap"), "1", most.Value.Fraction, Step{Pos: most.Pos, Text: most.Text})
	}
	k := b.constant(c, name, lang.S("share"), "1", share.Value.Fraction, Step{Pos: share.Pos, Text: share.Text})
	target := b.constant(c, "target", lang.S("target power factor"), "1", r.Target.Value.Decimal, Step{Pos: r.Target.Pos, Text: r.Target.Text})
	rate := b.trail.apply(f, b.id(c, "rate.exact"), lang.S("rate for power factor"), "1", limit, k, target, pf)
	if r.RoundRate.IsSet() {
		rate = b.trail.apply(billedF[r.RoundRate.Way], b.id(c, "rate"), lang.S("rate for power factor, rounded"), "1", rate, b.one(), b.stepOf(c, r.RoundRate, "rate-rounding"))
	}
	b.trail.nodes[rate.at].pos = share.Pos
	if !share.IsSet() {
		b.trail.nodes[rate.at].pos = r.Pos
	}
	return rate
}
