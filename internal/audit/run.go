package audit

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"auditgen/internal/diag"
	"auditgen/internal/limits"
	"auditgen/internal/profile"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/site"
	"auditgen/internal/tariff"
	"auditgen/internal/uncertainty"
	"auditgen/internal/working"
)

// Run works a record out. The error is a diag.Faults when the record holds
// something that no pass can work with.
func Run(rec *site.Record) (*Result, error) {
	faults := &diag.List{}
	r := &Result{Record: rec, Sheet: &working.Sheet{}, folded: &folded{}, Currency: rec.Tariff.File.Currency.Value.Code}
	r.Year = rec.Visit.Date.Value.Year
	if rec.Site.Year.IsSet() {
		r.Year = rec.Site.Year.Value
	}
	family, err := limits.FamilyOf(rec.Site.Supply.Limits.Value)
	if err != nil {
		if p, ok := err.(*diag.Problem); ok {
			faults.Add(p.At(rec.Site.Supply.Limits.Pos))
		}
	}
	r.Family = family
	if rec.Site.FitToBills.Value {
		if rec, r.Fit, err = r.fit(); err != nil {
			return nil, err
		}
		r.Record = rec
	}

	r.Readings = readings(rec, r.Sheet)
	r.Doubts = doubts(rec, r.Readings)
	var apart []Doubt
	r.Tree, apart = tree(rec, r.Sheet, r.Readings)
	r.Doubts = append(r.Doubts, apart...)

	y := &yearPass{rec: rec, result: r, faults: faults}
	if err := y.run(); err != nil {
		return nil, err
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	r.demandDistortion()
	r.settleDoubts()
	return r, nil
}

// yearPass works the year out: loads, months, bill and intervals.
type yearPass struct {
	rec    *site.Record
	result *Result
	faults *diag.List
	model  *model
	base   *evaluation
	layout layout
	useOf  []int // the use of each load
	params params
	out    []float64
	drawn  *uncertainty.Result
	loads  *loadPass
	window int // demand window that is reported, min; 0 for the tariff's

	turnable []turning // what may bring an alternative level, when first asked for
}

func (y *yearPass) run() error {
	if err := y.prepare(nil); err != nil || y.faults.Len() > 0 {
		return err
	}
	if err := y.attachLog(); err != nil {
		return err
	}
	if err := y.evaluate(); err != nil {
		return err
	}
	y.intervals()
	y.energySteps()
	y.logPoints()
	y.demandSteps()
	y.result.Doubts = append(y.result.Doubts, y.checkPeak()...)
	y.billSteps()
	y.result.useOf = y.useOf
	if err := y.compare(); err != nil {
		return err
	}
	y.heat()
	y.days()
	y.factors()
	y.contributions()
	var err error
	y.result.Reconciled, err = y.result.reconcile()
	return err
}

// prepare makes the model of the year: calendars folded, loads as factors, and
// what is added to them.
func (y *yearPass) prepare(added []Added) error {
	y.model = &model{lang: y.rec.Words, folded: y.result.folded, tariff: y.rec.Tariff, periods: tariff.Months(y.result.Year), options: y.options(), window: y.window}
	calendars, index := calendarsOf(y.rec)
	calendars, on, err := calendarsOfAdded(added, calendars, index)
	if err != nil {
		return err
	}
	if err := y.model.fold(y.rec, y.result.Year, calendars); err != nil {
		return err
	}
	y.loadsPass(index)
	for i, a := range added {
		y.model.loads = append(y.model.loads, a.load(on[i], &y.params))
	}
	y.model.params = y.params.list
	return nil
}

func (y *yearPass) options() tariff.Options {
	o := tariff.Options{Words: y.rec.Words, Steady: true, Expected: true}
	if a := y.rec.Site.Supply.Agreed; a.IsSet() {
		_ = o.Agreed.UnmarshalText([]byte(a.Text)) // read once already, as a quantity
	}
	return o
}

func (y *yearPass) loadsPass(calendars map[when]int) {
	lang := y.rec.Words
	yy := y.model.year()
	hours := yy.Hours(0, profile.AllSlots)
	p := &loadPass{
		rec: y.rec, sheet: y.result.Sheet, readings: y.result.Readings, params: &y.params, register: &register{}, faults: y.faults,
		hoursOn:   func(c int) quantity.Hours { return yy.Open(c, 0, profile.AllSlots) },
		calendars: calendars, hours: map[when]calendarHours{}, year: y.result.Year, month: y.calendarMonth,
		yearHours: working.Record(y.result.Sheet, working.Step{ID: "year.hours", Label: lang.F("hours of %d", y.result.Year), Kind: working.Stated, Unit: "h", Typed: fmt.Sprint(y.result.Year)}, hours),
	}
	y.loads = p
	y.result.Loads = p.run()
	y.result.Assumptions = p.register.list
	y.model.loads, y.model.params = p.model, y.params.list
	for _, l := range y.result.Loads {
		y.model.uses = append(y.model.uses, l.Use)
	}
	y.usesPass()
}

// usesPass gathers the loads by use, in the order of first mention; evaluate
// sorts them by energy.
func (y *yearPass) usesPass() {
	for _, l := range y.result.Loads {
		i := slices.IndexFunc(y.result.Uses, func(u Use) bool { return u.Name == l.Use })
		if i < 0 {
			i = len(y.result.Uses)
			y.result.Uses = append(y.result.Uses, Use{Name: l.Use})
		}
		y.result.Uses[i].Loads = append(y.result.Uses[i].Loads, l.ID)
		y.useOf = append(y.useOf, i)
	}
}

// evaluate prices the best estimate and propagates the doubts.
func (y *yearPass) evaluate() error {
	e, err := y.model.newEvaluation()
	if err != nil {
		return err
	}
	y.base = e
	bills, err := e.bills()
	if err != nil {
		return err
	}
	y.result.Bills = bills
	y.layout = y.model.layout(lineIDs(bills), len(y.result.Uses))
	if y.out, err = e.outputs(y.layout, y.useOf); err != nil {
		return err
	}
	return y.draw()
}

// lineIDs lists the charges that appear on any bill, in the order of the tariff.
func lineIDs(bills []tariff.Bill) []string {
	var ids []string
	for _, b := range bills {
		for i, l := range b.Lines {
			if slices.Contains(ids, l.ID) {
				continue
			}
			at := len(ids)
			for _, before := range b.Lines[:i] {
				if k := slices.Index(ids, before.ID); k >= 0 {
					at = k + 1
				}
			}
			ids = slices.Insert(ids, at, l.ID)
		}
	}
	return ids
}

func monthID(i int) string { return fmt.Sprintf("months.%02d.", i+1) }

func monthOf(i int) time.Month { return time.Month(i + 1) }

var months = [...]string{
	say.Key("January"), say.Key("February"), say.Key("March"), say.Key("April"), say.Key("May"), say.Key("June"),
	say.Key("July"), say.Key("August"), say.Key("September"), say.Key("October"), say.Key("November"), say.Key("December"),
}

// MonthName names the month of an index, 0 to 11.
func MonthName(lang *say.Language, i int) string { return lang.S(months[i]) }

// slug makes an id of a name.
func slug(name string) string {
	return strings.Trim(strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		}
		return '-'
	}, name), "-")
}
