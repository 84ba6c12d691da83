package tariff

import (
	"fmt"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/say"
	"auditgen/internal/source"
)

// Energy is a charge on active energy: one price, prices by month, or blocks.
type Energy struct {
	source.Where
	Price   Price                    `key:"price" doc:"price" unit:"/kWh, /MWh or /kVAh" example:"0.1523 /kWh"`
	Prices  source.Map[Price]        `key:"prices" doc:"prices by month or run of months, without gaps" unit:"/kWh, /MWh or /kVAh" example:"{2031-01: 0.0123 /kWh, 2031-02 to 2031-05: 0.0131 /kWh}"`
	Blocks  []Block                  `key:"blocks" doc:"blocks in rising order; the last has no upper edge" example:"[{up-to: 5000 kWh, price: 0.20 /kWh}, {price: 0.15 /kWh}]"`
	Per     source.At[string]        `key:"per" doc:"what block edges are for: month, day, bill, year (counted from 1 January), agreed (each agreed kW or kVA), or the id of a demand charge for hours of use (edges in kWh per billed kW or kVA)" default:"month" example:"day"`
	Whole   bool                     `key:"whole" doc:"yes: all energy is priced at the block that it reaches" default:"no" example:"yes"`
	Hours   bool                     `key:"whole-hours" doc:"yes: with per: a demand charge, only whole hours of use count" default:"no" example:"yes"`
	Flow    source.At[EnergyFlow]    `key:"flow" doc:"taken; exported: delivered to the supplier; net: taken less exported, not below zero" default:"taken" example:"exported"`
	Share   source.At[money.Percent] `key:"share" doc:"only this share of the energy" unit:"%" default:"100 %" example:"3.76 %"`
	AtLeast source.At[Amount]        `key:"at-least" doc:"energy that is billed at least, for each month" unit:"that of the price" example:"25 kWh"`
	Above   Limit                    `key:"above" doc:"only what exceeds this is charged: an amount, or a share of the energy" default:"nothing is free" example:"1/3 of kWh in all"`
	Period  source.OneOrMany[string] `key:"period" doc:"only these time periods" default:"all hours" example:"[day, peak]"`
	Season  source.OneOrMany[string] `key:"season" doc:"only these seasons" default:"all year" example:"winter"`
	Losses  source.At[money.Percent] `key:"losses" doc:"what is added to the metered energy for losses" unit:"%" default:"0 %" example:"3.76 %"`
	Round   Step                     `key:"round" doc:"rounding of the billed energy" unit:"that of the price" default:"that of rounding: energy" example:"1 kWh"`
}

// ReadSource reads the short form, a price, or the group.
func (e *Energy) ReadSource(v *source.Value, faults *diag.List) {
	type group Energy
	shortOr(v, &e.Where, &e.Price, (*group)(e), faults)
}

// Short names the key that a single value stands for.
func (Energy) Short() string { return "price" }

// EnergyFlow tells which way energy flows that a charge counts.
type EnergyFlow int

// The flows.
const (
	Taken EnergyFlow = iota
	Exported
	Net
)

// UnmarshalText reads taken, exported or net.
func (f *EnergyFlow) UnmarshalText(text []byte) error {
	return oneOfWords((*int)(f), "flow", string(text), "taken", "exported", "net")
}

// unitScale is how many of the unit one base unit makes.
func unitScale(unit string) decimal.Decimal {
	if unit == "MWh" {
		return decimal.New(1, -6)
	}
	return decimal.New(1, -3)
}

// defaultStep is how finely quantities are billed when the tariff does not say.
var defaultStep = decimal.New(1, -3)

// meteredStep takes the dust off a metered number before a tariff's rules see
// it; the rounding of the billed quantity comes after them.
var meteredStep = decimal.New(1, -6)

