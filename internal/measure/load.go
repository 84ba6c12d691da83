package measure

import (
	"fmt"
	"slices"

	"auditgen/internal/diag"
	"auditgen/internal/effect"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/source"
	"auditgen/internal/working"
)

// standardLoading is what a plate without a loading is taken at.
var standardLoading = share{Low: 0.60, Likely: 0.75, High: 0.90, Shape: quantity.Triangular, Text: "60..75..90 %"}

// scale multiplies the running power of a load, whatever it comes from; its doubts
// stay what they are in proportion.
func (s *state) scale(id source.At[string], k quantity.Ratio) {
	s.with(id, func(l *site.Load) {
		f := float64(k)
		typical := l.Typical
		if !typical.IsSet() {
			typical = at(s.rec.Site.Doubt.TypicalOrDefault(), "", s.pos)
		}
		typical.Value = typical.Value.Scale(f)
		l.Typical = typical
		if l.Power.IsSet() {
			l.Power.Value = l.Power.Value.Scale(f)
		}
		if l.Nameplate != nil {
			n := *l.Nameplate
			switch {
			case n.Speed != nil || n.Current != nil: // what was read goes by typical, as a reading does
			case n.Loading.IsSet():
				n.Loading.Value = n.Loading.Value.Scale(f)
			default:
				n.Loading = at(standardLoading.Scale(f), standardLoading.Text, s.pos)
			}
			l.Nameplate = &n
		}
		if l.Lamps != nil {
			n := *l.Lamps
			n.Each.Value, n.Ballast.Value = n.Each.Value.Scale(f), n.Ballast.Value.Scale(f)
			l.Lamps = &n
		}
		if l.PerArea != nil {
			a := *l.PerArea
			a.Power.Value = a.Power.Value.Scale(f)
			l.PerArea = &a
		}
		for i := range l.States {
			if p := &l.States[i].Value.Power; p.IsSet() {
				p.Value = p.Value.Scale(f)
			}
		}
	})
}

// scaleDuty multiplies the time that a load runs, of all its states alike.
func (s *state) scaleDuty(id source.At[string], k quantity.Ratio) {
	s.with(id, func(l *site.Load) {
		for i := range l.States {
			scaled(&l.States[i].Value.Duty, k)
		}
		if len(l.States) > 0 {
			return
		}
		s.wholeDuty(l)
		scaled(&l.Runs.Duty, k)
	})
}

// wholeDuty types the duty that a load without one has.
func (s *state) wholeDuty(l *site.Load) {
	switch e := l.Runs.Duty.Value; {
	case !l.Runs.Duty.IsSet():
		l.Runs.Duty = at(fixed(1), "100 %", s.pos)
	case e.Shape == quantity.Exact && e.Likely > 0 && e.Likely < 1:
		// The audit doubts such a duty by a share of it: that doubt must stay.
		l.Runs.Duty.Value = s.rec.Site.Doubt.DutyOrDefault().Scale(float64(e.Likely))
		l.Runs.Duty.Value.High = min(l.Runs.Duty.Value.High, 1)
	case e.Shape == quantity.Exact:
		l.Runs.Duty.Value = fixed(e.Likely)
	}
}

func scaled(d *source.At[share], k quantity.Ratio) {
	e := d.Value.Scale(float64(k))
	e.Low, e.Likely, e.High = min(e.Low, 1), min(e.Likely, 1), min(e.High, 1)
	d.Value = e
}

func (s *state) replace(c *site.Replace) {
	s.with(c.Load, func(l *site.Load) {
		if c.Power.IsSet() {
			pf := c.PF
			if !pf.IsSet() {
				pf = s.powerFactor(l)
			}
			s.judged(l, c.Power, pf)
		}
		if c.Duty.IsSet() {
			l.Runs.Duty = c.Duty
		}
		if c.Standby.IsSet() {
			l.Standby = c.Standby
		}
		if c.Count.IsSet() {
			l.Runs.Count = c.Count
		}
		if c.Calendar.IsSet() {
			l.Runs.Calendar = c.Calendar
		}
	})
}

