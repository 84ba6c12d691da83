// Package site reads the provider's and a site's files into one record:
// strictly, with defaults, and with every value's place in its file. A visit
// holds what was found that day; the state of a site at a visit is the fold of
// the visits up to it.
package site

import (
	"fmt"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
)

// Site is site.yaml: the client, the supply, the points and the calendars.
type Site struct {
	source.Where
	Client       source.At[string]                                        `key:"client" need:"yes" doc:"The client's name" example:"Quernstone Creamery"`
	Place        source.At[string]                                        `key:"place" doc:"Town or district, printed beside the name" example:"Ardlethen"`
	Address      source.At[string]                                        `key:"address" doc:"Postal address on one line" example:"Weir Lane 2, Ardlethen"`
	Contact      source.At[string]                                        `key:"contact" doc:"Who showed the site" example:"the dairy manager"`
	Language     source.At[Language]                                      `key:"language" doc:"Language of the report" default:"en" example:"en"`
	Year         source.At[int]                                           `key:"year" doc:"Calendar year that is worked out" default:"the year of the visit" example:"2031"`
	TimeZone     source.At[Zone]                                          `key:"time-zone" need:"yes" doc:"Time zone of the site, as an IANA name" example:"Europe/Dublin"`
	Position     source.At[civil.Place]                                   `key:"position" doc:"Latitude and longitude, for hours that go with the sun" example:"53.35 ° N 6.26 ° W"`
	Supply       Supply                                                   `key:"supply" need:"yes" doc:"The point of supply: its wiring, nominal values and what is behind it" example:"{system: 3P4W, voltage: 400 V, frequency: 50 Hz, limits: europe}"`
	Points       source.Map[Point]                                        `key:"points" need:"yes" doc:"Where readings are taken: the incomer, and each board with the point it is fed from" example:"{incomer: {name: Main incomer}, DB1: {name: Process board, from: incomer}}"`
	Holidays     source.OneOrMany[civil.Holiday]                          `key:"holidays" doc:"Days off: dates, days of every year, counted weekdays, days from Easter" example:"[1 Jan, Easter + 1, first Mon of May, 2031-06-02, 25 Dec]"`
	Calendars    source.Map[CalendarFile]                                 `key:"calendars" doc:"When things may run; \"always\" need not be listed" example:"{production: {hours: {Mon-Fri: 06:00-18:00}}}"`
	Capacitors   source.List[Bank]                                        `key:"capacitors" doc:"Capacitor banks for power-factor correction, where there are any"`
	Weather      source.Map[Weather]                                      `key:"weather" doc:"Degree-hours by month, by a name that loads refer to" example:"{cooling: {degree-hours: 0 0 60 240 900 1900 2600 2400 1300 300 20 0 K h, source: station report}}"`
	Growth       source.Map[source.At[quantity.Estimate[quantity.Ratio]]] `key:"growth" unit:"%" doc:"By use: expected change of the power of its loads a year, counted from the visit that lists a load to the middle of the year worked out" example:"{refrigeration: 1..2..4 %}"`
	FloorArea    source.At[quantity.Displayed[quantity.SquareMetres]]     `key:"floor-area" unit:"m² or ft²" doc:"Floor area, for energy by area" example:"1450 m²"`
	Output       *Output                                                  `key:"output" doc:"What the site makes in a year, for energy by unit made" example:"{amount: 640, unit: t of cheese}"`
	Emission     *Emission                                                `key:"emission-factor" doc:"Emissions of a kilowatt-hour, with the source of the figure" example:"{factor: 0.210 kg/kWh, source: supplier's disclosure for 2030}"`
	Tariff       source.At[string]                                        `key:"tariff" need:"yes" doc:"Tariff in force: name of a file in tariffs/ without .yaml" example:"medium-supply-2031"`
	Alternatives source.OneOrMany[string]                                 `key:"alternatives" doc:"Tariffs to price on the same year beside the one in force: names of files in tariffs/ without .yaml" example:"[medium-supply-flat, small-supply-2031]"`
	Intervals    source.Map[IntervalFile]                                 `key:"intervals" doc:"What a meter or logger has logged, by the point that it is of; that of the incomer is the meter that is billed" example:"{incomer: intervals/main-meter.csv, DB2: {file: intervals/db2.csv, columns: {start: Time, import: \"P [kW]\"}}}"`
	FitToBills   source.At[bool]                                          `key:"fit-to-bills" doc:"yes: duties, counts and calendars' hours that were assumed are moved, as little as possible and within their typed limits, until the estimate meets the billed energy" default:"no" example:"yes"`
	Doubt        DefaultDoubt                                             `key:"doubt" doc:"Doubt taken where a load states none" example:"{typical: 90..100..110 %}"`
}

