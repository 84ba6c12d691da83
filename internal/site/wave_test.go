package site_test

import (
	"math"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"auditgen/internal/civil"
	"auditgen/internal/site"
)

const wavesFolder = "../../testdata/waveforms/"

// sampledMill is the good site with a reading that comes from a file of samples.
func sampledMill(t *testing.T, csv, reading string) fstest.MapFS {
	t.Helper()
	m := good(t)
	const visit = "sites/mill/visits/2031-03-12.yaml"
	text := strings.Replace(string(m[visit].Data), "\nloads:", "  - "+reading+"\n\nloads:", 1)
	m[visit] = &fstest.MapFile{Data: []byte(text)}
	if csv != "" {
		data, err := os.ReadFile(wavesFolder + csv)
		if err != nil {
			t.Fatal(err)
		}
		m["sites/mill/waves/r3.csv"] = &fstest.MapFile{Data: data}
	}
	return m
}

// Samples fill in what was not typed, with their place; what was typed stands.
func TestReadingFromSamples(t *testing.T) {
	rec, faults := readMill(sampledMill(t, "four-wire.csv", "{id: R3, at: DB1-5, wiring: 3P4W, wave: waves/r3.csv, phases: {L2: {voltage: 231 V}}}"), civil.Date{})
	if rec == nil {
		t.Fatal(faults)
	}
	r, _ := rec.ReadingByID("R3")
	if len(r.Phases) != 3 || len(r.Lines) != 3 || r.Sequence.Value != site.Forward || len(r.Harmonics.Current) != 3 || len(r.Harmonics.Voltage) != 3 {
		t.Fatalf("%d phases, %d lines, sequence %s, %d spectra of current", len(r.Phases), len(r.Lines), r.Sequence.Value, len(r.Harmonics.Current))
	}
	a, _ := r.Phases.Get("A")
	if a.Voltage.Pos.File != "sites/mill/waves/r3.csv" || a.Voltage.Text == "" || math.Abs(float64(a.Voltage.Value.Value)-277) > 25 {
		t.Errorf("voltage of A %q from %v", a.Voltage.Text, a.Voltage.Pos)
	}
	s := math.Hypot(float64(a.Power.Value.Value), float64(a.Reactive.Value.Value))
	if s <= 0 || s > float64(a.Apparent.Value.Value)*1.0001 || !a.VoltageAngle.IsSet() || !a.Angle.IsSet() {
		t.Errorf("powers of A: %s, %s, %s", a.Power.Text, a.Reactive.Text, a.Apparent.Text)
	}
	b, ok := r.Phases.Get("L2")
	if !ok || b.Voltage.Text != "231 V" || !b.Current.IsSet() {
		t.Errorf("phase L2 has voltage %q and current %q", b.Voltage.Text, b.Current.Text)
	}
}

// A three-wire recording has no voltages to neutral of its own.
func TestThreeWireSamples(t *testing.T) {
	rec, faults := readMill(sampledMill(t, "three-wire.csv", "{id: R3, at: DB1-5, wiring: 3P3W, wave: {file: waves/r3.csv, sample-rate: 10 kHz}}"), civil.Date{})
	if rec == nil {
		t.Fatal(faults)
	}
	r, _ := rec.ReadingByID("R3")
	for _, p := range r.Phases {
		if p.Value.Voltage.IsSet() || p.Value.Power.IsSet() || !p.Value.Current.IsSet() {
			t.Errorf("phase %s shows %q and %q", p.Key, p.Value.Voltage.Text, p.Value.Power.Text)
		}
	}
	if !r.Total.Power.IsSet() || !r.Total.Apparent.IsSet() || len(r.Lines) != 3 {
		t.Errorf("total %q, %q; %d lines", r.Total.Power.Text, r.Total.Apparent.Text, len(r.Lines))
	}
}

func TestFaultsOfSamples(t *testing.T) {
	for _, c := range []struct{ name, csv, reading, want string }{
		{"missing", "", "{id: R3, at: DB1-5, wiring: 3P4W, wave: waves/r3.csv}", "waves/r3.csv cannot be read"},
		{"one phase said", "four-wire.csv", "{id: R3, at: DB1-5, wiring: 1P2W, wave: waves/r3.csv}", "the file holds 3 phases, but the wiring is 1P2W"},
		{"a column that is not there", "four-wire.csv", "{id: R3, at: DB1-5, wiring: 3P4W, wave: {file: waves/r3.csv, channels: [{column: Channel Q, is: u_a}]}}", "Channel Q"},
		{"a channel that is none", "four-wire.csv", "{id: R3, at: DB1-5, wiring: 3P4W, wave: {file: waves/r3.csv, channels: [{column: u_a, is: x}]}}", `"x" is no channel`},
	} {
		rec, faults := readMill(sampledMill(t, c.csv, c.reading), civil.Date{})
		if rec != nil || !strings.Contains(faults, c.want) {
			t.Errorf("%s: %s", c.name, faults)
		}
	}
}
