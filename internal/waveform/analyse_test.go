package waveform

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"auditgen/internal/power"
	"auditgen/internal/quantity"
)

// The textbook wave of testdata/published/distorted-wave, sampled: what the
// formulas there make of its parts, the analysis must find in its samples.
func TestTextbookWave(t *testing.T) {
	r2 := math.Sqrt2
	for _, rate := range []float64{12800, 10000, 9973} {
		for _, f := range []float64{50, 49.87, 60.03} {
			n := int(0.25 * rate)
			u := made(n, rate, f, part{1, 60 / r2, -90}, part{3, 15 / r2, 45 - 90}, part{5, 10 / r2, -90 - 90})
			i := made(n, rate, f, part{1, 2 / r2, -30 - 90}, part{3, 0.3 / r2, -15 - 90}, part{5, 0.1 / r2, -160 - 90})
			a, err := Analyse(record(rate, map[string][]float64{"u": u, "i": i}))
			if err != nil {
				t.Fatal(err)
			}
			p := a.Phases[0].Power
			for _, c := range []struct {
				what      string
				got, want float64
			}{
				{"frequency", float64(a.Window.Frequency), f},
				{"U", float64(a.Phases[0].Voltage.RMS), 44.300},
				{"I", float64(a.Phases[0].Current.RMS), 1.4318},
				{"P", float64(p.Active), 53.2575}, {"S", float64(p.Apparent), 63.4281},
				{"S1", float64(p.Fundamental), 60}, {"P1", float64(p.FundamentalActive), 51.9615}, {"Q1", float64(p.Reactive), 30},
				{"THD U", float64(a.Phases[0].Voltage.THD), 0.300463}, {"THD I", float64(a.Phases[0].Current.THD), 0.158114},
				{"S_N", float64(p.NonFundamental), 20.5704}, {"D_I", float64(p.CurrentDistortion), 9.4868},
				{"D_V", float64(p.VoltageDistortion), 18.0278}, {"S_H", float64(p.Harmonic), 2.85044},
				{"P_H", float64(p.HarmonicActive), 1.29601}, {"N", float64(p.NonActive), 34.4493},
				{"dPF", float64(p.Displacement), 0.866025}, {"PF", float64(p.PowerFactor), 0.83965},
			} {
				if !near(c.got, c.want, 2e-5, 1e-5) {
					t.Errorf("%g Hz at %g a second: %s %.7g, want %.7g", f, rate, c.what, c.got, c.want)
				}
			}
			if p.Lead != quantity.Lagging || !near(float64(p.Angle), 30, 0, 1e-3) {
				t.Errorf("angle %g, %v", p.Angle, p.Lead)
			}
		}
	}
}

// wild draws a wave of known content: a fundamental of 1 to 400 and each order to
// 25 with up to a third of what 1/h would give.
func wild(r *rand.Rand) []part {
	first := 1 + 399*r.Float64()
	parts := []part{{1, first, 360 * r.Float64()}}
	for h := 2.0; h <= 25; h++ {
		parts = append(parts, part{h, first * r.Float64() / (3 * h) * 2, 360 * r.Float64()})
	}
	return parts
}

func TestKnownContentIsRecovered(t *testing.T) {
	r := rand.New(rand.NewPCG(20310514, 2))
	for draw := range 150 {
		f := 45 + 20*r.Float64()
		rate := 4000 + 16000*r.Float64()
		n := int(rate / f * (2.7 + 15*r.Float64()))
		parts := wild(r)
		a, err := Analyse(record(rate, map[string][]float64{"u": made(n, rate, f, parts...)}))
		if err != nil {
			t.Fatalf("draw %d: %v", draw, err)
		}
		w := a.Phases[0].Voltage
		if !near(float64(a.Window.Frequency), f, 1e-6, 0) {
			t.Errorf("draw %d: %.8g Hz, want %.8g", draw, a.Window.Frequency, f)
		}
		for _, c := range w.Orders {
			if c.Order > 25 {
				if float64(c.Share) > 2e-5 {
					t.Errorf("draw %d: order %d of nothing has %g", draw, c.Order, c.Share)
				}
				continue
			}
			p := parts[c.Order-1]
			if math.Abs(float64(c.Size)-p.rms) > 5e-5*parts[0].rms {
				t.Errorf("draw %d (%.1f Hz, %.0f a second, %d): order %d %.6g, want %.6g", draw, f, rate, n, c.Order, c.Size, p.rms)
			}
			if want := p.angle - p.order*parts[0].angle; p.rms > 0.01*parts[0].rms && apart(float64(c.Angle), want) > 0.2 {
				t.Errorf("draw %d: order %d at %.3f degrees, want %.3f", draw, c.Order, c.Angle, want)
			}
		}
		if t.Failed() {
			return
		}
	}
}

