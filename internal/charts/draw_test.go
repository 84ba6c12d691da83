package charts

import (
	"crypto/sha256"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/beevik/etree"
)

var update = flag.Bool("update", false, "write the golden drawings anew")

// golden are small charts, one of each type.
func golden() map[string]Chart {
	limit := 7.0
	text := Text{"A title with <angles> & \"quotes\"", "What is plotted."}
	return map[string]Chart{
		"heatmap": HeatMap{Text: text, XLabels: []string{"00", "06", "12", "18"}, YLabels: []string{"Mon", "Sun"},
			Values: [][]float64{{5, 15, 15, 70}, {5, 0, 35, 5}}, Absent: [][]bool{{false, false, false, false}, {false, true, false, false}},
			Steps: []float64{10, 20, 30, 40, 50, 60}, Unit: "kW", Marks: []Region{{3, 3, 0, 0, "peak"}}},
		"stackedbars": StackedBars{Text: text, Categories: []string{"Jan", "Feb"}, Unit: "kWh",
			Series: []Series{{Name: "Day", Values: []float64{20, 30}}, {Name: "Night", Values: []float64{10, 0}}},
			Line:   &LineOverlay{Name: "billed", Values: []float64{28, 31}}},
		"bars": Bars{Text: text, Categories: []string{"Öfen", "Licht"}, Values: []float64{9, 5}, Low: []float64{8, 4}, High: []float64{11, 7},
			Unit: "kW", Limits: []Limit{{Value: 8, Label: "limit 8 kW"}}},
		"spectrum": Spectrum{Text: text, Orders: []int{3, 5, 7}, Percent: []float64{2, 9, 1}, LimitPercent: []*float64{&limit, &limit, nil},
			Labels: []string{"2.0", "9.0", "1.0"}, LimitLabel: "limit", Unit: "%"},
		"phasors": Phasors{Text: text, VoltageKey: "voltage, circle 233 V", CurrentKey: "current, circle 53 A",
			Voltages: []Vector{{"A", 233, 0}, {"B", 231, -120.2}, {"C", 232, 119.9}}, Currents: []Vector{{"A", 53, -22}, {"B", 48, -143}, {"C", 40, 89}}},
		"lines": Lines{Text: text, X: []string{"0", "8", "16", "24"}, Steps: true, Series: []Series{{Name: "weekday", Values: []float64{4, 12, 6}}}, Unit: "kW"},
		"range": Range{Text: text, Categories: []string{"L1", "L2"}, Values: []float64{231, 205}, Low: []float64{228, 200}, High: []float64{234, 209},
			Unit: "V", Band: &Band{Low: 207, High: 253, LowLabel: "207", HighLabel: "253", Label: "supply band"}},
	}
}

func drawAll(t testing.TB, r *Renderer, charts map[string]Chart, width int) map[string]SVG {
	t.Helper()
	out := map[string]SVG{}
	for _, name := range sortedKeysOf(charts) {
		svg, err := r.Draw(charts[name], name, Size{Width: width})
		if err != nil {
			t.Fatalf("%s at %d px: %v", name, width, err)
		}
		out[name] = svg
	}
	return out
}

