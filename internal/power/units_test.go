package power

import (
	"testing"

	"auditgen/internal/quantity"
)

// A speed is typed in the units that plates have; the one of SI begins with a
// digit, which is no part of the number.
func TestSpeedsAsTyped(t *testing.T) {
	for text, want := range map[string]PerMin{"1470 rpm": 1470, "1470rpm": 1470, "1470.5 r/min": 1470.5, "1470 1/min": 1470} {
		d, err := quantity.Parse[PerMin](text)
		if err != nil || d.Value != want {
			t.Errorf("%s: %g, %v", text, float64(d.Value), err)
		}
	}
	for _, text := range []string{"1470", "1 470 rpm", "1 470 1/min", "14701/min", "1/min", "1470 Hz", "1470 min"} {
		if d, err := quantity.Parse[PerMin](text); err == nil {
			t.Errorf("%s is read as %g", text, float64(d.Value))
		}
	}
}
