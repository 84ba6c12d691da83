package tariff

import (
	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/say"
	"auditgen/internal/source"
)

// Fixed is a charge per day, month, year or bill, alone or for each kW or kVA
// of a stated or agreed capacity.
type Fixed struct {
	source.Where
	Price   Price                    `key:"price" doc:"price" unit:"/day, /month, /year, /bill, or such as /kVA/month" example:"1.92 /day"`
	Classes []Block                  `key:"classes" doc:"prices by the energy of the bill, in rising order: the class that is reached holds" example:"[{up-to: 99 kWh, price: 0 /month}, {price: 5 /month}]"`
	Parts   []FixedPart              `key:"parts" doc:"several prices in one line, each with its capacity" example:"[{price: 14.41 /kW/year, of: 300 kW}]"`
	Of      Limit                    `key:"of" doc:"the capacity, when the price is per kW, kVA or A: an amount, agreed for the site's agreed demand, or the id of a demand charge" example:"300 kVA"`
	Above   source.At[Amount]        `key:"above" doc:"capacity that is free" unit:"that of the price" default:"nothing" example:"10 kVA"`
	OfRound Step                     `key:"round-of" doc:"rounding of the capacity" unit:"that of the price" default:"not rounded" example:"1 kW up"`
	Count   source.At[int]           `key:"count" doc:"how many: meters, points" default:"1" example:"2"`
	Season  source.OneOrMany[string] `key:"season" doc:"only days in these seasons" default:"all year" example:"winter"`
}

// FixedPart is one price with its capacity.
type FixedPart struct {
	source.Where
	Price Price `key:"price" need:"yes" doc:"price" unit:"such as /kW/year" example:"14.41 /kW/year"`
	Of    Limit `key:"of" doc:"the capacity: an amount, agreed, or the id of a demand charge" example:"300 kW"`
}

// ReadSource reads the short form, a price, or the group.
func (f *Fixed) ReadSource(v *source.Value, faults *diag.List) {
	type group Fixed
	shortOr(v, &f.Where, &f.Price, (*group)(f), faults)
}

// Short names the key that a single value stands for.
func (Fixed) Short() string { return "price" }

func shortOr(v *source.Value, where *source.Where, price *Price, group any, faults *diag.List) {
	if v.Form == source.Scalar {
		where.Pos = v.Pos
		price.ReadSource(v, faults)
		return
	}
	source.Decode(v, group, faults)
}

// fixed prices a charge by time: days, months or years, times the capacity and
// the count where they are stated.
func (b *pricing) fixed(c *charge) []Line {
	lang := b.o.Words
	f := c.Fixed
	h := b.words()
	if len(f.Parts) > 0 {
		return b.fixedParts(c, h)
	}
	price, part := f.Price, 0
	if len(f.Classes) > 0 {
		part = b.classOf(c, f.Classes, h)
		price = f.Classes[part-1].Price
	}
	q, unit := b.fixedQuantity(c, 0, price, f.Of, h)
	if f.Count.IsSet() && f.Count.Value != 1 {
		n := b.constant(c, "count", lang.S("count"), "1", decimal.New(int64(f.Count.Value), 0), Step{Pos: f.Count.Pos, Text: f.Count.Text})
		q = b.trail.apply(timesF, b.id(c, "counted"), c.label(), unit, n, q)
		h.F("%d of them", f.Count.Value)
	}
	q = b.multiplied(c, q, unit, h)
	at := b.priceOf(c, part, price)
	if b.tracing && len(f.Classes) > 0 {
		at = b.classPriceTraced(c, f.Classes)
	}
	l := b.newLine(c, 0, c.label(), q, unit, at, price.Per.String())
	l.How = h.lines
	return []Line{l}
}

// fixedQuantity is the time of a price, times its capacity.
func (b *pricing) fixedQuantity(c *charge, part int, price Price, of Limit, h *sentences) (val, string) {
	lang := b.o.Words
	var capacity val
	if price.Per.Of != "" {
		var words string
		capacity, words = b.limit(c, of, price.Per.Of, b.i)
		if a := c.Fixed.Above; a.IsSet() {
			free := b.constant(c, "free", lang.S("free capacity"), price.Per.Of, a.Value.Value, Step{Pos: a.Pos, Text: a.Text})
			capacity = b.trail.apply(aboveF, b.id(c, "above"), lang.S("capacity beyond what is free"), price.Per.Of, capacity, free)
			words = lang.F("%s, only what exceeds %s", words, a.Text)
		}
		if s := c.Fixed.OfRound; s.IsSet() {
			capacity = b.trail.apply(billedF[s.Way], b.id(c, "capacity"), lang.S("capacity, rounded"), price.Per.Of, capacity, b.one(), b.stepOf(c, s, "capacity-rounding"))
			words = lang.F("%s, taken as %s %s", words, capacity.String(), price.Per.Of)
		}
		h.raw(words)
	}
	q, unit := b.time(c, price.Per.Over, h)
	if price.Per.Of != "" {
		id := b.id(c, "capacity-time")
		id.part = part
		q = b.trail.apply(timesF, id, c.label(), price.Per.Of+"·"+unit, capacity, q)
		unit = price.Per.Of + "·" + singular(unit)
	}
	return q, unit
}

