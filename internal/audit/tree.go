package audit

import (
	"fmt"
	"math"
	"slices"

	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

// unexplainedF is what a point takes beyond the points fed from it.
var unexplainedF = working.Def2("unexplained power", "P_x = P - P_c", "balance of power at a point", "P", "P_c",
	func(parent, children quantity.Watts) quantity.Watts { return parent - children })

// tree walks the points from the incomer down and holds each against the sum
// of those fed from it.
func tree(rec *site.Record, s *working.Sheet, rs []Reading) ([]Node, []Doubt) {
	t := &treePass{rec: rec, sheet: s, readings: rs}
	for _, p := range rec.Site.Points {
		if !p.Value.From.IsSet() {
			t.visit(p.Key, 0)
		}
	}
	return t.nodes, t.doubts
}

type treePass struct {
	rec      *site.Record
	sheet    *working.Sheet
	readings []Reading
	nodes    []Node
	doubts   []Doubt
}

// whole finds the reading of a whole point: taken at the point itself, not at
// one of its ways.
func (t *treePass) whole(point string) *Reading {
	i := slices.IndexFunc(t.readings, func(r Reading) bool { return r.At == point && r.Total.Power.Known() })
	if i < 0 {
		return nil
	}
	return &t.readings[i]
}

func (t *treePass) visit(id string, depth int) {
	p, _ := t.rec.Site.Points.Get(id)
	n := Node{ID: id, Name: p.Name.Value, From: p.From.Value, Depth: depth, Agrees: true}
	if r := t.whole(id); r != nil {
		n.Reading, n.Measured = r.ID, r.Total.Power
	}
	at := len(t.nodes)
	t.nodes = append(t.nodes, n)
	var fed []Value
	all := true
	tolerance := t.error(n.Reading)
	for _, child := range t.rec.Site.Points {
		if child.Value.From.Value != id {
			continue
		}
		if r := t.whole(child.Key); r != nil {
			fed = append(fed, r.Total.Power)
			tolerance += t.error(r.ID)
		} else {
			all = false
		}
		t.visit(child.Key, depth+1)
	}
	if len(fed) == 0 || !all || !n.Measured.Known() {
		return
	}
	t.balance(at, fed, tolerance)
}

// error is the limit of error of a reading's total power, in W.
func (t *treePass) error(id string) float64 {
	for _, r := range t.readings {
		if r.ID == id {
			return r.PowerError
		}
	}
	return 0
}

// feedsMore tells whether a point feeds circuits of its own beside the points
// below it; then those need not make up the whole.
func (t *treePass) feedsMore(point string) bool {
	for _, r := range t.readings {
		if r.Point == point && r.At != point {
			return true
		}
	}
	return slices.ContainsFunc(t.rec.Loads, func(l site.Load) bool {
		at, _ := t.rec.Site.PointOf(l.At.Value)
		return at == point
	})
}

func (t *treePass) balance(at int, fed []Value, tolerance float64) {
	n := &t.nodes[at]
	id := "tree." + n.ID + "."
	sum := power.ActiveTotalF.Apply(t.sheet, id+"children", "sum of the points fed from "+n.Name, "W", nums[quantity.Watts](fed))
	n.Children = derived(sum)
	n.Unexplained = derived(unexplainedF.Apply(t.sheet, id+"unexplained", "unexplained power at "+n.Name, "W", num[quantity.Watts](n.Measured), sum))
	n.Tolerance = Value{V: tolerance, Unit: "W", Step: t.sheet.Put(working.Step{
		ID: id + "tolerance", Label: "difference that the instrument's accuracy explains at " + n.Name, Kind: working.Assumed, Value: tolerance, Unit: "W",
		Reason: "limits of error of the readings added up, with an angle error that grows as tan φ",
	}), Kind: working.Assumed}
	n.Agrees = math.Abs(n.Unexplained.V) <= tolerance || n.Unexplained.V > 0 && t.feedsMore(n.ID)
	if n.Agrees {
		return
	}
	t.doubts = append(t.doubts, Doubt{
		ID: "parts-against-whole", Reading: n.Reading, Pos: t.whole(n.ID).Pos,
		What:   fmt.Sprintf("%s takes %.1f kW, the points fed from it %.1f kW together: %.1f kW apart, where %.1f kW is explained by accuracy", n.Name, kilo(n.Measured.V), kilo(n.Children.V), kilo(math.Abs(n.Unexplained.V)), kilo(tolerance)),
		Cause:  "a load switched between the readings, a branch was left out, or one of the readings is wrong",
		Retake: "read the whole and its parts within a few minutes, with the same machines running",
		Steps:  []string{n.Unexplained.Step},
	})
}
