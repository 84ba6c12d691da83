package uncertainty

import (
	"cmp"
	"math"
	"slices"
)

// ranked is how many draws, at most, the shares of variance rest on. The
// standard error of a share s is then about 2·√(s(1-s)/2048), 2.2 % at most.
const ranked = 2048

// Share is what one parameter adds to an output's doubt.
type Share struct {
	Parameter int // index into the model's parameters
	// Of is the share of the output's variance, 0 to 1.
	Of float64
	// Slope is the change of the output for one standard deviation of the
	// parameter, sign kept.
	Slope float64
	// Narrower is by how much the output's interval would be narrower, as a
	// share of its width, if the parameter were known: 1 - √(1 - Of).
	Narrower float64
}

// Ranking shares out the variance of one output, the greatest share first.
//
// The shares are those of a linear regression on the parameters of the same
// draws: each is slope times covariance over variance, so that they sum to the
// squared multiple correlation. What is left, Residual, comes of curvature and
// of parameters working on each other; a parameter that works by curvature
// alone has no share of its own.
type Ranking struct {
	Shares   []Share
	Residual float64
}

// ranker gathers the sums of products that the regression needs.
type ranker struct {
	outputs         []int
	mean, deviation []float64
	moving          []int // parameters that have doubt
	n               int
	z               []float64 // standardised
	sum             []float64
	square          []float64 // lower triangle, row by row
	shift           []float64 // first value of each output
	ysum, ysquare   []float64
	cross           []float64 // output by parameter
}

func newRanker(ps []Parameter, outputs []int) *ranker {
	r := &ranker{outputs: outputs}
	for i, p := range ps {
		if u := p.Deviation(); u > 0 {
			r.moving = append(r.moving, i)
			r.mean, r.deviation = append(r.mean, p.Mean()), append(r.deviation, u)
		}
	}
	n, k := len(r.moving), len(outputs)
	r.z, r.sum, r.square = make([]float64, n), make([]float64, n), make([]float64, n*(n+1)/2)
	r.shift, r.ysum, r.ysquare, r.cross = make([]float64, k), make([]float64, k), make([]float64, k), make([]float64, k*n)
	return r
}

func (r *ranker) add(z, out []float64) {
	if len(r.outputs) == 0 || r.n >= ranked {
		return
	}
	for k, i := range r.moving {
		r.z[k] = (z[i] - r.mean[k]) / r.deviation[k]
		r.sum[k] += r.z[k]
	}
	at := 0
	for i, a := range r.z {
		row := r.square[at : at+i+1]
		for j, b := range r.z[:i+1] {
			row[j] += float64(a * b)
		}
		at += i + 1
	}
	for k, output := range r.outputs {
		if r.n == 0 {
			r.shift[k] = out[output]
		}
		y := out[output] - r.shift[k]
		r.ysum[k] += y
		r.ysquare[k] += float64(y * y)
		row := r.cross[k*len(r.z):][:len(r.z)]
		for j, b := range r.z {
			row[j] += float64(y * b)
		}
	}
	r.n++
}

// ranking works out the shares of the k-th ranked output.
func (r *ranker) ranking(k int, s Summary) Ranking {
	n, count := len(r.moving), float64(r.n)
	var out Ranking
	variance := r.ysquare[k]/count - float64(r.ysum[k]/count*(r.ysum[k]/count))
	if s.Deviation == 0 || variance <= 0 || n == 0 {
		for _, i := range r.moving {
			out.Shares = append(out.Shares, Share{Parameter: i})
		}
		return out
	}
	cov, with := square(n), make([]float64, n)
	at := 0
	for i := range n {
		for j := range i + 1 {
			c := r.square[at]/count - float64(r.sum[i]/count*(r.sum[j]/count))
			cov[i][j], cov[j][i] = c, c
			at++
		}
		with[i] = r.cross[k*n+i]/count - float64(r.sum[i]/count*(r.ysum[k]/count))
	}
	slopes := slices.Clone(with)
	if !solve(cov, slopes) { // fewer draws than parameters
		slopes = slices.Clone(with)
	}
	explained, sum := 0.0, 0.0
	for i := range n {
		share := float64(slopes[i]*with[i]) / variance
		explained += share
		sum += max(0, share)
		out.Shares = append(out.Shares, Share{Parameter: r.moving[i], Of: max(0, share), Slope: slopes[i]})
	}
	// Shares below nothing are noise of the draws; without them the rest must
	// not explain more than the whole regression does.
	explained = min(max(explained, 0), 1)
	for i := range out.Shares {
		x := &out.Shares[i]
		if sum > 0 {
			x.Of *= explained / sum
		}
		x.Narrower = 1 - math.Sqrt(1-min(x.Of, 1))
	}
	out.Residual = 1 - explained
	slices.SortStableFunc(out.Shares, func(a, b Share) int { return cmp.Compare(b.Of, a.Of) })
	return out
}

func square(n int) [][]float64 {
	all, rows := make([]float64, n*n), make([][]float64, n)
	for i := range rows {
		rows[i], all = all[:n:n], all[n:]
	}
	return rows
}

// solve solves a symmetric positive definite system in place, by Cholesky's
// method; false when the matrix is not one.
func solve(a [][]float64, columns ...[]float64) bool {
	n := len(a)
	for j := range n {
		for i := j; i < n; i++ {
			s := a[i][j]
			for k := range j {
				s -= float64(a[i][k] * a[j][k])
			}
			if i == j {
				if !(s > 1e-12*math.Abs(a[j][j])) {
					return false
				}
				a[j][j] = math.Sqrt(s)
			} else {
				a[i][j] = s / a[j][j]
			}
		}
	}
	for _, b := range columns {
		for i := range n {
			for k := range i {
				b[i] -= float64(a[i][k] * b[k])
			}
			b[i] /= a[i][i]
		}
		for i := n - 1; i >= 0; i-- {
			for k := i + 1; k < n; k++ {
				b[i] -= float64(a[k][i] * b[k])
			}
			b[i] /= a[i][i]
		}
	}
	return true
}
