package audit

import (
	"cmp"
	"slices"
	"time"

	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

// demandSteps records the highest demand that each month is expected to show.
func (y *yearPass) demandSteps() {
	lang := y.rec.Words
	r, s := y.result, y.result.Sheet
	d := y.base.demand[y.model.window]
	for i := range r.Months {
		m := &r.Months[i]
		month := time.Month(i + 1)
		y.peaks(i, m)
		averages, _ := d.MeanDemand(month, profile.AllSlots, profile.Active)
		all, _ := d.AllOn(month, profile.AllSlots, profile.Active)
		m.SumOfAverages, m.SumOfAll = averages/1e3, all/1e3
		y.peakMakers(m)
		if m.PeakKW.Value > r.Months[r.PeakMonth].PeakKW.Value {
			r.PeakMonth = i
		}
	}
	r.Peak, r.PeakKVA = r.Months[r.PeakMonth].PeakKW, r.Months[r.PeakMonth].PeakKVA
	y.ends(r.Peak, y.layout.kw+r.PeakMonth, lang.S("highest kW of the year"), 1e3)
	y.ends(r.PeakKVA, y.layout.kva+r.PeakMonth, lang.S("highest kVA of the year"), 1e3)
	if r.Peak.Value > 0 {
		peak, _ := s.Get(r.Peak.Step)
		energy, _ := s.Get(r.Energy.Step)
		lf := profile.LoadFactorF.Apply(s, "year.load-factor", lang.S("load factor of the year"), "",
			working.Num[quantity.WattHours]{V: quantity.WattHours(energy.Value), Step: energy.ID},
			working.Num[quantity.Watts]{V: quantity.Watts(peak.Value), Step: peak.ID}, y.loads.yearHours)
		r.LoadFactor = ratioOf(lf)
	}
}

// peaks records a month's highest demands: expected, or logged beside expected.
func (y *yearPass) peaks(i int, m *Month) {
	l := y.layout
	if !m.Logged() {
		m.PeakKW = y.peak(i, l.kw, "kw", "kW", "W", profile.Active)
		m.PeakKVA = y.peak(i, l.kva, "kva", "kVA", "VA", profile.Apparent)
		return
	}
	m.Modelled.PeakKW = y.peak(i, l.modelledKW, "modelled-kw", "kW", "W", profile.Active)
	m.Modelled.PeakKVA = y.peak(i, l.modelledKVA, "modelled-kva", "kVA", "VA", profile.Apparent)
	m.PeakKW = y.loggedPeak(i, l.kw, "kw", "kW", "W", tariff.KW)
	m.PeakKVA = y.loggedPeak(i, l.kva, "kva", "kVA", "VA", tariff.KVA)
}

func (y *yearPass) peak(i, at int, key, unit, base string, of profile.Unit) Interval {
	lang := y.rec.Words
	p, _ := y.base.demand[y.model.window].Demand(time.Month(i+1), profile.AllSlots, of)
	step := y.result.Sheet.Put(working.Step{
		ID: monthID(i) + "peak-" + key, Label: lang.F("highest %s of %s", unit, MonthName(lang, i)), Kind: working.Modelled, Value: p.Mean, Unit: base,
		Reason: lang.F("expected highest mean over %d minutes: loads that are steadily on add up, cycling loads meet by chance (distribution of their sum by convolution, highest of the month's windows)", y.model.window),
		From:   y.runningSteps(),
	})
	return y.interval(at+i, unit, step)
}

func (y *yearPass) runningSteps() []string {
	var from []string
	for _, l := range y.result.Loads {
		from = append(from, "loads."+l.ID+".running", "loads."+l.ID+".duty")
	}
	return from
}

// peakMakers tells which loads the month's highest demand is expected to be
// made of, and in which hour it is likeliest to fall.
func (y *yearPass) peakMakers(m *Month) {
	d := y.base.demand[y.model.window]
	meeting, ok := d.Coincidence(time.Month(m.Month+1), profile.AllSlots, profile.Active)
	m.PeakHour = -1
	if !ok {
		return
	}
	hours := map[int]float64{}
	var kinds [kindsOfDay]float64
	for _, w := range meeting.When {
		hours[w.Hour] += w.Probability
		kinds[w.Kind] += w.Probability
	}
	if kinds[RestDay] > kinds[WorkingDay] {
		m.PeakKind = RestDay
	}
	m.PeakKindShare = kinds[m.PeakKind]
	best := 0.0
	for h := range 24 {
		if hours[h] > best {
			best, m.PeakHour = hours[h], h
		}
	}
	m.PeakHourShare = best
	for i, p := range meeting.Machines {
		if p > 0 {
			m.PeakBy = append(m.PeakBy, Share{Load: y.result.Loads[i].ID, Name: y.result.Loads[i].Name, Value: float64(p) / 1e3})
		}
	}
	slices.SortStableFunc(m.PeakBy, func(a, b Share) int { return cmp.Compare(b.Value, a.Value) })
}

// checkPeak holds the readings at the incomer against what the loads, as
// listed, reach in that month when all that may run do. A spot reading may catch
// them all at once, however rare that is over a demand window; one that is
// higher still shows that something is missing from the list.
func (y *yearPass) checkPeak() []Doubt {
	lang := y.rec.Words
	r := y.result
	var ds []Doubt
	for _, n := range r.Tree {
		if n.Depth > 0 || !n.Measured.Known() || r.Record.Visit.Date.Value.Year != r.Year {
			continue
		}
		rd := r.reading(n.Reading)
		m := r.Months[r.Record.Visit.Date.Value.Month-1]
		most := m.SumOfAll
		if peak := m.ExpectedPeak(); peak.Value > 0 {
			most *= peak.High / peak.Value // as unsure as the month's highest demand
		}
		if n.Measured.V-rd.PowerError <= most*1e3 {
			continue
		}
		ds = append(ds, Doubt{
			ID: "reading-above-expected-demand", Reading: n.Reading, Pos: rd.Pos, Steps: []string{n.Measured.Step, m.ExpectedPeak().Step},
			What:   lang.F("%s shows %.1f kW at %s, but the loads as listed take %.1f kW when all that may run in %s do, %.1f kW at most", n.Reading, kilo(n.Measured.V), n.Name, m.SumOfAll, MonthName(lang, m.Month), most),
			Cause:  lang.S("a load is missing from the list, or a running power is taken too low"),
			Retake: lang.S("list what else ran at that time; measure what was judged or taken from a plate"),
		})
	}
	return ds
}

func (r *Result) reading(id string) *Reading {
	i := slices.IndexFunc(r.Readings, func(x Reading) bool { return x.ID == id })
	return &r.Readings[i]
}

// alike is by how much the highest demands of months may differ, as a share, for
// no month to be named.
const alike = 0.005

// MonthsAlike tells whether no month stands out: each is expected to show much
// the same highest demand.
func (r *Result) MonthsAlike() bool {
	for _, m := range r.Months {
		if m.Logged() || m.PeakKW.Value < (1-alike)*r.Peak.Value {
			return false
		}
	}
	return len(r.Months) > 1 && r.Peak.Value > 0
}
