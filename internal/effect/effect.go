// Package effect has the physics of measures: what better lamps, motors, drives,
// capacitors, transformers and a better spread over the phases do to power. It
// knows no site and no money. Power is in W, energy in Wh, reactive power in var
// with lagging positive, shares and efficiencies are ratios.
//
// A function whose arguments make no sense is false; as a formula it then gives
// NaN, which no step may hold.
package effect

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

func or2[R, A, B ~float64](f func(A, B) (R, bool)) func(A, B) R {
	return func(a A, b B) R {
		if r, ok := f(a, b); ok {
			return r
		}
		return R(math.NaN())
	}
}

func or3[R, A, B, C ~float64](f func(A, B, C) (R, bool)) func(A, B, C) R {
	return func(a A, b B, c C) R {
		if r, ok := f(a, b, c); ok {
			return r
		}
		return R(math.NaN())
	}
}

// Emission is the mass of CO2e that goes with an energy, by a factor: kg.
func Emission(e quantity.WattHours, factor quantity.KgPerWh) float64 {
	return float64(e) * float64(factor)
}

// EmissionF is Emission as a formula.
var EmissionF = working.Def2("emission", "m = E * f", "definition of an emission factor", "E", "f", Emission)

// FactorOfGases is the factor of CO2e from those of carbon dioxide, methane and
// nitrous oxide, by their warming over a hundred years in the fifth assessment
// report of the IPCC (28 and 265).
func FactorOfGases(co2, ch4, n2o quantity.KgPerWh) quantity.KgPerWh { return co2 + 28*ch4 + 265*n2o }

// FactorOfGasesF is FactorOfGases as a formula.
var FactorOfGasesF = working.Def3("emission factor of several gases", "f = f_C + 28 * f_M + 265 * f_N", "IPCC fifth assessment report, warming over 100 years, as used by eGRID2022", "f_C", "f_M", "f_N", FactorOfGases)
