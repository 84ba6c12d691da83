package audit

import (
	"fmt"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/site"
)

// Ten kilowatts at a power factor of 0.80 all year are 87,600 kWh, 10 kW and
// 12.5 kVA. By hand:
//
//	plain:     0.20 /kWh                               17,520.00
//	by-demand: 0.19 /kWh + 12 × 6.00 × 10 kW            17,364.00   -156.00
//	apparent:  0.19 /kWh + 12 × 6.00 × 12.5 kVA         17,544.00    +24.00
//	standing:  0.19 /kWh + 12 × (6.00 × 10 kW + 50.00)  17,964.00   +444.00
//
// Level with plain: by-demand and apparent at 876 / 72 = 12.1667 kW or kVA, which
// for apparent is a demand of 12.1667/12.5 of the present and a power factor of
// 10/12.1667; standing at 600 / (0.01 - 72/8760) = 336,923 kWh, or with
// (876 - 600) / 72 = 3.8333 kW, less than half the present and so not found.
func TestAlternativesByHand(t *testing.T) {
	s := small{more: "alternatives: [standing, by-demand, apparent]\n", loads: "  - {id: base, name: Base, at: DB1-1, use: other, power: 10 kW, pf: 0.80 lag, runs: {calendar: always}}"}
	files := s.files()
	head := "tariff: %s\ncurrency: EUR\nfrom: 2031-01-01\ncharges:\n  - {id: units, energy: 0.19 /kWh}\n"
	for name, charge := range map[string]string{
		"by-demand": "  - {id: demand, demand: {price: 6.00 /kW/month, window: 15 min}}\n",
		"apparent":  "  - {id: demand, demand: {price: 6.00 /kVA/month, window: 15 min}}\n",
		"standing":  "  - {id: demand, demand: {price: 6.00 /kW/month, window: 15 min}}\n  - {id: standing, fixed: 50.00 /month}\n",
	} {
		file := *files["tariffs/plain.yaml"]
		file.Data = []byte(fmt.Sprintf(head, name) + charge)
		files["tariffs/"+name+".yaml"] = &file
	}
	var faults diag.List
	rec := site.Read(site.Folder{FS: files, Dir: "sites/a"}, civil.Date{}, &faults)
	if rec == nil {
		t.Fatal(faults.Err())
	}
	r, err := Run(rec)
	if err != nil {
		t.Fatal(err)
	}
	if err := r.Sheet.Replay(); err != nil {
		t.Error(err)
	}
	want := []struct {
		file, cost, difference string
		at                     map[string]float64 // Wh, W, 1; absent where there is none
	}{
		{"by-demand", "17364.00", "-156.00", map[string]float64{"demand": 876. / 72 * 1e3}},
		{"plain", "17520.00", "0", nil},
		{"apparent", "17544.00", "24.00", map[string]float64{"demand": 876. / 72 / 1.25 * 1e3, "power factor": 10 / (876. / 72)}},
		{"standing", "17964.00", "444.00", map[string]float64{"energy": 600 / (0.01 - 72./8760) * 1e3}},
	}
	if len(r.Tariffs) != len(want) {
		t.Fatalf("%d tariffs ranked, want %d", len(r.Tariffs), len(want))
	}
	for i, w := range want {
		p := r.Tariffs[i]
		if p.File != w.file || !p.Exact.Equal(decimal.RequireFromString(w.cost)) || !p.Difference.Equal(decimal.RequireFromString(w.difference)) || p.InForce != (w.file == "plain") {
			t.Errorf("rank %d: %s costs %s, %s against the one in force; want %s, %s, %s", i+1, p.File, p.Exact, p.Difference, w.file, w.cost, w.difference)
		}
		for _, turn := range p.Turns {
			at, known := w.at[turn.Of]
			if known != turn.At.Known() {
				t.Errorf("%s is level at another %s: %v, want %v", p.File, turn.Of, turn.At.Known(), known)
			} else if known {
				nearly(t, p.File+" level at "+turn.Of, turn.At.V, at, 2e-4) // a bill is in whole cents
			}
		}
	}
}

// Halving meets a root, prefers the nearer of two, and finds a jump.
func TestLevel(t *testing.T) {
	for _, c := range []struct {
		name          string
		now, from, to float64
		f             func(float64) float64
		want          float64
		found         bool
	}{
		{"line", 1, 0, 4, func(x float64) float64 { return 3 - x }, 3, true},
		{"nearer of two", 1, 0, 4, func(x float64) float64 { return (x - 0.5) * (x - 3) }, 0.5, true},
		{"jump", 1, 0, 4, func(x float64) float64 {
			if x < 2.5 {
				return -1
			}
			return 1
		}, 2.5, true},
		{"none", 1, 0, 4, func(x float64) float64 { return 1 + x }, 0, false},
		{"level now", 1, 0, 4, func(x float64) float64 { return x - 1 }, 1, true},
	} {
		x, found, err := level(c.now, c.from, c.to, func(x float64) (float64, error) { return c.f(x), nil })
		if err != nil || found != c.found || found && (x < c.want-1e-6 || x > c.want+1e-6) {
			t.Errorf("%s: %v %v %v, want %v %v", c.name, x, found, err, c.want, c.found)
		}
	}
}
