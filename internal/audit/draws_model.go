package audit

import (
	"fmt"
	"math"
	"slices"
	"time"

	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/tariff"
	"auditgen/internal/uncertainty"
)

// drawn is a model made ready for draws: its energies and demands compiled, its
// bill as plain arithmetic where the tariff allows that. It is an
// uncertainty.Model whose outputs are those of a layout.
type drawn struct {
	*model
	layout  layout
	useOf   []int
	base    []profile.Machine // at the best estimate
	moved   []profile.Machine
	hours   []float64
	windows []drawnWindow
	parts   []profile.Part // the year, its months, then what the tariff asks for
	active  []float64      // of the parts
	varh    []float64
	answers [][]float64 // by answer, draw
	sources []origin    // of the answers
	pricing pricing
	exactly bool // the bill is priced by the exact engine
	parted  bool // something may be delivered: energies come from the live model
	live    *evaluation
	totals  [][]float64    // by period, draw
	lines   [][]float64    // by line of the pricing, draw
	alone   [2][][]float64 // of Evaluate
	lineAt  []int          // of each of the pricing's lines in the layout
	logged  [12][4]float64 // kWh, kvarh, kW, kVA of the months that are logged
	err     error          // of the last draw
	// chanceless leaves demands at their expected value.
	chanceless bool
}

// drawnWindow holds the demands over one averaging time.
type drawnWindow struct {
	minutes  int
	compiled *profile.Compiled
	asks     []profile.Ask
	out      [][]float64 // by ask, draw
}

// origin is where an answer to the tariff comes from.
type origin struct {
	window, at int // a demand, where window is 0 or more
	reactive   bool
	ask        *tariff.Ask // of the live model, where something is delivered
	logged     bool        // it stands in the log: no draw moves it
	value      float64     // of what is logged
}

// pricing prices a year in some draws: rows of answers make rows of totals and
// of lines.
type pricing interface {
	PriceDraws(answers, totals, lines [][]float64)
}

// atOnce is how many draws are worked out together.
const atOnce = min(profile.Together, tariff.QuickDraws)

// rows makes room for n figures of that many draws.
func rows(n int) [][]float64 {
	out := make([][]float64, n)
	for i := range out {
		out[i] = make([]float64, atOnce)
	}
	return out
}

// cut shortens rows to n draws.
func cut(rows [][]float64, n int) {
	for i, row := range rows {
		rows[i] = row[:n]
	}
}

// prepared makes a model ready. keys are the charges that the layout has.
func (m *model) prepared(useOf []int, uses int, keys []string) (*drawn, error) {
	e, err := m.newEvaluation()
	if err != nil {
		return nil, err
	}
	d := &drawn{model: m, useOf: useOf, live: e, parted: m.delivers(), base: m.machines(nil, false), moved: m.machines(nil, false), hours: make([]float64, len(m.loads))}
	d.layout = m.layout(keys, uses)
	d.parts = []profile.Part{{Slots: profile.AllSlots}}
	for month := range 12 {
		d.parts = append(d.parts, profile.Part{Month: monthOf(month), Slots: profile.AllSlots})
	}
	for month := range 12 {
		d.demandAt(m.window, profile.Ask{Part: profile.Part{Month: monthOf(month), Slots: profile.AllSlots}, Unit: profile.Active})
		d.demandAt(m.window, profile.Ask{Part: profile.Part{Month: monthOf(month), Slots: profile.AllSlots}, Unit: profile.Apparent})
	}
	asks, at, lines, err := d.prices(e)
	if err != nil {
		return nil, err
	}
	for i := range asks {
		if d.live.logs[asks[i].Period] != nil {
			d.sources = append(d.sources, origin{logged: true, value: at[i]})
			continue
		}
		d.sources = append(d.sources, d.sourceOf(&asks[i]))
	}
	for _, id := range lines {
		d.lineAt = append(d.lineAt, slices.Index(keys, id))
	}
	for i := range d.logged {
		if x := &d.logged[i]; e.logs[i] != nil {
			x[0], x[2], x[3] = e.month(e.use(i))
			x[1] = float64(e.use(i).Reactive(m.tariff.All())) / 1e3
		}
	}
	d.answers, d.totals, d.lines = rows(len(asks)), rows(12), rows(len(lines))
	d.alone = [2][][]float64{make([][]float64, 1), make([][]float64, 1)}
	d.active, d.varh = make([]float64, len(d.parts)), make([]float64, len(d.parts))
	return d, d.compile(e)
}

