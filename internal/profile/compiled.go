package profile

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// Part is a month (0: the year) within a set of slots.
type Part struct {
	Month time.Month
	Slots Slots
}

// Ask is a highest demand to be known: of a part, in a unit.
type Ask struct {
	Part
	Unit Unit
}

// Doubt is how far a machine's figures may be off, each as a standard deviation
// relative to the figure: power of its modes and idling, shares of its modes,
// count. A figure with a doubt of 0 is taken to stay what it is where it acts
// on chance; its effect on means is exact all the same.
type Doubt struct{ Power, Share, Count float64 }

// Compiled is a model made ready for thousands of evaluations about its best
// estimate. Energies are exact. A highest demand is the mean of the window that
// shows it, which is exact, and what chance adds to that mean, which follows
// the machines' figures by slope and curvature; where windows of several kinds
// compete for the maximum each is followed by itself. Within two standard
// deviations of realistic doubt a demand is within 0.5 % of Model.Demand
// (TestCompiledDemand). It is further off, by some percent of apparent power,
// where machines apart have like power at unlike power factors, so that doubt
// changes which of them makes the maximum. It keeps buffers, so it serves one goroutine; Clone
// gives another the same.
type Compiled struct {
	calendars int
	always    Set // calendars on at every minute
	machines  []compiledMachine
	variants  int         // models of months that differ; 1 where they do not
	weights   [][]float64 // by variant, machine: of the shares
	first     []int       // by variant: the first month that it holds for, January 0
	parts     []energyRow
	partCount int
	variables []variable
	places    []place
	nodes     []node
	bundles   []bundle
	runners   []contender
	asks      []compiledAsk

	base   Power // scratch, from here on
	steps  []Power
	plain  []Power   // steps with hours as they are
	moves  []step    // by so many draws, variable
	meanP  []float64 // by place, draw
	meanQ  []float64
	bent   []bend    // by how much nodes have moved
	levels []float64 // by contender, draw
	joined joined
	alone  [][]float64 // of Demands
}

// energyRow is what a part of the year needs of one variant: its hours, and
// those with each calendar on.
type energyRow struct {
	part, variant int
	hours         float64
	on            []float64
}

// compiledMachine is what is kept of a machine at its best estimate.
type compiledMachine struct {
	calendar int
	modes    int
	shares   []float64 // of modes, then idling, which sum to 1
	swing    float64   // deviation of its power over those shares; 0 where chance has no part
	weight   float64   // swing of all alike, as a part of that of all machines
	count    float64
	first    int // its first variable
	power    bool
	share    bool
	counted  bool
	step     Doubt
	stated   []float64 // the shares of the modes as stated
}

// variable is a figure that chance's part of a demand follows.
type variable struct{ machine, what int }

// what a variable is: the power, the count, the shares of all machines at once,
// or the share of a mode counted from 0.
const (
	isPower  = -1
	isCount  = -2
	isPowers = -3 // of all machines at once, relative
	isAll    = -4
)

// place is a kind of window of a variant: for how much of it each calendar is
// on that is on at all.
type place struct {
	variant, mix int
	on           []shareOf
}

type shareOf struct {
	calendar int
	share    float64
}

// response is by how much a figure moves with a variable's move: slope and half
// the curvature.
type response struct{ slope, bend float64 }

// crowd is a kind of window, so many of them.
type crowd struct {
	unit    Unit
	place   int
	n, runs float64 // windows and their runs
	p, q    float64 // what chance adds to the mean at the best estimate
}

// node is windows whose response to the variables is worked out.
type node struct {
	crowd
	pSteps, qSteps [][2]float64 // by variable: a step down, a step up
	pMoves, qMoves []response   // by variable
}

// bundle is how the two nodes that contenders of a kind lie between move with
// each variable, in active and in reactive power. Where the unit is one of a
// single power, the other does not move. The two may be one.
type bundle struct {
	active, reactive []nodesTerm
	one              bool
}

type nodesTerm struct {
	variable int
	lo, hi   response
}

// bend is by how much active and reactive power have moved in those two nodes,
// by draw.
type bend struct{ pLo, pHi, qLo, qHi [Together]float64 }

