package tariff_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

// A published case: a tariff, what its meter showed, and the bill as printed.
type billCase struct {
	From      civil.Date           `key:"from" need:"yes"`
	To        civil.Date           `key:"to" need:"yes"` // last day
	Tolerance exact                `key:"tolerance"`     // money; 0 unless the source disagrees with itself
	Agreed    tariff.Amount        `key:"agreed"`
	Earlier   []earlier            `key:"earlier"`
	Use       caseUse              `key:"use" need:"yes"`
	Lines     source.Map[caseLine] `key:"lines" need:"yes"`
	Subtotals []subtotal           `key:"subtotals"`
	Total     exact                `key:"total" need:"yes"`
	Tariff    raw                  `key:"tariff-file" need:"yes"`
}

type earlier struct {
	Month  civil.Date    `key:"month" need:"yes"`
	Charge string        `key:"charge" need:"yes"`
	Demand tariff.Amount `key:"demand" need:"yes"`
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
	KWh    source.Map[quantity.Displayed[quantity.WattHours]]   `key:"energy"`
	Kvarh  source.Map[quantity.Displayed[quantity.VarHours]]    `key:"reactive"`
	KW     source.Map[quantity.Displayed[quantity.Watts]]       `key:"kw"`
	KVA    source.Map[quantity.Displayed[quantity.VoltAmperes]] `key:"kva"`
	Kvar   source.Map[quantity.Displayed[quantity.Vars]]        `key:"kvar"`
	Factor exact                                                `key:"power-factor"`
}

type meterOf struct {
	t      *testing.T
	of     *tariff.Tariff
	occurs tariff.SlotSet // slots that the bill has
	shows  caseUse
}

// name finds the word under which a case states what a set of slots showed.
func lookup[T any](m meterOf, what string, shown source.Map[T], set tariff.SlotSet) T {
	for _, e := range shown {
		named := m.of.All()
		if e.Key != "all" {
			named = m.of.Within(e.Key)
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
	return lookup(m, "reactive energy", m.shows.Kvarh, s).Value
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

func TestPublishedBills(t *testing.T) {
	dirs, err := filepath.Glob("../../testdata/published/bills-*")
	if err != nil || len(dirs) < 14 {
		t.Fatalf("found %d published bills, want 14 or more (%v)", len(dirs), err)
	}
	for _, dir := range dirs {
		t.Run(filepath.Base(dir), func(t *testing.T) {
			if data, err := os.ReadFile(filepath.Join(dir, "source.md")); err != nil || !strings.Contains(string(data), "Status:") {
				t.Errorf("source.md is missing or states no status (%v)", err)
			}
			paths, err := filepath.Glob(filepath.Join(dir, "case*.yaml"))
			if err != nil || len(paths) == 0 {
				t.Fatal("no case")
			}
			for _, path := range paths {
				checkCase(t, path)
			}
		})
	}
}

func checkCase(t *testing.T, path string) {
	c, tar := readCase(t, path)
	o := tariff.Options{Agreed: c.Agreed}
	for _, e := range c.Earlier {
		o.Earlier = append(o.Earlier, tariff.Past{Period: monthOf(e.Month), Charge: e.Charge, Demand: e.Demand})
	}
	period := tariff.Period{From: c.From, To: c.To.AddDays(1)}
	bills, err := tar.PriceYear([]tariff.Period{period}, []tariff.Use{meterOf{t, tar, tar.Occurring(period), c.Use}}, o)
	if err != nil {
		t.Fatal(err)
	}
	b := &bills[0]
	if len(b.Lines) != len(c.Lines) {
		t.Errorf("%s: %d lines, want %d", path, len(b.Lines), len(c.Lines))
	}
	for i, want := range c.Lines {
		l, ok := b.Line(want.Key)
		if !ok {
			t.Errorf("%s: no line %s", path, want.Key)
			continue
		}
		if i < len(b.Lines) && b.Lines[i].Key() != want.Key {
			t.Errorf("%s: line %d is %s, want %s", path, i+1, b.Lines[i].Key(), want.Key)
		}
		if want.Value.Tolerance.set && want.Value.Why == "" {
			t.Errorf("%s: line %s has a tolerance and no reason", path, want.Key)
		}
		if l.Amount.Sub(want.Value.Amount.Decimal).Abs().GreaterThan(want.Value.Tolerance.Decimal) {
			t.Errorf("%s: line %s is %s (%s x %s), printed %s; %v", path, want.Key, l.Amount, l.QuantityText(), l.PriceText(), want.Value.Amount, l.How)
		}
		if want.Value.Quantity.set && !l.Quantity.Equal(want.Value.Quantity.Decimal) {
			t.Errorf("%s: line %s counts %s, printed %s; %v", path, want.Key, l.Quantity, want.Value.Quantity, l.How)
		}
	}
	for _, s := range c.Subtotals {
		sum := decimal.Zero
		for _, key := range s.Of {
			l, ok := b.Line(key.Value)
			if !ok {
				t.Errorf("%s: subtotal of no line %s", path, key.Value)
			}
			sum = sum.Add(l.Amount)
		}
		if sum.Sub(s.Amount.Decimal).Abs().GreaterThan(c.Tolerance.Decimal) {
			t.Errorf("%s: subtotal %s, printed %s", path, sum, s.Amount)
		}
	}
	if b.Total.Sub(c.Total.Decimal).Abs().GreaterThan(c.Tolerance.Decimal) {
		t.Errorf("%s: total %s, printed %s", path, b.Total, c.Total)
	}
	var sheet working.Sheet
	tariff.Record(&sheet, "bill", bills, nil)
	if err := sheet.Replay(); err != nil {
		t.Errorf("%s: %v", path, err)
	}
}

func monthOf(d civil.Date) tariff.Period {
	from := civil.Date{Year: d.Year, Month: d.Month, Day: 1}
	return tariff.Period{From: from, To: from.AddDays(civil.DaysIn(d.Year, d.Month))}
}
