// Package limits holds published limits as data files, one for each standard,
// and looks them up. Each limit comes with its citation: standard, edition,
// table or clause, how well the figure is known, where it applies and the
// statistic that it is defined over, so that a report can say what a spot
// reading may conclude and what it may not.
package limits

import (
	"cmp"
	"strings"

	"auditgen/internal/quantity"
	"auditgen/internal/say"
)

// Standard names a standard that has a data file.
type Standard string

// The standards.
const (
	IEEE519       Standard = "IEEE 519"
	EN50160       Standard = "EN 50160"
	IEC61000_2_2  Standard = "IEC 61000-2-2"
	IEC61000_3_2  Standard = "IEC 61000-3-2"
	IEC61000_3_12 Standard = "IEC 61000-3-12"
	IEC60034_1    Standard = "IEC 60034-1"
	IEC60038      Standard = "IEC 60038"
	IEC60364_5_52 Standard = "IEC 60364-5-52"
	ANSIC84_1     Standard = "ANSI C84.1"
	NEMAMG1       Standard = "NEMA MG 1"

	IEC60364_4_43 Standard = "IEC 60364-4-43"
	NEC           Standard = "NEC"
	IEC60831_1    Standard = "IEC 60831-1"
	IEEE18        Standard = "IEEE 18"
	IEC60034_30_1 Standard = "IEC 60034-30-1"
)

// Status tells how well the figures of a table are known.
type Status string

// The states: the standard's own text was read; a published reproduction was
// read; or the figures are recalled and want checking before they decide anything.
const (
	Seen      Status = "seen"
	Secondary Status = "secondary"
	Memory    Status = "memory"
)

// Reach tells what a spot reading can say about a limit.
type Reach string

// The reaches.
const (
	// Period: the limit binds a statistic over a day, a week or a year. A spot
	// reading, above it or below, neither breaks nor meets it; it only points.
	Period Reach = "period"
	// Level: a planning level for a whole network, not a limit at one place.
	Level Reach = "level"
	// Sustained: the limit binds the steady state. A spot reading speaks for as
	// long as the conditions of the reading last.
	Sustained Reach = "sustained"
	// TypeTest: the limit binds a product in a laboratory, not an installation.
	TypeTest Reach = "type-test"
)

// Measure tells which of the measures of unbalance a limit is set for. They
// differ by up to 15 % and may not be mixed.
type Measure string

// The measures of unbalance.
const (
	NEMA             Measure = "NEMA"
	NegativeSequence Measure = "negative sequence"
)

// Citation is where a limit stands and what it is worth.
type Citation struct {
	Standard  Standard
	Edition   string
	CitedAs   string // standard and edition in the usual form: EN 50160:2010
	Title     string
	Table     string // Table 1; may be empty
	Clause    string // 5.1; may be empty; from memory unless Status is Seen
	Status    Status
	Place     string // where the limit applies, with its article
	Base      string // what a percentage is of; may be empty
	Statistic string // what it is defined over
	Reach     Reach
	Note      string
}

// Text gives the citation in English: "EN 50160:2010, Table 1".
func (c Citation) Text() string { return c.In(nil) }

// In gives the citation in a language: "EN 50160:2010, Tabla 1".
func (c Citation) In(lang *say.Language) string {
	text := c.CitedAs
	if c.Table != "" {
		text += ", " + lang.S(c.Table)
	}
	if c.Clause != "" {
		clause := c.Clause
		if strings.Contains(clause, " ") {
			clause = lang.S(clause)
		}
		text += ", " + lang.F("clause %s", clause)
	}
	return text
}

// Statistic is a further statistic of a limit: the limit times a factor.
type Statistic struct {
	Times float64
	Over  string
}

// Limit is an upper limit.
type Limit[Q ~float64] struct {
	Name    string
	Value   Q
	Measure Measure // of unbalance; else empty
	Cite    Citation
	Also    []Statistic
}

// Band is a lower and an upper limit.
type Band[Q ~float64] struct {
	Name      string
	Low, High Q
	Cite      Citation
}

// Holds reports whether q stands within the band, its edges included.
func (b Band[Q]) Holds(q Q) bool { return b.Low <= q && q <= b.High }

// Place is where in an installation a voltage is judged.
type Place string

// The places: the supply terminals (service), the terminals of equipment inside
// (utilisation), a motor's terminals (of its nameplate voltage), and the supply
// terminals of an island network.
const (
	AtSupply Place = "supply"
	AtUse    Place = "use"
	AtMotor  Place = "motor"
	AtIsland Place = "island"
)

