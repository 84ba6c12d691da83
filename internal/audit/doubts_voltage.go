package audit

import (
	"math"

	"auditgen/internal/site"
)

// levelBand is how far a voltage may stand from the nominal one before it is a
// mistake and no supply fault.
const levelBand = 0.2

// checkNeutralLead looks for a neutral lead that is off or on a phase. The sum of
// the squares of the phase voltages and of the line voltages tell how far the
// meter's neutral stands from the middle of the phases:
// ΣV² = ΣU²/3 + 3·V_0² (law of cosines in a star).
func checkNeutralLead(in *checkInput) []Doubt {
	lang := in.rec.Words
	a, b, c := in.phase(0), in.phase(1), in.phase(2)
	if in.raw.Wiring.Value != site.ThreePhaseFourWire || a == nil || b == nil || c == nil || !a.voltage.ok || !b.voltage.ok || !c.voltage.ok {
		return nil
	}
	rows := [3]*row{a, b, c}
	if ds := in.exchangedNeutral(rows); ds != nil {
		return ds
	}
	nominal := nominalToNeutral(in.rec)
	squares, limit, worst := 0.0, 0.0, 0.0
	for _, r := range rows {
		squares += r.voltage.v * r.voltage.v
		limit += 2 * r.voltage.v * r.voltage.err
		worst = math.Max(worst, math.Abs(r.voltage.v/nominal-1))
	}
	if in.lines[0].ok && in.lines[1].ok && in.lines[2].ok {
		for _, u := range in.lines {
			squares -= u.v * u.v / 3
			limit += 2 * u.v * u.err / 3
			if math.Abs(u.v/nominalBetween(in.rec)-1) > levelBand {
				return nil // the lines are wrong too: no matter of the neutral alone
			}
		}
		// A tenth of the nominal voltage is more than any sound neutral shifts.
		if squares-limit <= 3*math.Pow(0.1*nominal, 2) {
			return nil
		}
	} else {
		mean := (a.voltage.v + b.voltage.v + c.voltage.v) / 3
		apart := math.Max(math.Max(a.voltage.v, b.voltage.v), c.voltage.v) - math.Min(math.Min(a.voltage.v, b.voltage.v), c.voltage.v)
		if worst <= levelBand || math.Abs(mean/nominal-1) > levelBand || apart < 0.25*nominal {
			return nil
		}
	}
	d := in.doubt("neutral-lead-open", "")
	d.What = lang.F("%s shows %s, %s and %s to neutral, though the lines stand evenly", in.r.ID, a.voltage.text, b.voltage.text, c.voltage.text)
	if !in.lines[0].ok {
		d.What = lang.F("%s shows %s, %s and %s to neutral where %.0f V is nominal", in.r.ID, a.voltage.text, b.voltage.text, c.voltage.text, nominal)
	}
	d.Cause = lang.S("the meter's neutral lead is off; if it sits firmly, the neutral of the supply is broken, and that is dangerous")
	d.Retake, d.Severe, d.Pos = lang.S("check the neutral lead first, then the neutral itself, and read again"), true, a.voltage.pos
	in.withdraw(rows[:], true)
	return []Doubt{d}
}

// withdraw takes voltages and powers of rows from the evidence.
func (in *checkInput) withdraw(rows []*row, lines bool) {
	for _, r := range rows {
		in.spoil(r)
		r.voltage = shown{}
	}
	if lines {
		in.lines = [3]shown{}
	}
}

// exchangedNeutral is the neutral lead and one phase's exchanged: that phase
// shows its voltage, the others √3 times theirs.
func (in *checkInput) exchangedNeutral(rows [3]*row) []Doubt {
	lang := in.rec.Words
	nominal := nominalToNeutral(in.rec)
	var plain, line []string
	for _, r := range rows {
		switch {
		case math.Abs(r.voltage.v/nominal-1) <= 0.12:
			plain = append(plain, r.name)
		case math.Abs(r.voltage.v/nominal/math.Sqrt(3)-1) <= 0.12:
			line = append(line, r.name)
		}
	}
	if len(plain) != 1 || len(line) != 2 {
		return nil
	}
	d := in.doubt("neutral-and-phase-exchanged", plain[0])
	d.What = lang.F("%s shows %s, %s and %s to neutral: one phase voltage and two line voltages", in.r.ID, rows[0].voltage.text, rows[1].voltage.text, rows[2].voltage.text)
	d.Cause = lang.F("the neutral lead and the lead of phase %s are exchanged", plain[0])
	d.Retake, d.Severe, d.Pos = lang.S("put the neutral lead on the neutral and the lead on its phase, and read again"), true, rows[0].voltage.pos
	in.withdraw(rows[:], true)
	return []Doubt{d}
}

