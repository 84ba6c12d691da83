package tariff

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/source"
)

// Condition is something that must hold for a charge to be made:
//
//	energy above 600 kWh                a month; a day or a bill when it says so
//	energy in peak up to 1000 kWh a bill
//	demand above 105 % of agreed        the charge's own demand
//	demand of contract from 50 kVA
//	highest of 12 months of supply above 50 kVA
//	power factor below 0.96
//	agreed up to 500 kVA
//	amount of all up to 300
//	hours of use of supply above 500 h
//	hours of use over 12 months of supply above 500 h
type Condition struct {
	What   string // energy, demand, highest, power factor, agreed, amount, hours
	Period string // of energy and power factor
	Of     string // id of a charge, or several with commas; all
	Months int    // of highest, and of hours of use over months
	Op     string // up to, above, below, from
	Limit  Limit  // of demand
	Number decimal.Decimal
	Unit   string // of Number
	Per    string // of energy: month, day or bill
}

var (
	conditionForm = regexp.MustCompile(`^(energy|power factor|demand|agreed|amount|hours of use(?: over (\d{1,2}) months)?|highest of (\d{1,2}) months)(?: of ([a-z0-9, -]+?))?(?: in (\S+))? (up to|above|below|from) (.+?)(?: a (month|day|bill))?$`)
)

const conditionForms = "such as energy above 600 kWh, demand above 105 % of agreed, power factor below 0.96, agreed up to 500 kVA, amount of all up to 300, hours of use of LINE above 500 h"

// UnmarshalText reads a condition.
func (c *Condition) UnmarshalText(text []byte) error {
	s := strings.TrimSpace(string(text))
	m := conditionForm.FindStringSubmatch(s)
	bad := func(what string) error { return &diag.Problem{What: what, Expected: conditionForms} }
	if m == nil {
		return bad(fmt.Sprintf("%q is not a condition", s))
	}
	next := Condition{What: m[1], Of: strings.ReplaceAll(m[4], " ", ""), Period: m[5], Op: m[6], Per: m[8]}
	switch {
	case m[2] != "":
		next.What = "hours of use"
		next.Months, _ = strconv.Atoi(m[2])
		if next.Months < 2 || next.Months > 12 {
			return bad(fmt.Sprintf("%q looks over %s; it may be 2 to 12 months", s, m[2]))
		}
	case m[3] != "":
		next.What = "highest"
		next.Months, _ = strconv.Atoi(m[3])
	}
	needsOf := slices.Contains([]string{"highest", "amount", "hours of use"}, next.What)
	switch {
	case needsOf && next.Of == "":
		return bad(fmt.Sprintf("%q does not say of which line", s))
	case next.Of != "" && !needsOf && next.What != "demand":
		return bad(fmt.Sprintf("%q cannot be of a line", s))
	case next.Period != "" && next.What != "energy" && next.What != "power factor":
		return bad(fmt.Sprintf("%q cannot be in a period", s))
	case next.Per != "" && next.What != "energy":
		return bad(fmt.Sprintf("%q cannot be a %s", s, next.Per))
	}
	if err := next.right(m[7]); err != nil {
		return err
	}
	*c = next
	return nil
}

// right reads what a condition compares with.
func (c *Condition) right(text string) error {
	number := func(unit string) error {
		n, ok := strings.CutSuffix(text, unit)
		v, err := money.ParseDecimal(n)
		if !ok || err != nil || v.IsNegative() {
			return &diag.Problem{What: fmt.Sprintf("%s is compared with %q", c.What, text), Expected: fmt.Sprintf("a number%s", unit)}
		}
		c.Number, c.Unit = v, strings.TrimSpace(unit)
		return nil
	}
	switch c.What {
	case "energy":
		return number(" kWh")
	case "power factor", "amount":
		return number("")
	case "hours of use":
		return number(" h")
	}
	l, problem := parseLimit(text)
	if problem != nil {
		return problem
	}
	if l.Kind != LimitAmount && (l.Kind != LimitAgreed || c.What == "agreed") {
		return &diag.Problem{What: fmt.Sprintf("%s is compared with %q", c.What, text), Expected: "an amount such as 50 kVA, or a share of the agreed demand"}
	}
	c.Limit = l
	return nil
}

// condition checks the names and units of a condition.
func (k *checker) condition(c *charge, at source.At[Condition]) {
	f := at.Value
	if f.What == "" {
		return
	}
	if f.Period != "" {
		known(k.faults, source.At[string]{Value: f.Period, Pos: at.Pos}, "period", k.periods)
	}
	unit := ""
	switch f.What {
	case "demand":
		if f.Of == "" {
			if c.kind != KindDemand {
				k.faults.At(at.Pos, "the charge has no demand of its own", "demand of LINE above …")
				return
			}
			unit = c.unit
			break
		}
		fallthrough
	case "highest":
		if c.kind == KindDemand && f.Of == c.ID.Value {
			unit = c.unit
			break
		}
		if lines := k.demandLine(c, f.Of, at.Pos, false); len(lines) > 0 {
			unit = k.charges[lines[0]].unit
		}
	case "hours of use":
		k.demandLine(c, f.Of, at.Pos, true)
	case "amount":
		k.bases(c, namesOf(f.Of, at.Pos), nil, &c.amounts)
	}
	if l := f.Limit; l.Kind == LimitAmount && unit != "" && l.Amount.Unit != unit {
		k.faults.At(at.Pos, fmt.Sprintf("%q compares %s with %s", at.Text, unit, l.Amount.Unit), "an amount in "+unit)
	}
}

