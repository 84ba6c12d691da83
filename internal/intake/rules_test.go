package intake

import (
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"auditgen/internal/source"
	"auditgen/internal/tariff"
)

// Charges that look at the course of a bill are priced from intervals, each
// worked by hand for one hour of 3, 10, 6, 1 kWh and 4, 0, 8, 0 kvarh.
func TestChargesByInterval(t *testing.T) {
	l := hour(t, [4]float64{3, 10, 6, 1}, [4]float64{4, 0, 8, 0})
	for charge, want := range map[string]string{
		"demand: {price: 1 /kW, window: 30 min}":                                       "26",
		"demand: {price: 1 /kW, window: 30 min every 15 min}":                          "32",
		"demand: {price: 1 /kW/day, window: 15 min, takes: sum of days}":               "40",
		"demand: {price: 1 /kW, window: 15 min, above: 20 kW, takes: root of squares}": "20.396", // sqrt(20² + 4²)
		"demand: {price: 1 /kvar, window: 15 min, takes: at kW peak}":                  "0",
		"demand: {price: 1 /kvar, window: 15 min}":                                     "32",
		"demand: {price: 1 /kVA, window: 60 min}":                                      "23.324", // sqrt(20² + 12²)
		"energy: 1 /kVAh": "26", // 5 + 10 + 10 + 1
		"reactive: {price: 1 /kvarh, above: 50 % of kWh}":                 "2",
		"reactive: {price: 1 /kvarh, above: 50 % of kWh, netted: 15 min}": "7.5",
		"reactive: {price: 1 /kvarh, above: 50 % of kWh, netted: hour}":   "2",
		"reactive: {price: 1 /kvarh, flow: lagging register}":             "12",
	} {
		tar := readTariff(t, strings.Replace(plain, "{id: units, energy: 0.1 /kWh}", "{id: x, "+charge+"}", 1))
		bills, err := l.Price(tar, time.UTC, []tariff.Period{days("2031-01-07", "2031-01-08")}, tariff.Options{})
		if err != nil {
			t.Errorf("%s: %v", charge, err)
			continue
		}
		if got := bills[0].Lines[0].Quantity.String(); got != want {
			t.Errorf("%s: %s, want %s", charge, got, want)
		}
		for _, n := range bills[0].Notes {
			if !strings.Contains(n, "h have no reading") {
				t.Errorf("%s: %s", charge, n)
			}
		}
	}
}

// Every key of the column map is described, and named in docs/intervals.md.
func TestColumnsAreDescribed(t *testing.T) {
	n, err := source.Describe(reflect.TypeFor[Columns]())
	if err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile("../../docs/intervals.md")
	if err != nil {
		t.Fatal(err)
	}
	var keys []string
	for _, f := range n.Fields {
		keys = append(keys, f.Key)
		for _, g := range f.Fields {
			keys = append(keys, g.Key)
		}
	}
	if len(keys) < 20 {
		t.Fatalf("%d keys", len(keys))
	}
	slices.Sort(keys)
	for _, k := range slices.Compact(keys) {
		if !strings.Contains(string(page), "`"+k+"`") && !strings.Contains(string(page), "`"+k+":") {
			t.Errorf("docs/intervals.md does not name the key %q", k)
		}
	}
}
