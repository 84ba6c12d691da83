package audit

import (
	"fmt"
	"math"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

// Reconciliation holds the estimate and the tariff against the supplier's bills.
type Reconciliation struct {
	Bills       []Billed // oldest first
	Days        int      // that the bills cover
	Energy      float64  // kWh billed in all
	Estimated   Interval // kWh estimated for the same days
	Gap         Value    // estimated less billed, over billed
	Unexplained Value    // kWh billed that no load of the list explains; negative when the list explains more
	Inside      bool     // the billed energy lies within the estimate's interval
	Conditioned *Conditioned
}

// Billed is a bill of the supplier, rebuilt and compared.
type Billed struct {
	Label     string
	From, To  civil.Date // the last day included
	Pos       diag.Pos
	Energy    float64 // kWh billed
	HasEnergy bool
	Estimated Interval // kWh, for the same days of the modelled year
	Gap       Value    // estimated less billed, over billed
	Demand    Value    // W billed
	Expected  Interval // kW, the month's expected highest demand

	Stated     string   // amount on the bill, decimal
	Rebuilt    string   // amount that its tariff makes of its quantities; "" when something is missing
	Difference string   // rebuilt less stated; "" as above
	Agrees     bool     // to the cent
	Missing    []string // keys of bills.yaml without which it cannot be rebuilt
	Reason     string   // the likeliest reason of a difference
	Lines      []BilledLine
	Bill       tariff.Bill
}

// BilledLine is a printed line held against the rebuilt one.
type BilledLine struct {
	ID, Label, Stated, Rebuilt, Difference string
	Agrees                                 bool
	Pos                                    diag.Pos
}

var (
	gapF = working.Def2("gap of an estimate", "g = (E - E_b) / E_b", "estimate less bill, over bill", "E", "E_b",
		func(e, b quantity.WattHours) quantity.Ratio {
			if b == 0 {
				return quantity.Ratio(math.NaN())
			}
			return quantity.Ratio((e - b) / b)
		})
	leftF = working.Def2("unexplained energy", "E_x = E_b - E", "bill less estimate", "E_b", "E",
		func(b, e quantity.WattHours) quantity.WattHours { return b - e })
	partOfMonthF = working.DefN("estimate for the days of a bill", "E = sum(E_k)", "each month's energy by the share of its days in the bill", "E_k",
		func(parts []quantity.WattHours) quantity.WattHours {
			var s quantity.WattHours
			for _, p := range parts {
				s += p
			}
			return s
		})
	shareOfMonthF = working.Def2("part of a month", "E_k = E_m * s", "days of the month in the bill over days of the month", "E_m", "s",
		func(e quantity.WattHours, s quantity.Ratio) quantity.WattHours { return e * quantity.WattHours(s) })
)

// reconcile rebuilds every bill and compares energies and demands. It is nil
// when there are no bills.
func (r *Result) reconcile() (*Reconciliation, error) {
	lang := r.Record.Words
	if len(r.Record.Bills) == 0 {
		return nil, nil
	}
	rec := &Reconciliation{}
	var billed, estimated []working.Num[quantity.WattHours]
	for i, b := range r.Record.Bills {
		out := r.compare(i, b)
		if err := r.rebuild(i, &out); err != nil {
			return nil, err
		}
		rec.Bills = append(rec.Bills, out)
		if !out.HasEnergy {
			continue
		}
		id := billID(b)
		billed = append(billed, stepNum(r.Sheet, id+"energy"))
		estimated = append(estimated, stepNum(r.Sheet, id+"estimated"))
		rec.Days += b.Period.Days()
		rec.Energy += out.Energy
		rec.Estimated.Value += out.Estimated.Value
	}
	if len(billed) == 0 {
		return rec, nil
	}
	sb := partOfMonthF.Apply(r.Sheet, "billed.energy", lang.S("energy of all bills"), "Wh", billed)
	se := partOfMonthF.Apply(r.Sheet, "billed.estimated", lang.S("estimate for the days of all bills"), "Wh", estimated)
	rec.Estimated = Interval{Value: rec.Estimated.Value, Low: rec.Estimated.Value, High: rec.Estimated.Value, Unit: "kWh", Step: se.Step}
	rec.Gap = ratioOf(gapF.Apply(r.Sheet, "billed.gap", lang.S("gap of the estimate against all bills"), "", se, sb))
	rec.Unexplained = derived(leftF.Apply(r.Sheet, "billed.unexplained", lang.S("billed energy that no load explains"), "Wh", sb, se))
	var err error
	rec.Conditioned, err = r.condition(rec)
	rec.Inside = rec.Energy >= rec.Estimated.Low && rec.Energy <= rec.Estimated.High
	return rec, err
}

func stepNum(s *working.Sheet, id string) working.Num[quantity.WattHours] {
	st, _ := s.Get(id)
	return working.Num[quantity.WattHours]{V: quantity.WattHours(st.Value), Step: id}
}

func billID(b site.Billed) string { return "billed." + b.Period.From.String() + "." }

// compare holds the year's estimate against a bill, by the days that the bill
// covers: a bill of another year stands against the same days of the modelled one.
func (r *Result) compare(i int, b site.Billed) Billed {
	lang := r.Record.Words
	out := Billed{Label: b.Label(), From: b.Period.From, To: b.To.Value, Pos: b.Pos, Stated: b.Amount.Value.Amount.String()}
	id := billID(b)
	kwh, ok := b.Total()
	if b.Bill.Demand.IsSet() {
		out.Demand = measured(r.Sheet, id+"demand", lang.F("highest demand of the bill of %s", out.Label), float64(b.Bill.Demand.Value.Value), "W", b.Bill.Demand.Text, b.Bill.Demand.Pos)
		out.Demand.Kind = working.Stated
		out.Expected = r.Months[b.Period.From.Month-1].PeakKW
	}
	if !ok {
		return out
	}
	out.HasEnergy, out.Energy = true, float64(kwh)/1e3
	pos, text := b.Bill.Energy.Pos, b.Bill.Energy.Text
	if !b.Bill.Energy.IsSet() {
		pos, text = b.EnergyBy[0].Pos, lang.S("by period")
	}
	stated := working.Record(r.Sheet, working.Step{ID: id + "energy", Label: lang.F("energy of the bill of %s", out.Label), Kind: working.Stated, Unit: "Wh", Typed: text, Pos: pos}, kwh)
	var parts []working.Num[quantity.WattHours]
	for m := range 12 {
		days := daysOf(b.Period, m)
		if days == 0 {
			continue
		}
		all := civil.DaysIn(r.Year, monthOf(m))
		share := quantity.Ratio(float64(days) / float64(all))
		s := working.Record(r.Sheet, working.Step{ID: fmt.Sprintf("%sdays.%02d", id, m+1), Label: lang.F("share of %s in the bill of %s", MonthName(lang, m), out.Label), Kind: working.Stated, Typed: lang.F("%d of %d days", days, all)}, share)
		parts = append(parts, shareOfMonthF.Apply(r.Sheet, fmt.Sprintf("%spart.%02d", id, m+1), lang.F("part of %s in the bill of %s", MonthName(lang, m), out.Label), "Wh", stepNum(r.Sheet, r.Months[m].Energy.Step), s))
		e := r.Months[m].Energy
		out.Estimated.Value += e.Value * float64(share)
		out.Estimated.Low += e.Low * float64(share)
		out.Estimated.High += e.High * float64(share)
	}
	sum := partOfMonthF.Apply(r.Sheet, id+"estimated", lang.F("estimate for the bill of %s", out.Label), "Wh", parts)
	out.Estimated.Unit, out.Estimated.Step = "kWh", sum.Step
	out.Gap = ratioOf(gapF.Apply(r.Sheet, id+"gap", lang.F("gap of the estimate against the bill of %s", out.Label), "", sum, stated))
	return out
}

// daysOf counts the days of a bill that fall into a calendar month of any year.
func daysOf(p tariff.Period, month int) int {
	n := 0
	for d := p.From; d.Compare(p.To) < 0; d = d.AddDays(1) {
		if int(d.Month)-1 == month {
			n++
		}
	}
	return n
}

// rebuild prices a bill from its own quantities by its own tariff. Ratchets
// look at the demands of the bills before it.
func (r *Result) rebuild(i int, out *Billed) error {
	use := &billedUse{bill: r.Record.Bills[i]}
	bill, err := r.priceBilled(i, use)
	if err != nil {
		return err
	}
	out.Missing = use.missing
	if len(use.missing) > 0 {
		return nil
	}
	out.Bill = bill
	stated := use.bill.Amount.Value.Amount
	difference := bill.Total.Sub(stated)
	places := use.bill.By.File.Currency.Value.Places
	out.Rebuilt, out.Difference = bill.Total.StringFixed(places), difference.StringFixed(places)
	out.Agrees = difference.IsZero()
	out.Lines = billedLines(use.bill, bill)
	if !out.Agrees {
		out.Reason, err = r.reason(i, bill, difference)
	}
	return err
}

// priceBilled prices all bills up to one by the tariff of that one.
func (r *Result) priceBilled(i int, last *billedUse) (tariff.Bill, error) {
	by := r.Record.Bills[i].By
	var periods []tariff.Period
	var uses []tariff.Use
	for _, b := range r.Record.Bills[:i] {
		periods = append(periods, b.Period)
		uses = append(uses, &billedUse{bill: site.Billed{Bill: b.Bill, By: by, Period: b.Period}})
	}
	bills, err := by.PriceYear(append(periods, r.Record.Bills[i].Period), append(uses, tariff.Use(last)), tariff.Options{Words: r.Record.Words, Agreed: r.model.options.Agreed})
	if err != nil {
		return tariff.Bill{}, fmt.Errorf("the bill of %s: %w", r.Record.Bills[i].Label(), err)
	}
	return bills[len(bills)-1], nil
}

func billedLines(b site.Billed, bill tariff.Bill) []BilledLine {
	var lines []BilledLine
	for _, e := range b.Lines {
		rebuilt, label := decimal.Zero, e.Key
		for _, l := range bill.Lines {
			if l.ID == e.Key {
				rebuilt, label = rebuilt.Add(l.Amount), l.Label
			}
		}
		d := rebuilt.Sub(e.Value.Value.Amount)
		places := b.By.File.Currency.Value.Places
		lines = append(lines, BilledLine{ID: e.Key, Label: label, Stated: e.Value.Value.Amount.StringFixed(places), Rebuilt: rebuilt.StringFixed(places), Difference: d.StringFixed(places), Agrees: d.IsZero(), Pos: e.Pos})
	}
	return lines
}
