package audit

import (
	"math"
	"strings"
	"testing"

	"auditgen/internal/working"
)

// motorBy is a site with one motor whose plate tells its loading by a method.
func motorBy(plate, more string) small {
	return small{loads: "  - {id: it, name: It, at: DB1-1, use: work, nameplate: {" + plate + "}, " + more + "runs: {calendar: always}}"}
}

const american = "{system: 3P4W, voltage: 480 V, frequency: 60 Hz, limits: north-america}"

// The fact sheet's motor of testdata/published/motor, from its plate to the power
// that it takes: 25 hp, 1750 of 1800 rpm, 1770 read, is 60 % and 15 hp at the
// shaft.
func TestPublishedSlipFromFileToPower(t *testing.T) {
	s := motorBy("rated: 25 hp, efficiency: 91 %, speed: {read: 1770 rpm, plate: 1750 rpm, poles: 4}", "")
	s.supply = american
	r := s.run(t)
	l := r.Loads[0]
	st, _ := r.Sheet.Get("loads.it.loading-by-slip")
	nearly(t, "loading", st.Value, 0.60, 1e-12)
	nearly(t, "shaft power in hp", l.Running.V*0.91/745.6999, 15, 1e-9)
	nearly(t, "running power", l.Running.V, 15*745.6999/0.91, 1e-9)
	nearly(t, "energy", l.Energy.Value, 15*0.7456999/0.91*8760, 1e-9)
	if l.Basis != working.Assumed || l.BasisText != "plate, loading by slip" || len(l.Readings) > 0 {
		t.Errorf("a speed is dressed as a reading of power: %s, %q, %v", l.Basis, l.BasisText, l.Readings)
	}
	if v := r.MeasuredShare(); v.V != 0 {
		t.Errorf("%g of the energy counts as measured", v.V)
	}
	for id, kind := range map[string]working.Kind{"speed": working.Measured, "full-load-speed": working.Stated, "frequency": working.Assumed, "synchronous-speed": working.Derived, "loading-by-slip": working.Derived, "loading-holds": working.Assumed, "loading": working.Derived, "running": working.Derived} {
		if st, ok := r.Sheet.Get("loads.it." + id); !ok || st.Kind != kind {
			t.Errorf("%s: %v %s", id, ok, st.Kind)
		}
	}
	if err := r.Sheet.Replay(); err != nil {
		t.Error(err)
	}
}

// Loadings by hand, on both sides of what the methods hold for.
func TestLoadingBySlipAndCurrentByHand(t *testing.T) {
	const above, below = (0.80 + 0.95 + 1.05) / 3, 0.50
	for _, c := range []struct {
		name, plate string
		by          string
		loading     float64
		holds       float64
	}{
		{"slip", "speed: {read: 1472 rpm, plate: 1455 rpm, poles: 4}", BySlip, 28.0 / 45, 1},
		{"the unit of SI", "speed: {read: 1472 1/min, plate: 1455 r/min, poles: 4}", BySlip, 28.0 / 45, 1},
		{"six poles", "speed: {read: 985 rpm, plate: 970 rpm, poles: 6}", BySlip, 0.5, 1},
		{"idle", "speed: {read: 1499 rpm, plate: 1455 rpm, poles: 4}", BySlip, 1.0 / 45, 1},
		{"at the most", "speed: {read: 1433 rpm, plate: 1455 rpm, poles: 4}", BySlip, 67.0 / 45, 1},
		{"slip at a voltage", "speed: {read: 1472 rpm, plate: 1455 rpm, poles: 4}, voltage: {read: 380 V, plate: 400 V}", BySlip, 28.0 / 45 * 0.95 * 0.95, 1},
		{"slip at a frequency", "speed: {read: 1472 rpm, plate: 1455 rpm, poles: 4, frequency: 49.90 Hz}", BySlip, 25 / (1497 - 1455*0.998), 1},
		{"current", "current: {read: 10.5 A, plate: 14.0 A}", ByCurrent, 0.75, above},
		{"current at a voltage", "current: {read: 10.5 A, plate: 14.0 A}, voltage: {read: 380 V, plate: 400 V}", ByCurrent, 0.75 * 0.95, above},
		{"half the current", "current: {read: 7.0 A, plate: 14.0 A}", ByCurrent, 0.5, above},
		{"less than half the current", "current: {read: 6.99 A, plate: 14.0 A}", ByCurrent, 6.99 / 14, below},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := motorBy("rated: 7.5 kW, efficiency: 88 %, "+c.plate, "").run(t)
			v, by := r.loadedBy("it")
			nearly(t, "loading", v.V, c.loading, 1e-12)
			if by != c.by {
				t.Errorf("by %q", by)
			}
			nearly(t, "running power", r.Loads[0].Running.V, 7500*c.loading*c.holds/0.88, 1e-9)
			if m := r.Motors(); len(m) != 1 || m[0].By != c.by || m[0].Loading.V != v.V || m[0].Known {
				t.Errorf("%+v", m)
			}
		})
	}
}

