package audit

import (
	"cmp"
	"slices"
	"time"

	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// The kinds of day, in the order of dayKinds.
const (
	WorkingDay = iota
	RestDay
	kindsOfDay
)

// Day is mean power by kind of day, month and hour of the clock, in kW.
type Day [kindsOfDay][12][24]float64

// Factors are the figures by which a site's demand is known.
type Factors struct {
	Mean  Value // W, of the year
	Use   Value // h at the highest demand that would use the year's energy
	Floor Value // W, demand that 95 % of the year's windows reach
	// In the month of the year's highest demand:
	All         Value // W, every load that may run at its highest power
	Apart       Value // W, sum of the loads' own highest demands
	Demand      Value // 1, highest demand over All
	Coincidence Value // 1, highest demand over Apart
	Diversity   Value // 1, its inverse
}

// Exceeded is a point of the load-duration curve.
type Exceeded struct{ Share, KW float64 }

var (
	demandFactorF = working.Def2("demand factor", "F_d = P_max / P_all", profile.CoincidenceF.Formula.Source, "P_max", "P_all",
		func(highest, all quantity.Watts) quantity.Ratio { return quantity.Ratio(highest / all) })
	diversityF = working.Def1("diversity factor", "F_D = 1 / CF", "T. Gönen, Electric Power Distribution System Engineering, ch. 2; European usage gives that name to the coincidence factor", "CF",
		func(c quantity.Ratio) quantity.Ratio { return 1 / c })
)

// days gives each use its mean days, and the loads that run when nobody works.
func (y *yearPass) days() {
	r, e := y.result, y.base.energy
	night := make([]float64, len(r.Loads))
	for i := range r.Loads {
		u := &r.Uses[y.useOf[i]]
		for kind := range kindsOfDay {
			for m := range 12 {
				for h := range 24 {
					if p, ok := e.MachineMean(i, time.Month(m+1), kind, h); ok {
						u.Day[kind][m][h] += float64(p.P) / 1e3
					}
				}
			}
		}
		for h := range nightHours {
			if p, ok := e.MachineMean(i, 0, RestDay, h); ok {
				night[i] += float64(p.P) / 1e3 / nightHours
			}
		}
	}
	for i, kw := range night {
		if kw > 0 {
			r.Night = append(r.Night, Share{Load: r.Loads[i].ID, Name: r.Loads[i].Name, Value: kw})
		}
	}
	slices.SortStableFunc(r.Night, func(a, b Share) int { return cmp.Compare(b.Value, a.Value) })
}

// nightHours are the hours after midnight that stand for the night.
const nightHours = 5

// durationSteps are the steps of the load-duration curve: 1.25 % of the time each.
const durationSteps = 80

// factors works out the load-duration curve and the factors of the site's demand.
func (y *yearPass) factors() {
	lang := y.rec.Words
	r, s := y.result, y.result.Sheet
	d := y.base.demand[y.model.window]
	for _, x := range d.Duration(0, profile.AllSlots, profile.Active, durationSteps) {
		r.Duration = append(r.Duration, Exceeded{float64(x.Share), x.Demand / 1e3})
	}
	if len(r.Duration) > 0 {
		r.Duration[0].KW = r.Peak.Value // no window is certain to reach what chance might
	}
	f, ok := d.Factors(monthOf(r.PeakMonth), profile.AllSlots)
	if !ok {
		return
	}
	energy, _ := s.Get(r.Energy.Step)
	highest, _ := s.Get(r.Peak.Step)
	peak := working.Num[quantity.Watts]{V: quantity.Watts(highest.Value), Step: highest.ID}
	e := working.Num[quantity.WattHours]{V: quantity.WattHours(energy.Value), Step: energy.ID}
	peakMonth := MonthName(lang, r.PeakMonth)
	model := func(id, label, reason string, v quantity.Watts) working.Num[quantity.Watts] {
		return working.Record(s, working.Step{ID: id, Label: label, Kind: working.Modelled, Unit: "W", Reason: reason, From: y.runningSteps()}, v)
	}
	month := monthID(r.PeakMonth)
	all := model(month+"all-on", lang.F("all loads that may run in %s, each at its highest power", peakMonth), lang.S("sum of the highest powers of the loads that may run in the month"), f.All)
	apart := model(month+"apart", lang.F("sum of the loads’ own highest demands in %s", peakMonth), lang.F("expected highest mean over %d minutes of each load alone, added up", y.model.window), f.Apart)
	r.Factors.Mean = derived(profile.MeanDemandF.Apply(s, "year.mean", lang.S("mean power of the year"), "W", e, y.loads.yearHours))
	r.Factors.Use = derived(profile.HoursOfUseF.Apply(s, "year.hours-of-use", lang.S("hours of use of the highest demand"), "h", e, peak))
	r.Factors.All, r.Factors.Apart = derived(all), derived(apart)
	coincidence := profile.CoincidenceF.Apply(s, month+"coincidence", lang.F("coincidence factor in %s", peakMonth), "", peak, apart)
	r.Factors.Demand = ratioOf(demandFactorF.Apply(s, month+"demand-factor", lang.F("demand factor in %s", peakMonth), "", peak, all))
	r.Factors.Coincidence = ratioOf(coincidence)
	r.Factors.Diversity = ratioOf(diversityF.Apply(s, month+"diversity", lang.F("diversity factor in %s", peakMonth), "", coincidence))
	if n := len(r.Duration); n > 0 {
		floor := quantity.Watts(r.Duration[n*95/100].KW * 1e3)
		r.Factors.Floor = derived(model("year.floor", lang.S("demand reached 95 % of the time"), lang.F("mean over %d minutes that all but one in twenty of the year’s windows reach, cycling loads meeting by chance", y.model.window), floor))
	}
}