func namesOf(ids string, at diag.Pos) source.OneOrMany[string] {
	var names source.OneOrMany[string]
	for id := range strings.SplitSeq(ids, ",") {
		names = append(names, source.At[string]{Value: id, Pos: at})
	}
	return names
}

// holds reports whether all conditions of a charge hold in the bill.
func (b *pricing) holds(c *charge) bool {
	for i := range c.If {
		f := &c.If[i]
		left, right, unit := b.sides(c, &f.Value, f.Pos)
		n := left.Cmp(right)
		ok := map[string]bool{"up to": n <= 0, "above": n > 0, "below": n < 0, "from": n >= 0}[f.Value.Op]
		if !ok {
			return false
		}
		if !b.o.Brief {
			b.because[c.index] = append(b.because[c.index], strings.TrimSpace(b.o.Words.F("charged since %s: it is %s %s", f.Text, left.Round(4), unit)))
		}
	}
	return true
}

// sides are the two numbers that a condition compares.
func (b *pricing) sides(c *charge, f *Condition, at diag.Pos) (left, right decimal.Decimal, unit string) {
	sel := b.t.All()
	if f.Period != "" {
		sel = b.t.cal.pick(source.OneOrMany[string]{{Value: f.Period}}, nil)
	}
	switch f.What {
	case "energy":
		scale := one
		if f.Per != "bill" {
			per := f.Per
			if per == "" {
				per = "month"
			}
			scale = b.t.counted(b.period, b.period, per)
		}
		return b.meter(b.i, Metered{What: "energy", Slots: sel}).Shift(-3).Round(6), f.Number.Mul(scale), "kWh"
	case "power factor":
		if f.Period == "" && !c.sel.Empty() {
			sel = c.sel
		}
		pf, _ := b.factor(b.i, factorQuestion{c: c, sel: sel, fallback: decimal.New(1, -4)})
		return pf.Decimal, f.Number, ""
	case "agreed":
		return b.agreed(c, f.Limit.Amount.Unit, at).Decimal, f.Limit.Amount.Value, f.Limit.Amount.Unit
	case "amount":
		sum := decimal.Zero
		for _, i := range c.amounts {
			for _, l := range b.lines[i] {
				sum = sum.Add(l.Amount)
			}
		}
		return sum, f.Number, b.t.Currency.Value.Code
	case "hours of use":
		if f.Months > 0 {
			d := &b.t.charges[b.t.withID(f.Of)[0]]
			var e, sum decimal.Decimal
			for _, j := range b.monthsBack(d, f.Months) {
				e = e.Add(b.meter(j, Metered{What: "energy", Slots: sel}).Shift(-3))
				sum = sum.Add(b.ownDemandOf(j, d).v.Decimal)
			}
			if !sum.IsPositive() {
				return decimal.Zero, f.Number, "h"
			}
			return e.DivRound(sum, 6), f.Number, "h"
		}
		_, d := b.billedOf(b.t.withID(f.Of))
		e := b.meter(b.i, Metered{What: "energy", Slots: sel}).Shift(-3)
		if !d.IsPositive() {
			return decimal.Zero, f.Number, "h"
		}
		return e.DivRound(d.Decimal, 6), f.Number, "h"
	}
	d := c
	if f.Of != "" {
		d = &b.t.charges[b.t.withID(f.Of)[0]]
	}
	high := b.ownDemandOf(b.i, d).v.Decimal
	if f.What == "highest" {
		for _, p := range b.pastDemands(d, f.Months-1, "", b.i) {
			high = decimal.Max(high, p.v.Decimal)
		}
	}
	limit, _ := b.limit(c, f.Limit, d.unit, b.i)
	return high, limit.Decimal, d.unit
}

// monthsBack lists the periods of so many months up to this one in which a charge
// occurs. Months before the first are the same months of this year where use is
// taken to be steady, and else not known.
func (b *pricing) monthsBack(c *charge, months int) []int {
	first := addMonths(b.periods[b.i].From, 1-months)
	var list []int
	assumed := false
	for j, p := range b.periods {
		switch {
		case !b.occurs(j, c):
		case j <= b.i && p.From.Compare(first) >= 0:
			list = append(list, j)
		case j > b.i && b.o.Steady && p.shifted(-12).From.Compare(first) >= 0:
			list, assumed = append(list, j), true
		}
	}
	if assumed {
		b.note(b.o.Words.S("months before the first bill are taken to be like the same months of this year"))
	} else if len(list) < months {
		b.note(b.o.Words.F("of the %d months of %s that a condition looks at, %d are known", months, c.label(), len(list)))
	}
	return list
}
