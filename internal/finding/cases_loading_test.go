package finding

import "strings"

// amps is a reading of three line currents, in A, with a neutral where one is given.
func amps(place, a, b, c, n, rest string) string {
	phases := "A: {voltage: 231.0 V, current: " + a + " A}, B: {voltage: 231.0 V, current: " + b + " A}, C: {voltage: 231.0 V, current: " + c + " A}"
	if n != "" {
		phases += ", N: {current: " + n + " A}"
	}
	return at(place, "3P4W", "phases: {"+phases+"}"+rest)
}

// second is a reading with the id R2.
func second(reading string) string { return "\n" + strings.Replace(reading, "R1", "R2", 1) }

func thirdAt(place, share string) string {
	return amps(place, "100.0", "100.0", "100.0", "", ", harmonics: {current: {phase: A, thd: 60.0 % of fundamental, orders: {3: "+share+" %}}}")
}

const fused = "{incomer: {name: Incomer, breaker: 200 A}, DB1: {name: Board, from: incomer, breaker: 100 A}}"

// quiet keeps the expected demand of a site small beside its breakers.
const quiet = "  - {id: it, name: It, at: DB1-1, use: work, power: 1 kW, pf: 1.00, runs: {calendar: always}}"

func volts3(place, a, b, c string) string {
	return at(place, "3P4W", "phases: {A: {voltage: "+a+" V}, B: {voltage: "+b+" V}, C: {voltage: "+c+" V}}")
}

