package audit

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/plant"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

const intervals = "../../testdata/intervals/"

// runFiles works out a site of files.
func runFiles(t testing.TB, files fstest.MapFS) *Result {
	t.Helper()
	var faults diag.List
	rec := site.Read(site.Folder{FS: files, Dir: "sites/a"}, civil.Date{}, &faults)
	if rec == nil {
		t.Fatal(faults.Err())
	}
	r, err := Run(rec)
	if err != nil {
		t.Fatal(err)
	}
	if err := r.Sheet.Replay(); err != nil {
		t.Error(err)
	}
	return r
}

// A site whose meter was logged all year, worked out from its files, has the
// bills that pandas makes of the log (testdata/intervals/year.py --steady), line
// by line and to the cent; its year is what was logged.
func TestLoggedYearAgreesWithPandas(t *testing.T) {
	tariff, err := os.ReadFile(intervals + "year.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(intervals + "year-steady.json")
	if err != nil {
		t.Fatal(err)
	}
	var want []struct {
		Month string
		Lines map[string][2]decimal.Decimal // quantity, amount
		Total decimal.Decimal
	}
	if err := json.Unmarshal(text, &want); err != nil {
		t.Fatal(err)
	}
	files := small{more: "intervals: {incomer: intervals/meter.csv}\n"}.files()
	files["tariffs/plain.yaml"].Data = tariff
	files["sites/a/site.yaml"].Data = bytes.Replace(files["sites/a/site.yaml"].Data, []byte("Etc/UTC"), []byte("Europe/Berlin"), 1)
	files["sites/a/intervals/meter.csv"] = &fstest.MapFile{Data: plant.QuartersCSV()}
	r := runFiles(t, files)
	total, lines := decimal.Zero, 0
	for i, b := range r.Bills {
		w := want[i]
		if b.Period.String() != w.Month || len(b.Lines) != len(w.Lines) || !b.Total.Equal(w.Total) {
			t.Errorf("%s: %d lines make %s; pandas: %s, %d lines make %s", b.Period, len(b.Lines), b.Total, w.Month, len(w.Lines), w.Total)
		}
		for _, l := range b.Lines {
			lines++
			if got := w.Lines[l.ID]; !got[0].Equal(l.Quantity) || !got[1].Equal(l.Amount) {
				t.Errorf("%s %s: %s makes %s; pandas: %s makes %s", w.Month, l.ID, l.Quantity, l.Amount, got[0], got[1])
			}
		}
		total = total.Add(w.Total)
		m := r.Months[i]
		if !m.Logged() || m.Cost.Half() != 0 {
			t.Errorf("%s: logged %v, cost give or take %g", w.Month, m.Logged(), m.Cost.Half())
		}
		if st, _ := r.Sheet.Get(m.Energy.Step); st.Kind != working.Measured {
			t.Errorf("%s: energy is %s", w.Month, st.Kind)
		}
	}
	wh := 0.0
	for _, q := range plant.Quarters() {
		wh += float64(q.Wh)
	}
	nearly(t, "energy of the year", r.Energy.Value, wh/1e3, 1e-9)
	nearly(t, "cost of the year", r.Cost.Value, total.InexactFloat64(), 1e-9)
	nearly(t, "what the load does not explain", r.Unexplained.V, wh-500*8760*1e3, 1e-9)
	t.Logf("%d lines of %d bills", lines, len(r.Bills))
}

// hoursOf writes a log of whole hours from a day of 2031 in universal time.
func hoursOf(from civil.Date, n int, kw func(hour int) string) []byte {
	var b strings.Builder
	b.WriteString("start_utc,duration_s,energy_kwh\n")
	for h := range n {
		fmt.Fprintf(&b, "%sT%02d:00:00Z,3600,%s\n", from.AddDays(h/24), h%24, kw(h%24))
	}
	return []byte(b.String())
}

// A load logged for 14 days takes 3 kW in its 8 hours (half of them 2 kW, half
// 4 kW) and 0.5 kW beside them; by its calendar of 261 days of 8 h the year is
// 3 × 2088 + 0.5 × (8760 - 2088) kWh.
func TestLoadFromItsLog(t *testing.T) {
	s := small{calendars: "{shift: {hours: {Mon-Fri: 08:00-16:00}, doubt: 100 % ± 0 %}}",
		loads: "  - {id: press, name: Press, at: DB1-1, use: work, pf: 0.8 lag, intervals: intervals/press.csv, runs: {calendar: shift}}"}
	files := s.files()
	from := civil.Date{Year: 2031, Month: 3, Day: 3} // a Monday
	weekend := func(h int) bool { return h/24%7 >= 5 }
	row := -1
	files["sites/a/intervals/press.csv"] = &fstest.MapFile{Data: hoursOf(from, 14*24, func(hour int) string {
		row++
		switch {
		case weekend(row) || hour < 8 || hour >= 16:
			return "0.5"
		case hour < 12:
			return "2"
		}
		return "4"
	})}
	r := runFiles(t, files)
	l := r.Loads[0]
	nearly(t, "energy", l.Energy.Value, 3*2088+0.5*(8760-2088), 1e-9)
	nearly(t, "running power", l.Running.V, 3000, 1e-9)
	if l.Basis != working.Measured || l.Energy.Half() == 0 {
		t.Errorf("basis %s, give or take %g", l.Basis, l.Energy.Half())
	}
	if !slices.ContainsFunc(r.Assumptions, func(a Assumption) bool { return strings.HasPrefix(a.Reason, "14 days of log stand for the year") }) {
		t.Errorf("assumptions %+v", r.Assumptions)
	}
	// Level by level: the highest demand that half the windows at 4 kW reach is 4 kW.
	if m := r.Months[0]; math.Abs(m.PeakKW.Value-4) > 1e-6 {
		t.Errorf("highest demand %g kW, want 4", m.PeakKW.Value)
	}
}

// A month with a hundredth of its time missing is priced from the log, one with
// more is modelled; both are told beside the model, in the time that was logged.
func TestMonthsOfALog(t *testing.T) {
	files := small{more: "intervals: {incomer: intervals/meter.csv, DB1: intervals/board.csv}\n",
		loads: "  - {id: base, name: Base, at: DB1-1, use: other, power: 10 kW, pf: 0.8 lag, runs: {calendar: always}}"}.files()
	// February whole but for 6 of its 672 hours, 0.9 %; March but for 8 of 744, 1.1 %.
	left := func(h int) bool { return h < 6 || h >= 28*24 && h < 28*24+8 }
	var kept strings.Builder
	h := -1
	for line := range strings.Lines(string(hoursOf(civil.Date{Year: 2031, Month: 2, Day: 1}, 59*24, func(int) string { return "12" }))) {
		if h < 0 || !left(h) {
			kept.WriteString(line)
		}
		h++
	}
	files["sites/a/intervals/meter.csv"] = &fstest.MapFile{Data: []byte(kept.String())}
	files["sites/a/intervals/board.csv"] = &fstest.MapFile{Data: hoursOf(civil.Date{Year: 2031, Month: 4, Day: 1}, 15*24, func(int) string { return "8" })}
	r := runFiles(t, files)
	for i, want := range []float64{10 * 744, 12 * 666, 10 * 744} {
		nearly(t, fmt.Sprintf("energy of month %d", i+1), r.Months[i].Energy.Value, want, 1e-9)
		if r.Months[i].Logged() != (i == 1) {
			t.Errorf("month %d is logged: %v", i+1, r.Months[i].Logged())
		}
	}
	nearly(t, "year", r.Energy.Value, 10*(8760-672)+12*666, 1e-9)
	nearly(t, "unexplained", r.Unexplained.V, (12*666-10*672)*1e3, 1e-9)
	nearly(t, "modelled February", r.Months[1].Modelled.Energy.Value, 6720, 1e-9)
	// No reactive energy was logged: 12 kW at the modelled 0.8 are 15 kVA.
	nearly(t, "logged kVA", r.Months[1].PeakKVA.Value, 15, 1e-6)
	if st, _ := r.Sheet.Get(r.Months[1].PeakKVA.Step); st.Kind != working.Modelled {
		t.Errorf("kVA without logged kvarh are %s", st.Kind)
	}
	if len(r.Logs) != 2 || len(r.Logs[0].Months) != 2 || len(r.Logs[1].Months) != 1 {
		t.Fatalf("logs %+v", r.Logs)
	}
	march, board := r.Logs[0].Months[1], r.Logs[1].Months[0]
	nearly(t, "March logged", march.Energy.V, 12*736*1e3, 1e-9)
	nearly(t, "March modelled in the logged time", march.Expected.V, 10*736*1e3, 1e-9)
	nearly(t, "gap at the board", board.Gap.V, 0.25, 1e-9)
	if march.Used || board.Used || r.LoggedMonths() != 1 {
		t.Error("a month is used that is not whole, or not of the incomer")
	}
	if n := strings.Join(r.Bills[1].Notes, "; "); !strings.Contains(n, "2031-02, logged: 6 h of 672 h have no reading") {
		t.Errorf("notes %q", n)
	}
}
