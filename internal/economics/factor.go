// Package economics says what a saving is worth over its life, by the
// conventions of NIST Handbook 135: all sums at the base date, costs of the
// measure at year 0, savings and yearly costs at the end of each year. Amounts
// are exact decimals; rates and factors are plain numbers.
//
// Constant money goes with a real discount rate, current money with a nominal
// one; both give the same present values.
package economics

import (
	"math"

	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// Years is a number of years.
type Years float64

const (
	handbook = "NIST Handbook 135, 1995, discount factors (pages from memory)"
	astm     = "ASTM E917, discount factors (from memory)"
)

// SPV is the single present value factor: what an amount n years on is worth
// now. The discount rate is above -1.
func SPV(d quantity.Ratio, n Years) quantity.Ratio {
	return quantity.Ratio(math.Pow(1+float64(d), -float64(n)))
}

// SPVF is SPV as a formula.
var SPVF = working.Def2("single present value factor", "SPV = (1 + d)^(-n)", handbook, "d", "n", SPV)

// SPVEscalating is the modified single present value factor SPV*: what an amount n
// years on is worth now, by the amount at prices of the base date, where prices
// grow at the rate e.
func SPVEscalating(d, e quantity.Ratio, n Years) quantity.Ratio {
	return quantity.Ratio(math.Pow((1+float64(e))/(1+float64(d)), float64(n)))
}

// SPVEscalatingF is SPVEscalating as a formula.
var SPVEscalatingF = working.Def3("modified single present value factor", "SPV_e = ((1 + e) / (1 + d))^n", handbook, "d", "e", "n", SPVEscalating)

// UPV is the uniform present value factor: what an amount at the end of each of
// n years is worth now, by the amount.
func UPV(d quantity.Ratio, n Years) quantity.Ratio { return UPVEscalating(d, 0, n) }

// UPVF is UPV as a formula.
var UPVF = working.Def2("uniform present value factor", "UPV = (1 - (1 + d)^(-n)) / d", handbook, "d", "n", UPV)

// UPVEscalating is the modified uniform present value factor UPV*, of amounts
// that grow at the rate e: the amount is that of the base date, and the first,
// a year on, has already grown once. At d = e it is n.
func UPVEscalating(d, e quantity.Ratio, n Years) quantity.Ratio {
	q := (1 + float64(e)) / (1 + float64(d))
	return quantity.Ratio(geometric(q, float64(n)))
}

// UPVEscalatingF is UPVEscalating as a formula.
var UPVEscalatingF = working.Def3("modified uniform present value factor", "UPV_e = (1 + e) / (d - e) * (1 - ((1 + e) / (1 + d))^n)", handbook, "d", "e", "n", UPVEscalating)

// geometric is q + q² + … + q^n, for whole n and between them.
func geometric(q, n float64) float64 {
	if math.Abs(q-1) < 1e-12 {
		return n
	}
	return q * math.Expm1(n*math.Log(q)) / (q - 1)
}

// UPVDeclining is UPVEscalating of amounts that besides decline by the share g a
// year from the second year on, as the yield of photovoltaic modules does.
func UPVDeclining(d, e, g quantity.Ratio, n Years) quantity.Ratio {
	return UPVEscalating(d, (1+e)*(1-g)-1, n) / (1 - g)
}

// UPVDecliningF is UPVDeclining as a formula: x is the yearly factor of growth
// and decline over that of discount.
var UPVDecliningF = working.Def4("present value factor of declining savings", "UPV_g = (1 + e) / (1 + d) * (1 - ((1 + e) * (1 - g) / (1 + d))^n) / (1 - (1 + e) * (1 - g) / (1 + d))",
	"geometric series of NIST Handbook 135's factors, the first year without decline", "d", "e", "g", "n", UPVDeclining)

// UCR is the uniform capital recovery factor: the yearly amount that pays 1 back
// in n years.
func UCR(d quantity.Ratio, n Years) quantity.Ratio { return 1 / UPV(d, n) }

// UCRF is UCR as a formula.
var UCRF = working.Def2("uniform capital recovery factor", "UCR = d / (1 - (1 + d)^(-n))", handbook, "d", "n", UCR)

// SinkingFund is the yearly amount that grows to 1 in n years at the rate d.
func SinkingFund(d quantity.Ratio, n Years) quantity.Ratio { return UCR(d, n) - d }

// SinkingFundF is SinkingFund as a formula.
var SinkingFundF = working.Def2("uniform sinking fund factor", "USF = d / ((1 + d)^n - 1)", astm, "d", "n", SinkingFund)

// Nominal is the rate in current money from a real rate and inflation; a real
// escalation becomes a nominal one alike.
func Nominal(real, inflation quantity.Ratio) quantity.Ratio { return (1+real)*(1+inflation) - 1 }

// NominalF is Nominal as a formula.
var NominalF = working.Def2("nominal rate", "D = (1 + d) * (1 + i) - 1", handbook, "d", "i", Nominal)

// Real is the rate in constant money from a nominal rate and inflation.
func Real(nominal, inflation quantity.Ratio) quantity.Ratio { return (1+nominal)/(1+inflation) - 1 }

// RealF is Real as a formula.
var RealF = working.Def2("real rate", "d = (1 + D) / (1 + i) - 1", handbook, "D", "i", Real)

// AdjustedReturn is the adjusted internal rate of return, savings being
// reinvested at the discount rate. It is a number for a ratio above nothing.
func AdjustedReturn(d, sir quantity.Ratio, n Years) quantity.Ratio {
	if sir <= 0 || n <= 0 {
		return quantity.Ratio(math.NaN())
	}
	return (1+d)*quantity.Ratio(math.Pow(float64(sir), 1/float64(n))) - 1
}

// AdjustedReturnF is AdjustedReturn as a formula.
var AdjustedReturnF = working.Def3("adjusted internal rate of return", "AIRR = (1 + d) * SIR^(1 / n) - 1", "NIST Handbook 135, 1995; 10 CFR 436.22", "d", "SIR", "n", AdjustedReturn)
