package audit

import (
	"cmp"
	"math"
	"slices"

	"auditgen/internal/civil"
	"auditgen/internal/tariff"
	"auditgen/internal/uncertainty"
	"auditgen/internal/working"
)

// BillDoubt is the standard deviation, as a share, by which a bill's energy or
// demand may be off that of the modelled month beside the doubts that the site
// states: weather, output, the day of reading, the meter (common practice, no
// source).
const BillDoubt = 0.03

// contradiction is the pull beyond which a bill and the estimate contradict
// each other: one in twenty would lie there by chance.
const contradiction = 2.0

// Conditioned is the year with its bills taken into account by the least change
// of what was assumed. It stands beside the estimate and replaces it nowhere.
type Conditioned struct {
	Energy Interval // kWh of the year
	Cost   Interval // of the year
	Peak   Interval // kW of the month with the year's highest demand
	Pulls  []Pull   // of each figure billed, in the order of the bills
	All    Pull     // of the energy of all bills together
	Moved  []Moved  // what was assumed and moved, by how far, furthest first
}

// Pull is how far a billed figure lies from what is expected, in standard
// deviations of the difference; positive where more was billed.
type Pull struct {
	Label       string // of the bill
	Demand      bool   // its demand, not its energy
	Value       float64
	Contradicts bool
}

// Moved is a source of doubt that the bills move: in its own standard
// deviations, and what is left of its deviation as a share.
type Moved struct {
	ID, Label string
	By, Left  float64
}

// seen is a year with what its bills show as further outputs.
type seen struct {
	*drawn
	bills        []seenBill
	observations []uncertainty.Observation
	pulls        []Pull
}

// seenBill is a billed energy as shares of months, or a demand of a month.
type seenBill struct {
	shares [12]float64
	month  int
	demand bool
}

// Outputs are those of the year, of each billed figure, and the energy of all
// bills.
func (s *seen) Outputs() int { return s.layout.size + len(s.bills) + 1 }

// Evaluate works the year out and puts the billed figures behind it.
func (s *seen) Evaluate(z, out []float64) { s.EvaluateAll([][]float64{z}, [][]float64{out}) }

// EvaluateAll does the same for several draws.
func (s *seen) EvaluateAll(z, out [][]float64) {
	s.drawn.EvaluateAll(z, out)
	for _, o := range out {
		s.bill(o)
	}
}

// bill puts the billed figures behind those of a year.
func (s *seen) bill(out []float64) {
	size, all := s.layout.size, 0.0
	for i, b := range s.bills {
		x := out[s.layout.kw+b.month]
		if !b.demand {
			x = 0
			for m, share := range b.shares {
				x += float64(share * out[s.layout.months+m])
			}
			all += x
		}
		out[size+i] = x
	}
	out[size+len(s.bills)] = all
}

// see lists what the bills show.
func (r *Result) see(bills []Billed) *seen {
	s := &seen{drawn: r.drawn}
	add := func(b Billed, x seenBill, value float64) {
		s.observations = append(s.observations, uncertainty.Observation{Output: s.layout.size + len(s.bills), Value: value, Deviation: BillDoubt * value})
		s.bills = append(s.bills, x)
		s.pulls = append(s.pulls, Pull{Label: b.Label, Demand: x.demand})
	}
	for _, b := range bills {
		if b.HasEnergy && b.Energy > 0 {
			x := seenBill{}
			p := tariff.Period{From: b.From, To: b.To.AddDays(1)}
			for m := range x.shares {
				x.shares[m] = float64(daysOf(p, m)) / float64(civil.DaysIn(r.Year, monthOf(m)))
			}
			add(b, x, b.Energy)
		}
		if b.Demand.Known() && b.Demand.V > 0 {
			add(b, seenBill{month: int(b.From.Month) - 1, demand: true}, b.Demand.V/1e3)
		}
	}
	return s
}

// condition takes the bills into account; nil when they show nothing.
func (r *Result) condition(rec *Reconciliation) (*Conditioned, error) {
	lang := r.Record.Words
	s := r.see(rec.Bills)
	if len(s.bills) == 0 {
		return nil, nil
	}
	after, err := uncertainty.Update(s, r.model.seed(), uncertainty.Options{Draws: drawsOf(yearDraws, r.drawn), Coverage: coverage}, s.observations)
	if err != nil {
		return nil, r.drawn.failed(err)
	}
	l := r.drawn.layout
	c := &Conditioned{Pulls: s.pulls}
	put := func(at int, of Interval, key, label string, scale float64) Interval {
		st, _ := r.Sheet.Get(of.Step)
		x := after.After[at]
		i := Interval{Value: x.Mean, Low: x.Symmetric.Low, High: x.Symmetric.High, Unit: of.Unit, Step: "billed.conditioned." + key}
		r.Sheet.Put(working.Step{ID: i.Step, Label: lang.F("%s with the bills taken into account", label), Kind: working.Modelled, Value: x.Mean * scale, Unit: st.Unit, From: []string{of.Step, intervalsStep},
			Reason: lang.F("mean of the draws after the least change of what was assumed that the bills ask for; each billed figure is taken to be within %g %% (one standard deviation) of the modelled month, beside the stated doubts", 100*BillDoubt)})
		return i
	}
	c.Energy = put(l.energy, r.Energy, "energy", lang.S("energy of the year"), 1e3)
	c.Cost = put(l.cost, r.Cost, "cost", lang.S("cost of the year"), 1)
	c.Peak = put(l.kw+r.PeakMonth, r.Peak, "peak", lang.S("highest kW of the year"), 1e3)
	for i := range c.Pulls {
		c.Pulls[i] = pulled(c.Pulls[i], after.Pulls[i])
	}
	sum := after.Before[l.size+len(s.bills)]
	rec.Estimated = drawnAbout(rec.Estimated.Value, sum, rec.Estimated.Unit, rec.Estimated.Step)
	c.All = pulled(Pull{}, (rec.Energy-sum.Mean)/math.Hypot(sum.Deviation, s.deviationOfAll()))
	c.Moved = r.movedBy(after.Moved)
	return c, nil
}

// deviationOfAll is the doubt of the energy of all bills, which are independent.
func (s *seen) deviationOfAll() float64 {
	sum := 0.0
	for i, o := range s.observations {
		if !s.bills[i].demand {
			sum += float64(o.Deviation * o.Deviation)
		}
	}
	return math.Sqrt(sum)
}

func pulled(p Pull, by float64) Pull {
	if math.IsNaN(by) || math.IsInf(by, 0) {
		by = 0
	}
	p.Value, p.Contradicts = by, math.Abs(by) > contradiction
	return p
}

// leastMove is the number of its deviations by which a source has to move to be
// named.
const leastMove = 0.25

func (r *Result) movedBy(all []uncertainty.Moved) []Moved {
	var out []Moved
	for i, p := range r.model.params {
		m := all[i]
		if m.Before.Deviation == 0 {
			continue
		}
		by := (m.After.Mean - m.Before.Mean) / m.Before.Deviation
		if math.Abs(by) >= leastMove {
			out = append(out, Moved{p.id, p.label, by, m.After.Deviation / m.Before.Deviation})
		}
	}
	slices.SortStableFunc(out, func(a, b Moved) int { return cmp.Compare(math.Abs(b.By), math.Abs(a.By)) })
	return out
}
