package audit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/tariff"
	"auditgen/internal/uncertainty"
	"auditgen/internal/working"
)

// Alteration is what is altered in a year.
type Alteration struct {
	// Record is the altered record, a copy with other loads, calendars, supply
	// or tariff; nil is the record as it is. Its year is the result's.
	Record *site.Record
	// Added are machines that no load of a record can say.
	Added []Added
	// Reactive is the share of the loads' reactive power that is left, as a bank
	// that follows the load leaves it; 0 stands for all of it.
	Reactive quantity.Ratio
	// Exact asks for the best estimate alone, without intervals: many times
	// faster.
	Exact bool
}

// Variant is an altered year, held against the year as it is.
type Variant struct {
	Year
	Saved Saved // as it is less altered: positive where the alteration saves
	Lines []VariantLine
}

// Year is a year's figures. Intervals here have no step: whoever puts one on a
// page records it.
type Year struct {
	Months        []YearMonth
	Energy        Interval // kWh taken
	Cost          Interval
	Peak, PeakKVA Interval // the highest of the months, over the tariff's first demand window
	Bills         []tariff.Bill
	Total         decimal.Decimal // of the bills, exact
}

// YearMonth is one month of it.
type YearMonth struct {
	Energy        Interval // kWh taken
	Reactive      Interval // kvarh, lagging less leading
	PeakKW        Interval
	PeakKVA       Interval
	Cost          Interval
	BySlot        []float64 // kWh by slot of the year's tariff
	SumOfAverages float64   // kW
}

// Saved is what an alteration saves. What both years share in doubt falls out
// of it.
type Saved struct {
	Energy        Interval // kWh
	Cost          Interval
	Exact         decimal.Decimal // of the bills: as it is less altered
	Peak, PeakKVA Interval
	Months        []SavedMonth
}

// SavedMonth is what a month saves.
type SavedMonth struct{ Energy, Cost, PeakKW, PeakKVA Interval }

// VariantLine is a charge over the year, as it is and altered. A charge that
// one of the two tariffs does not have is zero there.
type VariantLine struct {
	ID, Label      string
	Before, After  decimal.Decimal
	Saved          decimal.Decimal
	SavedWithDoubt Interval
}

// Alter works an altered year out by the passes of the year as it is, prices it
// by the altered record's tariff, and holds it against the result. Nothing is
// written into the result or its sheet. A record that says the same gives the
// same bills, to the last digit. The error is a diag.Faults where the altered
// record holds something that no pass can work with.
func (r *Result) Alter(a Alteration) (*Variant, error) {
	y, err := r.altered(a)
	if err != nil {
		return nil, err
	}
	after, err := y.model.figures(r.Currency)
	if err != nil {
		return nil, err
	}
	before, err := r.asItIs()
	if err != nil {
		return nil, err
	}
	v := held(before, after, r.Currency)
	if a.Exact {
		return v, nil
	}
	return v, r.drawVariant(y.model, before, after, v)
}

// drawVariant puts intervals on a variant. Both years share their draws, and
// their charges: those of either tariff.
func (r *Result) drawVariant(m *model, before, after *Year, v *Variant) error {
	var keys []string
	for _, l := range v.Lines {
		keys = append(keys, l.ID)
	}
	a, err := r.drawnWith(keys)
	if err != nil {
		return err
	}
	b, err := m.prepared(nil, 0, keys)
	if err != nil {
		return err
	}
	p := newPair(a, b, [2]int{before.peakMonth(), after.peakMonth()})
	res, err := uncertainty.Run(p, r.model.seed(), uncertainty.Options{Draws: drawsOf(pairDraws, a, b), Coverage: coverage})
	if err != nil {
		return b.failed(a.failed(err))
	}
	v.doubted(p, res.Outputs)
	return nil
}

// drawnWith is the year as it is, without a log, made ready for draws with some
// charges; it is kept, since making it ready takes longer than drawing.
func (r *Result) drawnWith(keys []string) (*drawn, error) {
	if r.priced.log == nil && slices.Equal(keys, r.drawn.layout.lineKeys) {
		return r.drawn, nil
	}
	name := strings.Join(keys, " ")
	if d, ok := r.ready[name]; ok {
		return d, nil
	}
	d, err := r.model.prepared(nil, 0, keys)
	if err != nil {
		return nil, err
	}
	if r.ready == nil {
		r.ready = map[string]*drawn{}
	}
	r.ready[name] = d
	return d, nil
}

// peakMonth is the month of the highest expected demand.
func (y *Year) peakMonth() int {
	best := 0
	for i, m := range y.Months {
		if m.PeakKW.Value > y.Months[best].PeakKW.Value {
			best = i
		}
	}
	return best
}

// altered makes the altered year's model on a sheet of its own.
func (r *Result) altered(a Alteration) (*yearPass, error) {
	rec := a.Record
	if rec == nil {
		rec = r.Record
	}
	if c := rec.Tariff.File.Currency.Value.Code; c != r.Currency {
		return nil, fmt.Errorf("an altered year in %s cannot be held against one in %s", c, r.Currency)
	}
	scratch := &Result{Record: rec, folded: r.folded, Sheet: &working.Sheet{}, Year: r.Year, Currency: r.Currency}
	scratch.Readings = readings(rec, scratch.Sheet)
	y := &yearPass{rec: rec, result: scratch, faults: &diag.List{}}
	if r.model != nil {
		// Another tariff may measure demand otherwise; kW of two windows are not compared.
		y.window = r.model.window
	}
	if err := y.prepare(a.Added); err != nil {
		return nil, err
	}
	if a.Reactive != 0 {
		y.model.compensate(float64(a.Reactive))
	}
	return y, y.faults.Err()
}

