package audit

import (
	"fmt"
	"math"
	"slices"

	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/source"
)

// A check holds what a meter showed against the rest of what it showed. It
// compares shown values only: a derived value agrees by its making.
type check func(*checkInput) []Doubt

// checks lists the checks on single readings, in the order in which a
// technician would settle them.
var checks = []check{
	checkCategory, checkCalibration, checkVoltageLevel, checkReversed, checkApparent,
	checkPowerFactor, checkClosure, checkTotal, checkLineVoltage, checkDistortion,
	checkFrequency, checkSmallCurrent,
}

type checkInput struct {
	rec    *site.Record
	raw    site.Reading
	r      *Reading
	limits site.Accuracies
}

// doubts runs the checks over every reading.
func doubts(rec *site.Record, rs []Reading) []Doubt {
	var all []Doubt
	for i := range rs {
		raw, _ := rec.ReadingByID(rs[i].ID)
		in := &checkInput{rec: rec, raw: raw, r: &rs[i], limits: rs[i].Instrument.Limits()}
		for _, c := range checks {
			rs[i].Doubts = append(rs[i].Doubts, c(in)...)
		}
		all = append(all, rs[i].Doubts...)
	}
	return all
}

func (in *checkInput) doubt(id, phase string) Doubt {
	return Doubt{ID: id, Reading: in.r.ID, Phase: phase, Pos: in.r.Pos}
}

// where words the place of a phase in a sentence.
func where(reading, phase string) string {
	if phase == "" || phase == "total" {
		return reading
	}
	return reading + ", phase " + phase
}

// band is the limit of error of a shown value: share of reading plus digits of
// its last place, in base units.
func band[Q quantity.Quantity](a site.Accuracy, d source.At[quantity.Displayed[Q]]) float64 {
	return float64(a.OfReading)*math.Abs(float64(d.Value.Value)) + a.Digits*float64(d.Value.Step)
}

// nominalToNeutral is the nominal voltage between a line and neutral.
func nominalToNeutral(rec *site.Record) float64 {
	v := float64(rec.Site.Supply.Voltage.Value.Value)
	switch rec.Site.Supply.System.Value {
	case site.OnePhaseTwoWire:
		return v
	case site.OnePhaseThreeWire:
		return v / 2
	}
	return v / math.Sqrt(3)
}

func kilo(v float64) float64 { return v / 1e3 }

func checkCategory(in *checkInput) []Doubt {
	i := in.r.Instrument
	if !i.Category.IsSet() {
		return nil
	}
	place, _ := in.rec.Site.Points.Get(in.r.Point)
	need := 3
	if !place.From.IsSet() {
		need = 4
	}
	if place.Category.IsSet() {
		need = int(place.Category.Value)
	}
	toNeutral := nominalToNeutral(in.rec)
	c := i.Category.Value
	if c.Class >= need && float64(c.Volts) >= toNeutral {
		return nil
	}
	d := in.doubt("category-too-low", "")
	d.What = fmt.Sprintf("%s was taken with an instrument rated %s, but the %s is a CAT %s place at %.0f V to neutral", in.r.ID, c, in.r.PointName, roman(need), toNeutral)
	d.Cause = "the instrument is not rated for this point of the installation"
	d.Retake = "do not measure here again with it; use an instrument whose category and voltage both suffice"
	return []Doubt{d}
}

func roman(class int) string { return [...]string{2: "II", 3: "III", 4: "IV"}[class] }

func checkCalibration(in *checkInput) []Doubt {
	i := in.r.Instrument
	if !i.Due.IsSet() || in.r.Date.Compare(i.Due.Value) <= 0 {
		return nil
	}
	d := in.doubt("out-of-calibration", "")
	d.What = fmt.Sprintf("calibration of %s was due on %s, before this reading", i.ID.Value, i.Due.Value)
	d.Cause = "the instrument's stated accuracy no longer holds"
	d.Retake = "have the instrument calibrated; ask for the as-found values, which tell whether this reading stands"
	return []Doubt{d}
}

