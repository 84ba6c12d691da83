// Package audit turns a record into results, in passes that each do one thing:
// readings → phases → totals → distortion → doubts → loads → year → bill →
// intervals. It knows no file, clock or page.
package audit

import (
	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/limits"
	"auditgen/internal/site"
	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

// Result is what the passes find. Absent is absent: never zero and never NaN.
type Result struct {
	Record *site.Record
	Sheet  *working.Sheet
	Family limits.Family
	Year   int

	Readings []Reading
	Tree     []Node // the points, incomer first, children after their parent
	Doubts   []Doubt

	Loads       []Load // in the order of the visit
	Uses        []Use  // largest first
	Months      []Month
	Energy      Interval // kWh of the year
	Unexplained Value    // Wh of it that was logged and that no load of the list explains; negative where the list explains more; not known without logged months
	Cost        Interval // of the year, in the tariff's currency
	Peak        Interval // highest monthly demand in Peak.Unit, kW
	PeakKVA     Interval
	PeakMonth   int      // 0 to 11
	BaseLoad    Interval // kW, the mean while nothing but "always" runs
	LoadFactor  Value
	Working     Heat       // ordinary working days
	Rest        Heat       // weekends, holidays and shutdowns
	Night       []Share    // kW of each load after midnight on rest days, largest first
	Factors     Factors    // absent where there is no demand
	Duration    []Exceeded // the load-duration curve, from the highest demand

	Bills             []tariff.Bill // one a month
	YearLines         []YearLine
	Currency          string
	Contributions     []Contribution // largest first, shares of the variance of the yearly energy
	CostContributions []Contribution
	Assumptions       []Assumption
	Reconciled        *Reconciliation // nil without bills
	Fit               *Fit            // how assumptions were fitted to the bills; nil where they were not
	Logs              []Log           // what the logs of points show
	Tariffs           []PricedTariff  // the one in force among the alternatives, cheapest first; none without alternatives

	model  *model            // the loads alone
	priced *model            // the same with the months that are logged
	drawn  *drawn            // the priced model made ready for draws
	base   *Year             // what variants are held against
	ready  map[string]*drawn // the model alone made ready for draws, by its charges
	useOf  []int             // the use of each load
	folded *folded
}

// Value is one number of the assessment with the step that made it.
type Value struct {
	V    float64 // in Unit, a base unit
	Unit string
	Step string // id in the sheet; "" when the value is not known
	Kind working.Kind
}

// Known reports whether there is a value.
func (v Value) Known() bool { return v.Step != "" }

// Interval is a figure with its 90 % interval, in Unit. Low and High are the
// ends of the interval.
type Interval struct {
	Value, Low, High float64
	Unit             string
	Step             string
}

// Half is the half-width of the interval.
func (i Interval) Half() float64 { return (i.High - i.Low) / 2 }

// Reading is a reading with what was derived from it and what is doubted.
type Reading struct {
	ID, At     string
	Point      string // the declared point it belongs to
	PointName  string
	Of         string
	Time       string
	Wiring     site.Wiring
	Balanced   bool
	Instrument site.Instrument
	Pos        diag.Pos
	Date       civil.Date

	Phases     []Phase  // those measured, or implied by "balanced"
	Neutral    Value    // A
	Lines      [3]Value // V, AB BC CA
	Wattmeters [3]Value // W, AB BC CA
	Total      Phase
	Sequence   site.Sequence // "" when not shown
	Frequency  Value
	Waves      []Wave

	Notes []string // what limits the worth of samples that it comes from

	VoltageUnbalance Value // 1, largest deviation from the mean of the line voltages (NEMA MG 1)
	NegativeSequence Value // 1, from three line voltages (IEC 61000-4-30)
	CurrentUnbalance Value // 1
	Components       Components
	Doubts           []Doubt
	PowerError       float64 // W, limit of error of the total power

	spoilt bool // a doubt with a named cause makes its power useless
}

// Components are the symmetrical components of the phase voltages, where their
// angles are known: V, and the shares of the positive sequence.
type Components struct {
	Zero, Positive, Negative Value // V
	ZeroShare, NegativeShare Value // 1
}

// Phase is what is known of one phase, or of all together.
type Phase struct {
	Name     string // as typed: A, L1, AB; "total"
	Voltage  Value  // V
	Current  Value  // A
	Power    Value  // W
	Reactive Value  // var
	Apparent Value  // VA
	PF       Value  // 1, negative when power flows back
	Angle    Value  // °

	VoltageAngle Value // °, against one reference for all phases
}

// Wave is the distortion read of one current or voltage.
type Wave struct {
	Kind        string // "current" or "voltage"
	Phase       string
	THD         Value // 1, of the fundamental
	THDOfRMS    Value // 1
	TDD         Value // 1, of the maximum demand current; current at the incomer only
	Fundamental Value // A or V
	Left        Value // 1, of the fundamental: what the orders that were read do not explain
	Orders      []Order
	Pos         diag.Pos
}

// Order is one harmonic.
type Order struct {
	N         int
	Share     Value // 1, of the fundamental
	OfMaximum Value // 1, of the maximum demand current; as TDD
}

// Doubt is a reason not to take a reading at its word.
type Doubt struct {
	ID      string // stable words, such as current-reversed
	Reading string
	Also    []string // further readings that the same mistake spoils
	Phase   string
	What    string // what does not agree, with the numbers
	Cause   string // the likeliest cause
	Retake  string // what to do about it
	Safety  bool   // someone may come to harm: it comes before all others
	Severe  bool   // the reading's power is not to be used for a year
	Steps   []string
	Pos     diag.Pos
}

// Node is a point of the board tree with what was measured there and below it.
type Node struct {
	ID, Name, From string
	Depth          int
	Reading        string // the reading of the whole point
	Measured       Value  // W
	Children       Value  // W, the sum of the points fed from it, where all are known
	Unexplained    Value  // W
	Tolerance      Value  // W, what the instrument's accuracy explains
	Switching      Value  // W, what may have switched between the readings, where that had to be asked
	Agrees         bool
	Rest           bool // what the points fed from it leave is more than that, and goes to circuits of its own
}

// Load is a load's year.
type Load struct {
	ID, Name, Use, At, Point string
	Pos                      diag.Pos
	Basis                    working.Kind // measured, assumed or derived from a plate
	BasisText                string       // "reading R7", "plate", "plate, loading by slip", "judgement", "lamps counted", "floor area"
	Readings                 []string
	Calendar                 string
	CalendarName             string
	Hours                    Value // h a year that its calendar is on
	Duty                     Value // 1, mean share of those hours that it runs
	Count                    Value
	Running                  Value // W, each, while running
	PF                       Value
	Energy                   Interval // kWh a year, all of them
	Because                  string
}

// Use is what all loads of one use take.
type Use struct {
	Name   string
	Energy Interval // kWh
	Share  float64  // of the year's energy, 0 to 1
	Part   Interval // the same with its interval
	Cost   Interval // what the bill would fall by without it
	Loads  []string // ids
	Day    Day
}

// Month is one month of the year.
type Month struct {
	Month                   int      // 0 to 11
	Energy                  Interval // kWh
	Reactive                Value    // varh
	PF                      Value
	PeakKW                  Interval
	PeakKVA                 Interval
	Cost                    Interval
	BySlot                  []float64      // kWh by tariff slot
	Modelled                *ModelledMonth // what the model expects, where the figures above are logged; nil elsewhere
	SumOfAverages, SumOfAll float64        // kW, the two naive answers
	PeakBy                  []Share        // what the month's highest demand is made of, largest first
	PeakHour                int            // likeliest hour of day, -1 when it may be any
	PeakHourShare           float64        // probability that the highest demand falls in that hour, 0 to 1
	PeakKind                int            // likeliest kind of day, WorkingDay or RestDay; only where there is a PeakHour
	PeakKindShare           float64        // its probability, 0 to 1
}

// Share is a load's part of something, in the unit of the whole: of a month's
// highest demand, kW.
type Share struct {
	Load, Name string
	Value      float64
}

// Heat is mean power by month and hour of day, in kW, and the reactive power that
// goes with it, in kvar. Days counts the days of that kind in each month; a month
// without any has no values.
type Heat struct {
	KW   [12][24]float64
	Kvar [12][24]float64
	Days [12]int
}

// YearLine is a charge of the tariff over the year.
type YearLine struct {
	ID, Label string
	Kind      string
	Quantity  string // summed and worded when it can be summed, else ""
	Unit      string
	Price     string
	Amount    float64 // for drawing only
	Exact     string  // decimal, to the last cent
	Interval  Interval
	At        diag.Pos
	Step      string
}

// Contribution is a source of doubt and its share of the variance.
type Contribution struct {
	ID, Label string
	Share     float64 // 0 to 1
	Half      float64 // half-width of the 90 % interval that it causes alone, in the figure's unit
	Narrower  float64 // by how much the interval would be narrower if it were known, 0 to 1
	Assumed   bool    // judgement, not instrument
	Mend      string  // what would narrow it
}

// Assumption is a line of the register.
type Assumption struct {
	ID      string // A1, A2, … in order of first use
	What    string
	Value   string
	Reason  string
	Pos     diag.Pos
	Step    string
	Default bool // nobody typed it: a default of the program
}
