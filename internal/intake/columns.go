package intake

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/source"
)

// Columns tells how to read a CSV file. The zero value suits files whose header
// names the columns start_utc or start, duration_s, energy_kwh or kWh,
// export_kwh, reactive_kvarh or kvarh, leading_kvarh, quality.
type Columns struct {
	source.Where
	HeaderLine source.At[int]           `key:"header-line" doc:"the line of the header, where others stand before it" default:"the first that is no comment" example:"4"`
	Separator  source.At[Separator]     `key:"separator" doc:"what parts columns: comma, semicolon or tab" default:"whichever of semicolon, tab and comma the header has first in that order" example:"semicolon"`
	Decimal    source.At[DecimalSign]   `key:"decimal" doc:"point or comma" default:"point; comma is seen where commas do not part columns" example:"comma"`
	Start      source.OneOrMany[string] `key:"start" doc:"the column of the time; two where date and time stand apart" default:"start_utc or start" example:"[Date, Time]"`
	Format     source.At[Format]        `key:"format" doc:"how times are written" default:"YYYY-MM-DD hh:mm, with or without seconds and distance from UTC" example:"DD.MM.YYYY hh:mm"`
	Label      source.At[Label]         `key:"time-is" doc:"whether the time is the start or the end of the interval" default:"start" example:"end"`
	Zone       source.At[Zone]          `key:"zone" doc:"the zone of times that do not say their distance from UTC" default:"the site's" example:"Europe/Dublin"`
	Clock      source.At[ClockRule]     `key:"clock" doc:"changes: the hour left out is absent and the repeated one stands twice; standard: standard time all year; summed: every day has all its rows, the hour left out is zero, the repeated one holds the sum of two" default:"changes" example:"summed"`
	Interval   source.At[Minutes]       `key:"interval" doc:"length of the intervals" unit:"min" default:"the commonest step between rows" example:"15 min"`
	Duration   string                   `key:"duration" doc:"the column of the interval's length in seconds" default:"duration_s" example:"seconds"`
	Import     *Column                  `key:"import" doc:"active energy taken" example:"{column: Consumption, unit: kWh}"`
	Export     *Column                  `key:"export" doc:"active energy delivered to the supplier" example:"{column: Feed-in, unit: kWh}"`
	Net        *Column                  `key:"net" doc:"active energy, negative where it is delivered; in place of import and export" example:"{column: P, unit: kW}"`
	Lagging    *Column                  `key:"lagging" doc:"lagging reactive energy" example:"{column: Q+, unit: kvarh}"`
	Leading    *Column                  `key:"leading" doc:"leading reactive energy, not negative" example:"{column: Q-, unit: kvarh}"`
	Reactive   *Column                  `key:"reactive" doc:"reactive energy, negative where it leads; in place of lagging and leading" example:"{column: Q, unit: kvar}"`
	Quality    *QualityColumn           `key:"quality" doc:"the column of the readings' quality" example:"{column: Status, words: {A: valid, E: estimated}}"`
	Projected  bool                     `key:"projected" doc:"yes: projections are taken in too" default:"no" example:"yes"`
}

// Column is one column of figures.
type Column struct {
	source.Where
	Name     source.At[string] `key:"column" need:"yes" doc:"its name in the header" example:"Consumption"`
	Unit     source.At[string] `key:"unit" doc:"its unit, where the header has none: an energy (kWh, kvarh) or a mean power over the interval (kW, kvar)" example:"kWh"`
	Register bool              `key:"register" doc:"yes: the figure is the state of a register at the time of the row, not the energy of an interval" default:"no" example:"yes"`
	Passes   source.At[Count]  `key:"passes" doc:"the figure at which a register begins again at zero, in its unit" example:"1000000"`
	Times    source.At[Count]  `key:"times" doc:"what each figure is multiplied by, such as the ratio of instrument transformers" default:"1" example:"40"`
}