// checkVoltageLevel compares a voltage to neutral with the nominal one. A
// fifth off is no supply fault but a mistake.
func checkVoltageLevel(in *checkInput) []Doubt {
	nominal := nominalToNeutral(in.rec)
	var ds []Doubt
	for _, e := range in.raw.Phases {
		v := e.Value.Voltage
		if !v.IsSet() || math.Abs(float64(v.Value.Value)/nominal-1) <= 0.2 {
			continue
		}
		d := in.doubt("voltage-implausible", e.Key)
		d.What = fmt.Sprintf("%s shows %s to neutral where %.0f V is nominal", where(in.r.ID, e.Key), v.Text, nominal)
		d.Cause = "a lead on the wrong terminal, or a supply fault"
		if math.Abs(float64(v.Value.Value)/nominal-math.Sqrt(3)) < 0.1 {
			d.Cause = "voltage between two lines was taken for voltage to neutral"
		}
		d.Retake, d.Severe, d.Pos = "check the voltage leads and read again", true, v.Pos
		ds = append(ds, d)
	}
	return ds
}

// checkReversed looks for a phase whose power flows against that of the others.
func checkReversed(in *checkInput) []Doubt {
	positive, negative := 0, 0
	for _, e := range in.raw.Phases {
		switch p := e.Value.Power; {
		case p.IsSet() && p.Value.Value > 0:
			positive++
		case p.IsSet() && p.Value.Value < 0:
			negative++
		}
	}
	if negative == 0 || in.raw.Wiring.Value == site.ThreePhaseThreeWire {
		return nil
	}
	var ds []Doubt
	for _, e := range in.raw.Phases {
		p := e.Value.Power
		if !p.IsSet() || p.Value.Value >= 0 {
			continue
		}
		d := in.doubt("current-reversed", e.Key)
		d.What = fmt.Sprintf("%s shows %s while %s", where(in.r.ID, e.Key), p.Text, others(positive))
		d.Cause = "the clamp on phase " + e.Key + " is on backwards"
		if positive == 0 {
			d.Cause = "the clamp is on backwards, or power flows back to the supply"
		}
		d.Retake, d.Severe, d.Pos = "turn the clamp so that its arrow points to the load and read again", true, p.Pos
		ds = append(ds, d)
	}
	return ds
}

func others(positive int) string {
	switch positive {
	case 0:
		return "no phase takes power"
	case 1:
		return "another phase takes power"
	}
	return "the other phases take power"
}

// checkApparent compares shown apparent power with volts times amperes.
func checkApparent(in *checkInput) []Doubt {
	var ds []Doubt
	for _, e := range in.raw.Phases {
		v, i, s := e.Value.Voltage, e.Value.Current, e.Value.Apparent
		if !v.IsSet() || !i.IsSet() || !s.IsSet() {
			continue
		}
		product := float64(v.Value.Value) * float64(i.Value.Value)
		errV, errI := band(in.limits.Voltage, v), band(in.limits.Current, i)
		tolerance := float64(i.Value.Value)*errV + float64(v.Value.Value)*errI + errV*errI + band(in.limits.Power, s)
		if math.Abs(product-float64(s.Value.Value)) <= tolerance {
			continue
		}
		d := in.doubt("apparent-against-volts-and-amperes", e.Key)
		d.What = fmt.Sprintf("%s: %s × %s is %.2f kVA, but %s is shown (they may differ by %.2f kVA)", where(in.r.ID, e.Key), v.Text, i.Text, kilo(product), s.Text, kilo(tolerance))
		d.Cause = slip(product, float64(s.Value.Value))
		d.Retake, d.Pos = "read voltage, current and apparent power of this phase at one moment", s.Pos
		ds = append(ds, d)
	}
	return ds
}

// slip names the slip of the pen or of a ratio that would explain two figures
// for one quantity.
func slip(expected, shown float64) string {
	if expected == 0 || shown == 0 {
		return "the values were not read at one moment, or one was written down wrongly"
	}
	switch r := shown / expected; {
	case math.Abs(r-1e3) < 100 || math.Abs(r-1e-3) < 1e-4:
		return "a unit is off by a factor of 1,000"
	case math.Abs(r-math.Sqrt(3)) < 0.05 || math.Abs(r-1/math.Sqrt(3)) < 0.02:
		return "voltage between lines and voltage to neutral were mixed up"
	case math.Abs(r-10) < 0.5 || math.Abs(r-0.1) < 0.005:
		return "a decimal point is off by one place, or the clamp's range was misread"
	}
	return "the values were not read at one moment, or one was written down wrongly"
}

