package charts

import (
	"math"
	"strings"
	"testing"
)

func TestRefused(t *testing.T) {
	nan := math.NaN()
	text := Text{Title: "t"}
	ok := []string{"a", "b"}
	two := []float64{1, 2}
	steps := []float64{1, 2, 3, 4, 5, 6}
	cases := []struct {
		name  string
		chart Chart
		want  string
	}{
		{"no title", Bars{Categories: ok, Values: two}, "text.title is empty"},
		{"no categories", Bars{Text: text}, "categories is empty"},
		{"short values", Bars{Text: text, Categories: ok, Values: []float64{1}}, "values has 1 entries but categories has 2"},
		{"NaN", Bars{Text: text, Categories: ok, Values: []float64{1, nan}}, "values[1] is not a finite number"},
		{"infinite", Bars{Text: text, Categories: ok, Values: []float64{math.Inf(1), 1}}, "values[0] is not a finite number"},
		{"one end", Bars{Text: text, Categories: ok, Values: two, Low: two}, "low and high are given together"},
		{"crossed", Bars{Text: text, Categories: ok, Values: two, Low: []float64{2, 1}, High: []float64{3, 3}}, "low[0], values[0] and high[0] are not in order"},
		{"labels", Bars{Text: text, Categories: ok, Values: two, Labels: []string{"1"}}, "labels has 1 entries"},
		{"limit", Bars{Text: text, Categories: ok, Values: two, Limits: []Limit{{Value: nan, Label: "x"}}}, "limits[0].value is not a finite number"},
		{"limit unnamed", Bars{Text: text, Categories: ok, Values: two, Limits: []Limit{{Value: 1}}}, "limits[0].label is empty"},
		{"heat empty", HeatMap{Text: text}, "xlabels or ylabels is empty"},
		{"heat rows", HeatMap{Text: text, XLabels: ok, YLabels: ok, Values: [][]float64{two}}, "values has 1 entries but ylabels has 2"},
		{"heat columns", HeatMap{Text: text, XLabels: ok, YLabels: ok, Values: [][]float64{two, {1}}}, "values[1] has 1 entries but xlabels has 2"},
		{"heat NaN", HeatMap{Text: text, XLabels: ok, YLabels: ok[:1], Values: [][]float64{{1, nan}}, Steps: steps}, "values[0][1] is not a finite number"},
		{"heat steps", HeatMap{Text: text, XLabels: ok, YLabels: ok[:1], Values: [][]float64{two}, Steps: two}, "7 classes need 6"},
		{"heat order", HeatMap{Text: text, XLabels: ok, YLabels: ok[:1], Values: [][]float64{two}, Steps: []float64{1, 2, 2, 4, 5, 6}}, "steps[2] does not rise"},
		{"heat mark", HeatMap{Text: text, XLabels: ok, YLabels: ok[:1], Values: [][]float64{two}, Steps: steps, Marks: []Region{{0, 2, 0, 0, "x"}}}, "marks[0] is not a block"},
		{"stack empty", StackedBars{Text: text, Categories: ok}, "series is empty"},
		{"stack negative", StackedBars{Text: text, Categories: ok, Series: []Series{{Name: "a", Values: []float64{1, -1}}}}, "series[0].values[1] is negative"},
		{"stack many", StackedBars{Text: text, Categories: ok, Series: make([]Series, 9)}, "more than 8 cannot be told apart"},
		{"stack unnamed", StackedBars{Text: text, Categories: ok, Series: []Series{{Values: two}}}, "series[0].name is empty"},
		{"stack same names", StackedBars{Text: text, Categories: ok, Series: []Series{{Name: "a", Values: two}, {Name: "a", Values: two}}}, "series[1].name"},
		{"overlay", StackedBars{Text: text, Categories: ok, Series: []Series{{Name: "a", Values: two}}, Line: &LineOverlay{Name: "l", Values: []float64{1}}}, "line: "},
		{"absent", Lines{Text: text, X: ok, Series: []Series{{Name: "a", Values: two, Absent: []bool{true}}}}, "2 values but 1 marks of absence"},
		{"all absent", Lines{Text: text, X: ok, Series: []Series{{Name: "a", Values: two, Absent: []bool{true, true}}}}, "series[0] has no value"},
		{"edges", Lines{Text: text, X: []string{"a", "b", "c"}, Steps: true, Series: []Series{{Name: "a", Values: []float64{1, 2, 3}}}}, "series[0].values has 3 entries"},
		{"event elsewhere", Lines{Text: text, X: ok, Events: []Event{{2, "x"}}, Series: []Series{{Name: "a", Values: two}}}, "events[0] is at 2 of 2 places"},
		{"event unnamed", Lines{Text: text, X: ok, Events: []Event{{At: 1}}, Series: []Series{{Name: "a", Values: two}}}, "events[0].label is empty"},
		{"limits without names", Lines{Text: text, X: ok, Unnamed: true, Limits: []Limit{{1, "x", false}}, Series: []Series{{Name: "a", Values: two}}}, "limits need names"},
		{"reach", Lines{Text: text, X: ok, Reach: nan, Series: []Series{{Name: "a", Values: two}}}, "reach is not a finite number"},
		{"orders", Spectrum{Text: text, Orders: []int{5, 3}, Percent: two}, "orders[1] does not rise"},
		{"fundamental", Spectrum{Text: text, Orders: []int{1, 3}, Percent: two}, "harmonics begin at order 2"},
		{"limit name", Spectrum{Text: text, Orders: []int{3, 5}, Percent: two, LimitPercent: []*float64{&two[0], nil}}, "limitlabel is empty"},
		{"band", Range{Text: text, Categories: ok, Values: two, Band: &Band{Low: 2, High: 1, Label: "x"}}, "band.low is not below"},
	}
	r := NewRenderer()
	for _, c := range cases {
		svg, err := r.Draw(c.chart, "x", Size{Width: 360})
		if err == nil || !strings.Contains(err.Error(), c.want) || svg != "" {
			t.Errorf("%s: %v, not %q", c.name, err, c.want)
		}
	}
	if r.idle != nil {
		t.Error("the library was loaded for charts that are not drawn")
	}
}

