package intake

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
)

// carry writes the tariff's file.
func (r *rateReader) carry() {
	c := &r.record
	r.cal = &rateCalendar{}
	energy := r.table("energy", c.energy, c.energyWeekday, c.energyWeekend)
	demand := r.table("demand", c.demand, c.demandWeekday, c.demandWeekend)
	r.rate.Name = r.clean(c.name)
	if r.rate.Name == "" {
		r.rate.Name = "record " + c.label
	}

	var charges strings.Builder
	r.fixedCharge(&charges)
	r.energyCharges(&charges, energy)
	r.demandCharges(&charges, demand)
	r.flatCharges(&charges)
	r.minimumCharge(&charges)
	if charges.Len() == 0 {
		r.faults.At(r.pos(r.start), "no price of the record can be carried over: "+strings.Join(r.rate.Left, "; "), "")
		return
	}
	periods := ""
	if energy.several() {
		periods += "\nperiods:\n" + energy.rules(r.cal, "  ")
	}
	if demand.several() {
		periods += "\nperiod-sets:\n  demand:\n" + demand.rules(r.cal, "    ")
	}
	r.notCarried()
	r.head()
	if len(r.cal.seasons) > 0 {
		r.out.WriteString("\nseasons:\n")
		for _, s := range r.cal.seasons {
			fmt.Fprintf(&r.out, "  %s: %s\n", s.name, s.text())
		}
	}
	r.out.WriteString(periods)
	r.out.WriteString("\ncharges:\n" + charges.String())
	r.rate.YAML = []byte(r.out.String())
}

// table gives the schedule of a set; nil without one.
func (r *rateReader) table(name string, structure [][]tier, weekday, weekend [][]int) *hourTable {
	if len(structure) == 0 || len(weekday) == 0 || len(weekend) == 0 {
		return nil
	}
	t := &hourTable{name: name, weekday: weekday, weekend: weekend}
	used, _ := t.used()
	for p := range structure {
		if !slices.Contains(used, p) {
			r.left("%sratestructure: period %d is in no hour of the schedules", name, p)
		}
	}
	return t
}

func (r *rateReader) head() {
	c := &r.record
	comment := func(title string, lines []string) {
		if len(lines) > 0 {
			fmt.Fprintf(&r.out, "#\n# %s\n", title)
			for _, l := range lines {
				fmt.Fprintf(&r.out, "# * %s\n", l)
			}
		}
	}
	fmt.Fprintf(&r.out, "# Made from record %s of the US Utility Rate Database. Check it against the\n# supplier's own price sheet before a bill is made with it.\n", r.clean(c.label))
	comment("Taken, since the record does not say:", r.rate.Took)
	comment("Not carried over:", r.rate.Left)
	fmt.Fprintf(&r.out, "\ntariff: %s\n", quoted(r.rate.Name))
	if s := r.clean(c.utility); s != "" {
		fmt.Fprintf(&r.out, "supplier: %s\n", quoted(s))
	}
	fmt.Fprintf(&r.out, "currency: %s\n", r.o.Currency)
	var sources []string
	for _, s := range []string{c.source, c.sourceParent, c.uri} {
		if s = r.clean(s); s != "" && !slices.Contains(sources, s) {
			sources = append(sources, s)
		}
	}
	if len(sources) > 0 {
		fmt.Fprintf(&r.out, "source: %s\n", quoted(strings.Join(sources, "; ")))
	}
	fmt.Fprintf(&r.out, "from: %s\n", r.o.From)
	if end, ok := day(c.end); ok {
		fmt.Fprintf(&r.out, "to: %s\n", end)
	}
	r.out.WriteString("tax-note: the record has no taxes\n")
}

// clean makes one line of a text.
func (r *rateReader) clean(s string) string {
	s = strings.Map(func(c rune) rune {
		if unicode.IsSpace(c) {
			return ' '
		}
		if !unicode.IsPrint(c) {
			return -1
		}
		return c
	}, strings.ToValidUTF8(s, ""))
	return strings.Join(strings.Fields(s), " ")
}

// quoted writes a text as YAML reads it whatever is in it: JSON's strings are
// YAML's.
func quoted(s string) string {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	_ = e.Encode(s) // a string cannot fail
	return strings.TrimSuffix(b.String(), "\n")
}

// per takes the unit of a charge by time: $/day to /day.
func per(unit string) (string, bool) {
	word := strings.ToLower(unit[strings.LastIndexByte(unit, '/')+1:])
	return "/" + word, word == "day" || word == "month" || word == "year"
}

func (r *rateReader) fixedCharge(b *strings.Builder) {
	c := &r.record
	if c.fixed == nil {
		return
	}
	over, ok := per(c.fixedUnits)
	if !ok {
		r.left("fixedchargefirstmeter: %s, whose unit %q is none by time", c.fixed, r.clean(c.fixedUnits))
		return
	}
	fmt.Fprintf(b, "  - id: fixed\n    label: Fixed charge\n    fixed: %s %s\n", c.fixed, over)
}

func (r *rateReader) minimumCharge(b *strings.Builder) {
	c := &r.record
	if c.minimum == nil {
		return
	}
	over, ok := per(c.minUnits)
	if !ok {
		r.left("mincharge: %s, whose unit %q is none by time", c.minimum, r.clean(c.minUnits))
		return
	}
	if over == "/year" {
		r.took("the minimum of a year is held against each bill by its share of the year")
	}
	fmt.Fprintf(b, "  - id: minimum\n    label: Minimum charge\n    minimum: %s %s\n", c.minimum, over)
}