// checkPowerFactor compares a shown power factor with P/S. The clamp's angle
// error moves P by about tan φ times the angle.
func checkPowerFactor(in *checkInput) []Doubt {
	var ds []Doubt
	rows := append(source.Map[site.Phase]{}, in.raw.Phases...)
	rows = append(rows, source.Entry[site.Phase]{Key: "total", Value: in.raw.Total})
	for _, e := range rows {
		p, s, pf := e.Value.Power, e.Value.Apparent, e.Value.PF
		if !p.IsSet() || !s.IsSet() || !pf.IsSet() || s.Value.Value <= 0 {
			continue
		}
		ratio := math.Abs(float64(p.Value.Value)) / float64(s.Value.Value)
		shown := math.Abs(float64(pf.Value.Value))
		tolerance := float64(pf.Value.Step) + 0.01 + ratioError(float64(p.Value.Value), band(in.limits.Power, p), float64(s.Value.Value), band(in.limits.Power, s))
		if math.Abs(ratio-shown) <= tolerance {
			continue
		}
		d := in.doubt("power-factor-against-powers", e.Key)
		d.What = fmt.Sprintf("%s: %s over %s is a power factor of %.2f, but %s is shown", where(in.r.ID, e.Key), p.Text, s.Text, ratio, pf.Text)
		d.Cause = "the values were not read at one moment, or one was written down wrongly"
		if shown > ratio {
			d.Cause = "the meter shows the displacement power factor (cos φ of the fundamental), or one value was written down wrongly"
		}
		d.Retake, d.Pos = "read power, apparent power and power factor at one moment", pf.Pos
		ds = append(ds, d)
	}
	return ds
}

// ratioError is how far p/s may be off when p and s are off by up to dp and ds.
func ratioError(p, dp, s, ds float64) float64 {
	if ds >= s {
		return math.Inf(1)
	}
	return (dp + math.Abs(p)*ds/s) / (s - ds)
}

// checkClosure holds P² + Q² against S². Less than S² is explained by
// distortion; more is impossible.
func checkClosure(in *checkInput) []Doubt {
	var ds []Doubt
	for _, e := range in.raw.Phases {
		p, q, s := e.Value.Power, e.Value.Reactive, e.Value.Apparent
		if !p.IsSet() || !q.IsSet() || !s.IsSet() {
			continue
		}
		made := math.Hypot(float64(p.Value.Value), float64(q.Value.Value))
		tolerance := band(in.limits.Power, p) + band(in.limits.Power, q) + band(in.limits.Power, s)
		if made <= float64(s.Value.Value)+tolerance {
			continue
		}
		d := in.doubt("powers-do-not-close", e.Key)
		d.What = fmt.Sprintf("%s: %s and %s make %.2f kVA, more than the %s shown", where(in.r.ID, e.Key), p.Text, q.Text, kilo(made), s.Text)
		d.Cause = slip(made, float64(s.Value.Value))
		d.Retake, d.Pos = "read the three powers of this phase at one moment", q.Pos
		ds = append(ds, d)
	}
	return ds
}

// checkTotal compares a shown total with the sum of the shown phases.
func checkTotal(in *checkInput) []Doubt {
	total := in.raw.Total.Power
	if !total.IsSet() || in.raw.Wiring.Value == site.ThreePhaseThreeWire {
		return nil
	}
	sum, tolerance, n := 0.0, band(in.limits.Power, total), 0
	for _, e := range in.raw.Phases {
		if p := e.Value.Power; p.IsSet() {
			sum += float64(p.Value.Value)
			tolerance += band(in.limits.Power, p)
			n++
		}
	}
	if in.raw.Balanced.Value && n == 1 {
		sum *= 3
		tolerance *= 3
		n = 3
	}
	legs := (&phasePass{reading: in.r}).legs()
	if n < legs || math.Abs(sum-float64(total.Value.Value)) <= tolerance {
		return nil
	}
	d := in.doubt("total-against-phases", "total")
	d.What = fmt.Sprintf("%s: the phases add up to %.2f kW, but a total of %s is shown", in.r.ID, kilo(sum), total.Text)
	d.Cause, d.Severe = slip(sum, float64(total.Value.Value)), true
	d.Retake, d.Pos = "read the phases and the total at one moment", total.Pos
	return []Doubt{d}
}

