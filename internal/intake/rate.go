package intake

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
)

// RateOptions tell what a rate record may leave out.
type RateOptions struct {
	Record   string     // label of the record, where the file holds several
	From     civil.Date // first day, where the record has no start date
	Currency string     // ISO 4217 code, where the record is not of the United States
}

// Rate is a tariff made from a record.
type Rate struct {
	Name string
	YAML []byte   // the tariff's file
	Left []string // what could not be carried over
	Took []string // what the record does not say and was taken
}

// ReadRate makes a tariff of a record of the US Utility Rate Database in JSON: one
// record, a list of them, or an answer of its service, which has them under
// items. Field names and meanings are those of its page of fields, versions 3 to
// 8 (from memory). It gives nil when there are faults.
func ReadRate(file string, data []byte, o RateOptions, faults *diag.List) *Rate {
	r := &rateReader{file: file, data: data, faults: faults, o: o, rate: &Rate{}}
	before := faults.Len()
	if r.find(); faults.Len() > before {
		return nil
	}
	r.read()
	if faults.Len() > before {
		return nil
	}
	r.carry()
	if faults.Len() > before {
		return nil
	}
	return r.rate
}

type rateReader struct {
	file   string
	data   []byte
	faults *diag.List
	o      RateOptions
	rate   *Rate
	start  int // offset of the record in the file
	raw    map[string]json.RawMessage
	record rateRecord
	cal    *rateCalendar
	out    strings.Builder
}

// tier is one tier of a price.
type tier struct {
	Max  *number `json:"max"`
	Rate number  `json:"rate"`
	Adj  number  `json:"adj"`
	Sell number  `json:"sell"`
	Unit string  `json:"unit"`
}

// price is what is paid.
func (t tier) price() decimal.Decimal { return t.Rate.Add(t.Adj.Decimal) }

// number is an exact number, written as such or in quotes.
type number struct{ decimal.Decimal }

// UnmarshalJSON reads a number.
func (n *number) UnmarshalJSON(text []byte) error {
	s := strings.Trim(string(text), `"`)
	if s == "null" || s == "" {
		*n = number{}
		return nil
	}
	// A decimal of a huge exponent would be written out with all its zeros.
	d, err := decimal.NewFromString(s)
	if err != nil || len(s) > 40 || d.Exponent() > 15 || d.Exponent() < -20 || d.Abs().GreaterThan(decimal.New(1, 15)) {
		return fmt.Errorf("%s is not a number that a tariff has", text)
	}
	n.Decimal = d
	return nil
}

// yesNo is a yes or no, written as such or as 1 or 0.
type yesNo bool

// UnmarshalJSON reads a flag.
func (f *yesNo) UnmarshalJSON(text []byte) error {
	switch strings.Trim(string(text), `"`) {
	case "true", "1":
		*f = true
	case "false", "0", "null":
		*f = false
	default:
		return fmt.Errorf("%s is neither yes nor no", text)
	}
	return nil
}

// rateRecord is what is read of a record.
type rateRecord struct {
	label, name, utility, uri, source, sourceParent, country string

	start, end *number

	energy, demand, flat         [][]tier
	energyWeekday, energyWeekend [][]int
	demandWeekday, demandWeekend [][]int
	flatMonths                   []int
	demandUnit, flatUnit         string
	window                       *number

	ratchet         []number
	lookbackPercent *number
	lookbackMonths  []yesNo
	lookbackRange   *number

	fixed      *number
	fixedUnits string
	minimum    *number
	minUnits   string
}

func (r *rateReader) pos(offset int) diag.Pos {
	offset = min(max(offset, 0), len(r.data))
	before := r.data[:offset]
	line := bytes.LastIndexByte(before, '\n') + 1
	return diag.Pos{File: r.file, Line: 1 + bytes.Count(before, []byte("\n")), Column: 1 + len([]rune(string(before[line:])))}
}

// key is where a key of the record stands.
func (r *rateReader) key(name string) diag.Pos {
	i := bytes.Index(r.data[r.start:], []byte(`"`+name+`"`))
	return r.pos(r.start + max(i, 0))
}

