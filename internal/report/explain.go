package report

import (
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/audit"
	"auditgen/internal/tariff"
)

// Explanation is how one charge came to be.
type Explanation struct {
	ID            string
	Label, Amount string
	Sentences     []string
	Months        []LineMonth
	Working, At   string
}

// LineMonth is one month of a charge.
type LineMonth struct {
	Month, Quantity, Price, Amount string
	from                           string
}

// add appends a month, or lengthens the row before it when that says the same.
func (e *Explanation) add(m LineMonth) {
	m.from = m.Month
	if n := len(e.Months); n > 0 {
		last := &e.Months[n-1]
		if last.Quantity == m.Quantity && last.Price == m.Price && last.Amount == m.Amount && last.Month != m.Month {
			last.Month = last.from + " to " + m.Month + ", each"
			return
		}
	}
	e.Months = append(e.Months, m)
}

// explain gathers what the bills say of a line over the months.
func (v *visit) explain(l audit.YearLine) Explanation {
	e := Explanation{ID: explainAnchor(l.ID), Label: v.chargeLabel(l), Working: v.link(l.Step), At: at(l.At), Amount: l.Exact}
	if d, err := decimal.NewFromString(l.Exact); err == nil {
		e.Amount = v.amount(d)
	}
	seen := map[string]bool{}
	note, first := "", ""
	for _, b := range v.Bills {
		for _, bl := range b.Lines {
			if bl.Key() != l.ID && bl.ID != l.ID {
				continue
			}
			for _, h := range bl.How {
				if len(e.Months) == 0 && !seen[h] {
					seen[h] = true
					e.Sentences = append(e.Sentences, sentence(h))
				}
			}
			note = bl.Note
			if first == "" {
				first = billMonthName(b)
			}
			e.add(LineMonth{Month: billMonthName(b), Quantity: v.lineQuantity(bl), Price: v.linePrice(bl), Amount: v.amount(bl.Amount)})
		}
	}
	if len(e.Sentences) > 0 && first != "" {
		e.Sentences[0] = first + ", for example: " + e.Sentences[0]
	}
	if note != "" {
		e.Sentences = append(e.Sentences, sentence(capital(note)))
	}
	return e
}

func (v *visit) lineQuantity(l tariff.Line) string {
	if l.Unit == v.Currency {
		return v.amount(l.Quantity)
	}
	return withUnit(v.exact(l.Quantity), l.Unit)
}

func (v *visit) linePrice(l tariff.Line) string {
	if strings.HasPrefix(l.PriceUnit, "/") {
		return v.withSymbol(v.exact(l.Price)) + nbsp + l.PriceUnit
	}
	return priceText(l.PriceText())
}
