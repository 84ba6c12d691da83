package audit

import (
	"fmt"
	"strings"
	"testing"

	"auditgen/internal/uncertainty"
)

// manyLoads is a site of so many loads, by turns steady, with a duty and
// cycling, on three calendars.
func manyLoads(n int) small {
	var b strings.Builder
	for i := range n {
		runs := []string{"calendar: shift", "calendar: always, duty: 30..40..50 %", "calendar: night, duty: 40..55..70 %, cycle: 20 min"}[i%3]
		fmt.Fprintf(&b, "  - {id: l%d, name: Load %d, at: DB1-%d, use: use %d, power: %d..%d..%d W, runs: {%s}}\n", i, i, i+1, i%5, 400+i%7*100, 500+i%7*100, 650+i%7*100, runs)
	}
	return small{tariff: coverageTariff, loads: strings.TrimSuffix(b.String(), "\n"),
		calendars: "{shift: {hours: {Mon-Fri: 06:00-18:00, Sat: 08:00-12:00}}, night: {hours: {Mon-Sun: 20:00-06:00}}}"}
}

// BenchmarkDrawsByLoads is 10,000 draws of the year and its bill for 10, 100 and
// 1,000 loads: the cost grows with the loads and their states.
func BenchmarkDrawsByLoads(b *testing.B) {
	for _, n := range []int{10, 100, 1000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			record := manyLoads(n).record(b)
			base := &Result{Record: record, Year: 2031, Currency: "EUR"}
			y, err := base.altered(Alteration{})
			if err != nil {
				b.Fatal(err)
			}
			d, err := y.model.prepared(y.useOf, len(y.result.Uses), nil)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := uncertainty.Run(d, y.model.seed(), uncertainty.Options{Draws: yearDraws}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
