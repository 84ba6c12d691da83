package tariff_test

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"auditgen/internal/tariff"
)

// answer is what a use says to a question of a quick bill.
func answer(t testing.TB, u tariff.Use, a tariff.Ask) float64 {
	switch a.What {
	case "energy":
		return float64(u.Energy(a.Slots))
	case "reactive energy":
		return float64(u.Reactive(a.Slots))
	case "demand":
		return u.Demand(a.Slots, a.Unit, a.Window)
	}
	t.Fatalf("a quick bill asks for %q", a.What)
	return 0
}

// TestQuickBillIsTheBill prices random years both ways with every tariff of the
// tests. The quick bill rounds as the exact one does, so that they differ only
// by the arithmetic and by balances carried from bill to bill.
func TestQuickBillIsTheBill(t *testing.T) {
	all := anyTariffs(t)
	made, refused := 0, 0
	for _, name := range slices.Sorted(maps.Keys(all)) {
		tar := readValue(t, name, all[name])
		r := rand.New(rand.NewPCG(2031, 7))
		year := randomYear(tar, r)
		q, err := tar.Quick(tariff.Months(2031), uses(year), optionsFor(tar))
		if err != nil {
			t.Logf("%s: %v", name, err)
			refused++
			continue
		}
		made++
		for range 6 {
			year = randomYear(tar, r)
			bills := price(t, name, tar, year)
			answers := make([]float64, len(q.Asks))
			for i, a := range q.Asks {
				answers[i] = answer(t, year[a.Period], a)
			}
			totals, lines := make([]float64, 12), make([]float64, len(q.Lines))
			q.Price(answers, totals, lines)
			byLine := map[string]float64{}
			for i, b := range bills {
				want := b.Total.InexactFloat64()
				for _, l := range b.Lines {
					if tar.Rounding.Carry && (l.ID == "carried" || l.ID == "rounding") {
						want -= l.Amount.InexactFloat64()
					}
					byLine[l.ID] += l.Amount.InexactFloat64()
				}
				if math.Abs(totals[i]-want) > 0.05+1e-7*math.Abs(want) {
					t.Errorf("%s, month %d: %.4f, want %.4f", name, i+1, totals[i], want)
				}
			}
			for k, id := range q.Lines {
				if math.Abs(lines[k]-byLine[id]) > 0.30+1e-7*math.Abs(byLine[id]) && id != "rounding" {
					t.Errorf("%s, %s: %.4f, want %.4f", name, id, lines[k], byLine[id])
				}
			}
		}
	}
	t.Logf("%d tariffs made ready, %d refused", made, refused)
	if made < 200 || refused > 12 {
		t.Errorf("%d tariffs made ready, %d refused", made, refused)
	}
}

// TestQuickDrawsAreQuickBills: years priced together are those priced one by
// one, to the last bit.
func TestQuickDrawsAreQuickBills(t *testing.T) {
	all := anyTariffs(t)
	rows := func(n, draws int) [][]float64 {
		out := make([][]float64, n)
		for i := range out {
			out[i] = make([]float64, draws)
		}
		return out
	}
	for _, name := range slices.Sorted(maps.Keys(all)) {
		tar := readValue(t, name, all[name])
		r := rand.New(rand.NewPCG(2031, 7))
		q, err := tar.Quick(tariff.Months(2031), uses(randomYear(tar, r)), optionsFor(tar))
		if err != nil {
			continue
		}
		for _, n := range []int{3, tariff.QuickDraws} {
			answers, totals, lines := rows(len(q.Asks), n), rows(12, n), rows(len(q.Lines), n)
			for i, v := range q.Answers() {
				for j := range n {
					answers[i][j] = v * (0.5 + r.Float64())
				}
			}
			q.PriceDraws(answers, totals, lines)
			column := func(rows [][]float64, j int) (out []float64) {
				for _, row := range rows {
					out = append(out, row[j])
				}
				return out
			}
			for j := range n {
				total, line := make([]float64, 12), make([]float64, len(q.Lines))
				q.Price(column(answers, j), total, line)
				if !slices.Equal(total, column(totals, j)) || !slices.Equal(line, column(lines, j)) {
					t.Errorf("%s: draw %d of %d differs from the year by itself", name, j+1, n)
				}
			}
		}
	}
}

// BenchmarkQuickYear prices a year of the example's tariff.
func BenchmarkQuickYear(b *testing.B) {
	tar := readValue(b, mediumPath, anyTariffs(b)[mediumPath])
	year := randomYear(tar, rand.New(rand.NewPCG(1, 2)))
	q, err := tar.Quick(tariff.Months(2031), uses(year), optionsFor(tar))
	if err != nil {
		b.Fatal(err)
	}
	answers := make([]float64, len(q.Asks))
	for i, a := range q.Asks {
		answers[i] = answer(b, year[a.Period], a)
	}
	totals, lines := make([]float64, 12), make([]float64, len(q.Lines))
	b.ReportAllocs()
	for b.Loop() {
		q.Price(answers, totals, lines)
	}
}

// BenchmarkQuickDraws prices as many years together as there is room for.
func BenchmarkQuickDraws(b *testing.B) {
	tar := readValue(b, mediumPath, anyTariffs(b)[mediumPath])
	year := randomYear(tar, rand.New(rand.NewPCG(1, 2)))
	q, err := tar.Quick(tariff.Months(2031), uses(year), optionsFor(tar))
	if err != nil {
		b.Fatal(err)
	}
	rows := func(n int) [][]float64 {
		out := make([][]float64, n)
		for i := range out {
			out[i] = make([]float64, tariff.QuickDraws)
		}
		return out
	}
	answers, totals, lines := rows(len(q.Asks)), rows(12), rows(len(q.Lines))
	for i, a := range q.Asks {
		v := answer(b, year[a.Period], a)
		for j := range answers[i] {
			answers[i][j] = v
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		q.PriceDraws(answers, totals, lines)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/tariff.QuickDraws, "ns/year")
}
