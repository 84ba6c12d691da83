package plant

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"strings"
)

// Creamery is the plant behind the demonstration site: an invented creamery on
// a 400 V supply from a 250 kVA transformer.
func Creamery() Plant {
	v := 400 / math.Sqrt(3)
	deg := math.Pi / 180
	three := []int{0, 1, 2}
	rectifier := map[int]float64{5: 0.58, 7: 0.31, 11: 0.09, 13: 0.06, 17: 0.03}
	led := map[int]float64{3: 0.19, 5: 0.08, 7: 0.05, 9: 0.03}
	return Plant{
		Supply: [3]complex128{
			cmplx.Rect(v*1.024, 0),
			cmplx.Rect(v*1.011, -120.3*deg),
			cmplx.Rect(v*1.019, 119.8*deg),
		},
		Source:     complex(0.006, 0.025),
		Background: map[int]float64{3: 0.009, 5: 0.031, 7: 0.016, 11: 0.006},
		Boards: []Board{
			{"DB1", complex(0.011, 0.005)},
			{"DB2", complex(0.014, 0.005)},
			{"DB3", complex(0.024, 0.006)},
			{"DB4", complex(0.019, 0.004)},
		},
		Loads: []Load{
			{"homogeniser", "DB1", three, 11400, 0.79, nil},
			{"separator", "DB1", three, 4120, 0.74, nil},
			{"cip-heater", "DB1", three, 17650, 1, nil},
			{"agitators", "DB1", three, 2870, 0.66, nil},
			{"packing", "DB1", three, 4430, 0.72, nil},
			{"whey-filter", "DB1", three, 12800, 0.96, rectifier},
			{"labeller", "DB1", []int{0}, 860, 0.71, nil},
			{"cold-store", "DB2", three, 5940, 0.77, nil},
			{"chiller-loaded", "DB2", three, 17100, 0.82, nil},
			{"chiller-unloaded", "DB2", three, 5400, 0.47, nil},
			{"ripening-fans", "DB2", three, 8200, 0.97, rectifier},
			{"blast-chiller", "DB2", three, 7850, 0.79, nil},
			{"air-loaded", "DB3", three, 16200, 0.83, nil},
			{"air-unloaded", "DB3", three, 4650, 0.41, nil},
			{"well-pump", "DB3", three, 3140, 0.80, nil},
			{"effluent", "DB3", three, 2360, 0.74, nil},
			{"brine-pump", "DB3", three, 1380, 0.73, nil},
			{"lights-a", "DB4", []int{0}, 1140, 0.95, led},
			{"lights-b", "DB4", []int{1}, 1120, 0.95, led},
			{"lights-c", "DB4", []int{2}, 1150, 0.95, led},
			{"server", "DB4", []int{2}, 790, 0.93, nil},
			{"office", "DB4", []int{1}, 1180, 0.93, nil},
			{"cabinet-1", "DB4", []int{1}, 415, 0.70, nil},
			{"cabinet-2", "DB4", []int{2}, 420, 0.70, nil},
		},
	}
}

// CreameryRunning is what ran while the incomer and the boards were read.
var CreameryRunning = []string{
	"homogeniser", "cip-heater", "agitators", "whey-filter",
	"cold-store", "chiller-loaded", "ripening-fans",
	"air-loaded", "well-pump", "effluent", "brine-pump",
	"lights-a", "lights-b", "lights-c", "server", "office", "cabinet-1", "cabinet-2",
}

