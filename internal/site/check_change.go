package site

import (
	"fmt"
	"math"
	"slices"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
)

type estimateOfShare = quantity.Estimate[quantity.Ratio]

// changeOfLoad checks the figures of a change to a load.
func (c *checker) changeOfLoad(ch *Change) {
	switch {
	case ch.Replace != nil:
		c.replace(ch.Replace)
	case ch.Efficiency != nil:
		for _, e := range []source.At[estimateOfShare]{ch.Efficiency.From, ch.Efficiency.To} {
			c.estimateWithin(e, 0.05, 1, "an efficiency of 5 % to 100 %")
		}
	case ch.Speed != nil:
		s := ch.Speed
		c.estimateWithin(s.Speed, 0.1, 1, "a speed of 10 % to 100 % of the present one")
		c.speeds(s)
		c.within(s.Static.Good(), s.Static.Value.Value, s.Static.Text, 0, 1, "a share of 0 % to 100 %")
		c.within(s.Drive.Good(), s.Drive.Value.Value, s.Drive.Text, 0.5, 1, "an efficiency of 50 % to 100 %")
		c.number(s.Exponent, 1, 3, "an exponent from 1 to 3, such as 2.5")
		if s.Static.IsSet() && s.Exponent.IsSet() {
			c.faults.At(s.Exponent.Pos, "a static head and an exponent say the same twice", "one of them")
		}
	case ch.Stagger != nil:
		s := ch.Stagger
		if !s.Delay.IsSet() && len(s.Never) == 0 && !s.Faulty {
			c.faults.At(s.Pos, "nothing is staggered", "delay: such as 30 min, or never-with: the loads that it never runs beside")
		}
		if s.Delay.Good().IsSet() && (s.Delay.Value.Value <= 0 || s.Delay.Value.Value >= 24) {
			c.faults.At(s.Delay.Pos, s.Delay.Text+" is out of range", "a delay above zero and below 24 h")
		}
		for _, other := range s.Never {
			if other.Value == s.Load.Value {
				c.faults.At(other.Pos, fmt.Sprintf("the load %q is bound to itself", other.Value), "another load")
			}
		}
	case ch.SetPoint != nil:
		c.estimateWithin(ch.SetPoint.Each, 0, 0.1, "0 % to 10 % for each kelvin")
	case ch.Leaks != nil:
		for _, e := range []source.At[estimateOfShare]{ch.Leaks.From, ch.Leaks.To} {
			c.estimateWithin(e, 0, 0.8, "a share of 0 % to 80 %")
		}
		c.stateOf(ch.Leaks.Load, or(ch.Leaks.Loaded, "loaded"), ch.Leaks.Loaded.Pos)
		if ch.Leaks.Unloaded.IsSet() {
			c.stateOf(ch.Leaks.Load, ch.Leaks.Unloaded.Value, ch.Leaks.Unloaded.Pos)
		}
	case ch.Lighting != nil:
		l := ch.Lighting
		c.positive(l.From.Good(), float64(l.From.Value.Value), l.From.Text, "a power above zero")
		c.notNegative(l.To.Good(), float64(l.To.Value.Low), l.To.Text, "a power of zero or more")
		if h := l.Heat; h != nil {
			c.within(h.Share.Good(), h.Share.Value.Value, h.Share.Text, 0, 1, "a share of 0 % to 100 %")
			c.within(h.Hours.Good(), h.Hours.Value.Value, h.Hours.Text, 0, 1, "a share of 0 % to 100 %")
			c.number(h.COP, 0.5, 15, "a coefficient of performance from 0.5 to 15, such as 3.0")
		}
	case ch.Standby != nil:
		c.notNegative(ch.Standby.To.Good(), float64(ch.Standby.To.Value.Low), ch.Standby.To.Text, "a power of zero or more")
	case ch.Duty != nil:
		c.share(ch.Duty.To, "a duty from 0 % to 100 %")
		if ch.Duty.State.IsSet() {
			c.stateOf(ch.Duty.Load, ch.Duty.State.Value, ch.Duty.State.Pos)
		} else {
			c.noStates(ch.Duty.Load, ch.Duty.Pos)
		}
	case ch.Harmonics != nil:
		h := ch.Harmonics
		c.within(h.To.Good(), h.To.Value.Value, h.To.Text, 0, 2, "a distortion of 0 % to 200 %")
		c.notNegative(h.Loss.Good(), float64(h.Loss.Value.Value), h.Loss.Text, "a loss of zero or more")
	}
}

