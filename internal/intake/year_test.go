package intake

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/plant"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
)

const yearFolder = "../../testdata/intervals"

// quarterHours is the load of year.py.
func quarterHours() *Log {
	l := &Log{Interval: 900}
	l.Has.add(Import)
	l.Has.add(Lagging)
	for _, q := range plant.Quarters() {
		row := Row{Start: q.Start.Unix(), Duration: 900}
		row.Values[Import] = Energy(q.Wh * 1e6)
		row.Values[Lagging] = Energy(q.Varh * 1e6)
		l.Rows = append(l.Rows, row)
	}
	return l
}

func yearTariff(tb testing.TB) *tariff.Tariff {
	tb.Helper()
	text, err := os.ReadFile(filepath.Join(yearFolder, "year.yaml"))
	if err != nil {
		tb.Fatal(err)
	}
	return readTariff(tb, string(text))
}

func readTariff(tb testing.TB, text string) *tariff.Tariff {
	tb.Helper()
	var faults diag.List
	t := tariff.Read(source.YAML("tariff.yaml", []byte(text), &faults), &faults)
	if err := faults.Err(); err != nil {
		tb.Fatalf("%v\n%s", err, text)
	}
	return t
}

func zone(tb testing.TB, name string) *time.Location {
	tb.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		tb.Fatal(err)
	}
	return z
}

func yearFile(tb testing.TB) []byte {
	tb.Helper()
	var b bytes.Buffer
	if err := quarterHours().WriteTidy(&b); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

func read(tb testing.TB, text string, c *Columns) *Log {
	tb.Helper()
	var faults diag.List
	l := ReadCSV("data.csv", []byte(text), c, &faults)
	if err := faults.Err(); err != nil {
		tb.Fatal(err)
	}
	return l
}

type pandasBill struct {
	Month string
	Lines map[string][2]decimal.Decimal // quantity, amount
	Total decimal.Decimal
}

// A year of quarter hours, written and read again and priced, agrees to the cent
// with what pandas makes of it, line by line.
func TestYearAgreesWithPandas(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(yearFolder, "year.json"))
	if err != nil {
		t.Fatal(err)
	}
	var want []pandasBill
	if err := json.Unmarshal(text, &want); err != nil {
		t.Fatal(err)
	}
	l := read(t, string(yearFile(t)), nil)
	bills, err := l.Price(yearTariff(t), zone(t, "Europe/Berlin"), tariff.Months(2031), tariff.Options{})
	if err != nil {
		t.Fatal(err)
	}
	lines := 0
	for i, b := range bills {
		w := want[i]
		if b.Period.String() != w.Month || len(b.Lines) != len(w.Lines) {
			t.Errorf("%s has %d lines; pandas has %d for %s", b.Period, len(b.Lines), len(w.Lines), w.Month)
		}
		for _, line := range b.Lines {
			lines++
			if got := w.Lines[line.ID]; !got[0].Equal(line.Quantity) || !got[1].Equal(line.Amount) {
				t.Errorf("%s %s: %s makes %s; pandas: %s makes %s", w.Month, line.ID, line.Quantity, line.Amount, got[0], got[1])
			}
		}
		if !b.Total.Equal(w.Total) {
			t.Errorf("%s: %s; pandas: %s", w.Month, b.Total, w.Total)
		}
		if i > 0 && len(b.Notes) > 0 || i == 0 && !slices.Equal(b.Notes, []string{"demand looks back 11 months; no earlier month is known"}) {
			t.Errorf("%s: notes on a whole month: %q", w.Month, b.Notes)
		}
	}
	t.Logf("%d lines of %d bills", lines, len(bills))
}

// pandas gives the committed bills again, from quarter hours that are the same
// bytes as ours.
func TestPandasGivesWhatIsCommitted(t *testing.T) {
	python := ""
	for _, p := range []string{"python3", "/usr/bin/python3"} {
		if python == "" && exec.Command(p, "-c", "import pandas").Run() == nil {
			python = p
		}
	}
	if python == "" {
		const why = "needs Python 3 with pandas: apt-get install python3-pandas"
		if os.Getenv("AUDITGEN_PYTHON") == "required" {
			t.Fatal(why)
		}
		t.Skip(why)
	}
	file := filepath.Join(t.TempDir(), "year.csv")
	for output, args := range map[string][]string{"year.json": {file}, "year-steady.json": {"--steady"}} {
		cmd := exec.Command(python, append([]string{"-B", filepath.Join(yearFolder, "year.py")}, args...)...)
		var said bytes.Buffer
		cmd.Stderr = &said
		got, err := cmd.Output()
		if err != nil {
			t.Fatalf("%v\n%s", err, said.String())
		}
		want, err := os.ReadFile(filepath.Join(yearFolder, output))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("year.py does not give %s", output)
		}
	}
	made, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(made, yearFile(t)) {
		t.Error("year.py does not write the quarter hours that are priced")
	}
}

func BenchmarkReadIntervals(b *testing.B) {
	data := yearFile(b)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		var faults diag.List
		if l := ReadCSV("year.csv", data, nil, &faults); l == nil || len(l.Rows) != 35040 {
			b.Fatal(faults.Err())
		}
	}
}

// BenchmarkPriceYear reduces a year of quarter hours to a tariff's slots and
// prices the twelve months.
func BenchmarkPriceYear(b *testing.B) {
	l, t, z, months := quarterHours(), yearTariff(b), zone(b, "Europe/Berlin"), tariff.Months(2031)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := l.Price(t, z, months, tariff.Options{Brief: true}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReduceYear(b *testing.B) {
	l, t, z, months := quarterHours(), yearTariff(b), zone(b, "Europe/Berlin"), tariff.Months(2031)
	b.ReportAllocs()
	for b.Loop() {
		l.Uses(t, z, months)
	}
}
