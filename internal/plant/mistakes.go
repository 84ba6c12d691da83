package plant

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
)

// Mistake is a site whose readings hold one mistake that people make with a
// clamp meter, or none.
type Mistake struct {
	Name  string
	About string            // one sentence: what was done wrong, and where
	Doubt string            // the doubt that names it; "" for none
	Files map[string]string // of the site's folder
}

// workshop is the plant behind the sites with mistakes: an incomer, two boards,
// and loads that always run.
func workshop() Plant {
	v := 400 / math.Sqrt(3)
	three := []int{0, 1, 2}
	return Plant{
		Supply: [3]complex128{cmplx.Rect(v*1.012, 0), cmplx.Rect(v*1.004, -120.2*math.Pi/180), cmplx.Rect(v*1.009, 119.9*math.Pi/180)},
		Source: complex(0.008, 0.02), Background: map[int]float64{3: 0.006, 5: 0.018, 7: 0.009},
		Boards: []Board{{"DB1", complex(0.012, 0.005)}, {"DB2", complex(0.015, 0.005)}},
		Loads: []Load{
			{"pump", "DB1", three, 9200, 0.84, nil},
			{"oven", "DB1", []int{0, 1}, 5200, 1, nil},
			{"lights", "DB2", []int{0}, 1160, 0.96, map[int]float64{3: 0.12, 5: 0.06, 7: 0.04}},
			{"compressor", "DB2", three, 7400, 0.80, nil},
			{"drive", "DB2", three, 6100, 0.97, map[int]float64{5: 0.52, 7: 0.30, 11: 0.09, 13: 0.06}},
			{"fan", "DB2", []int{2}, 350, 0.72, nil},
		},
	}
}

var workshopLoads = []string{"pump", "oven", "lights", "compressor", "drive", "fan"}

// readings gives what is shown at the workshop when nothing is done wrong.
func (s State) readings() []display {
	r1 := threePhase("R1", "incomer", "", "10:00", s.Incomer)
	r1.neutral, r1.lines, r1.sequence, r1.frequency = s.Incomer.Neutral(), [3]float64{s.Incomer.Line(0), s.Incomer.Line(1), s.Incomer.Line(2)}, "ABC", 50.01
	r1.voltage = spectrumOf(0, s.Incomer.V[0])
	drive := threePhase("R8", "DB2-3", "drive of the press", "10:35", s.Loads["drive"])
	drive.current = spectrumOf(0, s.Loads["drive"].I[0])
	return []display{
		r1,
		withLines(threePhase("R2", "DB1", "", "10:05", s.Boards["DB1"]), s.Boards["DB1"]),
		threePhase("R3", "DB2", "", "10:10", s.Boards["DB2"]),
		threePhase("R4", "DB1-1", "circulation pump", "10:15", s.Loads["pump"]),
		threePhase("R5", "DB1-2", "drying oven", "10:20", s.Loads["oven"]),
		singlePhase("R6", "DB2-1", "lights", "10:25", s.Loads["lights"], 0),
		twoWattmeters("R7", "DB2-2", "compressor", "10:30", s.Loads["compressor"], 1, 1),
		drive,
		singlePhase("R9", "DB2-4", "extraction fan", "10:40", s.Loads["fan"], 2),
	}
}

func withLines(d display, t Terminal) display {
	d.lines, d.sequence = [3]float64{t.Line(0), t.Line(1), t.Line(2)}, "ABC"
	return d
}

// clamped shows a place with clamp and voltage lead of each phase where they are
// said to be: clamps[i] is the conductor in the clamp of phase i, with a minus
// (counted from 1) when it is on backwards.
func clamped(d display, t Terminal, clamps [3]int) display {
	for i, c := range clamps {
		w := t.I[max(c, -c)-1]
		if c < 0 {
			w = turned(w)
		}
		d.phases[i].shown = seen(t.V[i], w)
	}
	return d
}

// leads shows a place with its voltages measured from another point.
func leads(d display, t Terminal, v [3]Wave) display {
	for i := range v {
		d.phases[i].shown = seen(v[i], t.I[i])
	}
	return d
}

func divided(d display, k float64) display {
	for i := range d.phases {
		s := &d.phases[i].shown
		s.I, s.P, s.Q, s.S = s.I/k, s.P/k, s.Q/k, s.S/k
	}
	d.neutral /= k
	return d
}

func spoil(name, about, doubt string, change func(s State, rs []display)) Mistake {
	p := workshop()
	s := p.Solve(workshopLoads...)
	rs := s.readings()
	for i := range rs {
		rs[i].phases = slices.Clone(rs[i].phases)
	}
	if change != nil {
		change(s, rs)
	}
	return Mistake{Name: name, About: about, Doubt: doubt, Files: map[string]string{
		"site.yaml":              workshopSite,
		"visits/2031-05-14.yaml": visitFile(about, "clamp-1", rs, workshopList),
	}}
}