// quantityStep chooses the rounding of a billed quantity: the charge's own, else
// the tariff's for its kind, else 0.001 of the unit.
func quantityStep(own, common Step, unit string) Step {
	s := common
	if own.IsSet() {
		s = own
	}
	if !s.IsSet() {
		return Step{Size: defaultStep}
	}
	if s.Unit != "" && s.Unit != unit {
		switch unit {
		case "MWh":
			s.Size = s.Size.Shift(-3)
		case "kWh", "kvarh", "kVAh":
			if s.Unit == "MWh" {
				s.Size = s.Size.Shift(3)
			}
		}
	}
	return s
}

// toBilled takes a metered quantity in base units to the tariff's unit and step.
func (p *pricer) toBilled(m val, unit string, step Step, id ident, label string) val {
	lang := p.o.Words
	u := p.trail.stated(node{id: ident{period: inFile, charge: -1, word: scaleWords[unit]}, label: lang.F("%s in base units", unit), unit: "1", v: unitScale(unit)})
	return p.trail.apply(meteredF[step.Way], id, label, unit, m, u, p.stepNode(step, unit))
}

var scaleWords = map[string]string{"kWh": "unit.kwh", "MWh": "unit.mwh", "kVAh": "unit.kvah", "kvarh": "unit.kvarh", "kW": "unit.kw", "kVA": "unit.kva", "kvar": "unit.kvar"}

// energyIn asks for an energy by its flow, in base units.
func (b *pricing) energyIn(flow EnergyFlow, m Metered) val {
	lang := b.o.Words
	taken := func() val { m.What = "energy"; return b.meter(b.i, m) }
	exported := func() val {
		use := b.uses[b.i]
		if m.Part != (Period{}) {
			use = b.parts[partKey{b.i, m.Part}]
		}
		if _, ok := use.(ExportUse); !ok {
			b.note(lang.S("what was delivered to the supplier is not known and counts as nothing"))
			return b.none()
		}
		m.What, m.base = say.Key("exported energy"), "Wh"
		return b.meter(b.i, m)
	}
	switch flow {
	case Exported:
		return exported()
	case Net:
		e := taken()
		return b.trail.apply(aboveF, ident{period: b.i, charge: -1, word: "net-energy"}, lang.S("energy taken less delivered"), "Wh", e, exported())
	}
	return taken()
}

// apparent asks for apparent energy: a register's, else the sum over the
// course, else what the sums of active and reactive energy make.
func (b *pricing) apparent(m Metered) val {
	lang := b.o.Words
	use := b.uses[b.i]
	if m.Part != (Period{}) {
		use = b.parts[partKey{b.i, m.Part}]
	}
	m.What, m.base = say.Key("apparent energy"), "VAh"
	if _, ok := use.(ApparentUse); ok {
		return b.meter(b.i, m)
	}
	for _, minutes := range courseSteps {
		v, ok := b.fromCourse(b.i, m, minutes, func(all []interval) decimal.Decimal {
			sum := decimal.Zero
			for _, i := range all {
				sum = sum.Add(hypot(i.energy, i.lag.Sub(i.lead)))
			}
			return sum
		})
		if ok {
			return v
		}
	}
	b.note(lang.S("apparent energy is made of the sums of active and reactive energy; interval by interval it is not less"))
	e := m
	e.What, e.base = "energy", ""
	r := e
	r.What = "reactive energy"
	return b.trail.apply(hypotF, ident{period: b.i, charge: -1, word: "apparent-energy"}, lang.S("apparent energy"), "VAh", b.meter(b.i, e), b.meter(b.i, r))
}

// courseSteps are the intervals that are tried where a tariff names none.
var courseSteps = []int{15, 30, 60}