// prices chooses how the bill is priced, what it asks for, and what it was told
// at the best estimate.
func (d *drawn) prices(e *evaluation) (asks []tariff.Ask, told []float64, lines []string, err error) {
	if q, err := d.tariff.Quick(d.periods, e.uses(), d.options); err == nil && d.canAnswer(q) {
		d.pricing = q
		return q.Asks, q.Answers(), q.Lines, nil
	}
	d.exactly = true
	x := &exactPricing{model: d.model, index: map[tariff.Ask]int{}, best: e.uses(), logs: e.logs}
	uses := make([]tariff.Use, 12)
	for i, u := range x.best {
		if uses[i] = u; e.logs[i] == nil {
			uses[i] = &noting{Use: u, period: i, pricing: x}
		}
	}
	bills, err := d.tariff.PriceYear(d.periods, uses, d.options)
	if err != nil {
		return nil, nil, nil, err
	}
	x.lines, d.pricing = lineIDs(bills), x
	return x.asks, make([]float64, len(x.asks)), x.lines, nil
}

// canAnswer tells whether the model can answer all that a quick bill asks.
func (d *drawn) canAnswer(q *tariff.Quick) bool {
	return !slices.ContainsFunc(q.Asks, func(a tariff.Ask) bool {
		known := a.What == "energy" || a.What == "reactive energy" || a.What == "demand" && a.Every == 0 ||
			d.parted && slices.Contains([]string{"exported energy", "lagging reactive energy", "leading reactive energy"}, a.What)
		return d.live.logs[a.Period] == nil && !(known && a.Part == tariff.Period{})
	})
}

// sourceOf finds where an answer comes from, and has it compiled.
func (d *drawn) sourceOf(a *tariff.Ask) origin {
	u := &monthUse{evaluation: d.live, month: monthOf(a.Period)}
	part := profile.Part{Month: u.month, Slots: u.slots(a.Slots)}
	if a.What == "demand" {
		return d.demandAt(a.Window, profile.Ask{Part: part, Unit: demandUnit(a.Unit)})
	}
	if d.parted {
		return origin{window: -1, ask: a}
	}
	at := slices.Index(d.parts, part)
	if at < 0 {
		at = len(d.parts)
		d.parts = append(d.parts, part)
	}
	return origin{window: -1, at: at, reactive: a.What == "reactive energy"}
}

func (d *drawn) demandAt(minutes int, ask profile.Ask) origin {
	w := slices.IndexFunc(d.windows, func(x drawnWindow) bool { return x.minutes == minutes })
	if w < 0 {
		w = len(d.windows)
		d.windows = append(d.windows, drawnWindow{minutes: minutes})
	}
	x := &d.windows[w]
	at := slices.Index(x.asks, ask)
	if at < 0 {
		at = len(x.asks)
		x.asks = append(x.asks, ask)
	}
	return origin{window: w, at: at}
}

// compile compiles energies with the demands of the first window, and the
// demands of the others.
func (d *drawn) compile(e *evaluation) error {
	doubts := make([]profile.Doubt, len(d.loads))
	for i := range d.loads {
		doubts[i] = d.loads[i].doubt()
	}
	for i := range d.windows {
		w := &d.windows[i]
		m, ok := e.demand[w.minutes]
		if !ok {
			return fmt.Errorf("the year is not folded for demands over %d minutes", w.minutes)
		}
		var parts []profile.Part
		if i == 0 {
			parts = d.parts
		}
		var err error
		if w.compiled, err = m.Compile(parts, w.asks, doubts); err != nil {
			return err
		}
		w.out = rows(len(w.asks))
	}
	return nil
}

