package audit

import (
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/uncertainty"
	"auditgen/internal/working"
)

// Formulas from what was counted or paced out to a load's running power.
var (
	lampsF = working.Def3("running power of lamps", "P = n * (P_l + P_b)", "lamps burn together, each with its ballast", "n", "P_l", "P_b",
		func(n quantity.Ratio, lamp, ballast quantity.Watts) quantity.Watts {
			return quantity.Watts(n) * (lamp + ballast)
		})
	areaF = working.Def2("running power by floor area", "P = p * A", "definition of power by area", "p", "A",
		func(p quantity.WattsPerSquareMetre, a quantity.SquareMetres) quantity.Watts {
			return quantity.Watts(float64(p) * float64(a))
		})
)

// fromLamps gives the power of lamps that were counted. The number, the lamp and
// the ballast each have a doubt of their own.
func (p *loadPass) fromLamps(l site.Load, id string, out *Load) (modelMode, working.Num[quantity.Watts]) {
	lang := p.rec.Words
	out.Basis, out.BasisText = working.Assumed, lang.S("lamps counted")
	name := inSentence(l.Name.Value)
	n := l.Lamps.Number.Value.Estimate()
	number := p.assume(n.Shape, working.Step{ID: id + "lamps", Label: lang.F("lamps of %s", name), Typed: l.Lamps.Number.Text, Pos: l.Lamps.Number.Pos, Reason: because(lang, l.Because)}, float64(n.Mean()))
	each := l.Lamps.Each.Value
	lamp := p.assume(each.Shape, working.Step{ID: id + "lamp", Label: lang.F("power of one lamp of %s", name), Unit: "W", Typed: l.Lamps.Each.Text, Pos: l.Lamps.Each.Pos, Reason: because(lang, l.Because)}, float64(each.Mean()))
	extra, step := quantity.Certain(quantity.Watts(0)), working.Step{ID: id + "ballast", Label: lang.F("power of one ballast of %s", name), Unit: "W", Typed: "0 W", Pos: l.Lamps.Pos, Reason: lang.S("none stated: the lamp's power holds it")}
	if b := l.Lamps.Ballast; b.IsSet() {
		extra, step.Typed, step.Pos, step.Reason = b.Value, b.Text, b.Pos, because(lang, l.Because)
	}
	ballast := p.assume(extra.Shape, step, float64(extra.Mean()))
	running := lampsF.Apply(p.sheet, id+"running", lang.F("running power of %s", name), "W", working.Num[quantity.Ratio]{V: n.Mean(), Step: number}, working.Num[quantity.Watts]{V: each.Mean(), Step: lamp}, working.Num[quantity.Watts]{V: extra.Mean(), Step: ballast})
	f := p.params.counted(n, param{id: number, label: lang.F("number of lamps of %s", name), assumed: true, mend: lang.S("count them")})
	f.mean = float64(running.V)
	if one := float64(each.Mean() + extra.Mean()); one > 0 {
		for _, part := range []struct {
			estimate    quantity.Estimate[quantity.Watts]
			step, label string
		}{{each, lamp, lang.F("power of one lamp of %s", name)}, {extra, ballast, lang.F("ballasts of %s", name)}} {
			share := p.params.scaled(uncertainty.Of(part.estimate), param{id: part.step, label: part.label, assumed: true, mend: lang.S("measure the circuit with all lamps on")})
			for _, t := range share.terms {
				f.terms = append(f.terms, term{t.param, t.u * share.mean / one}) // of lamp and ballast together
			}
		}
	}
	return modelMode{power: f, reactive: p.tangent(l, id, out)}, running
}

// fromArea gives a power by floor area.
func (p *loadPass) fromArea(l site.Load, id string, out *Load) (modelMode, working.Num[quantity.Watts]) {
	lang := p.rec.Words
	out.Basis, out.BasisText = working.Assumed, lang.S("floor area")
	name, a, e := inSentence(l.Name.Value), l.PerArea.Area, l.PerArea.Power.Value
	area := working.Record(p.sheet, working.Step{ID: id + "area", Label: lang.F("floor of %s", name), Kind: working.Stated, Unit: "m²", Typed: a.Text, Pos: a.Pos}, a.Value.Value)
	step := working.Record(p.sheet, working.Step{ID: id + "per-area", Label: lang.F("power by area of %s", name), Kind: working.Assumed, Unit: "W/m²", Typed: e.Text, Pos: l.PerArea.Power.Pos, Reason: because(lang, l.Because)}, e.Mean())
	p.register.add(lang.F("Power by floor area of %s", name), e.Text, because(lang, l.Because), l.PerArea.Power.Pos, step.Step, false)
	running := areaF.Apply(p.sheet, id+"running", lang.F("running power of %s", name), "W", step, area)
	f := p.params.scaled(uncertainty.Of(e), param{id: step.Step, label: lang.F("power by area of %s", name), assumed: true, mend: lang.S("measure it")})
	f.mean = float64(running.V)
	return modelMode{power: f, reactive: p.tangent(l, id, out)}, running
}

// assume records a value: stated when it has no doubt, else assumed and in the
// register.
func (p *loadPass) assume(shape quantity.Shape, step working.Step, v float64) string {
	step.Value, step.Kind = v, working.Assumed
	if shape == quantity.Exact {
		step.Kind, step.Reason = working.Stated, ""
	} else {
		p.register.add(capital(step.Label), step.Typed, step.Reason, step.Pos, step.ID, false)
	}
	return p.sheet.Put(step)
}