func TestGolden(t *testing.T) {
	for name, svg := range drawAll(t, NewRenderer(), golden(), 360) {
		path := filepath.Join("testdata", name+".svg")
		if *update {
			if err := os.WriteFile(path, []byte(svg), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if string(svg) != string(want) {
			t.Errorf("%s differs from %s; look at both, then run with -update", name, path)
		}
	}
}

// TestSameBytes draws with one machine in two orders, so that what the
// library keeps from chart to chart would show, and in another process.
func TestSameBytes(t *testing.T) {
	if os.Getenv("CHARTS_CHILD") != "" {
		fmt.Printf("sum %x\n", sumOf(drawAll(t, NewRenderer(), samples(), 900)))
		return
	}
	first := drawAll(t, NewRenderer(), samples(), 900)
	r := NewRenderer()
	names := sortedKeysOf(samples())
	for i := len(names) - 1; i >= 0; i-- {
		svg, err := r.Draw(samples()[names[i]], names[i], Size{Width: 900})
		if err != nil {
			t.Fatal(err)
		}
		if svg != first[names[i]] {
			t.Errorf("%s depends on what was drawn before it", names[i])
		}
	}
	child := exec.Command(os.Args[0], "-test.run=^TestSameBytes$", "-test.v")
	child.Env = append(os.Environ(), "CHARTS_CHILD=1", "TZ=Asia/Kolkata")
	out, err := child.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if want := fmt.Sprintf("sum %x\n", sumOf(first)); !strings.Contains(string(out), want) {
		t.Errorf("another process draws other bytes")
	}
}

func sumOf(drawn map[string]SVG) []byte {
	sum := sha256.New()
	for _, name := range sortedKeys(toAny(drawn)) {
		fmt.Fprintln(sum, name, drawn[name])
	}
	return sum.Sum(nil)
}

func toAny(m map[string]SVG) map[string]any {
	out := map[string]any{}
	for k, v := range m {
		out[k] = v
	}
	return out
}

func parse(t testing.TB, svg SVG) *etree.Element {
	t.Helper()
	doc := etree.NewDocument()
	doc.ReadSettings.ValidateInput = true
	if err := doc.ReadFromString(string(svg)); err != nil {
		t.Fatalf("not well-formed: %v", err)
	}
	return doc.Root()
}

var (
	colour   = regexp.MustCompile(`^(none|var\(--(paper|ink|ink2|rule|rule2|bar|over|accent|q[0-6]|c[1-8])\)|url\(#[A-Za-z0-9_.-]+\))$`)
	allowed  = map[string]string{"svg": "width height xmlns viewBox role id font-size aria-labelledby", "title": "id", "desc": "id", "g": "", "defs": "", "pattern": "width height patternUnits patternTransform id", "path": "d", "circle": "cx cy r", "rect": "x y width height", "text": "x y", "polyline": "points", "polygon": "points"}
	painting = "fill stroke stroke-width stroke-dasharray stroke-linecap stroke-linejoin fill-opacity stroke-opacity paint-order text-anchor transform"
)

// TestStrictPage walks each drawing: only known elements and attributes, only
// the theme's colours, references that resolve, ids that are the chart's own.
func TestStrictPage(t *testing.T) {
	r := NewRenderer()
	for _, width := range []int{360, 900} {
		ids := map[string]bool{}
		for name, svg := range drawAll(t, r, samples(), width) {
			root := parse(t, svg)
			own := map[string]bool{}
			for _, e := range append(root.FindElements(".//*"), root) {
				names, ok := allowed[e.Tag]
				if !ok || e.Space != "" {
					t.Errorf("%s: element %s", name, e.FullTag())
				}
				for _, a := range e.Attr {
					if !hasWord(names, a.Key) && !hasWord(painting, a.Key) || a.Space != "" {
						t.Errorf("%s: attribute %s of %s", name, a.FullKey(), e.Tag)
					}
					if (a.Key == "fill" || a.Key == "stroke") && !colour.MatchString(a.Value) {
						t.Errorf("%s: %s=%q is no colour of the theme", name, a.Key, a.Value)
					}
				}
				if id := e.SelectAttrValue("id", ""); id != "" {
					if id != name && !strings.HasPrefix(id, name+"-") || ids[id] {
						t.Errorf("%s: id %q is foreign or taken", name, id)
					}
					ids[id], own[id] = true, true
				}
			}
			for _, m := range regexp.MustCompile(`url\(#([^)]*)\)`).FindAllStringSubmatch(string(svg), -1) {
				if !own[m[1]] {
					t.Errorf("%s: reference to %q", name, m[1])
				}
			}
			for _, word := range []string{"style", "<script", "ecmeta", "class=", "NaN", "undefined", "href", "on="} {
				if strings.Contains(string(svg), word) {
					t.Errorf("%s holds %q", name, word)
				}
			}
			checkName(t, name, root)
			most := 15_000
			if _, heat := samples()[name].(HeatMap); heat {
				most = 30_000
			}
			if len(svg) > most {
				t.Errorf("%s at %d px has %d bytes", name, width, len(svg))
			}
		}
	}
}

func checkName(t *testing.T, name string, root *etree.Element) {
	t.Helper()
	if root.SelectAttrValue("role", "") != "img" {
		t.Errorf("%s: no role", name)
	}
	for _, id := range strings.Fields(root.SelectAttrValue("aria-labelledby", "")) {
		if root.FindElement("./[@id='"+id+"']") == nil && root.FindElement("./*[@id='"+id+"']") == nil {
			t.Errorf("%s: no element %q for its name", name, id)
		}
	}
	if root.SelectElement("title").Text() != samples()[name].text().Title {
		t.Errorf("%s: title %q", name, root.SelectElement("title").Text())
	}
}

func hasWord(list, word string) bool {
	for _, w := range strings.Fields(list) {
		if w == word {
			return true
		}
	}
	return false
}

func TestConcurrent(t *testing.T) {
	r := NewRenderer()
	want := drawAll(t, NewRenderer(), golden(), 400)
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			for name, c := range golden() {
				if svg, err := r.Draw(c, name, Size{Width: 400}); err != nil || svg != want[name] {
					t.Errorf("%s: %v", name, err)
				}
			}
		})
	}
	wg.Wait()
}

func TestInterrupt(t *testing.T) {
	e, err := newEngine()
	if err != nil {
		t.Fatal(err)
	}
	d := golden()["bars"].layOut(Size{360, 240})
	option, err := d.option()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.draw(option, Size{360, 240}, "x", 1); err == nil || !strings.Contains(err.Error(), "took longer") {
		t.Errorf("a drawing out of time ended with %v", err)
	}
	if !e.spent {
		t.Error("an interrupted machine may draw again")
	}
}

func TestEngineReportsBadOption(t *testing.T) {
	e, err := newEngine()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.draw([]byte("{"), Size{360, 240}, "x", drawingTime); err == nil {
		t.Error("bad JSON was drawn")
	}
}

func BenchmarkDraw(b *testing.B) {
	for _, name := range sortedKeysOf(samples()) {
		b.Run(name, func(b *testing.B) {
			c := samples()[name]
			r := NewRenderer()
			i := 0
			for b.Loop() {
				i++ // another id each time: the renderer keeps what it has drawn
				if _, err := r.Draw(c, fmt.Sprintf("b%d", i), Size{Width: 900}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
