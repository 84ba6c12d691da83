package site_test

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/site"
)

func mustRead(t *testing.T, m fs.FS, visit civil.Date) *site.Record {
	t.Helper()
	rec, faults := readMill(m, visit)
	if rec == nil {
		t.Fatalf("faults:\n%s", faults)
	}
	return rec
}

func TestReadGood(t *testing.T) {
	m := good(t)
	m["sites/mill/notes/b.md"] = &fstest.MapFile{Data: []byte("second")}
	m["sites/mill/notes/a.md"] = &fstest.MapFile{Data: []byte("first")}
	m["sites/mill/notes/c.txt"] = &fstest.MapFile{Data: []byte("not a note")}
	rec := mustRead(t, m, civil.Date{})
	if rec.Slug != "mill" || rec.Site.Client.Value != "Hollin Mill" || rec.Tariff == nil || rec.Tariff.Name.Value != "Plain supply" {
		t.Errorf("%s, %s", rec.Slug, rec.Site.Client.Value)
	}
	if len(rec.Notes) != 2 || rec.Notes[0] != (site.Note{Name: "a", Text: "first"}) || rec.Notes[1].Name != "b" {
		t.Errorf("notes: %+v", rec.Notes)
	}
	r, ok := rec.ReadingByID("R1")
	if !ok || r.Pos.String() != "sites/mill/visits/2031-03-12.yaml:6:5" {
		t.Errorf("R1 stands at %s", r.Pos)
	}
	a, _ := r.Phases.Get("A")
	if a.Voltage.Value.Value != 231.2 || a.Voltage.Pos.String() != "sites/mill/visits/2031-03-12.yaml:11:20" || a.Voltage.Text != "231.2 V" || a.PF.Value.Lead != quantity.Lagging {
		t.Errorf("phase A: %+v", a)
	}
	if _, ok := rec.ReadingByID("R9"); ok {
		t.Error("R9 was found")
	}
	if i := rec.InstrumentOf(r); i.ID.Value != "clamp-1" || i.Category.Value.String() != "CAT IV 600 V" || i.ID.Pos.String() != "provider.toml:4:6" {
		t.Errorf("instrument: %+v", i)
	}
	if _, ok := rec.Provider.Instrument("clamp-9"); ok {
		t.Error("clamp-9 was found")
	}
	l := rec.Provider.Instruments[0].Limits()
	if l.Voltage != (site.Accuracy{OfReading: 0.005, Digits: 5}) || l.Current != (site.Accuracy{OfReading: 0.02, Digits: 5}) || l.Power != (site.Accuracy{OfReading: 0.03, Digits: 10}) ||
		l.Distortion != (site.Accuracy{OfReading: 0.05, Digits: 5}) || l.PhaseAngle != 1 || l.SmallestCurrent != 2 {
		t.Errorf("limits of error: %+v", l)
	}
	d := rec.Site.Doubt
	if got := d.TypicalOrDefault(); got.Text != "100 % ± 10 %" || got.Low != 0.9 || got.High != 1.1 {
		t.Errorf("typical: %+v", got)
	}
	if d.DutyOrDefault().Text != "100 % ± 15 %" || d.HoursOrDefault().Text != "100 % ± 5 %" {
		t.Errorf("doubts: %+v %+v", d.DutyOrDefault(), d.HoursOrDefault())
	}
}

func TestPointOf(t *testing.T) {
	s := mustRead(t, good(t), civil.Date{}).Site
	for at, want := range map[string]string{"incomer": "incomer", "DB1": "DB1", "DB1-4": "DB1", "DB1-4-2": "", "DB2": "", "DB2-1": "", "": ""} {
		if got, ok := s.PointOf(at); got != want || ok != (want != "") {
			t.Errorf("PointOf(%q) = %q, %v", at, got, ok)
		}
	}
}

func file(text string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(text)} }

