package finding

import "strings"

// alsoUnbalanced reads voltages unbalanced by 3 % at the board.
func alsoUnbalanced(s small) small {
	s.readings = at("DB1", "3P4W", "lines: {AB: {voltage: 388.0 V}, BC: {voltage: 400.0 V}, CA: {voltage: 412.0 V}}")
	return s
}

func unbalancedMotor(kw string) small {
	return small{
		readings: at("DB1-1", "3P4W", "lines: {AB: {voltage: 388.0 V}, BC: {voltage: 400.0 V}, CA: {voltage: 412.0 V}}, total: {power: "+kw+" kW}"),
		loads:    "  - {id: it, name: Pump, at: DB1-1, use: work, reading: R1, motor: {rated: 6.8 kW, efficiency: 90 %}, runs: {calendar: always}}",
	}
}

// supplyCases are cases on both sides of each limit, for rules about supply and
// quality.
var supplyCases = map[string][]judged{
	"supply-voltage": {
		{name: "nominal", site: small{readings: at("incomer", "3P4W", "phases: {A: {voltage: 231.0 V}, B: {voltage: 230.0 V}, C: {voltage: 232.0 V}}")}, severity: InOrder, says: "at most 0.5 % off 231 V", evidence: "232.0 V on C, band 208 V to 254 V", clause: "EN 50160"},
		{name: "upper edge", site: small{readings: at("incomer", "3P4W", "phases: {A: {voltage: 254.0 V}}")}, severity: InOrder, says: "10.0 %"},
		{name: "above", site: small{readings: at("incomer", "3P4W", "phases: {A: {voltage: 230.0 V}, L2: {voltage: 254.1 V}}")}, severity: Plan, says: "higher than its band allows: 254.1 V on phase L2"},
		{name: "lower edge", site: small{readings: at("incomer", "3P4W", "phases: {A: {voltage: 207.9 V}}")}, severity: InOrder},
		{name: "below", site: small{readings: at("incomer", "3P4W", "phases: {A: {voltage: 207.8 V}}")}, severity: Plan, says: "lower than its band allows"},
		{name: "three wires", site: small{supply: strings.Replace(europe, "3P4W", "3P3W", 1), readings: at("incomer", "3P3W", "lines: {AB: {voltage: 445.0 V, power: 1.00 kW}, CB: {voltage: 400.0 V, power: 1.00 kW}}")}, severity: Plan, says: "445.0 V on phase AB"},
		{name: "split phase within", site: small{supply: splitPhase, readings: at("incomer", "1P3W", "phases: {A: {voltage: 126.0 V}, B: {voltage: 114.0 V}}")}, severity: InOrder, evidence: "band 114 V to 126 V", clause: "ANSI C84.1"},
		{name: "split phase above", site: small{supply: splitPhase, readings: at("incomer", "1P3W", "phases: {A: {voltage: 126.1 V}}")}, severity: Plan, says: "126.1 V"},
		{name: "a board does not speak for the supply", site: small{readings: at("DB1", "3P4W", "phases: {A: {voltage: 200.0 V}}")}, says: "no voltage", measure: "voltage"},
		{name: "no reading", measure: "at: the incomer"},
	},
	"voltage-unbalance": {
		{name: "balanced", site: small{readings: at("DB1", "3P4W", "lines: {AB: {voltage: 400.0 V}, BC: {voltage: 400.0 V}, CA: {voltage: 400.0 V}}")}, severity: InOrder, says: "balanced to 0.0 %", clause: "NEMA MG 1"},
		{name: "at the limit", site: small{readings: at("DB1", "3P4W", "lines: {AB: {voltage: 396.0 V}, BC: {voltage: 400.0 V}, CA: {voltage: 404.0 V}}")}, severity: InOrder, says: "1.0 %"},
		{name: "above", site: small{readings: at("DB1", "3P4W", "lines: {AB: {voltage: 395.9 V}, BC: {voltage: 400.0 V}, CA: {voltage: 404.1 V}}")}, severity: Plan, says: "above the 1 %", evidence: "limit 1.0 %"},
		{name: "derating", site: small{readings: at("DB1", "3P4W", "lines: {AB: {voltage: 388.0 V}, BC: {voltage: 400.0 V}, CA: {voltage: 412.0 V}}")}, severity: Plan, says: "3.0 %", evidence: "at most 88 % of their rating"},
		{name: "at 5 %", site: small{readings: at("DB1", "3P4W", "lines: {AB: {voltage: 380.0 V}, BC: {voltage: 400.0 V}, CA: {voltage: 420.0 V}}")}, severity: Plan, evidence: "at most 75 % of their rating"},
		{name: "above 5 %", site: small{readings: at("DB1", "3P4W", "lines: {AB: {voltage: 379.9 V}, BC: {voltage: 400.0 V}, CA: {voltage: 420.1 V}}")}, severity: ActNow, says: "above the 5 % at which motors should not run at all", clause: "NEMA MG 1"},
		{name: "a motor beyond its derating", site: unbalancedMotor("6.80"), severity: Plan, evidence: "the motor of pump is loaded to 90 %"},
		{name: "a motor beyond its derating, by slip", site: alsoUnbalanced(turned("speed: {read: 1459 rpm, plate: 1455 rpm, poles: 4}", "")), severity: Plan, evidence: "the motor of pump is loaded to 91 %, by slip (from the plate)"},
		{name: "a motor beyond its derating, by current", site: alsoUnbalanced(turned("current: {read: 12.9 A, plate: 14.0 A}", "")), severity: Plan, evidence: "the motor of pump is loaded to 92 %, by current (from the plate)"},
		{name: "worst of several", site: small{readings: at("DB1", "3P4W", "lines: {AB: {voltage: 400.0 V}, BC: {voltage: 400.0 V}, CA: {voltage: 400.0 V}}") + "\n" + strings.Replace(at("DB1-2", "3P4W", "lines: {AB: {voltage: 392.0 V}, BC: {voltage: 400.0 V}, CA: {voltage: 408.0 V}}"), "R1", "R2", 1)}, severity: Plan, says: "2.0 %"},
		{name: "america", site: small{supply: america, readings: at("DB1", "3P4W", "lines: {AB: {voltage: 480.0 V}, BC: {voltage: 480.0 V}, CA: {voltage: 480.0 V}}")}, severity: InOrder},
		{name: "two lines of three", site: small{readings: at("DB1", "3P4W", "lines: {AB: {voltage: 400.0 V}, BC: {voltage: 380.0 V}}")}, measure: "lines: AB, BC and CA"},
		{name: "split phase has none", site: small{supply: splitPhase, readings: at("DB1", "1P3W", "phases: {A: {voltage: 120.0 V}, B: {voltage: 110.0 V}}")}, severity: "silent"},
	},
	"frequency": {
		{name: "nominal", site: small{readings: at("DB1", "3P4W", "phases: {A: {voltage: 230.0 V}}, frequency: 50.02 Hz")}, severity: InOrder, says: "50.02 Hz", clause: "EN 50160"},
		{name: "upper edge", site: small{readings: at("DB1", "3P4W", "phases: {A: {voltage: 230.0 V}}, frequency: 50.50 Hz")}, severity: InOrder},
		{name: "above", site: small{readings: at("DB1", "3P4W", "phases: {A: {voltage: 230.0 V}}, frequency: 50.51 Hz")}, severity: Plan, says: "50.51 Hz"},
		{name: "below", site: small{readings: at("DB1", "3P4W", "phases: {A: {voltage: 230.0 V}}, frequency: 49.49 Hz")}, severity: Plan, says: "49.49 Hz"},
		{name: "not shown", site: small{readings: at("DB1", "3P4W", "phases: {A: {voltage: 230.0 V}}")}, measure: "frequency"},
		{name: "no band", site: small{supply: america, readings: at("DB1", "3P4W", "phases: {A: {voltage: 277.0 V}}, frequency: 61.00 Hz")}, says: "no band", measure: "limits in site.yaml"},
	},
	"low-power-factor": {
		{name: "good", site: small{loads: load("0.95")}, severity: InOrder, says: "good: 0.95"},
		{name: "low and free", site: small{loads: load("0.94")}, severity: Watch, says: "falls to 0.94; this tariff charges nothing"},
		{name: "low and charged", site: small{loads: load("0.80"), tariff: charged}, severity: Plan, says: "falls to 0.80 and costs {cost} a year", clause: "tariff in force"},
		{name: "charged little", site: small{loads: load("0.94"), tariff: strings.Replace(charged, "1 % per", "0.5 % per", 1)}, severity: Watch, says: "falls to 0.94 and costs {cost} a year"},
		{name: "charged only below what it is", site: small{loads: load("0.94"), tariff: strings.Replace(charged, "0.95", "0.90", 1)}, severity: Watch, says: "charges nothing"},
		{name: "capacitors and resonance", site: small{loads: load("0.80"), tariff: charged, more: "transformer: {rating: 250 kVA, impedance: 4 %}", readings: at("incomer", "3P4W", "total: {power: 80.0 kW, reactive: 60.0 kvar}")}, severity: Plan, evidence: "34 kvar would bring the load of R1 to 0.95"},
		{name: "resonance", site: small{loads: load("0.80"), tariff: charged, more: "transformer: {rating: 250 kVA, impedance: 4 %}", readings: at("incomer", "3P4W", "total: {power: 80.0 kW, reactive: 60.0 kvar}")}, severity: Plan, evidence: "near order 13.6"},
		{name: "nothing runs", site: small{loads: "  - {id: it, name: It, at: DB1-1, use: work, power: 10 kW, runs: {calendar: always, duty: 0 %}}"}, measure: "pf"},
	},
	"voltage-distortion": {
		{name: "low", site: small{readings: wave("voltage", "4.0", "5: 3.0 %")}, severity: InOrder, says: "total distortion at 4.0 % of 8.0 %", clause: "EN 50160:2010, Table 1"},
		{name: "the nearest order speaks", site: small{readings: wave("voltage", "4.0", "7: 3.9 %")}, severity: InOrder, says: "the 7th harmonic at 3.9 % of 5.0 %"},
		{name: "at four fifths", site: small{readings: wave("voltage", "6.4", "5: 1.0 %")}, severity: InOrder},
		{name: "near", site: small{readings: wave("voltage", "6.5", "5: 1.0 %")}, severity: Watch, says: "near its limit: total distortion at 6.5 %"},
		{name: "at the limit", site: small{readings: wave("voltage", "8.0", "5: 1.0 %")}, severity: Watch},
		{name: "total above", site: small{readings: wave("voltage", "8.1", "5: 1.0 %")}, severity: Plan, says: "total distortion at 8.1 % against 8.0 %"},
		{name: "one order above", site: small{readings: wave("voltage", "3.0", "9: 1.6 %")}, severity: Plan, says: "the 9th harmonic at 1.6 % against 1.5 %", evidence: "total distortion 3.0 %, limit 8.0 %"},
		{name: "america", site: small{supply: america, readings: wave("voltage", "5.0", "9: 4.9 %")}, severity: Watch, says: "9th", clause: "IEEE 519-2022, Table 1"},
		{name: "only current", site: small{readings: wave("current", "5.0", "5: 1.0 %")}, says: "no voltage distortion", measure: "harmonics: voltage"},
		{name: "only at a board", site: small{readings: strings.Replace(wave("voltage", "9.0", "5: 1.0 %"), "at: incomer", "at: DB1", 1)}, measure: "at the incomer"},
	},
	"current-distortion": {
		// 250 kVA at 4 % is 6.25 MVA: 9.02 kA at 400 V; over 100 A that is 90: 12 % in total, 10 % up to the 10th.
		{name: "low", site: small{more: strong, readings: wave("current", "6.0", "5: 5.0 %")}, severity: InOrder, says: "the 5th harmonic at 5.0 % of 10.0 %", evidence: "9.0 kA is 90 times the maximum demand current of 100 A", clause: "for orientation"},
		{name: "near", site: small{more: strong, readings: wave("current", "9.0", "5: 8.1 %")}, severity: Watch, says: "near its limit"},
		{name: "above", site: small{more: strong, readings: wave("current", "15.1", "5: 15.0 %")}, severity: Plan, says: "1.5 times its limit: the 5th harmonic"},
		{name: "just above", site: small{more: strong, readings: wave("current", "10.3", "5: 10.2 %")}, severity: Plan, says: "just above its limit: the 5th harmonic"},
		{name: "total above", site: small{more: strong, readings: wave("current", "12.2", "5: 9.0 %, 7: 8.0 %")}, severity: Plan, says: "total demand distortion"},
		{name: "even orders have half", site: small{more: strong, readings: wave("current", "5.2", "2: 5.1 %")}, severity: Plan, says: "the 2nd harmonic"},
		{name: "part load weighs less", site: small{more: strings.Replace(strong, "100 A", "200 A", 1), readings: wave("current", "15.1", "5: 15.0 %")}, severity: Plan, says: "7.4 % against 7.0 %"},
		{name: "america", site: small{supply: america, more: strong, readings: wave("current", "6.0", "5: 5.0 %")}, severity: InOrder, clause: "IEEE 519-2022, Table 2"},
		{name: "a single load that causes it", site: small{more: strong, readings: wave("current", "6.0", "5: 5.0 %") + "\n  - {id: R2, at: DB1-1, of: a drive, wiring: 1P2W, phases: {A: {current: 10.0 A}}, harmonics: {current: {phase: A, thd: 66.0 % of fundamental}}}"}, severity: InOrder, evidence: "a drive: current distorted by 66 %"},
		{name: "split phase", site: small{supply: splitPhase, more: "fault-level: 2.4 MVA, maximum-demand-current: 100 A", readings: strings.Replace(strings.Replace(wave("current", "6.0", "5: 5.0 %"), "3P4W", "1P3W", 1), "230.0 V", "120.0 V", 1)}, severity: InOrder, evidence: "10.0 kA is 100 times the maximum demand current of 100 A"},
		{name: "no fault level", site: small{readings: wave("current", "6.0", "5: 5.0 %")}, says: "short-circuit power", measure: "transformer or fault-level"},
		{name: "no maximum current", site: small{supply: splitPhase, more: "fault-level: 2.4 MVA", readings: at("incomer", "1P3W", "phases: {A: {voltage: 120.0 V}}")}, says: "maximum demand current", measure: "maximum-demand-current"},
		{name: "no distortion", site: small{more: strong, readings: at("incomer", "3P4W", "phases: {A: {voltage: 230.0 V}}")}, says: "no current distortion", measure: "harmonics: current"},
	},
	"doubtful-reading": {
		{name: "one reading", site: small{readings: at("DB1", "3P4W", "phases: {A: {power: 1.00 kW}}")}, severity: InOrder, says: "The one reading agrees with itself", evidence: "no point was read together"},
		{name: "two readings", site: small{readings: at("DB1", "3P4W", "total: {power: 9.90 kW}") + "\n  - {id: R2, at: incomer, wiring: 3P4W, total: {power: 10.00 kW}}"}, severity: InOrder, says: "both readings agree", evidence: "one point with what is fed from there"},
		{name: "nothing rests on it", site: small{readings: at("DB1-1", "1P2W", "phases: {A: {power: -1.00 kW}}")}, severity: Watch, says: "Reading R1 is in doubt", evidence: "-1.00 kW"},
		{name: "a load rests on it", site: small{readings: at("DB1-1", "1P2W", "phases: {A: {power: 1.84 kW, apparent: 2.30 kVA, pf: 0.60 lag}}"), loads: "  - {id: it, name: Pump, at: DB1-1, use: work, reading: R1, runs: {calendar: always}}"}, severity: Plan, says: "R1"},
		{name: "a danger is another rule's", site: small{instrument: "category = \"CAT II 300 V\"", readings: at("DB1-1", "1P2W", "phases: {A: {power: 1.00 kW}}")}, severity: InOrder, says: "agrees with itself"},
		{name: "nothing was measured", says: "nothing was measured", measure: "readings"},
	},
}
