package audit

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/site"
)

// small is a site as text. What a test leaves out has a plain default.
type small struct {
	visit      string // date
	zone       string
	supply     string
	points     string
	holidays   string
	calendars  string
	more       string // further keys of site.yaml
	instrument string // further keys of the instrument
	tariff     string
	readings   string
	loads      string
}

const (
	plainSupply     = "{system: 3P4W, voltage: 400 V, frequency: 50 Hz, limits: europe}"
	plainPoints     = "{incomer: {name: Incomer}, DB1: {name: Board, from: incomer}}"
	plainInstrument = `category = "CAT IV 600 V"
voltage-accuracy = "0.5 % + 5 digits"
current-accuracy = "1 % + 5 digits"
power-accuracy = "1.5 % + 5 digits"
distortion-accuracy = "3 % + 5 digits"
smallest-current = "1 A"
calibration-due = "2031-09-02"`
	plainTariff = "charges: [{id: units, energy: 0.20 /kWh}]"
	plainLoad   = "  - {id: base, name: Base load, at: DB1-1, use: other, power: 500 kW, runs: {calendar: always}}"
)

func (s small) files() fstest.MapFS {
	date := cmp.Or(s.visit, "2031-05-14")
	yaml := fmt.Sprintf("client: A client\ntime-zone: %s\ntariff: plain\nsupply: %s\npoints: %s\n", cmp.Or(s.zone, "Etc/UTC"), cmp.Or(s.supply, plainSupply), cmp.Or(s.points, plainPoints))
	for key, text := range map[string]string{"holidays": s.holidays, "calendars": s.calendars} {
		if text != "" {
			yaml += key + ": " + text + "\n"
		}
	}
	visit := fmt.Sprintf("visit: %s\nby: A. Fitter\nwith: clamp\n", date)
	if s.readings != "" {
		visit += "readings:\n" + s.readings + "\n"
	}
	visit += "loads:\n" + cmp.Or(s.loads, plainLoad) + "\n"
	return fstest.MapFS{
		"provider.toml":                    {Data: []byte("name = \"A firm\"\n[[instrument]]\nid = \"clamp\"\nname = \"clamp meter\"\n" + cmp.Or(s.instrument, plainInstrument) + "\n")},
		"tariffs/plain.yaml":               {Data: []byte("tariff: Plain\ncurrency: EUR\nfrom: 2031-01-01\n" + cmp.Or(s.tariff, plainTariff) + "\n")},
		"sites/a/site.yaml":                {Data: []byte(yaml + s.more)},
		"sites/a/visits/" + date + ".yaml": {Data: []byte(visit)},
	}
}

func (s small) record(t testing.TB) *site.Record {
	t.Helper()
	var faults diag.List
	rec := site.Read(site.Folder{FS: s.files(), Dir: "sites/a"}, civil.Date{}, &faults)
	if rec == nil {
		t.Fatalf("the site cannot be read: %v", faults.Err())
	}
	return rec
}

func (s small) run(t testing.TB) *Result {
	t.Helper()
	r, err := Run(s.record(t))
	if err != nil {
		t.Fatalf("the site cannot be worked out: %v", err)
	}
	if err := r.Sheet.Replay(); err != nil {
		t.Fatal(err)
	}
	return r
}

// reading gives the only reading of a result.
func (s small) reading(t testing.TB) Reading {
	t.Helper()
	r := s.run(t)
	if len(r.Readings) != 1 {
		t.Fatalf("%d readings", len(r.Readings))
	}
	return r.Readings[0]
}

// one is the text of a reading R1 of one place.
func one(at, wiring, rest string) string {
	return fmt.Sprintf("  - {id: R1, at: %s, wiring: %s, %s}", at, wiring, rest)
}

func ids(ds []Doubt) string {
	var list []string
	for _, d := range ds {
		list = append(list, d.ID)
	}
	return strings.Join(list, " ")
}

// nearly holds a figure to a share of itself.
func nearly(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > share*math.Max(math.Abs(want), 1e-9) {
		t.Errorf("%s: %.9g, want %.9g", what, got, want)
	}
}
