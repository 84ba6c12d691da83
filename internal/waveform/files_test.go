package waveform

import (
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"auditgen/internal/diag"
)

const waveforms = "../../testdata/waveforms"

// filed says how each file of testdata/waveforms is to be read; what is not here
// reads by its header.
var filed = map[string]Columns{
	"probes.csv": {Channels: []Column{
		{Column: "Channel A", Is: Name{Kind: PhaseVoltage}, Worth: Factor{Value: 200}},
		{Column: "Channel B", Is: Name{Kind: Current}, Worth: Factor{Value: 100, Of: "A", Per: "V"}},
	}},
	"three-wire.csv": {Rate: 12000},
}

// Each figure that numpy found in another way (testdata/waveforms/analyse.py) is
// found here too: within 2e-4 of a whole, of the fundamental for an order, or 0.2
// degrees. The files' figures are rounded, and most of them cut through a cycle.
func TestFilesAsNumpySeesThem(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(waveforms, "analysed.json"))
	if err != nil {
		t.Fatal(err)
	}
	var all map[string]map[string]float64
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	files, _ := filepath.Glob(filepath.Join(waveforms, "*.csv"))
	if len(files) != len(all) || len(files) < 6 {
		t.Errorf("%d files, %d analysed", len(files), len(all))
	}
	compared := 0
	for _, file := range files {
		name := filepath.Base(file)
		a := analyseFile(t, file)
		if a == nil {
			continue
		}
		got := figures(a)
		for _, what := range slices.Sorted(maps.Keys(all[name])) {
			want := all[name][what]
			x, ok := got[what]
			compared++
			switch {
			case !ok:
				t.Errorf("%s: %s was not found", name, what)
			case strings.HasSuffix(what, ".angle"):
				if apart(x, want) > 0.2 {
					t.Errorf("%s: %s %.4f degrees, numpy %.4f", name, what, x, want)
				}
			case !near(x, want, 2e-4, 2e-4*max(whole(got, what), 1e-6)):
				t.Errorf("%s: %s %.7g, numpy %.7g", name, what, x, want)
			}
		}
	}
	t.Logf("%d figures of %d files", compared, len(files))
}

func analyseFile(t *testing.T, file string) *Analysis {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var faults diag.List
	name := filepath.Base(file)
	r := Read(name, text, filed[name], &faults)
	if r == nil {
		t.Errorf("%v", faults.Sorted())
		return nil
	}
	a, err := Analyse(r)
	if err != nil {
		t.Errorf("%s: %v", name, err)
		return nil
	}
	return a
}

// whole is what a figure is a part of: an order or a group of its fundamental, a
// ratio of one, a power of the apparent power.
func whole(got map[string]float64, what string) float64 {
	channel, part, _ := strings.Cut(what, ".")
	if strings.HasPrefix(part, "h") || strings.HasPrefix(part, "g") || strings.HasPrefix(part, "sg") {
		return got[channel+".h1"]
	}
	if what == "reactive" || what == "active" {
		return got["apparent"]
	}
	if part == "reactive" || part == "active" {
		return got[channel+".apparent"]
	}
	return 1
}

// figures names all that an analysis shows as analyse.py does.
func figures(a *Analysis) map[string]float64 {
	out := map[string]float64{"frequency": float64(a.Window.Frequency)}
	for _, p := range a.Phases {
		tail, head := "", ""
		if p.Name != "" {
			tail, head = "_"+strings.ToLower(p.Name), strings.ToLower(p.Name)+"."
		}
		if p.Voltage != nil {
			waveFigures(out, "u"+tail, *p.Voltage)
		}
		if p.Current != nil {
			waveFigures(out, "i"+tail, *p.Current)
		}
		if w := p.Power; w != nil {
			out[head+"active"], out[head+"apparent"], out[head+"reactive"] = float64(w.Active), float64(w.Apparent), float64(w.Reactive)
			out[head+"pf"], out[head+"dpf"] = float64(w.PowerFactor), float64(w.Displacement)
		}
	}
	for _, l := range a.Lines {
		waveFigures(out, "u_"+strings.ToLower(l.Name), l.Voltage)
	}
	if a.Neutral != nil {
		waveFigures(out, "neutral", *a.Neutral)
	} else {
		out["neutral.rms"], out["neutral.h3"] = 0, 0
	}
	if s := a.Total; s != nil {
		for name, v := range map[string]float64{
			"effective": float64(s.Effective.Apparent), "effective1": float64(s.Effective.Fundamental), "active": float64(s.Active),
			"negative": float64(s.Negative), "zero": float64(s.Zero), "negative-current": float64(s.NegativeCurrent),
			"zero-current": float64(s.ZeroCurrent), "positive-active": float64(s.Effective.PositiveActive),
		} {
			out["total."+name] = v
		}
	}
	return out
}

func waveFigures[Q ~float64](out map[string]float64, name string, v Wave[Q]) {
	out[name+".rms"], out[name+".thd"], out[name+".f_hl"] = float64(v.RMS), float64(v.THD), float64(v.LossFactor)
	for k, c := range v.Orders {
		h := strconv.Itoa(c.Order)
		out[name+".h"+h], out[name+".h"+h+".angle"] = float64(c.Size), float64(c.Angle)
		if v.Groups != nil {
			out[name+".g"+h], out[name+".sg"+h] = float64(v.Groups[k]), float64(v.Subgroups[k])
		}
	}
}
