package tariff_test

import (
	"testing"

	"github.com/shopspring/decimal"
)

// A rider that holds only where the mean hours of use of twelve months pass 500 h,
// as a published rider for high load factors has it: 501st to 600th unit for each
// kVA 0.052 less, 0.105 beyond (price sheet of 2021-01-01, seen; amounts computed).
// Eleven months of 40,000 kWh and one of 60,000 at 100 kVA have a mean of 417 h;
// eleven of 55,000 one of 554 h, and then the 10,000 above 500 h count in the last
// and 5,000 in every other.
func TestMeanHoursOfUse(t *testing.T) {
	tar := readTariff(t, `tariff: Rider
supplier: Test
currency: HKD
source: made for a test
from: 2030-01-01
charges:
  - {id: d, demand: {price: 0 /kVA, window: 30 min}}
  - id: rider
    if: hours of use over 12 months of d above 500 h
    energy: {per: d, blocks: [{up-to: 500 kWh, price: 0 /kWh}, {up-to: 600 kWh, price: -0.052 /kWh}, {price: -0.105 /kWh}]}
`)
	for _, c := range []struct {
		most float64 // kWh of the other months
		want string  // the year's total
	}{{40000, "0"}, {55000, "-3380"}} {
		year := make([]*slotUse, 12)
		for m := range year {
			kwh := c.most
			if m == 11 {
				kwh = 60000
			}
			year[m] = newSlotUse(len(tar.Slots()))
			year[m].set(0, [5]float64{kwh, 0, 100, 100, 0})
		}
		sum := decimal.Zero
		for _, b := range price(t, "rider", tar, year) {
			sum = sum.Add(b.Total)
		}
		if want := decimal.RequireFromString(c.want); !sum.Equal(want) {
			t.Errorf("at %v kWh the year comes to %s, want %s", c.most, sum, want)
		}
	}
}