// ReadSource reads the short form, a name, or the group.
func (c *Column) ReadSource(v *source.Value, faults *diag.List) {
	type group Column
	if v.Form == source.Scalar {
		c.Pos = v.Pos
		c.Name.ReadSource(v, faults)
		return
	}
	source.Decode(v, (*group)(c), faults)
}

// Short names the key that a single value stands for.
func (Column) Short() string { return "column" }

// QualityColumn is the column of the readings' quality.
type QualityColumn struct {
	source.Where
	Name  source.At[string]             `key:"column" need:"yes" doc:"its name in the header" example:"Status"`
	Words source.Map[source.At[Status]] `key:"words" doc:"what its words mean: valid, edited, estimated, interpolated, questionable, derived, projected, mixed, raw, normalised, other, validated, verified, revenue; or missing, where the row has no reading" default:"those words themselves" example:"{A: valid, E: estimated, M: missing}"`
}

// ReadSource reads the short form, a name, or the group.
func (c *QualityColumn) ReadSource(v *source.Value, faults *diag.List) {
	type group QualityColumn
	if v.Form == source.Scalar {
		c.Pos = v.Pos
		c.Name.ReadSource(v, faults)
		return
	}
	source.Decode(v, (*group)(c), faults)
}

// Short names the key that a single value stands for.
func (QualityColumn) Short() string { return "column" }

// Status is a quality, or that there is no reading.
type Status struct {
	Quality Quality
	Missing bool
}

// UnmarshalText reads the word of a quality, or missing.
func (s *Status) UnmarshalText(text []byte) error {
	if string(text) == "missing" {
		*s = Status{Missing: true}
		return nil
	}
	return s.Quality.UnmarshalText(text)
}

// Count is a whole number above 0.
type Count int64

// UnmarshalText reads a count of 1 to 10^12.
func (c *Count) UnmarshalText(text []byte) error {
	n, err := strconv.ParseInt(string(text), 10, 64)
	if err != nil || n < 1 || n > 1e12 {
		return &diag.Problem{What: fmt.Sprintf("%q is not a whole number above 0", text), Expected: "a number such as 40"}
	}
	*c = Count(n)
	return nil
}

// Separator is the character that parts columns.
type Separator rune

// UnmarshalText reads comma, semicolon or tab.
func (s *Separator) UnmarshalText(text []byte) error {
	words := map[string]Separator{"comma": ',', "semicolon": ';', "tab": '\t'}
	r, ok := words[string(text)]
	if !ok {
		return diag.OneOf("separator", string(text), []string{"comma", "semicolon", "tab"})
	}
	*s = r
	return nil
}

// DecimalSign is the character before decimals.
type DecimalSign byte

// UnmarshalText reads point or comma.
func (d *DecimalSign) UnmarshalText(text []byte) error {
	switch string(text) {
	case "point":
		*d = '.'
	case "comma":
		*d = ','
	default:
		return diag.OneOf("decimal sign", string(text), []string{"point", "comma"})
	}
	return nil
}

// Label tells what the time of a row is.
type Label int

// The labels.
const (
	AtStart Label = iota
	AtEnd
)

// UnmarshalText reads start or end.
func (l *Label) UnmarshalText(text []byte) error {
	for i, w := range []string{"start", "end"} {
		if w == string(text) {
			*l = Label(i)
			return nil
		}
	}
	return diag.OneOf("place of the time", string(text), []string{"start", "end"})
}

// Minutes is a length of intervals.
type Minutes int

var minutesForm = regexp.MustCompile(`^(\d{1,4}) ?min$`)

// UnmarshalText reads 1 to 1440 minutes: "15 min".
func (m *Minutes) UnmarshalText(text []byte) error {
	f := minutesForm.FindStringSubmatch(string(text))
	if f != nil {
		n, _ := strconv.Atoi(f[1])
		*m = Minutes(n)
	}
	if *m < 1 || *m > 1440 {
		return &diag.Problem{What: fmt.Sprintf("%q is not a length of intervals", text), Expected: "1 to 1440 minutes, such as 15 min"}
	}
	return nil
}

