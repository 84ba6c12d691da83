package finding

import "strings"

const plate = "transformer: {rating: 100 kVA, impedance: 4 %}"

// spread is a reading of 100 A at the incomer with orders of the current.
func spread(orders string) string {
	return at("incomer", "3P4W", "phases: {A: {voltage: 230.0 V, current: 100.0 A}}, harmonics: {current: {phase: A, orders: {"+orders+"}}}")
}

// note is the spectrum of the published application note, whose harmonic loss
// factor is 8.35: see testdata/published/transformer-harmonics.
const note = "5: 20.0 %, 7: 14.0 %, 11: 9.1 %, 13: 7.7 %, 17: 5.8 %, 19: 5.6 %, 23: 4.3 %, 25: 4.0 %"

// moved is a load with a motor that takes a power.
func moved(power, motor string) small {
	return small{
		readings: at("DB1-1", "3P4W", "total: {power: "+power+" kW}"),
		loads:    "  - {id: it, name: Pump, at: DB1-1, use: work, reading: R1, motor: " + motor + ", runs: {calendar: always}}",
	}
}

// turned is a load whose motor's loading its plate tells by speed or current.
func turned(by, motor string) small {
	if motor != "" {
		motor = ", motor: " + motor
	}
	return small{loads: "  - {id: it, name: Pump, at: DB1-1, use: work, nameplate: {rated: 7.5 kW, efficiency: 88 %, " + by + "}" + motor + ", runs: {calendar: always}}"}
}

func hours(s small, duty string) small {
	s.loads = strings.Replace(s.loads, "calendar: always", "calendar: always, duty: "+duty, 1)
	return s
}

// bank is a site with a bank of capacitors at a way of the board, on a supply of
// 25 MVA as in the example of testdata/published/resonance.
func bank(bank, readings string) small {
	return small{more: "fault-level: 25 MVA", extra: "capacitors: [{id: bank, name: The bank, at: DB1-9, " + bank + "}]\n", readings: readings}
}

// banked is a reading at the bank's way beside one of the incomer with orders.
func banked(a, b, c string) string { return amps("DB1-9", a, b, c, "", "") }

func lined(v string) string {
	return at("DB1-9", "3P4W", "lines: {AB: {voltage: "+v+" V}, BC: {voltage: 400.0 V}, CA: {voltage: 400.0 V}}")
}

