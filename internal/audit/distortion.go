package audit

import (
	"strconv"

	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

// waves reads the distortion and brings it to one base, the fundamental.
func (p *phasePass) waves(r site.Reading) {
	for _, s := range r.Harmonics.Current {
		p.reading.Waves = append(p.reading.Waves, p.wave("current", s))
	}
	for _, s := range r.Harmonics.Voltage {
		p.reading.Waves = append(p.reading.Waves, p.wave("voltage", s))
	}
}

func (p *phasePass) wave(kind string, s site.Spectrum) Wave {
	lang := p.lang
	id := p.prefix + s.Phase.Value + "." + kind + "."
	w := Wave{Kind: kind, Phase: s.Phase.Value, Pos: s.Pos}
	for _, o := range s.Orders {
		n, _ := strconv.Atoi(o.Key)
		v := measured(p.sheet, id+"h"+o.Key, p.label(harmonicWords(lang, kind, o.Key), w.Phase), float64(o.Value.Value.Value), "", o.Value.Text, o.Value.Pos)
		w.Orders = append(w.Orders, Order{N: n, Share: v})
	}
	p.thd(&w, id, s)
	p.fundamental(&w, id)
	return w
}

func (p *phasePass) thd(w *Wave, id string, s site.Spectrum) {
	lang := p.lang
	label := p.label(lang.S("distortion of the current"), w.Phase)
	if w.Kind == "voltage" {
		label = p.label(lang.S("distortion of the voltage"), w.Phase)
	}
	switch {
	case s.OfRMS.IsSet():
		w.THDOfRMS = measured(p.sheet, id+"thd-of-rms", lang.F("%s, of rms", label), float64(s.OfRMS.Value.Value), "", s.OfRMS.Text, s.OfRMS.Pos)
	case s.THD.IsSet() && s.THD.Value.Base == quantity.OfRMS:
		w.THDOfRMS = measured(p.sheet, id+"thd-of-rms", lang.F("%s, of rms", label), float64(s.THD.Value.Value), "", s.THD.Text, s.THD.Pos)
	}
	switch {
	case s.THD.IsSet() && s.THD.Value.Base == quantity.OfFundamental:
		w.THD = measured(p.sheet, id+"thd", label, float64(s.THD.Value.Value), "", s.THD.Text, s.THD.Pos)
	case w.THDOfRMS.Known():
		w.THD = ratioOf(power.THDOfFundamentalF.Apply(p.sheet, id+"thd", label, "", num[quantity.Ratio](w.THDOfRMS)))
	case len(w.Orders) > 0:
		w.THD = ratioOf(power.THDF.Apply(p.sheet, id+"thd", label, "", nums[quantity.Ratio](shares(w.Orders))))
		p.sheet.Note(w.THD.Step, lang.S("from the orders that were read: a lower bound"))
	}
	p.left(w, id, s, label)
	if w.THD.Known() && !w.THDOfRMS.Known() {
		w.THDOfRMS = ratioOf(power.THDOfRMSF.Apply(p.sheet, id+"thd-of-rms", lang.F("%s, of rms", label), "", num[quantity.Ratio](w.THD)))
	}
}

// left is what the orders that were read do not explain of the total.
func (p *phasePass) left(w *Wave, id string, s site.Spectrum, label string) {
	lang := p.lang
	if !s.THD.IsSet() && !s.OfRMS.IsSet() || len(w.Orders) == 0 {
		return
	}
	orders := power.THDF.Apply(p.sheet, id+"orders", lang.F("%s, of the orders read", label), "", nums[quantity.Ratio](shares(w.Orders)))
	if float64(orders.V) < w.THD.V {
		w.Left = ratioOf(power.ResidualF.Apply(p.sheet, id+"left", lang.F("%s, of orders not read", label), "", num[quantity.Ratio](w.THD), orders))
	}
}

func shares(orders []Order) []Value {
	vs := make([]Value, len(orders))
	for i, o := range orders {
		vs[i] = o.Share
	}
	return vs
}

func (p *phasePass) fundamental(w *Wave, id string) {
	lang := p.lang
	if !w.THD.Known() {
		return
	}
	for _, ph := range p.reading.Phases {
		if site.PhaseIndex(ph.Name) != site.PhaseIndex(w.Phase) {
			continue
		}
		if w.Kind == "current" && ph.Current.Known() {
			w.Fundamental = derived(power.CurrentFundamentalF.Apply(p.sheet, id+"fundamental", p.label(lang.S("fundamental current"), w.Phase), "A", num[quantity.Amperes](ph.Current), num[quantity.Ratio](w.THD)))
		}
		if w.Kind == "voltage" && ph.Voltage.Known() {
			w.Fundamental = derived(power.VoltageFundamentalF.Apply(p.sheet, id+"fundamental", p.label(lang.S("fundamental voltage"), w.Phase), "V", num[quantity.VoltsLN](ph.Voltage), num[quantity.Ratio](w.THD)))
		}
	}
}

// demandDistortion holds harmonic currents at the incomer against the maximum
// demand current, which the year's highest demand gives unless it is stated.
func (r *Result) demandDistortion() {
	for i := range r.Readings {
		rd := &r.Readings[i]
		place, _ := r.Record.Site.Points.Get(rd.At)
		root := !place.From.IsSet() && rd.At == rd.Point
		for k := range rd.Waves {
			if w := &rd.Waves[k]; w.Kind == "current" && root && w.Fundamental.Known() {
				r.tdd(rd, w)
			}
		}
	}
}

func (r *Result) tdd(rd *Reading, w *Wave) {
	lang := r.Record.Words
	il := r.MaximumCurrent()
	if !il.Known() || il.V <= 0 {
		return
	}
	id := "readings." + rd.ID + "." + w.Phase + ".current."
	w.TDD = ratioOf(power.TDDF.Apply(r.Sheet, id+"tdd", lang.F("total demand distortion of %s, phase %s", rd.ID, w.Phase), "", num[quantity.Ratio](w.THD), num[quantity.Amperes](w.Fundamental), num[quantity.Amperes](il)))
	for i := range w.Orders {
		o := &w.Orders[i]
		o.OfMaximum = ratioOf(power.TDDF.Apply(r.Sheet, id+"h"+strconv.Itoa(o.N)+".of-maximum", lang.F("harmonic %s of %s as a share of the maximum demand current", strconv.Itoa(o.N), rd.ID), "", num[quantity.Ratio](o.Share), num[quantity.Amperes](w.Fundamental), num[quantity.Amperes](il)))
	}
}

// MaximumCurrent is the maximum demand load current I_L of IEEE 519: stated in
// the site's file, or that of the year's highest apparent demand.
func (r *Result) MaximumCurrent() Value {
	lang := r.Record.Words
	const id = "supply.maximum-current"
	if st, ok := r.Sheet.Get(id); ok {
		return Value{V: st.Value, Unit: "A", Step: id, Kind: st.Kind}
	}
	s := r.Record.Site.Supply
	if m := s.MaxLoad; m.IsSet() {
		v := working.Record(r.Sheet, working.Step{ID: id, Label: lang.S("maximum demand current"), Kind: working.Stated, Unit: "A", Typed: m.Text, Pos: m.Pos}, m.Value.Value)
		return Value{V: float64(v.V), Unit: "A", Step: id, Kind: working.Stated}
	}
	if s.System.Value != site.ThreePhaseFourWire && s.System.Value != site.ThreePhaseThreeWire || r.PeakKVA.Value <= 0 {
		return Value{}
	}
	peak, _ := r.Sheet.Get(r.PeakKVA.Step)
	return derived(power.BalancedCurrentF.Apply(r.Sheet, id, lang.S("maximum demand current, from the year's highest apparent demand"), "A",
		working.Num[quantity.VoltAmperes]{V: quantity.VoltAmperes(peak.Value), Step: peak.ID}, r.nominal()))
}

// nominal is the nominal line-to-line voltage.
func (r *Result) nominal() working.Num[quantity.VoltsLL] {
	lang := r.Record.Words
	v := r.Record.Site.Supply.Voltage
	return once(r.Sheet, working.Step{ID: "supply.voltage", Label: lang.S("nominal voltage"), Kind: working.Stated, Unit: "V", Typed: v.Text, Pos: v.Pos}, v.Value.Value)
}

// ShortCircuit is the short-circuit power at the point of supply in VA: stated,
// or that of the transformer alone, an upper bound.
func (r *Result) ShortCircuit() Value {
	lang := r.Record.Words
	const id = "supply.short-circuit-power"
	if st, ok := r.Sheet.Get(id); ok {
		return Value{V: st.Value, Unit: "VA", Step: id, Kind: st.Kind}
	}
	s := r.Record.Site.Supply
	if f := s.FaultLevel; f.IsSet() {
		working.Record(r.Sheet, working.Step{ID: id, Label: lang.S("short-circuit power at the point of supply"), Kind: working.Stated, Unit: "VA", Typed: f.Text, Pos: f.Pos}, f.Value.Value)
		return Value{V: float64(f.Value.Value), Unit: "VA", Step: id, Kind: working.Stated}
	}
	t := s.Transformer
	if t == nil {
		return Value{}
	}
	rating := r.transformerRating()
	z := working.Record(r.Sheet, working.Step{ID: "supply.transformer.impedance", Label: lang.S("short-circuit impedance of the transformer"), Kind: working.Stated, Typed: t.Impedance.Text, Pos: t.Impedance.Pos}, t.Impedance.Value.Value)
	v := derived(power.ShortCircuitPowerF.Apply(r.Sheet, id, lang.S("short-circuit power at the point of supply"), "VA", rating, z))
	r.Sheet.Note(id, lang.S("of the transformer alone: an upper bound, since the network behind it is left out"))
	return v
}

// ShortCircuitCurrent is the short-circuit current at the point of supply: from
// the three-phase power, or on a single-phase supply from the power over the
// nominal voltage.
func (r *Result) ShortCircuitCurrent() Value {
	lang := r.Record.Words
	const id = "supply.short-circuit-current"
	if st, ok := r.Sheet.Get(id); ok {
		return Value{V: st.Value, Unit: "A", Step: id, Kind: st.Kind}
	}
	sc := r.ShortCircuit()
	if !sc.Known() {
		return Value{}
	}
	label := lang.S("short-circuit current at the point of supply")
	u, s := r.nominal(), num[quantity.VoltAmperes](sc)
	switch r.Record.Site.Supply.System.Value {
	case site.OnePhaseTwoWire, site.OnePhaseThreeWire:
		return derived(power.CurrentF.Apply(r.Sheet, id, label, "A", s, working.Num[quantity.VoltsLN]{V: quantity.VoltsLN(u.V), Step: u.Step}))
	}
	return derived(power.CurrentOfShortCircuitF.Apply(r.Sheet, id, label, "A", s, u))
}

// ShortCircuitRatio is the short-circuit current over the maximum demand
// current, by which IEEE 519 sets its limits of current.
func (r *Result) ShortCircuitRatio() Value {
	lang := r.Record.Words
	const id = "supply.short-circuit-ratio"
	if st, ok := r.Sheet.Get(id); ok {
		return Value{V: st.Value, Step: id, Kind: st.Kind}
	}
	isc, il := r.ShortCircuitCurrent(), r.MaximumCurrent()
	if !isc.Known() || !il.Known() || il.V <= 0 {
		return Value{}
	}
	return ratioOf(power.ShortCircuitRatioF.Apply(r.Sheet, id, lang.S("short-circuit ratio"), "", num[quantity.Amperes](isc), num[quantity.Amperes](il)))
}

// Correction is the capacitor power that brings a reading's load to a power
// factor, and the order at which it would resonate with the supply. Either is
// absent when it does not follow.
func (r *Result) Correction(rd Reading, target quantity.Ratio) (capacitor, order Value) {
	lang := r.Record.Words
	p, q := rd.Total.Power, rd.Total.Reactive
	if !p.Known() || !q.Known() || p.V <= 0 {
		return Value{}, Value{}
	}
	if need, ok := power.CapacitorForReactive(quantity.Watts(p.V), quantity.Vars(q.V), target); !ok || need <= 0 {
		return Value{}, Value{}
	}
	id := "correction." + rd.ID + "."
	to := once(r.Sheet, working.Step{ID: "correction.target", Label: lang.S("power factor aimed at"), Kind: working.Assumed, Reason: lang.S("common practice, no source")}, target)
	if st, ok := r.Sheet.Get(id + "capacitor"); ok {
		capacitor = Value{V: st.Value, Unit: "var", Step: st.ID, Kind: st.Kind}
	} else {
		capacitor = derived(power.CapacitorForReactiveF.Apply(r.Sheet, id+"capacitor", lang.F("capacitor power for the load of %s", rd.ID), "var", num[quantity.Watts](p), num[quantity.Vars](q), to))
	}
	sc := r.ShortCircuit()
	if !sc.Known() {
		return capacitor, Value{}
	}
	if st, ok := r.Sheet.Get(id + "resonance"); ok {
		return capacitor, Value{V: st.Value, Step: st.ID, Kind: st.Kind}
	}
	return capacitor, ratioOf(power.ResonanceOrderF.Apply(r.Sheet, id+"resonance", lang.F("order at which capacitors for %s would resonate with the supply", rd.ID), "", num[quantity.VoltAmperes](sc), num[quantity.Vars](capacitor)))
}

func harmonicWords(lang *say.Language, kind, order string) string {
	if kind == "voltage" {
		return lang.F("harmonic %s of the voltage", order)
	}
	return lang.F("harmonic %s of the current", order)
}