// Supply describes the point of supply.
type Supply struct {
	source.Where
	System      source.At[Wiring]                                   `key:"system" need:"yes" doc:"Wiring of the supply: 1P2W, 1P3W, 3P3W or 3P4W" example:"3P4W"`
	Voltage     source.At[quantity.Displayed[quantity.VoltsLL]]     `key:"voltage" need:"yes" unit:"V" doc:"Nominal voltage, line to line (1P2W: line to neutral)" example:"400 V"`
	Frequency   source.At[quantity.Displayed[quantity.Hertz]]       `key:"frequency" need:"yes" unit:"Hz" doc:"Nominal frequency" example:"50 Hz"`
	Limits      source.At[string]                                   `key:"limits" need:"yes" doc:"Which family of published limits applies: europe or north-america" example:"europe"`
	Transformer *Transformer                                        `key:"transformer" doc:"The transformer that feeds the site, for the short-circuit power" example:"{rating: 250 kVA, impedance: 4 %}"`
	FaultLevel  source.At[quantity.Displayed[quantity.VoltAmperes]] `key:"fault-level" unit:"kVA or MVA" doc:"Short-circuit power at the point of supply, when known" example:"8.2 MVA"`
	Agreed      source.At[quantity.Displayed[quantity.VoltAmperes]] `key:"agreed-demand" unit:"kVA" doc:"Demand agreed with the supplier" example:"160 kVA"`
	MaxLoad     source.At[quantity.Displayed[quantity.Amperes]]     `key:"maximum-demand-current" unit:"A" doc:"Maximum demand load current I_L of IEEE 519; else taken from the year's highest demand" example:"230 A"`
}

// Transformer is the supply transformer's plate.
type Transformer struct {
	source.Where
	Rating    source.At[quantity.Displayed[quantity.VoltAmperes]] `key:"rating" need:"yes" unit:"kVA" doc:"Rated power" example:"400 kVA"`
	Impedance source.At[quantity.Displayed[quantity.Ratio]]       `key:"impedance" need:"yes" unit:"%" doc:"Short-circuit impedance %Z" example:"4 %"`

	NoLoadLoss source.At[quantity.Displayed[quantity.Watts]] `key:"no-load-loss" unit:"W or kW" doc:"Loss without load, on its data sheet" example:"650 W"`
	LoadLoss   source.At[quantity.Displayed[quantity.Watts]] `key:"load-loss" unit:"W or kW" doc:"Loss at rated load, without the no-load loss" example:"3.25 kW"`
	EddyLoss   source.At[quantity.Displayed[quantity.Ratio]] `key:"eddy-loss" unit:"%" doc:"Eddy loss of the windings at rated load, as a share of their ohmic loss" default:"10 %" example:"8 %"`
	KRating    source.At[KRating]                            `key:"k-rating" doc:"K-rating, where the plate has one" example:"K-13"`
}

// Point is a place where readings are taken.
type Point struct {
	source.Where
	Name     source.At[string]                               `key:"name" need:"yes" doc:"Name in the report" example:"Process board"`
	From     source.At[string]                               `key:"from" doc:"The point that feeds this one; left out for the incomer" example:"incomer"`
	Breaker  source.At[quantity.Displayed[quantity.Amperes]] `key:"breaker" unit:"A" doc:"Rating of the protective device" example:"250 A"`
	Category source.At[Class]                                `key:"category" doc:"Measurement category of the place: CAT II, CAT III or CAT IV" default:"CAT IV at the incomer, else CAT III" example:"CAT III"`
}

// Class is a measurement category without a voltage.
type Class int

// UnmarshalText reads CAT II, CAT III or CAT IV.
func (c *Class) UnmarshalText(text []byte) error {
	for i, class := range categoryClasses {
		if string(text) == "CAT "+class {
			*c = Class(i + 2)
			return nil
		}
	}
	return diag.OneOf("category", string(text), []string{"CAT II", "CAT III", "CAT IV"})
}