// TestFold follows readings and loads through three visits.
func TestFold(t *testing.T) {
	m := good(t)
	m["sites/mill/visits/2032-03-10.yaml"] = file(`visit: 2032-03-10
by: A. Fenwick
with: clamp-1
readings:
  - id: R2
    at: DB1-4
    wiring: 1P2W
    phases: {A: {voltage: 231.0 V, current: 8.1 A, power: 1.70 kW}}
  - id: R3
    at: DB1-5
    wiring: 1P2W
    phases: {A: {voltage: 231.0 V, current: 5.0 A, power: 1.1 kW}}
loads:
  - id: sifter
    name: Sifter, measured
    at: DB1-5
    use: milling
    reading: R3
    runs: {calendar: shift, duty: 70 %}
removed: roller
`)
	m["sites/mill/visits/2033-03-09.yaml"] = file(`visit: 2033-03-09
by: B. Marsh
with: clamp-1
removed: [sifter, R3]
`)
	ids := func(rec *site.Record) string {
		var s []string
		for _, r := range rec.Readings {
			s = append(s, r.ID.Value)
		}
		s = append(s, "|")
		for _, l := range rec.Loads {
			s = append(s, l.ID.Value)
		}
		return strings.Join(s, " ")
	}
	for _, tt := range []struct {
		visit     civil.Date
		ids, by   string
		current   quantity.Amperes
		sifterRun string
	}{
		{civil.Date{Year: 2031, Month: 3, Day: 12}, "R1 R2 | elevator sifter roller", "A. Fenwick", 9.3, "80 %"},
		{civil.Date{Year: 2032, Month: 3, Day: 10}, "R1 R2 R3 | elevator sifter", "A. Fenwick", 8.1, "70 %"},
		{civil.Date{Year: 2033, Month: 3, Day: 9}, "R1 R2 | elevator", "B. Marsh", 8.1, ""},
		{civil.Date{}, "R1 R2 | elevator", "B. Marsh", 8.1, ""},
	} {
		rec := mustRead(t, m, tt.visit)
		if ids(rec) != tt.ids || rec.Visit.By.Value != tt.by || len(rec.Dates) != 3 {
			t.Errorf("%s: %s by %s, %d dates", tt.visit, ids(rec), rec.Visit.By.Value, len(rec.Dates))
		}
		r, _ := rec.ReadingByID("R2")
		a, _ := r.Phases.Get("A")
		if a.Current.Value.Value != tt.current {
			t.Errorf("%s: R2 has %v", tt.visit, a.Current.Value.Value)
		}
		for _, l := range rec.Loads {
			if l.ID.Value == "sifter" && l.Runs.Duty.Text != tt.sifterRun {
				t.Errorf("%s: the sifter runs %s", tt.visit, l.Runs.Duty.Text)
			}
		}
	}
	if rec, faults := readMill(m, civil.Date{Year: 2034, Month: 1, Day: 1}); rec != nil || faults != "sites/mill/visits:1:1: there is no visit of 2034-01-01; expected 2031-03-12, 2032-03-10 or 2033-03-09\n" {
		t.Errorf("a visit that is not there: %s", faults)
	}
	m["sites/mill/visits/2033-03-09.yaml"] = file("visit: 2033-03-09\nby: B. Marsh\nwith: clamp-1\nremoved: R2\n")
	if _, faults := readMill(m, civil.Date{}); faults != "sites/mill/visits/2031-03-12.yaml:28:14: unknown reading \"R2\"; expected a reading of this visit or an earlier one: R1 or R3; did you mean \"R1\"?\n" {
		t.Errorf("a reading that a load needs was removed:\n%s", faults)
	}
	if rec := mustRead(t, m, civil.Date{Year: 2032, Month: 3, Day: 10}); len(rec.Readings) != 3 {
		t.Error("a later visit changed an earlier state")
	}
}

// TestNoLoad: a visit that reads but lists nothing that uses electricity.
func TestNoLoad(t *testing.T) {
	m := good(t)
	text, _, _ := strings.Cut(string(m["sites/mill/visits/2031-03-12.yaml"].Data), "loads:")
	m["sites/mill/visits/2031-03-12.yaml"] = file(text)
	if _, faults := readMill(m, civil.Date{}); faults != "sites/mill/visits/2031-03-12.yaml:1:1: no load is listed; expected at least one under loads:\n" {
		t.Error(faults)
	}
}

