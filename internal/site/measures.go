package site

import (
	"auditgen/internal/civil"
	"auditgen/internal/money"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
)

// MeasuresFile is measures.yaml: what is proposed.
type MeasuresFile struct {
	source.Where
	Economics Economics                `key:"economics" doc:"The terms on which measures are valued" example:"{rate: 5 %, money: constant, study: 15 years}"`
	Calendars source.Map[CalendarFile] `key:"calendars" doc:"Calendars that only measures use, written as in site.yaml" example:"{late-charging: {hours: {Mon-Fri: 22:00-06:00}}}"`
	Measures  []Measure                `key:"measures" need:"yes" doc:"Measures in the order in which the client would take them: each is also worked out with all before it done"`
}

// Economics is the terms on which measures are valued.
type Economics struct {
	source.Where
	Rate       source.At[quantity.Displayed[quantity.Ratio]] `key:"rate" unit:"%" doc:"Discount rate: real in constant money, nominal in current money" default:"5 %" example:"5 %"`
	Money      source.At[string]                             `key:"money" doc:"constant: amounts at prices of the base date, inflation left out; current: amounts as they will be paid" default:"constant" example:"constant"`
	Inflation  source.At[quantity.Displayed[quantity.Ratio]] `key:"inflation" unit:"%" doc:"Yearly inflation; needed in current money" default:"0 %" example:"2 %"`
	Escalation source.At[quantity.Displayed[quantity.Ratio]] `key:"escalation" unit:"%" doc:"How much faster than other prices that of electricity rises each year" default:"0 %" example:"1 %"`
	Study      source.At[Years]                              `key:"study" doc:"Years that are looked at; a measure that lives longer counts no further" default:"15 years" example:"15 years"`
	Because    source.At[string]                             `key:"because" doc:"Who said so, or why" example:"the client's rule for investments"`
}

// Measure is one proposal.
type Measure struct {
	source.Where
	ID           source.At[string]                             `key:"id" need:"yes" doc:"Short name, unique in the file" example:"capacitors"`
	Name         source.At[string]                             `key:"name" need:"yes" doc:"What is done, in words" example:"Automatic capacitor bank at the main board"`
	Ready        source.At[string]                             `key:"ready" doc:"Ready measure that fills in what is not typed here; docs/measures.md lists them" example:"capacitor-bank"`
	Changes      []Change                                      `key:"changes" need:"yes" doc:"What becomes different, each change of one kind" example:"[{capacitors: {target: 0.95}}]"`
	Cost         source.At[money.Range]                        `key:"cost" doc:"What it costs, all in, with its currency" example:"3200..3600..4400 EUR"`
	Items        []Item                                        `key:"items" doc:"In place of cost: entries of the price list in provider.toml" example:"[{price: capacitor-bank, quantity: 50 kvar}]"`
	Basis        source.At[string]                             `key:"basis" doc:"What the cost rests on" default:"the provider's price list, where items are given" example:"quote Q-118 of 2 May 2031"`
	Upkeep       source.At[money.Range]                        `key:"upkeep" doc:"What keeping it up costs more, or less, each year" default:"nothing" example:"60 EUR"`
	Replacements []Replacement                                 `key:"replacements" doc:"Parts that are replaced while it serves, each with its year and cost" example:"[{part: inverter, after: 12 years, cost: 2400..3000..3800 EUR}]"`
	Residual     source.At[Residual]                           `key:"residual" doc:"What is left of it at the end of the years that count: an amount at prices of today, negative where taking it away costs money, or the straight line over the life that is left" default:"nothing" example:"straight line"`
	Life         source.At[Years]                              `key:"life" doc:"How long it serves" example:"12 years"`
	Decline      source.At[quantity.Displayed[quantity.Ratio]] `key:"decline" unit:"%" doc:"By how much its saving falls each year, from the second on" default:"0 %" example:"0.5 %"`
	Who          source.At[string]                             `key:"who" doc:"Who may do it" example:"a licensed electrician"`
	Licensed     source.At[bool]                               `key:"licensed" doc:"Whether it is licensed work" default:"no" example:"yes"`
	Risk         source.At[string]                             `key:"risk" doc:"How likely it disappoints or disturbs the work: low, medium or high" default:"medium" example:"low"`
	Caution      source.At[string]                             `key:"caution" doc:"What whoever does it must mind" example:"isolate, wait for the discharge time, measure, then touch"`
	Mends        source.OneOrMany[string]                      `key:"mends" doc:"Findings that it mends, by their rule" example:"low-power-factor"`
	After        source.OneOrMany[string]                      `key:"after" doc:"Measures that must be done before, listed above it" example:"[drive-chokes]"`
	Because      source.At[string]                             `key:"because" doc:"Why it is proposed so" example:"the bank is sized for the highest demand of the year"`

	MendsReady bool // Mends came from the ready measure: a rule that found nothing is no fault
}

