package tariff

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/source"
)

// newPrices is what a version says of a charge: a price, a percentage, or a
// list of prices for its blocks. What it must be depends on the charge.
type newPrices struct {
	items []*source.Value
	pos   diag.Pos
	list  bool
}

// ReadSource keeps the values until the charge is known.
func (n *newPrices) ReadSource(v *source.Value, faults *diag.List) {
	n.pos = v.Pos
	switch v.Form {
	case source.Scalar:
		n.items = []*source.Value{v}
	case source.Sequence:
		n.items, n.list = v.Items, true
	default:
		faults.At(v.Pos, "a group of named entries stands where a price belongs", "a price, a percentage, or a list of prices for blocks")
	}
}

// series is a price for each month or run of months.
type series struct {
	first, last bool       // the charge stands for the time before, or after, what is known
	from, to    civil.Date // the days that are known
}

// outsideSeries notes that a month has no price of its own.
func (b *pricing) outsideSeries(c *charge, s *span) {
	if c.series == nil {
		return
	}
	if c.series.first && s.From.Compare(c.series.from) < 0 || c.series.last && s.To.Compare(c.series.to) > 0 {
		b.note(fmt.Sprintf("%s has no price for all of %s; that of %s is taken", c.label(), s.Period, Period{c.series.from, c.series.to}))
	}
}

// editions makes the charges that are priced: one for each charge of the file,
// and one for each of its prices where they change.
func (k *checker) editions() {
	k.versionDates()
	for i := range k.Charges {
		c := &k.Charges[i]
		e := charge{Charge: c, kind: k.kindOf(c)}
		if c.From.IsSet() {
			e.from = c.From.Value
		}
		if c.To.IsSet() {
			e.to = c.To.Value.AddDays(1)
		}
		k.charges = append(k.charges, k.versionsOf(e)...)
	}
	for i := range k.charges {
		k.charges[i].index = i
	}
	k.chain()
}

// versionDates holds the versions to a chain without gaps.
func (k *checker) versionDates() {
	last, at := k.To.Value, k.To
	before := k.From.Value
	for i := range k.Versions {
		v := &k.Versions[i]
		if !v.From.IsSet() {
			continue
		}
		if v.From.Value.Compare(before) <= 0 {
			k.faults.At(v.From.Pos, fmt.Sprintf("the version from %s does not begin after %s", v.From.Text, before), "versions in the order of their first days")
		} else if at.IsSet() {
			k.gap(v.From, last, at)
		}
		if v.To.IsSet() && v.To.Value.Compare(v.From.Value) < 0 {
			k.faults.At(v.To.Pos, fmt.Sprintf("the version ends on %s, before it begins", v.To.Text), "a day not before "+v.From.Text)
		}
		before, last, at = v.From.Value, v.To.Value, v.To
		for _, p := range v.Prices {
			if !slices.ContainsFunc(k.Charges, func(c Charge) bool { return c.ID.Value == p.Key }) {
				var ids []string
				for j := range k.Charges {
					if id := k.Charges[j].ID.Value; !slices.Contains(ids, id) {
						ids = append(ids, id)
					}
				}
				problem := diag.OneOf("charge", p.Key, ids)
				k.faults.Add(problem.At(p.Pos))
			}
		}
	}
}

// gap reports days without a price, or with two, between two versions.
func (k *checker) gap(next source.At[civil.Date], last civil.Date, at source.At[civil.Date]) {
	switch n := last.AddDays(1).DaysUntil(next.Value); {
	case n > 0:
		k.faults.At(next.Pos, "no prices hold "+daysWords(last.AddDays(1), next.Value.AddDays(-1)), fmt.Sprintf("%s, the day after line %d", last.AddDays(1), at.Pos.Line))
	case n < 0:
		k.faults.At(next.Pos, "two prices hold "+daysWords(next.Value, last), fmt.Sprintf("%s, the day after line %d", last.AddDays(1), at.Pos.Line))
	}
}