// Together is how many draws' demands are worked out at once.
const Together = 32

// lanes is how many draws follow the variables side by side: what is known of a
// variable is looked up once for them, and no draw waits for another's sum.
const lanes = 4

// step is how far a variable has moved, in its steps, and the square of that, in
// some draws.
type step struct{ once, twice [lanes]float64 }

// contender is a kind of window, so many of them, that may hold the maximum of
// an ask; months with as many windows share it. Its response lies between those
// of the two nodes of its kind, with the fewest and the most draws, by the
// logarithm of its own.
type contender struct {
	crowd
	draws  float64
	lo, hi int     // nodes
	part   float64 // of the way from lo to hi
	bends  int     // which of the bundles holds lo and hi
	beyond float64 // of the expected demand over that of the expected powers
	atBest float64

	variant, mix int // of the place
}

type compiledAsk struct {
	Ask
	peak       Peak
	found      bool
	soft       float64   // by how much competing maxima exceed the higher one
	contenders []int     // indices of runners
	joint      float64   // of the contenders at the best estimate
	shape      []float64 // quantiles of the maximum less its mean, at even probabilities
}

// outOfReach is the share by which a kind of window may stay below the highest
// at the best estimate and still be followed.
const outOfReach = 0.15

// compileGrid is the number of steps on which slopes are worked out; the best
// estimate itself is worked out on the whole grid.
const compileGrid = 512

// Compile makes a model ready for parts whose energies and asks whose demands
// will be wanted, in that order. There is a doubt for each machine; nil stands
// for 10 % of power and of shares. The error says what does not fit.
func (m *Model) Compile(parts []Part, asks []Ask, doubts []Doubt) (*Compiled, error) {
	if doubts == nil {
		doubts = slices.Repeat([]Doubt{{Power: 0.1, Share: 0.1}}, len(m.machines))
	}
	if len(doubts) != len(m.machines) {
		return nil, fmt.Errorf("%d doubts for %d machines", len(doubts), len(m.machines))
	}
	for i, d := range doubts {
		if !(d.Power >= 0 && d.Share >= 0 && d.Count >= 0) || !(d.Power+d.Share+d.Count < 10) {
			return nil, fmt.Errorf("machine %q: doubt %+v is not between 0 and 10", m.machines[i].ID, d)
		}
	}
	c := &Compiled{calendars: m.Year.Calendars, always: m.Year.always, partCount: len(parts)}
	variants := c.variantsOf(m)
	for i, p := range parts {
		c.addPart(m, i, p, variants)
	}
	c.machinesOf(m, doubts)
	c.asks = make([]compiledAsk, len(asks))
	for unit := range units { // a model holds the draws of one unit at a time
		for k, a := range asks {
			if a.Unit == unit {
				c.asks[k] = c.ask(m, a, variants)
			}
		}
	}
	if err := c.respond(m); err != nil {
		return nil, err
	}
	c.scratch()
	return c, nil
}

// Clone gives a copy that another goroutine may use.
func (c *Compiled) Clone() *Compiled {
	d := *c
	d.weights = make([][]float64, len(c.weights))
	for v, w := range c.weights {
		d.weights[v] = slices.Clone(w) // a machine's months may move
	}
	d.scratch()
	return &d
}

func (c *Compiled) scratch() {
	c.steps, c.plain = make([]Power, c.variants*c.calendars), make([]Power, c.variants*c.calendars)
	c.moves, c.bent = make([]step, Together/lanes*len(c.variables)), make([]bend, len(c.bundles))
	c.meanP, c.meanQ = make([]float64, Together*len(c.places)), make([]float64, Together*len(c.places))
	c.levels = make([]float64, Together*len(c.runners))
	c.alone = make([][]float64, len(c.asks))
	for k := range c.alone {
		c.alone[k] = make([]float64, 1)
	}
}

