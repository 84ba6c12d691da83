package economics

import (
	"github.com/shopspring/decimal"

	"auditgen/internal/working"
)

// Figure is what a symbol of a formula of amounts stands for.
type Figure int

// The figures. A number is a factor, a ratio or a count of years.
const (
	Number Figure = iota
	Amount        // of money
	Energy        // in the kWh that are bought
	Price         // money for a kWh
	Span          // years
)

// ByHand is a formula of amounts with what its symbols are, so that a person can
// work it out apart from a report.
type ByHand struct {
	*working.Formula
	Result Figure
	Args   []Figure // beside Symbols; one for a series
	// Divisor is what the formula divides by, which must be above nothing; nil
	// where it does not divide.
	Divisor func(args []decimal.Decimal) decimal.Decimal
}

// Formulas are the formulas of amounts that a person may want to check.
func Formulas() []ByHand {
	amounts := func(n int) []Figure {
		out := make([]Figure, n)
		for i := range out {
			out[i] = Amount
		}
		return out
	}
	at := func(i int) func([]decimal.Decimal) decimal.Decimal {
		return func(x []decimal.Decimal) decimal.Decimal { return x[i] }
	}
	saved := func(x []decimal.Decimal) decimal.Decimal { return x[1].Sub(x[2]) }
	return []ByHand{
		{PresentValueF, Amount, []Figure{Amount, Number}, nil},
		{InvestmentF, Amount, amounts(3), nil},
		{NetPresentValueF, Amount, amounts(3), nil},
		{SavingsRatioF, Number, amounts(3), at(2)},
		{SimplePaybackF, Span, amounts(3), saved},
		{LifeCycleCostF, Amount, amounts(5), nil},
		{NetSavingsF, Amount, amounts(2), nil},
		{StraightLineF, Amount, []Figure{Amount, Number, Number}, at(1)},
		{ConservedF, Price, []Figure{Amount, Number, Energy}, at(2)},
		{YearlyCostF, Amount, []Figure{Amount, Amount, Number, Number}, nil},
		{TotalF, Amount, amounts(1), nil},
	}
}
