package audit

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/site"
	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

// PricedTariff is a tariff with what it makes of the year.
type PricedTariff struct {
	Name, Supplier string // as the price sheet has them
	File           string // its name in tariffs/
	InForce        bool
	Pos            diag.Pos // where it is listed
	Bills          []tariff.Bill
	Cost           Value           // of the year, in the tariff's currency
	Exact          decimal.Decimal // the same
	Difference     decimal.Decimal // less the cost on the tariff in force
	Change         Interval        // the difference with what can be told of it; no figure for the one in force
	Turns          []Turn          // what would bring it level with the one in force
}

var differenceF = working.DefExact("difference of two tariffs over the year", "D = B - B_0", "cost of the year on the one less cost on the one in force", []string{"B", "B_0"},
	func(x []decimal.Decimal) decimal.Decimal { return x[0].Sub(x[1]) })

// compare prices the year on the alternatives and ranks them.
func (y *yearPass) compare() error {
	r := y.result
	if len(y.rec.Alternatives) == 0 {
		return nil
	}
	inForce := PricedTariff{Name: y.rec.Tariff.File.Name.Value, Supplier: y.rec.Tariff.File.Supplier, File: y.rec.Site.Tariff.Value, InForce: true, Pos: y.rec.Site.Tariff.Pos, Bills: r.Bills,
		Cost: Value{V: r.Cost.Value, Unit: r.Currency, Step: r.Cost.Step, Kind: working.Derived}, Exact: total(r.Bills)}
	r.Tariffs = append(r.Tariffs, inForce)
	for _, a := range y.rec.Alternatives {
		p, err := y.alternative(a, inForce)
		if err != nil {
			return err
		}
		r.Tariffs = append(r.Tariffs, p)
	}
	slices.SortStableFunc(r.Tariffs, func(a, b PricedTariff) int { return a.Exact.Cmp(b.Exact) })
	return nil
}

// alternative prices one tariff on the year's model.
func (y *yearPass) alternative(a site.Alternative, inForce PricedTariff) (PricedTariff, error) {
	out := PricedTariff{Name: a.File.Name.Value, Supplier: a.File.Supplier, File: a.Name, Pos: a.Pos}
	rec := *y.rec
	rec.Tariff = a.Tariff
	other, err := y.result.altered(Alteration{Record: &rec})
	if err != nil {
		return out, y.cannotPrice(a, err)
	}
	other.model.log = y.model.log
	e, err := other.model.newEvaluation()
	if err != nil {
		return out, err
	}
	if out.Bills, err = e.bills(); err != nil {
		return out, y.cannotPrice(a, err)
	}
	y.alternativeSteps(&out, e)
	out.Exact = total(out.Bills)
	out.Difference = out.Exact.Sub(inForce.Exact)
	falls, err := y.result.fallsBy(y.result.drawn, pairDraws, other.model)
	if err != nil {
		return out, err
	}
	less := falls[0].Symmetric
	if falls[0].Deviation > 0 {
		out.Change.Low, out.Change.High = min(out.Change.Value, -less.High), max(out.Change.Value, -less.Low)
	}
	out.Turns, err = y.turns(&out, other.model)
	return out, err
}

// cannotPrice makes a fault of an alternative that the use cannot be priced on.
func (y *yearPass) cannotPrice(a site.Alternative, err error) error {
	y.faults.At(a.Pos, fmt.Sprintf("the tariff %q cannot be priced on this year: %s", a.Name, strings.ReplaceAll(err.Error(), "\n", "; ")), "a tariff for a supply such as this one")
	return nil
}

func (y *yearPass) alternativeSteps(p *PricedTariff, e *evaluation) {
	lang := y.rec.Words
	s := y.result.Sheet
	under := "alternatives." + slug(p.File) + "."
	prefix := under + BillPrefix
	tariff.Record(s, prefix, p.Bills, func(period tariff.Period, m tariff.Metered) string {
		return y.meteredStep(e, under, int(period.From.Month)-1, m)
	})
	totals := make([]string, len(p.Bills))
	for i := range p.Bills {
		totals[i] = p.Bills[i].TotalStep(prefix)
	}
	cost := s.ApplyExact(sumMoneyF, under+"cost", lang.F("cost of the year on %s", p.Name), y.result.Currency, totals...)
	p.Cost = Value{V: cost.InexactFloat64(), Unit: y.result.Currency, Step: under + "cost", Kind: working.Derived}
	difference := s.ApplyExact(differenceF, under+"difference", lang.F("%s against the tariff in force", p.Name), y.result.Currency, p.Cost.Step, y.result.Cost.Step).InexactFloat64()
	p.Change = Interval{Value: difference, Low: difference, High: difference, Unit: y.result.Currency, Step: under + "difference"}
}

// SavingOfTariff is what the year would cost less on another tariff.
func (r *Result) SavingOfTariff(p PricedTariff) Interval {
	lang := r.Record.Words
	id := "alternatives." + slug(p.File) + ".saving"
	if _, ok := r.Sheet.Get(id); !ok {
		r.Sheet.ApplyExact(differenceF, id, lang.F("what the year would cost less on %s", p.Name), r.Currency, r.Cost.Step, p.Cost.Step)
	}
	st, _ := r.Sheet.Get(id)
	return Interval{Value: st.Value, Low: -p.Change.High, High: -p.Change.Low, Unit: r.Currency, Step: id}
}
