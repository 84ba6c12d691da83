package tariff

import (
	"errors"
	"fmt"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/say"
)

// Options tell a pricing what the tariff's file cannot know.
type Options struct {
	// Words says the labels, sentences and notes; nil in English.
	Words *say.Language
	// Agreed is the site's agreed (contract) demand; zero when none is stated.
	Agreed Amount
	// Steady lets a charge that looks back before the first period look at the
	// same months of the following year: a year like any other. The periods
	// must then lie within one year.
	Steady bool
	// Expected says that the use was worked out, not metered; the lines say so.
	Expected bool
	// Brief leaves the sentences of lines away, for those who want amounts alone.
	Brief bool
	// Earlier are demands of months before the first period.
	Earlier []Past
	// Paid is what the lines under a minimum came to in months before the first.
	Paid []Paid
	// Used is the energy that charges with blocks of the year have counted from
	// 1 January up to the first period, by their ids.
	Used map[string]Amount
	// Events is how often a charge with repeat was made before the first
	// period; EventMonths are the first days of those months, for repeat:
	// within.
	Events      map[string]int
	EventMonths map[string][]civil.Date
	// Carried is what the rounding of the last bill left, with rounding: carry.
	Carried decimal.Decimal
}

// word tells what the quantities of the bill are.
func (b *pricing) word() string {
	if u, ok := b.uses[b.i].(SpokenUse); ok {
		word := u.Spoken()
		return b.o.Words.S(word)
	}
	if b.o.Expected {
		return b.o.Words.S("expected")
	}
	return b.o.Words.S("metered")
}

// Past is the demand of an earlier billing period: what a demand charge
// measured then, in its unit, before amounts and looking back raised it.
type Past struct {
	Period Period
	Charge string // id of the demand charge
	Demand Amount
}

// Paid is what the lines that a minimum falls on came to in an earlier billing
// period, before the minimum.
type Paid struct {
	Period Period
	Charge string // id of the minimum
	Amount decimal.Decimal
}

// PriceYear prices billing periods, one Use for each: calendar months or the
// days between readings. Periods must follow one another without overlap. The
// error lists everything that kept a line from being priced; the bills are then
// nil.
func (t *Tariff) PriceYear(periods []Period, uses []Use, o Options) ([]Bill, error) {
	if err := checkPeriods(periods, uses, o); err != nil {
		return nil, err
	}
	bills, err := t.newPricer(periods, uses, o).all()
	if err != nil {
		return nil, err
	}
	for i := range bills {
		if err := bills[i].Check(); err != nil {
			return nil, fmt.Errorf("bill of %s does not add up: %w", bills[i].Period, err)
		}
	}
	return bills, nil
}

func (t *Tariff) newPricer(periods []Period, uses []Use, o Options) *pricer {
	p := &pricer{t: t, o: o, periods: periods, uses: uses, trail: newTrail(o.Words, t, periods),
		measured: make(map[measureKey]val, len(periods)*(len(t.charges)+2)), own: map[ownKey]ownDemand{}, failed: map[string]bool{},
		occurring: make([]SlotSet, len(periods)), notesOf: make([][]string, len(periods)),
		parts: map[partKey]Use{}, courses: map[courseKey][]interval{}, paid: map[ownKey]val{}, events: map[ownKey]event{}, carried: o.Carried}
	for i, period := range periods {
		p.occurring[i] = t.Occurring(period)
	}
	return p
}

// all prices every period.
func (p *pricer) all() ([]Bill, error) {
	bills := make([]Bill, len(p.periods))
	for i := range p.periods {
		bills[i] = p.price(i)
	}
	if err := p.faults.Err(); err != nil {
		return nil, err
	}
	return bills, nil
}

func checkPeriods(periods []Period, uses []Use, o Options) error {
	if len(periods) != len(uses) {
		return fmt.Errorf("%d billing periods with %d records of use", len(periods), len(uses))
	}
	if len(periods) == 0 {
		return errors.New("no billing period to price")
	}
	for i, p := range periods {
		if p.Days() <= 0 {
			return fmt.Errorf("billing period %s to %s has no day", p.From, p.To)
		}
		if i > 0 && p.From.Compare(periods[i-1].To) < 0 {
			return fmt.Errorf("billing period %s overlaps the one before", p)
		}
	}
	if last := periods[len(periods)-1]; o.Steady && last.To.Compare(addMonths(periods[0].From, 12)) > 0 {
		return fmt.Errorf("a steady year cannot hold %s to %s", periods[0].From, last.To)
	}
	return nil
}

type ownKey struct{ period, charge int }

// pricer prices several bills together.
type pricer struct {
	t         *Tariff
	o         Options
	periods   []Period
	uses      []Use
	occurring []SlotSet
	trail     *trail
	measured  map[measureKey]val
	own       map[ownKey]ownDemand
	parts     map[partKey]Use
	courses   map[courseKey][]interval
	paid      map[ownKey]val
	events    map[ownKey]event
	carried   decimal.Decimal
	notesOf   [][]string
	faults    diag.List
	failed    map[string]bool
	oneAt     val
	noneAt    val
	tracing   bool // for a quick bill: no number decides which lines there are
}