// checkVoltages compares voltages with the nominal ones. A fifth off is no supply
// fault but a mistake: of terminals, of a transformer's ratio, of a unit.
func checkVoltages(in *checkInput) []Doubt {
	ds := in.reversedTransformer()
	byCause := map[string]int{}
	for i := range in.rows {
		r := &in.rows[i]
		if r.line || !r.voltage.ok || r.total() && in.raw.Wiring.Value != site.OnePhaseTwoWire {
			continue
		}
		nominal := nominalToNeutral(in.rec)
		if math.Abs(r.voltage.v/nominal-1) > levelBand {
			ds = in.level(ds, byCause, r, r.voltage, nominal, r.name)
		}
	}
	if between := nominalBetween(in.rec); between > 0 {
		for i, u := range in.lines {
			if !u.ok || math.Abs(u.v/between-1) <= levelBand {
				continue
			}
			var r *row
			for k := range in.live() {
				if in.rows[k].line && in.rows[k].index == i {
					r = &in.rows[k]
				}
			}
			ds = in.level(ds, byCause, r, u, between, [3]string{"AB", "BC", "CA"}[i])
			in.lines[i] = shown{}
		}
	}
	return ds
}

// level raises a doubt about a voltage, or adds its phase to the one that has the
// same cause.
func (in *checkInput) level(ds []Doubt, byCause map[string]int, r *row, v shown, nominal float64, name string) []Doubt {
	lang := in.rec.Words
	id, cause := in.levelCause(v.v/nominal, site.LineIndex(name) >= 0)
	if r != nil {
		in.spoil(r)
		r.voltage = shown{}
	}
	if i, ok := byCause[id]; ok {
		ds[i].Phase += ", " + name
		return ds
	}
	d := in.doubt(id, name)
	_, vt := scales(in.ratios)
	switch at, between := where(lang, in.r.ID, name), site.LineIndex(name) >= 0; {
	case between && vt != 1:
		d.What = lang.F("%s shows %s, which the ratio makes %.0f V between lines where %.0f V is nominal", at, v.text, v.v, nominal)
	case between:
		d.What = lang.F("%s shows %s between lines where %.0f V is nominal", at, v.text, nominal)
	case vt != 1:
		d.What = lang.F("%s shows %s, which the ratio makes %.0f V to neutral where %.0f V is nominal", at, v.text, v.v, nominal)
	default:
		d.What = lang.F("%s shows %s to neutral where %.0f V is nominal", at, v.text, nominal)
	}
	d.Cause = cause
	d.Retake, d.Severe, d.Pos = lang.S("check the voltage leads and read again"), true, v.pos
	if id == "voltage-ratio" {
		d.Retake = lang.S("look up the voltage transformer's plate and whether the ratio is set in the meter; state it once, under ratios")
	}
	byCause[id] = len(ds)
	return append(ds, d)
}