// readings of the workshop, by their place in the list.
const (
	incomer = iota
	board1
	board2
	pump
	oven
	lights
	compressor
	drive
	fan
)

// Mistakes lists the sites.
func Mistakes() []Mistake {
	return slices.Concat(clampMistakes(), leadMistakes(), ratioMistakes(), valueMistakes(), settingMistakes(), tradeDisplays())
}

func clampMistakes() []Mistake {
	at := func(clamps [3]int) func(State, []display) {
		return func(s State, rs []display) { rs[board1] = clamped(rs[board1], s.Boards["DB1"], clamps) }
	}
	return []Mistake{
		spoil("none", "Nothing is done wrong.", "", nil),
		spoil("clamp-reversed", "At board 1 the clamp of phase B is on backwards.", "current-reversed", at([3]int{1, -2, 3})),
		spoil("two-clamps-reversed", "At board 1 the clamps of phases B and C are on backwards.", "current-reversed", at([3]int{1, -2, -3})),
		spoil("clamps-exchanged", "At board 1 the clamps of phases A and B are exchanged.", "clamps-exchanged", at([3]int{2, 1, 3})),
		spoil("clamps-rotated", "At board 1 each clamp is one phase on from its voltage lead.", "clamps-rotated", at([3]int{2, 3, 1})),
		spoil("clamp-on-another-phase", "At board 1 the clamp of phase C is on the conductor of phase A.", "clamp-on-another-phase", at([3]int{1, 2, 1})),
		spoil("wattmeter-clamp-reversed", "At the compressor one clamp of the two-wattmeter set is on backwards.", "wattmeter-clamp-reversed", func(s State, rs []display) {
			rs[compressor] = twoWattmeters("R7", "DB2-2", "compressor", "10:30", s.Loads["compressor"], 1, -1)
		}),
	}
}

func leadMistakes() []Mistake {
	return []Mistake{
		spoil("phase-order-swapped", "At board 1 leads and clamps of phases B and C are exchanged together.", "sequence-reversed", func(s State, rs []display) {
			rs[board1].phases[1].shown, rs[board1].phases[2].shown = rs[board1].phases[2].shown, rs[board1].phases[1].shown
			l := rs[board1].lines
			rs[board1].lines, rs[board1].sequence = [3]float64{l[2], l[1], l[0]}, "ACB"
		}),
		spoil("neutral-lead-open", "At board 1 the meter's neutral lead is off, and its neutral floats.", "neutral-lead-open", func(s State, rs []display) {
			t := s.Boards["DB1"]
			floats := scaled(t.V[0], 0.23)
			rs[board1] = leads(rs[board1], t, [3]Wave{against(t.V[0], floats), against(t.V[1], floats), against(t.V[2], floats)})
		}),
		spoil("neutral-and-phase-exchanged", "At board 1 the neutral lead and that of phase A are exchanged.", "neutral-and-phase-exchanged", func(s State, rs []display) {
			t := s.Boards["DB1"]
			rs[board1] = leads(rs[board1], t, [3]Wave{turned(t.V[0]), against(t.V[1], t.V[0]), against(t.V[2], t.V[0])})
			rs[board1].lines = [3]float64{t.V[1].RMS(), t.Line(1), t.V[2].RMS()}
		}),
		spoil("line-voltage-for-phase-voltage", "At the lights the voltage was taken between phases A and B.", "line-voltage-for-phase-voltage", func(s State, rs []display) {
			t := s.Loads["lights"]
			rs[lights].phases[0].shown = seen(against(t.V[0], t.V[1]), t.I[0])
		}),
		splitPhase(),
		spoil("voltage-transformer-reversed", "At the compressor one of two voltage transformers is connected the wrong way about.", "voltage-transformer-reversed", func(s State, rs []display) {
			t := s.Loads["compressor"]
			sum := against(against(t.V[0], t.V[1]), against(t.V[1], t.V[2]))
			rs[compressor].lines[2] = sum.RMS()
		}),
	}
}

