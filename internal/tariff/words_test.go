package tariff

import (
	"testing"

	"github.com/shopspring/decimal"
	"golang.org/x/text/language"

	"auditgen/internal/civil"
	"auditgen/internal/say"
)

// Some sentences of bills in Spanish, with their forms of number.
func TestSpanish(t *testing.T) {
	es, _ := say.Load(language.Spanish)
	es.Missed = func(key string) { t.Errorf("no Spanish for %q", key) }
	year := &Tariff{cal: &calendar{}}
	half := Period{civil.Date{Year: 2031, Month: 1, Day: 5}, civil.Date{Year: 2031, Month: 2, Day: 4}}
	for _, c := range []struct{ got, want string }{
		{pluralIn(es, decimal.New(1, 0), "months"), "1 mes"},
		{pluralIn(es, decimal.New(31, 0), "days"), "31 días"},
		{pluralIn(es, decimal.New(5, 0), "kWh"), "5 kWh"},
		{half.In(es), "de 2031-01-05 a 2031-02-03"},
		{Months(2031)[0].In(es), "2031-01"},
		{SumOfDays.words(es), "media más alta de cada día, sumadas"},
		{KindDemand.In(es), "demanda"},
		{year.meterLabel(es, Metered{What: "demand", Unit: KW, Window: 15}), "media más alta de 15 min en kW"},
		{year.meterLabel(nil, Metered{What: hourlyWords(nil, "0.95", 30), said: hourlyWords(es, "0.95", 30)}), "highest of demand x 0.95 / power factor, by 30 min"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}
