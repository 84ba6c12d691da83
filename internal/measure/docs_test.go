package measure

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"auditgen/internal/site"
)

const guide = "../../docs/measures.md"

var block = regexp.MustCompile("(?s)```yaml\n(  - id:.*?)```")

const guideLoads = `  - {id: pump, name: Pump, at: DB1-1, use: water, power: 10 kW, pf: 0.80 lag, runs: {calendar: day, duty: 50 %}}
  - {id: fan, name: Fan, at: DB1-2, use: air, power: 3 kW, runs: {calendar: always}}
  - {id: lamp, name: Lamp, at: DB1-3, use: light, power: 4 kW, runs: {calendar: day}}
  - {id: office, name: Office, at: DB1-4, use: office, power: 500 W, standby: 100 W, runs: {calendar: day}}
  - {id: compressor, name: Compressor, at: DB1-5, use: air, states: {loaded: {power: 8 kW, duty: 50 %}, unloaded: {power: 3 kW, duty: 30 %}}, runs: {calendar: day}}
  - {id: cold, name: Cold store, at: DB1-6, use: cold, power: 2 kW, runs: {calendar: always, duty: 60 %}}
  - {id: charger, name: Charger, at: DB1-7, use: transport, power: 2 kW, runs: {calendar: day, duty: 30 %}}
  - {id: losses, name: Transformer losses, at: incomer, use: losses, power: 900 W, runs: {calendar: always}}`

// Every example of the guide is priced, and every kind of change has one. They
// are done one after the other, what removes a load last.
func TestExamplesOfTheGuide(t *testing.T) {
	text, err := os.ReadFile(guide)
	if err != nil {
		t.Fatal(err)
	}
	var ordered, examples []string
	found := map[string]bool{}
	for _, b := range block.FindAllStringSubmatch(string(text), -1) {
		examples = append(examples, b[1])
	}
	for _, last := range []bool{false, true} {
		for _, b := range examples {
			if strings.Contains(b, "remove:") == last {
				ordered = append(ordered, b)
			}
		}
	}
	h := hall{loads: guideLoads, supply: ", agreed-demand: 90 kVA", tariff: demandTariff, measures: "measures:\n" + strings.Join(ordered, "")}
	p, r := h.plan(t)
	for _, m := range p.Measures {
		for _, c := range m.Changes {
			found[c.Kind()] = true
			if Words(r.Record, c) == "" {
				t.Errorf("%s: a %s has no words", m.ID.Value, c.Kind())
			}
		}
	}
	for _, kind := range site.ChangeKinds() {
		if !found[kind] {
			t.Errorf("the guide has no example of %s", kind)
		}
		if !strings.Contains(string(text), "**"+kind+"**") {
			t.Errorf("the guide does not tell of %s", kind)
		}
	}
}

// The guide's table of ready measures is that of their file.
func TestReadyMeasuresOfTheGuide(t *testing.T) {
	var b strings.Builder
	b.WriteString("| ready | for | life | risk | what it costs | how long it serves |\n|---|---|---|---|---|---|\n")
	for _, r := range site.ReadyMeasures() {
		var kinds []string
		for _, k := range r.Kinds {
			kinds = append(kinds, k.Value)
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s | %s | %s |\n", r.ID.Value, strings.Join(kinds, ", "), r.Life.Text, r.Risk.Value, r.CostNote.Value, r.LifeNote.Value)
	}
	text, err := os.ReadFile(guide)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasSuffix(string(text), b.String()) {
		t.Errorf("the guide's last table should be:\n%s", b.String())
	}
	for _, r := range site.ReadyMeasures() {
		for _, k := range r.Kinds {
			known := false
			for _, kind := range site.ChangeKinds() {
				known = known || kind == k.Value
			}
			if !known {
				t.Errorf("%s is for %s, which is no kind of change", r.ID.Value, k.Value)
			}
		}
	}
}
