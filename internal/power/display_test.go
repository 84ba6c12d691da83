package power

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
	"auditgen/internal/working"
)

// displayCase asks whether figures that a display shows beside each other can
// all be true, each being rounded.
type displayCase struct {
	publishedCase
	Agrees bool `key:"agrees" need:"yes"`
}

type displayFile struct {
	source.Where
	Cases []displayCase `key:"cases" need:"yes"`
}

func TestTradeDisplays(t *testing.T) {
	byName := map[string]*working.Formula{}
	for _, f := range working.Formulas() {
		byName[f.Name] = f
	}
	agree, differ := 0, 0
	cases := readDisplays(t)
	for _, c := range cases {
		f := byName[c.Formula]
		if f == nil || len(c.Gives) != 1 || !f.Series && len(f.Symbols) != len(c.Given) {
			t.Errorf("%s: %s: no formula %q of these arguments", c.Pos, c.ID, c.Formula)
			continue
		}
		low, high := reach(f, c.Given)
		shown := c.Gives[0].Value
		meets := low <= shown.value+shown.half && high >= shown.value-shown.half
		if meets != c.Agrees {
			t.Errorf("%s: %s: %s gives %.5g to %.5g, shown %s", c.Pos, c.ID, c.Formula, low, high, c.Gives[0].Text)
		}
		if c.Agrees {
			agree++
		} else {
			differ++
		}
	}
	t.Logf("%d agree, %d do not", agree, differ)
}

func readDisplays(t *testing.T) []displayCase {
	t.Helper()
	file := filepath.Join(publishedDir, "trade-display", "cases.yaml")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var faults diag.List
	var cf displayFile
	source.Decode(source.YAML(file, text, &faults), &cf, &faults)
	for _, f := range faults.Sorted() {
		t.Error(f)
	}
	return cf.Cases
}

// reach is what a formula may give of rounded figures. The formulas shown here
// rise or fall with each of them.
func reach(f *working.Formula, given source.OneOrMany[printedFigure]) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for corner := range 1 << len(given) {
		args := make([]float64, len(given))
		for i, g := range given {
			args[i] = g.Value.value - g.Value.half
			if corner>>i&1 == 1 {
				args[i] = g.Value.value + g.Value.half
			}
		}
		v := f.Eval(args...)
		low, high = min(low, v), max(high, v)
	}
	return low, high
}

// The delta of 274, 274 and 225 V shows forward sequence, and shows the other one
// as well when two leads are exchanged: its sizes tell nothing.
func TestUnequalDeltaKeepsItsSequence(t *testing.T) {
	u, ok := TriangleABC(274, 274, 225)
	if !ok {
		t.Fatal("the delta does not close")
	}
	if sum := Sum(u[0], u[1], u[2]); sum.Size > 1e-9 {
		t.Errorf("the delta leaves %g V open", sum.Size)
	}
	c := Symmetrical(u[0], u[1], u[2])
	u2, _ := SequenceShare(c.Negative.Size, c.Positive.Size)
	want, _ := NegativeSequence([]quantity.VoltsLL{274, 274, 225})
	if SequenceOf(c) != ABC || math.Abs(float64(u2-want)) > 1e-9 || c.Zero.Size > 1e-9 {
		t.Errorf("sequence %v, unbalance %g, want %g", SequenceOf(c), u2, want)
	}
	if s := SequenceOf(Symmetrical(u[1], u[0], u[2])); s != ACB {
		t.Errorf("two leads exchanged: %v", s)
	}
	if _, ok := TriangleABC(400, 100, 100); ok {
		t.Error("a triangle that does not close")
	}
	even := Phasor[quantity.VoltsLL]{Size: 100}
	if s := SequenceOf(Symmetrical(even, even, even)); s != NoSequence || s.String() != "" || ABC.String() != "ABC" {
		t.Errorf("voltages in phase turn %v", s)
	}
}

func TestSignsOfAPowerFactor(t *testing.T) {
	for _, tt := range []struct {
		shown quantity.Ratio
		c     SignConvention
		pf    quantity.Ratio
		lead  quantity.Lead
		ok    bool
	}{
		{-0.85, SignOfPower, -0.85, quantity.Unstated, true},
		{-0.85, SignOfReactive, 0.85, quantity.Lagging, true},
		{0.85, SignOfReactive, 0.85, quantity.Leading, true},
		{-0.85, SignOfLead, 0.85, quantity.Leading, true},
		{0.85, SignOfLead, 0.85, quantity.Lagging, true},
		{1, SignOfLead, 1, quantity.Unstated, true},
		{0.85, UnknownSign, 0.85, quantity.Unstated, true},
		{-0.85, UnknownSign, 0.85, quantity.Unstated, false},
		{1.1, SignOfPower, 0, quantity.Unstated, false},
		{quantity.Ratio(math.NaN()), SignOfPower, 0, quantity.Unstated, false},
	} {
		if pf, lead, ok := ShownPowerFactor(tt.shown, tt.c); pf != tt.pf || lead != tt.lead || ok != tt.ok {
			t.Errorf("%g under %d: %g %v %v", tt.shown, tt.c, pf, lead, ok)
		}
	}
	if Direction(5) != quantity.Lagging || Direction(-5) != quantity.Leading || Direction(0) != quantity.Unstated {
		t.Error("direction of reactive power")
	}
}
