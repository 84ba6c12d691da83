package intake

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/tariff"
)

// Use answers everything that a tariff can ask.
var (
	_ tariff.ExportUse   = (*Use)(nil)
	_ tariff.RegisterUse = (*Use)(nil)
	_ tariff.ApparentUse = (*Use)(nil)
	_ tariff.SlidingUse  = (*Use)(nil)
	_ tariff.PartUse     = (*Use)(nil)
	_ tariff.CourseUse   = (*Use)(nil)
)

const dayNight = `
tariff: day and night
currency: EUR
from: 2020-01-01
tax-note: none
periods:
  day: {days: Mon-Fri, hours: 06:10-22:00}
  night: otherwise
charges:
`

func days(from, to string) tariff.Period {
	a, _ := civil.ParseDate(from)
	b, _ := civil.ParseDate(to)
	return tariff.Period{From: a, To: b}
}

// twin adds rows up second by second: slow, plain, and on its own.
type twin struct {
	slots   []float64 // Wh by slot
	windows map[[2]int64]float64
	in      map[[2]int64]map[int]bool
}

func plainTwin(l *Log, t *tariff.Tariff, z *time.Location, p tariff.Period, minutes int64) *twin {
	w := &twin{slots: make([]float64, len(t.Slots())), windows: map[[2]int64]float64{}, in: map[[2]int64]map[int]bool{}}
	for _, r := range l.Rows {
		for at := r.Start; at < r.End(); at += 60 {
			now := time.Unix(at, 0).In(z)
			d := civil.Date{Year: now.Year(), Month: now.Month(), Day: now.Day()}
			if !p.Contains(d) {
				continue
			}
			minute := now.Hour()*60 + now.Minute()
			slot := int(t.SlotAt(d, minute))
			wh := float64(r.Values[Import]) / 1e6 / float64(r.Duration) * 60
			w.slots[slot] += wh
			_, offset := now.Zone()
			key := [2]int64{(at + int64(offset)) / (minutes * 60), int64(offset)}
			w.windows[key] += wh
			if w.in[key] == nil {
				w.in[key] = map[int]bool{}
			}
			w.in[key][slot] = true
		}
	}
	return w
}

func (w *twin) highest(slots ...int) float64 {
	top := 0.0
	for key, wh := range w.windows {
		inside := true
		for s := range w.in[key] {
			inside = inside && slices.Contains(slots, s)
		}
		if inside {
			top = max(top, wh)
		}
	}
	return top
}

// The reduction agrees with a minute-by-minute sum, over both clock changes,
// for rows that do not fit slots or windows.
func TestReductionAgreesWithPlainSum(t *testing.T) {
	tar := readTariff(t, dayNight+"  - {id: units, energy: 0.1 /kWh}\n")
	for _, z := range []*time.Location{zone(t, "Europe/Dublin"), zone(t, "America/New_York"), zone(t, "Asia/Kathmandu")} {
		for _, p := range []tariff.Period{days("2031-03-01", "2031-04-01"), days("2031-10-20", "2031-11-10")} {
			for _, seconds := range []int32{300, 900, 1200, 3600, 2 * 3600} {
				l := &Log{Interval: seconds}
				l.Has.add(Import)
				x := int64(seconds)
				for at := midnight(p.From, z) - 1800; at < midnight(p.To, z)+7200; at += int64(seconds) {
					x = (x*1103515245 + 12345) % (1 << 31)
					if x%17 != 0 { // gaps
						r := Row{Start: at, Duration: seconds}
						r.Values[Import] = Energy(x)
						l.Rows = append(l.Rows, r)
					}
				}
				u := l.Uses(tar, z, []tariff.Period{p})[0]
				for _, minutes := range []int{15, 20, 60} {
					w := plainTwin(l, tar, z, p, int64(minutes))
					for s := range tar.Slots() {
						var one tariff.SlotSet
						one.Add(tariff.Slot(s))
						if got := float64(u.Energy(one)); math.Abs(got-w.slots[s]) > 1e-6*w.slots[s] {
							t.Errorf("%s %s %d s: %g Wh in %s, plainly %g", z, p, seconds, got, tar.Slots()[s], w.slots[s])
						}
						want := w.highest(s) * 60 / float64(minutes)
						if got := u.Demand(one, tariff.KW, minutes); math.Abs(got-want) > 1e-6*want {
							t.Errorf("%s %s %d s: %g W over %d min in %s, plainly %g", z, p, seconds, got, minutes, tar.Slots()[s], want)
						}
					}
					all := tar.Occurring(p)
					want := w.highest(0, 1) * 60 / float64(minutes)
					if got := u.Demand(all, tariff.KW, minutes); math.Abs(got-want) > 1e-6*want {
						t.Errorf("%s %s %d s: %g W over %d min, plainly %g", z, p, seconds, got, minutes, want)
					}
				}
			}
		}
	}
}

