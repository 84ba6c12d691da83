package site

import (
	"fmt"
	"path"
	"slices"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
)

// MeasuresName is the name of the file of measures in a site's folder.
const MeasuresName = "measures.yaml"

// measures reads what is proposed; a site may have none. It wants the state of
// the site at the visit.
func (r *reader) measures(rec *Record) {
	file := path.Join(r.Dir, MeasuresName)
	if !slices.Contains(r.names(r.Dir, ".yaml"), MeasuresName) {
		return
	}
	var f MeasuresFile
	if !r.yaml(file, &f) {
		return
	}
	c := &checker{rec: rec, faults: r.faults}
	for i := range f.Measures {
		m := &f.Measures[i]
		if ready, ok := ReadyByID(m.Ready.Value); ok {
			m.fill(ready)
		}
		for k := range m.Changes {
			if t := m.Changes[k].Tariff; t.Good().IsSet() {
				m.Changes[k].Other = r.tariff(t)
			}
		}
	}
	c.measures(&f)
	rec.Measures = &f
}

// kinds lists the kinds of change by their keys.
var kinds = []struct {
	key string
	set func(c Change) bool
}{
	{"replace", func(c Change) bool { return c.Replace != nil }},
	{"add", func(c Change) bool { return c.Add != nil }},
	{"remove", func(c Change) bool { return c.Remove.IsSet() }},
	{"efficiency", func(c Change) bool { return c.Efficiency != nil }},
	{"speed", func(c Change) bool { return c.Speed != nil }},
	{"set-point", func(c Change) bool { return c.SetPoint != nil }},
	{"leaks", func(c Change) bool { return c.Leaks != nil }},
	{"lighting", func(c Change) bool { return c.Lighting != nil }},
	{"standby", func(c Change) bool { return c.Standby != nil }},
	{"duty", func(c Change) bool { return c.Duty != nil }},
	{"hours", func(c Change) bool { return c.Hours != nil }},
	{"shift", func(c Change) bool { return c.Shift != nil }},
	{"stagger", func(c Change) bool { return c.Stagger != nil }},
	{"capacitors", func(c Change) bool { return c.Capacitors != nil }},
	{"harmonics", func(c Change) bool { return c.Harmonics != nil }},
	{"phases", func(c Change) bool { return c.Phases.IsSet() }},
	{"transformer", func(c Change) bool { return c.Transformer != nil }},
	{"agreed-demand", func(c Change) bool { return c.Agreed.IsSet() }},
	{"tariff", func(c Change) bool { return c.Tariff.IsSet() }},
	{"photovoltaics", func(c Change) bool { return c.Photovoltaic != nil }},
}

// ChangeKinds lists the keys of the kinds of change.
func ChangeKinds() []string {
	keys := make([]string, len(kinds))
	for i, k := range kinds {
		keys[i] = k.key
	}
	return keys
}

// Kind is the key of the change, "" for one of no kind.
func (c Change) Kind() string {
	for _, k := range kinds {
		if k.set(c) {
			return k.key
		}
	}
	return ""
}

func (c *checker) measures(f *MeasuresFile) {
	c.economics(f.Economics)
	for _, e := range f.Calendars {
		c.calendar(e)
		if _, ok := c.rec.Site.Calendars.Get(e.Key); ok {
			c.faults.At(e.Pos, fmt.Sprintf("the calendar %q stands in site.yaml already", e.Key), "another name")
		}
	}
	unique(c.faults, "measure", f.Measures, func(m Measure) source.At[string] { return m.ID })
	var above []string
	loads := c.loadIDs()
	for i := range f.Measures {
		m := &f.Measures[i]
		c.measure(m, above)
		for k := range m.Changes {
			c.change(&m.Changes[k], f, &loads)
		}
		if m.ID.Good().IsSet() {
			above = append(above, m.ID.Value)
		}
	}
	if len(f.Measures) == 0 && !f.Faulty {
		c.faults.At(f.Pos, "no measure is listed", "at least one under measures:, or no such file")
	}
}

