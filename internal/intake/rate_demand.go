package intake

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"
)

// demandUnitOf gives the unit of a demand; false for those that a tariff does
// not bill in.
func demandUnitOf(unit string) (string, bool) {
	switch strings.ToLower(unit) {
	case "", "kw":
		return "kW", true
	case "kva":
		return "kVA", true
	}
	return "", false
}

func (r *rateReader) demandCharges(b *strings.Builder, t *hourTable) {
	c := &r.record
	unit, ok := demandUnitOf(c.demandUnit)
	for p, tiers := range c.demand {
		id, label, where := "demand", "Demand", ""
		if !t.has(p) {
			continue
		}
		if t.several() {
			id, label, where = t.period(p), fmt.Sprintf("Demand, period %d", p), "period: "+t.period(p)
		}
		r.demandCharge(b, "demandratestructure", c.demandUnit, unit, ok, p, id, label, tiers, where)
	}
}

func (r *rateReader) flatCharges(b *strings.Builder) {
	c := &r.record
	unit, ok := demandUnitOf(c.flatUnit)
	for p, tiers := range c.flat {
		var months [12]bool
		for m := range months {
			months[m] = len(c.flatMonths) == 0 && p == 0 || len(c.flatMonths) == 12 && c.flatMonths[m] == p
		}
		if !slices.Contains(months[:], true) {
			r.left("flatdemandstructure: period %d is in no month", p)
			continue
		}
		id, label, where := "flat-demand", "Demand at any time", ""
		if slices.Contains(months[:], false) && !free(tiers) {
			id, label, where = fmt.Sprintf("flat-demand-%d", p), fmt.Sprintf("Demand at any time, period %d", p), "season: "+r.cal.season(months)
		}
		r.demandCharge(b, "flatdemandstructure", c.flatUnit, unit, ok, p, id, label, tiers, where)
	}
}

func (r *rateReader) demandCharge(b *strings.Builder, field, typed, unit string, ok bool, p int, id, label string, tiers []tier, where string) {
	if free(tiers) {
		return
	}
	if !ok {
		r.left("%s: period %d is priced by %q, and is left out", field, p, r.clean(typed))
		return
	}
	parts := []string{"window: " + r.windowText()}
	if where != "" {
		parts = append([]string{where}, parts...)
	}
	if least := r.ratchet(field, where != "", unit); least != "" {
		parts = append(parts, "at-least: "+least)
	}
	if len(tiers) == 1 {
		parts = append(parts, "price: "+price(tiers[0].price(), "/"+unit+"/month"))
	} else {
		parts = append(parts, "blocks: "+blocks(tiers, unit, "/"+unit+"/month"))
	}
	fmt.Fprintf(b, "  - id: %s\n    label: %q\n    demand: {%s}\n", id, label, strings.Join(parts, ", "))
}

// windowText is the averaging time of demands.
func (r *rateReader) windowText() string {
	w := r.record.window
	if w != nil && w.IsInteger() && w.IsPositive() && w.LessThanOrEqual(decimal.New(60, 0)) && 60%w.IntPart() == 0 {
		return fmt.Sprintf("%d min", w.IntPart())
	}
	if w != nil {
		r.left("demandwindow: %s, which does not divide the hour", w)
	}
	r.took("demands are means over 15 min")
	return "15 min"
}

// ratchet is the floor of a demand by past months; "" for none. It belongs to
// the demand at any time where there is one.
func (r *rateReader) ratchet(field string, parted bool, unit string) string {
	c := &r.record
	share, months, in := r.ratchetShare()
	if share.IsZero() {
		return ""
	}
	flat := slices.ContainsFunc(c.flat, func(t []tier) bool { return !free(t) })
	if field == "demandratestructure" && flat {
		return ""
	}
	if parted {
		r.left("the floor of %s %% of past demands, for demands that are charged in part of the year or of the day", share)
		return ""
	}
	return fmt.Sprintf("%s %% of highest of %d months%s", share, months, in)
}

// ratchetShare reads the floor in percent, the months that it looks back over
// and the season that it looks at.
func (r *rateReader) ratchetShare() (share decimal.Decimal, months int, in string) {
	c := &r.record
	hundred := decimal.New(100, 0)
	percent := func(n number) decimal.Decimal {
		if n.LessThanOrEqual(decimal.New(1, 0)) {
			return n.Mul(hundred)
		}
		return n.Decimal
	}
	if c.lookbackPercent != nil && c.lookbackPercent.IsPositive() {
		months = 11
		if n := c.lookbackRange; n != nil && n.IsPositive() && n.LessThanOrEqual(decimal.New(60, 0)) {
			months = int(n.IntPart())
		} else {
			r.took("past demands are those of 11 months")
		}
		var flags [12]bool
		for i, f := range c.lookbackMonths {
			if i < 12 {
				flags[i] = bool(f)
			}
		}
		if slices.Contains(flags[:], true) && slices.Contains(flags[:], false) {
			in = " in " + r.cal.season(flags)
		}
		return percent(*c.lookbackPercent), months, in
	}
	if len(c.ratchet) == 0 {
		return decimal.Zero, 0, ""
	}
	for _, n := range c.ratchet {
		if !n.Equal(c.ratchet[0].Decimal) {
			r.left("demandratchetpercentage differs by month, and no floor is written")
			return decimal.Zero, 0, ""
		}
	}
	if share = percent(c.ratchet[0]); share.IsPositive() {
		r.took("past demands are those of 11 months")
	}
	return share, 11, ""
}
