package intake

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/tariff"
)

const published = "../../testdata/published"

func expected(t *testing.T, name string, into any) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(published, name, "expected.json"))
	if err != nil {
		t.Fatal(err)
	}
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		t.Fatal(err)
	}
}

var kindWords = map[string]Kind{"unsure": Unsure, "cost": Cost, "missing": Missing, "clock": Clock, "no time": NoTime, "contradiction": Contradiction, "uneven": Uneven, "gap": Gap}

// plain is a tariff of one slot, for demands over any window.
const plain = "tariff: plain\ncurrency: EUR\nfrom: 2020-01-01\ntax-note: none\ncharges:\n  - {id: units, energy: 0.1 /kWh}\n"

func month(t *testing.T, text string) tariff.Period {
	t.Helper()
	from, err := civil.ParseDate(text + "-01")
	if err != nil {
		t.Fatal(err)
	}
	return tariff.Period{From: from, To: from.AddDays(civil.DaysIn(from.Year, from.Month))}
}

func TestSmallESPIFiles(t *testing.T) {
	var cases map[string]struct {
		Zone, Month string
		Offset      int64
		Rows        int
		Import      string             `json:"import_kwh"`
		Export      string             `json:"export_kwh"`
		Starts      []string           `json:"local_starts"`
		Demand      map[string]float64 `json:"demand_kw"`
		Notes       map[string]string
	}
	expected(t, "intervals-espi", &cases)
	for file, c := range cases {
		text, err := os.ReadFile(filepath.Join(published, "intervals-espi", file))
		if err != nil {
			t.Fatal(err)
		}
		var faults diag.List
		logs := ReadESPI(file, bytes.NewReader(text), ESPIOptions{}, &faults)
		if faults.Err() != nil || len(logs) != 1 {
			t.Fatalf("%s: %d logs, %v", file, len(logs), faults.Err())
		}
		l, z := logs[0], zone(t, c.Zone)
		l.CheckZone(z)
		if len(l.Rows) != c.Rows || kilo(l.Total(Import)) != c.Import || kilo(l.Total(Export)) != c.Export || l.Local == nil || l.Local.Offset != c.Offset {
			t.Errorf("%s: %d rows, %s kWh taken, %s delivered, local %+v", file, len(l.Rows), kilo(l.Total(Import)), kilo(l.Total(Export)), l.Local)
		}
		var starts []string
		for _, r := range l.Rows {
			starts = append(starts, utc(r.Start).In(z).Format(time.RFC3339))
		}
		if !slices.Equal(starts, c.Starts) {
			t.Errorf("%s: starts %v", file, starts)
		}
		u := l.Uses(readTariff(t, plain), z, []tariff.Period{month(t, c.Month)})[0]
		var all tariff.SlotSet
		all.Add(0)
		for minutes, kw := range c.Demand {
			n, _ := strconv.Atoi(minutes)
			if got := u.Demand(all, tariff.KW, n) / 1000; got != kw {
				t.Errorf("%s: highest %s min mean %g kW, want %g", file, minutes, got, kw)
			}
		}
		for kind, want := range c.Notes {
			if !slices.ContainsFunc(l.Account.Notes, func(n Note) bool { return n.Kind == kindWords[kind] && n.What == want }) {
				t.Errorf("%s: no note %q among %v", file, want, l.Account.Notes)
			}
		}
		if l.Account.Of(Clock) != 1 {
			t.Errorf("%s: the zone is found to differ: %v", file, l.Account.Notes)
		}
	}
}

