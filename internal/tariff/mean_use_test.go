package tariff_test

import (
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/tariff"
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
	// Two bills alone: the second looks at both, 60,000 and 50,000 kWh, and says so.
	two := []*slotUse{newSlotUse(len(tar.Slots())), newSlotUse(len(tar.Slots()))}
	two[0].set(0, [5]float64{60000, 0, 100, 100, 0})
	two[1].set(0, [5]float64{50000, 0, 100, 100, 0})
	bills, err := tar.PriceYear(tariff.Months(2031)[:2], uses(two), tariff.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := bills[0].Total.String()+" "+bills[1].Total.String(), "-520 0"; got != want {
		t.Errorf("two bills come to %s, want %s", got, want)
	}
	if notes := strings.Join(bills[1].Notes, "; "); !strings.Contains(notes, "2 are known") {
		t.Errorf("the second bill notes %q", notes)
	}
}
