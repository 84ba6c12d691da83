package report

import (
	"math"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/audit"
	"auditgen/internal/charts"
	"auditgen/internal/say"
	"auditgen/internal/tariff"
)

// PaySection is the bill of the year, line by line and month by month.
type PaySection struct {
	Section
	Intro    []string
	Caption  string
	Lines    []BillRow
	Total    BillRow
	Range    string
	Figure   *Figure
	Months   []MonthRow
	Sum      MonthRow
	Notes    []string
	Compared *ComparedPart
	Logged   *LoggedPart
	Billed   *BilledPart
	Fitted   *FittedPart
}

// BillRow is a charge over the year.
type BillRow struct {
	Label, Quantity, Unit, Price, Amount, Share, Link string
	Bar                                               *Bar
}

// MonthRow is a month of the year.
type MonthRow struct{ Month, Energy, KW, KVA, PF, Cost string }

func (v *visit) pay() PaySection {
	demand, factor, _ := v.billShares()
	s := PaySection{Section: v.section("pay", v.payHeading(known(v.Cost) && len(v.YearLines) > 0, demand, factor))}
	if len(v.YearLines) == 0 {
		s.Intro = []string{v.S("A bill needs a tariff and a year’s energy. With both, each charge of the tariff stands here with its quantity, price and amount.")}
		return s
	}
	s.Caption = v.F("The bill of %d, rebuilt from the tariff line by line", v.Year)
	if names := v.monthsLogged(); len(names) > 0 {
		s.Intro = append(s.Intro, v.F("Made from the meter’s log: %s. Every other month is what the model expects.", v.list(names)))
		if len(names) == 12 {
			s.Intro = []string{v.S("All twelve months are made from the meter’s log.")}
		}
	}
	v.billRows(&s)
	s.Range = v.span(v.cash, v.Cost)
	if v.hatches() {
		s.Notes = append(s.Notes, v.S("Hatched bars are the charges that depend on how the load is run, not on how much energy is used."))
	}
	s.Figure = v.costFigureByMonth()
	v.monthRows(&s)
	s.Notes = append(s.Notes, v.billNotes()...)
	s.Compared = v.compared()
	s.Logged = v.logged()
	s.Billed = v.billed()
	s.Fitted = v.fitted()
	return s
}

// billShares are the shares of the bill before taxes that pay for demand and
// for power factor or reactive energy.
func (v *visit) billShares() (demand, factor, energy float64) {
	var d, f, e, all float64
	for _, l := range v.YearLines {
		switch tariff.Kind(l.Kind) {
		case tariff.KindDemand:
			d += l.Amount
		case tariff.KindReactive, tariff.KindPowerFactor:
			f += l.Amount
		case tariff.KindEnergy:
			e += l.Amount
		case tariff.KindTax, tariff.KindRounding:
			continue
		}
		all += l.Amount
	}
	if all <= 0 {
		return 0, 0, 0
	}
	return d / all, f / all, e / all
}

func runDependent(kind string) bool {
	switch tariff.Kind(kind) {
	case tariff.KindDemand, tariff.KindReactive, tariff.KindPowerFactor:
		return true
	}
	return false
}

func (v *visit) hatches() bool {
	for _, l := range v.YearLines {
		if runDependent(l.Kind) && l.Amount > 0 {
			return true
		}
	}
	return false
}

// billPlace is the last place of the lines: a thousandth of the bill, and not
// below whole units of the currency.
func (v *visit) billPlace() int {
	return max(0, exponent(max(v.Cost.Value, 1))-3)
}

func (v *visit) billRows(s *PaySection) {
	place := v.billPlace()
	amounts, greatest, all := make([]float64, len(v.YearLines)), 0.0, 0.0
	for i, l := range v.YearLines {
		amounts[i] = l.Amount
		greatest = math.Max(greatest, l.Amount)
		all += l.Amount
	}
	shares := make([]float64, len(amounts))
	if all > 0 {
		for i := range amounts {
			shares[i] = amounts[i] / all * 100
		}
	}
	amounts, shares = addUp(amounts, place), addUp(shares, 0)
	total, whole := 0.0, 0.0
	for i, l := range v.YearLines {
		total += amounts[i]
		whole += shares[i]
		s.Lines = append(s.Lines, BillRow{
			Label: v.chargeLabel(l), Quantity: v.quantityOf(l), Unit: v.unit(unitOf(l)), Price: v.priceWithSymbol(l.Price),
			Amount: rounded(v.cash, amounts[i], place), Share: v.shareText(shares[i], l.Amount),
			Bar: plainBar(l.Amount, greatest, runDependent(l.Kind)), Link: "#" + explainAnchor(l.ID),
		})
	}
	s.Total = BillRow{Label: v.S("Total, best estimate"), Amount: rounded(v.cash, total, place), Share: v.withUnit(v.plain(whole, 0), "%")}
}

