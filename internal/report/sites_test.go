package report

import (
	"testing"
	"testing/fstest"

	"auditgen/internal/assess"
	"auditgen/internal/audit"
	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/say"
	record "auditgen/internal/site"
	"auditgen/internal/source"
	"auditgen/internal/working"
)

// smallest is the least that a site can be made of: one reading, one load, one
// charge.
var smallest = map[string]string{
	"provider.toml": `name = "lone hand"
[[instrument]]
id = "m"
name = "clamp meter"
`,
	"tariffs/flat.yaml": `tariff: Flat
currency: JPY
from: 2031-01-01
tax-note: prices include tax
charges:
  - {id: units, label: Units, energy: 31 /kWh}
`,
	"sites/small/site.yaml": `client: Kiosk
time-zone: Europe/Dublin
supply: {system: 1P2W, voltage: 230 V, frequency: 50 Hz, limits: europe}
points:
  incomer: {name: Board}
tariff: flat
`,
	"sites/small/visits/2031-02-03.yaml": `visit: 2031-02-03
by: O. Only
with: m
readings:
  - id: R1
    at: incomer
    wiring: 1P2W
    phases: {A: {voltage: 229 V, current: 5.1 A, power: 1.10 kW}}
loads:
  - id: heater
    name: Heater
    at: incomer
    use: heat
    reading: R1
    runs: {calendar: always, duty: 20..30..40 %}
`,
}

// small assesses the smallest site.
func small(t testing.TB) *assess.Assessment { return smallIn(t, nil) }

// smallIn assesses the smallest site in a language.
func smallIn(t testing.TB, words *say.Language) *assess.Assessment {
	t.Helper()
	files := fstest.MapFS{}
	for name, text := range smallest {
		files[name] = &fstest.MapFile{Data: []byte(text)}
	}
	var faults diag.List
	rec := record.Read(record.Folder{FS: files, Dir: "sites/small"}, civil.Date{}, &faults)
	if rec == nil {
		t.Fatal(faults.Sorted())
	}
	if words != nil {
		rec.Words = words
	}
	a, err := assess.Assess(rec)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func typedAs[T any](v T, text string) source.At[T] {
	return source.At[T]{Value: v, Text: text, Pos: diag.Pos{File: "x.yaml", Line: 1, Column: 1}}
}

// missing is an assessment of nothing: a client and a date.
func missing() *assess.Assessment {
	rec := &record.Record{Slug: "nothing"}
	rec.Site.Client = typedAs("Nobody & Sons <none>", "")
	rec.Visit.Date = typedAs(civil.Date{Year: 2031, Month: 3, Day: 4}, "2031-03-04")
	return &assess.Assessment{Result: &audit.Result{Record: rec, Sheet: &working.Sheet{}}}
}

// sitesUnderTest are a full site, the smallest, and one of which nothing is known.
func sitesUnderTest(t testing.TB) map[string]*assess.Assessment {
	return map[string]*assess.Assessment{"full": example(t), "small": small(t), "missing": missing()}
}
