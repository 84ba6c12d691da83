package site

import (
	"fmt"
	"slices"
	"strings"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
)

// checker holds the record against what its values may be and against itself.
type checker struct {
	rec    *Record
	faults *diag.List
}

func (c *checker) provider() {
	unique(c.faults, "instrument", c.rec.Provider.Instruments, func(i Instrument) source.At[string] { return i.ID })
	for _, i := range c.rec.Provider.Instruments {
		if i.Calibrated.IsSet() && i.Due.IsSet() && i.Due.Value.Compare(i.Calibrated.Value) <= 0 {
			c.faults.At(i.Due.Pos, "calibration is due before it was done", "a later date")
		}
	}
}

// unique refuses an id that is given twice in one list.
func unique[T any](faults *diag.List, what string, items []T, id func(T) source.At[string]) {
	first := map[string]diag.Pos{}
	for _, item := range items {
		a := id(item)
		if !a.IsSet() {
			continue
		}
		if p, ok := first[a.Value]; ok {
			faults.At(a.Pos, fmt.Sprintf("the %s id %q is used twice, first on line %d", what, a.Value, p.Line), "an id of its own for each")
			continue
		}
		first[a.Value] = a.Pos
	}
}

func (c *checker) site() {
	s := &c.rec.Site
	c.positive(s.Supply.Voltage.Good(), float64(s.Supply.Voltage.Value.Value), s.Supply.Voltage.Text, "a voltage above zero")
	c.positive(s.Supply.Frequency.Good(), float64(s.Supply.Frequency.Value.Value), s.Supply.Frequency.Text, "a frequency above zero")
	if t := s.Supply.Transformer; t != nil {
		c.positive(t.Rating.Good(), float64(t.Rating.Value.Value), t.Rating.Text, "a rating above zero")
		c.within(t.Impedance.Good(), t.Impedance.Value.Value, t.Impedance.Text, 0.005, 0.3, "an impedance of 0.5 % to 30 %")
	}
	roots := 0
	for _, p := range s.Points {
		if !p.Value.From.IsSet() {
			roots++
			continue
		}
		c.known("point", p.Value.From, s.Points.Keys())
	}
	if roots != 1 && len(s.Points) > 0 {
		c.faults.At(s.Points[0].Pos, fmt.Sprintf("%d points have no \"from\"", roots), "exactly one: the incomer")
	}
	c.rings()
	if s.Year.IsSet() && (s.Year.Value < 1970 || s.Year.Value > 2200) {
		c.faults.At(s.Year.Pos, fmt.Sprintf("the year %d is out of range", s.Year.Value), "1970 to 2200")
	}
	if s.Output != nil && s.Output.Amount.IsSet() {
		if v, _, err := quantity.Number(s.Output.Amount.Value); err != nil || v <= 0 {
			c.faults.At(s.Output.Amount.Pos, fmt.Sprintf("%q is not an amount", s.Output.Amount.Value), "a number above zero")
		}
	}
	for _, e := range s.Calendars {
		c.calendar(e)
	}
	for _, d := range []source.At[quantity.Estimate[quantity.Ratio]]{s.Doubt.Typical, s.Doubt.Duty, s.Doubt.Hours} {
		c.aroundOne(d)
	}
}

// rings refuses points that feed each other in a circle.
func (c *checker) rings() {
	for _, p := range c.rec.Site.Points {
		at, steps := p.Key, 0
		for at != "" && steps <= len(c.rec.Site.Points) {
			point, _ := c.rec.Site.Points.Get(at)
			at = point.From.Value
			steps++
		}
		if at != "" {
			c.faults.At(p.Pos, fmt.Sprintf("the point %q is fed from itself in a circle", p.Key), "a tree that ends at the incomer")
			return
		}
	}
}

func (c *checker) calendar(e source.Entry[CalendarFile]) {
	if e.Key == Always {
		c.faults.At(e.Pos, "\"always\" is there already and cannot be redefined", "another name")
	}
	for _, h := range e.Value.Hours {
		var w civil.Weekdays
		if err := w.UnmarshalText([]byte(h.Key)); err != nil {
			c.faults.Add(problem(err).At(h.Pos))
		}
	}
	if h := e.Value.Holidays; h.IsSet() && h.Value != "open" && h.Value != "closed" {
		c.faults.Add(diag.OneOf("word", h.Value, []string{"open", "closed"}).At(h.Pos))
	}
	c.aroundOne(e.Value.Doubt)
}

func problem(err error) *diag.Problem {
	if p, ok := err.(*diag.Problem); ok {
		return p
	}
	return &diag.Problem{What: err.Error()}
}

// Always is the calendar that is there without being listed.
const Always = "always"