// energyUnits says what the edges of tiers are for.
var energyUnits = map[string]string{"": "month", "kwh": "month", "kwh daily": "day", "kwh/kw": "billing-demand"}

func (r *rateReader) energyCharges(b *strings.Builder, t *hourTable) {
	tiered := 0
	for p, tiers := range r.record.energy {
		if !t.has(p) {
			continue
		}
		for i, x := range tiers {
			if !x.Sell.IsZero() {
				r.left("energyratestructure: period %d, tier %d pays %s for each kWh delivered to the supplier; a charge with flow: exported can say so", p, i, x.Sell)
			}
		}
		id, label := "energy", "Energy"
		if t.several() {
			id, label = t.period(p), fmt.Sprintf("Energy, period %d", p)
		}
		unit := strings.ToLower(tiers[0].Unit)
		edge, known := energyUnits[unit]
		switch {
		case len(tiers) == 1:
			if unit != "" && unit != "kwh" && !known {
				r.left("energyratestructure: period %d is priced by %q; it is written by kWh", p, r.clean(tiers[0].Unit))
			}
			r.energyLine(b, id, label, t, p, "price: "+price(tiers[0].price(), "/kWh"))
			continue
		case !known:
			r.left("energyratestructure: period %d has tiers by %q, and is left out whole", p, r.clean(tiers[0].Unit))
			continue
		}
		tiered++
		if edge == "billing-demand" {
			r.billingDemand(b)
		}
		r.energyLine(b, id, label, t, p, "per: "+edge, "blocks: "+blocks(tiers, "kWh", "/kWh"))
	}
	if tiered > 1 {
		r.took("tiers of each time period count that period's own energy: the record does not say how a common tier is shared")
	}
}

func (r *rateReader) energyLine(b *strings.Builder, id, label string, t *hourTable, p int, parts ...string) {
	if t.several() {
		parts = append([]string{"period: " + t.period(p)}, parts...)
	}
	fmt.Fprintf(b, "  - id: %s\n    label: %q\n    energy: {%s}\n", id, label, strings.Join(parts, ", "))
}

// billingDemand writes, once, a demand that costs nothing and that hours of use
// are counted by.
func (r *rateReader) billingDemand(b *strings.Builder) {
	if strings.Contains(b.String(), "- id: billing-demand\n") {
		return
	}
	r.took("hours of use are counted by the bill's own highest demand, as the charge billing-demand at no price")
	fmt.Fprintf(b, "  - id: billing-demand\n    label: Demand that hours of use are counted by\n    demand: {price: 0 /kW, window: %s}\n", r.windowText())
}

func price(d decimal.Decimal, per string) string { return d.String() + " " + per }

// blocks writes tiers as blocks.
func blocks(tiers []tier, unit, per string) string {
	var all []string
	for i, t := range tiers {
		edge := ""
		if i < len(tiers)-1 {
			edge = fmt.Sprintf("up-to: %s %s, ", t.Max, unit)
		}
		all = append(all, fmt.Sprintf("{%sprice: %s}", edge, price(t.price(), per)))
	}
	return "[" + strings.Join(all, ", ") + "]"
}

// free tells tiers that cost nothing.
func free(tiers []tier) bool {
	return !slices.ContainsFunc(tiers, func(t tier) bool { return !t.price().IsZero() })
}

// identity are fields that say who may take the rate or what it is: they price
// nothing.
var identity = []string{"eiaid", "approved", "is_default", "revisions", "supersedes", "effectivedate", "lastmodified", "version", "sectors", "dgrules_comments"}

// notCarried lists what is left of the record.
func (r *rateReader) notCarried() {
	if r.o.Currency == "" {
		r.o.Currency = "USD"
		switch r.clean(r.record.country) {
		case "USA":
		case "":
			r.took("prices are in USD")
		default:
			r.faults.At(r.key("country"), fmt.Sprintf("the record is of %s and does not name its currency", r.record.country), "the currency, as an ISO 4217 code")
		}
	}
	if r.o.From == (civil.Date{}) {
		from, ok := day(r.record.start)
		if !ok {
			r.faults.At(r.key("startdate"), "the record does not say from when it holds", "the first day, such as 2031-01-01")
		}
		r.o.From = from
	}
	if end, ok := day(r.record.end); ok && end.Compare(r.o.From) < 0 {
		r.faults.At(r.key("enddate"), fmt.Sprintf("the record ends on %s, before it begins on %s", end, r.o.From), "")
	}
	for _, name := range slices.Sorted(maps.Keys(r.raw)) {
		raw := bytes.TrimSpace(r.raw[name])
		if slices.Contains(identity, name) || empty(string(raw)) {
			continue
		}
		var text string
		if json.Unmarshal(raw, &text) != nil {
			var flat bytes.Buffer
			_ = json.Compact(&flat, raw) // it was read as JSON before
			text = flat.String()
		}
		text = r.clean(text)
		if len([]rune(text)) > 300 {
			text = string([]rune(text)[:300]) + " …"
		}
		r.left("%s: %s", r.clean(name), text)
	}
}

// empty tells values that say nothing.
func empty(raw string) bool {
	return slices.Contains([]string{"", "null", `""`, "[]", "{}", "0", "0.0", "false"}, raw)
}
