package audit

import (
	"fmt"
	"math"

	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

// Figures of the year that rules judge, each worked out once and kept in the
// sheet.

// Base is what runs day and night.
type Base struct {
	Energy Interval // kWh a year
	Share  Value    // 1, of the year's energy
	Cost   Interval // what the bill would fall by without the loads that always run
}

// BaseOf is what the base load takes of the year. The interval is that of the
// base load; it is absent where nothing runs.
func (r *Result) BaseOf() (Base, error) {
	lang := r.Record.Words
	if r.BaseLoad.Value <= 0 || r.Energy.Value <= 0 {
		return Base{}, nil
	}
	hours := fromStep[quantity.Hours](r, "year.hours")
	var b Base
	e, ok := r.kept("year.base-energy", "Wh")
	if !ok {
		e = derived(power.SteadyEnergyF.Apply(r.Sheet, "year.base-energy", lang.S("energy of the base load"), "Wh", fromStep[quantity.Watts](r, r.BaseLoad.Step), hours))
	}
	b.Energy = inProportion(e.V/1e3, r.BaseLoad, "kWh", e.Step)
	if b.Share, ok = r.kept("year.base-share", ""); !ok {
		b.Share = ratioOf(power.EnergyShareF.Apply(r.Sheet, "year.base-share", lang.S("base load's share of the year's energy"), "", num[quantity.WattHours](e), fromStep[quantity.WattHours](r, r.Energy.Step)))
	}
	always := func(load int) bool { return r.Loads[load].Calendar == site.Always }
	cost, err := r.costWithout(always)
	if err != nil {
		return Base{}, err
	}
	b.Cost = inProportion(cost, r.Cost, r.Currency, "year.base-cost")
	once(r.Sheet, working.Step{ID: "year.base-cost", Label: lang.S("what the bill would fall by without the loads that always run"), Kind: working.Modelled, Unit: r.Currency,
		Reason: lang.S("the year priced again without them; the interval is the bill's in proportion"), From: []string{r.Cost.Step, r.BaseLoad.Step}}, quantity.Ratio(cost))
	return b, nil
}

// inProportion gives a figure the relative interval of another.
func inProportion(v float64, like Interval, unit, step string) Interval {
	half := 0.0
	if like.Value != 0 {
		half = math.Abs(v) * like.Half() / like.Value
	}
	return Interval{Value: v, Low: v - half, High: v + half, Unit: unit, Step: step}
}

// costWithout is what the bill would fall by without some loads.
func (r *Result) costWithout(drop func(load int) bool) (float64, error) {
	with, err := r.model.total()
	if err != nil {
		return 0, err
	}
	without, err := r.model.without(drop).total()
	return with - without, err
}

// DayMeans are the mean powers of working days and of rest days over the year;
// absent where the year has none of that kind.
func (r *Result) DayMeans() (working, rest Value) {
	lang := r.Record.Words
	return r.dayMean("year.mean.working-days", lang.S("mean power of working days"), r.Working), r.dayMean("year.mean.rest-days", lang.S("mean power of weekends, holidays and shutdowns"), r.Rest)
}

func (r *Result) dayMean(id, label string, h Heat) Value {
	if v, ok := r.kept(id, "W"); ok {
		return v
	}
	sum, days := 0.0, 0
	for m := range 12 {
		days += h.Days[m]
		for _, kw := range h.KW[m] {
			sum += kw * float64(h.Days[m])
		}
	}
	if days == 0 {
		return Value{}
	}
	v := sum / float64(24*days) * 1e3
	return Value{V: v, Unit: "W", Kind: working.Modelled, Step: r.Sheet.Put(working.Step{ID: id, Label: label, Kind: working.Modelled, Unit: "W", Value: v,
		Reason: r.Record.Words.F("mean power by hour and month over %d such days", days), From: []string{r.Energy.Step}})}
}

// PeakChance is how much of the year's highest demand is made by cycling loads that
// happen to meet.
type PeakChance struct {
	Mean  Value // W, highest sum of mean powers in that month
	Above Value // W, what chance adds to it
	Share Value // 1, of the highest demand
}

// ChanceOfPeak splits the year's highest demand; absent where there is none.
func (r *Result) ChanceOfPeak() PeakChance {
	lang := r.Record.Words
	if r.Peak.Value <= 0 {
		return PeakChance{}
	}
	const id = "year.peak."
	m := r.Months[r.PeakMonth]
	if v, ok := r.kept(id+"mean", "W"); ok {
		above, _ := r.kept(id+"chance", "W")
		share, _ := r.kept(id+"chance-share", "")
		return PeakChance{v, above, share}
	}
	mean := Value{V: m.SumOfAverages * 1e3, Unit: "W", Kind: working.Modelled, Step: r.Sheet.Put(working.Step{ID: id + "mean", Label: lang.F("highest sum of mean powers in %s", MonthName(lang, r.PeakMonth)), Kind: working.Modelled, Unit: "W", Value: m.SumOfAverages * 1e3,
		Reason: lang.S("the loads whose calendars meet, each at its mean power"), From: []string{m.Energy.Step}})}
	peak := fromStep[quantity.Watts](r, r.Peak.Step)
	above := derived(power.PowerAboveF.Apply(r.Sheet, id+"chance", lang.S("what loads that happen to run together add to the highest demand"), "W", peak, num[quantity.Watts](mean)))
	share := ratioOf(power.PowerShareF.Apply(r.Sheet, id+"chance-share", lang.S("share of the highest demand that such loads make"), "", num[quantity.Watts](above), peak))
	return PeakChance{mean, above, share}
}

// SavingOfAgreed is what the bill would fall by with another agreed demand, in
// VA; negative where it would rise. The interval is the bill's in proportion.
func (r *Result) SavingOfAgreed(agreed quantity.VoltAmperes) (Interval, error) {
	lang := r.Record.Words
	m := *r.priced
	if err := m.options.Agreed.UnmarshalText(fmt.Appendf(nil, "%.0f kVA", float64(agreed)/1e3)); err != nil {
		return Interval{}, err
	}
	with, err := m.total()
	if err != nil {
		return Interval{}, err
	}
	id := fmt.Sprintf("year.agreed-%.0f-kva", float64(agreed)/1e3)
	saving := r.Cost.Value - with
	once(r.Sheet, working.Step{ID: id, Label: lang.F("what the bill would fall by at an agreed demand of %.0f kVA", float64(agreed)/1e3), Kind: working.Modelled, Unit: r.Currency,
		Reason: lang.S("the year priced again with that agreed demand; the interval is the bill's in proportion"), From: []string{r.Cost.Step}}, quantity.Ratio(saving))
	return inProportion(saving, r.Cost, r.Currency, id), nil
}

// ChargedFor is the year's sum of the charges of a kind, with its interval; it
// is false where the tariff has none.
func (r *Result) ChargedFor(kind tariff.Kind) (Interval, bool) {
	lang := r.Record.Words
	var sum Interval
	var steps []string
	for _, l := range r.YearLines {
		if l.Kind == string(kind) {
			sum.Value, sum.Low, sum.High = sum.Value+l.Interval.Value, sum.Low+l.Interval.Low, sum.High+l.Interval.High
			steps = append(steps, l.Step)
		}
	}
	if len(steps) == 0 {
		return Interval{}, false
	}
	sum.Unit, sum.Step = r.Currency, "year.charged-for."+string(kind)
	if _, ok := r.Sheet.Get(sum.Step); !ok {
		r.Sheet.ApplyExact(sumMoneyF, sum.Step, lang.F("charges for %s over the year", kind.In(lang)), r.Currency, steps...)
		st, _ := r.Sheet.Get(sum.Step)
		sum.Value = st.Value
	}
	return sum, true
}
