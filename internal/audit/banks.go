package audit

import (
	"fmt"
	"math"
	"slices"

	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

// BankState is a capacitor bank with what it does at this site.
type BankState struct {
	ID, Name string
	Detuned  bool
	Tuning   Value   // 1, order that its reactors tune it to
	Stages   []Stage // each sum of steps that can be on, the smallest first; none without a short-circuit power
	Voltage  Value   // 1, voltage at the capacitors over that of their plate, from the highest voltage read there
	Reading  string  // of the bank's own current; "" where none was taken
	Current  Value   // 1, highest current over the rated current
	Unequal  Value   // 1, current unbalance of that reading
}

// Stage is a number of steps that are on together.
type Stage struct {
	Vars  Value // var at the nominal voltage, of the capacitors alone
	Order Value // 1, at which it resonates with the supply
}

// Banks judges every capacitor bank.
func (r *Result) Banks() []BankState {
	var all []BankState
	for _, b := range r.Record.Site.Capacitors {
		all = append(all, r.bank(b))
	}
	return all
}

func (r *Result) bank(b site.Bank) BankState {
	lang := r.Record.Words
	s := BankState{ID: b.ID.Value, Name: b.Title(), Detuned: b.Reactor.IsSet()}
	id := "capacitors." + s.ID + "."
	rated := r.nominal()
	if b.Voltage.IsSet() {
		rated = once(r.Sheet, working.Step{ID: id + "voltage", Label: lang.F("rated voltage of %s", s.Name), Kind: working.Stated, Unit: "V", Typed: b.Voltage.Text, Pos: b.Voltage.Pos}, b.Voltage.Value.Value)
	}
	p := once(r.Sheet, working.Step{ID: id + "reactor", Label: lang.F("reactors of %s", s.Name), Kind: working.Stated, Typed: reactorText(lang, b)}, b.Reactor.Value.Value)
	if s.Detuned {
		if v, ok := r.kept(id+"tuning", ""); ok {
			s.Tuning = v
		} else {
			s.Tuning = ratioOf(power.TuningOrderF.Apply(r.Sheet, id+"tuning", lang.F("order that %s is tuned to", s.Name), "", p))
		}
	}
	r.stages(&s, b, id, rated, p)
	r.bankVoltage(&s, b, id, rated, p)
	r.bankCurrent(&s, b, id, rated)
	return s
}

func reactorText(lang *say.Language, b site.Bank) string {
	if b.Reactor.IsSet() {
		return b.Reactor.Text
	}
	return lang.S("none")
}

// stages works out every sum of steps: a controller may switch any of them.
func (r *Result) stages(s *BankState, b site.Bank, id string, rated working.Num[quantity.VoltsLL], p working.Num[quantity.Ratio]) {
	lang := r.Record.Words
	sc := r.ShortCircuit()
	if !sc.Known() {
		return
	}
	for _, sum := range sums(b) {
		key := fmt.Sprintf("%s%.0f-var", id, sum)
		q, ok := r.kept(key+".power", "var")
		if !ok {
			plate := once(r.Sheet, working.Step{ID: key, Label: lang.F("%.4g kvar of %s", sum/1e3, s.Name), Kind: working.Stated, Unit: "var", Typed: b.Rated.Text, Pos: b.Rated.Pos}, quantity.Vars(sum))
			q = derived(power.CapacitorAtVoltageF.Apply(r.Sheet, key+".power", lang.F("what %.4g kvar of %s give at the nominal voltage", sum/1e3, s.Name), "var", plate, r.nominal(), rated))
		}
		order, ok := r.kept(key+".order", "")
		if !ok {
			order = ratioOf(power.BankResonanceF.Apply(r.Sheet, key+".order", lang.F("order at which %.4g kvar of %s resonate with the supply", sum/1e3, s.Name), "", num[quantity.VoltAmperes](sc), num[quantity.Vars](q), p))
		}
		s.Stages = append(s.Stages, Stage{q, order})
	}
}

// sums lists the distinct sums of a bank's steps in var, smallest first; of more
// than eight steps those of switching them on one after the other.
func sums(b site.Bank) []float64 {
	if len(b.Steps) == 0 {
		return []float64{float64(b.Rated.Value.Value)}
	}
	found := []float64{0}
	for i, s := range b.Steps {
		step := float64(s.Value.Value)
		if len(b.Steps) > 8 {
			found = append(found, found[i]+step)
			continue
		}
		for _, before := range slices.Clone(found) {
			found = append(found, before+step)
		}
	}
	slices.Sort(found)
	found = slices.CompactFunc(found, func(a, b float64) bool { return math.Abs(a-b) < 1 })
	return found[1:]
}

// bankVoltage holds the voltage at the capacitors, raised by their reactors,
// against their plate.
func (r *Result) bankVoltage(s *BankState, b site.Bank, id string, rated working.Num[quantity.VoltsLL], p working.Num[quantity.Ratio]) {
	lang := r.Record.Words
	if v, ok := r.kept(id+"voltage-share", ""); ok {
		s.Voltage = v
		return
	}
	point, _ := r.Record.Site.PointOf(b.At.Value)
	var highest Value
	for _, rd := range r.Readings {
		if rd.At != point && rd.At != b.At.Value {
			continue
		}
		for _, l := range rd.Lines {
			if l.Known() && (!highest.Known() || l.V > highest.V) {
				highest = l
			}
		}
	}
	if !highest.Known() {
		return
	}
	u := num[quantity.VoltsLL](highest)
	if s.Detuned {
		u = power.DetunedVoltageF.Apply(r.Sheet, id+"raised-voltage", lang.F("voltage at the capacitors of %s, raised by their reactors", s.Name), "V", u, p)
	}
	s.Voltage = ratioOf(power.VoltageShareF.Apply(r.Sheet, id+"voltage-share", lang.F("voltage at the capacitors of %s over that of their plate", s.Name), "", u, rated))
}

// bankCurrent holds the current of a reading at the bank's own way against the
// plate.
func (r *Result) bankCurrent(s *BankState, b site.Bank, id string, rated working.Num[quantity.VoltsLL]) {
	lang := r.Record.Words
	if _, whole := r.Record.Site.Points.Get(b.At.Value); whole {
		return
	}
	for _, rd := range r.Readings {
		highest := r.HighestCurrent(rd)
		if rd.At != b.At.Value || !highest.Known() {
			continue
		}
		s.Reading, s.Unequal = rd.ID, rd.CurrentUnbalance
		if v, ok := r.kept(id+"current-share", ""); ok {
			s.Current = v
			return
		}
		q := once(r.Sheet, working.Step{ID: id + "rated", Label: lang.F("rated power of %s", s.Name), Kind: working.Stated, Unit: "var", Typed: b.Rated.Text, Pos: b.Rated.Pos}, b.Rated.Value.Value)
		i := power.BankCurrentF.Apply(r.Sheet, id+"rated-current", lang.F("rated current of %s", s.Name), "A", q, rated)
		s.Current = ratioOf(power.CurrentShareF.Apply(r.Sheet, id+"current-share", lang.F("highest current of %s over its rated current", s.Name), "", num[quantity.Amperes](highest), i))
		return
	}
}
