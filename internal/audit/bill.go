package audit

import (
	"fmt"
	"math"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/money"
	"auditgen/internal/say"
	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

var sumMoneyF = func() *working.Formula {
	f := working.DefExact("sum of amounts over the year", "B = sum(A)", "arithmetic of a bill", []string{"A"}, func(x []decimal.Decimal) decimal.Decimal { return money.Sum(x...) })
	f.Series = true
	return f
}()

// billSteps records the bills, line by line, and the year's sums.
func (y *yearPass) billSteps() {
	lang := y.rec.Words
	r, s := y.result, y.result.Sheet
	tariff.Record(s, BillPrefix, r.Bills, func(p tariff.Period, m tariff.Metered) string {
		return y.meteredStep(y.base, "", int(p.From.Month)-1, m)
	})
	totals := make([]string, len(r.Bills))
	byLine := map[string][]string{}
	for i := range r.Bills {
		b := &r.Bills[i]
		totals[i] = b.TotalStep(BillPrefix)
		r.Months[i].Cost = y.interval(y.layout.costs+i, r.Currency, totals[i])
		for _, l := range b.Lines {
			_, _, amount := b.Steps(BillPrefix, l)
			byLine[l.ID] = append(byLine[l.ID], amount)
		}
	}
	s.ApplyExact(sumMoneyF, "year.cost", lang.S("cost of the year"), r.Currency, totals...)
	r.Cost = y.interval(y.layout.cost, r.Currency, "year.cost")
	y.ends(r.Cost, y.layout.cost, lang.S("cost of the year"), 1)
	for k, id := range y.layout.lineKeys {
		r.YearLines = append(r.YearLines, y.yearLine(k, id, byLine[id]))
	}
}

// BillPrefix begins the ids of the steps of the expected bills.
const BillPrefix = "bills"

// meteredStep gives the step of what the meter is expected to show, in the
// periods of the evaluation's tariff; under tells those of other tariffs apart.
func (y *yearPass) meteredStep(e *evaluation, under string, i int, m tariff.Metered) string {
	lang := y.rec.Words
	s, u := y.result.Sheet, e.use(i)
	id := under + monthID(i) + "metered." + slug(m.What)
	slots := slotNames(e.model.tariff, m.Slots)
	if slots != "" {
		id += "." + slug(slots)
	}
	if m.What == "demand" {
		id += fmt.Sprintf(".%s.%d", slug(string(m.Unit)), m.Window)
	}
	label := meteredWords(lang, m, slots, MonthName(lang, i))
	if _, ok := s.Get(id); ok {
		return id
	}
	if e.logs[i] != nil {
		return y.loggedMetered(id, label, i, m, u)
	}
	st := working.Step{ID: id, Label: label, Kind: working.Modelled, Unit: m.Base(),
		Reason: lang.S("the part of the month's expected use that falls into these hours")}
	switch m.What {
	case "energy":
		st.Value, st.From = float64(u.Energy(m.Slots)), []string{monthID(i) + "energy"}
	case "reactive energy":
		st.Value, st.From = float64(u.Reactive(m.Slots)), []string{monthID(i) + "reactive"}
	default:
		key := "peak-kw"
		if m.Unit == tariff.KVA {
			key = "peak-kva"
		}
		st.Value, st.From = u.Demand(m.Slots, m.Unit, m.Window), []string{monthID(i) + key}
	}
	return s.Put(st)
}

// meteredWords says what a meter is expected to show in a month.
func meteredWords(lang *say.Language, m tariff.Metered, slots, month string) string {
	switch demand := m.What == "demand"; {
	case demand && slots == "":
		return lang.F("highest %s over %d minutes, %s", m.Unit, m.Window, month)
	case demand:
		return lang.F("highest %s over %d minutes in %s, %s", m.Unit, m.Window, slots, month)
	case slots == "":
		return lang.F("%s, %s", lang.S(m.What), month)
	}
	return lang.F("%s in %s, %s", lang.S(m.What), slots, month)
}

// slotNames words a set of slots; all of them need no words.
func slotNames(t *tariff.Tariff, set tariff.SlotSet) string {
	var names []string
	all := true
	for i, name := range t.Slots() {
		if set.Has(tariff.Slot(i)) {
			names = append(names, name)
		} else {
			all = false
		}
	}
	if all {
		return ""
	}
	return strings.Join(names, ", ")
}

func (y *yearPass) yearLine(k int, id string, steps []string) YearLine {
	lang := y.rec.Words
	r, s := y.result, y.result.Sheet
	label := y.lineLabel(id)
	total := s.ApplyExact(sumMoneyF, "year.lines."+id, lang.F("%s, sum of the year", label), r.Currency, steps...)
	line := YearLine{ID: id, Label: label, Exact: total.StringFixed(r.Record.Tariff.File.Currency.Value.Places), Amount: total.InexactFloat64(), Step: "year.lines." + id}
	line.Interval = y.interval(y.layout.lines+k, r.Currency, line.Step)
	sum, same := decimal.Zero, true
	for _, b := range r.Bills {
		for _, l := range b.Lines {
			if l.ID != id {
				continue
			}
			if line.Kind == "" {
				line.Kind, line.Unit, line.Price, line.At = string(l.Kind), l.Unit, l.PriceText(), l.At
			}
			same = same && line.Unit == l.Unit
			if line.Price != l.PriceText() {
				line.Price = ""
			}
			sum = sum.Add(l.Quantity)
		}
	}
	if same && additive(line.Unit) {
		line.Quantity = sum.String()
	}
	return line
}

// lineLabel is the words of a charge for all its blocks together.
func (y *yearPass) lineLabel(id string) string {
	for _, c := range y.rec.Tariff.File.Charges {
		if c.ID.Value == id && c.Label != "" {
			return c.Label
		}
	}
	for _, b := range y.result.Bills {
		for _, l := range b.Lines {
			if l.ID == id {
				return l.Label
			}
		}
	}
	return id
}

// additive tells whether a year's sum of a quantity means anything: energy and
// days add up, a demand or a sum of money that a share falls on does not.
func additive(unit string) bool {
	switch unit {
	case "kWh", "MWh", "kvarh", "days", "months":
		return true
	}
	return false
}

// ValueUses gives each use its cost: what the bill would fall by without it, by
// the year priced again. It is not a share of the bill; the costs need not add up
// to it. Both years of a difference share their draws, so that what they have in
// common does not widen it. Run leaves it out, since it takes as long as the rest.
func (r *Result) ValueUses() error {
	lang := r.Record.Words
	others := make([]*model, len(r.Uses))
	for i := range r.Uses {
		others[i] = r.model.without(func(load int) bool { return r.useOf[load] == i })
	}
	with, err := r.model.total()
	if err != nil {
		return err
	}
	loads, err := r.loadsAlone()
	if err != nil {
		return err
	}
	falls, err := r.fallsBy(loads, usesDraws, others...)
	if err != nil {
		return err
	}
	for i := range r.Uses {
		without, err := others[i].total()
		if err != nil {
			return err
		}
		u := &r.Uses[i]
		cost := with - without
		u.Cost = drawnAbout(cost, falls[i], r.Currency, r.Sheet.Put(working.Step{
			ID: "uses." + slug(u.Name) + ".cost", Label: lang.F("what the bill would fall by without %s", u.Name), Kind: working.Modelled, Value: cost, Unit: r.Currency,
			Reason: lang.S("the year priced again without these loads"), From: []string{"year.cost", u.Energy.Step},
		}))
	}
	return nil
}

// factorOtherwise is the year with all reactive power brought down in one
// proportion, so that no month's power factor is below a target; false when
// none is below it as it is.
func (r *Result) factorOtherwise(target float64) (*model, bool) {
	worst := 1.0
	for _, m := range r.Months {
		if m.PF.Known() {
			worst = min(worst, m.PF.V)
		}
	}
	if worst >= target || worst <= 0 {
		return nil, false
	}
	return r.priced.withReactive(math.Tan(math.Acos(target)) / math.Tan(math.Acos(worst))), true
}

// LowPowerFactor is what the bill would fall by, in the tariff's currency, with
// all reactive power brought down so that no month's power factor is below the
// target. It is zero when no month is below.
func (r *Result) LowPowerFactor(target float64) (Interval, error) {
	lang := r.Record.Words
	const id = "year.low-power-factor"
	fall := sure(0, r.Currency)
	if other, ok := r.factorOtherwise(target); ok {
		with, err := other.total()
		if err != nil {
			return Interval{}, err
		}
		falls, err := r.fallsBy(r.drawn, pairDraws, other)
		if err != nil {
			return Interval{}, err
		}
		fall = drawnAbout(r.Cost.Value-with, falls[0], r.Currency, "")
	}
	fall.Step = id
	if _, ok := r.Sheet.Get(id); !ok {
		from := []string{r.Cost.Step}
		for _, m := range r.Months {
			if m.PF.Known() {
				from = append(from, m.PF.Step)
			}
		}
		r.Sheet.Put(working.Step{ID: id, Label: lang.F("what the bill would fall by at a power factor of %.2f", target), Kind: working.Modelled, Value: fall.Value, Unit: r.Currency, From: from,
			Reason: lang.F("the year priced again with all reactive power brought down in one proportion until no month is below %.2f; both years share their draws", target)})
	}
	return fall, nil
}
