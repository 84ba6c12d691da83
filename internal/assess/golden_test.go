package assess

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"auditgen/internal/audit"
	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/finding"
	"auditgen/internal/site"
)

var update = flag.Bool("update", false, "write the golden numbers anew")

const goldenDir = "../../testdata/golden"

// sites are the golden sites: the folder that holds provider.toml, and the
// site within it.
var sites = []struct{ name, root, dir string }{
	{"example", "../..", "sites/example"},
	{"minimal", "../../testdata/sites", "minimal"},
	{"split-phase", "../../testdata/sites", "split-phase"},
	{"cider", "../../testdata/sites", "cider"},
	{"logged", "../../testdata/sites", "logged"},
}

func record(t *testing.T, root, dir string) *site.Record {
	t.Helper()
	var faults diag.List
	rec := site.Read(site.Folder{FS: os.DirFS(root), Dir: dir}, civil.Date{}, &faults)
	if rec == nil {
		t.Fatalf("%s cannot be read: %v", dir, faults.Err())
	}
	return rec
}

// once holds the golden sites as worked out once, for tests that change nothing.
var once = map[string]*Assessment{}

func kept(t *testing.T, root, dir string) *Assessment {
	t.Helper()
	if once[dir] == nil {
		once[dir] = assessed(t, root, dir)
	}
	return once[dir]
}

func assessed(t *testing.T, root, dir string) *Assessment {
	t.Helper()
	a, err := Assess(record(t, root, dir))
	if err != nil {
		t.Fatalf("%s: %v", dir, err)
	}
	return a
}

// number prints ten significant digits: enough to see any change of method, too
// few to see another processor's last bit.
func number(v float64) json.Number {
	return json.Number(strconv.FormatFloat(v, 'g', 10, 64))
}

type object = map[string]any

func interval(i audit.Interval) object {
	return object{"value": number(i.Value), "low": number(i.Low), "high": number(i.High), "unit": i.Unit}
}

func contributions(cs []audit.Contribution) []object {
	var list []object
	for _, c := range cs {
		list = append(list, object{"id": c.ID, "share": number(c.Share)})
	}
	return list
}

// planned is what measures come to.
func planned(a *Assessment) object {
	var list []object
	for _, i := range a.Plan.Order {
		m := a.Plan.Measures[i]
		list = append(list, object{"id": m.ID.Value, "saving": m.Alone.Exact.String(), "adds": m.Step.Exact.String(), "energy_kwh": interval(m.Alone.Energy), "cost_saving": interval(m.Alone.Cost), "npv": interval(m.Worth.NPV), "payback": interval(m.Worth.Payback), "life_cycle_cost": number(m.LifeCycle.Total.V)})
	}
	return object{"measures": list, "together": a.Plan.Together.Exact.String(), "after": a.Plan.After.String(), "npv": interval(a.Plan.Worth.NPV), "life_cycle_cost_today": number(a.Plan.Today.V), "life_cycle_cost": number(a.Plan.LifeCycle.Total.V)}
}

// numbers are what an assessment comes to, for comparison with the golden file.
func numbers(a *Assessment) object {
	o := object{
		"year": a.Year, "currency": a.Currency, "steps": len(a.Sheet.Steps()), "assumptions": len(a.Assumptions),
		"energy_kwh": interval(a.Energy), "cost": interval(a.Cost), "peak": interval(a.Peak), "peak_apparent": interval(a.PeakKVA),
		"base_load": interval(a.BaseLoad), "peak_month": a.PeakMonth + 1,
		"energy_contributions": contributions(a.Contributions), "cost_contributions": contributions(a.CostContributions),
	}
	if a.Plan != nil {
		o["plan"] = planned(a)
	}
	if a.LoadFactor.Known() {
		o["load_factor"] = number(a.LoadFactor.V)
	}
	var months, uses, loads, lines, findings, readings []object
	for i, m := range a.Months {
		slots := make([]json.Number, len(m.BySlot))
		for k, kwh := range m.BySlot {
			slots[k] = number(kwh)
		}
		month := object{"energy": interval(m.Energy), "reactive_varh": number(m.Reactive.V), "peak": interval(m.PeakKW), "peak_apparent": interval(m.PeakKVA), "cost": interval(m.Cost), "by_slot_kwh": slots, "bill": a.Bills[i].Total.String()}
		if m.PF.Known() {
			month["pf"] = number(m.PF.V)
		}
		months = append(months, month)
	}
	for _, u := range a.Uses {
		uses = append(uses, object{"use": u.Name, "energy": interval(u.Energy), "share": number(u.Share), "cost": number(u.Cost.Value), "loads": u.Loads})
	}
	for _, l := range a.Loads {
		loads = append(loads, object{"id": l.ID, "energy": interval(l.Energy), "running_w": number(l.Running.V), "hours": number(l.Hours.V), "duty": number(l.Duty.V)})
	}
	for _, l := range a.YearLines {
		lines = append(lines, object{"id": l.ID, "amount": l.Exact, "quantity": l.Quantity, "interval": interval(l.Interval)})
	}
	for _, f := range a.Findings {
		findings = append(findings, object{"id": f.ID, "severity": f.Severity})
	}
	for _, r := range a.Readings {
		readings = append(readings, object{"id": r.ID, "power_w": number(r.Total.Power.V), "power_error_w": number(r.PowerError)})
	}
	doubts, unassessed := []string{}, []string{}
	for _, d := range a.Doubts {
		doubts = append(doubts, d.Reading+" "+d.ID)
	}
	for _, u := range a.Unassessed {
		unassessed = append(unassessed, u.Rule)
	}
	o["months"], o["uses"], o["loads"], o["lines"], o["readings"] = months, uses, loads, lines, readings
	if len(a.Logs) > 0 {
		o["logs"], o["unexplained_wh"] = logs(a), number(a.Unexplained.V)
	}
	if len(a.Tariffs) > 0 {
		o["tariffs"] = tariffs(a)
	}
	o["doubts"], o["findings"], o["unassessed"] = doubts, findings, unassessed
	return o
}