// Replacement is a part that is replaced while the measure serves: once after so
// many years, or again and again.
type Replacement struct {
	source.Where
	Part  source.At[string]      `key:"part" need:"yes" doc:"What is replaced, in words" example:"inverter"`
	After source.At[Years]       `key:"after" doc:"In which year it is replaced first" default:"as in every" example:"12 years"`
	Every source.At[Years]       `key:"every" doc:"How often it is replaced from then on, as long as the measure's saving counts" default:"once" example:"8 years"`
	Cost  source.At[money.Range] `key:"cost" doc:"What it costs each time, all in, at prices of today, with its currency" example:"2400..3000..3800 EUR"`
	Items []Item                 `key:"items" doc:"In place of cost: entries of the price list in provider.toml" example:"[{price: inverter, quantity: 24 kW}]"`
	Basis source.At[string]      `key:"basis" doc:"What its cost rests on" default:"what the measure's cost rests on, or the price list" example:"quote Q-131 of 9 May 2031"`
}

// Years lists the years before the end of so many in which the part is replaced.
func (r Replacement) Years(end int) []int {
	first, step := int(r.After.Value), int(r.Every.Value)
	if first == 0 {
		first = step
	}
	var years []int
	for y := first; y > 0 && y < end; y += step {
		years = append(years, y)
		if step == 0 {
			break
		}
	}
	return years
}

// Serves is for how many years a replaced part serves: until it is replaced again,
// or as long as the one before it did.
func (r Replacement) Serves() int {
	if r.Every.IsSet() {
		return int(r.Every.Value)
	}
	return int(r.After.Value)
}

// Item is so much of an entry of the price list.
type Item struct {
	source.Where
	Price    source.At[string] `key:"price" need:"yes" doc:"Entry of the price list in provider.toml, by its id" example:"capacitor-bank"`
	Quantity source.At[string] `key:"quantity" doc:"How much of it, in the unit of the entry" default:"1 of it" example:"50 kvar"`
}

// Change is one change of one kind: one of the keys is given.
type Change struct {
	source.Where
	Replace      *Replace                                            `key:"replace" doc:"Another power, duty, number, calendar or standby of a load" example:"{load: chiller, power: 12 kW}"`
	Add          *Load                                               `key:"add" doc:"A new load, written as in a visit" example:"{id: dryer, name: Dryer, at: DB1-8, use: drying, power: 4 kW, runs: {calendar: always}}"`
	Remove       source.At[string]                                   `key:"remove" doc:"A load that goes" example:"old-chiller"`
	Efficiency   *EfficiencyChange                                   `key:"efficiency" doc:"A better motor, belt or gear at the same output" example:"{load: pump, from: 88 %, to: 93 %}"`
	Speed        *SpeedChange                                        `key:"speed" doc:"A fan or pump that turns slower, on a drive" example:"{load: fans, speed: 80 %}"`
	SetPoint     *SetPoint                                           `key:"set-point" doc:"A cooling or heating set-point moved" example:"{load: cold-store, by: 2 K, each: 2..3..4 %}"`
	Leaks        *Leaks                                              `key:"leaks" doc:"Leaks of compressed air mended" example:"{load: air-compressor, from: 25 %, to: 10 %}"`
	Lighting     *Lighting                                           `key:"lighting" doc:"Other lamps on the same hours" example:"{load: lights, from: 88 W, to: 36 W}"`
	Standby      *StandbyChange                                      `key:"standby" doc:"Less power while the calendar is off" example:"{load: office, to: 20 W}"`
	Duty         *DutyChange                                         `key:"duty" doc:"Less, or more, running in the same hours" example:"{load: fans, to: 60 %}"`
	Hours        *HoursChange                                        `key:"hours" doc:"Other hours at the same power and duty" example:"{load: brine-pump, calendar: production}"`
	Shift        *HoursChange                                        `key:"shift" doc:"The same energy at other hours" example:"{load: charger, calendar: late-charging}"`
	Stagger      *StaggerChange                                      `key:"stagger" doc:"The same work, started later or never beside another load" example:"{load: kiln, never-with: oven}"`
	Capacitors   *Capacitors                                         `key:"capacitors" doc:"Power factor correction" example:"{target: 0.95}"`
	Harmonics    *Mitigation                                         `key:"harmonics" doc:"Chokes or a filter for a load with distorted current" example:"{load: whey-filter, to: 35 %}"`
	Phases       source.At[string]                                   `key:"phases" doc:"One-phase circuits of a board spread over the phases; which ones is worked out" example:"DB4"`
	Transformer  *TransformerChange                                  `key:"transformer" doc:"Another transformer, where its losses are on the bill and listed as a load" example:"{load: transformer-losses, rating: 250 kVA, no-load: 300 W, load-loss: 2.3 kW}"`
	Agreed       source.At[quantity.Displayed[quantity.VoltAmperes]] `key:"agreed-demand" unit:"kVA" doc:"Another demand agreed with the supplier" example:"130 kVA"`
	Tariff       source.At[string]                                   `key:"tariff" doc:"Another tariff: name of a file in tariffs/ without .yaml" example:"flat-2031"`
	Photovoltaic *Photovoltaics                                      `key:"photovoltaics" doc:"Solar modules on the site's supply" example:"{yield: {Jan: 210 kWh, Feb: 400 kWh, Mar: 800 kWh, Apr: 1150 kWh, May: 1400 kWh, Jun: 1420 kWh, Jul: 1390 kWh, Aug: 1180 kWh, Sep: 870 kWh, Oct: 520 kWh, Nov: 260 kWh, Dec: 160 kWh}}"`

	Other *tariff.Tariff // of Tariff, read
}

