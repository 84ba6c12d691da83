package audit

import (
	"reflect"

	"auditgen/internal/profile"
	"auditgen/internal/site"
	"auditgen/internal/tariff"
)

// folded are years that were folded for a result, so that altered years whose
// calendars and tariff are the same need not be folded again. A folded year is
// only read.
type folded struct{ list []foldedYear }

type foldedYear struct {
	site      site.Site // what days are and what the clock says
	tariff    *tariff.Tariff
	calendars []profile.Calendar
	years     map[int]*profile.Year
}

// mostFolded bounds what is kept.
const mostFolded = 12

// find gives the years of the same calendars, tariff, days, clock and window.
func (f *folded) find(rec *site.Record, calendars []profile.Calendar, window int) (map[int]*profile.Year, bool) {
	if f == nil {
		return nil, false
	}
	for _, y := range f.list {
		if y.tariff == rec.Tariff && y.years[window] != nil && y.site.TimeZone.Value == rec.Site.TimeZone.Value && reflect.DeepEqual(y.site.Holidays, rec.Site.Holidays) && reflect.DeepEqual(y.calendars, calendars) {
			return y.years, true
		}
	}
	return nil, false
}

func (f *folded) keep(y foldedYear) {
	if f != nil && len(f.list) < mostFolded {
		f.list = append(f.list, y)
	}
}
