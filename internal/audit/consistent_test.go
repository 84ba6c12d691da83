package audit

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"strings"
	"testing"

	"auditgen/internal/plant"
	"auditgen/internal/site"
	"auditgen/internal/working"
)

// meter shows what flows at a place as a clamp meter within its stated
// accuracy would: every value with an error of its own within the limits of
// plainInstrument, the angle of each clamp up to 1° off, rounded to the display.
type meter struct {
	rng   *rand.Rand
	ends  bool       // every error at one end of its limits
	angle [3]float64 // rad, of each clamp
	b     strings.Builder
}

func newMeter(rng *rand.Rand, ends bool) *meter {
	m := &meter{rng: rng, ends: ends}
	for i := range m.angle {
		m.angle[i] = m.within(math.Pi / 180)
	}
	return m
}

// within draws an error within ±half, or one of the two ends.
func (m *meter) within(half float64) float64 {
	x := 2*m.rng.Float64() - 1
	if m.ends {
		x = math.Copysign(1, x)
	}
	return x * half
}

// show gives x with an error within the share of what is then shown and five
// digits, of which rounding takes half of one.
func (m *meter) show(x, share float64, decimals int) string {
	digits := 4.5 * math.Pow10(-decimals)
	low, high := (math.Abs(x)-digits)/(1+share), (math.Abs(x)+digits)/(1-share)
	return fmt.Sprintf("%.*f", decimals, math.Copysign((low+high)/2+m.within((high-low)/2), x))
}

func (m *meter) line(format string, args ...any) { fmt.Fprintf(&m.b, format+"\n", args...) }

// turned gives a phase's powers as the clamp's angle error turns them.
func (m *meter) turned(t plant.Terminal, i int) plant.Shown {
	s := t.Phase(i)
	sin, cos := math.Sincos(m.angle[i])
	s.P, s.Q = s.P*cos-s.Q*sin, s.Q*cos+s.P*sin
	s.PF = s.P / s.S
	return s
}

func pfText(m *meter, pf float64) string {
	return fmt.Sprintf("%.2f", max(-1, min(1, pf+m.within(0.01))))
}

// phase shows a phase behind a current transformer of ratio k: 1 for none.
func (m *meter) phase(name string, s plant.Shown, k float64, more string) {
	decimals := 0
	if k > 1 {
		decimals = 1
	}
	m.line("      %s: {voltage: %s V, current: %s A, power: %s kW, reactive: %s kvar, apparent: %s kVA, pf: %s%s}", name,
		m.show(s.V, 0.005, 1), m.show(s.I/k, 0.01, 1+decimals), m.show(s.P/k/1e3, 0.015, 2+decimals), m.show(s.Q/k/1e3, 0.015, 2+decimals), m.show(s.S/k/1e3, 0.015, 2+decimals), pfText(m, s.PF), more)
}

var letters = []string{"A", "B", "C"}

// three shows a three-phase place: phases, neutral, lines, total, angles,
// sequence and distortion; large currents now and then behind transformers.
func (m *meter) three(id, at string, t plant.Terminal) {
	m.line("  - id: %s\n    at: %s\n    wiring: 3P4W", id, at)
	k := 1.0
	if min(t.Phase(0).I, t.Phase(1).I, t.Phase(2).I) > 15 && m.rng.IntN(2) == 0 {
		k = 10
		m.line("    ratios: {ct: 50/5, set: no}")
	}
	m.line("    phases:")
	var sum plant.Shown
	for i, name := range letters {
		s := m.turned(t, i)
		more := fmt.Sprintf(", voltage-angle: %.1f °", cmplx.Phase(t.V[i][1])*180/math.Pi+m.within(0.5))
		if m.rng.IntN(2) == 0 {
			more += fmt.Sprintf(", angle: %.1f °", math.Atan2(s.Q, s.P)*180/math.Pi)
		}
		m.phase(name, s, k, more)
		sum.P, sum.Q, sum.S = sum.P+s.P, sum.Q+s.Q, sum.S+s.S
	}
	m.line("      N: {current: %s A}", m.show(t.Neutral()/k, 0.01, 2))
	m.line("    lines: {AB: {voltage: %s V}, BC: {voltage: %s V}, CA: {voltage: %s V}}", m.show(t.Line(0), 0.005, 1), m.show(t.Line(1), 0.005, 1), m.show(t.Line(2), 0.005, 1))
	m.line("    total: {power: %s kW, reactive: %s kvar, apparent: %s kVA, pf: %s}", m.show(sum.P/k/1e3, 0.015, 3), m.show(sum.Q/k/1e3, 0.015, 3), m.show(sum.S/k/1e3, 0.015, 3), pfText(m, sum.P/sum.S))
	m.line("    sequence: ABC\n    frequency: %s Hz", m.show(50, 0.001, 2))
	m.line("    harmonics:\n      current: {phase: A, %s}\n      voltage: {phase: A, %s}", m.spectrum(t.I[0]), m.spectrum(t.V[0]))
}

