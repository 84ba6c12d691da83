package tariff

import (
	"strings"

	"auditgen/internal/say"
)

// always words what any charge may have: conditions, multipliers, dates.
func (d *Described) always(c *charge) {
	for _, f := range c.If {
		d.F("only if %s", f.Text)
	}
	if c.Times.IsSet() {
		d.F("times %s", c.Times.Text)
	}
	if c.Repeat != nil {
		d.F("times the number of the event")
	}
	if c.Unused.IsSet() {
		d.F("%s of it in a bill without energy", c.Unused.Text)
	}
	if c.from.Year != 0 {
		d.F("from %s", c.from)
	}
	if c.to.Year != 0 {
		d.F("to %s", c.to.AddDays(-1))
	}
}

func (t *Tariff) describeFixed(c *charge, d *Described) {
	f := c.Fixed
	for i, b := range f.Classes {
		d.price(b.Price)
		if i < len(f.Classes)-1 {
			d.F("bills up to %s a month: %s", b.UpTo.Text, b.Price.Text)
		} else {
			d.F("bills above: %s", b.Price.Text)
		}
	}
	for _, p := range f.Parts {
		d.price(p.Price)
		d.F("%s on %s", p.Price.Text, p.Of.Text)
	}
	if !f.Price.IsSet() {
		return
	}
	d.price(f.Price)
	s := d.lang.S("fixed")
	if f.Of.IsSet() {
		s = d.lang.F("%s on %s", s, agreedWords(d.lang, f.Of.Text))
	}
	if f.Above.IsSet() {
		s = d.lang.F("%s above %s", s, f.Above.Text)
	}
	if f.Count.Value > 1 {
		s = d.lang.F("%s, %d of them", s, f.Count.Value)
	}
	d.raw(s + inWords(d.lang, listIn(d.lang, values(f.Season))))
}

func (t *Tariff) describeEnergy(c *charge, d *Described) {
	e := c.Energy
	what := d.lang.S("active energy")
	switch {
	case c.unit == "kVAh":
		what = d.lang.S("apparent energy")
	case e.Flow.Value == Exported:
		what = d.lang.S("energy delivered to the supplier")
	case e.Flow.Value == Net:
		what = d.lang.S("active energy less what is delivered to the supplier")
	}
	d.raw(what + inWords(d.lang, c.whereIn(d.lang)))
	if e.Share.IsSet() {
		d.F("%s of it", e.Share.Text)
	}
	if e.Losses.IsSet() {
		d.F("with %s added for losses", e.Losses.Text)
	}
	if e.AtLeast.IsSet() {
		d.F("at least %s a month", e.AtLeast.Text)
	}
	if e.Above.IsSet() {
		d.F("only what exceeds %s", agreedWords(d.lang, e.Above.Text))
	}
	t.describeBlocks(c, d, e.Price, e.Blocks)
}

func describeReactive(c *charge, d *Described) {
	r := c.Reactive
	d.price(r.Price)
	s := r.Flow.Value.words(d.lang)
	if r.Target.IsSet() {
		s = d.lang.F("kWh x (%s / power factor - 1)", r.Target.Text)
	}
	s += inWords(d.lang, c.whereIn(d.lang))
	if r.Above.IsSet() {
		s = d.lang.F("%s above %s", s, r.Above.Text)
	}
	if r.UpTo.IsSet() {
		s = d.lang.F("%s up to %s", s, r.UpTo.Text)
	}
	if r.Netted.Value > 0 {
		s = d.lang.F("%s, by intervals of %d min", s, int(r.Netted.Value))
	}
	d.raw(s)
}

func (t *Tariff) describeBlocks(c *charge, d *Described, p Price, blocks []Block) {
	if len(blocks) == 0 {
		d.price(p)
		return
	}
	for i, b := range blocks {
		d.price(b.Price)
		if i < len(blocks)-1 {
			d.raw(t.upToWords(c, d.lang, b.UpTo.Text, b.Price.Text))
		} else {
			d.F("above: %s", b.Price.Text)
		}
	}
	if c.Energy != nil && c.Energy.Whole {
		d.F("all energy is priced at the block that it reaches")
	}
}

