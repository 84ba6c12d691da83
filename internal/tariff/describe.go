package tariff

import (
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/say"
	"auditgen/internal/source"
)

// Described is a charge in words, for whoever checks the tariff as used.
type Described struct {
	ID, Label string
	Kind      Kind
	Text      []string // sentences
	Prices    []PriceAt
	At        diag.Pos

	lang *say.Language
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

// Describe words every charge in a language, in the order of the file.
func (t *Tariff) Describe(lang *say.Language) []Described {
	all := make([]Described, 0, len(t.charges))
	for i := range t.charges {
		c := &t.charges[i]
		d := Described{ID: c.ID.Value, Label: c.label(), Kind: c.kind, At: c.Pos, lang: lang}
		t.describe(c, &d)
		if c.Round.IsSet() {
			d.F("the amount is rounded to %s", c.Round.Text)
		}
		if c.Note != "" {
			d.Text = append(d.Text, c.Note)
		}
		d.always(c)
		all = append(all, d)
	}
	return all
}

func (d *Described) F(format string, args ...any) {
	d.Text = append(d.Text, d.lang.F(format, args...))
}

// raw adds a sentence that is said already.
func (d *Described) raw(text string) { d.Text = append(d.Text, text) }

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
			d.F("%s are at least %s that they came to", t.baseWords(d.lang, c), c.Minimum.Paid.Text)
			return
		}
		d.price(c.Minimum.Price)
		d.F("%s are at least %s", t.baseWords(d.lang, c), c.Minimum.Price.Text)
	case KindMaximum:
		d.price(c.Maximum.Price)
		d.F("%s are at most %s%s", t.baseWords(d.lang, c), c.Maximum.Price.Text, inWords(d.lang, c.whereIn(d.lang)))
	case KindSubtotal:
		d.F("the sum of %s is brought to %s", t.baseWords(d.lang, c), c.Subtotal.To.Text)
	}
}

func (t *Tariff) describeFactor(c *charge, d *Described) {
	f := c.PowerFactor
	which := d.lang.S("average power factor")
	switch f.Rule {
	case Peak:
		which = d.lang.S("power factor of the highest demands")
	case AtPeak:
		which = d.lang.S("power factor when the kW are highest")
	case Tangent:
		which = "kvarh / kWh"
	}
	d.F("%s%s, on %s", which, inWords(d.lang, c.whereIn(d.lang)), t.baseWords(d.lang, c))
	at := func(p PerPoint) { d.Prices = append(d.Prices, PriceAt{p.Text, p.Pos}) }
	for _, s := range f.Slopes {
		if s.Below.IsSet() {
			if s.DownTo.IsSet() {
				d.F("below %s down to %s: %s added", s.Below.Text, s.DownTo.Text, s.Add.Text)
			} else {
				d.F("below %s: %s added", s.Below.Text, s.Add.Text)
			}
			at(s.Add)
			continue
		}
		rate := s.Less
		if s.Add.IsSet() {
			rate = s.Add
		}
		switch {
		case s.Add.IsSet() && s.UpTo.IsSet():
			d.F("above %s up to %s: %s added", s.Above.Text, s.UpTo.Text, rate.Text)
		case s.Add.IsSet():
			d.F("above %s: %s added", s.Above.Text, rate.Text)
		case s.UpTo.IsSet():
			d.F("above %s up to %s: %s taken off", s.Above.Text, s.UpTo.Text, rate.Text)
		default:
			d.F("above %s: %s taken off", s.Above.Text, rate.Text)
		}
		at(rate)
	}
	for _, s := range f.Steps {
		d.F("from %s: %s", s.From.Text, s.Percent.Text)
		d.Prices = append(d.Prices, PriceAt{s.Percent.Text, s.Percent.Pos})
	}
	if r := f.Ratio; r != nil {
		d.F("below %s: %s of (%s / actual - 1) added", r.Target.Text, r.Add.Text, r.Target.Text)
		d.Prices = append(d.Prices, PriceAt{r.Add.Text, r.Add.Pos})
		if r.Less.IsSet() {
			d.F("above: %s of (1 - %s / actual) taken off", r.Less.Text, r.Target.Text)
			d.Prices = append(d.Prices, PriceAt{r.Less.Text, r.Less.Pos})
		}
	}
}

// baseWords words the lines that a charge falls on: "all lines", or their labels.
func (t *Tariff) baseWords(lang *say.Language, c *charge) string {
	if of, except := c.fallsOn(); len(of) == 1 && of[0].Value == "all" {
		if len(except) == 0 {
			return lang.S("all lines")
		}
		return lang.F("all lines except %s", listIn(lang, values(except)))
	}
	var names []string
	for _, b := range c.base {
		if t.charges[b].edition == 0 {
			names = append(names, t.charges[b].label())
		}
	}
	if len(names) == 0 {
		return lang.S("no line")
	}
	return strings.Join(names, " + ")
}

// DescribePeriods words the time periods in a language, set by set, in the order
// of the file.
func (t *Tariff) DescribePeriods(lang *say.Language) []NamedText {
	var all []NamedText
	for _, set := range t.cal.sets {
		for _, p := range set.periods {
			n := NamedText{Name: p.Key, At: p.Pos}
			if p.Value.Otherwise {
				n.Text = []string{lang.S("all other hours")}
			}
			for _, r := range p.Value.Rules {
				n.Text = append(n.Text, r.words(lang))
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

func (r PeriodRule) words(lang *say.Language) string {
	var parts []string
	if len(r.Season) > 0 {
		parts = append(parts, listIn(lang, values(r.Season)))
	}
	if len(r.Days) > 0 {
		parts = append(parts, joinTexts(lang, r.Days))
	} else {
		parts = append(parts, lang.S("every day"))
	}
	if len(r.Hours) > 0 {
		parts = append(parts, joinTexts(lang, r.Hours))
	}
	switch r.Holidays.Value {
	case holidaysNot:
		parts = append(parts, lang.S("not on holidays"))
	case holidaysOnly:
		parts = append(parts, lang.S("on holidays only"))
	}
	return strings.Join(parts, ", ")
}

func joinTexts[T any](lang *say.Language, items source.OneOrMany[T]) string {
	text := items[0].Text
	for _, it := range items[1:] {
		text = lang.F("%s and %s", text, it.Text)
	}
	return text
}
