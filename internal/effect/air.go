package effect

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// LeakShare is the share of a compressor's output that leaks, from the times that
// it runs loaded and unloaded while nothing uses air. Below 10 % is well kept, 20
// to 30 % poor.
func LeakShare(on, off quantity.Hours) (quantity.Ratio, bool) {
	if !(on >= 0 && off >= 0 && on+off > 0) {
		return 0, false
	}
	return quantity.Ratio(on / (on + off)), true
}

// LeakShareF is LeakShare as a formula.
var LeakShareF = working.Def2("share of air that leaks", "l = t_on / (t_on + t_off)", "leak test by load times, public notes", "t_on", "t_off", or2(LeakShare))

// LeakPowerF is the power that leaks cost: their share of the loaded power.
var LeakPowerF = working.Def2("power of leaks", "P_l = l * P", "leak share of the loaded power, public notes", "l", "P",
	func(l quantity.Ratio, p quantity.Watts) quantity.Watts { return p * quantity.Watts(l) })

// LeaksLeft is the share of the loaded time that is left when leaks fall from one
// share of the present output to another.
func LeaksLeft(from, to quantity.Ratio) (quantity.Ratio, bool) {
	if !(from >= 0 && from <= 1 && to >= 0 && to <= 1) {
		return 0, false
	}
	return 1 - from + to, true
}

// LeaksLeftF is LeaksLeft as a formula.
var LeaksLeftF = working.Def2("loaded time left with fewer leaks", "k = 1 - l_1 + l_2", "leak share of the output, which goes with the loaded time", "l_1", "l_2", or2(LeaksLeft))

// OrificePowerF is the power that holes cost: how many, the flow of each through a
// rounded hole, the coefficient of a sharp edge, and the compressor's power for a
// flow. Flow is in any unit, as long as power is for the same.
var OrificePowerF = working.Def4("power of open holes", "P_l = n * q * k * w", "US DOE compressed air tip sheet 3 (inputs from memory)", "n", "q", "k", "w",
	func(n, flow, k quantity.Ratio, w quantity.Watts) quantity.Watts {
		return quantity.Watts(n*flow*k) * w
	})

// LossFactor is the mean square of a load over the square of its highest, from
// its load factor and the share c of the linear part: 0.3 in general, 0.15 for
// distribution.
func LossFactor(load, c quantity.Ratio) (quantity.Ratio, bool) {
	if !(load >= 0 && load <= 1 && c >= 0 && c <= 1) {
		return 0, false
	}
	return c*load + (1-c)*load*load, true
}

// LossFactorF is LossFactor as a formula.
var LossFactorF = working.Def2("loss factor", "LSF = c * LF + (1 - c) * LF^2", "distribution practice (from memory)", "LF", "c", or2(LossFactor))

// MeanLoading is the root of the mean square of a transformer's loading, from the
// highest demand, the loss factor and the rating.
func MeanLoading(highest quantity.VoltAmperes, factor quantity.Ratio, rating quantity.VoltAmperes) (quantity.Ratio, bool) {
	if !(rating > 0 && factor >= 0) {
		return 0, false
	}
	return quantity.Ratio(float64(highest) * math.Sqrt(float64(factor)) / float64(rating)), true
}

// MeanLoadingF is MeanLoading as a formula.
var MeanLoadingF = working.Def3("mean loading of a transformer", "x = S_max * sqrt(LSF) / S_r", "definition of the loss factor", "S_max", "LSF", "S_r", or3(MeanLoading))

// ExtraHeatF is by how much distortion multiplies the heat in a conductor.
var ExtraHeatF = working.Def1("heat of a distorted current", "k = 1 + THD^2", "Joule's law, skin effect left out", "THD",
	func(thd quantity.Ratio) quantity.Ratio { return 1 + thd*thd })
