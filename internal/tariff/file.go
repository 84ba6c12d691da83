// Package tariff reads a tariff as the supplier's sheet states it and prices
// billing periods with it, line by line.
//
// A charge is a quantity times a price: when, over what, limited how. Metered
// quantities come from whoever implements Use; each first becomes the exact
// decimal quantity that the tariff bills, then decimal times decimal, one named
// rounding, an amount. No binary floating-point number meets a price.
package tariff

import (
	"fmt"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/source"
)

// File is a tariff as it is typed.
type File struct {
	source.Where
	Name       source.At[string]                          `key:"tariff" need:"yes" doc:"name of the tariff, as on the price sheet" example:"Medium supply, time of use"`
	Supplier   string                                     `key:"supplier" doc:"who sells under it" example:"Town supply"`
	Currency   source.At[money.Currency]                  `key:"currency" need:"yes" doc:"ISO 4217 code; every price of the file is in it" example:"EUR"`
	Source     string                                     `key:"source" doc:"where the prices stand: document, edition, page" example:"price sheet of 1 January 2031, sheet MS-2"`
	From       source.At[civil.Date]                      `key:"from" need:"yes" doc:"first day on which the prices are in force" example:"2031-01-01"`
	To         source.At[civil.Date]                      `key:"to" doc:"last day on which they are in force" default:"open" example:"2031-12-31"`
	Seasons    source.Map[source.OneOrMany[civil.Season]] `key:"seasons" doc:"parts of the year by name, first to last day; a season may have several parts" example:"{winter: 1 Nov to 31 Mar, summer: 1 Apr to 31 Oct}"`
	Holidays   source.OneOrMany[civil.Holiday]            `key:"holidays" doc:"days that the tariff calls holidays: dates, days of the year, counted weekdays, days from Easter" example:"[1 Jan, last Mon of May, Easter + 1]"`
	Periods    source.Map[PeriodRules]                    `key:"periods" doc:"time periods by name; together they cover every hour once" example:"{day: {days: Mon-Fri, hours: 07:00-22:00}, night: otherwise}"`
	PeriodSets source.Map[source.Map[PeriodRules]]        `key:"period-sets" doc:"further sets of periods over the same hours, such as those of the network" example:"{network: {red: {days: Mon-Fri, hours: 16:00-19:00}, green: otherwise}}"`
	Month      source.At[BillingMonth]                    `key:"billing-month" doc:"what a month is when a bill is not a calendar month: calendar, 30 days or 365/12 days" default:"calendar" example:"30 days"`
	TaxNote    string                                     `key:"tax-note" doc:"why no charge is a tax, if none is" example:"prices include value added tax"`
	Charges    []Charge                                   `key:"charges" need:"yes" doc:"what is charged, in the order in which the bill prints it"`
	Rounding   Rounding                                   `key:"rounding" doc:"how quantities and amounts are rounded"`
	ClockNote  string                                     `key:"clock" doc:"what the sheet says of clock changes; hours are those of the site's local clock" example:"local time, summer time included"`
}

// Rounding is how quantities and amounts are brought to their last digit.
type Rounding struct {
	Line     Step `key:"line" doc:"each line's amount" unit:"currency" default:"the currency's smallest coin, half up" example:"0.01 half up"`
	Total    Step `key:"total" doc:"the bill's total; the difference becomes a line" unit:"currency" default:"not rounded" example:"1 half up"`
	Energy   Step `key:"energy" doc:"billed active energy" unit:"kWh" default:"0.001 kWh" example:"1 kWh"`
	Reactive Step `key:"reactive" doc:"billed reactive energy" unit:"kvarh" default:"0.001 kvarh" example:"1 kvarh"`
	Demand   Step `key:"demand" doc:"billed demand" unit:"kW, kVA or kvar" default:"0.001 of the price's unit" example:"0.1 kVA"`
}

// BillingMonth is what a month is on a bill that does not run from a day of one
// month to the same day of another.
type BillingMonth int

// The billing months.
const (
	CalendarMonth BillingMonth = iota // each calendar month by its own days
	Month30                           // days / 30, also for a calendar month
	Month365by12                      // days / (365/12), also for a calendar month
)

var billingMonths = []string{"calendar", "30 days", "365/12 days"}

// UnmarshalText reads one of the words.
func (b *BillingMonth) UnmarshalText(text []byte) error {
	for i, w := range billingMonths {
		if w == string(text) {
			*b = BillingMonth(i)
			return nil
		}
	}
	return diag.OneOf("billing month", string(text), billingMonths)
}

// String gives the word that is typed.
func (b BillingMonth) String() string { return billingMonths[b] }

