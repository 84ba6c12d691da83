package audit

import (
	"math"
	"slices"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/say"
	"auditgen/internal/site"
)

// A check holds what a meter showed against the rest of what it showed. It
// compares shown values only: a derived value agrees by its making.
//
// One mistake is one doubt. Checks stand from the most telling to the least, and
// one that names a cause withdraws the values that the cause has spoilt, so that
// those after it do not meet them.
type check func(*checkInput) []Doubt

// Doubts about the instrument rather than about what it showed.
const (
	CategoryTooLow   = "category-too-low"
	OutOfCalibration = "out-of-calibration"
)

// checks lists the checks on single readings.
var checks = []check{
	checkSmallCurrent, checkSign, checkNeutralLead, checkVoltages,
	checkSlips, checkWattmeters, checkClamps, checkSequence,
	checkApparent, checkPowerFactor, checkAngle, checkClosure, checkNonActive,
	checkTotal, checkLineVoltage, checkDistortion, checkBreaker,
}

// checkInput is a reading with what of it still counts as evidence.
type checkInput struct {
	rec    *site.Record
	raw    site.Reading
	r      *Reading
	limits site.Accuracies
	rows   []row // the total last
	lines  [3]shown
	ratios *site.Ratios
	place  site.Point

	sequenceSpoilt bool
}

// doubts runs the checks over every reading, then those over several.
func doubts(rec *site.Record, rs []Reading) []Doubt {
	places := pointsOf(rec)
	all := safetyAndSettings(rec, rs, places)
	for i := range rs {
		in := newInput(rec, rec.Readings[i], &rs[i])
		in.place = places[rs[i].Point]
		for _, c := range checks {
			all = append(all, c(in)...)
		}
	}
	all = append(all, between(rec, rs)...)
	wrongRatio := map[string]bool{}
	for _, d := range all {
		if strings.HasPrefix(d.ID, "ratio-") {
			wrongRatio[d.Reading] = true
		}
	}
	// Whether a current is too small for the clamp is told by the right ratio only.
	all = slices.DeleteFunc(all, func(d Doubt) bool { return d.ID == "current-too-small" && wrongRatio[d.Reading] })
	for i := range rs {
		rs[i].Doubts = about(all, rs[i].ID)
	}
	return all
}

// about gives the doubts that are about a reading.
func about(ds []Doubt, id string) []Doubt {
	var list []Doubt
	for _, d := range ds {
		if d.Reading == id || slices.Contains(d.Also, id) {
			list = append(list, d)
		}
	}
	return list
}

// causeOfDoubt words why a reading's power cannot be used, behind a sentence that
// says so; empty where nothing is known against it.
func (r Reading) causeOfDoubt() string {
	for _, d := range r.Doubts {
		if d.Severe {
			return ", for " + d.Cause
		}
	}
	return ""
}

func pointsOf(rec *site.Record) map[string]site.Point {
	m := make(map[string]site.Point, len(rec.Site.Points))
	for _, p := range rec.Site.Points {
		m[p.Key] = p.Value
	}
	return m
}

func newInput(rec *site.Record, raw site.Reading, r *Reading) *checkInput {
	in := &checkInput{rec: rec, raw: raw, r: r, limits: r.Instrument.Limits(), ratios: raw.Ratios}
	in.rows = rowsOf(raw, in.limits)
	_, vt := scales(raw.Ratios)
	for _, l := range raw.Lines {
		in.lines[site.LineIndex(l.Key)] = show(in.limits.Voltage, vt, l.Value.Voltage)
	}
	return in
}

// live gives the rows of phases and of loads between lines, without the total.
func (in *checkInput) live() []row { return in.rows[:len(in.rows)-1] }

func (in *checkInput) totalRow() *row { return &in.rows[len(in.rows)-1] }

// phase gives the row of phase 0, 1 or 2.
func (in *checkInput) phase(index int) *row {
	for i := range in.live() {
		if r := &in.rows[i]; r.index == index && !r.line {
			return r
		}
	}
	return nil
}

func (in *checkInput) doubt(id, phase string) Doubt {
	return Doubt{ID: id, Reading: in.r.ID, Phase: phase, Pos: in.r.Pos}
}

// spoil withdraws the powers of a row: a named cause made them useless. The
// total, and what other readings say about it, go with them.
func (in *checkInput) spoil(r *row) {
	r.power, r.reactive, r.apparent, r.pf, r.angle = shown{}, shown{}, shown{}, shown{}, shown{}
	t := in.totalRow()
	t.power, t.reactive, t.apparent, t.pf = shown{}, shown{}, shown{}, shown{}
	in.r.spoilt = true
}

// where words the place of a phase in a sentence.
func where(lang *say.Language, reading, phase string) string {
	switch {
	case phase == "" || phase == "total":
		return reading
	case site.LineIndex(phase) >= 0:
		return lang.F("%s, lines %s", reading, phase)
	}
	return lang.F("%s, phase %s", reading, phase)
}

// nominalToNeutral is the nominal voltage between a line and neutral.
func nominalToNeutral(rec *site.Record) float64 {
	v := float64(rec.Site.Supply.Voltage.Value.Value)
	switch rec.Site.Supply.System.Value {
	case site.OnePhaseTwoWire:
		return v
	case site.OnePhaseThreeWire:
		return v / 2
	}
	return v / math.Sqrt(3)
}

// nominalBetween is the nominal voltage between two lines; 0 where there are none.
func nominalBetween(rec *site.Record) float64 {
	if rec.Site.Supply.System.Value == site.OnePhaseTwoWire {
		return 0
	}
	return float64(rec.Site.Supply.Voltage.Value.Value)
}

func kilo(v float64) float64 { return v / 1e3 }

// enumerate words a list: "A", "A and B", "A, B and C".
func enumerate(lang *say.Language, items []string) string {
	if n := len(items); n > 1 {
		return lang.F("%s and %s", strings.Join(items[:n-1], ", "), items[n-1])
	}
	return strings.Join(items, "")
}

func phaseWords(lang *say.Language, names []string) string {
	switch {
	case len(names) > 1:
		return lang.F("phases %s", enumerate(lang, names))
	case site.LineIndex(names[0]) >= 0:
		return lang.F("lines %s", names[0])
	}
	return lang.F("phase %s", names[0])
}

func choose(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// firstPos gives the first place that is known.
func firstPos(ps ...diag.Pos) diag.Pos {
	if i := slices.IndexFunc(ps, diag.Pos.IsSet); i >= 0 {
		return ps[i]
	}
	return diag.Pos{}
}

// nearFactor tells whether two values stand in a ratio of about f, within a share
// of it.
func nearFactor(a, b, f, within float64) bool {
	return b != 0 && math.Abs(a/b/f-1) <= within
}