// fail keeps what cannot be priced, once, with the line of the tariff that asks
// for it and what would mend it.
func (p *pricer) fail(at diag.Pos, expected, format string, args ...any) {
	f := diag.Fault{Pos: at, What: fmt.Sprintf(format, args...), Expected: expected}
	if !p.failed[f.String()] {
		p.failed[f.String()] = true
		p.faults.Add(f)
	}
}

// pricing is one bill in the making.
type pricing struct {
	*pricer
	i       int // index of the period
	period  Period
	lines   [][]Line // by index of the charge
	spans   []span   // by index of the charge
	billed  map[int]val
	because map[int][]string
	notes   []string
}

func (p *pricer) begin(i int) *pricing {
	b := &pricing{pricer: p, i: i, period: p.periods[i], lines: make([][]Line, len(p.t.charges)), spans: make([]span, len(p.t.charges)),
		billed: map[int]val{}, because: map[int][]string{}}
	for k := range p.t.charges {
		b.spans[k] = p.t.spanOf(&p.t.charges[k], b.period)
	}
	return b
}

func (p *pricer) price(i int) Bill {
	lang := p.o.Words
	b := p.begin(i)
	for _, c := range p.t.order {
		b.lines[c] = b.charge(&p.t.charges[c])
	}
	bill := Bill{Period: b.period, Currency: p.t.Currency.Value, trail: p.trail}
	n := 0
	for _, lines := range b.lines {
		n += len(lines)
	}
	bill.Lines = make([]Line, 0, n+3)
	for k, lines := range b.lines {
		if c := &p.t.charges[k]; c.edition == 0 {
			bill.Lines = append(bill.Lines, lines...)
			for _, j := range c.later {
				bill.Lines = append(bill.Lines, b.lines[j]...)
			}
		}
	}
	bill.Lines = b.numbered(bill.Lines)
	b.closing(&bill)
	b.plausible()
	for _, l := range bill.Lines {
		bill.Total = bill.Total.Add(l.Amount)
	}
	for _, s := range p.notesOf[i] {
		b.note(s)
	}
	bill.Notes = b.notes
	if !p.t.InForce(b.period) {
		bill.Notes = append(bill.Notes, lang.F("the tariff is in force %s; the period is priced at its prices all the same", p.t.forceWords(lang)))
	}
	return bill
}

// numbered gives the lines of a charge whose price changes within the bill
// numbers of their own.
func (b *pricing) numbered(lines []Line) []Line {
	for i := 0; i < len(lines); {
		j := i
		mixed := false
		for j < len(lines) && lines[j].ID == lines[i].ID {
			mixed = mixed || lines[j].edition != lines[i].edition
			j++
		}
		if mixed {
			for k := i; k < j; k++ {
				lines[k].Part = k - i + 1
				if !b.o.Brief {
					lines[k].Label += ", " + lines[k].within.String()
				}
			}
		}
		i = j
	}
	return lines
}

// charge makes the lines of one charge; a charge whose season or time period
// does not occur in the bill, or whose condition does not hold, has none.
func (b *pricing) charge(c *charge) []Line {
	s := &b.spans[c.index]
	if s.empty() || !c.sel.Empty() && c.sel.And(b.occurring[b.i]).Empty() {
		return nil
	}
	if len(c.If) > 0 && !b.tracing && !b.holds(c) {
		return nil
	}
	b.outsideSeries(c, s)
	lines := b.form(c)
	if b.tracing && len(c.If) > 0 {
		b.gate(c, lines)
	}
	for i := range lines {
		lines[i].edition, lines[i].within = c.edition, s.Period
		if because := b.because[c.index]; len(because) > 0 {
			lines[i].How = append(lines[i].How[:len(lines[i].How):len(lines[i].How)], because...)
		}
	}
	return lines
}

func (b *pricing) form(c *charge) []Line {
	switch c.kind {
	case KindFixed:
		return b.fixed(c)
	case KindEnergy:
		return b.energy(c)
	case KindReactive:
		return b.reactive(c)
	case KindDemand:
		return b.demand(c)
	case KindPowerFactor:
		return b.powerFactor(c)
	case KindMinimum:
		return b.minimum(c)
	case KindMaximum:
		return b.maximum(c)
	case KindSubtotal:
		return b.subtotal(c)
	}
	return b.share(c)
}

// InForce reports whether the tariff's prices hold for a whole period.
func (t *Tariff) InForce(p Period) bool {
	last := t.lastDay()
	return p.From.Compare(t.From.Value) >= 0 && (last == (civil.Date{}) || p.To.AddDays(-1).Compare(last) <= 0)
}

// lastDay is the last day of the file's prices, later versions included; the
// zero date when they are open.
func (t *Tariff) lastDay() civil.Date {
	if n := len(t.Versions); n > 0 {
		return t.Versions[n-1].To.Value
	}
	return t.To.Value
}

func (t *Tariff) forceWords(lang *say.Language) string {
	if last := t.lastDay(); last != (civil.Date{}) {
		return lang.F("from %s to %s", t.From.Value, last)
	}
	return lang.F("from %s", t.From.Value.String())
}

func wholly(c *calendar, season string, p Period) bool {
	for d := p.From; d.Compare(p.To) < 0; d = d.AddDays(1) {
		if !c.inSeason(c.mask(d), season) {
			return false
		}
	}
	return true
}
