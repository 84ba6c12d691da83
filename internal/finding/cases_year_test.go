package finding

import "strings"

// both is a load that always runs beside one that runs with the day, 1000 h a
// year each day's share; the first takes the given power.
func both(always, day string) string {
	return "  - {id: night, name: Cold store, at: DB1-1, use: cold, power: " + always + ", pf: 1.00, runs: {calendar: always}}\n" +
		"  - {id: day, name: Line, at: DB1-2, use: work, power: " + day + ", pf: 1.00, runs: {calendar: shift}}"
}

// shift is eight hours on every day: a third of the year.
const shift = "{shift: {hours: {Mon-Sun: 08:00-16:00}, doubt: 100 % ± 0 %}}"

func cycling(duty, count string) string {
	return "  - {id: it, name: Press, at: DB1-1, use: work, power: 10 kW, pf: 1.00, runs: {calendar: always, duty: " + duty + ", cycle: 60 min, count: " + count + "}}\n" +
		"  - {id: base, name: Furnace, at: DB1-2, use: work, power: 100 kW, pf: 1.00, runs: {calendar: always}}"
}

func billOf(energy string) string {
	return "  - {from: 2031-01-01, to: 2031-12-31, energy: " + energy + " kWh, amount: 1.00 EUR}"
}

const demandCharged = "charges: [{id: units, energy: 0.10 /kWh}, {id: peak, demand: {price: 10.00 /kW, window: 15 min}}]"

// certain is a load of 1 kW that is known without doubt: 8760 kWh.
const certain = "  - {id: it, name: It, at: DB1-1, use: work, power: 1 kW, pf: 1.00, typical: 100 %, runs: {calendar: always}}"