// S² = S1² + D_I² + D_V² + S_H² and S1² = P1² + Q1²; power and distortion scale
// with voltage and current; both bases of distortion invert each other.
func TestPowersOfWavesClose(t *testing.T) {
	r := rand.New(rand.NewPCG(20310514, 3))
	for draw := range 80 {
		f, rate := 45+20*r.Float64(), 6000+6000*r.Float64()
		n := int(rate / f * 11)
		u, i := made(n, rate, f, wild(r)...), made(n, rate, f, wild(r)...)
		k := 0.1 + 10*r.Float64()
		scaled := make([]float64, n)
		for j, v := range i {
			scaled[j] = k * v
		}
		one, err := Analyse(record(rate, map[string][]float64{"u": u, "i": i}))
		two, err2 := Analyse(record(rate, map[string][]float64{"u": u, "i": scaled}))
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		p, q := one.Phases[0].Power, two.Phases[0].Power
		s2 := sq(float64(p.Apparent))
		d2 := sq(float64(p.CurrentDistortion)) + sq(float64(p.VoltageDistortion)) + sq(float64(p.Harmonic))
		sum := sq(float64(p.FundamentalActive)) + sq(float64(p.Reactive)) + d2
		if !near(sum, s2, 1e-9, 0) || !near(sq(float64(p.NonFundamental)), d2, 1e-8, 0) || !near(sq(float64(p.Active))+sq(float64(p.NonActive)), s2, 1e-9, 0) {
			t.Fatalf("draw %d: S² %g, parts %g", draw, s2, sum)
		}
		if !near(float64(q.Active), k*float64(p.Active), 1e-9, 1e-6) || !near(float64(q.Reactive), k*float64(p.Reactive), 1e-9, 1e-6) ||
			!near(float64(two.Phases[0].Current.THD), float64(one.Phases[0].Current.THD), 1e-9, 0) {
			t.Fatalf("draw %d: power does not scale by %g", draw, k)
		}
		c := one.Phases[0].Current
		if back, ok := power.THDOfFundamental(c.THDOfRMS); !ok || !near(float64(back), float64(c.THD), 1e-12, 0) {
			t.Fatalf("draw %d: %g of fundamental, %g back", draw, c.THD, back)
		}
	}
}

// An interharmonic half way between two orders counts by half in the group of
// each, one beside an order in its subgroup; neither in single lines.
func TestGroups(t *testing.T) {
	rate, n := 12800.0, 2560
	tests := []struct {
		name                   string
		f                      float64
		at                     float64 // orders
		line, subgroup5, whole float64 // of the added 10 V in the figures of order 5
	}{
		{"on the order", 50, 5, 10, 10, 10},
		{"5 Hz beside", 50, 5.1, 0, 10, 10},
		{"10 Hz beside", 50, 5.2, 0, 0, 10},
		{"half way", 50, 5.5, 0, 0, 10 / math.Sqrt2},
		{"20 Hz beside, 60 Hz", 60, 5 + 20.0/60, 0, 0, 10},
		{"5 Hz beside, 60 Hz", 60, 5 + 5.0/60, 0, 10, 10},
	}
	for _, tt := range tests {
		u := made(n+40, rate, tt.f, part{1, 230, 0}, part{tt.at, 10, 33})
		a, err := Analyse(record(rate, map[string][]float64{"u": u}))
		if err != nil {
			t.Fatal(err)
		}
		v := a.Phases[0].Voltage
		if !a.Window.Grouped {
			t.Fatalf("%s: no groups: %q", tt.name, a.Notes)
		}
		for _, c := range []struct {
			what      string
			got, want float64
		}{{"line", float64(v.Orders[4].Size), tt.line}, {"subgroup", float64(v.Subgroups[4]), tt.subgroup5}, {"group", float64(v.Groups[4]), tt.whole}} {
			if !near(c.got, c.want, 1e-3, 2e-2) {
				t.Errorf("%s: %s %.5g, want %.5g", tt.name, c.what, c.got, c.want)
			}
		}
	}
}

