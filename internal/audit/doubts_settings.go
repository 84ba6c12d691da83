package audit

import (
	"fmt"
	"math"

	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
)

// grouped gathers readings that one wrong choice or setting spoils: one doubt
// tells them all.
type grouped struct {
	list  []Doubt
	index map[string]int
}

func (g *grouped) add(key string, d Doubt) {
	if g.index == nil {
		g.index = map[string]int{}
	}
	if i, ok := g.index[key]; ok {
		g.list[i].Also = append(g.list[i].Also, d.Reading)
		return
	}
	g.index[key] = len(g.list)
	g.list = append(g.list, d)
}

// safetyAndSettings holds each instrument against the places it was used at and
// the day, and its setting of frequency against the supply.
func safetyAndSettings(rec *site.Record, rs []Reading, places map[string]site.Point) []Doubt {
	var category, calibration, frequency grouped
	for i := range rs {
		in := &checkInput{rec: rec, raw: rec.Readings[i], r: &rs[i], place: places[rs[i].Point]}
		id := rs[i].Instrument.ID.Value
		if need, d, ok := in.category(); ok {
			category.add(fmt.Sprint(id, " ", need), d)
		}
		if d, ok := in.calibration(); ok {
			calibration.add(id, d)
		}
		if d, ok := in.frequency(); ok {
			frequency.add(fmt.Sprintf("%s %.0f", id, float64(in.raw.Frequency.Value.Value)/10), d)
		}
	}
	return append(append(category.list, calibration.list...), frequency.list...)
}

func (in *checkInput) category() (need int, d Doubt, low bool) {
	lang := in.rec.Words
	i := in.r.Instrument
	if !i.Category.IsSet() {
		return 0, d, false
	}
	place := in.place
	need = 3
	if !place.From.IsSet() {
		need = 4
	}
	if place.Category.IsSet() {
		need = int(place.Category.Value)
	}
	toNeutral := nominalToNeutral(in.rec)
	c := i.Category.Value
	if c.Class >= need && float64(c.Volts) >= toNeutral {
		return 0, d, false
	}
	d = in.doubt(CategoryTooLow, "")
	d.What = lang.F("%s was taken with an instrument rated %s, but %s is a CAT %s place at %.0f V to neutral", in.r.ID, c, inSentence(in.r.PointName), roman(need), toNeutral)
	d.Cause = lang.S("the instrument is not rated for this point of the installation")
	d.Retake = lang.S("do not measure here again with it; use an instrument whose category and voltage both suffice")
	d.Safety = true
	return need, d, true
}

func roman(class int) string { return [...]string{2: "II", 3: "III", 4: "IV"}[class] }

func (in *checkInput) calibration() (d Doubt, out bool) {
	lang := in.rec.Words
	i := in.r.Instrument
	if !i.Due.IsSet() || in.r.Date.Compare(i.Due.Value) <= 0 {
		return d, false
	}
	d = in.doubt(OutOfCalibration, "")
	d.What = lang.F("calibration of %s was due on %s, before this reading", i.ID.Value, i.Due.Value)
	d.Cause = lang.S("the instrument's stated accuracy no longer holds")
	d.Retake = lang.S("have the instrument calibrated; ask for the as-found values, which tell whether this reading stands")
	return d, true
}

func (in *checkInput) frequency() (d Doubt, off bool) {
	lang := in.rec.Words
	f, nominal := in.raw.Frequency, float64(in.rec.Site.Supply.Frequency.Value.Value)
	if !f.IsSet() || math.Abs(float64(f.Value.Value)-nominal) <= 0.02*nominal {
		return d, false
	}
	d = in.doubt("frequency-off", "")
	d.What = lang.F("%s shows %s where %.0f Hz is nominal", in.r.ID, f.Text, nominal)
	d.Cause = lang.S("the meter is set to another frequency, or the site runs on a generator")
	d.Retake, d.Pos = lang.S("check the meter's frequency setting and read again"), f.Pos
	return d, true
}

// checkSmallCurrent warns where power, angle and distortion were shown for a
// current too small for the clamp; the checks that rest on them stay silent
// there. The clamp is on the secondary side of a current transformer.
func checkSmallCurrent(in *checkInput) []Doubt {
	lang := in.rec.Words
	ct := 1.0
	if in.ratios != nil {
		ct = in.ratios.CT.Value.Ratio()
	}
	var names []string
	var first shown
	for i := range in.live() {
		r := &in.rows[i]
		if !r.current.ok || r.current.v/ct >= float64(in.limits.SmallestCurrent) || r.current.v == 0 {
			continue
		}
		r.below = true
		r.reactive, r.pf, r.angle = shown{}, shown{}, shown{}
		if len(names) == 0 {
			first = r.current
		}
		names = append(names, r.name)
	}
	if len(names) == 0 {
		return nil
	}
	d := in.doubt("current-too-small", enumerate(lang, names))
	d.What = lang.F("%s shows %s, below the %.1f A from which the clamp is good for power, angle and distortion: they were not held against each other", where(lang, in.r.ID, names[0]), first.text, float64(in.limits.SmallestCurrent))
	d.Cause = lang.S("the load is too small for the clamp")
	d.Retake, d.Pos = lang.S("pass the conductor through the jaw several times and divide, or use a smaller clamp"), first.pos
	return []Doubt{d}
}

// checkSign asks what a minus before a power factor means, where nothing else
// that was shown tells.
func checkSign(in *checkInput) []Doubt {
	lang := in.rec.Words
	if power.SignConvention(in.r.Instrument.Sign.Value) != power.UnknownSign {
		for i := range in.rows {
			r := &in.rows[i]
			if !r.pf.ok {
				continue
			}
			c := power.SignConvention(in.r.Instrument.Sign.Value)
			if r.lead == quantity.Unstated {
				if _, lead, ok := power.ShownPowerFactor(quantity.Ratio(r.pf.v), c); ok {
					r.lead = lead
				}
			}
			if c != power.SignOfPower {
				r.pf.v = math.Abs(r.pf.v)
			}
		}
		return nil
	}
	var names []string
	var first shown
	for i := range in.rows {
		r := &in.rows[i]
		if !r.pf.ok || r.pf.v >= 0 || r.power.ok {
			continue
		}
		if len(names) == 0 {
			first = r.pf
		}
		names = append(names, r.name)
		r.pf.v = -r.pf.v
	}
	if len(names) == 0 {
		return nil
	}
	d := in.doubt("sign-of-power-factor", enumerate(lang, names))
	d.What = lang.F("%s shows a power factor of %s and no power beside it", where(lang, in.r.ID, names[0]), first.text)
	d.Cause = lang.S("a minus means power that flows back on some displays, the direction of the current on others; this instrument's file does not say which")
	d.Retake, d.Pos = lang.S("look it up in the manual and state power-factor-sign of the instrument, or read the power too"), first.pos
	return []Doubt{d}
}
