package tariff

import (
	"fmt"
	"slices"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/source"
)

// whatOf words a kind.
func whatOf(k Kind) string {
	if w, ok := whatKind[k]; ok {
		return w
	}
	return "a charge of the form " + string(k)
}

// multipliers checks what any metered charge may be multiplied by.
func (k *checker) multipliers(c *charge) {
	metered := slices.Contains([]Kind{KindFixed, KindEnergy, KindReactive, KindDemand}, c.kind)
	for _, m := range []struct {
		key string
		pos diag.Pos
		set bool
	}{{"times", c.Times.Pos, c.Times.IsSet()}, {"unused", c.Unused.Pos, c.Unused.IsSet()}, {"repeat", c.repeatPos(), c.Repeat != nil}} {
		if m.set && !metered && c.kind != "" {
			k.faults.At(m.pos, fmt.Sprintf("%s stands beside %s", m.key, whatOf(c.kind)), "a fixed, energy, reactive or demand charge")
		}
	}
	if c.Times.Good().IsSet() && !c.Times.Value.IsPositive() {
		k.faults.At(c.Times.Pos, fmt.Sprintf("times %s", c.Times.Text), "a number above zero")
	}
	if u := c.Unused; u.Good().IsSet() && (u.Value.Fraction.IsNegative() || u.Value.Fraction.GreaterThan(one)) {
		k.faults.At(u.Pos, fmt.Sprintf("a share of %s", u.Text), "0 % to 100 %")
	}
	if r := c.Repeat; r != nil {
		for _, n := range []source.At[int]{r.Most, r.Within, r.Reset} {
			if n.Good().IsSet() && n.Value < 1 {
				k.faults.At(n.Pos, fmt.Sprintf("a number of %s", n.Text), "1 or more")
			}
		}
	}
}

func (c *charge) repeatPos() diag.Pos {
	if c.Repeat == nil {
		return diag.Pos{}
	}
	return c.Repeat.Pos
}

func (k *checker) fixed(c *charge) {
	f := c.Fixed
	forms := 0
	for _, typed := range []bool{f.Price.Pos.IsSet(), len(f.Classes) > 0, len(f.Parts) > 0} {
		if typed {
			forms++
		}
	}
	switch {
	case forms > 1:
		k.faults.At(f.Pos, "the charge has more than one of price, classes and parts", "one of them")
	case forms == 0 && !k.faultyWithin(c.Charge):
		k.faults.At(f.Pos, "the charge has no price", "price:, classes: or parts:")
	}
	k.price(f.Price, c, timed, "/day or /month")
	k.capacity(c, f.Price, f.Of, "of")
	if f.Above.IsSet() && f.Price.IsSet() && f.Above.Value.Unit != f.Price.Per.Of && f.Above.Good().IsSet() {
		k.faults.At(f.Above.Pos, fmt.Sprintf("%q is free, and the price is per %s", f.Above.Text, strings.TrimPrefix(f.Price.Per.String(), "/")), "an amount in the unit of the price")
	}
	if f.Price.Per.Of != "" {
		k.step(f.OfRound, "rounding of a capacity", []string{f.Price.Per.Of})
	}
	k.classes(c, f.Classes)
	for i, p := range f.Parts {
		k.price(p.Price, c, timed, "/kW/year")
		k.capacity(c, p.Price, p.Of, "of")
		if i > 0 && p.Price.IsSet() && p.Price.Per.Over != f.Parts[0].Price.Per.Over {
			k.faults.At(p.Price.Pos, fmt.Sprintf("price %q is over another time than the first part's", p.Price.Text), "a price per "+f.Parts[0].Price.Per.Over)
		}
	}
	if f.Count.Good().IsSet() && f.Count.Value < 1 {
		k.faults.At(f.Count.Pos, fmt.Sprintf("a count of %s", f.Count.Text), "1 or more")
	}
}

// classes checks prices by the energy of the bill.
func (k *checker) classes(c *charge, classes []Block) {
	marks := make([]source.At[Amount], len(classes))
	for i, b := range classes {
		k.price(b.Price, c, func(u PriceUnit) bool { return u.Of == "" && u.Over != "" }, "/month")
		marks[i] = b.UpTo
		if i > 0 && b.Price.IsSet() && b.Price.Per != classes[0].Price.Per {
			k.faults.At(b.Price.Pos, fmt.Sprintf("price %q is per another unit than the first class's", b.Price.Text), "a price "+classes[0].Price.Per.String())
		}
	}
	k.rising(marks, func(i int) diag.Pos { return classes[i].Pos }, "class", "kWh")
}