func (c *checker) visit(v *Visit, siteRead, providerRead bool) {
	if providerRead {
		c.instrument(v.With)
	}
	unique(c.faults, "reading", v.Readings, func(r Reading) source.At[string] { return r.ID })
	unique(c.faults, "load", v.Loads, func(l Load) source.At[string] { return l.ID })
	for i := range v.Readings {
		c.reading(&v.Readings[i], providerRead)
	}
	for i := range v.Loads {
		c.load(&v.Loads[i])
	}
	if siteRead {
		for _, r := range v.Readings {
			c.place(r.At)
		}
		for _, l := range v.Loads {
			c.place(l.At)
			c.known("calendar", l.Runs.Calendar, append([]string{Always}, c.rec.Site.Calendars.Keys()...))
		}
	}
}

func (c *checker) instrument(with source.At[string]) {
	ids := make([]string, len(c.rec.Provider.Instruments))
	for i, in := range c.rec.Provider.Instruments {
		ids[i] = in.ID.Value
	}
	c.known("instrument", with, ids)
}

func (c *checker) known(what string, a source.At[string], options []string) {
	if a.IsSet() && !slices.Contains(options, a.Value) {
		c.faults.Add(diag.OneOf(what, a.Value, options).At(a.Pos))
	}
}

func (c *checker) place(at source.At[string]) {
	if !at.IsSet() {
		return
	}
	if _, ok := c.rec.Site.PointOf(at.Value); !ok {
		p := diag.OneOf("point", at.Value, c.rec.Site.Points.Keys())
		p.Expected += ", or one of them with its way, such as " + c.rec.Site.Points[len(c.rec.Site.Points)-1].Key + "-4"
		c.faults.Add(p.At(at.Pos))
	}
}

func (c *checker) reading(r *Reading, providerRead bool) {
	if providerRead {
		c.instrument(r.With)
	}
	if strings.Contains(r.ID.Value, ".") {
		c.faults.At(r.ID.Pos, fmt.Sprintf("the id %q has a point in it", r.ID.Value), "letters, digits and hyphens")
	}
	for _, p := range r.Phases {
		if PhaseIndex(p.Key) < 0 {
			c.faults.Add(diag.OneOf("phase", p.Key, []string{"A", "B", "C", "N", "L1", "L2", "L3"}).At(p.Pos))
		}
		c.phase(p.Value)
	}
	c.phase(r.Total)
	for _, l := range r.Lines {
		if LineIndex(l.Key) < 0 {
			c.faults.Add(diag.OneOf("pair of lines", l.Key, lineNames).At(l.Pos))
		}
		c.notNegative(l.Value.Voltage.Good(), float64(l.Value.Voltage.Value.Value), l.Value.Voltage.Text, "a voltage of zero or more")
		c.notNegative(l.Value.Current.Good(), float64(l.Value.Current.Value.Value), l.Value.Current.Text, "a current of zero or more")
	}
	if len(r.Phases) == 0 && len(r.Lines) == 0 && !r.Total.Power.IsSet() && !r.Total.Current.IsSet() {
		c.faults.At(r.Pos, fmt.Sprintf("the reading %s shows nothing", r.ID.Value), "phases, lines or total")
	}
	c.wiring(r)
	for _, s := range slices.Concat(r.Harmonics.Current, r.Harmonics.Voltage) {
		c.spectrum(s)
	}
}

// wiring refuses phases that a wiring does not have.
func (c *checker) wiring(r *Reading) {
	if r.Wiring.Value == OnePhaseTwoWire && !r.Balanced.Value {
		live := 0
		for _, p := range r.Phases {
			if PhaseIndex(p.Key) >= 0 && PhaseIndex(p.Key) != Neutral {
				live++
			}
		}
		if live+len(r.Lines) > 1 {
			c.faults.At(r.Wiring.Pos, "a 1P2W reading has one phase, or one pair of lines", "one reading for each circuit")
		}
	}
	if r.Balanced.Value && r.Wiring.IsSet() && r.Wiring.Value != ThreePhaseFourWire && r.Wiring.Value != ThreePhaseThreeWire {
		c.faults.At(r.Balanced.Pos, "only a three-phase reading can be balanced", "wiring 3P3W or 3P4W")
	}
}

func (c *checker) phase(p Phase) {
	c.notNegative(p.Voltage.Good(), float64(p.Voltage.Value.Value), p.Voltage.Text, "a voltage of zero or more")
	c.notNegative(p.Current.Good(), float64(p.Current.Value.Value), p.Current.Text, "a current of zero or more")
	c.notNegative(p.Apparent.Good(), float64(p.Apparent.Value.Value), p.Apparent.Text, "an apparent power of zero or more")
	if p.Angle.IsSet() && (p.Angle.Value.Value < -360 || p.Angle.Value.Value > 360) {
		c.faults.At(p.Angle.Pos, fmt.Sprintf("the angle %s is out of range", p.Angle.Text), "-360 ° to 360 °")
	}
}