// hour is a log of one local hour in quarter hours.
func hour(t *testing.T, kwh, kvarh [4]float64) *Log {
	t.Helper()
	var b strings.Builder
	b.WriteString("start_utc,duration_s,energy_kwh,reactive_kvarh\n")
	for i := range kwh {
		b.WriteString(time.Date(2031, 1, 7, 12, 15*i, 0, 0, time.UTC).Format(time.RFC3339))
		b.WriteString(",900," + decimals(kwh[i]) + "," + decimals(kvarh[i]) + "\n")
	}
	return read(t, b.String(), nil)
}

// decimals prints a small figure.
func decimals(x float64) string { return kilo(Energy(x * 1e9)) }

func TestDemandsOfAnHour(t *testing.T) {
	tar := readTariff(t, plain)
	l := hour(t, [4]float64{3, 10, 6, 1}, [4]float64{4, 0, 8, 0})
	u := l.Uses(tar, time.UTC, []tariff.Period{days("2031-01-07", "2031-01-08")})[0]
	all := tar.Occurring(u.Period)
	for _, c := range []struct {
		unit    tariff.DemandUnit
		minutes int
		want    float64
	}{
		{tariff.KW, 15, 40}, {tariff.KW, 30, 26}, {tariff.KW, 60, 20},
		{tariff.Kvar, 15, 32}, {tariff.Kvar, 30, 16}, {tariff.Kvar, 60, 12},
		{tariff.KVA, 15, 40}, {tariff.KVA, 30, 2 * math.Hypot(13, 4)}, {tariff.KVA, 60, math.Hypot(20, 12)},
	} {
		if got := u.Demand(all, c.unit, c.minutes) / 1000; math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%d min: %g %s, want %g", c.minutes, got, c.unit, c.want)
		}
	}
	if got := u.SlidingDemand(all, tariff.KW, 30, 15) / 1000; got != 32 {
		t.Errorf("sliding half hour: %g kW, want 32", got)
	}
	if got := u.SlidingDemand(all, tariff.KW, 30, 5) / 1000; math.Abs(got-32) > 1e-9 {
		t.Errorf("half hour every 5 min: %g kW, want 32", got)
	}
	if got := u.Apparent(all) / 1000; math.Abs(got-(5+10+10+1)) > 1e-9 {
		t.Errorf("apparent energy %g kVAh, want 26", got)
	}
	course, ok := u.Course(all, 30)
	if !ok || len(course) != 2 || course[0].Minute != 720 || course[1].Energy != 7000 || course[1].Lagging != 8000 {
		t.Errorf("course %v %v", course, ok)
	}
	if _, ok := u.Course(all, 5); ok {
		t.Error("a course finer than the readings")
	}
	part, _ := u.Part(days("2031-01-06", "2031-01-07"))
	if part.Energy(all) != 0 || part.Demand(all, tariff.KW, 15) != 0 {
		t.Error("the day before has energy")
	}
	if got := u.Covered(); math.Abs(float64(got)-1.0/24) > 1e-12 {
		t.Errorf("covered %g", got)
	}
}

// What the tariff asks and was not logged is an error; what is missing is a note.
func TestPriceTellsWhatIsMissing(t *testing.T) {
	p := []tariff.Period{days("2031-01-07", "2031-01-08")}
	noReactive := read(t, "start_utc,duration_s,energy_kwh,quality\n2031-01-07T12:00:00Z,3600,3,estimated\n2031-01-07T23:30:00Z,3600,2,valid\n", nil)
	head := strings.Replace(plain, "charges:\n", "charges:\n  - {id: d, demand: {price: 1 /kVA, window: 15 min}}\n", 1)
	if _, err := noReactive.Price(readTariff(t, head), time.UTC, p, tariff.Options{}); err == nil || err.Error() != `the tariff "plain" asks for reactive energy, which was not logged` {
		t.Errorf("kVA without reactive energy: %v", err)
	}
	head = strings.Replace(plain, "charges:\n", "charges:\n  - {id: d, demand: {price: 1 /kW, window: 15 min}}\n  - {id: x, energy: {price: -0.02 /kWh, flow: exported}}\n", 1)
	bills, err := noReactive.Price(readTariff(t, head), time.UTC, p, tariff.Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"22.5 h of 24 h have no reading: nothing is counted for them",
		"1 reading is estimated",
		"1 reading lies across the first or last midnight of the bill: the part within counts, by its time",
		"some readings are of 1 h: a demand over 15 min was not lower than shown",
		"energy delivered to the supplier was not logged and counts as nothing",
	}
	if !slices.Equal(bills[0].Notes, want) {
		t.Errorf("notes:\n%s", strings.Join(bills[0].Notes, "\n"))
	}
	if got := bills[0].Lines[2].Quantity.String(); got != "4" {
		t.Errorf("%s kWh, want 3 and half of 2", got)
	}
}