// fixedParts adds several prices up in one line.
func (b *pricing) fixedParts(c *charge, h *sentences) []Line {
	lang := b.o.Words
	code := b.t.Currency.Value.Code
	amounts := make([]val, len(c.Fixed.Parts))
	for i, p := range c.Fixed.Parts {
		var own sentences
		own.off = true
		if p.Price.Per.Of != "" {
			_, words := b.limit(c, p.Of, p.Price.Per.Of, b.i)
			h.F("%s x %s", words, p.Price.Text)
		} else {
			h.raw(p.Price.Text)
		}
		q, _ := b.fixedQuantity(c, i+1, p.Price, p.Of, &own)
		id := b.id(c, "part-amount")
		id.part = i + 1
		amounts[i] = b.trail.apply(timesF, id, c.label(), code, q, b.priceOf(c, i+1, p.Price))
	}
	b.time(c, c.Fixed.Parts[0].Price.Per.Over, h)
	q := b.trail.apply(totalF, b.id(c, "sum"), lang.S("sum of the parts"), code, amounts...)
	q = b.trail.apply(billedF[money.HalfUp], b.id(c, "sum-rounded"), lang.S("sum of the parts, to six decimals"), code, q, b.one(), b.stepNode(Step{Size: meteredStep}, code))
	q = b.multiplied(c, q, code, h)
	l := b.newLine(c, 0, c.label(), q, code, b.one(), "")
	l.At, l.How = c.Fixed.Parts[0].Price.Pos, h.lines
	return []Line{l}
}

// classOf finds the class that the energy of the bill reaches, counted from 1.
func (b *pricing) classOf(c *charge, classes []Block, h *sentences) int {
	marks := make([]source.At[Amount], len(classes))
	for i := range classes {
		marks[i] = classes[i].UpTo
	}
	return b.class(c, marks, h)
}

func (b *pricing) class(c *charge, marks []source.At[Amount], h *sentences) int {
	lang := b.o.Words
	e := b.toBilled(b.meter(b.i, Metered{What: say.Key("energy"), Slots: b.t.All()}), "kWh", Step{Size: meteredStep}, b.id(c, "class-energy"), lang.S("energy of the bill"))
	months := b.billMonths()
	for i, m := range marks {
		if i == len(marks)-1 {
			break
		}
		if edge := m.Value.Value.Mul(months.Decimal); e.LessThanOrEqual(edge) {
			h.F("class up to %s: %s kWh", m.Text, show(e))
			return i + 1
		}
	}
	h.F("highest class: %s kWh", show(e))
	return len(marks)
}

// billMonths is how many months the whole bill has.
func (b *pricing) billMonths() val {
	lang := b.o.Words
	n := b.t.counted(b.period, b.period, "month")
	return b.trail.stated(node{id: ident{period: b.i, charge: -1, word: "months-of-bill"}, label: lang.S(timeLabels["month"]), unit: "months", v: n, typed: b.period.String()})
}

// time gives the days, months, years or bills of the part of the bill in which
// a charge holds.
func (b *pricing) time(c *charge, over string, h *sentences) (val, string) {
	lang := b.o.Words
	unit := over + "s"
	s := &b.spans[c.index]
	n := b.t.counted(s.Period, b.period, over)
	if m := b.t.Month.Value; m.Multiplied && over != "bill" {
		n = n.DivRound(calendarMonths(b.period), timePlaces)
	}
	node := node{id: ident{period: b.i, charge: -1, word: unit}, label: lang.S(timeLabels[over]), unit: unit, v: n, typed: b.period.String()}
	switch {
	case s.in < s.Days():
		node.v = n.Mul(decimal.New(int64(s.in), 0).DivRound(decimal.New(int64(s.Days()), 0), 2*timePlaces)).Round(timePlaces)
		node.id.charge, node.label = c.index, lang.S(seasonLabels[unit])
		h.F("%d of the %d days of %s are in %s: %s", s.in, s.Days(), s.Period.In(lang), listIn(lang, c.seasons), pluralIn(lang, node.v, unit))
	case !s.whole:
		node.id.charge, node.label, node.typed = c.index, lang.S(partLabels[unit]), s.Period.String()
		h.F("%s: %s", s.Period.In(lang), count{n, unit, lang})
	default:
		h.F("%s: %s", b.period.In(lang), count{n, unit, lang})
	}
	return b.trail.stated(node), unit
}

var timeLabels = map[string]string{"day": say.Key("days of the bill"), "month": say.Key("months of the bill"), "year": say.Key("years of the bill"), "bill": say.Key("bills")}

// partLabels are for a part of a bill, and for its days in season.
var (
	partLabels   = map[string]string{"days": say.Key("days of a part of the bill"), "months": say.Key("months of a part of the bill"), "years": say.Key("years of a part of the bill"), "bills": say.Key("bills of a part of the bill")}
	seasonLabels = map[string]string{"days": say.Key("days of the bill in season"), "months": say.Key("months of the bill in season"), "years": say.Key("years of the bill in season"), "bills": say.Key("bills of the bill in season")}
)

func singular(unit string) string { return unit[:len(unit)-1] }

// count prints a time when it is printed.
type count struct {
	n    decimal.Decimal
	unit string
	lang *say.Language
}

func (c count) String() string { return pluralIn(c.lang, c.n, c.unit) }