// Charge is one charge of the tariff. It has exactly one of the forms.
type Charge struct {
	source.Where
	ID          source.At[string] `key:"id" need:"yes" doc:"short name by which other charges refer to it: small letters, digits, hyphens" example:"day-units"`
	Label       string            `key:"label" doc:"the words that the bill prints" default:"the id" example:"Energy, day"`
	Fixed       *Fixed            `key:"fixed" doc:"a fixed charge; short form: the price" example:"1.92 /day"`
	Energy      *Energy           `key:"energy" doc:"a charge on active energy; short form: the price" example:"{period: day, price: 0.1523 /kWh}"`
	Reactive    *Reactive         `key:"reactive" doc:"a charge on reactive energy" example:"{price: 0.0097 /kvarh, above: 50 % of kWh}"`
	Demand      *Demand           `key:"demand" doc:"a charge on the highest mean power" example:"{price: 7.80 /kVA, window: 15 min}"`
	PowerFactor *PowerFactor      `key:"power-factor" doc:"a surcharge or bonus for power factor on named lines"`
	Percent     *Share            `key:"percent" doc:"a percentage of named lines; a negative rate is a discount" example:"{rate: 4.5 %, of: [day-units, night-units]}"`
	Minimum     *Minimum          `key:"minimum" doc:"a minimum that the charges are brought up to; short form: the price" example:"600 /month"`
	Tax         *Share            `key:"tax" doc:"a tax on named lines" example:"{rate: 21 %, of: all}"`
	Round       Step              `key:"round" doc:"rounding of this charge's amount" unit:"currency" default:"that of rounding: line" example:"0.01 cut"`
	Note        string            `key:"note" doc:"words for whoever checks the bill" example:"clause 4.2 of the sheet"`
}

// Fixed is a charge per day, month or year, alone or for each kW or kVA of a
// stated or agreed capacity.
type Fixed struct {
	source.Where
	Price  Price                    `key:"price" need:"yes" doc:"price" unit:"/day, /month, /year, or such as /kVA/month" example:"1.92 /day"`
	Of     Limit                    `key:"of" doc:"the capacity, when the price is per kW or kVA: an amount, or agreed for the site's agreed demand" example:"300 kVA"`
	Count  source.At[int]           `key:"count" doc:"how many: meters, points" default:"1" example:"2"`
	Season source.OneOrMany[string] `key:"season" doc:"only days in these seasons" default:"all year" example:"winter"`
}

// Energy is a charge on active energy: one price, or blocks.
type Energy struct {
	source.Where
	Price  Price                    `key:"price" doc:"price" unit:"/kWh or /MWh" example:"0.1523 /kWh"`
	Blocks []Block                  `key:"blocks" doc:"blocks in rising order; the last has no upper edge" example:"[{up-to: 5000 kWh, price: 0.20 /kWh}, {price: 0.15 /kWh}]"`
	Per    source.At[string]        `key:"per" doc:"what block edges are for: month, day, bill, or the id of a demand charge for hours of use (edges in kWh per billed kW or kVA)" default:"month" example:"day"`
	Whole  bool                     `key:"whole" doc:"yes: all energy is priced at the block that it reaches" default:"no" example:"yes"`
	Period source.OneOrMany[string] `key:"period" doc:"only these time periods" default:"all hours" example:"[day, peak]"`
	Season source.OneOrMany[string] `key:"season" doc:"only these seasons" default:"all year" example:"winter"`
	Losses source.At[money.Percent] `key:"losses" doc:"what is added to the metered energy for losses" unit:"%" default:"0 %" example:"3.76 %"`
	Round  Step                     `key:"round" doc:"rounding of the billed energy" unit:"kWh or MWh" default:"that of rounding: energy" example:"1 kWh"`
}

// Block is one block of a charge.
type Block struct {
	source.Where
	UpTo  source.At[Amount] `key:"up-to" doc:"upper edge, counted from zero; absent in the last block" unit:"that of the price" example:"5000 kWh"`
	Price Price             `key:"price" need:"yes" doc:"price within the block" example:"0.20 /kWh"`
}

// Reactive is a charge on reactive energy, all of it or beyond an allowance.
// Energy and reactive energy are netted over the bill.
type Reactive struct {
	source.Where
	Price  Price                    `key:"price" need:"yes" doc:"price" unit:"/kvarh" example:"0.0097 /kvarh"`
	Above  Limit                    `key:"above" doc:"what is free: a share of the active energy, or an amount" default:"nothing" example:"50 % of kWh"`
	UpTo   Limit                    `key:"up-to" doc:"where the charge ends" default:"no end" example:"75 % of kWh"`
	Period source.OneOrMany[string] `key:"period" doc:"only these time periods" default:"all hours" example:"day"`
	Season source.OneOrMany[string] `key:"season" doc:"only these seasons" default:"all year" example:"winter"`
	Round  Step                     `key:"round" doc:"rounding of the billed reactive energy" unit:"kvarh" default:"that of rounding: reactive" example:"1 kvarh"`
}

