package audit

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// ninety is the coverage factor of a 90 % interval of a normal distribution
// (JCGM 100:2008, table G.1).
const ninety = 1.6448536269514722

// Ids of contributions that are no single figure.
const (
	Chance   = "chance"   // how cycling loads meet: no better knowledge takes it away
	Together = "together" // the last one: what is left
)

// leastShare is the share of a variance below which a source cannot be told from
// the noise of the draws.
const leastShare = 0.001

// contributions ranks the sources of doubt by their share of the variance of
// the yearly energy and of the yearly cost.
func (y *yearPass) contributions() {
	y.result.Contributions = y.ranked(0)
	y.result.CostContributions = y.ranked(1)
}

// ranked words a ranking of the draws. How cycling loads meet is one source,
// though each month draws its own.
func (y *yearPass) ranked(k int) []Contribution {
	lang := y.rec.Words
	r := y.drawn.Ranked[k]
	ps := y.result.drawn.Parameters()
	rest := r.Residual
	var cs []Contribution
	chance := Contribution{ID: Chance, Label: lang.S("chance, by which cycling loads meet")}
	for _, s := range r.Shares {
		if s.Of < leastShare {
			rest += s.Of
			continue
		}
		if strings.HasPrefix(ps[s.Parameter].ID, "chance.") {
			chance.Share += s.Of
			continue
		}
		p := y.model.params[s.Parameter]
		cs = append(cs, Contribution{ID: p.id, Label: p.label, Assumed: p.assumed, Mend: p.mend, Share: s.Of, Half: ninety * math.Abs(s.Slope), Narrower: s.Narrower})
	}
	if chance.Share > 0 {
		chance.Half = ninety * math.Sqrt(chance.Share) * y.drawn.Outputs[y.rankedAt(k)].Deviation
		chance.Narrower = 1 - math.Sqrt(1-min(chance.Share, 1))
		cs = append(cs, chance)
	}
	slices.SortStableFunc(cs, func(a, b Contribution) int { return cmp.Compare(b.Share, a.Share) })
	if rest > 0 && len(cs) > 0 {
		cs = append(cs, Contribution{ID: Together, Label: lang.S("the least sources, and what several do together"), Share: rest})
	}
	return cs
}

// rankedAt is the output of a ranking.
func (y *yearPass) rankedAt(k int) int { return []int{y.layout.energy, y.layout.cost}[k] }
