package power

import (
	"math"
	"math/rand/v2"
	"testing"

	"auditgen/internal/quantity"
)

// draws runs a property on the same random draws each time.
func draws(t *testing.T, n int, property func(r *rand.Rand) bool) {
	t.Helper()
	r := rand.New(rand.NewPCG(20310514, 1))
	for i := range n {
		if !property(r) {
			t.Fatalf("draw %d fails", i)
		}
	}
}

func between(r *rand.Rand, low, high float64) float64 { return low + (high-low)*r.Float64() }

func near(a, b, relative float64) bool {
	return math.Abs(a-b) <= relative*math.Max(math.Abs(a), math.Abs(b))+1e-12
}

func TestDistortionBasesInvertEachOther(t *testing.T) {
	draws(t, 2000, func(r *rand.Rand) bool {
		f := quantity.Ratio(between(r, 0, 3))
		back, ok := THDOfFundamental(THDOfRMS(f))
		return ok && THDOfRMS(f) < 1 && THDOfRMS(f) <= f && near(float64(back), float64(f), 1e-9)
	})
}

func TestPowersCloseTheTriangle(t *testing.T) {
	draws(t, 2000, func(r *rand.Rand) bool {
		p, q := quantity.Watts(between(r, 0, 1e5)), quantity.Vars(between(r, -1e5, 1e5))
		s := ApparentFromPowers(p, q)
		var root quantity.Vars
		if q < 0 {
			root, _ = ReactiveLeading(s, p)
		} else {
			root, _ = Reactive(s, p)
		}
		pf, _ := PowerFactor(p, s)
		phi, _ := Angle(pf)
		if q < 0 {
			phi, _ = AngleLeading(pf)
		}
		// The root loses digits where Q is small against S: hence by squares.
		return near(square(p)+square(root), square(s), 1e-12) &&
			math.Abs(float64(ReactiveFromAngle(s, phi)-q)) < 1e-7*float64(s) &&
			near(float64(ActiveFromAngle(s, phi)), float64(p), 1e-7)
	})
}

// S² = P1² + Q1² + D_I² + D_V² + S_H², for any distortion.
func TestDistortedPowersClose(t *testing.T) {
	draws(t, 2000, func(r *rand.Rand) bool {
		s := quantity.VoltAmperes(between(r, 1, 1e5))
		dU, dI := quantity.Ratio(between(r, 0, 0.4)), quantity.Ratio(between(r, 0, 2))
		s1 := FundamentalApparent(s, dU, dI)
		p1 := quantity.Watts(float64(s1) * between(r, 0, 1))
		q1, ok := FundamentalReactive(s1, p1)
		sN, okN := NonFundamental(s, s1)
		parts := square(CurrentDistortionPower(s1, dI)) + square(VoltageDistortionPower(s1, dU)) + square(HarmonicApparent(s1, dU, dI))
		return ok && okN && near(parts, square(sN), 1e-6) && near(square(p1)+square(q1)+parts, square(s), 1e-9)
	})
}

// triangle draws three line voltages that can close a triangle, and the phasors
// that they are the sides of.
func triangle(r *rand.Rand, spread float64) []quantity.VoltsLL {
	for {
		u := []quantity.VoltsLL{}
		for range 3 {
			u = append(u, quantity.VoltsLL(400*between(r, 1-spread, 1+spread)))
		}
		if _, ok := Beta(u); ok {
			return u
		}
	}
}

func TestUnbalanceKeepsUnderRotationAndScaling(t *testing.T) {
	draws(t, 2000, func(r *rand.Rand) bool {
		u := triangle(r, 0.3)
		k := quantity.VoltsLL(between(r, 0.01, 100))
		other := []quantity.VoltsLL{k * u[1], k * u[2], k * u[0]}
		swapped := []quantity.VoltsLL{u[1], u[0], u[2]}
		n, _ := Deviation(u)
		n2, _ := Deviation(other)
		n3, _ := Deviation(swapped)
		u2, _ := NegativeSequence(u)
		u22, _ := NegativeSequence(other)
		u23, _ := NegativeSequence(swapped)
		return near(float64(n), float64(n2), 1e-9) && near(float64(n), float64(n3), 1e-9) &&
			near(float64(u2), float64(u22), 1e-6) && near(float64(u2), float64(u23), 1e-6)
	})
}

// The negative-sequence factor lies between the NEMA figure n and 2/√3 of it,
// but for a share of about n/4, up to an unbalance of 10 %: 400, 380 and 420 V
// have 1.157 times the 5 % of NEMA.
func TestNegativeSequenceAgainstNEMA(t *testing.T) {
	draws(t, 5000, func(r *rand.Rand) bool {
		u := triangle(r, between(r, 0, 0.1))
		n, _ := Deviation(u)
		u2, _ := NegativeSequence(u)
		slack := n / 3
		return n < 1e-6 || (u2 >= n*(1-slack) && u2 <= n*2/quantity.Ratio(sqrt3)*(1+slack))
	})
}

