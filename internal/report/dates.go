package report

import (
	"strings"
	"time"

	"github.com/go-playground/locales"
	"github.com/go-playground/locales/en"
	"github.com/go-playground/locales/en_GB"
	"github.com/go-playground/locales/es"
	"golang.org/x/text/language"

	"auditgen/internal/civil"
)

// dates are the calendar's names and the long form of a date in a language.
type dates struct{ months, long locales.Translator }

// calendars are the languages whose dates are known; any other has the English.
var calendars = map[string]dates{
	"en": {en.New(), en_GB.New()}, // day before month, as the rest of the English has it
	"es": {es.New(), es.New()},
}

func datesOf(tag language.Tag) dates {
	base, _ := tag.Base()
	if d, ok := calendars[base.String()]; ok {
		return d
	}
	return calendars["en"]
}

// monthName is the name of a month counted from 0.
func (d dates) monthName(month int) string {
	if month < 0 || month > 11 {
		return ""
	}
	return d.months.MonthWide(time.Month(month + 1))
}

// monthShort is the name of a month in three letters or four.
func (d dates) monthShort(month int) string {
	if month < 0 || month > 11 {
		return ""
	}
	return strings.TrimSuffix(d.months.MonthAbbreviated(time.Month(month+1)), ".")
}

// dateWords writes a date in words that do not break: 14 May 2031.
func (d dates) dateWords(day civil.Date) string {
	if day.Month < 1 || day.Month > 12 {
		return ""
	}
	text := d.long.FmtDateLong(time.Date(day.Year, day.Month, day.Day, 0, 0, 0, 0, time.UTC))
	return strings.ReplaceAll(text, " ", nbsp)
}
