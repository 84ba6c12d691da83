package charts

import (
	"slices"
	"testing"
)

// Labels at every second place are thinned among themselves.
func TestThinNamed(t *testing.T) {
	labels := []string{"0 %", "", "10 %", "", "20 %", "", "30 %", "", "40 %"}
	if got := thinNamed(labels, 40); !slices.Equal(got, labels) {
		t.Errorf("with room enough: %q", got)
	}
	want := []string{"0 %", "", "", "", "20 %", "", "", "", "40 %"}
	if got := thinNamed(labels, 12); !slices.Equal(got, want) {
		t.Errorf("with little room: %q", got)
	}
}