// judged gives a load a power in place of reading, plate or states. The duties of
// states become one.
func (s *state) judged(l *site.Load, power source.At[quantity.Estimate[quantity.Watts]], pf source.At[quantity.PowerFactor]) {
	if len(l.States) > 0 && !l.Runs.Duty.IsSet() {
		sum := quantity.Ratio(0)
		for _, st := range l.States {
			sum += st.Value.Duty.Value.Mean()
		}
		l.Runs.Duty = at(fixed(min(sum, 1)), "", s.pos)
	}
	l.Reading, l.Nameplate, l.States, l.Typical = source.At[string]{}, nil, nil, source.At[share]{}
	l.Lamps, l.PerArea = nil, nil
	l.Power, l.PF = power, pf
}

// powerFactor is that of a load as it is.
func (s *state) powerFactor(l *site.Load) source.At[quantity.PowerFactor] {
	if l.PF.IsSet() {
		return l.PF
	}
	for _, x := range s.result.Loads {
		if st, ok := s.result.Sheet.Get("loads." + x.ID + ".tan"); ok && x.ID == l.ID.Value {
			return at(factorOf(st.Value), "", s.pos)
		}
	}
	return source.At[quantity.PowerFactor]{}
}

// efficiency is a better motor, belt or gear at the same output.
func (s *state) efficiency(c *site.EfficiencyChange) {
	lang := s.result.Record.Words
	from := s.ratio("efficiency-now", lang.S("efficiency now"), c.From)
	to := s.ratio("efficiency-then", lang.S("efficiency then"), c.To)
	k := effect.BetterEfficiencyF.Apply(s.sheet, s.prefix+"left", lang.S("share of the power that is left"), "", from, to)
	s.scale(c.Load, k.V)
	if to.V < from.V {
		s.warn(k.Step, lang.S("The efficiency then is below that of now: this costs energy."))
	}
}

// standardExponent stands between the cube of friction alone and the square that
// a held pressure leaves (practice, from memory).
const standardExponent = 2.5

// speed is a fan or pump that turns slower.
func (s *state) speed(c *site.SpeedChange) {
	lang := s.result.Record.Words
	drive := s.plain("drive", lang.S("efficiency of the drive"), c.Drive, 0.96, "96 %")
	if len(c.Speeds) == 0 {
		speed := s.ratio("speed", lang.S("speed, or flow, as a share of the present one"), c.Speed)
		s.scale(c.Load, s.leftAt("left", lang.S("share of the power that is left"), c, speed, drive).V)
		return
	}
	var parts []working.Num[quantity.Ratio]
	for i, e := range c.Speeds {
		at, _ := quantity.Parse[quantity.Ratio](e.Key) // it was checked when the file was read
		key := fmt.Sprintf("speeds.%d.", i+1)
		speed := working.Record(s.sheet, s.step(key+"speed", lang.S("speed, or flow, as a share of the present one"), "", e.Key, e.Pos), at.Value)
		share := working.Record(s.sheet, s.step(key+"share", lang.F("share of the time at %s", e.Key), "", e.Value.Text, e.Value.Pos), e.Value.Value.Value)
		parts = append(parts, s.leftAt(key+"left", lang.F("share of the power that is left at %s", e.Key), c, speed, drive), share)
	}
	s.scale(c.Load, effect.OverSpeedsF.Apply(s.sheet, s.prefix+"left", lang.S("share of the power that is left"), "", parts).V)
}

// leftAt is the share of the power that a fan or pump takes at a speed or flow.
func (s *state) leftAt(key, label string, c *site.SpeedChange, speed, drive working.Num[quantity.Ratio]) working.Num[quantity.Ratio] {
	if c.Static.IsSet() {
		static, ok := s.known("static-head")
		if !ok {
			static = s.plain("static-head", s.result.Record.Words.S("share of the head that is static"), c.Static, 0, "")
		}
		return effect.HeadPowerF.Apply(s.sheet, s.prefix+key, label, "", speed, static, drive)
	}
	n, ok := s.known("exponent")
	if !ok {
		v := number(c.Exponent, standardExponent)
		n = working.Record(s.sheet, s.step("exponent", s.result.Record.Words.S("power of the speed that the power follows"), "", fmt.Sprint(v), c.Pos), quantity.Ratio(v))
	}
	return effect.SpeedPowerF.Apply(s.sheet, s.prefix+key, label, "", speed, n, drive)
}