func (b *pricing) energy(c *charge) []Line {
	lang := b.o.Words
	e := c.Energy
	unit := c.unit
	h := b.words()
	m := b.taken(c, Metered{Slots: c.sel}, func(m Metered) val {
		if unit == "kVAh" {
			return b.apparent(m)
		}
		return b.energyIn(e.Flow.Value, m)
	})
	if e.Losses.IsSet() {
		s := b.constant(c, "losses", lang.S("losses"), "1", e.Losses.Value.Fraction, Step{Pos: e.Losses.Pos, Text: e.Losses.Text})
		m = b.trail.apply(addedF, b.id(c, "with-losses"), lang.S("energy with losses"), "Wh", m, s)
	}
	if e.Share.IsSet() {
		s := b.constant(c, "share", lang.S("share"), "1", e.Share.Value.Fraction, Step{Pos: e.Share.Pos, Text: e.Share.Text})
		m = b.trail.apply(timesF, b.id(c, "share"), lang.S("share of the energy"), "Wh", m, s)
	}
	q := b.energyBilled(c, m, h)
	if len(e.Blocks) == 0 {
		q = b.multiplied(c, q, unit, h)
		l := b.newLine(c, 0, c.label(), q, unit, b.priceOf(c, 0, e.Price), e.Price.Per.String())
		l.How = h.lines
		return []Line{l}
	}
	return b.energyBlocks(c, q, h)
}

// energyBilled brings an energy to what is billed and says how.
func (b *pricing) energyBilled(c *charge, m val, h *sentences) val {
	lang := b.o.Words
	e, unit := c.Energy, c.unit
	step := quantityStep(e.Round, b.t.Rounding.Energy, unit)
	bounded := e.Above.IsSet() || e.AtLeast.IsSet()
	first := step
	id := b.id(c, "quantity")
	if bounded {
		first, id = Step{Size: meteredStep}, b.id(c, "metered")
	}
	q := b.toBilled(m, unit, first, id, c.label())
	word := b.word()
	switch e.Flow.Value {
	case Exported:
		word = lang.S("delivered to the supplier")
	case Net:
		word = lang.S("taken less delivered")
	}
	switch {
	case e.Losses.IsSet():
		h.F("%s %s%s, with %s added for losses", q, unit, inWords(lang, c.whereIn(lang)), e.Losses.Text)
	case e.Share.IsSet():
		h.F("%s %s%s, %s of what was %s", q, unit, inWords(lang, c.whereIn(lang)), e.Share.Text, word)
	case bounded:
		h.F("%s %s %s%s", show(q), unit, word, inWords(lang, c.whereIn(lang)))
	default:
		h.F("%s %s %s%s", q, unit, word, inWords(lang, c.whereIn(lang)))
	}
	b.partWords(c, h)
	if e.AtLeast.IsSet() {
		least := b.constant(c, "at-least", lang.S("least energy"), unit, e.AtLeast.Value.Value, Step{Pos: e.AtLeast.Pos, Text: e.AtLeast.Text})
		n, _ := b.monthScale(c, "month")
		least = b.trail.apply(timesF, b.id(c, "least"), lang.S("least energy of the bill"), unit, least, n)
		q = b.trail.apply(highF, b.id(c, "at-least"), lang.S("energy, at least"), unit, q, least)
		h.F("at least %s a month: %s %s", e.AtLeast.Text, show(q), unit)
	}
	if e.Above.IsSet() {
		free, words := b.limit(c, e.Above, unit, b.i)
		q = b.trail.apply(aboveF, b.id(c, "above"), lang.S("energy beyond what is free"), unit, q, free)
		h.F("only what exceeds %s", words)
	}
	if bounded {
		q = b.trail.apply(billedF[step.Way], b.id(c, "quantity"), c.label(), unit, q, b.one(), b.stepNode(step, unit))
		h.F("billed: %s %s", q, unit)
	}
	return q
}

// inWords words a restriction behind a quantity.
func inWords(lang *say.Language, where string) string {
	if where == "" {
		return ""
	}
	return lang.F(" in %s", where)
}

func unitOver(unit, over string) string {
	if over == "" {
		return unit
	}
	return fmt.Sprintf("%s·%s", unit, over)
}
