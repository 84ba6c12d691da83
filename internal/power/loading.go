package power

import (
	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// Loading as formulas: what is carried as a share of what may be carried.
var (
	CurrentShareF    = working.Def2("share of a current", "s = I / I_b", "definition", "I", "I_b", or2(ShareOf[quantity.Amperes]))
	ApparentLoadingF = working.Def2("loading of a rating", "x = S / S_r", "definition", "S", "S_r", or2(ShareOf[quantity.VoltAmperes]))
	EnergyShareF     = working.Def2("share of an energy", "s = E / E_b", "definition", "E", "E_b", or2(ShareOf[quantity.WattHours]))
	PowerShareF      = working.Def2("share of a power", "s = P / P_b", "definition", "P", "P_b", or2(ShareOf[quantity.Watts]))
	SteadyEnergyF    = working.Def2("energy of a steady power", "E = P * h", "definition of energy", "P", "h", SteadyEnergy)
	PowerAboveF      = working.Def2("power above another", "dP = P - P_b", "difference", "P", "P_b", PowerAbove)
	VoltageFallF     = working.Def2("fall of voltage between two readings", "dU = V_1 - V_2", "difference", "V_1", "V_2", VoltageFall)
	RelativeFallF    = working.Def2("relative fall of voltage", "u = dU / V_n", "definition", "dU", "V_n", or2(RelativeDrop[quantity.VoltsLN]))
	HighestAmperesF  = working.DefN("highest current", "I_m = max(I_k)", "largest of a series", "I_k", HighestCurrent)
	TriplenExpectedF = working.Def2("neutral current of the third harmonic", "I_N3 = 3 * d_3 * I_1", "zero-sequence order of a balanced load", "d_3", "I_1", TriplenExpected)
)

// SteadyEnergy is the energy of a power over some hours: Wh.
func SteadyEnergy(p quantity.Watts, h quantity.Hours) quantity.WattHours {
	return quantity.WattHours(float64(p) * float64(h))
}

// PowerAbove is by how much a power stands above another: W, negative below it.
func PowerAbove(p, base quantity.Watts) quantity.Watts { return p - base }

// VoltageFall is the fall of voltage from one place to another, both read to
// neutral or both between the same lines: V, negative where it rises.
func VoltageFall(from, to quantity.VoltsLN) quantity.VoltsLN { return from - to }

// HighestCurrent is the largest of some currents: A; nothing of none.
func HighestCurrent(currents []quantity.Amperes) quantity.Amperes {
	var most quantity.Amperes
	for _, i := range currents {
		most = max(most, i)
	}
	return most
}

// TriplenExpected is the neutral current that the third harmonic alone makes in
// a balanced four-wire load, from its share of the fundamental line current: A.
func TriplenExpected(third quantity.Ratio, fundamental quantity.Amperes) quantity.Amperes {
	return 3 * fundamental * quantity.Amperes(third)
}
