package waveform

import (
	"math"

	"auditgen/internal/power"
	"auditgen/internal/quantity"
)

// Total is the whole of three phases. The apparent powers are those of IEEE Std
// 1459-2010, 3.2 (from memory): they agree only for balanced loads.
type Total struct {
	Active            quantity.Watts
	FundamentalActive quantity.Watts
	Reactive          quantity.Vars // Q_1, sum of the phases
	Arithmetic        quantity.VoltAmperes
	Vector            quantity.VoltAmperes // of the fundamentals' active and reactive powers
	Effective         power.Effective
	PowerFactor       quantity.Ratio // P over the arithmetic apparent power

	Voltage         power.Components[quantity.VoltsLN] // of the fundamentals
	Current         power.Components[quantity.Amperes]
	Sequence        power.Sequence
	Negative        quantity.Ratio // voltage, negative over positive sequence
	Zero            quantity.Ratio // voltage, zero over positive sequence; nothing where the star point was made up
	NegativeCurrent quantity.Ratio
	ZeroCurrent     quantity.Ratio
	NEMA            quantity.Ratio // of the rms line-to-line voltages
	CurrentNEMA     quantity.Ratio // the same form on the rms currents
}

// star completes a three-wire recording: where two or three line voltages but no
// phase voltage were recorded, voltages to a star point in the middle are made of
// them; where two of three line currents were, the third is what closes the sum.
// The active power is then that of the two-wattmeter method.
func star(r *Recording) (*Recording, []string) {
	if len(r.phases(PhaseVoltage)) > 0 || len(r.phases(LineVoltage)) < 2 {
		return r, nil
	}
	out := &Recording{File: r.File, Rate: r.Rate, Channels: append([]Channel(nil), r.Channels...)}
	var notes []string
	notes = out.close(LineVoltage, []string{"AB", "BC", "CA"}, notes)
	ab, bc, ca := out.Find(LineVoltage, "AB"), out.Find(LineVoltage, "BC"), out.Find(LineVoltage, "CA")
	out.add(PhaseVoltage, "A", combine(ab, 1.0/3, ca, -1.0/3))
	out.add(PhaseVoltage, "B", combine(bc, 1.0/3, ab, -1.0/3))
	out.add(PhaseVoltage, "C", combine(ca, 1.0/3, bc, -1.0/3))
	notes = append(notes, "phase voltages are those to a star point made of the line voltages: single phases' powers are shares of the total only")
	if len(out.phases(Current)) == 2 && out.Find(Current, "N") == nil && out.Find(Current, "") == nil {
		notes = out.close(Current, []string{"A", "B", "C"}, notes)
	}
	return out, notes
}

// phases lists the phases recorded of a kind, the neutral aside.
func (r *Recording) phases(k Kind) []string {
	var names []string
	for _, c := range r.Channels {
		if c.Name.Kind == k && c.Name.Phase != "N" {
			names = append(names, c.Name.Phase)
		}
	}
	return names
}

// close adds the one of three channels that is missing: the three add up to
// nothing.
func (r *Recording) close(k Kind, names []string, notes []string) []string {
	for n, name := range names {
		if r.Find(k, name) != nil {
			continue
		}
		x, y := r.Find(k, names[(n+1)%3]), r.Find(k, names[(n+2)%3])
		r.add(k, name, combine(x, -1, y, -1))
		return append(notes, Name{Kind: k, Phase: name}.String()+" was not recorded: it closes the sum of the others")
	}
	return notes
}

func (r *Recording) add(k Kind, phase string, samples []float64) {
	r.Channels = append(r.Channels, Channel{Name: Name{Kind: k, Phase: phase}, Samples: samples})
}

func combine(x []float64, fx float64, y []float64, fy float64) []float64 {
	out := make([]float64, len(x))
	for i := range out {
		out[i] = fx*x[i] + fy*y[i]
	}
	return out
}

// lines gives the line-to-line voltages, measured or as differences.
func (s *set) lines() []Line {
	var all []Line
	for _, name := range []string{"AB", "BC", "CA"} {
		c, there := s.find(LineVoltage, name)
		measured := there && s.measured(LineVoltage, name)
		if !there {
			x, okX := s.find(PhaseVoltage, name[:1])
			y, okY := s.find(PhaseVoltage, name[1:])
			if !okX || !okY {
				continue
			}
			points := combine(x.points, 1, y.points, -1)
			c = channel{points, transform(points)}
		}
		all = append(all, Line{name, measured, wave[quantity.VoltsLL](s.Window, c, s.angle)})
	}
	return all
}

// neutral finds the neutral current. Three wires have none.
func (a *Analysis) neutral(s *set) {
	if c, ok := s.find(Current, "N"); ok {
		v := wave[quantity.Amperes](s.Window, c, s.angle)
		a.Neutral, a.NeutralMeasured = &v, true
		return
	}
	points, ok := s.sum(Current)
	if !ok || s.threeWire() {
		return
	}
	v := wave[quantity.Amperes](s.Window, channel{points, transform(points)}, s.angle)
	a.Neutral = &v
	a.Notes = append(a.Notes, "the neutral current is the sum of the line currents")
}

