package limits

import (
	"cmp"

	"auditgen/internal/quantity"
	"auditgen/internal/source"
)

func (t *table) cite(f *file) Citation {
	return Citation{
		Standard: f.Standard, Edition: f.Edition, CitedAs: f.CitedAs, Title: f.Title,
		Table: t.Table, Clause: t.Clause, Status: t.Status, Place: t.Place, Base: t.Base,
		Statistic: t.Statistic, Reach: t.Reach, Note: t.Note,
	}
}

func (r *row) cite(f *file, t *table) Citation {
	c := t.cite(f)
	c.Status = cmp.Or(r.Status, c.Status)
	c.Note = cmp.Or(r.Note, c.Note)
	return c
}

func (b *band) cite(f *file, t *table) Citation {
	c := t.cite(f)
	c.Status = cmp.Or(b.Status, c.Status)
	c.Note = cmp.Or(b.Note, c.Note)
	c.Statistic = cmp.Or(b.Statistic, c.Statistic)
	return c
}

func (t *table) also() []Statistic {
	var s []Statistic
	for _, a := range t.Also {
		s = append(s, Statistic{float64(a.Times), a.Over})
	}
	return s
}

// row finds the row for a bus voltage and a short-circuit ratio.
func (t *table) row(bus quantity.VoltsLL, ratio float64) *row {
	for i := range t.Rows {
		r := &t.Rows[i]
		if bus <= r.Above.Value || (r.To != nil && bus > r.To.Value) {
			continue
		}
		if ratio < float64(r.FromRatio) || (r.BelowRatio != nil && ratio >= float64(*r.BelowRatio)) {
			continue
		}
		return r
	}
	return nil
}

// order finds the limit of a harmonic order in the row.
func (r *row) order(h int) *order {
	for i := range r.Orders {
		o := &r.Orders[i]
		if within(o.Orders, h) && parities[o.Of](h) {
			return o
		}
	}
	return nil
}

func within(spans source.OneOrMany[span], h int) bool {
	for _, s := range spans {
		if s.Value.from <= h && h <= s.Value.to {
			return true
		}
	}
	return false
}

// share is the limit as a share at order h.
func (o *order) share(h int) quantity.Ratio {
	return o.Limit.Value*quantity.Ratio(o.over(h)) + o.Plus.Value
}

// amperes is the limit as a current at order h for equipment of power p.
func (o *order) amperes(h int, p quantity.Watts) quantity.Amperes {
	return (o.Current.Value + o.PerWatt.Value*quantity.Amperes(p)) * quantity.Amperes(o.over(h))
}

func (o *order) over(h int) float64 {
	if o.Times == nil {
		return 1
	}
	return float64(*o.Times) / float64(h)
}

// evenShare is the share of a limit that order h may use.
func (t *table) evenShare(h int) quantity.Ratio {
	if h%2 == 0 {
		for _, e := range t.Even {
			if within(e.Orders, h) {
				return e.Share.Value
			}
		}
	}
	return 1
}

func total(s Standard, id, name string, bus quantity.VoltsLL, ratio float64) (Limit[quantity.Ratio], bool) {
	f, t := published().table(s, id)
	if t == nil {
		return Limit[quantity.Ratio]{}, false
	}
	r := t.row(bus, ratio)
	if r == nil || r.Total == nil {
		return Limit[quantity.Ratio]{}, false
	}
	return Limit[quantity.Ratio]{Name: name, Value: r.Total.Value, Cite: r.cite(f, t), Also: t.also()}, true
}

func individual(s Standard, id, name string, bus quantity.VoltsLL, ratio float64, h int) (Limit[quantity.Ratio], bool) {
	f, t := published().table(s, id)
	if t == nil {
		return Limit[quantity.Ratio]{}, false
	}
	r := t.row(bus, ratio)
	if r == nil {
		return Limit[quantity.Ratio]{}, false
	}
	o := r.order(h)
	if o == nil {
		return Limit[quantity.Ratio]{}, false
	}
	return Limit[quantity.Ratio]{Name: name, Value: o.share(h) * t.evenShare(h), Cite: r.cite(f, t), Also: t.also()}, true
}

func bands[Q ~float64](s Standard, id string, place Place, nominal Q) []Band[Q] {
	f, t := published().table(s, id)
	if t == nil {
		return nil
	}
	var all []Band[Q]
	for i := range t.Bands {
		b := &t.Bands[i]
		if b.At == place {
			all = append(all, bandFor(b, b.cite(f, t), nominal))
		}
	}
	return all
}

func bandFor[Q ~float64](b *band, cite Citation, nominal Q) Band[Q] {
	for _, e := range b.Exact {
		if float64(e.Nominal.Value) == float64(nominal) {
			return Band[Q]{b.Name, Q(e.Low.Value), Q(e.High.Value), cite}
		}
	}
	if len(b.Exact) > 0 {
		cite.Note = cmp.Or(cite.Note, "the table does not list this nominal voltage: taken by percentage")
	}
	return Band[Q]{b.Name, nominal * Q(b.Low.Value), nominal * Q(b.High.Value), cite}
}