func (c *checker) replace(r *Replace) {
	c.notNegative(r.Power.Good(), float64(r.Power.Value.Low), r.Power.Text, "a power of zero or more")
	c.notNegative(r.Standby.Good(), float64(r.Standby.Value.Low), r.Standby.Text, "a standby power of zero or more")
	c.share(r.Duty, "a duty from 0 % to 100 %")
	if r.Duty.IsSet() && !r.Power.IsSet() {
		c.noStates(r.Load, r.Duty.Pos)
	}
	if r.PF.IsSet() && !r.Power.IsSet() {
		c.faults.At(r.PF.Pos, "a power factor without a power changes nothing", "power: beside it")
	}
	set := r.Power.IsSet() || r.Duty.IsSet() || r.Standby.IsSet() || r.Count.IsSet() || r.Calendar.IsSet()
	if !set && !r.Faulty {
		c.faults.At(r.Pos, "nothing is replaced", "at least one of power, duty, standby, count, calendar")
	}
}

func (c *checker) standing(id source.At[string]) (Load, bool) {
	i := slices.IndexFunc(c.rec.Loads, func(l Load) bool { return l.ID.Value == id.Value })
	if i < 0 {
		return Load{}, false
	}
	return c.rec.Loads[i], true
}

// stateOf refuses a state that a load does not have. A load without states has
// no need of one.
func (c *checker) stateOf(load source.At[string], state string, at diag.Pos) {
	l, ok := c.standing(load)
	if !ok || len(l.States) == 0 && !at.IsSet() {
		return
	}
	if !at.IsSet() {
		at = load.Pos
	}
	if _, ok := l.States.Get(state); !ok {
		p := diag.OneOf("state", state, l.States.Keys())
		p.What = fmt.Sprintf("the load %q has no state %q", load.Value, state)
		c.faults.Add(p.At(at))
	}
}

// noStates refuses one duty for a load of several states.
func (c *checker) noStates(load source.At[string], at diag.Pos) {
	if l, ok := c.standing(load); ok && len(l.States) > 0 {
		c.faults.At(at, fmt.Sprintf("the load %q has states, each with its own duty", load.Value), "duty: with state: "+diag.Or(l.States.Keys()))
	}
}

// changeOfSupply checks the figures of a change to the supply.
func (c *checker) changeOfSupply(ch *Change) {
	switch {
	case ch.Capacitors != nil:
		b := ch.Capacitors
		c.number(b.Target, 0.7, 1, "a power factor from 0.70 to 1, such as 0.95")
		c.positive(b.Size.Good(), float64(b.Size.Value.Value), b.Size.Text, "a size above zero")
		c.within(b.Reactor.Good(), b.Reactor.Value.Value, b.Reactor.Text, 0.01, 0.3, "reactors of 1 % to 30 %")
		c.within(b.Loss.Good(), b.Loss.Value.Value, b.Loss.Text, 0, 0.03, "a loss of 0 % to 3 %")
		if !b.Target.IsSet() && !b.Size.IsSet() && !b.Faulty {
			c.faults.At(b.Pos, "neither a target nor a size is given", "target: 0.95 for an automatic bank, size: 20 kvar for fixed capacitors")
		}
		if b.Target.IsSet() && b.Calendar.IsSet() {
			c.faults.At(b.Calendar.Pos, "an automatic bank follows the load, not a calendar", "no calendar, or a size alone")
		}
	case ch.Phases.IsSet():
		c.known("point", "site.yaml", ch.Phases, c.rec.Site.Points.Keys())
	case ch.Transformer != nil:
		t := ch.Transformer
		c.positive(t.Rating.Good(), float64(t.Rating.Value.Value), t.Rating.Text, "a rating above zero")
		c.notNegative(t.NoLoad.Good(), float64(t.NoLoad.Value.Value), t.NoLoad.Text, "a loss of zero or more")
		c.notNegative(t.LoadLoss.Good(), float64(t.LoadLoss.Value.Value), t.LoadLoss.Text, "a loss of zero or more")
	case ch.Agreed.IsSet():
		c.positive(ch.Agreed.Good(), float64(ch.Agreed.Value.Value), ch.Agreed.Text, "a demand above zero")
	case ch.Tariff.IsSet():
		c.otherTariff(ch)
	case ch.Photovoltaic != nil:
		c.photovoltaics(ch.Photovoltaic)
	}
}

