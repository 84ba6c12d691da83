package site

import (
	"fmt"
	"slices"

	"auditgen/internal/diag"
	"auditgen/internal/source"
)

// Bond is a set of loads whose running hangs together.
type Bond struct {
	InOrder bool  // one leads and the others follow; else never two run together
	Loads   []int // indexes into the record's loads, in their order
}

// Bonds gives the sets of loads that never run together, and those that start
// after each other.
func (rec *Record) Bonds() []Bond {
	var out []Bond
	for _, inOrder := range []bool{false, true} {
		set := make([]int, len(rec.Loads)) // the set of each load, by its first load
		for i := range set {
			set[i] = i
		}
		for i, l := range rec.Loads {
			for _, other := range l.Runs.bound(inOrder) {
				k := rec.loadIndex(other.Value)
				if k < 0 || set[k] == set[i] {
					continue
				}
				from, to := max(set[i], set[k]), min(set[i], set[k])
				for n := range set {
					if set[n] == from {
						set[n] = to
					}
				}
			}
		}
		for first := range set {
			b := Bond{InOrder: inOrder}
			for i := range set {
				if set[i] == first {
					b.Loads = append(b.Loads, i)
				}
			}
			if len(b.Loads) > 1 {
				out = append(out, b)
			}
		}
	}
	return out
}

// bound gives the loads that a load names in one kind of bond.
func (r Runs) bound(inOrder bool) []source.At[string] {
	if !inOrder {
		return r.Never
	}
	if r.After.IsSet() {
		return []source.At[string]{r.After}
	}
	return nil
}

func (rec *Record) loadIndex(id string) int {
	return slices.IndexFunc(rec.Loads, func(l Load) bool { return l.ID.Value == id })
}

// bonds checks what loads say of each other, against the state at the visit.
func (c *checker) bonds() {
	loads := c.rec.Loads
	ids := make([]string, len(loads))
	for i, l := range loads {
		ids[i] = l.ID.Value
	}
	before := c.faults.Len()
	for _, l := range loads {
		for _, other := range append(l.Runs.bound(true), l.Runs.Never...) {
			c.known("load", "this visit or an earlier one", other, ids)
			if other.Value == l.ID.Value {
				c.faults.At(other.Pos, fmt.Sprintf("the load %q is bound to itself", l.ID.Value), "another load")
			}
		}
	}
	if c.faults.Len() == before {
		c.sets()
	}
}

// CheckBonds tells which loads are bound to each other as no installation can
// run them. Loads that are named and no longer there are passed over.
func (rec *Record) CheckBonds(faults *diag.List) { (&checker{rec: rec, faults: faults}).sets() }

func (c *checker) sets() {
	apart := map[int]bool{}
	for _, b := range c.rec.Bonds() {
		c.calendarsOf(b)
		if b.InOrder {
			c.inOrder(b, apart)
			continue
		}
		c.allApart(b)
		for _, i := range b.Loads {
			apart[i] = true
		}
	}
}

// at is where a load says to which others it is bound.
func (l Load) at(inOrder bool) source.At[string] {
	if named := l.Runs.bound(inOrder); len(named) > 0 {
		return named[0]
	}
	return source.At[string]{Pos: l.Pos}
}

// boundCalendars is how many calendars the loads of a bond may have.
const boundCalendars = 6

// hours tell the part of a calendar that a load has.
type hours struct{ calendar, delay, lasts string }

func (r Runs) hours() hours { return hours{r.Calendar.Value, r.Delay.Text, r.Lasts.Text} }

func (c *checker) calendarsOf(b Bond) {
	seen := map[hours]bool{}
	for _, i := range b.Loads {
		if seen[c.rec.Loads[i].Runs.hours()] = true; len(seen) > boundCalendars {
			c.faults.At(c.rec.Loads[i].at(b.InOrder).Pos, fmt.Sprintf("loads that are bound to each other have more than %d calendars", boundCalendars), fmt.Sprintf("%d at most", boundCalendars))
			return
		}
	}
}

// allApart refuses a set of which not every two are said to run apart, and one
// that has more to do than its hours hold.
func (c *checker) allApart(b Bond) {
	says := func(i, k int) bool {
		return slices.ContainsFunc(c.rec.Loads[i].Runs.Never, func(a source.At[string]) bool { return a.Value == c.rec.Loads[k].ID.Value })
	}
	for n, i := range b.Loads {
		for _, k := range b.Loads[n+1:] {
			if !says(i, k) && !says(k, i) {
				one, two := c.rec.Loads[i], c.rec.Loads[k]
				c.faults.At(one.at(false).Pos, fmt.Sprintf("%q and %q both never run with a third load, and may run with each other; such a chain is not worked out", one.ID.Value, two.ID.Value), fmt.Sprintf("never-with: %s as well, or another interlock", two.ID.Value))
				return
			}
		}
	}
	duty := map[hours]float64{}
	for _, i := range b.Loads {
		l := c.rec.Loads[i]
		h := l.Runs.hours()
		if duty[h] += l.meanDuty(); duty[h] > 1.0000001 {
			c.faults.At(l.at(false).Pos, fmt.Sprintf("loads that never run together have duties that add up to %.0f %% of one calendar", 100*duty[h]), "100 % or less")
			return
		}
	}
}

// inOrder refuses a follower that runs more than its leader.
func (c *checker) inOrder(b Bond, apart map[int]bool) {
	for _, i := range b.Loads {
		l := c.rec.Loads[i]
		if apart[i] {
			c.faults.At(l.at(true).Pos, fmt.Sprintf("the load %q has both never-with and starts-after", l.ID.Value), "one of them")
			return
		}
		k := c.rec.loadIndex(l.Runs.After.Value)
		if !l.Runs.After.IsSet() || k < 0 {
			continue
		}
		lead := c.rec.Loads[k]
		if l.Runs.hours() == lead.Runs.hours() && l.meanDuty() > lead.meanDuty()+1e-9 {
			c.faults.At(l.Runs.After.Pos, fmt.Sprintf("%q runs %.0f %% of the time and starts after %q, which runs %.0f %%", l.ID.Value, 100*l.meanDuty(), lead.ID.Value, 100*lead.meanDuty()), "a duty that is not above its leader's")
		}
	}
}

// meanDuty is the share of its calendar that a load runs.
func (l Load) meanDuty() float64 {
	if len(l.States) > 0 {
		sum := 0.0
		for _, s := range l.States {
			sum += float64(s.Value.Duty.Value.Mean())
		}
		return sum
	}
	if !l.Runs.Duty.IsSet() {
		return 1
	}
	return float64(l.Runs.Duty.Value.Mean())
}