func (c *checker) loadIDs() []string {
	var ids []string
	for _, l := range c.rec.Loads {
		ids = append(ids, l.ID.Value)
	}
	return ids
}

func (c *checker) economics(e Economics) {
	c.within(e.Rate.Good(), e.Rate.Value.Value, e.Rate.Text, 0, 0.5, "a discount rate of 0 % to 50 %")
	c.within(e.Inflation.Good(), e.Inflation.Value.Value, e.Inflation.Text, -0.1, 0.5, "an inflation of -10 % to 50 %")
	c.within(e.Escalation.Good(), e.Escalation.Value.Value, e.Escalation.Text, -0.2, 0.3, "an escalation of -20 % to 30 %")
	if m := e.Money; m.Good().IsSet() && m.Value != "constant" && m.Value != "current" {
		c.faults.Add(diag.OneOf("money", m.Value, []string{"constant", "current"}).At(m.Pos))
	}
	if e.Money.Value == "current" && !e.Inflation.IsSet() && !e.Faulty {
		c.faults.At(e.Money.Pos, "current money needs the inflation", "a line such as inflation: 2 %, or money: constant")
	}
}

func (c *checker) measure(m *Measure, above []string) {
	c.id(m.ID)
	ids := make([]string, 0, len(ReadyMeasures()))
	for _, r := range ReadyMeasures() {
		ids = append(ids, r.ID.Value)
	}
	c.known("ready measure", "docs/measures.md", m.Ready, ids)
	if r, ok := ReadyByID(m.Ready.Value); ok {
		c.readyFits(m, r)
	}
	if !m.Life.IsSet() && !m.Faulty {
		c.faults.At(m.Pos, "missing here: life", "a line such as life: 12 years, or ready: with a ready measure")
	}
	c.within(m.Decline.Good(), m.Decline.Value.Value, m.Decline.Text, 0, 0.5, "a decline of 0 % to 50 % a year")
	if r := m.Risk; r.Good().IsSet() && !slices.Contains([]string{"low", "medium", "high"}, r.Value) {
		c.faults.Add(diag.OneOf("risk", r.Value, []string{"low", "medium", "high"}).At(r.Pos))
	}
	for _, a := range m.After {
		c.known("measure", "this file above this one", a, above)
	}
	if len(m.Changes) == 0 && !m.Faulty {
		c.faults.At(m.Pos, fmt.Sprintf("the measure %q changes nothing", m.ID.Value), "at least one of changes: "+diag.Or(ChangeKinds()))
	}
	c.cost(m)
}

// readyFits refuses a ready measure for another kind of change.
func (c *checker) readyFits(m *Measure, r Ready) {
	var fits []string
	for _, k := range r.Kinds {
		fits = append(fits, k.Value)
	}
	for _, ch := range m.Changes {
		if slices.Contains(fits, ch.Kind()) {
			return
		}
	}
	if !m.Faulty && len(m.Changes) > 0 {
		c.faults.At(m.Ready.Pos, fmt.Sprintf("the ready measure %q is not for %s", m.Ready.Value, m.Changes[0].Kind()), "a change of "+diag.Or(fits)+", or another ready measure")
	}
}

func (c *checker) cost(m *Measure) {
	switch {
	case m.Cost.IsSet() && len(m.Items) > 0:
		c.faults.At(m.Cost.Pos, "the cost is told twice: cost and items", "one of them")
	case !m.Cost.IsSet() && len(m.Items) == 0 && !m.Faulty:
		c.faults.At(m.Pos, "missing here: cost", "a line such as cost: 3200..3600..4400 EUR, or items: of the price list; cost: 0 EUR where it costs nothing")
	case m.Cost.IsSet() && !m.Basis.IsSet() && !m.Faulty && !m.Cost.Value.High.IsZero():
		c.faults.At(m.Cost.Pos, "the cost does not say what it rests on", "a line such as basis: quote Q-118 of 2 May 2031")
	}
	for _, r := range []source.At[money.Range]{m.Cost, m.Upkeep} {
		c.inCurrency(r)
	}
	if m.Cost.Good().IsSet() && m.Cost.Value.Low.IsNegative() {
		c.faults.At(m.Cost.Pos, m.Cost.Text+" is negative", "a cost of zero or more")
	}
	c.items(m.Items)
	for i := range m.Replacements {
		c.replacement(m, &m.Replacements[i])
	}
	c.residual(m)
}

