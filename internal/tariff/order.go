package tariff

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/source"
)

// references finds the charges that a charge rests on.
func (k *checker) references(c *charge) {
	of, except := c.fallsOn()
	k.bases(c, of, except, &c.base)
	for _, f := range c.If {
		k.condition(c, f)
	}
	switch c.kind {
	case KindPowerFactor:
		k.pricedByEnergy(c)
	case KindDemand:
		for _, l := range slices.Concat(c.Demand.AtLeast, c.Demand.AtMost, Limits{c.Demand.Above, c.Demand.UpTo}) {
			k.lineOf(c, l)
		}
	case KindEnergy:
		if per := c.Energy.Per; per.IsSet() && !slices.Contains(blockWords, per.Value) {
			c.perLines = k.demandLine(c, per.Value, per.Pos, true)
		}
	case KindFixed:
		k.lineOf(c, c.Fixed.Of)
		for _, p := range c.Fixed.Parts {
			k.lineOf(c, p.Of)
		}
	case KindMinimum:
		k.lineOf(c, c.Minimum.Per)
	case KindTax:
		k.inside(c)
	}
}

func (k *checker) lineOf(c *charge, l Limit) {
	if l.Kind == LimitLine {
		k.demandLine(c, l.Line, l.Pos, true)
	}
}

var blockWords = []string{"month", "day", "bill", "year", "agreed"}

// fallsOn gives the names of the lines that a charge falls on, and of those that
// all does not mean.
func (c *charge) fallsOn() (of, except source.OneOrMany[string]) {
	switch c.kind {
	case KindPercent, KindTax:
		return c.shareForm().Of, c.shareForm().Except
	case KindPowerFactor:
		return c.PowerFactor.Of, c.PowerFactor.Except
	case KindMaximum:
		return c.Maximum.Of, c.Maximum.Except
	case KindSubtotal:
		return c.Subtotal.Of, c.Subtotal.Except
	case KindMinimum:
		if len(c.Minimum.Of) == 0 {
			return source.OneOrMany[string]{{Value: "all", Pos: c.Minimum.Pos}}, c.Minimum.Except
		}
		return c.Minimum.Of, c.Minimum.Except
	}
	return nil, nil
}

// demandLine finds the editions of a demand charge by its id and, where it must
// be priced first, notes so.
func (k *checker) demandLine(c *charge, id string, at diag.Pos, first bool) []int {
	found := k.withID(id)
	if len(found) > 0 && k.charges[found[0]].kind == KindDemand {
		unit := k.charges[found[0]].unit
		if (c.kind == KindDemand && first) && c.unit != "" && unit != "" && c.unit != unit {
			k.faults.At(at, fmt.Sprintf("%q is billed in %s, and this charge in %s", id, unit, c.unit), "a demand charge in "+c.unit)
		}
		if first {
			for _, i := range found {
				c.needs = append(c.needs, need{i, at})
			}
		}
		return found
	}
	var demands []string
	for i := range k.charges {
		if o := &k.charges[i]; o.kind == KindDemand && o.edition == 0 {
			demands = append(demands, o.ID.Value)
		}
	}
	options := demands
	if c.kind == KindEnergy {
		options = slices.Concat(blockWords, demands)
	}
	p := diag.OneOf("demand charge", id, options)
	k.faults.Add(p.At(at))
	return []int{0}
}

// inside finds the taxes that are in the base of a tax.
func (k *checker) inside(c *charge) {
	s := c.Tax
	for _, name := range s.Inside {
		if slices.Contains(insideWords, name.Value) {
			continue
		}
		if i, ok := k.charge(c, name); ok {
			if o := &k.charges[i]; o.kind != KindTax || !o.Tax.Rate.IsSet() {
				k.faults.At(name.Pos, fmt.Sprintf("%q is not a tax with one rate", name.Value), "the ids of taxes in the same base")
				continue
			}
			c.together = append(c.together, k.withID(name.Value)...)
		}
	}
}

// bases resolves the lines that a charge falls on.
func (k *checker) bases(c *charge, of, except source.OneOrMany[string], into *[]int) {
	for _, e := range except {
		k.charge(c, e)
	}
	all := slices.ContainsFunc(of, func(n source.At[string]) bool { return n.Value == "all" })
	if len(except) > 0 && !all {
		k.faults.At(except[0].Pos, "except needs all", "of: all, or the lines named without the exceptions")
	}
	for _, name := range of {
		if name.Value != "all" {
			k.base(c, name, into)
			continue
		}
		for i := range k.charges {
			o := &k.charges[i]
			excepted := slices.ContainsFunc(except, func(e source.At[string]) bool { return e.Value == o.ID.Value })
			if o.kind != "" && o.kind.rank() < c.kind.rank() && !excepted {
				c.rest(i, name.Pos, into)
			}
		}
	}
	slices.Sort(*into)
}

// base resolves one named line: a charge, or one block of it.
func (k *checker) base(c *charge, name source.At[string], into *[]int) {
	block := 0
	if id, n, ok := strings.Cut(name.Value, "."); ok {
		if b, err := strconv.Atoi(n); err == nil && b > 0 {
			name.Value, block = id, b
		}
	}
	i, ok := k.charge(c, name)
	if !ok {
		return
	}
	if o := &k.charges[i]; block > 0 && block > o.blockCount() {
		k.faults.At(name.Pos, fmt.Sprintf("%q has %d blocks", name.Value, o.blockCount()), "one of its blocks, counted from 1")
		return
	}
	for _, j := range k.withID(name.Value) {
		c.rest(j, name.Pos, into)
		if block > 0 {
			if c.blocks == nil {
				c.blocks = map[int][]int{}
			}
			c.blocks[j] = append(c.blocks[j], block)
		}
	}
}

// blockCount is how many blocks a charge has; 0 for none.
func (c *charge) blockCount() int {
	switch {
	case c.Energy != nil:
		return len(c.Energy.Blocks)
	case c.Demand != nil:
		return len(c.Demand.Blocks)
	}
	return 0
}

func (c *charge) rest(i int, at diag.Pos, into *[]int) {
	if !slices.Contains(*into, i) {
		*into = append(*into, i)
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
