// Package uncertainty tells how sure a figure is, by the rules of the GUM
// (JCGM 100:2008) and its Supplement 1 (JCGM 101:2008).
//
// A [Distribution] states what is known of one quantity. A [Model] makes
// outputs of quantities. [FirstOrder] propagates standard uncertainties,
// [Run] draws the quantities many times and gives coverage intervals and what
// each quantity adds to the doubt, [Weigh] and [Update] take an observation of
// an output into account.
//
// Draws are the same on every machine: the generator is ChaCha8, seeded from a
// hash of the inputs, and quantiles are worked out in plain arithmetic whose
// products are rounded before they are added (an explicit float64 conversion
// keeps a compiler from fusing the two). A model that wants the same of its
// outputs must do likewise.
//
// Clause numbers of both guides are from memory.
package uncertainty

// Distribution is what is known of a quantity.
type Distribution interface {
	Mean() float64      // expectation
	Deviation() float64 // standard uncertainty
	// Quantile gives the value that the quantity stays below with probability
	// p; at 0 and 1 the limits, which may be infinite.
	Quantile(p float64) float64
}

// Parameter is a quantity that a model draws once per trial and shares among
// all that depends on it. Parameters are independent of each other: what two
// quantities have in common is a parameter of its own.
type Parameter struct {
	ID string
	Distribution
}

// Model turns values of its parameters into outputs. Evaluate gets a value of
// each parameter, in the order of Parameters, and fills out, of length
// Outputs; it must not keep either slice, and should not allocate.
type Model interface {
	Parameters() []Parameter
	Outputs() int
	Evaluate(z []float64, out []float64)
}

// Together is a model that works several draws out at once, as Evaluate does one
// by one: draw by draw, values of its parameters and its outputs. It must work
// them out as it would each by itself.
type Together interface {
	Model
	EvaluateAll(z, out [][]float64)
}

// Interval is a coverage interval.
type Interval struct{ Low, High float64 }

// Width is the distance of the ends.
func (i Interval) Width() float64 { return i.High - i.Low }

// Contains reports whether a value lies in the interval, ends included.
func (i Interval) Contains(x float64) bool { return x >= i.Low && x <= i.High }
