package tariff

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"auditgen/internal/working"
)

// QuickDraws is how many draws of a year are priced at once.
const QuickDraws = 32

// Quick is a year's bills as plain arithmetic in float64, for pricing thousands
// of uses that differ a little. Its amounts are for intervals only: what is
// printed comes from PriceYear. It keeps buffers, so it serves one goroutine;
// Clone gives another the same.
type Quick struct {
	Asks    []Ask    // what it wants to know, in the order that Price takes
	Lines   []string // ids of the charges, each once
	periods int
	program []instruction
	runs    []batch    // of the program
	start   []float64  // constants and what is worked out of them alone
	values  []float64  // by value, draw
	alone   [1]float64 // a sum of Price
	args    []int32
	totals  []sum // of the periods
	lines   []sum // of Lines
	room    []float64
}

// Ask is a question to the use of a period, by its index.
type Ask struct {
	Period int
	Metered
}

// quickAmount is where the amount of a line stands.
type quickAmount struct{ period, line, at int }

// instruction works one number out of others: from args[first:first+n], the
// first three of which are a, b and c.
type instruction struct {
	op            op
	to            int32
	a, b, c       int32
	first, n      int32
	step, inverse float64 // of opRound
	call          func([]float64) float64
}

// batch is a part of the program that is one operation over and over, none of
// which rests on another: a processor runs several of those at a time and does
// not have to guess which comes next.
type batch struct {
	op       op
	from, to int
}

// sum is the values that make up a total.
type sum struct {
	of int
	at []int32
}

// Quick makes a year's bills ready for many uses. The uses tell what the meter
// has registers for, and whether there is energy at all; no other figure of
// theirs is kept but in Answers; what they tell by their course is one of those.
// Rules that ask for the number of an event, or for windows beyond a limit that
// moves, cannot be made ready: the error names the charges, and PriceYear has to
// price each use. A balance carried from bill to bill is left out.
func (t *Tariff) Quick(periods []Period, uses []Use, o Options) (*Quick, error) {
	if err := checkPeriods(periods, uses, o); err != nil {
		return nil, err
	}
	o.Brief = true
	p := t.newPricer(periods, uses, o)
	p.tracing = true
	bills, err := p.all()
	if err != nil {
		return nil, fmt.Errorf("cannot be priced quickly: %w", err)
	}
	c := compiler{trail: p.trail, quick: &Quick{periods: len(periods)}}
	c.amounts(bills)
	if err := c.compile(); err != nil {
		return nil, err
	}
	return c.quick, nil
}

// Answers are what the uses told that the bills were made ready with, one for
// each of Asks: for periods whose use stays as it was.
func (q *Quick) Answers() []float64 { return q.start[:len(q.Asks)] }

// Clone gives a copy that another goroutine may use.
func (q *Quick) Clone() *Quick {
	c := *q
	c.values, c.room = slices.Clone(q.values), make([]float64, len(q.room))
	return &c
}

// Price prices a year: answers are in base units, one for each of Asks. It
// fills in the total of each period and the year's sum of each of Lines; either
// may be nil. It does not allocate.
func (q *Quick) Price(answers, totals, lines []float64) {
	for i, x := range answers {
		q.row(int32(i), 1)[0] = x
	}
	q.run(1)
	clear(totals)
	clear(lines)
	if totals != nil {
		for i := range q.totals {
			q.addUp(q.alone[:], &q.totals[i])
			totals[q.totals[i].of] = q.alone[0]
		}
	}
	if lines != nil {
		for i := range q.lines {
			q.addUp(q.alone[:], &q.lines[i])
			lines[q.lines[i].of] = q.alone[0]
		}
	}
}

// PriceDraws prices some draws of a year, QuickDraws of them at most, as Price
// does one: answers, totals and lines have a row for each ask, period and line,
// and each row a value for each draw.
func (q *Quick) PriceDraws(answers, totals, lines [][]float64) {
	n := 0
	for i, row := range answers {
		n = copy(q.row(int32(i), len(row)), row)
	}
	q.run(n)
	for _, row := range totals {
		clear(row)
	}
	for i := range q.totals {
		q.addUp(totals[q.totals[i].of], &q.totals[i])
	}
	for _, row := range lines {
		clear(row)
	}
	for i := range q.lines {
		q.addUp(lines[q.lines[i].of], &q.lines[i])
	}
}

