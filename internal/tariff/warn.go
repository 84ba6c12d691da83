package tariff

import (
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
)

// Warnings are what is probably, but not surely, wrong with a tariff: no tax
// and no word why, a price a hundred times off, hours whose energy costs
// nothing, no source. They do not keep it from being used.
func (t *Tariff) Warnings() []diag.Fault {
	var w diag.List
	if t.Source == "" {
		w.At(t.Name.Pos, "the tariff does not say where its prices stand", "source: document, edition and page")
	}
	isTax := func(c charge) bool { return c.kind == KindTax }
	if t.TaxNote == "" && !slices.ContainsFunc(t.charges, isTax) {
		w.At(t.Name.Pos, "no charge is a tax", "a charge with tax:, or tax-note: why there is none")
	}
	t.warnPrices(&w)
	t.warnFreeHours(&w)
	return w.Sorted()
}

// dear are currencies in which no supplier sells a kWh above dearest. Rule of
// thumb: retail prices in them lie between 0.02 and 1 a kWh.
var (
	dear    = []string{"EUR", "USD", "GBP", "CHF", "CAD", "AUD", "NZD", "SGD"}
	dearest = decimal.New(2, 0)
	// farApart is the ratio between prices of different hours or blocks from
	// which a slip by two digits is likelier than the price.
	farApart = decimal.New(50, 0)
)

type pricedEnergy struct {
	c     *charge
	block int
	price Price
	perK  decimal.Decimal // per kWh
}

func (t *Tariff) energyPrices() []pricedEnergy {
	var all []pricedEnergy
	for i := range t.charges {
		c := &t.charges[i]
		if c.Energy == nil {
			continue
		}
		prices := []Price{c.Energy.Price}
		if len(c.Energy.Blocks) > 0 {
			prices = nil
			for _, b := range c.Energy.Blocks {
				prices = append(prices, b.Price)
			}
		}
		for n, p := range prices {
			perK := p.Amount
			if p.Per.Of == "MWh" {
				perK = perK.Shift(-3)
			}
			all = append(all, pricedEnergy{c, n, p, perK.Abs()})
		}
	}
	return all
}

func (t *Tariff) warnPrices(w *diag.List) {
	all := t.energyPrices()
	for _, a := range all {
		if slices.Contains(dear, t.Currency.Value.Code) && a.perK.GreaterThan(dearest) {
			w.At(a.price.Pos, fmt.Sprintf("%s %s a kWh is far above what energy costs", a.perK, t.Currency.Value.Code), "a price in whole currency, not in its hundredths")
			continue
		}
		for _, b := range all {
			sameHours := a.c.ID.Value != b.c.ID.Value && !a.c.sel.And(b.c.sel).Empty()
			if sameHours || b.perK.IsZero() || a.perK.LessThan(b.perK.Mul(farApart)) {
				continue
			}
			w.At(a.price.Pos, fmt.Sprintf("price %q is %s times that on line %d", a.price.Text, a.perK.DivRound(b.perK, 0), b.price.Pos.Line), "prices of the same order; a decimal point may have slipped")
			break
		}
	}
}

// warnFreeHours finds time in which no energy charge counts, in a tariff that
// charges energy at all.
func (t *Tariff) warnFreeHours(w *diag.List) {
	var charged SlotSet
	for i := range t.charges {
		if c := &t.charges[i]; c.kind == KindEnergy {
			charged = charged.Or(c.sel)
		}
	}
	if charged.Empty() {
		return
	}
	for i, name := range t.cal.names {
		if !charged.Has(Slot(i)) {
			w.At(t.Name.Pos, fmt.Sprintf("no charge counts the energy of %q", name), "an energy charge for it, with a price of 0 if it is free")
		}
	}
}
