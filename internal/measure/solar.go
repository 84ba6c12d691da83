package measure

import (
	"math"
	"time"

	"auditgen/internal/audit"
	"auditgen/internal/civil"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

// standardYieldDoubt is how far a year's yield may be off a table's: weather and
// soiling (practice, from memory).
var standardYieldDoubt = share{Low: 0.9, Likely: 1, High: 1.1, Shape: quantity.Triangular, Text: "100 % ± 10 %"}

// photovoltaics is modules whose yield by month is spread over the hours between
// sunrise and sunset of the month's middle day, by a half sine.
func (s *state) photovoltaics(c *site.Photovoltaics) error {
	lang := s.result.Record.Words
	place := c.Place.Value
	zone := s.rec.Site.TimeZone.Value.Location
	var power [12][24]quantity.Watts
	total := quantity.WattHours(0)
	for i, key := range site.MonthKeys {
		e, _ := c.Yield.Get(key)
		total += e.Value.Value
		power[i] = spread(e.Value.Value, s.result.Year, time.Month(i+1), place, zone)
	}
	doubt := standardYieldDoubt
	if c.Doubt.IsSet() {
		doubt = c.Doubt.Value
	}
	present := 0.5
	if c.Present.IsSet() {
		present = float64(c.Present.Value.Value)
	}
	added, err := audit.Generation(s.prefix+"modules", s.measure.Name.Value, power, present, doubt)
	if err != nil {
		return err
	}
	for i := range added {
		added[i].Mend = lang.S("a yield table for this roof, of ten years or more")
	}
	s.added = append(s.added, added...)
	y := working.Record(s.sheet, s.step("yield", lang.S("yield of the modules in a year"), "Wh", lang.S("the table of months"), c.Pos), total)
	s.note(y.Step, lang.F("The modules give %.0f kWh a year by the table; what the site does not take at that hour is paid as the tariff pays for it.", float64(total)/1e3))
	return nil
}

// spread gives the mean power of each hour of the clock in a month from its yield.
// All of the yield is spread: where the sun hardly rises, over the hour about noon.
func spread(yield quantity.WattHours, year int, month time.Month, place civil.Place, zone *time.Location) [24]quantity.Watts {
	sun := place.Daylight(civil.Date{Year: year, Month: month, Day: 15}, zone)
	noon, half := (sun.Rise+sun.Set)/2, math.Max((sun.Set-sun.Rise)/2, 30)
	// The part of a half sine before a time.
	before := func(minute float64) float64 {
		x := math.Min(math.Max((minute-noon+half)/(2*half), 0), 1)
		return (1 - math.Cos(math.Pi*x)) / 2
	}
	days := time.Date(year, month+1, 0, 0, 0, 0, 0, time.UTC).Day()
	whole := before(1440) - before(0) // less than 1 where the sun is up at midnight
	var out [24]quantity.Watts
	for h := range out {
		part := before(float64(h+1)*60) - before(float64(h)*60)
		out[h] = quantity.Watts(float64(yield) / float64(days) * part / whole)
	}
	return out
}
