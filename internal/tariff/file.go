// Package tariff reads a tariff as the supplier's sheet states it and prices
// billing periods with it, line by line.
//
// A charge is a quantity times a price: when, over what, limited how. Metered
// quantities come from whoever implements Use; each first becomes the exact
// decimal quantity that the tariff bills, then decimal times decimal, one named
// rounding, an amount. No binary floating-point number meets a price.
package tariff

import (
	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
	"auditgen/internal/money"
	"auditgen/internal/source"
)

// File is a tariff as it is typed.
type File struct {
	source.Where
	Name         source.At[string]                           `key:"tariff" need:"yes" doc:"name of the tariff, as on the price sheet" example:"Medium supply, time of use"`
	Supplier     string                                      `key:"supplier" doc:"who sells under it" example:"Town supply"`
	Currency     source.At[money.Currency]                   `key:"currency" need:"yes" doc:"ISO 4217 code; every price of the file is in it" example:"EUR"`
	Source       string                                      `key:"source" doc:"where the prices stand: document, edition, page" example:"price sheet of 1 January 2031, sheet MS-2"`
	From         source.At[civil.Date]                       `key:"from" need:"yes" doc:"first day on which the prices are in force" example:"2031-01-01"`
	To           source.At[civil.Date]                       `key:"to" doc:"last day on which they are in force" default:"open" example:"2031-12-31"`
	Seasons      source.Map[source.OneOrMany[civil.Season]]  `key:"seasons" doc:"parts of the year by name, first to last day; a season may have several parts" example:"{winter: 1 Nov to 31 Mar, summer: 1 Apr to 31 Oct}"`
	Holidays     source.OneOrMany[civil.Holiday]             `key:"holidays" doc:"days that the tariff calls holidays: dates, days of the year, counted weekdays, days from Easter" example:"[1 Jan, last Mon of May, Easter + 1]"`
	HolidaysAs   source.Map[source.OneOrMany[civil.Holiday]] `key:"holidays-as" doc:"holidays that count as a day of the week, by that day" example:"{Sun: [1 Jan, 25 Dec], Sat: 26 Dec}"`
	Periods      source.Map[PeriodRules]                     `key:"periods" doc:"time periods by name; together they cover every hour once" example:"{day: {days: Mon-Fri, hours: 07:00-22:00}, night: otherwise}"`
	PeriodSets   source.Map[source.Map[PeriodRules]]         `key:"period-sets" doc:"further sets of periods over the same hours, such as those of the network" example:"{network: {red: {days: Mon-Fri, hours: 16:00-19:00}, green: otherwise}}"`
	Month        source.At[BillingMonth]                     `key:"billing-month" doc:"what a month is when a bill is not a calendar month: calendar, 30 days, 365/12 days, 30 days to 0.01, 30 days outside 25 to 35 days, or one month, multiplied" default:"calendar" example:"30 days"`
	Year         source.At[BillingYear]                      `key:"billing-year" doc:"what a year is to a price per year: 365 days or 12 months" default:"365 days" example:"12 months"`
	Change       source.At[ChangeRule]                       `key:"price-change" doc:"how a bill is parted where a price changes within it: by days, or by date: what was used on either side" default:"by days" example:"by date"`
	SeasonChange source.At[SeasonRule]                       `key:"season-change" doc:"how a bill in two seasons is priced: by date: what was used in each; by days; by reading: the whole bill in the season of its last day" default:"by date" example:"by days"`
	Versions     []Version                                   `key:"versions" doc:"later prices, in rising order of their first days"`
	TaxNote      string                                      `key:"tax-note" doc:"why no charge is a tax, if none is" example:"prices include value added tax"`
	Charges      []Charge                                    `key:"charges" need:"yes" doc:"what is charged, in the order in which the bill prints it"`
	Rounding     Rounding                                    `key:"rounding" doc:"how quantities and amounts are rounded"`
	ClockNote    string                                      `key:"clock" doc:"what the sheet says of clock changes; hours are those of the site's local clock" example:"local time, summer time included"`
}

