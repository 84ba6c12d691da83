package audit

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
	"auditgen/internal/waveform"
)

// A reading from samples is worked out like one that was typed: its total is that
// of the samples' own analysis, its components too, and it agrees with itself.
func TestReadingFromSamples(t *testing.T) {
	data, err := os.ReadFile("../../testdata/waveforms/four-wire.csv")
	if err != nil {
		t.Fatal(err)
	}
	s := small{supply: "{system: 3P4W, voltage: 480 V, frequency: 60 Hz, limits: north-america}", readings: one("DB1-1", "3P4W", "wave: waves/r1.csv")}
	files := s.files()
	files["sites/a/waves/r1.csv"] = &fstest.MapFile{Data: data}
	var faults diag.List
	rec := site.Read(site.Folder{FS: files, Dir: "sites/a"}, civil.Date{}, &faults)
	if rec == nil {
		t.Fatal(faults.Err())
	}
	r, err := Run(rec)
	if err != nil {
		t.Fatal(err)
	}
	if err := r.Sheet.Replay(); err != nil {
		t.Fatal(err)
	}
	a, err := waveform.Analyse(waveform.Read("r1.csv", data, waveform.Columns{}, &faults))
	if err != nil {
		t.Fatal(err)
	}
	rd := r.Readings[0]
	nearly(t, "active power", rd.Total.Power.V, float64(a.Total.Active), 1e-4)
	nearly(t, "reactive power", rd.Total.Reactive.V, float64(a.Total.Reactive), 1e-3)
	u0, _ := power.SequenceShare(a.Total.Voltage.Zero.Size, a.Total.Voltage.Positive.Size)
	if got := quantity.Ratio(rd.Components.ZeroShare.V); got < u0-0.002 || got > u0+0.002 {
		t.Errorf("zero sequence %.4f, want %.4f", got, u0)
	}
	if len(rd.Doubts) != 0 {
		t.Errorf("doubts %q: %+v", ids(rd.Doubts), rd.Doubts)
	}
	if st, ok := r.Sheet.Get("readings.R1.A.power"); !ok || !strings.HasSuffix(st.Pos.File, "waves/r1.csv") {
		t.Errorf("the power of A comes from %v", st.Pos)
	}
}
