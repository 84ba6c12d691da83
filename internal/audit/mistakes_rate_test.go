package audit

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"auditgen/internal/plant"
	"auditgen/internal/working"
)

// Clamps put wrong at the incomers of random plants are named for what they are,
// with powers and kvar shown within the instrument's accuracy. Rotated clamps at
// a power factor below about one half look like reversed ones at a high one: no
// display of one reading tells them apart.
func TestWrongClampsAreNamed(t *testing.T) {
	const plantsTried = 120
	for _, c := range []struct {
		want   string
		clamps [3]int  // the conductor in each clamp, counted from 1, minus for backwards
		least  float64 // share that must be named
	}{
		{"current-reversed", [3]int{-1, 2, 3}, 1}, {"current-reversed", [3]int{1, -2, -3}, 1},
		{"clamps-exchanged", [3]int{2, 1, 3}, 1}, {"clamps-exchanged", [3]int{1, 3, 2}, 1},
		{"clamps-rotated", [3]int{2, 3, 1}, 0.85}, {"clamps-rotated", [3]int{3, 1, 2}, 0.9},
		{"clamp-on-another-phase", [3]int{1, 2, 1}, 0.95}, {"clamp-on-another-phase", [3]int{1, 1, 3}, 0.95},
	} {
		t.Run(fmt.Sprint(c.want, c.clamps), func(t *testing.T) {
			rng := rand.New(rand.NewPCG(2031, 8))
			named, twice := 0, 0
			for n := 0; n < plantsTried; {
				p, on := plants(rng)
				if !everyPhaseCarries(p) {
					continue
				}
				n++
				m := newMeter(rng, false)
				m.three("R1", "incomer", clampedAs(p.Solve(on...).Incomer, c.clamps))
				rec := small{points: "{incomer: {name: Incomer}}", readings: m.b.String(), loads: strings.Replace(plainLoad, "DB1-1", "incomer-1", 1)}.record(t)
				ds := doubts(rec, readings(rec, &working.Sheet{}))
				if len(ds) > 1 {
					twice++
				}
				if ids(ds) == c.want {
					named++
				}
			}
			if got := float64(named) / plantsTried; got < c.least {
				t.Errorf("named in %.0f %% of plants, less than %.0f %%", 100*got, 100*c.least)
			}
			if twice > 0 {
				t.Errorf("one mistake raised several doubts in %d plants", twice)
			}
			t.Logf("named in %d of %d plants", named, plantsTried)
		})
	}
}

func clampedAs(t plant.Terminal, clamps [3]int) plant.Terminal {
	out := plant.Terminal{V: t.V}
	for i, c := range clamps {
		w := plant.Wave{}
		for h, z := range t.I[max(c, -c)-1] {
			if c < 0 {
				z = -z
			}
			w[h] = z
		}
		out.I[i] = w
	}
	return out
}