// loadingCases are cases on both sides of each limit, for rules about conductors
// and the instrument.
var loadingCases = map[string][]judged{
	"measurement-category": {
		{name: "rated", site: small{instrument: "category = \"CAT IV 600 V\"", readings: volts3("incomer", "231.0", "231.0", "231.0")}, severity: InOrder, says: "rated for every place", evidence: "CAT IV 600 V"},
		{name: "just rated for a board", site: small{instrument: "category = \"CAT III 300 V\"", readings: volts3("DB1", "231.0", "231.0", "231.0")}, severity: InOrder},
		{name: "one class too low at the incomer", site: small{instrument: "category = \"CAT III 1000 V\"", readings: volts3("incomer", "231.0", "231.0", "231.0")}, severity: ActNow, says: "in danger", evidence: "CAT IV place", clause: "61010"},
		{name: "voltage too low", site: small{instrument: "category = \"CAT IV 150 V\"", readings: volts3("incomer", "231.0", "231.0", "231.0")}, severity: ActNow, says: "not rated for this point"},
		{name: "not stated", site: small{readings: volts3("incomer", "231.0", "231.0", "231.0")}, says: "not stated", measure: "category of the instrument clamp"},
		{name: "nothing was measured", says: "nothing was measured", measure: "readings"},
	},
	"calibration": {
		{name: "on the last day", site: small{visit: "2031-09-02", instrument: "calibration-due = \"2031-09-02\"\ncertificate = \"C-1\"", readings: volts3("DB1", "231.0", "231.0", "231.0")}, severity: InOrder, says: "within its calibration", evidence: "certificate C-1"},
		{name: "a day late", site: small{visit: "2031-09-03", instrument: "calibration-due = \"2031-09-02\"", readings: volts3("DB1", "231.0", "231.0", "231.0")}, severity: Plan, says: "had run out when reading R1"},
		{name: "several readings", site: small{visit: "2031-09-03", instrument: "calibration-due = \"2031-09-02\"", readings: volts3("DB1", "231.0", "231.0", "231.0") + second(volts3("DB1-1", "231.0", "231.0", "231.0"))}, severity: Plan, says: "when two readings were taken"},
		{name: "no date", site: small{readings: volts3("DB1", "231.0", "231.0", "231.0")}, measure: "calibration-due of the instrument clamp"},
		{name: "nothing was measured", says: "nothing was measured", measure: "readings"},
	},
	"breaker-loading": {
		{name: "half", site: small{points: fused, loads: quiet, readings: amps("DB1", "50.0", "49.0", "48.0", "", "")}, severity: InOrder, says: "No feeder read carries more than 50 %", evidence: "50.0 A at Board, 50 % of 100 A", clause: "IEC 60364-4-43"},
		{name: "at four fifths", site: small{points: fused, loads: quiet, readings: amps("DB1", "80.0", "49.0", "48.0", "", "")}, severity: InOrder},
		{name: "near", site: small{points: fused, loads: quiet, readings: amps("DB1", "80.1", "49.0", "48.0", "", "")}, severity: Watch, says: "near the rating"},
		{name: "at the rating", site: small{points: fused, loads: quiet, readings: amps("DB1", "100.0", "49.0", "48.0", "", "")}, severity: Watch},
		{name: "above", site: small{points: fused, loads: quiet, readings: amps("DB1", "100.6", "49.0", "48.0", "", "")}, severity: ActNow, says: "Board carries more than its protective device is rated for: 101 % of 100 A"},
		{name: "america, at four fifths", site: small{supply: america, points: fused, loads: quiet, readings: strings.ReplaceAll(amps("DB1", "80.0", "49.0", "48.0", "", ""), "231.0", "277.0")}, severity: InOrder},
		{name: "america, above four fifths", site: small{supply: america, points: fused, loads: quiet, readings: strings.ReplaceAll(amps("DB1", "80.6", "49.0", "48.0", "", ""), "231.0", "277.0")}, severity: Plan, says: "above the 80 % for continuous load", clause: "NEC"},
		{name: "expected at the highest demand", site: small{points: fused, loads: strings.Replace(quiet, "1 kW", "120 kW", 1), readings: volts3("DB1", "231.0", "231.0", "231.0")}, severity: Watch, evidence: "173 A expected at Incomer at the year's highest demand, 87 % of 200 A"},
		{name: "no breaker stated", site: small{readings: amps("DB1", "50.0", "49.0", "48.0", "", "")}, says: "no feeder was read", measure: "breaker in site.yaml"},
	},
	"neutral-current": {
		{name: "little", site: small{readings: amps("DB1", "100.0", "100.0", "100.0", "10.0", "")}, severity: InOrder, says: "that of Board carries most, 10 % of one"},
		{name: "as much as a line", site: small{readings: amps("DB1", "100.0", "100.0", "100.0", "100.0", "")}, severity: InOrder},
		{name: "more than a line", site: small{readings: amps("DB1", "100.0", "100.0", "100.0", "100.6", "")}, severity: Plan, says: "carries more than any of its lines: 101 %"},
		{name: "more than its breaker", site: small{points: fused, readings: amps("DB1", "90.0", "90.0", "90.0", "101.0", "")}, severity: ActNow, says: "101 % of what its protective device allows"},
		{name: "third at 15 %", site: small{readings: thirdAt("DB1", "15.0")}, severity: InOrder, says: "too low to load a neutral: 15.0 %", clause: "Table E.52.1"},
		{name: "third above 15 %", site: small{readings: thirdAt("DB1", "15.1")}, severity: Watch, says: "capacity down to 86 %"},
		{name: "third at 33 %", site: small{readings: thirdAt("DB1", "33.0")}, severity: Watch},
		{name: "third above 33 %", site: small{readings: thirdAt("DB1", "33.1")}, severity: Plan, says: "loads the neutral more than the lines", evidence: "A in the neutral if the phases are alike"},
		{name: "split phase", site: small{supply: splitPhase, readings: at("DB1", "1P3W", "phases: {A: {voltage: 120.0 V, current: 40.0 A}, B: {voltage: 120.0 V, current: 25.0 A}, N: {current: 15.0 A}}")}, severity: InOrder, says: "38 % of one"},
		{name: "not read", site: small{readings: amps("DB1", "100.0", "100.0", "100.0", "", "")}, says: "neither", measure: "phases: N with current"},
	},
	"current-unbalance": {
		{name: "alike", site: small{readings: amps("incomer", "100.0", "101.0", "99.0", "", "")}, severity: InOrder, says: "The phases of Incomer carry alike, to within 1 %"},
		{name: "incomer at 10 %", site: small{readings: amps("incomer", "110.0", "95.0", "95.0", "", "")}, severity: InOrder},
		{name: "incomer above 10 %", site: small{readings: amps("incomer", "110.4", "94.8", "94.8", "", "")}, severity: Watch, says: "unequally"},
		{name: "incomer at 30 %", site: small{readings: amps("incomer", "130.0", "85.0", "85.0", "", "")}, severity: Watch},
		{name: "incomer above 30 %", site: small{readings: amps("incomer", "130.4", "84.8", "84.8", "", "")}, severity: Plan},
		{name: "board at 30 %", site: small{readings: amps("DB1", "130.0", "85.0", "85.0", "", "")}, severity: InOrder},
		{name: "board above 30 %", site: small{readings: amps("DB1", "130.4", "84.8", "84.8", "", "")}, severity: Watch, evidence: "130.4 A on A"},
		{name: "a single load is no board", site: small{readings: amps("DB1-1", "130.4", "84.8", "84.8", "", "")}, measure: "current of phases A, B and C"},
		{name: "split phase has none", site: small{supply: splitPhase, readings: at("incomer", "1P3W", "phases: {A: {current: 40.0 A}, B: {current: 20.0 A}}")}, severity: "silent"},
	},
	"voltage-drop": {
		{name: "little", site: small{readings: volts3("incomer", "231.0", "231.0", "231.0") + second(volts3("DB1-1", "228.7", "230.0", "230.0"))}, severity: InOrder, says: "At most 1.0 %", clause: "Table G.52.1"},
		{name: "none", site: small{readings: volts3("incomer", "231.0", "231.0", "231.0") + second(volts3("DB1-1", "231.0", "231.0", "231.0"))}, severity: InOrder, says: "No voltage is lost"},
		// 3 % and 5 % of 230.9 V are 6.93 and 11.55 V.
		{name: "just below 3 %", site: small{readings: volts3("incomer", "231.0", "231.0", "231.0") + second(volts3("DB1-1", "224.1", "230.0", "230.0"))}, severity: InOrder},
		{name: "just above 3 %", site: small{readings: volts3("incomer", "231.0", "231.0", "231.0") + second(volts3("DB1-1", "224.0", "230.0", "230.0"))}, severity: Watch, says: "drops by 3.0 %"},
		{name: "just below 5 %", site: small{readings: volts3("incomer", "231.0", "231.0", "231.0") + second(volts3("DB1-1", "219.5", "230.0", "230.0"))}, severity: Watch},
		{name: "just above 5 %", site: small{readings: volts3("incomer", "231.0", "231.0", "231.0") + second(volts3("DB1-1", "219.4", "230.0", "230.0"))}, severity: Plan, says: "above the 5 % advised", evidence: "11.6 V less at R2"},
		{name: "america", site: small{supply: america, readings: volts3("incomer", "277.0", "277.0", "277.0") + second(volts3("DB1-1", "262.0", "277.0", "277.0"))}, severity: Plan, clause: "NEC"},
		{name: "only the incomer", site: small{readings: volts3("incomer", "231.0", "231.0", "231.0")}, says: "both at the incomer and elsewhere", measure: "voltage by phase"},
	},
	"phase-sequence": {
		{name: "forward", site: small{readings: at("incomer", "3P4W", "phases: {A: {voltage: 231.0 V}}, sequence: ABC")}, severity: InOrder, says: "forward, ABC, where it was read"},
		{name: "backward everywhere", site: small{readings: at("incomer", "3P4W", "phases: {A: {voltage: 231.0 V}}, sequence: ACB") + second(at("DB1", "3P4W", "phases: {A: {voltage: 231.0 V}}, sequence: ACB"))}, severity: Watch, says: "backward, ACB, in both"},
		{name: "mixed", site: small{readings: at("incomer", "3P4W", "phases: {A: {voltage: 231.0 V}}, sequence: ABC") + second(at("DB1", "3P4W", "phases: {A: {voltage: 231.0 V}}, sequence: ACB"))}, severity: Plan, says: "the other way, ACB, at Board"},
		{name: "by angles", site: small{readings: at("incomer", "3P4W", "phases: {A: {voltage: 231.0 V, voltage-angle: 0 °}, B: {voltage: 231.0 V, voltage-angle: 120 °}, C: {voltage: 231.0 V, voltage-angle: -120 °}}")}, severity: Watch, says: "backward"},
		{name: "not shown", site: small{readings: volts3("incomer", "231.0", "231.0", "231.0")}, measure: "sequence"},
		{name: "single phase has none", site: small{supply: splitPhase, readings: at("incomer", "1P3W", "phases: {A: {voltage: 120.0 V}}")}, severity: "silent"},
	},
	"over-compensation": {
		{name: "lagging", site: small{readings: at("incomer", "3P4W", "total: {power: 80.0 kW, reactive: 20.0 kvar}")}, severity: InOrder, says: "lags at the incomer", evidence: "20 kvar"},
		{name: "at nothing", site: small{readings: at("incomer", "3P4W", "total: {power: 80.0 kW, reactive: 0.0 kvar}")}, severity: InOrder},
		{name: "leads a little", site: small{readings: at("incomer", "3P4W", "total: {power: 80.0 kW, reactive: -8.0 kvar}")}, severity: Watch, says: "gives 8.0 kvar back"},
		{name: "leads much", site: small{readings: at("incomer", "3P4W", "total: {power: 80.0 kW, reactive: -20.0 kvar}")}, severity: Plan, evidence: "power factor of 0.97, leading"},
		{name: "the last step's lead", site: small{readings: at("incomer", "3P4W", "total: {power: 80.0 kW, reactive: -16.2 kvar}")}, severity: Watch},
		{name: "not read", site: small{readings: volts3("incomer", "231.0", "231.0", "231.0")}, measure: "reactive by phase"},
	},
}