func daysWords(first, last civil.Date) string {
	if first == last {
		return "on " + first.String()
	}
	return fmt.Sprintf("from %s to %s", first, last)
}

// versionsOf parts a charge where versions of the file change its price, and
// where it has prices by month.
func (k *checker) versionsOf(c charge) []charge {
	all := []charge{c}
	for i := range k.Versions {
		v := &k.Versions[i]
		p, ok := v.Prices.Get(c.ID.Value)
		if !ok || !v.From.IsSet() {
			continue
		}
		next, ok := k.repriced(all[len(all)-1], p)
		if !ok {
			continue
		}
		next.from, next.to = v.From.Value, c.to
		if last := &all[len(all)-1]; last.to == (civil.Date{}) || last.to.Compare(v.From.Value) > 0 {
			last.to = v.From.Value
		}
		all = append(all, next)
	}
	if c.Energy != nil && len(c.Energy.Prices) > 0 || c.shareForm() != nil && len(c.shareForm().Rates) > 0 {
		if len(all) > 1 {
			k.faults.At(c.Pos, fmt.Sprintf("%q has prices by month and a price in versions", c.ID.Value), "one of them")
			return all[:1]
		}
		return k.byMonth(c)
	}
	return all
}

// repriced is a charge with new prices.
func (k *checker) repriced(c charge, p newPrices) (charge, bool) {
	own := *c.Charge
	c.Charge = &own
	wants := 1
	if n := c.blockCount(); n > 0 {
		wants = n
	}
	if len(p.items) != wants || p.list != (c.blockCount() > 0) {
		if len(p.items) > 0 {
			k.faults.At(p.pos, fmt.Sprintf("prices given for %q: %d; it has %d", c.ID.Value, len(p.items), wants), "one price, or a list of one for each block")
		}
		return c, false
	}
	prices := make([]Price, len(p.items))
	if s := c.shareForm(); s != nil {
		share := *s
		share.Rate = source.At[money.Percent]{}
		source.Decode(p.items[0], &share.Rate, k.faults)
		if c.kind == KindTax {
			own.Tax = &share
		} else {
			own.Percent = &share
		}
		return c, true
	}
	for i, item := range p.items {
		source.Decode(item, &prices[i], k.faults)
	}
	switch c.kind {
	case KindFixed:
		f := *c.Fixed
		f.Price, own.Fixed = prices[0], &f
	case KindEnergy:
		f := *c.Energy
		f.Price, f.Blocks = repricedBlocks(f.Price, f.Blocks, prices)
		own.Energy = &f
	case KindDemand:
		f := *c.Demand
		f.Price, f.Blocks = repricedBlocks(f.Price, f.Blocks, prices)
		own.Demand = &f
	case KindReactive:
		f := *c.Reactive
		f.Price, own.Reactive = prices[0], &f
	case KindMinimum:
		f := *c.Minimum
		f.Price, own.Minimum = prices[0], &f
	case KindMaximum:
		f := *c.Maximum
		f.Price, own.Maximum = prices[0], &f
	default:
		k.faults.At(p.pos, fmt.Sprintf("%q has no price that a version could change", c.ID.Value), "a charge of its own with from:, and to: in the one before")
		return c, false
	}
	return c, true
}

func repricedBlocks(price Price, blocks []Block, prices []Price) (Price, []Block) {
	if len(blocks) == 0 {
		return prices[0], nil
	}
	blocks = slices.Clone(blocks)
	for i := range blocks {
		blocks[i].Price = prices[i]
	}
	return price, blocks
}

var monthForm = regexp.MustCompile(`^\d{4}-\d{2}$`)

// runOfMonths reads "2031-01", "2031-01 to 2031-04", or dates in their place.
func runOfMonths(text string) (from, to civil.Date, err error) {
	a, b, two := strings.Cut(text, " to ")
	if !two {
		b = a
	}
	read := func(s string) (first, after civil.Date, err error) {
		s = strings.TrimSpace(s)
		if !monthForm.MatchString(s) {
			first, err = civil.ParseDate(s)
			return first, first.AddDays(1), err
		}
		first, err = civil.ParseDate(s + "-01")
		return first, addMonths(first, 1), err
	}
	from, _, err = read(a)
	if err == nil {
		_, to, err = read(b)
	}
	return from, to, err
}

