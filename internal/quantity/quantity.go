// Package quantity has one type per electrical quantity, each in its base unit,
// and reads and prints them with the units of the trade.
//
// Conventions, throughout the program:
//   - voltages and currents are rms values;
//   - line-to-neutral and line-to-line voltage are different types;
//   - active power taken from the supply is positive, power given back negative;
//   - reactive power of a lagging (inductive) load is positive, of a leading
//     (capacitive) load negative;
//   - ratios are kept as fractions of one and printed in percent;
//   - angles are in degrees, current behind voltage positive (lagging).
package quantity

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"auditgen/internal/diag"
)

// The quantities, each in the base unit named.
type (
	VoltsLN      float64 // V rms, line to neutral
	VoltsLL      float64 // V rms, line to line
	Amperes      float64 // A rms
	Watts        float64 // W
	VoltAmperes  float64 // VA
	Vars         float64 // var
	WattHours    float64 // Wh
	VarHours     float64 // varh
	Hertz        float64 // Hz
	Ratio        float64 // 1
	Degrees      float64 // °
	Hours        float64 // h
	SquareMetres float64 // m²
	KgPerWh      float64 // kg CO2e per Wh

	WattsPerSquareMetre float64 // W/m²
)

// Unit is a unit a person may type, and its size in base units.
type Unit struct {
	Symbol string
	Scale  float64
}

// Kind describes a quantity: its name and the units it may be typed in, the
// base unit first.
type Kind struct {
	Name    string
	Units   []Unit
	Example string
}

// Quantity is any of the types of this package.
type Quantity interface {
	~float64
	Kind() *Kind
}

var (
	voltage   = &Kind{"voltage", []Unit{{"V", 1}, {"mV", 1e-3}, {"kV", 1e3}}, "231.2 V"}
	current   = &Kind{"current", []Unit{{"A", 1}, {"mA", 1e-3}, {"kA", 1e3}}, "84.1 A"}
	power     = &Kind{"active power", []Unit{{"W", 1}, {"kW", 1e3}, {"MW", 1e6}}, "16.2 kW"}
	apparent  = &Kind{"apparent power", []Unit{{"VA", 1}, {"kVA", 1e3}, {"MVA", 1e6}}, "19.4 kVA"}
	reactive  = &Kind{"reactive power", []Unit{{"var", 1}, {"kvar", 1e3}, {"Mvar", 1e6}}, "10.6 kvar"}
	energy    = &Kind{"energy", []Unit{{"Wh", 1}, {"kWh", 1e3}, {"MWh", 1e6}}, "5000 kWh"}
	reactiveE = &Kind{"reactive energy", []Unit{{"varh", 1}, {"kvarh", 1e3}, {"Mvarh", 1e6}}, "1200 kvarh"}
	frequency = &Kind{"frequency", []Unit{{"Hz", 1}}, "50.02 Hz"}
	ratio     = &Kind{"percentage", []Unit{{"%", 1e-2}}, "62 %"}
	angle     = &Kind{"angle", []Unit{{"°", 1}, {"deg", 1}}, "32.9 °"}
	duration  = &Kind{"time", []Unit{{"h", 1}, {"min", 1.0 / 60}, {"s", 1.0 / 3600}}, "20 min"}
	area      = &Kind{"area", []Unit{{"m²", 1}, {"m2", 1}, {"ft²", 0.09290304}, {"ft2", 0.09290304}}, "1450 m²"}
	density   = &Kind{"power by area", []Unit{{"W/m²", 1}, {"W/m2", 1}, {"W/ft²", 1 / 0.09290304}, {"W/ft2", 1 / 0.09290304}}, "9 W/m²"}
	emission  = &Kind{"emission factor", []Unit{{"kg/Wh", 1}, {"kg/kWh", 1e-3}, {"g/kWh", 1e-6}, {"t/MWh", 1e-3}, {"lb/MWh", 0.45359237e-6}}, "0.312 kg/kWh"}
)

var kinds = []*Kind{voltage, current, power, apparent, reactive, energy, reactiveE, frequency, ratio, angle, duration, area, density, emission}

// kindWith finds the kind that has a unit.
func kindWith(symbol string) *Kind {
	for _, k := range kinds {
		if _, ok := k.unit(symbol); ok {
			return k
		}
	}
	return nil
}

