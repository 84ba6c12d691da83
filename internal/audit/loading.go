package audit

import (
	"auditgen/internal/power"
	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

// Figures that rules judge, each worked out once and kept in the sheet. They are
// asked for after the year is worked out.

// kept gives a figure that was worked out before.
func (r *Result) kept(id, unit string) (Value, bool) {
	st, ok := r.Sheet.Get(id)
	return Value{V: st.Value, Unit: unit, Step: id, Kind: st.Kind}, ok
}

// fromStep gives a figure of the sheet with its step.
func fromStep[Q ~float64](r *Result, id string) working.Num[Q] {
	st, _ := r.Sheet.Get(id)
	return working.Num[Q]{V: Q(st.Value), Step: id}
}

// HighestCurrent is the largest of a reading's line currents: A.
func (r *Result) HighestCurrent(rd Reading) Value {
	lang := r.Record.Words
	id := "readings." + rd.ID + ".highest-current"
	if v, ok := r.kept(id, "A"); ok {
		return v
	}
	var vs []Value
	for _, p := range rd.Phases {
		if p.Current.Known() && site.PhaseIndex(p.Name) != site.Neutral {
			vs = append(vs, p.Current)
		}
	}
	if len(vs) == 0 {
		return Value{}
	}
	return derived(power.HighestAmperesF.Apply(r.Sheet, id, lang.F("highest line current of %s", rd.ID), "A", nums[quantity.Amperes](vs)))
}

// BreakerLoading is a current as a share of the rating of the protective device
// of a point; absent where either is.
func (r *Result) BreakerLoading(point string, current Value) Value {
	lang := r.Record.Words
	p, ok := r.Record.Site.Points.Get(point)
	if !ok || !p.Breaker.IsSet() || !current.Known() {
		return Value{}
	}
	id := "points." + point + ".loading." + slug(current.Step)
	if v, ok := r.kept(id, ""); ok {
		return v
	}
	rating := once(r.Sheet, working.Step{ID: "points." + point + ".breaker", Label: lang.F("protective device of %s", p.Name.Value), Kind: working.Stated, Unit: "A", Typed: p.Breaker.Text, Pos: p.Breaker.Pos}, p.Breaker.Value.Value)
	return ratioOf(power.CurrentShareF.Apply(r.Sheet, id, lang.F("loading of the protective device of %s", p.Name.Value), "", num[quantity.Amperes](current), rating))
}

// Neutral is what a reading tells of its neutral.
type Neutral struct {
	Share    Value // 1, of the highest line current
	Third    Value // 1, of the fundamental: the worst third harmonic of the line currents
	Expected Value // A, what that third harmonic makes in the neutral if the phases are alike
}

// NeutralOf is what a three-phase four-wire or a split-phase reading tells of
// its neutral; parts that were not read are absent.
func (r *Result) NeutralOf(rd Reading) Neutral {
	lang := r.Record.Words
	var n Neutral
	if rd.Wiring != site.ThreePhaseFourWire && rd.Wiring != site.OnePhaseThreeWire {
		return n
	}
	id := "readings." + rd.ID + ".neutral-"
	if highest := r.HighestCurrent(rd); rd.Neutral.Known() && highest.V > 0 {
		n.Share = ratioOf(power.CurrentShareF.Apply(r.Sheet, id+"share", lang.F("neutral current of %s over its highest line current", rd.ID), "", num[quantity.Amperes](rd.Neutral), num[quantity.Amperes](highest)))
	}
	if rd.Wiring == site.OnePhaseThreeWire {
		return n // a third harmonic does not add up in the neutral of two legs
	}
	for _, w := range rd.Waves {
		if w.Kind != "current" || site.PhaseIndex(w.Phase) == site.Neutral {
			continue
		}
		for _, o := range w.Orders {
			if o.N != 3 || n.Third.Known() && o.Share.V <= n.Third.V {
				continue
			}
			n.Third = o.Share
			if w.Fundamental.Known() {
				n.Expected = derived(power.TriplenExpectedF.Apply(r.Sheet, id+"third-"+w.Phase, lang.F("what the third harmonic of phase %s of %s makes in the neutral", w.Phase, rd.ID), "A", num[quantity.Ratio](o.Share), num[quantity.Amperes](w.Fundamental)))
			}
		}
	}
	return n
}

// Drop is the fall of voltage from the incomer to another point, read one after
// the other.
type Drop struct {
	From, To string // readings
	Phase    string
	Place    string // where the far reading was taken
	Fall     Value  // V
	Share    Value  // 1, of the nominal voltage to neutral
}

// DropTo gives the largest fall of voltage, over the phases that both were read
// on, between a reading at the incomer and one elsewhere; false where they have
// no phase in common.
func (r *Result) DropTo(incomer, rd Reading) (Drop, bool) {
	lang := r.Record.Words
	var worst Drop
	nominal := working.Num[quantity.VoltsLN]{}
	for _, p := range rd.Phases {
		for _, q := range incomer.Phases {
			if site.PhaseIndex(p.Name) != site.PhaseIndex(q.Name) || site.PhaseIndex(p.Name) == site.Neutral || !p.Voltage.Known() || !q.Voltage.Known() {
				continue
			}
			if nominal.Step == "" {
				nominal = r.nominalToNeutral()
			}
			id := "drops." + incomer.ID + "." + rd.ID + "." + p.Name
			fall := derived(power.VoltageFallF.Apply(r.Sheet, id, lang.F("fall of voltage from %s to %s, phase %s", incomer.ID, rd.ID, p.Name), "V", num[quantity.VoltsLN](q.Voltage), num[quantity.VoltsLN](p.Voltage)))
			share := ratioOf(power.RelativeFallF.Apply(r.Sheet, id+".share", lang.F("relative fall of voltage from %s to %s, phase %s", incomer.ID, rd.ID, p.Name), "", num[quantity.VoltsLN](fall), nominal))
			if worst.To == "" || share.V > worst.Share.V {
				worst = Drop{From: incomer.ID, To: rd.ID, Phase: p.Name, Place: rd.PointName, Fall: fall, Share: share}
			}
		}
	}
	return worst, worst.To != ""
}

// nominalToNeutral is the nominal voltage between a line and neutral.
func (r *Result) nominalToNeutral() working.Num[quantity.VoltsLN] {
	lang := r.Record.Words
	u := r.nominal()
	const id = "supply.voltage-to-neutral"
	label := lang.S("nominal voltage to neutral")
	if st, ok := r.Sheet.Get(id); ok {
		return working.Num[quantity.VoltsLN]{V: quantity.VoltsLN(st.Value), Step: id}
	}
	switch r.Record.Site.Supply.System.Value {
	case site.OnePhaseTwoWire:
		return working.Num[quantity.VoltsLN]{V: quantity.VoltsLN(u.V), Step: u.Step}
	case site.OnePhaseThreeWire:
		return legF.Apply(r.Sheet, id, label, "V", u)
	}
	return power.LineToNeutralF.Apply(r.Sheet, id, label, "V", u)
}

var legF = working.Def1("voltage of a leg", "V = U / 2", "single-phase three-wire supply, legs alike", "U",
	func(u quantity.VoltsLL) quantity.VoltsLN { return quantity.VoltsLN(u / 2) })

// TransformerLoading is the year's highest apparent demand as a share of the
// supply transformer's rating; absent without a transformer or a demand.
func (r *Result) TransformerLoading() Value {
	lang := r.Record.Words
	t := r.Record.Site.Supply.Transformer
	if t == nil || r.PeakKVA.Value <= 0 {
		return Value{}
	}
	const id = "supply.transformer.loading"
	if v, ok := r.kept(id, ""); ok {
		return v
	}
	return ratioOf(power.ApparentLoadingF.Apply(r.Sheet, id, lang.S("year's highest apparent demand over the transformer's rating"), "", fromStep[quantity.VoltAmperes](r, r.PeakKVA.Step), r.transformerRating()))
}

func (r *Result) transformerRating() working.Num[quantity.VoltAmperes] {
	lang := r.Record.Words
	t := r.Record.Site.Supply.Transformer
	return once(r.Sheet, working.Step{ID: "supply.transformer.rating", Label: lang.S("rating of the transformer"), Kind: working.Stated, Unit: "VA", Typed: t.Rating.Text, Pos: t.Rating.Pos}, t.Rating.Value.Value)
}

// MeasuredShare is the share of the year's energy that rests on readings of the
// loads' own power, those in doubt left out.
func (r *Result) MeasuredShare() Value {
	lang := r.Record.Words
	const id = "year.measured-share"
	if v, ok := r.kept(id, ""); ok {
		return v
	}
	if r.Energy.Value <= 0 {
		return Value{}
	}
	var parts []working.Num[quantity.WattHours]
	for _, l := range r.Loads {
		if l.Basis == working.Measured && !r.doubtful(l.Readings) {
			parts = append(parts, fromStep[quantity.WattHours](r, l.Energy.Step))
		}
	}
	sum := profile.SumEnergyF.Apply(r.Sheet, "year.measured", lang.S("energy of the loads that were measured"), "Wh", parts)
	return ratioOf(power.EnergyShareF.Apply(r.Sheet, id, lang.S("share of the year's energy that rests on readings"), "", sum, fromStep[quantity.WattHours](r, r.Energy.Step)))
}

// doubtful tells whether one of the readings has a doubt that makes its power
// useless.
func (r *Result) doubtful(readings []string) bool {
	for _, id := range readings {
		if rd := r.reading(id); !rd.Trusted() {
			return true
		}
	}
	return false
}

// Trusted reports whether no doubt makes the reading useless.
func (r Reading) Trusted() bool { return r.causeOfDoubt() == "" }

// WindowWords words the demand window of the year: "15 minutes".
func (r *Result) WindowWords() string {
	lang := r.Record.Words
	return lang.F("%d minutes", r.model.window)
}