// rising holds upper edges to a rising order; the last has none.
func (k *checker) rising(marks []source.At[Amount], at func(int) diag.Pos, what, unit string) {
	for i, m := range marks {
		last := i == len(marks)-1
		switch {
		case last && m.IsSet():
			k.faults.At(m.Pos, fmt.Sprintf("the last %s ends at %s", what, m.Text), fmt.Sprintf("a last %s without up-to, for all that is above", what))
		case !last && !m.IsSet():
			k.faults.At(at(i), fmt.Sprintf("only the last %s has no upper edge", what), "up-to: such as 5000 "+unit)
		case last || m.Value.Unit == "":
		case unit != "" && m.Value.Unit != unit:
			k.faults.At(m.Pos, fmt.Sprintf("the %s ends at %s", what, m.Text), "an edge in "+unit)
		case !m.Value.Value.IsPositive():
			k.faults.At(m.Pos, fmt.Sprintf("the %s ends at %s", what, m.Text), "an edge above zero")
		case i > 0 && m.Value.Value.LessThanOrEqual(marks[i-1].Value.Value):
			k.faults.At(m.Pos, fmt.Sprintf("the %s up to %s comes after the %s up to %s", what, m.Text, what, marks[i-1].Text), fmt.Sprintf("%ss in rising order, edges counted from zero", strings.Replace(what, "class", "classe", 1)))
		}
	}
}

func (k *checker) energy(c *charge) {
	e := c.Energy
	c.unit = k.priceOrBlocks(c, e.Where, e.Price, e.Blocks, ofEnergy, "/kWh")
	k.step(e.Round, "rounding of energy", []string{"kWh", "MWh", "kVAh"})
	if len(e.Blocks) == 0 && (e.Per.IsSet() || e.Whole || e.Hours) {
		k.faults.At(e.Pos, "per and whole are about blocks, and the charge has none", "blocks: or the line removed")
	}
	if e.Hours && (!e.Per.IsSet() || slices.Contains([]string{"month", "day", "bill", "year"}, e.Per.Value)) {
		k.faults.At(e.Pos, "whole hours of use need a demand", "per: the id of a demand charge, or agreed")
	}
	for _, s := range []struct {
		what string
		at   source.At[money.Percent]
	}{{"losses", e.Losses}, {"a share", e.Share}} {
		if s.at.Good().IsSet() && (s.at.Value.Fraction.IsNegative() || s.at.Value.Fraction.GreaterThan(one)) {
			k.faults.At(s.at.Pos, fmt.Sprintf("%s of %s", s.what, s.at.Text), "0 % to 100 %")
		}
	}
	if e.AtLeast.Good().IsSet() && c.unit != "" && e.AtLeast.Value.Unit != c.unit {
		k.faults.At(e.AtLeast.Pos, fmt.Sprintf("%q is in %s, and the charge counts %s", e.AtLeast.Text, e.AtLeast.Value.Unit, c.unit), "an amount in "+c.unit)
	}
	if c.unit == "kVAh" && e.Flow.Value != Taken {
		k.faults.At(e.Flow.Pos, "apparent energy has no flow", "a price per kWh, or the line removed")
	}
	k.limit(c, e.Above, c.unit, LimitAmount, LimitOther)
}

func (k *checker) reactive(c *charge) {
	r := c.Reactive
	ok, units := ofReactive, "/kvarh"
	if r.Target.IsSet() {
		ok, units = func(u PriceUnit) bool { return (u.Of == "kWh" || u.Of == "MWh") && u.Over == "" }, "/kWh"
		k.factorMark(r.Target, true)
	}
	k.price(r.Price, c, ok, units)
	c.unit = "kvarh"
	if r.Target.IsSet() {
		c.unit = r.Price.Per.Of
		for _, l := range []Limit{r.Above, r.UpTo} {
			if l.IsSet() {
				k.faults.At(l.Pos, "a target power factor has no allowance", "the line removed")
			}
		}
	}
	k.step(r.Round, "rounding of reactive energy", []string{"kvarh", "kWh", "MWh"})
	k.limit(c, r.Above, "kvarh", LimitAmount, LimitOther)
	k.limit(c, r.UpTo, "kvarh", LimitAmount, LimitOther)
	for _, l := range []Limit{r.Above, r.UpTo} {
		if r.Netted.Value > 0 && l.IsSet() && (l.Kind != LimitOther || l.Period != "") {
			k.faults.At(l.Pos, fmt.Sprintf("%q is no share of each interval's energy", l.Text), "a share such as 50 % of kWh, or netted: bill")
		}
	}
}

func (k *checker) demand(c *charge) {
	d := c.Demand
	c.unit = k.priceOrBlocks(c, d.Where, d.Price, d.Blocks, ofDemand, "/kW or /kVA")
	if u := d.Price.Per; d.Price.IsSet() {
		c.over = u.Over
	} else if len(d.Blocks) > 0 {
		c.over = d.Blocks[0].Price.Per.Over
	}
	if c.unit == "" {
		return
	}
	k.step(d.Round, "rounding of demand", []string{c.unit})
	k.step(d.Meter, "rounding of a metered demand", []string{c.unit})
	for _, l := range d.AtLeast {
		k.limit(c, l, c.unit, LimitAmount, LimitAgreed, LimitOther, LimitHighest, LimitLine, LimitLoad)
	}
	for _, l := range d.AtMost {
		k.limit(c, l, c.unit, LimitAmount, LimitAgreed, LimitOther, LimitHighest, LimitLine, LimitLoad)
	}
	k.limit(c, d.Above, c.unit, LimitAmount, LimitAgreed, LimitOther, LimitLine)
	k.limit(c, d.UpTo, c.unit, LimitAmount, LimitAgreed, LimitOther, LimitLine)
	k.demandRule(c)
	if d.Adjust != nil {
		k.adjust(c, d.Adjust)
	}
}

