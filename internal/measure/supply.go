package measure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"auditgen/internal/audit"
	"auditgen/internal/effect"
	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

// factorOf is the power factor of a ratio of reactive to active power.
func factorOf(tan float64) quantity.PowerFactor {
	lead := quantity.Lagging
	if tan < 0 {
		lead = quantity.Leading
	}
	return quantity.PowerFactor{Value: quantity.Ratio(math.Cos(math.Atan(math.Abs(tan)))), Lead: lead}
}

// capacitors is a bank that holds a power factor, or a fixed size.
func (s *state) capacitors(c *site.Capacitors) error {
	lang := s.result.Record.Words
	if c.Target.IsSet() {
		return s.automatic(c)
	}
	calendar := site.Always
	if c.Calendar.IsSet() {
		calendar = c.Calendar.Value
	}
	size := c.Size.Value.Value
	q := working.Record(s.sheet, s.step("size", lang.S("reactive power of the capacitors"), "var", c.Size.Text, c.Size.Pos), size)
	loss := s.loss(c, q)
	bank := audit.Capacitors(s.prefix+"bank", s.measure.Name.Value, calendar, size)
	bank.Machine.Modes[0].P = loss
	s.added = append(s.added, bank)
	s.harmless(effect.Bank{Steps: []quantity.Vars{size}}, q, c)
	if calendar == site.Always {
		s.leading(size)
	}
	return nil
}

// automatic is a bank whose controller holds a target: the share of reactive power
// that is left is that which lifts the poorest month to it, or as far as the
// bank's size goes at the highest demand.
func (s *state) automatic(c *site.Capacitors) error {
	lang := s.result.Record.Words
	target := number(c.Target, 0.95)
	v, err := s.year(true)
	if err != nil {
		return err
	}
	worst := 0.0 // reactive over active energy
	for _, m := range v.Months {
		if m.Energy.Value > 0 {
			worst = max(worst, m.Reactive.Value/m.Energy.Value)
		}
	}
	want := working.Record(s.sheet, s.step("target", lang.S("power factor that the bank holds"), "", c.Target.Text, c.Target.Pos), quantity.Ratio(target))
	tan := math.Tan(math.Acos(target))
	if worst <= tan {
		s.note(want.Step, lang.F("No month's power factor is below %.2f: the bank has nothing to do.", target))
		return nil
	}
	left := tan / worst
	peak := v.Peak.Value * 1e3
	reactive := math.Sqrt(max(v.PeakKVA.Value*v.PeakKVA.Value-v.Peak.Value*v.Peak.Value, 0)) * 1e3
	need := quantity.Vars(reactive * (1 - left))
	bank, q, ok := s.bank(c, peak, reactive, need)
	if !ok {
		s.faults.At(c.Pos, fmt.Sprintf("a bank of %.0f kvar is beyond the usual steps", float64(need)/1e3), "size: with the size in kvar")
		return nil
	}
	if total := bank.Total(); total < need {
		left = 1 - float64(total)/reactive
		s.warn(q.Step, lang.F("The bank is smaller than the %.0f kvar that the highest demand asks for: it falls short of %.2f there.", float64(need)/1e3, target))
	}
	s.left *= left
	used := 0.0
	for _, m := range v.Months {
		used += m.Reactive.Value * 1e3 * (1 - left)
	}
	mean := working.Record(s.sheet, working.Step{ID: s.prefix + "in-service", Label: lang.S("reactive power of the bank in service, mean over the year"), Kind: working.Modelled, Unit: "var", From: []string{q.Step},
		Reason: lang.S("what the year's reactive energy falls by, over its hours")}, quantity.Vars(used/s.hours()))
	loss := s.loss(c, mean)
	s.added = append(s.added, steady(s.prefix+"loss", lang.F("loss of %s", s.measure.Name.Value), loss))
	s.harmless(bank, q, c)
	return nil
}

func (s *state) hours() float64 {
	st, _ := s.result.Sheet.Get("year.hours")
	return max(st.Value, 1)
}

// bank gives the bank in usual steps, or of the size that is stated.
func (s *state) bank(c *site.Capacitors, peak, reactive float64, need quantity.Vars) (effect.Bank, working.Num[quantity.Vars], bool) {
	lang := s.result.Record.Words
	needed := working.Record(s.sheet, working.Step{ID: s.prefix + "need", Label: lang.S("reactive power that capacitors supply at the highest demand"), Kind: working.Modelled, Unit: "var", From: []string{s.prefix + "target"},
		Reason: lang.F("of the %.1f kvar at the highest demand of %.1f kW, the share that brings the poorest month to the target", reactive/1e3, peak/1e3)}, need)
	if c.Size.IsSet() {
		q := working.Record(s.sheet, s.step("size", lang.S("reactive power of the bank"), "var", c.Size.Text, c.Size.Pos), c.Size.Value.Value)
		return effect.Bank{Steps: []quantity.Vars{q.V}}, q, true
	}
	b, ok := effect.BankFor(need)
	q := working.Record(s.sheet, working.Step{ID: s.prefix + "size", Label: lang.S("reactive power of the bank in usual steps"), Kind: working.Modelled, Unit: "var", From: []string{needed.Step},
		Reason: lang.S("the smallest sum of usual steps, in a usual pattern, that reaches it")}, b.Total())
	if ok {
		s.note(q.Step, lang.F("A bank of %s kvar in steps of %s kvar.", kilo(b.Total()), stepsOf(b)))
	}
	return b, q, ok
}