// Demand is a charge on the highest mean power of the bill.
type Demand struct {
	source.Where
	Price   Price                    `key:"price" doc:"price; /kVA is once a bill, /kVA/day and /kVA/month count the time" unit:"/kW, /kVA or /kvar, alone or with /day, /month, /year" example:"7.80 /kVA"`
	Blocks  []Block                  `key:"blocks" doc:"blocks in rising order; the last has no upper edge" example:"[{up-to: 500 kVA, price: 150 /kVA}, {price: 260 /kVA}]"`
	Window  source.At[Window]        `key:"window" need:"yes" doc:"time over which the meter averages, blocks from midnight" unit:"min" example:"15 min"`
	Period  source.OneOrMany[string] `key:"period" doc:"only these time periods" default:"all hours" example:"peak"`
	Season  source.OneOrMany[string] `key:"season" doc:"only these seasons" default:"all year" example:"winter"`
	Adjust  *Adjust                  `key:"power-factor" doc:"demand is raised for low power factor: demand x target / actual"`
	AtLeast Limits                   `key:"at-least" doc:"the billed demand is at least each of these: amounts, shares of the agreed demand, of another unit or period, of the highest of past months" example:"[50 kVA, 70 % of highest of 11 months]"`
	Above   Limit                    `key:"above" doc:"only what exceeds this is charged" default:"nothing is free" example:"50 kW"`
	Round   Step                     `key:"round" doc:"rounding of the billed demand" unit:"that of the price" default:"that of rounding: demand" example:"0.1 kVA"`
}

// Adjust raises a demand for low power factor: demand x target / actual.
type Adjust struct {
	source.Where
	Target source.At[Ratio]         `key:"target" need:"yes" doc:"power factor that demand is brought to" unit:"0 to 1" example:"0.95"`
	Below  source.At[Ratio]         `key:"below" doc:"power factor under which the rule applies" unit:"0 to 1" default:"the target" example:"0.93"`
	From   source.At[Amount]        `key:"from" doc:"demand from which the rule applies" unit:"that of the price" default:"any" example:"15 kW"`
	Cap    source.At[money.Percent] `key:"cap" doc:"the most by which the demand is raised" unit:"%" default:"no cap" example:"10 %"`
	Rule   FactorRule               `key:"measured" doc:"which power factor: average, from the bill's kWh and kvarh, or peak, highest kW over highest kVA" default:"average" example:"peak"`
	Round  Step                     `key:"round" doc:"rounding of the power factor" default:"0.0001" example:"0.001"`
}

// PowerFactor is a surcharge or bonus on named lines.
type PowerFactor struct {
	source.Where
	Of      source.OneOrMany[string] `key:"of" need:"yes" doc:"the lines it falls on: all, or their ids; all means the fixed, energy, reactive and demand lines" example:"[demand, day-units]"`
	Except  source.OneOrMany[string] `key:"except" doc:"lines that all does not mean" example:"[meter-rent]"`
	Rule    FactorRule               `key:"measured" doc:"which power factor: average, from the bill's kWh and kvarh, or peak, highest kW over highest kVA" default:"average" example:"average"`
	Window  source.At[Window]        `key:"window" doc:"averaging time of the demands, when measured: peak" unit:"min" default:"30 min" example:"15 min"`
	Period  source.OneOrMany[string] `key:"period" doc:"only these time periods" default:"all hours" example:"day"`
	Leading source.At[LeadingRule]   `key:"leading" doc:"a leading power factor is ignored (counts as 1) or charged like a lagging one" default:"ignored" example:"charged"`
	Round   Step                     `key:"round" doc:"rounding of the power factor before the rule" default:"0.01" example:"0.0001 cut"`
	Slopes  []Slope                  `key:"slopes" doc:"so much for each step of power factor" example:"[{below: 0.85, down-to: 0.75, add: 1.5 % per 0.01}]"`
	Steps   []FactorStep             `key:"steps" doc:"a table: the row with the highest from that the power factor reaches" example:"[{from: 0.90, percent: 0 %}, {from: 0, percent: 5 %}]"`
	Ratio   *FactorRatio             `key:"ratio" doc:"a share of target / actual - 1"`
}

// Slope adds or takes off so much for each step of power factor within a range.
type Slope struct {
	source.Where
	Below  source.At[Ratio] `key:"below" doc:"surcharge: upper end of the range" unit:"0 to 1" example:"0.85"`
	DownTo source.At[Ratio] `key:"down-to" doc:"surcharge: lower end" unit:"0 to 1" default:"0" example:"0.75"`
	Add    PerPoint         `key:"add" doc:"what each step adds" unit:"% or /kWh per step" example:"1.5 % per 0.01"`
	Above  source.At[Ratio] `key:"above" doc:"bonus: lower end of the range" unit:"0 to 1" example:"0.95"`
	UpTo   source.At[Ratio] `key:"up-to" doc:"bonus: upper end" unit:"0 to 1" default:"1" example:"0.97"`
	Less   PerPoint         `key:"less" doc:"what each step takes off" unit:"% or /kWh per step" example:"0.5 % per 0.01"`
}

