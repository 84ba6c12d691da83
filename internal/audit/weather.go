package audit

import (
	"fmt"

	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

// Formulas of a duty that follows the weather.
var (
	sumDegreesF = working.DefN("degree-hours of the months in which it runs", "D = sum(D_k)", "degree-hours add", "D_k",
		func(xs []float64) float64 {
			sum := 0.0
			for _, x := range xs {
				sum += x
			}
			return sum
		})
	degreesF = working.Def2("mean of the degrees over the hours on", "T = D / h", "mean over time", "D", "h",
		func(d float64, h quantity.Hours) float64 { return d / float64(h) })
	weightF = working.Def4("a month's duty against the year's", "w = b + (1 - b) * D_m / (h_m * T)", "the part of the duty that is not base goes with the degrees of the month; its mean over the hours is 1", "b", "D_m", "h_m", "T",
		func(b quantity.Ratio, d float64, h quantity.Hours, mean float64) quantity.Ratio {
			return b + (1-b)*quantity.Ratio(d/(float64(h)*mean))
		})
	fullF = working.Def2("a month's duty against the year's, as far as a machine can run", "w_f = min(w; 1 / d)", "no machine runs more than all the time", "w", "d",
		func(w, d quantity.Ratio) quantity.Ratio { return min(w, 1/d) })
	weightedF = working.DefN("hours at the yearly duty", "h_w = sum(w_k * h_k)", "hours of the months by their duty against the year's", "x",
		func(x []float64) quantity.Hours {
			sum := 0.0
			for i := 0; i+1 < len(x); i += 2 {
				sum += float64(x[i] * x[i+1])
			}
			return quantity.Hours(sum)
		})
	monthMeanF = working.Def2("mean power in a month", "P_w = w * P_m", "mean power of the year by the month's duty against the year's", "w", "P_m",
		func(w quantity.Ratio, p quantity.Watts) quantity.Watts { return quantity.Watts(w) * p })
)

// weather is how a load's duty follows degree-hours.
type weather struct {
	degrees [12]float64        // K h
	hours   [12]quantity.Hours // that the calendar is on
	base    factor
}

func (w *weather) weights(z []float64) [12]float64 {
	return profile.DutyByDegreeHours(w.degrees, w.hours, quantity.Ratio(min(max(w.base.at(z), 0), 1)))
}

// followed gives the hours of the year at the load's yearly duty: those of its
// calendar, or for a duty that follows the weather those of its months by what
// each asks for.
func (p *loadPass) followed(l site.Load, id string, m *modelLoad, mean working.Num[quantity.Watts], h calendarHours) working.Num[quantity.Hours] {
	lang := p.rec.Words
	if !l.Runs.Follows.IsSet() {
		return h.num
	}
	name := inSentence(l.Name.Value)
	w := &weather{}
	m.weather = w
	var degrees []working.Num[float64]
	var hours [12]working.Num[quantity.Hours]
	var ofMonth [12]working.Num[float64]
	for i := range 12 {
		ofMonth[i] = p.degreeHours(l, i)
		hours[i] = p.month(i, *m)
		w.degrees[i], w.hours[i] = ofMonth[i].V, hours[i].V
		if hours[i].V > 0 {
			degrees = append(degrees, ofMonth[i])
		}
	}
	sum := sumDegreesF.Apply(p.sheet, id+"degree-hours", lang.F("degree-hours of the months in which %s runs", name), "K h", degrees)
	if sum.V == 0 {
		p.faults.At(l.Runs.Follows.Pos, fmt.Sprintf("the months in which %q runs have no degree-hours", l.ID.Value), "a table that has some in them, or a duty that follows none")
		return h.num
	}
	t := degreesF.Apply(p.sheet, id+"degrees", lang.F("degrees over the hours on of %s", name), "K", sum, h.num)
	e := l.Runs.Base.Value
	base := p.assume(e.Shape, working.Step{ID: id + "base", Label: lang.F("share of the duty of %s that does not follow the weather", name), Typed: l.Runs.Base.Text, Pos: l.Runs.Base.Pos, Reason: because(lang, l.Because)}, float64(e.Mean()))
	w.base = p.params.relative(e, param{id: base, label: lang.F("base of %s against the weather", name), assumed: true, mend: lang.S("note its running hours in a cool and in a warm month")})
	duty, _ := p.sheet.Get(id + "duty")
	var pairs []working.Num[float64]
	for i := range 12 {
		if hours[i].V == 0 {
			continue
		}
		month := fmt.Sprintf("%smonths.%02d.", id, i+1)
		weight := weightF.Apply(p.sheet, month+"weight", lang.F("duty of %s in %s against the year’s", name, MonthName(lang, i)), "", working.Num[quantity.Ratio]{V: e.Mean(), Step: base}, ofMonth[i], hours[i], t)
		if duty.Value > 0 {
			weight = fullF.Apply(p.sheet, month+"full", lang.F("duty of %s in %s against the year’s, up to all the time", name, MonthName(lang, i)), "", weight, working.Num[quantity.Ratio]{V: quantity.Ratio(duty.Value), Step: duty.ID})
		}
		monthMeanF.Apply(p.sheet, month+"mean", lang.F("mean power of %s in %s while its calendar is on", name, MonthName(lang, i)), "W", weight, mean)
		pairs = append(pairs, working.Num[float64]{V: float64(weight.V), Step: weight.Step}, working.Num[float64]{V: float64(hours[i].V), Step: hours[i].Step})
	}
	return weightedF.Apply(p.sheet, id+"weighted-hours", lang.F("hours of the year at the yearly duty of %s", name), "h", pairs)
}

// degreeHours records a month of a table of weather, once.
func (p *loadPass) degreeHours(l site.Load, i int) working.Num[float64] {
	lang := p.rec.Words
	name := l.Runs.Follows.Value
	t, _ := p.rec.Site.Weather.Get(name)
	if i == 0 {
		p.register.shared("weather."+name, lang.F("Degree-hours of the months: %s", name), t.Table.Text, t.Source.Value, t.Table.Pos, "weather."+name+".01", false)
	}
	return once(p.sheet, working.Step{ID: fmt.Sprintf("weather.%s.%02d", name, i+1), Label: lang.F("degree-hours of %s, %s", MonthName(lang, i), name), Kind: working.Stated, Unit: "K h", Typed: t.Table.Text, Pos: t.Table.Pos, Reason: t.Source.Value}, t.Table.Value[i])
}
