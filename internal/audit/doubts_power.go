package audit

import (
	"math"

	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/site"
)

var notAtOnce = say.Key("the values were not read at one moment, or one was written down wrongly")

// checkApparent compares shown apparent power with volts times amperes.
func checkApparent(in *checkInput) []Doubt {
	lang := in.rec.Words
	var ds []Doubt
	for i := range in.rows {
		r := &in.rows[i]
		product, errP, ok := r.product()
		if !ok || !r.apparent.ok || math.Abs(product-r.apparent.v) <= errP+r.apparent.err {
			continue
		}
		d := in.doubt("apparent-against-volts-and-amperes", r.name)
		d.What = lang.F("%s: %s × %s is %.2f kVA, but %s is shown (they may differ by %.2f kVA)", where(lang, in.r.ID, r.name), r.voltage.text, r.current.text, kilo(product), r.apparent.text, kilo(errP+r.apparent.err))
		d.Cause = lang.S(notAtOnce)
		d.Retake, d.Pos = lang.S("read voltage, current and apparent power of this phase at one moment"), r.apparent.pos
		ds = append(ds, d)
		r.apparent = shown{}
		if r.current.ok {
			r.pf = shown{} // P over S is not known any more
		}
	}
	return ds
}

// checkPowerFactor compares a shown power factor with P/S.
func checkPowerFactor(in *checkInput) []Doubt {
	lang := in.rec.Words
	var ds []Doubt
	for i := range in.rows {
		r := &in.rows[i]
		s, errS, ok := r.whole()
		if !ok || !r.power.ok || !r.pf.ok || s <= 0 {
			continue
		}
		ratio, seen := math.Abs(r.power.v)/s, math.Abs(r.pf.v)
		if math.Abs(ratio-seen) <= in.factorError(*r, s, errS) {
			continue
		}
		d := in.doubt("power-factor-against-powers", r.name)
		whole := r.apparent.text
		if !r.apparent.ok {
			whole = r.voltage.text + " × " + r.current.text
		}
		d.What = lang.F("%s: %s over %s is a power factor of %.2f, but %s is shown", where(lang, in.r.ID, r.name), r.power.text, whole, ratio, r.pf.text)
		d.Cause = lang.S(notAtOnce)
		if seen > ratio {
			d.Cause = lang.S("the meter shows the displacement power factor (cos φ of the fundamental), or one value was written down wrongly")
		}
		d.Retake, d.Pos = lang.S("read power, apparent power and power factor at one moment"), r.pf.pos
		ds = append(ds, d)
		r.pf, r.angle = shown{}, shown{}
	}
	return ds
}

// checkAngle holds the displayed angle against the power: its cosine is the
// displacement power factor, which the power factor does not exceed. The angle
// error of the clamp moves it by sin φ for each radian.
func checkAngle(in *checkInput) []Doubt {
	lang := in.rec.Words
	var ds []Doubt
	for i := range in.rows {
		r := &in.rows[i]
		s, errS, ok := r.whole()
		if !ok || !r.angle.ok || !r.power.ok || s <= 0 || r.total() {
			continue
		}
		ratio := math.Abs(r.power.v) / s
		cos, sin := math.Abs(math.Cos(r.angle.v*math.Pi/180)), math.Abs(math.Sin(r.angle.v*math.Pi/180))
		limit := ratioError(r.power.v, r.power.err, s, errS) + sin*(float64(in.limits.PhaseAngle)+r.angle.step)*math.Pi/180 + 0.01
		if cos >= ratio-limit {
			continue
		}
		d := in.doubt("angle-against-powers", r.name)
		d.What = lang.F("%s: an angle of %s allows a power factor of %.2f at most, but %s over %.2f kVA is %.2f", where(lang, in.r.ID, r.name), r.angle.text, cos, r.power.text, kilo(s), ratio)
		d.Cause = lang.S("the angle belongs to another phase, or was taken between a line voltage and a line current (30° apart)")
		d.Retake, d.Pos = lang.S("read angle and powers of this phase at one moment"), r.angle.pos
		ds = append(ds, d)
		r.angle = shown{}
	}
	return ds
}

