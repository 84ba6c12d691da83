package tariff_test

import (
	"os"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
)

// A published case: a tariff, what its meter showed, and the bill as printed.
type billCase struct {
	From        civil.Date                               `key:"from" need:"yes"`
	To          civil.Date                               `key:"to" need:"yes"` // last day
	Tolerance   exact                                    `key:"tolerance"`     // money; 0 unless the source disagrees with itself
	Agreed      tariff.Amount                            `key:"agreed"`
	Earlier     []earlier                                `key:"earlier"`
	Paid        []paid                                   `key:"paid"`
	Used        source.Map[tariff.Amount]                `key:"used"`
	Events      source.Map[int]                          `key:"events"`
	EventMonths source.Map[source.OneOrMany[civil.Date]] `key:"event-months"`
	Carried     exact                                    `key:"carried"`
	Notes       source.OneOrMany[string]                 `key:"notes"` // each stands in a note of the bill
	Use         caseUse                                  `key:"use" need:"yes"`
	Lines       source.Map[caseLine]                     `key:"lines" need:"yes"`
	Subtotals   []subtotal                               `key:"subtotals"`
	Total       exact                                    `key:"total" need:"yes"`
	Tariff      raw                                      `key:"tariff-file" need:"yes"`
}

type earlier struct {
	Month  civil.Date    `key:"month" need:"yes"`
	Charge string        `key:"charge" need:"yes"`
	Demand tariff.Amount `key:"demand" need:"yes"`
}

type paid struct {
	Month  civil.Date `key:"month" need:"yes"`
	Charge string     `key:"charge" need:"yes"`
	Amount exact      `key:"amount" need:"yes"`
}

// caseLine is a printed line: its amount, and the quantity and note where the
// source prints them.
type caseLine struct {
	Amount    exact  `key:"amount" need:"yes"`
	Quantity  exact  `key:"quantity"`
	Tolerance exact  `key:"tolerance"` // of this line, where the source rounds in a way of its own
	Why       string `key:"why"`
}

type subtotal struct {
	Of     source.OneOrMany[string] `key:"of" need:"yes"`
	Amount exact                    `key:"amount" need:"yes"`
}

type exact struct {
	decimal.Decimal
	set bool
}

func (e *exact) UnmarshalText(text []byte) error {
	d, err := money.ParseDecimal(string(text))
	e.Decimal, e.set = d, true
	return err
}

// raw keeps a value of the file for another reader.
type raw struct{ v *source.Value }

func (r *raw) ReadSource(v *source.Value, _ *diag.List) { r.v = v }

// caseUse is what a bill's meter showed, by time period; "all" is the whole
// bill. A charge that counts a period must find it here.
type caseUse struct {
	KWh      source.Map[quantity.Displayed[quantity.WattHours]]   `key:"energy"`
	Kvarh    source.Map[quantity.Displayed[quantity.VarHours]]    `key:"reactive"`
	Lagging  source.Map[quantity.Displayed[quantity.VarHours]]    `key:"lagging"`
	Leading  source.Map[quantity.Displayed[quantity.VarHours]]    `key:"leading"`
	Exported source.Map[quantity.Displayed[quantity.WattHours]]   `key:"exported"`
	KVAh     source.Map[exact]                                    `key:"kvah"`
	KW       source.Map[quantity.Displayed[quantity.Watts]]       `key:"kw"`
	KVA      source.Map[quantity.Displayed[quantity.VoltAmperes]] `key:"kva"`
	Kvar     source.Map[quantity.Displayed[quantity.Vars]]        `key:"kvar"`
	Sliding  source.Map[quantity.Displayed[quantity.Watts]]       `key:"sliding-kw"`
	Factor   exact                                                `key:"power-factor"`
	Parts    []casePart                                           `key:"parts"`
	Course   []caseRun                                            `key:"course"`
}

// casePart is what was used in some days of the bill.
type casePart struct {
	From civil.Date                                         `key:"from" need:"yes"`
	To   civil.Date                                         `key:"to" need:"yes"` // last day
	KWh  source.Map[quantity.Displayed[quantity.WattHours]] `key:"energy"`
}

// caseRun is a run of intervals: "kWh kvarh", or "kWh kvarh leading-kvarh".
type caseRun struct {
	Day     civil.Date               `key:"day" need:"yes"`
	Clock   civil.Clock              `key:"clock"`
	Minutes int                      `key:"minutes" need:"yes"`
	Rows    source.OneOrMany[string] `key:"rows" need:"yes"`
}

type meterOf struct {
	t      *testing.T
	of     *tariff.Tariff
	occurs tariff.SlotSet // slots that the bill has
	shows  caseUse
}

// lookup finds what a case states for a set of slots.
func lookup[T any](m meterOf, what string, shown source.Map[T], set tariff.SlotSet) T {
	for _, e := range shown {
		named := m.of.All()
		if e.Key != "all" {
			named = tariff.SlotSet{}
			for name := range strings.SplitSeq(e.Key, "+") { // several periods: peak+day
				named = named.Or(m.of.Within(name))
			}
		}
		if named.And(m.occurs) == set.And(m.occurs) {
			return e.Value
		}
	}
	var none T
	m.t.Errorf("the case does not state %s for the slots %v", what, set)
	return none
}

func (m meterOf) Energy(s tariff.SlotSet) quantity.WattHours {
	return lookup(m, "energy", m.shows.KWh, s).Value
}