// chargeLabel is the label of the whole charge, of which a line may be a block.
func (v *visit) chargeLabel(l audit.YearLine) string {
	if t := v.Record.Tariff; t != nil {
		for _, c := range t.Charges {
			if c.ID.Value == l.ID && c.Label != "" {
				return v.typed(c.Label)
			}
		}
	}
	return v.typed(l.Label)
}

// shareText prints a share that was rounded so that its column adds up; one too
// small to show is not printed as nothing.
func (v *visit) shareText(percent, amount float64) string {
	if percent == 0 && amount > 0 {
		return strings.ReplaceAll(v.F("under %s", v.percent(0.01, 0)), " ", nbsp)
	}
	return v.withUnit(v.plain(percent, 0), "%")
}

// priceWithSymbol puts the currency to a price per unit.
func (v *visit) priceWithSymbol(p string) string {
	text := v.priceText(p)
	if number, unit, ok := strings.Cut(text, nbsp+"/"); ok && !strings.HasPrefix(text, minus) {
		return v.perUnit(number, "/"+unit)
	}
	return text
}

// perUnit writes a price for a unit: "€0.31 /kWh", or "0,31 €/kWh" where the
// symbol stands behind.
func (f format) perUnit(number, unit string) string {
	if f.after != "" {
		return f.withSymbol(number) + unit
	}
	return f.withSymbol(number) + nbsp + unit
}

func explainAnchor(id string) string { return "line-" + id }

// quantityOf prints a line's quantity of the year, to five digits.
func (v *visit) quantityOf(l audit.YearLine) string {
	if l.Quantity == "" {
		return ""
	}
	number, _, _ := strings.Cut(l.Quantity, " ")
	d, err := decimal.NewFromString(number)
	if err != nil {
		return l.Quantity
	}
	x := d.InexactFloat64()
	if unitOf(l) == v.Currency {
		return v.cash(roundTo(x, v.billPlace()), 0)
	}
	least := -2
	if x >= 1000 {
		least = 0
	}
	return v.sig(roundTo(x, max(exponent(x)-4, least)), 5)
}

func unitOf(l audit.YearLine) string {
	if l.Quantity == "" {
		return ""
	}
	if l.Unit != "" {
		return l.Unit
	}
	_, unit, _ := strings.Cut(l.Quantity, " ")
	return unit
}

func (f format) priceText(p string) string {
	if rate, step, ok := strings.Cut(p, " per "); ok {
		return f.F("%s per %s", f.typed(rate), f.typed(step))
	}
	number, unit, ok := strings.Cut(p, " /")
	if !ok {
		return f.typed(p)
	}
	return f.typed(number) + nbsp + "/" + f.unit(unit)
}

// chargePrice writes a price as a tariff states it, with its currency, which a
// file states once for all its prices.
func (f format) chargePrice(p string) string {
	number, unit, ok := strings.Cut(p, " /")
	if !ok || strings.Contains(p, " per ") {
		return f.priceText(p)
	}
	return f.perUnit(f.typed(number), "/"+f.unit(unit))
}

// payGroups are the layers of the monthly chart, from the foot.
var payGroups = []struct {
	name  string
	kinds []tariff.Kind
}{
	{say.Key("Energy"), []tariff.Kind{tariff.KindEnergy}},
	{say.Key("Demand"), []tariff.Kind{tariff.KindDemand}},
	{say.Key("Power factor"), []tariff.Kind{tariff.KindReactive, tariff.KindPowerFactor}},
	{say.Key("Fixed"), []tariff.Kind{tariff.KindFixed, tariff.KindMinimum}},
	{say.Key("Additions"), []tariff.Kind{tariff.KindPercent, tariff.KindRounding}},
	{say.Key("Taxes"), []tariff.Kind{tariff.KindTax}},
}

func groupOf(k tariff.Kind) int {
	for i, g := range payGroups {
		for _, kind := range g.kinds {
			if kind == k {
				return i
			}
		}
	}
	return len(payGroups) - 2
}

