package tariff

import (
	"fmt"
	"strings"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
)

// DemandUnit is the unit that a demand is billed in.
type DemandUnit string

// The units.
const (
	KW   DemandUnit = "kW"
	KVA  DemandUnit = "kVA"
	Kvar DemandUnit = "kvar"
)

// Use is what the meter of one billing period shows, or is expected to show.
type Use interface {
	// Energy is the active energy taken in the slots, not negative.
	Energy(SlotSet) quantity.WattHours
	// Reactive is the reactive energy in the slots, netted: lagging positive,
	// leading negative.
	Reactive(SlotSet) quantity.VarHours
	// Demand is the highest mean over windows of so many minutes, counted from
	// midnight, that lie in the slots: in W, VA or var as the unit asks, not
	// negative.
	Demand(slots SlotSet, unit DemandUnit, windowMinutes int) float64
}

// FactorUse is a Use whose meter or bill states the power factor itself,
// lagging, 0 to 1. It is then not worked out from energies or demands.
type FactorUse interface {
	Use
	PowerFactor(SlotSet) (factor quantity.Ratio, stated bool)
}

// Metered is one question that pricing asked a Use.
type Metered struct {
	What   string // "energy", "reactive energy", "demand", "power factor", or one that a Use with more than a register answers
	Slots  SlotSet
	Unit   DemandUnit // of demand
	Window int        // minutes, of demand
	Every  int        // minutes from one window to the next where windows slide; 0 where they follow one another
	Part   Period     // part of the bill by date; the zero Period is the whole bill
	base   string     // unit of the answer, of questions that are answered from the course
	said   string     // What in the language of the report, where it is put together
}

// plain tells questions that every Use answers for its whole bill.
func (m Metered) plain() bool { return m.Part == Period{} && m.Every == 0 && m.base == "" }

// Base is the unit of the answer: Wh, varh, VAh, W, VA, var, or "" for a ratio.
func (m Metered) Base() string {
	if m.base != "" {
		return strings.TrimPrefix(m.base, ratio)
	}
	switch m.What {
	case "energy":
		return "Wh"
	case "reactive energy":
		return "varh"
	case "demand":
		return map[DemandUnit]string{KW: "W", KVA: "VA", Kvar: "var"}[m.Unit]
	}
	return ""
}

// ratio stands for the unit of a ratio from the course.
const ratio = "ratio"

// Period is a billing period, from the first day up to, but without, To.
type Period struct{ From, To civil.Date }

// Days counts the days of the period.
func (p Period) Days() int { return p.From.DaysUntil(p.To) }

// Contains reports whether a day lies in the period.
func (p Period) Contains(d civil.Date) bool { return d.Compare(p.From) >= 0 && d.Compare(p.To) < 0 }

// String names the period: "2031-01" for a calendar month, else first to last day.
func (p Period) String() string { return p.In(nil) }

// In names the period in a language.
func (p Period) In(lang *say.Language) string {
	if p.calendarMonth() {
		return p.key()
	}
	return lang.F("%s to %s", p.From, p.To.AddDays(-1))
}

func (p Period) calendarMonth() bool { return p.From.Day == 1 && addMonths(p.From, 1) == p.To }

// key is a word for the period, distinct among periods that do not overlap.
func (p Period) key() string {
	if p.calendarMonth() {
		return fmt.Sprintf("%04d-%02d", p.From.Year, int(p.From.Month))
	}
	return p.From.String()
}

func (p Period) shifted(months int) Period {
	return Period{addMonths(p.From, months), addMonths(p.To, months)}
}

// addMonths gives the same day of a later month, or its last day if it has none.
func addMonths(d civil.Date, n int) civil.Date {
	m := d.Year*12 + int(d.Month) - 1 + n
	year, month := m/12, time.Month(m%12+1)
	return civil.Date{Year: year, Month: month, Day: min(d.Day, civil.DaysIn(year, month))}
}

// Months lists the calendar months of a year as billing periods.
func Months(year int) []Period {
	months := make([]Period, 12)
	for i := range months {
		from := civil.Date{Year: year, Month: time.Month(i + 1), Day: 1}
		months[i] = Period{from, addMonths(from, 1)}
	}
	return months
}
