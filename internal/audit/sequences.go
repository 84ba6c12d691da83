package audit

import (
	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

// phasorPart is a size in V or an angle in °: a series of phasors has them in
// turn, phase A first.
type phasorPart float64

func components(parts []phasorPart) power.Components[quantity.VoltsLN] {
	var v [3]power.Phasor[quantity.VoltsLN]
	for i := range v {
		v[i] = power.Phasor[quantity.VoltsLN]{Size: quantity.VoltsLN(parts[2*i]), Angle: quantity.Degrees(parts[2*i+1])}
	}
	return power.Symmetrical(v[0], v[1], v[2])
}

const fortescue = "Fortescue's transform; the series is size and angle of phases A, B and C in turn, h is 0, 1 and 2, and a turns by 120°"

// The symmetrical components of three phase voltages.
var (
	zeroF     = working.DefN("zero-sequence voltage", "V_0 = abs(sum(V)) / 3", fortescue, "V", func(x []phasorPart) quantity.VoltsLN { return components(x).Zero.Size })
	positiveF = working.DefN("positive-sequence voltage", "V_1 = abs(sum(a^h * V)) / 3", fortescue, "V", func(x []phasorPart) quantity.VoltsLN { return components(x).Positive.Size })
	negativeF = working.DefN("negative-sequence voltage", "V_2 = abs(sum(a^(2 * h) * V)) / 3", fortescue, "V", func(x []phasorPart) quantity.VoltsLN { return components(x).Negative.Size })
)

// sequences works the symmetrical components out where all three phase voltages
// are known with their angles.
func (p *phasePass) sequences() {
	lang := p.lang
	var parts [6]working.Num[phasorPart]
	found := 0
	for _, ph := range p.reading.Phases {
		i := site.PhaseIndex(ph.Name)
		if i < 0 || i > 2 || !ph.Voltage.Known() || !ph.VoltageAngle.Known() {
			continue
		}
		parts[2*i], parts[2*i+1] = num[phasorPart](ph.Voltage), num[phasorPart](ph.VoltageAngle)
		found++
	}
	if found != 3 || p.reading.Wiring != site.ThreePhaseFourWire {
		return
	}
	c, id, of := &p.reading.Components, p.prefix+"sequence.", p.reading.ID
	c.Zero = derived(zeroF.Apply(p.sheet, id+"zero", lang.F("zero-sequence voltage of %s", of), "V", parts[:]))
	c.Positive = derived(positiveF.Apply(p.sheet, id+"positive", lang.F("positive-sequence voltage of %s", of), "V", parts[:]))
	c.Negative = derived(negativeF.Apply(p.sheet, id+"negative", lang.F("negative-sequence voltage of %s", of), "V", parts[:]))
	if c.Positive.V > c.Negative.V {
		v := func(x Value) working.Num[quantity.VoltsLN] { return num[quantity.VoltsLN](x) }
		c.ZeroShare = ratioOf(power.ZeroShareF.Apply(p.sheet, id+"zero-share", lang.F("zero-sequence unbalance of %s", of), "", v(c.Zero), v(c.Positive)))
		c.NegativeShare = ratioOf(power.NegativeShareF.Apply(p.sheet, id+"negative-share", lang.F("negative-sequence unbalance of %s", of), "", v(c.Negative), v(c.Positive)))
	}
}