// find picks the record of the file.
func (r *rateReader) find() {
	var all []json.RawMessage
	var whole map[string]json.RawMessage
	err := json.Unmarshal(r.data, &all)
	if err != nil {
		if err = json.Unmarshal(r.data, &whole); err == nil && whole["items"] != nil {
			if err = json.Unmarshal(whole["items"], &all); err != nil {
				r.faults.At(r.key("items"), "items is not a list of records", "an answer of the service, or one record")
				return
			}
		} else if err == nil {
			r.raw = whole
			return
		}
	}
	if err != nil {
		var form *json.SyntaxError
		offset := 0
		if errors.As(err, &form) {
			offset = int(form.Offset) - 1
		}
		r.faults.At(r.pos(offset), "the JSON cannot be read: "+strings.TrimPrefix(err.Error(), "json: "), "a record of the rate database")
		return
	}
	r.choose(all)
}

// choose takes the one record, or the one that is asked for.
func (r *rateReader) choose(all []json.RawMessage) {
	var labels []string
	for _, item := range all {
		var one map[string]json.RawMessage
		var label string
		if json.Unmarshal(item, &one) != nil {
			continue
		}
		_ = json.Unmarshal(one["label"], &label) // a record without a label is counted all the same
		labels = append(labels, label)
		if len(all) == 1 || label != "" && label == r.o.Record {
			r.raw = one
			r.start = max(0, bytes.Index(r.data, item))
			return
		}
	}
	what := fmt.Sprintf("the file holds %s: %s", many(len(labels), "record", "records"), list(labels[:min(len(labels), 10)]))
	if r.o.Record != "" {
		what = fmt.Sprintf("the file holds no record %q; it has %s", r.o.Record, list(labels[:min(len(labels), 10)]))
	}
	r.faults.At(r.pos(0), what, "the label of one of them")
}

// take reads a key of the record and crosses it off.
func (r *rateReader) take(name string, into any) {
	raw, ok := r.raw[name]
	delete(r.raw, name)
	if !ok || string(raw) == "null" {
		return
	}
	if err := json.Unmarshal(raw, into); err != nil {
		r.faults.At(r.key(name), fmt.Sprintf("%s cannot be read: %s", name, strings.TrimPrefix(err.Error(), "json: ")), "")
	}
}

func (r *rateReader) read() {
	c := &r.record
	for name, into := range map[string]any{
		"label": &c.label, "name": &c.name, "utility": &c.utility, "uri": &c.uri, "source": &c.source, "sourceparent": &c.sourceParent, "country": &c.country,
		"startdate": &c.start, "enddate": &c.end,
		"energyratestructure": &c.energy, "energyweekdayschedule": &c.energyWeekday, "energyweekendschedule": &c.energyWeekend,
		"demandratestructure": &c.demand, "demandweekdayschedule": &c.demandWeekday, "demandweekendschedule": &c.demandWeekend, "demandrateunit": &c.demandUnit,
		"flatdemandstructure": &c.flat, "flatdemandmonths": &c.flatMonths, "flatdemandunit": &c.flatUnit, "demandwindow": &c.window,
		"demandratchetpercentage": &c.ratchet, "lookbackPercent": &c.lookbackPercent, "lookbackMonths": &c.lookbackMonths, "lookbackRange": &c.lookbackRange,
	} {
		r.take(name, into)
	}
	for _, k := range []struct{ value, units, unit string }{{"fixedchargefirstmeter", "fixedchargeunits", ""}, {"fixedmonthlycharge", "", "$/month"}} {
		r.either(k.value, k.units, k.unit, &c.fixed, &c.fixedUnits)
	}
	for _, k := range []struct{ value, units, unit string }{{"mincharge", "minchargeunits", ""}, {"minmonthlycharge", "", "$/month"}, {"annualmincharge", "", "$/year"}} {
		r.either(k.value, k.units, k.unit, &c.minimum, &c.minUnits)
	}
	r.tables()
}

// either reads a charge that older records name otherwise; the first that is
// there counts.
func (r *rateReader) either(value, units, unit string, into **number, word *string) {
	var n *number
	r.take(value, &n)
	if units != "" {
		r.take(units, &unit)
	}
	switch {
	case n == nil || n.IsZero():
	case *into != nil:
		r.left("%s: %s %s, beside another charge of the kind", value, n, unit)
	default:
		*into, *word = n, unit
	}
}