// TestLostFilesHideNothingElse: what cannot be read is told once, and what
// refers to it keeps quiet, while the other files are checked.
func TestLostFilesHideNothingElse(t *testing.T) {
	const visit = "sites/mill/visits/2031-03-12.yaml"
	for name, tt := range map[string]struct {
		file, old, text string
		want            string
	}{
		"site.yaml":       {"sites/mill/site.yaml", "client", "client: [", "sites/mill/site.yaml:2:1: a value is missing"},
		"provider.toml":   {"provider.toml", "name", "name = ", "provider.toml:1:9: a value begins with ="},
		"an earlier one":  {"sites/mill/visits/2030-03-12.yaml", "", "visit: \"2030", "sites/mill/visits/2030-03-12.yaml:1:1: a quote is not closed"},
		"readings lost":   {visit, "readings:\n  - id: R1", "readings:\n  - id:\n", visit + ":6:8: \"id\" has no value"},
		"points lost":     {"sites/mill/site.yaml", "points:\n  incomer: {name: Main incomer, breaker: 200 A}\n  DB1: {name: Mill board, from: incomer, breaker: 100 A}\n", "points: none\n", "sites/mill/site.yaml:11:9: a single value stands where a group"},
		"calendars lost":  {"sites/mill/site.yaml", "calendars:\n  shift:\n    hours: {Mon-Fri: 06:00-18:00}\n    season: 1 Mar to 31 Oct\n    shutdowns: [2031-08-04 to 2031-08-15]\n    doubt: 100 % ± 5 %\n", "calendars: none\n", "sites/mill/site.yaml:17:12: a single value stands"},
		"instrument lost": {"provider.toml", "id = \"clamp-1\"\n", "", "provider.toml:3:1: missing here: id"},
	} {
		t.Run(name, func(t *testing.T) {
			m := good(t)
			if f := m[tt.file]; f != nil {
				m[tt.file] = file(strings.Replace(string(f.Data), tt.old, tt.text, 1))
			} else {
				m[tt.file] = file(tt.text)
			}
			_, faults := readMill(m, civil.Date{})
			if strings.Count(faults, "\n") != 1 || !strings.HasPrefix(faults, tt.want) {
				t.Errorf("got\n%swant %s", faults, tt.want)
			}
			if strings.Contains(faults, "unknown reading") || strings.Contains(faults, "unknown point") || strings.Contains(faults, "unknown instrument") {
				t.Errorf("a knock-on fault:\n%s", faults)
			}
			m["tariffs/plain.yaml"] = file("tariff: x\n")
			if _, faults := readMill(m, civil.Date{}); name != "site.yaml" && !strings.Contains(faults, "tariffs/plain.yaml:1:1: missing here: currency, from, charges") {
				t.Errorf("the tariff's faults are hidden:\n%s", faults)
			}
		})
	}
}

func TestFolderOutsideTariffs(t *testing.T) {
	m := good(t)
	m["other.yaml"] = file(string(m["tariffs/plain.yaml"].Data))
	s := m["sites/mill/site.yaml"]
	m["sites/mill/site.yaml"] = file(strings.Replace(string(s.Data), "tariff: plain", "tariff: ../other", 1))
	if _, faults := readMill(m, civil.Date{}); faults != "sites/mill/site.yaml:26:9: there is no tariff file tariffs/../other.yaml; expected the name of a file in tariffs/ without .yaml: plain\n" {
		t.Error(faults)
	}
}

// unreadable is a tree with one file that fails to open.
type unreadable struct {
	fs.FS
	name string
}

func (u unreadable) Open(name string) (fs.File, error) {
	if name == u.name {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrPermission}
	}
	return u.FS.Open(name)
}

func (u unreadable) ReadFile(name string) ([]byte, error) {
	if name == u.name {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrPermission}
	}
	return fs.ReadFile(u.FS, name)
}

func TestUnreadableFile(t *testing.T) {
	if _, faults := readMill(unreadable{good(t), "provider.toml"}, civil.Date{}); faults != "provider.toml:1:1: the file cannot be read: permission denied\n" {
		t.Error(faults)
	}
}

func TestNames(t *testing.T) {
	for name, want := range map[string]int{"A": 0, "B": 1, "C": 2, "L1": 0, "L3": 2, "N": site.Neutral, "a": -1, "D": -1, "": -1} {
		if got := site.PhaseIndex(name); got != want {
			t.Errorf("PhaseIndex(%q) = %d", name, got)
		}
	}
	for name, want := range map[string]int{"AB": 0, "BA": 0, "BC": 1, "CB": 1, "CA": 2, "AC": 2, "L1-L2": 0, "L3-L1": 2, "AA": -1} {
		if got := site.LineIndex(name); got != want {
			t.Errorf("LineIndex(%q) = %d", name, got)
		}
	}
}