func kilo(q quantity.Vars) string {
	return strings.TrimSuffix(fmt.Sprintf("%.1f", float64(q)/1e3), ".0")
}

func stepsOf(b effect.Bank) string {
	parts := make([]string, len(b.Steps))
	for i, x := range b.Steps {
		parts[i] = kilo(x)
	}
	return strings.Join(parts, " + ")
}

// steady is a constant power that is added.
func steady(id, name string, p quantity.Watts) audit.Added {
	a := audit.Capacitors(id, name, site.Always, 0)
	a.Machine.Modes[0].P = p
	return a
}

// loss is what capacitors take themselves: half a watt a kvar, ten times that with
// reactors (makers' data, common practice).
func (s *state) loss(c *site.Capacitors, q working.Num[quantity.Vars]) quantity.Watts {
	lang := s.result.Record.Words
	standard, text := quantity.Ratio(0.0005), "0.05 %"
	if c.Reactor.IsSet() {
		standard, text = 0.005, "0.5 %"
	}
	w := s.plain("loss-share", lang.S("own loss as a share of the reactive power"), c.Loss, standard, text)
	return effect.CapacitorLossF.Apply(s.sheet, s.prefix+"own-loss", lang.S("loss of the capacitors"), "W", q, w).V
}

// present is from what share of the fundamental on an order counts as present.
const present = 0.02

// orders lists the harmonic orders present in the current at the incomer, lowest
// first.
func (s *state) orders() []int {
	var out []int
	for _, rd := range s.result.Readings {
		p, ok := s.rec.Site.Points.Get(rd.At)
		if !ok || p.From.IsSet() {
			continue
		}
		for _, w := range rd.Waves {
			for _, o := range w.Orders {
				if w.Kind == "current" && o.Share.Known() && o.Share.V >= present && !slices.Contains(out, o.N) {
					out = append(out, o.N)
				}
			}
		}
	}
	slices.Sort(out)
	return out
}

// harmless looks at what capacitors do to the network: the voltage that they lift,
// and the orders at which they resonate, each combination of steps by itself.
func (s *state) harmless(b effect.Bank, q working.Num[quantity.Vars], c *site.Capacitors) {
	lang := s.result.Record.Words
	sc := s.result.ShortCircuit()
	if !sc.Known() {
		s.warn(q.Step, lang.S("The short-circuit power at the supply is not known, so resonance and voltage rise are not checked."))
		return
	}
	behind := working.Num[quantity.VoltAmperes]{V: quantity.VoltAmperes(sc.V), Step: sc.Step}
	rise := effect.VoltageRiseF.Apply(s.sheet, s.prefix+"voltage-rise", lang.S("voltage rise with all capacitors on"), "", q, behind)
	s.note(rise.Step, lang.F("With all of it on the voltage rises by %.1f %%.", float64(rise.V)*100))
	if c.Reactor.IsSet() {
		s.detuned(c)
		return
	}
	h := power.ResonanceOrderF.Apply(s.sheet, s.prefix+"resonance", lang.S("order at which all capacitors resonate with the network"), "", behind, q)
	orders := s.orders()
	hazards := b.Resonances(behind.V, orders)
	switch {
	case len(hazards) > 0:
		z := hazards[0]
		s.warn(h.Step, lang.F("With %s kvar on, the bank resonates with the network at order %.1f, next to the %d that is present: reactors of %.0f %% are needed.", kilo(z.InService), float64(z.Resonance), z.Near, float64(effect.Reactor(orders))*100))
	case len(orders) > 0:
		s.note(h.Step, lang.F("No combination of steps resonates within half an order of %s; all together do at %.1f.", numbers(orders), float64(h.V)))
	default:
		s.warn(h.Step, lang.F("No harmonic orders were read at the incomer: whether the resonance at order %.1f does harm is not known.", float64(h.V)))
	}
}

func numbers(orders []int) string {
	parts := make([]string, len(orders))
	for i, n := range orders {
		parts[i] = fmt.Sprint(n)
	}
	return strings.Join(parts, ", ")
}

