package audit

import (
	"fmt"
	"math"
	"slices"

	"auditgen/internal/say"
)

// slipFactor is a factor by which a value may be off, and what that means.
type slipFactor struct {
	factor float64
	within float64 // share by which the value may miss it
	id     string
	cause  func(values string) string
}

// slipFactors lists the factors that name a cause, the most telling first.
func (in *checkInput) slipFactors() []slipFactor {
	lang := in.rec.Words
	var fs []slipFactor
	if in.ratios != nil {
		if ct := in.ratios.CT; ct.Value.Ratio() > 1.5 {
			fs = append(fs, slipFactor{ct.Value.Ratio(), 0.1, "ratio-in-part", func(values string) string {
				return lang.F("%s stands on the other side of the current transformer of %s", values, ct.Text)
			}})
		}
		if vt := in.ratios.VT; vt.Value.Ratio() > 1.5 {
			fs = append(fs, slipFactor{vt.Value.Ratio(), 0.1, "ratio-in-part", func(values string) string {
				return lang.F("%s stands on the other side of the voltage transformer of %s", values, vt.Text)
			}})
		}
	}
	return append(fs,
		slipFactor{1e3, 0.1, "unit-slip", func(values string) string { return lang.F("a unit is off by a factor of 1,000: %s", values) }},
		slipFactor{math.Sqrt(3), 0.03, "line-and-phase-mixed", func(values string) string {
			return lang.F("voltage between lines and voltage to neutral were mixed up in %s", values)
		}},
		slipFactor{10, 0.05, "decimal-point", func(values string) string {
			return lang.F("a decimal point is off by one place, or the range was misread: %s", values)
		}},
	)
}

// slips are the sets of values that are likely to be off together.
var slips = []struct {
	values  string
	voltage bool // it may be off since the wrong voltage was multiplied in
	scale   func(r row, f float64) (row, bool)
}{
	{say.Key("current"), false, func(r row, f float64) (row, bool) { r.current = r.current.times(f); return r, r.current.ok }},
	{say.Key("active power"), false, func(r row, f float64) (row, bool) { r.power = r.power.times(f); return r, r.power.ok }},
	{say.Key("apparent power"), true, func(r row, f float64) (row, bool) { r.apparent = r.apparent.times(f); return r, r.apparent.ok }},
	{say.Key("reactive power"), false, func(r row, f float64) (row, bool) { r.reactive = r.reactive.times(f); return r, r.reactive.ok }},
	{say.Key("active and reactive power"), false, func(r row, f float64) (row, bool) {
		ok := r.power.ok && r.reactive.ok && !r.apparent.ok
		r.power, r.reactive = r.power.times(f), r.reactive.times(f)
		return r, ok
	}},
	{say.Key("all powers"), true, func(r row, f float64) (row, bool) {
		n := 0
		for _, s := range []shown{r.power, r.reactive, r.apparent} {
			if s.ok {
				n++
			}
		}
		r.power, r.reactive, r.apparent = r.power.times(f), r.reactive.times(f), r.apparent.times(f)
		return r, n > 1
	}},
}

func (s shown) times(f float64) shown { s.v, s.err, s.step = s.v*f, s.err*f, s.step*f; return s }

// checkSlips looks for the one value of a phase or total that, a factor apart,
// would make all others agree.
func checkSlips(in *checkInput) []Doubt {
	var ds []Doubt
	for i := range in.rows {
		r := &in.rows[i]
		if in.agrees(*r) && (!in.nextToNothing(*r) || in.turnedSomewhere()) {
			continue
		}
		d, ok := in.slip(*r)
		if !ok {
			continue
		}
		if k := slices.IndexFunc(ds, func(x Doubt) bool { return x.ID == d.ID && x.Cause == d.Cause }); k >= 0 {
			ds[k].Phase += ", " + r.name
		} else {
			ds = append(ds, d)
		}
		in.spoil(r)
		if d.ID == "unit-slip" || d.ID == "decimal-point" || d.ID == "ratio-in-part" {
			r.current = shown{} // it may be the one that is off
		}
	}
	return ds
}

func (in *checkInput) slip(r row) (Doubt, bool) {
	lang := in.rec.Words
	little := in.agrees(r) // all that is odd is a power next to nothing
	for _, f := range in.slipFactors() {
		var found []string
		if little && f.factor < 1/least {
			continue
		}
		for _, s := range slips {
			if f.id == "line-and-phase-mixed" && !s.voltage {
				continue
			}
			for _, factor := range []float64{f.factor, 1 / f.factor} {
				if changed, ok := s.scale(r, factor); ok && in.agrees(changed) && !in.nextToNothing(changed) && in.meets(changed, f.within) {
					found = append(found, lang.S(s.values))
					break
				}
			}
		}
		if len(found) == 0 {
			continue
		}
		if len(found) > 1 { // the narrowest sets that do it
			found = slices.DeleteFunc(found, func(v string) bool { return v == lang.S("active and reactive power") })
		}
		values := found[0]
		if len(found) > 1 {
			values = enumerateOr(lang, found)
		}
		d := in.doubt(f.id, r.name)
		d.What = where(lang, in.r.ID, r.name) + ": " + in.disagreement(r)
		d.Cause = f.cause(values)
		d.Retake, d.Severe, d.Pos = lang.S("look at the display's unit and read voltage, current and powers at one moment"), true, firstPos(r.apparent.pos, r.power.pos, r.current.pos)
		return d, true
	}
	return Doubt{}, false
}