func ratioMistakes() []Mistake {
	return []Mistake{
		spoil("ct-ratio-applied-twice", "At the incomer the meter shows the primary current, and the ratio is applied once more.", "ratio-applied-twice", func(_ State, rs []display) {
			rs[incomer].more = append(rs[incomer].more, "ratios: {ct: 200/5, set: no}")
		}),
		spoil("ct-ratio-not-applied", "At the incomer the ratio is said to be set in the meter, and is not.", "ratio-not-applied", func(_ State, rs []display) {
			rs[incomer] = divided(rs[incomer], 40)
			rs[incomer].more = append(rs[incomer].more, "ratios: {ct: 200/5, set: yes}")
		}),
		spoil("ct-ratio-not-stated", "At the incomer the secondary current was read, and nobody said so.", "ratio-not-applied", func(_ State, rs []display) {
			rs[incomer] = divided(rs[incomer], 40)
		}),
		spoil("ct-ratio-wrong", "At the incomer the transformer is one of 100/5, and 200/5 is stated.", "ratio-wrong", func(_ State, rs []display) {
			rs[incomer] = divided(rs[incomer], 20)
			rs[incomer].more = append(rs[incomer].more, "ratios: {ct: 200/5, set: no}")
		}),
		spoil("ct-ratio-right", "At the incomer the secondary side was read, and the ratio is applied once.", "", func(_ State, rs []display) {
			rs[incomer] = divided(rs[incomer], 40)
			rs[incomer].more = append(rs[incomer].more, "ratios: {ct: 200/5, set: no}")
		}),
		spoil("vt-ratio-applied-twice", "At board 2 the meter shows the primary voltage, and the ratio of its voltage transformer is applied once more.", "voltage-ratio", func(_ State, rs []display) {
			rs[board2].more = append(rs[board2].more, "ratios: {vt: 400/100, set: no}")
		}),
	}
}

func valueMistakes() []Mistake {
	return []Mistake{
		spoil("watts-for-kilowatts", "The pump's powers are written in W, var and VA.", "unit-slip", func(_ State, rs []display) {
			for i := range rs[pump].phases {
				rs[pump].phases[i].units = [5]string{"V", "A", "W", "var", "VA"}
			}
		}),
		spoil("amperes-for-milliamperes", "The fan's current, shown in mA, is written in A.", "unit-slip", func(_ State, rs []display) {
			rs[fan].phases[0].shown.I *= 1000
		}),
		spoil("balanced-assumed", "The oven was read on one phase and taken as balanced; another reading shows that it stands on two.", "balanced-but-phases-differ", func(_ State, rs []display) {
			once := rs[oven]
			once.phases = once.phases[:1]
			once.balanced, once.id, once.time = true, "R10", "11:00"
			rs[fan].next = &once
		}),
		spoil("distortion-base", "At the drive the distortion of rms is written down as one of the fundamental.", "distortion-base", func(_ State, rs []display) {
			f := rs[drive].current.thd
			rs[drive].current.thd = f / math.Sqrt(1+f*f)
		}),
		spoil("kvar-is-non-active", "At the drive the meter shows the root of S² − P² as kvar.", "kvar-is-non-active", func(_ State, rs []display) {
			for i := range rs[drive].phases[:1] {
				s := &rs[drive].phases[i].shown
				s.Q = math.Sqrt(s.S*s.S - s.P*s.P)
			}
		}),
		spoil("parts-against-whole", "While board 2 was read, the drive stood still.", "parts-against-whole", func(_ State, rs []display) {
			p := workshop()
			off := p.Solve("pump", "oven", "lights", "compressor", "fan")
			rs[board2].phases = shownPhases(off.Boards["DB2"])
		}),
		spoil("sign-of-power-factor", "At the lights a power factor with a minus was written down, and no power.", "sign-of-power-factor", func(_ State, rs []display) {
			rs[lights].phases[0].only, rs[lights].phases[0].pf = "voltage current pf", fmt.Sprintf("%.2f", -rs[lights].phases[0].shown.PF)
		}),
	}
}

func settingMistakes() []Mistake {
	with := func(name, about, doubt, instrument string, readings ...int) Mistake {
		return spoil(name, about, doubt, func(_ State, rs []display) {
			for _, i := range readings {
				rs[i].with = instrument
			}
		})
	}
	return []Mistake{
		with("category-too-low", "The incomer was read with an instrument for boards.", "category-too-low", "clamp-boards", incomer),
		with("out-of-calibration", "Both boards were read with an instrument whose calibration had run out.", "out-of-calibration", "clamp-old", board1, board2),
		with("current-too-small", "The fan was read with a clamp for large currents.", "current-too-small", "clamp-large", fan),
		spoil("frequency-setting", "The meter was set to 60 Hz.", "frequency-off", func(_ State, rs []display) { rs[incomer].frequency = 60.01 }),
	}
}

func visitFile(about, with string, rs []display, loads string) string {
	w := &writer{}
	w.line("# %s", about)
	w.line("visit: 2031-05-14\nby: I. Marchbank\nwith: %s\nreadings:", with)
	for _, r := range rs {
		r.write(w)
	}
	return w.b.String() + loads
}
