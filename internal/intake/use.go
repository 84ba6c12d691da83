package intake

import (
	"fmt"
	"math"
	"slices"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/tariff"
)

// Use is what a log shows of one billing period, in the slots of one tariff.
// It answers all that pricing may ask of a meter: registers of each kind, sliding
// demand, parts of the bill, the course in intervals.
//
// A row that crosses the edge of a slot, a day, a demand window or the period has
// its energy spread evenly over its time. Time without a reading counts as
// nothing. Demand windows follow one another from local midnight; the apparent
// power of a window is sqrt(kWh² + kvarh²) over its length, kvarh being lagging
// less leading. A Use serves one goroutine.
type Use struct {
	log    *Log
	tariff *tariff.Tariff
	zone   *time.Location
	Period tariff.Period

	energies [channels][]Energy // by slot
	apparent []float64          // VAh by slot
	peaks    map[int]*peaks     // by window in minutes
	covered  int64              // seconds with a reading
	cut      int                // rows that cross an edge of the period
	unsure   [qualities]int     // readings by quality
	longest  int32              // longest row in seconds
	lacking  []string           // what pricing asked and the log does not have
}

// Uses reduces the log to what each billing period has in each slot of a tariff,
// in one pass over the rows. The zone is that of the site's clock.
func (l *Log) Uses(t *tariff.Tariff, zone *time.Location, periods []tariff.Period) []*Use {
	w := newWalk(t, zone)
	windows := t.Windows()
	uses := make([]*Use, len(periods))
	for i, p := range periods {
		uses[i] = w.use(l, p, windows)
	}
	return uses
}

// Price prices billing periods from the log. Where the tariff asks for what was
// not logged, the error says so; the bills' notes tell of missing time, of
// readings that were not plainly metered, and of demands that the intervals are
// too long to show.
func (l *Log) Price(t *tariff.Tariff, zone *time.Location, periods []tariff.Period, o tariff.Options) ([]tariff.Bill, error) {
	uses := l.Uses(t, zone, periods)
	asked := make([]tariff.Use, len(uses))
	for i, u := range uses {
		asked[i] = u
	}
	bills, err := t.PriceYear(periods, asked, o)
	if err != nil {
		for _, u := range uses {
			if len(u.lacking) > 0 {
				return nil, fmt.Errorf("the tariff %q asks for %s, which was not logged", t.Name.Value, list(u.lacking))
			}
		}
		return nil, err
	}
	for i, u := range uses {
		bills[i].Notes = append(bills[i].Notes, u.Notes(nil)...)
	}
	return bills, nil
}

// Covered is the share of the period's time that has a reading, 0 to 1.
func (u *Use) Covered() quantity.Ratio {
	from, to := u.bounds()
	return quantity.Ratio(float64(u.covered) / float64(to-from))
}

// bounds are the instants of the period's first and last midnight.
func (u *Use) bounds() (from, to int64) {
	return midnight(u.Period.From, u.zone), midnight(u.Period.To, u.zone)
}

func midnight(d civil.Date, zone *time.Location) int64 {
	return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, zone).Unix()
}

// Notes says what a reader of the bill must know of the readings behind it.
func (u *Use) Notes(lang *say.Language) []string {
	var notes []string
	from, to := u.bounds()
	if missing := to - from - u.covered; missing > 0 {
		notes = append(notes, lang.F("%s h of %s h have no reading: nothing is counted for them", hours(missing), hours(to-from)))
	}
	for q, n := range u.unsure {
		if word := Quality(q).String(); n > 0 && !Quality(q).good() {
			notes = append(notes, lang.N(n, "1 reading is %[2]s", "%s readings are %s", grouped(n), lang.S(word)))
		}
	}
	if u.cut > 0 {
		notes = append(notes, lang.N(u.cut, "1 reading lies across the first or last midnight of the bill: the part within counts, by its time", "%s readings lie across the first or last midnight of the bill: the part within counts, by its time", grouped(u.cut)))
	}
	windows := make([]int, 0, len(u.peaks))
	for w := range u.peaks {
		windows = append(windows, w)
	}
	slices.Sort(windows)
	for _, w := range windows {
		if u.longest > int32(w)*60 {
			notes = append(notes, lang.F("some readings are of %s: a demand over %d min was not lower than shown", span(int64(u.longest)), w))
		}
	}
	for _, what := range u.lacking {
		notes = append(notes, lang.F("%s was not logged and counts as nothing", lang.S(what)))
	}
	return notes
}