// threeWire reports whether the star point was made up.
func (s *set) threeWire() bool {
	_, there := s.find(PhaseVoltage, "A")
	return there && !s.measured(PhaseVoltage, "A")
}

// measured reports whether a channel stood in the file.
func (s *set) measured(k Kind, phase string) bool {
	for _, c := range s.recording.Channels {
		if c.Name.Kind == k && c.Name.Phase == phase {
			return c.Column != ""
		}
	}
	return false
}

func (s *set) sum(k Kind) ([]float64, bool) {
	a, okA := s.find(k, "A")
	b, okB := s.find(k, "B")
	c, okC := s.find(k, "C")
	if !okA || !okB || !okC {
		return nil, false
	}
	return combine(combine(a.points, 1, b.points, 1), 1, c.points, 1), true
}

// total adds the three phases up, where all their voltages and currents are there.
func (a *Analysis) total(s *set) {
	if len(a.Phases) < 3 || a.Phases[0].Name != "A" || a.Phases[1].Name != "B" || a.Phases[2].Name != "C" {
		return
	}
	t := &Total{}
	var sA []quantity.VoltAmperes
	var v, v1 []quantity.VoltsLN
	var i, i1 []quantity.Amperes
	var vp [3]power.Phasor[quantity.VoltsLN]
	var ip [3]power.Phasor[quantity.Amperes]
	for k, p := range a.Phases[:3] {
		if p.Power == nil {
			return
		}
		t.Active += p.Power.Active
		t.FundamentalActive += p.Power.FundamentalActive
		t.Reactive += p.Power.Reactive
		sA = append(sA, p.Power.Apparent)
		v, v1 = append(v, p.Voltage.RMS), append(v1, p.Voltage.Fundamental)
		i, i1 = append(i, p.Current.RMS), append(i1, p.Current.Fundamental)
		vp[k] = power.Phasor[quantity.VoltsLN]{Size: p.Voltage.Fundamental, Angle: p.Voltage.Orders[0].Angle}
		ip[k] = power.Phasor[quantity.Amperes]{Size: p.Current.Fundamental, Angle: p.Current.Orders[0].Angle}
	}
	t.Arithmetic = power.Total(sA)
	t.Vector = power.VectorApparent(t.FundamentalActive, t.Reactive)
	t.PowerFactor, _ = power.PowerFactor(t.Active, t.Arithmetic)
	t.Voltage, t.Current = power.Symmetrical(vp[0], vp[1], vp[2]), power.Symmetrical(ip[0], ip[1], ip[2])
	t.Sequence = power.SequenceOf(t.Voltage)
	if t.Sequence == power.ACB {
		a.Notes = append(a.Notes, "the voltages turn ACB: their positive sequence is the smaller one, and unbalance is above 100 %, until two phases are exchanged")
	}
	t.Negative, _ = power.SequenceShare(t.Voltage.Negative.Size, t.Voltage.Positive.Size)
	t.Zero, _ = power.SequenceShare(t.Voltage.Zero.Size, t.Voltage.Positive.Size)
	t.NegativeCurrent, _ = power.SequenceShare(t.Current.Negative.Size, t.Current.Positive.Size)
	t.ZeroCurrent, _ = power.SequenceShare(t.Current.Zero.Size, t.Current.Positive.Size)
	t.CurrentNEMA, _ = power.Deviation(i)
	a.effective(t, v, v1, i, i1)
	a.Total = t
}

// effective resolves the effective apparent power.
func (a *Analysis) effective(t *Total, v, v1 []quantity.VoltsLN, i, i1 []quantity.Amperes) {
	var u, u1 []quantity.VoltsLL
	for _, l := range a.Lines {
		u, u1 = append(u, l.Voltage.RMS), append(u1, l.Voltage.Fundamental)
	}
	t.NEMA, _ = power.Deviation(u)
	var n, n1 quantity.Amperes
	if a.Neutral != nil {
		n, n1 = a.Neutral.RMS, a.Neutral.Fundamental
	}
	s := power.Set{
		Voltage:         power.EffectiveVoltage(quadratic(v), quadratic(u)),
		Voltage1:        power.EffectiveVoltage(quadratic(v1), quadratic(u1)),
		Current:         power.EffectiveCurrent(quadratic(i), n, 1),
		Current1:        power.EffectiveCurrent(quadratic(i1), n1, 1),
		PositiveVoltage: t.Voltage.Positive.Size,
		PositiveCurrent: t.Current.Positive.Size,
		PositiveAngle:   turned(float64(t.Voltage.Positive.Angle-t.Current.Positive.Angle) / degree),
		Active:          t.Active,
	}
	t.Effective, _ = s.Resolve()
}

func quadratic[Q ~float64](three []Q) Q {
	q, ok := power.QuadraticMean(three)
	if !ok {
		return Q(math.NaN())
	}
	return q
}
