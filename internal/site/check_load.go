package site

import (
	"fmt"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
)

func (c *checker) load(l *Load) {
	c.id(l.ID)
	c.bases(l)
	if v := l.PF.Value.Value; l.PF.Good().IsSet() && v <= 0 {
		c.faults.At(l.PF.Pos, "a power factor of "+l.PF.Text+" is out of range", "a number above 0, up to 1, such as 0.92 lag")
	}
	c.share(l.Runs.Duty, "a duty from 0 % to 100 %")
	c.positive(l.Runs.Cycle.Good(), float64(l.Runs.Cycle.Value.Value), l.Runs.Cycle.Text, "a cycle longer than zero")
	c.start(l.Runs)
	c.notNegative(l.Standby.Good(), float64(l.Standby.Value.Low), l.Standby.Text, "a standby power of zero or more")
	c.notNegative(l.Power.Good(), float64(l.Power.Value.Low), l.Power.Text, "a power of zero or more")
	c.aroundOne(l.Typical)
	c.motor(l.Motor)
	if n := l.Nameplate; n != nil {
		c.plateLoading(n, l.Motor)
		c.positive(n.Rated.Good(), float64(n.Rated.Value.Value), n.Rated.Text, "a rating above zero")
		if strings.HasSuffix(n.Rated.Text, "hp") && n.Rated.Good().IsSet() && !n.Efficiency.IsSet() && !n.Faulty {
			c.faults.At(n.Rated.Pos, "a rating in hp is what the motor gives at its shaft, not what it takes", "the efficiency beside it, such as efficiency: 90.2 %")
		}
		c.within(n.Efficiency.Good(), n.Efficiency.Value.Value, n.Efficiency.Text, 0.05, 1, "an efficiency of 5 % to 100 %")
		if n.Loading.Good().IsSet() && (n.Loading.Value.Low < 0 || n.Loading.Value.High > 1.5) {
			c.faults.At(n.Loading.Pos, n.Loading.Text+" is out of range", "a loading from 0 % to 150 %")
		}
	}
	if n := l.Lamps; n != nil {
		c.notNegative(n.Each.Good(), float64(n.Each.Value.Low), n.Each.Text, "a power of zero or more")
		c.notNegative(n.Ballast.Good(), float64(n.Ballast.Value.Low), n.Ballast.Text, "a power of zero or more")
	}
	if a := l.PerArea; a != nil {
		c.positive(a.Area.Good(), float64(a.Area.Value.Value), a.Area.Text, "an area above zero")
		c.notNegative(a.Power.Good(), float64(a.Power.Value.Low), a.Power.Text, "a power of zero or more")
	}
	c.states(l)
	if l.Intervals != nil {
		for _, k := range []struct {
			key string
			pos diag.Pos
		}{{"duty", l.Runs.Duty.Pos}, {"standby", l.Standby.Pos}, {"count", l.Runs.Count.Pos}} {
			if k.pos.IsSet() {
				c.faults.At(k.pos, fmt.Sprintf("the load %q is logged: its log holds the %s already", l.ID.Value, k.key), "no "+k.key+" beside intervals")
			}
		}
	}
}

// bases refuses a load whose power is told in no way, or in several.
func (c *checker) bases(l *Load) {
	var typed []string
	for _, b := range []struct {
		key string
		set bool
	}{{"reading", l.Reading.IsSet()}, {"nameplate", l.Nameplate != nil}, {"power", l.Power.IsSet()}, {"lamps", l.Lamps != nil}, {"per-area", l.PerArea != nil}, {"intervals", l.Intervals != nil}, {"states", len(l.States) > 0}} {
		if b.set {
			typed = append(typed, b.key)
		}
	}
	switch {
	case len(typed) == 0 && !l.Faulty:
		c.faults.At(l.Pos, fmt.Sprintf("the load %q does not tell its power", l.ID.Value), "one of reading, nameplate, power, lamps, per-area, intervals, states")
	case len(typed) > 1:
		c.faults.At(l.Pos, fmt.Sprintf("the load %q tells its power %d times: %s", l.ID.Value, len(typed), strings.Join(typed, ", ")), "one of them")
	}
}

func (c *checker) states(l *Load) {
	sum := quantity.Ratio(0)
	for _, s := range l.States {
		c.id(source.At[string]{Value: s.Key, Pos: s.Pos})
		c.share(s.Value.Duty, "a duty from 0 % to 100 %")
		c.notNegative(s.Value.Power.Good(), float64(s.Value.Power.Value.Low), s.Value.Power.Text, "a power of zero or more")
		sum += s.Value.Duty.Value.Mean()
		switch reading, power := s.Value.Reading.IsSet(), s.Value.Power.IsSet(); {
		case reading && power:
			c.faults.At(s.Value.Pos, fmt.Sprintf("the state %q has a reading and a power", s.Key), "one of them")
		case !reading && !power && !s.Value.Faulty:
			c.faults.At(s.Value.Pos, fmt.Sprintf("the state %q does not tell its power", s.Key), "reading or power")
		}
	}
	if sum > 1.0000001 && !l.Faulty {
		c.faults.At(l.States[0].Pos, fmt.Sprintf("the duties of %q add up to %.0f %%", l.ID.Value, float64(sum)*100), "100 % or less")
	}
	if len(l.States) > 0 && l.Runs.Duty.IsSet() {
		c.faults.At(l.Runs.Duty.Pos, "each state has its own duty, and a duty for all stands here too", "the duties of the states alone")
	}
}

func (c *checker) share(d source.At[quantity.Estimate[quantity.Ratio]], expected string) {
	if d.Good().IsSet() && (d.Value.Low < 0 || d.Value.High > 1) {
		e := d.Value
		// A half-width may stick out where the likely value is near an end; the
		// typed limits may not.
		if strings.Contains(e.Text, "±") && e.Likely >= 0 && e.Likely <= 1 {
			return
		}
		c.faults.At(d.Pos, fmt.Sprintf("%s is out of range", d.Text), expected)
	}
}

// aroundOne refuses a relative doubt that does not lie around 100 %.
func (c *checker) aroundOne(d source.At[quantity.Estimate[quantity.Ratio]]) {
	if d.Good().IsSet() && (d.Value.Low <= 0 || d.Value.Low > 1 || d.Value.High < 1 || d.Value.High > 5) {
		c.faults.At(d.Pos, fmt.Sprintf("%s is not a doubt around 100 %%", d.Text), "a range that holds 100 %, such as 100 % ± 10 % or 90..100..120 %")
	}
}
