package site

import (
	"auditgen/internal/civil"
	"auditgen/internal/picture"
	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
)

// Visit is one file of visits/: what was found that day.
type Visit struct {
	source.Where
	Date       source.At[civil.Date]    `key:"visit" need:"yes" doc:"Date of the visit; the file is named after it" example:"2031-05-14"`
	By         source.At[string]        `key:"by" need:"yes" doc:"Who measured" example:"I. Marchbank"`
	With       source.At[string]        `key:"with" need:"yes" doc:"Instrument used, by its id in provider.toml" example:"clamp-1"`
	Report     source.At[string]        `key:"report" doc:"Number of the report" example:"RT-0208"`
	Conditions source.At[string]        `key:"conditions" doc:"What ran, weather, anything out of the ordinary" example:"a normal working day, 17 °C, all lines running"`
	Readings   []Reading                `key:"readings" doc:"What the meter showed" example:"[{id: R1, at: incomer, wiring: 3P4W, total: {power: 48.5 kW}}]"`
	Loads      []Load                   `key:"loads" doc:"What uses electricity, and how long it runs" example:"[{id: pump, name: Well pump, at: DB1-4, use: water, reading: R2, runs: {calendar: always}}]"`
	Photos     []Photo                  `key:"photos" doc:"Photos printed with the report; brought to size, turned upright, and without their place and time" example:"[{file: board.jpg, shows: main board with its cover off, at: incomer}]"`
	Removed    source.OneOrMany[string] `key:"removed" doc:"Ids of loads and readings of earlier visits that no longer stand" example:"[old-chiller, R4]"`
}

// Photo is a picture taken at the visit.
type Photo struct {
	source.Where
	File  source.At[string] `key:"file" need:"yes" doc:"JPEG or PNG file in the folder photos of the site" example:"board.jpg"`
	Shows source.At[string] `key:"shows" need:"yes" doc:"What it shows, for those who cannot see it" example:"main board with its cover off"`
	At    source.At[string] `key:"at" doc:"Where it was taken" example:"incomer"`

	Images []picture.Image // ready to be published, narrowest first
}

// Reading is one reading: what the meter showed at a point, in any subset.
type Reading struct {
	source.Where
	ID        source.At[string]                             `key:"id" need:"yes" doc:"Short name, unique in the site" example:"R1"`
	At        source.At[string]                             `key:"at" need:"yes" doc:"Point, or point and way: a board's id, a hyphen, the circuit" example:"DB1-4"`
	Of        source.At[string]                             `key:"of" doc:"What was running, in words" example:"ice-water chiller, compressor loaded"`
	Time      source.At[civil.Clock]                        `key:"time" doc:"Local time" example:"10:40"`
	With      source.At[string]                             `key:"with" doc:"Instrument, when not the visit's" example:"clamp-2"`
	Wiring    source.At[Wiring]                             `key:"wiring" need:"yes" doc:"1P2W, 1P3W, 3P3W or 3P4W" example:"3P4W"`
	Balanced  source.At[bool]                               `key:"balanced" doc:"One phase was measured and stands for all three" default:"no" example:"yes"`
	Phases    source.Map[Phase]                             `key:"phases" doc:"By phase: A, B, C (or L1, L2, L3), and N for the neutral's current" example:"{A: {voltage: 231.2 V, current: 84.1 A}, N: {current: 6.5 A}}"`
	Lines     source.Map[LineSet]                           `key:"lines" doc:"Line to line: AB, BC, CA; a 3P3W reading gives the two wattmeters as the power of two of them" example:"{AB: {voltage: 401 V, power: 10.0 kW}, CB: {power: 4.1 kW}}"`
	Total     Phase                                         `key:"total" doc:"What the meter shows as sum or total" example:"{power: 48.5 kW, pf: 0.84 lag}"`
	Sequence  source.At[Sequence]                           `key:"sequence" doc:"Phase sequence shown: ABC (forward) or ACB (reverse)" example:"ABC"`
	Frequency source.At[quantity.Displayed[quantity.Hertz]] `key:"frequency" unit:"Hz" doc:"Frequency shown" example:"50.02 Hz"`
	Harmonics Harmonics                                     `key:"harmonics" doc:"Distortion shown" example:"{current: {phase: A, thd: 24.1 % of fundamental}}"`
	Ratios    *Ratios                                       `key:"ratios" doc:"Instrument transformers that the meter stood behind" default:"none" example:"{ct: 200/5, set: no}"`
	Wave      *Wave                                         `key:"wave" doc:"CSV file of sampled voltages and currents, in the site's folder; it fills in what is not typed here" example:"waves/R1.csv"`
}

