package power

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// ErrorBand is the half-width of an instrument's error band of the form "a % of
// reading + n digits": from the reading, the share a (1.5 % is 0.015), the number
// of digits n and the step of the last digit shown, in the unit of the reading.
func ErrorBand[Q ~float64](reading Q, a, digits quantity.Ratio, step Q) Q {
	return Q(math.Abs(float64(reading))*float64(a) + float64(digits)*float64(step))
}

const bandSource = "the usual form of an instrument's accuracy"

// ErrorBand as formulas, for what instruments show.
var (
	ErrorBandVoltsLNF = working.Def4("error band, line-to-neutral voltage", "b = a * abs(x) + n * r", bandSource, "x", "a", "n", "r", ErrorBand[quantity.VoltsLN])
	ErrorBandVoltsLLF = working.Def4("error band, line-to-line voltage", "b = a * abs(x) + n * r", bandSource, "x", "a", "n", "r", ErrorBand[quantity.VoltsLL])
	ErrorBandAmperesF = working.Def4("error band, current", "b = a * abs(x) + n * r", bandSource, "x", "a", "n", "r", ErrorBand[quantity.Amperes])
	ErrorBandWattsF   = working.Def4("error band, active power", "b = a * abs(x) + n * r", bandSource, "x", "a", "n", "r", ErrorBand[quantity.Watts])
	ErrorBandRatioF   = working.Def4("error band, ratio", "b = a * abs(x) + n * r", bandSource, "x", "a", "n", "r", ErrorBand[quantity.Ratio])
)

// StandardFromBand is the standard uncertainty of a reading whose error lies
// anywhere within a band of the given half-width, in the unit of the band. Where
// a maker states a coverage factor the band is divided by that instead.
// JCGM 100:2008, 4.3.7.
func StandardFromBand[Q ~float64](half Q) Q { return half / Q(sqrt3) }

// StandardFromBandF is StandardFromBand as a formula, for relative bands.
var StandardFromBandF = working.Def1("standard uncertainty from a band", "u = b / sqrt(3)", "JCGM 100:2008, 4.3.7", "b", StandardFromBand[quantity.Ratio])

// PowerUncertainty is the relative uncertainty of an active power made of voltage
// and current, from the relative uncertainties of both, the angle of lag (short
// of 90 degrees either way) and the instrument's phase error in degrees. All of
// one kind: standard, or half-widths for the root of squares of bands.
// JCGM 100:2008, 5.1.2, on P = U·I·cos φ.
func PowerUncertainty(uU, uI quantity.Ratio, phi, delta quantity.Degrees) (quantity.Ratio, bool) {
	if math.Abs(float64(phi)) >= 90 {
		return 0, false
	}
	return quantity.Ratio(math.Sqrt(square(uU) + square(uI) + square(tangent(phi)*float64(delta)*radian))), true
}

// PowerUncertaintyF is PowerUncertainty as a formula.
var PowerUncertaintyF = working.Def4("uncertainty of power from phase error", "u_P = sqrt(u_U^2 + u_I^2 + (tan(phi) * delta * pi / 180)^2)",
	"JCGM 100:2008, 5.1.2", "u_U", "u_I", "phi", "delta", or4(PowerUncertainty))

// ProductUncertainty is the relative standard uncertainty of a product of
// factors, from that of each, the factors being independent.
// JCGM 100:2008, 5.1.6.
func ProductUncertainty(factors []quantity.Ratio) quantity.Ratio {
	return quantity.Ratio(math.Sqrt(sumSquares(factors)))
}

// ProductUncertaintyF is ProductUncertainty as a formula.
var ProductUncertaintyF = working.DefN("uncertainty of a product", "u_c = sqrt(sum(u^2))", "JCGM 100:2008, 5.1.6", "u", ProductUncertainty)

// PhaseError is the relative error of an active power that a phase error delta of
// the clamp makes, with the angle phi by which the current truly lags: negative
// when the displayed angle is larger. It grows with tan φ: at a power factor of
// 0.1 a degree is worth 17 %. It is false at 90 degrees, where there is no power
// to compare with.
func PhaseError(phi, delta quantity.Degrees) (quantity.Ratio, bool) {
	if math.Abs(float64(phi)) >= 90 {
		return 0, false
	}
	return quantity.Ratio(cosine(phi+delta)/cosine(phi)) - 1, true
}

// PhaseErrorF is PhaseError as a formula.
var PhaseErrorF = working.Def2("power error from phase error", "e_P = cos(phi + delta) / cos(phi) - 1", "power of a current turned by the phase error", "phi", "delta", or2(PhaseError))

// PhaseErrorReactive is the same for the reactive power. It is false at 0
// degrees.
func PhaseErrorReactive(phi, delta quantity.Degrees) (quantity.Ratio, bool) {
	if phi == 0 {
		return 0, false
	}
	return quantity.Ratio(sine(phi+delta)/sine(phi)) - 1, true
}

// PhaseErrorReactiveF is PhaseErrorReactive as a formula.
var PhaseErrorReactiveF = working.Def2("reactive power error from phase error", "e_Q = sin(phi + delta) / sin(phi) - 1", "power of a current turned by the phase error", "phi", "delta", or2(PhaseErrorReactive))