// known is an assumption of the change that was recorded before.
func (s *state) known(key string) (working.Num[quantity.Ratio], bool) {
	st, ok := s.sheet.Get(s.prefix + key)
	return working.Num[quantity.Ratio]{V: quantity.Ratio(st.Value), Step: st.ID}, ok
}

// setPoint is a cooling or heating that has less to do: it runs less.
func (s *state) setPoint(c *site.SetPoint) {
	lang := s.result.Record.Words
	each := s.ratio("each", lang.S("share saved by each kelvin"), c.Each)
	by := working.Record(s.sheet, s.step("kelvins", lang.S("kelvins that the set-point moves"), "K", c.By.Text, c.By.Pos), float64(c.By.Value))
	saved := effect.SetPointF.Apply(s.sheet, s.prefix+"saved-share", lang.S("share of the energy saved"), "", each, by)
	s.scaleDuty(c.Load, 1-saved.V)
}

// leaks is a compressor that is loaded less, and idles or stops instead.
func (s *state) leaks(c *site.Leaks) {
	lang := s.result.Record.Words
	from := s.ratio("leaks-now", lang.S("share of the output that leaks now"), c.From)
	to := s.ratio("leaks-then", lang.S("share of the present output that leaks then"), c.To)
	k := effect.LeaksLeftF.Apply(s.sheet, s.prefix+"left", lang.S("share of the loaded time that is left"), "", from, to)
	s.with(c.Load, func(l *site.Load) {
		if len(l.States) == 0 {
			s.wholeDuty(l)
			scaled(&l.Runs.Duty, k.V)
			return
		}
		loaded := "loaded"
		if c.Loaded.IsSet() {
			loaded = c.Loaded.Value
		}
		freed := quantity.Ratio(0)
		for i := range l.States {
			if l.States[i].Key == loaded {
				d := &l.States[i].Value.Duty
				freed = d.Value.Mean() * (1 - k.V)
				scaled(d, k.V)
			}
		}
		for i := range l.States {
			if d := &l.States[i].Value.Duty; c.Unloaded.IsSet() && l.States[i].Key == c.Unloaded.Value {
				d.Value.Low, d.Value.Likely, d.Value.High = d.Value.Low+freed, d.Value.Likely+freed, d.Value.High+freed
			}
		}
	})
}

// duty is another duty in the same hours.
func (s *state) duty(c *site.DutyChange) {
	s.with(c.Load, func(l *site.Load) {
		if !c.State.IsSet() {
			l.Runs.Duty = c.To
			return
		}
		for i := range l.States {
			if l.States[i].Key == c.State.Value {
				l.States[i].Value.Duty = c.To
			}
		}
	})
}

// lighting is other lamps on the same hours, and what cooling saves besides.
func (s *state) lighting(c *site.Lighting) error {
	lang := s.result.Record.Words
	from := working.Record(s.sheet, s.step("fitting-now", lang.S("input of a fitting now"), "W", c.From.Text, c.From.Pos), c.From.Value.Value)
	watts := s.doubted("fitting-then", float64(c.To.Value.Mean()), float64(c.To.Value.Deviation()))
	to := working.Record(s.sheet, s.step("fitting-then", lang.S("input of a fitting then"), "W", c.To.Text, c.To.Pos), quantity.Watts(max(watts, 0)))
	k := effect.FittingShareF.Apply(s.sheet, s.prefix+"left", lang.S("share of the power that is left"), "", from, to)
	before, err := s.energy(c)
	if err != nil {
		return err
	}
	s.scale(c.Load, k.V)
	if c.Heat == nil {
		return nil
	}
	return s.lessHeat(c, before)
}

// energy is what a load with heat takes in the year so far; nothing where no heat
// is stated, since it is not asked for.
func (s *state) energy(c *site.Lighting) (quantity.WattHours, error) {
	if c.Heat == nil {
		return 0, nil
	}
	v, err := s.year(true)
	if err != nil {
		return 0, err
	}
	return quantity.WattHours(v.Energy.Value * 1e3), nil
}

