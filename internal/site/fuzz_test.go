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
	names := []string{"provider.toml", "sites/mill/site.yaml", "sites/mill/visits/2031-03-12.yaml", "tariffs/plain.yaml", "sites/mill/visits/2032-01-01.yaml"}
	for i, n := range names {
		if m[n] != nil {
			f.Add(uint8(i), m[n].Data)
		}
		f.Add(uint8(i), []byte("a: [1, {b: c}]\n"))
	}
	f.Add(uint8(4), []byte("visit: 2032-01-01\nby: x\nwith: clamp-1\nremoved: [R1, sifter]\nreadings:\n  - {id: R3, at: DB1, wiring: 3P3W, lines: {AB: {power: 1 kW}, CB: {power: 2 kW}}}\n"))
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
