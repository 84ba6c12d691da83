package site

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/limits"
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
	c.prices()
	for _, i := range c.rec.Provider.Instruments {
		c.id(i.ID)
		if i.Calibrated.Good().IsSet() && i.Due.Good().IsSet() && i.Due.Value.Compare(i.Calibrated.Value) <= 0 {
			c.faults.At(i.Due.Pos, "the calibration is due before it was done", "a day after "+i.Calibrated.Text)
		}
		c.notNegative(i.SmallestAmp.Good(), float64(i.SmallestAmp.Value.Value), i.SmallestAmp.Text, "a current of zero or more")
		if v := i.PhaseAngle.Value.Value; i.PhaseAngle.Good().IsSet() && (v < 0 || v > 45) {
			c.faults.At(i.PhaseAngle.Pos, i.PhaseAngle.Text+" is out of range", "an error from 0 ° to 45 °")
		}
	}
}

var idForm = regexp.MustCompile(`^[\pL\pN][\pL\pN_-]*$`)

// id refuses a name that cannot be part of a link or of a figure's name.
func (c *checker) id(a source.At[string]) {
	if a.Good().IsSet() && !idForm.MatchString(a.Value) {
		c.faults.At(a.Pos, fmt.Sprintf("%q cannot be a short name", a.Value), "letters, digits and hyphens, such as cold-store-1")
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
	c.transformer(s.Supply.Transformer)
	if l := s.Supply.Limits; l.Good().IsSet() {
		if _, err := limits.FamilyOf(l.Value); err != nil {
			c.faults.Add(problem(err).At(l.Pos))
		}
	}
	c.positive(s.Supply.FaultLevel.Good(), float64(s.Supply.FaultLevel.Value.Value), s.Supply.FaultLevel.Text, "a short-circuit power above zero")
	c.positive(s.Supply.Agreed.Good(), float64(s.Supply.Agreed.Value.Value), s.Supply.Agreed.Text, "a demand above zero")
	c.positive(s.Supply.MaxLoad.Good(), float64(s.Supply.MaxLoad.Value.Value), s.Supply.MaxLoad.Text, "a current above zero")
	c.positive(s.FloorArea.Good(), float64(s.FloorArea.Value.Value), s.FloorArea.Text, "an area above zero")
	if s.Emission != nil {
		c.notNegative(s.Emission.Factor.Good(), float64(s.Emission.Factor.Value.Value), s.Emission.Factor.Text, "a factor of zero or more")
	}
	c.points()
	c.banks()
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

// points checks that they make one tree.
func (c *checker) points() {
	points := c.rec.Site.Points
	var roots []source.Entry[Point]
	before := c.faults.Len()
	for _, p := range points {
		c.id(source.At[string]{Value: p.Key, Pos: p.Pos})
		c.positive(p.Value.Breaker.Good(), float64(p.Value.Breaker.Value.Value), p.Value.Breaker.Text, "a rating above zero")
		if p.Value.From.IsSet() {
			c.known("point", "site.yaml", p.Value.From, points.Keys())
		} else if !p.Value.Faulty {
			roots = append(roots, p)
		}
	}
	if len(roots) > 1 {
		c.faults.At(roots[1].Pos, fmt.Sprintf("the points %q and %q both have no \"from\"", roots[0].Key, roots[1].Key), "one point without it, the incomer; for the others the point that feeds them")
	}
	if c.faults.Len() == before {
		c.rings()
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
			c.faults.At(p.Pos, fmt.Sprintf("the point %q is fed from itself in a circle", p.Key), "an incomer without from:, and no circle")
			return
		}
	}
}

func problem(err error) *diag.Problem {
	if p, ok := err.(*diag.Problem); ok {
		return p
	}
	return &diag.Problem{What: err.Error()}
}

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
	if !siteRead {
		return
	}
	for _, r := range v.Readings {
		c.place(r.At)
	}
	s := &c.rec.Site
	for _, l := range v.Loads {
		c.place(l.At)
		c.weather(l.Runs)
		if len(s.Calendars) > 0 || !s.Faulty { // else the calendars may be there, unread
			c.known("calendar", "site.yaml", l.Runs.Calendar, append([]string{Always}, s.Calendars.Keys()...))
		}
	}
}

func (c *checker) instrument(with source.At[string]) {
	var ids []string
	for _, in := range c.rec.Provider.Instruments {
		if in.ID.Good().IsSet() {
			ids = append(ids, in.ID.Value)
		}
	}
	if len(ids) == len(c.rec.Provider.Instruments) && len(ids) > 0 { // else it may be there, unread
		c.known("instrument", "provider.toml", with, ids)
	}
}

// known refuses a name that is none of the options, which stand at a place.
func (c *checker) known(what, where string, a source.At[string], options []string) {
	if a.Good().IsSet() && !slices.Contains(options, a.Value) {
		p := diag.OneOf(what, a.Value, options)
		p.Expected = fmt.Sprintf("%s of %s: %s", article(what), where, diag.Or(options))
		if len(options) == 0 {
			p.Expected = fmt.Sprintf("%s of %s, which has none", article(what), where)
		}
		c.faults.Add(p.At(a.Pos))
	}
}