func (c *checker) otherTariff(ch *Change) {
	if ch.Other == nil || c.rec.Tariff == nil {
		return
	}
	if ch.Tariff.Value == c.rec.Site.Tariff.Value {
		c.faults.At(ch.Tariff.Pos, fmt.Sprintf("the tariff %q is the one in force", ch.Tariff.Value), "another tariff")
	}
	if have, want := ch.Other.File.Currency.Value.Code, c.rec.Tariff.File.Currency.Value.Code; have != want {
		c.faults.At(ch.Tariff.Pos, fmt.Sprintf("the tariff %q is in %s, the one in force in %s", ch.Tariff.Value, have, want), "a tariff in "+want)
	}
}

// MonthKeys are the keys of a table by month.
var MonthKeys = []string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

func (c *checker) photovoltaics(p *Photovoltaics) {
	for _, e := range p.Yield {
		if !slices.Contains(MonthKeys, e.Key) {
			c.faults.Add(diag.OneOf("month", e.Key, MonthKeys).At(e.Pos))
		}
		c.notNegative(e.Value.Good(), float64(e.Value.Value.Value), e.Value.Text, "an energy of zero or more")
	}
	var lacks []string
	for _, k := range MonthKeys {
		if _, ok := p.Yield.Get(k); !ok {
			lacks = append(lacks, k)
		}
	}
	if len(lacks) > 0 && len(lacks) < 12 && !p.Faulty {
		c.faults.At(p.Yield[0].Pos, "the yield lacks "+diag.Or(lacks), "all twelve months; 0 kWh where there is none")
	}
	c.aroundOne(p.Doubt)
	c.within(p.Present.Good(), p.Present.Value.Value, p.Present.Text, 0.01, 1, "a share of 1 % to 100 %")
	if !p.Place.IsSet() && !p.Faulty {
		c.faults.At(p.Pos, "sunrise and sunset need the place", "position: 53.35 ° N 6.26 ° W here or in site.yaml")
	}
}

// speeds checks that a fan's or pump's speeds are told once, and that their
// shares are the whole of the time that it runs.
func (c *checker) speeds(s *SpeedChange) {
	switch {
	case s.Speed.IsSet() && len(s.Speeds) > 0:
		c.faults.At(s.Speed.Pos, "the speed is told twice: speed and speeds", "one of them")
		return
	case !s.Speed.IsSet() && len(s.Speeds) == 0:
		if !s.Faulty {
			c.faults.At(s.Pos, "missing here: speed", "a line such as speed: 75..80..85 %, or speeds: {100 %: 25 %, 80 %: 50 %, 60 %: 25 %}")
		}
		return
	}
	sum, good := quantity.Ratio(0), true
	for _, e := range s.Speeds {
		v, err := quantity.Parse[quantity.Ratio](e.Key)
		if err != nil || v.Value < 0.1 || v.Value > 1 {
			c.faults.At(e.Pos, fmt.Sprintf("the speed %q is no speed", e.Key), "a speed of 10 % to 100 % of the present one, such as 80 %")
			good = false
		}
		c.within(e.Value.Good(), e.Value.Value.Value, e.Value.Text, 0, 1, "a share of 0 % to 100 %")
		good = good && e.Value.Good().IsSet()
		sum += e.Value.Value.Value
	}
	if good && len(s.Speeds) > 0 && math.Abs(float64(sum)-1) > 0.0051 {
		c.faults.At(s.Speeds[0].Pos, fmt.Sprintf("the shares of the speeds add up to %.1f %%", 100*float64(sum)), "shares of the running time that add up to 100 %")
	}
}

func (c *checker) estimateWithin(e source.At[estimateOfShare], low, high float64, expected string) {
	if e.Good().IsSet() && (float64(e.Value.Low) < low || float64(e.Value.High) > high) {
		c.faults.At(e.Pos, e.Text+" is out of range", expected)
	}
}
