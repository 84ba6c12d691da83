package uncertainty

import "math"

// The functions of this file use additions, products, quotients and square
// roots alone, each rounded by itself, so that they give the same bits on every
// processor; those of the math package may differ in the last place.

const (
	ln2High = 6.93147180369123816490e-01
	ln2Low  = 1.90821492927058770002e-10
)

// logOf is the natural logarithm of x > 0, by the series of artanh; relative
// error below 1e-15.
func logOf(x float64) float64 {
	m, e := math.Frexp(x)
	if m < math.Sqrt2/2 {
		m, e = float64(2*m), e-1
	}
	f := (m - 1) / (m + 1)
	s := float64(f * f)
	sum := 0.0
	for n := 23; n >= 3; n -= 2 {
		sum = float64(sum*s) + 1/float64(n)
	}
	sum = float64(sum * s)
	k := float64(e)
	return float64(k*ln2High) + (float64(k*ln2Low) + float64(float64(2*f)*(1+sum)))
}

// expOf is the exponential of x; 0 below -745.
func expOf(x float64) float64 {
	if x < -745 {
		return 0
	}
	k := math.Floor(float64(x*math.Log2E) + 0.5)
	r := (x - float64(k*ln2High)) - float64(k*ln2Low)
	sum := 1.0
	for n := 15; n >= 1; n-- {
		sum = 1 + float64(sum*r)/float64(n)
	}
	return math.Ldexp(sum, int(k))
}

// cosPi is the cosine of π·t for t from 0 to 1.
func cosPi(t float64) float64 {
	sign := 1.0
	if t > 0.5 {
		t, sign = 1-t, -1
	}
	if t <= 0.25 {
		return sign * evenSeries(float64(math.Pi*t), 0)
	}
	y := float64(math.Pi * (0.5 - t))
	return float64(sign * float64(y*evenSeries(y, 1)))
}

// evenSeries is the series of the cosine (first = 0), or of the sine over its
// argument (first = 1), for arguments up to π/4.
func evenSeries(y float64, first int) float64 {
	s := float64(y * y)
	sum := 1.0
	for n := 18; n >= 2; n -= 2 {
		sum = 1 - float64(sum*s)/float64((n+first)*(n+first-1))
	}
	return sum
}

// ratio is a rational function with eight coefficients above and below.
func ratio(above, below *[8]float64, r float64) float64 {
	a, b := above[7], below[7]
	for i := 6; i >= 0; i-- {
		a = float64(a*r) + above[i]
		b = float64(b*r) + below[i]
	}
	return a / b
}

// The coefficients of algorithm AS 241, routine PPND16: M. J. Wichura, The
// percentage points of the normal distribution, Applied Statistics 37 (1988)
// 477-484 (from memory; a test holds the result against the inverse error
// function). Relative error about 1e-16.
var (
	middleAbove = [8]float64{3.3871328727963666080e0, 1.3314166789178437745e2, 1.9715909503065514427e3, 1.3731693765509461125e4,
		4.5921953931549871457e4, 6.7265770927008700853e4, 3.3430575583588128105e4, 2.5090809287301226727e3}
	middleBelow = [8]float64{1, 4.2313330701600911252e1, 6.8718700749205790830e2, 5.3941960214247511077e3,
		2.1213794301586595867e4, 3.9307895800092710610e4, 2.8729085735721942674e4, 5.2264952788528545610e3}
	tailAbove = [8]float64{1.42343711074968357734e0, 4.63033784615654529590e0, 5.76949722146069140550e0, 3.64784832476320460504e0,
		1.27045825245236838258e0, 2.41780725177450611770e-1, 2.27238449892691845833e-2, 7.74545014278341407640e-4}
	tailBelow = [8]float64{1, 2.05319162663775882187e0, 1.67638483018380384940e0, 6.89767334985100004550e-1,
		1.48103976427480074590e-1, 1.51986665636164571966e-2, 5.47593808499534494600e-4, 1.05075007164441684324e-9}
	farAbove = [8]float64{6.65790464350110377720e0, 5.46378491116411436990e0, 1.78482653991729133580e0, 2.96560571828504891230e-1,
		2.65321895265761230930e-2, 1.24266094738807843860e-3, 2.71155556874348757815e-5, 2.01033439929228813265e-7}
	farBelow = [8]float64{1, 5.99832206555887937690e-1, 1.36929880922735805310e-1, 1.48753612908506148525e-2,
		7.86869131145613259100e-4, 1.84631831751005468180e-5, 1.42151175831644588870e-7, 2.04426310338993978564e-15}
)

// normalQuantile is the quantile of the normal distribution of mean 0 and
// deviation 1.
func normalQuantile(p float64) float64 {
	q := p - 0.5
	if math.Abs(q) <= 0.425 {
		return float64(q * ratio(&middleAbove, &middleBelow, 0.180625-float64(q*q)))
	}
	tail := min(p, 1-p)
	if !(tail > 0) {
		switch {
		case p == 0:
			return math.Inf(-1)
		case p == 1:
			return math.Inf(1)
		}
		return math.NaN()
	}
	r := math.Sqrt(-logOf(tail))
	x := 0.0
	if r <= 5 {
		x = ratio(&tailAbove, &tailBelow, r-1.6)
	} else {
		x = ratio(&farAbove, &farBelow, r-5)
	}
	if q < 0 {
		return -x
	}
	return x
}

// normalBelow is the distribution function of the normal distribution, between
// 1e-15 and 1 less 1e-15: its series about 0, and the continued fraction of
// Mills' ratio in the tails (M. Abramowitz and I. Stegun, Handbook of
// Mathematical Functions, 26.2.11 and 26.2.14; numbers from memory). Absolute
// error below 1e-14.
func normalBelow(x float64) float64 {
	const furthest = 7.9
	x = min(max(x, -furthest), furthest)
	s := float64(x * x)
	density := expOf(-s/2) / math.Sqrt(2*math.Pi)
	if math.Abs(x) < 4 {
		sum, term := x, x
		for n := 3; n < 121 && math.Abs(term) > 1e-17; n += 2 {
			term = float64(term*s) / float64(n)
			sum += term
		}
		return 0.5 + float64(density*sum)
	}
	a := math.Abs(x)
	fraction := a
	for n := 60; n >= 1; n-- {
		fraction = a + float64(n)/fraction
	}
	if x < 0 {
		return density / fraction
	}
	return 1 - density/fraction
}
