package export

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"auditgen/internal/assess"
	"auditgen/internal/audit"
	"auditgen/internal/money"
	"auditgen/internal/say"
	"auditgen/internal/tariff"
)

// sheetNames are the names of the workbook's sheets in a language.
func sheetNames(lang *say.Language) (year, prices, bill string) {
	return lang.S("Year"), lang.S("Prices"), lang.S("Bill")
}

// Workbook gives the year's bills as a workbook with live formulas: prices stand
// once on their own sheet, each amount is quantity times price, rounded as the
// tariff rounds, a share of other lines is a share of their cells, and the totals
// are sums. Quantities are those of the assessment; they do not move. A person
// reads it, so that it speaks the site's language.
func Workbook(a *assess.Assessment) ([]byte, error) {
	b := &book{File: excelize.NewFile(), a: a, lang: a.Record.Words, prices: map[string]string{}}
	b.yearSheet, b.priceSheet, b.billSheet = sheetNames(b.lang)
	defer b.Close()
	for _, step := range []func() error{b.sheets, b.priceRows, b.billRows, b.yearRows} {
		if err := step(); err != nil {
			return nil, fmt.Errorf("export: workbook: %w", err)
		}
	}
	out, err := b.WriteToBuffer()
	if err != nil {
		return nil, fmt.Errorf("export: workbook: %w", err)
	}
	return out.Bytes(), nil
}

// book is a workbook that is being written.
type book struct {
	*excelize.File
	a      *assess.Assessment
	lang   *say.Language
	prices map[string]string // cells of the prices, by the id of their step
	totals []string          // cells of the bills' totals

	yearSheet, priceSheet, billSheet string

	head, price, share, number, amount, total int // styles
}

func (b *book) sheets() error {
	date := b.a.Record.Visit.Date.Value.String() + "T00:00:00Z"
	err := b.SetDocProps(&excelize.DocProperties{Title: b.lang.F("Expected bills of %s", b.a.Record.Site.Client.Value), Creator: b.a.Record.Provider.Name.Value, LastModifiedBy: b.a.Record.Provider.Name.Value, Created: date, Modified: date})
	if err != nil {
		return err
	}
	if err := b.SetSheetName("Sheet1", b.yearSheet); err != nil {
		return err
	}
	for _, name := range []string{b.priceSheet, b.billSheet} {
		if _, err := b.NewSheet(name); err != nil {
			return err
		}
	}
	money := "#,##0." + strings.Repeat("0", int(b.places()))
	money = strings.TrimSuffix(money, ".")
	line := []excelize.Border{{Type: "bottom", Color: "1B1E21", Style: 1}}
	above := []excelize.Border{{Type: "top", Color: "1B1E21", Style: 1}}
	input := excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"FFF4D6"}}
	for _, s := range []struct {
		id    *int
		style excelize.Style
	}{
		{&b.head, excelize.Style{Font: &excelize.Font{Bold: true}, Border: line, Alignment: &excelize.Alignment{WrapText: true, Vertical: "bottom"}}},
		{&b.price, excelize.Style{Fill: input, CustomNumFmt: ptr("#,##0.00#####")}},
		{&b.share, excelize.Style{Fill: input, CustomNumFmt: ptr("0.0####%")}},
		{&b.number, excelize.Style{CustomNumFmt: ptr("#,##0.###")}},
		{&b.amount, excelize.Style{CustomNumFmt: &money}},
		{&b.total, excelize.Style{Font: &excelize.Font{Bold: true}, Border: above, CustomNumFmt: &money}},
	} {
		var err error
		if *s.id, err = b.NewStyle(&s.style); err != nil {
			return err
		}
	}
	return nil
}

func ptr[T any](v T) *T { return &v }

func (b *book) places() int32 { return b.a.Record.Tariff.File.Currency.Value.Places }