// checkClosure holds P² + Q² against S². Less than S² is explained by
// distortion; more is impossible.
func checkClosure(in *checkInput) []Doubt {
	lang := in.rec.Words
	var ds []Doubt
	for i := range in.live() {
		r := &in.rows[i]
		s, errS, ok := r.whole()
		if !ok || !r.power.ok || !r.reactive.ok {
			continue
		}
		made := math.Hypot(r.power.v, r.reactive.v)
		if made <= s+errS+r.power.err+r.reactive.err {
			continue
		}
		d := in.doubt("powers-do-not-close", r.name)
		d.What = lang.F("%s: %s and %s make %.2f kVA, more than the %.2f kVA there is", where(lang, in.r.ID, r.name), r.power.text, r.reactive.text, kilo(made), kilo(s))
		d.Cause = lang.S(notAtOnce)
		d.Retake, d.Pos = lang.S("read the three powers of this phase at one moment"), r.reactive.pos
		ds = append(ds, d)
		r.reactive = shown{}
	}
	return ds
}

// checkNonActive asks whether a shown kvar is the fundamental's. On a distorted
// current P² + Q_1² stays below S² by a known gap; a kvar that closes the gap is
// the non-active power √(S² − P²), for which capacitors would be too large.
func checkNonActive(in *checkInput) []Doubt {
	lang := in.rec.Words
	var ds []Doubt
	for i := range in.live() {
		r := &in.rows[i]
		s, errS, ok := r.whole()
		thd, errD := in.currentTHD(r.index, r.line)
		if !ok || !r.power.ok || !r.reactive.ok || thd <= errD || s <= 0 {
			continue
		}
		made := math.Hypot(r.power.v, r.reactive.v)
		if made == 0 {
			continue
		}
		gap := s * (1 - 1/math.Sqrt(1+math.Pow(thd-errD, 2)))
		// Harmonic voltages and currents carry some power of their own.
		limit := errS + thd*in.voltageTHD(r.index)*s + (math.Abs(r.power.v)*r.power.err+math.Abs(r.reactive.v)*r.reactive.err)/made
		if s-made >= gap-limit {
			continue
		}
		s1 := power.FundamentalApparent(quantity.VoltAmperes(s), 0, quantity.Ratio(thd))
		d := in.doubt("kvar-is-non-active", r.name)
		d.What = lang.F("%s: %s and %s make up the whole %.2f kVA, though the current is distorted by %.0f %%", where(lang, in.r.ID, r.name), r.power.text, r.reactive.text, kilo(s), thd*100)
		if q, ok := power.FundamentalReactive(s1, quantity.Watts(math.Abs(r.power.v))); ok {
			d.What = lang.F("%s: %s and %s make up the whole %.2f kVA, though the current is distorted by %.0f %%, which leaves about %.2f kvar for the fundamental", where(lang, in.r.ID, r.name), r.power.text, r.reactive.text, kilo(s), thd*100, kilo(float64(q)))
		}
		d.Cause = lang.S("the kvar shown is non-active power, the root of S² − P², and not the reactive power of the fundamental")
		d.Retake, d.Pos = lang.S("do not size capacitors by it; read the fundamental's kvar or cos φ where the meter has them"), r.reactive.pos
		ds = append(ds, d)
	}
	return ds
}

// currentTHD is the distortion of a phase's current of the fundamental as shown,
// with its limit of error.
func (in *checkInput) currentTHD(index int, line bool) (thd, limit float64) {
	for _, s := range in.raw.Harmonics.Current {
		if line || site.PhaseIndex(s.Phase.Value) != index || !s.THD.IsSet() {
			continue
		}
		thd = float64(s.THD.Value.Value)
		limit = float64(in.limits.Distortion.OfReading)*thd + in.limits.Distortion.Digits*float64(s.THD.Value.Step)
		if s.THD.Value.Base == quantity.OfRMS && thd+limit < 1 {
			limit /= math.Pow(1-thd*thd, 1.5)
			thd /= math.Sqrt(1 - thd*thd)
		}
		return thd, limit
	}
	return 0, 0
}

// voltageTHD is the distortion of a phase's voltage as shown, else the highest
// that a supply should have.
func (in *checkInput) voltageTHD(index int) float64 {
	for _, s := range in.raw.Harmonics.Voltage {
		if site.PhaseIndex(s.Phase.Value) == index && s.THD.IsSet() {
			return float64(s.THD.Value.Value)
		}
	}
	return 0.08
}

