package tariff

import (
	"math"
	"slices"

	"auditgen/internal/money"
	"auditgen/internal/working"
)

// op is an operation that Price knows by itself; the others are called.
type op uint8

const (
	opCall op = iota
	opTimes
	opRound // half up
	opSum
	opAbove
	opWithin
	opHighest
)

// roundingDust is the part of a step within which a number is taken to lie on
// the next multiple, as its decimals would.
const roundingDust = 1e-9

// roundFloat brings x to a multiple of step.
func roundFloat(way money.Rounding, x, step float64) float64 {
	n := math.Abs(x) / step
	switch way {
	case money.HalfUp:
		n = math.Floor(n + 0.5 + roundingDust)
	case money.HalfEven:
		n = math.RoundToEven(n)
	case money.Cut:
		n = math.Floor(n + roundingDust)
	default:
		n = math.Ceil(n - roundingDust)
	}
	return math.Copysign(float64(n*step), x)
}

// quickOps and quickCalls hold the float64 arithmetic of every formula that an
// amount may rest on (TestQuickBillIsTheBill). Products are rounded before they
// are added, so that a compiler does not fuse the two.
var (
	quickOps   = map[*working.Formula]op{}
	quickCalls = map[*working.Formula]func([]float64) float64{}
)

func init() {
	for f, o := range map[*working.Formula]op{
		timesF.Formula: opTimes, totalF.Formula: opSum, aboveF.Formula: opAbove, leftF.Formula: opAbove, withinF.Formula: opWithin, highF.Formula: opHighest,
		amountF[money.HalfUp].Formula: opRound, billedF[money.HalfUp].Formula: opRound, meteredF[money.HalfUp].Formula: opRound, roundingF[money.HalfUp].Formula: opRound,
	} {
		quickOps[f] = o
	}
	for _, forms := range []map[money.Rounding]exactly{amountF, meteredF, billedF, roundingF} {
		for way, f := range forms {
			quickCalls[f.Formula] = func(x []float64) float64 { return roundFloat(way, float64(x[0]*x[1]), x[2]) }
		}
	}
	for way, f := range countedF {
		quickCalls[f.Formula] = func(x []float64) float64 { return float64(wholeSteps(way, x[0]/x[1]) * x[2]) }
	}
	holds := map[string]func(a, b float64) bool{
		"up to": func(a, b float64) bool { return a <= b }, "above": func(a, b float64) bool { return a > b },
		"below": func(a, b float64) bool { return a < b }, "from": func(a, b float64) bool { return a >= b },
	}
	for word, f := range holdsF {
		quickCalls[f.Formula] = func(x []float64) float64 { return either(holds[word](x[0], x[1]), 1, 0) }
	}
	for f, call := range map[*working.Formula]func(x []float64) float64{
		lessF.Formula:        func(x []float64) float64 { return x[0] - x[1] },
		minusF.Formula:       func(x []float64) float64 { return -x[0] },
		addedF.Formula:       func(x []float64) float64 { return float64(x[0] * (1 + x[1])) },
		leastF.Formula:       func(x []float64) float64 { return slices.Min(x) },
		ceilingF.Formula:     func(x []float64) float64 { return min(0, x[0]-x[1]) },
		partF.Formula:        func(x []float64) float64 { return float64(x[0]*x[1]) / x[2] },
		sharedF.Formula:      func(x []float64) float64 { return float64(x[0]*x[1]) / x[2] },
		meanF.Formula:        func(x []float64) float64 { return x[0] / x[1] },
		averageOfF.Formula:   meanFloat,
		averageF.Formula:     func(x []float64) float64 { return factorFloat(x[0], x[1]) },
		tangentF.Formula:     func(x []float64) float64 { return either(x[0] > 0, x[1]/x[0], 0) },
		peakF.Formula:        func(x []float64) float64 { return either(x[1] > 0, min(1, x[0]/x[1]), 1) },
		hypotF.Formula:       func(x []float64) float64 { return math.Sqrt(float64(x[0]*x[0]) + float64(x[1]*x[1])) },
		adjustF.Formula:      func(x []float64) float64 { return float64(x[0]*x[1]) / x[2] },
		cappedF.Formula:      func(x []float64) float64 { return min(x[0], float64(x[1]*(1+x[2]))) },
		shortF.Formula:       func(x []float64) float64 { return max(0, x[0]-max(x[1], x[2])) },
		rateF.Formula:        func(x []float64) float64 { return float64(x[0]*x[2]) / x[1] },
		addF.Formula:         func(x []float64) float64 { return min(x[0], float64(x[1]*(x[2]/x[3]-1))) },
		offF.Formula:         func(x []float64) float64 { return -min(x[0], float64(x[1]*(1-x[2]/x[3]))) },
		loadF.Formula:        func(x []float64) float64 { return x[0] / float64(float64(24*x[1])*x[2]) },
		equivalentF.Formula:  func(x []float64) float64 { return either(x[2] > 0 && x[2] < x[1], float64(x[0]*(x[1]/x[2]-1)), 0) },
		insideF.Formula:      func(x []float64) float64 { return x[0] / (1 - x[0] - x[1]) },
		withinPriceF.Formula: func(x []float64) float64 { return float64(x[0]*x[1]) / (1 + x[1]) },
		beyondF.Formula:      func(x []float64) float64 { return either(x[1] > 0 && x[1] > x[2], float64(x[0]*(x[1]-x[2]))/x[1], 0) },
		wholeHoursF.Formula: func(x []float64) float64 {
			return either(x[1] > 0, float64(math.Floor(x[0]/x[1]+roundingDust)*x[1]), x[0])
		},
		wholeBlockF.Formula:    func(x []float64) float64 { return either(x[0] <= x[2] && (x[3] == 0 || x[0] > x[1]), x[0], 0) },
		raisedF.Formula:        func(x []float64) float64 { return either(x[0] < x[4] || x[2] >= x[3], x[0], x[1]) },
		reachedF.Formula:       func(x []float64) float64 { return either(x[0] < x[1] && x[0] >= x[2], x[3], 0) },
		eitherF.Formula:        func(x []float64) float64 { return either(x[0] < x[1], x[2], x[3]) },
		hoursOfUseF.Formula:    func(x []float64) float64 { return either(x[1] > 0, x[0]/x[1], 0) },
		rowF.Formula:           rowFloat,
		classF.Formula:         classFloat,
		meanOfHighestF.Formula: highestMeanFloat,
	} {
		quickCalls[f] = call
	}
}

func either(first bool, a, b float64) float64 {
	if first {
		return a
	}
	return b
}

func wholeSteps(way StepCount, n float64) float64 {
	switch way {
	case StepsUp:
		return math.Ceil(n - roundingDust)
	case StepsDown:
		return math.Floor(n + roundingDust)
	case StepsHalfUp:
		return math.Floor(n + 0.5 + roundingDust)
	}
	return math.Ceil(n - 0.5 - roundingDust)
}

func factorFloat(e, r float64) float64 {
	if !(e > 0) {
		return 1
	}
	return e / math.Sqrt(float64(e*e)+float64(r*r))
}

func meanFloat(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

func rowFloat(x []float64) float64 {
	v := 0.0
	for i := 1; i < len(x) && x[0] >= x[i]; i += 2 {
		v = x[i+1]
	}
	return v
}

func classFloat(x []float64) float64 {
	i := 1
	for i+1 < len(x) && x[0] > x[i] {
		i += 2
	}
	return x[min(i+1, len(x)-1)]
}

func highestMeanFloat(x []float64) float64 {
	d := x[1:]
	slices.Sort(d)
	n := min(int(x[0]), len(d))
	return meanFloat(d[len(d)-n:])
}