// row is a value in each of n draws.
func (q *Quick) row(at int32, n int) []float64 { return q.values[int(at)*QuickDraws:][:n] }

// run works the program out for n draws whose answers are in place. Each step is
// done for all of them before the next: what it says is looked up once, and one
// draw does not wait for the other.
func (q *Quick) run(n int) {
	for _, r := range q.runs {
		program := q.program[r.from:r.to]
		switch r.op {
		case opTimes:
			for i := range program {
				x := &program[i]
				to, a, b := q.row(x.to, n), q.row(x.a, n), q.row(x.b, n)
				for j := range to {
					to[j] = float64(a[j] * b[j])
				}
			}
		case opRound:
			for i := range program {
				x := &program[i]
				to, a, b := q.row(x.to, n), q.row(x.a, n), q.row(x.b, n)
				for j := range to {
					m := float64(a[j] * b[j])
					up := math.Floor(float64(math.Abs(m)*x.inverse) + 0.5 + roundingDust)
					if m < 0 {
						up = -up
					}
					to[j] = float64(up * x.step)
				}
			}
		case opSum:
			for i := range program {
				x := &program[i]
				to := q.row(x.to, n)
				clear(to)
				for _, k := range q.args[x.first:][:x.n] {
					add(to, q.row(k, n))
				}
			}
		case opAbove:
			for i := range program {
				x := &program[i]
				to, a, b := q.row(x.to, n), q.row(x.a, n), q.row(x.b, n)
				for j := range to {
					to[j] = max(0, a[j]-b[j])
				}
			}
		case opWithin:
			for i := range program {
				x := &program[i]
				to, a, b, c := q.row(x.to, n), q.row(x.a, n), q.row(x.b, n), q.row(x.c, n)
				for j := range to {
					to[j] = max(0, min(a[j]-b[j], c[j]-b[j]))
				}
			}
		case opHighest:
			for i := range program {
				x := &program[i]
				to := q.row(x.to, n)
				copy(to, q.row(x.a, n))
				for _, k := range q.args[x.first:][1:x.n] {
					for j, v := range q.row(k, n)[:len(to)] {
						to[j] = max(to[j], v)
					}
				}
			}
		default:
			for i := range program {
				x := &program[i]
				args, room, to := q.args[x.first:][:x.n], q.room[:x.n], q.row(x.to, n)
				for j := range to {
					for k, from := range args {
						room[k] = q.values[int(from)*QuickDraws+j]
					}
					to[j] = x.call(room)
				}
			}
		}
	}
}

// addUp fills in a sum of values in each draw.
func (q *Quick) addUp(out []float64, s *sum) {
	clear(out)
	for _, k := range s.at {
		add(out, q.row(k, len(out)))
	}
}

// add adds a row to another.
func add(to, row []float64) {
	for j, v := range row[:len(to)] {
		to[j] += v
	}
}

// compiler turns a trail into a program.
type compiler struct {
	trail  *trail
	quick  *Quick
	place  []int32 // of each node among the values; -1 where it is not needed
	varies []bool
	wanted []quickAmount
}

// amounts notes which nodes are wanted.
func (c *compiler) amounts(bills []Bill) {
	q := c.quick
	for i, b := range bills {
		for _, l := range b.Lines {
			k := slices.Index(q.Lines, l.ID)
			if k < 0 {
				k = len(q.Lines)
				q.Lines = append(q.Lines, l.ID)
			}
			c.wanted = append(c.wanted, quickAmount{i, k, l.amountAt})
		}
	}
}