func (in *checkInput) levelCause(off float64, line bool) (id, cause string) {
	lang := in.rec.Words
	if in.ratios != nil && in.ratios.VT.IsSet() {
		k := in.ratios.VT.Value.Ratio()
		switch {
		case k > 1.05 && math.Abs(off/k-1) <= levelBand:
			return "voltage-ratio", lang.F("the voltage transformer's ratio of %s was applied twice: it is set in the meter already", in.ratios.VT.Text)
		case k > 1.05 && math.Abs(off*k-1) <= levelBand:
			return "voltage-ratio", lang.F("the voltage transformer's ratio of %s was not applied: it is not set in the meter", in.ratios.VT.Text)
		}
		return "voltage-ratio", lang.F("the voltage transformer's ratio of %s is wrong for this supply", in.ratios.VT.Text)
	}
	three := in.rec.Site.Supply.System.Value != site.OnePhaseThreeWire
	switch {
	case !line && three && math.Abs(off/math.Sqrt(3)-1) < 0.06, !line && !three && math.Abs(off/2-1) < 0.06:
		return "line-voltage-for-phase-voltage", lang.S("voltage between two lines was taken for voltage to neutral")
	case line && three && math.Abs(off*math.Sqrt(3)-1) < 0.06, line && !three && math.Abs(off*2-1) < 0.06:
		return "phase-voltage-for-line-voltage", lang.S("voltage to neutral was taken for voltage between two lines")
	case nearFactor(off, 1, 1e3, levelBand) || nearFactor(off, 1, 1e-3, levelBand):
		return "unit-slip", lang.S("a unit is off by a factor of 1,000: V and kV")
	case nearFactor(off, 1, 10, levelBand) || nearFactor(off, 1, 0.1, levelBand):
		return "decimal-point", lang.S("a decimal point is off by one place")
	}
	return "voltage-implausible", lang.S("a lead on the wrong terminal, a voltage transformer that is not stated, or a supply fault")
}

// reversedTransformer is one of the two voltage transformers of a three-wire
// metering set turned about: the voltage that closes the triangle is √3 times
// the others.
func (in *checkInput) reversedTransformer() []Doubt {
	lang := in.rec.Words
	u := in.lines
	if in.raw.Wiring.Value != site.ThreePhaseThreeWire || !u[0].ok || !u[1].ok || !u[2].ok {
		return nil
	}
	for i := range u {
		x, y := u[(i+1)%3].v, u[(i+2)%3].v
		nominal := nominalBetween(in.rec)
		if math.Abs(x/nominal-1) > levelBand || math.Abs(y/nominal-1) > levelBand || !nearFactor(u[i].v, (x+y)/2, math.Sqrt(3), 0.05) {
			continue
		}
		name := [3]string{"AB", "BC", "CA"}[i]
		d := in.doubt("voltage-transformer-reversed", name)
		d.What = lang.F("%s shows %s between lines %s, √3 times the other two", in.r.ID, u[i].text, name)
		d.Cause = lang.S("one voltage transformer is connected the wrong way about")
		d.Retake, d.Severe, d.Pos = lang.S("have its terminals exchanged by whoever may open the metering, and read again"), true, u[i].pos
		in.lines = [3]shown{}
		in.r.spoilt = true
		return []Doubt{d}
	}
	return nil
}

// checkLineVoltage compares shown line voltages with the phase voltages: for
// angles of about 120° between them, U² = a² + b² + ab; in split phase the legs
// add up.
func checkLineVoltage(in *checkInput) []Doubt {
	lang := in.rec.Words
	var ds []Doubt
	for k, u := range in.lines {
		a, b := in.phase(k), in.phase((k+1)%3)
		if a == nil || b == nil || !a.voltage.ok || !b.voltage.ok || !u.ok {
			continue
		}
		x, y := a.voltage.v, b.voltage.v
		made := x + y
		switch {
		case in.raw.Wiring.Value == site.ThreePhaseFourWire:
			made = math.Sqrt(x*x + y*y + x*y)
		case in.raw.Wiring.Value != site.OnePhaseThreeWire || k != 0:
			continue
		}
		if math.Abs(made-u.v) <= 0.03*made+u.err {
			continue
		}
		name := [3]string{"AB", "BC", "CA"}[k]
		d := in.doubt("line-against-phase-voltage", name)
		d.What = lang.F("%s: %s and %s to neutral make about %.0f V between %s, but %s is shown", in.r.ID, a.voltage.text, b.voltage.text, made, name, u.text)
		d.Cause = lang.S("two voltage leads are exchanged, or the neutral lead is off")
		d.Retake, d.Severe, d.Pos = lang.S("check the voltage leads, the neutral's first, and read again"), true, u.pos
		ds = append(ds, d)
		in.r.spoilt = true
	}
	return ds
}
