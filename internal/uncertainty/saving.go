package uncertainty

import (
	"fmt"
	"math"
)

// Series describes the bills or readings that a saving is to be seen in.
type Series struct {
	Spread        float64 // coefficient of variation of the model's residuals, 0.10 for 10 %
	Before, After float64 // numbers of points, 3 or more before, 1 or more after
	Correlation   float64 // of each residual with the one before, 0 to 1
}

// FractionalSaving is the uncertainty of a saving as a share of the saving,
// which is itself a share of the use before, for a coverage factor t: ΔE/E =
// t·1.26·CV/F·√[(n/n')·(1 + 2/n')/m] with n' = n·(1-ρ)/(1+ρ) (ASHRAE Guideline
// 14, annex B; the form without correlation from a secondary copy, n' from
// memory). At 0.5 or more for 68 % coverage the saving cannot be told from the
// bills.
func FractionalSaving(s Series, saving, t float64) (float64, error) {
	switch {
	case !(s.Spread >= 0) || !(t > 0) || !(saving > 0 && saving <= 1):
		return 0, fmt.Errorf("spread %v, saving %v or coverage factor %v cannot be used", s.Spread, saving, t)
	case !(s.Before >= 3) || !(s.After >= 1):
		return 0, fmt.Errorf("%v points before and %v after: 3 and 1 are the least", s.Before, s.After)
	case !(s.Correlation >= 0 && s.Correlation < 1):
		return 0, fmt.Errorf("correlation %v is outside 0 to 1", s.Correlation)
	}
	worth := s.Before * (1 - s.Correlation) / (1 + s.Correlation)
	return t * 1.26 * s.Spread / saving * math.Sqrt(s.Before/worth*(1+2/worth)/s.After), nil
}

// Steps splits the change of a product into what each factor did, in the order
// given: each factor's change is counted at the new values of those before it
// and the old values of those after it, so that the parts sum to the change.
// Another order gives other parts; name it beside them.
func Steps(before, after []float64) ([]float64, error) {
	if len(before) != len(after) {
		return nil, fmt.Errorf("%d factors before, %d after", len(before), len(after))
	}
	out := make([]float64, len(before))
	for i := range out {
		out[i] = after[i] - before[i]
		for k := range out {
			switch {
			case k < i:
				out[i] *= after[k]
			case k > i:
				out[i] *= before[k]
			}
		}
	}
	return out, nil
}
