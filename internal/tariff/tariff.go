package tariff

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/say"
	"auditgen/internal/source"
)

// Tariff is a tariff that has been read and checked: ready to price.
type Tariff struct {
	File
	cal      *calendar
	charges  []charge
	order    []int  // indices of charges, each after those it rests on
	lineWord string // name of the rounding of amounts in the trail
}

// charge is a charge with its references found. A charge whose price changes
// has one for each price: its editions.
type charge struct {
	*Charge
	index    int
	edition  int        // 0 for the first of the charges with the id
	later    []int      // of the first edition: the others
	from, to civil.Date // first day, and day after the last; zero where it is open
	series   *series    // of a charge with a price for each month
	kind     Kind
	sel      SlotSet     // slots it counts; all when it does not restrict them
	where    [2][]string // the periods and seasons that it counts; empty when it does not restrict them
	seasons  []string    // seasons that are counted by days or by the reading
	unit     string      // unit of its quantity before time: kWh, kVA; "" for none
	over     string      // day, month or year of a demand's price; "" for none
	base     []int       // charges whose lines it falls on
	blocks   map[int][]int
	amounts  []int // charges whose amounts a condition looks at
	together []int // taxes inside the same base
	perLines []int // demand charge that block edges are counted by, by editions
	needs    []need
}

// need is a charge that must be priced first, and where it is named.
type need struct {
	index int
	at    diag.Pos
}

func (c *charge) label() string {
	if c.Label != "" {
		return c.Label
	}
	return c.ID.Value
}

func (c *charge) shareForm() *Share {
	if c.kind == KindTax {
		return c.Tax
	}
	return c.Percent
}

// Read reads and checks a tariff. It records every fault it finds, and gives
// nil when there are any, or when parts of the file were refused before.
func Read(v *source.Value, faults *diag.List) *Tariff {
	if v == nil {
		return nil
	}
	before := faults.Len()
	t := &Tariff{}
	source.Decode(v, &t.File, faults)
	whole := faults.Len() == before
	t.cal = newCalendar(&t.File)
	t.cal.check(faults, whole)
	t.check(faults)
	if faults.Len() > before || t.Faulty {
		return nil
	}
	if !t.cal.compile() {
		faults.At(v.Pos, fmt.Sprintf("seasons and periods make more than %d kinds of time", maxSlots), "fewer seasons or sets of periods")
		return nil
	}
	for i := range t.charges {
		t.choose(&t.charges[i])
	}
	t.lineWord = "line-rounding." + t.lineRounding(&charge{Charge: &Charge{}}).Size.String()
	return t
}

// choose finds the slots that a charge counts. Where seasons are counted by
// days or by the reading, its slots are those of all seasons.
func (t *Tariff) choose(c *charge) {
	periods, seasons := c.restricts()
	if c.kind == KindFixed {
		c.seasons = values(seasons)
		if len(seasons) > 0 {
			c.sel = t.cal.pick(nil, seasons)
			c.where = [2][]string{nil, c.seasons}
		}
		return
	}
	switch c.kind {
	case KindPercent, KindTax, KindMinimum, KindSubtotal:
		return
	}
	if t.SeasonChange.Value != SeasonByDate {
		c.seasons = values(seasons)
		seasons = nil
	}
	c.sel = t.cal.pick(periods, seasons)
	c.where = [2][]string{values(periods), values(seasons)}
}

// whereIn words the periods and seasons that a charge counts, "" for all.
func (c *charge) whereIn(lang *say.Language) string {
	periods, seasons := listIn(lang, c.where[0]), listIn(lang, c.where[1])
	if periods != "" && seasons != "" {
		return periods + ", " + seasons
	}
	return periods + seasons
}

func (c *charge) restricts() (periods, seasons source.OneOrMany[string]) {
	switch c.kind {
	case KindFixed:
		return nil, c.Fixed.Season
	case KindEnergy:
		return c.Energy.Period, c.Energy.Season
	case KindReactive:
		return c.Reactive.Period, c.Reactive.Season
	case KindDemand:
		return c.Demand.Period, c.Demand.Season
	case KindPowerFactor:
		return c.PowerFactor.Period, nil
	case KindMaximum:
		return c.Maximum.Period, nil
	}
	return nil, nil
}

func values(names source.OneOrMany[string]) []string {
	words := make([]string, len(names))
	for i, n := range names {
		words[i] = n.Value
	}
	return words
}

// Windows lists the averaging times of the demand charges, in minutes, each
// once, in the order of the file.
func (t *Tariff) Windows() []int {
	var windows []int
	add := func(w Window) {
		if w.Minutes > 0 && !slices.Contains(windows, w.Minutes) {
			windows = append(windows, w.Minutes)
		}
	}
	for i := range t.charges {
		switch c := &t.charges[i]; {
		case c.Demand != nil:
			add(c.Demand.Window.Value)
		case c.PowerFactor != nil && (c.PowerFactor.Rule == Peak || c.PowerFactor.Rule == AtPeak):
			w := c.PowerFactor.Window.Value
			if w.Minutes == 0 {
				w.Minutes = 30
			}
			add(w)
		}
	}
	return windows
}

// slotWords names a set of slots by the restriction of a charge that has it.
func (t *Tariff) slotWords(lang *say.Language, set SlotSet) string {
	for i := range t.charges {
		if t.charges[i].sel == set {
			return t.charges[i].whereIn(lang)
		}
	}
	var names []string
	for i, name := range t.cal.names {
		if set.Has(Slot(i)) {
			names = append(names, name)
		}
	}
	if len(names) == len(t.cal.names) {
		return ""
	}
	text := ""
	for i, name := range names {
		if i == 0 {
			text = name
		} else {
			text = lang.F("%s and %s", text, name)
		}
	}
	return text
}

// All is the set of all slots.
func (t *Tariff) All() SlotSet { return t.cal.pick(nil, nil) }

var notInSlug = regexp.MustCompile(`[^a-z0-9.]+`)

// slug makes a step id's word of a text.
func slug(s string) string {
	return strings.Trim(notInSlug.ReplaceAllString(strings.ToLower(s), "-"), "-")
}
