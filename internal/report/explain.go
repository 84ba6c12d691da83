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
type LineMonth struct{ Month, Quantity, Price, Amount string }

// merge makes one row of months that all say the same.
func (f format) merge(months []LineMonth) []LineMonth {
	for _, m := range months {
		if m.Quantity != months[0].Quantity || m.Price != months[0].Price || m.Amount != months[0].Amount {
			return months
		}
	}
	if len(months) < 2 || months[0].Month == months[len(months)-1].Month {
		return months
	}
	one := months[0]
	one.Month = f.F("%s to %s, each", one.Month, months[len(months)-1].Month)
	return []LineMonth{one}
}

// explain gathers what the bills say of a line over the months.
func (v *visit) explain(l audit.YearLine) Explanation {
	e := Explanation{ID: explainAnchor(l.ID), Label: v.chargeLabel(l), Working: v.link(l.Step), At: at(l.At), Amount: l.Exact}
	if d, err := decimal.NewFromString(l.Exact); err == nil {
		e.Amount = v.amount(d)
	}
	seen := map[string]bool{}
	var lines []tariff.Line
	var how []string
	note, first := "", ""
	for _, b := range v.Bills {
		for _, bl := range b.Lines {
			if bl.Key() != l.ID && bl.ID != l.ID {
				continue
			}
			for _, h := range bl.How {
				if len(e.Months) == 0 && !seen[h] {
					seen[h] = true
					how = append(how, v.bare(h))
				}
			}
			note = bl.Note
			if first == "" {
				first = v.billMonthName(b)
			}
			e.Months = append(e.Months, LineMonth{Month: v.billMonthName(b), Price: v.linePrice(bl), Amount: v.amount(bl.Amount)})
			lines = append(lines, bl)
		}
	}
	for i, decimals := 0, decimalsOf(lines); i < len(lines); i++ {
		e.Months[i].Quantity = v.lineQuantity(lines[i], decimals)
	}
	e.Months = v.merge(e.Months)
	if text := strings.Join(how, "; "); text != "" {
		if !strings.HasPrefix(text, first) {
			text = v.F("%s, for example: %s", first, text)
		}
		e.Sentences = []string{ended(capital(text))}
	}
	if note != "" {
		e.Sentences = append(e.Sentences, v.sentence(capital(note)))
	}
	return e
}

// lineQuantity writes a quantity with so many decimals that a column is even.
func (v *visit) lineQuantity(l tariff.Line, decimals int32) string {
	if l.Unit == v.Currency {
		return v.amount(l.Quantity)
	}
	return v.withUnit(v.exactText(l.Quantity.StringFixed(decimals)), v.unit(one(l.Quantity.InexactFloat64(), l.Unit)))
}

// decimalsOf is how many decimals the lines' quantities need.
func decimalsOf(lines []tariff.Line) int32 {
	var most int32
	for _, l := range lines {
		for most < -l.Quantity.Exponent() && !l.Quantity.Equal(l.Quantity.Round(most)) {
			most++
		}
	}
	return most
}

func (v *visit) linePrice(l tariff.Line) string { return v.chargePrice(l.PriceText()) }