// shared opens a file of the sample data that lies beside the repository.
func shared(t *testing.T, name string) *os.File {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "shared", "data", "espi", name))
	if errors.Is(err, fs.ErrNotExist) {
		const why = "needs the ESPI sample files in ../shared/data/espi beside the repository"
		if os.Getenv("AUDITGEN_SHARED") == "required" {
			t.Fatal(why)
		}
		t.Skip(why)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

func TestSampleFiles(t *testing.T) {
	var cases map[string]struct {
		Found, Rows, Costs int
		Interval           int32
		FoundWh            Energy `json:"found_wh"`
		TakenWh            Energy `json:"taken_wh"`
		LargestWh          Energy `json:"largest_wh"`
		First, Last        string
		Offset             int64
		Kinds              map[string]int
	}
	expected(t, "intervals-samples", &cases)
	for name, c := range cases {
		var faults diag.List
		logs := ReadESPI(name, shared(t, name), ESPIOptions{}, &faults)
		if faults.Err() != nil || len(logs) != 1 {
			t.Fatalf("%s: %d logs, %v", name, len(logs), faults.Err())
		}
		l := logs[0]
		if l.Account.Found != c.Found || len(l.Rows) != c.Rows || l.Interval != c.Interval || l.Account.Sums[Import] != c.FoundWh*1e6 || l.Total(Import) != c.TakenWh*1e6 || l.Local.Offset != c.Offset {
			t.Errorf("%s: found %d of %d µWh, took %d of %d µWh, %d s", name, l.Account.Found, l.Account.Sums[Import], len(l.Rows), l.Total(Import), l.Interval)
		}
		if first, last := stamp(l.Rows[0].Start), stamp(l.Rows[len(l.Rows)-1].Start); first != c.First || last != c.Last {
			t.Errorf("%s: from %s to %s", name, first, last)
		}
		largest := slices.MaxFunc(l.Rows, func(a, b Row) int { return int(a.Values[Import] - b.Values[Import]) }).Values[Import]
		if c.LargestWh > 0 && largest != c.LargestWh*1e6 {
			t.Errorf("%s: largest %d µWh", name, largest)
		}
		kinds := map[Kind]int{}
		for _, n := range l.Account.Notes {
			kinds[n.Kind]++
			if n.Kind == Cost && !strings.HasPrefix(n.What, "costs on "+many(c.Costs, "reading", "readings")) {
				t.Errorf("%s: %s", name, n)
			}
			if !n.Pos.IsSet() {
				t.Errorf("%s: %s has no place", name, n)
			}
		}
		for word, n := range c.Kinds {
			if kinds[kindWords[word]] != n {
				t.Errorf("%s: %d notes on %s, want %d", name, kinds[kindWords[word]], word, n)
			}
		}
		if len(kinds) != len(c.Kinds) {
			t.Errorf("%s: notes %v", name, l.Account.Notes)
		}
	}
}

// synthetic writes the file of intervals-synthetic for a month.
func synthetic(p tariff.Period, z *time.Location) string {
	var b strings.Builder
	b.WriteString("start,kWh,kvarh\n")
	wednesdays := 0
	for d := p.From; p.Contains(d); d = d.AddDays(1) {
		if d.Weekday() == time.Wednesday {
			wednesdays++
		}
		for q := range 96 {
			kw := 40.0
			if d.Weekday() >= time.Monday && d.Weekday() <= time.Friday && q >= 32 && q < 72 {
				kw += 60
			}
			if d.Weekday() == time.Wednesday && wednesdays == 3 && q == 57 {
				kw += 45
			}
			at := time.Date(d.Year, d.Month, d.Day, q/4, q%4*15, 0, 0, z)
			fmt.Fprintf(&b, "%s,%g,%.4f\n", at.Format("2006-01-02T15:04-07:00"), kw/4, 0.62*kw/4)
		}
	}
	return b.String()
}

func TestSyntheticMonth(t *testing.T) {
	var want struct {
		Month, Zone string
		Rows        int
		Kwh         float64
		Kw          map[string]float64
		PowerFactor float64 `json:"power_factor"`
		Free        float64 `json:"free_kvarh"`
		Billed      float64 `json:"billed_kvarh"`
	}
	expected(t, "intervals-synthetic", &want)
	p, z := month(t, want.Month), zone(t, want.Zone)
	l := read(t, synthetic(p, z), nil)
	if len(l.Rows) != want.Rows || l.Total(Import).WattHours() != quantity.WattHours(want.Kwh*1000) {
		t.Errorf("%d rows, %s kWh", len(l.Rows), kilo(l.Total(Import)))
	}
	u := l.Uses(readTariff(t, plain), z, []tariff.Period{p})[0]
	var all tariff.SlotSet
	all.Add(0)
	for minutes, kw := range want.Kw {
		n, _ := strconv.Atoi(minutes)
		if got := u.Demand(all, tariff.KW, n) / 1000; got != kw {
			t.Errorf("highest %s min mean %g kW, want %g", minutes, got, kw)
		}
	}
	kwh, kvarh := float64(u.Energy(all))/1000, float64(u.Reactive(all))/1000
	near := func(what string, got, want, half float64) {
		if math.Abs(got-want) > half {
			t.Errorf("%s: %g, want %g", what, got, want)
		}
	}
	near("power factor", kwh/math.Hypot(kwh, kvarh), want.PowerFactor, 0.00005)
	near("free kvarh", 0.33*kwh, want.Free, 0.005)
	near("billed kvarh", kvarh-0.33*kwh, want.Billed, 0.005)
}
