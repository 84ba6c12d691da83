package audit

import (
	"fmt"
	"math"
	"strings"

	"auditgen/internal/say"
	"auditgen/internal/uncertainty"
	"auditgen/internal/working"
)

// How often a year is drawn. Where the tariff cannot be priced quickly, each
// draw is priced by the exact engine, and there are fewer.
const (
	yearDraws  = 10_000
	pairDraws  = 2_000 // of differences, whose two years share their draws
	usesDraws  = 1_000 // of the year without each use in turn
	exactDraws = 400
	coverage   = 0.90
)

// drawsOf is how many draws are made with some years.
func drawsOf(usual int, years ...*drawn) int {
	for _, d := range years {
		if d.exactly {
			return min(usual, exactDraws)
		}
	}
	return usual
}

// seed is a hash of what the draws rest on: the loads as factors, and their
// doubts. The same inputs give the same draws.
func (m *model) seed() uncertainty.Seed {
	var b strings.Builder
	for _, p := range m.params {
		fmt.Fprintf(&b, "%s %v\n", p.id, p.of)
	}
	for i := range m.loads {
		l := &m.loads[i]
		fmt.Fprintf(&b, "%s %d %v %v %v %v %v\n", l.id, l.calendar, l.modes, l.standby, l.count, l.hours, float64(l.cycle))
	}
	return uncertainty.SeedOf([]byte(b.String()))
}

// draw draws the year and ranks what moves its energy and its cost.
func (y *yearPass) draw() error {
	lang := y.rec.Words
	d, err := y.model.prepared(y.useOf, len(y.result.Uses), y.layout.lineKeys)
	if err != nil {
		return err
	}
	y.result.drawn = d
	n := drawsOf(yearDraws, d)
	res, err := uncertainty.Run(d, y.model.seed(), uncertainty.Options{Draws: n, Coverage: coverage, Ranked: []int{y.rankedAt(0), y.rankedAt(1)}})
	if err != nil {
		return d.failed(err)
	}
	y.drawn = res
	y.result.Sheet.Put(working.Step{ID: intervalsStep, Label: lang.S("draws behind the 90 % intervals"), Kind: working.Modelled, Value: float64(n), Reason: drawsReason(lang, d)})
	return nil
}

const intervalsStep = "year.draws"

func drawsReason(lang *say.Language, d *drawn) string {
	s := lang.S("every stated doubt is drawn from its shape, limits alone as rectangular, low..likely..high as triangular; what readings of one instrument share is drawn once for all of them; chance decides each month how cycling loads meet; the year and its bill are worked out for each draw, and the ends of an interval leave 5 % of the draws on either side (JCGM 101:2008, 7); the draws start from a hash of the loads and their doubts, so that the same inputs give the same figures")
	if d.exactly {
		s = lang.F("%s; each draw is priced by the exact engine, since the tariff counts what cannot be worked out quickly, and fewer are made", s)
	}
	return s
}

// interval gives an output with its 90 % interval.
func (y *yearPass) interval(at int, unit, step string) Interval {
	return drawnAbout(y.out[at], y.drawn.Outputs[at], unit, step)
}

// drawnAbout puts a best estimate between the ends that draws gave.
func drawnAbout(v float64, s uncertainty.Summary, unit, step string) Interval {
	i := Interval{Value: v, Low: v, High: v, Unit: unit, Step: step}
	if s.Deviation > 0 {
		i.Low, i.High = min(v, s.Symmetric.Low), max(v, s.Symmetric.High)
	}
	return i
}

// notable is by how many of its deviations the mean of the draws may lie off the
// best estimate before the working says so. The best estimate stays the printed
// figure: it is what the stated means make, and its working can be followed; the
// ends of the interval hold what curvature and chance do to it.
const notable = 0.25

// ends records the ends of an interval as steps beside its figure.
func (y *yearPass) ends(i Interval, at int, what string, scale float64) {
	lang := y.rec.Words
	reason := lang.S("of the draws, 5 % lie beyond it")
	if s := y.drawn.Outputs[at]; math.Abs(s.Mean-i.Value) > notable*s.Deviation {
		reason = lang.F("%s; their mean is %.4g %s, and the figure is that of the means of what was stated", reason, s.Mean, i.Unit)
	}
	unit := i.Unit
	if st, ok := y.result.Sheet.Get(i.Step); ok {
		unit = st.Unit
	}
	for _, e := range []struct {
		key, label string
		v          float64
	}{{"low", lang.F("%s, low end of its 90 %% interval", what), i.Low}, {"high", lang.F("%s, high end of its 90 %% interval", what), i.High}} {
		y.result.Sheet.Put(working.Step{ID: i.Step + "." + e.key, Label: e.label, Kind: working.Modelled, Value: e.v * scale, Unit: unit,
			Reason: reason, From: []string{i.Step, intervalsStep}})
	}
}

// intervals fills in the intervals of energies; those of demand and money
// follow when their steps are recorded.
func (y *yearPass) intervals() {
	r := y.result
	for i := range r.Loads {
		r.Loads[i].Energy = y.interval(y.layout.loads+i, "kWh", r.Loads[i].Energy.Step)
	}
	r.BaseLoad = y.interval(y.layout.base, "kW", "")
}

// failed says why draws failed, where the model knows more than they do.
func (d *drawn) failed(err error) error {
	if d.err != nil {
		return d.err
	}
	return err
}