func logs(a *Assessment) []object {
	var list []object
	for _, l := range a.Logs {
		for _, m := range l.Months {
			list = append(list, object{"point": l.Point, "month": m.Month + 1, "covered": number(m.Covered), "used": m.Used, "energy_wh": number(m.Energy.V), "modelled_wh": number(m.Expected.V)})
		}
	}
	return list
}

func tariffs(a *Assessment) []object {
	var list []object
	for _, p := range a.Tariffs {
		o := object{"tariff": p.File, "cost": p.Exact.String(), "difference": p.Difference.String()}
		for _, t := range p.Turns {
			if t.At.Known() {
				o["level_at_"+t.Of] = number(t.At.V)
			}
		}
		list = append(list, o)
	}
	return list
}

// TestGoldenNumbers holds each golden site to its numbers of before.
func TestGoldenNumbers(t *testing.T) {
	for _, s := range sites {
		t.Run(s.name, func(t *testing.T) {
			var got bytes.Buffer
			e := json.NewEncoder(&got)
			e.SetEscapeHTML(false)
			e.SetIndent("", "\t")
			if err := e.Encode(numbers(kept(t, s.root, s.dir))); err != nil {
				t.Fatal(err)
			}
			file := filepath.Join(goldenDir, s.name+".json")
			if *update {
				if err := os.WriteFile(file, got.Bytes(), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			differences(t, file, string(want), got.String())
		})
	}
}

// differences shows the first lines that differ.
func differences(t *testing.T, file, want, got string) {
	t.Helper()
	if got == want {
		return
	}
	w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
	shown := 0
	for i := 0; i < min(len(w), len(g)) && shown < 5; i++ {
		if w[i] != g[i] {
			shown++
			t.Errorf("%s:%d: is %s, was %s", file, i+1, strings.TrimSpace(g[i]), strings.TrimSpace(w[i]))
		}
	}
	t.Errorf("%s has %d lines, was %d; if the change is meant: go test ./internal/assess -update", file, len(g), len(w))
}

// TestGoldenSitesAreSound: whatever the numbers, every golden site agrees with
// itself, replays, and says nothing broken.
func TestGoldenSitesAreSound(t *testing.T) {
	words := regexp.MustCompile(`%!|NaN|Inf\b|  |\bnil\b`)
	for _, s := range sites {
		t.Run(s.name, func(t *testing.T) {
			a := kept(t, s.root, s.dir)
			if err := a.Sheet.Replay(); err != nil {
				t.Error(err)
			}
			for _, st := range a.Sheet.Steps() {
				if math.IsNaN(st.Value) || math.IsInf(st.Value, 0) {
					t.Errorf("step %s is %g", st.ID, st.Value)
				}
				if st.ID == "" || st.Label == "" || words.MatchString(st.Label+st.Reason+st.Note) {
					t.Errorf("step %q is labelled %q, because %q, noted %q", st.ID, st.Label, st.Reason, st.Note)
				}
			}
			for _, f := range a.Findings {
				if words.MatchString(f.Headline + f.Why + f.Action + f.Caution + f.Sure + f.Clause) {
					t.Errorf("%s: %+v", f.ID, f)
				}
				for _, id := range f.Steps {
					if _, ok := a.Sheet.Get(id); !ok {
						t.Errorf("%s cites the step %q, which is not there", f.ID, id)
					}
				}
				for _, e := range f.Evidence {
					if _, ok := a.Sheet.Get(e.Step); e.Step != "" && !ok {
						t.Errorf("%s cites the step %q, which is not there", f.ID, e.Step)
					}
				}
			}
			judged := map[string]bool{}
			for _, f := range a.Findings {
				judged[f.Rule] = true
			}
			for _, u := range a.Unassessed {
				if judged[u.Rule] {
					t.Errorf("%s is both judged and not assessed", u.Rule)
				}
			}
		})
	}
}

// TestExample: the demonstration site shows the doubt that it was given, and no
// other.
func TestExample(t *testing.T) {
	a := kept(t, sites[0].root, sites[0].dir)
	if len(a.Doubts) != 1 || a.Doubts[0].ID != "current-reversed" || a.Doubts[0].Reading != "R20" || a.Doubts[0].Phase != "C" {
		t.Errorf("doubts %+v, want the clamp of R20 alone", a.Doubts)
	}
	var unassessed []string
	for _, u := range a.Unassessed {
		unassessed = append(unassessed, u.Rule)
	}
	// It has no capacitors.
	if len(a.Loads) < 15 || len(a.Readings) < 12 || !slices.Equal(unassessed, []string{"capacitor-condition", "capacitor-resonance"}) {
		t.Errorf("%d loads, %d readings, rules without their inputs: %q", len(a.Loads), len(a.Readings), unassessed)
	}
}

// TestMinimal: three small files are enough for a year and a bill; what they do
// not tell is said, not guessed.
func TestMinimal(t *testing.T) {
	a := kept(t, sites[1].root, sites[1].dir)
	kwh := 0.98 * 8760 * (0.30 + 0.40 + 0.55) / 3
	if math.Abs(a.Energy.Value-kwh) > 1e-6*kwh || math.Abs(a.Cost.Value-0.2*kwh) > 0.06 {
		t.Errorf("%.2f kWh cost %.2f, want %.2f and %.2f", a.Energy.Value, a.Cost.Value, kwh, 0.2*kwh)
	}
	if len(a.Doubts) != 0 {
		t.Errorf("doubts %+v", a.Doubts)
	}
	var missing []string
	for _, u := range a.Unassessed {
		missing = append(missing, u.Rule)
	}
	for _, rule := range []string{"frequency", "voltage-distortion", "current-distortion", "supply-voltage"} {
		if !slices.Contains(missing, rule) {
			t.Errorf("%s was judged without its inputs: not assessed are %v", rule, missing)
		}
	}
}

// TestSplitPhase: a 120/240 V site of 60 Hz is judged by its own limits.
func TestSplitPhase(t *testing.T) {
	a := kept(t, sites[2].root, sites[2].dir)
	if len(a.Doubts) != 0 {
		t.Errorf("doubts %+v", a.Doubts)
	}
	if a.Currency != "USD" {
		t.Errorf("currency %s", a.Currency)
	}
	severity := map[string]finding.Severity{}
	clause := map[string]string{}
	for _, f := range a.Findings {
		severity[f.Rule], clause[f.Rule] = f.Severity, f.Clause
	}
	for rule, want := range map[string]string{"supply-voltage": "ANSI C84.1", "voltage-distortion": "IEEE 519", "current-distortion": "IEEE 519"} {
		if severity[rule] != finding.InOrder || !strings.Contains(clause[rule], want) {
			t.Errorf("%s is %q by %q, want %q by %s", rule, severity[rule], clause[rule], finding.InOrder, want)
		}
	}
	if _, ok := severity["voltage-unbalance"]; ok {
		t.Error("a split-phase supply was judged for three-phase unbalance")
	}
	// Summer and winter energy, by the tariff's seasons, are the year's.
	kwh := 0.0
	for _, l := range a.YearLines {
		if l.ID == "summer-energy" || l.ID == "winter-energy" {
			v, err := strconv.ParseFloat(l.Quantity, 64)
			if err != nil {
				t.Error(err)
			}
			kwh += v
		}
	}
	if math.Abs(kwh-a.Energy.Value) > 12*0.0005 {
		t.Errorf("billed %.3f kWh of %.3f kWh", kwh, a.Energy.Value)
	}
}
