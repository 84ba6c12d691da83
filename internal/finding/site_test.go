package finding

import (
	"cmp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"auditgen/internal/audit"
	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/site"
)

// small is a site as text. What a test leaves out has a plain default.
type small struct {
	supply     string
	more       string // further keys of the supply
	instrument string
	tariff     string
	other      string // the charges of an alternative tariff
	points     string
	calendars  string
	extra      string // further keys of site.yaml, each with its newline
	bills      string // as bills.yaml
	visit      string // its day
	readings   string
	loads      string
}

const (
	europe     = "system: 3P4W, voltage: 400 V, frequency: 50 Hz, limits: europe"
	america    = "system: 3P4W, voltage: 480 V, frequency: 60 Hz, limits: north-america"
	splitPhase = "system: 1P3W, voltage: 240 V, frequency: 60 Hz, limits: north-america"
)

func (s small) result(t *testing.T) *audit.Result {
	t.Helper()
	supply := cmp.Or(s.supply, europe)
	if s.more != "" {
		supply += ", " + s.more
	}
	day := cmp.Or(s.visit, "2031-05-14")
	visit := "visit: " + day + "\nby: A. Fitter\nwith: clamp\n"
	if s.readings != "" {
		visit += "readings:\n" + s.readings + "\n"
	}
	files := map[string]string{
		"provider.toml":                   "name = \"A firm\"\n[[instrument]]\nid = \"clamp\"\nname = \"clamp meter\"\n" + s.instrument + "\n",
		"tariffs/plain.yaml":              "tariff: Plain\ncurrency: EUR\nfrom: 2031-01-01\n" + cmp.Or(s.tariff, "charges: [{id: units, energy: 0.10 /kWh}]") + "\n",
		"sites/a/site.yaml":               "client: A client\ntime-zone: Etc/UTC\ntariff: plain\nsupply: {" + supply + "}\npoints: " + cmp.Or(s.points, "{incomer: {name: Incomer}, DB1: {name: Board, from: incomer}}") + "\n",
		"sites/a/visits/" + day + ".yaml": visit + "loads:\n" + cmp.Or(s.loads, "  - {id: base, name: Base, at: DB1-1, use: other, power: 100 kW, pf: 1.00, runs: {calendar: always}}") + "\n",
	}
	if s.calendars != "" {
		files["sites/a/site.yaml"] += "calendars: " + s.calendars + "\n"
	}
	files["sites/a/site.yaml"] += s.extra
	if s.other != "" {
		files["sites/a/site.yaml"] += "alternatives: [other]\n"
		files["tariffs/other.yaml"] = "tariff: Other\ncurrency: EUR\nfrom: 2031-01-01\n" + s.other + "\n"
	}
	if s.bills != "" {
		files["sites/a/bills.yaml"] = "bills:\n" + s.bills + "\n"
	}
	tree := fstest.MapFS{}
	for name, text := range files {
		tree[name] = &fstest.MapFile{Data: []byte(text)}
	}
	var faults diag.List
	rec := site.Read(site.Folder{FS: tree, Dir: "sites/a"}, civil.Date{}, &faults)
	if rec == nil {
		t.Fatalf("the site cannot be read: %v", faults.Err())
	}
	r, err := audit.Run(rec)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// of gives what a rule finds, and what it cannot judge.
func (s small) of(t *testing.T, rule string) (fs []Finding, us []Unassessed) {
	t.Helper()
	findings, unassessed := Judge(s.result(t))
	for _, f := range findings {
		sound(t, f)
	}
	for _, u := range unassessed {
		soundUnassessed(t, u)
	}
	keep := func(id string) bool { return id == rule }
	return slices.DeleteFunc(findings, func(f Finding) bool { return !keep(f.Rule) }), slices.DeleteFunc(unassessed, func(u Unassessed) bool { return !keep(u.Rule) })
}

// Capacitors that round to nothing are not advised.
func TestNegligibleCapacitors(t *testing.T) {
	for vars, named := range map[string]bool{"26.5 kvar": false, "27.2 kvar": true} {
		fs, _ := small{loads: load("0.80"), tariff: charged, readings: at("incomer", "3P4W", "total: {power: 80.0 kW, reactive: "+vars+"}")}.of(t, "low-power-factor")
		got := slices.ContainsFunc(fs[0].Evidence, func(e Evidence) bool { return strings.Contains(e.Text, "would bring the load") })
		if got != named {
			t.Errorf("at %s capacitors are named: %v", vars, got)
		}
	}
}
