package audit

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/site"
)

// yearOfBills bills a load of 400 to 600 W at so many W in each month of 2031.
func yearOfBills(t *testing.T, watts float64) *Result {
	t.Helper()
	files := small{loads: "  - {id: it, name: It, at: DB1-1, use: work, power: 400..500..600 W, runs: {calendar: always}}"}.files()
	var b strings.Builder
	for m := 1; m <= 12; m++ {
		days := civil.DaysIn(2031, monthOf(m-1))
		fmt.Fprintf(&b, "  - {from: 2031-%02d-01, to: 2031-%02d-%d, energy: %.3f kWh, amount: 1.00 EUR}\n", m, m, days, watts*24*float64(days)/1e3)
	}
	files["sites/a/bills.yaml"] = &fstest.MapFile{Data: []byte("bills:\n" + b.String())}
	var faults diag.List
	rec := site.Read(site.Folder{FS: files, Dir: "sites/a"}, civil.Date{}, &faults)
	if rec == nil {
		t.Fatal(faults.Err())
	}
	return ran(t, rec)
}

// By Bayes' rule for normal quantities: the load is 500 W with a deviation of
// 100/√6 W (a triangle), the mean of twelve bills of 530 W has one of
// 0.03·530/√12 W. Together: weights 1/1666.7 and 1/21.07, so 529.63 W and
// 4.561 W. The triangle is not normal, which tells here by less than 1 %.
func TestBillsNarrowTheEstimateByHand(t *testing.T) {
	r := yearOfBills(t, 530)
	c := r.Reconciled.Conditioned
	nearly(t, "energy", c.Energy.Value, 529.63*8.760, 0.002)
	nearly(t, "half of its interval", c.Energy.Half(), 1.6449*4.561*8.760, 0.06)
	nearly(t, "cost", c.Cost.Value, 0.2*529.63*8.760, 0.002)
	if len(c.Pulls) != 12 || c.All.Contradicts || len(c.Moved) != 1 || c.Moved[0].By < 0.5 || c.Moved[0].Left > 0.2 {
		t.Errorf("%d pulls, all %+v, moved %+v", len(c.Pulls), c.All, c.Moved)
	}
	// The estimate itself stays what the site says.
	nearly(t, "estimate", r.Energy.Value, 500*8.760, 1e-9)
	nearly(t, "its high end", r.Energy.High, 568.38*8.760, 0.006)
}

// A bill far beyond the doubts of both is called a contradiction.
func TestBillsThatContradict(t *testing.T) {
	r := yearOfBills(t, 800)
	c := r.Reconciled.Conditioned
	// (800 - 500)/√(40.8² + 24²) = 6.3 for a bill; /√(40.8² + 6.9²) = 7.2 for all.
	nearly(t, "pull of January", c.Pulls[0].Value, 6.33, 0.03)
	nearly(t, "pull of all", c.All.Value, 7.24, 0.03)
	if !c.Pulls[0].Contradicts || !c.All.Contradicts {
		t.Errorf("%+v, %+v", c.Pulls[0], c.All)
	}
}