func TestRefusedPlaces(t *testing.T) {
	r := NewRenderer()
	b := golden()["bars"]
	for _, id := range []string{"", "1a", "a b", `a"b`, "a<b", "é"} {
		if _, err := r.Draw(b, id, Size{Width: 360}); err == nil {
			t.Errorf("id %q was taken", id)
		}
	}
	for _, size := range []Size{{}, {Width: -1}, {Width: 100}, {Width: 9000}, {360, 10}, {360, 90000}} {
		if _, err := r.Draw(b, "x", size); err == nil {
			t.Errorf("size %v was taken", size)
		}
	}
	if _, err := r.Draw(nil, "x", Size{Width: 360}); err == nil {
		t.Error("no chart was drawn")
	}
}

// TestEdges draws what is legal and odd.
func TestEdges(t *testing.T) {
	text := Text{Title: "t"}
	charts := map[string]Chart{
		"zero":      Bars{Text: text, Categories: []string{"a"}, Values: []float64{0}},
		"negative":  Bars{Text: text, Categories: []string{"a", "b"}, Values: []float64{-5, 3}, Labels: []string{"\u22125", "3"}},
		"lying-neg": Bars{Text: text, Categories: []string{"a name that is far too long for a bar that stands, and goes on", "b"}, Values: []float64{-5, 3}},
		"huge":      Bars{Text: text, Categories: []string{"a", "b"}, Values: []float64{1e12, 2e12}, Sequence: true},
		"tiny":      Bars{Text: text, Categories: []string{"a", "b"}, Values: []float64{1e-9, 2e-9}, Sequence: true},
		"one-line":  Lines{Text: text, X: []string{"a", "b"}, Series: []Series{{Name: "s", Values: []float64{3, 3}}}, Floating: true},
		"gap-step":  Lines{Text: text, X: []string{"a", "b", "c"}, Steps: true, Series: []Series{{Name: "s", Values: []float64{3, 3}, Absent: []bool{true, false}}}},
		"one-cell":  HeatMap{Text: text, XLabels: []string{"a"}, YLabels: []string{"b"}, Values: [][]float64{{1}}, Steps: []float64{1, 2, 3, 4, 5, 6}},
		"no-gap":    HeatMap{Text: text, XLabels: []string{"a"}, YLabels: []string{"b", "c"}, Values: [][]float64{{1}, {2}}, Absent: [][]bool{nil, {true}}, Steps: []float64{1, 2, 3, 4, 5, 6}},
		"no-limits": Spectrum{Text: text, Orders: []int{2}, Percent: []float64{0}},
		"dots":      Range{Text: text, Categories: []string{"a"}, Values: []float64{5}},
		"gaps":      StackedBars{Text: text, Categories: []string{"a", "b"}, Series: []Series{{Name: "s", Values: []float64{0, 2}, Absent: []bool{true, false}}}},
		"year":      Lines{Text: text, X: strings.Split(strings.Repeat("d,", 364)+"d", ","), Series: []Series{{Name: "s", Values: make([]float64, 365)}}},
	}
	for _, width := range []int{320, 900} {
		drawAll(t, NewRenderer(), charts, width)
	}
}