// VoltageTHD gives the limit of total harmonic distortion of the voltage at a
// bus of the given line-to-line voltage. The limit is a share of the voltage
// named in the citation's Base. It is false when the standard sets none.
func VoltageTHD(s Standard, bus quantity.VoltsLL) (Limit[quantity.Ratio], bool) {
	return total(s, "voltage-distortion", "voltage distortion", bus, 0)
}

// VoltageHarmonic gives the limit of one harmonic order, 2 to 50, of the voltage.
// It is false for an order that the standard sets no limit for.
func VoltageHarmonic(s Standard, bus quantity.VoltsLL, order int) (Limit[quantity.Ratio], bool) {
	return individual(s, "voltage-distortion", "voltage harmonic", bus, 0, order)
}

// currentTables are the tables of current distortion, by bus voltage.
var currentTables = []string{"current-distortion", "current-distortion-subtransmission", "current-distortion-high-voltage"}

// CurrentTDD gives the limit of total demand distortion of the current, from the
// bus's line-to-line voltage and the short-circuit ratio Isc/IL. It is false
// when the standard sets none.
func CurrentTDD(s Standard, bus quantity.VoltsLL, ratio float64) (Limit[quantity.Ratio], bool) {
	for _, id := range currentTables {
		if l, ok := total(s, id, "current distortion", bus, ratio); ok {
			return l, true
		}
	}
	return Limit[quantity.Ratio]{}, false
}

// CurrentHarmonic gives the limit of one harmonic order, 2 to 50, of the current
// as a share of the maximum demand load current, from the same figures.
func CurrentHarmonic(s Standard, bus quantity.VoltsLL, ratio float64, order int) (Limit[quantity.Ratio], bool) {
	for _, id := range currentTables {
		if l, ok := individual(s, id, "current harmonic", bus, ratio, order); ok {
			return l, true
		}
	}
	return Limit[quantity.Ratio]{}, false
}

// Voltage is a line-to-neutral or a line-to-line voltage.
type Voltage interface {
	quantity.VoltsLN | quantity.VoltsLL
}

// VoltageBands gives the bands of a voltage for a nominal voltage, narrower or
// more usual bands first. A table that lists nominal voltages is read for those;
// for others the bands follow from percentages, and the citation's note says so.
func VoltageBands[V Voltage](s Standard, place Place, nominal V) []Band[V] {
	return bands(s, "voltage", place, nominal)
}

// FrequencyBands gives the bands of the frequency for a nominal frequency.
func FrequencyBands(s Standard, place Place, nominal quantity.Hertz) []Band[quantity.Hertz] {
	return bands(s, "frequency", place, nominal)
}

// Unbalance gives the limits of voltage unbalance, each for the measure that it
// is set for, the lowest first.
func Unbalance(s Standard) []Limit[quantity.Ratio] {
	f, t := published().table(s, "unbalance")
	if t == nil {
		return nil
	}
	var all []Limit[quantity.Ratio]
	for _, c := range t.Ceilings {
		all = append(all, Limit[quantity.Ratio]{Name: c.Name, Value: c.Limit.Value, Measure: c.Measure, Cite: t.cite(f)})
	}
	return all
}

// Figure gives a single share that a standard sets, by the table and its name.
// It is false where the standard sets none.
func Figure(s Standard, tableID, name string) (Limit[quantity.Ratio], bool) {
	f, t := published().table(s, tableID)
	if t == nil {
		return Limit[quantity.Ratio]{}, false
	}
	for _, x := range t.Figures {
		if x.Name == name {
			c := t.cite(f)
			c.Note = cmp.Or(x.Note, c.Note)
			return Limit[quantity.Ratio]{Name: x.Name, Value: x.Limit.Value, Cite: c}, true
		}
	}
	return Limit[quantity.Ratio]{}, false
}

// Derating gives the factor by which a motor's rated power is to be lowered for
// a NEMA unbalance, between the points of the NEMA MG 1 curve. It is false below
// 0 and above the curve's end at 5 %, where a motor should not run.
func Derating(nema quantity.Ratio) (Limit[quantity.Ratio], bool) {
	f, t := published().table(NEMAMG1, "derating")
	if t == nil || !(nema >= 0) {
		return Limit[quantity.Ratio]{}, false
	}
	for i := 1; i < len(t.Curve); i++ {
		a, b := t.Curve[i-1], t.Curve[i]
		if nema > b.At.Value {
			continue
		}
		share := (nema - a.At.Value) / (b.At.Value - a.At.Value)
		return Limit[quantity.Ratio]{
			Name:    "derating for unbalance",
			Value:   a.Factor.Value + share*(b.Factor.Value-a.Factor.Value),
			Measure: t.Measure,
			Cite:    t.cite(f),
		}, true
	}
	return Limit[quantity.Ratio]{}, false
}