func (k *checker) demandRule(c *charge) {
	switch d := c.Demand; d.Takes.Value {
	case SumOfDays:
		if c.over != "day" {
			k.faults.At(d.Takes.Pos, "each day's demand is added, and the price is not per day", "a price such as 0.80 /kW/day")
		}
	case RootOfSquares:
		if !d.Above.IsSet() {
			k.faults.At(d.Takes.Pos, "the excess of each window needs the limit that it exceeds", "above: such as agreed or 300 kW")
		}
		if d.UpTo.IsSet() {
			k.faults.At(d.UpTo.Pos, "the excess of each window has no end", "the line removed")
		}
	case AtKWPeak:
		if c.unit != "kvar" {
			k.faults.At(d.Takes.Pos, "the demand when the kW are highest is billed in "+c.unit, "a price per kvar")
		}
	}
}

func (k *checker) adjust(c *charge, a *Adjust) {
	if a.From.IsSet() && a.From.Value.Unit != c.unit {
		k.faults.At(a.From.Pos, fmt.Sprintf("%q is in %s, and the demand is billed in %s", a.From.Text, a.From.Value.Unit, c.unit), "an amount in "+c.unit)
	}
	k.factorMark(a.Target, true)
	k.factorMark(a.Below, false)
	if a.Rule == Tangent {
		k.faults.At(a.Pos, "demand is not raised by a tangent", "measured: average, peak or at peak")
	}
	if c.unit != "kW" {
		k.faults.At(a.Pos, fmt.Sprintf("a demand in %s is raised for power factor", c.unit), "a price per kW: kVA and kvar hold the power factor already")
	}
	k.step(a.Round, "rounding of a power factor", nil)
}

// factorMark checks that a mark of power factor is one: up to 1 and, for a
// target, above 0.
func (k *checker) factorMark(r source.At[Ratio], target bool) {
	switch {
	case !r.Good().IsSet():
	case r.Value.GreaterThan(one):
		k.faults.At(r.Pos, fmt.Sprintf("%q is not a power factor", r.Text), "a number from 0 to 1, such as 0.95")
	case target && r.Value.IsZero():
		k.faults.At(r.Pos, "a target power factor of 0", "a number up to 1, such as 0.95")
	}
}

func (k *checker) minimum(c *charge) {
	m := c.Minimum
	switch {
	case m.Price.Pos.IsSet() && m.Paid.IsSet():
		k.faults.At(m.Paid.Pos, "the minimum has a price and a share of what was paid", "one of them")
	case !m.Price.Pos.IsSet() && !m.Paid.IsSet() && !k.faultyWithin(c.Charge):
		k.faults.At(m.Pos, "the minimum does not say how much", "price: or paid:")
	}
	k.price(m.Price, c, timed, "/month or /day")
	k.capacity(c, m.Price, m.Per, "per")
	if m.Price.Per.Of != "" {
		k.step(m.PerRound, "rounding of a capacity", []string{m.Price.Per.Of})
	}
	k.limit(c, m.Paid, "", LimitHighest)
	if m.Paid.Kind == LimitHighest && m.Paid.Months == 0 {
		k.faults.At(m.Paid.Pos, "what was paid is looked for in months", "such as 70 % of highest of 12 months")
	}
}

func (k *checker) share(c *charge) {
	s := c.shareForm()
	forms := 0
	for _, typed := range []bool{s.Rate.IsSet(), len(s.Rates) > 0, len(s.Classes) > 0} {
		if typed {
			forms++
		}
	}
	if forms == 0 && !k.faultyWithin(c.Charge) {
		k.faults.At(s.Pos, "missing here: rate", "a line such as rate: 21 %")
	}
	if forms > 1 && c.series == nil {
		k.faults.At(s.Pos, "the charge has more than one of rate, rates and classes", "one of them")
	}
	marks := make([]source.At[Amount], len(s.Classes))
	for i := range s.Classes {
		marks[i] = s.Classes[i].UpTo
	}
	k.rising(marks, func(i int) diag.Pos { return s.Classes[i].Pos }, "class", "kWh")
	if s.Beyond.Good().IsSet() && s.Beyond.Value.Unit != "kWh" {
		k.faults.At(s.Beyond.Pos, fmt.Sprintf("the energy beyond %s", s.Beyond.Text), "an amount in kWh")
	}
	if c.kind == KindPercent && (len(s.Inside) > 0 || s.Included) {
		k.faults.At(s.Pos, "only a tax is inside its own base or included in prices", "tax: instead of percent:")
	}
	if s.inside() && (s.Rate.Value.Fraction.IsNegative() || s.Rate.Value.Fraction.GreaterThanOrEqual(one)) {
		k.faults.At(s.Rate.Pos, fmt.Sprintf("a tax of %s inside its own base", s.Rate.Text), "a rate from 0 % to below 100 %")
	}
}
