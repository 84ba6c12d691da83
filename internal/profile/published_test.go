package profile

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
	"auditgen/internal/working"
)

const publishedDir = "../../testdata/published"

// printed is a figure as printed: its value in base units, and half a unit of
// its last printed digit.
type printed struct{ value, half float64 }

func (p *printed) UnmarshalText(text []byte) error {
	number, unit, _ := strings.Cut(string(text), " ")
	value, decimals, err := quantity.Number(number)
	if err != nil {
		return err
	}
	scale, ok := unitScales()[unit]
	if !ok {
		return &diag.Problem{What: fmt.Sprintf("unknown unit %q", unit)}
	}
	*p = printed{value * scale, 0.5 * math.Pow10(-decimals) * scale}
	return nil
}

// agrees tells whether a figure rounds to what is printed; the second term is
// the rounding of binary fractions alone.
func (p printed) agrees(got float64) bool {
	return math.Abs(got-p.value) <= p.half+1e-12*math.Abs(p.value)
}

func unitScales() map[string]float64 {
	scales := map[string]float64{"": 1}
	for _, k := range []*quantity.Kind{
		quantity.KindOf[quantity.Watts](), quantity.KindOf[quantity.Vars](), quantity.KindOf[quantity.WattHours](),
		quantity.KindOf[quantity.VarHours](), quantity.KindOf[quantity.Hours](), quantity.KindOf[quantity.Ratio](),
	} {
		for _, u := range k.Units {
			scales[u.Symbol] = u.Scale
		}
	}
	return scales
}

type formulaCase struct {
	source.Where
	ID       string                    `key:"id" need:"yes"`
	Formula  string                    `key:"formula"`
	Function string                    `key:"function"`
	Source   string                    `key:"source" need:"yes"`
	Given    source.OneOrMany[printed] `key:"given" need:"yes"`
	Gives    source.OneOrMany[printed] `key:"gives" need:"yes"`
}

type weekHours = source.Map[source.OneOrMany[civil.Span]]

type hoursCase struct {
	source.Where
	ID           string                          `key:"id" need:"yes"`
	Source       string                          `key:"source" need:"yes"`
	Year         int                             `key:"year" need:"yes"`
	Zone         string                          `key:"zone"`
	Hours        weekHours                       `key:"hours"`
	Shifts       source.Map[civil.Shifts]        `key:"shifts"`
	Sun          source.Map[civil.SunSpan]       `key:"sun"`
	Place        *civil.Place                    `key:"place"`
	Production   *civil.Production               `key:"production"`
	Delay        printed                         `key:"delay"`
	Lasting      printed                         `key:"lasting"`
	Season       *civil.Season                   `key:"season"`
	Holidays     source.OneOrMany[civil.Holiday] `key:"holidays"`
	HolidayHours source.OneOrMany[civil.Span]    `key:"holiday-hours"`
	Shutdowns    source.OneOrMany[civil.Days]    `key:"shutdowns"`
	Gives        source.Map[printed]             `key:"gives" need:"yes"`
}

type profileCase struct {
	source.Where
	ID     string              `key:"id" need:"yes"`
	Source string              `key:"source" need:"yes"`
	Month  civil.Date          `key:"month" need:"yes"`
	Loads  []profileLoad       `key:"loads" need:"yes"`
	Energy printed             `key:"energy" need:"yes"`
	PF     printed             `key:"pf" need:"yes"`
	Demand source.Map[printed] `key:"demand" need:"yes"`
}

type profileLoad struct {
	source.Where
	Power    printed       `key:"power" need:"yes"`
	Reactive printed       `key:"reactive" need:"yes"`
	Hours    weekHours     `key:"hours" need:"yes"`
	Season   *civil.Season `key:"season"`
}

type caseFile struct {
	source.Where
	Cases     []formulaCase `key:"cases"`
	Calendars []hoursCase   `key:"calendars"`
	Profiles  []profileCase `key:"profiles"`
}

func readCases(t *testing.T) caseFile {
	t.Helper()
	files, err := filepath.Glob(publishedDir + "/year-*/cases.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no published cases: %v", err)
	}
	var all caseFile
	var faults diag.List
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		var cf caseFile
		source.Decode(source.YAML(f, text, &faults), &cf, &faults)
		all.Cases = append(all.Cases, cf.Cases...)
		all.Calendars = append(all.Calendars, cf.Calendars...)
		all.Profiles = append(all.Profiles, cf.Profiles...)
	}
	for _, f := range faults.Sorted() {
		t.Error(f)
	}
	return all
}

// functions are those that give several results and so are no formulas.
var functions = map[string]func([]float64) []float64{
	"triangular duty": func(x []float64) []float64 {
		e := quantity.Estimate[quantity.Ratio]{Low: quantity.Ratio(x[0]), Likely: quantity.Ratio(x[1]), High: quantity.Ratio(x[2]), Shape: quantity.Triangular}
		return []float64{float64(e.Mean()), float64(e.Deviation())}
	},
}

// TestPublishedFormulas: every formula has a case, and gives what is printed.
func TestPublishedFormulas(t *testing.T) {
	byName, covered := map[string]*working.Formula{}, map[string]bool{}
	for _, f := range working.Formulas() {
		byName[f.Name] = f
	}
	for _, c := range readCases(t).Cases {
		given := make([]float64, len(c.Given))
		for i, g := range c.Given {
			given[i] = g.Value.value
		}
		var got []float64
		if f := byName[c.Formula]; f != nil && (f.Series || len(f.Symbols) == len(given)) {
			got = []float64{f.Eval(given...)}
			covered[c.Formula] = true
		} else if fn := functions[c.Function]; fn != nil {
			got = fn(given)
		}
		for i, g := range c.Gives {
			if i >= len(got) || !g.Value.agrees(got[i]) {
				t.Errorf("%s: %s: %s%s gives %v, printed %s", c.Pos, c.ID, c.Formula, c.Function, got, g.Text)
			}
		}
	}
	for _, f := range working.Formulas() {
		if !covered[f.Name] {
			t.Errorf("%q has no published case", f.Name)
		}
	}
}