// CreameryReadings gives the readings section of the demonstration visit, each
// number rounded to the meter's display. One reading is spoilt on purpose: at
// the effluent pump the clamp of phase C is on backwards.
func CreameryReadings() string {
	p := Creamery()
	all := p.Solve(CreameryRunning...)
	// Some machines started later, and the unloaded states were read later, with
	// the rest running on.
	later := p.Solve(append([]string{"separator", "packing", "labeller", "blast-chiller"}, CreameryRunning...)...)
	unloaded := p.Solve(replace(CreameryRunning, "chiller-loaded", "chiller-unloaded", "air-loaded", "air-unloaded")...)
	w := &writer{}
	w.three("R1", "incomer", "", "10:35", all.Incomer)
	w.angles(all.Incomer)
	w.neutral(all.Incomer)
	w.line("    sequence: ABC")
	w.line("    frequency: 50.01 Hz")
	w.harmonics(all.Incomer, 0, []int{3, 5, 7, 9, 11, 13, 17})
	for i, id := range []string{"DB1", "DB2", "DB3", "DB4"} {
		w.three(fmt.Sprintf("R%d", i+2), id, "", fmt.Sprintf("10:%02d", 38+3*i), all.Boards[id])
		if id == "DB4" {
			w.neutral(all.Boards[id])
		}
	}
	w.three("R6", "DB1-1", "homogeniser and pasteuriser pumps", "10:55", all.Loads["homogeniser"])
	w.three("R7", "DB1-2", "separator at speed", "11:00", later.Loads["separator"])
	w.balanced("R8", "DB1-3", "cleaning heater, heating", "11:04", all.Loads["cip-heater"])
	w.three("R9", "DB1-5", "packing line running", "11:10", later.Loads["packing"])
	w.three("R10", "DB1-7", "whey filter, pumps on their drives", "11:13", all.Loads["whey-filter"])
	w.harmonics(all.Loads["whey-filter"], 0, []int{5, 7, 11, 13, 17})
	w.single("R11", "DB1-6", "case labeller", "11:17", later.Loads["labeller"], 0, nil)
	w.three("R12", "DB2-1", "cold store compressor 1 running", "11:22", all.Loads["cold-store"])
	w.three("R13", "DB2-3", "ice-water chiller, loaded", "11:28", all.Loads["chiller-loaded"])
	w.three("R14", "DB2-3", "ice-water chiller, unloaded", "11:36", unloaded.Loads["chiller-unloaded"])
	w.three("R15", "DB2-4", "ripening room fans on their drive", "11:42", all.Loads["ripening-fans"])
	w.harmonics(all.Loads["ripening-fans"], 0, []int{5, 7, 11, 13, 17})
	w.three("R16", "DB2-5", "blast chiller", "11:48", later.Loads["blast-chiller"])
	w.three("R17", "DB3-1", "air compressor, loaded", "11:55", all.Loads["air-loaded"])
	w.three("R18", "DB3-1", "air compressor, unloaded", "11:58", unloaded.Loads["air-unloaded"])
	w.wattmeters("R19", "DB3-2", "well pump", "12:03", all.Loads["well-pump"])
	w.reversed("R20", "DB3-3", "effluent pump", "12:08", all.Loads["effluent"])
	w.single("R21", "DB4-1", "production lights, first of three circuits", "12:15", all.Loads["lights-a"], 0, []int{3, 5, 7, 9})
	w.single("R22", "DB4-4", "server and controls", "12:19", all.Loads["server"], 2, nil)
	w.single("R23", "DB4-6", "chill cabinet in the shop, running", "12:25", all.Loads["cabinet-1"], 1, nil)
	return w.b.String()
}

// replace gives names with old ones swapped for new, pair by pair.
func replace(names []string, pairs ...string) []string {
	r := slices.Clone(names)
	for i := 0; i < len(pairs); i += 2 {
		r[slices.Index(r, pairs[i])] = pairs[i+1]
	}
	return r
}

var phaseLetters = []string{"A", "B", "C"}

type writer struct{ b strings.Builder }

func (w *writer) line(format string, args ...any) { fmt.Fprintf(&w.b, format+"\n", args...) }

func (w *writer) head(id, at, of, time, wiring string) {
	w.line("  - id: %s", id)
	w.line("    at: %s", at)
	if of != "" {
		w.line("    of: %s", of)
	}
	w.line("    time: %s", time)
	w.line("    wiring: %s", wiring)
}

func (w *writer) phase(name string, s Shown) {
	w.line("      %s: {voltage: %.1f V, current: %.1f A, power: %.2f kW, reactive: %.2f kvar, apparent: %.2f kVA, pf: %s}",
		name, s.V, s.I, s.P/1e3, plain(s.Q/1e3), s.S/1e3, pf(s))
}

// plain keeps a display from showing a negative zero.
func plain(x float64) float64 {
	if math.Abs(x) < 0.005 {
		return 0
	}
	return x
}