// Replace gives a load other figures; what is left out stays.
type Replace struct {
	source.Where
	Load     source.At[string]                            `key:"load" need:"yes" doc:"Load, by its id" example:"chiller"`
	Power    source.At[quantity.Estimate[quantity.Watts]] `key:"power" unit:"W or kW" doc:"Running power of each, in place of reading, plate or states" example:"11..12..13 kW"`
	PF       source.At[quantity.PowerFactor]              `key:"pf" doc:"Power factor that goes with power" default:"that of the load" example:"0.92 lag"`
	Duty     source.At[quantity.Estimate[quantity.Ratio]] `key:"duty" unit:"%" doc:"Share of the calendar's time that it runs" example:"40..50..60 %"`
	Standby  source.At[quantity.Estimate[quantity.Watts]] `key:"standby" unit:"W" doc:"Power while its calendar is off" example:"20 W"`
	Count    source.At[quantity.Count]                    `key:"count" doc:"Number of like things" example:"2"`
	Calendar source.At[string]                            `key:"calendar" doc:"Calendar, or always" example:"production"`
}

// EfficiencyChange is a better motor, belt or gear.
type EfficiencyChange struct {
	source.Where
	Load source.At[string]                            `key:"load" need:"yes" doc:"Load, by its id" example:"pump"`
	From source.At[quantity.Estimate[quantity.Ratio]] `key:"from" need:"yes" unit:"%" doc:"Efficiency now, at the load that it has" example:"87..88..89 %"`
	To   source.At[quantity.Estimate[quantity.Ratio]] `key:"to" need:"yes" unit:"%" doc:"Efficiency then, at the same load" example:"93 %"`
}

// SpeedChange is a fan or pump that turns slower.
type SpeedChange struct {
	source.Where
	Load     source.At[string]                                         `key:"load" need:"yes" doc:"Load, by its id" example:"ripening-fans"`
	Speed    source.At[quantity.Estimate[quantity.Ratio]]              `key:"speed" unit:"%" doc:"Speed, or flow, as a share of the present one" example:"75..80..85 %"`
	Speeds   source.Map[source.At[quantity.Displayed[quantity.Ratio]]] `key:"speeds" unit:"%" doc:"In place of speed: several speeds, or flows, each with its share of the time that it runs; together 100 %" example:"{100 %: 25 %, 80 %: 50 %, 60 %: 25 %}"`
	Static   source.At[quantity.Displayed[quantity.Ratio]]             `key:"static-head" unit:"%" doc:"Share of the head that does not depend on flow; then speed is the flow" default:"none: the power falls with the exponent" example:"30 %"`
	Exponent source.At[string]                                         `key:"exponent" doc:"Power of the speed that the power follows: 3 where friction is all, 2 to 2.9 where pressure is held" default:"2.5" example:"2.5"`
	Drive    source.At[quantity.Displayed[quantity.Ratio]]             `key:"drive" unit:"%" doc:"Efficiency of the drive, where it is new; 100 % where one is there" default:"96 %" example:"96 %"`
}