// plateCases are cases on both sides of each limit, for rules about transformers,
// capacitors and motors.
var plateCases = map[string][]judged{
	"transformer-loading": {
		{name: "well", site: small{more: plate, loads: certainly("50 kW")}, severity: InOrder, says: "loaded to 50 %", evidence: "50 % of 100 kVA"},
		{name: "at 30 %", site: small{more: plate, loads: certainly("30.1 kW")}, severity: InOrder},
		{name: "below 30 %", site: small{more: plate, loads: certainly("29.9 kW")}, severity: Watch, says: "large for this site"},
		{name: "least loss", site: small{more: "transformer: {rating: 100 kVA, impedance: 4 %, no-load-loss: 1.0 kW, load-loss: 2.0 kW}", loads: certainly("50 kW")}, severity: InOrder, evidence: "loses least at a loading of 71 %"},
		{name: "at 80 %", site: small{more: plate, loads: certainly("79.9 kW")}, severity: InOrder},
		{name: "above 80 %", site: small{more: plate, loads: certainly("80.1 kW")}, severity: Watch, says: "has little left"},
		{name: "at the rating", site: small{more: plate, loads: certainly("99.9 kW")}, severity: Watch},
		{name: "above the rating", site: small{more: plate, loads: certainly("101 kW")}, severity: Plan, says: "is 101 % of what the transformer is rated for"},
		{name: "far above the rating", site: small{more: plate, loads: certainly("121 kW")}, severity: ActNow},
		{name: "not stated", measure: "transformer in site.yaml"},
	},
	"transformer-harmonics": {
		// F_HL 8.3476 and an eddy loss of 10 % leave 77.4 % of the rating: 77.4 kVA.
		{name: "enough left", site: small{more: plate, loads: certainly("69 kW"), readings: spread(note)}, severity: InOrder, says: "leave the transformer 77 % of its rating", evidence: "harmonic loss factor of 8.3", clause: "C57.110"},
		{name: "near", site: small{more: plate, loads: certainly("70 kW"), readings: spread(note)}, severity: Watch, says: "just above the highest demand"},
		{name: "just enough", site: small{more: plate, loads: certainly("77.3 kW"), readings: spread(note)}, severity: Watch},
		{name: "too little", site: small{more: plate, loads: certainly("77.5 kW"), readings: spread(note)}, severity: Plan, says: "less than the highest demand of {peak}"},
		{name: "a lower eddy loss", site: small{more: "transformer: {rating: 100 kVA, impedance: 4 %, eddy-loss: 5 %}", loads: certainly("77.0 kW"), readings: spread(note)}, severity: InOrder, says: "86 %"},
		{name: "factor K", site: small{more: plate, loads: certainly("50 kW"), readings: spread(note)}, severity: InOrder, evidence: "factor K of 1.15"},
		{name: "K-rated", site: small{more: "transformer: {rating: 100 kVA, impedance: 4 %, k-rating: K-9}", loads: certainly("99 kW"), readings: spread(note)}, severity: InOrder, says: "K-rating of 9 holds a K-factor of 8.2"},
		{name: "K-rating too low", site: small{more: "transformer: {rating: 100 kVA, impedance: 4 %, k-rating: K-4}", loads: certainly("99 kW"), readings: spread(note)}, severity: Plan, says: "above the transformer's K-rating of 4"},
		{name: "no transformer", site: small{readings: spread(note)}, measure: "transformer in site.yaml"},
		{name: "no orders", site: small{more: plate, readings: volts3("incomer", "231.0", "231.0", "231.0")}, measure: "harmonics: current"},
	},
	"motor-loading": {
		// The page's motor of 30 hp at 85 % has a rated input of 26.32 kW.
		{name: "the published trap", site: moved("20.85", "{rated: 30 hp, efficiency: 85 %}"), severity: InOrder, says: "The one motor that could be judged", evidence: "79 % of its rated input", clause: "US DOE"},
		{name: "at half", site: moved("13.16", "{rated: 30 hp, efficiency: 85 %}"), severity: InOrder},
		{name: "below half", site: moved("13.15", "{rated: 30 hp, efficiency: 85 %}"), severity: Watch, says: "less than half: 50 %"},
		{name: "at the rating", site: moved("10.00", "{rated: 9 kW, efficiency: 90 %}"), severity: InOrder},
		{name: "above the rating", site: moved("10.01", "{rated: 9 kW, efficiency: 90 %}"), severity: Plan, says: "takes 100 % of its rated input"},
		{name: "at the service factor", site: moved("11.50", "{rated: 9 kW, efficiency: 90 %}"), severity: Plan},
		{name: "above the service factor", site: moved("11.51", "{rated: 9 kW, efficiency: 90 %}"), severity: ActNow, says: "115 %"},
		{name: "by its class", site: moved("8.00", "{rated: 7.5 kW, class: IE2}"), severity: InOrder, evidence: "95 % of its rated input"},
		{name: "on a drive", site: moved("8.00", "{rated: 7.5 kW, class: IE2, drive: yes}"), severity: InOrder, evidence: "the loss of its drive included"},
		// 1500 less 1455 rpm are a slip of 45 rpm at full load; 14 A on the plate.
		{name: "by slip", site: turned("speed: {read: 1472 rpm, plate: 1455 rpm, poles: 4}", ""), severity: InOrder, says: "The one motor that could be judged", evidence: "62 % of its rating, by slip (from the plate)", sure: "By slip it is rough"},
		{name: "by slip, at half", site: turned("speed: {read: 1477.5 rpm, plate: 1455 rpm, poles: 4}", ""), severity: InOrder},
		{name: "by slip, below half", site: turned("speed: {read: 1477.6 rpm, plate: 1455 rpm, poles: 4}", ""), severity: Watch, says: "less than half: 50 %"},
		{name: "by slip, at the rating", site: turned("speed: {read: 1455 rpm, plate: 1455 rpm, poles: 4}", ""), severity: InOrder},
		{name: "by slip, above the rating", site: turned("speed: {read: 1454 rpm, plate: 1455 rpm, poles: 4}", ""), severity: Plan, says: "seems loaded to 102 % of its rating"},
		{name: "by slip, far above the rating", site: turned("speed: {read: 1440 rpm, plate: 1455 rpm, poles: 4}", ""), severity: Plan, says: "seems loaded to 133 %"},
		{name: "by slip, with the plate of the motor", site: turned("speed: {read: 1472 rpm, plate: 1455 rpm, poles: 4}", "{rated: 7.5 kW, class: IE2}"), severity: InOrder, evidence: "62 % of its rating, by slip (from the plate)"},
		{name: "by current", site: turned("current: {read: 10.5 A, plate: 14.0 A}", ""), severity: InOrder, evidence: "75 % of its rating, by current (from the plate)", sure: "above about half load only"},
		{name: "by current, below half", site: turned("current: {read: 6.99 A, plate: 14.0 A}", ""), severity: Watch, says: "less than half: 50 %"},
		{name: "by current, above the rating", site: turned("current: {read: 14.1 A, plate: 14.0 A}", ""), severity: Plan, says: "seems loaded to 101 % of its rating"},
		{name: "by current, above the service factor", site: turned("current: {read: 16.2 A, plate: 14.0 A}", ""), severity: ActNow},
		{name: "not read", site: small{loads: "  - {id: it, name: Pump, at: DB1-1, use: work, nameplate: {rated: 7.5 kW, efficiency: 88 %}, motor: {rated: 7.5 kW, class: IE2}, runs: {calendar: always}}"}, says: "no motor with a plate was read", measure: "reading of a load with motor"},
		{name: "no plate", measure: "motor of a load"},
	},
	"motor-efficiency": {
		{name: "IE3", site: moved("8.00", "{rated: 7.5 kW, efficiency: 90.4 %}"), severity: InOrder, says: "class IE3 or better", clause: "IEC 60034-30-1"},
		{name: "just below IE3", site: moved("8.00", "{rated: 7.5 kW, efficiency: 90.3 %}"), severity: Watch, says: "The motor of pump is below class IE3", evidence: "class IE2, 90.3 %"},
		{name: "IE1 day and night", site: moved("8.00", "{rated: 7.5 kW, efficiency: 86.0 %}"), severity: Plan, evidence: "would save {saved} a year"},
		{name: "IE1, 2000 h", site: hours(moved("8.00", "{rated: 7.5 kW, efficiency: 86.0 %}"), "22.8 %"), severity: Watch, evidence: "runs 23 % of the year"},
		{name: "IE1, more than 2000 h", site: hours(moved("8.00", "{rated: 7.5 kW, efficiency: 86.0 %}"), "22.9 %"), severity: Plan},
		{name: "below all classes", site: moved("8.00", "{rated: 7.5 kW, efficiency: 80 %}"), severity: Plan, evidence: "below class IE1"},
		{name: "class on the plate", site: moved("8.00", "{rated: 7.5 kW, class: IE4}"), severity: InOrder},
		{name: "60 Hz", site: inAmerica(moved("8.00", "{rated: 10 hp, efficiency: 91.7 %}")), severity: InOrder},
		{name: "60 Hz below premium", site: inAmerica(moved("8.00", "{rated: 10 hp, efficiency: 91.6 %}")), severity: Watch},
		{name: "no class for it", site: moved("8.00", "{rated: 7.5 kW, efficiency: 86 %, poles: 8}"), measure: "efficiency or class, and poles"},
		{name: "no plate", measure: "motor of a load"},
	},
	"capacitor-resonance": {
		// 25 MVA and 500 kvar resonate at 7.07, 300 kvar at 9.13.
		{name: "the published hazard", site: bank("rated: 500 kvar", spread("5: 6.0 %, 7: 4.0 %")), severity: Plan, says: "The bank resonates with the supply near the 7th harmonic, at 500 kvar", evidence: "near order 7.1"},
		{name: "away from what is there", site: bank("rated: 300 kvar", spread("5: 6.0 %, 7: 4.0 %")), severity: InOrder, says: "No step of the capacitor bank", evidence: "present: 5th 6.0 % and 7th 4.0 %"},
		// Half an order off the 7th is 444.4 kvar at 7.5 and 591.7 kvar at 6.5.
		{name: "within half an order", site: bank("rated: 445 kvar", spread("7: 4.0 %")), severity: Plan},
		{name: "beyond half an order", site: bank("rated: 443 kvar", spread("7: 4.0 %")), severity: InOrder},
		{name: "the order is hardly there", site: bank("rated: 500 kvar", spread("7: 0.9 %")), severity: InOrder},
		{name: "the order is there", site: bank("rated: 500 kvar", spread("7: 1.0 %")), severity: Plan},
		{name: "one setting of several", site: bank("rated: 500 kvar, steps: [200 kvar, 300 kvar]", spread("7: 4.0 %")), severity: Plan, evidence: "500 kvar of The bank"},
		{name: "at another voltage", site: bank("rated: 720 kvar, voltage: 480 V", spread("7: 4.0 %")), severity: Plan, says: "at 500 kvar"},
		{name: "plain beside 10 %", site: bank("rated: 300 kvar", spread("5: 10.0 %")), severity: InOrder},
		{name: "plain beside more", site: bank("rated: 300 kvar", spread("5: 10.1 %")), severity: Watch, says: "beside a current distorted by 10 %"},
		{name: "detuned", site: bank("rated: 500 kvar, reactor: 7 %", spread("5: 20.0 %, 7: 10.0 %")), severity: InOrder, evidence: "tuned to order 3.78"},
		{name: "detuned above a strong third", site: bank("rated: 500 kvar, reactor: 7 %", spread("3: 20.0 %")), severity: Plan, says: "near the 3rd harmonic"},
		{name: "no fault level", site: small{extra: "capacitors: [{id: bank, at: DB1-9, rated: 50 kvar}]\n", readings: spread("5: 6.0 %")}, measure: "transformer or fault-level"},
		{name: "no distortion", site: bank("rated: 500 kvar", volts3("incomer", "231.0", "231.0", "231.0")), measure: "harmonics: current and voltage"},
		{name: "none listed", measure: "capacitors in site.yaml"},
	},
	"capacitor-condition": {
		// 50 kvar at 400 V take 72.17 A.
		{name: "well", site: bank("rated: 50 kvar", banked("72.0", "72.0", "72.0")), severity: InOrder, says: "The bank takes 100 % of its rated current", clause: "IEC 60831-1"},
		{name: "at the limit", site: bank("rated: 50 kvar", banked("93.8", "93.8", "93.8")), severity: InOrder},
		{name: "above the limit", site: bank("rated: 50 kvar", banked("93.9", "93.9", "93.9")), severity: ActNow, says: "above the 130 % that it may"},
		{name: "america allows more", site: inAmerica(bank("rated: 60 kvar", strings.ReplaceAll(banked("97.0", "97.0", "97.0"), "231.0", "277.0"))), severity: InOrder, clause: "IEEE Std 18"},
		{name: "four fifths", site: bank("rated: 50 kvar", banked("57.8", "57.8", "57.8")), severity: InOrder},
		{name: "less than four fifths", site: bank("rated: 50 kvar", banked("57.7", "57.7", "57.7")), severity: Plan, says: "elements have failed"},
		{name: "alike to 10 %", site: bank("rated: 50 kvar", banked("66.0", "60.0", "54.0")), severity: InOrder},
		{name: "unlike", site: bank("rated: 50 kvar", banked("66.2", "60.0", "53.8")), severity: Plan, says: "a fuse or an element has failed"},
		{name: "voltage within", site: bank("rated: 50 kvar", lined("440.0")), severity: InOrder, says: "110 % of its rated voltage"},
		{name: "voltage above", site: bank("rated: 50 kvar", lined("440.1")), severity: Plan, says: "above the 110 % that it may"},
		{name: "raised by reactors", site: bank("rated: 50 kvar, reactor: 7 %", lined("410.0")), severity: Plan, says: "110 %"},
		{name: "not read", site: bank("rated: 50 kvar", volts3("incomer", "231.0", "231.0", "231.0")), measure: "a reading at the way of the bank"},
		{name: "none listed", measure: "capacitors in site.yaml"},
	},
}

func inAmerica(s small) small {
	s.supply = america
	return s
}
