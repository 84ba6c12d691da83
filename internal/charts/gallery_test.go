package charts

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
)

var hours = func() (h []string) {
	for i := range 24 {
		h = append(h, fmt.Sprintf("%02d", i))
	}
	return h
}()

var months = strings.Fields("Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec")

// samples are charts with invented data, one or more of each type.
func samples() map[string]Chart {
	m := map[string]Chart{}
	var values [][]float64
	for y := range 12 {
		var row []float64
		for x := range 24 {
			v := 14 + 4*math.Cos(float64(y)/6*math.Pi)
			if x >= 6 && x < 19 {
				v += 22 + 4*math.Sin(float64(x-6)/4)
			}
			if x >= 3 && x < 6 {
				v += 48
			}
			row = append(row, math.Round(v*10)/10)
		}
		values = append(values, row)
	}
	absent := make([][]bool, 12)
	for i := range absent {
		absent[i] = make([]bool, 24)
	}
	for x := range 24 {
		absent[7][x] = x > 14 && x < 20
	}
	m["heat"] = HeatMap{Text: Text{"Peak at 03:00", "Mean power by hour and month, kW."}, XLabels: hours, YLabels: months, Values: values,
		Absent: absent, Steps: []float64{10, 20, 30, 40, 50, 60}, Unit: "kW",
		Marks: []Region{{3, 5, 0, 11, "both ovens heat: the demand peak"}, {19, 23, 5, 8, "fan only, extracting nothing"}}}
	m["phasors"] = golden()["phasors"]
	m["bars-use"] = Bars{Text: Text{"Ovens and refrigeration take more than half", "Energy by use."},
		Categories: []string{"Ovens", "Refrigeration, cold rooms and display", "Ventilation", "Dough: mixing and proving", "Lighting", "Hot water", "Washing"},
		Values:     []float64{76000, 55000, 31000, 26000, 22000, 14000, 9000},
		Low:        []float64{66000, 44000, 27000, 20000, 20000, 9000, 7000},
		High:       []float64{86000, 66000, 35000, 32000, 24000, 19000, 11000},
		Labels:     []string{"76,000", "55,000", "31,000", "26,000", "22,000", "14,000", "9,000"}, Unit: "kWh a year"}
	m["bars-demand"] = Bars{Text: Text{"Demand passes the agreed 80 kW in five months", "Highest half hour by month."},
		Categories: months, Values: []float64{88, 86, 84, 76, 70, 66, 62, 64, 72, 79, 83, 89}, Unit: "kW", Sequence: true,
		Limits: []Limit{{Value: 80, Label: "agreed 80 kW"}}}
	m["bars-day"] = Bars{Text: Text{"Day", "x"}, Categories: hours, Values: values[0], Unit: "kW", Sequence: true,
		Limits: []Limit{{Value: 60, Label: "transformer at 60 % of its rating"}}}
	m["bars-pf"] = Bars{Text: Text{"Power factor", "x"}, Categories: []string{"Incomer", "Board 1", "Board 2"}, Values: []float64{0.84, 0.97, 0.9}, Labels: []string{"0.84", "0.97", "0.90"},
		Low: []float64{0.82, 0.95, 0.88}, High: []float64{0.86, 0.99, 0.92},
		Limits: []Limit{{Value: 0.95, Label: "0.95 needed", Lower: true}}}
	use := func(n int) (out []Series) {
		for i := range n {
			s := Series{Name: []string{"Ovens", "Refrigeration", "Ventilation", "Dough: mixing and proving", "Lighting", "Hot water", "Washing", "Everything else"}[i]}
			for m := range 12 {
				s.Values = append(s.Values, math.Round((7600-800*float64(i))*(1+0.2*math.Cos(float64(m-i)/6*math.Pi))))
			}
			out = append(out, s)
		}
		return out
	}
	m["stack-2"] = StackedBars{Text: Text{"Night rate", "x"}, Categories: months, Series: []Series{{Name: "Day rate", Values: use(2)[0].Values}, {Name: "Night rate", Values: use(2)[1].Values}},
		Unit: "kWh", Line: &LineOverlay{Name: "billed", Values: []float64{16000, 15500, 14800, 13000, 12200, 11000, 10800, 11100, 12000, 13600, 15200, 16100}}}
	totals := make([]string, 12)
	for i := range totals {
		totals[i] = fmt.Sprintf("%d", 9+i%3)
	}
	m["stack-limit"] = StackedBars{Text: Text{"Limit", "x"}, Categories: months, Series: use(1), Labels: totals, Unit: "kWh", Limits: []Limit{{Value: 8000, Label: "needed 8 MWh", Lower: true}}}
	m["stack-8"] = StackedBars{Text: Text{"By use", "x"}, Categories: months, Series: use(8), Unit: "kWh"}
	limit := func(v float64) *float64 { return &v }
	var orders []int
	var percent []float64
	var limits []*float64
	var labels []string
	for n := 2; n <= 50; n++ {
		p := 0.3 / float64(n)
		if n == 14 {
			p = 1.3
		}
		if n%2 == 1 {
			p = 40 / math.Pow(float64(n), 1.1) * map[bool]float64{true: 0.3, false: 1}[n%3 == 0]
		}
		l := limit(0.6)
		if n%2 == 1 {
			l = limit(map[bool]float64{true: 7, false: 3.5}[n < 11])
		}
		orders, percent, limits = append(orders, n), append(percent, p), append(limits, l)
		labels = append(labels, fmt.Sprintf("%.1f", p))
	}
	m["spectrum-50"] = Spectrum{Text: Text{"5th over", "x"}, Orders: orders, Percent: percent, LimitPercent: limits, Labels: labels, LimitLabel: "limit", Unit: "% of the demand current, by harmonic order"}
	m["spectrum-8"] = Spectrum{Text: Text{"5th over", "x"}, Orders: []int{3, 5, 7, 9, 11, 13, 15, 17}, Percent: []float64{4.1, 9, 6.2, 1, 3.4, 2.2, 0.4, 1.1},
		LimitPercent: []*float64{limit(7), limit(7), limit(7), limit(7), limit(3.5), limit(3.5), nil, limit(2.5)}, Labels: []string{"4.1", "9.0", "6.2", "1.0", "3.4", "2.2", "0.4", "1.1"}, LimitLabel: "limit", Unit: "% of the demand current"}
	edges := append(append([]string{}, hours...), "24")
	sunday := make([]float64, 24)
	for i := range sunday {
		sunday[i] = 11 + 3*math.Sin(float64(i)/3)
	}
	m["lines-day"] = Lines{Text: Text{"Day", "x"}, X: edges, Steps: true, Unit: "kW", Limits: []Limit{{Value: 60, Label: "agreed 60 kW"}},
		Series: []Series{{Name: "working day", Values: values[0]}, {Name: "Sunday", Values: sunday}}}
	m["lines-stack"] = Lines{Text: Text{"Day", "x"}, X: edges, Steps: true, Stacked: true, Unit: "kW",
		Series: []Series{{Name: "Refrigeration", Values: sunday}, {Name: "Lighting", Values: values[3]}, {Name: "Ovens", Values: values[0]}, {Name: "Hot water", Values: sunday}}}
	m["lines-beside"] = Lines{Text: Text{"Day", "x"}, X: edges, Steps: true, Stacked: true, Unit: "kW", Reach: 90, Unnamed: true,
		Series: []Series{{Name: "Refrigeration", Values: sunday}, {Name: "Lighting", Values: values[3]}}}
	gaps := make([]bool, 12)
	gaps[4] = true
	m["lines-month"] = Lines{Text: Text{"Demand", "x"}, X: months, Unit: "kW", Limits: []Limit{{Value: 80, Label: "agreed 80 kW"}},
		Series: []Series{{Name: "measured", Values: []float64{88, 86, 84, 76, 70, 66, 62, 64, 72, 79, 83, 89}}, {Name: "billed", Values: []float64{90, 86, 85, 80, 80, 80, 80, 80, 80, 80, 83, 89}, Absent: gaps}}}
	m["range-v"] = Range{Text: Text{"Voltage", "x"}, Categories: []string{"L1 to N", "L2 to N", "L3 to N"}, Values: []float64{231.2, 230.4, 204.8}, Low: []float64{226, 224, 199}, High: []float64{236, 238, 212},
		Labels: []string{"231.2", "230.4", "204.8"}, Unit: "V", Band: &Band{Low: 207, High: 253, LowLabel: "207", HighLabel: "253", Label: "supply band, 230 V \u00b1 10 %"}}
	return m
}