// StaggerChange is a load that does the same work at its hours, but starts later
// in them or never runs beside others. It tells on demand, not on energy.
type StaggerChange struct {
	source.Where
	Load  source.At[string]                             `key:"load" need:"yes" doc:"Load, by its id" example:"kiln"`
	Delay source.At[quantity.Displayed[quantity.Hours]] `key:"delay" unit:"h or min" doc:"How long after its calendar's hours begin it is started" example:"30 min"`
	Never source.OneOrMany[string]                      `key:"never-with" doc:"Loads that never run while this one does, by an interlock or a rule" example:"[oven]"`
}

// SetPoint is a set-point moved.
type SetPoint struct {
	source.Where
	Load source.At[string]                            `key:"load" need:"yes" doc:"Load, by its id" example:"cold-store"`
	By   source.At[Kelvins]                           `key:"by" need:"yes" unit:"K" doc:"By how many kelvins, towards less work" example:"2 K"`
	Each source.At[quantity.Estimate[quantity.Ratio]] `key:"each" need:"yes" unit:"%" doc:"Share saved by each kelvin; shares compound" example:"2..3..4 %"`
}

// Leaks is compressed air that no longer leaks.
type Leaks struct {
	source.Where
	Load     source.At[string]                            `key:"load" need:"yes" doc:"The compressor, by its id" example:"air-compressor"`
	From     source.At[quantity.Estimate[quantity.Ratio]] `key:"from" need:"yes" unit:"%" doc:"Share of its output that leaks now, of the time loaded" example:"20..25..30 %"`
	To       source.At[quantity.Estimate[quantity.Ratio]] `key:"to" need:"yes" unit:"%" doc:"Share of the present output that will still leak" example:"8..10..12 %"`
	Loaded   source.At[string]                            `key:"loaded" doc:"The state in which it compresses, where it has states" default:"loaded" example:"loaded"`
	Unloaded source.At[string]                            `key:"unloaded" doc:"The state in which it then idles; none where it stops" default:"none" example:"unloaded"`
}

// Lighting is other lamps.
type Lighting struct {
	source.Where
	Load source.At[string]                             `key:"load" need:"yes" doc:"Load, by its id" example:"lights"`
	From source.At[quantity.Displayed[quantity.Watts]] `key:"from" need:"yes" unit:"W" doc:"Input of a fitting now, ballast included" example:"88 W"`
	To   source.At[quantity.Estimate[quantity.Watts]]  `key:"to" need:"yes" unit:"W" doc:"Input of a fitting then" example:"34..36..38 W"`
	Heat *LightHeat                                    `key:"heat" doc:"The cooling that the light's heat burdens now" example:"{load: heat-pump, share: 60 %, hours: 25 %, cop: \"3.0\"}"`
}

// LightHeat is what cooling saves besides.
type LightHeat struct {
	source.Where
	Load  source.At[string]                             `key:"load" need:"yes" doc:"The cooling, by its load's id" example:"heat-pump"`
	Share source.At[quantity.Displayed[quantity.Ratio]] `key:"share" need:"yes" unit:"%" doc:"Share of the light's heat that the cooling takes away" example:"60 %"`
	Hours source.At[quantity.Displayed[quantity.Ratio]] `key:"hours" need:"yes" unit:"%" doc:"Share of the lit hours in which it cools" example:"25 %"`
	COP   source.At[string]                             `key:"cop" need:"yes" doc:"Coefficient of performance of the cooling" example:"3.0"`
}

// StandbyChange is less power while off.
type StandbyChange struct {
	source.Where
	Load source.At[string]                            `key:"load" need:"yes" doc:"Load, by its id" example:"office"`
	To   source.At[quantity.Estimate[quantity.Watts]] `key:"to" need:"yes" unit:"W" doc:"Power while its calendar is off" example:"20 W"`
}