func (c *checker) items(items []Item) {
	for _, i := range items {
		var ids []string
		for _, p := range c.rec.Provider.Prices {
			ids = append(ids, p.ID.Value)
		}
		c.known("price", ProviderFile, i.Price, ids)
		p, ok := c.rec.Provider.Price(i.Price.Value)
		if !ok {
			continue
		}
		if _, err := amountOf(i, p); err != nil && i.Quantity.Good().IsSet() {
			c.faults.Add(problem(err).At(i.Quantity.Pos))
		}
		each := p.Each
		each.Pos = i.Price.Pos
		c.inCurrency(each)
	}
}

// replacement checks a part that is replaced while the measure serves.
func (c *checker) replacement(m *Measure, r *Replacement) {
	switch {
	case r.Cost.IsSet() && len(r.Items) > 0:
		c.faults.At(r.Cost.Pos, "the cost is told twice: cost and items", "one of them")
	case !r.Cost.IsSet() && len(r.Items) == 0 && !r.Faulty:
		c.faults.At(r.Pos, "missing here: cost", "a line such as cost: 2400..3000..3800 EUR, or items: of the price list")
	case r.Cost.IsSet() && !r.Basis.IsSet() && !m.Basis.IsSet() && !r.Faulty && !m.Faulty:
		c.faults.At(r.Cost.Pos, "the cost does not say what it rests on", "a line such as basis: quote Q-131 of 9 May 2031")
	}
	c.inCurrency(r.Cost)
	if r.Cost.Good().IsSet() && r.Cost.Value.Low.IsNegative() {
		c.faults.At(r.Cost.Pos, r.Cost.Text+" is negative", "a cost of zero or more")
	}
	c.items(r.Items)
	if !r.After.IsSet() && !r.Every.IsSet() {
		if !r.Faulty {
			c.faults.At(r.Pos, "missing here: after or every", "a line such as after: 12 years for once, or every: 8 years for again and again")
		}
		return
	}
	first := r.After
	if !first.IsSet() {
		first = r.Every
	}
	if first.Good().IsSet() && m.Life.Good().IsSet() && first.Value >= m.Life.Value {
		c.faults.At(first.Pos, fmt.Sprintf("%s is no earlier than the end of the measure's life of %s", first.Text, m.Life.Text), "fewer years than its life, or a longer life")
	}
}

// residual checks what is left of a measure.
func (c *checker) residual(m *Measure) {
	r := m.Residual
	if !r.Good().IsSet() || r.Value.Straight {
		return
	}
	amount := m.Upkeep
	amount.Value, amount.Text, amount.Pos = r.Value.Amount, r.Text, r.Pos
	c.inCurrency(amount)
	most, _, ok := c.rec.Provider.CostOf(*m)
	for _, x := range m.Replacements {
		part, _, known := c.rec.Provider.CostOfPart(x)
		most, ok = most.Plus(part), ok && known
	}
	if ok && r.Value.Amount.Likely.GreaterThan(most.High) {
		c.faults.At(r.Pos, r.Text+" is more than it costs", "what is left of it at the end, or "+straightLine)
	}
}

// inCurrency refuses money that is not the tariff's.
func (c *checker) inCurrency(r source.At[money.Range]) {
	if c.rec.Tariff == nil || !r.Good().IsSet() {
		return
	}
	if code := c.rec.Tariff.File.Currency.Value.Code; r.Value.Currency != code {
		c.faults.At(r.Pos, fmt.Sprintf("the amount is in %s, the tariff in %s", r.Value.Currency, code), "an amount in "+code)
	}
}

