package tariff

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/source"
)

var idForm = regexp.MustCompile(`^[a-z][a-z0-9-]*$`)

// reserved are words that mean something else where an id may stand.
var reserved = []string{"all", "agreed", "rounding", "months", "carried", "month", "day", "bill", "year", "otherwise", "yes", "no"}

// checker looks for what is wrong with the charges of a tariff.
type checker struct {
	*Tariff
	faults  *diag.List
	ids     []string
	periods []string
	seasons []string
}

// check finds what is wrong with the charges, resolves their references and
// puts them into the order in which they can be priced.
func (t *Tariff) check(faults *diag.List) {
	if len(t.Charges) == 0 && faults.Len() == 0 {
		faults.At(t.Pos, "the tariff has no charges", "charges: with an item for each line of the bill")
	}
	k := &checker{Tariff: t, faults: faults, periods: t.cal.periodNames(), seasons: t.Seasons.Keys()}
	if t.From.IsSet() && t.To.IsSet() && t.To.Value.Compare(t.From.Value) < 0 {
		faults.At(t.To.Pos, fmt.Sprintf("the tariff ends on %s, before it begins", t.To.Text), "a day not before "+t.From.Text)
	}
	for _, h := range t.HolidaysAs {
		var days civil.Weekdays
		if days.UnmarshalText([]byte(h.Key)) != nil || strings.ContainsAny(h.Key, "-, ") {
			faults.At(h.Pos, fmt.Sprintf("%q is not a day of the week", h.Key), "Mon, Tue, Wed, Thu, Fri, Sat or Sun")
		}
	}
	k.rounding()
	k.names()
	k.editions()
	for i := range t.charges {
		k.form(&t.charges[i])
	}
	for i := range t.charges {
		k.references(&t.charges[i])
	}
	k.sort()
}

func (k *checker) rounding() {
	for _, r := range []struct {
		key   string
		step  Step
		units []string
	}{
		{"line", k.Rounding.Line, nil}, {"total", k.Rounding.Total, nil},
		{"energy", k.Rounding.Energy, []string{"kWh", "MWh", "kVAh"}}, {"edges", k.Rounding.Edges, []string{"kWh", "MWh", "kVAh"}}, {"reactive", k.Rounding.Reactive, []string{"kvarh"}},
		{"demand", k.Rounding.Demand, []string{"kW", "kVA", "kvar"}},
	} {
		k.step(r.step, "rounding of "+r.key, r.units)
	}
	if k.Rounding.Carry && !k.Rounding.Total.IsSet() {
		k.faults.At(k.Pos, "the rounding of the total is carried, and the total is not rounded", "rounding: {total: 10 cut, carry: yes}")
	}
}

// step checks the unit of a rounding; no units means an amount of money or a
// plain number, which has none.
func (k *checker) step(s Step, what string, units []string) {
	switch {
	case !s.IsSet():
	case len(units) == 0 && s.Unit != "":
		k.faults.At(s.Pos, fmt.Sprintf("the %s has the unit %s", what, s.Unit), "a number without a unit, such as 0.01")
	case len(units) > 0 && s.Unit == "":
		k.faults.At(s.Pos, fmt.Sprintf("the %s, %q, has no unit", what, s.Text), fmt.Sprintf("a number with its unit, such as 1 %s", units[0]))
	case len(units) > 0 && !slices.Contains(units, s.Unit):
		k.faults.At(s.Pos, fmt.Sprintf("the %s is in %s", what, s.Unit), diag.Choice(units))
	}
}

// names checks the ids of the charges. One id may stand twice when the first
// ends before the second begins.
func (k *checker) names() {
	first := map[string]*Charge{}
	for i := range k.Charges {
		c := &k.Charges[i]
		id := c.ID.Value
		before, twice := first[id]
		switch {
		case !c.ID.IsSet():
			continue
		case !idForm.MatchString(id):
			k.faults.At(c.ID.Pos, fmt.Sprintf("the id %q is not a short name", id), "small letters, digits and hyphens, a letter first, such as day-units")
		case slices.Contains(reserved, id):
			k.faults.At(c.ID.Pos, fmt.Sprintf("the id %q means something else here", id), "another name")
		case twice && (!before.To.IsSet() || !c.From.IsSet()):
			k.faults.At(c.ID.Pos, fmt.Sprintf("the id %q is given twice, first on line %d", id, before.ID.Pos.Line), "a name of its own for each charge")
		}
		if c.From.IsSet() && c.To.IsSet() && c.To.Value.Compare(c.From.Value) < 0 {
			k.faults.At(c.To.Pos, fmt.Sprintf("the charge ends on %s, before it begins", c.To.Text), "a day not before "+c.From.Text)
		}
		if !twice {
			k.ids = append(k.ids, id)
		}
		first[id] = c
	}
}