// tables checks that schedules have their months, hours and periods.
func (r *rateReader) tables() {
	c := &r.record
	for _, t := range []struct {
		name      string
		table     [][]int
		structure [][]tier
	}{
		{"energyweekdayschedule", c.energyWeekday, c.energy}, {"energyweekendschedule", c.energyWeekend, c.energy},
		{"demandweekdayschedule", c.demandWeekday, c.demand}, {"demandweekendschedule", c.demandWeekend, c.demand},
	} {
		if len(t.table) == 0 {
			if len(t.structure) > 1 {
				r.faults.At(r.pos(r.start), fmt.Sprintf("there are %d periods, and no %s says when they are", len(t.structure), t.name), "12 rows of 24 period numbers")
			}
			continue
		}
		if len(t.structure) == 0 {
			continue
		}
		good := len(t.table) == 12
		for _, row := range t.table {
			good = good && len(row) == 24 && !slices.ContainsFunc(row, func(p int) bool { return p < 0 || p >= len(t.structure) })
		}
		if !good {
			r.faults.At(r.key(t.name), t.name+" is not a table of 12 months by 24 hours with numbers of periods that are there", fmt.Sprintf("12 rows of 24 numbers from 0 to %d", len(t.structure)-1))
		}
	}
	if len(c.flat) > 0 && len(c.flatMonths) != 12 && (len(c.flat) > 1 || len(c.flatMonths) > 0) ||
		len(c.flat) > 0 && slices.ContainsFunc(c.flatMonths, func(p int) bool { return p < 0 || p >= len(c.flat) }) {
		r.faults.At(r.key("flatdemandmonths"), "flatdemandmonths is not a list of 12 numbers of periods that are there", fmt.Sprintf("12 numbers from 0 to %d", len(c.flat)-1))
	}
	for name, structure := range map[string][][]tier{"energyratestructure": c.energy, "demandratestructure": c.demand, "flatdemandstructure": c.flat} {
		r.tiers(name, structure)
	}
	if len(c.energy)+len(c.demand)+len(c.flat) == 0 && c.fixed == nil {
		r.faults.At(r.pos(r.start), "the record has no prices", "energyratestructure, demandratestructure, flatdemandstructure or a fixed charge")
	}
}

// tiers checks that tiers rise and that the last is open.
func (r *rateReader) tiers(name string, structure [][]tier) {
	for p, tiers := range structure {
		if len(tiers) == 0 {
			r.faults.At(r.key(name), fmt.Sprintf("%s: period %d has no tiers", name, p), "one tier at least")
		}
		for i, t := range tiers {
			last := i == len(tiers)-1
			switch {
			case !last && (t.Max == nil || !t.Max.IsPositive()):
				r.faults.At(r.key(name), fmt.Sprintf("%s: tier %d of period %d has no upper edge", name, i, p), "max: in every tier but the last")
			case i > 0 && !last && tiers[i-1].Max != nil && t.Max.LessThanOrEqual(tiers[i-1].Max.Decimal):
				r.faults.At(r.key(name), fmt.Sprintf("%s: tier %d of period %d ends at %s, not above the tier before", name, i, p, t.Max), "edges that rise")
			case t.Unit != tiers[0].Unit:
				r.faults.At(r.key(name), fmt.Sprintf("%s: the tiers of period %d are in %q and %q", name, p, tiers[0].Unit, t.Unit), "one unit")
			}
		}
	}
}

// left lists once what is not carried over.
func (r *rateReader) left(format string, args ...any) {
	if s := fmt.Sprintf(format, args...); !slices.Contains(r.rate.Left, s) {
		r.rate.Left = append(r.rate.Left, s)
	}
}

// took lists once what is taken without the record's word.
func (r *rateReader) took(format string, args ...any) {
	if s := fmt.Sprintf(format, args...); !slices.Contains(r.rate.Took, s) {
		r.rate.Took = append(r.rate.Took, s)
	}
}

// day turns the seconds of a record into a date.
func day(n *number) (civil.Date, bool) {
	if n == nil || !n.IsPositive() || n.GreaterThan(decimal.New(7_000_000_000, 0)) {
		return civil.Date{}, false
	}
	t := time.Unix(n.IntPart(), 0).UTC()
	return civil.Date{Year: t.Year(), Month: t.Month(), Day: t.Day()}, true
}