// detuned says to what reactors tune the bank, and whether that is below all
// orders present.
func (s *state) detuned(c *site.Capacitors) {
	lang := s.result.Record.Words
	p := working.Record(s.sheet, s.step("reactor", lang.S("reactance of the reactors over that of the capacitors"), "", c.Reactor.Text, c.Reactor.Pos), c.Reactor.Value.Value)
	f := s.rec.Site.Supply.Frequency
	hz := working.Record(s.sheet, s.step("frequency", lang.S("nominal frequency"), "Hz", f.Text, f.Pos), f.Value.Value)
	tuned := power.TuningFrequencyF.Apply(s.sheet, s.prefix+"tuned", lang.S("frequency that the reactors tune it to"), "Hz", hz, p)
	u := s.rec.Site.Supply.Voltage
	volts := working.Record(s.sheet, s.step("voltage", lang.S("nominal voltage"), "V", u.Text, u.Pos), u.Value.Value)
	uc := power.DetunedVoltageF.Apply(s.sheet, s.prefix+"capacitor-voltage", lang.S("voltage across the capacitors"), "V", volts, p)
	orders := s.orders()
	if lowest := float64(tuned.V) / float64(hz.V); len(orders) > 0 && float64(orders[0]) <= lowest {
		s.warn(tuned.Step, lang.F("Reactors of %s tune the bank to %.0f Hz, above the order %d that is present: %.0f %% are needed.", c.Reactor.Text, float64(tuned.V), orders[0], float64(effect.Reactor(orders))*100))
		return
	}
	s.note(tuned.Step, lang.F("Its reactors tune it to %.0f Hz, below what is present; its capacitors stand %.0f V and must be rated for it.", float64(tuned.V), float64(uc.V)))
}

// leading tells for how long fixed capacitors leave the site as it is leading.
func (s *state) leading(size quantity.Vars) {
	lang := s.result.Record.Words
	var q []quantity.Vars
	var hours []quantity.Hours
	for _, heat := range []audit.Heat{s.result.Working, s.result.Rest} {
		for m := range 12 {
			for h := range 24 {
				if heat.Days[m] > 0 {
					q, hours = append(q, quantity.Vars(heat.Kvar[m][h]*1e3)), append(hours, quantity.Hours(heat.Days[m]))
				}
			}
		}
	}
	over := effect.Overcompensated(q, hours, size)
	st := working.Record(s.sheet, working.Step{ID: s.prefix + "leading-hours", Label: lang.S("hours of the year in which fixed capacitors leave the site leading"), Kind: working.Modelled, Unit: "h", From: []string{s.prefix + "size"},
		Reason: lang.S("hours of the clock, by month and kind of day, whose mean reactive power is below the capacitors'")}, over)
	if over > 0 {
		s.warn(st.Step, lang.F("Fixed capacitors of this size leave the site leading for about %.0f hours a year.", math.Round(float64(over)/10)*10))
		return
	}
	s.note(st.Step, lang.S("At no hour of a mean day do they leave the site leading."))
}

// harmonics is chokes or a filter: what they take is priced, what they do is told.
func (s *state) harmonics(c *site.Mitigation) {
	lang := s.result.Record.Words
	if c.Loss.IsSet() {
		watts := working.Record(s.sheet, s.step("loss", lang.S("what the filter takes while the load runs"), "W", c.Loss.Text, c.Loss.Pos), c.Loss.Value.Value)
		for _, l := range s.rec.Loads {
			if l.ID.Value == c.Load.Value {
				a := steady(s.prefix+"filter", lang.F("loss of %s", s.measure.Name.Value), watts.V)
				a.Calendar = l.Runs.Calendar.Value
				s.added = append(s.added, a)
			}
		}
	}
	for _, l := range s.result.Loads {
		if l.ID != c.Load.Value || len(l.Readings) == 0 {
			continue
		}
		for _, rd := range s.result.Readings {
			if rd.ID == l.Readings[0] {
				s.filtered(rd, c)
			}
		}
	}
}

// filtered says what is left of a load's harmonic current.
func (s *state) filtered(rd audit.Reading, c *site.Mitigation) {
	lang := s.result.Record.Words
	for _, w := range rd.Waves {
		if w.Kind != "current" || !w.THD.Known() || !w.Fundamental.Known() {
			continue
		}
		i1 := working.Num[quantity.Amperes]{V: quantity.Amperes(w.Fundamental.V), Step: w.Fundamental.Step}
		now := power.HarmonicF.Apply(s.sheet, s.prefix+"harmonic-now", lang.S("harmonic current now"), "A", i1, working.Num[quantity.Ratio]{V: quantity.Ratio(w.THD.V), Step: w.THD.Step})
		to := s.plain("distortion-then", lang.S("distortion then"), c.To, 0, "")
		then := power.HarmonicF.Apply(s.sheet, s.prefix+"harmonic-then", lang.S("harmonic current then"), "A", i1, to)
		s.note(then.Step, lang.F("The load's harmonic current falls from %.1f A to %.1f A. No saving of energy is claimed: it spares cables, capacitors and the transformer.", float64(now.V), float64(then.V)))
		return
	}
	s.warn("", lang.S("The distortion of this load's current was not read: what a filter does for it is not known."))
}

