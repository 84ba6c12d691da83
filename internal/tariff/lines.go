package tariff

import (
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/money"
)

// words collects the sentences of a line.
func (b *pricing) words() *sentences { return &sentences{lang: b.o.Words, off: b.o.Brief} }

// F words something, unless nobody wants to know.
func (p *pricer) F(format string, args ...any) string {
	if p.o.Brief {
		return ""
	}
	return p.o.Words.F(format, args...)
}

func (b *pricing) id(c *charge, word string) ident {
	return ident{period: b.i, charge: c.index, word: word}
}

// name gives the name of a period when it is wanted.
func (p *pricer) name(i int) func() string {
	return func() string {
		if p.o.Brief {
			return ""
		}
		return p.periods[i].In(p.o.Words)
	}
}

// nameBefore names a period for the same months of the year before.
func (p *pricer) nameBefore(i int) func() string {
	lang := p.o.Words
	return func() string {
		if p.o.Brief {
			return ""
		}
		return lang.F("%s, taken for the year before", p.periods[i].In(lang))
	}
}

// newLine multiplies a quantity by a price and rounds once.
func (b *pricing) newLine(c *charge, part int, label string, q val, unit string, price val, priceUnit string) Line {
	lang := b.o.Words
	l := Line{ID: c.ID.Value, Part: part, Label: label, Kind: c.kind, Unit: unit, PriceUnit: priceUnit, Note: c.Note, Rounding: b.t.lineRounding(c)}
	step := b.trail.stated(node{id: ident{period: inFile, charge: -1, word: b.t.roundingWord(c, l.Rounding)}, label: lang.S("rounding of an amount"), unit: b.t.Currency.Value.Code, v: l.Rounding.Size, pos: l.Rounding.Pos, typed: l.Rounding.Text})
	id := ident{period: b.i, charge: c.index, part: part, word: "amount"}
	if c.index < 0 {
		id = ident{period: b.i, charge: -1, word: c.ID.Value + ".amount"}
	}
	a := b.trail.apply(amountF[l.Rounding.Way], id, label, b.t.Currency.Value.Code, q, price, step)
	l.Quantity, l.Price, l.Amount = q.Decimal, price.Decimal, a.Decimal
	l.quantityAt, l.priceAt, l.amountAt = q.at, price.at, a.at
	l.At, l.Typed = b.trail.nodes[price.at].pos, b.trail.nodes[price.at].typed
	if !l.At.IsSet() {
		l.At = c.Pos
	}
	return l
}

// roundingWord names the rounding of amounts in the trail.
func (t *Tariff) roundingWord(c *charge, s Step) string {
	if c.index >= 0 && !c.Round.IsSet() {
		return t.lineWord
	}
	return "line-rounding." + s.Size.String()
}

// constant puts a number of a charge in the tariff's file into the trail once.
func (p *pricer) constant(c *charge, word, label, unit string, v decimal.Decimal, at Step) val {
	return p.constantN(c, word, 0, label, unit, v, at)
}

func (p *pricer) constantN(c *charge, word string, n int, label, unit string, v decimal.Decimal, at Step) val {
	return p.trail.stated(node{id: ident{period: inFile, charge: c.index, word: word, n: n}, label: label, unit: unit, v: v, pos: at.Pos, typed: at.Text})
}

// constantRaw puts a number into the trail under a whole name.
func (p *pricer) constantRaw(name, label, unit string, v decimal.Decimal, at Step) val {
	return p.trail.stated(node{id: ident{period: bare, charge: -1, word: name}, label: label, unit: unit, v: v, pos: at.Pos, typed: at.Text})
}

func (p *pricer) one() val {
	lang := p.o.Words
	if p.oneAt.IsZero() {
		p.oneAt = p.trail.stated(node{id: ident{period: inFile, charge: -1, word: "one"}, label: lang.S("one"), unit: "1", v: one})
	}
	return p.oneAt
}

