package audit

import (
	"math"

	"auditgen/internal/civil"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/uncertainty"
	"auditgen/internal/working"
)

var (
	growthF = working.Def2("growth over some years", "k_g = (1 + g)^t", "the same change each year", "g", "t",
		func(g quantity.Ratio, t float64) quantity.Ratio {
			return quantity.Ratio(math.Pow(1+float64(g), t))
		})
	grownF = working.Def2("power as grown", "P_g = k_g * P", "power on the day of the visit times growth", "k_g", "P",
		func(k quantity.Ratio, p quantity.Watts) quantity.Watts { return quantity.Watts(k) * p })
)

// grows gives the change a year that is expected of a load's use.
func (p *loadPass) grows(l site.Load) (quantity.Estimate[quantity.Ratio], bool) {
	g, ok := p.rec.Site.Growth.Get(l.Use.Value)
	return g.Value, ok
}

// seen is the id of a value before growth, which has the plain one.
func (p *loadPass) seen(l site.Load, id string) string {
	if _, ok := p.grows(l); ok {
		return id + "-seen"
	}
	return id
}

// meanStep is the id of a load's mean power as it was on the day of the visit.
func (p *loadPass) meanStep(l site.Load) string {
	return p.seen(l, "loads."+l.ID.Value+".mean")
}

// grow takes a load's power from the visit that lists it to the middle of the
// year worked out. The change a year has one doubt for all loads of a use.
func (p *loadPass) grow(l site.Load, id string, m *modelLoad, mean working.Num[quantity.Watts]) working.Num[quantity.Watts] {
	lang := p.rec.Words
	k, ok := p.growth(l, id)
	if !ok {
		return mean
	}
	for i := range m.modes {
		m.modes[i].power = m.modes[i].power.times(k.factor)
	}
	return grownF.Apply(p.sheet, id+"mean", lang.F("mean power of %s while its calendar is on, in %d", inSentence(l.Name.Value), p.year), "W", k.num, mean)
}

func (p *loadPass) growStandby(l site.Load, id string, m *modelLoad, power working.Num[quantity.Watts]) working.Num[quantity.Watts] {
	lang := p.rec.Words
	k, ok := p.growth(l, id)
	if !ok {
		return power
	}
	m.standby = m.standby.times(k.factor)
	return grownF.Apply(p.sheet, id+"standby", lang.F("standby power of %s in %d", inSentence(l.Name.Value), p.year), "W", k.num, power)
}

type growthOfLoad struct {
	num    working.Num[quantity.Ratio]
	factor factor
}

func (p *loadPass) growth(l site.Load, id string) (growthOfLoad, bool) {
	lang := p.rec.Words
	e, ok := p.grows(l)
	if !ok {
		return growthOfLoad{}, false
	}
	step := "growth." + slug(l.Use.Value)
	typed, _ := p.rec.Site.Growth.Get(l.Use.Value)
	reason := lang.S("expected by whoever wrote it in site.yaml, counted from the visit that lists a load")
	if _, known := p.sheet.Get(step); !known {
		p.register.add(lang.F("Change of %s a year", l.Use.Value), e.Text, reason, typed.Pos, step, false)
	}
	g := once(p.sheet, working.Step{ID: step, Label: lang.F("change of %s a year", l.Use.Value), Kind: working.Assumed, Typed: e.Text, Pos: typed.Pos, Reason: reason}, e.Mean())
	middle := civil.Date{Year: p.year, Month: 7, Day: 2}
	years := float64(l.Seen.DaysUntil(middle)) / 365.25
	t := once(p.sheet, working.Step{ID: id + "years", Label: lang.F("years from the visit that lists %s to the middle of %d", inSentence(l.Name.Value), p.year), Kind: working.Stated, Typed: l.Seen.String()}, years)
	k := growthOfLoad{num: working.Num[quantity.Ratio]{V: growthF.Call(g.V, t.V), Step: id + "growth"}}
	if _, known := p.sheet.Get(id + "growth"); !known {
		k.num = growthF.Apply(p.sheet, id+"growth", lang.F("growth of %s", inSentence(l.Name.Value)), "", g, t)
	}
	// k = (1 + g)^t moves by t/(1+g) of itself with g.
	k.factor = factor{mean: float64(k.num.V)}
	if e.Shape != quantity.Exact {
		x := param{id: step, label: lang.F("change of %s a year", l.Use.Value), assumed: true, mend: lang.S("compare two visits, or the bills of two years"), of: uncertainty.Standard(uncertainty.Of(e))}
		k.factor.terms = []term{{p.params.add(x), years * float64(e.Deviation()) / (1 + float64(e.Mean()))}}
	}
	return k, true
}