// Phase is what a meter shows of one phase, or of the total.
type Phase struct {
	source.Where
	Voltage  source.At[quantity.Displayed[quantity.VoltsLN]]     `key:"voltage" unit:"V" doc:"Line to neutral, rms" example:"231.2 V"`
	Current  source.At[quantity.Displayed[quantity.Amperes]]     `key:"current" unit:"A" doc:"Rms" example:"84.1 A"`
	Power    source.At[quantity.Displayed[quantity.Watts]]       `key:"power" unit:"W or kW" doc:"Active power; negative as displayed" example:"16.2 kW"`
	Reactive source.At[quantity.Displayed[quantity.Vars]]        `key:"reactive" unit:"var or kvar" doc:"Reactive power, lagging positive" example:"10.4 kvar"`
	Apparent source.At[quantity.Displayed[quantity.VoltAmperes]] `key:"apparent" unit:"VA or kVA" doc:"Apparent power" example:"19.3 kVA"`
	PF       source.At[quantity.PowerFactor]                     `key:"pf" doc:"Power factor with lag or lead" example:"0.84 lag"`
	Angle    source.At[quantity.Displayed[quantity.Degrees]]     `key:"angle" unit:"°" doc:"Angle by which current lags voltage" example:"32.9 °"`

	VoltageAngle source.At[quantity.Displayed[quantity.Degrees]] `key:"voltage-angle" unit:"°" doc:"Angle of the voltage against one reference for all phases; in a forward sequence B stands at -120 °" example:"-120.3 °"`
}

// LineSet is what a meter shows between two lines.
type LineSet struct {
	source.Where
	Voltage  source.At[quantity.Displayed[quantity.VoltsLL]]     `key:"voltage" unit:"V" doc:"Line to line, rms" example:"401 V"`
	Power    source.At[quantity.Displayed[quantity.Watts]]       `key:"power" unit:"W or kW" doc:"What this wattmeter shows (3P3W)" example:"10.0 kW"`
	Current  source.At[quantity.Displayed[quantity.Amperes]]     `key:"current" unit:"A" doc:"Current of a load between two lines" example:"12.0 A"`
	Apparent source.At[quantity.Displayed[quantity.VoltAmperes]] `key:"apparent" unit:"VA or kVA" doc:"Apparent power of a load between two lines" example:"4.8 kVA"`
	Reactive source.At[quantity.Displayed[quantity.Vars]]        `key:"reactive" unit:"var or kvar" doc:"Reactive power of a load between two lines" example:"1.2 kvar"`
	PF       source.At[quantity.PowerFactor]                     `key:"pf" doc:"Power factor of a load between two lines" example:"0.92 lag"`
}

// Harmonics is the distortion shown for current and voltage.
type Harmonics struct {
	Current source.List[Spectrum] `key:"current" doc:"Of the current, one group or a list by phase" example:"{phase: A, thd: 24.1 % of fundamental, orders: {5: 18.0 %}}"`
	Voltage source.List[Spectrum] `key:"voltage" doc:"Of the voltage, one group or a list by phase" example:"[{phase: A, thd: 2.1 % of fundamental}, {phase: B, thd: 2.3 % of fundamental}]"`
}

// Spectrum is the distortion of one wave.
type Spectrum struct {
	source.Where
	Phase  source.At[string]                                         `key:"phase" need:"yes" doc:"Phase it was read on" example:"A"`
	THD    source.At[quantity.Distortion]                            `key:"thd" doc:"Total harmonic distortion, with its base" example:"24.1 % of fundamental"`
	OfRMS  source.At[quantity.Displayed[quantity.Ratio]]             `key:"thd-of-rms" unit:"%" doc:"The same as a share of rms, where the meter shows both" example:"23.4 %"`
	Orders source.Map[source.At[quantity.Displayed[quantity.Ratio]]] `key:"orders" unit:"%" doc:"Harmonic orders 2 to 50, each as a share of the fundamental" example:"{3: 12.1 %, 5: 18.0 %}"`
}

