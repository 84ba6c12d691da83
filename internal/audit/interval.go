package audit

import (
	"cmp"
	"math"
	"slices"
)

// spread is the standard uncertainty of an output: the root of the sum of the
// squares of what each source of doubt does to it (JCGM 100:2008, 5.1.2).
func (y *yearPass) spread(at int) float64 {
	sum := 0.0
	for _, row := range y.rows {
		sum += float64(row[at] * row[at])
	}
	return math.Sqrt(sum)
}

// interval gives an output with its 90 % interval; chance is a further standard
// deviation that no better knowledge would take away.
func (y *yearPass) interval(at int, unit, step string, chance float64) Interval {
	v := y.out[at]
	half := ninety * math.Hypot(y.spread(at), chance)
	return Interval{Value: v, Low: max(v-half, 0), High: v + half, Unit: unit, Step: step}
}

// intervals fills in the intervals of energies; those of demand and money
// follow when their steps are recorded.
func (y *yearPass) intervals() {
	r := y.result
	for i := range r.Loads {
		r.Loads[i].Energy = y.interval(y.layout.loads+i, "kWh", r.Loads[i].Energy.Step, 0)
	}
	r.BaseLoad = y.interval(y.layout.base, "kW", "", 0)
}

// contributions ranks the sources of doubt by their share of the variance of
// the yearly energy and of the yearly cost.
func (y *yearPass) contributions() {
	y.result.Contributions = y.ranked(y.layout.energy)
	y.result.CostContributions = y.ranked(y.layout.cost)
}

func (y *yearPass) ranked(at int) []Contribution {
	total := math.Pow(y.spread(at), 2)
	if total == 0 {
		return nil
	}
	var cs []Contribution
	for i, row := range y.rows {
		p := y.model.params[i]
		cs = append(cs, Contribution{
			ID: p.id, Label: p.label, Assumed: p.assumed, Mend: p.mend,
			Share: float64(row[at]*row[at]) / total, Half: ninety * math.Abs(row[at]),
		})
	}
	slices.SortStableFunc(cs, func(a, b Contribution) int { return cmp.Compare(b.Share, a.Share) })
	return cs
}