// The factor from sizes alone is that of the components of any phasors that
// close to those sizes.
func TestNegativeSequenceFromSizesAndFromPhasors(t *testing.T) {
	draws(t, 2000, func(r *rand.Rand) bool {
		v := make([]Phasor[quantity.VoltsLN], 3)
		for i := range v {
			v[i] = Phasor[quantity.VoltsLN]{quantity.VoltsLN(230 * between(r, 0.9, 1.1)), quantity.Degrees(between(r, -8, 8) - 120*float64(i))}
		}
		c := Symmetrical(v[0], v[1], v[2])
		want, _ := SequenceShare(c.Negative.Size, c.Positive.Size)
		lines := make([]quantity.VoltsLL, 3)
		for i := range lines {
			b := v[(i+1)%3]
			b.Angle += 180
			lines[i] = quantity.VoltsLL(Sum(v[i], b).Size)
		}
		got, ok := NegativeSequence(lines)
		return ok && math.Abs(float64(got-want)) < 1e-6
	})
}

func TestApparentPowersKeepTheirOrder(t *testing.T) {
	draws(t, 2000, func(r *rand.Rand) bool {
		var vs []quantity.VoltsLN
		var is []quantity.Amperes
		var ss []quantity.VoltAmperes
		var p quantity.Watts
		var q quantity.Vars
		var v []Phasor[quantity.VoltsLN]
		var i []Phasor[quantity.Amperes]
		for k := range 3 {
			pv := Phasor[quantity.VoltsLN]{quantity.VoltsLN(between(r, 200, 260)), quantity.Degrees(between(r, -5, 5) - 120*float64(k))}
			phi := quantity.Degrees(between(r, -90, 90))
			pi := Phasor[quantity.Amperes]{quantity.Amperes(between(r, 0, 100)), pv.Angle - phi}
			v, i = append(v, pv), append(i, pi)
			vs, is = append(vs, pv.Size), append(is, pi.Size)
			s := Apparent(pv.Size, pi.Size)
			ss = append(ss, s)
			p += ActiveFromAngle(s, phi)
			q += ReactiveFromAngle(s, phi)
		}
		var us []quantity.VoltsLL
		for k := range 3 {
			b := v[(k+1)%3]
			b.Angle += 180
			us = append(us, quantity.VoltsLL(Sum(v[k], b).Size))
		}
		vq, _ := QuadraticMean(vs)
		uq, _ := QuadraticMean(us)
		iq, _ := QuadraticMean(is)
		ie := EffectiveCurrent(iq, Sum(i...).Size, 1)
		sV, sA, sE := VectorApparent(p, q), Total(ss), EffectiveApparent(EffectiveVoltage(vq, uq), ie)
		return sV <= sA*(1+1e-12) && sA <= sE*(1+1e-12)
	})
}

func TestTwoWattmetersAgreeWithThreePhases(t *testing.T) {
	draws(t, 2000, func(r *rand.Rand) bool {
		u, i := quantity.VoltsLL(between(r, 200, 700)), quantity.Amperes(between(r, 1, 500))
		phi := quantity.Degrees(between(r, -89, 89))
		w1, w2 := Wattmeter1(u, i, phi), Wattmeter2(u, i, phi)
		s := BalancedApparent(u, i)
		tan, _ := TwoWattmeterTangent(w1, w2)
		pf, _ := TwoWattmeterPowerFactor(w1, w2)
		return near(float64(TwoWattmeters(w1, w2)), float64(ActiveFromAngle(s, phi)), 1e-9) &&
			math.Abs(float64(TwoWattmeterReactive(w1, w2)-ReactiveFromAngle(s, phi))) < 1e-9*float64(s) &&
			near(float64(tan), tangent(phi), 1e-9) && near(float64(pf), cosine(phi), 1e-9)
	})
}

func TestNeutralOfThreeCurrents(t *testing.T) {
	draws(t, 2000, func(r *rand.Rand) bool {
		var i []Phasor[quantity.Amperes]
		for k := range 3 {
			i = append(i, Phasor[quantity.Amperes]{quantity.Amperes(between(r, 0, 100)), quantity.Degrees(-120 * k)})
		}
		return math.Abs(float64(LinearNeutral(i[0].Size, i[1].Size, i[2].Size)-Sum(i...).Size)) < 1e-9
	})
}

