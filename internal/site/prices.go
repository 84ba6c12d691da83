package site

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/source"
)

// Price is an entry of the provider's price list.
type Price struct {
	source.Where
	ID     source.At[string]      `key:"id" need:"yes" doc:"Short name that measures refer to" example:"capacitor-bank"`
	Name   source.At[string]      `key:"name" need:"yes" doc:"What is delivered, in words" example:"automatic capacitor bank with reactors, in service"`
	Each   source.At[money.Range] `key:"each" need:"yes" doc:"Price of each unit, with its currency" example:"48..55..70 EUR"`
	Unit   source.At[string]      `key:"unit" need:"yes" doc:"What is counted" example:"kvar"`
	Fixed  source.At[money.Range] `key:"fixed" doc:"What comes on top once, whatever the quantity" default:"nothing" example:"600..800..1100 EUR"`
	Source source.At[string]      `key:"source" need:"yes" doc:"What the price rests on, with its date" example:"own jobs of 2029 to 2031"`
}

// amountOf reads how much of a price an item asks for: a number and the price's
// unit.
func amountOf(i Item, p Price) (decimal.Decimal, error) {
	if !i.Quantity.IsSet() {
		return decimal.NewFromInt(1), nil
	}
	number, unit, _ := strings.Cut(strings.TrimSpace(i.Quantity.Value), " ")
	expected := "a quantity in " + p.Unit.Value + ", such as 50 " + p.Unit.Value
	d, err := money.ParseDecimal(number)
	if err != nil || d.IsNegative() {
		return d, &diag.Problem{What: fmt.Sprintf("%q is not a quantity", i.Quantity.Value), Expected: expected}
	}
	if strings.TrimSpace(unit) != p.Unit.Value {
		return d, &diag.Problem{What: fmt.Sprintf("the price %q is for %s, the quantity is %q", p.ID.Value, p.Unit.Value, i.Quantity.Value), Expected: expected}
	}
	return d, nil
}

// CostLine is an item of a measure's cost with its price.
type CostLine struct {
	Price    Price
	Quantity decimal.Decimal
	Amount   money.Range
}

// Price finds an entry of the price list.
func (p Provider) Price(id string) (Price, bool) {
	for _, x := range p.Prices {
		if x.ID.Value == id {
			return x, true
		}
	}
	return Price{}, false
}

// CostOf gives what a measure costs, and the lines that it is made of where it
// comes from the price list. It is false when the measure says nothing of its
// cost.
func (p Provider) CostOf(m Measure) (money.Range, []CostLine, bool) { return p.cost(m.Cost, m.Items) }

// CostOfPart is CostOf of a part that is replaced, each time.
func (p Provider) CostOfPart(r Replacement) (money.Range, []CostLine, bool) {
	return p.cost(r.Cost, r.Items)
}

func (p Provider) cost(typed source.At[money.Range], items []Item) (money.Range, []CostLine, bool) {
	if typed.IsSet() {
		return typed.Value, nil, true
	}
	var sum money.Range
	var lines []CostLine
	for _, i := range items {
		price, ok := p.Price(i.Price.Value)
		if !ok {
			return sum, nil, false
		}
		n, err := amountOf(i, price)
		if err != nil {
			return sum, nil, false
		}
		amount := price.Each.Value.Times(n)
		if price.Fixed.IsSet() {
			amount = amount.Plus(price.Fixed.Value)
		}
		lines = append(lines, CostLine{price, n, amount})
		sum = sum.Plus(amount)
		sum.Currency = amount.Currency
	}
	return sum, lines, len(lines) > 0
}

func (c *checker) prices() {
	unique(c.faults, "price", c.rec.Provider.Prices, func(p Price) source.At[string] { return p.ID })
	for _, p := range c.rec.Provider.Prices {
		c.id(p.ID)
		for _, r := range []source.At[money.Range]{p.Each, p.Fixed} {
			if r.Good().IsSet() && r.Value.Low.IsNegative() {
				c.faults.At(r.Pos, r.Text+" is negative", "a price of zero or more")
			}
		}
		if p.Each.Good().IsSet() && p.Fixed.Good().IsSet() && p.Each.Value.Currency != p.Fixed.Value.Currency {
			c.faults.At(p.Fixed.Pos, fmt.Sprintf("the price is in %s, what comes on top in %s", p.Each.Value.Currency, p.Fixed.Value.Currency), "one currency")
		}
	}
}
