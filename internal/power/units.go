package power

import "auditgen/internal/quantity"

// Quantities that only formulas of this package use, each in its base unit.
type (
	Ohms   float64 // Ω
	Farads float64 // F
	PerMin float64 // 1/min, speed of rotation
)

var (
	resistance  = &quantity.Kind{Name: "resistance", Units: []quantity.Unit{{Symbol: "Ω", Scale: 1}, {Symbol: "mΩ", Scale: 1e-3}, {Symbol: "ohm", Scale: 1}, {Symbol: "mohm", Scale: 1e-3}}, Example: "12.5 mΩ"}
	capacitance = &quantity.Kind{Name: "capacitance", Units: []quantity.Unit{{Symbol: "F", Scale: 1}, {Symbol: "µF", Scale: 1e-6}, {Symbol: "uF", Scale: 1e-6}}, Example: "94.6 µF"}
	speed       = &quantity.Kind{Name: "speed", Units: []quantity.Unit{{Symbol: "1/min", Scale: 1}, {Symbol: "rpm", Scale: 1}, {Symbol: "r/min", Scale: 1}}, Example: "1470 rpm"}
)

// Kind gives the units of resistance and reactance.
func (Ohms) Kind() *quantity.Kind { return resistance }

// Kind gives the units of capacitance.
func (Farads) Kind() *quantity.Kind { return capacitance }

// Kind gives the unit of speed.
func (PerMin) Kind() *quantity.Kind { return speed }
