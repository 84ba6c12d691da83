package power

import (
	"math"
	"math/cmplx"

	"auditgen/internal/quantity"
)

// Phasor is a sinusoidal voltage or current as rms value and angle. The angle is
// that of the wave itself, forward in time positive, on a common reference: it
// is not an angle of lag.
type Phasor[Q quantity.VoltsLN | quantity.VoltsLL | quantity.Amperes] struct {
	Size  Q
	Angle quantity.Degrees
}

func (p Phasor[Q]) complex() complex128 {
	return cmplx.Rect(float64(p.Size), float64(p.Angle)*radian)
}

func phasor[Q quantity.VoltsLN | quantity.VoltsLL | quantity.Amperes](z complex128) Phasor[Q] {
	return Phasor[Q]{Q(cmplx.Abs(z)), quantity.Degrees(cmplx.Phase(z) / radian)}
}

// Components are the symmetrical components of three phasors, phase A's.
type Components[Q quantity.VoltsLN | quantity.VoltsLL | quantity.Amperes] struct {
	Zero, Positive, Negative Phasor[Q]
}

// Symmetrical splits the phasors of phases A, B, C into symmetrical components.
// A set whose negative sequence exceeds the positive one has the phase sequence
// ACB. Fortescue's transform.
func Symmetrical[Q quantity.VoltsLN | quantity.VoltsLL | quantity.Amperes](a, b, c Phasor[Q]) Components[Q] {
	turn := cmplx.Rect(1, 2*math.Pi/3)
	back := cmplx.Conj(turn)
	va, vb, vc := a.complex(), b.complex(), c.complex()
	return Components[Q]{
		Zero:     phasor[Q]((va + vb + vc) / 3),
		Positive: phasor[Q]((va + turn*vb + back*vc) / 3),
		Negative: phasor[Q]((va + back*vb + turn*vc) / 3),
	}
}

// Sum is the phasor sum: the neutral current of three phase currents, or the
// third current of a three-wire load turned about. In a sum of nothing the angle
// has no meaning.
func Sum[Q quantity.VoltsLN | quantity.VoltsLL | quantity.Amperes](phasors ...Phasor[Q]) Phasor[Q] {
	var z complex128
	for _, p := range phasors {
		z += p.complex()
	}
	return phasor[Q](z)
}