// CalendarFile is a calendar as typed.
type CalendarFile struct {
	source.Where
	Name         source.At[string]                            `key:"name" doc:"Words for the report" example:"production hours"`
	Hours        source.Map[source.OneOrMany[civil.Hours]]    `key:"hours" doc:"Hours by days of the week: by the clock, by the sun or as shifts; they may cross midnight, and what begins on a day is worked to its end" example:"{Mon-Fri: 06:00-18:00, Sat: [06:00-10:00, 14:00-16:00]}"`
	Production   source.At[civil.Production]                  `key:"production" doc:"In place of hours: working time counted in days. A month's days are its Mondays to Fridays, then Saturdays, then Sundays, then days off, until there are enough; work begins at 08:00 where no time is given" example:"26 days a month, 8 h a day"`
	Season       source.At[civil.Season]                      `key:"season" doc:"Part of the year in which the calendar applies" default:"all year" example:"1 Mar to 31 Oct"`
	Holidays     source.At[string]                            `key:"holidays" doc:"What happens on the site's holidays: closed or open" default:"closed" example:"open"`
	HolidayHours source.OneOrMany[civil.Span]                 `key:"holiday-hours" doc:"Hours on the site's holidays, in place of those of the weekday" default:"none" example:"10:00-14:00"`
	Shutdowns    source.OneOrMany[civil.Days]                 `key:"shutdowns" doc:"Days on which nothing of this calendar starts; a span begun the evening before runs to its end" example:"[2031-12-24 to 2031-12-31]"`
	Doubt        source.At[quantity.Estimate[quantity.Ratio]] `key:"doubt" unit:"%" doc:"How far the hours of a year may be off, as a share of them" default:"doubt.hours of site.yaml" example:"100 % ± 5 %"`
	Because      source.At[string]                            `key:"because" doc:"Who said so, or why" example:"opening hours given by the manager"`
}

// Output is what the site makes in a year.
type Output struct {
	source.Where
	Amount source.At[string] `key:"amount" need:"yes" doc:"A number a year" example:"620"`
	Unit   source.At[string] `key:"unit" need:"yes" doc:"What is counted" example:"t of cheese"`
}

// Emission is an emission factor with its source.
type Emission struct {
	source.Where
	Factor source.At[quantity.Displayed[quantity.KgPerWh]] `key:"factor" need:"yes" unit:"kg/kWh, g/kWh, t/MWh or lb/MWh" doc:"CO2e of a kilowatt-hour" example:"0.210 kg/kWh"`
	Source source.At[string]                               `key:"source" need:"yes" doc:"Where the figure comes from, with its year" example:"supplier's disclosure for 2030"`
}

// DefaultDoubt is the doubt taken where a load or calendar states none.
type DefaultDoubt struct {
	Typical source.At[quantity.Estimate[quantity.Ratio]] `key:"typical" unit:"%" doc:"How far the power on the day may be from its yearly mean, as a share of it" default:"100 % ± 10 %" example:"100 % ± 10 %"`
	Duty    source.At[quantity.Estimate[quantity.Ratio]] `key:"duty" unit:"%" doc:"How far a duty given as one figure may be off, as a share of it" default:"100 % ± 15 %" example:"100 % ± 15 %"`
	Hours   source.At[quantity.Estimate[quantity.Ratio]] `key:"hours" unit:"%" doc:"How far a calendar's hours of a year may be off, as a share of them" default:"100 % ± 5 %" example:"100 % ± 5 %"`
}

// Around100 is the default doubts' form: 100 % give or take half.
func around100(half quantity.Ratio) quantity.Estimate[quantity.Ratio] {
	return quantity.Estimate[quantity.Ratio]{Low: 1 - half, Likely: 1, High: 1 + half, Shape: quantity.Triangular,
		Text: fmt.Sprintf("100 %% ± %g %%", float64(half)*100)}
}

// TypicalOrDefault gives the doubt of a reading against the yearly mean.
func (d DefaultDoubt) TypicalOrDefault() quantity.Estimate[quantity.Ratio] {
	return or(d.Typical, around100(0.10))
}

// DutyOrDefault gives the doubt of a duty given as one figure.
func (d DefaultDoubt) DutyOrDefault() quantity.Estimate[quantity.Ratio] {
	return or(d.Duty, around100(0.15))
}

// HoursOrDefault gives the doubt of a calendar's hours.
func (d DefaultDoubt) HoursOrDefault() quantity.Estimate[quantity.Ratio] {
	return or(d.Hours, around100(0.05))
}

// Wiring is the arrangement of conductors that a reading was taken on.
type Wiring string

// The wirings.
const (
	OnePhaseTwoWire     Wiring = "1P2W"
	OnePhaseThreeWire   Wiring = "1P3W"
	ThreePhaseThreeWire Wiring = "3P3W"
	ThreePhaseFourWire  Wiring = "3P4W"
)

var wirings = []string{"1P2W", "1P3W", "3P3W", "3P4W"}

// UnmarshalText reads a wiring.
func (w *Wiring) UnmarshalText(text []byte) error {
	for _, known := range wirings {
		if string(text) == known {
			*w = Wiring(known)
			return nil
		}
	}
	return diag.OneOf("wiring", string(text), wirings)
}