// A price change within a bill asks for the parts; intervals give them.
func TestPartsOfABill(t *testing.T) {
	text := strings.Replace(plain, "charges:", "price-change: by date\nversions:\n  - {from: 2031-01-16, prices: {units: 0.2 /kWh}}\ncharges:", 1)
	l := read(t, "start_utc,duration_s,energy_kwh\n2031-01-15T23:30:00Z,1800,3\n2031-01-16T00:00:00Z,1800,5\n", nil)
	bills, err := l.Price(readTariff(t, text), time.UTC, []tariff.Period{days("2031-01-01", "2031-02-01")}, tariff.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := bills[0].Total.String(); got != "1.3" {
		t.Errorf("%s, want 0.30 + 1.00", got)
	}
}

func TestJoin(t *testing.T) {
	a := read(t, "start_utc,duration_s,energy_kwh\n2031-01-15T00:00:00Z,900,3\n2031-01-15T00:15:00Z,900,4\n", nil)
	b := read(t, "start_utc,duration_s,energy_kwh,reactive_kvarh\n2031-01-15T00:15:00Z,900,4,1\n2031-01-15T00:45:00Z,900,5,2\n", nil)
	l := Join(a, b)
	var out strings.Builder
	if err := l.Print(&out); err != nil {
		t.Fatal(err)
	}
	want := `found: 4 readings in data.csv, data.csv
  energy taken: 16 kWh
  reactive energy, lagging: 3 kvarh
taken: 3 intervals, mostly of 15 min, from 2031-01-15T00:00Z to 2031-01-15T01:00Z
  energy taken: 12 kWh
  reactive energy, lagging: 2 kvarh
1 × no reading: nothing is filled in, and nothing counted
  data.csv:3: from 2031-01-15T00:30Z to 2031-01-15T00:45Z, 1 interval
1 × two readings for the same time: the first in the file counts, the other is left out
  data.csv:2: 2031-01-15T00:15Z, 4 kWh, 1 kvarh; 4 kWh, 0 kvarh counts
1 × no figure: nothing is counted for it
  data.csv:2: data.csv has no reactive energy, lagging
`
	if out.String() != want {
		t.Errorf("%s", out.String())
	}
}

func TestClockChangeRules(t *testing.T) {
	for text, want := range map[string]string{
		"360E2000": "the second Sunday of March, 02:00 2031-03-09 02:00",
		"B40E2000": "the first Sunday of November, 02:00 2031-11-02 02:00",
		"3E0E2000": "the last Sunday of March, 02:00 2031-03-30 02:00",
		"AE0E3000": "the last Sunday of October, 03:00 2031-10-26 03:00",
		"40102000": "1 April, 02:00 2031-04-01 02:00",
		"428E2000": "the first Sunday from 8 April, 02:00 2031-04-13 02:00",
	} {
		c, err := ParseClockChange(text)
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		if got := c.String() + " " + utc(c.At(2031)).Format("2006-01-02 15:04"); got != want {
			t.Errorf("%s: %s, want %s", text, got, want)
		}
	}
	if c, err := ParseClockChange("FFFFFFFF"); err != nil || !c.None {
		t.Errorf("no change: %+v, %v", c, err)
	}
}

// The packed rules give the same clock as the zone's own data, hour by hour.
func TestLocalTimeAgreesWithZones(t *testing.T) {
	for name, l := range map[string]*LocalTime{
		"America/New_York": {Offset: -18000, Ahead: 3600, Start: change(t, "360E2000"), End: change(t, "B40E2000")},
		"Europe/Berlin":    {Offset: 3600, Ahead: 3600, Start: change(t, "3E0E2000"), End: change(t, "AE0E3000")},
		"Australia/Sydney": {Offset: 36000, Ahead: 3600, Start: change(t, "A40E2000"), End: change(t, "440E3000")},
	} {
		z := zone(t, name)
		for at := time.Date(2029, 1, 1, 0, 0, 0, 0, time.UTC).Unix(); at < time.Date(2032, 1, 1, 0, 0, 0, 0, time.UTC).Unix(); at += 1800 {
			if _, offset := time.Unix(at, 0).In(z).Zone(); int64(offset) != l.OffsetAt(at) {
				t.Errorf("%s at %s: %d, the rules say %d", name, stamp(at), offset, l.OffsetAt(at))
				break
			}
		}
	}
}

func change(t *testing.T, text string) ClockChange {
	t.Helper()
	c, err := ParseClockChange(text)
	if err != nil {
		t.Fatal(err)
	}
	return c
}
