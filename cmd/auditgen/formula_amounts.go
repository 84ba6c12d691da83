package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/economics"
	exact "auditgen/internal/money"
	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

// byHand gives what the symbols of a formula of amounts are; nil for another.
func byHand(f *working.Formula) *economics.ByHand {
	for _, h := range economics.Formulas() {
		if h.Formula == f {
			return &h
		}
	}
	return nil
}

// askedFor says in what a symbol is given.
func askedFor(f *working.Formula, i int) string {
	h := byHand(f)
	switch {
	case h == nil:
		return unitsOf(f.Args[i])
	case h.Args[i] == economics.Amount:
		return "money, such as 1200.50 EUR"
	case h.Args[i] == economics.Energy:
		return unitsOf(quantity.KindOf[quantity.WattHours]())
	}
	return "% or as a plain number"
}

// workAmounts works a formula of amounts out, exactly.
func workAmounts(w io.Writer, h *economics.ByHand, values []string) error {
	currency := ""
	of, err := valuesOf(h.Formula, values, func(i int, text string) (decimal.Decimal, error) {
		switch h.Args[i] {
		case economics.Amount:
			var sum exact.Stated
			if err := sum.UnmarshalText([]byte(text)); err != nil {
				return decimal.Zero, err
			}
			if currency != "" && sum.Currency != currency {
				return decimal.Zero, fmt.Errorf("%q is in another currency than %s", text, currency)
			}
			currency = sum.Currency
			return sum.Amount, nil
		case economics.Energy:
			v, _, err := quantity.KindOf[quantity.WattHours]().Read(text)
			return decimal.NewFromFloat(v).Shift(-3), err
		}
		if percent, ok := strings.CutSuffix(strings.TrimSpace(text), "%"); ok {
			d, err := exact.ParseDecimal(strings.TrimSpace(percent))
			return d.Shift(-2), err
		}
		return exact.ParseDecimal(strings.TrimSpace(text))
	})
	if err != nil {
		return err
	}
	var args []decimal.Decimal
	for _, vs := range of {
		for _, v := range vs {
			args = append(args, v.value)
		}
	}
	if h.Divisor != nil && !h.Divisor(args).IsPositive() {
		return &usageError{fmt.Errorf("%s gives no number for these values; look at their signs and sizes", h.Name)}
	}
	// Factors and quotients have digits without end; money is read to a
	// hundredth of a cent.
	result := h.EvalExact(args...).Round(4)
	text := result.String()
	switch h.Result {
	case economics.Amount:
		if result.Equal(result.Round(2)) {
			text = result.StringFixed(2)
		}
		text += " " + currency
	case economics.Span:
		text += " years"
	case economics.Price:
		text += " " + currency + "/kWh"
	}
	printWorked(w, h.Formula, of, text)
	return nil
}
