package power

import (
	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

const dropSource = "approximate form, good below a drop of about 10 %"

func drop(i quantity.Amperes, r, x Ohms, phi quantity.Degrees) float64 {
	return float64(i) * (float64(r)*cosine(phi) + float64(x)*sine(phi))
}

// ThreePhaseDrop is the fall of the line-to-line voltage along a three-phase
// cable, from the current, the resistance and reactance of one conductor over
// the whole length, and the angle by which the current lags: V.
func ThreePhaseDrop(i quantity.Amperes, r, x Ohms, phi quantity.Degrees) quantity.VoltsLL {
	return quantity.VoltsLL(sqrt3 * drop(i, r, x, phi))
}

// ThreePhaseDropF is ThreePhaseDrop as a formula.
var ThreePhaseDropF = working.Def4("voltage drop, three phases", "dU = sqrt(3) * I * (R * cos(phi) + X * sin(phi))", dropSource, "I", "R", "X", "phi", ThreePhaseDrop)

// SinglePhaseDrop is the fall of the voltage along a two-wire cable, there and
// back, from the same figures of one conductor: V.
func SinglePhaseDrop(i quantity.Amperes, r, x Ohms, phi quantity.Degrees) quantity.VoltsLN {
	return quantity.VoltsLN(2 * drop(i, r, x, phi))
}

// SinglePhaseDropF is SinglePhaseDrop as a formula.
var SinglePhaseDropF = working.Def4("voltage drop, two wires", "dU = 2 * I * (R * cos(phi) + X * sin(phi))", dropSource, "I", "R", "X", "phi", SinglePhaseDrop)

// RelativeDrop is a voltage drop as a share of the nominal voltage. It is false
// for a nominal voltage of nothing.
func RelativeDrop[V quantity.VoltsLN | quantity.VoltsLL](drop, nominal V) (quantity.Ratio, bool) {
	if nominal <= 0 {
		return 0, false
	}
	return quantity.Ratio(drop / nominal), true
}

// RelativeDropF is RelativeDrop as a formula, between lines.
var RelativeDropF = working.Def2("relative voltage drop", "u = dU / U_n", "definition", "dU", "U_n", or2(RelativeDrop[quantity.VoltsLL]))