func calendarOf(t *testing.T, hours weekHours, season *civil.Season) Calendar {
	c := Calendar{Season: season}
	for _, e := range hours {
		days := text[civil.Weekdays](t, e.Key)[0]
		for d := range c.Hours {
			for _, s := range e.Value {
				if days[d] {
					c.Hours[d] = append(c.Hours[d], s.Value)
				}
			}
		}
	}
	return c
}

// otherHours sets the working times that are not weekly spans.
func (c hoursCase) otherHours(t *testing.T, to *Calendar) {
	each := func(days string, set func(d int)) {
		for d, on := range text[civil.Weekdays](t, days)[0] {
			if on {
				set(d)
			}
		}
	}
	for _, e := range c.Shifts {
		each(e.Key, func(d int) { to.Shifts[d] = append(to.Shifts[d], e.Value) })
	}
	for _, e := range c.Sun {
		each(e.Key, func(d int) { to.Sun[d] = append(to.Sun[d], e.Value) })
	}
	if c.Place != nil {
		to.Place = *c.Place
	}
	to.Production = c.Production
	to.Delay, to.Lasting = int(math.Round(60*c.Delay.value)), int(math.Round(60*c.Lasting.value))
}

func values[T any](list source.OneOrMany[T]) []T {
	var out []T
	for _, v := range list {
		out = append(out, v.Value)
	}
	return out
}

// TestPublishedHours compares the hours of calendars with those counted by hand.
func TestPublishedHours(t *testing.T) {
	for _, c := range readCases(t).Calendars {
		if c.Zone == "" {
			c.Zone = "UTC"
		}
		calendar := calendarOf(t, c.Hours, c.Season)
		calendar.Holidays, calendar.HolidayHours, calendar.Shutdowns = values(c.Holidays), values(c.HolidayHours), values(c.Shutdowns)
		c.otherHours(t, &calendar)
		y, err := Fold(grid(t, c.Year, c.Zone, 15), []Calendar{calendar}, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range c.Gives {
			month := time.Month(0)
			if want.Key != "year" {
				month = text[civil.YearDay](t, "1 "+want.Key)[0].Month
			}
			if got := y.Open(0, month, AllSlots); !want.Value.agrees(float64(got)) {
				t.Errorf("%s: %s: %s: %v h, by hand %v h", c.Pos, c.ID, want.Key, got, want.Value.value)
			}
		}
	}
}

// TestPublishedProfiles compares energy, power factor and demand in windows of
// several lengths with those of a profile built by hand.
func TestPublishedProfiles(t *testing.T) {
	for _, c := range readCases(t).Profiles {
		var calendars []Calendar
		var machines []Machine
		for i, l := range c.Loads {
			calendars = append(calendars, calendarOf(t, l.Hours, l.Season))
			machines = append(machines, Machine{Calendar: i, Count: 1,
				Modes: []Mode{{1, Power{quantity.Watts(l.Power.value), quantity.Vars(l.Reactive.value)}}}})
		}
		for _, want := range c.Demand {
			step, err := strconv.Atoi(want.Key)
			if err != nil {
				t.Fatal(err)
			}
			y, err := Fold(grid(t, c.Month.Year, "UTC", step), calendars, nil)
			if err != nil {
				t.Fatal(err)
			}
			m, err := NewModel(y, machines)
			if err != nil {
				t.Fatal(err)
			}
			if got, _ := m.Demand(c.Month.Month, AllSlots, Active); !want.Value.agrees(got.Mean) {
				t.Errorf("%s: %s: %d min: %v W, by hand %v W", c.Pos, c.ID, step, got.Mean, want.Value.value)
			}
			active, reactive := m.Energy(c.Month.Month, AllSlots), m.Reactive(c.Month.Month, AllSlots)
			if pf := EnergyFactor(active, reactive); !c.Energy.agrees(float64(active)) || !c.PF.agrees(float64(pf)) {
				t.Errorf("%s: %s: %v Wh at power factor %v", c.Pos, c.ID, active, pf)
			}
		}
	}
}

var statusLine = regexp.MustCompile(`(?m)^Status: (seen|secondary copy|from memory|computed)`)

// Every case names a section of the source.md beside it, and every section says
// how well its source is known.
func TestPublishedSources(t *testing.T) {
	cases := readCases(t)
	check := func(pos diag.Pos, name string) {
		file := filepath.Join(filepath.Dir(pos.File), "source.md")
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		_, section, ok := strings.Cut(string(text), "\n## "+name+"\n")
		section, _, _ = strings.Cut(section, "\n## ")
		if !ok || !statusLine.MatchString(section) {
			t.Errorf("%s: %s has no section %q with its status", pos, file, name)
		}
	}
	for _, c := range cases.Cases {
		check(c.Pos, c.Source)
	}
	for _, c := range cases.Calendars {
		check(c.Pos, c.Source)
	}
	for _, c := range cases.Profiles {
		check(c.Pos, c.Source)
	}
	t.Logf("%d cases of formulas, %d calendars, %d profiles", len(cases.Cases), len(cases.Calendars), len(cases.Profiles))
}
