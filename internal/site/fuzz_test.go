package site_test

import (
	"testing"
	"unicode/utf8"

	"auditgen/internal/civil"
)

// FuzzRead puts odd text in place of each file of a site: nothing panics, and
// every fault has its place and plain words.
func FuzzRead(f *testing.F) {
	m := good(f)
	names := []string{"provider.toml", "sites/mill/site.yaml", "sites/mill/visits/2031-03-12.yaml", "tariffs/plain.yaml", "sites/mill/visits/2032-01-01.yaml"}
	for i, n := range names {
		if m[n] != nil {
			f.Add(uint8(i), m[n].Data)
		}
		f.Add(uint8(i), []byte("a: [1, {b: c}]\n"))
	}
	f.Add(uint8(4), []byte("visit: 2032-01-01\nby: x\nwith: clamp-1\nremoved: [R1, sifter]\nreadings:\n  - {id: R3, at: DB1, wiring: 3P3W, lines: {AB: {power: 1 kW}, CB: {power: 2 kW}}}\n"))
	f.Fuzz(func(t *testing.T, which uint8, data []byte) {
		m := good(t)
		m[names[int(which)%len(names)]] = file(string(data))
		for _, visit := range []civil.Date{{}, {Year: 2031, Month: 3, Day: 12}} {
			rec, faults := readMill(m, visit)
			if (rec == nil) != (faults != "") {
				t.Fatalf("record %v, faults:\n%s", rec != nil, faults)
			}
			if !utf8.ValidString(faults) {
				t.Error("a fault is not text")
			}
			plainWords(t, faults)
		}
	})
}