func (m meterOf) Reactive(s tariff.SlotSet) quantity.VarHours {
	if len(m.shows.Lagging) > 0 || len(m.shows.Leading) > 0 {
		return m.Lagging(s) - m.Leading(s)
	}
	return lookup(m, "reactive energy", m.shows.Kvarh, s).Value
}

func (m meterOf) Lagging(s tariff.SlotSet) quantity.VarHours {
	if len(m.shows.Lagging) == 0 {
		return max(0, m.Reactive(s))
	}
	return lookup(m, "lagging reactive energy", m.shows.Lagging, s).Value
}

func (m meterOf) Leading(s tariff.SlotSet) quantity.VarHours {
	if len(m.shows.Leading) == 0 {
		return max(0, -m.Reactive(s))
	}
	return lookup(m, "leading reactive energy", m.shows.Leading, s).Value
}

func (m meterOf) Exported(s tariff.SlotSet) quantity.WattHours {
	return lookup(m, "exported energy", m.shows.Exported, s).Value
}

func (m meterOf) Demand(s tariff.SlotSet, u tariff.DemandUnit, _ int) float64 {
	switch u {
	case tariff.KW:
		return float64(lookup(m, "kW", m.shows.KW, s).Value)
	case tariff.KVA:
		return float64(lookup(m, "kVA", m.shows.KVA, s).Value)
	}
	return float64(lookup(m, "kvar", m.shows.Kvar, s).Value)
}

func (m meterOf) PowerFactor(tariff.SlotSet) (quantity.Ratio, bool) {
	return quantity.Ratio(m.shows.Factor.InexactFloat64()), m.shows.Factor.set
}

func (m meterOf) Part(p tariff.Period) (tariff.Use, bool) {
	for _, part := range m.shows.Parts {
		if part.From == p.From && part.To.AddDays(1) == p.To {
			m.shows = caseUse{KWh: part.KWh}
			return m, true
		}
	}
	return nil, false
}

func (m meterOf) Course(s tariff.SlotSet, minutes int) ([]tariff.Interval, bool) {
	var all []tariff.Interval
	for _, run := range m.shows.Course {
		if run.Minutes != minutes {
			continue
		}
		day, at := run.Day, int(run.Clock)
		for _, row := range run.Rows {
			if s.Has(m.of.SlotAt(day, at)) {
				all = append(all, rowOf(m.t, day, at, row.Value))
			}
			if at += minutes; at == 1440 {
				day, at = day.AddDays(1), 0
			}
		}
	}
	return all, all != nil
}

func rowOf(t *testing.T, day civil.Date, minute int, row string) tariff.Interval {
	var x [3]float64
	for i, word := range strings.Fields(row) {
		d, err := money.ParseDecimal(word)
		if err != nil || i > 2 {
			t.Fatalf("row %q: %v", row, err)
		}
		x[i] = d.InexactFloat64() * 1000
	}
	return tariff.Interval{Day: day, Minute: minute, Energy: quantity.WattHours(x[0]), Lagging: quantity.VarHours(x[1]), Leading: quantity.VarHours(x[2])}
}

// withApparent is a meter that registers apparent energy, withSliding one that
// knows sliding means.
type (
	withApparent struct{ meterOf }
	withSliding  struct{ meterOf }
)

func (m withApparent) Apparent(s tariff.SlotSet) float64 {
	return lookup(m.meterOf, "apparent energy", m.shows.KVAh, s).InexactFloat64() * 1000
}

func (m withSliding) SlidingDemand(s tariff.SlotSet, _ tariff.DemandUnit, _, _ int) float64 {
	return float64(lookup(m.meterOf, "sliding demand", m.shows.Sliding, s).Value)
}

func (m meterOf) use() tariff.Use {
	switch {
	case len(m.shows.KVAh) > 0:
		return withApparent{m}
	case len(m.shows.Sliding) > 0:
		return withSliding{m}
	}
	return m
}

func readCase(t *testing.T, path string) (billCase, *tariff.Tariff) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var faults diag.List
	var c billCase
	source.Decode(source.YAML(path, data, &faults), &c, &faults)
	tar := tariff.Read(c.Tariff.v, &faults)
	if faults.Len() > 0 {
		var b strings.Builder
		faults.Write(&b)
		t.Fatal(b.String())
	}
	return c, tar
}

// options are what a case states beside the file and the meter.
func (c *billCase) options() tariff.Options {
	o := tariff.Options{Agreed: c.Agreed, Used: map[string]tariff.Amount{}, Events: map[string]int{}, EventMonths: map[string][]civil.Date{}, Carried: c.Carried.Decimal}
	for _, e := range c.Earlier {
		o.Earlier = append(o.Earlier, tariff.Past{Period: monthOf(e.Month), Charge: e.Charge, Demand: e.Demand})
	}
	for _, e := range c.Paid {
		o.Paid = append(o.Paid, tariff.Paid{Period: monthOf(e.Month), Charge: e.Charge, Amount: e.Amount.Decimal})
	}
	for _, e := range c.Used {
		o.Used[e.Key] = e.Value
	}
	for _, e := range c.Events {
		o.Events[e.Key] = e.Value
	}
	for _, e := range c.EventMonths {
		for _, m := range e.Value {
			o.EventMonths[e.Key] = append(o.EventMonths[e.Key], m.Value)
		}
	}
	return o
}

func monthOf(d civil.Date) tariff.Period {
	from := civil.Date{Year: d.Year, Month: d.Month, Day: 1}
	return tariff.Period{From: from, To: from.AddDays(civil.DaysIn(d.Year, d.Month))}
}
