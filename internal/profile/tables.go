package profile

import "math"

// Draws ask for exponentials and logarithms by the hundred thousand, each to be
// added to something much larger. Here they come from tables with a short
// series about each point, without the last digits that the math package gives:
// within 2e-10 of the value for the exponential, within 1e-10 for the logarithm
// (TestTables).

const (
	expSpan  = 8  // of powers below 0
	expSteps = 64 // to 1
	logSteps = 128
)

// expTable holds exp(-i/expSteps).
var expTable = func() (t [expSpan*expSteps + 1]float64) {
	for i := range t {
		t[i] = math.Exp(-float64(i) / expSteps)
	}
	return t
}()

// expBelow is exp(x) for x from -expSpan to 0.
func expBelow(x float64) float64 {
	i := int(float64(-x*expSteps) + 0.5)
	r := x + float64(i)/expSteps // at most half a step
	return float64(expTable[i] * (1 + float64(r*(1+float64(r*(0.5+float64(r*(1.0/6))))))))
}

// expNear is expBelow for any x up to 0; what it gives below -expSpan means
// nothing.
func expNear(x float64) float64 {
	i := int(float64(-x*expSteps) + 0.5)
	if uint(i) > expSpan*expSteps {
		i = expSpan * expSteps
	}
	r := x + float64(i)/expSteps
	return float64(expTable[i] * (1 + float64(r*(1+float64(r*(0.5+float64(r*(1.0/6))))))))
}

// logTable holds, for the middle of each of logSteps parts of 1 to 2, its
// inverse and its logarithm.
var logTable = func() (t [logSteps]struct{ inverse, log float64 }) {
	for i := range t {
		middle := 1 + (float64(i)+0.5)/logSteps
		t[i].inverse, t[i].log = 1/middle, math.Log(middle)
	}
	return t
}()

// logAbove is log(x) for a finite x of 1 or more.
func logAbove(x float64) float64 {
	const fraction = 52
	bits := math.Float64bits(x)
	whole := int(bits>>fraction) - 1023
	m := math.Float64frombits(bits&(1<<fraction-1) | 1023<<fraction) // 1 to 2
	t := &logTable[bits>>(fraction-7)&(logSteps-1)]
	r := float64(m*t.inverse) - 1
	return float64(float64(whole)*math.Ln2) + t.log + float64(r*(1-float64(r*(0.5-float64(r*(1.0/3))))))
}