const lightTokens = `--paper:#fcfbf8;--ink:#1b1e21;--ink2:#565a5d;--rule:#d8d4ca;--rule2:#7f7b72;--bar:#2f5f8c;--over:#b23a06;--accent:#0d5b66;
--q0:#eef1f4;--q1:#d3dde7;--q2:#b0c4d7;--q3:#86a6c3;--q4:#5a84ab;--q5:#33608d;--q6:#123a63;
--c1:#2f5f8c;--c2:#c08a2d;--c3:#5f8f7b;--c4:#8c4a6b;--c5:#7f9fc4;--c6:#9a6a4a;--c7:#4c6b3c;--c8:#8d8a83`
const darkTokens = `--paper:#16181b;--ink:#e9e6df;--ink2:#b3afa6;--rule:#3a3e43;--rule2:#8d8a83;--bar:#7fb0de;--over:#ff9a63;--accent:#79c3cd;
--q0:#22282f;--q1:#2b3a49;--q2:#365069;--q3:#46698c;--q4:#5f8ab4;--q5:#8bb3da;--q6:#cfe3f7;
--c1:#7fb0de;--c2:#e3b653;--c3:#8cc4ac;--c4:#d493b4;--c5:#4f77a8;--c6:#c9977a;--c7:#a3c48c;--c8:#8d8a83`