func pf(s Shown) string {
	text := fmt.Sprintf("%.2f", s.PF)
	if s.PF > 0 && s.PF < 0.995 {
		text += " lag"
	}
	return text
}

func (w *writer) three(id, at, of, time string, t Terminal) {
	w.head(id, at, of, time, "3P4W")
	w.line("    phases:")
	for i, name := range phaseLetters {
		w.phase(name, t.Phase(i))
	}
	if at == "incomer" {
		w.line("    lines: {AB: {voltage: %.1f V}, BC: {voltage: %.1f V}, CA: {voltage: %.1f V}}", t.Line(0), t.Line(1), t.Line(2))
	}
}

// angles adds the angles of the voltages to the phases just written.
func (w *writer) angles(t Terminal) {
	text := w.b.String()
	for i, name := range phaseLetters {
		at := strings.LastIndex(text, "      "+name+": ")
		end := at + strings.Index(text[at:], "}")
		degrees := cmplx.Phase(t.V[i][1]/t.V[0][1]) * 180 / math.Pi
		text = text[:end] + fmt.Sprintf(", voltage-angle: %.1f °", degrees) + text[end:]
	}
	w.b.Reset()
	w.b.WriteString(text)
}

// neutral adds the neutral's current to the phases just written.
func (w *writer) neutral(t Terminal) {
	text := w.b.String()
	at := strings.LastIndex(text, "      C: ")
	at += strings.Index(text[at:], "\n") + 1
	w.b.Reset()
	w.b.WriteString(text[:at] + fmt.Sprintf("      N: {current: %.1f A}\n", t.Neutral()) + text[at:])
}

func (w *writer) balanced(id, at, of, time string, t Terminal) {
	w.head(id, at, of, time, "3P4W")
	w.line("    balanced: yes")
	w.line("    phases:")
	w.phase("A", t.Phase(0))
}

func (w *writer) single(id, at, of, time string, t Terminal, phase int, orders []int) {
	w.head(id, at, of, time, "1P2W")
	w.line("    phases:")
	w.phase(phaseLetters[phase], t.Phase(phase))
	if orders != nil {
		w.spectrum("current", phase, t.I[phase], orders, "    harmonics:")
	}
}

func (w *writer) wattmeters(id, at, of, time string, t Terminal) {
	w.head(id, at, of, time, "3P3W")
	w.line("    phases: {A: {current: %.1f A}, C: {current: %.1f A}}", t.Phase(0).I, t.Phase(2).I)
	w.line("    lines:")
	w.line("      AB: {voltage: %.1f V, power: %.2f kW}", t.Line(0), t.Wattmeter(0, 1)/1e3)
	w.line("      CB: {voltage: %.1f V, power: %.2f kW}", t.Line(1), t.Wattmeter(2, 1)/1e3)
	w.line("      CA: {voltage: %.1f V}", t.Line(2))
}

func (w *writer) reversed(id, at, of, time string, t Terminal) {
	w.head(id, at, of, time, "3P4W")
	w.line("    phases:")
	for i, name := range phaseLetters {
		s := t.Phase(i)
		if name == "C" {
			s.P, s.Q, s.PF = -s.P, -s.Q, -s.PF
		}
		w.phase(name, s)
	}
}

func (w *writer) harmonics(t Terminal, phase int, orders []int) {
	w.spectrum("current", phase, t.I[phase], orders, "    harmonics:")
	var present []int
	for _, h := range orders {
		if t.V[phase].Share(h) >= 0.0005 {
			present = append(present, h)
		}
	}
	w.spectrum("voltage", phase, t.V[phase], present, "")
}

func (w *writer) spectrum(kind string, phase int, wave Wave, orders []int, head string) {
	if head != "" {
		w.line("%s", head)
	}
	parts := make([]string, len(orders))
	for i, h := range orders {
		parts[i] = fmt.Sprintf("%d: %.1f %%", h, wave.Share(h)*100)
	}
	w.line("      %s: {phase: %s, thd: %.1f %% of fundamental, orders: {%s}}", kind, phaseLetters[phase], wave.THD()*100, strings.Join(parts, ", "))
}