// change checks one change. Loads that it adds may be changed by what follows.
func (c *checker) change(ch *Change, f *MeasuresFile, loads *[]string) {
	var typed []string
	for _, k := range kinds {
		if k.set(*ch) {
			typed = append(typed, k.key)
		}
	}
	if len(typed) != 1 {
		if !ch.Faulty {
			c.faults.At(ch.Pos, fmt.Sprintf("a change is of one kind; this one has %d", len(typed)), diag.Or(ChangeKinds()))
		}
		return
	}
	calendars := append([]string{Always}, append(c.rec.Site.Calendars.Keys(), f.Calendars.Keys()...)...)
	for _, l := range ch.loads() {
		c.known("load", "this visit or an earlier one", l, *loads)
	}
	for _, a := range ch.calendars() {
		c.known("calendar", "site.yaml or this file", a, calendars)
	}
	c.changeOfLoad(ch)
	c.changeOfSupply(ch)
	if l := ch.Add; l != nil {
		c.load(l)
		c.place(l.At)
		if slices.Contains(*loads, l.ID.Value) {
			c.faults.At(l.ID.Pos, fmt.Sprintf("the load %q is there already", l.ID.Value), "another id, or replace:")
		}
		if l.Reading.IsSet() {
			c.faults.At(l.Reading.Pos, "a load that is not there yet cannot have a reading", "power or nameplate")
		}
		if n := l.Nameplate; n != nil {
			if n.Speed != nil {
				c.faults.At(n.Speed.Pos, "a motor that is not there yet has no speed that was read", "loading")
			}
			if n.Current != nil {
				c.faults.At(n.Current.Pos, "a motor that is not there yet has no current that was read", "loading")
			}
		}
		*loads = append(*loads, l.ID.Value)
	}
}

// loads lists the loads that a change names.
func (ch Change) loads() []source.At[string] {
	var ls []source.At[string]
	add := func(a source.At[string]) { ls = append(ls, a) }
	switch {
	case ch.Replace != nil:
		add(ch.Replace.Load)
	case ch.Remove.IsSet():
		add(ch.Remove)
	case ch.Efficiency != nil:
		add(ch.Efficiency.Load)
	case ch.Speed != nil:
		add(ch.Speed.Load)
	case ch.SetPoint != nil:
		add(ch.SetPoint.Load)
	case ch.Leaks != nil:
		add(ch.Leaks.Load)
	case ch.Lighting != nil:
		add(ch.Lighting.Load)
		if ch.Lighting.Heat != nil {
			add(ch.Lighting.Heat.Load)
		}
	case ch.Standby != nil:
		add(ch.Standby.Load)
	case ch.Duty != nil:
		add(ch.Duty.Load)
	case ch.Hours != nil:
		add(ch.Hours.Load)
	case ch.Shift != nil:
		add(ch.Shift.Load)
	case ch.Stagger != nil:
		add(ch.Stagger.Load)
		for _, other := range ch.Stagger.Never {
			add(other)
		}
	case ch.Harmonics != nil:
		add(ch.Harmonics.Load)
	case ch.Transformer != nil:
		add(ch.Transformer.Load)
	}
	return ls
}

// Loads lists the ids of the loads that a change names.
func (ch Change) Loads() []string {
	var ids []string
	for _, l := range ch.loads() {
		ids = append(ids, l.Value)
	}
	return ids
}

func (ch Change) calendars() []source.At[string] {
	switch {
	case ch.Replace != nil:
		return []source.At[string]{ch.Replace.Calendar}
	case ch.Hours != nil:
		return []source.At[string]{ch.Hours.Calendar}
	case ch.Shift != nil:
		return []source.At[string]{ch.Shift.Calendar}
	case ch.Capacitors != nil:
		return []source.At[string]{ch.Capacitors.Calendar}
	case ch.Add != nil:
		return []source.At[string]{ch.Add.Runs.Calendar}
	}
	return nil
}

// number reads a plain number typed as text and holds it within limits.
func (c *checker) number(a source.At[string], low, high float64, expected string) {
	if !a.Good().IsSet() {
		return
	}
	if v, _, err := quantity.Number(strings.TrimSpace(a.Value)); err != nil || v < low || v > high {
		c.faults.At(a.Pos, fmt.Sprintf("%q is out of range", a.Value), expected)
	}
}