// TestScalars reads the site's own kinds of value, right and wrong.
func TestScalars(t *testing.T) {
	refused := func(err error) string {
		if err == nil {
			return ""
		}
		if _, ok := err.(*diag.Problem); !ok {
			t.Errorf("%T: %v", err, err)
		}
		return err.Error()
	}
	var a site.Accuracy
	for text, want := range map[string]site.Accuracy{
		"1.5 % + 5 digits": {OfReading: 0.015, Digits: 5}, "±(1.5 % + 5 digits)": {OfReading: 0.015, Digits: 5}, "0.5%": {OfReading: 0.005}, "2 % + 1 digit": {OfReading: 0.02, Digits: 1}, "3 % + 10 dgt": {OfReading: 0.03, Digits: 10},
	} {
		a = site.Accuracy{}
		if err := a.UnmarshalText([]byte(text)); err != nil || a != want {
			t.Errorf("%q is %+v, %v", text, a, err)
		}
	}
	const accuracy = " is not an accuracy; expected a share of the reading and digits, such as 1.5 % + 5 digits"
	for _, text := range []string{"good", "5 digits", "1.5 + 5 digits", "1,5 % + 5 digits", "-1 %", ""} {
		if got, want := refused(a.UnmarshalText([]byte(text))), `"`+text+`"`+accuracy; got != want {
			t.Errorf("%q: %s", text, got)
		}
	}
	if got := refused(a.UnmarshalText([]byte("1.2.3 % + 5 digits"))); !strings.HasPrefix(got, `"1.2.3" is not a number`) {
		t.Error(got)
	}
	var c site.Category
	for _, text := range []string{"CAT II 300 V", "CAT III 600 V", "CAT IV 1000 V"} {
		c = site.Category{}
		if err := c.UnmarshalText([]byte(text)); err != nil || c.String() != text {
			t.Errorf("%q is %s, %v", text, c, err)
		}
	}
	const category = "; expected category and voltage, such as CAT III 600 V"
	for text, want := range map[string]string{
		"CAT V 600 V": `unknown category "V"` + category + ``, "III 600 V": `"III 600 V" is not a measurement category` + category, "CAT III 600": `"CAT III 600" is not a measurement category` + category,
		"CAT III 600 A": `"600 A" is in a unit of current; expected voltage in V, mV or kV, such as 231.2 V`, "CAT III -600 V": `"CAT III -600 V" is not a measurement category` + category,
	} {
		c = site.Category{}
		if got := refused(c.UnmarshalText([]byte(text))); got != want {
			t.Errorf("%q:\n got %s\nwant %s", text, got, want)
		}
	}
	if got := (site.Category{}).String(); got != "not stated" {
		t.Error(got)
	}
	var s site.Sequence
	for text, want := range map[string]site.Sequence{"ABC": site.Forward, "L1-L2-L3": site.Forward, "ACB": site.Reverse, "CBA": site.Reverse, "L1-L3-L2": site.Reverse} {
		if err := s.UnmarshalText([]byte(text)); err != nil || s != want {
			t.Errorf("%q is %s, %v", text, s, err)
		}
	}
	if got := refused(s.UnmarshalText([]byte("BAC"))); got != `unknown phase sequence "BAC"; expected ABC or ACB` {
		t.Error(got)
	}
	var w site.Wiring
	if err := w.UnmarshalText([]byte("3P3W")); err != nil || w != site.ThreePhaseThreeWire {
		t.Error(w, err)
	}
	var k site.Colour
	if err := k.UnmarshalText([]byte("#0D5B66")); err != nil || k != "#0d5b66" {
		t.Error(k, err)
	}
	var cl site.Class
	if err := cl.UnmarshalText([]byte("CAT III")); err != nil || cl != 3 {
		t.Error(cl, err)
	}
	if got := refused(cl.UnmarshalText([]byte("III"))); got != `unknown category "III"; expected one of CAT II, CAT III, CAT IV` {
		t.Error(got)
	}
	var z site.Zone
	for _, text := range []string{"Local", "", "Nowhere/Town", "../etc/passwd"} {
		if got := refused(z.UnmarshalText([]byte(text))); !strings.HasPrefix(got, "unknown time zone") {
			t.Errorf("%q: %s", text, got)
		}
	}
	if err := z.UnmarshalText([]byte("America/Chicago")); err != nil || z.String() != "America/Chicago" {
		t.Error(err)
	}
}