func (v *visit) costFigureByMonth() *Figure {
	if len(v.Bills) == 0 {
		return nil
	}
	sums := make([][]float64, len(payGroups))
	for i := range sums {
		sums[i] = make([]float64, len(v.Bills))
	}
	c := charts.StackedBars{Unit: v.F("%s a month", v.symbol), Format: v.axis}
	high, low := 0, 0
	for m, b := range v.Bills {
		c.Categories = append(c.Categories, v.billMonth(b))
		for _, l := range b.Lines {
			sums[groupOf(l.Kind)][m] += l.Amount.InexactFloat64()
		}
		if b.Total.GreaterThan(v.Bills[high].Total) {
			high = m
		}
		if b.Total.LessThan(v.Bills[low].Total) {
			low = m
		}
	}
	reductions := false
	for i, g := range payGroups {
		total := 0.0
		for m := range sums[i] {
			if sums[i][m] < 0 {
				reductions, sums[i][m] = true, 0
			}
			total += sums[i][m]
		}
		if total > 0 {
			c.Series = append(c.Series, charts.Series{Name: v.S(g.name), Values: sums[i]})
		}
	}
	if len(c.Series) == 0 {
		return nil
	}
	message := capital(v.F("%s costs most and %s least", v.billMonthName(v.Bills[high]), v.billMonthName(v.Bills[low])))
	if v.Bills[high].Total.Equal(v.Bills[low].Total) {
		message = v.S("Every month costs the same")
	}
	caption := v.F("%s: the cost of each month by kind of charge", message)
	if reductions {
		caption = v.F("%s: the cost of each month by kind of charge; reductions are not drawn", message)
	}
	c.Text = charts.Text{Title: message, Description: v.F("Cost of each month by kind of charge, from %s to %s. The table below has the totals.",
		v.cash(v.Bills[low].Total.InexactFloat64(), 0), v.cash(v.Bills[high].Total.InexactFloat64(), 0))}
	return v.figure("chart-pay", caption, c)
}

func (f format) billMonth(b tariff.Bill) string {
	if m := int(b.Period.From.Month); m >= 1 && m <= 12 {
		return f.monthShort(m - 1)
	}
	return b.Period.String()
}

func (f format) billMonthName(b tariff.Bill) string {
	if m := int(b.Period.From.Month); m >= 1 && m <= 12 {
		return f.monthName(m - 1)
	}
	return b.Period.String()
}

// monthRows fills the table of months. Energy and cost add up as printed; the
// last place is the one that the least known month allows.
func (v *visit) monthRows(s *PaySection) {
	if len(v.Months) == 0 {
		return
	}
	energies, costs := make([]float64, len(v.Months)), make([]float64, len(v.Months))
	ePlace, cPlace := math.MinInt, math.MinInt
	for i, m := range v.Months {
		energies[i], costs[i] = m.Energy.Value, m.Cost.Value
		ePlace, cPlace = max(ePlace, placeOf(m.Energy)), max(cPlace, placeOf(m.Cost))
	}
	energies, costs = addUp(energies, ePlace), addUp(costs, cPlace)
	eSum, cSum := 0.0, 0.0
	for i, m := range v.Months {
		eSum += energies[i]
		cSum += costs[i]
		row := MonthRow{Month: v.monthWords(m), Energy: rounded(v.plain, energies[i], ePlace), PF: v.valueText(m.PF, 1, 2)}
		if known(m.PeakKW) {
			row.KW = best(v.plain, m.PeakKW)
		}
		if known(m.PeakKVA) {
			row.KVA = best(v.plain, m.PeakKVA)
		}
		if known(m.Cost) {
			row.Cost = rounded(v.cash, costs[i], cPlace)
		}
		s.Months = append(s.Months, row)
	}
	s.Sum = MonthRow{Month: v.S("Year"), Energy: rounded(v.plain, eSum, ePlace)}
	if known(v.Cost) {
		s.Sum.Cost = rounded(v.cash, cSum, cPlace)
	}
}

// monthWords names a month, and says where its figures are logged.
func (f format) monthWords(m audit.Month) string {
	if m.Logged() {
		return f.F("%s (logged)", f.monthName(m.Month))
	}
	return f.monthName(m.Month)
}

func (v *visit) billNotes() []string {
	var out []string
	seen := map[string]bool{}
	for _, b := range v.Bills {
		for _, n := range b.Notes {
			if !seen[n] {
				seen[n] = true
				out = append(out, v.sentence(capital(n)))
			}
		}
	}
	return out
}
