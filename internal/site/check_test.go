package site_test

import (
	"strings"
	"testing"

	"auditgen/internal/civil"
)

// TestRanges holds every check of a value's range: one edit of the good site,
// one fault. Positions are held by the cases of testdata/bad.
func TestRanges(t *testing.T) {
	const (
		prov  = "provider.toml"
		here  = "sites/mill/site.yaml"
		visit = "sites/mill/visits/2031-03-12.yaml"
	)
	tests := []struct{ file, old, text, want string }{
		{prov, `calibrated = "2030-09-02"`, `calibrated = "2031-09-02"`, "the calibration is due before it was done; expected a day after 2031-09-02"},
		{prov, `id = "clamp-1"`, "id = \"clamp-1\"\nsmallest-current = \"-1 A\"", "-1 A is negative; expected a current of zero or more"},
		{prov, `id = "clamp-1"`, "id = \"clamp-1\"\nphase-error = \"50 °\"", "50 ° is out of range; expected an error from 0 ° to 45 °"},
		{prov, `id = "clamp-1"`, "id = \"clamp-1\"\nphase-error = \"-1 °\"", "-1 ° is out of range; expected an error from 0 ° to 45 °"},
		{here, "voltage: 400 V", "voltage: 0 V", "0 V is out of range; expected a voltage above zero"},
		{here, "frequency: 50 Hz", "frequency: 0 Hz", "0 Hz is out of range; expected a frequency above zero"},
		{here, "rating: 250 kVA", "rating: -250 kVA", "-250 kVA is out of range; expected a rating above zero"},
		{here, "impedance: 4 %", "impedance: 40 %", "40 % is out of range; expected an impedance of 0.5 % to 30 %"},
		{here, "frequency: 50 Hz", "frequency: 50 Hz\n  fault-level: 0 MVA", "0 MVA is out of range; expected a short-circuit power above zero"},
		{here, "frequency: 50 Hz", "frequency: 50 Hz\n  agreed-demand: -1 kVA", "-1 kVA is out of range; expected a demand above zero"},
		{here, "frequency: 50 Hz", "frequency: 50 Hz\n  maximum-demand-current: 0 A", "0 A is out of range; expected a current above zero"},
		{here, "breaker: 100 A", "breaker: 0 A", "0 A is out of range; expected a rating above zero"},
		{here, "tariff: plain", "tariff: plain\nfloor-area: 0 m²", "0 m² is out of range; expected an area above zero"},
		{here, "factor: 0.210 kg/kWh", "factor: -0.210 kg/kWh", "-0.210 kg/kWh is negative; expected a factor of zero or more"},
		{here, "tariff: plain", "tariff: plain\nyear: 1969", "the year 1969 is out of range; expected 1970 to 2200"},
		{here, "tariff: plain", "tariff: plain\nyear: 2201", "the year 2201 is out of range; expected 1970 to 2200"},
		{here, `amount: "640"`, `amount: "0"`, `"0" is not an amount; expected a number above zero`},
		{here, `amount: "640"`, `amount: many`, `"many" is not an amount; expected a number above zero`},
		{here, "doubt: 100 % ± 5 %", "doubt: 110..120..130 %", "110..120..130 % is not a doubt around 100 %; expected a range that holds 100 %, such as 100 % ± 10 % or 90..100..120 %"},
		{here, "tariff: plain", "tariff: plain\ndoubt: {typical: 5 %}", "5 % is not a doubt around 100 %; expected a range that holds 100 %, such as 100 % ± 10 % or 90..100..120 %"},
		{here, "tariff: plain", "tariff: plain\ndoubt: {duty: 0..100..110 %}", "0..100..110 % is not a doubt around 100 %; expected a range that holds 100 %, such as 100 % ± 10 % or 90..100..120 %"},
		{here, "tariff: plain", "tariff: plain\ndoubt: {hours: 90..100..600 %}", "90..100..600 % is not a doubt around 100 %; expected a range that holds 100 %, such as 100 % ± 10 % or 90..100..120 %"},
		{here, "doubt: 100 % ± 5 %", "holidays: shut", `unknown word for holidays "shut"; expected open or closed`},
		{here, "\nholidays:", "  DB1.a: {name: Sub-board, from: DB1}\n\nholidays:", `"DB1.a" cannot be a short name; expected letters, digits and hyphens, such as cold-store-1`},
		{visit, "voltage: 231.2 V", "voltage: -231.2 V", "-231.2 V is negative; expected a voltage of zero or more"},
		{visit, "current: 84.1 A", "current: -84.1 A", "-84.1 A is negative; expected a current of zero or more"},
		{visit, "power: 16.2 kW", "apparent: -16.2 kVA", "-16.2 kVA is negative; expected an apparent power of zero or more"},
		{visit, "pf: 0.84 lag}\n      B", "angle: 361 °}\n      B", "361 ° is out of range; expected an angle from -360 ° to 360 °"},
		{visit, "pf: 0.84 lag}\n      B", "angle: -361 °}\n      B", "-361 ° is out of range; expected an angle from -360 ° to 360 °"},
		{visit, "frequency: 50.02 Hz", "frequency: 0 Hz", "0 Hz is out of range; expected a frequency above zero"},
		{visit, "frequency: 50.02 Hz", "lines: {AB: {voltage: -400 V}}", "-400 V is negative; expected a voltage of zero or more"},
		{visit, "frequency: 50.02 Hz", "lines: {AB: {current: -4 A}}", "-4 A is negative; expected a current of zero or more"},
		{visit, "frequency: 50.02 Hz", "lines: {AB: {apparent: -4 kVA}}", "-4 kVA is negative; expected an apparent power of zero or more"},
		{visit, "frequency: 50.02 Hz", "lines: {AD: {voltage: 400 V}}", `unknown pair of lines "AD"; expected one of AB, BC, CA; did you mean "AB"?`},
		{visit, "frequency: 50.02 Hz", "lines: {AB: {voltage: 400 V}, BA: {voltage: 400 V}}", "AB and BA are the same pair of lines; expected one of them"},
		{visit, "frequency: 50.02 Hz", "total: {current: -1 A}", "-1 A is negative; expected a current of zero or more"},
		{visit, "phase: A, thd", "phase: X, thd", `unknown phase "X"; expected one of A, B, C, N, L1, L2, L3`},
		{visit, "{5: 18.0 %", "{1: 18.0 %", `"1" is not a harmonic order; expected a whole number from 2 to 50`},
		{visit, "{5: 18.0 %", "{51: 18.0 %", `"51" is not a harmonic order; expected a whole number from 2 to 50`},
		{visit, "{5: 18.0 %", "{2.5: 18.0 %", `"2.5" is not a harmonic order; expected a whole number from 2 to 50`},
		{visit, "{5: 18.0 %", "{5: -18.0 %", "-18.0 % is negative; expected a share of zero or more"},
		{visit, "wiring: 1P2W", "wiring: 1P2W\n    balanced: yes", "only a three-phase reading can be balanced; expected wiring 3P3W or 3P4W"},
		{visit, "with: clamp-1", "with: clamp-1\nreport: 7\nconditions: [rain]", "a list stands where a single value belongs; expected one value, such as a normal working day, 17 °C, all lines running"},
		{visit, "- id: elevator", "- id: e.1", `"e.1" cannot be a short name; expected letters, digits and hyphens, such as cold-store-1`},
		{visit, "\nloads:", "  - {id: R 3, at: DB1, wiring: 1P2W, total: {power: 1 kW}}\n\nloads:", `"R 3" cannot be a short name; expected letters, digits and hyphens, such as cold-store-1`},
		{prov, "[[instrument]]", "[[instrument]]\nid = \"a/b\"\nname = \"x\"\n[[instrument]]", `"a/b" cannot be a short name; expected letters, digits and hyphens, such as cold-store-1`},
		{visit, "grinding: {", "grinding/fine: {", `"grinding/fine" cannot be a short name; expected letters, digits and hyphens, such as cold-store-1`},
		{visit, "duty: 80 %", "duty: -5 %", "-5 % is out of range; expected a duty from 0 % to 100 %"},
		{visit, "duty: 80 %", "duty: 80..90..110 %", "80..90..110 % is out of range; expected a duty from 0 % to 100 %"},
		{visit, "duty: 80 %", "duty: 130 % ± 40 %", "130 % ± 40 % is out of range; expected a duty from 0 % to 100 %"},
		{visit, "cycle: 20 min", "cycle: -20 min", "-20 min is out of range; expected a cycle longer than zero"},
		{visit, "pf: 0.80 lag", "pf: 0", "a power factor of 0 is out of range; expected a number above 0, up to 1, such as 0.92 lag"},
		{visit, "pf: 0.80 lag", "standby: -1 W", "-1 W is negative; expected a standby power of zero or more"},
		{visit, "pf: 0.80 lag", "typical: 50 %", "50 % is not a doubt around 100 %; expected a range that holds 100 %, such as 100 % ± 10 % or 90..100..120 %"},
		{visit, "reading: R2", "power: -2 kW", "-2 kW is negative; expected a power of zero or more"},
		{visit, "rated: 7.5 kW", "rated: 0 kW", "0 kW is out of range; expected a rating above zero"},
		{visit, "loading: 70 % ± 10 %", "loading: 160 %", "160 % is out of range; expected a loading from 0 % to 150 %"},
		{visit, "loading: 70 % ± 10 %", "loading: -1..50..60 %", "-1..50..60 % is out of range; expected a loading from 0 % to 150 %"},
		{visit, "efficiency: 88 %", "efficiency: 101 %", "101 % is out of range; expected an efficiency of 5 % to 100 %"},
		{visit, "efficiency: 88 %", "efficiency: 4 %", "4 % is out of range; expected an efficiency of 5 % to 100 %"},
		{visit, "power: 3.1 kW", "power: -3.1 kW", "-3.1 kW is negative; expected a power of zero or more"},
		{visit, "power: 3.1 kW", "reading: R1, power: 3.1 kW", `the state "idling" has a reading and a power; expected one of them`},
		{visit, "power: 3.1 kW", "reading: R7", `unknown reading "R7"; expected a reading of this visit or an earlier one: R1 or R2; did you mean "R1"?`},
		{visit, "runs: {calendar: shift}", "runs: {calendar: shift, duty: 50 %}", "each state has its own duty, and a duty for all stands here too; expected the duties of the states alone"},
		{visit, "    time: 10:40", "    with: clamp-3", `unknown instrument "clamp-3"; expected an instrument of provider.toml: clamp-1`},
	}
	for _, tt := range tests {
		t.Run(tt.text, func(t *testing.T) {
			m := good(t)
			f := m[tt.file]
			if !strings.Contains(string(f.Data), tt.old) {
				t.Fatalf("%q does not stand in %s", tt.old, tt.file)
			}
			m[tt.file] = file(strings.Replace(string(f.Data), tt.old, tt.text, 1))
			rec, faults := readMill(m, civil.Date{})
			plainWords(t, faults)
			if p := placed.FindString(faults); rec != nil || faults != p+tt.want+"\n" || !strings.HasPrefix(p, tt.file) {
				t.Errorf("got  %swant %s", faults, tt.want)
			}
		})
	}
}

// TestAllowed holds what looks odd and is right.
func TestAllowed(t *testing.T) {
	const visit = "sites/mill/visits/2031-03-12.yaml"
	for _, tt := range []struct{ old, text string }{
		{"power: 16.2 kW, pf: 0.84 lag", "power: -16.2 kW, pf: -0.84"},
		{"duty: 80 %", "duty: 95 % ± 10 %"},
		{"duty: 80 %", "duty: 0 %"},
		{"duty: 80 %", "duty: 100 %"},
		{"loading: 70 % ± 10 %", "loading: 150 %"},
		{"A: {voltage: 231.2 V", "L1: {voltage: 231.2 V"},
		{"    time: 10:40", "    time: 24:00"},
		{"wiring: 1P2W", "wiring: 1P2W\n    of: 230"},
		{"current: 84.1 A", "current: 0 A"},
	} {
		m := good(t)
		m[visit] = file(strings.Replace(string(m[visit].Data), tt.old, tt.text, 1))
		if rec, faults := readMill(m, civil.Date{}); rec == nil {
			t.Errorf("%s:\n%s", tt.text, faults)
		}
	}
}