// lessHeat lets cooling run less by what the light's heat burdens it less. It
// cannot save more than it takes.
func (s *state) lessHeat(c *site.Lighting, before quantity.WattHours) error {
	lang := s.result.Record.Words
	after, err := s.energy(c)
	if err != nil {
		return err
	}
	h := c.Heat
	heat := s.plain("heat", lang.S("share of the light's heat that cooling takes away"), h.Share, 0, "")
	hours := s.plain("heat-hours", lang.S("share of the lit hours in which it cools"), h.Hours, 0, "")
	cop := working.Record(s.sheet, s.step("cop", lang.S("coefficient of performance of the cooling"), "", h.COP.Text, h.COP.Pos), quantity.Ratio(number(h.COP, 3)))
	i := effect.InteractionF.Apply(s.sheet, s.prefix+"interaction", lang.S("what cooling saves besides, of the light's saving"), "", heat, hours, cop)
	takes, err := s.taken(h.Load)
	if err != nil {
		return err
	}
	saves := (before - after) * quantity.WattHours(i.V)
	if saves > takes {
		s.warn(i.Step, lang.S("The cooling cannot save more than it takes: no more than its whole energy is counted."))
		saves = takes
	}
	if takes > 0 {
		s.scaleDuty(h.Load, quantity.Ratio(1-saves/takes))
	}
	return nil
}

// taken is what one load takes in the year so far.
func (s *state) taken(id source.At[string]) (quantity.WattHours, error) {
	with, err := s.year(true)
	if err != nil {
		return 0, err
	}
	o := *s
	rec := *s.rec
	o.rec = &rec
	rec.Loads = nil
	for _, l := range s.rec.Loads {
		if l.ID.Value != id.Value {
			rec.Loads = append(rec.Loads, l)
		}
	}
	without, err := o.year(true)
	if err != nil {
		return 0, err
	}
	return quantity.WattHours((with.Energy.Value - without.Energy.Value) * 1e3), nil
}

// shift moves a load to other hours at the same energy: fewer hours mean a higher
// duty, which cannot pass 100 %.
func (s *state) shift(c *site.HoursChange) error {
	return s.sameWork(c.Load, func(l *site.Load) { l.Runs.Calendar = c.Calendar }, fmt.Sprintf("the hours of %q", c.Calendar.Value), "a calendar with more hours", c.Calendar.Pos)
}

// stagger starts a load later in its hours, or never beside others, at the same
// energy.
func (s *state) stagger(c *site.StaggerChange) error {
	if c.Delay.IsSet() {
		if err := s.sameWork(c.Load, func(l *site.Load) { l.Runs.Delay = c.Delay }, "the hours after the delay of "+c.Delay.Text, "a shorter delay", c.Delay.Pos); err != nil {
			return err
		}
	}
	s.with(c.Load, func(l *site.Load) { l.Runs.Never = append(slices.Clone(l.Runs.Never), c.Never...) })
	return nil
}

// sameWork changes a load's hours and lets it do the same work in them.
func (s *state) sameWork(load source.At[string], change func(l *site.Load), hours, enough string, pos diag.Pos) error {
	before, err := s.taken(load)
	if err != nil {
		return err
	}
	s.with(load, change)
	after, err := s.taken(load)
	if err != nil {
		return err
	}
	if after <= 0 {
		s.faults.At(pos, hours+" are none in this year", enough)
		return nil
	}
	k := quantity.Ratio(before / after)
	s.with(load, func(l *site.Load) {
		sum := quantity.Ratio(0)
		for _, st := range l.States {
			sum += st.Value.Duty.Value.Mean()
		}
		if len(l.States) == 0 {
			s.wholeDuty(l)
			sum = l.Runs.Duty.Value.Mean()
		}
		if sum*k > 1.0005 {
			s.faults.At(pos, fmt.Sprintf("%s are too few for the work: the load would have to run %.0f %% of them", hours, float64(sum*k)*100), enough)
		}
	})
	s.scaleDuty(load, k)
	return nil
}