// hours prints seconds as hours with no zeros at the end.
func hours(seconds int64) string {
	return fmt.Sprint(math.Round(float64(seconds)/36) / 100)
}

func (u *Use) sum(c Channel, slots tariff.SlotSet) Energy {
	sum := Energy(0)
	for s, e := range u.energies[c] {
		if e != 0 && slots.Has(tariff.Slot(s)) {
			sum += e
		}
	}
	return sum
}

// Energy is the active energy taken in the slots.
func (u *Use) Energy(slots tariff.SlotSet) quantity.WattHours {
	return u.sum(Import, slots).WattHours()
}

// Exported is the active energy delivered to the supplier in the slots.
func (u *Use) Exported(slots tariff.SlotSet) quantity.WattHours {
	if !u.log.Has.Has(Export) {
		u.lack(say.Key("energy delivered to the supplier"))
	}
	return u.sum(Export, slots).WattHours()
}

// Reactive is lagging less leading energy in the slots; not a number where none
// was logged, which pricing refuses.
func (u *Use) Reactive(slots tariff.SlotSet) quantity.VarHours {
	if !u.reactive() {
		return quantity.VarHours(math.NaN())
	}
	return (u.sum(Lagging, slots) - u.sum(Leading, slots)).VarHours()
}

// Lagging is the lagging reactive energy in the slots.
func (u *Use) Lagging(slots tariff.SlotSet) quantity.VarHours {
	if !u.reactive() {
		return quantity.VarHours(math.NaN())
	}
	return u.sum(Lagging, slots).VarHours()
}

// Leading is the leading reactive energy in the slots.
func (u *Use) Leading(slots tariff.SlotSet) quantity.VarHours {
	if !u.reactive() {
		return quantity.VarHours(math.NaN())
	}
	if !u.log.Has.Has(Leading) {
		u.lack(say.Key("leading reactive energy"))
	}
	return u.sum(Leading, slots).VarHours()
}

// Apparent is the apparent energy in VAh: sqrt(Wh² + varh²) of each interval,
// added.
func (u *Use) Apparent(slots tariff.SlotSet) float64 {
	if !u.reactive() {
		return math.NaN()
	}
	sum := 0.0
	for s, e := range u.apparent {
		if slots.Has(tariff.Slot(s)) {
			sum += e
		}
	}
	return sum
}

// Demand is the highest mean over the windows that lie in the slots.
func (u *Use) Demand(slots tariff.SlotSet, unit tariff.DemandUnit, windowMinutes int) float64 {
	if unit != tariff.KW && !u.reactive() {
		return math.NaN()
	}
	p := u.peaks[windowMinutes]
	if p == nil {
		p = newWalk(u.tariff, u.zone).use(u.log, u.Period, []int{windowMinutes}).peaks[windowMinutes]
		u.peaks[windowMinutes] = p
	}
	return p.in(slots).mean(unit, windowMinutes)
}

// SlidingDemand is the highest mean over windows that begin every few minutes
// and lie in the slots.
func (u *Use) SlidingDemand(slots tariff.SlotSet, unit tariff.DemandUnit, windowMinutes, everyMinutes int) float64 {
	if unit != tariff.KW && !u.reactive() {
		return math.NaN()
	}
	steps := newWalk(u.tariff, u.zone).steps(u.log, u.Period, everyMinutes)
	long := int64(windowMinutes) * 60
	var best peak
	for i := range steps {
		var w step
		for _, s := range steps[i:] {
			if s.start >= steps[i].start+long {
				break
			}
			w.add(&s)
			w.slots = w.slots.Or(s.slots)
		}
		if w.slots.And(slots) == w.slots {
			best.raise(&w)
		}
	}
	return best.mean(unit, windowMinutes)
}

// Part is the use of some days of the period.
func (u *Use) Part(p tariff.Period) (tariff.Use, bool) {
	return newWalk(u.tariff, u.zone).use(u.log, p, u.tariff.Windows()), true
}

func (u *Use) reactive() bool {
	if !u.log.Has.Reactive() {
		u.lack(say.Key("reactive energy"))
		return false
	}
	return true
}

func (u *Use) lack(what string) {
	if !slices.Contains(u.lacking, what) {
		u.lacking = append(u.lacking, what)
	}
}
