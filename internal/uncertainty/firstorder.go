package uncertainty

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Combined is the combined standard uncertainty of independent contributions
// c·u: the root of the sum of their squares (JCGM 100:2008, 5.1.2).
func Combined(contributions []float64) float64 {
	sum := 0.0
	for _, c := range contributions {
		sum += float64(c * c)
	}
	return math.Sqrt(sum)
}

// Correlated is the combined standard uncertainty of contributions c·u, signs
// kept, with a matrix of correlation coefficients (JCGM 100:2008, 5.2.2). The
// error says why a matrix cannot be one of correlations.
func Correlated(contributions []float64, correlation [][]float64) (float64, error) {
	n := len(contributions)
	if len(correlation) != n {
		return 0, fmt.Errorf("%d rows of correlation for %d contributions", len(correlation), n)
	}
	sum := 0.0
	for i, row := range correlation {
		if len(row) != n {
			return 0, fmt.Errorf("row %d of the correlations has %d figures, not %d", i+1, len(row), n)
		}
		for j, r := range row {
			switch {
			case !(math.Abs(r) <= 1):
				return 0, fmt.Errorf("correlation %v of %d and %d is outside -1 to 1", r, i+1, j+1)
			case i == j && r != 1:
				return 0, fmt.Errorf("correlation of %d with itself is %v, not 1", i+1, r)
			case r != correlation[j][i]:
				return 0, fmt.Errorf("correlations of %d and %d differ: %v and %v", i+1, j+1, r, correlation[j][i])
			}
			sum += float64(float64(contributions[i]*contributions[j]) * r)
		}
	}
	if sum < -1e-12*float64(Combined(contributions)*Combined(contributions)) {
		return 0, fmt.Errorf("the correlations contradict each other: the variance comes out negative")
	}
	return math.Sqrt(max(0, sum)), nil
}

// FullyCorrelated is the combined standard uncertainty of contributions that
// share one cause, signs kept: their plain sum (JCGM 100:2008, 5.2.2, note 1).
func FullyCorrelated(contributions []float64) float64 {
	sum := 0.0
	for _, c := range contributions {
		sum += c
	}
	return math.Abs(sum)
}

// Product is the relative standard uncertainty of a product of powers from the
// factors' relative standard uncertainties and exponents (JCGM 100:2008, 5.1.6).
func Product(relative, exponents []float64) (float64, error) {
	if len(relative) != len(exponents) {
		return 0, fmt.Errorf("%d uncertainties, %d exponents", len(relative), len(exponents))
	}
	parts := make([]float64, len(relative))
	for i := range parts {
		parts[i] = float64(relative[i] * exponents[i])
	}
	return Combined(parts), nil
}

// EffectiveFreedom is the effective number of degrees of freedom of a combined
// uncertainty, by the formula of Welch and Satterthwaite (JCGM 100:2008, G.4.1),
// not rounded. A contribution known exactly has infinite freedom.
func EffectiveFreedom(contributions, freedom []float64) (float64, error) {
	if len(contributions) != len(freedom) {
		return 0, fmt.Errorf("%d contributions, %d degrees of freedom", len(contributions), len(freedom))
	}
	sum := 0.0
	for i, c := range contributions {
		if !(freedom[i] > 0) {
			return 0, fmt.Errorf("contribution %d has %v degrees of freedom", i+1, freedom[i])
		}
		sum += c * c * c * c / freedom[i]
	}
	u := Combined(contributions)
	if sum == 0 {
		return math.Inf(1), nil
	}
	return u * u * u * u / sum, nil
}

// Coverage is the coverage factor of a two-sided interval: the quantile of
// Student's distribution for the degrees of freedom, which need not be whole,
// of the normal distribution for infinite ones (JCGM 100:2008, G.3).
func Coverage(freedom, probability float64) float64 {
	p := (1 + probability) / 2
	if math.IsInf(freedom, 1) {
		return normalQuantile(p)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}.Quantile(p)
}

// Slopes is a first-order propagation of all outputs of a model.
type Slopes struct {
	Best []float64 // outputs at the parameters' means
	// Moves has, by parameter and output, c·u: half the difference that one
	// standard deviation either way makes.
	Moves [][]float64
	// Deviation is the combined standard uncertainty of each output.
	Deviation []float64
}

// FirstOrder propagates the standard uncertainties of a model's parameters, by
// central differences over one standard deviation either way (JCGM 100:2008,
// 5.1.2 and 5.1.3, note 2).
func FirstOrder(m Model) Slopes {
	ps, n := m.Parameters(), m.Outputs()
	z := make([]float64, len(ps))
	for i, p := range ps {
		z[i] = p.Mean()
	}
	s := Slopes{Best: make([]float64, n), Deviation: make([]float64, n)}
	m.Evaluate(z, s.Best)
	low, high := make([]float64, n), make([]float64, n)
	for i, p := range ps {
		u := p.Deviation()
		z[i] = p.Mean() - u
		m.Evaluate(z, low)
		z[i] = p.Mean() + u
		m.Evaluate(z, high)
		z[i] = p.Mean()
		row := make([]float64, n)
		for j := range row {
			row[j] = (high[j] - low[j]) / 2
			s.Deviation[j] += float64(row[j] * row[j])
		}
		s.Moves = append(s.Moves, row)
	}
	for j := range s.Deviation {
		s.Deviation[j] = math.Sqrt(s.Deviation[j])
	}
	return s
}