// ReadColumns reads a column map.
func ReadColumns(v *source.Value, faults *diag.List) *Columns {
	if v == nil {
		return nil
	}
	before := faults.Len()
	c := &Columns{}
	source.Decode(v, c, faults)
	c.Check(faults)
	if faults.Len() > before {
		return nil
	}
	return c
}

// Check refuses keys that do not go together.
func (c *Columns) Check(faults *diag.List) {
	for _, pair := range []struct {
		both        *Column
		one, other  *Column
		word, words string
	}{{c.Net, c.Import, c.Export, "net", "import or export"}, {c.Reactive, c.Lagging, c.Leading, "reactive", "lagging or leading"}} {
		if pair.both != nil && (pair.one != nil || pair.other != nil) {
			faults.At(pair.both.Pos, fmt.Sprintf("%s stands beside %s", pair.word, pair.words), pair.word+" alone, or the others alone")
		}
	}
	if len(c.Start) > 2 {
		faults.At(c.Start[2].Pos, "a time stands in one column or in two", "[Date, Time]")
	}
}

// unit is what a figure of a column is.
type unit struct {
	symbol string
	exp    int  // power of ten that takes it to µWh, µvarh, µW or µvar
	power  bool // a mean power over the interval
	kvar   bool // reactive
}

var units = []unit{
	{"kWh", 9, false, false}, {"Wh", 6, false, false}, {"MWh", 12, false, false},
	{"kW", 9, true, false}, {"W", 6, true, false}, {"MW", 12, true, false},
	{"kvarh", 9, false, true}, {"varh", 6, false, true}, {"Mvarh", 12, false, true},
	{"kvar", 9, true, true}, {"var", 6, true, true}, {"Mvar", 12, true, true},
}

// unitOf finds a unit by its symbol; capital letters of var do not matter.
func unitOf(symbol string) (unit, bool) {
	symbol = strings.NewReplacer("kVArh", "kvarh", "kVAr", "kvar", "kVARh", "kvarh", "kVAR", "kvar", "MVArh", "Mvarh", "MVAr", "Mvar", "VArh", "varh", "VAr", "var").Replace(symbol)
	i := slices.IndexFunc(units, func(u unit) bool { return u.symbol == symbol })
	if i < 0 {
		return unit{}, false
	}
	return units[i], true
}

func unitSymbols(kvar bool) []string {
	var all []string
	for _, u := range units {
		if u.kvar == kvar {
			all = append(all, u.symbol)
		}
	}
	return all
}

// unitsAtEnd are the ways in which headers write a unit behind a name.
var unitsAtEnd = []*regexp.Regexp{regexp.MustCompile(`\[([^\]]*)\]$`), regexp.MustCompile(`\(([^)]*)\)$`), regexp.MustCompile(`[/\s]\s*(\S+)$`)}

// headerUnit finds the unit in a header cell: "Consumption (kWh)", "energy_kwh",
// "Q [kvarh]", "kWh".
func headerUnit(cell string) (unit, bool) {
	cell = strings.TrimSpace(cell)
	if u, ok := unitOf(cell); ok {
		return u, true
	}
	for _, form := range unitsAtEnd {
		if m := form.FindStringSubmatch(cell); m != nil {
			return unitOf(strings.TrimSpace(m[1]))
		}
	}
	_, snake, _ := strings.Cut(cell, "_")
	return unitOf(snakeUnits[snake[strings.LastIndexByte(snake, '_')+1:]])
}

// snakeUnits are the units as they stand in keys.
var snakeUnits = map[string]string{"kwh": "kWh", "wh": "Wh", "mwh": "MWh", "kw": "kW", "w": "W", "kvarh": "kvarh", "varh": "varh", "kvar": "kvar", "var": "var"}
