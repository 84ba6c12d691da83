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

// scaledTotal is the year's cost with energies and demands in another proportion.
func (e *evaluation) scaledTotal(energy, demand float64) (float64, error) {
	logs := e.model.log.uses(e.model.tariff, e.model.periods, energy, energy)
	uses := make([]tariff.Use, len(e.model.periods))
	for i := range uses {
		if logs[i] != nil {
			uses[i] = scaledLog{loggedUse{logs[i]}, demand / energy}
		} else {
			uses[i] = scaledUse{e.expected(i), energy, demand}
		}
	}
	o := e.model.options
	o.Brief = true
	bills, err := e.model.tariff.PriceYear(e.model.periods, uses, o)
	return total(bills).InexactFloat64(), err
}

// setReactive puts all reactive power in another proportion. Demands in kW stay
// what they were.
func (e *evaluation) setReactive(scale float64) error {
	active := maps.Clone(e.peaks)
	maps.DeleteFunc(active, func(k peakKey, _ profile.Peak) bool { return k.unit != profile.Active })
	other, err := e.model.withReactive(scale).newEvaluation()
	if err != nil {
		return err
	}
	other.model, other.peaks = e.model, active
	*e = *other
	return nil
}

// Turn is a change of the use, all else as it is, at which an alternative costs
// what the tariff in force costs.
type Turn struct {
	Of       string  // energy (demand in proportion), demand, or power factor
	Now      Value   // Wh, W or 1
	At       Value   // not known when there is no such point between From and To
	From, To float64 // what was searched, in the unit of Now
}

// turning is a kind of change with the year's cost under it.
type turning struct {
	Turn
	unit  float64 // what one step of x is in the unit of Now
	total func(e *evaluation, x float64) (float64, error)
}

// turnings lists the changes that are tried: the year's energy with its demand
// in proportion, the demand alone, the power factor alone.
func (y *yearPass) turnings() []turning {
	r := y.result
	var list []turning
	if e := r.Energy.Value * 1e3; e > 0 {
		list = append(list, turning{Turn{Of: "energy", Now: Value{V: e, Unit: "Wh", Step: r.Energy.Step, Kind: working.Modelled}, From: e / 4, To: e * 4}, e,
			func(v *evaluation, x float64) (float64, error) { return v.scaledTotal(x, x) }})
	}
	if p := r.Peak.Value * 1e3; p > 0 {
		list = append(list, turning{Turn{Of: "demand", Now: Value{V: p, Unit: "W", Step: r.Peak.Step, Kind: working.Modelled}, From: p / 2, To: p * 2}, p,
			func(v *evaluation, x float64) (float64, error) { return v.scaledTotal(1, x) }})
	}
	if f, ok := y.yearFactor(); ok && f.V < 1 {
		now := math.Tan(math.Acos(f.V))
		list = append(list, turning{Turn{Of: "power factor", Now: f, From: 0.6, To: 1}, 1,
			func(v *evaluation, x float64) (float64, error) {
				if err := v.setReactive(math.Tan(math.Acos(x)) / now); err != nil {
					return 0, err
				}
				bills, err := v.bills()
				return total(bills).InexactFloat64(), err
			}})
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
	b, err := y.model.newEvaluation()
	if err != nil {
		return nil, err
	}
	var out []Turn
	for _, t := range y.turnings() {
		at, found, err := level(t.Now.V/t.unit, t.From/t.unit, t.To/t.unit, func(x float64) (float64, error) {
			on, err := t.total(a, x)
			if err != nil {
				return 0, err
			}
			inForce, err := t.total(b, x)
			return on - inForce, err
		})
		if err != nil {
			return nil, err
		}
		if found {
			step := y.result.Sheet.Put(working.Step{ID: "alternatives." + slug(p.File) + ".level." + slug(t.Of), Label: turnLabel(lang, t.Of, p.Name),
				Kind: working.Modelled, Value: at * t.unit, Unit: t.Now.Unit, From: []string{t.Now.Step, p.Cost.Step, y.result.Cost.Step},
				Reason: lang.S(turnReasons[t.Of])})
			t.At = Value{V: at * t.unit, Unit: t.Now.Unit, Step: step, Kind: working.Modelled}
		}
		out = append(out, t.Turn)
	}
	return out, nil
}

var turnReasons = map[string]string{
	"energy":       say.Key("both tariffs priced again with all energy and demand in one proportion, which is halved in on until they cost the same"),
	"demand":       say.Key("both tariffs priced again with all demands in one proportion and the energy as it is, halved in on until they cost the same"),
	"power factor": say.Key("both tariffs priced again with all reactive power in one proportion, halved in on until they cost the same; the figure is the year's"),
}

// level finds the x nearest to now, between from and to, at which f changes its
// sign: the range is looked over in even steps either way, the first change
// halved in on. A tariff with bands may jump across zero; x is then the jump.
func level(now, from, to float64, f func(float64) (float64, error)) (x float64, found bool, err error) {
	const steps, halvings = 20, 24
	start, err := f(now)
	if err != nil || start == 0 {
		return now, err == nil, err
	}
	for i := 1; i <= steps; i++ {
		for _, end := range []float64{from, to} {
			near, far := now+(end-now)*float64(i-1)/steps, now+(end-now)*float64(i)/steps
			v, err := f(far)
			if err != nil {
				return 0, false, err
			}
			if math.Signbit(v) == math.Signbit(start) && v != 0 {
				continue
			}
			for range halvings {
				middle := (near + far) / 2
				if v, err = f(middle); err != nil {
					return 0, false, err
				}
				if v != 0 && math.Signbit(v) == math.Signbit(start) {
					near = middle
				} else {
					far = middle
				}
			}
			return far, true, nil
		}
	}
	return 0, false, nil
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
