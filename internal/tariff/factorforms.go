package tariff

import (
	"auditgen/internal/money"
	"auditgen/internal/source"
)

// PowerFactor is a surcharge or bonus on named lines.
type PowerFactor struct {
	source.Where
	Of      source.OneOrMany[string] `key:"of" need:"yes" doc:"the lines it falls on: all, or their ids; all means the fixed, energy, reactive and demand lines" example:"[demand, day-units]"`
	Except  source.OneOrMany[string] `key:"except" doc:"lines that all does not mean" example:"[meter-rent]"`
	Rule    FactorRule               `key:"measured" doc:"which power factor: average, from the bill's kWh and kvarh; peak, highest kW over highest kVA; at peak, when the kW are highest; or tangent: kvarh / kWh" default:"average" example:"average"`
	Window  source.At[Window]        `key:"window" doc:"averaging time of the demands, when measured: peak" unit:"min" default:"30 min" example:"15 min"`
	Period  source.OneOrMany[string] `key:"period" doc:"only these time periods" default:"all hours" example:"day"`
	NoUse   source.At[Ratio]         `key:"no-use" doc:"power factor of a bill without energy" unit:"0 to 1" default:"1" example:"0.85"`
	Sliced  source.At[Slicing]       `key:"sliced" doc:"yes: each step counts at the rate of its own range; no: all steps count at the rate of the range that is reached" default:"yes" example:"no"`
	Count   source.At[StepCount]     `key:"count-steps" doc:"steps are counted in parts, or whole: up, down, half up or half down" default:"in parts" example:"half down"`
	Leading source.At[LeadingRule]   `key:"leading" doc:"a leading power factor is ignored (counts as 1) or charged like a lagging one" default:"ignored" example:"charged"`
	Round   Step                     `key:"round" doc:"rounding of the power factor before the rule" default:"0.01; 0.0001 of a tangent" example:"0.0001 cut"`
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
	Above  source.At[Ratio] `key:"above" doc:"bonus: lower end of the range; of a tangent: where the surcharge begins" unit:"0 to 1" example:"0.95"`
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

// Slicing tells whether each step of power factor counts at the rate of its own
// range (0), or all steps at the rate of the range that is reached.
type Slicing int

// UnmarshalText reads yes or no.
func (s *Slicing) UnmarshalText(text []byte) error {
	return oneOfWords((*int)(s), "answer", string(text), "yes", "no")
}

// StepCount tells how steps of power factor are counted.
type StepCount int

// The ways.
const (
	InParts StepCount = iota
	StepsUp
	StepsDown
	StepsHalfUp
	StepsHalfDown // a half is not a step
)

// UnmarshalText reads one of the words.
func (s *StepCount) UnmarshalText(text []byte) error {
	return oneOfWords((*int)(s), "way to count steps", string(text), "in parts", "up", "down", "half up", "half down")
}
