package audit

import (
	"fmt"
	"math"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/money"
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
	r, s := y.result, y.result.Sheet
	tariff.Record(s, BillPrefix, r.Bills, func(p tariff.Period, m tariff.Metered) string {
		return y.meteredStep(y.base, "", int(p.From.Month)-1, m)
	})
	totals := make([]string, len(r.Bills))
	byLine := map[string][]string{}
	for i := range r.Bills {
		b := &r.Bills[i]
		totals[i] = b.TotalStep(BillPrefix)
		r.Months[i].Cost = y.interval(y.layout.costs+i, r.Currency, totals[i], 0)
		for _, l := range b.Lines {
			_, _, amount := b.Steps(BillPrefix, l)
			byLine[l.ID] = append(byLine[l.ID], amount)
		}
	}
	s.ApplyExact(sumMoneyF, "year.cost", "cost of the year", r.Currency, totals...)
	r.Cost = y.interval(y.layout.cost, r.Currency, "year.cost", 0)
	for k, id := range y.layout.lineKeys {
		r.YearLines = append(r.YearLines, y.yearLine(k, id, byLine[id]))
	}
}

// BillPrefix begins the ids of the steps of the expected bills.
const BillPrefix = "bills"

// meteredStep gives the step of what the meter is expected to show, in the
// periods of the evaluation's tariff; under tells those of other tariffs apart.
func (y *yearPass) meteredStep(e *evaluation, under string, i int, m tariff.Metered) string {
	s, u := y.result.Sheet, e.use(i)
	id := under + monthID(i) + "metered." + slug(m.What)
	words := m.What
	slots := slotNames(e.model.tariff, m.Slots)
	if slots != "" {
		id += "." + slug(slots)
		words += " in " + slots
	}
	if m.What == "demand" {
		id += fmt.Sprintf(".%s.%d", slug(string(m.Unit)), m.Window)
		words = fmt.Sprintf("highest %s over %d minutes", m.Unit, m.Window) + strings.TrimPrefix(words, "demand")
	}
	if _, ok := s.Get(id); ok {
		return id
	}
	if e.logs[i] != nil {
		return y.loggedMetered(id, words, i, m, u)
	}
	st := working.Step{ID: id, Label: words + ", " + monthName(i), Kind: working.Modelled, Unit: m.Base(),
		Reason: "the part of the month's expected use that falls into these hours"}
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
	r, s := y.result, y.result.Sheet
	total := s.ApplyExact(sumMoneyF, "year.lines."+id, "year's sum of "+id, r.Currency, steps...)
	line := YearLine{ID: id, Exact: total.StringFixed(r.Record.Tariff.File.Currency.Value.Places), Amount: total.InexactFloat64(), Step: "year.lines." + id}
	line.Interval = y.interval(y.layout.lines+k, r.Currency, line.Step, 0)
	sum, same := decimal.Zero, true
	for _, b := range r.Bills {
		for _, l := range b.Lines {
			if l.ID != id {
				continue
			}
			if line.Label == "" {
				line.Label, line.Kind, line.Unit, line.Price, line.At = y.chargeLabel(l), string(l.Kind), l.Unit, l.PriceText(), l.At
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

// chargeLabel is the words of a charge for all its blocks together.
func (y *yearPass) chargeLabel(l tariff.Line) string {
	for _, c := range y.rec.Tariff.File.Charges {
		if c.ID.Value == l.ID && c.Label != "" {
			return c.Label
		}
	}
	return l.Label
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

// useCosts prices the year without each use in turn: what the bill would fall
// by. It is not a share of the bill; the shares need not add up to it.
func (y *yearPass) useCosts() error {
	r := y.result
	e, err := r.model.newEvaluation()
	if err != nil {
		return err
	}
	with, err := e.total()
	if err != nil {
		return err
	}
	for i := range r.Uses {
		if err := e.set(nil, func(load int) bool { return y.useOf[load] != i }); err != nil {
			return err
		}
		without, err := e.total()
		if err != nil {
			return err
		}
		cost := with - without
		r.Uses[i].Cost = Interval{Value: cost, Low: cost, High: cost, Unit: r.Currency, Step: r.Sheet.Put(working.Step{
			ID: "uses." + slug(r.Uses[i].Name) + ".cost", Label: "what the bill would fall by without " + r.Uses[i].Name, Kind: working.Modelled, Value: cost, Unit: r.Currency,
			Reason: "the year priced again without these loads", From: []string{"year.cost", r.Uses[i].Energy.Step},
		})}
	}
	return nil
}

// total is the year's cost, for differences.
func (e *evaluation) total() (float64, error) {
	bills, err := e.bills()
	if err != nil {
		return 0, err
	}
	return total(bills).InexactFloat64(), nil
}

// CostOfPowerFactor prices the year again with all reactive power brought down
// so that no month's power factor is below the target, and gives what the bill
// would fall by, in the tariff's currency. It is zero when no month is below.
func (r *Result) CostOfPowerFactor(target float64) (float64, error) {
	worst := 1.0
	for _, m := range r.Months {
		if m.PF.Known() {
			worst = min(worst, m.PF.V)
		}
	}
	if worst >= target || worst <= 0 {
		return 0, nil
	}
	e, err := r.priced.newEvaluation()
	if err != nil {
		return 0, err
	}
	if err := e.setReactive(math.Tan(math.Acos(target)) / math.Tan(math.Acos(worst))); err != nil {
		return 0, err
	}
	with, err := e.total()
	return r.Cost.Value - with, err
}

// LowPowerFactor is CostOfPowerFactor with its interval and its step. The
// interval is the bill's in proportion: what is charged as a share of other
// charges is as unsure as they are.
func (r *Result) LowPowerFactor(target float64) (Interval, error) {
	cost, err := r.CostOfPowerFactor(target)
	if err != nil {
		return Interval{}, err
	}
	half := 0.0
	if r.Cost.Value != 0 {
		half = math.Abs(cost) * r.Cost.Half() / r.Cost.Value
	}
	const id = "year.low-power-factor"
	if _, ok := r.Sheet.Get(id); !ok {
		from := []string{r.Cost.Step}
		for _, m := range r.Months {
			if m.PF.Known() {
				from = append(from, m.PF.Step)
			}
		}
		r.Sheet.Put(working.Step{ID: id, Label: fmt.Sprintf("what the bill would fall by at a power factor of %.2f", target), Kind: working.Modelled, Value: cost, Unit: r.Currency, From: from,
			Reason: fmt.Sprintf("the year priced again with all reactive power brought down in one proportion until no month is below %.2f; the interval is the bill's in proportion", target)})
	}
	return Interval{Value: cost, Low: cost - half, High: cost + half, Unit: r.Currency, Step: id}, nil
}
