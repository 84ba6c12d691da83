package audit

import (
	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

// Harmonics are what the harmonic currents at the incomer mean for the supply
// transformer.
type Harmonics struct {
	Reading, Phase string
	Loss           Value // 1, harmonic loss factor
	K              Value // 1, K-factor at the year's highest demand
	FactorK        Value // 1, European factor K
	Capability     Value // 1, share of the rating that it can carry of such a load
	Carries        Value // VA
	Loading        Value // 1, year's highest apparent demand over what it can carry
}

// TransformerHarmonics judges the current at the incomer with the highest loss
// factor; false where there is no transformer or no spectrum.
func (r *Result) TransformerHarmonics() (Harmonics, bool) {
	t := r.Record.Site.Supply.Transformer
	if t == nil || r.PeakKVA.Value <= 0 {
		return Harmonics{}, false
	}
	var worst Harmonics
	for _, rd := range r.Readings {
		place, _ := r.Record.Site.Points.Get(rd.Point)
		if place.From.IsSet() || rd.At != rd.Point {
			continue
		}
		for _, w := range rd.Waves {
			if w.Kind != "current" || len(w.Orders) == 0 || site.PhaseIndex(w.Phase) == site.Neutral {
				continue
			}
			h := r.lossFactor(rd, w)
			if h.Loss.Known() && h.Loss.V > worst.Loss.V {
				worst = h
			}
		}
	}
	if !worst.Loss.Known() {
		return Harmonics{}, false
	}
	r.derate(&worst, *t)
	return worst, true
}

// spectrum is the series of orders 1, 2, 3 and so on that the loss factors want;
// an order that was not read counts as nothing.
func (r *Result) spectrum(w Wave) []working.Num[quantity.Ratio] {
	lang := r.Record.Words
	last := 0
	for _, o := range w.Orders {
		last = max(last, o.N)
	}
	nothing := once(r.Sheet, working.Step{ID: "harmonics.not-read", Label: lang.S("an order that was not read"), Kind: working.Assumed, Reason: lang.S("taken as nothing, so that what rests on it is a lower bound")}, quantity.Ratio(0))
	series := make([]working.Num[quantity.Ratio], last)
	for i := range series {
		series[i] = nothing
	}
	series[0] = once(r.Sheet, working.Step{ID: "harmonics.fundamental", Label: lang.S("the fundamental as a share of itself"), Kind: working.Stated, Typed: "100 %"}, quantity.Ratio(1))
	for _, o := range w.Orders {
		series[o.N-1] = num[quantity.Ratio](o.Share)
	}
	return series
}

func (r *Result) lossFactor(rd Reading, w Wave) Harmonics {
	lang := r.Record.Words
	id := "readings." + rd.ID + "." + w.Phase + ".current."
	h := Harmonics{Reading: rd.ID, Phase: w.Phase}
	if v, ok := r.kept(id+"loss-factor", ""); ok {
		h.Loss = v
		h.FactorK, _ = r.kept(id+"factor-k", "")
		return h
	}
	series := r.spectrum(w)
	h.Loss = ratioOf(power.HarmonicLossFactorF.Apply(r.Sheet, id+"loss-factor", lang.F("harmonic loss factor of %s, phase %s", rd.ID, w.Phase), "", series))
	if w.THD.Known() {
		sum := power.FactorKSum17F.Apply(r.Sheet, id+"factor-k-sum", lang.F("sum for factor K of %s, phase %s", rd.ID, w.Phase), "", series)
		h.FactorK = ratioOf(power.FactorKF.Apply(r.Sheet, id+"factor-k", lang.F("factor K of %s, phase %s", rd.ID, w.Phase), "", r.eddyLoss(), sum, num[quantity.Ratio](w.THD)))
	}
	return h
}

// eddyLoss is the winding eddy loss of the supply transformer over its ohmic
// loss.
func (r *Result) eddyLoss() working.Num[quantity.Ratio] {
	lang := r.Record.Words
	const id = "supply.transformer.eddy-loss"
	label := lang.S("eddy loss of the transformer's windings over their ohmic loss")
	if e := r.Record.Site.Supply.Transformer.EddyLoss; e.IsSet() {
		return once(r.Sheet, working.Step{ID: id, Label: label, Kind: working.Stated, Typed: e.Text, Pos: e.Pos}, e.Value.Value)
	}
	return once(r.Sheet, working.Step{ID: id, Label: label, Kind: working.Assumed, Reason: lang.S("2 to 10 % is usual for small transformers, up to 15 % for large ones (from memory); 10 % is taken")}, quantity.Ratio(0.10))
}

func (r *Result) derate(h *Harmonics, t site.Transformer) {
	lang := r.Record.Words
	const id = "supply.transformer."
	if v, ok := r.kept(id+"capability", ""); ok {
		h.Capability = v
		h.Carries, _ = r.kept(id+"carries", "VA")
		h.Loading, _ = r.kept(id+"loading-of-carried", "")
		h.K, _ = r.kept(id+"k-factor", "")
		return
	}
	rating := r.transformerRating()
	h.Capability = ratioOf(power.HarmonicCapabilityF.Apply(r.Sheet, id+"capability", lang.S("share of its rating that the transformer can carry of this distorted load"), "", num[quantity.Ratio](h.Loss), r.eddyLoss()))
	h.Carries = derived(power.DeratedTransformerF.Apply(r.Sheet, id+"carries", lang.S("what the transformer can carry of this distorted load"), "VA", rating, num[quantity.Ratio](h.Capability)))
	h.Loading = ratioOf(power.ApparentLoadingF.Apply(r.Sheet, id+"loading-of-carried", lang.S("year's highest apparent demand over what the transformer can carry"), "", fromStep[quantity.VoltAmperes](r, r.PeakKVA.Step), num[quantity.VoltAmperes](h.Carries)))
	if singlePhase(r.Record.Site.Supply.System.Value) {
		return // K-factors are of three-phase units here: the rated current would be another
	}
	full := power.FullLoadCurrentF.Apply(r.Sheet, id+"full-load-current", lang.S("full-load current of the transformer"), "A", rating, r.nominal())
	if il := r.MaximumCurrent(); il.Known() {
		h.K = ratioOf(power.KFactorF.Apply(r.Sheet, id+"k-factor", lang.S("K-factor at the year's highest demand"), "", num[quantity.Ratio](h.Loss), num[quantity.Amperes](il), full))
	}
}

func singlePhase(w site.Wiring) bool {
	return w == site.OnePhaseTwoWire || w == site.OnePhaseThreeWire
}

// BestLoading is the loading at which the supply transformer's efficiency is
// highest; absent where its losses are not stated.
func (r *Result) BestLoading() Value {
	lang := r.Record.Words
	t := r.Record.Site.Supply.Transformer
	if t == nil || !t.NoLoadLoss.IsSet() || !t.LoadLoss.IsSet() {
		return Value{}
	}
	const id = "supply.transformer.best-loading"
	if v, ok := r.kept(id, ""); ok {
		return v
	}
	p0 := once(r.Sheet, working.Step{ID: "supply.transformer.no-load-loss", Label: lang.S("no-load loss of the transformer"), Kind: working.Stated, Unit: "W", Typed: t.NoLoadLoss.Text, Pos: t.NoLoadLoss.Pos}, t.NoLoadLoss.Value.Value)
	pk := once(r.Sheet, working.Step{ID: "supply.transformer.load-loss", Label: lang.S("load loss of the transformer"), Kind: working.Stated, Unit: "W", Typed: t.LoadLoss.Text, Pos: t.LoadLoss.Pos}, t.LoadLoss.Value.Value)
	return ratioOf(power.BestLoadingF.Apply(r.Sheet, id, lang.S("loading at which the transformer loses least"), "", p0, pk))
}
