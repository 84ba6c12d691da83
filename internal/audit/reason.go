package audit

import (
	"slices"

	"github.com/shopspring/decimal"

	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/tariff"
)

// reason looks for what would explain that a rebuilt bill differs from the
// printed one, the simplest first. It names one, or says that none was found.
func (r *Result) reason(i int, bill tariff.Bill, difference decimal.Decimal) (string, error) {
	lang := r.Record.Words
	places := r.Record.Bills[i].By.File.Currency.Value.Places
	coin := decimal.New(1, -places)
	if difference.Abs().LessThanOrEqual(coin.Mul(decimal.NewFromInt(int64(len(bill.Lines))))) {
		return lang.S("rounding: lines may be rounded differently"), nil
	}
	for _, try := range []func(int, decimal.Decimal, decimal.Decimal) (string, error){r.tryDemand, r.tryFactor} {
		if text, err := try(i, bill.Total, coin); text != "" || err != nil {
			return text, err
		}
	}
	if text := lineOff(lang, bill, difference, coin); text != "" {
		return text, nil
	}
	if stated := r.Record.Bills[i].Amount.Value.Amount; digits(stated, places) == digits(bill.Total, places) {
		return lang.S("digits of the amount may be exchanged: both have the same"), nil
	}
	return lang.S("no single slip explains it: check the period, the price sheet and the quantities"), nil
}

// digits gives the digits of an amount in order of size.
func digits(d decimal.Decimal, places int32) string {
	b := []byte(d.StringFixed(places))
	slices.Sort(b)
	return string(b)
}

// near reports whether a try meets the printed total, within a coin for each
// few lines that rounding may move.
func near(total, stated, coin decimal.Decimal) bool {
	return total.Sub(stated).Abs().LessThanOrEqual(coin.Mul(decimal.NewFromInt(3)))
}

// tryFactor tries power factors around the bill's own.
func (r *Result) tryFactor(i int, total, coin decimal.Decimal) (string, error) {
	lang := r.Record.Words
	b := r.Record.Bills[i]
	for _, c := range b.By.File.Charges {
		if c.PowerFactor == nil {
			continue
		}
		for step := range 51 {
			pf := quantity.Ratio(1 - float64(step)/100)
			bill, err := r.priceBilled(i, &billedUse{bill: b, pf: &pf})
			if err != nil {
				return "", err
			}
			if near(bill.Total, b.Amount.Value.Amount, coin) && !near(bill.Total, total, coin) {
				return lang.F("a power factor of %.2f explains it: the bill may use another reading of it", float64(pf)), nil
			}
		}
		return "", nil
	}
	return "", nil
}

// tryDemand tries the demands of the other bills, as a ratchet or a misread
// month would have it.
func (r *Result) tryDemand(i int, total, coin decimal.Decimal) (string, error) {
	lang := r.Record.Words
	b := r.Record.Bills[i]
	own := float64(b.Bill.Demand.Value.Value)
	for k, other := range r.Record.Bills {
		if k == i || !other.Bill.Demand.IsSet() || float64(other.Bill.Demand.Value.Value) == own {
			continue
		}
		bill, err := r.priceBilled(i, &billedUse{bill: b, demand: float64(other.Bill.Demand.Value.Value) - own})
		if err != nil {
			return "", err
		}
		if near(bill.Total, b.Amount.Value.Amount, coin) && !near(bill.Total, total, coin) {
			return lang.F("the demand of %s (%s) explains it", other.Label(), other.Bill.Demand.Text), nil
		}
	}
	return "", nil
}

// lineOff looks for a line that was left out or charged twice, with the taxes
// that fall on it.
func lineOff(lang *say.Language, bill tariff.Bill, difference, coin decimal.Decimal) string {
	tax := decimal.Zero
	for _, l := range bill.Lines {
		if l.Kind == tariff.KindTax {
			tax = tax.Add(l.Price)
		}
	}
	for _, l := range bill.Lines {
		if l.Amount.IsZero() {
			continue
		}
		for _, whole := range []decimal.Decimal{l.Amount, l.Amount.Mul(decimal.NewFromInt(1).Add(tax))} {
			switch {
			case near(whole, difference, coin):
				return lang.F("the line %q is left out of the printed total", l.Label)
			case near(whole.Neg(), difference, coin):
				return lang.F("the line %q is charged twice", l.Label)
			}
		}
	}
	return ""
}
