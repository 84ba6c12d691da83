package audit

import (
	"strings"
	"testing"
	"testing/fstest"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/site"
)

const billedTariff = `seasons: {winter: 1 Nov to 31 Mar, summer: 1 Apr to 31 Oct}
periods:
  day: {days: Mon-Fri, hours: 07:00-22:00}
  night: otherwise
charges:
  - {id: standing, label: Standing, fixed: 30.00 /month}
  - {id: day-units, label: Day units, energy: {period: day, price: 0.20 /kWh}}
  - {id: night-units, label: Night units, energy: {period: night, price: 0.10 /kWh}}
  - {id: peak, label: Demand, demand: {price: 5.00 /kW, window: 15 min, at-least: [80 % of highest of 11 months]}}
  - id: pf
    label: Power factor
    power-factor: {of: [day-units, night-units], measured: average, round: 0.01, slopes: [{below: 0.95, add: 1 % per 0.01}]}
  - {id: vat, label: Tax, tax: {rate: 10 %, of: all}}`

// billed works a site out that has bills.
func billed(t *testing.T, bills string) *Reconciliation {
	t.Helper()
	files := small{tariff: billedTariff}.files()
	files["sites/a/bills.yaml"] = &fstest.MapFile{Data: []byte("bills:\n" + bills)}
	var faults diag.List
	rec := site.Read(site.Folder{FS: files, Dir: "sites/a"}, civil.Date{}, &faults)
	if rec == nil {
		t.Fatalf("the site cannot be read: %v", faults.Err())
	}
	r, err := Run(rec)
	if err != nil {
		t.Fatal(err)
	}
	if err := r.Sheet.Replay(); err != nil {
		t.Fatal(err)
	}
	return r.Reconciled
}

func january(amount, more string) string {
	return "  - {from: 2031-01-01, to: 2031-01-31, energy-by: {day: 1000 kWh, night: 500 kWh}, reactive: 700 kvarh, demand: 40 kW, amount: " + amount + " EUR" + more + "}\n"
}

// The amounts are worked out by hand. January: 30 + 1000·0.20 + 500·0.10 + 40·5
// = 480.00; power factor 1500/√(1500²+700²) = 0.9062, 0.91: 4 % of 250 = 10.00;
// tax 10 % of 490.00 = 49.00; total 539.00.
func TestBillsAreRebuilt(t *testing.T) {
	tests := []struct{ name, bills, rebuilt, reason string }{
		{"agrees", january("539.00", ""), "539.00", ""},
		{"rounding", january("539.01", ""), "539.00", "rounding"},
		// 0.94: 1 % of 250 = 2.50; (480+2.50)·1.1 = 530.75.
		{"another power factor", january("530.75", ""), "539.00", "a power factor of 0.94 explains it"},
		// 0.94 printed: the bill's own stands.
		{"printed power factor", january("530.75", ", power-factor: 0.94"), "530.75", ""},
		// Without the standing charge and its tax: 539.00 − 33.00.
		{"line left out", january("506.00", ""), "539.00", `the line "Standing" is left out`},
		// The day units and their tax twice: 539.00 + 220.00.
		{"line twice", january("759.00", ""), "539.00", `the line "Day units" is charged twice`},
		{"digits exchanged", january("593.00", ""), "539.00", "digits of the amount may be exchanged"},
		{"nothing fits", january("411.17", ""), "539.00", "no single slip explains it"},
		// February: 30 + 200 + 50 + demand; 0.91: 10.00. Its own 20 kW is raised
		// by the ratchet to 80 % of January's 40 kW = 32 kW: 160.00;
		// (30+200+50+160+10)·1.1 = 495.00.
		{"ratchet from the bill before", january("539.00", "") + "  - {from: 2031-02-01, to: 2031-02-28, energy-by: {day: 1000 kWh, night: 500 kWh}, reactive: 700 kvarh, demand: 20 kW, amount: 495.00 EUR}\n", "495.00", ""},
		// With January's 40 kW: 200.00 instead of 160.00, 44.00 more.
		{"demand of another bill", january("539.00", "") + "  - {from: 2031-02-01, to: 2031-02-28, energy-by: {day: 1000 kWh, night: 500 kWh}, reactive: 700 kvarh, demand: 20 kW, amount: 539.00 EUR}\n", "495.00", "the demand of 2031-01 (40 kW) explains it"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := billed(t, tt.bills)
			b := r.Bills[len(r.Bills)-1]
			if b.Rebuilt != tt.rebuilt || b.Agrees != (tt.reason == "") || !strings.HasPrefix(b.Reason, tt.reason) {
				t.Errorf("rebuilt %s (missing %v), agrees %v, reason %q", b.Rebuilt, b.Missing, b.Agrees, b.Reason)
			}
		})
	}
}

func TestABillThatLacksAQuantitySaysWhich(t *testing.T) {
	r := billed(t, "  - {from: 2031-01-01, to: 2031-01-31, energy: 1500 kWh, amount: 539.00 EUR}\n")
	b := r.Bills[0]
	if got := strings.Join(b.Missing, " "); got != "energy-by demand reactive" && got != "energy-by reactive demand" || b.Rebuilt != "" || b.Agrees {
		t.Errorf("missing %q, rebuilt %q", got, b.Rebuilt)
	}
}

func TestPrintedLinesAreCompared(t *testing.T) {
	r := billed(t, january("539.00", ", lines: {standing: 30.00 EUR, day-units: 210.00 EUR}"))
	ls := r.Bills[0].Lines
	if len(ls) != 2 || !ls[0].Agrees || ls[1].Agrees || ls[1].Difference != "-10.00" {
		t.Errorf("%+v", ls)
	}
}

// The base load of the small site is 500 kW: 372,000 kWh in January, 336,000 in
// February, 12,000 a day in both.
func TestEstimateIsHeldAgainstTheBilledDays(t *testing.T) {
	r := billed(t, "  - {from: 2031-01-20, to: 2031-02-08, energy-by: {day: 100000 kWh, night: 150000 kWh}, reactive: 0 kvarh, demand: 500 kW, amount: 1.00 EUR}\n")
	b := r.Bills[0]
	nearly(t, "estimate", b.Estimated.Value, 240000, 1e-9)
	nearly(t, "gap", b.Gap.V, -0.04, 1e-9)
	nearly(t, "unexplained", r.Unexplained.V, 10000e3, 1e-9)
	if r.Days != 20 {
		t.Errorf("%d days", r.Days)
	}
}

func TestNoBillsNoReconciliation(t *testing.T) {
	if r := (small{}).run(t); r.Reconciled != nil {
		t.Errorf("%+v", r.Reconciled)
	}
}
