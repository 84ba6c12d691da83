package tariff

import (
	"fmt"
)

// always words what any charge may have: conditions, multipliers, dates.
func (d *Described) always(c *charge) {
	for _, f := range c.If {
		d.say("only if %s", f.Text)
	}
	if c.Times.IsSet() {
		d.say("times %s", c.Times.Text)
	}
	if c.Repeat != nil {
		d.say("times the number of the event")
	}
	if c.Unused.IsSet() {
		d.say("%s of it in a bill without energy", c.Unused.Text)
	}
	if c.from.Year != 0 {
		d.say("from %s", c.from)
	}
	if c.to.Year != 0 {
		d.say("to %s", c.to.AddDays(-1))
	}
}

func (t *Tariff) describeFixed(c *charge, d *Described) {
	f := c.Fixed
	for i, b := range f.Classes {
		d.price(b.Price)
		if i < len(f.Classes)-1 {
			d.say("bills up to %s a month: %s", b.UpTo.Text, b.Price.Text)
		} else {
			d.say("bills above: %s", b.Price.Text)
		}
	}
	for _, p := range f.Parts {
		d.price(p.Price)
		d.say("%s on %s", p.Price.Text, p.Of.Text)
	}
	if !f.Price.IsSet() {
		return
	}
	d.price(f.Price)
	s := "fixed"
	if f.Of.IsSet() {
		s += " on " + f.Of.Text
	}
	if f.Above.IsSet() {
		s += " above " + f.Above.Text
	}
	if f.Count.Value > 1 {
		s += fmt.Sprintf(", %d of them", f.Count.Value)
	}
	d.say("%s%s", s, in(list(values(f.Season))))
}

func (t *Tariff) describeEnergy(c *charge, d *Described) {
	e := c.Energy
	what := "active energy"
	switch {
	case c.unit == "kVAh":
		what = "apparent energy"
	case e.Flow.Value == Exported:
		what = "energy delivered to the supplier"
	case e.Flow.Value == Net:
		what = "active energy less what is delivered to the supplier"
	}
	d.say("%s%s", what, in(c.where))
	if e.Share.IsSet() {
		d.say("%s of it", e.Share.Text)
	}
	if e.Losses.IsSet() {
		d.say("with %s added for losses", e.Losses.Text)
	}
	if e.AtLeast.IsSet() {
		d.say("at least %s a month", e.AtLeast.Text)
	}
	if e.Above.IsSet() {
		d.say("only what exceeds %s", e.Above.Text)
	}
	t.describeBlocks(c, d, e.Price, e.Blocks)
}

func describeReactive(c *charge, d *Described) {
	r := c.Reactive
	d.price(r.Price)
	s := r.Flow.Value.words() + "reactive energy" + in(c.where)
	if r.Target.IsSet() {
		s = "kWh x (" + r.Target.Text + " / power factor - 1)" + in(c.where)
	}
	if r.Above.IsSet() {
		s += " above " + r.Above.Text
	}
	if r.UpTo.IsSet() {
		s += " up to " + r.UpTo.Text
	}
	if r.Netted.Value > 0 {
		s += fmt.Sprintf(", by intervals of %d min", int(r.Netted.Value))
	}
	d.say("%s", s)
}

func (t *Tariff) describeBlocks(c *charge, d *Described, p Price, blocks []Block) {
	if len(blocks) == 0 {
		d.price(p)
		return
	}
	per := ""
	if c.Energy != nil {
		switch c.Energy.Per.Value {
		case "", "month":
			per = " a month"
		case "day":
			per = " a day"
		case "bill":
			per = " a bill"
		case "year":
			per = " a year"
		case "agreed":
			per = " for each agreed unit of demand"
		default:
			line := &t.charges[c.perLines[0]]
			per = fmt.Sprintf(" for each %s of %s", line.unit, line.label())
		}
	}
	for i, b := range blocks {
		d.price(b.Price)
		if i < len(blocks)-1 {
			d.say("up to %s%s: %s", b.UpTo.Text, per, b.Price.Text)
		} else {
			d.say("above: %s", b.Price.Text)
		}
	}
	if c.Energy != nil && c.Energy.Whole {
		d.say("all energy is priced at the block that it reaches")
	}
}

func (t *Tariff) describeDemand(c *charge, d *Described) {
	f := c.Demand
	if f.Takes.Value == Highest {
		d.say("highest %s mean in %s%s", f.Window.Text, c.unit, in(c.where))
	} else {
		d.say("%s, %s means in %s%s", f.Takes.Value.words(), f.Window.Text, c.unit, in(c.where))
	}
	if f.Meter.IsSet() {
		d.say("metered demand rounded to %s", f.Meter.Text)
	}
	if a := f.Adjust; a != nil {
		s := "brought to power factor " + a.Target.Text
		if a.Below.IsSet() {
			s += " when below " + a.Below.Text
		}
		if a.From.IsSet() {
			s += ", from " + a.From.Text
		}
		if a.Cap.IsSet() {
			s += ", by no more than " + a.Cap.Text
		}
		if a.Netted.Value > 0 {
			s += fmt.Sprintf(", by intervals of %d min", int(a.Netted.Value))
		}
		d.say("%s", s)
	}
	if f.MeanOf.IsSet() {
		d.say("mean of the %s", f.MeanOf.Text)
	}
	for _, l := range f.AtLeast {
		d.say("at least %s", l.Text)
	}
	for _, l := range f.AtMost {
		d.say("at most %s", l.Text)
	}
	if f.Above.IsSet() {
		d.say("only what exceeds %s", f.Above.Text)
	}
	if f.UpTo.IsSet() {
		d.say("up to %s", f.UpTo.Text)
	}
	t.describeBlocks(c, d, f.Price, f.Blocks)
}

func (t *Tariff) describeShare(c *charge, d *Described) {
	f := c.shareForm()
	for i, class := range f.Classes {
		d.Prices = append(d.Prices, PriceAt{class.Rate.Text, class.Rate.Pos})
		if i < len(f.Classes)-1 {
			d.say("bills up to %s a month: %s of %s", class.UpTo.Text, class.Rate.Text, t.baseWords(c))
		} else {
			d.say("bills above: %s of %s", class.Rate.Text, t.baseWords(c))
		}
	}
	if f.Rate.IsSet() {
		d.Prices = append(d.Prices, PriceAt{f.Rate.Text, f.Rate.Pos})
		d.say("%s of %s", f.Rate.Text, t.baseWords(c))
	}
	if f.Beyond.IsSet() {
		d.say("only the part on energy beyond %s a month", f.Beyond.Text)
	}
	if f.inside() {
		d.say("the tax is part of its own base")
	}
	if f.Included {
		d.say("included in the prices")
	}
}
