package tariff_test

import (
	"math/rand/v2"
	"testing"

	"auditgen/internal/tariff"
)

// plainYear is a tariff of time of use, demand and ratchet.
const plainYear = `tariff: Time of use with a ratchet
currency: EUR
from: 2031-01-01
seasons: {winter: 1 Nov to 31 Mar, summer: 1 Apr to 31 Oct}
holidays: [1 Jan, Easter + 1, 25 Dec, 26 Dec]
periods:
  peak: {days: Mon-Fri, hours: [08:00-12:00, 17:00-20:00], holidays: no}
  day: {days: Mon-Fri, hours: [07:00-08:00, 12:00-17:00, 20:00-22:00], holidays: no}
  night: otherwise
rounding: {energy: 1 kWh, demand: 0.1 kW}
charges:
  - {id: standing, fixed: 1.92 /day}
  - {id: winter-peak, energy: {season: winter, period: peak, price: 0.2314 /kWh}}
  - {id: summer-peak, energy: {season: summer, period: peak, price: 0.1914 /kWh}}
  - {id: day-units, energy: {period: day, price: 0.1523 /kWh}}
  - {id: night-units, energy: {period: night, price: 0.0987 /kWh}}
  - {id: demand, demand: {price: 9.10 /kW, window: 15 min, period: [peak, day], at-least: [50 kW, 70 % of highest of 11 months]}}
  - {id: vat, tax: {rate: 21 %, of: all}}
`

// BenchmarkPriceYear prices the twelve bills of a year of 35,040 intervals that
// was brought down to slots: the pricing alone, with its sentences and without.
func BenchmarkPriceYear(b *testing.B) {
	tar := readTariff(b, plainYear)
	year := uses(randomYear(tar, rand.New(rand.NewPCG(9, 10))))
	for name, o := range map[string]tariff.Options{"sentences": {Steady: true}, "brief": {Steady: true, Brief: true}} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := tar.PriceYear(tariff.Months(2031), year, o); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkPriceTwelveBills prices a tariff of sixteen charges.
func BenchmarkPriceTwelveBills(b *testing.B) {
	tar := medium(b)
	year := uses(randomYear(tar, rand.New(rand.NewPCG(9, 10))))
	o := optionsFor(tar)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := tar.PriceYear(tariff.Months(2031), year, o); err != nil {
			b.Fatal(err)
		}
	}
}
