package tariff

import (
	"fmt"
	"slices"

	"auditgen/internal/diag"
	"auditgen/internal/source"
)

// references finds the charges that a charge rests on.
func (k *checker) references(c *charge) {
	of, except := c.fallsOn()
	k.bases(c, of, except)
	switch c.kind {
	case KindPowerFactor:
		k.pricedByEnergy(c)
	case KindDemand:
		for _, l := range append(slices.Clone(c.Demand.AtLeast), c.Demand.Above) {
			if l.Kind == LimitLine {
				k.demandLine(c, l.Line, l.Pos)
			}
		}
	case KindEnergy:
		if per := c.Energy.Per; per.IsSet() && !slices.Contains([]string{"month", "day", "bill"}, per.Value) {
			c.perLine = k.demandLine(c, per.Value, per.Pos)
		}
	}
}

// fallsOn gives the names of the lines that a charge falls on, and of those that
// all does not mean.
func (c *charge) fallsOn() (of, except source.OneOrMany[string]) {
	switch c.kind {
	case KindPercent, KindTax:
		return c.shareForm().Of, c.shareForm().Except
	case KindPowerFactor:
		return c.PowerFactor.Of, c.PowerFactor.Except
	case KindMinimum:
		if len(c.Minimum.Of) == 0 {
			return source.OneOrMany[string]{{Value: "all", Pos: c.Minimum.Pos}}, c.Minimum.Except
		}
		return c.Minimum.Of, c.Minimum.Except
	}
	return nil, nil
}

// demandLine finds a demand charge by its id and notes that it comes first.
func (k *checker) demandLine(c *charge, id string, at diag.Pos) int {
	i := slices.IndexFunc(k.charges, func(o charge) bool { return o.ID.Value == id })
	if i >= 0 && k.charges[i].kind == KindDemand {
		if c.kind == KindDemand && c.unit != "" && k.charges[i].unit != "" && c.unit != k.charges[i].unit {
			k.faults.At(at, fmt.Sprintf("%q is billed in %s, and this charge in %s", id, k.charges[i].unit, c.unit), "a demand charge in "+c.unit)
		}
		c.needs = append(c.needs, need{i, at})
		return i
	}
	var demands []string
	for _, o := range k.charges {
		if o.kind == KindDemand {
			demands = append(demands, o.ID.Value)
		}
	}
	options := demands
	if c.kind == KindEnergy {
		options = append([]string{"month", "day", "bill"}, demands...)
	}
	p := diag.OneOf("demand charge", id, options)
	k.faults.Add(p.At(at))
	return 0
}

// bases resolves the lines that a charge falls on.
func (k *checker) bases(c *charge, of, except source.OneOrMany[string]) {
	for _, e := range except {
		k.charge(c, e)
	}
	all := slices.ContainsFunc(of, func(n source.At[string]) bool { return n.Value == "all" })
	if len(except) > 0 && !all {
		k.faults.At(except[0].Pos, "except needs all", "of: all, or the lines named without the exceptions")
	}
	for _, name := range of {
		if name.Value != "all" {
			if i, ok := k.charge(c, name); ok {
				c.rest(i, name.Pos)
			}
			continue
		}
		for i, o := range k.charges {
			excepted := slices.ContainsFunc(except, func(e source.At[string]) bool { return e.Value == o.ID.Value })
			if o.kind != "" && o.kind.rank() < c.kind.rank() && !excepted {
				c.rest(i, name.Pos)
			}
		}
	}
	slices.Sort(c.base)
}

func (c *charge) rest(i int, at diag.Pos) {
	if !slices.Contains(c.base, i) {
		c.base = append(c.base, i)
		c.needs = append(c.needs, need{i, at})
	}
}

// charge finds a charge by its id.
func (k *checker) charge(c *charge, name source.At[string]) (int, bool) {
	if name.Value == c.ID.Value {
		k.faults.At(name.Pos, fmt.Sprintf("%q refers to itself", name.Value), "other lines")
		return 0, false
	}
	i := slices.IndexFunc(k.charges, func(o charge) bool { return o.ID.Value == name.Value })
	if i < 0 {
		others := slices.DeleteFunc(append([]string{"all"}, k.ids...), func(id string) bool { return id == c.ID.Value })
		p := diag.OneOf("line", name.Value, others)
		k.faults.Add(p.At(name.Pos))
		return 0, false
	}
	return i, true
}

// pricedByEnergy holds a power factor rule in money per kWh to energy lines.
func (k *checker) pricedByEnergy(c *charge) {
	if c.unit != "kWh" {
		return
	}
	for _, n := range c.needs {
		o := k.charges[n.index]
		if o.kind != KindEnergy || o.unit != "" && o.unit != "kWh" {
			k.faults.At(n.at, fmt.Sprintf("a rate per kWh falls on %q, which does not count kWh", o.ID.Value), "the ids of energy charges")
			return
		}
	}
}

// sort orders the charges so that each comes after those it rests on; a ring of
// references is a fault.
func (k *checker) sort() {
	state := make([]int, len(k.charges)) // 1 while its needs are looked at, 2 when done
	var visit func(i int, path []string) bool
	visit = func(i int, path []string) bool {
		state[i] = 1
		path = append(path, k.charges[i].ID.Value)
		for _, n := range k.charges[i].needs {
			switch state[n.index] {
			case 1:
				ring := append(slices.Clone(path[slices.Index(path, k.charges[n.index].ID.Value):]), k.charges[n.index].ID.Value)
				k.faults.At(n.at, fmt.Sprintf("%q refers to itself: %s", ring[0], arrows(ring)), "lines that do not rest on this one")
				return false
			case 0:
				if !visit(n.index, path) {
					return false
				}
			}
		}
		state[i] = 2
		k.order = append(k.order, i)
		return true
	}
	for i := range k.charges {
		if state[i] == 0 && !visit(i, nil) {
			return
		}
	}
}

func arrows(ids []string) string {
	s := ids[0]
	for _, id := range ids[1:] {
		s += " -> " + id
	}
	return s
}
