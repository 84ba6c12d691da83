package tariff

import (
	"fmt"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/source"
)

// Described is a charge in words, for whoever checks the tariff as used.
type Described struct {
	ID, Label string
	Kind      Kind
	Text      []string // sentences
	Prices    []PriceAt
	At        diag.Pos
}

// PriceAt is a price or percentage as typed, and where.
type PriceAt struct {
	Text string
	At   diag.Pos
}

// NamedText is a time period, or a season, in words.
type NamedText struct {
	Name string
	Text []string
	At   diag.Pos
}

// Describe words every charge, in the order of the file.
func (t *Tariff) Describe() []Described {
	all := make([]Described, 0, len(t.charges))
	for i := range t.charges {
		c := &t.charges[i]
		d := Described{ID: c.ID.Value, Label: c.label(), Kind: c.kind, At: c.Pos}
		t.describe(c, &d)
		if c.Round.IsSet() {
			d.Text = append(d.Text, "the amount is rounded to "+c.Round.Text)
		}
		if c.Note != "" {
			d.Text = append(d.Text, c.Note)
		}
		d.always(c)
		all = append(all, d)
	}
	return all
}

func (d *Described) say(format string, args ...any) {
	d.Text = append(d.Text, fmt.Sprintf(format, args...))
}

func (d *Described) price(p Price) { d.Prices = append(d.Prices, PriceAt{p.Text, p.Pos}) }

func (t *Tariff) describe(c *charge, d *Described) {
	switch c.kind {
	case KindFixed:
		t.describeFixed(c, d)
	case KindEnergy:
		t.describeEnergy(c, d)
	case KindReactive:
		describeReactive(c, d)
	case KindDemand:
		t.describeDemand(c, d)
	case KindPowerFactor:
		t.describeFactor(c, d)
	case KindPercent, KindTax:
		t.describeShare(c, d)
	case KindMinimum:
		if c.Minimum.Paid.IsSet() {
			d.say("%s are at least %s that they came to", t.baseWords(c), c.Minimum.Paid.Text)
			return
		}
		d.price(c.Minimum.Price)
		d.say("%s are at least %s", t.baseWords(c), c.Minimum.Price.Text)
	case KindMaximum:
		d.price(c.Maximum.Price)
		d.say("%s are at most %s%s", t.baseWords(c), c.Maximum.Price.Text, in(c.where))
	case KindSubtotal:
		d.say("the sum of %s is brought to %s", t.baseWords(c), c.Subtotal.To.Text)
	}
}

func (t *Tariff) describeFactor(c *charge, d *Described) {
	f := c.PowerFactor
	which := "average power factor"
	switch f.Rule {
	case Peak:
		which = "power factor of the highest demands"
	case AtPeak:
		which = "power factor when the kW are highest"
	case Tangent:
		which = "kvarh / kWh"
	}
	d.say("%s%s, on %s", which, in(c.where), t.baseWords(c))
	at := func(p PerPoint) { d.Prices = append(d.Prices, PriceAt{p.Text, p.Pos}) }
	for _, s := range f.Slopes {
		if s.Below.IsSet() {
			down := ""
			if s.DownTo.IsSet() {
				down = " down to " + s.DownTo.Text
			}
			d.say("below %s%s: %s added", s.Below.Text, down, s.Add.Text)
			at(s.Add)
			continue
		}
		rate, does := s.Less, "taken off"
		if s.Add.IsSet() {
			rate, does = s.Add, "added"
		}
		up := ""
		if s.UpTo.IsSet() {
			up = " up to " + s.UpTo.Text
		}
		d.say("above %s%s: %s %s", s.Above.Text, up, rate.Text, does)
		at(rate)
	}
	for _, s := range f.Steps {
		d.say("from %s: %s", s.From.Text, s.Percent.Text)
		d.Prices = append(d.Prices, PriceAt{s.Percent.Text, s.Percent.Pos})
	}
	if r := f.Ratio; r != nil {
		d.say("below %s: %s of (%s / actual - 1) added", r.Target.Text, r.Add.Text, r.Target.Text)
		d.Prices = append(d.Prices, PriceAt{r.Add.Text, r.Add.Pos})
		if r.Less.IsSet() {
			d.say("above: %s of (1 - %s / actual) taken off", r.Less.Text, r.Target.Text)
			d.Prices = append(d.Prices, PriceAt{r.Less.Text, r.Less.Pos})
		}
	}
}

// baseWords words the lines that a charge falls on: "all lines", or their labels.
func (t *Tariff) baseWords(c *charge) string {
	if of, except := c.fallsOn(); len(of) == 1 && of[0].Value == "all" {
		if len(except) == 0 {
			return "all lines"
		}
		return "all lines except " + list(values(except))
	}
	var names []string
	for _, b := range c.base {
		if t.charges[b].edition == 0 {
			names = append(names, t.charges[b].label())
		}
	}
	if len(names) == 0 {
		return "no line"
	}
	return strings.Join(names, " + ")
}

// DescribePeriods words the time periods, set by set, in the order of the file.
func (t *Tariff) DescribePeriods() []NamedText {
	var all []NamedText
	for _, set := range t.cal.sets {
		for _, p := range set.periods {
			n := NamedText{Name: p.Key, At: p.Pos}
			if p.Value.Otherwise {
				n.Text = []string{"all other hours"}
			}
			for _, r := range p.Value.Rules {
				n.Text = append(n.Text, r.words())
			}
			all = append(all, n)
		}
	}
	return all
}

// DescribeSeasons words the seasons in the order of the file.
func (t *Tariff) DescribeSeasons() []NamedText {
	all := make([]NamedText, len(t.Seasons))
	for i, s := range t.Seasons {
		all[i] = NamedText{Name: s.Key, At: s.Pos}
		for _, part := range s.Value {
			all[i].Text = append(all[i].Text, part.Value.String())
		}
	}
	return all
}

func (r PeriodRule) words() string {
	var parts []string
	if len(r.Season) > 0 {
		parts = append(parts, list(values(r.Season)))
	}
	if len(r.Days) > 0 {
		parts = append(parts, joinTexts(r.Days))
	} else {
		parts = append(parts, "every day")
	}
	if len(r.Hours) > 0 {
		parts = append(parts, joinTexts(r.Hours))
	}
	switch r.Holidays.Value {
	case holidaysNot:
		parts = append(parts, "not on holidays")
	case holidaysOnly:
		parts = append(parts, "on holidays only")
	}
	return strings.Join(parts, ", ")
}

func joinTexts[T any](items source.OneOrMany[T]) string {
	texts := make([]string, len(items))
	for i, it := range items {
		texts[i] = it.Text
	}
	return strings.Join(texts, " and ")
}
