package tariff

import (
	"math/big"

	"github.com/shopspring/decimal"

	"auditgen/internal/money"
	"auditgen/internal/working"
)

// exactly is a formula on decimals, bound to its text.
type exactly struct {
	*working.Formula
	fn func([]decimal.Decimal) decimal.Decimal
}

func define(name, text string, symbols []string, fn func([]decimal.Decimal) decimal.Decimal) exactly {
	return exactly{working.DefExact(name, text, "arithmetic of a bill", symbols, fn), fn}
}

func defineSeries(name, text, symbol string, fn func([]decimal.Decimal) decimal.Decimal) exactly {
	f := define(name, text, []string{symbol}, fn)
	f.Series = true
	return f
}

// roundTo brings q to a multiple of step, exactly.
func roundTo(way money.Rounding, q, step decimal.Decimal) decimal.Decimal {
	whole, rest := q.QuoRem(step, 0)
	if rest.IsZero() {
		return whole.Mul(step)
	}
	away := false
	switch twice := rest.Abs().Mul(decimal.New(2, 0)).Cmp(step); way {
	case money.HalfUp:
		away = twice >= 0
	case money.HalfEven:
		away = twice > 0 || twice == 0 && whole.BigInt().Bit(0) == 1
	case money.Up:
		away = true
	}
	if away {
		whole = whole.Add(decimal.New(int64(q.Sign()), 0))
	}
	return whole.Mul(step)
}

// byWay binds one formula for each way of rounding.
func byWay(name, text string, symbols []string) map[money.Rounding]exactly {
	bound := map[money.Rounding]exactly{}
	for _, way := range []money.Rounding{money.HalfUp, money.HalfEven, money.Cut, money.Up} {
		bound[way] = define(name+", "+way.String(), text, symbols, func(x []decimal.Decimal) decimal.Decimal {
			return roundTo(way, x[0].Mul(x[1]), x[2])
		})
	}
	return bound
}

// The formulas of a bill. Each is exact, or rounds as its name says.
var (
	// meteredF takes a metered quantity in base units to the quantity billed. Its
	// second argument is the unit's size: numbers are printed with their units, so
	// that it would be counted twice in print.
	meteredF = byWay("billed quantity", "q = round(m; r)", []string{"m", "", "r"})
	// billedF brings a number to its step.
	billedF = byWay("number brought to its step", "q = round(m * u; r)", []string{"m", "u", "r"})
	// amountF is a line's amount.
	amountF = byWay("amount of a line", "A = round(q * p; r)", []string{"q", "p", "r"})
	timesF  = define("product", "q = a * b", []string{"a", "b"}, func(x []decimal.Decimal) decimal.Decimal { return x[0].Mul(x[1]) })
	totalF  = defineSeries("sum of amounts", "B = sum(A)", "A", func(x []decimal.Decimal) decimal.Decimal { return money.Sum(x...) })
	highF   = defineSeries("highest of", "D = max(d)", "d", highest)
	aboveF  = define("excess", "X = max(0; D - a)", []string{"D", "a"}, func(x []decimal.Decimal) decimal.Decimal {
		return decimal.Max(decimal.Zero, x[0].Sub(x[1]))
	})
	withinF = define("part within limits", "X = min(max(Q - a; 0); b - a)", []string{"Q", "a", "b"}, func(x []decimal.Decimal) decimal.Decimal {
		return decimal.Max(decimal.Zero, decimal.Min(x[0].Sub(x[1]), x[2].Sub(x[1])))
	})
	addedF = define("raised by a share", "q = m * (1 + s)", []string{"m", "s"}, func(x []decimal.Decimal) decimal.Decimal {
		return x[0].Mul(one.Add(x[1]))
	})
	roundingF = byWay("rounding", "d = round(B * u; r)", []string{"B", "u", "r"})
	lessF     = define("difference", "d = a - b", []string{"a", "b"}, func(x []decimal.Decimal) decimal.Decimal { return x[0].Sub(x[1]) })
	// averageF is the power factor from active and reactive energy.
	averageF = define("average power factor of a bill", "PF = E / sqrt(E^2 + R^2)", []string{"E", "R"}, averageFactor)
	peakF    = define("power factor of the highest demands", "PF = P / S", []string{"P", "S"}, func(x []decimal.Decimal) decimal.Decimal {
		if !x[1].IsPositive() {
			return one
		}
		return decimal.Min(one, x[0].DivRound(x[1], factorPlaces))
	})
	adjustF = define("demand adjusted for power factor", "D = P * t / PF", []string{"P", "t", "PF"}, func(x []decimal.Decimal) decimal.Decimal {
		return x[0].Mul(x[1]).DivRound(x[2], factorPlaces)
	})
	cappedF = define("demand raised by no more than", "D = min(d; P * (1 + c))", []string{"d", "P", "c"}, func(x []decimal.Decimal) decimal.Decimal {
		return decimal.Min(x[0], x[1].Mul(one.Add(x[2])))
	})
	shortF = define("power factor short of a mark", "h = max(0; b - max(PF; a))", []string{"b", "PF", "a"}, func(x []decimal.Decimal) decimal.Decimal {
		return decimal.Max(decimal.Zero, x[0].Sub(decimal.Max(x[1], x[2])))
	})
	rateF = define("rate for power factor", "s = h / p * k", []string{"h", "p", "k"}, func(x []decimal.Decimal) decimal.Decimal {
		return x[0].Mul(x[2]).DivRound(x[1], factorPlaces)
	})
	addF = define("surcharge on target over actual", "s = min(c; k * (t / PF - 1))", []string{"c", "k", "t", "PF"}, func(x []decimal.Decimal) decimal.Decimal {
		return decimal.Min(x[0], x[1].Mul(x[2]).DivRound(x[3], factorPlaces).Sub(x[1]))
	})
	offF = define("bonus on target over actual", "s = -min(c; k * (1 - t / PF))", []string{"c", "k", "t", "PF"}, func(x []decimal.Decimal) decimal.Decimal {
		return decimal.Min(x[0], x[1].Sub(x[1].Mul(x[2]).DivRound(x[3], factorPlaces))).Neg()
	})
)

// factorPlaces is how many decimals a power factor is worked out to before the
// tariff's own rounding.
const factorPlaces = 12

func highest(x []decimal.Decimal) decimal.Decimal { return decimal.Max(x[0], x[1:]...) }

// averageFactor is E / sqrt(E² + R²); 1 when no active energy was taken.
func averageFactor(x []decimal.Decimal) decimal.Decimal {
	e, r := x[0], x[1]
	if !e.IsPositive() {
		return one
	}
	square := e.Mul(e)
	return root(square.DivRound(square.Add(r.Mul(r)), 2*factorPlaces+2))
}

// root is the square root of a number of 0 to 1, cut to factorPlaces decimals
// after rounding half up in the last.
func root(d decimal.Decimal) decimal.Decimal {
	const guard = factorPlaces + 1
	scaled := d.Shift(2 * guard).BigInt()
	return decimal.NewFromBigInt(new(big.Int).Sqrt(scaled), -guard).Round(factorPlaces)
}

// hypotF is the apparent energy of active and reactive energy.
var hypotF = define("apparent energy", "A = sqrt(E^2 + R^2)", []string{"E", "R"}, func(x []decimal.Decimal) decimal.Decimal { return hypot(x[0], x[1]) })
