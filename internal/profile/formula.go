package profile

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// gonen is where the factors of a load are defined.
const gonen = "T. Gönen, Electric Power Distribution System Engineering, ch. 2"

// Duty gives the mean power of a machine that runs for a share of the time, 0
// to 1, and idles for the rest.
func Duty(share quantity.Ratio, running, idle quantity.Watts) quantity.Watts {
	return quantity.Watts(share)*running + quantity.Watts(1-share)*idle
}

// ModePower gives what one mode adds to the mean power.
func ModePower(share quantity.Ratio, running quantity.Watts) quantity.Watts {
	return quantity.Watts(share) * running
}

// SumPower adds powers.
func SumPower(parts []quantity.Watts) quantity.Watts {
	var sum quantity.Watts
	for _, p := range parts {
		sum += p
	}
	return sum
}

// EnergyOf gives the energy of a number of like machines from their mean power
// and the hours of the calendar.
func EnergyOf(count quantity.Ratio, mean quantity.Watts, time quantity.Hours) quantity.WattHours {
	return quantity.WattHours(float64(count) * float64(mean) * float64(time))
}

// SumEnergy adds energies.
func SumEnergy(parts []quantity.WattHours) quantity.WattHours {
	var sum quantity.WattHours
	for _, e := range parts {
		sum += e
	}
	return sum
}

// MeanDemand gives the mean power of a period longer than zero.
func MeanDemand(e quantity.WattHours, time quantity.Hours) quantity.Watts {
	return quantity.Watts(float64(e) / float64(time))
}

// LoadFactor gives mean over highest demand of a period, 0 to 1. It is not
// defined where nothing was drawn (NaN).
func LoadFactor(e quantity.WattHours, highest quantity.Watts, time quantity.Hours) quantity.Ratio {
	return quantity.Ratio(float64(e) / (float64(highest) * float64(time)))
}

// HoursOfUse gives the hours at highest demand that would use the energy. It is
// not defined where nothing was drawn (NaN).
func HoursOfUse(e quantity.WattHours, highest quantity.Watts) quantity.Hours {
	return quantity.Hours(float64(e) / float64(highest))
}

// EnergyFactor gives the power factor of a period from its energies, 0 to 1. It
// is not defined where both are zero (NaN).
func EnergyFactor(active quantity.WattHours, reactive quantity.VarHours) quantity.Ratio {
	return quantity.Ratio(float64(active) / math.Hypot(float64(active), float64(reactive)))
}

// Coincidence gives the highest demand of a group over the sum of the highest
// demands of its members, 0 to 1. Its inverse is the diversity factor of North
// American usage; European usage gives that name to this factor.
func Coincidence(group, sum quantity.Watts) quantity.Ratio {
	return quantity.Ratio(group / sum)
}

// The formulas that the report explains.
var (
	DutyF         = working.Def3("mean power of a machine that runs part of the time", "P_m = d * P + (1 - d) * P_i", "definition of duty, time-weighted mean", "d", "P", "P_i", Duty)
	ModePowerF    = working.Def2("part of the mean power due to one mode", "P_k = s * P", "definition of duty, time-weighted mean", "s", "P", ModePower)
	SumPowerF     = working.DefN("mean power of a machine over its modes", "P_m = sum(P_k)", "definition of duty, time-weighted mean", "P_k", SumPower)
	EnergyF       = working.Def3("energy of like machines", "E = n * P_m * h", "definition of energy, mean power by time", "n", "P_m", "h", EnergyOf)
	SumEnergyF    = working.DefN("sum of energies", "E = sum(E_k)", "energies add", "E_k", SumEnergy)
	MeanDemandF   = working.Def2("mean demand", "P_m = E / h", gonen, "E", "h", MeanDemand)
	LoadFactorF   = working.Def3("load factor", "LF = E / (P_max * h)", gonen, "E", "P_max", "h", LoadFactor)
	HoursOfUseF   = working.Def2("hours of use of the highest demand", "h_u = E / P_max", gonen, "E", "P_max", HoursOfUse)
	EnergyFactorF = working.Def2("power factor of a period", "PF = E_p / sqrt(E_p^2 + E_q^2)", "mean power factor from the registers of active and reactive energy", "E_p", "E_q", EnergyFactor)
	CoincidenceF  = working.Def2("coincidence factor", "CF = P_max / P_all", gonen, "P_max", "P_all", Coincidence)
)