// doubt is how far a load's figures may be off, for the compiled demands.
func (l *modelLoad) doubt() profile.Doubt {
	if l.own != nil {
		return profile.Doubt{Power: l.scale.deviation()}
	}
	d := profile.Doubt{Count: l.count.deviation()}
	for _, mode := range l.modes {
		d.Power, d.Share = max(d.Power, mode.power.deviation()), max(d.Share, mode.duty.deviation())
	}
	return d
}

// deviation is the relative standard uncertainty of a factor, to first order.
func (f factor) deviation() float64 {
	sum := 0.0
	for _, t := range f.terms {
		sum += float64(t.u * t.u)
	}
	return math.Sqrt(sum)
}

// Parameters are the model's sources of doubt, then chance: a probability for
// each month, at which its highest demands turn out.
func (d *drawn) Parameters() []uncertainty.Parameter {
	var ps []uncertainty.Parameter
	for _, p := range d.params {
		ps = append(ps, uncertainty.Parameter{ID: p.id, Distribution: p.of})
	}
	for i := range 12 {
		ps = append(ps, uncertainty.Parameter{ID: fmt.Sprintf("chance.%02d", i+1), Distribution: uncertainty.Rectangular{Low: 0, High: 1}})
	}
	return ps
}

// Outputs is the size of the layout.
func (d *drawn) Outputs() int { return d.layout.size }

// Evaluate works the year out for one draw: energies in kWh and kvarh, demands
// in kW and kVA, amounts in the currency.
func (d *drawn) Evaluate(z, out []float64) {
	d.alone[0][0], d.alone[1][0] = z, out
	d.EvaluateAll(d.alone[0], d.alone[1])
}

// EvaluateAll works the year out for several draws. What thousands of sums and
// rules make of a draw is done for some draws at once; the rest, draw by draw.
func (d *drawn) EvaluateAll(z, out [][]float64) {
	for d.err = nil; len(z) > 0 && d.err == nil; {
		n := min(len(z), atOnce)
		d.evaluate(z[:n], out[:n])
		z, out = z[n:], out[n:]
	}
}

func (d *drawn) evaluate(z, out [][]float64) {
	n := len(z)
	for _, rows := range [][][]float64{d.answers, d.totals, d.lines} {
		cut(rows, n)
	}
	for j := range z {
		if d.err = d.move(j, z[j]); d.err == nil {
			d.err = d.energies(j, out[j])
		}
		if d.err != nil {
			for k := range out[j] {
				out[j][k] = math.NaN() // ends the draws
			}
			return
		}
	}
	d.demands(z)
	d.pricing.PriceDraws(d.answers, d.totals, d.lines)
	for j := range out {
		d.fill(j, out[j])
	}
}

// move puts a draw on the machines and works out energies.
func (d *drawn) move(draw int, z []float64) error {
	for i := range d.loads {
		d.loads[i].put(z, &d.base[i], &d.moved[i])
		d.hours[i] = d.loads[i].hours.at(z)
	}
	if err := d.windows[0].compiled.NoteEnergies(draw, d.moved, d.hours, d.active, d.varh); err != nil {
		return err
	}
	for i := range d.windows[1:] {
		if err := d.windows[1+i].compiled.Note(draw, d.moved); err != nil {
			return err
		}
	}
	if d.parted {
		return d.live.energy.Set(d.machines(z, true))
	}
	return nil
}