// TestGallery writes every sample at both widths and in both schemes to the
// page that CHARTS_GALLERY names, for people to look at.
func TestGallery(t *testing.T) {
	path := os.Getenv("CHARTS_GALLERY")
	r := NewRenderer()
	var b strings.Builder
	font := os.Getenv("CHARTS_FONT")
	if font == "" {
		font = `"Noto Sans"`
	}
	fmt.Fprintf(&b, `<!doctype html><meta charset=utf-8><style>body{margin:0;font-family:%s,sans-serif}
.s{padding:20px;background:var(--paper);color:var(--ink)}.l{%s}.d{%s}.g{filter:grayscale(1)}svg{display:block;margin:0 0 28px;outline:1px dotted #f0f}.row{display:flex;gap:30px;align-items:start}</style>`, font, lightTokens, darkTokens)
	for _, class := range []string{"l", "d", "l g"} {
		fmt.Fprintf(&b, `<div class="s %s">`, class)
		for _, name := range sortedKeysOf(samples()) {
			if only := os.Getenv("CHARTS_ONLY"); only != "" && !strings.HasPrefix(name, only) {
				continue
			}
			b.WriteString(`<div class=row>`)
			for _, w := range []int{900, 360} {
				svg, err := r.Draw(samples()[name], fmt.Sprintf("%s-%d", name, w), Size{Width: w})
				if err != nil {
					t.Errorf("%s at %d: %v", name, w, err)
				}
				b.WriteString(string(svg))
				if class == "l" {
					t.Logf("%s %d: %d bytes", name, w, len(svg))
				}
			}
			b.WriteString("</div>")
		}
		b.WriteString("</div>")
	}
	if path != "" {
		if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func sortedKeysOf(m map[string]Chart) []string {
	any := map[string]any{}
	for k := range m {
		any[k] = nil
	}
	return sortedKeys(any)
}