// byMonth parts a charge with a price for each month. The first price holds
// before what is known too, and the last one after it; a bill says so.
func (k *checker) byMonth(c charge) []charge {
	type entry struct {
		key string
		pos diag.Pos
		set func(*Charge)
	}
	var entries []entry
	if c.Energy != nil {
		if c.Energy.Price.Pos.IsSet() || len(c.Energy.Blocks) > 0 {
			k.faults.At(c.Energy.Pos, "the charge has prices by month and another price", "one of them")
		}
		for _, p := range c.Energy.Prices {
			entries = append(entries, entry{p.Key, p.Pos, func(own *Charge) {
				f := *c.Energy
				f.Price, own.Energy = p.Value, &f
			}})
		}
	} else {
		if s := c.shareForm(); s.Rate.IsSet() || len(s.Classes) > 0 {
			k.faults.At(s.Pos, "the charge has percentages by month and another percentage", "one of them")
		}
		for _, p := range c.shareForm().Rates {
			entries = append(entries, entry{p.Key, p.Pos, func(own *Charge) {
				f := *c.shareForm()
				f.Rate = p.Value
				if own.Tax != nil {
					own.Tax = &f
				} else {
					own.Percent = &f
				}
			}})
		}
	}
	var all []charge
	for i, e := range entries {
		from, to, err := runOfMonths(e.key)
		if err != nil || to.Compare(from) <= 0 {
			k.faults.At(e.pos, fmt.Sprintf("%q is not a month or a run of months", e.key), "a month such as 2031-01, or 2031-01 to 2031-04")
			continue
		}
		next := c
		own := *c.Charge
		next.Charge = &own
		e.set(&own)
		next.from, next.to = later(from, c.from), earlier(to, c.to)
		next.series = &series{first: i == 0, last: i == len(entries)-1, from: from, to: to}
		if n := len(all); n > 0 {
			k.gap(source.At[civil.Date]{Value: from, Pos: e.pos}, all[n-1].series.to.AddDays(-1), source.At[civil.Date]{Pos: entries[i-1].pos})
		}
		if i == 0 {
			next.from = c.from
		}
		if i == len(entries)-1 {
			next.to = c.to
		}
		all = append(all, next)
	}
	if len(all) == 0 {
		return []charge{c}
	}
	return all
}

func later(a, b civil.Date) civil.Date {
	if b != (civil.Date{}) && b.Compare(a) > 0 {
		return b
	}
	return a
}

func earlier(a, b civil.Date) civil.Date {
	if b != (civil.Date{}) && b.Compare(a) < 0 {
		return b
	}
	return a
}

// chain joins the editions of a charge: one id, days that neither overlap nor
// leave a gap, one form.
func (k *checker) chain() {
	first := map[string]int{}
	last := map[string]int{}
	for i := range k.charges {
		c := &k.charges[i]
		id := c.ID.Value
		f, again := first[id]
		if !again || id == "" {
			first[id], last[id] = i, i
			continue
		}
		head, before := &k.charges[f], &k.charges[last[id]]
		last[id] = i
		head.later = append(head.later, i)
		c.edition = len(head.later)
		if before.ID.Pos != c.ID.Pos && c.From.IsSet() && before.To.IsSet() {
			k.gap(c.From, before.To.Value, before.To)
		}
		if before.kind != c.kind && (before.To.IsSet() && c.From.IsSet()) && before.kind != "" && c.kind != "" {
			k.faults.At(c.Pos, fmt.Sprintf("%q is %s here and %s on line %d", id, whatOf(c.kind), whatOf(before.kind), before.Pos.Line), "one form for all its prices")
		}
	}
}
