package plant

import "math/cmplx"

const workshopSite = `client: Tollgate Joinery
time-zone: Europe/Dublin
supply: {system: 3P4W, voltage: 400 V, frequency: 50 Hz, limits: europe}
points:
  incomer: {name: Incomer, breaker: 160 A}
  DB1: {name: Board 1, from: incomer, breaker: 63 A}
  DB2: {name: Board 2, from: incomer, breaker: 63 A}
tariff: flat
`

const workshopList = `loads:
  - {id: pump, name: Circulation pump, at: DB1-1, use: heating, reading: R4, runs: {calendar: always}}
  - {id: oven, name: Drying oven, at: DB1-2, use: drying, reading: R5, runs: {calendar: always}}
  - {id: lights, name: Lights, at: DB2-1, use: lighting, power: 1.2 kW, runs: {calendar: always}}
  - {id: compressor, name: Compressor, at: DB2-2, use: air, power: 8 kW, runs: {calendar: always}}
  - {id: drive, name: Press, at: DB2-3, use: machines, reading: R8, runs: {calendar: always}}
  - {id: fan, name: Extraction fan, at: DB2-4, use: machines, power: 400 W, runs: {calendar: always}}
`

// splitPhase is a shop on a single-phase three-wire supply, where the voltage of
// one leg was taken between both.
func splitPhase() Mistake {
	p := Plant{
		Supply: [3]complex128{121, cmplx.Rect(120, 3.141592653589793), 0}, Source: complex(0.01, 0.01),
		Boards: []Board{{"board", complex(0.005, 0.002)}},
		Loads: []Load{
			{"fridge", "board", []int{0}, 760, 0.86, nil},
			{"lights", "board", []int{1}, 540, 0.97, nil},
		},
	}
	s := p.Solve("fridge", "lights")
	r1 := display{id: "R1", at: "panel", time: "09:10", wiring: "1P3W", phases: shownPhases(s.Boards["board"])[:2]}
	fridge := s.Loads["fridge"]
	r2 := singlePhase("R2", "panel-1", "display fridge", "09:14", fridge, 0)
	r2.phases[0].shown = seen(against(fridge.V[0], fridge.V[1]), fridge.I[0])
	about := "At the fridge of a split-phase shop the voltage was taken between both legs."
	return Mistake{Name: "leg-voltage-doubled", About: about, Doubt: "line-voltage-for-phase-voltage", Files: map[string]string{
		"site.yaml": `client: Corner Shop
time-zone: America/Chicago
supply: {system: 1P3W, voltage: 240 V, frequency: 60 Hz, limits: north-america}
points: {panel: {name: Panel}}
tariff: flat
`,
		"visits/2031-05-14.yaml": visitFile(about, "clamp-1", []display{r1, r2}, `loads:
  - {id: fridge, name: Display fridge, at: panel-1, use: cooling, power: 800 W, runs: {calendar: always}}
  - {id: lights, name: Lights, at: panel-2, use: lighting, power: 560 W, runs: {calendar: always}}
`),
	}}
}

// tradeDisplays are figures as instruments of the trade show them together.
func tradeDisplays() []Mistake {
	visit := func(about, readings, loads string) string {
		return "# " + about + "\nvisit: 2031-05-14\nby: I. Marchbank\nwith: display\nreadings:\n" + readings + "loads:\n" + loads
	}
	one := "One phase as a display shows it. Volts, amperes, powers, power factor and both bases of the distortion agree; the kvar is not the fundamental's."
	delta := "A delta of 274, 274 and 225 V. Sizes tell no sequence: the display does, and it is forward."
	load := "  - {id: load, name: Small loads, at: panel-1, use: other, power: 1.2 kW, runs: {calendar: always}}\n"
	return []Mistake{
		{Name: "trade-display", About: one, Doubt: "kvar-is-non-active", Files: map[string]string{
			"site.yaml": "client: Corner Shop\ntime-zone: Europe/Dublin\nsupply: {system: 1P2W, voltage: 230 V, frequency: 50 Hz, limits: europe}\npoints: {panel: {name: Panel}}\ntariff: flat\n",
			"visits/2031-05-14.yaml": visit(one, `  - id: R1
    at: panel-1
    wiring: 1P2W
    phases: {A: {voltage: 222 V, current: 6.2 A, power: 1.19 kW, reactive: 0.71 kvar, apparent: 1.38 kVA, pf: 0.856 lag}}
    harmonics:
      current: {phase: A, thd: 46.1 % of fundamental, thd-of-rms: 42 %, orders: {2: 5.2 %, 3: 41.7 %, 5: 15 %}}
      voltage: {phase: A, thd: 6.5 % of fundamental, orders: {2: 0.3 %, 3: 6 %, 5: 2.3 %}}
`, load),
		}},
		{Name: "trade-delta", About: delta, Doubt: "", Files: map[string]string{
			"site.yaml": "client: Corner Works\ntime-zone: America/Chicago\nsupply: {system: 3P3W, voltage: 240 V, frequency: 60 Hz, limits: north-america}\npoints: {panel: {name: Panel}}\ntariff: flat\n",
			"visits/2031-05-14.yaml": visit(delta, `  - id: R1
    at: panel
    wiring: 3P3W
    lines: {AB: {voltage: 274 V}, BC: {voltage: 274 V}, CA: {voltage: 225 V}}
    sequence: ABC
`, load),
		}},
	}
}
