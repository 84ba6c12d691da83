package quantity

import (
	"math"
	"strings"
	"testing"
)

// A plate of 2.5 hp is 1864 W; horsepower is no unit of what a meter shows.
func TestRatingInHorsepower(t *testing.T) {
	for text, want := range map[string]float64{"2.5 hp": 1864.24975, "10 hp": 7456.999, "7.5 kW": 7500, "900 W": 900} {
		d, err := Parse[RatedWatts](text)
		if err != nil || math.Abs(float64(d.Value)-want) > 1e-9 {
			t.Errorf("%s: %g W, %v; want %g W", text, float64(d.Value), err, want)
		}
	}
	if _, err := Parse[Watts]("10 hp"); err == nil || !strings.Contains(err.Error(), "rated power") {
		t.Errorf("power in hp: %v", err)
	}
	if _, err := Parse[RatedWatts]("10 A"); err == nil || !strings.Contains(err.Error(), "current") {
		t.Errorf("rating in A: %v", err)
	}
}