// compile leaves out what no amount rests on, puts the answers first, and works
// out once what rests on no answer.
func (c *compiler) compile() error {
	q, nodes := c.quick, c.trail.nodes
	wanted := make([]bool, len(nodes))
	for _, a := range c.wanted {
		wanted[a.at] = true
	}
	for i := len(nodes) - 1; i >= 0; i-- {
		if wanted[i] {
			for _, k := range nodes[i].from {
				wanted[k] = true
			}
		}
	}
	c.place, c.varies = make([]int32, len(nodes)), make([]bool, len(nodes))
	for i := range nodes {
		if n := &nodes[i]; wanted[i] && n.asked {
			c.place[i], c.varies[i] = int32(len(q.Asks)), true
			q.Asks = append(q.Asks, Ask{n.id.period, n.metered})
			q.start = append(q.start, n.v.InexactFloat64())
		}
	}
	for i := range nodes {
		if n := &nodes[i]; wanted[i] && !n.asked {
			if err := c.node(i, n); err != nil {
				return err
			}
		}
	}
	for _, a := range c.wanted {
		at := c.place[a.at]
		q.totals, q.lines = into(q.totals, a.period, at), into(q.lines, a.line, at)
	}
	q.arrange()
	q.values = make([]float64, 0, len(q.start)*QuickDraws)
	for _, v := range q.start {
		q.values = append(q.values, slices.Repeat([]float64{v}, QuickDraws)...)
	}
	return nil
}

// into adds a value to one of some sums, which may be a new one.
func into(sums []sum, of int, at int32) []sum {
	k := slices.IndexFunc(sums, func(s sum) bool { return s.of == of })
	if k < 0 {
		k = len(sums)
		sums = append(sums, sum{of: of})
	}
	sums[k].at = append(sums[k].at, at)
	return sums
}

// arrange puts the program into batches of one operation: first what rests on
// answers and constants alone, then what rests on those, and so on.
func (q *Quick) arrange() {
	after := make([]int, len(q.start)) // by value: the stages that come before it
	for i := range q.program {
		x := &q.program[i]
		for _, k := range q.args[x.first:][:x.n] {
			after[x.to] = max(after[x.to], after[k]+1)
		}
	}
	slices.SortStableFunc(q.program, func(x, y instruction) int {
		return cmp.Or(cmp.Compare(after[x.to], after[y.to]), cmp.Compare(x.op, y.op))
	})
	for i := range q.program {
		x := &q.program[i]
		last := len(q.runs) - 1
		if last < 0 || q.runs[last].op != x.op || after[q.program[i-1].to] != after[x.to] {
			q.runs, last = append(q.runs, batch{op: x.op, from: i}), last+1
		}
		q.runs[last].to = i + 1
	}
}

func (c *compiler) node(i int, n *node) error {
	q := c.quick
	c.place[i] = int32(len(q.start))
	q.start = append(q.start, n.v.InexactFloat64())
	for _, k := range n.from {
		c.varies[i] = c.varies[i] || c.varies[k]
	}
	if !c.varies[i] {
		return nil
	}
	x := instruction{to: c.place[i], first: int32(len(q.args)), n: int32(len(n.from))}
	for _, k := range n.from {
		q.args = append(q.args, c.place[k])
	}
	var ok bool
	if x.op, x.call, ok = quickOf(n.f); !ok {
		return fmt.Errorf("cannot be priced quickly: no float64 arithmetic for %q", n.f.Name)
	}
	for i, to := range []*int32{&x.a, &x.b, &x.c} {
		if i < len(n.from) {
			*to = c.place[n.from[i]]
		}
	}
	if x.op == opRound {
		x.step = q.start[x.c]
		x.inverse = 1 / x.step
	}
	if x.op == opCall && len(n.from) > len(q.room) {
		q.room = make([]float64, len(n.from))
	}
	q.program = append(q.program, x)
	return nil
}

// quickOf gives the float64 arithmetic of a formula.
func quickOf(f *working.Formula) (op, func([]float64) float64, bool) {
	if o, ok := quickOps[f]; ok {
		return o, nil, true
	}
	call, ok := quickCalls[f]
	return opCall, call, ok
}