func (VoltsLN) Kind() *Kind      { return voltage }
func (VoltsLL) Kind() *Kind      { return voltage }
func (Amperes) Kind() *Kind      { return current }
func (Watts) Kind() *Kind        { return power }
func (VoltAmperes) Kind() *Kind  { return apparent }
func (Vars) Kind() *Kind         { return reactive }
func (WattHours) Kind() *Kind    { return energy }
func (VarHours) Kind() *Kind     { return reactiveE }
func (Hertz) Kind() *Kind        { return frequency }
func (Ratio) Kind() *Kind        { return ratio }
func (Degrees) Kind() *Kind      { return angle }
func (Hours) Kind() *Kind        { return duration }
func (SquareMetres) Kind() *Kind { return area }
func (KgPerWh) Kind() *Kind      { return emission }

func (WattsPerSquareMetre) Kind() *Kind { return density }

// KindOf gives the kind of a quantity's type.
func KindOf[Q Quantity]() *Kind { var q Q; return q.Kind() }

// Base is the symbol of the base unit.
func (k *Kind) Base() string { return k.Units[0].Symbol }

// Symbols lists the units that may be typed.
func (k *Kind) Symbols() []string {
	s := make([]string, len(k.Units))
	for i, u := range k.Units {
		s[i] = u.Symbol
	}
	return s
}

// expected words what may be typed.
func (k *Kind) expected() string {
	return fmt.Sprintf("%s in %s, such as %s", k.Name, diag.Or(k.Symbols()), k.Example)
}

// unit finds a unit by its symbol. Symbols are case-sensitive (mW is not MW);
// a symbol that differs in case only is a near miss, not a match.
func (k *Kind) unit(symbol string) (Unit, bool) {
	for _, u := range k.Units {
		if u.Symbol == symbol {
			return u, true
		}
	}
	return Unit{}, false
}

// Displayed is a quantity as an instrument shows it: the value, and the step of
// its last digit, which bounds how finely it was read. Both are in base units.
type Displayed[Q Quantity] struct {
	Value Q
	Step  Q
	Text  string // as typed
}

// UnmarshalText reads a number with its unit, such as "16.2 kW".
func (d *Displayed[Q]) UnmarshalText(text []byte) error {
	v, err := Parse[Q](string(text))
	if err == nil {
		*d = v
	}
	return err
}

// Written words how a quantity is typed, for the data reference.
func (Displayed[Q]) Written() string { return KindOf[Q]().expected() }

// Pattern is a regular expression that holds of every text that can be read.
func (Displayed[Q]) Pattern() string {
	units := make([]string, len(KindOf[Q]().Units))
	for i, s := range KindOf[Q]().Symbols() {
		units[i] = regexp.QuoteMeta(s)
	}
	return `^\s*-?(0|[1-9][0-9]*)(\.[0-9]+)?\s*(` + strings.Join(units, "|") + `)\s*$`
}

