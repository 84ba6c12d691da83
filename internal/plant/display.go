package plant

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"
)

// display is what a meter shows at one place, before it is written down.
type display struct {
	id, at, of, time, wiring string
	balanced                 bool
	with                     string
	phases                   []phaseDisplay
	neutral                  float64 // A; not shown when 0
	lines                    [3]float64
	watts                    map[string]float64 // of wattmeters, by pair of lines
	sequence                 string
	frequency                float64
	current, voltage         *spectrum
	more                     []string // further lines
	next                     *display // written after it
}

// phaseDisplay is one phase, with the units that are written behind its figures.
type phaseDisplay struct {
	name  string
	shown Shown
	units [5]string // of V, A, kW, kvar, kVA; "" for the usual
	only  string    // the keys that are written, where not all
	pf    string    // as written, where not as shown
}

type spectrum struct {
	phase  string
	thd    float64
	base   string
	orders []int
	wave   Wave
}

// seen is what a meter shows of a voltage and a current.
func seen(v, i Wave) Shown { return Terminal{V: [3]Wave{v}, I: [3]Wave{i}}.Phase(0) }

// turned is a current through a clamp that is on backwards.
func turned(w Wave) Wave {
	t := Wave{}
	for _, h := range w.orders() {
		t[h] = -w[h]
	}
	return t
}

// against is a voltage measured from another point than the neutral.
func against(v, from Wave) Wave {
	w := Wave{}
	for _, h := range v.orders() {
		w[h] = v[h] - from[h]
	}
	return w
}

// scaled is a share of a wave.
func scaled(w Wave, k complex128) Wave {
	s := Wave{}
	for _, h := range w.orders() {
		s[h] = w[h] * k
	}
	return s
}

func shownPhases(t Terminal) []phaseDisplay {
	ps := make([]phaseDisplay, 3)
	for i, name := range phaseLetters {
		ps[i] = phaseDisplay{name: name, shown: t.Phase(i)}
	}
	return ps
}

func threePhase(id, at, of, time string, t Terminal) display {
	return display{id: id, at: at, of: of, time: time, wiring: "3P4W", phases: shownPhases(t)}
}

func singlePhase(id, at, of, time string, t Terminal, i int) display {
	return display{id: id, at: at, of: of, time: time, wiring: "1P2W", phases: []phaseDisplay{{name: phaseLetters[i], shown: t.Phase(i)}}}
}

// twoWattmeters shows a three-wire load by clamps on A and C with the signs of
// their currents, and the third current that the meter works out.
func twoWattmeters(id, at, of, time string, t Terminal, a, c complex128) display {
	ia, ic := scaled(t.I[0], a), scaled(t.I[2], c)
	third := against(Wave{1: 0}, ia)
	for _, h := range ia.orders() {
		third[h] = -ia[h] - ic[h]
	}
	d := display{id: id, at: at, of: of, time: time, wiring: "3P3W"}
	for i, w := range []Wave{ia, third, ic} {
		d.phases = append(d.phases, phaseDisplay{name: phaseLetters[i], shown: Shown{I: w.RMS()}, only: "current"})
	}
	d.lines = [3]float64{t.Line(0), t.Line(1), t.Line(2)}
	d.watts = map[string]float64{"AB": real(a) * t.Wattmeter(0, 1), "CB": real(c) * t.Wattmeter(2, 1)}
	return d
}

func (d display) write(w *writer) {
	w.head(d.id, d.at, d.of, d.time, d.wiring)
	if d.with != "" {
		w.line("    with: %s", d.with)
	}
	if d.balanced {
		w.line("    balanced: yes")
	}
	w.line("    phases:")
	for _, p := range d.phases {
		p.write(w)
	}
	if d.neutral > 0 {
		w.line("      N: {current: %.1f A}", d.neutral)
	}
	if d.lines != [3]float64{} {
		w.line("    lines:")
		for i, name := range []string{"AB", "BC", "CA"} {
			key, power := name, ""
			for _, pair := range []string{"AB", "CB"} {
				if p, ok := d.watts[pair]; ok && (pair == name || pair == "CB" && name == "BC") {
					key, power = pair, fmt.Sprintf(", power: %.2f kW", p/1e3)
				}
			}
			w.line("      %s: {voltage: %.1f V%s}", key, d.lines[i], power)
		}
	}
	if d.sequence != "" {
		w.line("    sequence: %s", d.sequence)
	}
	if d.frequency > 0 {
		w.line("    frequency: %.2f Hz", d.frequency)
	}
	if d.current != nil || d.voltage != nil {
		w.line("    harmonics:")
		d.current.write(w, "current")
		d.voltage.write(w, "voltage")
	}
	for _, m := range d.more {
		w.line("    %s", m)
	}
	if d.next != nil {
		d.next.write(w)
	}
}

func (p phaseDisplay) write(w *writer) {
	s := p.shown
	units := [5]string{"V", "A", "kW", "kvar", "kVA"}
	for i, u := range p.units {
		if u != "" {
			units[i] = u
		}
	}
	factor := p.pf
	if factor == "" {
		factor = pf(s)
	}
	parts := []string{}
	for _, x := range []struct{ key, text string }{
		{"voltage", fmt.Sprintf("%.1f %s", s.V, units[0])},
		{"current", fmt.Sprintf("%.2f %s", s.I, units[1])},
		{"power", fmt.Sprintf("%.3f %s", zero3(s.P/1e3), units[2])},
		{"reactive", fmt.Sprintf("%.3f %s", zero3(s.Q/1e3), units[3])},
		{"apparent", fmt.Sprintf("%.3f %s", s.S/1e3, units[4])},
		{"pf", factor},
	} {
		if p.only == "" || strings.Contains(p.only, x.key) {
			parts = append(parts, x.key+": "+x.text)
		}
	}
	w.line("      %s: {%s}", p.name, strings.Join(parts, ", "))
}

// zero3 keeps a display of three decimals from showing a negative zero.
func zero3(x float64) float64 {
	if math.Abs(x) < 0.0005 {
		return 0
	}
	return x
}

func (s *spectrum) write(w *writer, kind string) {
	if s == nil {
		return
	}
	var parts []string
	for _, h := range s.orders {
		if cmplx.Abs(s.wave[h]) > 0 {
			parts = append(parts, fmt.Sprintf("%d: %.1f %%", h, s.wave.Share(h)*100))
		}
	}
	w.line("      %s: {phase: %s, thd: %.1f %% of %s, orders: {%s}}", kind, s.phase, s.thd*100, s.base, strings.Join(parts, ", "))
}

func spectrumOf(phase int, w Wave) *spectrum {
	return &spectrum{phase: phaseLetters[phase], thd: w.THD(), base: "fundamental", orders: []int{3, 5, 7, 9, 11, 13, 17}, wave: w}
}
