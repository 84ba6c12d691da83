package main

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/shopspring/decimal"
)

// TestBillJSONSums adds the printed amounts up: lines to bills, bills to the
// total, to the last cent.
func TestBillJSONSums(t *testing.T) {
	var out, errs bytes.Buffer
	if code := run([]string{"bill", "../../sites/example", "--json"}, nil, &out, &errs); code != exitOK {
		t.Fatalf("exit code %d: %s", code, errs.String())
	}
	var b jsonBills
	d := json.NewDecoder(&out)
	d.DisallowUnknownFields()
	if err := d.Decode(&b); err != nil {
		t.Fatal(err)
	}
	if b.Currency != "EUR" || len(b.Bills) != 12 {
		t.Fatalf("%s, %d bills", b.Currency, len(b.Bills))
	}
	total := decimal.Zero
	for _, bill := range b.Bills {
		sum := decimal.Zero
		for _, l := range bill.Lines {
			sum = sum.Add(decimal.RequireFromString(l.Amount))
			if l.At == "" || l.Unit == "" || l.Price == "" {
				t.Errorf("%s: the line %q lacks unit, price or place: %+v", bill.From, l.Label, l)
			}
		}
		if !sum.Equal(decimal.RequireFromString(bill.Total)) {
			t.Errorf("%s: lines sum to %s, total %s", bill.From, sum, bill.Total)
		}
		total = total.Add(sum)
	}
	if !total.Equal(decimal.RequireFromString(b.Total)) {
		t.Errorf("bills sum to %s, total %s", total, b.Total)
	}
}