// numberForm is the only way to write a number: no leading zeros or plus sign,
// no digit groups, no exponent, a point before decimals.
var numberForm = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]+)?$`)

// Number reads a plain decimal number and counts its decimals.
func Number(text string) (value float64, decimals int, err error) {
	if !numberForm.MatchString(text) {
		p := &diag.Problem{What: fmt.Sprintf("%q is not a number", text), Expected: "digits with a point before decimals, such as 1234.5"}
		if plain := plainNumber(text); plain != text && numberForm.MatchString(plain) {
			p.Nearest = plain
		}
		return 0, 0, p
	}
	value, err = strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(value, 0) {
		return 0, 0, &diag.Problem{What: fmt.Sprintf("%q is too large a number", text)}
	}
	if _, frac, ok := strings.Cut(text, "."); ok {
		decimals = len(frac)
	}
	return value, decimals, nil
}

// plainNumber takes out what people put into numbers. A single comma may have
// been meant as a decimal point or to set thousands apart: before three digits
// it is left, since a guess would be wrong by a factor of a thousand.
func plainNumber(text string) string {
	text = strings.NewReplacer(" ", "", "_", "", "'", "").Replace(strings.TrimPrefix(text, "+"))
	if head, tail, ok := strings.Cut(text, ","); ok && len(tail) != 3 && !strings.Contains(head, ".") {
		return head + "." + tail
	}
	return text
}

var (
	// The spaces that word processors and web pages set between number and unit.
	hardSpaces = strings.NewReplacer("\u00a0", " ", "\u202f", " ", "\u2009", " ")
	// A space before another digit belongs to the number, which then has a
	// fault of its own: 1 234 V is not 1 of the unit "234 V".
	numberAndUnit = regexp.MustCompile(`(?s)^((?:[-+0-9.,_']|\s+[0-9])*)(.*)$`)
)

// split parts a number from the unit behind it.
func split(text string) (number, unit string) {
	text = strings.TrimSpace(hardSpaces.Replace(text))
	// This unit begins with a digit, which belongs to no number before it.
	if number, ok := strings.CutSuffix(text, " 1/min"); ok {
		return strings.TrimSpace(number), "1/min"
	}
	m := numberAndUnit.FindStringSubmatch(text)
	return m[1], strings.TrimSpace(m[2])
}

// Parse reads a number with one of the units of Q. The error is a
// *diag.Problem that lists the units.
func Parse[Q Quantity](text string) (Displayed[Q], error) {
	value, step, err := KindOf[Q]().Read(text)
	if err != nil {
		return Displayed[Q]{}, err
	}
	return Displayed[Q]{Value: Q(value), Step: Q(step), Text: strings.TrimSpace(text)}, nil
}

// Read reads a number with one of the units of the kind: its value and the step
// of its last digit, in the base unit's quantity. The error is a *diag.Problem
// that lists the units.
func (k *Kind) Read(text string) (value, step float64, err error) {
	text = strings.TrimSpace(text)
	number, symbol := split(text)
	if number == "" {
		return 0, 0, &diag.Problem{What: fmt.Sprintf("%q is not a %s", text, k.Name), Expected: "a number and a unit, such as " + k.Example}
	}
	value, decimals, err := Number(number)
	if err != nil {
		return 0, 0, err
	}
	if symbol == "" {
		return 0, 0, &diag.Problem{
			What:     fmt.Sprintf("%q has no unit", text),
			Expected: k.expected(),
		}
	}
	u, ok := k.unit(symbol)
	if !ok {
		p := &diag.Problem{What: fmt.Sprintf("unknown unit %q", symbol), Expected: k.expected(), Nearest: diag.Nearest(symbol, k.Symbols())}
		if other := kindWith(symbol); other != nil {
			p.What, p.Nearest = fmt.Sprintf("%q is in a unit of %s", text, other.Name), ""
		}
		if p.Nearest != "" {
			p.Nearest = number + " " + p.Nearest
		}
		return 0, 0, p
	}
	return value * u.Scale, math.Pow10(-decimals) * u.Scale, nil
}

// Write prints a value of the kind in the largest of its decimal units in which
// it is one or more, else in the smallest, with so many significant digits at
// most: "55.323 kvar".
func (k *Kind) Write(v float64, digits int) string {
	units := slices.Clone(k.Units)
	slices.SortStableFunc(units, func(a, b Unit) int { return cmp.Compare(a.Scale, b.Scale) })
	best := k.Units[0]
	if k.Decimal() && v != 0 {
		best = units[0]
		for _, u := range units {
			if u.Scale > best.Scale && math.Abs(v) >= u.Scale {
				best = u
			}
		}
	}
	return strconv.FormatFloat(v/best.Scale, 'g', digits, 64) + " " + best.Symbol
}

// Decimal reports whether the units of the kind differ by powers of ten.
func (k *Kind) Decimal() bool {
	for _, u := range k.Units {
		if e := math.Log10(u.Scale); math.Abs(e-math.Round(e)) > 1e-9 {
			return false
		}
	}
	return true
}

// In gives q in a unit of its kind. It panics on a unit that the kind lacks:
// that is a fault of the program, not of its input.
func In[Q Quantity](q Q, symbol string) float64 {
	u, ok := q.Kind().unit(symbol)
	if !ok {
		panic("quantity: " + q.Kind().Name + " has no unit " + symbol)
	}
	return float64(q) / u.Scale
}

// Text prints q in the unit with a number of decimals: "16.2 kW".
func Text[Q Quantity](q Q, symbol string, decimals int) string {
	return strconv.FormatFloat(In(q, symbol), 'f', decimals, 64) + " " + symbol
}
