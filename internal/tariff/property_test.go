package tariff_test

import (
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

// anyTariffs are the tariffs of docs/tariffs.md, of the published bills and of
// testdata/tariffs, by name.
func anyTariffs(t testing.TB) map[string]*source.Value {
	t.Helper()
	all := map[string]*source.Value{}
	var faults diag.List
	for i, text := range docTariffs(t) {
		all["docs/tariffs.md example "+string(rune('A'+i))] = source.YAML("docs.yaml", []byte(text), &faults)
	}
	published, err := filepath.Glob("../../testdata/published/bills-*/case*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	forms, err := filepath.Glob("../../testdata/tariffs/forms/*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range slices.Concat(published, forms, []string{mediumPath}) {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		v := source.YAML(path, data, &faults)
		for _, p := range v.Pairs {
			if p.Key == "tariff-file" {
				v = p.Value
			}
		}
		all[path] = v
	}
	if faults.Len() > 0 || len(all) < 200 {
		t.Fatalf("%d tariffs, %d faults", len(all), faults.Len())
	}
	return all
}

func docTariffs(t testing.TB) []string {
	data, err := os.ReadFile("../../docs/tariffs.md")
	if err != nil {
		t.Fatal(err)
	}
	var texts []string
	head := ""
	for i, e := range docExample.FindAllStringSubmatch(string(data), -1) {
		if i == 0 {
			head, _, _ = strings.Cut(e[1], "charges:")
			texts = append(texts, e[1])
			continue
		}
		texts = append(texts, head+e[1])
	}
	return texts
}

func readValue(t testing.TB, name string, v *source.Value) *tariff.Tariff {
	var faults diag.List
	tar := tariff.Read(v, &faults)
	if tar == nil {
		var b strings.Builder
		faults.Write(&b)
		t.Fatalf("%s: %s", name, b.String())
	}
	return tar
}

// randomYear is a year of random use in the slots that occur.
func randomYear(tar *tariff.Tariff, r *rand.Rand) []*slotUse {
	year := make([]*slotUse, 12)
	for m := range year {
		year[m] = newSlotUse(len(tar.Slots()))
		occurs := tar.Occurring(tariff.Months(2031)[m])
		for s := range tar.Slots() {
			if occurs.Has(tariff.Slot(s)) {
				kw := 5 + 200*r.Float64()
				// Hardly any energy beside reactive energy would be a power factor of
				// 0, which tariffs by a ratio to it rightly refuse.
				pf := 0.6 + 0.4*r.Float64()
				year[m].set(tariff.Slot(s), [5]float64{kw * 200 * (0.02 + 0.98*r.Float64()), kw * 100 * (r.Float64() - 0.1), kw, kw / pf, kw * (1 - pf)})
			}
		}
	}
	return year
}

func uses(year []*slotUse) []tariff.Use {
	u := make([]tariff.Use, len(year))
	for i := range year {
		u[i] = year[i]
	}
	return u
}

// optionsFor states an agreed demand in the unit that a tariff counts.
func optionsFor(tar *tariff.Tariff) tariff.Options {
	o := tariff.Options{Steady: true, Agreed: tariff.Amount{Value: decimal.New(150, 0), Unit: "kVA"}}
	for _, c := range tar.Charges {
		if c.Demand == nil || c.Demand.Price.Per.Of != "kW" {
			continue
		}
		for _, l := range slices.Concat(c.Demand.AtLeast, c.Demand.AtMost, tariff.Limits{c.Demand.Above, c.Demand.UpTo}) {
			if l.Kind == tariff.LimitAgreed {
				o.Agreed.Unit = "kW"
			}
		}
	}
	return o
}

func price(t *testing.T, name string, tar *tariff.Tariff, year []*slotUse) []tariff.Bill {
	bills, err := tar.PriceYear(tariff.Months(2031), uses(year), optionsFor(tar))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return bills
}

// TestBillsAddUp prices random years with every tariff: lines sum to totals,
// amounts are quantity times price, and every number replays.
func TestBillsAddUp(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	all := anyTariffs(t)
	for _, name := range slices.Sorted(maps.Keys(all)) {
		v := all[name]
		tar := readValue(t, name, v)
		bills := price(t, name, tar, randomYear(tar, r))
		for i := range bills {
			if err := bills[i].Check(); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
		var sheet working.Sheet
		tariff.Record(&sheet, "bill", bills, nil)
		if err := sheet.Replay(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestOrderOfChargesDoesNotMatter prices with the charges turned about.
func TestOrderOfChargesDoesNotMatter(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	turned := 0
	all := anyTariffs(t)
	for _, name := range slices.Sorted(maps.Keys(all)) {
		v := all[name]
		tar := readValue(t, name, v)
		if chained(tar) {
			continue
		}
		year := randomYear(tar, r)
		bills := price(t, name, tar, year)
		for _, p := range v.Pairs {
			if p.Key == "charges" {
				r.Shuffle(len(p.Value.Items), func(i, j int) { p.Value.Items[i], p.Value.Items[j] = p.Value.Items[j], p.Value.Items[i] })
				turned++
			}
		}
		again := price(t, name, readValue(t, name, v), year)
		for i := range bills {
			if !bills[i].Total.Equal(again[i].Total) {
				t.Errorf("%s: %s is %s in one order and %s in another", name, bills[i].Period, bills[i].Total, again[i].Total)
			}
			if a, b := amounts(bills[i]), amounts(again[i]); !slices.Equal(a, b) {
				t.Errorf("%s: the lines are %v in one order and %v in another", name, a, b)
			}
		}
	}
	if turned < 200 {
		t.Errorf("only %d tariffs were turned about", turned)
	}
}

// chained tells tariffs in which an id stands twice: its prices follow one
// another in the file as in time.
func chained(tar *tariff.Tariff) bool {
	seen := map[string]bool{}
	for _, c := range tar.Charges {
		if seen[c.ID.Value] {
			return true
		}
		seen[c.ID.Value] = true
	}
	return false
}

// amounts lists the lines of a bill in an order of their own.
func amounts(b tariff.Bill) []string {
	all := make([]string, len(b.Lines))
	for i, l := range b.Lines {
		all[i] = l.ID + " " + l.Label + " " + l.Amount.String()
	}
	slices.Sort(all)
	return all
}

// risesWithEnergy tells tariffs in which more energy cannot cost less: no
// negative price or rate, no price of the whole by its class, no condition, no
// power factor that more active energy mends, no net of what is delivered.
func risesWithEnergy(tar *tariff.Tariff) bool {
	negative := func(p tariff.Price) bool { return p.Amount.IsNegative() }
	for _, c := range tar.Charges {
		switch {
		case c.PowerFactor != nil, c.Reactive != nil, len(c.If) > 0, c.Demand != nil && c.Demand.Adjust != nil:
			return false
		case c.Fixed != nil && negative(c.Fixed.Price):
			return false
		case c.Percent != nil && c.Percent.Rate.Value.Fraction.IsNegative():
			return false
		case c.Energy != nil:
			if c.Energy.Whole || negative(c.Energy.Price) || c.Energy.Flow.Value != tariff.Taken {
				return false
			}
			for _, b := range c.Energy.Blocks {
				if negative(b.Price) {
					return false
				}
			}
		}
	}
	return true
}

// ofTheYear tells tariffs whose blocks count over the year: more energy in one
// month moves the next ones into lower blocks.
func ofTheYear(tar *tariff.Tariff) bool {
	return slices.ContainsFunc(tar.Charges, func(c tariff.Charge) bool { return c.Energy != nil && c.Energy.Per.Value == "year" })
}

func TestBillRisesWithEnergy(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	tried := 0
	all := anyTariffs(t)
	for _, name := range slices.Sorted(maps.Keys(all)) {
		v := all[name]
		tar := readValue(t, name, v)
		if !risesWithEnergy(tar) {
			continue
		}
		tried++
		for range 4 {
			year := randomYear(tar, r)
			less := price(t, name, tar, year)
			for m := range year {
				s := r.IntN(len(year[m].kwh))
				if year[m].kw[s] > 0 {
					year[m].kwh[s] += 1 + 1000*r.Float64()
				}
			}
			more := price(t, name, tar, year)
			sum := decimal.Zero
			for m := range less {
				sum = sum.Add(more[m].Total).Sub(less[m].Total)
				if !ofTheYear(tar) && more[m].Total.LessThan(less[m].Total) {
					t.Errorf("%s, %s: more energy costs %s, less costs %s", name, less[m].Period, more[m].Total, less[m].Total)
				}
			}
			if sum.IsNegative() {
				t.Errorf("%s: a year of more energy costs %s less", name, sum.Neg())
			}
		}
	}
	if tried < 20 {
		t.Errorf("only %d tariffs rise with energy", tried)
	}
}

func FuzzRead(f *testing.F) {
	for _, text := range docTariffs(f) {
		f.Add(text)
	}
	forms, err := filepath.Glob("../../testdata/tariffs/forms/*.yaml")
	if err != nil {
		f.Fatal(err)
	}
	for _, path := range forms {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		_, text, _ := strings.Cut(string(data), "tariff-file:\n")
		f.Add(strings.ReplaceAll(text[2:], "\n  ", "\n"))
	}
	bad, err := filepath.Glob("../../testdata/tariffs/bad/*.txtar")
	if err != nil {
		f.Fatal(err)
	}
	for _, path := range bad {
		a, err := txtar.ParseFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(a.Files[0].Data))
	}
	f.Fuzz(func(t *testing.T, text string) {
		var faults diag.List
		tar := tariff.Read(source.YAML("t.yaml", []byte(text), &faults), &faults)
		if tar == nil {
			if faults.Len() == 0 {
				t.Fatal("neither a tariff nor a fault")
			}
			for _, fault := range faults.Sorted() {
				if !fault.Pos.IsSet() {
					t.Fatalf("fault without a place: %s", fault)
				}
			}
			return
		}
		tar.Describe(nil)
		tar.DescribePeriods(nil)
		tar.Warnings()
		year := uses(randomYear(tar, rand.New(rand.NewPCG(7, 8))))
		year[0] = newDocMeter(tar) // knows all that a tariff may ask
		bills, err := tar.PriceYear(tariff.Months(2031), year, optionsFor(tar))
		if err != nil {
			return // an agreed demand in another unit, a power factor of 0
		}
		var sheet working.Sheet
		tariff.Record(&sheet, "bill", bills, nil)
		if err := sheet.Replay(); err != nil {
			t.Fatal(err)
		}
	})
}

func BenchmarkRead(b *testing.B) {
	data, err := os.ReadFile(mediumPath)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		var faults diag.List
		if tariff.Read(source.YAML("t.yaml", data, &faults), &faults) == nil {
			b.Fatal("not read")
		}
	}
}