// Load is a thing, or a number of like things, that uses electricity.
type Load struct {
	source.Where
	ID        source.At[string]                            `key:"id" need:"yes" doc:"Short name, unique in the site" example:"chiller"`
	Name      source.At[string]                            `key:"name" need:"yes" doc:"Name in the report" example:"Ice-water chiller"`
	At        source.At[string]                            `key:"at" need:"yes" doc:"Point, or point and way, that feeds it" example:"DB2-3"`
	Use       source.At[string]                            `key:"use" need:"yes" doc:"What it is for; loads of one use are added up" example:"refrigeration"`
	Reading   source.At[string]                            `key:"reading" doc:"Reading of its running power" example:"R7"`
	Motor     *MotorPlate                                  `key:"motor" doc:"Plate of its motor, to judge how hard it is loaded and its efficiency class" example:"{rated: 7.5 kW, efficiency: 88.7 %, poles: 4}"`
	Nameplate *Nameplate                                   `key:"nameplate" doc:"Plate data, where it was not measured" example:"{rated: 7.5 kW, loading: 70 % ± 10 %, efficiency: 88 %}"`
	Power     source.At[quantity.Estimate[quantity.Watts]] `key:"power" unit:"W or kW" doc:"Running power by judgement, where there is neither reading nor plate" example:"300..400..600 W"`
	Lamps     *Lamps                                       `key:"lamps" doc:"Lamps that were counted, where their power was not measured" example:"{number: 24, each: 36 W, ballast: 4..6..9 W}"`
	PerArea   *PerArea                                     `key:"per-area" doc:"Power by floor area, where there is nothing better" example:"{area: 320 m², power: 8..10..13 W/m²}"`
	PF        source.At[quantity.PowerFactor]              `key:"pf" doc:"Power factor that goes with a power that was not measured" default:"0.95 lag" example:"0.92 lag"`
	Intervals *IntervalFile                                `key:"intervals" doc:"Its log, where it was logged: its power and its profile come from there" example:"intervals/oven.csv"`
	States    source.Map[LoadState]                        `key:"states" doc:"A load with several running states, each with its share of the running time" example:"{loaded: {reading: R8, duty: 55 %}, unloaded: {reading: R9, duty: 30 %}}"`
	Standby   source.At[quantity.Estimate[quantity.Watts]] `key:"standby" unit:"W" doc:"Power while its calendar is off" default:"0 W" example:"40 W"`
	Runs      Runs                                         `key:"runs" need:"yes" doc:"When and how much of the time it runs" example:"{calendar: production, duty: 45..60..75 %}"`
	Typical   source.At[quantity.Estimate[quantity.Ratio]] `key:"typical" unit:"%" doc:"How far the power on the day may be from its yearly mean, as a share of it" default:"doubt.typical of site.yaml" example:"90..100..120 %"`
	Because   source.At[string]                            `key:"because" doc:"Why the duty, power or count is taken so" example:"cycles watched for 40 minutes"`

	Seen civil.Date // the visit that lists it, of those up to the one reported on
}

// Lamps are lamps as counted, with what each takes.
type Lamps struct {
	source.Where
	Number  source.At[quantity.Count]                    `key:"number" need:"yes" doc:"Lamps that burn together" example:"24"`
	Each    source.At[quantity.Estimate[quantity.Watts]] `key:"each" need:"yes" unit:"W" doc:"What is printed on one lamp; of an LED lamp what it takes with its driver" example:"36 W"`
	Ballast source.At[quantity.Estimate[quantity.Watts]] `key:"ballast" unit:"W" doc:"What the ballast of one lamp takes beside it" default:"0 W: in the power of the lamp" example:"4..6..9 W"`
}

// PerArea is a power by floor area.
type PerArea struct {
	source.Where
	Area  source.At[quantity.Displayed[quantity.SquareMetres]]       `key:"area" need:"yes" unit:"m² or ft²" doc:"Floor that it serves" example:"320 m²"`
	Power source.At[quantity.Estimate[quantity.WattsPerSquareMetre]] `key:"power" need:"yes" unit:"W/m² or W/ft²" doc:"Power for each square metre or foot while it runs" example:"8..10..13 W/m²"`
}

// Nameplate is a motor's or appliance's plate with how hard it works.
type Nameplate struct {
	source.Where
	Rated      source.At[quantity.Displayed[quantity.RatedWatts]] `key:"rated" need:"yes" unit:"W, kW or hp" doc:"Rated output of a motor, or input of an appliance; hp is 745.7 W of output and needs the efficiency" example:"7.5 kW"`
	Loading    source.At[quantity.Estimate[quantity.Ratio]]       `key:"loading" unit:"%" doc:"Share of the rating in use" default:"60..75..90 %" example:"70 % ± 10 %"`
	Efficiency source.At[quantity.Displayed[quantity.Ratio]]      `key:"efficiency" unit:"%" doc:"Efficiency at that loading; 100 % when the plate gives input" default:"100 %" example:"88 %"`
	Speed      *PlateSpeed                                        `key:"speed" doc:"Speed read with a tachometer or stroboscope, from whose slip the loading follows; in place of loading" example:"{read: 1472 rpm, plate: 1455 rpm, poles: 4}"`
	Current    *PlateCurrent                                      `key:"current" doc:"Current read with a clamp, from which the loading follows roughly, above about half load; in place of loading" example:"{read: 11.8 A, plate: 14.6 A}"`
	Voltage    *PlateVoltage                                      `key:"voltage" doc:"Voltage read meanwhile, which corrects the loading by speed or current" example:"{read: 394 V, plate: 400 V}"`
}