// DutyChange is another duty.
type DutyChange struct {
	source.Where
	Load  source.At[string]                            `key:"load" need:"yes" doc:"Load, by its id" example:"ripening-fans"`
	State source.At[string]                            `key:"state" doc:"Which of its states, where it has some" example:"unloaded"`
	To    source.At[quantity.Estimate[quantity.Ratio]] `key:"to" need:"yes" unit:"%" doc:"Share of the calendar's time that it runs" example:"50..60..70 %"`
}

// HoursChange is other hours.
type HoursChange struct {
	source.Where
	Load     source.At[string] `key:"load" need:"yes" doc:"Load, by its id" example:"charger"`
	Calendar source.At[string] `key:"calendar" need:"yes" doc:"Calendar of site.yaml or of this file, or always" example:"late-charging"`
}

// Capacitors is power factor correction: automatic to a target, or a fixed size.
type Capacitors struct {
	source.Where
	Target   source.At[string]                             `key:"target" doc:"Power factor that an automatic bank holds" example:"0.95"`
	Size     source.At[quantity.Displayed[quantity.Vars]]  `key:"size" unit:"kvar" doc:"Reactive power at the site's voltage; beside a target the most that the bank has" default:"usual steps for the target" example:"50 kvar"`
	Calendar source.At[string]                             `key:"calendar" doc:"When fixed capacitors are on" default:"always" example:"production"`
	Reactor  source.At[quantity.Displayed[quantity.Ratio]] `key:"reactor" unit:"%" doc:"Reactance of detuning reactors as a share of the capacitors'" default:"none" example:"7 %"`
	Loss     source.At[quantity.Displayed[quantity.Ratio]] `key:"loss" unit:"%" doc:"Own loss as a share of the reactive power" default:"0.05 %; 0.5 % with reactors" example:"0.5 %"`
}

// Mitigation is chokes or a filter for one load.
type Mitigation struct {
	source.Where
	Load source.At[string]                             `key:"load" need:"yes" doc:"Load, by its id" example:"whey-filter"`
	To   source.At[quantity.Displayed[quantity.Ratio]] `key:"to" need:"yes" unit:"%" doc:"Distortion of its current then, of the fundamental" example:"35 %"`
	Loss source.At[quantity.Displayed[quantity.Watts]] `key:"loss" unit:"W" doc:"What the filter itself takes while the load runs" default:"0 W" example:"60 W"`
}

// TransformerChange is another transformer.
type TransformerChange struct {
	source.Where
	Load     source.At[string]                                   `key:"load" need:"yes" doc:"The load that stands for the losses now" example:"transformer-losses"`
	Rating   source.At[quantity.Displayed[quantity.VoltAmperes]] `key:"rating" need:"yes" unit:"kVA" doc:"Rated power of the new one" example:"250 kVA"`
	NoLoad   source.At[quantity.Displayed[quantity.Watts]]       `key:"no-load" need:"yes" unit:"W" doc:"No-load loss of the new one" example:"300 W"`
	LoadLoss source.At[quantity.Displayed[quantity.Watts]]       `key:"load-loss" need:"yes" unit:"W or kW" doc:"Load loss of the new one at its rating" example:"2.3 kW"`
}

// Photovoltaics is solar modules.
type Photovoltaics struct {
	source.Where
	Yield   source.Map[source.At[quantity.Displayed[quantity.WattHours]]] `key:"yield" need:"yes" unit:"kWh" doc:"What the modules give in each month, Jan to Dec" example:"{Jan: 210 kWh, Feb: 400 kWh, Mar: 800 kWh, Apr: 1150 kWh, May: 1400 kWh, Jun: 1420 kWh, Jul: 1390 kWh, Aug: 1180 kWh, Sep: 870 kWh, Oct: 520 kWh, Nov: 260 kWh, Dec: 160 kWh}"`
	Doubt   source.At[quantity.Estimate[quantity.Ratio]]                  `key:"doubt" unit:"%" doc:"How far a year's yield may be off, as a share of it" default:"100 % ± 10 %" example:"90..100..108 %"`
	Present source.At[quantity.Displayed[quantity.Ratio]]                 `key:"present" unit:"%" doc:"Share of the demand windows with sun at all; below 100 % the highest demand is taken to fall in one without" default:"50 %" example:"50 %"`
	Place   source.At[civil.Place]                                        `key:"position" doc:"Latitude and longitude, for sunrise and sunset" default:"position of site.yaml" example:"53.35 ° N 6.26 ° W"`
}