// transformer is another transformer whose losses stand on the bill as a load: its
// mean loss over the year, by the loss factor of the site's load.
func (s *state) transformer(c *site.TransformerChange) {
	lang := s.result.Record.Words
	r := s.result
	energy, _ := r.Sheet.Get(r.Energy.Step)
	lf := working.Num[quantity.Ratio]{V: quantity.Ratio(r.LoadFactor.V), Step: r.LoadFactor.Step}
	if energy.Value <= 0 || !r.LoadFactor.Known() || !(r.PeakKVA.Value > 0) {
		s.warn("", lang.S("Without a year's demand a transformer's loss cannot be worked out."))
		return
	}
	linear := working.Record(s.sheet, s.step("loss-factor-share", lang.S("share of the linear part in the loss factor"), "", "30 %", c.Pos), quantity.Ratio(0.3))
	lsf := effect.LossFactorF.Apply(s.sheet, s.prefix+"loss-factor", lang.S("loss factor of the site's load"), "", lf, linear)
	rating := working.Record(s.sheet, s.step("rating", lang.S("rating of the new transformer"), "VA", c.Rating.Text, c.Rating.Pos), c.Rating.Value.Value)
	peak := working.Num[quantity.VoltAmperes]{V: quantity.VoltAmperes(r.PeakKVA.Value * 1e3), Step: r.PeakKVA.Step}
	x := effect.MeanLoadingF.Apply(s.sheet, s.prefix+"loading", lang.S("loading, root of its mean square"), "", peak, lsf, rating)
	p0 := working.Record(s.sheet, s.step("no-load", lang.S("no-load loss of the new transformer"), "W", c.NoLoad.Text, c.NoLoad.Pos), c.NoLoad.Value.Value)
	pk := working.Record(s.sheet, s.step("load-loss", lang.S("load loss of the new transformer at its rating"), "W", c.LoadLoss.Text, c.LoadLoss.Pos), c.LoadLoss.Value.Value)
	mean := power.TransformerLossF.Apply(s.sheet, s.prefix+"mean-loss", lang.S("mean loss of the new transformer"), "W", x, p0, pk)
	s.with(c.Load, func(l *site.Load) {
		pf := s.powerFactor(l)
		l.States = nil
		l.Runs.Duty = at(fixed(1), "100 %", c.Pos)
		l.Runs.Calendar = at(site.Always, site.Always, c.Pos)
		e := quantity.Certain(mean.V)
		s.judged(l, at(e, fmt.Sprintf("%.4g W", float64(mean.V)), c.Pos), pf)
	})
	if x.V > 1 {
		s.warn(x.Step, lang.S("The new transformer would carry more than its rating."))
	}
}

// agreed is another agreed demand; one below what is expected is warned of.
func (s *state) agreed(c *site.Change) error {
	lang := s.result.Record.Words
	s.rec.Site.Supply.Agreed = c.Agreed
	if s.quiet {
		return nil
	}
	v, err := s.year(true)
	if err != nil {
		return err
	}
	asked := working.Record(s.sheet, s.step("agreed", lang.S("agreed demand then"), "VA", c.Agreed.Text, c.Agreed.Pos), c.Agreed.Value.Value)
	highest := working.Record(s.sheet, working.Step{ID: s.prefix + "highest", Label: lang.S("highest apparent demand of the year with it"), Kind: working.Modelled, Unit: "VA", From: []string{s.result.PeakKVA.Step},
		Reason: lang.S("the year worked out again with this measure, and those that it must follow")}, quantity.VoltAmperes(v.PeakKVA.Value*1e3))
	switch margin := float64(asked.V)/float64(highest.V) - 1; {
	case highest.V <= 0:
	case margin < 0:
		s.warn(highest.Step, lang.F("The highest demand is expected at %.0f kVA, above what would be agreed.", v.PeakKVA.Value))
	case s.result.PeakKVA.High > s.result.PeakKVA.Value && float64(asked.V)/1e3 < v.PeakKVA.Value+s.result.PeakKVA.High-s.result.PeakKVA.Value:
		s.warn(highest.Step, lang.F("The highest demand is expected at %.0f kVA and may reach what would be agreed: read the demand meter over a winter before it is lowered.", v.PeakKVA.Value))
	default:
		s.note(highest.Step, lang.F("The highest demand is expected at %.0f kVA: %.0f %% are left above it.", v.PeakKVA.Value, margin*100))
	}
	return nil
}