// put writes a row of cells from column A on, each with its style.
func (b *book) put(sheet string, row int, cells ...cell) error {
	for i, c := range cells {
		name, err := excelize.CoordinatesToCellName(i+1, row)
		if err != nil {
			return err
		}
		switch v := c.value.(type) {
		case string:
			err = b.SetCellStr(sheet, name, v)
		case decimal.Decimal:
			err = b.SetCellFloat(sheet, name, v.InexactFloat64(), -1, 64)
		}
		if err == nil && c.formula != "" {
			err = b.SetCellFormula(sheet, name, c.formula)
		}
		if err == nil && c.style != 0 {
			err = b.SetCellStyle(sheet, name, name, c.style)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// cell is a text or an exact number; a formula keeps the number as what it came
// to when the workbook was written.
type cell struct {
	value   any
	formula string
	style   int
}

func (b *book) heads(sheet string, row int, widths []float64, names ...string) error {
	cells := make([]cell, len(names))
	for i, n := range names {
		cells[i] = cell{value: n, style: b.head}
		column, err := excelize.ColumnNumberToName(i + 1)
		if err != nil {
			return err
		}
		if err := b.SetColWidth(sheet, column, column, widths[i]); err != nil {
			return err
		}
	}
	if err := b.SetPanes(sheet, &excelize.Panes{Freeze: true, YSplit: row, TopLeftCell: fmt.Sprintf("A%d", row+1), ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	return b.put(sheet, row, cells...)
}

// priceRows lists each typed price once, in order of first use.
func (b *book) priceRows() error {
	if err := b.heads(b.priceSheet, 1, []float64{44, 14, 16, 44}, b.lang.S("Charge"), b.lang.S("Price"), b.lang.S("Unit"), b.lang.S("Typed at")); err != nil {
		return err
	}
	row := 2
	for i := range b.a.Bills {
		bill := &b.a.Bills[i]
		for _, l := range bill.Lines {
			_, id, _ := bill.Steps(audit.BillPrefix, l)
			if l.Typed == "" || b.prices[id] != "" {
				continue
			}
			style, unit := b.price, b.a.Currency+" "+l.PriceUnit
			if isShare(l) {
				style, unit = b.share, b.lang.S("of other charges")
			}
			if err := b.put(b.priceSheet, row, cell{value: l.Label}, cell{value: l.Price, style: style}, cell{value: unit}, cell{value: place(l.At)}); err != nil {
				return err
			}
			b.prices[id] = fmt.Sprintf("'%s'!$B$%d", b.priceSheet, row)
			row++
		}
	}
	return nil
}

// isShare tells a share of other lines, whose quantity is money.
func isShare(l tariff.Line) bool { return l.PriceUnit == "of "+l.Unit }

func (b *book) billRows() error {
	if err := b.heads(b.billSheet, 1, []float64{18, 44, 15, 12, 14, 15}, b.lang.S("Month"), b.lang.S("Charge"), b.lang.S("Quantity"), b.lang.S("Unit"), b.lang.S("Price"), b.lang.F("Amount, %s", b.a.Currency)); err != nil {
		return err
	}
	row := 2
	for i := range b.a.Bills {
		bill := &b.a.Bills[i]
		first := row
		cells := map[string]string{} // cells of the amounts, by the id of their step
		for k, l := range bill.Lines {
			_, _, amount := bill.Steps(audit.BillPrefix, l)
			cells[amount] = fmt.Sprintf("F%d", first+k)
		}
		for _, l := range bill.Lines {
			quantity, id, _ := bill.Steps(audit.BillPrefix, l)
			price := cell{value: l.Price, formula: b.prices[id], style: b.number}
			if isShare(l) {
				price.style = b.share
			} else if price.formula != "" {
				price.style = b.price
			}
			if err := b.put(b.billSheet, row,
				cell{value: bill.Period.In(b.lang)}, cell{value: l.Label},
				cell{value: l.Quantity, formula: b.sumOf(bill, l, quantity, cells), style: b.number}, cell{value: l.Unit},
				price, cell{value: l.Amount, formula: rounded(fmt.Sprintf("C%d*E%d", row, row), l.Rounding), style: b.amount}); err != nil {
				return err
			}
			row++
		}
		if err := b.put(b.billSheet, row, cell{value: bill.Period.In(b.lang), style: b.total}, cell{value: b.lang.S("Total"), style: b.total}, cell{style: b.total}, cell{style: b.total}, cell{style: b.total},
			cell{value: bill.Total, formula: fmt.Sprintf("SUM(F%d:F%d)", first, row-1), style: b.total}); err != nil {
			return err
		}
		b.totals = append(b.totals, fmt.Sprintf("'%s'!$F$%d", b.billSheet, row))
		row += 2
	}
	return nil
}

// sumOf is the formula of a quantity that is the sum of other lines' amounts;
// "" where the quantity is anything else.
func (b *book) sumOf(bill *tariff.Bill, l tariff.Line, quantity string, cells map[string]string) string {
	if !isShare(l) {
		return ""
	}
	from := []string{quantity}
	if step, ok := b.a.Sheet.Get(quantity); ok && cells[quantity] == "" {
		from = step.From
	}
	sum, names := decimal.Zero, []string{}
	for _, id := range from {
		step, ok := b.a.Sheet.Get(id)
		if !ok || cells[id] == "" || step.Exact == nil {
			return ""
		}
		sum, names = sum.Add(*step.Exact), append(names, cells[id])
	}
	if !sum.Equal(l.Quantity) {
		return "" // more than a sum: a floor, a cap
	}
	return "SUM(" + strings.Join(names, ",") + ")"
}

// rounded is a formula that rounds as a line of the tariff does.
func rounded(formula string, by tariff.Step) string {
	size := by.Size.String()
	of := formula
	if size != "1" {
		of = "(" + formula + ")/" + size
	}
	back := "*" + size
	if size == "1" {
		back = ""
	}
	exponent := by.Size.Exponent()
	power := by.Size.Equal(decimal.New(1, exponent)) && exponent <= 0
	switch {
	case by.Way == money.HalfUp && power:
		return fmt.Sprintf("ROUND(%s,%d)", formula, -exponent)
	case by.Way == money.HalfUp:
		return fmt.Sprintf("ROUND(%s,0)%s", of, back)
	case by.Way == money.Cut:
		return fmt.Sprintf("ROUNDDOWN(%s,0)%s", of, back)
	case by.Way == money.Up:
		return fmt.Sprintf("ROUNDUP(%s,0)%s", of, back)
	}
	// To the nearest even: where exactly half is left, half of it is rounded.
	return fmt.Sprintf("IF(ROUND(ABS(%[1]s-TRUNC(%[1]s)),9)=0.5,2*ROUND((%[1]s)/2,0),ROUND(%[1]s,0))%[2]s", of, back)
}

func (b *book) yearRows() error {
	notes := []string{
		b.lang.F("Expected bills of %s, %d, tariff: %s", b.a.Record.Site.Client.Value, b.a.Year, b.a.Record.Tariff.Name.Value),
		b.lang.F("Change a price on the sheet %s, and the totals follow. Quantities are those of the assessment and stay.", b.priceSheet),
		b.lang.F("A rate that was worked out for a month, such as that of low power factor, stands with its line on the sheet %s.", b.billSheet),
	}
	for i, n := range notes {
		if err := b.put(b.yearSheet, i+1, cell{value: n}); err != nil {
			return err
		}
	}
	head := len(notes) + 2
	if err := b.heads(b.yearSheet, head, []float64{18, 18}, b.lang.S("Month"), b.lang.F("Total, %s", b.a.Currency)); err != nil {
		return err
	}
	sum, row := decimal.Zero, head+1
	for i, bill := range b.a.Bills {
		if err := b.put(b.yearSheet, row, cell{value: bill.Period.In(b.lang)}, cell{value: bill.Total, formula: b.totals[i], style: b.amount}); err != nil {
			return err
		}
		sum = sum.Add(bill.Total)
		row++
	}
	return b.put(b.yearSheet, row, cell{value: b.lang.S("Year"), style: b.total}, cell{value: sum, formula: fmt.Sprintf("SUM(B%d:B%d)", head+1, row-1), style: b.total})
}
