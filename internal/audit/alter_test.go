package audit

import (
	"math"
	"slices"
	"testing"

	"auditgen/internal/quantity"
	"auditgen/internal/site"
)

func altered(t *testing.T, r *Result, a Alteration) *Variant {
	t.Helper()
	v, err := r.Alter(a)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// otherwise gives a copy of a record whose loads may be changed.
func otherwise(rec *site.Record) *site.Record {
	c := *rec
	c.Loads = slices.Clone(rec.Loads)
	return &c
}

func TestTheSameRecordSavesNothing(t *testing.T) {
	r := mixed.run(t)
	steps := len(r.Sheet.Steps())
	for _, a := range []Alteration{{}, {Record: mixed.record(t)}} {
		v := altered(t, r, a)
		if !v.Saved.Exact.IsZero() || v.Saved.Cost.Value != 0 || v.Saved.Energy.Value != 0 || v.Saved.Peak.Value != 0 {
			t.Errorf("saves %+v", v.Saved)
		}
		for _, l := range v.Lines {
			if !l.Saved.IsZero() || l.Label == "" {
				t.Errorf("line %+v", l)
			}
		}
		nearly(t, "energy", v.Energy.Value, r.Energy.Value, 1e-12)
		nearly(t, "cost", v.Cost.Value, r.Cost.Value, 1e-12)
		nearly(t, "kW", v.Peak.Value, r.Peak.Value, 1e-12)
		nearly(t, "kVA", v.PeakKVA.Value, r.PeakKVA.Value, 1e-12)
	}
	if n := len(r.Sheet.Steps()); n != steps {
		t.Errorf("%d steps were written into the result's sheet", n-steps)
	}
}

// Halving a duty halves the energy of a load and saves its price: 0.20 EUR/kWh.
func TestAlteredDutyByHand(t *testing.T) {
	s := small{calendars: weekdays, loads: "  - {id: it, name: It, at: DB1-1, use: work, power: 500 W, runs: {calendar: shift, duty: 40 %}}"}
	r := s.run(t)
	rec := otherwise(r.Record)
	rec.Loads[0].Runs.Duty.Value = quantity.Estimate[quantity.Ratio]{Low: 0.1, Likely: 0.2, High: 0.3, Shape: quantity.Triangular}
	v := altered(t, r, Alteration{Record: rec})
	kwh := 0.5 * 2088 * 0.2
	nearly(t, "energy", v.Energy.Value, kwh, 1e-9)
	nearly(t, "saved", v.Saved.Energy.Value, kwh, 1e-9)
	nearly(t, "saved cost", v.Saved.Cost.Value, 0.20*kwh, 1e-3)
	if !v.Total.Add(v.Saved.Exact).Equal(total(r.Bills)) {
		t.Errorf("%s and %s saved are not %s", v.Total, v.Saved.Exact, total(r.Bills))
	}
}

// A bank of 3 kvar on a load of 4 kW and 5 kvar leaves √(16 + 4) kVA of √41.
func TestCapacitorsByHand(t *testing.T) {
	s := small{tariff: "charges: [{id: demand, demand: {price: 5.00 /kVA/month, window: 15 min}}]",
		readings: one("DB1-1", "3P4W", "total: {power: 4.00 kW, reactive: 5.00 kvar}"),
		loads:    "  - {id: it, name: It, at: DB1-1, use: work, reading: R1, runs: {calendar: always}}"}
	r := s.run(t)
	v := altered(t, r, Alteration{Added: []Added{Capacitors("bank", "bank", "always", 3e3)}})
	nearly(t, "kVA", v.PeakKVA.Value, math.Sqrt(20), 1e-9)
	nearly(t, "energy", v.Saved.Energy.Value, 0, 1e-9)
	nearly(t, "kvarh of January", v.Months[0].Reactive.Value, 2*744, 1e-9)
	nearly(t, "saved", v.Saved.Cost.Value, 12*5*(math.Sqrt(41)-math.Sqrt(20)), 1e-3)
}

// Generation of 6 kW from 12:00 to 13:00 in June against a load of 4 kW: 4 kWh a
// day are not taken and 2 kWh are delivered, on 30 days.
func TestGenerationByHand(t *testing.T) {
	s := small{tariff: "charges: [{id: units, energy: 0.20 /kWh}, {id: feed-in, energy: {flow: exported, price: -0.05 /kWh}}, {id: demand, demand: {price: 1.00 /kW/month, window: 15 min}}]",
		loads: "  - {id: it, name: It, at: DB1-1, use: work, power: 4 kW, runs: {calendar: always}}"}
	var sun [12][24]quantity.Watts
	sun[5][12] = 6e3
	r := s.run(t)
	for _, c := range []struct {
		present, taken, delivered, kw float64
	}{{1, 4 * 30, 2 * 30, 4}, {0.5, 4 * 30, 2 * 30, 4}} {
		added, err := Generation("sun", "modules", sun, c.present, quantity.Estimate[quantity.Ratio]{})
		if err != nil {
			t.Fatal(err)
		}
		v := altered(t, r, Alteration{Added: added})
		nearly(t, "energy saved", v.Saved.Energy.Value, c.taken, 1e-6)
		nearly(t, "cost saved", v.Saved.Cost.Value, 0.20*c.taken+0.05*c.delivered, 1e-3)
		nearly(t, "kW of June", v.Months[5].PeakKW.Value, c.kw, 1e-6)
	}
	if _, err := Generation("sun", "modules", sun, 0, quantity.Estimate[quantity.Ratio]{}); err == nil {
		t.Error("generation that is never present is accepted")
	}
}

func TestAlteredYearsThatCannotBe(t *testing.T) {
	r := mixed.run(t)
	rec := otherwise(r.Record)
	rec.Loads[0].States[0].Value.Reading.Value = "none"
	other := *r.Record
	tariff := *other.Tariff
	tariff.File.Currency.Value.Code = "USD"
	other.Tariff = &tariff
	for name, a := range map[string]Alteration{
		"a reading that is not there": {Record: rec},
		"another currency":            {Record: &other},
		"no such calendar":            {Added: []Added{Capacitors("bank", "bank", "nights", 1e3)}},
	} {
		if _, err := r.Alter(a); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

func BenchmarkAlter(b *testing.B) {
	r := mixed.run(b)
	for b.Loop() {
		if _, err := r.Alter(Alteration{}); err != nil {
			b.Fatal(err)
		}
	}
}

// What is certain of a saving is not widened by the doubt of both years: half
// the duty of a load of 400 to 600 W saves half its energy, and what does not
// change saves nothing.
func TestDifferencesShareTheirDraws(t *testing.T) {
	s := small{calendars: weekdays, loads: "  - {id: it, name: It, at: DB1-1, use: work, power: 400..500..600 W, runs: {calendar: shift, duty: 40..40..40 %}}\n  - {id: other, name: Other, at: DB1-2, use: work, power: 1..2..5 kW, runs: {calendar: always}}"}
	r := s.run(t)
	same := altered(t, r, Alteration{Record: s.record(t)})
	if c := same.Saved.Cost; c.Low != 0 || c.High != 0 || same.Saved.Energy.High != 0 || same.Saved.Peak.High != 0 {
		t.Errorf("nothing saves %+v", same.Saved)
	}
	rec := otherwise(r.Record)
	rec.Loads[0].Runs.Duty.Value = quantity.Estimate[quantity.Ratio]{Low: 0.2, Likely: 0.2, High: 0.2, Shape: quantity.Triangular}
	v := altered(t, r, Alteration{Record: rec})
	kwh := 0.2 * 2088
	// The triangle of the power alone: as in TestIntervalsOfOneDoubtByHand.
	nearly(t, "low", v.Saved.Energy.Low, 0.43162*kwh, 0.01)
	nearly(t, "high", v.Saved.Energy.High, 0.56838*kwh, 0.01)
	nearly(t, "low cost", v.Saved.Cost.Low, 0.2*0.43162*kwh, 0.01)
	if v.Energy.High-v.Energy.Low < 10*(v.Saved.Energy.High-v.Saved.Energy.Low) {
		t.Errorf("the altered year %+v is hardly less sure than what it saves %+v", v.Energy, v.Saved.Energy)
	}
}

// A doubt that the altered record states otherwise stays at its place in its
// own distribution.
func TestAlteredDoubtsMoveTogether(t *testing.T) {
	s := small{loads: "  - {id: it, name: It, at: DB1-1, use: work, power: 400..600 W, runs: {calendar: always}}"}
	r := s.run(t)
	rec := otherwise(r.Record)
	rec.Loads[0].Power.Value = quantity.Estimate[quantity.Watts]{Low: 200, Likely: 250, High: 300, Shape: quantity.Triangular}
	v := altered(t, r, Alteration{Record: rec})
	// At the probability p the first is 400 + 200·p, the second 200 + 100·√(p/2)
	// below its middle: at 0.05 they are 410 and 215.81 W.
	nearly(t, "low", v.Saved.Energy.Low, (410-215.81)*8.760, 0.01)
	nearly(t, "high", v.Saved.Energy.High, (590-284.19)*8.760, 0.01)
}