// The tolerance of the plate's slip, the last digit of the speed, the frequency and
// the day all reach the draws; what is known better is doubted less.
func TestDoubtsOfASlip(t *testing.T) {
	half := func(plate, more string) float64 {
		r := motorBy("rated: 7.5 kW, efficiency: 88 %, "+plate, more).run(t)
		return (r.Energy.High - r.Energy.Low) / 2 / r.Energy.Value
	}
	const sure = "typical: 100 %, "
	plate := half("speed: {read: 1472.0 rpm, plate: 1455 rpm, poles: 4, frequency: 50.000 Hz}", sure)
	// 90 % of a flat distribution of ±20 % lie within ±18 %.
	if math.Abs(plate-0.18) > 0.005 {
		t.Errorf("the plate's slip alone is ±%.3f", plate)
	}
	digit := half("speed: {read: 1472 rpm, plate: 1455 rpm, poles: 4, frequency: 50.000 Hz}", sure)
	frequency := half("speed: {read: 1472.0 rpm, plate: 1455 rpm, poles: 4}", sure)
	day := half("speed: {read: 1472.0 rpm, plate: 1455 rpm, poles: 4, frequency: 50.000 Hz}", "")
	nearIdle := half("speed: {read: 1494 rpm, plate: 1455 rpm, poles: 4}", sure)
	for name, h := range map[string]float64{"digit": digit, "frequency": frequency, "day": day} {
		if h <= plate+0.0005 {
			t.Errorf("the %s adds nothing: ±%.4f after ±%.4f", name, h, plate)
		}
	}
	if nearIdle <= digit+0.05 {
		t.Errorf("a slip of 6 rpm is as good as one of 28: ±%.3f, ±%.3f", nearIdle, digit)
	}
	if full, low := half("current: {read: 10.5 A, plate: 14.0 A}", sure), half("current: {read: 6.0 A, plate: 14.0 A}", sure); low < 3*full {
		t.Errorf("a current below half load is doubted by ±%.3f, above it by ±%.3f", low, full)
	}
}

// The register says what was assumed, and nothing of a power that was read.
func TestRegisterOfASlip(t *testing.T) {
	r := motorBy("rated: 7.5 kW, efficiency: 88 %, speed: {read: 1472 rpm, plate: 1455 rpm, poles: 4}", "").run(t)
	var said []string
	for _, a := range r.Assumptions {
		said = append(said, a.What+": "+a.Value+": "+a.Reason)
	}
	text := strings.Join(said, "\n")
	for _, want := range []string{"Loading of it, as a share of what its slip says: 80..120 %", "20 % of the slip (tolerance of NEMA MG 1, from memory)", "Frequency while speeds of motors were read: 50 Hz ± 0.1 % of value"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
	if strings.Contains(text, "Loading of it:") {
		t.Errorf("a loading that was found is called an assumption:\n%s", text)
	}
}