func (p *pricer) none() val {
	lang := p.o.Words
	if p.noneAt == (val{}) {
		p.noneAt = p.trail.stated(node{id: ident{period: inFile, charge: -1, word: "none"}, label: lang.S("nothing"), unit: "1"})
	}
	return p.noneAt
}

// stepNode puts a rounding of a quantity into the trail.
func (p *pricer) stepNode(s Step, unit string) val {
	lang := p.o.Words
	if s.Size.Equal(meteredStep) {
		return p.trail.stated(node{id: ident{period: inFile, charge: -1, word: "dust"}, label: lang.S("rounding of a metered quantity"), unit: "1", v: meteredStep})
	}
	name := "tariff.step.default"
	if !s.Size.Equal(defaultStep) {
		name = "tariff.step." + strings.ToLower(unit) + "." + s.Size.String()
	}
	return p.constantRaw(name, lang.S("rounding of a quantity"), unit, s.Size, s)
}

// stepOf puts a rounding of a charge's own into the trail.
func (p *pricer) stepOf(c *charge, s Step, word string) val {
	lang := p.o.Words
	return p.constant(c, word, lang.S("rounding"), "1", s.Size, s)
}

func (p *pricer) priceOf(c *charge, part int, price Price) val {
	lang := p.o.Words
	id := ident{period: inFile, charge: c.index, word: "price", n: part}
	if i, ok := p.trail.known[id]; ok {
		return val{p.trail.nodes[i].v, i}
	}
	return p.trail.stated(node{id: id, label: lang.F("price of %s", c.label()), unit: p.t.Currency.Value.Code + price.Per.String(), v: price.Amount, pos: price.Pos, typed: price.Text})
}

// lineRounding is the rounding of a charge's amounts.
func (t *Tariff) lineRounding(c *charge) Step {
	if c.Round.IsSet() {
		return c.Round
	}
	if t.Rounding.Line.IsSet() {
		return t.Rounding.Line
	}
	return Step{Size: decimal.New(1, -t.Currency.Value.Places), Way: money.HalfUp}
}

// plausible notes energy that cannot have been drawn at the highest demand.
func (b *pricing) plausible() {
	lang := b.o.Words
	e, ok := b.measured[measureKey{b.i, Metered{What: "energy", Slots: b.t.All()}}]
	if !ok {
		return
	}
	hours := decimal.New(int64(b.period.Days())*24, 0)
	for i := range b.t.charges {
		c := &b.t.charges[i]
		if c.kind != KindDemand || c.sel != b.t.All() || c.unit == string(Kvar) {
			continue
		}
		m := Metered{What: "demand", Slots: c.sel, Unit: DemandUnit(c.unit), Window: c.Demand.Window.Value.Minutes}
		d, ok := b.measured[measureKey{b.i, m}]
		if most := d.Mul(hours); ok && e.GreaterThan(most.Add(d.Decimal)) { // an hour more where clocks go back
			b.note(lang.F("%s kWh cannot be drawn at %s %s: %s h make %s at most", kiloOf(e), kiloOf(d), c.unit, hours, shown{most.Shift(-3)}))
			return
		}
	}
}

