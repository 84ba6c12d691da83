package limits

import "auditgen/internal/quantity"

// Class is a class of equipment of IEC 61000-3-2.
type Class string

// The classes: A is equipment in general, B portable tools, C lighting, D
// computers, monitors and television sets. The limits of class C are shares of
// the fundamental: see LightingHarmonic.
const (
	ClassA Class = "class-a"
	ClassB Class = "class-b"
	ClassC Class = "class-c"
	ClassD Class = "class-d"
)

// EquipmentCurrent gives the limit of a harmonic current of equipment of up to
// 16 A per phase, from its class, its input power and the order (2 to 40). Class
// D covers 75 W to 600 W and is capped by class A. It is false where no limit is
// set, and for class C, whose limits are no currents. The limits bind a product in a type test, not an installation.
func EquipmentCurrent(c Class, p quantity.Watts, order int) (Limit[quantity.Amperes], bool) {
	f, t := published().table(IEC61000_3_2, string(c))
	if t == nil || c == ClassC || (c == ClassD && (p < 75 || p > 600)) {
		return Limit[quantity.Amperes]{}, false
	}
	for _, row := range t.Rows {
		if o := row.order(order); o != nil {
			l := Limit[quantity.Amperes]{Name: "harmonic current of equipment", Value: o.amperes(order, p), Cite: row.cite(f, t)}
			if c == ClassD {
				if a, ok := EquipmentCurrent(ClassA, p, order); ok && a.Value < l.Value {
					l.Value = a.Value
				}
			}
			return l, true
		}
	}
	return Limit[quantity.Amperes]{}, false
}

// LightingHarmonic gives the limit of a harmonic current of lighting (class C), as
// a share of its fundamental current, from its input power, its power factor (0
// excluded to 1), which the limit of order 3 goes by, and the order (2 to 39). It
// is false up to 25 W, where other rules hold, and for an order without a limit.
// It binds a product in a type test.
func LightingHarmonic(p quantity.Watts, pf quantity.Ratio, order int) (Limit[quantity.Ratio], bool) {
	f, t := published().table(IEC61000_3_2, string(ClassC))
	if t == nil || !(p > 25) || !(pf > 0 && pf <= 1) {
		return Limit[quantity.Ratio]{}, false
	}
	for _, row := range t.Rows {
		if o := row.order(order); o != nil {
			l := Limit[quantity.Ratio]{Name: "harmonic current of lighting", Value: o.share(order), Cite: row.cite(f, t)}
			if o.ByPowerFactor {
				l.Value *= pf
			}
			return l, true
		}
	}
	return Limit[quantity.Ratio]{}, false
}

// Phases tells how equipment of IEC 61000-3-12 is connected.
type Phases string

// The kinds of equipment of IEC 61000-3-12.
const (
	BalancedThreePhase Phases = "balanced-three-phase"
	OtherPhases        Phases = "other"
)

// EquipmentHarmonic gives the limit of a harmonic current of equipment above
// 16 A and up to 75 A per phase, as a share of its reference current, from its
// short-circuit ratio Rsce and the order. It is false below a ratio of 33, for
// which the standard has no row, and for an order without a limit.
func EquipmentHarmonic(p Phases, rsce float64, order int) (Limit[quantity.Ratio], bool) {
	return individual(IEC61000_3_12, string(p), "harmonic current of equipment", anyBus, rsce, order)
}

// EquipmentTHC gives the limit of the total harmonic current of such equipment.
func EquipmentTHC(p Phases, rsce float64) (Limit[quantity.Ratio], bool) {
	return total(IEC61000_3_12, string(p), "harmonic current of equipment, total", anyBus, rsce)
}

// EquipmentPWHC gives the limit of the partial weighted harmonic current of such
// equipment.
func EquipmentPWHC(p Phases, rsce float64) (Limit[quantity.Ratio], bool) {
	f, t := published().table(IEC61000_3_12, string(p))
	if t == nil {
		return Limit[quantity.Ratio]{}, false
	}
	r := t.row(anyBus, rsce)
	if r == nil || r.Weighted == nil {
		return Limit[quantity.Ratio]{}, false
	}
	return Limit[quantity.Ratio]{Name: "harmonic current of equipment, weighted", Value: r.Weighted.Value, Cite: r.cite(f, t)}, true
}

// anyBus is a voltage for tables that do not go by it.
const anyBus quantity.VoltsLL = 1