func enumerateOr(lang *say.Language, items []string) string {
	if n := len(items); n > 1 {
		s := items[0]
		for _, x := range items[1 : n-1] {
			s += ", " + x
		}
		return lang.F("%s or %s", s, items[n-1])
	}
	return items[0]
}

// product is voltage times current with its limit of error, where both were shown.
func (r row) product() (v, err float64, ok bool) {
	if !r.voltage.ok || !r.current.ok || r.total() {
		return 0, 0, false
	}
	u, i := r.voltage, r.current
	return u.v * i.v, i.v*u.err + u.v*i.err + u.err*i.err, true
}

// whole is the apparent power as shown, else as voltage times current.
func (r row) whole() (v, err float64, ok bool) {
	if r.apparent.ok {
		return r.apparent.v, r.apparent.err, true
	}
	return r.product()
}

// least is the power factor below which a load that shows no reactive power is
// not believed.
const least = 0.02

// agrees holds the values of a row against each other: apparent power against
// volts times amperes, power against apparent power and power factor, and the
// three powers' closing.
func (in *checkInput) agrees(r row) bool {
	if p, errP, ok := r.product(); ok && r.apparent.ok && math.Abs(p-r.apparent.v) > errP+r.apparent.err {
		return false
	}
	s, errS, ok := r.whole()
	if !ok || s <= 0 {
		return true
	}
	if r.power.ok && math.Abs(r.power.v) > s+errS+r.power.err {
		return false
	}
	if r.below {
		return true
	}
	if r.power.ok && r.reactive.ok && math.Hypot(r.power.v, r.reactive.v) > s+errS+r.power.err+r.reactive.err {
		return false
	}
	if r.power.ok && r.pf.ok && math.Abs(math.Abs(r.power.v)/s-math.Abs(r.pf.v)) > in.factorError(r, s, errS) {
		return false
	}
	return true
}

// nextToNothing tells of a power that is a small part of a percent of volts times
// amperes, with no reactive power to explain it.
func (in *checkInput) nextToNothing(r row) bool {
	s, errS, ok := r.whole()
	if !ok || r.below || r.total() || !r.power.ok && !r.reactive.ok {
		return false
	}
	return math.Hypot(r.power.v, r.reactive.v)+r.power.err+r.reactive.err < least*(s-errS)
}

// turnedSomewhere tells of power that flows back on some phase: then a clamp is
// on wrong, and a power of nothing on another phase comes of the same.
func (in *checkInput) turnedSomewhere() bool {
	return slices.ContainsFunc(in.live(), func(r row) bool { return r.power.ok && r.power.v < 0 })
}

// meets asks more than agreement of a repaired row, since a value made small
// enough contradicts nothing: the product meets the apparent power within a
// share, no power is next to nothing, and active and reactive power make up most
// of the apparent power.
func (in *checkInput) meets(r row, share float64) bool {
	if p, errP, ok := r.product(); ok && r.apparent.ok && math.Abs(p-r.apparent.v) > math.Max(share*p, errP) {
		return false
	}
	s, _, ok := r.whole()
	if !ok {
		return true
	}
	p, q := math.Abs(r.power.v), math.Abs(r.reactive.v)
	switch {
	case r.power.ok && r.reactive.ok:
		return math.Max(p, q) >= 0.1*s && math.Min(p, q) >= 0.01*s && math.Hypot(p, q) >= 0.95*s/math.Hypot(1, in.distortionOf(r))
	case r.power.ok:
		return p >= 0.1*s
	case r.reactive.ok:
		return q >= 0.1*s
	}
	return true
}

// distortionOf is the distortion of a row's current as shown; nothing where none was.
func (in *checkInput) distortionOf(r row) float64 {
	thd, _ := in.currentTHD(r.index, r.line)
	return thd
}

// factorError is how far P/S may be from the power factor shown beside them. All
// three come of one measurement, so the clamp's angle error is in each of them.
func (in *checkInput) factorError(r row, s, errS float64) float64 {
	return r.pf.step + 0.01 + ratioError(r.power.v, r.power.err, s, errS)
}

// ratioError is how far p/s may be off when p and s are off by up to dp and ds.
func ratioError(p, dp, s, ds float64) float64 {
	if ds >= s {
		return math.Inf(1)
	}
	return (dp + math.Abs(p)*ds/s) / (s - ds)
}

// disagreement words what in a row does not agree.
func (in *checkInput) disagreement(r row) string {
	lang := in.rec.Words
	p, errP, ok := r.product()
	if ok && r.apparent.ok && math.Abs(p-r.apparent.v) > errP+r.apparent.err {
		return lang.F("%s × %s is %.2f kVA, but %s is shown", r.voltage.text, r.current.text, kilo(p), r.apparent.text)
	}
	whole := r.apparent.text
	if !r.apparent.ok {
		whole = fmt.Sprintf("%s × %s", r.voltage.text, r.current.text)
	}
	switch {
	case r.power.ok && r.pf.ok:
		return lang.F("%s of %s with a power factor of %s cannot be", r.power.text, whole, r.pf.text)
	case r.power.ok && r.reactive.ok:
		return lang.F("%s and %s do not go with %s", r.power.text, r.reactive.text, whole)
	case r.power.ok:
		return lang.F("%s does not go with %s", r.power.text, whole)
	}
	return lang.F("%s does not go with %s", r.reactive.text, whole)
}