// wattmeters shows a load without neutral current by two wattmeters.
func (m *meter) wattmeters(id, at string, t plant.Terminal) {
	m.line("  - id: %s\n    at: %s\n    wiring: 3P3W", id, at)
	m.line("    phases: {A: {current: %s A}, B: {current: %s A}, C: {current: %s A}}", m.show(t.Phase(0).I, 0.01, 1), m.show(t.Phase(1).I, 0.01, 1), m.show(t.Phase(2).I, 0.01, 1))
	m.line("    lines: {AB: {voltage: %s V, power: %s kW}, CB: {voltage: %s V, power: %s kW}, CA: {voltage: %s V}}", m.show(t.Line(0), 0.005, 1), m.show(t.Wattmeter(0, 1)/1e3, 0.015, 2), m.show(t.Line(1), 0.005, 1), m.show(t.Wattmeter(2, 1)/1e3, 0.015, 2), m.show(t.Line(2), 0.005, 1))
}

func (m *meter) single(id, at string, phase int, t plant.Terminal) {
	m.line("  - id: %s\n    at: %s\n    wiring: 1P2W\n    phases:", id, at)
	m.phase(letters[phase], m.turned(t, phase), 1, "")
}

func (m *meter) spectrum(w plant.Wave) string {
	var orders []string
	for h := 2; h <= 50; h++ {
		if cmplx.Abs(w[h]) > 0 && w.Share(h) >= 0.005 {
			orders = append(orders, fmt.Sprintf("%d: %s %%", h, m.show(100*w.Share(h), 0.03, 1)))
		}
	}
	return fmt.Sprintf("thd: %s %% of fundamental, orders: {%s}", m.show(100*w.THD(), 0.03, 1), strings.Join(orders, ", "))
}

// plants draws an installation of two to four boards with one to five loads
// each, three-phase or single-phase, some of them distorted.
func plants(rng *rand.Rand) (p plant.Plant, on []string) {
	between := func(low, high float64) float64 { return low + (high-low)*rng.Float64() }
	p = plant.Plant{
		Source:     complex(between(0.004, 0.012), between(0.01, 0.03)),
		Background: map[int]float64{3: between(0, 0.01), 5: between(0, 0.03), 7: between(0, 0.015)},
	}
	for i := range p.Supply {
		p.Supply[i] = cmplx.Rect(400/math.Sqrt(3)*between(0.96, 1.04), (between(-0.6, 0.6)-120*float64(i))*math.Pi/180)
	}
	for b := range 2 + rng.IntN(3) {
		board := fmt.Sprintf("DB%d", b+1)
		p.Boards = append(p.Boards, plant.Board{ID: board, Feeder: complex(between(0.005, 0.025), between(0.002, 0.008))})
		for k := range 1 + rng.IntN(5) {
			l := plant.Load{ID: fmt.Sprintf("%s-%d", board, k+1), Board: board, Phases: []int{0, 1, 2}, Power: between(1500, 12000), PF: between(0.35, 1)}
			if rng.IntN(2) == 0 {
				l.Phases, l.Power = []int{rng.IntN(3)}, between(400, 2500)
			}
			if rng.IntN(3) == 0 {
				l.Spectrum = map[int]float64{3: between(0, 0.3), 5: between(0, 0.6), 7: between(0, 0.3), 11: between(0, 0.1)}
			}
			p.Loads, on = append(p.Loads, l), append(on, l.ID)
		}
	}
	return p, on
}

// siteOf is the site of a plant: the incomer, the boards that have current in
// every phase, and each load.
func siteOf(m *meter, p plant.Plant, on []string) small {
	s := p.Solve(on...)
	m.three("R1", "incomer", s.Incomer)
	points := []string{"incomer: {name: Incomer}"}
	for _, b := range p.Boards {
		points = append(points, fmt.Sprintf("%s: {name: Board %s, from: incomer}", b.ID, b.ID))
		m.three("R-"+b.ID, b.ID, s.Boards[b.ID])
	}
	for _, l := range p.Loads {
		if len(l.Phases) == 3 && l.Spectrum == nil && m.rng.IntN(3) == 0 {
			m.wattmeters("R-"+l.ID, l.ID, s.Loads[l.ID])
		} else if len(l.Phases) == 3 {
			m.three("R-"+l.ID, l.ID, s.Loads[l.ID])
		} else {
			m.single("R-"+l.ID, l.ID, l.Phases[0], s.Loads[l.ID])
		}
	}
	return small{points: "{" + strings.Join(points, ", ") + "}", readings: m.b.String()}
}

