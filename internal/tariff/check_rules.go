package tariff

import (
	"fmt"
	"slices"

	"auditgen/internal/diag"
	"auditgen/internal/source"
)

// powerFactor checks a charge for power factor: one rule, complete and in one
// kind of rate.
func (k *checker) powerFactor(c *charge) {
	f := c.PowerFactor
	forms := 0
	for _, typed := range []bool{len(f.Slopes) > 0, len(f.Steps) > 0, f.Ratio != nil} {
		if typed {
			forms++
		}
	}
	if forms != 1 {
		k.faults.At(f.Pos, fmt.Sprintf("the power factor charge has %d rules", forms), "one of slopes, steps, ratio")
	}
	k.step(f.Round, "rounding of a power factor", nil)
	if f.Window.IsSet() && f.Rule != Peak && f.Rule != AtPeak {
		k.faults.At(f.Window.Pos, "a window is stated, and the average power factor has none", "measured: peak, or the line removed")
	}
	if f.Rule == Tangent && f.Ratio != nil {
		k.faults.At(f.Ratio.Pos, "a tangent has no ratio to a target", "slopes: or steps:")
	}
	units := map[string]bool{}
	for i, s := range f.Slopes {
		k.slope(s, f.Rule == Tangent)
		for _, r := range []PerPoint{s.Add, s.Less} {
			if r.IsSet() {
				units[r.Unit] = true
				c.unit = r.Unit
			}
		}
		if len(units) > 1 {
			k.faults.At(f.Slopes[i].Pos, "a percentage and a price per kWh in one charge", "two charges")
			break
		}
	}
	if r := f.Ratio; r != nil {
		k.step(r.RoundRate, "rounding of a percentage", nil)
		k.factorMark(r.Target, true)
	}
}

func (k *checker) slope(s Slope, tangent bool) {
	if tangent {
		switch {
		case !s.Above.Pos.IsSet() || !s.Add.Pos.IsSet() || s.Below.Pos.IsSet() || s.Less.Pos.IsSet():
			k.faults.At(s.Pos, "the slope of a tangent is incomplete", "above: and add:, such as {above: 0.328, add: 1 % per 0.01}")
		case s.UpTo.IsSet() && s.UpTo.Value.LessThanOrEqual(s.Above.Value.Decimal):
			k.faults.At(s.UpTo.Pos, fmt.Sprintf("the range from %s up to %s is empty", s.Above.Text, s.UpTo.Text), "up-to above "+s.Above.Text)
		}
		return
	}
	for _, r := range []source.At[Ratio]{s.Below, s.DownTo, s.Above, s.UpTo} {
		k.factorMark(r, false)
	}
	down, up := s.Below.Pos.IsSet() || s.Add.Pos.IsSet() || s.DownTo.Pos.IsSet(), s.Above.Pos.IsSet() || s.Less.Pos.IsSet() || s.UpTo.Pos.IsSet()
	switch {
	case down == up:
		k.faults.At(s.Pos, "the slope is neither a surcharge nor a bonus", "below: and add: for a surcharge, above: and less: for a bonus")
	case down && (!s.Below.Pos.IsSet() || !s.Add.Pos.IsSet()):
		k.faults.At(s.Pos, "the surcharge is incomplete", "below: and add:, such as {below: 0.85, add: 1.5 % per 0.01}")
	case up && (!s.Above.Pos.IsSet() || !s.Less.Pos.IsSet()):
		k.faults.At(s.Pos, "the bonus is incomplete", "above: and less:, such as {above: 0.95, less: 0.5 % per 0.01}")
	case down && s.DownTo.IsSet() && s.DownTo.Value.GreaterThanOrEqual(s.Below.Value.Decimal):
		k.faults.At(s.DownTo.Pos, fmt.Sprintf("the range from %s down to %s is empty", s.Below.Text, s.DownTo.Text), "down-to below "+s.Below.Text)
	case up && s.UpTo.IsSet() && s.UpTo.Value.LessThanOrEqual(s.Above.Value.Decimal):
		k.faults.At(s.UpTo.Pos, fmt.Sprintf("the range from %s up to %s is empty", s.Above.Text, s.UpTo.Text), "up-to above "+s.Above.Text)
	}
}

// limit checks a limit's kind and unit for the charge it stands in.
func (k *checker) limit(c *charge, l Limit, unit string, kinds ...LimitKind) {
	if !l.IsSet() {
		return
	}
	if !slices.Contains(kinds, l.Kind) {
		k.faults.At(l.Pos, fmt.Sprintf("%q cannot stand here", l.Text), limitChoice(kinds, unit))
		return
	}
	switch l.Kind {
	case LimitAmount:
		if unit != "" && l.Amount.Unit != unit {
			k.faults.At(l.Pos, fmt.Sprintf("%q is in %s, and the charge counts %s", l.Text, l.Amount.Unit, unit), "an amount in "+unit)
		}
	case LimitOther:
		if (l.Unit == "kWh") != (c.kind == KindReactive || c.kind == KindEnergy) {
			k.faults.At(l.Pos, fmt.Sprintf("%q cannot bound %s", l.Text, unit), limitChoice(kinds, unit))
		}
		if l.Period != "" && l.Period != "all" {
			known(k.faults, source.At[string]{Value: l.Period, Pos: l.Pos}, "period", k.periods)
		}
	case LimitHighest:
		if l.Season != "" {
			known(k.faults, source.At[string]{Value: l.Season, Pos: l.Pos}, "season", k.seasons)
		}
	}
}

func limitChoice(kinds []LimitKind, unit string) string {
	examples := map[LimitKind]string{LimitAmount: "50 " + unit, LimitAgreed: "agreed", LimitOther: "90 % of kVA", LimitHighest: "70 % of highest of 11 months", LimitLine: "100 % of another demand line"}
	examples[LimitLoad] = "load factor 0.55"
	if unit == "kvarh" || unit == "kWh" {
		examples[LimitOther] = "33 % of kWh"
	}
	words := make([]string, len(kinds))
	for i, kind := range kinds {
		words[i] = examples[kind]
	}
	return diag.Choice(words)
}