// Direct current and a peak are seen; a current of nothing has no figures that
// are none.
func TestOddWaves(t *testing.T) {
	rate, n := 12800.0, 2560
	u := made(n, rate, 50, part{1, 230, 0}, part{0, 4, 0})
	a, err := Analyse(record(rate, map[string][]float64{"u": u, "i": make([]float64, n)}))
	if err != nil {
		t.Fatal(err)
	}
	v, i, p := a.Phases[0].Voltage, a.Phases[0].Current, a.Phases[0].Power
	if !near(float64(v.Mean), 4, 1e-9, 0) || v.THD > 1e-9 || !near(float64(v.Distortion), 4.0/230, 1e-9, 0) || !near(float64(v.Peak), 4+230*math.Sqrt2, 1e-9, 0) {
		t.Errorf("mean %g, distortion %g, peak %g", v.Mean, v.Distortion, v.Peak)
	}
	for _, x := range []float64{float64(i.THD), float64(i.Crest), float64(i.LossFactor), float64(p.PowerFactor), float64(p.Displacement), float64(p.Reactive)} {
		if math.Abs(x) > 1e-9 || math.IsNaN(x) {
			t.Errorf("a current of nothing shows %v", x)
		}
	}
	square := make([]float64, n)
	for k := range square {
		square[k] = 12
		if k%256 >= 128 {
			square[k] = -12
		}
	}
	a, err = Analyse(record(rate, map[string][]float64{"u": square}))
	if err != nil {
		t.Fatal(err)
	}
	v = a.Phases[0].Voltage
	// Fundamental of a square wave 10.80 V; 48.34 % over all orders, 46.3 % to order 49.
	if !near(float64(v.Fundamental), 10.80, 0, 0.005) || !near(float64(v.Distortion), 0.4834, 0, 2e-4) || !near(float64(v.Crest), 1, 1e-9, 0) {
		t.Errorf("square wave: %g V, %g, crest %g", v.Fundamental, v.Distortion, v.Crest)
	}
}

func TestRecordingsThatCannotBeAnalysed(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	noise := make([]float64, 4000)
	for i := range noise {
		noise[i] = r.NormFloat64()
	}
	for name, rec := range map[string]*Recording{
		"none":         {},
		"no samples":   record(1000, map[string][]float64{"u": nil}),
		"flat":         record(10000, map[string][]float64{"u": make([]float64, 2000)}),
		"part a cycle": record(10000, map[string][]float64{"u": made(120, 10000, 50, part{1, 230, 0})}),
		"direct":       record(10000, map[string][]float64{"u": made(2000, 10000, 50, part{0, 12, 0})}),
		"400 Hz":       record(50000, map[string][]float64{"u": made(20000, 50000, 400, part{1, 115, 0})}),
		"too slow":     record(100, map[string][]float64{"u": made(200, 100, 49, part{1, 230, 0})}),
		"far too fast": record(1e12, map[string][]float64{"u": made(2000, 10000, 50, part{1, 230, 0})}),
		"noise":        record(50000, map[string][]float64{"u": noise}),
	} {
		if a, err := Analyse(rec); err == nil {
			t.Errorf("%s: %.3f Hz, no error", name, a.Window.Frequency)
		}
	}
}

