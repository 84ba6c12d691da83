package measure

import (
	"math"

	"github.com/shopspring/decimal"

	"auditgen/internal/audit"
	"auditgen/internal/diag"
	"auditgen/internal/economics"
	"auditgen/internal/effect"
	"auditgen/internal/money"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

// Plan is all that is proposed, with its worth.
type Plan struct {
	Terms     economics.Terms
	Measures  []Measure      // in the client's order
	Order     []int          // the order of doing, by index
	Together  Saving         // all of them done: the sum of the steps
	Cost      audit.Interval // of all together
	Worth     Worth          // of all together
	Today     audit.Value    // life-cycle cost of going on as today
	LifeCycle LifeCycle      // of all together
	Cash      []Cash         // year by year, year 0 first
	Before    decimal.Decimal
	After     decimal.Decimal // the year's bill with all done
}

// Measure is one proposal with its worth.
type Measure struct {
	*site.Measure
	Cost      money.Range
	CostLines []site.CostLine // where the cost comes from the price list
	CostStep  string
	Replaced  []Replaced // its parts that are replaced, as listed
	Left      Left       // what is left of it when its saving ends
	Alone     Saving     // done alone, or on top of those that it must follow
	Step      Saving     // what it adds in the client's order, those above it done
	Worth     Worth      // of the measure alone
	LifeCycle LifeCycle
	Notes     []Note
	Counted   int // years that its saving counts

	ownEnergy, ownCost, ownPeak float64         // half-widths that its own changes leave open
	ahead                       decimal.Decimal // what those that it must follow save of the year's bill
	investedHalf                float64         // half-width of the present value of all that is paid for it
}

// Saving is what a change saves in a year.
type Saving struct {
	Energy   audit.Interval // kWh
	Cost     audit.Interval
	Exact    decimal.Decimal // of the bills, to the cent
	Peak     audit.Interval  // kW off the year's highest demand
	Emission audit.Interval  // kg CO2e; no step where the site has no factor
}

// Of works out what a record's measures are worth and puts the steps into the
// result's sheet. It gives nil where none is proposed. The error is a diag.Faults
// where a measure cannot be done as it is written.
func Of(r *audit.Result) (*Plan, error) {
	f := r.Record.Measures
	if f == nil || len(f.Measures) == 0 {
		return nil, nil
	}
	e := &evaluation{result: r, file: f, faults: &diag.List{}, plan: &Plan{Terms: termsOf(f.Economics)}}
	if err := e.run(); err != nil {
		return nil, err
	}
	if err := e.faults.Err(); err != nil {
		return nil, err
	}
	e.value()
	return e.plan, nil
}

// Check tells what is wrong with the record's measures without valuing them:
// every one is made and the year priced with it, at the best estimate alone.
func Check(r *audit.Result) error {
	f := r.Record.Measures
	if f == nil || len(f.Measures) == 0 {
		return nil
	}
	e := &evaluation{result: r, file: f, faults: &diag.List{}, plan: &Plan{Terms: termsOf(f.Economics)}, exact: true}
	if err := e.run(); err != nil {
		return err
	}
	return e.faults.Err()
}

// evaluation works the measures of one file out.
type evaluation struct {
	result *audit.Result
	file   *site.MeasuresFile
	faults *diag.List
	plan   *Plan
	exact  bool // nothing is drawn
}

// run alters the year by each measure alone, and by all up to each.
func (e *evaluation) run() error {
	chain := e.scratch()
	var last *audit.Variant // nil is the year as it is
	for i := range e.file.Measures {
		m := &e.file.Measures[i]
		spoken := m.In(e.result.Record.Words)
		out := Measure{Measure: &spoken, Counted: e.plan.Terms.Counted(int(m.Life.Value))}
		out.Cost, out.CostLines, _ = e.result.Record.Provider.CostOf(*m)
		now, err := e.alone(&out)
		if err != nil {
			return err
		}
		if e.faults.Len() > 0 {
			continue // its faults are told; the next may have its own
		}
		chain.sheet, chain.faults = &working.Sheet{}, e.faults
		if err := chain.apply(m); err != nil {
			return err
		}
		if i > 0 {
			if now, err = chain.year(e.exact || i < len(e.file.Measures)-1); err != nil {
				return err
			}
		}
		out.Step = between(last, now)
		like(&out.Step, out.Alone)
		last = now
		e.plan.Measures = append(e.plan.Measures, out)
	}
	if e.faults.Len() > 0 {
		return nil
	}
	e.plan.Together, e.plan.After = between(nil, last), last.Total
	e.plan.Before = last.Total.Add(last.Saved.Exact)
	e.together()
	return nil
}

// scratch is a state whose steps and notes nobody reads.
func (e *evaluation) scratch() *state {
	s := newState(e.result, e.file, &working.Sheet{}, &diag.List{})
	s.quiet = true
	return s
}

// alone works a measure out on top of those that it must follow.
func (e *evaluation) alone(m *Measure) (*audit.Variant, error) {
	s, err := e.prepared(m.Measure)
	if err != nil {
		return nil, err
	}
	var from *audit.Variant
	if len(m.After) > 0 {
		if from, err = s.year(true); err != nil {
			return nil, err
		}
		m.ahead = from.Saved.Exact
	}
	s.sheet, s.faults, s.quiet = e.result.Sheet, e.faults, false
	if e.exact {
		s.sheet = &working.Sheet{} // nothing is shown of it
	}
	s.notes, s.doubts = nil, nil
	if err := s.apply(m.Measure); err != nil {
		return nil, err
	}
	m.Notes = s.notes
	if e.faults.Len() > 0 {
		return nil, nil
	}
	to, err := s.year(e.exact)
	if err != nil {
		return nil, err
	}
	m.Alone = between(from, to)
	if e.exact {
		return to, nil
	}
	return to, e.ownDoubts(m, from, s.doubts)
}

// prepared is a state in which the measures that one must follow are done.
func (e *evaluation) prepared(m *site.Measure) (*state, error) {
	s := e.scratch()
	return s, e.follow(s, m, map[string]bool{})
}

func (e *evaluation) follow(s *state, m *site.Measure, done map[string]bool) error {
	for _, id := range m.After {
		for i := range e.file.Measures {
			p := &e.file.Measures[i]
			if p.ID.Value != id.Value || done[id.Value] {
				continue
			}
			done[id.Value] = true
			if err := e.follow(s, p, done); err != nil {
				return err
			}
			if err := s.apply(p); err != nil {
				return err
			}
		}
	}
	return nil
}

// between is what lies between two years; without an earlier one, between the year
// as it is and the later.
func between(from, to *audit.Variant) Saving {
	if from == nil {
		return Saving{Exact: to.Saved.Exact, Energy: to.Saved.Energy, Cost: to.Saved.Cost, Peak: to.Saved.Peak}
	}
	exact := from.Total.Sub(to.Total)
	s := Saving{Exact: exact}
	s.Energy = difference(to.Saved.Energy, from.Saved.Energy)
	s.Cost = difference(to.Saved.Cost, from.Saved.Cost)
	s.Peak = difference(to.Saved.Peak, from.Saved.Peak)
	s.Cost = moved(s.Cost, exact.InexactFloat64())
	return s
}

// difference is what a later year saves more than an earlier one, against the year
// as it is. Its interval is the later's in proportion: what both save moves
// together.
func difference(later, earlier audit.Interval) audit.Interval {
	d := later
	d.Value = audit.Less(later.Value, earlier.Value)
	return inProportion(d, later)
}

// moved is an interval about another value.
func moved(i audit.Interval, to float64) audit.Interval {
	i.Low, i.High, i.Value = i.Low+to-i.Value, i.High+to-i.Value, to
	return i
}

// like gives a step the relative interval of the measure alone: what it adds on
// top of others is as unsure in proportion.
func like(step *Saving, alone Saving) {
	step.Energy = inProportion(step.Energy, alone.Energy)
	step.Cost = inProportion(step.Cost, alone.Cost)
	step.Peak = inProportion(step.Peak, alone.Peak)
}

func inProportion(i, of audit.Interval) audit.Interval {
	half := of.Half()
	if of.Value != 0 {
		half = math.Abs(i.Value) * of.Half() / math.Abs(of.Value)
	}
	i.Low, i.High = i.Value-half, i.Value+half
	return i
}

// together adds to the intervals of all measures what the changes' own doubts do,
// each in proportion to what it adds.
func (e *evaluation) together() {
	t := &e.plan.Together
	var energy, cost, peak float64
	for _, m := range e.plan.Measures {
		energy = math.Hypot(energy, part(m.ownEnergy, m.Step.Energy, m.Alone.Energy))
		cost = math.Hypot(cost, part(m.ownCost, m.Step.Cost, m.Alone.Cost))
		peak = math.Hypot(peak, part(m.ownPeak, m.Step.Peak, m.Alone.Peak))
	}
	widen(&t.Energy, energy)
	widen(&t.Cost, cost)
	widen(&t.Peak, peak)
}

// part is a half-width of a measure alone in proportion to what it adds in order.
func part(half float64, step, alone audit.Interval) float64 {
	if alone.Value == 0 {
		return half
	}
	return half * math.Abs(step.Value/alone.Value)
}

// emission is what a saving of energy spares, by the site's factor.
func (e *evaluation) emission(s *Saving, id string) {
	lang := e.result.Record.Words
	em := e.result.Record.Site.Emission
	if em == nil {
		return
	}
	sheet := e.result.Sheet
	factor, ok := sheet.Get("site.emission-factor")
	if !ok {
		sheet.Put(working.Step{ID: "site.emission-factor", Label: lang.S("emission factor of electricity"), Kind: working.Stated, Unit: "kg/Wh", Value: float64(em.Factor.Value.Value), Typed: em.Factor.Text, Pos: em.Factor.Pos, Note: em.Source.Value})
		factor, _ = sheet.Get("site.emission-factor")
	}
	energy, _ := sheet.Get(id + "energy-saved")
	kg := effect.EmissionF.Apply(sheet, id+"emission-saved", lang.S("emission spared a year"), "kg",
		working.Num[quantity.WattHours]{V: quantity.WattHours(energy.Value), Step: energy.ID}, working.Num[quantity.KgPerWh]{V: quantity.KgPerWh(factor.Value), Step: factor.ID})
	k := factor.Value * 1e3
	s.Emission = audit.Interval{Value: kg.V, Low: s.Energy.Low * k, High: s.Energy.High * k, Unit: "kg", Step: kg.Step}
}
