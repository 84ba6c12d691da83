package site_test

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"auditgen/internal/civil"
)

// FuzzRead puts odd text in place of each file of a site: nothing panics, and
// every fault has its place and plain words.
func FuzzRead(f *testing.F) {
	m := good(f)
	names := []string{"provider.toml", "sites/mill/site.yaml", "sites/mill/visits/2031-03-12.yaml", "tariffs/plain.yaml", "sites/mill/visits/2032-01-01.yaml", "sites/mill/measures.yaml"}
	for i, n := range names {
		if m[n] != nil {
			f.Add(uint8(i), m[n].Data)
		}
		f.Add(uint8(i), []byte("a: [1, {b: c}]\n"))
	}
	f.Add(uint8(4), []byte("visit: 2032-01-01\nby: x\nwith: clamp-1\nremoved: [R1, sifter]\nreadings:\n  - {id: R3, at: DB1, wiring: 3P3W, lines: {AB: {power: 1 kW}, CB: {power: 2 kW}}}\n"))
	f.Add(uint8(5), []byte(goodMeasures))
	clean := good(f)
	f.Fuzz(func(t *testing.T, which uint8, data []byte) {
		m := maps.Clone(clean)
		m[names[int(which)%len(names)]] = file(string(data))
		holdTold(t, m, civil.Date{}, civil.Date{Year: 2031, Month: 3, Day: 12})
	})
}

// holdTold reads a site: a record or faults, each with its place, in plain
// words.
func holdTold(t *testing.T, m fstest.MapFS, visits ...civil.Date) {
	t.Helper()
	for _, visit := range visits {
		rec, faults := readMill(m, visit)
		if (rec == nil) != (faults != "") {
			t.Fatalf("record %v, faults:\n%s", rec != nil, faults)
		}
		if !utf8.ValidString(faults) {
			t.Error("a fault is not text")
		}
		plainWords(t, faults)
	}
}

// TestMutations breaks every line of every file in every way that a hand does,
// and more: nothing panics, and every fault has its place and plain words.
func TestMutations(t *testing.T) {
	clean := good(t)
	clean["sites/mill/measures.yaml"] = file(goodMeasures)
	if _, faults := readMill(clean, civil.Date{}); faults != "" {
		t.Fatal(faults)
	}
	values := []string{"x", "-1", "0", "[a]", "{a: b}", `""`, "~", "*a", "&a b", "!t b", "'", "[", "{", "1e9", "0x10", "99999999999999999999999 kW", "-5 %", "500..1..2 %", "2031-02-30", "25:00", "../..", "..", "\u2028", "L1", "yes", "1 V"}
	done := 0
	for name, f := range clean {
		lines := strings.SplitAfter(string(f.Data), "\n")
		try := func(changed ...string) {
			done++
			m := maps.Clone(clean)
			m[name] = file(strings.Join(changed, ""))
			holdTold(t, m, civil.Date{})
			if t.Failed() {
				t.Fatalf("%s:\n%s", name, m[name].Data)
			}
		}
		with := func(i int, put ...string) []string {
			return slices.Concat(lines[:i], put, lines[i+1:])
		}
		for i, line := range lines {
			if strings.TrimSpace(line) == "" {
				continue
			}
			try(with(i)...)
			try(with(i, line, line)...)
			try(with(i, " "+line)...)
			try(with(i, "\t"+strings.TrimLeft(line, " "))...)
			try(with(i, strings.TrimLeft(line, " "))...)
			try(with(i, strings.Replace(line, ":", "", 1))...)
			try(with(i, strings.Replace(line, "}", "", 1))...)
			try(with(i, strings.ToUpper(line))...)
			try(lines[:i]...)
			for _, sep := range []string{": ", " = "} {
				for at := strings.Index(line, sep); at >= 0; {
					for _, v := range values {
						end := len(line) - 1
						if n := strings.IndexAny(line[at+len(sep):], ",}"); n >= 0 {
							end = at + len(sep) + n
						}
						try(with(i, line[:at+len(sep)]+v+line[end:])...)
					}
					next := strings.Index(line[at+1:], sep)
					if next < 0 {
						break
					}
					at += 1 + next
				}
			}
		}
	}
	if done < 2000 {
		t.Errorf("only %d mutations", done)
	}
}

// goodMeasures has each kind of change once.
const goodMeasures = `economics: {rate: 5 %, money: current, inflation: 2 %, escalation: 1 %, study: 15 years}
calendars:
  late: {hours: {Mon-Fri: 22:00-06:00}}
measures:
  - id: a
    name: A
    cost: 100..120..150 EUR
    basis: a quote
    upkeep: 5 EUR
    replacements:
      - {part: belt, after: 2 years, every: 2 years, cost: 5..10..20 EUR, basis: a quote}
    residual: straight line
    life: 5 years
    decline: 1 %
    risk: low
    changes:
      - replace: {load: sifter, power: 5 kW, pf: 0.9 lag, duty: 60 %, standby: 10 W, count: 2, calendar: late}
      - add: {id: new, name: New, at: DB1-9, use: milling, power: 2 kW, runs: {calendar: shift}}
      - efficiency: {load: sifter, from: 88 %, to: 92 %}
      - speed: {load: sifter, speed: 75..80..85 %, exponent: "2.5", drive: 96 %}
      - set-point: {load: sifter, by: 2 K, each: 2..3..4 %}
      - leaks: {load: roller, from: 25 %, to: 10 %, loaded: grinding, unloaded: idling}
      - lighting: {load: sifter, from: 80 W, to: 30 W, heat: {load: roller, share: 60 %, hours: 25 %, cop: "3.0"}}
      - standby: {load: sifter, to: 5 W}
      - duty: {load: roller, state: idling, to: 10 %}
      - hours: {load: sifter, calendar: always}
      - shift: {load: sifter, calendar: late}
      - remove: elevator
  - id: b
    name: B
    ready: capacitor-bank
    cost: 50 EUR
    basis: a quote
    residual: 5..10..20 EUR
    after: [a]
    mends: [low-power-factor]
    changes:
      - capacitors: {target: "0.95", size: 20 kvar, reactor: 7 %, loss: 0.4 %}
      - harmonics: {load: sifter, to: 35 %, loss: 20 W}
      - phases: DB1
      - transformer: {load: sifter, rating: 250 kVA, no-load: 300 W, load-loss: 2.3 kW}
      - agreed-demand: 100 kVA
      - photovoltaics: {yield: {Jan: 1 kWh, Feb: 2 kWh, Mar: 3 kWh, Apr: 4 kWh, May: 5 kWh, Jun: 6 kWh, Jul: 6 kWh, Aug: 5 kWh, Sep: 4 kWh, Oct: 3 kWh, Nov: 2 kWh, Dec: 1 kWh}, doubt: 90..100..105 %, present: 40 %, position: 53.35 ° N 6.26 ° W}
`
