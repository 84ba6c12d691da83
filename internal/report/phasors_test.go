package report

import (
	"math"
	"strings"
	"testing"

	"auditgen/internal/audit"
	"auditgen/internal/working"
)

// The example's incomer shows the angles of its voltages: the page draws them at
// both widths, with a name for those who do not see it, and gives the numbers.
func TestPhasorsOnThePage(t *testing.T) {
	doc := parse(t, buildWhole(t, example(t)))
	for _, width := range []string{"w", "n"} {
		svg := doc.Find("svg#chart-phasors-R1-" + width)
		if svg.Length() != 1 || svg.AttrOr("role", "") != "img" || svg.Find("title").Text() != "Every current lags its voltage" {
			t.Errorf("diagram %s: %d, titled %q", width, svg.Length(), svg.Find("title").Text())
		}
	}
	text := doc.Find("#readings").Text()
	for _, part := range []string{"−120.3", "Symmetrical components of the voltages: positive sequence 232.5", "A solid bar is what was measured"} {
		if !strings.Contains(text, part) {
			t.Errorf("the readings do not say %q", part)
		}
	}
	if n := doc.Find("#readings .tree .bar").Length(); n != 5 {
		t.Errorf("%d bars in the tree of boards, not 5", n)
	}
	if n := doc.Find("#limits td:contains('one reading neither breaks nor meets it')").Length(); n != 3 {
		t.Errorf("%d limits say what one reading cannot tell, not 3", n)
	}
}

func measured(v float64) audit.Value {
	return audit.Value{V: v, Step: "x", Kind: working.Measured}
}

// A diagram is drawn only where every voltage has its angle; a current whose lag
// was assumed is left out.
func TestPhasorsNeedTheirAngles(t *testing.T) {
	v := newVisit(missing(), renderer)
	phase := func(name string, angle float64) audit.Phase {
		return audit.Phase{Name: name, Voltage: measured(230), VoltageAngle: measured(angle), Current: measured(10), Power: measured(1840), Reactive: measured(1380)}
	}
	r := audit.Reading{ID: "R1", PointName: "Board", Phases: []audit.Phase{phase("A", 0), phase("B", -120), phase("C", 120)}}
	f := v.phasors(r)
	if f == nil || len(f.Rows) != 3 || f.Rows[1].CurrentAngle != "−156.9" || f.Rows[0].Lag != "36.9" {
		t.Fatalf("diagram %+v", f)
	}
	r.Phases[1].Reactive.Kind = working.Derived
	if f := v.phasors(r); f == nil || f.Rows[1].Amperes != "" {
		t.Errorf("a lag that was not measured is drawn: %+v", f)
	}
	r.Phases[2].VoltageAngle = audit.Value{}
	if v.phasors(r) != nil {
		t.Error("a voltage without its angle is drawn")
	}
}

func TestPhasorHeadings(t *testing.T) {
	for _, c := range []struct {
		currents, lagging int
		want              string
	}{
		{0, 0, "The voltages with their angles"}, {1, 1, "The current lags its voltage"}, {3, 3, "Every current lags its voltage"},
		{1, 0, "The current does not lag its voltage"}, {3, 0, "No current lags its voltage"}, {3, 1, "One of three currents lags its voltage"}, {3, 2, "Two of three currents lag their voltages"},
	} {
		if got := euro.phasorHeading(c.currents, c.lagging); got != c.want {
			t.Errorf("%d of %d: %q, want %q", c.lagging, c.currents, got, c.want)
		}
	}
}

// The bars of the tree share one scale.
func TestTreeBars(t *testing.T) {
	for _, c := range []struct {
		node audit.Node
		want *TreeBar
	}{
		{audit.Node{Measured: measured(80), Children: measured(60), Unexplained: measured(20)}, &TreeBar{Solid: "60%", From: "60%", Unexplained: "20%"}},
		{audit.Node{Measured: measured(60), Children: measured(80), Unexplained: measured(-20)}, &TreeBar{Solid: "60%", From: "60%", Unexplained: "20%"}},
		{audit.Node{Measured: measured(50)}, &TreeBar{Solid: "50%"}},
		{audit.Node{Children: measured(50)}, &TreeBar{Pale: "50%"}},
		{audit.Node{}, nil},
		{audit.Node{Measured: measured(-5)}, nil},
	} {
		got := treeBar(c.node, 100)
		if (got == nil) != (c.want == nil) || got != nil && *got != *c.want {
			t.Errorf("%+v: %+v, want %+v", c.node, got, c.want)
		}
	}
}

// What the orders leave of a total is told only beyond the instrument's accuracy.
func TestOrdersNotRead(t *testing.T) {
	v := newVisit(missing(), renderer)
	r := audit.Reading{}
	wave := func(thd, orders float64) audit.Wave {
		return audit.Wave{THD: measured(thd), Left: measured(math.Sqrt(thd*thd - orders*orders))}
	}
	if got := v.leftText(r, wave(0.461, 0.40)); got != "22.9"+nbsp+"% in orders that were not read" {
		t.Errorf("said %q", got)
	}
	for _, w := range []audit.Wave{wave(0.461, 0.446), {}} {
		if got := v.leftText(r, w); got != "" {
			t.Errorf("said %q", got)
		}
	}
}

// A doubt about several readings stands beside each; one that may harm someone
// says so.
func TestDangerAndSharedDoubts(t *testing.T) {
	v := newVisit(missing(), renderer)
	v.Assessment.Readings = []audit.Reading{{ID: "R1"}, {ID: "R2"}}
	v.Assessment.Doubts = []audit.Doubt{{ID: "category-too-low", Reading: "R1", Also: []string{"R2"}, What: "rated too low", Cause: "not rated for it", Retake: "stop", Safety: true}}
	v.anchors = v.collectAnchors()
	s := v.readings()
	if s.Blocks[0].Doubts[0] != (DoubtLine{"Danger.", "Rated too low.", "not rated for it.", "stop."}) || s.Blocks[1].Doubts[0].What != "What spoils R1 spoils this reading too." {
		t.Errorf("beside R1 %+v, beside R2 %+v", s.Blocks[0].Doubts, s.Blocks[1].Doubts)
	}
}
