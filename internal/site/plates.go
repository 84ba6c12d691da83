package site

import (
	"slices"
	"strconv"

	"auditgen/internal/diag"
	"auditgen/internal/limits"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
)

// Bank is a bank of capacitors for power-factor correction.
type Bank struct {
	source.Where
	ID      source.At[string]                                   `key:"id" need:"yes" doc:"Short name, unique in the site" example:"bank-1"`
	Name    source.At[string]                                   `key:"name" doc:"Name in the report" default:"the id" example:"Capacitor bank of the main board"`
	At      source.At[string]                                   `key:"at" need:"yes" doc:"Point that it is connected to, or the way that feeds it; a reading at that way is the bank's own" example:"DB1-9"`
	Rated   source.At[quantity.Displayed[quantity.Vars]]        `key:"rated" need:"yes" unit:"var or kvar" doc:"Reactive power of all steps together, on the plate" example:"50 kvar"`
	Voltage source.At[quantity.Displayed[quantity.VoltsLL]]     `key:"voltage" unit:"V" doc:"Voltage on the plate, line to line" default:"the nominal voltage" example:"440 V"`
	Steps   source.OneOrMany[quantity.Displayed[quantity.Vars]] `key:"steps" unit:"var or kvar" doc:"Reactive power of each step; they add up to rated" default:"one step" example:"[12.5 kvar, 12.5 kvar, 25 kvar]"`
	Reactor source.At[quantity.Displayed[quantity.Ratio]]       `key:"reactor" unit:"%" doc:"Detuning reactors: their reactance as a share of the capacitors'" default:"none" example:"7 %"`
}

// Title is the bank's name in a report.
func (b Bank) Title() string {
	if b.Name.IsSet() {
		return b.Name.Value
	}
	return b.ID.Value
}

// MotorPlate is the plate of a motor.
type MotorPlate struct {
	source.Where
	Rated      source.At[quantity.Displayed[quantity.RatedWatts]] `key:"rated" need:"yes" unit:"kW or hp" doc:"Rated output at the shaft" example:"7.5 kW"`
	Efficiency source.At[quantity.Displayed[quantity.Ratio]]      `key:"efficiency" unit:"%" doc:"Efficiency at full load, on the plate" default:"that of its class" example:"88.7 %"`
	Class      source.At[EfficiencyClass]                         `key:"class" doc:"Efficiency class: IE1, IE2, IE3 or IE4 (NEMA Premium is IE3)" default:"the class that its efficiency reaches" example:"IE2"`
	Poles      source.At[int]                                     `key:"poles" doc:"Number of poles: 2, 4, 6 or 8" default:"4" example:"4"`
	Drive      source.At[bool]                                    `key:"drive" doc:"Whether it runs on a drive, whose loss the reading holds too" default:"no" example:"yes"`
}

// EfficiencyClass is an efficiency class of IEC 60034-30-1.
type EfficiencyClass string

// UnmarshalText reads IE1 to IE4.
func (c *EfficiencyClass) UnmarshalText(text []byte) error {
	if !slices.Contains(limits.MotorClasses, string(text)) {
		return diag.OneOf("efficiency class", string(text), limits.MotorClasses)
	}
	*c = EfficiencyClass(text)
	return nil
}

// PolesOrDefault gives the number of poles; most motors have four.
func (m MotorPlate) PolesOrDefault() int { return or(m.Poles, 4) }

// KRating is a transformer's K-rating.
type KRating int

// kRatings are those that transformers are made in (UL 1561, from memory).
var kRatings = []string{"K-1", "K-4", "K-9", "K-13", "K-20", "K-30", "K-40", "K-50"}

// UnmarshalText reads K-4 and its kin.
func (k *KRating) UnmarshalText(text []byte) error {
	if !slices.Contains(kRatings, string(text)) {
		return diag.OneOf("K-rating", string(text), kRatings)
	}
	n, err := strconv.Atoi(string(text[2:]))
	*k = KRating(n)
	return err
}