func TestCapacitorReachesItsTarget(t *testing.T) {
	draws(t, 2000, func(r *rand.Rand) bool {
		p := quantity.Watts(between(r, 100, 1e6))
		from, to := quantity.Ratio(between(r, 0.3, 0.9)), quantity.Ratio(between(r, 0.9, 1))
		q, _ := ReactiveFromPowerFactor(p, from)
		c, ok := CapacitorFor(p, from, to)
		pf, _ := PowerFactor(p, ApparentFromPowers(p, q-c))
		return ok && c >= 0 && near(float64(pf), float64(to), 1e-9)
	})
}

// Harmonics raise the losses that rise with frequency, and never below those of
// a sine wave.
func TestLossFactors(t *testing.T) {
	draws(t, 2000, func(r *rand.Rand) bool {
		orders := []quantity.Ratio{1}
		for range 49 {
			orders = append(orders, quantity.Ratio(between(r, 0, 0.2)))
		}
		f, _ := HarmonicLossFactor(orders)
		stray, _ := StrayLossFactor(orders)
		c, ok := HarmonicCapability(f, 0.1)
		return f >= stray && stray >= 1 && ok && c <= 1
	})
}

// S_e² = S_e1² + D_eI² + D_eV² + S_eH², and S_e1² = (S_1+)² + S_U1².
func TestEffectivePowersClose(t *testing.T) {
	draws(t, 2000, func(r *rand.Rand) bool {
		s := Set{
			Voltage1: quantity.VoltsLN(between(r, 100, 400)), Current1: quantity.Amperes(between(r, 1, 500)),
			PositiveAngle: quantity.Degrees(between(r, -180, 180)), Active: quantity.Watts(between(r, -1e5, 1e5)),
		}
		s.Voltage, s.Current = RMS(s.Voltage1, quantity.Ratio(between(r, 0, 0.3))), RMS(s.Current1, quantity.Ratio(between(r, 0, 2)))
		s.PositiveVoltage = s.Voltage1 * quantity.VoltsLN(between(r, 0.5, 1))
		s.PositiveCurrent = s.Current1 * quantity.Amperes(between(r, 0.5, 1))
		e, ok := s.Resolve()
		d2 := square(e.CurrentDistortion) + square(e.VoltageDistortion) + square(e.Harmonic)
		return ok && near(square(e.NonFundamental), d2, 1e-6) && near(square(e.Fundamental)+d2, square(e.Apparent), 1e-9) &&
			near(square(e.Positive)+square(e.Unbalance), square(e.Fundamental), 1e-9) &&
			near(square(e.PositiveActive)+square(e.PositiveReactive), square(e.Positive), 1e-9) &&
			math.Abs(float64(e.PositiveFactor)-cosine(s.PositiveAngle)) < 1e-9
	})
}

// The parts of a load that is balanced, without distortion, are nothing; a
// fundamental above its whole is impossible.
func TestEffectiveOfABalancedLoad(t *testing.T) {
	s := Set{Voltage: 230, Voltage1: 230, Current: 10, Current1: 10, PositiveVoltage: 230, PositiveCurrent: 10 + 1e-12, PositiveAngle: 30, Active: 5975}
	e, ok := s.Resolve()
	if !ok || e.Unbalance != 0 || e.NonFundamental != 0 || !near(float64(e.PositiveFactor), 0.8660254, 1e-7) || e.Apparent != 6900 {
		t.Errorf("%+v %v", e, ok)
	}
	s.Current1 = 11
	if _, ok := s.Resolve(); ok {
		t.Error("a fundamental above the whole was taken")
	}
}

// A sine wave leaves a transformer its rating under either rule.
func TestSineWaveDeratesNothing(t *testing.T) {
	sine := []quantity.Ratio{1, 0, 0, 0, 0}
	f, _ := HarmonicLossFactor(sine)
	c, _ := HarmonicCapability(f, 0.1)
	sum, _ := FactorKSum17(sine)
	k, _ := FactorK(0.1, sum, 0)
	share, ok := FactorKShare(k)
	if f != 1 || c != 1 || k != 1 || share != 1 || !ok {
		t.Errorf("F_HL %g, capability %g, K %g", f, c, k)
	}
}

// The partial weighted harmonic current begins at order 14 and both end at 40.
func TestHarmonicCurrentOfEquipment(t *testing.T) {
	orders := make([]quantity.Ratio, 60) // from order 2 on
	orders[5-2], orders[17-2], orders[40-2], orders[41-2] = 0.10, 0.03, 0.01, 0.5
	if got, want := TotalHarmonicCurrent(orders), math.Sqrt(0.01+0.0009+0.0001); !near(float64(got), want, 1e-12) {
		t.Errorf("THC %g, want %g", got, want)
	}
	if got, want := PartialWeighted(orders), math.Sqrt(17*0.0009+40*0.0001); !near(float64(got), want, 1e-12) {
		t.Errorf("PWHC %g, want %g", got, want)
	}
}
