package finding

import (
	"math"
	"slices"

	"auditgen/internal/audit"
	"auditgen/internal/say"
	"auditgen/internal/site"
)

// capacitorResonance looks for steps of a bank that resonate with the supply near
// a harmonic that is there, and for plain capacitors on a distorted supply.
var capacitorResonance = Rule{
	ID:    "capacitor-resonance",
	Title: say.Key("Capacitors and resonance"),
	Limit: "within half an order of a harmonic that is present: common practice, no source",
	Judge: judgeResonance,
}

const (
	nearOrder   = 0.5   // orders
	presentI    = 0.01  // of the fundamental current
	presentU    = 0.005 // of the fundamental voltage
	distortedI  = 0.10  // from which plain capacitors deserve a look
	distortedU  = 0.03
	belowTuning = 0.03 // current of an order below the tuning that a detuned bank amplifies
)

// hit is a stage of a bank that resonates near a present order.
type hit struct {
	bank  audit.BankState
	stage audit.Stage
	order int
}

func judgeResonance(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	banks := r.Banks()
	if len(banks) == 0 {
		return missing(lang.S("no capacitors are listed, and nothing says that there are none"), lang.S("capacitors in site.yaml, where there are any, with rated and steps"))
	}
	orders, i, u := present(r)
	if len(orders) == 0 && i == 0 && u == 0 {
		return missing(lang.S("no distortion was read at the incomer"), lang.S("harmonics: current and voltage of a reading at the incomer, with orders"))
	}
	if !r.ShortCircuit().Known() {
		return missing(lang.S("the resonance depends on the short-circuit power at the point of supply"), lang.S("supply: transformer or fault-level in site.yaml"))
	}
	f := Finding{
		Severity: InOrder,
		Headline: resonanceClear(lang, len(banks)),
		Why:      lang.S("Where capacitors and supply resonate, a harmonic is amplified: capacitors, fuses and electronics fail, and the voltage of the whole site is distorted."),
		Clause:   lang.S("parallel resonance of supply and capacitors; the distance of half an order is common practice, no source"),
		Sure:     lang.S("Likely: the short-circuit power is that of the supply as stated, motors left out, and the orders are those of one reading."),
	}
	hits, closest := resonances(banks, orders)
	for _, h := range closest {
		f.shows(lang.F("%s of %s resonate near order %.1f", kilo(h.stage.Vars.V, "kvar"), h.bank.Name, h.stage.Order.V), "", h.stage.Order.Step, h.stage.Vars.Step)
	}
	for _, b := range banks {
		if b.Detuned {
			f.shows(lang.F("%s is tuned to order %.2f by its reactors", b.Name, b.Tuning.V), "", b.Tuning.Step)
		}
	}
	presentFacts(r, &f, orders)
	plain := slices.ContainsFunc(banks, func(b audit.BankState) bool { return !b.Detuned })
	switch {
	case len(hits) > 0:
		f.Headline = resonanceNear(lang, hits[0], len(hits))
		f.does(lang, Plan, lang.S("Do not let the capacitors' controller hold the steps on that resonate; have the bank redesigned with detuning reactors, and the currents of its capacitors read meanwhile."), licensed, capacitorsWait)
	case plain && (i > distortedI || u > distortedU):
		f.Headline = plainWithDistortion(lang, i, u)
		f.does(lang, Watch, lang.S("Read the bank's current at each step, and have it replaced by one with detuning reactors when it is due."), licensed, capacitorsWait)
	}
	return []Finding{f}, nil
}

// present gives the harmonic orders that are there at the incomer with the
// highest total distortions of current and voltage, as shares.
func present(r *audit.Result) (orders map[int]audit.Value, current, voltage float64) {
	orders = map[int]audit.Value{}
	for _, rd := range incomers(r) {
		for _, w := range rd.Waves {
			if site.PhaseIndex(w.Phase) == site.Neutral {
				continue
			}
			least := presentI
			if w.Kind == "voltage" {
				least, voltage = presentU, max(voltage, w.THD.V)
			} else {
				current = max(current, w.THD.V)
			}
			for _, o := range w.Orders {
				if o.Share.V >= least && o.Share.V > orders[o.N].V {
					orders[o.N] = o.Share
				}
			}
		}
	}
	return orders, current, voltage
}

// resonances lists the stages near a present order, and for each bank the stage
// that is closest to one.
func resonances(banks []audit.BankState, orders map[int]audit.Value) (hits, closest []hit) {
	numbers := make([]int, 0, len(orders))
	for n := range orders {
		numbers = append(numbers, n)
	}
	slices.Sort(numbers)
	for _, b := range banks {
		var best hit
		nearest := math.Inf(1)
		for _, s := range b.Stages {
			if best.stage.Order.Step == "" {
				best = hit{b, s, 0}
			}
			for _, n := range numbers {
				if b.Detuned && orders[n].V < belowTuning {
					continue // what little there is of it does no harm below the tuning
				}
				off := math.Abs(s.Order.V - float64(n))
				if off < nearest {
					best, nearest = hit{b, s, n}, off
				}
				if off <= nearOrder {
					hits = append(hits, hit{b, s, n})
				}
			}
		}
		if best.stage.Order.Known() {
			closest = append(closest, best)
		}
	}
	return hits, closest
}

// presentFacts shows the orders that are there, with their readings.
func presentFacts(r *audit.Result, f *Finding, orders map[int]audit.Value) {
	lang := r.Record.Words
	var words []string
	var steps []string
	for n := 2; n <= 50; n++ {
		if v, ok := orders[n]; ok {
			words = append(words, ordinal(lang, n)+" "+percent(v.V, 1))
			steps = append(steps, v.Step)
		}
	}
	if len(words) > 0 {
		f.shows(lang.F("present: %s", join(lang, words)), incomers(r)[0].ID, steps...)
	}
}

func resonanceClear(lang *say.Language, banks int) string {
	if banks == 1 {
		return lang.S("No step of the capacitor bank resonates near a harmonic that is present")
	}
	return lang.F("No step of the %s capacitor banks resonates near a harmonic that is present", numeral(lang, banks))
}

func resonanceNear(lang *say.Language, h hit, hits int) string {
	name, order, vars := h.bank.Name, ordinal(lang, h.order), kilo(h.stage.Vars.V, "kvar")
	if hits == 1 {
		return lang.F("%s resonates with the supply near the %s harmonic, at %s", name, order, vars)
	}
	return lang.N(hits-1, "%s resonates with the supply near the %s harmonic, at %s and at one other setting", "%s resonates with the supply near the %s harmonic, at %s and at %s other settings",
		name, order, vars, numeral(lang, hits-1))
}

func plainWithDistortion(lang *say.Language, i, u float64) string {
	if u > distortedU {
		return lang.F("Capacitors without reactors stand on a voltage distorted by %s", percent(u, 1))
	}
	return lang.F("Capacitors without reactors stand beside a current distorted by %s", percent(i, 0))
}