func (c *checker) spectrum(s Spectrum) {
	if s.Phase.IsSet() && PhaseIndex(s.Phase.Value) < 0 {
		c.faults.Add(diag.OneOf("phase", s.Phase.Value, []string{"A", "B", "C", "N", "L1", "L2", "L3"}).At(s.Phase.Pos))
	}
	for _, o := range s.Orders {
		n, decimals, err := quantity.Number(o.Key)
		if err != nil || decimals > 0 || n < 2 || n > 50 {
			c.faults.At(o.Pos, fmt.Sprintf("%q is not a harmonic order", o.Key), "a whole number from 2 to 50")
		}
		c.notNegative(o.Value.Good(), float64(o.Value.Value.Value), o.Value.Text, "a share of zero or more")
	}
}

func (c *checker) load(l *Load) {
	if strings.Contains(l.ID.Value, ".") {
		c.faults.At(l.ID.Pos, fmt.Sprintf("the id %q has a point in it", l.ID.Value), "letters, digits and hyphens")
	}
	bases := 0
	for _, set := range []bool{l.Reading.IsSet(), l.Nameplate != nil, l.Power.IsSet(), len(l.States) > 0} {
		if set {
			bases++
		}
	}
	if bases != 1 && l.ID.IsSet() {
		c.faults.At(l.Pos, fmt.Sprintf("the load %s has %d of reading, nameplate, power and states", l.ID.Value, bases), "exactly one of them")
	}
	c.share(l.Runs.Duty, "a duty from 0 to 100 %")
	if l.Runs.Cycle.IsSet() {
		c.positive(l.Runs.Cycle.Good(), float64(l.Runs.Cycle.Value.Value), l.Runs.Cycle.Text, "a cycle longer than zero")
	}
	c.notNegative(l.Standby.Good(), float64(l.Standby.Value.Low), l.Standby.Text, "a standby power of zero or more")
	c.notNegative(l.Power.Good(), float64(l.Power.Value.Low), l.Power.Text, "a power of zero or more")
	c.aroundOne(l.Typical)
	if n := l.Nameplate; n != nil {
		c.positive(n.Rated.Good(), float64(n.Rated.Value.Value), n.Rated.Text, "a rating above zero")
		c.within(n.Efficiency.Good(), n.Efficiency.Value.Value, n.Efficiency.Text, 0.05, 1, "an efficiency of 5 % to 100 %")
		if n.Loading.IsSet() && (n.Loading.Value.Low < 0 || n.Loading.Value.High > 1.5) {
			c.faults.At(n.Loading.Pos, fmt.Sprintf("the loading %s is out of range", n.Loading.Text), "0 to 150 %")
		}
	}
	c.states(l)
}

func (c *checker) states(l *Load) {
	sum := quantity.Ratio(0)
	for _, s := range l.States {
		c.share(s.Value.Duty, "a duty from 0 to 100 %")
		sum += s.Value.Duty.Value.Mean()
		if s.Value.Reading.IsSet() == s.Value.Power.IsSet() {
			c.faults.At(s.Value.Pos, fmt.Sprintf("the state %s has both or neither of reading and power", s.Key), "one of them")
		}
	}
	if sum > 1.0000001 {
		c.faults.At(l.States[0].Pos, fmt.Sprintf("the duties of %s add up to %.0f %%", l.ID.Value, float64(sum)*100), "100 % or less")
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

func (c *checker) positive(pos diag.Pos, v float64, text, expected string) {
	if pos.IsSet() && v <= 0 {
		c.faults.At(pos, text+" is out of range", expected)
	}
}

func (c *checker) notNegative(pos diag.Pos, v float64, text, expected string) {
	if pos.IsSet() && v < 0 {
		c.faults.At(pos, text+" is negative", expected)
	}
}

func (c *checker) within(pos diag.Pos, v quantity.Ratio, text string, low, high quantity.Ratio, expected string) {
	if pos.IsSet() && (v < low || v > high) {
		c.faults.At(pos, text+" is out of range", expected)
	}
}

// references checks what refers to readings, against the state at the visit.
func (c *checker) references(siteRead bool) {
	ids := make([]string, len(c.rec.Readings))
	for i, r := range c.rec.Readings {
		ids[i] = r.ID.Value
	}
	for _, l := range c.rec.Loads {
		c.known("reading", l.Reading, ids)
		for _, s := range l.States {
			c.known("reading", s.Value.Reading, ids)
		}
	}
	if siteRead && len(c.rec.Loads) == 0 {
		c.faults.At(c.rec.Visit.Pos, "no load is listed", "at least one under loads")
	}
}