// PlateSpeed is a motor's speed as read, and what its slip is held against.
type PlateSpeed struct {
	source.Where
	Read      source.At[quantity.Displayed[power.PerMin]]   `key:"read" need:"yes" unit:"rpm" doc:"Speed of the shaft while it works; its last digit counts as doubt" example:"1472 rpm"`
	Plate     source.At[quantity.Displayed[power.PerMin]]   `key:"plate" need:"yes" unit:"rpm" doc:"Full-load speed on the plate, at the nominal frequency; it may be off by a fifth of the slip" example:"1455 rpm"`
	Poles     source.At[int]                                `key:"poles" need:"yes" doc:"Number of poles: 2, 4, 6, 8, 10 or 12" example:"4"`
	Frequency source.At[quantity.Displayed[quantity.Hertz]] `key:"frequency" unit:"Hz" doc:"Frequency read meanwhile" default:"the nominal frequency, within 0.1 %" example:"49.98 Hz"`
}

// PlateCurrent is a motor's current as read and on its plate.
type PlateCurrent struct {
	source.Where
	Read  source.At[quantity.Displayed[quantity.Amperes]] `key:"read" need:"yes" unit:"A" doc:"Current while it works, the mean of its lines" example:"11.8 A"`
	Plate source.At[quantity.Displayed[quantity.Amperes]] `key:"plate" need:"yes" unit:"A" doc:"Full-load current on the plate, at the plate's voltage" example:"14.6 A"`
}

// PlateVoltage is the voltage at a motor as read and on its plate, both between
// lines, or both of a single-phase motor.
type PlateVoltage struct {
	source.Where
	Read  source.At[quantity.Displayed[quantity.VoltsLL]] `key:"read" need:"yes" unit:"V" doc:"Voltage at the motor, the mean between its lines" example:"394 V"`
	Plate source.At[quantity.Displayed[quantity.VoltsLL]] `key:"plate" need:"yes" unit:"V" doc:"Voltage on the plate, as it is connected" example:"400 V"`
}

// LoadState is one running state of a load.
type LoadState struct {
	source.Where
	Reading source.At[string]                            `key:"reading" doc:"Reading of this state" example:"R8"`
	Power   source.At[quantity.Estimate[quantity.Watts]] `key:"power" unit:"W or kW" doc:"Power of this state by judgement" example:"4.2 kW"`
	Duty    source.At[quantity.Estimate[quantity.Ratio]] `key:"duty" need:"yes" unit:"%" doc:"Share of the calendar's time in this state; the states' duties may leave time off" example:"35 %"`
}

// Runs is when and how much of the time a load runs.
type Runs struct {
	source.Where
	Calendar source.At[string]                             `key:"calendar" need:"yes" doc:"Calendar, or always" example:"production"`
	Duty     source.At[quantity.Estimate[quantity.Ratio]]  `key:"duty" unit:"%" doc:"Share of the calendar's time that it runs, 0 to 100 %" default:"100 %" example:"45..60..75 %"`
	Cycle    source.At[quantity.Displayed[quantity.Hours]] `key:"cycle" unit:"h, min or s" doc:"Length of one on-and-off cycle; left out, the load is taken as on or off for a whole demand window at a time" default:"not known" example:"20 min"`
	Delay    source.At[quantity.Displayed[quantity.Hours]] `key:"delay" unit:"h or min" doc:"How long after the calendar's hours begin it is started" default:"0 min" example:"15 min"`
	Lasts    source.At[quantity.Displayed[quantity.Hours]] `key:"lasts" unit:"h or min" doc:"How long it may run from its start, such as for warming up" default:"to the end of the calendar's hours" example:"45 min"`
	Count    source.At[quantity.Count]                     `key:"count" doc:"Number of like things, each running on its own" default:"1" example:"4"`
	Follows  source.At[string]                             `key:"follows" doc:"Degree-hours of site.yaml that its duty follows through the months; the duty typed is the year's mean" example:"cooling"`
	Base     source.At[quantity.Estimate[quantity.Ratio]]  `key:"base" unit:"%" doc:"Share of the duty that does not follow the weather; needed with follows" example:"20..35..50 %"`
	Never    source.OneOrMany[string]                      `key:"never-with" doc:"Loads that never run while this one does; it tells on demand, the energy being that of the duties" example:"[oven, kiln]"`
	After    source.At[string]                             `key:"starts-after" doc:"The load that leads: this one runs only while that one does; it tells on demand" example:"pump-1"`
}
