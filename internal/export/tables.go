package export

import (
	"bytes"
	"encoding/csv"
	"io"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/assess"
	"auditgen/internal/audit"
	"auditgen/internal/diag"
	"auditgen/internal/tariff"
	"auditgen/internal/working"
)

func table(rows [][]string) ([]byte, error) {
	var b bytes.Buffer
	err := csv.NewWriter(&b).WriteAll(rows)
	return b.Bytes(), err
}

// quantities are the columns of a phase, with what to divide by.
var quantities = []struct {
	name  string
	of    func(audit.Phase) audit.Value
	scale float64
}{
	{"voltage_v", func(p audit.Phase) audit.Value { return p.Voltage }, 1},
	{"voltage_angle_deg", func(p audit.Phase) audit.Value { return p.VoltageAngle }, 1},
	{"current_a", func(p audit.Phase) audit.Value { return p.Current }, 1},
	{"power_kw", func(p audit.Phase) audit.Value { return p.Power }, 1000},
	{"reactive_kvar", func(p audit.Phase) audit.Value { return p.Reactive }, 1000},
	{"apparent_kva", func(p audit.Phase) audit.Value { return p.Apparent }, 1000},
	{"power_factor", func(p audit.Phase) audit.Value { return p.PF }, 1},
	{"angle_deg", func(p audit.Phase) audit.Value { return p.Angle }, 1},
}

// readingsCSV has a row for each phase of each reading, and one for its total.
// The last column names the columns that were derived and not shown by the meter.
func readingsCSV(a *assess.Assessment) ([]byte, error) {
	head := []string{"reading", "at", "of", "date", "time", "wiring", "phase"}
	for _, q := range quantities {
		head = append(head, q.name)
	}
	rows := [][]string{append(head, "derived")}
	for _, r := range a.Readings {
		for _, p := range append(append([]audit.Phase{}, r.Phases...), r.Total) {
			row := []string{guarded(r.ID), guarded(r.At), guarded(r.Of), r.Date.String(), r.Time, string(r.Wiring), guarded(p.Name)}
			var derived []string
			for _, q := range quantities {
				v := q.of(p)
				row = append(row, known(v, q.scale))
				if v.Known() && v.Kind != working.Measured {
					derived = append(derived, q.name)
				}
			}
			rows = append(rows, append(row, strings.Join(derived, " ")))
		}
		if r.Neutral.Known() {
			row := []string{guarded(r.ID), guarded(r.At), guarded(r.Of), r.Date.String(), r.Time, string(r.Wiring), "N"}
			for _, q := range quantities {
				value := ""
				if q.name == "current_a" {
					value = known(r.Neutral, 1)
				}
				row = append(row, value)
			}
			rows = append(rows, append(row, ""))
		}
	}
	return table(rows)
}

func loadsCSV(a *assess.Assessment) ([]byte, error) {
	rows := [][]string{{"load", "name", "use", "at", "basis", "calendar", "hours_on_a_year", "duty", "count", "running_kw", "energy_kwh", "energy_low_kwh", "energy_high_kwh", "because", "typed_at"}}
	for _, l := range a.Loads {
		rows = append(rows, []string{guarded(l.ID), guarded(l.Name), guarded(l.Use), guarded(l.At), guarded(l.BasisText), guarded(l.CalendarName),
			known(l.Hours, 1), known(l.Duty, 1), known(l.Count, 1), known(l.Running, 1000),
			plain(l.Energy.Value), plain(l.Energy.Low), plain(l.Energy.High), guarded(l.Because), place(l.Pos)})
	}
	return table(rows)
}

func billsCSV(a *assess.Assessment) ([]byte, error) {
	var b bytes.Buffer
	err := BillCSV(&b, a, a.Bills, func(p diag.Pos) diag.Pos { return p })
	return b.Bytes(), err
}

// BillCSV writes a row for each line of each bill, amounts exactly; shown gives
// a position as the reader knows it.
func BillCSV(w io.Writer, a *assess.Assessment, bills []tariff.Bill, shown func(diag.Pos) diag.Pos) error {
	places := a.Record.Tariff.File.Currency.Value.Places
	rows := [][]string{{"from", "to", "line", "label", "quantity", "unit", "price", "amount_" + strings.ToLower(a.Currency), "at"}}
	for _, b := range bills {
		for _, l := range b.Lines {
			rows = append(rows, []string{b.Period.From.String(), b.Period.To.AddDays(-1).String(), guarded(l.Key()), guarded(l.Label), l.Quantity.String(), l.Unit, l.PriceText(), Amount(l.Amount, places), place(shown(l.At))})
		}
	}
	return csv.NewWriter(w).WriteAll(rows)
}

// Amount prints an amount with the currency's decimals, and with more where the
// tariff itself rounds finer: nothing is lost.
func Amount(d decimal.Decimal, places int32) string {
	if d.Exponent() < -places && !d.Equal(d.Truncate(places)) {
		return d.String()
	}
	return d.StringFixed(places)
}