func (t *Tariff) describeDemand(c *charge, d *Described) {
	f := c.Demand
	if f.Takes.Value == Highest {
		d.F("highest %s mean in %s%s", f.Window.Text, c.unit, inWords(d.lang, c.whereIn(d.lang)))
	} else {
		d.F("%s, %s means in %s%s", f.Takes.Value.words(d.lang), f.Window.Text, c.unit, inWords(d.lang, c.whereIn(d.lang)))
	}
	if f.Meter.IsSet() {
		d.F("metered demand rounded to %s", f.Meter.Text)
	}
	if a := f.Adjust; a != nil {
		s := d.lang.F("brought to power factor %s", a.Target.Text)
		if a.Below.IsSet() {
			s = d.lang.F("%s when below %s", s, a.Below.Text)
		}
		if a.From.IsSet() {
			s = d.lang.F("%s, from %s", s, a.From.Text)
		}
		if a.Cap.IsSet() {
			s = d.lang.F("%s, by no more than %s", s, a.Cap.Text)
		}
		if a.Netted.Value > 0 {
			s = d.lang.F("%s, by intervals of %d min", s, int(a.Netted.Value))
		}
		d.raw(s)
	}
	if f.MeanOf.IsSet() {
		d.F("mean of the %s", f.MeanOf.Text)
	}
	for _, l := range f.AtLeast {
		d.F("at least %s", l.Text)
	}
	for _, l := range f.AtMost {
		d.F("at most %s", l.Text)
	}
	if f.Above.IsSet() {
		d.F("only what exceeds %s", agreedWords(d.lang, f.Above.Text))
	}
	if f.UpTo.IsSet() {
		d.F("up to %s", f.UpTo.Text)
	}
	t.describeBlocks(c, d, f.Price, f.Blocks)
}

func (t *Tariff) describeShare(c *charge, d *Described) {
	f := c.shareForm()
	for i, class := range f.Classes {
		d.Prices = append(d.Prices, PriceAt{class.Rate.Text, class.Rate.Pos})
		if i < len(f.Classes)-1 {
			d.F("bills up to %s a month: %s of %s", class.UpTo.Text, class.Rate.Text, t.baseWords(d.lang, c))
		} else {
			d.F("bills above: %s of %s", class.Rate.Text, t.baseWords(d.lang, c))
		}
	}
	if f.Rate.IsSet() {
		d.Prices = append(d.Prices, PriceAt{f.Rate.Text, f.Rate.Pos})
		d.F("%s of %s", f.Rate.Text, t.baseWords(d.lang, c))
	}
	if f.Beyond.IsSet() {
		d.F("only the part on energy beyond %s a month", f.Beyond.Text)
	}
	if f.inside() {
		d.F("the tax is part of its own base")
	}
	if f.Included {
		d.F("included in the prices")
	}
}

// upToWords words a block by what its edge counts.
func (t *Tariff) upToWords(c *charge, lang *say.Language, edge, price string) string {
	if c.Energy == nil {
		return lang.F("up to %s: %s", edge, price)
	}
	switch c.Energy.Per.Value {
	case "", "month":
		return lang.F("up to %s a month: %s", edge, price)
	case "day":
		return lang.F("up to %s a day: %s", edge, price)
	case "bill":
		return lang.F("up to %s a bill: %s", edge, price)
	case "year":
		return lang.F("up to %s a year: %s", edge, price)
	case "agreed":
		return lang.F("up to %s for each agreed unit of demand: %s", edge, price)
	}
	line := &t.charges[c.perLines[0]]
	return lang.F("up to %s for each %s of %s: %s", edge, line.unit, line.label(), price)
}

// agreedWords words what a charge is typed to be on: the agreed demand, a share of
// it, or a quantity as it stands.
func agreedWords(lang *say.Language, typed string) string {
	if typed == "agreed" {
		return lang.S("the agreed demand")
	}
	if share, ok := strings.CutSuffix(typed, " of agreed"); ok {
		return lang.F("%s of the agreed demand", share)
	}
	return typed
}
