package tariff

import (
	"strconv"
	"strings"
	"sync"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/say"
	"auditgen/internal/working"
)

// val is an exact number on the way to an amount; at is its place in the trail.
type val struct {
	decimal.Decimal
	at int
}

// ident names a number of the trail. Its words are put together only when the
// working is asked for.
type ident struct {
	period int // index of the billing period; inFile or bare
	charge int // index of the charge; -1 for none
	part   int // block of the charge; 0 for none
	word   string
	n      int // behind the word; 0 for none
}

// Periods of an ident that are none.
const (
	inFile = -1 // stands in the tariff's file: "tariff.…"
	bare   = -2 // the word is the whole name
)

// node is one named number of the trail: metered, stated, or worked out.
type node struct {
	id          ident
	label, unit string
	v           decimal.Decimal
	f           *working.Formula // nil when not worked out
	from        []int
	asked       bool // the number was metered
	metered     Metered
	typed       string
	pos         diag.Pos
}

// trail holds every number of a pricing in the order in which it arose.
type trail struct {
	lang    *say.Language
	t       *Tariff
	periods []Period
	nodes   []node
	known   map[ident]int
	args    []int             // what nodes cite, cut into slices
	numbers []decimal.Decimal // room for the arguments of a formula
	once    sync.Once
	names   []string // ids of the nodes, when asked for
}

func newTrail(lang *say.Language, t *Tariff, periods []Period) *trail {
	n := len(periods) * (len(t.charges)*8 + 16)
	return &trail{lang: lang, t: t, periods: periods, nodes: make([]node, 0, n), args: make([]int, 0, 3*n), known: make(map[ident]int, 8*len(t.charges)+32)}
}

func (t *trail) put(n node) val {
	t.nodes = append(t.nodes, n)
	return val{n.v, len(t.nodes) - 1}
}

// stated puts a number that stands in a file; the same id is put once.
func (t *trail) stated(n node) val {
	if i, ok := t.known[n.id]; ok {
		return val{t.nodes[i].v, i}
	}
	v := t.put(n)
	t.known[n.id] = v.at
	return v
}

// apply works a formula out and leaves a node.
func (t *trail) apply(f exactly, id ident, label, unit string, args ...val) val {
	t.numbers = t.numbers[:0]
	first := len(t.args)
	for _, a := range args {
		t.numbers = append(t.numbers, a.Decimal)
		t.args = append(t.args, a.at)
	}
	return t.put(node{id: id, label: label, unit: unit, v: f.fn(t.numbers), f: f.Formula, from: t.args[first:len(t.args):len(t.args)]})
}

// ids names every node, each name once: the second of a name gets a 2.
func (t *trail) ids() []string {
	t.once.Do(func() {
		t.names = make([]string, len(t.nodes))
		taken := make(map[string]bool, len(t.nodes))
		for i := range t.nodes {
			name := t.name(&t.nodes[i])
			id := name
			for k := 2; taken[id]; k++ {
				id = name + "." + strconv.Itoa(k)
			}
			taken[id] = true
			t.names[i] = id
		}
	})
	return t.names
}

func (t *trail) name(n *node) string {
	var words []string
	switch id := n.id; id.period {
	case bare:
		return id.word
	case inFile:
		words = append(words, "tariff")
	default:
		words = append(words, t.periods[id.period].key())
	}
	if n.id.charge >= 0 {
		c := &t.t.charges[n.id.charge]
		words = append(words, c.ID.Value)
		if c.edition > 0 {
			words = append(words, "v"+strconv.Itoa(c.edition+1))
		}
	}
	if n.id.part > 0 {
		words = append(words, strconv.Itoa(n.id.part))
	}
	if n.asked {
		words = append(words, slug(n.labelOf(nil, t.t)))
	} else {
		words = append(words, n.id.word)
	}
	if n.id.n > 0 {
		words = append(words, strconv.Itoa(n.id.n))
	}
	return strings.Join(words, ".")
}

// labelOf words a node.
func (n *node) labelOf(lang *say.Language, t *Tariff) string {
	if n.asked {
		return t.meterLabel(lang, n.metered)
	}
	return n.label
}