// Noise and the steps of an 8-bit scope spoil little: the frequency stays within
// 20 mHz, powers within 0.5 %, a distortion within half a percent of the
// fundamental.
func TestNoiseAndCoarseSteps(t *testing.T) {
	r := rand.New(rand.NewPCG(20310514, 5))
	for draw := range 40 {
		f, rate := 49+2*r.Float64(), 10000.0
		n := 2100
		u := made(n, rate, f, part{1, 230, 10}, part{5, 9, 20})
		i := made(n, rate, f, part{1, 10, -20}, part{3, 3, 20}, part{5, 2, 90})
		for k := range u {
			u[k] = math.Round((u[k]+0.5*r.NormFloat64())/3.2) * 3.2
			i[k] = math.Round((i[k]+0.03*r.NormFloat64())/0.16) * 0.16
		}
		a, err := Analyse(record(rate, map[string][]float64{"u": u, "i": i}))
		if err != nil {
			t.Fatal(err)
		}
		p := a.Phases[0]
		if !near(float64(a.Window.Frequency), f, 0, 0.02) || !near(float64(p.Power.Active), 2300*math.Cos(30/degree)+18*math.Cos(70/degree), 5e-3, 0) ||
			!near(float64(p.Current.THD), math.Sqrt(13)/10, 0, 5e-3) || !near(float64(p.Voltage.THD), 9.0/230, 0, 5e-3) {
			t.Errorf("draw %d: %.4f Hz (%.4f), %.2f W, %.4f, %.4f", draw, a.Window.Frequency, f, p.Power.Active, p.Current.THD, p.Voltage.THD)
		}
	}
	few := made(2000, 10000, 50, part{1, 1, 10})
	for k := range few {
		few[k] = math.Round(few[k]/0.05) * 0.05
	}
	a, err := Analyse(record(10000, map[string][]float64{"i": few}))
	if err != nil || len(a.Notes) != 1 || a.Notes[0] != "i is sampled in steps of 3.6 % of its peak: small orders and low currents are not to be trusted" {
		t.Errorf("%v %q", err, a.Notes)
	}
}

func TestNotes(t *testing.T) {
	for _, tt := range []struct {
		rate, cycles float64
		want         []string
	}{
		{12800, 10, nil},
		{12800, 4.3, []string{"4 cycles instead of the 10 of IEC 61000-4-7: single lines, no groups"}},
		{2000, 10.5, []string{"the sample rate reaches order 16 only"}},
		{12777, 1.2, []string{"1 cycle instead of the 10 of IEC 61000-4-7: single lines, no groups", "the frequency rests on less than two cycles"}},
		{1290, 1.3, []string{"1 cycle instead of the 10 of IEC 61000-4-7: single lines, no groups", "the frequency rests on less than two cycles", "the window misses whole cycles by 0.78 % and is too short to be set right: each line leaks into its neighbours", "the sample rate reaches order 10 only"}},
	} {
		n := int(tt.rate / 50 * tt.cycles)
		a, err := Analyse(record(tt.rate, map[string][]float64{"u": made(n, tt.rate, 50, part{1, 230, 10}, part{5, 9, 20})}))
		if err != nil {
			t.Fatal(err)
		}
		if strings.Join(a.Notes, "|") != strings.Join(tt.want, "|") {
			t.Errorf("%g cycles at %g: %q", tt.cycles, tt.rate, a.Notes)
		}
	}
}

func BenchmarkAnalyseThreePhase(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	rec := record(10000, three(r, 10000, 49.97, 2100))
	for b.Loop() {
		if _, err := Analyse(rec); err != nil {
			b.Fatal(err)
		}
	}
}

// A scope's million of samples a second.
func BenchmarkAnalyseFineSampling(b *testing.B) {
	rec := record(1e6, map[string][]float64{"u": made(210000, 1e6, 49.97, part{1, 230, 0}, part{5, 9, 3}), "i": made(210000, 1e6, 49.97, part{1, 10, 0}, part{3, 4, 3})})
	for b.Loop() {
		if _, err := Analyse(rec); err != nil {
			b.Fatal(err)
		}
	}
}