// checkLineVoltage compares shown line voltages with the phase voltages: for
// angles of about 120° between them, U² = a² + b² + ab.
func checkLineVoltage(in *checkInput) []Doubt {
	var phase [3]*source.At[quantity.Displayed[quantity.VoltsLN]]
	for i, e := range in.raw.Phases {
		if k := site.PhaseIndex(e.Key); k >= 0 && k < 3 && e.Value.Voltage.IsSet() {
			phase[k] = &in.raw.Phases[i].Value.Voltage
		}
	}
	var ds []Doubt
	for _, l := range in.raw.Lines {
		k := site.LineIndex(l.Key)
		a, b := phase[k], phase[(k+1)%3]
		if a == nil || b == nil || !l.Value.Voltage.IsSet() || in.raw.Wiring.Value != site.ThreePhaseFourWire {
			continue
		}
		x, y, u := float64(a.Value.Value), float64(b.Value.Value), float64(l.Value.Voltage.Value.Value)
		made := math.Sqrt(x*x + y*y + x*y)
		tolerance := 0.03*made + band(in.limits.Voltage, l.Value.Voltage)
		if math.Abs(made-u) <= tolerance {
			continue
		}
		d := in.doubt("line-against-phase-voltage", l.Key)
		d.What = fmt.Sprintf("%s: %s and %s to neutral make about %.0f V between %s, but %s is shown", in.r.ID, a.Text, b.Text, made, l.Key, l.Value.Voltage.Text)
		d.Cause = "two voltage leads are exchanged, or the neutral lead is off"
		d.Retake, d.Severe, d.Pos = "check the voltage leads, the neutral's first, and read again", true, l.Value.Voltage.Pos
		ds = append(ds, d)
	}
	return ds
}

// checkDistortion holds the orders against the total that they are part of.
func checkDistortion(in *checkInput) []Doubt {
	spectra := slices.Concat(in.raw.Harmonics.Current, in.raw.Harmonics.Voltage) // in the order of the waves
	var ds []Doubt
	for i, w := range in.r.Waves {
		if !w.THD.Known() || len(w.Orders) == 0 {
			continue
		}
		orders, tolerance := in.ordersOf(spectra[i])
		tolerance += float64(in.limits.Distortion.OfReading)*w.THD.V + in.limits.Distortion.Digits*float64(spectra[i].THD.Value.Step)
		if orders <= w.THD.V+tolerance {
			continue
		}
		d := in.doubt("orders-against-distortion", w.Phase)
		d.What = fmt.Sprintf("%s: the orders of the %s alone make %.1f %%, more than the total of %.1f %% of fundamental", where(in.r.ID, w.Phase), w.Kind, orders*100, w.THD.V*100)
		d.Cause = "the total is a share of rms and was written down as one of the fundamental, or an order was misread"
		d.Retake, d.Pos = "look up which base the meter uses, and read total and orders again", w.Pos
		ds = append(ds, d)
	}
	return ds
}

// ordersOf gives the distortion that the orders make, and its limit of error:
// each order's by its part in the root of the sum of squares.
func (in *checkInput) ordersOf(s site.Spectrum) (made, limit float64) {
	for _, o := range s.Orders {
		made = math.Hypot(made, float64(o.Value.Value.Value))
	}
	for _, o := range s.Orders {
		if made > 0 {
			limit += float64(o.Value.Value.Value) / made * band(in.limits.Distortion, o.Value)
		}
	}
	return made, limit
}

func checkFrequency(in *checkInput) []Doubt {
	f, nominal := in.raw.Frequency, float64(in.rec.Site.Supply.Frequency.Value.Value)
	if !f.IsSet() || math.Abs(float64(f.Value.Value)-nominal) <= 0.02*nominal {
		return nil
	}
	d := in.doubt("frequency-off", "")
	d.What = fmt.Sprintf("%s shows %s where %.0f Hz is nominal", in.r.ID, f.Text, nominal)
	d.Cause = "the meter is set to another frequency, or the site runs on a generator"
	d.Retake, d.Pos = "check the meter's frequency setting and read again", f.Pos
	return []Doubt{d}
}

// checkSmallCurrent warns where power factor, angle and distortion were shown
// for a current too small for the clamp.
func checkSmallCurrent(in *checkInput) []Doubt {
	var ds []Doubt
	for _, e := range in.raw.Phases {
		i := e.Value.Current
		if !i.IsSet() || i.Value.Value >= in.limits.SmallestCurrent || i.Value.Value == 0 || site.PhaseIndex(e.Key) == site.Neutral {
			continue
		}
		d := in.doubt("current-too-small", e.Key)
		d.What = fmt.Sprintf("%s shows %s, below the %.1f A from which the clamp is good for power, angle and distortion", where(in.r.ID, e.Key), i.Text, float64(in.limits.SmallestCurrent))
		d.Cause = "the load is too small for the clamp"
		d.Retake, d.Pos = "pass the conductor through the jaw several times and divide, or use a smaller clamp", i.Pos
		ds = append(ds, d)
	}
	return ds
}
