package site

import (
	"fmt"
	"strings"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/source"
)

// Weather is how much heating or cooling the months ask for.
type Weather struct {
	source.Where
	Table  source.At[DegreeHours] `key:"degree-hours" need:"yes" unit:"K h, °F h, K d or °F d" doc:"Degree-hours or degree-days of each month from January, and their unit; only their proportions tell" example:"0 0 60 240 900 1900 2600 2400 1300 300 20 0 K h"`
	Source source.At[string]      `key:"source" need:"yes" doc:"Where the table comes from, with its base temperature" example:"mean of ten years of the airport, above 18 °C"`
}

// DegreeHours are the degree-hours of each month, K h, January first.
type DegreeHours civil.Monthly

// degreeUnits are the units of a table, in K h.
var degreeUnits = []struct {
	symbol string
	scale  float64
}{{"K h", 1}, {"°C h", 1}, {"°F h", 5.0 / 9}, {"K d", 24}, {"°C d", 24}, {"°F d", 24 * 5.0 / 9}}

const degreeForm = "twelve figures from January and one unit, such as 310 270 210 120 40 0 0 0 30 130 220 290 K d"

// Written words how a table is typed, for the data reference.
func (DegreeHours) Written() string { return degreeForm }

// UnmarshalText reads twelve figures and a unit.
func (d *DegreeHours) UnmarshalText(text []byte) error {
	s := strings.Join(strings.Fields(string(text)), " ")
	for _, u := range degreeUnits {
		figures, ok := strings.CutSuffix(s, " "+u.symbol)
		if !ok {
			continue
		}
		var months civil.Monthly
		if err := months.UnmarshalText([]byte(figures)); err != nil {
			return err
		}
		sum := 0.0
		for i := range months {
			months[i] *= u.scale
			sum += months[i]
		}
		if sum == 0 {
			return &diag.Problem{What: "no month has any degree-hours", Expected: degreeForm}
		}
		*d = DegreeHours(months)
		return nil
	}
	symbols := make([]string, len(degreeUnits))
	for i, u := range degreeUnits {
		symbols[i] = u.symbol
	}
	unit := strings.TrimLeft(s, "0123456789., ")
	p := &diag.Problem{What: "the degree-hours have no unit", Expected: degreeForm + "; the unit is " + diag.Or(symbols)}
	if len(unit) < len(s) && unit != "" {
		p.What, p.Nearest = fmt.Sprintf("unknown unit %q of degree-hours", unit), diag.Nearest(strings.ReplaceAll(unit, "·", " "), symbols)
	}
	return p
}

// weather holds what refers to a table of the site.
func (c *checker) weather(r Runs) {
	s := &c.rec.Site
	if len(s.Weather) > 0 || !s.Faulty {
		c.known("table of weather", "site.yaml", r.Follows, s.Weather.Keys())
	}
	c.share(r.Base, "a share from 0 % to 100 %")
	switch {
	case r.Follows.IsSet() && !r.Base.IsSet():
		c.faults.At(r.Follows.Pos, "a duty that follows the weather needs the part that does not", "base: beside it, such as 20..35..50 %, or 0 %")
	case r.Base.IsSet() && !r.Follows.IsSet():
		c.faults.At(r.Base.Pos, "a base is the part of a duty that does not follow the weather, and this one follows none", "follows: beside it, a table under weather: of site.yaml")
	}
}
