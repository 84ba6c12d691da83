package tariff

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/say"
)

// Kind is the form of a charge. Kinds are in the order in which "all" counts
// them: a charge on all lines falls on the lines of the kinds before its own.
type Kind string

// The kinds.
const (
	KindFixed       Kind = "fixed"
	KindEnergy      Kind = "energy"
	KindReactive    Kind = "reactive"
	KindDemand      Kind = "demand"
	KindPowerFactor Kind = "power-factor"
	KindPercent     Kind = "percent"
	KindSubtotal    Kind = "subtotal" // the rounding of some lines
	KindMinimum     Kind = "minimum"
	KindMaximum     Kind = "maximum"
	KindTax         Kind = "tax"
	KindRounding    Kind = "rounding"
)

// In says a kind.
func (k Kind) In(lang *say.Language) string { return lang.S(kindWords[k]) }

var kindWords = map[Kind]string{
	KindFixed: say.Key("fixed"), KindEnergy: say.Key("energy"), KindReactive: say.Key("reactive"), KindDemand: say.Key("demand"),
	KindPowerFactor: say.Key("power-factor"), KindPercent: say.Key("percent"), KindSubtotal: say.Key("subtotal"), KindMinimum: say.Key("minimum"),
	KindMaximum: say.Key("maximum"), KindTax: say.Key("tax"), KindRounding: say.Key("rounding"),
}

// rank orders the kinds for "all".
func (k Kind) rank() int {
	switch k {
	case KindPowerFactor:
		return 1
	case KindPercent:
		return 2
	case KindSubtotal:
		return 3
	case KindMinimum, KindMaximum:
		return 4
	case KindTax:
		return 5
	case KindRounding:
		return 6
	}
	return 0
}

// Line is one line of a bill: amount = quantity x price, rounded once.
type Line struct {
	ID    string // the charge's id
	Part  int    // 1, 2, … for the blocks of one charge; 0 for a charge of one line
	Label string
	Kind  Kind

	Quantity  decimal.Decimal // in Unit; for a share of other lines, their sum in the currency
	Unit      string          // "kWh", "kVA", "kVA·day", "days", "months", or the currency's code
	Price     decimal.Decimal // currency per Unit; for a share of other lines, the fraction
	PriceUnit string          // "/kWh", "/kVA/day", "of <currency>" for a fraction, "" for an amount that needs no price
	Typed     string          // the price as typed in the tariff's file; "" for a rate that was worked out
	Amount    decimal.Decimal // in the currency
	Rounding  Step            // how Amount was rounded

	At   diag.Pos // where the price stands in the tariff's file
	How  []string // how the quantity was obtained, in sentences
	Note string   // the charge's own note, from the file

	edition int    // of the charge, where its price changes
	within  Period // the part of the bill in which it holds

	quantityAt, priceAt, amountAt int // places in the trail
}

// Key tells the lines of a bill apart: the charge's id, with the number of the
// block where it has several.
func (l Line) Key() string {
	if l.Part == 0 {
		return l.ID
	}
	return fmt.Sprintf("%s.%d", l.ID, l.Part)
}

// QuantityText prints quantity and unit: "14000 kWh", "1 month", "2132.20 EUR".
func (l Line) QuantityText() string {
	if l.PriceUnit == "" || l.PriceUnit == shareOf+l.Unit {
		return atLeastPlaces(l.Quantity, -l.Rounding.Size.Exponent()) + " " + l.Unit
	}
	return plural(l.Quantity, l.Unit)
}

// atLeastPlaces prints a number with so many decimals, and more where it has
// more that are not zero.
func atLeastPlaces(d decimal.Decimal, places int32) string {
	s := d.StringFixed(max(-d.Exponent(), places))
	least := len(s)
	if point := strings.IndexByte(s, '.'); point >= 0 {
		least = point + 1 + int(max(places, 0))
		if places <= 0 {
			least = point
		}
	}
	for len(s) > least && s[len(s)-1] == '0' {
		s = s[:len(s)-1]
	}
	return strings.TrimSuffix(s, ".")
}

// pluralIn says a quantity with its unit: "1 month", "2 months", "5 kWh".
func pluralIn(lang *say.Language, n decimal.Decimal, unit string) string {
	form := 2
	if n.Equal(one) {
		form = 1
	}
	switch unit {
	case "days":
		return lang.N(form, "%s day", "%s days", n)
	case "months":
		return lang.N(form, "%s month", "%s months", n)
	case "years":
		return lang.N(form, "%s year", "%s years", n)
	case "bills":
		return lang.N(form, "%s bill", "%s bills", n)
	}
	return n.String() + " " + unit
}

// plural takes the s off a time of one: "1 month", "2 months", "5 kWh".
func plural(n decimal.Decimal, unit string) string {
	if n.Equal(one) && slices.Contains([]string{"days", "months", "years"}, unit) {
		unit = singular(unit)
	}
	return n.String() + " " + unit
}

// PriceText prints the price as it is typed; one that was worked out with its
// unit, or as a percentage.
func (l Line) PriceText() string {
	if l.Typed != "" {
		return l.Typed
	}
	if l.PriceUnit == shareOf+l.Unit {
		return percent(l.Price)
	}
	return l.Price.String() + " " + l.PriceUnit
}

const shareOf = "of "

// Bill is a billing period, priced.
type Bill struct {
	Period   Period
	Currency money.Currency
	Lines    []Line // in the order of the tariff's file
	Total    decimal.Decimal
	Notes    []string // what limits the worth of the bill

	trail *trail
}

// Line finds a line by its key.
func (b *Bill) Line(key string) (Line, bool) {
	for _, l := range b.Lines {
		if l.Key() == key {
			return l, true
		}
	}
	return Line{}, false
}

// Check holds the bill against itself: each amount is quantity times price,
// rounded once, and the total is the exact sum of the lines.
func (b *Bill) Check() error {
	sum := decimal.Zero
	for _, l := range b.Lines {
		if want := roundTo(l.Rounding.Way, l.Quantity.Mul(l.Price), l.Rounding.Size); !want.Equal(l.Amount) {
			return fmt.Errorf("line %s: %s x %s is %s, not %s", l.Key(), l.Quantity, l.Price, want, l.Amount)
		}
		sum = sum.Add(l.Amount)
	}
	if !sum.Equal(b.Total) {
		return fmt.Errorf("the lines sum to %s, the total is %s", sum, b.Total)
	}
	return nil
}