// A board may feed one phase only; then the meter shows nothing on the others,
// and no current there is too small a current.
func everyPhaseCarries(p plant.Plant) bool {
	for _, b := range p.Boards {
		var carries [3]bool
		for _, l := range p.Loads {
			for _, i := range l.Phases {
				carries[i] = carries[i] || l.Board == b.ID
			}
		}
		if carries != [3]bool{true, true, true} {
			return false
		}
	}
	return true
}

// Readings of consistent plants within the instrument's accuracy raise no
// doubt: a check that cries without cause is soon ignored. In every third site
// all errors stand at the ends of their limits.
func TestConsistentReadingsRaiseNoDoubt(t *testing.T) {
	rng := rand.New(rand.NewPCG(2031, 5))
	const sites = 300
	read, falseAlarms := 0, 0
	for n := 0; n < sites; {
		p, on := plants(rng)
		if !everyPhaseCarries(p) {
			continue
		}
		n++
		s := siteOf(newMeter(rng, n%3 == 0), p, on)
		rec := s.record(t)
		sheet := &working.Sheet{}
		rs := readings(rec, sheet)
		ds := doubts(rec, rs)
		_, apart := tree(rec, sheet, rs)
		read += len(rs)
		for _, d := range append(ds, apart...) {
			falseAlarms++
			t.Errorf("site %d: %s: %s", n, d.ID, d.What)
		}
	}
	t.Logf("%d false alarms on %d readings of %d consistent sites", falseAlarms, read, sites)
}

// The same holds for the whole year: loads that rest on their readings reach
// what the incomer showed while all of them ran.
func TestConsistentSitesRaiseNoDoubt(t *testing.T) {
	rng := rand.New(rand.NewPCG(2031, 6))
	for n := 0; n < 20; {
		p, on := plants(rng)
		if !everyPhaseCarries(p) {
			continue
		}
		n++
		s := siteOf(newMeter(rng, n%2 == 0), p, on)
		var loads []string
		for _, l := range p.Loads {
			duty := 20 + 10*rng.IntN(8)
			loads = append(loads, fmt.Sprintf("  - {id: l-%s, name: Load %s, at: %s, use: work, reading: R-%s, runs: {calendar: always, duty: %d %%, cycle: 10 min}}", l.ID, l.ID, l.ID, l.ID, duty))
		}
		s.loads = strings.Join(loads, "\n")
		for _, d := range s.run(t).Doubts {
			t.Errorf("site %d: %s: %s", n, d.ID, d.What)
		}
	}
}

// BenchmarkDoubts holds ten thousand readings of consistent plants against
// themselves and each other.
func BenchmarkDoubts(b *testing.B) {
	rng := rand.New(rand.NewPCG(2031, 7))
	rec := &site.Record{}
	for n := 0; len(rec.Readings) < 10_000; {
		p, on := plants(rng)
		if !everyPhaseCarries(p) {
			continue
		}
		n++
		m := newMeter(rng, false)
		one := siteOf(m, p, on).record(b)
		if n == 1 {
			*rec = *one
			rec.Readings, rec.Site.Points, rec.Loads = nil, nil, nil
		}
		// Each plant becomes a branch of one site: its own points and readings.
		prefix := fmt.Sprintf("P%d-", n)
		for _, e := range one.Site.Points {
			if e.Value.From.IsSet() {
				e.Value.From.Value = prefix + e.Value.From.Value
			}
			e.Key = prefix + e.Key
			rec.Site.Points = append(rec.Site.Points, e)
		}
		for _, r := range one.Readings {
			r.ID.Value, r.At.Value = prefix+r.ID.Value, prefix+r.At.Value
			rec.Readings = append(rec.Readings, r)
		}
	}
	rec.Readings = rec.Readings[:10_000]
	sheet := &working.Sheet{}
	rs := readings(rec, sheet)
	b.ReportAllocs()
	for b.Loop() {
		for i := range rs {
			rs[i].spoilt = false
		}
		ds := doubts(rec, rs)
		_, apart := tree(rec, &working.Sheet{}, rs)
		if n := len(ds) + len(apart); n > 0 {
			b.Fatalf("%d false alarms: %+v", n, append(ds, apart...)[0])
		}
	}
	b.ReportMetric(float64(b.Elapsed().Milliseconds())/float64(b.N), "ms/10000-readings")
}
