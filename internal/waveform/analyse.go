package waveform

import (
	"fmt"
	"math"
	"slices"

	"auditgen/internal/diag"
	"auditgen/internal/power"
	"auditgen/internal/quantity"
)

// Analysis is what a recording shows.
type Analysis struct {
	Window Window
	Phases []Phase // in the order a, b, c; one without a name for a single phase
	Lines  []Line  // line-to-line voltages ab, bc, ca, measured or by difference
	Total  *Total  // of three phases with all voltages and currents
	// Neutral is the neutral conductor's current, measured or, where the three line
	// currents of a four-wire system are there, their sum; nil when neither is.
	Neutral         *Wave[quantity.Amperes]
	NeutralMeasured bool
	Notes           []string // what was derived, and what limits the worth of it all
}

// Phase is one phase: what was recorded of it, and its power where both were.
type Phase struct {
	Name    string // A, B, C, or empty
	Voltage *Wave[quantity.VoltsLN]
	Current *Wave[quantity.Amperes]
	Power   *Power
}

// Line is a line-to-line voltage.
type Line struct {
	Name     string // AB, BC, CA
	Measured bool
	Voltage  Wave[quantity.VoltsLL]
}

// Power is the power of one phase. IEEE Std 1459-2010, 3.1.2 (from memory).
type Power struct {
	Active            quantity.Watts       // P, of all that was sampled
	FundamentalActive quantity.Watts       // P_1
	HarmonicActive    quantity.Watts       // P_H
	Reactive          quantity.Vars        // Q_1, lagging positive
	NonActive         quantity.Vars        // N
	Apparent          quantity.VoltAmperes // S
	Fundamental       quantity.VoltAmperes // S_1
	NonFundamental    quantity.VoltAmperes // S_N
	CurrentDistortion quantity.Vars        // D_I
	VoltageDistortion quantity.Vars        // D_V
	Harmonic          quantity.VoltAmperes // S_H
	PowerFactor       quantity.Ratio       // P over S
	Displacement      quantity.Ratio       // P_1 over S_1
	Lead              quantity.Lead        // of the fundamental current
	Angle             quantity.Degrees     // by which the fundamental current lags
}

// phases in their order; a single phase has no name.
var phases = []string{"A", "B", "C", ""}

// Analyse analyses a recording. The error is a *diag.Problem.
func Analyse(r *Recording) (*Analysis, error) {
	if len(r.Channels) == 0 || r.Len() < 2 || !(r.Rate > 0) {
		return nil, &diag.Problem{What: "the recording holds no samples", Expected: "at least one whole cycle of a voltage or a current"}
	}
	if r.Rate > beyond {
		return nil, &diag.Problem{What: fmt.Sprintf("%g samples a second are beyond measure", float64(r.Rate)), Expected: "the rate of the samples in Hz, or times in their own unit"}
	}
	s, notes := star(r)
	w, err := window(reference(s), float64(r.Rate))
	if err != nil {
		return nil, err
	}
	a := &Analysis{Window: w, Notes: append(append(notes, w.Notes...), coarse(r)...)}
	set := newSet(w, s)
	for _, name := range phases {
		if p, ok := set.phase(name); ok {
			a.Phases = append(a.Phases, p)
		}
	}
	a.Lines = set.lines()
	a.neutral(set)
	a.total(set)
	return a, nil
}

// coarse tells of channels whose samples stand in steps that show: those of 8 bits
// on a range that the wave does not fill.
func coarse(r *Recording) []string {
	const some, most = 20000, 1.0 / 80
	var notes []string
	for _, c := range r.Channels {
		values := slices.Clone(c.Samples[:min(len(c.Samples), some)])
		slices.Sort(values)
		peak := max(-values[0], values[len(values)-1])
		step := math.Inf(1)
		for i := 1; i < len(values); i++ {
			if d := values[i] - values[i-1]; d > 1e-9*peak {
				step = min(step, d)
			}
		}
		if step > most*peak && !math.IsInf(step, 1) {
			notes = append(notes, fmt.Sprintf("%s is sampled in steps of %.1f %% of its peak: small orders and low currents are not to be trusted", c.Name, 100*step/peak))
		}
	}
	return notes
}

// reference is the wave that the frequency and all angles go by.
func reference(r *Recording) []float64 {
	for _, k := range []Kind{PhaseVoltage, LineVoltage, Current} {
		for _, name := range []string{"A", "", "B", "C", "AB", "BC", "CA", "N"} {
			if x := r.Find(k, name); x != nil {
				return x
			}
		}
	}
	return nil
}

// set is a recording's channels in the window.
type set struct {
	Window
	recording *Recording
	channels  map[Name]channel
	angle     float64 // of the reference wave's fundamental
}

func newSet(w Window, r *Recording) *set {
	s := &set{Window: w, recording: r, channels: map[Name]channel{}}
	first := reference(r)
	for _, c := range r.Channels {
		s.channels[c.Name] = w.channel(c.Samples)
		if &c.Samples[0] == &first[0] {
			s.angle = w.order(s.channels[c.Name], 1).angle
		}
	}
	return s
}

func (s *set) find(k Kind, phase string) (channel, bool) {
	c, ok := s.channels[Name{Kind: k, Phase: phase}]
	return c, ok
}

func (s *set) phase(name string) (Phase, bool) {
	p := Phase{Name: name}
	u, hasU := s.find(PhaseVoltage, name)
	i, hasI := s.find(Current, name)
	if hasU {
		v := wave[quantity.VoltsLN](s.Window, u, s.angle)
		p.Voltage = &v
	}
	if hasI {
		v := wave[quantity.Amperes](s.Window, i, s.angle)
		p.Current = &v
	}
	if hasU && hasI {
		p.Power = s.power(p, product(u.points, i.points))
	}
	return p, hasU || hasI
}

func (s *set) power(p Phase, active quantity.Watts) *Power {
	u, i := p.Voltage, p.Current
	angle := turned((float64(u.Orders[0].Angle) - float64(i.Orders[0].Angle)) / degree)
	w := &Power{
		Active:      active,
		Angle:       angle,
		Apparent:    power.Apparent(u.RMS, i.RMS),
		Fundamental: power.Apparent(u.Fundamental, i.Fundamental),
	}
	w.FundamentalActive = power.ActiveFromAngle(w.Fundamental, angle)
	w.Reactive = power.ReactiveFromAngle(w.Fundamental, angle)
	w.HarmonicActive = power.HarmonicActive(w.Active, w.FundamentalActive)
	w.NonActive, _ = power.NonActive(w.Apparent, w.Active)
	w.CurrentDistortion = power.CurrentDistortionPower(w.Fundamental, i.Distortion)
	w.VoltageDistortion = power.VoltageDistortionPower(w.Fundamental, u.Distortion)
	w.Harmonic = power.HarmonicApparent(w.Fundamental, u.Distortion, i.Distortion)
	w.NonFundamental, _ = power.NonFundamental(w.Apparent, w.Fundamental)
	w.PowerFactor, _ = power.PowerFactor(w.Active, w.Apparent)
	w.Displacement, _ = power.DisplacementFromPowers(w.FundamentalActive, w.Fundamental)
	w.Lead = power.Direction(w.Reactive)
	return w
}

const degree = 57.29577951308232 // degrees a radian