// checkTotal compares a shown total with the sum of the shown phases.
func checkTotal(in *checkInput) []Doubt {
	lang := in.rec.Words
	t := in.totalRow()
	if !t.power.ok || in.raw.Wiring.Value == site.ThreePhaseThreeWire {
		return nil
	}
	sum, limit, n := 0.0, t.power.err, 0
	for _, r := range in.live() {
		if r.power.ok {
			sum += r.power.v
			limit += r.power.err
			n++
		}
	}
	one := sum
	if in.raw.Balanced.Value && n == 1 {
		sum *= 3
		limit *= 3
		n = 3
	}
	legs := (&phasePass{reading: in.r}).legs()
	if n < legs || math.Abs(sum-t.power.v) <= limit {
		return nil
	}
	d := in.doubt("total-against-phases", "total")
	d.What = lang.F("%s: the phases add up to %.2f kW, but a total of %s is shown", in.r.ID, kilo(sum), t.power.text)
	d.Cause, d.Severe = lang.S(notAtOnce), true
	d.Retake, d.Pos = lang.S("read the phases and the total at one moment"), t.power.pos
	switch {
	case in.raw.Balanced.Value && math.Abs(one-t.power.v) <= limit:
		d.Cause = lang.S("the total is that of one phase, or one phase was taken for three where only one carries current")
	case nearFactor(t.power.v, sum, 1e3, 0.1) || nearFactor(t.power.v, sum, 1e-3, 0.1):
		d.ID, d.Cause = "unit-slip", lang.S("a unit is off by a factor of 1,000: the total")
	case nearFactor(t.power.v, sum, 10, 0.05) || nearFactor(t.power.v, sum, 0.1, 0.05):
		d.ID, d.Cause = "decimal-point", lang.S("a decimal point is off by one place: the total")
	}
	in.r.spoilt = true
	return []Doubt{d}
}

// checkBreaker holds the current of a whole point against its protective device.
func checkBreaker(in *checkInput) []Doubt {
	lang := in.rec.Words
	place := in.place
	if in.r.At != in.r.Point || !place.Breaker.IsSet() || in.r.spoilt {
		return nil
	}
	rating := float64(place.Breaker.Value.Value)
	var most row
	for _, r := range in.live() {
		if r.current.ok && (!most.current.ok || r.current.v > most.current.v) {
			most = r
		}
	}
	if !most.current.ok || most.current.v-most.current.err <= 1.1*rating {
		return nil
	}
	d := in.doubt("current-above-breaker", most.name)
	d.What = lang.F("%s shows %.0f A behind a protective device of %s", where(lang, in.r.ID, most.name), most.current.v, place.Breaker.Text)
	d.Cause = lang.S("a current transformer's ratio or a unit is wrong, or the device is listed wrongly")
	d.Retake, d.Severe, d.Pos = lang.S("read the device's rating and the current again"), true, most.current.pos
	if in.ratios != nil && in.ratios.CT.IsSet() {
		k := in.ratios.CT.Value.Ratio()
		if k > 1.05 && most.current.v/k <= 1.1*rating {
			d.ID, d.Phase = "ratio-applied-twice", ""
			d.Cause = lang.F("the current transformer's ratio of %s was applied twice: the meter shows the primary current already", in.ratios.CT.Text)
			d.Retake = lang.S("look up whether the ratio is set in the meter, and state it once, under ratios")
			if in.ratios.Set.Value {
				d.ID, d.Cause = "ratio-wrong", lang.S("the current transformer's ratio set in the meter is not the one on its plate")
			}
		}
	} else if most.current.v/1e3 <= 1.1*rating && most.current.v/1e3 > 0.01*rating {
		d.ID, d.Cause = "unit-slip", lang.S("a unit is off by a factor of 1,000: current in A that was shown in mA")
	}
	in.spoilAll()
	return []Doubt{d}
}

func (in *checkInput) spoilAll() {
	for i := range in.live() {
		in.spoil(&in.rows[i])
		in.rows[i].current = shown{}
	}
	in.r.spoilt = true
}
