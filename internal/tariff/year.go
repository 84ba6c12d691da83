package tariff

import (
	"errors"
	"fmt"
	"math"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
	"auditgen/internal/money"
)

// Options tell a pricing what the tariff's file cannot know.
type Options struct {
	// Agreed is the site's agreed (contract) demand; zero when none is stated.
	Agreed Amount
	// Steady lets a charge that looks back before the first period look at the
	// same months of the following year: a year like any other. The periods
	// must then lie within one year.
	Steady bool
	// Expected says that the use was worked out, not metered; the lines say so.
	Expected bool
	// Earlier are demands of months before the first period.
	Earlier []Past
}

// word tells what the quantities are.
func (o Options) word() string {
	if o.Expected {
		return "expected"
	}
	return "metered"
}

// Past is the demand of an earlier billing period: what a demand charge
// measured then, in its unit, before amounts and looking back raised it.
type Past struct {
	Period Period
	Charge string // id of the demand charge
	Demand Amount
}

// PriceYear prices billing periods, one Use for each. Periods must follow one
// another without overlap. The error lists everything that kept a line from
// being priced; the bills are then nil.
func (t *Tariff) PriceYear(periods []Period, uses []Use, o Options) ([]Bill, error) {
	if err := checkPeriods(periods, uses, o); err != nil {
		return nil, err
	}
	p := &pricer{t: t, o: o, periods: periods, uses: uses,
		trail:    &trail{ids: map[string]int{}},
		measured: map[measureKey]val{}, own: map[ownKey]ownDemand{}, failed: map[string]bool{},
		occurring: make([]SlotSet, len(periods))}
	for i, period := range periods {
		p.occurring[i] = t.Occurring(period)
	}
	bills := make([]Bill, len(periods))
	for i := range periods {
		bills[i] = p.price(i)
	}
	if len(p.errs) > 0 {
		return nil, errors.Join(p.errs...)
	}
	for i := range bills {
		if err := bills[i].Check(); err != nil {
			return nil, fmt.Errorf("bill of %s does not add up: %w", bills[i].Period, err)
		}
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

type measureKey struct {
	period int
	Metered
}

type ownKey struct{ period, charge int }

type pricer struct {
	t         *Tariff
	o         Options
	periods   []Period
	uses      []Use
	occurring []SlotSet
	trail     *trail
	measured  map[measureKey]val
	own       map[ownKey]ownDemand
	errs      []error
	failed    map[string]bool
}

func (p *pricer) fail(format string, args ...any) {
	err := fmt.Errorf(format, args...)
	if !p.failed[err.Error()] {
		p.failed[err.Error()] = true
		p.errs = append(p.errs, err)
	}
}

// pricing is one bill in the making.
type pricing struct {
	*pricer
	i      int // index of the period
	period Period
	key    string
	lines  [][]Line // by index of the charge
	billed map[int]val
	notes  []string
}

func (p *pricer) price(i int) Bill {
	b := &pricing{pricer: p, i: i, period: p.periods[i], key: p.periods[i].key(),
		lines: make([][]Line, len(p.t.charges)), billed: map[int]val{}}
	for _, c := range p.t.order {
		b.lines[c] = b.charge(&p.t.charges[c])
	}
	bill := Bill{Period: b.period, Currency: p.t.Currency.Value, trail: p.trail, Notes: b.notes}
	for _, lines := range b.lines {
		bill.Lines = append(bill.Lines, lines...)
	}
	if extra, ok := b.roundTotal(bill.Lines); ok {
		bill.Lines = append(bill.Lines, extra)
	}
	for _, l := range bill.Lines {
		bill.Total = bill.Total.Add(l.Amount)
	}
	if !p.t.InForce(b.period) {
		bill.Notes = append(bill.Notes, fmt.Sprintf("the tariff is in force %s; the period is priced at its prices all the same", p.t.forceWords()))
	}
	return bill
}

// InForce reports whether the tariff's prices hold for a whole period.
func (t *Tariff) InForce(p Period) bool {
	return p.From.Compare(t.From.Value) >= 0 && (!t.To.IsSet() || p.To.AddDays(-1).Compare(t.To.Value) <= 0)
}

func (t *Tariff) forceWords() string {
	if t.To.IsSet() {
		return fmt.Sprintf("from %s to %s", t.From.Value, t.To.Value)
	}
	return "from " + t.From.Value.String()
}

// charge makes the lines of one charge; a charge whose season or time period
// does not occur in the bill has none.
func (b *pricing) charge(c *charge) []Line {
	if !c.sel.Empty() && c.sel.And(b.occurring[b.i]).Empty() {
		return nil
	}
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
	}
	return b.share(c)
}

// meter asks the period's Use once for each question and leaves the answer in
// the trail, in base units. This is where binary numbers become decimal.
func (p *pricer) meter(period int, m Metered) val {
	k := measureKey{period, m}
	if v, ok := p.measured[k]; ok {
		return v
	}
	use := p.uses[period]
	var x float64
	switch m.What {
	case "energy":
		x = float64(use.Energy(m.Slots))
	case "reactive energy":
		x = float64(use.Reactive(m.Slots))
	case "demand":
		x = use.Demand(m.Slots, m.Unit, m.Window)
	case "power factor":
		f, _ := use.(FactorUse).PowerFactor(m.Slots)
		x = float64(f)
	}
	label := p.meterLabel(m)
	if math.IsNaN(x) || math.IsInf(x, 0) || math.Abs(x) > 1e18 || x < 0 && m.What != "reactive energy" {
		p.fail("%s, %s: %g is not a quantity that can be billed", p.periods[period], label, x)
		x = 0
	}
	v := p.trail.put(node{
		id: p.periods[period].key() + "." + slug(label), label: label, unit: m.Base(),
		v: decimal.NewFromFloat(x), metered: &m, period: p.periods[period],
	})
	p.measured[k] = v
	return v
}

// meterLabel words a question: "energy in day", "highest 15 min mean in kVA".
func (p *pricer) meterLabel(m Metered) string {
	s := m.What
	if m.What == "demand" {
		s = fmt.Sprintf("highest %d min mean in %s", m.Window, m.Unit)
	}
	if w := p.t.slotWords(m.Slots); w != "" {
		s += ", " + w
	}
	return s
}

// newLine multiplies a quantity by a price and rounds once.
func (b *pricing) newLine(c *charge, part int, label string, q val, unit string, price val, priceUnit string) Line {
	l := Line{ID: c.ID.Value, Part: part, Label: label, Kind: c.kind, Unit: unit, PriceUnit: priceUnit, Note: c.Note, Rounding: b.t.lineRounding(c)}
	step := b.constant("line-rounding."+l.Rounding.Size.String(), "rounding of an amount", b.t.Currency.Value.Code, l.Rounding.Size, l.Rounding)
	a := b.trail.apply(amountF[l.Rounding.Way], b.key+"."+l.Key()+".amount", label, b.t.Currency.Value.Code, q, price, step)
	l.Quantity, l.Price, l.Amount = q.Decimal, price.Decimal, a.Decimal
	l.quantityAt, l.priceAt, l.amountAt = q.at, price.at, a.at
	l.At, l.Typed = b.trail.nodes[price.at].pos, b.trail.nodes[price.at].typed
	if !l.At.IsSet() {
		l.At = c.Pos
	}
	return l
}

// constant puts a number of the tariff, or of arithmetic, into the trail once.
func (p *pricer) constant(id, label, unit string, v decimal.Decimal, at Step) val {
	return p.trail.stated(node{id: "tariff." + id, label: label, unit: unit, v: v, pos: at.Pos, typed: at.Text})
}

func (p *pricer) priceOf(c *charge, part int, price Price) val {
	id := "tariff." + c.ID.Value + ".price"
	if part > 0 {
		id = fmt.Sprintf("%s.%d", id, part)
	}
	return p.trail.stated(node{id: id, label: "price of " + c.label(), unit: p.t.Currency.Value.Code + price.Per.String(), v: price.Amount, pos: price.Pos, typed: price.Text})
}

// lineRounding is the rounding of a charge's amounts.
func (t *Tariff) lineRounding(c *charge) Step {
	if c != nil && c.Round.IsSet() {
		return c.Round
	}
	if t.Rounding.Line.IsSet() {
		return t.Rounding.Line
	}
	return Step{Size: decimal.New(1, -t.Currency.Value.Places), Way: money.HalfUp}
}

// roundTotal brings the bill to the tariff's rounding of totals by a line of
// its own.
func (b *pricing) roundTotal(lines []Line) (Line, bool) {
	step := b.t.Rounding.Total
	if !step.IsSet() || len(lines) == 0 {
		return Line{}, false
	}
	code := b.t.Currency.Value.Code
	sum := b.sum(lines, b.key+".before-rounding", "bill before rounding")
	unit := b.constant("one", "one", "1", one, Step{})
	size := b.constant("total-rounding", "rounding of the bill", code, step.Size, step)
	total := b.trail.apply(roundingF[step.Way], b.key+".rounded", "bill, rounded", code, sum, unit, size)
	odd := b.trail.apply(lessF, b.key+".rounding.quantity", "rounding of the bill", code, total, sum)
	if odd.IsZero() {
		return Line{}, false
	}
	c := &charge{Charge: &Charge{}, kind: KindRounding}
	c.ID.Value, c.Pos = "rounding", step.Pos
	c.Round = Step{Size: decimal.New(1, odd.Exponent()), Pos: step.Pos}
	l := b.newLine(c, 0, "Rounding to "+step.Size.String()+" "+code, odd, code, unit, "")
	l.How = []string{fmt.Sprintf("%s brought to %s", b.amount(sum.Decimal), b.amount(total.Decimal))}
	return l, true
}

// amount prints an amount with the currency's decimals, or more where it has more.
func (p *pricer) amount(d decimal.Decimal) string {
	return d.StringFixed(max(p.t.Currency.Value.Places, -d.Exponent()))
}

// sum adds the amounts of lines.
func (p *pricer) sum(lines []Line, id, label string) val {
	code := p.t.Currency.Value.Code
	args := make([]val, len(lines))
	for i, l := range lines {
		args[i] = val{l.Amount, l.amountAt}
	}
	if len(args) == 0 {
		args = []val{p.constant("nothing", "nothing", code, decimal.Zero, Step{})}
	}
	return p.trail.apply(totalF, id, label, code, args...)
}

func wholly(c *calendar, season string, p Period) bool {
	for d := p.From; d.Compare(p.To) < 0; d = d.AddDays(1) {
		if !c.inSeason(c.class(d).mask, season) {
			return false
		}
	}
	return true
}

// counted is how many days, months or years a period has for a price.
func (t *Tariff) counted(p Period, over string) decimal.Decimal {
	days := decimal.New(int64(p.Days()), 0)
	switch over {
	case "day":
		return days
	case "year":
		for n := 1; n <= 10; n++ {
			if addMonths(p.From, 12*n) == p.To {
				return decimal.New(int64(n), 0)
			}
		}
		return days.DivRound(decimal.New(365, 0), timePlaces)
	}
	switch t.Month.Value {
	case Month30:
		return days.DivRound(decimal.New(30, 0), timePlaces)
	case Month365by12:
		return days.Mul(decimal.New(12, 0)).DivRound(decimal.New(365, 0), timePlaces)
	}
	return calendarMonths(p)
}

// timePlaces is how many decimals a part of a month or year is taken to.
const timePlaces = 6

// calendarMonths counts months: whole ones when the period runs to the same day
// of a later month, else each calendar month by the share of its days.
func calendarMonths(p Period) decimal.Decimal {
	for n := 1; n <= 120; n++ {
		if addMonths(p.From, n) == p.To {
			return decimal.New(int64(n), 0)
		}
	}
	sum := decimal.Zero
	for d := p.From; d.Compare(p.To) < 0; {
		size := civil.DaysIn(d.Year, d.Month)
		next := civil.Date{Year: d.Year, Month: d.Month, Day: 1}
		next = addMonths(next, 1)
		if next.Compare(p.To) > 0 {
			next = p.To
		}
		sum = sum.Add(decimal.New(int64(d.DaysUntil(next)), 0).DivRound(decimal.New(int64(size), 0), 2*timePlaces))
		d = next
	}
	return sum.Round(timePlaces)
}