// Rounding is how quantities and amounts are brought to their last digit.
type Rounding struct {
	Line     Step `key:"line" doc:"each line's amount" unit:"currency" default:"the currency's smallest coin, half up" example:"0.01 half up"`
	Total    Step `key:"total" doc:"the bill's total; the difference becomes a line" unit:"currency" default:"not rounded" example:"1 half up"`
	Carry    bool `key:"carry" doc:"yes: what the rounding of the total leaves is carried to the next bill" default:"no" example:"yes"`
	Edges    Step `key:"edges" doc:"edges of energy blocks once they are scaled to the bill" unit:"kWh" default:"0.001 kWh" example:"1 kWh up"`
	Energy   Step `key:"energy" doc:"billed active energy" unit:"kWh" default:"0.001 kWh" example:"1 kWh"`
	Reactive Step `key:"reactive" doc:"billed reactive energy" unit:"kvarh" default:"0.001 kvarh" example:"1 kvarh"`
	Demand   Step `key:"demand" doc:"billed demand" unit:"kW, kVA or kvar" default:"0.001 of the price's unit" example:"0.1 kVA"`
}

// Charge is one charge of the tariff. It has exactly one of the forms.
type Charge struct {
	source.Where
	ID          source.At[string]           `key:"id" need:"yes" doc:"short name by which other charges refer to it: small letters, digits, hyphens" example:"day-units"`
	Label       string                      `key:"label" doc:"the words that the bill prints" default:"the id" example:"Energy, day"`
	Fixed       *Fixed                      `key:"fixed" doc:"a fixed charge; short form: the price" example:"1.92 /day"`
	Energy      *Energy                     `key:"energy" doc:"a charge on active energy; short form: the price" example:"{period: day, price: 0.1523 /kWh}"`
	Reactive    *Reactive                   `key:"reactive" doc:"a charge on reactive energy" example:"{price: 0.0097 /kvarh, above: 50 % of kWh}"`
	Demand      *Demand                     `key:"demand" doc:"a charge on the highest mean power" example:"{price: 7.80 /kVA, window: 15 min}"`
	PowerFactor *PowerFactor                `key:"power-factor" doc:"a surcharge or bonus for power factor on named lines"`
	Subtotal    *Subtotal                   `key:"rounding" doc:"brings the sum of named lines to a step by a line of its own" example:"{of: all, to: 1 cut}"`
	Percent     *Share                      `key:"percent" doc:"a percentage of named lines; a negative rate is a discount" example:"{rate: 4.5 %, of: [day-units, night-units]}"`
	Minimum     *Minimum                    `key:"minimum" doc:"a minimum that the charges are brought up to; short form: the price" example:"600 /month"`
	Maximum     *Maximum                    `key:"maximum" doc:"a ceiling that the named lines are brought down to"`
	Tax         *Share                      `key:"tax" doc:"a tax on named lines" example:"{rate: 21 %, of: all}"`
	From        source.At[civil.Date]       `key:"from" doc:"first day on which the charge holds" default:"that of the file" example:"2031-07-01"`
	To          source.At[civil.Date]       `key:"to" doc:"last day on which the charge holds" default:"that of the file" example:"2031-06-30"`
	If          source.OneOrMany[Condition] `key:"if" doc:"the charge is made only on bills for which all of this holds: energy, demand, power factor, agreed, amount or hours of use, up to, above, below or from a limit" example:"energy above 600 kWh"`
	Times       source.At[Number]           `key:"times" doc:"what the quantity is multiplied by" default:"1" example:"2"`
	Repeat      *Repeat                     `key:"repeat" doc:"the quantity is multiplied by the number of the event: 1 the first time, 2 the second"`
	Unused      source.At[money.Percent]    `key:"unused" doc:"share of the charge in a bill without any energy" unit:"%" default:"100 %" example:"50 %"`
	Round       Step                        `key:"round" doc:"rounding of this charge's amount" unit:"currency" default:"that of rounding: line" example:"0.01 cut"`
	Note        string                      `key:"note" doc:"words for whoever checks the bill" example:"clause 4.2 of the sheet"`
}

// Version changes prices from a day on. What it does not name stays.
type Version struct {
	source.Where
	From   source.At[civil.Date] `key:"from" need:"yes" doc:"first day of the new prices" example:"2031-07-01"`
	To     source.At[civil.Date] `key:"to" doc:"last day; the next version must begin on the day after" default:"until the next version" example:"2031-12-31"`
	Source string                `key:"source" doc:"where these prices stand" example:"price sheet of 1 July 2031"`
	Prices source.Map[newPrices] `key:"prices" need:"yes" doc:"new prices or percentages by the ids of their charges; a list for blocks, in their order" example:"{day-units: 0.1623 /kWh, vat: 22 %}"`
}

// Number is an exact plain number.
type Number struct{ decimal.Decimal }

// UnmarshalText reads a number.
func (n *Number) UnmarshalText(text []byte) (err error) {
	n.Decimal, err = money.ParseDecimal(string(text))
	return err
}
