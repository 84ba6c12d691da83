package audit

import (
	"math"
	"slices"

	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/site"
)

// checkDistortion holds the orders against the total that they are part of, and
// the two bases of a total against each other.
func checkDistortion(in *checkInput) []Doubt {
	spectra := slices.Concat(in.raw.Harmonics.Current, in.raw.Harmonics.Voltage) // in the order of the waves
	var ds []Doubt
	for i, w := range in.r.Waves {
		if in.belowFor(w) {
			continue
		}
		if d, ok := in.bases(w, spectra[i]); ok {
			ds = append(ds, d)
			continue
		}
		if d, ok := in.ordersAgainstTotal(w, spectra[i]); ok {
			ds = append(ds, d)
		}
	}
	return ds
}

// belowFor tells whether the current is too small for its distortion to count.
func (in *checkInput) belowFor(w Wave) bool {
	return w.Kind == "current" && slices.ContainsFunc(in.live(), func(r row) bool { return r.name == w.Phase && r.below })
}

var (
	baseCause  = say.Key("the base of the total was mixed up: a share of rms was written down as one of the fundamental, or the other way about")
	baseRetake = say.Key("look up which base the meter uses, and state it with the total")
)

// bases holds a total of the fundamental against one of rms shown beside it:
// d_F = d_R/√(1 − d_R²).
func (in *checkInput) bases(w Wave, s site.Spectrum) (Doubt, bool) {
	lang := in.rec.Words
	if !s.THD.IsSet() || !s.OfRMS.IsSet() {
		return Doubt{}, false
	}
	f, r := float64(s.THD.Value.Value), float64(s.OfRMS.Value.Value)
	if s.THD.Value.Base == quantity.OfRMS {
		return Doubt{}, false // refused when the file was read
	}
	want := f / math.Sqrt(1+f*f)
	a := in.limits.Distortion
	limit := float64(a.OfReading)*(want+r) + a.Digits*float64(s.THD.Value.Step+s.OfRMS.Value.Step)
	if math.Abs(want-r) <= limit {
		return Doubt{}, false
	}
	d := in.doubt("distortion-base", w.Phase)
	d.What = lang.F("%s: %s is %.1f %% of rms, but %s of rms is shown beside it", where(lang, in.r.ID, w.Phase), s.THD.Text, want*100, s.OfRMS.Text)
	d.Cause, d.Retake, d.Pos = lang.S(baseCause), lang.S(baseRetake), w.Pos
	return d, true
}

func (in *checkInput) ordersAgainstTotal(w Wave, s site.Spectrum) (Doubt, bool) {
	lang := in.rec.Words
	if !w.THD.Known() || len(w.Orders) == 0 || !s.THD.IsSet() {
		return Doubt{}, false
	}
	orders, limit := in.ordersOf(s)
	limit += float64(in.limits.Distortion.OfReading)*w.THD.V + in.limits.Distortion.Digits*float64(s.THD.Value.Step)
	if orders <= w.THD.V+limit {
		return Doubt{}, false
	}
	d := in.doubt("orders-against-distortion", w.Phase)
	d.What = ordersText(lang, where(lang, in.r.ID, w.Phase), w, orders)
	d.Cause = lang.S("an order or the total was misread")
	d.Retake, d.Pos = lang.S("read total and orders again at one moment"), w.Pos
	if v := w.THD.V; s.THD.Value.Base == quantity.OfFundamental && v < 1 && orders <= v/math.Sqrt(1-v*v)+limit {
		d.ID, d.Cause, d.Retake = "distortion-base", lang.S(baseCause), lang.S(baseRetake)
	}
	return d, true
}

// ordersOf gives the distortion that the orders make, and its limit of error:
// each order's by its part in the root of the sum of squares.
func (in *checkInput) ordersOf(s site.Spectrum) (made, limit float64) {
	for _, o := range s.Orders {
		made = math.Hypot(made, float64(o.Value.Value.Value))
	}
	for _, o := range s.Orders {
		if made > 0 {
			x := show(in.limits.Distortion, 1, o.Value)
			limit += x.v / made * x.err
		}
	}
	return made, limit
}

func ordersText(lang *say.Language, at string, w Wave, orders float64) string {
	if w.Kind == "voltage" {
		return lang.F("%s: the orders of the voltage alone make %.1f %%, more than the total of %.1f %% of fundamental", at, orders*100, w.THD.V*100)
	}
	return lang.F("%s: the orders of the current alone make %.1f %%, more than the total of %.1f %% of fundamental", at, orders*100, w.THD.V*100)
}