var chargeForms = []string{"fixed", "energy", "reactive", "demand", "power-factor", "percent", "rounding", "minimum", "maximum", "tax"}

func (k *checker) kindOf(c *Charge) Kind {
	var found []Kind
	for _, f := range []struct {
		kind  Kind
		typed bool
	}{
		{KindFixed, c.Fixed != nil}, {KindEnergy, c.Energy != nil}, {KindReactive, c.Reactive != nil}, {KindDemand, c.Demand != nil},
		{KindPowerFactor, c.PowerFactor != nil}, {KindPercent, c.Percent != nil}, {KindSubtotal, c.Subtotal != nil},
		{KindMinimum, c.Minimum != nil}, {KindMaximum, c.Maximum != nil}, {KindTax, c.Tax != nil},
	} {
		if f.typed {
			found = append(found, f.kind)
		}
	}
	switch len(found) {
	case 1:
		return found[0]
	case 0:
		if k.faultyWithin(c) { // a form that was misspelt has its own fault
			return ""
		}
		k.faults.At(c.Pos, "the charge does not say what it charges", diag.Choice(chargeForms))
		return ""
	}
	k.faults.At(c.Pos, fmt.Sprintf("the charge has two forms, %s and %s", found[0], found[1]), "one form a charge; make two charges of it")
	return ""
}

// faultyWithin reports whether a fault stands in a charge already.
func (k *checker) faultyWithin(c *Charge) bool {
	end := diag.Pos{File: c.Pos.File, Line: 1 << 30}
	for i := range k.Charges {
		if p := k.Charges[i].Pos; p.Compare(c.Pos) > 0 && p.Compare(end) < 0 {
			end = p
		}
	}
	return slices.ContainsFunc(k.faults.Sorted(), func(f diag.Fault) bool {
		return f.Pos.Compare(c.Pos) >= 0 && f.Pos.Compare(end) < 0
	})
}

// form checks a charge by itself.
func (k *checker) form(c *charge) {
	k.step(c.Round, "rounding of an amount", nil)
	periods, seasons := c.restricts()
	for _, p := range periods {
		known(k.faults, p, "period", k.periods)
	}
	for _, s := range seasons {
		known(k.faults, s, "season", k.seasons)
	}
	switch c.kind {
	case KindFixed:
		k.fixed(c)
	case KindEnergy:
		k.energy(c)
	case KindReactive:
		k.reactive(c)
	case KindDemand:
		k.demand(c)
	case KindPowerFactor:
		k.powerFactor(c)
	case KindPercent, KindTax:
		k.share(c)
	case KindMinimum:
		k.minimum(c)
	case KindMaximum:
		k.price(c.Maximum.Price, c, func(u PriceUnit) bool {
			return u.Of == "" && u.Over != "" || (u.Of == "kWh" || u.Of == "MWh") && u.Over == ""
		}, "/kWh or /month")
	case KindSubtotal:
		k.step(c.Subtotal.To, "rounding of a sum", nil)
	}
	k.multipliers(c)
}

// want tells which units of a price suit a charge.
type want func(PriceUnit) bool

func timed(u PriceUnit) bool {
	return u.Over != "" && (u.Of == "" || slices.Contains(capacityUnits, u.Of))
}
func ofEnergy(u PriceUnit) bool {
	return (u.Of == "kWh" || u.Of == "MWh" || u.Of == "kVAh") && u.Over == ""
}
func ofReactive(u PriceUnit) bool { return u.Of == "kvarh" && u.Over == "" }
func ofDemand(u PriceUnit) bool   { return slices.Contains(demandUnits, u.Of) }

var (
	demandUnits   = []string{"kW", "kVA", "kvar"}
	capacityUnits = []string{"kW", "kVA", "kvar", "A"}
)

var whatKind = map[Kind]string{
	KindFixed: "a fixed charge", KindEnergy: "an energy charge", KindReactive: "a charge on reactive energy",
	KindDemand: "a demand charge", KindMinimum: "a minimum", KindMaximum: "a ceiling",
}