func article(noun string) string {
	if strings.ContainsRune("aeio", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}

func (c *checker) place(at source.At[string]) {
	points := c.rec.Site.Points
	if !at.Good().IsSet() || len(points) == 0 {
		return
	}
	if _, ok := c.rec.Site.PointOf(at.Value); !ok {
		p := diag.OneOf("point", at.Value, points.Keys())
		p.Expected = "a point of site.yaml: " + diag.Or(points.Keys()) + "; or one of them with its way, such as " + points[len(points)-1].Key + "-4"
		c.faults.Add(p.At(at.Pos))
	}
}

func (c *checker) reading(r *Reading, providerRead bool) {
	if providerRead {
		c.instrument(r.With)
	}
	c.id(r.ID)
	seen := map[int]string{}
	for _, p := range r.Phases {
		c.twice("phase", p.Key, p.Pos, PhaseIndex(p.Key), seen, phaseWords)
		c.phase(p.Value)
	}
	c.phase(r.Total)
	seen = map[int]string{}
	for _, l := range r.Lines {
		c.twice("pair of lines", l.Key, l.Pos, LineIndex(l.Key), seen, lineNames)
		c.notNegative(l.Value.Voltage.Good(), float64(l.Value.Voltage.Value.Value), l.Value.Voltage.Text, "a voltage of zero or more")
		c.notNegative(l.Value.Current.Good(), float64(l.Value.Current.Value.Value), l.Value.Current.Text, "a current of zero or more")
		c.notNegative(l.Value.Apparent.Good(), float64(l.Value.Apparent.Value.Value), l.Value.Apparent.Text, "an apparent power of zero or more")
	}
	if len(r.Phases) == 0 && len(r.Lines) == 0 && r.Wave == nil && !r.Total.shows() && !r.Faulty {
		c.faults.At(r.Pos, fmt.Sprintf("the reading %q shows nothing", r.ID.Value), "phases, lines or total")
	}
	c.positive(r.Frequency.Good(), float64(r.Frequency.Value.Value), r.Frequency.Text, "a frequency above zero")
	c.wiring(r)
	for _, s := range slices.Concat(r.Harmonics.Current, r.Harmonics.Voltage) {
		c.spectrum(s)
	}
	if r.Wave != nil && r.Ratios != nil {
		c.faults.At(r.Ratios.Pos, "ratios beside a file of samples would be applied twice", "worth: of the column, which says what one unit of it stands for")
	}
}

// shows tells whether a total shows anything that a power could come of.
func (p Phase) shows() bool {
	return p.Power.IsSet() || p.Current.IsSet() || p.Apparent.IsSet() || p.Reactive.IsSet()
}

var phaseWords = []string{"A", "B", "C", "N", "L1", "L2", "L3"}

// twice refuses a phase or pair of lines that is unknown, or the same as one
// before under another name.
func (c *checker) twice(what, key string, pos diag.Pos, index int, seen map[int]string, options []string) {
	if index < 0 {
		c.faults.Add(diag.OneOf(what, key, options).At(pos))
		return
	}
	if first, ok := seen[index]; ok {
		c.faults.At(pos, fmt.Sprintf("%s and %s are the same %s", first, key, what), "one of them")
	}
	seen[index] = key
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
	for _, a := range []source.At[quantity.Displayed[quantity.Degrees]]{p.Angle, p.VoltageAngle} {
		if a.Good().IsSet() && (a.Value.Value < -360 || a.Value.Value > 360) {
			c.faults.At(a.Pos, a.Text+" is out of range", "an angle from -360 ° to 360 °")
		}
	}
}

func (c *checker) spectrum(s Spectrum) {
	if s.Phase.Good().IsSet() && PhaseIndex(s.Phase.Value) < 0 {
		c.faults.Add(diag.OneOf("phase", s.Phase.Value, phaseWords).At(s.Phase.Pos))
	}
	c.within(s.OfRMS.Good(), s.OfRMS.Value.Value, s.OfRMS.Text, 0, 0.9999, "a share of rms from 0 % to below 100 %")
	if s.OfRMS.IsSet() && s.THD.Good().IsSet() && s.THD.Value.Base == quantity.OfRMS {
		c.faults.At(s.OfRMS.Pos, "the distortion of rms is given twice", "thd of the fundamental, and beside it that of rms")
	}
	for _, o := range s.Orders {
		n, decimals, err := quantity.Number(o.Key)
		if err != nil || decimals > 0 || n < 2 || n > 50 {
			c.faults.At(o.Pos, fmt.Sprintf("%q is not a harmonic order", o.Key), "a whole number from 2 to 50")
		}
		c.notNegative(o.Value.Good(), float64(o.Value.Value.Value), o.Value.Text, "a share of zero or more")
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

// references checks what refers to readings, against the state at the visit,
// unless readings were lost: then the one that is meant may be among them.
func (c *checker) references(siteRead, lost bool) {
	ids := make([]string, len(c.rec.Readings))
	for i, r := range c.rec.Readings {
		ids[i] = r.ID.Value
	}
	if !lost {
		for _, l := range c.rec.Loads {
			c.known("reading", "this visit or an earlier one", l.Reading, ids)
			for _, s := range l.States {
				c.known("reading", "this visit or an earlier one", s.Value.Reading, ids)
			}
		}
	}
	c.bonds()
	c.growth(lost)
	if siteRead && len(c.rec.Loads) == 0 && !c.rec.Visit.Faulty {
		c.faults.At(c.rec.Visit.Pos, "no load is listed", "at least one under loads:")
	}
}

// growth refuses uses that no load has.
func (c *checker) growth(lost bool) {
	var uses []string
	for _, l := range c.rec.Loads {
		if !slices.Contains(uses, l.Use.Value) {
			uses = append(uses, l.Use.Value)
		}
	}
	for _, g := range c.rec.Site.Growth {
		if !lost && len(uses) > 0 && !c.rec.Visit.Faulty {
			c.known("use", "the loads", source.At[string]{Value: g.Key, Pos: g.Pos}, uses)
		}
		if v := g.Value; v.Good().IsSet() && (v.Value.Low < -0.5 || v.Value.High > 1) {
			c.faults.At(v.Pos, v.Text+" is out of range", "a change from -50 % to 100 % a year")
		}
	}
}
