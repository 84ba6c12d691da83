package audit

import (
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
	t := &treePass{rec: rec, sheet: s, readings: rs, at: map[string]int{}, children: map[string][]string{}, own: feeders(rec, rs), points: pointsOf(rec)}
	for i, r := range rs {
		if _, taken := t.at[r.At]; !taken && r.Total.Power.Known() {
			t.at[r.At] = i
		}
	}
	for _, p := range rec.Site.Points {
		if p.Value.From.IsSet() {
			t.children[p.Value.From.Value] = append(t.children[p.Value.From.Value], p.Key)
		}
	}
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
	at       map[string]int      // the reading of each place that shows a power
	children map[string][]string // points by the point that feeds them
	own      map[string]bool     // points that feed circuits of their own
	points   map[string]site.Point
	nodes    []Node
	doubts   []Doubt
}

// whole finds the reading of a whole point: taken at the point itself, not at
// one of its ways.
func (t *treePass) whole(point string) *Reading {
	if i, ok := t.at[point]; ok {
		return &t.readings[i]
	}
	return nil
}

// taken is what a point takes: measured, or the sum of what it feeds.
type taken struct {
	power   Value
	err     float64 // W, limit of error
	spoilt  bool    // a reading in it is spoilt by a mistake that has its name already
	oneTime bool    // all of it was read at one time
	time    string  // that time
}

func (t *treePass) visit(id string, depth int) taken {
	p := t.points[id]
	n := Node{ID: id, Name: p.Name.Value, From: p.From.Value, Depth: depth, Agrees: true}
	own := taken{}
	if r := t.whole(id); r != nil {
		n.Reading, n.Measured = r.ID, r.Total.Power
		own = taken{power: r.Total.Power, err: r.PowerError, spoilt: r.spoilt, oneTime: r.Time != "", time: r.Time}
	}
	at := len(t.nodes)
	t.nodes = append(t.nodes, n)
	var fed []Value
	sum := taken{oneTime: true}
	all := true
	for i, child := range t.children[id] {
		c := t.visit(child, depth+1)
		if !c.power.Known() {
			all = false
			continue
		}
		fed = append(fed, c.power)
		sum.err, sum.spoilt = sum.err+c.err, sum.spoilt || c.spoilt
		sum.oneTime = sum.oneTime && c.oneTime && (i == 0 || c.time == sum.time)
		sum.time = c.time
	}
	if len(fed) == 0 || !all {
		return own
	}
	if own.power.Known() {
		t.balance(at, fed, own, sum)
		return own
	}
	if t.own[id] {
		return own
	}
	sum.power = t.sum(at, fed)
	t.nodes[at].Children = sum.power
	return sum
}

func (t *treePass) sum(at int, fed []Value) Value {
	lang := t.rec.Words
	n := &t.nodes[at]
	return derived(power.ActiveTotalF.Apply(t.sheet, "tree."+n.ID+".children", lang.F("sum of the points fed from %s", n.Name), "W", nums[quantity.Watts](fed)))
}

// switching is the power of the machines below a point that may have been on at
// one reading and off at another: those that do not run all the time. W.
func (t *treePass) switching(point string) float64 {
	sum := 0.0
	for _, l := range t.rec.Loads {
		at, _ := t.rec.Site.PointOf(l.At.Value)
		if l.Runs.Duty.IsSet() && l.Runs.Duty.Value.Low < 1 || len(l.States) > 0 {
			if t.below(at, point) {
				sum += t.running(l)
			}
		}
	}
	return sum
}

func (t *treePass) below(at, point string) bool {
	for at != "" {
		if at == point {
			return true
		}
		at = t.points[at].From.Value
	}
	return false
}

// running is a load's power while it runs, as high as it may be.
func (t *treePass) running(l site.Load) float64 {
	count := 1.0
	if l.Runs.Count.IsSet() {
		count = l.Runs.Count.Value.High
	}
	most := math.Max(t.read(l.Reading.Value), float64(l.Power.Value.High))
	if l.Nameplate != nil {
		eta := 1.0
		if e := l.Nameplate.Efficiency; e.IsSet() {
			eta = float64(e.Value.Value)
		}
		most = math.Max(most, float64(l.Nameplate.Rated.Value.Value)/eta)
	}
	if n := l.Lamps; n != nil {
		most = math.Max(most, float64(n.Number.Value.High)*float64(n.Each.Value.High+n.Ballast.Value.High))
	}
	if a := l.PerArea; a != nil {
		most = math.Max(most, float64(a.Area.Value.Value)*float64(a.Power.Value.High))
	}
	for _, s := range l.States {
		most = math.Max(most, math.Max(t.read(s.Value.Reading.Value), float64(s.Value.Power.Value.High)))
	}
	return most * count
}

func (t *treePass) read(id string) float64 {
	if i := slices.IndexFunc(t.readings, func(r Reading) bool { return r.ID == id }); i >= 0 {
		return math.Abs(t.readings[i].Total.Power.V)
	}
	return 0
}

func (t *treePass) balance(at int, fed []Value, own, sum taken) {
	lang := t.rec.Words
	n := &t.nodes[at]
	id := "tree." + n.ID + "."
	tolerance := own.err + sum.err
	n.Children = t.sum(at, fed)
	n.Unexplained = derived(unexplainedF.Apply(t.sheet, id+"unexplained", lang.F("unexplained power at %s", n.Name), "W", num[quantity.Watts](n.Measured), num[quantity.Watts](n.Children)))
	n.Tolerance = Value{V: tolerance, Unit: "W", Step: t.sheet.Put(working.Step{
		ID: id + "tolerance", Label: lang.F("difference that the instrument's accuracy explains at %s", n.Name), Kind: working.Assumed, Value: tolerance, Unit: "W",
		Reason: lang.S("limits of error of the readings added up, with an angle error that grows as tan φ"),
	}), Kind: working.Assumed}
	off := math.Abs(n.Unexplained.V) - tolerance
	n.Rest = off > 0 && n.Unexplained.V > 0 && t.own[n.ID]
	n.Agrees = off <= 0 || n.Rest
	explained := lang.F("%.1f kW is explained by accuracy", kilo(tolerance))
	if !n.Agrees && !(own.oneTime && sum.oneTime && own.time == sum.time) {
		if w := t.switching(n.ID); w > 0 {
			n.Switching = Value{V: w, Unit: "W", Kind: working.Assumed, Step: t.sheet.Put(working.Step{
				ID: id + "switching", Label: lang.F("power below %s that may switch between two readings", n.Name), Kind: working.Assumed, Value: w, Unit: "W",
				Reason: lang.S("the loads there that do not run all the time, each at its running power; the readings were taken at different times"),
			})}
			explained = lang.F("%.1f kW is explained by accuracy and %.1f kW by machines that switch between the readings", kilo(tolerance), kilo(w))
			n.Agrees = off <= w
		}
	}
	if n.Agrees || own.spoilt || sum.spoilt {
		return
	}
	t.doubts = append(t.doubts, Doubt{
		ID: "parts-against-whole", Reading: n.Reading, Pos: t.whole(n.ID).Pos,
		What:   lang.F("%s takes %.1f kW, the points fed from it %.1f kW together: %.1f kW apart, where %s", n.Name, kilo(n.Measured.V), kilo(n.Children.V), kilo(math.Abs(n.Unexplained.V)), explained),
		Cause:  lang.S("a load switched between the readings, a branch was left out, or one of the readings is wrong"),
		Retake: lang.S("read the whole and its parts within a few minutes, with the same machines running"),
		Steps:  []string{n.Unexplained.Step},
	})
}