// FactorStep is a row of a table of power factors.
type FactorStep struct {
	source.Where
	From    source.At[Ratio]         `key:"from" need:"yes" doc:"power factor from which the row holds" unit:"0 to 1" example:"0.90"`
	Percent source.At[money.Percent] `key:"percent" need:"yes" doc:"what it adds; negative takes off" unit:"%" example:"2 %"`
}

// FactorRatio is a surcharge of add x (target / actual - 1) below the target
// and a bonus of less x (1 - target / actual) above it.
type FactorRatio struct {
	source.Where
	Target    source.At[Ratio]         `key:"target" need:"yes" doc:"power factor at which nothing is due" unit:"0 to 1" example:"0.90"`
	Add       source.At[money.Percent] `key:"add" need:"yes" doc:"share of (target / actual - 1) that is added below the target" unit:"%" example:"60 %"`
	AddCap    source.At[money.Percent] `key:"add-cap" doc:"the highest surcharge" unit:"%" default:"no cap" example:"120 %"`
	Less      source.At[money.Percent] `key:"less" doc:"share of (1 - target / actual) that is taken off above the target" unit:"%" default:"0 %" example:"25 %"`
	LessCap   source.At[money.Percent] `key:"less-cap" doc:"the highest bonus" unit:"%" default:"no cap" example:"2.5 %"`
	RoundRate Step                     `key:"round-percent" doc:"rounding of the percentage, as a fraction" default:"not rounded" example:"0.001"`
}

// Share is a percentage of named lines: a rider, a discount or a tax.
type Share struct {
	source.Where
	Rate   source.At[money.Percent] `key:"rate" need:"yes" doc:"the percentage; negative takes off" unit:"%" example:"21 %"`
	Of     source.OneOrMany[string] `key:"of" need:"yes" doc:"the lines it falls on: all, or their ids; all means every line of a kind that comes before: charges, power factor, percentages, minimum, taxes" example:"all"`
	Except source.OneOrMany[string] `key:"except" doc:"lines that all does not mean" example:"[lighting-fee]"`
}

// Minimum brings the named lines up to a least amount.
type Minimum struct {
	source.Where
	Price  Price                    `key:"price" need:"yes" doc:"the least amount" unit:"/day, /month or /year, or such as /kVA/month" example:"600 /month"`
	Per    Limit                    `key:"per" doc:"the capacity, when the price is per kW or kVA" example:"300 kVA"`
	Of     source.OneOrMany[string] `key:"of" doc:"the lines that are brought up to it" default:"all charges, power factor and percentage lines" example:"all"`
	Except source.OneOrMany[string] `key:"except" doc:"lines that all does not mean" example:"[standing]"`
}

// ReadSource reads the short form, a price, or the group.
func (f *Fixed) ReadSource(v *source.Value, faults *diag.List) {
	type group Fixed
	shortOr(v, &f.Where, &f.Price, (*group)(f), faults)
}

// ReadSource reads the short form, a price, or the group.
func (e *Energy) ReadSource(v *source.Value, faults *diag.List) {
	type group Energy
	shortOr(v, &e.Where, &e.Price, (*group)(e), faults)
}

// ReadSource reads the group. A price alone does not say how the meter averages.
func (d *Demand) ReadSource(v *source.Value, faults *diag.List) {
	type group Demand
	if v.Form == source.Scalar {
		d.Pos = v.Pos
		faults.At(v.Pos, "a demand charge needs the time over which the meter averages", fmt.Sprintf("{price: %s, window: 15 min}", v.Text))
		return
	}
	source.Decode(v, (*group)(d), faults)
}

// ReadSource reads the short form, a price, or the group.
func (m *Minimum) ReadSource(v *source.Value, faults *diag.List) {
	type group Minimum
	shortOr(v, &m.Where, &m.Price, (*group)(m), faults)
}

// Short names the key that a single value stands for.
func (Fixed) Short() string { return "price" }

// Short names the key that a single value stands for.
func (Energy) Short() string { return "price" }

// Short names the key that a single value stands for.
func (Minimum) Short() string { return "price" }

func shortOr(v *source.Value, where *source.Where, price *Price, group any, faults *diag.List) {
	if v.Form == source.Scalar {
		where.Pos = v.Pos
		price.ReadSource(v, faults)
		return
	}
	source.Decode(v, group, faults)
}