// energies puts a draw's energies where the tariff and the layout have them.
func (d *drawn) energies(draw int, out []float64) error {
	for i := range d.sources {
		switch s := &d.sources[i]; {
		case s.logged:
			d.answers[i][draw] = s.value
		case s.window >= 0: // a demand, worked out later
		case s.ask != nil:
			d.answers[i][draw] = d.live.answer(s.ask)
		case s.reactive:
			d.answers[i][draw] = d.varh[s.at]
		default:
			d.answers[i][draw] = d.active[s.at]
		}
	}
	l := &d.layout
	clear(out)
	first := d.windows[0].compiled
	loads := out[l.loads:][:len(d.loads)]
	if err := first.MachineEnergies(0, d.moved, d.hours, loads); err != nil {
		return err
	}
	for i := range loads {
		loads[i] /= 1e3
		if l.uses < l.shares {
			out[l.uses+d.useOf[i]] += loads[i]
		}
	}
	out[l.base] = first.BaseLoad(d.moved) / 1e3
	for i := range 12 {
		month := d.active[1+i]
		if d.parted {
			month = float64((&monthUse{evaluation: d.live, month: time.Month(i + 1)}).taken(profile.AllSlots))
		}
		out[l.modelled+i] = month / 1e3
		out[l.months+i], out[l.reactive+i] = out[l.modelled+i], d.varh[1+i]/1e3
		if d.live.logs[i] != nil {
			out[l.months+i], out[l.reactive+i] = d.logged[i][0], d.logged[i][1]
		}
		out[l.energy] += out[l.months+i]
	}
	for k := l.uses; k < l.shares && out[l.energy] != 0; k++ {
		out[l.shares+k-l.uses] = out[k] / out[l.energy]
	}
	return nil
}

// demands works out the highest demands of draws.
func (d *drawn) demands(z [][]float64) {
	for i := range d.windows {
		w := &d.windows[i]
		cut(w.out, len(z))
		w.compiled.Noted(w.out)
		for k, row := range w.out {
			if d.chanceless {
				break
			}
			at := len(d.params) + int(w.asks[k].Month) - 1
			for j, mean := range row {
				row[j] = w.compiled.Chance(k, mean, z[j][at])
			}
		}
	}
	for i := range d.sources {
		if s := &d.sources[i]; s.window >= 0 && !s.logged {
			for j, v := range d.windows[s.window].out[s.at] {
				d.answers[i][j] = max(v, 0)
			}
		}
	}
}

// fill puts a draw's demands and amounts where the layout has them.
func (d *drawn) fill(draw int, out []float64) {
	l := &d.layout
	for i := range 12 {
		out[l.modelledKW+i], out[l.modelledKVA+i] = d.windows[0].out[2*i][draw]/1e3, d.windows[0].out[2*i+1][draw]/1e3
		out[l.kw+i], out[l.kva+i] = out[l.modelledKW+i], out[l.modelledKVA+i]
		if d.live.logs[i] != nil {
			out[l.kw+i], out[l.kva+i] = d.logged[i][2], d.logged[i][3]
		}
		out[l.costs+i] = d.totals[i][draw]
		out[l.cost] += d.totals[i][draw]
	}
	for k, at := range d.lineAt {
		if at >= 0 {
			out[l.lines+at] = d.lines[k][draw]
		}
	}
}

// answer answers a question of the tariff from the live model.
func (e *evaluation) answer(a *tariff.Ask) float64 {
	u := &partedUse{monthUse{evaluation: e, month: monthOf(a.Period)}}
	switch a.What {
	case "energy":
		return float64(u.Energy(a.Slots))
	case "exported energy":
		return float64(u.Exported(a.Slots))
	case "lagging reactive energy":
		return float64(u.Lagging(a.Slots))
	case "leading reactive energy":
		return float64(u.Leading(a.Slots))
	}
	return float64(u.Reactive(a.Slots))
}

// put moves a machine from its best estimate by a draw.
func (l *modelLoad) put(z []float64, from, to *profile.Machine) {
	if l.own != nil {
		k := l.scale.at(z)
		for i := range from.Modes {
			to.Modes[i].Power = from.Modes[i].Power.Times(k)
		}
		to.Idle, to.Standby = from.Idle.Times(k), from.Standby.Times(k)
		return
	}
	to.Count = l.count.at(z)
	shares := 0.0
	for i, mode := range l.modes {
		p := mode.power.at(z)
		share := min(max(mode.duty.at(z), 0), 1)
		shares += share
		to.Modes[i] = profile.Mode{Share: share, Power: profile.Power{P: quantity.Watts(p), Q: quantity.Vars(p * mode.reactive)}}
	}
	for i := range to.Modes {
		to.Modes[i].Share /= max(shares, 1)
	}
	to.Standby = profile.Power{P: quantity.Watts(l.standby.at(z))}
	if l.weather != nil {
		to.Months = l.weather.weights(z)
	}
}
