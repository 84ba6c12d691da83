package tariff_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

func TestPublishedBills(t *testing.T) {
	dirs, err := filepath.Glob("../../testdata/published/bills-*")
	if err != nil || len(dirs) < 55 {
		t.Fatalf("found %d published bills, want 55 or more (%v)", len(dirs), err)
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
	period := tariff.Period{From: c.From, To: c.To.AddDays(1)}
	bills, err := tar.PriceYear([]tariff.Period{period}, []tariff.Use{meterOf{t, tar, tar.Occurring(period), c.Use}.use()}, c.options())
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
	for _, n := range c.Notes {
		if !slices.ContainsFunc(b.Notes, func(have string) bool { return strings.Contains(have, n.Value) }) {
			t.Errorf("%s: no note says %q: %q", path, n.Value, b.Notes)
		}
	}
	var sheet working.Sheet
	tariff.Record(&sheet, "bill", bills, nil)
	if err := sheet.Replay(); err != nil {
		t.Errorf("%s: %v", path, err)
	}
}

// TestForms prices the small tariffs of testdata/tariffs/forms, one for each
// form that a price sheet may take.
func TestForms(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/tariffs/forms/*.yaml")
	if err != nil || len(paths) < 140 {
		t.Fatalf("found %d forms (%v)", len(paths), err)
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".yaml"), func(t *testing.T) { checkCase(t, path) })
	}
}
