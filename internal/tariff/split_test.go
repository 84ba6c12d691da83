package tariff_test

import (
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
)

// TestSplitPeriod prices a month whole and in two parts: what counts days and
// energy alone is the same.
func TestSplitPeriod(t *testing.T) {
	tar := readTariff(t, "tariff: T\ncurrency: EUR\nfrom: 2031-01-01\ncharges:\n  - id: a\n    fixed: 1.92 /day\n  - id: b\n    energy: 0.25 /kWh\n  - id: c\n    energy: {per: day, blocks: [{up-to: 40 kWh, price: 0.10 /kWh}, {price: 0.20 /kWh}]}\n")
	month := tariff.Months(2031)[0]
	middle := date(t, "2031-01-13")
	part := func(kwh float64) tariff.Use {
		u := newSlotUse(1)
		u.set(0, [5]float64{kwh, 0, 1, 1, 0})
		return u
	}
	whole, err := tar.PriceYear([]tariff.Period{month}, []tariff.Use{part(3100)}, tariff.Options{})
	if err != nil {
		t.Fatal(err)
	}
	two, err := tar.PriceYear([]tariff.Period{{From: month.From, To: middle}, {From: middle, To: month.To}}, []tariff.Use{part(1200), part(1900)}, tariff.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if sum := two[0].Total.Add(two[1].Total); !sum.Equal(whole[0].Total) {
		t.Errorf("the parts cost %s, the whole %s", sum, whole[0].Total)
	}
}

// TestVersionOfTheSamePrices puts a version into every tariff that says its
// prices again from the middle of each month: the parts cost what the whole
// did, but for the last digits of rounded shares.
func TestVersionOfTheSamePrices(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	tried, lines := 0, 0
	all := anyTariffs(t)
	for _, name := range slices.Sorted(maps.Keys(all)) {
		v := unrounded(all[name])
		tar := readValue(t, name, v)
		prices := samePrices(tar)
		if len(prices.Pairs) == 0 || len(tar.Versions) > 0 || tar.To.IsSet() || !finePrices(tar) {
			continue
		}
		again := readValue(t, name, withVersion(v, prices))
		year := randomYear(tar, r)
		may := tariff.Months(2031)[4:5]
		price := func(tar *tariff.Tariff) tariff.Bill {
			bills, err := tar.PriceYear(may, uses(year[4:5]), optionsFor(tar))
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			return bills[0]
		}
		whole, parts := price(tar), price(again)
		tried++
		lines += len(parts.Lines) - len(whole.Lines)
		if gap := whole.Total.Sub(parts.Total).Abs(); gap.GreaterThan(decimal.New(5, -2).Add(whole.Total.Abs().Shift(-7))) {
			t.Errorf("%s: the whole costs %s, its parts %s\n%v\n%v", name, whole.Total, parts.Total, amounts(whole), amounts(parts))
		}
	}
	if tried < 60 || lines < tried {
		t.Errorf("%d tariffs were parted, with %d more lines", tried, lines)
	}
}

func scalar(text string) *source.Value {
	return &source.Value{Form: source.Scalar, Text: text, Pos: diag.Pos{File: "t.yaml", Line: 1, Column: 1}}
}

func pairsOf(pairs ...source.Pair) *source.Value {
	return &source.Value{Form: source.Mapping, Pos: diag.Pos{File: "t.yaml", Line: 1, Column: 1}, Pairs: pairs}
}

// unrounded gives a tariff steps so fine that they do not tell parts apart.
func unrounded(v *source.Value) *source.Value {
	next := *v
	next.Pairs = slices.DeleteFunc(slices.Clone(v.Pairs), func(p source.Pair) bool { return p.Key == "rounding" })
	rounding := pairsOf()
	for key, unit := range map[string]string{"line": "", "energy": " kWh", "reactive": " kvarh", "demand": " kW"} {
		rounding.Pairs = append(rounding.Pairs, source.Pair{Key: key, Value: scalar("0.000000001" + unit)})
	}
	next.Pairs = append(next.Pairs, source.Pair{Key: "rounding", Value: rounding})
	return &next
}

// samePrices says the prices of a tariff once more.
func samePrices(tar *tariff.Tariff) *source.Value {
	prices := pairsOf()
	put := func(id string, text string, blocks []tariff.Block) {
		v := scalar(text)
		if len(blocks) > 0 {
			v = &source.Value{Form: source.Sequence, Pos: v.Pos}
			for _, b := range blocks {
				v.Items = append(v.Items, scalar(b.Price.Text))
			}
		}
		if v.Text != "" || len(v.Items) > 0 {
			prices.Pairs = append(prices.Pairs, source.Pair{Key: id, Value: v})
		}
	}
	for _, c := range tar.Charges {
		switch id := c.ID.Value; {
		case c.Fixed != nil && len(c.Fixed.Classes) == 0:
			put(id, c.Fixed.Price.Text, nil)
		case c.Energy != nil && len(c.Energy.Prices) == 0:
			put(id, c.Energy.Price.Text, c.Energy.Blocks)
		case c.Reactive != nil:
			put(id, c.Reactive.Price.Text, nil)
		case c.Demand != nil:
			put(id, c.Demand.Price.Text, c.Demand.Blocks)
		case c.Percent != nil:
			put(id, c.Percent.Rate.Text, nil)
		case c.Tax != nil && !c.Tax.Included:
			put(id, c.Tax.Rate.Text, nil)
		}
	}
	return prices
}

// finePrices tells tariffs without roundings of their own, floors and ceilings,
// which act on each part by itself.
func finePrices(tar *tariff.Tariff) bool {
	for _, c := range tar.Charges {
		switch {
		case c.Round.IsSet(), c.Subtotal != nil, c.Minimum != nil, c.Maximum != nil, len(c.If) > 0, c.From.IsSet(), c.To.IsSet():
			return false
		case c.Energy != nil && (c.Energy.Round.IsSet() || c.Energy.Hours):
			return false
		case c.Reactive != nil && c.Reactive.Round.IsSet():
			return false
		case c.Tax != nil && c.Tax.By.Value > 0:
			return false
		}
	}
	return !tar.Month.Value.Step.IsPositive()
}

func withVersion(v, prices *source.Value) *source.Value {
	next := *v
	version := pairsOf(source.Pair{Key: "from", Value: scalar("2031-05-14")}, source.Pair{Key: "prices", Value: prices})
	next.Pairs = append(slices.Clone(v.Pairs), source.Pair{Key: "versions", Value: &source.Value{Form: source.Sequence, Pos: version.Pos, Items: []*source.Value{version}}})
	return &next
}