// price checks a price's unit against the charge it stands in, and its currency
// against the tariff's.
func (k *checker) price(p Price, c *charge, ok want, units string) {
	if !p.IsSet() {
		return
	}
	if p.Currency != "" && k.Currency.IsSet() && p.Currency != k.Currency.Value.Code {
		k.faults.At(p.Pos, fmt.Sprintf("price %q is in %s", p.Text, p.Currency), "the tariff's currency, "+k.Currency.Value.Code)
	}
	if !ok(p.Per) {
		k.faults.At(p.Pos, fmt.Sprintf("price %q stands in %s", p.Text, whatKind[c.kind]), fmt.Sprintf("a price such as %s %s", p.Amount, units)+k.rightForm(p.Per, c.kind))
	}
}

// rightForm names the form of charge that a price's unit belongs to.
func (k *checker) rightForm(u PriceUnit, not Kind) string {
	for _, f := range []struct {
		kind Kind
		ok   want
	}{{KindEnergy, ofEnergy}, {KindReactive, ofReactive}, {KindDemand, ofDemand}, {KindFixed, timed}} {
		if f.kind != not && f.ok(u) {
			return fmt.Sprintf("; a price per %s belongs in %s:", strings.TrimPrefix(u.String(), "/"), f.kind)
		}
	}
	return ""
}

func (k *checker) capacity(c *charge, p Price, of Limit, key string) {
	if p.Per.Of == "" {
		if of.IsSet() {
			k.faults.At(of.Pos, "a capacity is stated, and the price is not per kW or kVA", "a price such as 2.10 /kVA/month, or the capacity removed")
		}
		return
	}
	if !slices.Contains(capacityUnits, p.Per.Of) { // faulted as a price
		return
	}
	if !of.IsSet() {
		k.faults.At(p.Pos, fmt.Sprintf("price %q needs the capacity that it counts", p.Text), fmt.Sprintf("%s: 300 %s, or %s: agreed for the site's agreed demand", key, p.Per.Of, key))
		return
	}
	k.limit(c, of, p.Per.Of, LimitAmount, LimitAgreed, LimitLine)
}

// priceOrBlocks checks a price or a list of blocks and gives the unit that the
// charge counts in.
func (k *checker) priceOrBlocks(c *charge, w source.Where, p Price, blocks []Block, ok want, units string) string {
	switch {
	case p.IsSet() && len(blocks) > 0:
		k.faults.At(p.Pos, "the charge has a price and blocks", "one of them")
	case p.Pos.IsSet() || len(blocks) > 0 || k.faultyWithin(c.Charge):
	default:
		k.faults.At(w.Pos, "the charge has no price", "price: or blocks:")
	}
	k.price(p, c, ok, units)
	if len(blocks) == 0 {
		return p.Per.Of
	}
	return k.blocks(c, blocks, ok, units)
}

func (k *checker) blocks(c *charge, blocks []Block, ok want, units string) string {
	unit := blocks[0].Price.Per.Of
	for i, b := range blocks {
		k.price(b.Price, c, ok, units)
		if b.Price.IsSet() && blocks[0].Price.IsSet() && b.Price.Per != blocks[0].Price.Per {
			k.faults.At(b.Price.Pos, fmt.Sprintf("price %q is per another unit than the first block's", b.Price.Text), "a price "+blocks[0].Price.Per.String())
		}
		last := i == len(blocks)-1
		switch {
		case last && b.UpTo.IsSet():
			k.faults.At(b.UpTo.Pos, fmt.Sprintf("the last block ends at %s", b.UpTo.Text), "a last block without up-to, for all that is above")
		case !last && !b.UpTo.Pos.IsSet():
			k.faults.At(b.Pos, "only the last block has no upper edge", "up-to: such as 5000 kWh")
		case last || b.UpTo.Value.Unit == "":
		case unit != "" && b.UpTo.Value.Unit != unit:
			k.faults.At(b.UpTo.Pos, fmt.Sprintf("the block ends at %s, and its price is per %s", b.UpTo.Text, unit), "an edge in "+unit)
		case !b.UpTo.Value.Value.IsPositive():
			k.faults.At(b.UpTo.Pos, fmt.Sprintf("the block ends at %s", b.UpTo.Text), "an edge above zero")
		case i > 0 && b.UpTo.Value.Value.LessThanOrEqual(blocks[i-1].UpTo.Value.Value):
			k.faults.At(b.UpTo.Pos, fmt.Sprintf("the block up to %s comes after the block up to %s", b.UpTo.Text, blocks[i-1].UpTo.Text), "blocks in rising order, edges counted from zero")
		}
	}
	return unit
}