// yearCases are cases on both sides of each limit, for rules about the year.
var yearCases = map[string][]judged{
	"too-few-readings": {
		{name: "all measured", site: small{readings: at("DB1-1", "3P4W", "total: {power: 10.00 kW}") + second(at("incomer", "3P4W", "total: {power: 10.00 kW}")), loads: "  - {id: it, name: It, at: DB1-1, use: work, reading: R1, runs: {calendar: always}}"}, severity: InOrder, says: "100 % of the year's energy rests on readings"},
		{name: "incomer not read", site: small{readings: at("DB1-1", "3P4W", "total: {power: 10.00 kW}"), loads: "  - {id: it, name: It, at: DB1-1, use: work, reading: R1, runs: {calendar: always}}"}, severity: Watch, says: "but the incomer was not read"},
		{name: "four fifths", site: small{readings: at("DB1-1", "3P4W", "total: {power: 8.00 kW}") + second(at("incomer", "3P4W", "total: {power: 10.00 kW}")), loads: measuredAnd("2.00 kW")}, severity: InOrder},
		{name: "below four fifths", site: small{readings: at("DB1-1", "3P4W", "total: {power: 8.00 kW}") + second(at("incomer", "3P4W", "total: {power: 10.00 kW}")), loads: measuredAnd("2.10 kW")}, severity: Watch, says: "21 % of the year's energy rests on no reading", evidence: "largest that were not: other"},
		{name: "half", site: small{readings: at("DB1-1", "3P4W", "total: {power: 8.00 kW}") + second(at("incomer", "3P4W", "total: {power: 16.00 kW}")), loads: measuredAnd("8.00 kW")}, severity: Watch},
		{name: "below half", site: small{readings: at("DB1-1", "3P4W", "total: {power: 8.00 kW}") + second(at("incomer", "3P4W", "total: {power: 16.00 kW}")), loads: measuredAnd("8.40 kW")}, severity: Plan, says: "Only 49 %"},
		{name: "none measured", severity: Plan, says: "No load was measured"},
		{name: "nothing runs", site: small{loads: "  - {id: it, name: It, at: DB1-1, use: work, power: 10 kW, runs: {calendar: always, duty: 0 %}}"}, measure: "loads of the visit"},
	},
	"unexplained-energy": {
		{name: "all", site: small{loads: certain, bills: billOf("8760")}, severity: InOrder, says: "explain all of the energy billed"},
		{name: "most", site: small{loads: certain, bills: billOf("9200")}, severity: InOrder, says: "explain 95 % of the energy billed"},
		{name: "ten percent missing", site: small{loads: certain, bills: billOf("9733")}, severity: InOrder},
		{name: "more missing", site: small{loads: certain, bills: billOf("9734")}, severity: Plan, says: "10 % of the energy billed is not explained", evidence: "9734 kWh billed"},
		{name: "ten percent too much", site: small{loads: certain, bills: billOf("7964")}, severity: InOrder, says: "and 10 % more"},
		{name: "more too much", site: small{loads: certain, bills: billOf("7963")}, severity: Plan, says: "take 10 % more energy than was billed"},
		{name: "within the doubt", site: small{loads: strings.Replace(certain, "power: 1 kW", "power: 0.70..1.00..1.30 kW", 1), bills: billOf("9900")}, severity: Watch},
		{name: "no bills", site: small{loads: certain}, says: "no bill", measure: "bills.yaml"},
	},
	"base-load": {
		{name: "little", site: small{calendars: shift, loads: both("1 kW", "30 kW")}, severity: InOrder, says: "takes 9 %", evidence: "always on: cold store"},
		{name: "at 30 %", site: small{calendars: shift, loads: both("1 kW", "7.01 kW")}, severity: InOrder, says: "30 %"},
		{name: "above 30 %", site: small{calendars: shift, loads: both("1 kW", "6.98 kW")}, severity: Watch, evidence: "{base-cost}"},
		{name: "at 60 %", site: small{calendars: shift, loads: both("1 kW", "2.01 kW")}, severity: Watch},
		{name: "above 60 %", site: small{calendars: shift, loads: both("1 kW", "1.99 kW")}, severity: Plan, says: "60 %"},
		{name: "nothing at night", site: small{calendars: shift, loads: "  - {id: day, name: Line, at: DB1-2, use: work, power: 5 kW, pf: 1.00, runs: {calendar: shift}}"}, severity: InOrder, says: "Nothing of what is listed runs day and night"},
		{name: "nothing runs", site: small{loads: "  - {id: it, name: It, at: DB1-1, use: work, power: 10 kW, runs: {calendar: always, duty: 0 %}}"}, measure: "loads of the visit"},
	},
	"peak-coincidence": {
		{name: "steady", severity: InOrder, says: "At most one of the loads comes and goes"},
		{name: "one that cycles", site: small{loads: cycling("30 %", "1"), tariff: demandCharged}, severity: InOrder, says: "At most one"},
		{name: "little", site: small{loads: cycling("90 %", "2"), tariff: demandCharged}, severity: InOrder, says: "add only 2 %"},
		{name: "some", site: small{loads: cycling("50 %", "4"), tariff: demandCharged}, severity: Watch, evidence: "press"},
		{name: "much", site: small{loads: cycling("30 %", "12"), tariff: demandCharged}, severity: Plan, says: "{peak}", evidence: "{charged} a year is charged for demand"},
		{name: "much and free", site: small{loads: cycling("30 %", "12")}, severity: Watch},
		{name: "nothing runs", site: small{loads: "  - {id: it, name: It, at: DB1-1, use: work, power: 10 kW, runs: {calendar: always, duty: 0 %}}"}, measure: "loads of the visit"},
	},
	"tariff-choice": {
		{name: "in force is cheapest", site: small{loads: certain, other: "charges: [{id: units, energy: 0.11 /kWh}]"}, severity: InOrder, says: "The one other tariff that was priced is no cheaper", evidence: "Other: {other} a year more"},
		{name: "costs the same", site: small{loads: certain, other: "charges: [{id: units, energy: 0.10 /kWh}]"}, severity: InOrder, evidence: "costs the same"},
		{name: "less than a hundredth cheaper", site: small{loads: certain, other: "charges: [{id: units, energy: 0.0991 /kWh}]"}, severity: Watch, says: "but only by {cost} a year"},
		{name: "more than a hundredth cheaper", site: small{loads: certain, other: "charges: [{id: units, energy: 0.0989 /kWh}]"}, severity: Plan, says: "would cost {cost} less on the tariff “Other”"},
		{name: "a turn", site: small{loads: certain, other: "charges: [{id: units, energy: 0.05 /kWh}, {id: standing, fixed: 30.00 /month}]"}, severity: Plan, evidence: "the two cost the same at 82 % of the energy"},
		{name: "none given", site: small{loads: certain}, measure: "alternatives in site.yaml"},
	},
	"agreed-demand": {
		{name: "fits", site: small{loads: certainly("100 kW"), more: "agreed-demand: 110 kVA"}, severity: InOrder, says: "110 kVA fits", evidence: "{peak} expected in every month alike against 110 kVA agreed"},
		{name: "just fits", site: small{loads: certainly("100 kW"), more: "agreed-demand: 100 kVA"}, severity: InOrder},
		{name: "just exceeded", site: small{loads: certainly("100.1 kW"), more: "agreed-demand: 100 kVA"}, severity: Plan, says: "above the 100 kVA agreed"},
		{name: "may be exceeded", site: small{loads: "  - {id: it, name: It, at: DB1-1, use: work, power: 80..95..110 kW, pf: 1.00, runs: {calendar: always}}", more: "agreed-demand: 100 kVA"}, severity: Watch, says: "may pass the 100 kVA"},
		{name: "a quarter unused", site: small{loads: certainly("75 kW"), more: "agreed-demand: 100 kVA"}, severity: InOrder, says: "fits"},
		{name: "more than a quarter unused, free", site: small{loads: certainly("74 kW"), more: "agreed-demand: 100 kVA"}, severity: InOrder, says: "charges nothing for it"},
		{name: "more than a quarter unused, charged", site: small{loads: certainly("74 kW"), more: "agreed-demand: 100 kVA", tariff: agreedCharged}, severity: Plan, says: "costs {cost} a year", evidence: "75 kVA would hold"},
		{name: "not stated", measure: "agreed-demand in site.yaml"},
	},
}

const agreedCharged = "charges: [{id: units, energy: 0.10 /kWh}, {id: capacity, demand: {price: 2.00 /kVA, window: 15 min, at-least: [agreed]}}]"

func certainly(power string) string { return strings.Replace(certain, "1 kW", power, 1) }

func measuredAnd(other string) string {
	return "  - {id: it, name: It, at: DB1-1, use: work, reading: R1, runs: {calendar: always}}\n  - {id: other, name: Other, at: DB1-2, use: work, power: " + other + ", runs: {calendar: always}}"
}
