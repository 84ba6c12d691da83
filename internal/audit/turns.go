package audit

import (
	"maps"
	"math"

	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

// scaledUse is a use with energies and demands in another proportion.
type scaledUse struct {
	tariff.Use
	energy, demand float64
}

// Energy is the scaled active energy.
func (u scaledUse) Energy(s tariff.SlotSet) quantity.WattHours {
	return u.Use.Energy(s) * quantity.WattHours(u.energy)
}

// Reactive is the scaled reactive energy.
func (u scaledUse) Reactive(s tariff.SlotSet) quantity.VarHours {
	return u.Use.Reactive(s) * quantity.VarHours(u.energy)
}

// Demand is the scaled demand.
func (u scaledUse) Demand(s tariff.SlotSet, unit tariff.DemandUnit, window int) float64 {
	return u.Use.Demand(s, unit, window) * u.demand
}

// scaledLog is a month of a log, whose energies were scaled already, with its
// demands in another proportion.
type scaledLog struct {
	loggedUse
	demand float64
}

// Demand is the scaled demand.
func (u scaledLog) Demand(s tariff.SlotSet, unit tariff.DemandUnit, window int) float64 {
	return u.loggedUse.Demand(s, unit, window) * u.demand
}

// SlidingDemand is the scaled demand over sliding windows.
func (u scaledLog) SlidingDemand(s tariff.SlotSet, unit tariff.DemandUnit, window, every int) float64 {
	return u.loggedUse.SlidingDemand(s, unit, window, every) * u.demand
}

// scaled is the year with energies and demands in another proportion.
func (e *evaluation) scaled(energy, demand float64) []tariff.Use {
	logs := e.model.log.uses(e.model.tariff, e.model.periods, energy, energy)
	uses := make([]tariff.Use, len(e.model.periods))
	for i := range uses {
		if logs[i] != nil {
			uses[i] = scaledLog{loggedUse{logs[i]}, demand / energy}
		} else {
			uses[i] = scaledUse{e.expected(i), energy, demand}
		}
	}
	return uses
}

// withReactive is the evaluation with all reactive power in another proportion.
// Demands in kW stay what they were.
func (e *evaluation) withReactive(scale float64) (*evaluation, error) {
	other, err := e.model.withReactive(scale).newEvaluation()
	if err != nil {
		return nil, err
	}
	other.peaks = maps.Clone(e.peaks)
	maps.DeleteFunc(other.peaks, func(k peakKey, _ profile.Peak) bool { return k.unit != profile.Active })
	return other, nil
}

// Turn is a change of the use, all else as it is, at which an alternative costs
// what the tariff in force costs.
type Turn struct {
	Of       string  // energy (demand in proportion), demand, or power factor
	Now      Value   // Wh, W or 1
	At       Value   // not known when there is no such point between From and To
	From, To float64 // what was searched, in the unit of Now
}

// turning is a kind of change.
type turning struct {
	Turn
	unit float64 // what one step of x is in the unit of Now
	// uses are those of a year changed so, and the model that they belong to.
	uses func(e *evaluation, x float64) (*model, []tariff.Use, error)
	// of is what the answers to a tariff follow as smooth curves, and nodes the
	// places on it, the ends first and last, between which those are known.
	of    func(x float64) float64
	nodes []float64
	// inForce is the tariff in force under the change, the same for all others.
	inForce *changedYear
}

// turnings lists the changes that are tried: the year's energy with its demand
// in proportion, the demand alone, the power factor alone.
func (y *yearPass) turnings() []turning {
	r := y.result
	var list []turning
	scaling := func(t Turn, energy func(x float64) float64) {
		list = append(list, turning{Turn: t, unit: t.Now.V, of: func(x float64) float64 { return x }, nodes: []float64{t.From / t.Now.V, t.To / t.Now.V},
			uses: func(e *evaluation, x float64) (*model, []tariff.Use, error) {
				return e.model, e.scaled(energy(x), x), nil
			}})
	}
	if e := r.Energy.Value * 1e3; e > 0 {
		scaling(Turn{Of: "energy", Now: Value{V: e, Unit: "Wh", Step: r.Energy.Step, Kind: working.Modelled}, From: e / 4, To: e * 4}, func(x float64) float64 { return x })
	}
	if p := r.Peak.Value * 1e3; p > 0 {
		scaling(Turn{Of: "demand", Now: Value{V: p, Unit: "W", Step: r.Peak.Step, Kind: working.Modelled}, From: p / 2, To: p * 2}, func(float64) float64 { return 1 })
	}
	if f, ok := y.yearFactor(); ok && f.V < 1 {
		tangent := func(x float64) float64 { return math.Tan(math.Acos(x)) }
		now := tangent(f.V)
		t := turning{Turn: Turn{Of: "power factor", Now: f, From: 0.6, To: 1}, unit: 1, of: tangent,
			uses: func(e *evaluation, x float64) (*model, []tariff.Use, error) {
				v, err := e.withReactive(tangent(x) / now)
				if err != nil {
					return nil, nil, err
				}
				return v.model, v.uses(), nil
			}}
		// Apparent demand over reactive power is all but a hyperbola: at
		// Chebyshev's points few of them give its course.
		const points = 8
		for i := range points + 1 {
			t.nodes = append(t.nodes, math.Cos(math.Atan(tangent(t.From)*(1+math.Cos(math.Pi*float64(i)/points))/2)))
		}
		t.nodes[0], t.nodes[points] = t.From, t.To
		list = append(list, t)
	}
	return list
}

// yearFactor is the year's power factor from its energies.
func (y *yearPass) yearFactor() (Value, bool) {
	lang := y.rec.Words
	s := y.result.Sheet
	var parts []working.Num[quantity.VarHours]
	sum := quantity.VarHours(0)
	for _, m := range y.result.Months {
		parts = append(parts, working.Num[quantity.VarHours]{V: quantity.VarHours(m.Reactive.V), Step: m.Reactive.Step})
		sum += quantity.VarHours(m.Reactive.V)
	}
	if sum <= 0 || y.result.Energy.Value <= 0 {
		return Value{}, false
	}
	if st, ok := s.Get("year.pf"); ok {
		return Value{V: st.Value, Step: st.ID, Kind: working.Derived}, true
	}
	reactive := sumVarHoursF.Apply(s, "year.reactive", lang.S("reactive energy of the year"), "varh", parts)
	return ratioOf(profile.EnergyFactorF.Apply(s, "year.pf", lang.S("power factor of the year"), "", stepNum(s, y.result.Energy.Step), reactive)), true
}

var sumVarHoursF = working.DefN("sum of reactive energies", "E_q = sum(E_k)", "reactive energies of parts of a year add", "E_k", func(xs []quantity.VarHours) quantity.VarHours {
	var s quantity.VarHours
	for _, x := range xs {
		s += x
	}
	return s
})

// turns looks for what would bring an alternative level with the tariff in force.
func (y *yearPass) turns(p *PricedTariff, other *model) ([]Turn, error) {
	lang := y.rec.Words
	a, err := other.newEvaluation()
	if err != nil {
		return nil, err
	}
	if y.turnable == nil {
		b, err := y.model.newEvaluation()
		if err != nil {
			return nil, err
		}
		y.turnable = y.turnings()
		for i := range y.turnable {
			y.turnable[i].inForce = newChangedYear(&y.turnable[i], b)
		}
	}
	var out []Turn
	for i := range y.turnable {
		t := &y.turnable[i]
		at, found, err := t.level(newChangedYear(t, a), y.result.Cost.Value)
		if err != nil {
			return nil, err
		}
		turn := t.Turn
		if found {
			step := y.result.Sheet.Put(working.Step{ID: "alternatives." + slug(p.File) + ".level." + slug(t.Of), Label: turnLabel(lang, t.Of, p.Name),
				Kind: working.Modelled, Value: at * t.unit, Unit: t.Now.Unit, From: []string{t.Now.Step, p.Cost.Step, y.result.Cost.Step},
				Reason: lang.S(turnReasons[t.Of])})
			turn.At = Value{V: at * t.unit, Unit: t.Now.Unit, Step: step, Kind: working.Modelled}
		}
		out = append(out, turn)
	}
	return out, nil
}

var turnReasons = map[string]string{
	"energy":       say.Key("both tariffs priced again with all energy and demand changed in one proportion, until they cost the same"),
	"demand":       say.Key("both tariffs priced again with all demands changed in one proportion and the energy as it is, until they cost the same"),
	"power factor": say.Key("both tariffs priced again with all reactive power changed in one proportion, until they cost the same; the figure is the year's"),
}

func turnLabel(lang *say.Language, of, tariff string) string {
	switch of {
	case "energy":
		return lang.F("energy at which %s costs what the tariff in force costs", tariff)
	case "demand":
		return lang.F("demand at which %s costs what the tariff in force costs", tariff)
	}
	return lang.F("power factor at which %s costs what the tariff in force costs", tariff)
}