// compensate leaves a share of the reactive power of every load; what was added
// stays as it is.
func (m *model) compensate(left float64) {
	for i := range m.loads {
		for k := range m.loads[i].modes {
			m.loads[i].modes[k].reactive *= left
		}
	}
}

// asItIs gives the figures that variants are held against, worked out once.
func (r *Result) asItIs() (*Year, error) {
	if r.base == nil {
		base, err := r.model.figures(r.Currency)
		if err != nil {
			return nil, err
		}
		r.base = base
	}
	return r.base, nil
}

// figures works a model out at its best estimate.
func (m *model) figures(currency string) (*Year, error) {
	e, err := m.newEvaluation()
	if err != nil {
		return nil, err
	}
	bills, err := e.bills()
	if err != nil {
		return nil, err
	}
	y := &Year{Bills: bills, Total: total(bills)}
	energy := 0.0
	for i := range 12 {
		month := e.monthFigures(i)
		month.Cost = sure(bills[i].Total.InexactFloat64(), currency)
		energy += month.Energy.Value
		y.Months = append(y.Months, month)
	}
	y.Peak, y.PeakKVA = y.Months[y.peakMonth()].PeakKW, y.Months[y.peakMonth()].PeakKVA
	y.Energy, y.Cost = sure(energy, "kWh"), sure(y.Total.InexactFloat64(), currency)
	return y, nil
}

func (e *evaluation) monthFigures(i int) YearMonth {
	u := &monthUse{evaluation: e, month: monthOf(i)}
	all := u.model.tariff.All()
	averages, _ := e.demand[e.model.window].MeanDemand(u.month, profile.AllSlots, profile.Active)
	m := YearMonth{
		Energy:        sure(float64(u.taken(profile.AllSlots))/1e3, "kWh"),
		Reactive:      sure(float64(u.Reactive(all))/1e3, "kvarh"),
		PeakKW:        sure(u.Demand(all, tariff.KW, e.model.window)/1e3, "kW"),
		PeakKVA:       sure(u.Demand(all, tariff.KVA, e.model.window)/1e3, "kVA"),
		SumOfAverages: averages / 1e3,
	}
	for slot := range e.model.tariff.Slots() {
		m.BySlot = append(m.BySlot, float64(u.taken(profile.SlotsOf(slot)))/1e3)
	}
	return m
}

// sure is a figure without doubt.
func sure(v float64, unit string) Interval { return Interval{Value: v, Low: v, High: v, Unit: unit} }

// held holds an altered year against the year as it is.
func held(before, after *Year, currency string) *Variant {
	less := func(a, b Interval) Interval { return sure(Less(a.Value, b.Value), a.Unit) }
	exact := before.Total.Sub(after.Total)
	v := &Variant{Year: *after, Saved: Saved{
		Energy: less(before.Energy, after.Energy), Cost: sure(exact.InexactFloat64(), currency), Exact: exact,
		Peak: less(before.Peak, after.Peak), PeakKVA: less(before.PeakKVA, after.PeakKVA),
	}}
	for i, b := range before.Months {
		a := after.Months[i]
		cost := before.Bills[i].Total.Sub(after.Bills[i].Total)
		v.Saved.Months = append(v.Saved.Months, SavedMonth{
			Energy: less(b.Energy, a.Energy), Cost: sure(cost.InexactFloat64(), currency),
			PeakKW: less(b.PeakKW, a.PeakKW), PeakKVA: less(b.PeakKVA, a.PeakKVA),
		})
	}
	v.Lines = variantLines(before.Bills, after.Bills, currency)
	return v
}

// Less is a - b, and nothing where only the last digits of arithmetic are left of
// two figures that are the same.
func Less(a, b float64) float64 {
	if d := a - b; math.Abs(d) > 1e-9*max(math.Abs(a), math.Abs(b)) {
		return d
	}
	return 0
}

func variantLines(before, after []tariff.Bill, currency string) []VariantLine {
	var lines []VariantLine
	for _, id := range lineIDs(slices.Concat(before, after)) {
		l := VariantLine{ID: id}
		add := func(bills []tariff.Bill, sum *decimal.Decimal) {
			for _, b := range bills {
				for _, x := range b.Lines {
					if x.ID == id {
						l.Label = x.Label
						*sum = sum.Add(x.Amount)
					}
				}
			}
		}
		add(after, &l.After)
		add(before, &l.Before)
		l.Saved = l.Before.Sub(l.After)
		l.SavedWithDoubt = sure(l.Saved.InexactFloat64(), currency)
		lines = append(lines, l)
	}
	return lines
}

// total is the exact sum of bills.
func total(bills []tariff.Bill) decimal.Decimal {
	sum := decimal.Zero
	for _, b := range bills {
		sum = sum.Add(b.Total)
	}
	return sum
}