// variantsOf lists the models of months: the index of each month's, and the
// weights of each.
func (c *Compiled) variantsOf(m *Model) [12]int {
	var of [12]int
	ones := slices.Repeat([]float64{1}, len(m.machines))
	if m.months == nil {
		c.variants, c.weights = 1, [][]float64{ones}
		return of
	}
	var models []*Model
	for month, child := range m.months {
		k := slices.Index(models, child)
		if k < 0 {
			k = len(models)
			models = append(models, child)
			c.first = append(c.first, month)
			weights := slices.Clone(ones)
			for i := range m.machines {
				if m.machines[i].seasonal() {
					weights[i] = m.machines[i].Months[month]
				}
			}
			c.weights = append(c.weights, weights)
		}
		of[month] = k
	}
	c.variants = len(models)
	return of
}

func (c *Compiled) addPart(m *Model, part int, p Part, variants [12]int) {
	m.each(p.Month, func(_ *Model, month time.Month) {
		variant := 0
		if month > 0 && month <= 12 {
			variant = variants[month-1]
		}
		k := slices.IndexFunc(c.parts, func(r energyRow) bool { return r.part == part && r.variant == variant })
		if k < 0 {
			k = len(c.parts)
			c.parts = append(c.parts, energyRow{part: part, variant: variant, on: make([]float64, c.calendars)})
		}
		row := &c.parts[k]
		m.Year.each(month, p.Slots, func(o *openTime) {
			row.hours += o.minutes / 60
			for i, on := range o.on {
				row.on[i] += on / 60
			}
		})
	})
}

// machinesOf keeps the best estimate and lists the variables.
func (c *Compiled) machinesOf(m *Model, doubts []Doubt) {
	for i := range m.machines {
		a := &m.machines[i]
		// The slopes are taken over one and a half standard deviations, so
		// that they hold to two and more.
		k := compiledMachine{calendar: a.Calendar, modes: len(a.Modes), count: a.Count, first: len(c.variables), step: doubts[i]}
		k.step.Power, k.step.Share, k.step.Count = 1.5*k.step.Power, 1.5*k.step.Share, 1.5*k.step.Count
		k.shares = make([]float64, len(a.Modes)+1)
		rest := 1.0
		for j, mode := range a.Modes {
			k.stated = append(k.stated, mode.Share)
			k.shares[j] = mode.Share
			rest -= mode.Share
		}
		k.shares[len(a.Modes)] = max(rest, 0)
		if k.swing = swing(a, k.shares); k.swing > 0 && a.Count > 0 {
			k.power, k.share, k.counted = k.step.Power > 0, k.step.Share > 0, k.step.Count > 0
			if k.power {
				c.variables = append(c.variables, variable{i, isPower})
			}
			if k.counted {
				c.variables = append(c.variables, variable{i, isCount})
			}
			if k.share {
				for j := range a.Modes {
					c.variables = append(c.variables, variable{i, j})
				}
			}
		}
		c.machines = append(c.machines, k)
	}
	c.weigh()
	if len(c.variables) > 0 {
		c.variables = append(c.variables, variable{-1, isPowers}, variable{-1, isAll})
	}
}

// weigh gives each machine that chance decides its part in what they have in
// common, by its swing and the root of its count.
func (c *Compiled) weigh() {
	sum := 0.0
	for i := range c.machines {
		k := &c.machines[i]
		k.weight = k.swing * math.Sqrt(k.count)
		sum += k.weight
	}
	for i := range c.machines {
		if sum > 0 {
			c.machines[i].weight /= sum
		}
	}
}

// swing is the standard deviation of a machine's power over shares of modes and
// idling; of its reactive power where only that changes.
func swing(a *Machine, shares []float64) float64 {
	var mean, square Power
	at := func(share float64, p Power) {
		mean = mean.plus(share, p)
		square = square.plus(share, Power{p.P * p.P, p.Q * p.Q})
	}
	for j := range a.Modes {
		at(shares[j], a.Modes[j].Power)
	}
	at(shares[len(a.Modes)], a.Idle)
	p := float64(square.P - mean.P*mean.P)
	q := float64(square.Q - mean.Q*mean.Q)
	if p > 1e-12*float64(square.P) {
		return math.Sqrt(p)
	}
	if q > 1e-12*float64(square.Q) {
		return math.Sqrt(q)
	}
	return 0
}
