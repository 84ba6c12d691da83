package intake

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/txtar"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
)

// seeds gives what the cases hold: column maps and files.
func seeds(f *testing.F, add func(columns, data []byte), name string) {
	files, err := filepath.Glob("../../testdata/intervals/cases/*.txt")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range files {
		a, err := txtar.ParseFile(file)
		if err != nil {
			f.Fatal(err)
		}
		if a.Files[1].Name == name {
			add(a.Files[0].Data, a.Files[1].Data)
		}
	}
}

// sound holds what is true of every log: rows in order, apart, of some duration,
// not negative; no more taken than found; written and read again the same.
func sound(t *testing.T, l *Log) {
	t.Helper()
	for i := range l.Rows {
		r := &l.Rows[i]
		if r.Duration <= 0 || i > 0 && r.Start < l.Rows[i-1].End() {
			t.Fatalf("row %d: %+v", i, *r)
		}
		for c, e := range r.Values {
			if e < 0 || e > 0 && !l.Has.Has(Channel(c)) {
				t.Fatalf("row %d: %+v", i, *r)
			}
		}
	}
	if l.Account.Of(Negative) == 0 {
		for c := range channels {
			if l.Total(c) > l.Account.Sums[c] {
				t.Fatalf("%s: %d taken of %d", c, l.Total(c), l.Account.Sums[c])
			}
		}
	}
	var first, second, account bytes.Buffer
	if err := l.Print(&account); err != nil {
		t.Fatal(err)
	}
	if err := l.WriteTidy(&first); err != nil || !l.Has.Has(Import) || len(l.Rows) == 0 {
		return
	}
	var faults diag.List
	again := ReadCSV("again.csv", first.Bytes(), nil, &faults)
	if again == nil {
		t.Fatal(faults.Err())
	}
	if err := again.WriteTidy(&second); err != nil || !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Fatalf("%s\nread again:\n%s", first.String(), second.String())
	}
}

func FuzzReadCSV(f *testing.F) {
	seeds(f, func(c, d []byte) { f.Add(c, d) }, "data.csv")
	f.Fuzz(func(t *testing.T, columns, data []byte) {
		var faults diag.List
		c := &Columns{}
		if len(columns) > 0 {
			if c = ReadColumns(source.YAML("columns.yaml", columns, &faults), &faults); c == nil {
				return
			}
		}
		if l := ReadCSV("data.csv", data, c, &faults); l != nil {
			sound(t, l)
		} else if faults.Err() == nil {
			t.Fatal("no log, and no fault")
		}
	})
}

func FuzzReadESPI(f *testing.F) {
	seeds(f, func(_, d []byte) { f.Add(d) }, "data.xml")
	for _, name := range []string{"new-york.xml", "chicago.xml"} {
		text, err := os.ReadFile(filepath.Join(published, "intervals-espi", name))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var faults diag.List
		logs := ReadESPI("data.xml", bytes.NewReader(data), ESPIOptions{}, &faults)
		if logs == nil && faults.Err() == nil {
			t.Fatal("no log, and no fault")
		}
		for _, l := range logs {
			l.CheckZone(time.UTC)
			sound(t, l)
		}
	})
}

// FuzzUse parts rows of any start and length over slots, windows and months:
// nothing is lost or made.
func FuzzUse(f *testing.F) {
	text, err := os.ReadFile(filepath.Join(yearFolder, "year.yaml"))
	if err != nil {
		f.Fatal(err)
	}
	f.Add([]byte{1, 2, 3, 200, 100, 50, 7}, int64(1932683000), "Europe/Berlin")
	f.Add([]byte{255, 255, 255, 1, 1, 1, 9, 9}, int64(1950739200), "America/New_York")
	f.Add([]byte{90, 91, 17, 4}, int64(1930000123), "Australia/Lord_Howe")
	f.Fuzz(func(t *testing.T, data []byte, start int64, name string) {
		z, err := time.LoadLocation(name)
		if err != nil || start < 1925000000 || start > 1955000000 || len(data) > 200 {
			return
		}
		l := &Log{Interval: 900}
		l.Has.add(Import)
		l.Has.add(Lagging)
		for i := 0; i+2 < len(data); i += 3 {
			start += int64(data[i]) * 7
			r := Row{Start: start, Duration: int32(data[i+1])*37 + 1}
			r.Values[Import] = Energy(data[i+2])*1e9 + 1
			r.Values[Lagging] = Energy(data[i+1])
			l.Rows = append(l.Rows, r)
			start = r.End()
		}
		tar := readTariff(t, string(text))
		var all tariff.SlotSet
		for s := range tar.Slots() {
			all.Add(tariff.Slot(s))
		}
		p := tariff.Period{From: civil.Date{Year: 2030, Month: 12, Day: 1}, To: civil.Date{Year: 2032, Month: 12, Day: 1}}
		whole := l.Uses(tar, z, []tariff.Period{p})[0]
		if got := whole.sum(Import, all); got != l.Total(Import) {
			t.Fatalf("%d of %d", got, l.Total(Import))
		}
		var parts [channels]Energy
		highest := 0.0
		for d := p.From; d.Compare(p.To) < 0; {
			next := d.AddDays(civil.DaysIn(d.Year, d.Month))
			u := l.Uses(tar, z, []tariff.Period{{From: d, To: next}})[0]
			for c := range channels {
				parts[c] += u.sum(c, all)
			}
			highest = max(highest, u.Demand(all, tariff.KVA, 15))
			d = next
		}
		if parts[Import] != l.Total(Import) || parts[Lagging] != l.Total(Lagging) {
			t.Fatalf("months: %v of %d", parts, l.Total(Import))
		}
		if got := whole.Demand(all, tariff.KVA, 15); got != highest {
			t.Fatalf("highest %g, by month %g", got, highest)
		}
		if one, four := whole.Demand(all, tariff.KW, 60), whole.Demand(all, tariff.KW, 15); one > four*(1+1e-12) {
			t.Fatalf("an hour's mean %g above a quarter's %g", one, four)
		}
		if block, sliding := whole.Demand(all, tariff.KW, 15), whole.SlidingDemand(all, tariff.KW, 15, 5); block > sliding*(1+1e-9)+1e-3 {
			t.Fatalf("block mean %g above sliding mean %g", block, sliding)
		}
	})
}