// closing adds the lines that close a bill: the months of a mean month, what
// was carried from the last bill, the rounding of the total.
func (b *pricing) closing(bill *Bill) {
	lang := b.o.Words
	code := b.t.Currency.Value.Code
	if n := calendarMonths(b.period); b.t.Month.Value.Multiplied && !n.Equal(one) && len(bill.Lines) > 0 {
		sum := b.sum(bill.Lines, ident{period: b.i, charge: -1, word: "one-month"}, lang.S("bill of the mean month"))
		more := b.trail.apply(lessF, ident{period: b.i, charge: -1, word: "more-months"}, lang.S("further months"), "months", b.monthsOfBill(), b.one())
		c := b.closingCharge("months", KindRounding)
		q := b.trail.apply(timesF, ident{period: b.i, charge: -1, word: "months.quantity"}, lang.S("further months"), code, sum, more)
		l := b.newLine(c, 0, lang.F("%s months, each like the mean one", n.String()), q, code, b.one(), "")
		l.At = b.t.Month.Pos
		l.How = b.sentence(b.F("%s for each of %s months: %s more", b.amount(sum.Decimal), n, more))
		bill.Lines = append(bill.Lines, l)
	}
	if b.t.Rounding.Carry && !b.tracing && !b.carried.IsZero() {
		v := b.trail.stated(node{id: ident{period: b.i, charge: -1, word: "carried.quantity"}, label: lang.S("carried from the last bill"), unit: code, v: b.carried})
		l := b.newLine(b.closingCharge("carried", KindRounding), 0, lang.S("Carried from the last bill"), v, code, b.one(), "")
		l.At = b.t.Rounding.Total.Pos
		bill.Lines = append(bill.Lines, l)
	}
	b.carried = decimal.Zero
	if extra, ok := b.roundTotal(bill.Lines); ok {
		bill.Lines = append(bill.Lines, extra)
		b.carried = extra.Amount.Neg()
	}
}

func (b *pricing) sentence(text string) []string {
	h := b.words()
	h.raw(text)
	return h.lines
}

// closingCharge stands for a line that no charge of the file makes.
func (b *pricing) closingCharge(id string, kind Kind) *charge {
	c := &charge{Charge: &Charge{}, kind: kind, index: -1}
	c.ID.Value, c.Pos = id, b.t.Rounding.Total.Pos
	c.Round = b.t.lineRounding(c)
	return c
}

// roundTotal brings the bill to the tariff's rounding of totals by a line of
// its own.
func (b *pricing) roundTotal(lines []Line) (Line, bool) {
	lang := b.o.Words
	step := b.t.Rounding.Total
	if !step.IsSet() || len(lines) == 0 || b.tracing && b.t.Rounding.Carry {
		return Line{}, false
	}
	code := b.t.Currency.Value.Code
	at := func(word string) ident { return ident{period: b.i, charge: -1, word: word} }
	sum := b.sum(lines, at("before-rounding"), lang.S("bill before rounding"))
	size := b.constantRaw("tariff.total-rounding", lang.S("rounding of the bill"), code, step.Size, step)
	total := b.trail.apply(roundingF[step.Way], at("rounded"), lang.S("bill, rounded"), code, sum, b.one(), size)
	odd := b.trail.apply(lessF, at("rounding.quantity"), lang.S("rounding of the bill"), code, total, sum)
	if odd.IsZero() && !b.tracing {
		return Line{}, false
	}
	c := b.closingCharge("rounding", KindRounding)
	c.Round = Step{Size: decimal.New(1, odd.Exponent()), Pos: step.Pos}
	if b.tracing {
		c.Round.Size = meteredStep
	}
	l := b.newLine(c, 0, lang.F("Rounding to %s %s", step.Size.String(), code), odd, code, b.one(), "")
	l.At = step.Pos
	l.How = b.sentence(b.F("%s brought to %s", b.amount(sum.Decimal), b.amount(total.Decimal)))
	return l, true
}

// amount prints an amount with the currency's decimals, or more where it has more.
func (p *pricer) amount(d decimal.Decimal) string {
	if p.o.Brief {
		return ""
	}
	return atLeastPlaces(d, p.t.Currency.Value.Places)
}

// sum adds the amounts of lines.
func (p *pricer) sum(lines []Line, id ident, label string) val {
	lang := p.o.Words
	code := p.t.Currency.Value.Code
	args := make([]val, len(lines))
	for i, l := range lines {
		args[i] = val{l.Amount, l.amountAt}
	}
	if len(args) == 0 {
		args = []val{p.constantRaw("tariff.nothing", lang.S("nothing"), code, decimal.Zero, Step{})}
	}
	return p.trail.apply(totalF, id, label, code, args...)
}
